"""Measuring a job: every room by itself or with those it runs into, remembered between edits."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import msgspec

from takeoff.errors import Finding
from takeoff.geometry.curves import Curve, Point
from takeoff.measure.around import Around, SideIndex, around
from takeoff.measure.figures import room_figures
from takeoff.measure.gather import Hosted, gather
from takeoff.measure.plain import plain_room
from takeoff.measure.reveals import FaceOpening
from takeoff.measure.space import RoomShape, build, shape_of
from takeoff.measure.takeoff import OpeningEffect, RoomTakeoff, Takeoff
from takeoff.plan.model import Job, Opening, Rooflight, Room, Storey

NUMERIC = (
    "floor_m2", "perimeter_m", "ceiling_m2", "wall_gross_m2", "openings_m2", "excluded_m2",
    "not_coated_m2", "wall_net_m2", "drop_m2", "reveal_m2", "coated_m2", "external_corner_m",
    "coat_edge_m", "floor_edge_m", "frame_joint_m", "bead_m",
)


def numbers(r: RoomTakeoff) -> dict[str, float]:
    """Every numeric figure of a room by its key; nested ones as "internal_corner_m.drop"."""
    out: dict[str, float] = {key: getattr(r, key) for key in NUMERIC}
    for k, v in r.external_corner_by_kind_m.items():
        out[f"external_corner_by_kind_m.{k}"] = v
    for k, v in r.internal_corner_m.items():
        out[f"internal_corner_m.{k}"] = v
    return out


def measure(job: Job) -> Takeoff:
    """Measure a job. A job without rooms gives empty figures and totals of 0."""
    rooms: list[RoomTakeoff] = []
    unsure: list[OpeningEffect] = []
    for storey in job.storeys:
        found, effects = measure_storey(job, storey)
        rooms += found
        unsure += effects
    findings = tuple(f for r in rooms for f in r.findings)
    return Takeoff(tuple(rooms), total(rooms), tuple(unsure), findings)


def total(rooms: Iterable[RoomTakeoff]) -> dict[str, float]:
    """Σ room × times for every numeric figure; all keys are there even without rooms."""
    sums: dict[str, list[float]] = {}
    empty = dict.fromkeys(NUMERIC, 0.0)
    for r in rooms:
        for key, value in numbers(r).items():
            sums.setdefault(key, []).append(value * r.times)
    return empty | {key: math.fsum(values) for key, values in sums.items()}


def measure_storey(
    job: Job, storey: Storey
) -> tuple[list[RoomTakeoff], list[OpeningEffect]]:
    """The rooms of one storey, in its order, and its openings that are not sure."""
    index = SideIndex()
    for room in storey.rooms:
        index.put(room)
    hosts = _hosts(storey.openings)
    lights: dict[str, list[Rooflight]] = {}
    for light in storey.rooflights:
        if light.confidence == "sure":
            lights.setdefault(light.room, []).append(light)
    views: dict[str, Around] = {r.id: around(r, storey, index, hosts) for r in storey.rooms}
    done: dict[str, RoomTakeoff] = {}
    for group in _groups(storey, index):
        for taken in _group_figures(job, storey, index, group, views, lights):
            done[taken.room] = taken
    rooms = [done[r.id] for r in storey.rooms]
    return rooms, _effects(job, storey, index, rooms, lights)


def _hosts(openings: Sequence[Opening]) -> dict[tuple[str, str], list[Opening]]:
    hosts: dict[tuple[str, str], list[Opening]] = {}
    for o in openings:
        if o.confidence == "sure":
            hosts.setdefault((o.room, o.side), []).append(o)
    return hosts


def _groups(storey: Storey, index: SideIndex) -> list[list[Room]]:
    """Rooms that run into each other through open sides, together; the others by themselves."""
    parent: dict[str, str] = {r.id: r.id for r in storey.rooms}

    def root(i: str) -> str:
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = parent[i]
        return i

    for r in storey.rooms:
        for w in index.rooms[r.id]:
            if w.side.kind == "open":
                for other in index.near(w.curve, 1.0):
                    if other.side.kind == "open" and other.key[0] != r.id:
                        parent[root(other.key[0])] = root(r.id)
    groups: dict[str, list[Room]] = {}
    for r in storey.rooms:
        groups.setdefault(root(r.id), []).append(r)
    return list(groups.values())


def _group_figures(
    job: Job, storey: Storey, index: SideIndex, group: Sequence[Room], views: dict[str, Around],
    lights: dict[str, list[Rooflight]],
) -> list[RoomTakeoff]:
    """Rooms that belong together, by the fast path where one plain room stands alone."""
    if len(group) == 1 and group[0].id not in lights:
        room = group[0]
        taken = plain_room(job, storey, room, index.rooms[room.id], views[room.id])
        if taken is not None:
            return [taken]
    return _measured(job, storey, group, views, lights)


def _measured(
    job: Job, storey: Storey, group: Sequence[Room], views: dict[str, Around],
    lights: dict[str, list[Rooflight]],
) -> list[RoomTakeoff]:
    first = group[0].outline[0]
    origin = (first.x_mm, first.y_mm)
    shapes = [
        shape_of(r, origin, storey.height_mm, _finishes(job, r),
                 tuple(lights.get(r.id, ()))) for r in group
    ]
    hosted: Hosted = {}
    for number, (room, shape) in enumerate(zip(group, shapes, strict=True)):
        hosted.update(_hosted(number, room, shape, views[room.id], origin))
    facts = gather(build(shapes, origin), hosted)
    return [
        room_figures(facts, n, storey, job, dict(views[r.id].behind)) for n, r in enumerate(group)
    ]


def _finishes(job: Job, room: Room) -> dict[str, float]:
    types = {w.id: w for w in job.wall_types}
    found = {}
    for ring in (room.outline, *room.inner):
        for s in ring:
            kind = types.get(s.wall_type) if s.wall_type is not None else None
            if kind is not None:
                found[str(s.id)] = kind.finish_a_mm if s.wall_face == "a" else kind.finish_b_mm
    return found


def _hosted(
    number: int, room: Room, shape: RoomShape, view: Around, origin: Point
) -> Hosted:
    """A room's openings by side number, with u moved from the drawn to the finished side."""
    by_side = dict(view.openings)
    drawn = {s.id: s for ring in (room.outline, *room.inner) for s in ring}
    found: Hosted = {}
    flat = [(s, c) for sides, curves in zip(shape.sides, shape.rings, strict=True)
            for s, c in zip(sides, curves, strict=True)]
    for k, (side, curve) in enumerate(flat):
        seen = by_side.get(side.id)
        if not seen or side.id not in drawn:
            continue
        shift, scale = _shift(drawn[side.id].x_mm - origin[0], drawn[side.id].y_mm - origin[1],
                              curve)
        found[(number, k)] = tuple(
            FaceOpening(o, u0 * scale + shift, u1 * scale + shift, reveal, owns, host)
            for o, u0, u1, reveal, owns, host in seen)
    return found


