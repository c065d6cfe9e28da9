"""Options of a job, what is coated in each: walls by what they are called now and along what they are now."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import msgspec

from takeoff.language import tr
from takeoff.plan.model import Job, Room, RoomId, SideId, WallTreatment
from takeoff.plan.option_records import CoatOption, KeptBand, KeptRoom, KeptSide
from takeoff.revise.carried_rooms import Fate
from takeoff.revise.lost import Lost, of_wall, treatment_said
from takeoff.revise.stretches import treatment_along

replace = msgspec.structs.replace


def with_options(job: Job, names: Mapping[RoomId, Room], fate: Fate, there: set[RoomId], lost: list[Lost]) -> Job:
    """The job whose options say of the rooms of now what they said of the job's. ``names``: these by id; ``there``:
    the rooms of now. What has no place any more is added to ``lost``."""
    options = tuple(_option(one, names, fate, there, lost) for one in job.options)
    return job if options == job.options else replace(job, options=options)


def _option(
    option: CoatOption, names: Mapping[RoomId, Room], fate: Fate, there: set[RoomId], lost: list[Lost]
) -> CoatOption:
    own = {room.room for room in option.rooms}
    rooms: list[KeptRoom] = []
    for kept in option.rooms:
        room = RoomId(kept.room)
        homes = fate.homes(room, there)
        if room not in there and homes and str(homes[0]) in own:
            homes = []  # the room that it is a part of now has a coat of its own
        if not homes and room in names:
            title = names[room].title
            lost.append(Lost(tr("coat in an option"), title, option.name or option.id, kept.room))
        rooms += [_room(kept, home, names.get(room), fate, option, lost if home == homes[0] else []) for home in homes]
    return option if tuple(rooms) == option.rooms else replace(option, rooms=tuple(rooms))


def _room(kept: KeptRoom, home: RoomId, was: Room | None, fate: Fate, option: CoatOption, lost: list[Lost]) -> KeptRoom:
    """What is coated in a room that a room of the job is now, or is a part of."""
    room = RoomId(kept.room)

    def pieces(side: str) -> list[str]:
        return [str(name) for owner, name in fate.sides(room, SideId(side)) if owner == home]

    sides: list[KeptSide] = []
    for one in kept.sides:
        sides += [_side(one, home, name, fate) for name in pieces(one.side)]
        if not fate.sides(room, SideId(one.side)) and was is not None and any(s.id == one.side for s in was.sides):
            said = f"{option.name or option.id}: {treatment_said(_treatment(one))}"
            lost.append(Lost(tr("coat in an option"), of_wall(was, one.side), said, kept.room))
    bands = tuple(band for own in kept.only if (band := _band(own, pieces)) is not None)
    made = KeptRoom(room=str(home), sides=tuple(sides), ceiling=kept.ceiling, only=bands)
    return kept if made == kept else made


def _side(one: KeptSide, home: RoomId, name: str, fate: Fate) -> KeptSide:
    along = fate.alongs.get((home, SideId(name)))
    if along is None or along.is_same:
        return one if one.side == name else replace(one, side=name)
    made = treatment_along(_treatment(one), along)
    return KeptSide(side=name, coat=made.coat, start_mm=made.start_mm, end_mm=made.end_mm, parts_mm=made.parts_mm)


def _treatment(one: KeptSide) -> WallTreatment:
    return WallTreatment(coat=one.coat, start_mm=one.start_mm, end_mm=one.end_mm, parts_mm=one.parts_mm)


def _band(band: KeptBand, pieces: Callable[[str], list[str]]) -> KeptBand | None:
    sides = tuple(name for side in band.sides for name in pieces(side))
    if band.sides and not sides:
        return None
    return band if sides == band.sides else replace(band, sides=sides)
