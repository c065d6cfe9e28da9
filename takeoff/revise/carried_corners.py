"""Choices at corners, carried to what their corners are called now: each goes with the surfaces that meet there."""

from __future__ import annotations

from collections.abc import Mapping

import msgspec

from takeoff.language import mark, tr
from takeoff.measure.takeoff import Takeoff
from takeoff.plan.model import CornerPick, Job, Opening, Room, RoomId, SideId, Storey
from takeoff.plan.surface_ids import strip_of, surfaces_of, with_surfaces
from takeoff.revise.carried_rooms import Fate
from takeoff.revise.lost import Lost, of_wall

replace = msgspec.structs.replace

Corner = tuple[RoomId, str]
"""A corner of a room by its id."""


def with_picks(old: Storey, new: Storey, fate: Fate) -> tuple[Storey, dict[Corner, Corner]]:
    """The storey whose rooms have the choices at their corners, and where each of the old storey's is now."""
    now = {room.id: room for room in new.rooms}
    opened = {str(opening.id): opening for opening in new.openings}
    picks: dict[RoomId, list[CornerPick]] = {}
    moved: dict[Corner, Corner] = {}
    for was in old.rooms:
        for pick in was.corners:
            home, corner = _corner_now(pick, was, now, fate, opened)
            if home is None:
                continue
            moved[was.id, pick.corner] = (home, corner)
            if all(own.corner != corner for own in picks.get(home, [])):
                picks.setdefault(home, []).append(pick if corner == pick.corner else replace(pick, corner=corner))

    def picked(room: Room) -> Room:
        corners = tuple(picks.get(room.id, ()))
        return room if corners == room.corners else replace(room, corners=corners)

    rooms = tuple(picked(room) for room in new.rooms)
    return (new if rooms == new.rooms else replace(new, rooms=rooms)), moved


def _corner_now(
    pick: CornerPick, was: Room, now: Mapping[RoomId, Room], fate: Fate, opened: Mapping[str, Opening]
) -> tuple[RoomId | None, str]:
    """The room that a corner is in, and what it is called there; None where its room is gone. Where a wall was cut,
    its last piece meets what follows and its first what was before."""
    homes = fate.homes(was.id, now)
    named = surfaces_of(pick.corner)
    sides = {str(side.id) for side in was.sides}
    walls = [str(name) for name in named if str(name) in sides]
    for home in homes:
        room = now[home]
        order = [str(side.id) for side in room.outline]
        inner = [str(side.id) for ring in room.inner for side in ring]
        there = {*order, *inner}

        def pieces(name: str, home: RoomId = home, there: set[str] = there) -> list[str]:
            found = [str(side) for owner, side in fate.sides(was.id, SideId(name)) if owner == home]
            return [piece for piece in found if piece in there]

        if len(walls) == 2:
            met = {(a, b) for a in pieces(walls[0]) for b in pieces(walls[1]) if _beside(order, a, b) or a in inner}
            if len(met) == 1:
                return home, _called(pick.corner, dict(zip(walls, next(iter(met)), strict=True)))
        elif len(walls) == 1:
            own = _at_opening(named, pieces(walls[0]), room, opened)
            if len(own) == 1:
                return home, _called(pick.corner, {walls[0]: own[0]})
        elif home == was.id:
            return home, pick.corner
    return (was.id if was.id in now else None), pick.corner


def _at_opening(named: tuple[str, ...], pieces: list[str], room: Room, opened: Mapping[str, Opening]) -> list[str]:
    """Of the pieces of a wall the one that the opening of a corner is in; all of them where it is at no opening."""
    openings = [opened[strip_of(name).opening] for name in named if strip_of(name).opening in opened]
    return [piece for piece in pieces if all(o.room != room.id or str(o.side) == piece for o in openings)]


def _called(corner: str, names: Mapping[str, str]) -> str:
    if all(old == new for old, new in names.items()):
        return corner
    return with_surfaces(corner, lambda name: names.get(str(name), str(name)))


def _beside(order: list[str], a: str, b: str) -> bool:
    if a not in order or b not in order:
        return False
    apart = abs(order.index(a) - order.index(b))
    return apart in (1, len(order) - 1)


def picks_lost(old: Job, new: Job, was: Takeoff, now: Takeoff, moved: Mapping[Corner, Corner]) -> list[Lost]:
    """Choices at corners that were there and are not any more. ``moved``: where those of rooms are now whose storey has
    a new drawing."""
    edges = {t.room: {str(e.id) for e in t.edges} for t in now.rooms}
    before = {t.room: {str(e.id) for e in t.edges} for t in was.rooms}
    drawn = {storey.id for storey, own in zip(old.storeys, new.storeys, strict=False) if storey is not own}
    found = []
    for storey in old.storeys:
        for room in storey.rooms if storey.id in drawn else ():
            for pick in room.corners:
                home, corner = moved.get((room.id, pick.corner), (room.id, pick.corner))
                if pick.corner in before.get(room.id, ()) and corner not in edges.get(home, ()):
                    found.append(
                        Lost(tr("choice at a corner"), _corner_said(room, pick), _pick_said(pick), str(room.id))
                    )
    return found


_BEADS = {"new": mark("new bead"), "existing": mark("existing bead"), "none": mark("no bead")}
_FINISHES = {"feather": mark("feathered"), "trim": mark("cut square"), "stop": mark("stop bead")}


def _pick_said(pick: CornerPick) -> str:
    said = [tr(_BEADS[pick.bead])] if pick.bead else []
    said += [pick.profile] if pick.profile else []
    said += [tr(_FINISHES[pick.finish])] if pick.finish else []
    return ", ".join(said)


def _corner_said(room: Room, pick: CornerPick) -> str:
    sides = {str(side.id) for side in room.sides}
    wall = next((name for name in surfaces_of(pick.corner) if name in sides), None)
    return of_wall(room, wall) if wall is not None else room.title
