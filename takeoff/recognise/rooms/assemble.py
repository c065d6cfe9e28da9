"""The proposed job: storeys with rooms and openings, and what to look at."""

from __future__ import annotations

import msgspec
import numpy as np
import shapely

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.language import quoted, tr, tr_count
from takeoff.language.lists import some_of
from takeoff.plan.job_drawings import FIRST, with_origin
from takeoff.plan.model import Confidence, DrawingRef, Job, Opening, Ring, Room, Storey, StoreyId
from takeoff.plan.reasons import all_spoken, because
from takeoff.plan.shape import sound_polygon
from takeoff.recognise.names.placed_words import NAMING, Placed, SheetWords
from takeoff.recognise.names.title_block import told
from takeoff.recognise.openings.behind_ledges import at_ledges
from takeoff.recognise.openings.glazed_fronts import Fronts, fronts
from takeoff.recognise.openings.into_lifts import into_lifts
from takeoff.recognise.openings.lines_in_walls import windows_in_walls
from takeoff.recognise.openings.onto_balconies import onto_balconies
from takeoff.recognise.openings.opening_hosts import NARROWEST_MM, Candidate, host_openings
from takeoff.recognise.openings.opening_kinds import kinds_proposed, with_swings
from takeoff.recognise.openings.opening_marks import marked, scheduled
from takeoff.recognise.openings.openings_without_gaps import (
    WallFaces,
    door_strokes,
    doors_off_walls,
    jamb_openings,
    loose_openings,
)
from takeoff.recognise.openings.window_bays import as_one
from takeoff.recognise.openings.windows_over_walls import windows_over_walls
from takeoff.recognise.presets import Settings
from takeoff.recognise.rooms.against_rooms import doubted
from takeoff.recognise.rooms.borders import Border, rings_of, sides_of
from takeoff.recognise.rooms.making import (
    ROOM_M2,
    area_findings,
    doubted_by_print_only,
    make_room,
    open_plan_finding,
    polygon_area_m2,
    written_in,
)
from takeoff.recognise.rooms.no_rooms import is_labelled, middle_of, without_no_rooms
from takeoff.recognise.rooms.parapets import behind_parapets
from takeoff.recognise.rooms.sheet_plans import Plan, as_rings, is_title, without_frames
from takeoff.recognise.rooms.spaces_without_proof import with_proof
from takeoff.recognise.walls.believed_gaps import OF_FRONTS
from takeoff.recognise.walls.crossed_spaces import crossed_boxes
from takeoff.recognise.walls.opening_evidence import Evidence
from takeoff.recognise.walls.room_spaces import panes, parted_by_lines
from takeoff.recognise.walls.wall_reading import Reading
from takeoff.units.printing import shown, whole


def assemble(
    drawing: Drawing,
    settings: Settings,
    reading: Reading | None,
    evidence: Evidence,
    words: list[Placed],
    sheet: SheetWords,
) -> tuple[Job, tuple[Finding, ...]]:
    """The job and its findings; without a single space a job without storeys, and one finding."""
    block = sheet.block
    ref = DrawingRef(
        id=FIRST,
        name=drawing.name,
        sha256=drawing.sha256,
        unit=drawing.unit,
        unit_mm=drawing.unit_mm,
        number=block.number,
        revision=block.revision,
    )
    name = block.job or drawing.name
    if reading is not None:
        reading = without_frames(reading, drawing, block.rows)
    if reading is None or not reading.spaces:
        return Job(name=name, drawings=(ref,)), (noticed("no-room-found"),)
    reading, found, unproven = with_proof(reading, words)
    glazed = fronts(reading)
    rooms, findings = _rooms(reading, found, glazed)
    rooms = doubted(rooms, glazed.polygons, reading, words, drawing.layers)
    proposed = candidates(reading, evidence, glazed)
    origin = reading.lines.origin
    hosted = host_openings(proposed, rooms, origin, settings)
    kept = without_no_rooms(reading, rooms, hosted, evidence.flights, findings)
    if len(kept.rooms) < len(rooms):
        rooms, findings = kept.rooms, kept.findings
        hosted = host_openings(proposed, rooms, origin, settings)
    openings, entered = hosted.openings, hosted.entered
    if not any(space.words for space in reading.spaces):
        rooms = [_entered(room, room.id in entered) for room in rooms]
    elif entered:
        rooms = [_entered(r, r.id in entered or _said(r), NAMED_ONLY) for r in rooms]
    else:
        rooms = [_entered(r, _said(r) or sound_polygon(r).area <= ROOM_M2[1] * 1e6, NO_WAY) for r in rooms]
    outlines = [as_rings(plan.hulls, origin) for plan in found]
    buildings = [ring for rings in outlines for ring in rings]
    # a written height means another head once it is known whether there is a sill
    openings = marked(openings, rooms, [w for w in words if w.words.kind == "mark"], origin)
    openings = as_one(kinds_proposed(openings, rooms, buildings, settings))
    openings = onto_balconies(openings, rooms, words, origin, settings)
    openings = into_lifts(openings, rooms, words, crossed_boxes(reading.drawn), origin, settings)
    openings = marked(openings, rooms, [w for w in words if w.words.kind == "size"], origin)
    openings = with_swings(openings, rooms, evidence.swings, origin)
    openings, unlike = scheduled(openings, rooms, sheet.schedule)
    storeys = _storeys(found, outlines, rooms, openings, settings, block.title)
    findings += _lost_labels(reading, found) + _apart(storeys, found)
    for storey in storeys:
        findings += _doubts(storey)
    findings += [*unproven, *unlike, *told(block)]
    findings += free_walls(reading) + doors_off_walls(evidence, proposed, reading.lines.origin)
    return with_origin(Job(name=name, storeys=tuple(storeys)), ref), tuple(findings)


