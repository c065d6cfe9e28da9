"""From the drawings of a building model to one proposed job: which of its spaces are the rooms; the others
are left out, and told. In a model without spaces rooms are sought in a cut through its walls, and none is sure."""

from __future__ import annotations

from statistics import median

import numpy as np
import shapely
from msgspec.structs import replace

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, Severity, Where
from takeoff.findings import noticed
from takeoff.language import mark, quoted, tr, tr_count
from takeoff.language.lists import some_of
from takeoff.plan.job_drawings import FIRST, with_origin
from takeoff.plan.model import DrawingRef, Job, Opening, OpeningId, Room, RoomId, Source, Storey, StoreyId
from takeoff.plan.reasons import because
from takeoff.plan.shape import sound_polygon
from takeoff.recognise.modelled.model_claims import Hole, Model, Space, model_of
from takeoff.recognise.modelled.space_rooms import ENCLOSED, quantity_findings, storeys_of
from takeoff.recognise.presets import Settings
from takeoff.recognise.propose import propose
from takeoff.units.printing import shown

NEAR_WALL_MM = 60.0
"""A space's border this near to a wall is bounded by it: finishes are often left between."""
BOUNDED = 0.25
"""Less of its border than this at walls or other spaces, and a space is no room (roofs, terraces, the
site)."""
COVERED = 0.9
"""A space that holds others on so much of its plan is a dwelling or a floor, no room."""
SHOWN = 6


OUTSIDE = mark("outside or gross area, as the model says")
MADE_UP = mark("made up of other spaces")
HOLDERS = mark("holds other spaces")
UNWALLED = mark("no walls round it")
"""Why spaces are left out; of the first two the model itself says so."""


def rooms_among(model: Model) -> tuple[tuple[Space, ...], tuple[Finding, ...]]:
    """(the spaces that are rooms, one finding for each reason why others were left out)"""
    reasons: dict[str, list[Space]] = {}
    kept: list[Space] = []
    for space in model.spaces:
        reason = _said(space)
        if reason:
            reasons.setdefault(reason, []).append(space)
        else:
            kept.append(space)
    holders = _holders(kept)
    walled = any(model.walls)
    rooms = []
    for space in kept:
        if space.guid in holders:
            reasons.setdefault(HOLDERS, []).append(space)
        elif walled and _bounded(space, model, kept) < BOUNDED:
            reasons.setdefault(UNWALLED, []).append(space)
        else:
            rooms.append(space)
    return tuple(rooms), tuple(_finding(reason, spaces) for reason, spaces in reasons.items())


def _said(space: Space) -> str:
    if space.exterior:
        return OUTSIDE
    return {"whole": MADE_UP, "part": ""}.get(space.made, "")


def _holders(spaces: list[Space]) -> set[str]:
    """Spaces that two or more others, at the same height, cover nearly whole."""
    tree = shapely.STRtree([s.plan for s in spaces])
    found = set()
    for space in spaces:
        inner = []
        for k in tree.query(space.plan, predicate="intersects").tolist():
            other = spaces[k]
            if other is not space and other.storey == space.storey and other.plan.area < space.plan.area:
                shared = other.plan.intersection(space.plan)
                if (
                    shared.area > COVERED * other.plan.area
                    and min(other.top_mm, space.top_mm) - max(other.floor_mm, space.floor_mm) > NEAR_WALL_MM
                ):
                    inner.append(shared)
        if len(inner) > 1 and shapely.union_all(inner).area > COVERED / 2.0 * space.plan.area:
            found.add(space.guid)
    return found


def _bounded(space: Space, model: Model, kept: list[Space]) -> float:
    """Which part of a space's border lies at walls or at other spaces."""
    around = [w.plan for w in model.walls[space.storey]]
    around += [o.plan for o in kept if o is not space and o.storey == space.storey]
    if not around:
        return 0.0
    tree = shapely.STRtree(around)
    border = shapely.segmentize(space.plan.boundary, 500.0)
    xy = shapely.get_coordinates(border)
    middle = shapely.points((xy[:-1] + xy[1:]) / 2.0)
    length = np.hypot(*(xy[1:] - xy[:-1]).T)
    near = np.zeros(len(middle), bool)
    hit, _ = tree.query(middle, predicate="dwithin", distance=NEAR_WALL_MM)
    near[hit] = True
    return float(length[near].sum() / max(length.sum(), 1.0))


def _finding(reason: str, spaces: list[Space]) -> Finding:
    names = some_of([quoted(s.title) for s in spaces], SHOWN)
    severity: Severity = "note" if reason in (OUTSIDE, MADE_UP) else "check"
    count = tr_count("{count} space", "{count} spaces", len(spaces))
    return noticed("space-left-out", severity=severity, spaces=count, why=tr(reason), listed=names)