def _shift(x: float, y: float, finished: Curve) -> tuple[float, float]:
    """Where the drawn side's start lies along the finished side, and how lengths scale to it."""
    t, off = finished.where(x, y)
    if finished.bulge == 0.0 or off == 0.0:
        return t, 1.0
    drawn_radius = math.hypot(x - finished.cx, y - finished.cy)
    return t, finished.radius / drawn_radius


def _effects(
    job: Job, storey: Storey, index: SideIndex, rooms: Sequence[RoomTakeoff],
    lights: dict[str, list[Rooflight]],
) -> list[OpeningEffect]:
    """What every opening that is not sure would change, if it were taken in."""
    out = []
    base = {r.room: r for r in rooms}
    for o in storey.openings:
        if o.confidence == "sure":
            continue
        taken = msgspec.structs.replace(o, confidence="sure")
        hosts = _hosts((*storey.openings, taken))
        touched = _touched(storey, index, o)
        views: dict[str, Around] = {r.id: around(r, storey, index, hosts) for r in touched}
        change: dict[str, float] = {}
        for group in _groups(storey, index):
            if any(r.id in views for r in group):
                for r in group:
                    views.setdefault(r.id, around(r, storey, index, hosts))
                for new in _group_figures(job, storey, index, group, views, lights):
                    old = base[new.room]
                    was = numbers(old)
                    for key, value in numbers(new).items():
                        change[key] = change.get(key, 0.0) + (value - was[key]) * new.times
        out.append(OpeningEffect(o.id, o.room, o.confidence, o.evidence,
                                 {k: v for k, v in change.items() if abs(v) > 1e-9}))
    return out


def _touched(storey: Storey, index: SideIndex, o: Opening) -> list[Room]:
    """The host of an opening and the rooms that lie near its side."""
    near = {o.room}
    for w in index.rooms.get(o.room, []):
        if w.side.id == o.side:
            near |= {type(o.room)(x.key[0]) for x in index.near(w.curve, 700.0)}
    return [r for r in storey.rooms if r.id in near]


def findings_of(rooms: Iterable[RoomTakeoff]) -> tuple[Finding, ...]:
    """The findings of measured rooms, in their order."""
    return tuple(f for r in rooms for f in r.findings)
