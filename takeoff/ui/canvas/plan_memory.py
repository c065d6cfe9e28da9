"""The sheets' plan of a storey, kept between edits: only what an edit can have changed is made anew.

An edit that leaves outlines, openings and building alone (heights, treatments, names) asks the
sheets for a plan of the changed rooms and those near them. Any other edit needs the walls anew: at
once on a small storey, a moment later on a large one, whose changed rooms show their part first.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import msgspec

from takeoff.measure.takeoff import RoomTakeoff
from takeoff.plan.model import Ring, Room, Side, Storey
from takeoff.sheets.model import Plan, PlanOpening, PlanRoom
from takeoff.sheets.plans import plan_of
from takeoff.views.board import State
from takeoff.views.naming import labels, to_coat

_NEAR_MM = 2500.0
"""Rooms this near can show in each other's plan: through a wall, an opening, a corner."""

_FEW = 30
"""A storey of so many rooms is drawn whole at once, in a few hundredths of a second."""

_PART = 0.25
"""If more than this part of the rooms has changed, the whole storey is drawn."""

Box = tuple[float, float, float, float]


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
            drawn = _drawn(plan_of(storey, taken, names, figures, ""))
        self._seen[str(storey.id)] = _Seen(storey, taken, names, drawn)
        return drawn


def _drawn(plan: Plan) -> Drawn:
    return Drawn({room.id: room for room in plan.rooms}, {o.id: o for o in plan.openings}, plan.walls)


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
    return [room for room in rooms if any(_meet(box_of(room), box) for box in boxes)]


def _meet(a: Box, b: Box) -> bool:
    return a[0] <= b[2] + _NEAR_MM and b[0] <= a[2] + _NEAR_MM and a[1] <= b[3] + _NEAR_MM and b[1] <= a[3] + _NEAR_MM


def box_of(room: Room) -> Box:
    """(left, low, right, high) of a room's corners, mm."""
    xs, ys = [side.x_mm for side in room.outline], [side.y_mm for side in room.outline]
    return min(xs), min(ys), max(xs), max(ys)
