"""Measuring rooms that belong together: by the fast path, or by cutting up their space."""

from __future__ import annotations

import math
from collections.abc import Sequence

from takeoff.errors import InputError
from takeoff.geometry.arrangement import TooMany
from takeoff.geometry.curves import Point
from takeoff.language import listed, tr
from takeoff.measure.around import Around, Seen, SideIndex, finish_of, from_drawn
from takeoff.measure.figures import room_figures
from takeoff.measure.gather import Facts, Hosted, gather
from takeoff.measure.plain import plain_room
from takeoff.measure.space import RoomShape, build, shape_of
from takeoff.measure.takeoff import RoomTakeoff
from takeoff.plan.customs import by_customs, has_architrave
from takeoff.plan.model import Customs, Job, Opening, Rooflight, Room, Storey
from takeoff.plan.substrates import on_substrates


def hosts_of(openings: Sequence[Opening]) -> dict[tuple[str, str], list[Opening]]:
    """The sure openings by (room, side) of their host; none give an empty mapping."""
    hosts: dict[tuple[str, str], list[Opening]] = {}
    for o in openings:
        if o.confidence == "sure":
            hosts.setdefault((o.room, o.side), []).append(o)
    return hosts


def group_figures(
    job: Job,
    storey: Storey,
    index: SideIndex,
    group: Sequence[Room],
    views: dict[str, Around],
    lights: dict[str, list[Rooflight]],
) -> list[RoomTakeoff]:
    """Rooms that belong together, by the fast path where one plain room stands alone."""
    try:
        found = _figures_of(job, storey, index, group, views, lights)
        if not all(math.isfinite(r.coated_m2) for r in found):
            raise ValueError(tr("its area is not finite"))
        return found
    except TooMany as error:
        raise InputError(tr("{rooms} cannot be measured: {why}.", rooms=_names(group), why=error)) from error
    except (ArithmeticError, ValueError) as error:
        # Numbers beyond any building (1e300) overflow; the check names which one it is.
        raise InputError(
            tr(
                "{rooms} cannot be measured, as a number is impossible ({why}): check the job to see which one it is.",
                rooms=_names(group),
                why=error,
            )
        ) from error


def _names(group: Sequence[Room]) -> str:
    return listed([r.name or r.title for r in group])


def _figures_of(
    job: Job,
    storey: Storey,
    index: SideIndex,
    group: Sequence[Room],
    views: dict[str, Around],
    lights: dict[str, list[Rooflight]],
) -> list[RoomTakeoff]:
    if len(group) == 1 and group[0].id not in lights:
        room = group[0]
        taken = plain_room(job, storey, room, index.rooms[room.id], views[room.id])
        if taken is not None:
            return [taken]
    return measured(job, storey, group, views, lights)


def measured(
    job: Job, storey: Storey, group: Sequence[Room], views: dict[str, Around], lights: dict[str, list[Rooflight]]
) -> list[RoomTakeoff]:
    """The figures of rooms that belong together, by cutting up their space."""
    facts = facts_of(job, storey, group, views, lights)
    return [room_figures(facts, n, storey, job, dict(views[r.id].behind)) for n, r in enumerate(group)]


def facts_of(
    job: Job, storey: Storey, group: Sequence[Room], views: dict[str, Around], lights: dict[str, list[Rooflight]]
) -> Facts:
    """Every surface and edge of rooms that belong together, about the first corner of the first."""
    first = group[0].outline[0]
    origin = (first.x_mm, first.y_mm)
    group = [on_substrates(job, by_customs(job.customs, room)) for room in group]
    shapes = [shape_of(r, origin, storey.height_mm, _finishes(job, r), tuple(lights.get(r.id, ()))) for r in group]
    hosted: Hosted = {}
    for number, (room, shape) in enumerate(zip(group, shapes, strict=True)):
        seen = _hosted(number, room, shape, views[room.id], origin)
        hosted.update({key: tuple(_framed(job.customs, o) for o in openings) for key, openings in seen.items()})
    return gather(build(shapes, origin), hosted)


def _framed(customs: Customs, seen: Seen) -> Seen:
    """An opening as one face sees it, with the architrave that stays on round it there."""
    if customs.architrave_mm and has_architrave(seen.opening, seen.reveal):
        return seen._replace(architrave_mm=customs.architrave_mm)
    return seen


def _finishes(job: Job, room: Room) -> dict[str, float]:
    types = {w.id: w for w in job.wall_types}
    found = {}
    for ring in room.rings:
        for s in ring:
            kind = types.get(s.wall_type) if s.wall_type is not None else None
            if kind is not None:
                found[str(s.id)] = finish_of(kind, s)
    return found


def _hosted(number: int, room: Room, shape: RoomShape, view: Around, origin: Point) -> Hosted:
    """A room's openings by side number, with u moved from the drawn to the finished side."""
    by_side = dict(view.openings)
    drawn = {s.id for s in room.sides}
    found: Hosted = {}
    flat = [
        (s, c)
        for sides, curves in zip(shape.sides, shape.rings, strict=True)
        for s, c in zip(sides, curves, strict=True)
    ]
    for k, (side, curve) in enumerate(flat):
        seen = by_side.get(side.id)
        if not seen or side.id not in drawn:
            continue
        shift, scale = from_drawn(side, origin, curve)
        found[(number, k)] = tuple(o._replace(u0=o.u0 * scale + shift, u1=o.u1 * scale + shift) for o in seen)
    return found
