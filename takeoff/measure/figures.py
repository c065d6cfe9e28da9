"""The figures of one room, from the facts of the space it lies in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import msgspec

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.geometry.arrangement import Edge as PlanEdge
from takeoff.geometry.curves import Point
from takeoff.geometry.tolerances import TOUCH_MM
from takeoff.measure.coated_parts import drop_parts, level_parts, wall_parts
from takeoff.measure.dims import (
    M,
    edge_lines,
    face_lines,
    hole_area,
    light_lines,
    net_lines,
    piece_lines,
    profile_of,
    strip_lines,
)
from takeoff.measure.face import NET, Outline, Slab
from takeoff.measure.gather import FaceFacts, Facts, Line3, face_areas, reveal_here
from takeoff.measure.level import Light, Piece, ceiling_pieces, floor_area, raised_tops, rooflights
from takeoff.measure.reveals import PARTS, strip
from takeoff.measure.space import Space
from takeoff.measure.takeoff import (
    FAMILIES,
    BeadPiece,
    BehindStretch,
    CoatedPart,
    Dim,
    Edge,
    Face,
    Hole,
    RoomTakeoff,
    Surface,
)
from takeoff.measure.upright import side_at
from takeoff.plan.model import CornerPick, Job, Room, Storey
from takeoff.plan.surface_ids import EdgeId, edge_name, strip_name
from takeoff.plan.wall_letters import wall_letter

MM2 = 1e6
JOIN_MM = 1e-2
"""Two stretches of one straight edge whose ends are this close are one piece of bead."""


class RoomParts(NamedTuple):
    """What belongs to one room of a space."""

    faces: list[FaceFacts]
    ceilings: list[Piece]
    tops: list[Piece]
    lights: list[Light]


def room_figures(
    facts: Facts, number: int, storey: Storey, job: Job, behind: dict[str, tuple[BehindStretch, ...]]
) -> RoomTakeoff:
    """The takeoff of one room; lengths m, areas m²."""
    room = facts.space.rooms[number].room
    parts = RoomParts(
        [f for k, f in facts.faces.items() if k[1] == number],
        ceiling_pieces(facts.space, number),
        raised_tops(facts.space, number),
        rooflights(facts.space, number),
    )
    parts.faces.sort(key=lambda f: (f.kind != "wall", f.key[2], f.key[3]))
    surfaces = _surfaces(room, parts)
    lines = [e for e in facts.edges if e.room == number]
    lines += [e for light in parts.lights for e in light.edges]
    edges = _edges(lines, room, job, facts.space.origin)
    return _assembled(facts, number, storey, room, parts, surfaces, edges, behind)


def _assembled(
    facts: Facts,
    number: int,
    storey: Storey,
    room: Room,
    parts: RoomParts,
    surfaces: tuple[Surface, ...],
    edges: tuple[Edge, ...],
    behind: dict[str, tuple[BehindStretch, ...]],
) -> RoomTakeoff:
    low, high = _heights(facts, number)
    walls = [s for s in surfaces if s.kind == "wall"]
    net = {
        kind: math.fsum(s.net_m2 for s in surfaces if s.kind in kinds)
        for kind, kinds in (
            ("wall", ("wall",)),
            ("ceiling", ("ceiling",)),
            ("drop", ("drop", "top")),
            ("reveal", ("reveal",)),
        )
    }
    kinds = by_kind(edges)
    bead = tuple(BeadPiece(e.length_m * M, e.profile, e.id) for e in edges if e.cls == "external" and e.bead == "new")
    return RoomTakeoff(
        room=room.id,
        storey=storey.id,
        name=room.name or room.number or room.id,
        times=room.times * storey.times,
        confidence=room.confidence,
        height_min_mm=low,
        height_max_mm=high,
        floor_m2=floor_area(facts.space, number) / MM2,
        perimeter_m=_perimeter(facts, number),
        ceiling_m2=net["ceiling"],
        wall_gross_m2=math.fsum(s.gross_m2 for s in walls),
        openings_m2=math.fsum(s.openings_m2 for s in walls),
        excluded_m2=math.fsum(s.excluded_m2 for s in walls),
        not_coated_m2=math.fsum(s.not_coated_m2 for s in walls),
        wall_net_m2=net["wall"],
        drop_m2=net["drop"],
        reveal_m2=net["reveal"],
        coated_m2=math.fsum(net.values()),
        external_corner_m=math.fsum(kinds["external_corner_by_kind_m"].values()),
        coat_edge_m=_total(edges, "coat_edge"),
        floor_edge_m=_total(edges, "floor_edge"),
        frame_joint_m=_total(edges, "frame_joint"),
        bead_m=math.fsum(p.length_mm for p in bead) / M,
        bead_pieces=bead,
        faces=_faces(parts, behind),
        surfaces=surfaces,
        edges=edges,
        dims=_dims(parts, edges),
        findings=_findings(facts, number, storey, room, parts, edges),
        holes=_holes(parts),
        coated_parts=_coated_parts(facts, number, parts),
        external_corner_by_kind_m=kinds["external_corner_by_kind_m"],
        internal_corner_m=kinds["internal_corner_m"],
        coat_edge_by_kind_m=kinds["coat_edge_by_kind_m"],
        frame_joint_by_kind_m=kinds["frame_joint_by_kind_m"],
    )


def _heights(facts: Facts, number: int) -> tuple[float, float]:
    gaps = [
        cell.ceiling.at(x, y) - cell.floor.at(x, y)
        for n, cell in enumerate(facts.space.cells)
        if cell.room == number
        for x, y in facts.space.plan.cell_points(n)
    ]
    return (min(gaps), max(gaps)) if gaps else (0.0, 0.0)


def _perimeter(facts: Facts, number: int) -> float:
    space = facts.space
    shape = space.rooms[number]
    if shape.filled:
        return math.fsum(e.curve.length for e in space.plan.edges if _is_wall_of(space, number, e)) / M
    return (
        math.fsum(
            c.length
            for curves, sides in zip(shape.rings, shape.sides, strict=True)
            for c, s in zip(curves, sides, strict=True)
            if s.kind == "wall"
        )
        / M
    )


def _is_wall_of(space: Space, number: int, e: PlanEdge) -> bool:
    """Whether a piece of the plan's linework is a wall of the room, with its void on one side alone."""
    refs = (space.refs[index] for index, *_ in e.uses)
    walls = any(r.kind == "side" and r.room == number and side_at(space, number, r.side).kind == "wall" for r in refs)
    return walls and (space.cells[e.left].room == number) != (space.cells[e.right].room == number)