def _storeys(
    found: list[Plan],
    outlines: list[tuple[Ring, ...]],
    rooms: list[Room],
    openings: list[Opening],
    settings: Settings,
    title: str,
) -> list[Storey]:
    """``outlines``: of the building, plan by plan; ``title``: of the sheet, which names the storey of a lone plan
    without a title of its own."""
    storeys = []
    for number, (plan, outline) in enumerate(zip(found, outlines, strict=True), 1):
        own = {room_id(space) for space in plan.spaces}
        storeys.append(
            Storey(
                id=StoreyId(str(number)),
                name=plan.title or _titled(title, found),
                level_mm=plan.level_mm or 0.0,
                height_mm=settings.storey_height_mm,
                height_source=settings.source("storey_height_mm"),
                rooms=tuple(r for r in rooms if r.id in own),
                openings=tuple(o for o in openings if o.room in own),
                building=outline,
                building_source="drawn" if plan.hulls else None,
            )
        )
    return storeys


def _titled(title: str, found: list[Plan]) -> str:
    return title if len(found) == 1 and is_title(title) else ""


def room_id(space: int) -> str:
    return f"r{space + 1}"


def _apart(storeys: list[Storey], found: list[Plan]) -> list[Finding]:
    """Says so where several plans lie on one sheet."""
    if len(storeys) < 2:
        return []
    names = [quoted(s.name) if s.name else tr("plan {number} without a title", number=s.id) for s in storeys]
    listed = ", ".join(
        tr("{plan} at {level} m", plan=name, level=_level(p.level_mm)) if p.level_mm is not None else name
        for name, p in zip(names, found, strict=True)
    )
    return [noticed("several-plans", count=len(storeys), plans=listed)]


def _rooms(reading: Reading, found: list[Plan], glazed: Fronts) -> tuple[list[Room], list[Finding]]:
    findings: list[Finding] = []
    rooms: list[Room] = []
    origin = reading.lines.origin
    labelled = is_labelled(reading)
    border = Border(reading.faces.graph, reading.lines.arc, reading.lines.arcs)
    one_line = parted_by_lines(reading.faces, reading.spaces)
    parapets = behind_parapets(reading, found)
    storey_of = {space: str(k) for k, plan in enumerate(found, 1) for space in plan.spaces}
    for number, (space, polygon) in enumerate(zip(reading.spaces, glazed.polygons, strict=True), 1):
        spoken = [reading.words[w] for w in space.words]
        sides = sides_of(rings_of(border, polygon), origin)
        area = polygon_area_m2(polygon)
        written = written_in(spoken, area)
        room = make_room(
            number,
            sides,
            area,
            written,
            space,
            reading.gaps,
            reading.double,
            labelled,
            reading.wall_layers,
            bool(one_line[number - 1]),
        )
        if number - 1 in parapets and not (room.name or room.number or room.printed_area_m2 is not None):
            room = _entered(room, False, PARAPETS)
        rooms.append(room)
        storey = storey_of[number - 1]
        findings += area_findings(room, written, area, storey, origin)
        findings += open_plan_finding(room, written, spoken, polygon, storey, origin)
    return rooms, findings


def candidates(reading: Reading, evidence: Evidence, glazed: Fronts) -> list[Candidate]:
    """Openings from the closed gaps, then those between jamb lines in the walls."""
    gone = {int(g) for s in reading.spaces for g in reading.faces.gap[list(s.faces)] if g >= 0}
    found = []
    for k, gap in enumerate(reading.gaps):
        if k not in gone and gap.why[0] not in OF_FRONTS and gap.bridge.width_mm >= NARROWEST_MM:
            confidence: Confidence = "sure" if gap.confirmed else "check"
            found.append(Candidate(gap.bridge.lines, gap.kind, confidence, gap.bridge.thickness_mm, gap.why))
    found = at_ledges(found, reading.faces, reading.drawn)
    found += jamb_openings(reading.faces, evidence, set()) + glazed.openings
    if reading.double:
        found += windows_in_walls(reading.faces, reading.gaps, evidence.swings)
    faces = reading.faces
    solid = faces.body | (faces.gap >= 0)
    walls = WallFaces(faces.polygons[solid & ~panes(faces, reading.glass, PANE_ON_WALL)], faces.polygons[solid])
    windows, doors = loose_openings(evidence, found, walls if reading.double else None)
    found += windows + doors
    if reading.double:
        found += windows_over_walls(reading, found)
    if not reading.double:
        found += door_strokes(evidence, reading.lines.xy, found)
    return found


