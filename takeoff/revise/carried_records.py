"""What a job says of its rooms beside their shape: choices at corners, photos, lots, what was read on site.

It goes with the room; what has none any more is lost, with a line.
"""

from __future__ import annotations

from collections.abc import Mapping

import msgspec

from takeoff.language import mark, tr
from takeoff.measure.takeoff import Takeoff
from takeoff.plan.edits.lookup import all_openings
from takeoff.plan.lot_records import Lot, LotRoom
from takeoff.plan.model import CornerPick, Job, Photo, Room, RoomId, SideId, Storey
from takeoff.plan.surface_ids import EdgeId, surfaces_of, with_surfaces
from takeoff.revise.carried_openings import Walls
from takeoff.revise.lost import Lost, of_wall
from takeoff.units.printing import shown_short

replace = msgspec.structs.replace


def with_picks(old: Storey, new: Storey, walls: Walls) -> Storey:
    """The storey whose rooms have the choices at their corners by what the walls are called now."""
    before = {room.id: room for room in old.rooms}

    def picked(room: Room) -> Room:
        was = before.get(room.id)
        if was is None or not was.corners or was.outline == room.outline:
            return room
        corners = tuple(replace(pick, corner=_corner_now(pick, was, room, walls)) for pick in was.corners)
        return room if corners == room.corners else replace(room, corners=corners)

    rooms = tuple(picked(room) for room in new.rooms)
    return new if rooms == new.rooms else replace(new, rooms=rooms)


def _corner_now(pick: CornerPick, was: Room, now: Room, walls: Walls) -> EdgeId | str:
    """What a corner is called now: where a wall was cut, its last piece meets what follows and its first what was
    before."""
    sides = {str(side.id) for side in was.sides}
    order = [str(side.id) for side in now.outline]
    places = {name: k for k, name in enumerate(order)}

    def pieces(name: str) -> list[str]:
        found = [str(side) for room, side in walls.get((was.id, SideId(name)), []) if room == now.id]
        return sorted(found, key=lambda piece: places.get(piece, 0)) or [name]

    named = surfaces_of(pick.corner)
    if len(named) == 2 and all(name in sides for name in named):
        met = {(a, b) for a in pieces(named[0]) for b in pieces(named[1]) if _beside(order, a, b)}
        if len(met) == 1:
            a, b = next(iter(met))
            new_names = {str(named[0]): a, str(named[1]): b}
            return with_surfaces(pick.corner, lambda name: new_names[name])
    return pick.corner


def _beside(order: list[str], a: str, b: str) -> bool:
    if a not in order or b not in order:
        return False
    apart = abs(order.index(a) - order.index(b))
    return apart in (1, len(order) - 1)


def picks_lost(old: Job, new: Job, was: Takeoff, now: Takeoff) -> list[Lost]:
    """Choices at corners that were there and are not any more."""
    edges = {t.room: {str(e.id) for e in t.edges} for t in now.rooms}
    before = {t.room: {str(e.id) for e in t.edges} for t in was.rooms}
    kept = {room.id: room for storey in new.storeys for room in storey.rooms}
    found = []
    for storey in old.storeys:
        for room in storey.rooms:
            picks = {pick.corner for pick in kept[room.id].corners} if room.id in kept else set()
            for pick in room.corners:
                there = pick.corner in before.get(room.id, ())
                held = {corner for corner in picks if corner in edges.get(room.id, ())}
                again = pick.corner in held or _renamed(pick, room, kept.get(room.id), held)
                if there and not again:
                    found.append(
                        Lost(tr("choice at a corner"), _corner_said(room, pick), _pick_said(pick), str(room.id))
                    )
    return found


def _renamed(pick: CornerPick, room: Room, now: Room | None, held: set[str]) -> bool:
    """Whether the same choice stands, at the same place among the room's, under what its corner is called now."""
    if now is None or len(now.corners) != len(room.corners):
        return False
    return now.corners[room.corners.index(pick)].corner in held


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