def propose_modelled(
    drawings: tuple[Drawing, ...], settings: Settings | None = None
) -> tuple[Job, tuple[Finding, ...]]:
    """The job that a model's drawings (one per storey, in mm) claim, and what to look at.

    Spaces become rooms with the ceilings and floors of their solids; where no storey has a space,
    rooms are sought in the cuts through the walls, and none of them is sure. No drawings give an
    empty job and a finding.
    """
    settings = settings or Settings()
    model = model_of(drawings)
    if not drawings:
        return Job(), (noticed("no-room-found/model"),)
    first = drawings[0]
    ref = DrawingRef(id=FIRST, name=first.name, sha256=first.sha256, unit=first.unit, unit_mm=first.unit_mm)
    if not model.spaces:
        job, found = propose_cut(drawings, model, settings)
        return with_origin(replace(job, name=first.name), ref), found
    spaces, left_out = rooms_among(model)
    storeys, doubts = storeys_of(model, spaces, settings)
    found = (*left_out, *doubts, *quantity_findings(spaces))
    return with_origin(Job(name=first.name, storeys=storeys), ref), found


OPEN_PLAN = 0.5
"""Where less of the floor than this is enclosed, the storey is an open plan."""
MORE = 1.02
"""The linework is followed where its rooms hold more than this times what the walls enclose."""
TOLD_BELOW = ("no-room-found", "room-to-check", "open-plan")
HAIR_MM = 5.0
"""Walls that end this near to each other meet: half of the gaps between bodies modelled apart."""
STRAIGHT_MM = 0.5
SMALLEST_MM2 = 0.4e6
NARROWEST_MM = 300.0
"""Narrower than this is a cavity or a duct between walls, no room (common practice, no source)."""
NEAR_MM = 250.0
WIDTH_SHARE = 0.15
LOWEST_MM, HIGHEST_MM = 1800.0, 12000.0
"""Walls outside these heights are no sign of a storey's height."""


def propose_cut(drawings: tuple[Drawing, ...], model: Model, settings: Settings) -> tuple[Job, tuple[Finding, ...]]:
    """One job of all storeys: what the uncut walls enclose, or, where the linework of the cut shows
    more rooms, those. Rooms are *check* at best, since nothing in the model names them. Heights are
    those of the walls, sizes of openings those of the model."""
    spaces = [s for k in range(len(drawings)) for s in enclosed(model, k, _height(model, k, settings))]
    storeys, findings = storeys_of(model, spaces, settings)
    chosen = {s.id: replace(s, height_source=_height_source(model, int(s.id) - 1, settings)) for s in storeys}
    for number, drawing in enumerate(drawings):
        job, found = propose(drawing, settings)
        read = [_storey(s, number, model, settings) for s in job.storeys]
        own = StoreyId(str(number + 1))
        if read and _area(read) > MORE * _area([chosen[own]] if own in chosen else []):
            chosen[own] = read[0]
            findings = [f for f in findings if f.where.storey != own]
            findings += [_moved(f, number) for f in found if f.code not in TOLD_BELOW]
        findings += _open_plan(drawing, [chosen[own]] if own in chosen else [], model.levels[number].name, number)
    ordered = tuple(chosen[k] for k in sorted(chosen, key=int))
    return Job(storeys=ordered), (_no_spaces(ordered), *findings)


def enclosed(model: Model, storey: int, height_mm: float) -> list[Space]:
    """What the walls, columns, glazing, doors and windows of a storey enclose together, as spaces."""
    solids = [w.plan for w in model.walls[storey]]
    solids += [shapely.Polygon(h.ring) for h in model.holes if h.storey == storey and h.kind != "open"]
    if not solids:
        return []
    grown = shapely.union_all([s.buffer(HAIR_MM, join_style="mitre") for s in solids if s.is_valid])
    whole = grown.buffer(-HAIR_MM, join_style="mitre")
    found = []
    for part in shapely.get_parts(whole):
        for hole in part.interiors:
            plan = shapely.Polygon(hole).difference(whole)
            found += [p for p in shapely.get_parts(plan) if _roomy(p)]
    found.sort(key=lambda p: (-p.bounds[3], p.bounds[0]))
    return [
        Space(
            storey, f"{storey}-{n}", "", "", False, ENCLOSED, p.simplify(STRAIGHT_MM), 0.0, height_mm, (), (), 0.0, ()
        )
        for n, p in enumerate(found, 1)
    ]


def _roomy(plan: shapely.Geometry) -> bool:
    return bool(
        plan.geom_type == "Polygon" and plan.area > SMALLEST_MM2 and 2.0 * plan.area / plan.length > NARROWEST_MM
    )


def _area(storeys: list[Storey]) -> float:
    """The plan area of all rooms, mm², without what their inner rings hold."""
    return sum(float(sound_polygon(room).area) for storey in storeys for room in storey.rooms)


def _height(model: Model, number: int, settings: Settings) -> float:
    tall = _wall_height(model, number, settings)
    return settings.storey_height_mm if tall is None else tall