def by_kind(edges: Sequence[Edge]) -> dict[str, dict[str, float]]:
    """Lengths of the edges of each family by kind, m; every kind is there."""
    out = {name: dict.fromkeys(family.kinds, 0.0) for name, family in FAMILIES.items()}
    of_class = {family.cls: out[name] for name, family in FAMILIES.items()}
    for e in edges:
        if (kinds := of_class.get(e.cls)) is not None:
            kinds[e.ends or e.kind] += e.length_m
    return out


def _total(edges: Sequence[Edge], cls: str) -> float:
    return math.fsum(e.length_m for e in edges if e.cls == cls)


# Surfaces ------------------------------------------------------------------------------------


def _surfaces(room: Room, parts: RoomParts) -> tuple[Surface, ...]:
    found = []
    for f in parts.faces:
        a = face_areas(f.slabs)
        kind, what = ("wall", "wall") if f.kind == "wall" else ("drop", "drop face")
        found.append(
            Surface(
                f.name,
                kind,  # type: ignore[arg-type]
                what,
                f.substrate,
                a.gross / MM2,
                a.openings / MM2,
                a.excluded / MM2,
                a.not_coated / MM2,
                a.net / MM2,
            )
        )
    for p in (*parts.ceilings, *parts.tops):
        a = p.areas
        substrate = (p.region.substrate if p.region else None) or room.ceiling_treatment.substrate
        what = (p.region.what if p.region else "") or p.kind
        found.append(
            Surface(
                p.name,
                p.kind,  # type: ignore[arg-type]
                what,
                substrate,
                a.gross / MM2,
                a.openings / MM2,
                a.excluded / MM2,
                a.not_coated / MM2,
                a.net / MM2,
            )
        )
    for f in parts.faces:
        found += _strip_surfaces(f)
    for light in parts.lights:
        area = math.fsum(light.girth) * light.depth / MM2
        if area > 0.0:
            net = area if light.coat else 0.0
            found.append(
                Surface(
                    f"{light.name}.shaft",
                    "reveal",
                    "rooflight shaft",
                    room.ceiling_treatment.substrate,
                    area,
                    0.0,
                    0.0,
                    area - net,
                    net,
                )
            )
    return tuple(found)


def _strip_surfaces(f: FaceFacts) -> list[Surface]:
    found = []
    for s in f.strips:
        if not s.opening.owns:
            continue
        for part in PARTS:
            gross = s.mean[part] * s.depth[part] / MM2
            if gross <= 0.0 or strip(s.opening.reveal, part).depth_mm <= 0.0:
                continue
            banded = s.banded[part] * s.depth[part] / MM2
            net = gross - banded if s.coated[part] else 0.0
            found.append(
                Surface(
                    strip_name(reveal_here(s), part),
                    "reveal",
                    part,
                    f.substrate,
                    gross,
                    0.0,
                    banded if s.coated[part] else 0.0,
                    0.0 if s.coated[part] else gross,
                    net,
                )
            )
    return found