def with_records(
    old: Job, new: Job, walls: Walls, joined: Mapping[RoomId, RoomId], parts: Mapping[RoomId, RoomId]
) -> tuple[Job, list[Lost]]:
    """The new job with what the old one says of its rooms, and what of it has no room any more. ``joined``: rooms that
    became a part of another; ``parts``: rooms cut off, with the room that they were a part of."""
    lost: list[Lost] = []
    names = {room.id: room for storey in old.storeys for room in storey.rooms}
    there = {room.id for storey in new.storeys for room in storey.rooms}
    photos = [photo for one in old.photos if (photo := _photo(one, new, names, walls, joined, there, lost)) is not None]
    job = replace(new, photos=tuple(photos), lots=_lots(old, new, joined, parts, there, lost))
    return _with_site_check(old, job, joined, there, lost), lost


def _photo(
    photo: Photo, new: Job, names: Mapping[RoomId, Room], walls: Walls, joined: Mapping[RoomId, RoomId],
    there: set[RoomId], lost: list[Lost],
) -> Photo | None:  # fmt: skip
    room = joined.get(photo.room, photo.room)
    was = names.get(photo.room)
    if room not in there:
        title = was.title if was is not None else str(photo.room)
        lost.append(Lost(tr("photo"), title, photo.note or photo.name or tr("photo"), str(photo.room)))
        return None
    side, opening = photo.side, photo.opening
    if side is not None and was is not None:
        kept = [name for owner, name in walls.get((photo.room, side), [(photo.room, side)]) if owner == room]
        sides = {s.id for storey in new.storeys for r in storey.rooms if r.id == room for s in r.sides}
        side = next((name for name in kept if name in sides), None)
        if side is None:
            where = of_wall(was, str(photo.side))
            lost.append(Lost(tr("place of a photo"), where, photo.note or photo.name or tr("photo"), str(room)))
    if opening is not None:
        openings = {o.id for o in all_openings(new)}
        if opening not in openings:
            title = was.title if was is not None else str(room)
            lost.append(Lost(tr("place of a photo"), title, photo.note or photo.name or tr("photo"), str(room)))
            opening = None
    if (room, side, opening) == (photo.room, photo.side, photo.opening):
        return photo
    return replace(photo, room=room, side=side, opening=opening)


def _lots(
    old: Job, new: Job, joined: Mapping[RoomId, RoomId], parts: Mapping[RoomId, RoomId], there: set[RoomId],
    lost: list[Lost],
) -> tuple[Lot, ...]:  # fmt: skip
    """Lots without rooms that are gone; what was cut off a room is in its lot."""
    titles = {str(room.id): room.title for storey in old.storeys for room in storey.rooms}
    home = {str(room.id): str(storey.id) for storey in new.storeys for room in storey.rooms}
    cut: dict[str, list[str]] = {}
    for part, of in parts.items():
        cut.setdefault(str(of), []).append(str(part))
    found = []
    for lot in old.lots:
        rooms: list[LotRoom] = []
        for one in lot.rooms:
            if one.room in home:
                rooms.append(one)
                rooms += [replace(one, room=part) for part in cut.get(one.room, ()) if part in home]
                continue
            into = joined.get(RoomId(one.room))
            if into is None or into not in there or all(str(into) != other.room for other in lot.rooms):
                lost.append(Lost(tr("place in a lot"), titles.get(one.room, one.room), lot.name or lot.id, one.room))
        found.append(lot if tuple(rooms) == lot.rooms else replace(lot, rooms=tuple(rooms)))
    return tuple(found)


def _with_site_check(old: Job, job: Job, joined: Mapping[RoomId, RoomId], there: set[RoomId], lost: list[Lost]) -> Job:
    check = old.site_check
    titles = {str(room.id): room.title for storey in old.storeys for room in storey.rooms}

    def now(room: str | None) -> str | None:
        return None if room is None else str(joined.get(RoomId(room), RoomId(room)))

    readings = []
    for reading in check.readings:
        room = now(reading.room)
        if room is not None and RoomId(room) not in there:
            was = f"{reading.quantity} {shown_short(reading.value)}"
            lost.append(Lost(tr("measured on site"), titles.get(str(reading.room), room), was, room))
        else:
            readings.append(reading if room == reading.room else replace(reading, room=room))
    ticks = []
    for tick in check.ticks:
        room = now(tick.room)
        if room is not None and RoomId(room) not in there:
            lost.append(
                Lost(tr("what was looked at"), titles.get(str(tick.room), room), f"{tick.what}: {tick.answer}", room)
            )
        else:
            ticks.append(tick if room == tick.room else replace(tick, room=room))
    kept = replace(check, readings=tuple(readings), ticks=tuple(ticks))
    return job if kept == job.site_check else replace(job, site_check=kept)
