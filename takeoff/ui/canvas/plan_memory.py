"""The sheets' plan of a storey, kept between edits: only what an edit can have changed is made anew.

An edit that leaves outlines, openings and building alone (heights, treatments, names) asks the
sheets for a plan of the changed rooms and those near them. Any other edit needs the walls anew: at
once on a small storey, a moment later on a large one, whose changed rooms show their part first.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TypeVar

import msgspec
import shapely

from takeoff.geometry.curves import Curve
from takeoff.measure.takeoff import RoomTakeoff
from takeoff.plan.model import Ring, Room, Side, Storey
from takeoff.plan.shape import are_near, box_of
from takeoff.sheets.plans import frame_of, plan_of, room_in_plan
from takeoff.sheets.sheet_values import PlanOpening, PlanRoom
from takeoff.views.board import State
from takeoff.views.naming import labels, to_coat

_NEAR_MM = 2500.0
"""Rooms this near can show in each other's plan: through a wall, an opening, a corner."""

_FEW = 30
"""A storey of so many rooms is drawn whole at once, in a few hundredths of a second."""

_PART = 0.25
"""If more than this part of the rooms has changed, the whole storey is drawn."""

T = TypeVar("T")


class Drawn(msgspec.Struct, frozen=True):
    """A storey as drawn: by id, and the wall bodies. ``complete``: nothing is left for later."""

    rooms: Mapping[str, PlanRoom]
    openings: Mapping[str, PlanOpening]
    walls: tuple[Ring, ...]
    complete: bool = True


class _Seen(msgspec.Struct, frozen=True):
    """What a plan was made of."""

    storey: Storey
    taken: Mapping[str, RoomTakeoff]
    names: Mapping[str, str]
    drawn: Drawn


class PlanMemory:
    """Plans of storeys by their id."""

    def __init__(self) -> None:
        self._seen: dict[str, _Seen] = {}
        self._made: dict[str, dict[str, tuple[tuple[object, ...], PlanRoom]]] = {}
        """By storey and room: what a room's picture was made of, and the picture."""

    def draw(self, state: State, storey: Storey, whole: bool = False) -> Drawn:
        """The storey as it is now; ``whole`` leaves nothing for later."""
        taken = {key[1]: room.taken for key, room in state.rooms.items() if key[0] == storey.id}
        names = {room: name for (at, room), name in labels(state.job).items() if at == storey.id}
        figures = {
            key[1]: to_coat(room.figures["coated_m2"]) for key, room in state.rooms.items() if key[0] == storey.id
        }
        seen = self._seen.get(str(storey.id))
        drawn = None if whole or seen is None else _locally(seen, storey, taken, names, figures)
        if drawn is None:
            drawn = self._whole(storey, taken, names, figures, seen.drawn if seen is not None else None)
        self._seen[str(storey.id)] = _Seen(storey, taken, names, drawn)
        return drawn

    def _whole(
        self,
        storey: Storey,
        taken: Mapping[str, RoomTakeoff],
        names: Mapping[str, str],
        figures: Mapping[str, str],
        last: Drawn | None,
    ) -> Drawn:
        """The walls anew; rooms and openings that come out as they were are the very same objects, and a room
        whose openings and takeoff are the same objects is not even looked at."""
        framed = frame_of(storey, taken)
        known_rooms, known_openings = (last.rooms, last.openings) if last is not None else ({}, {})
        openings = {o.id: _kept(known_openings.get(o.id), o) for o in framed.openings}
        near, made = Near(openings.values()), self._made.get(str(storey.id), {})
        now: dict[str, tuple[tuple[object, ...], PlanRoom]] = {}
        for room in storey.rooms:
            name, far_mm = str(room.id), _NEAR_MM + _bow_mm(framed.curves[room.id].values())
            made_of = (room, taken.get(name), names.get(name), figures.get(name), *near.to(room, far_mm))
            before = made.get(name)
            if before is not None and _alike(before[0], made_of):
                now[name] = before
            else:
                now[name] = (
                    made_of,
                    _kept(known_rooms.get(name), room_in_plan(room, taken.get(name), framed, names, figures)),
                )
        self._made[str(storey.id)] = now
        return Drawn({name: shown for name, (_, shown) in now.items()}, openings, framed.walls)


