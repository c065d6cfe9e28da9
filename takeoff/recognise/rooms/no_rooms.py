"""Proposed rooms that are none, told once it is known where ways lead in: masonry, shafts, ponds, roofs, terraces,
parking bays and what lies between furniture. Each is left out with a finding, so that nothing is lost unsaid."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.language import quoted, tr, tr_count
from takeoff.language.lists import some_of
from takeoff.plan.model import Room
from takeoff.plan.reasons import says
from takeoff.plan.shape import sound_polygon
from takeoff.recognise.names.outdoor_names import outdoors
from takeoff.recognise.names.placed_words import NAMING
from takeoff.recognise.names.shaft_names import is_shaft
from takeoff.recognise.openings.opening_hosts import Hosted
from takeoff.recognise.rooms.spaces_without_proof import without_word_or_way
from takeoff.recognise.walls.drawn_stairs import Flight, outline_of
from takeoff.recognise.walls.room_spaces import NAMED_SHARE, Space
from takeoff.recognise.walls.wall_reading import Reading
from takeoff.units.printing import shown, whole

LISTED = 12
"""So many spaces are named one by one."""

SMALL_M2, TINY_M2 = 6.0, 2.5
"""A space without a name and without any opening is no room up to the first, with windows alone up to the second
(common practice, no source)."""
THIN_MM = 1000.0
"""What is on average thinner than this, and closed all round, is masonry, however long."""
ENTERED_SHARE = 0.5
"""Where this part of the rooms has a way in that was read, a room has one."""
FEWEST_ENTERED, MOST_ENTERED = 4, 0.75
"""Where so many rooms and this part of them have one, a space without a way in is no room, whatever is written in it:
without a word or a window it is a yard or a deep shaft, however large it is."""


class Kept(NamedTuple):
    """The rooms that stay, and the findings: without those on rooms that are none, and with what to say of these."""

    rooms: list[Room]
    findings: list[Finding]


def without_no_rooms(
    reading: Reading, rooms: list[Room], hosted: Hosted, flights: tuple[Flight, ...], findings: list[Finding]
) -> Kept:
    """The rooms without those that are none. ``rooms``: one for each of the reading's spaces; ``hosted``: the openings
    that lie on them; ``flights``: of stairs, by which one comes into a room as well. Where outlines of rooms are drawn
    as such, each is one."""
    if reading.outlined:
        return Kept(rooms, findings)
    hosted = hosted._replace(entered=hosted.entered | _climbed(reading, rooms, flights))
    rules = (
        ("spaces-without-way-in", _closed(reading, rooms, hosted)),
        ("spaces-open-sided", _open_sided(reading, rooms)),
        ("spaces-hardly-walled", _open(reading, rooms)),
        ("named-without-way-in", _shut(reading, rooms, hosted)),
    )
    kept = Kept(rooms, findings)
    for code, every in rules:
        gone = [room for room in every if room in kept.rooms]
        kept = Kept([room for room in kept.rooms if room not in gone], _left_out(gone, kept.findings, code))
    return kept


CLIMBED_PART, OF_ROOM = 0.8, 0.35
"""A stair's room has so much of a flight in it, and so much of its ground is the flight's."""


def _climbed(reading: Reading, rooms: list[Room], flights: tuple[Flight, ...]) -> set[str]:
    """The rooms that a flight of stairs fills for a good part: it leads into them from another storey."""
    found: set[str] = set()
    for ground in map(outline_of, flights):
        for room, space in zip(rooms, reading.spaces, strict=True):
            sound = space.polygon if space.polygon.is_valid else shapely.make_valid(space.polygon)
            shared = float(sound.intersection(ground).area)
            if shared >= CLIMBED_PART * float(ground.area) and shared >= OF_ROOM * float(space.polygon.area):
                found.add(room.id)
    return found


def _closed(reading: Reading, rooms: list[Room], hosted: Hosted) -> list[Room]:
    """The rooms that are none: without a name and without a way in, where others have theirs."""
    labelled, told_apart = is_labelled(reading), reading.double or reading.wall_layers
    return [
        room
        for room, space in zip(rooms, reading.spaces, strict=True)
        if _no_room(room, rooms, hosted) or (labelled and without_word_or_way(room, space, hosted, told_apart))
    ]


def _shut(reading: Reading, rooms: list[Room], hosted: Hosted) -> list[Room]:
    """The rooms that are none though something is written in them: no way leads in, while others have theirs. Ponds,
    ducts, roofs and areas of a floor are written on as rooms are; but none of them has a number or its own area. Places
    outdoors and shafts say so themselves."""
    if not reading.double or not _mostly_entered(rooms, hosted):
        return []
    nearly_all = _nearly_all_entered(rooms, hosted)
    return [
        room
        for room, space in zip(rooms, reading.spaces, strict=True)
        if room.name
        and (nearly_all or outdoors(room.name) or is_shaft(room.name))
        and not (room.number or room.printed_area_m2 is not None)
        and not (space.doors or space.doubtful_gaps or room.id in hosted.entered)
    ]


def _mostly_entered(rooms: list[Room], hosted: Hosted) -> bool:
    """Whether a good part of the rooms has a way in that was read."""
    return len(hosted.entered) >= ENTERED_SHARE * (len(rooms) - 1)


def _nearly_all_entered(rooms: list[Room], hosted: Hosted) -> bool:
    """Whether so many rooms have a way in that was read that a room without one is none."""
    return len(hosted.entered) >= max(FEWEST_ENTERED, MOST_ENTERED * (len(rooms) - 1))


HARDLY, SAID_HARDLY, WALLED_PLACE = 0.4, 0.25, 0.9
"""Where walls are drawn with two lines, what has less than the first of its border walled is no room; where it has a
door, or a name with a number, less than the second. A place outdoors that has less than the last is a terrace or a
balcony behind its railing (common practice, no source)."""


def _open(reading: Reading, rooms: list[Room]) -> list[Room]:
    """The rooms that are none since hardly a wall stands round them: parking bays, paving, balconies, panels of a
    drawing. A printed area that agrees outweighs it."""
    if not reading.double:
        return []

    def is_open(room: Room, space: Space) -> bool:
        if any(says(reason, "print-agrees") for reason in room.evidence):
            return False
        said = bool(space.doors or (room.name and room.number))
        least = WALLED_PLACE if outdoors(room.name) else SAID_HARDLY if said else HARDLY
        return space.support < least

    return [room for room, space in zip(rooms, reading.spaces, strict=True) if is_open(room, space)]


def _no_room(room: Room, rooms: list[Room], hosted: Hosted) -> bool:
    """Whether a space is masonry, a shaft, a column or what lies before the house: nothing names it and no way in
    is drawn, while other rooms have theirs."""
    if not _bare(room) or room.id in hosted.entered:
        return False
    if not _mostly_entered(rooms, hosted):
        return False
    shape = sound_polygon(room)
    area = float(shape.area)
    if room.confidence == "question" or area < TINY_M2 * 1e6:
        return True
    if room.id in hosted.opened:
        return False
    small = area < SMALL_M2 * 1e6 or 2 * area < THIN_MM * float(shape.length)
    return small or _nearly_all_entered(rooms, hosted)


OPEN_SIDED, WALLED_IN, WALLED_HALF = 0.7, 0.9, 0.5
"""A small space that less of is walled in is a landing, a pier or what lies between furniture, where this part of the
middle one of the spaces is wall; one with a door and walls along so much of it may have a neighbour's wall besides."""