def _faces(parts: RoomParts, behind: dict[str, tuple[BehindStretch, ...]]) -> tuple[Face, ...]:
    found = []
    for f in parts.faces:
        if f.kind == "wall":
            a = face_areas(f.slabs)
            found.append(
                Face(f.name, f.carrier.length / M, a.gross / MM2, a.net / MM2, behind.get(f.name, ()), _coated(f.slabs))
            )
    return tuple(found)


def _holes(parts: RoomParts) -> tuple[Hole, ...]:
    return tuple(
        Hole(s.opening.opening.id, f.name, area / MM2, reveal_here(s))
        for f in parts.faces
        for s, shape in zip(f.strips, f.shapes, strict=True)
        if (area := hole_area(f, shape.number)) > 0.0
    )


def _coated_parts(facts: Facts, number: int, parts: RoomParts) -> tuple[CoatedPart, ...]:
    walls = [f for f in parts.faces if f.kind == "wall"]
    return (
        *wall_parts(facts.space.rooms[number].rings, walls),
        *level_parts(parts.ceilings),
        *drop_parts(f for f in parts.faces if f.kind != "wall"),
        *level_parts(parts.tops),
    )


def _coated(slabs: Sequence[Slab]) -> tuple[tuple[float, float], ...]:
    out: list[tuple[float, float]] = []
    for slab in slabs:
        if any(p.cls == NET for p in slab.pieces):
            if out and slab.u0 - out[-1][1] <= JOIN_MM:
                out[-1] = (out[-1][0], slab.u1)
            else:
                out.append((slab.u0, slab.u1))
    return tuple(out)


def _dims(parts: RoomParts, edges: Sequence[Edge]) -> tuple[Dim, ...]:
    walls = [d for f in parts.faces for d in face_lines(f) if f.kind == "wall"]
    drops = [d for f in parts.faces if f.kind != "wall" for d in face_lines(f)]
    found = [*walls, *net_lines(walls)]
    found += [d for p in parts.ceilings for d in piece_lines(p)]
    found += drops + [d for p in parts.tops for d in piece_lines(p)]
    found += [d for f in parts.faces for d in strip_lines(f)]
    found += [d for light in parts.lights for d in light_lines(light)]
    return (*found, *edge_lines(edges))


# Edges ---------------------------------------------------------------------------------------


def _edges(lines: Sequence[Line3], room: Room, job: Job, origin: Point) -> tuple[Edge, ...]:
    groups: dict[tuple[str, str, tuple[str, ...]], list[Line3]] = {}
    for e in lines:
        key = (e.cls, e.kind, tuple(sorted(e.names)))
        groups.setdefault(key, []).append(e)
    picks = {p.corner: p for p in room.corners}
    found = []
    taken: set[EdgeId] = set()
    # Two surfaces can meet in more than one way (a fold, and round an opening at its end): the
    # external corner keeps the plain name, since that is the one picked by hand.
    for (cls, kind, names), members in sorted(groups.items(), key=lambda g: g[0][0] != "external"):
        told = next(k for k in ("", kind, f"{cls}-{kind}") if edge_name(names, k) not in taken)
        taken.add(edge_name(names, told))
        for n, e in enumerate(_joined(members)):
            name = edge_name(names, told, n)
            moved = e._replace(course=tuple((x + origin[0], y + origin[1], z) for x, y, z in e.course))
            found.append(_edge(moved, name, cls, kind, names, picks.get(name), job))
    return tuple(found)


def _edge(
    e: Line3, name: EdgeId, cls: str, kind: str, names: tuple[str, ...], pick: CornerPick | None, job: Job
) -> Edge:
    bead, profile, finish = "none", "", ""
    if cls == "external":
        bead = (pick.bead if pick else None) or job.bead_default
        profile = (pick.profile if pick else None) or profile_of(e.angle_deg, e.curved)
    if e.ends == "open":
        finish = (pick.finish if pick else None) or job.coat_edge_default
    return Edge(
        name,
        cls,  # type: ignore[arg-type]
        kind,
        e.length / M,
        e.angle_deg,
        names,
        e.course,
        e.curved,
        bead,  # type: ignore[arg-type]
        profile,
        finish,
        e.ends,
    )


def _joined(lines: Sequence[Line3]) -> list[Line3]:
    """Straight stretches that run on from one another as one; strips (no course) stay apart."""
    out: list[Line3] = []
    for e in lines:
        for i, o in enumerate(out):
            both = _chain(o, e)
            if both is not None:
                out[i] = both
                break
        else:
            out.append(e)
    return out if len(out) == len(lines) else _joined(out)