class Near:
    """Openings by place, for the rooms whose walls they may cut and whose corners they may make."""

    def __init__(self, openings: Iterable[PlanOpening]) -> None:
        self._openings = tuple(openings)
        points = [[v[:2] for v in (*o.face, *o.far)] for o in self._openings]
        self._tree = shapely.STRtree(shapely.multipoints(points) if points else [])

    def to(self, room: Room, within_mm: float) -> tuple[PlanOpening, ...]:
        """The openings so near to a room's box, in the order in which they were given."""
        left, low, right, high = box_of(room)
        box = shapely.box(left - within_mm, low - within_mm, right + within_mm, high + within_mm)
        return tuple(self._openings[k] for k in sorted(self._tree.query(box)))


def _bow_mm(sides: Iterable[tuple[Side, Curve]]) -> float:
    """By how much a room's arcs may reach out of the box of its corners."""
    return max((curve.length for _, curve in sides if curve.bulge), default=0.0)


def _kept(old: T | None, new: T) -> T:
    """The old one where it is equal, so that what is made of it is known by ``is``."""
    return old if old is not None and old == new else new


def _alike(one: tuple[object, ...], other: tuple[object, ...]) -> bool:
    return len(one) == len(other) and all(a is b or a == b for a, b in zip(one, other, strict=True))


def _locally(
    seen: _Seen, storey: Storey, taken: Mapping[str, RoomTakeoff], names: Mapping[str, str], figures: Mapping[str, str]
) -> Drawn | None:
    """The plan from the last one; None where the whole is better drawn anew."""
    before = {str(room.id): room for room in seen.storey.rooms}
    changed = {
        str(room.id)
        for room in storey.rooms
        if before.get(str(room.id)) is not room
        or seen.taken.get(room.id) is not taken.get(room.id)
        or seen.names.get(room.id) != names.get(room.id)
    }
    same_frame = _same_frame(seen.storey, storey, before, changed)
    if not same_frame and len(storey.rooms) <= _FEW:
        return None
    if len(changed) > max(_FEW, _PART * len(storey.rooms)):
        return None
    touched = changed if same_frame else changed | _hosts_changed(seen.storey, storey)
    near = _near(storey.rooms, [r for r in (*storey.rooms, *seen.storey.rooms) if str(r.id) in touched])
    names_near = {room.id for room in near}
    own_openings = tuple(o for o in storey.openings if o.room in names_near)
    part = msgspec.structs.replace(storey, rooms=tuple(near), openings=own_openings)
    plan = plan_of(part, {r.id: taken[r.id] for r in near if r.id in taken}, names, figures, "")
    rooms, openings = dict(seen.drawn.rooms), dict(seen.drawn.openings)
    # where walls are to be drawn anew, rooms at the rim of the part are right once the whole is drawn
    inner = touched if same_frame else {str(r.id) for r in near}
    rooms.update({room.id: room for room in plan.rooms if room.id in inner})
    if not same_frame:
        own = {str(o.id) for o in part.openings if o.room in inner}
        openings.update({o.id: o for o in plan.openings if o.id in own})
    here, standing = {str(r.id) for r in storey.rooms}, {str(o.id) for o in storey.openings}
    return Drawn(
        {k: v for k, v in rooms.items() if k in here},
        {k: v for k, v in openings.items() if k in standing},
        seen.drawn.walls,
        same_frame and seen.drawn.complete,
    )


def _same_frame(old: Storey, new: Storey, before: Mapping[str, Room], changed: Iterable[str]) -> bool:
    """Whether outlines, openings and building are those of before."""
    if old.openings is not new.openings or old.building != new.building or len(old.rooms) != len(new.rooms):
        return False
    after = {str(room.id): room for room in new.rooms}
    return all(name in before and _outline(before[name]) == _outline(after[name]) for name in changed)


def _outline(room: Room) -> tuple[tuple[tuple[float, float, float, str], ...], ...]:
    return tuple(_ring(ring) for ring in room.rings)


def _ring(ring: tuple[Side, ...]) -> tuple[tuple[float, float, float, str], ...]:
    return tuple((side.x_mm, side.y_mm, side.bulge, side.kind) for side in ring)


def _hosts_changed(old: Storey, new: Storey) -> set[str]:
    """Rooms that an opening came to, left or changed in."""
    known, now = {id(o) for o in old.openings}, {id(o) for o in new.openings}
    return {str(o.room) for o in new.openings if id(o) not in known} | {
        str(o.room) for o in old.openings if id(o) not in now
    }


def _near(rooms: Iterable[Room], about: Iterable[Room]) -> list[Room]:
    boxes = [box_of(room) for room in about]
    return [room for room in rooms if any(are_near(box_of(room), box, _NEAR_MM) for box in boxes)]