NAMED_ONLY = because("name-alone")
NO_WAY = because("no-way-anywhere")
"""Where a plan shows no way into any room, what is larger than rooms are may be the sheet or the plot round it, and its
name a title."""
PARAPETS = because("only-through-outside")


def _entered(room: Room, entered: bool, why: str = because("no-word-no-way")) -> Room:
    """Where nothing is written, only a way in tells a room from a court, a porch or a shaft; so it does of what has
    nothing but a name, where other rooms have their way in."""
    if entered or room.confidence != "sure":
        return room
    return msgspec.structs.replace(room, confidence="check", evidence=(*room.evidence, why))


def _said(room: Room) -> bool:
    """Whether what is written in a room proves it without a way in: its name and its area together. A name alone may
    stand in a pond, a duct or a sample, an area alone in what is no room."""
    return room.printed_area_m2 is not None and bool(room.name or room.number)


PANE_ON_WALL = 0.3
"""A pane drawn against a wall shares one of its long sides with it."""
LISTED = 12
TITLE_HEIGHT = 1.4
"""Text this much higher than the room names is a title."""
NEAR_PLAN_MM = 2500.0
"""Names farther off than this from every plan are titles and notes, not rooms."""


def _lost_labels(reading: Reading, found: list[Plan]) -> list[Finding]:
    """One finding for the labels that speak of a room and lie in none."""
    named = {w for s in reading.spaces for w in s.words}
    near = (
        shapely.box(*shapely.total_bounds([h for p in found for h in p.hulls]))
        if any(p.hulls for p in found)
        else shapely.Point(0, 0).buffer(1e12)
    )
    heights = [reading.words[w].height for w in named if reading.words[w].words.kind in NAMING]
    title_height = TITLE_HEIGHT * float(np.median(heights)) if heights else np.inf
    lost = [
        w
        for k, w in enumerate(reading.words)
        if k not in named
        and w.words.kind in NAMING
        and not is_title(w.words.text)
        and w.height <= title_height
        and (w.words.kind == "area" or near.distance(shapely.Point(w.x, w.y)) <= NEAR_PLAN_MM)
    ]
    if not lost:
        return []
    x, y = reading.lines.origin
    told = [tr("“{words}” at {x}, {y}", words=w.words.text, x=whole(w.x + x), y=whole(w.y + y)) for w in lost]
    where = Where(x_mm=lost[0].x + x, y_mm=lost[0].y + y)
    labels = tr_count("{count} label", "{count} labels", len(lost))
    return [noticed("label-in-no-room", where, labels=labels, listed=some_of(told, LISTED, "; "))]


FREE_SHARE = 0.35
"""Where walls that bound no room make up more than this part, the plan is open."""


def free_walls(reading: Reading) -> list[Finding]:
    """Says that a plan is open where much of its walls encloses nothing."""
    faces = reading.faces
    body = np.append(faces.body, False)
    room = np.zeros(len(faces.polygons) + 1, bool)
    for space in reading.spaces:
        room[list(space.faces)] = True
    touching = np.zeros(len(body), bool)
    for own, other in ((faces.left, faces.right), (faces.right, faces.left)):
        touching[own[(own >= 0) & room[other]]] = True
    wall = np.flatnonzero(faces.body)
    total = float(faces.perimeter[wall].sum()) / 2
    free = float(faces.perimeter[[f for f in wall if not touching[f]]].sum()) / 2
    if total == 0 or free < FREE_SHARE * total:
        return []
    return [
        noticed(
            "open-plan",
            free_m=shown(free / 1000, 0),
            total_m=shown(total / 1000, 0),
            rooms=_closed_rooms(len(reading.spaces)),
        )
    ]


def _level(level_mm: float) -> str:
    """In m with its sign, as levels are written: "+2.80", "−0.45"."""
    return f"{'+' if level_mm >= 0 else ''}{shown(level_mm / 1000)}"


def _closed_rooms(count: int) -> str:
    return tr_count("{count} closed room", "{count} closed rooms", count)


def _doubts(storey: Storey) -> list[Finding]:
    """One finding per room that is not sure; nothing where the finding on its printed area says it all."""
    findings = []
    for room in storey.rooms:
        if room.confidence == "sure" or doubted_by_print_only(room.evidence):
            continue
        name = quoted(room.name) if room.name else room.title
        x, y = middle_of(room)
        where = Where(storey=storey.id, room=room.id, x_mm=x, y_mm=y)
        findings.append(noticed("room-to-check", where, room=name, why="; ".join(all_spoken(room.evidence))))
    return findings