def _height_source(model: Model, number: int, settings: Settings) -> Source:
    if _wall_height(model, number, settings) is None:
        return settings.source("storey_height_mm")
    return "drawn"


def _storey(storey: Storey, number: int, model: Model, settings: Settings) -> Storey:
    level = model.levels[number]
    rooms = tuple(_doubted(r, number) for r in storey.rooms)
    holes = [h for h in model.holes if h.storey == number]
    openings = tuple(_as_modelled(o, number, storey, holes, model) for o in storey.openings)
    return replace(
        storey,
        id=StoreyId(str(number + 1)),
        name=level.name,
        level_mm=level.level_mm,
        rooms=rooms,
        openings=openings,
        height_mm=_height(model, number, settings),
        height_source=_height_source(model, number, settings),
    )


def _room_id(number: int, room: str) -> RoomId:
    return RoomId(f"{number + 1}-{room}")


def _doubted(room: Room, number: int) -> Room:
    confidence = "check" if room.confidence == "sure" else room.confidence
    evidence = (*room.evidence, because("model-cut"))
    return replace(room, id=_room_id(number, room.id), confidence=confidence, evidence=evidence)


def _as_modelled(opening: Opening, number: int, storey: Storey, holes: list[Hole], model: Model) -> Opening:
    """The opening with the heights and the kind of the model's hole that lies where it lies."""
    opening = replace(opening, id=OpeningId(f"{number + 1}-{opening.id}"), room=_room_id(number, opening.room))
    middle = _middle(opening, storey, number, model)
    if middle is None:
        return opening
    for hole in holes:
        wide = abs(hole.values["width_mm"] - opening.width_mm) <= WIDTH_SHARE * opening.width_mm
        if wide and shapely.Polygon(hole.ring).distance(middle) < NEAR_MM:
            kind = opening.kind if hole.kind not in ("door", "window") else hole.kind
            return replace(
                opening,
                kind=kind,
                sill_mm=hole.values["sill_mm"],
                head_mm=hole.values["head_mm"],
                sill_source="drawn",
                head_source="drawn",
                mark=hole.mark,
                evidence=(*opening.evidence, because("model-heights")),
            )
    return opening


def _middle(opening: Opening, storey: Storey, number: int, model: Model) -> shapely.Point | None:
    for room in storey.rooms:
        if _room_id(number, room.id) == opening.room:
            for ring in room.rings:
                for k, side in enumerate(ring):
                    if side.id == opening.side:
                        after = ring[(k + 1) % len(ring)]
                        a = np.array((side.x_mm, side.y_mm)) - model.origin
                        d = np.array((after.x_mm, after.y_mm)) - model.origin - a
                        length = float(np.hypot(*d))
                        at = a + d * (opening.offset_mm + opening.width_mm / 2.0) / max(length, 1.0)
                        return shapely.Point(at)
    return None


def _wall_height(model: Model, number: int, settings: Settings) -> float | None:
    """The middle height of the storey's walls; None where the user gave one or no wall tells it."""
    if "storey_height_mm" in settings.given:
        return None
    level = model.levels[number]
    tops = [t for t in model.wall_tops[number] if LOWEST_MM < t < HIGHEST_MM]
    if not tops:
        return None
    tall = median(tops)
    return tall if level.top_mm is None else min(tall, level.top_mm)


def _no_spaces(storeys: tuple[Storey, ...]) -> Finding:
    count = sum(len(s.rooms) for s in storeys)
    rooms = tr_count(
        "{count} enclosed room was found, to be checked", "{count} enclosed rooms were found, each to be checked", count
    )
    found = rooms if count else tr("no enclosed room was found")
    return noticed("spaces-missing", severity="check" if count else "error", found=found)


def _open_plan(drawing: Drawing, storeys: list[Storey], name: str, number: int) -> list[Finding]:
    """A finding where most of a storey's floor is not enclosed."""
    ends = drawing.lines.segments.reshape(-1, 2)
    if not len(ends):
        return []
    hull = shapely.MultiPoint(ends).convex_hull.area
    held = _area(storeys)
    if hull <= 0.0 or held >= OPEN_PLAN * hull:
        return []
    where = Where(storey=str(number + 1))
    storey = tr("Storey “{name}”", name=name) if name else tr("The storey")
    return [
        noticed("open-plan/model", where, storey=storey, held_m2=shown(held / 1e6, 0), floor_m2=shown(hull / 1e6, 0))
    ]


def _moved(finding: Finding, number: int) -> Finding:
    """A finding of one storey's drawing with the ids of the joint job."""
    w = finding.where
    return replace(
        finding,
        where=replace(
            w,
            storey=str(number + 1),
            room=None if w.room is None else _room_id(number, w.room),
            opening=None if w.opening is None else f"{number + 1}-{w.opening}",
        ),
    )