def _open_sided(reading: Reading, rooms: list[Room]) -> list[Room]:
    """The rooms of small spaces that are open on one side, without a word, where walls stand all round the others. What
    layers of walls close for the most part, with a door to a room, has a wall whose far side is not drawn."""
    walled = [s.support for s in reading.spaces if float(s.polygon.area) >= SMALL_M2 * 1e6]
    if not reading.double or not walled or float(np.median(walled)) < WALLED_IN:
        return []
    return [
        room
        for room, space in zip(rooms, reading.spaces, strict=True)
        if _bare(room)
        and space.support < OPEN_SIDED
        and float(space.polygon.area) < SMALL_M2 * 1e6
        and not (reading.wall_layers and space.support >= WALLED_HALF and _has_door(space, reading))
    ]


def _has_door(space: Space, reading: Reading) -> bool:
    """Whether a door leads into a space, drawn as such or told by what stands before its gap."""
    return bool(space.doors) or any(reading.gaps[k].kind == "door" for k in space.doubtful_gaps)


def _bare(room: Room) -> bool:
    """Whether nothing that is written in a room says what it is."""
    return not (room.name or room.number or room.printed_area_m2 is not None)


def _left_out(gone: list[Room], findings: list[Finding], code: str) -> list[Finding]:
    """The findings without those of spaces that are no rooms, and one that names these."""
    if not gone:
        return findings
    names = {room.id for room in gone}
    largest = sorted(((float(sound_polygon(room).area), *middle_of(room), room.name) for room in gone), reverse=True)
    told = [
        tr("{name}, {area} m² at {x}, {y}", name=quoted(name), area=shown(area / 1e6, 1), x=whole(x), y=whole(y))
        if name
        else tr("{area} m² at {x}, {y}", area=shown(area / 1e6, 1), x=whole(x), y=whole(y))
        for area, x, y, name in largest
    ]
    listed = some_of(told, LISTED, "; ")
    where = Where(x_mm=largest[0][1], y_mm=largest[0][2])
    spaces = tr_count("{count} space", "{count} spaces", len(gone))
    said = noticed(code, where, spaces=spaces, listed=listed)
    return [f for f in findings if f.where.room not in names] + [said]


def middle_of(room: Room) -> tuple[float, float]:
    """The mean of its corners."""
    return tuple(np.mean([(s.x_mm, s.y_mm) for s in room.outline], axis=0).tolist())


LARGE_M2 = 3.0


def is_labelled(reading: Reading) -> bool:
    """Whether rooms are named in this plan: a good part of those that are no closets is."""
    large = [s for s in reading.spaces if float(s.polygon.area) >= LARGE_M2 * 1e6] or reading.spaces
    named = [any(reading.words[w].words.kind in NAMING for w in s.words) for s in large]
    return any(named) and sum(named) >= NAMED_SHARE * len(named)
