"""What a job says of its rooms beside their shape: what is counted in them, photos, lots, what was read on site, who
lives there.

It goes with the room; what has none any more is lost, with a line.
"""

from __future__ import annotations

from collections.abc import Mapping

import msgspec

from takeoff.language import tr
from takeoff.plan.counted_items import CountedItem
from takeoff.plan.edits.lookup import all_openings
from takeoff.plan.lot_records import Lot, LotRoom
from takeoff.plan.model import Job, Photo, Room, RoomId, SideId, Storey
from takeoff.plan.site_check import Cleared
from takeoff.revise.carried_options import with_options
from takeoff.revise.carried_rooms import Fate
from takeoff.revise.lost import Lost, counted_said, of_wall
from takeoff.units.printing import shown_short

replace = msgspec.structs.replace


def with_counted(old: Storey, new: Storey, fate: Fate, lost: list[Lost]) -> Storey:
    """The storey in whose rooms is counted what was: on a wall it goes with the wall, else it stays with the room."""
    now = {room.id: room for room in new.rooms}
    counted: dict[RoomId, list[CountedItem]] = {}
    for was in old.rooms:
        homes = fate.homes(was.id, now)
        for item in was.counted if homes else ():
            side = None if item.side is None else SideId(item.side)
            pieces = [] if side is None else fate.sides(was.id, side)
            there = [(home, name) for home, name in pieces if home in now and _has(now[home], name)]
            there.sort(key=lambda one: one != (was.id, side))  # the piece that goes on under its name first
            if side is not None and not there:
                lost.append(Lost(tr("wall of what is counted"), of_wall(was, side), counted_said(item), str(was.id)))
            home, name = there[0] if there else (homes[0], None)
            counted.setdefault(home, []).append(item if item.side == name else replace(item, side=name))
    mine = {room.id for room in old.rooms} | set(fate.parts)

    def with_its_own(room: Room) -> Room:
        own = tuple(counted.get(room.id, ()))
        return room if room.id not in mine or own == room.counted else replace(room, counted=own)

    rooms = tuple(with_its_own(room) for room in new.rooms)
    return new if rooms == new.rooms else replace(new, rooms=rooms)


def _has(room: Room, side: SideId) -> bool:
    return any(own.id == side for own in room.sides)


def with_records(old: Job, new: Job, fate: Fate) -> tuple[Job, list[Lost]]:
    """The new job with what the old one says of its rooms, and what of it has no room any more."""
    lost: list[Lost] = []
    names = {room.id: room for storey in old.storeys for room in storey.rooms}
    there = {room.id for storey in new.storeys for room in storey.rooms}
    photos = [photo for one in old.photos if (photo := _photo(one, new, names, fate, there, lost)) is not None]
    job = replace(new, photos=tuple(photos), lots=_lots(old, new, fate.joined, fate.parts, there, lost))
    job = _with_lived_in(job, names, fate, there, lost)
    job = with_options(job, names, fate, there, lost)
    return _with_site_check(old, job, names, fate, there, lost), lost


def _with_lived_in(job: Job, names: Mapping[RoomId, Room], fate: Fate, there: set[RoomId], lost: list[Lost]) -> Job:
    found: list[str] = []
    for name in job.programme.lived_in:
        homes = fate.homes(RoomId(name), there)
        found += [str(home) for home in homes if str(home) not in found]
        if not homes and RoomId(name) in names:
            title = names[RoomId(name)].title
            lost.append(Lost(tr("given back by night"), title, tr("yes"), name))
    if tuple(found) == job.programme.lived_in:
        return job
    return replace(job, programme=replace(job.programme, lived_in=tuple(found)))


def _photo(
    photo: Photo, new: Job, names: Mapping[RoomId, Room], fate: Fate, there: set[RoomId], lost: list[Lost]
) -> Photo | None:
    """A photo where what it shows is now: on its wall or its opening, also where these are another room's."""
    was = names.get(photo.room)
    homes = fate.homes(photo.room, there)
    if not homes:
        title = was.title if was is not None else str(photo.room)
        lost.append(Lost(tr("photo"), title, photo.note or photo.name or tr("photo"), str(photo.room)))
        return None
    room, side, opening = homes[0], photo.side, photo.opening
    if side is not None and was is not None:
        sides = {(r.id, s.id) for storey in new.storeys for r in storey.rooms if r.id in homes for s in r.sides}
        kept = [key for key in fate.sides(photo.room, side) if key in sides]
        kept.sort(key=lambda key: key != (photo.room, photo.side))
        room, side = kept[0] if kept else (room, None)
        if side is None:
            where = of_wall(was, str(photo.side))
            lost.append(Lost(tr("place of a photo"), where, photo.note or photo.name or tr("photo"), str(room)))
    if opening is not None:
        openings = {o.id: o.room for o in all_openings(new)}
        if opening in openings:
            room = openings[opening] if openings[opening] in homes else room
        else:
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


def _with_site_check(
    old: Job, job: Job, names: Mapping[RoomId, Room], fate: Fate, there: set[RoomId], lost: list[Lost]
) -> Job:
    """What was read and looked at in a room is of all that it is now: a half that was cut off inherits it."""
    check = old.site_check

    def homes(room: str | None) -> list[str | None]:
        if room is None:
            return [None]
        return [str(home) for home in fate.homes(RoomId(room), there)]

    def title(room: str | None) -> str:
        own = names.get(RoomId(room or ""))
        return own.title if own is not None else str(room)

    readings, ticks = [], []
    for reading in check.readings:
        mine = homes(reading.room)
        readings += [reading if home == reading.room else replace(reading, room=home) for home in mine]
        if not mine:
            was = f"{reading.quantity} {shown_short(reading.value)}"
            lost.append(Lost(tr("measured on site"), title(reading.room), was, str(reading.room)))
    for tick in check.ticks:
        mine = homes(tick.room)
        ticks += [tick if home == tick.room else replace(tick, room=home) for home in mine]
        if not mine:
            was = f"{tick.what}: {tick.answer}"
            lost.append(Lost(tr("what was looked at"), title(tick.room), was, str(tick.room)))
    cleared = [own for one in check.cleared for own in _cleared_now(one, fate, there)]
    kept = replace(check, readings=tuple(readings), ticks=tuple(ticks), cleared=tuple(cleared))
    return job if kept == job.site_check else replace(job, site_check=kept)


def _cleared_now(one: Cleared, fate: Fate, there: set[RoomId]) -> list[Cleared]:
    """A hold that somebody cleared, of every room that its room is now. Who cleared what in a room that is gone stays
    on record."""
    code, _, rest = one.hold.partition(":")
    room, _, cause = rest.partition(":")
    homes = fate.homes(RoomId(room), there)
    return [one if home == room else replace(one, hold=f"{code}:{home}:{cause}") for home in homes] or [one]