def _chain(a: Line3, b: Line3) -> Line3 | None:
    if a.ends != b.ends or a.curved or b.curved or len(a.course) != 2 or len(b.course) != 2:
        return None
    for p, q in (
        (a.course, b.course),
        (a.course, b.course[::-1]),
        (a.course[::-1], b.course),
        (a.course[::-1], b.course[::-1]),
    ):
        if math.dist(p[1], q[0]) <= JOIN_MM:
            length = a.length + b.length
            if abs(math.dist(p[0], q[1]) - length) <= 1e-6 * max(1.0, length):
                return a._replace(length=length, course=(p[0], q[1]))
    return None


# Findings ------------------------------------------------------------------------------------


def _findings(
    facts: Facts, number: int, storey: Storey, room: Room, parts: RoomParts, edges: Sequence[Edge]
) -> tuple[Finding, ...]:
    called = room.title
    here = Where(storey=storey.id, room=room.id)
    found = []
    for f in parts.faces:
        found += _of_openings(room, f, called, here)
        if f.kind == "wall" and _treated_by_itself(facts, f):
            at = msgspec.structs.replace(here, surface=f.name)
            sticking = sum(_sticks_out(f, o) for o in f.rules.outlines)
            found += [
                noticed("exclusion-sticks-out/measured", at, called=called, wall=wall_letter(room, f.name))
            ] * sticking
    found += _on_every_wall(facts, parts, called, here)
    known = {e.id for e in edges}
    gone = [pick.corner for pick in room.corners if pick.corner not in known]
    found += [noticed("picked-corner-gone", here, called=called, corner=corner) for corner in gone]
    for r, side in sorted({d for d in facts.up.dead_ends if d[0] == number}):
        name = side_at(facts.space, r, side).id
        at = msgspec.structs.replace(here, surface=name)
        found.append(noticed("open-side-leads-nowhere/measured", at, called=called, side=wall_letter(room, name)))
    for thin in dict.fromkeys(t for t in facts.up.thin if t.room == number):
        beyond = facts.space.rooms[thin.beyond].room
        at = msgspec.structs.replace(here, surface=side_at(facts.space, number, thin.side).id)
        key = "half-wall-without-thickness/hangs" if thin.hangs else "half-wall-without-thickness/stands"
        found.append(noticed(key, at, called=called, beyond=beyond.title))
    return tuple(found)


def _of_openings(room: Room, f: FaceFacts, called: str, here: Where) -> list[Finding]:
    found = []
    for s, shape in zip(f.strips, f.shapes, strict=True):
        o = s.opening
        title = o.opening.title
        at = msgspec.structs.replace(here, surface=f.name, opening=o.opening.id)
        if s.cut:
            found.append(noticed("opening-cut-by-ceiling", at, called=called, opening=title))
        if o.u0 < -TOUCH_MM or o.u1 > f.carrier.length + TOUCH_MM or shape.u1 <= shape.u0:
            found.append(
                noticed(
                    "opening-wider-than-wall/measured", at, called=called, opening=title, wall=wall_letter(room, f.name)
                )
            )
    return found


def _treated_by_itself(facts: Facts, f: FaceFacts) -> bool:
    """Whether a wall face has a treatment of its own, rather than its room's."""
    return side_at(facts.space, f.key[1], f.key[3]).treatment is not None


def _on_every_wall(facts: Facts, parts: RoomParts, called: str, here: Where) -> list[Finding]:
    """What is left out on every wall need fit only one of them: that which fits none is told once."""
    alike = [f for f in parts.faces if f.kind == "wall" and not _treated_by_itself(facts, f)]
    outlines = zip(*(f.rules.outlines for f in alike), strict=True)
    sticking = sum(all(_sticks_out(f, o) for f, o in zip(alike, same, strict=True)) for same in outlines)
    return [noticed("exclusion-sticks-out/every-wall", here, called=called)] * sticking


def _sticks_out(f: FaceFacts, o: Outline) -> bool:
    """Whether an outline reaches past the ends, the foot or the top of a face."""
    if not o.edges or not f.slabs:
        return False
    if min(a for a, _, _ in o.edges) < -TOUCH_MM or max(b for _, b, _ in o.edges) > f.carrier.length + TOUCH_MM:
        return True
    for slab in f.slabs:
        um = (slab.u0 + slab.u1) / 2.0
        zs = [p.at(um) for a, b, p in o.edges if a < um < b]
        if (
            zs
            and slab.pieces
            and (max(zs) > slab.pieces[-1].hi.at(um) + TOUCH_MM or min(zs) < slab.pieces[0].lo.at(um) - TOUCH_MM)
        ):
            return True
    return False
