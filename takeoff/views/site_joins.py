"""Rooms set together: what can be joined, in words, and how well the joins fit."""

from __future__ import annotations

from typing import Literal

import msgspec

from takeoff.errors import InputError
from takeoff.language import mark, tr
from takeoff.plan.model import CrossCheck, Join, ReadOpening, Room, RoomId, SetTogether, SideId, Storey
from takeoff.plan.readings import keyed
from takeoff.plan.readings.joined_rooms import parted_openings, place_together
from takeoff.plan.readings.walked_outline import corner_name, side_ids, side_name
from takeoff.units.printing import shown, whole
from takeoff.views.site_sheet import replace

_ALIKE_MM = 40.0
"""Openings of the same kind whose widths differ by less may be one (common practice, no source)."""


class Place(msgspec.Struct, frozen=True):
    """A wall of a room, or an opening in one, that another room may share. ``key``: "s2" or "s2:0"."""

    key: str
    words: str
    width_mm: float
    kind: Literal["wall", "window", "door", "open"]


class Fit(msgspec.Struct, frozen=True):
    """How joins fit: each in words with what it is off; or ``fault``, why they cannot be taken."""

    lines: tuple[tuple[str, str], ...] = ()
    fault: str = ""


def rooms_to_join(storey: Storey | None) -> tuple[tuple[str, str], ...]:
    """(id, name) of the rooms of a storey that were read on site."""
    if storey is None:
        return ()
    return tuple((str(room.id), room.name or str(room.id)) for room in storey.rooms if room.readings is not None)


def room_named(storey: Storey, room_id: str) -> Room | None:
    """The storey's room of that id."""
    return next((room for room in storey.rooms if room.id == room_id), None)


def places(room: Room) -> tuple[Place, ...]:
    """Openings first, since they hold a room in both directions; then walls."""
    if room.readings is None:
        return ()
    sides, names = room.readings.sides, side_ids(room.readings.sides)
    openings, walls = [], []
    lengths = _lengths(room)
    for k, (side, name) in enumerate(zip(sides, names, strict=True)):
        called = side_name(k, len(sides))
        walls.append(
            Place(
                str(name),
                tr("Wall {wall}, {length}", wall=called, length=shown(lengths.get(name, 0.0) / 1000.0)),
                lengths.get(name, 0.0),
                "wall",
            )
        )
        openings += [_opening_place(f"{name}:{n}", called, one) for n, one in enumerate(side.openings)]
    return (*openings, *walls)


def _opening_place(key: str, side: str, opening: ReadOpening) -> Place:
    width = opening.to_mm - opening.from_mm
    return Place(key, tr(_OPENING_IN[opening.kind], wall=side, width=shown(width / 1000.0)), width, opening.kind)


def partner(place: Place, others: tuple[Place, ...]) -> str:
    """The key of the place that most likely is the same seen from the other room; "" for no places."""
    alike = [
        other
        for other in others
        if other.kind == place.kind and (place.kind == "wall" or abs(other.width_mm - place.width_mm) <= _ALIKE_MM)
    ]
    pool = alike or list(others)
    return min(pool, key=lambda other: abs(other.width_mm - place.width_mm)).key if pool else ""


def join_of(room: str, key: str, beyond: str, beyond_key: str, thickness: str) -> Join:
    """The join that was keyed. Raises InputError for a thickness that is none, or unlike places."""
    side, _, number = key.partition(":")
    beyond_side, _, beyond_number = beyond_key.partition(":")
    if not side or not beyond_side:
        raise InputError(tr("Select a wall or an opening in both rooms."))
    thick = keyed.depth(thickness)
    if thick is None:
        raise InputError(tr("Type the thickness of the wall between the rooms, for example 0.1."))
    if bool(number) != bool(beyond_number):
        raise InputError(tr("An opening is joined to an opening, a wall to a wall: select the same in both rooms."))
    return Join(
        room=RoomId(room),
        side=SideId(side),
        beyond=RoomId(beyond),
        beyond_side=SideId(beyond_side),
        thickness_mm=thick,
        opening=int(number) if number else None,
        beyond_opening=int(beyond_number) if beyond_number else None,
    )


def check_of(room: str, corner: str, beyond: str, beyond_corner: str, length: str) -> CrossCheck:
    """The check dimension that was keyed. Raises InputError where a corner or the length is none."""
    mm = keyed.length(length)
    if mm is None:
        raise InputError(tr("Type the length measured from corner to corner."))
    if room == beyond:
        raise InputError(tr("A check dimension runs from one room to another: select two rooms."))
    return CrossCheck(
        room=RoomId(room),
        corner=_corner(corner),
        beyond=RoomId(beyond),
        beyond_corner=_corner(beyond_corner),
        length_mm=mm,
    )


def with_join(joined: SetTogether, join: Join) -> SetTogether:
    """The joins with one more; one between the same places is replaced."""

    def same(other: Join) -> bool:
        return (other.room, other.side, other.opening, other.beyond) == (
            join.room,
            join.side,
            join.opening,
            join.beyond,
        )

    return replace(joined, joins=(*(other for other in joined.joins if not same(other)), join))


def without_join(joined: SetTogether, number: int) -> SetTogether:
    """The joins without one."""
    return replace(joined, joins=joined.joins[:number] + joined.joins[number + 1 :])


def with_check(joined: SetTogether, check: CrossCheck) -> SetTogether:
    """The checks with one more."""
    return replace(joined, checks=(*joined.checks, check))


def without_check(joined: SetTogether, number: int) -> SetTogether:
    """The checks without one."""
    return replace(joined, checks=joined.checks[:number] + joined.checks[number + 1 :])


def fit(storey: Storey, joined: SetTogether) -> Fit:
    """How the joins fit; a sentence where they cannot be taken."""
    if not joined.joins:
        return Fit(fault=tr("Nothing joins the rooms yet: select a door or a wall that two of them share."))
    try:
        _, placing = place_together(parted_openings(storey, joined), joined)
    except InputError as error:
        return Fit(fault=str(error))
    return Fit(tuple((what, tr("{number} mm", number=whole(off))) for what, off in placing.lines))


def join_words(storey: Storey, join: Join) -> str:
    """ "Kitchen, door in B–C = Hall, door in A–B; wall 0.10 m"."""
    ends = ((join.room, join.side, join.opening), (join.beyond, join.beyond_side, join.beyond_opening))
    said = " = ".join(_end_words(storey, *end) for end in ends)
    return tr("{join}; wall {thickness} m", join=said, thickness=shown(join.thickness_mm / 1000.0))


def check_words(storey: Storey, check: CrossCheck) -> str:
    """ "Kitchen A to Hall C: 5.02 m"."""
    ends = ((check.room, check.corner), (check.beyond, check.beyond_corner))
    start, end = (f"{_name(storey, room)} {corner_name(corner)}" for room, corner in ends)
    return tr("{start} to {end}: {length} m", start=start, end=end, length=shown(check.length_mm / 1000.0))


def _end_words(storey: Storey, room_id: RoomId, side: SideId, number: int | None) -> str:
    room = room_named(storey, room_id)
    if room is None or room.readings is None:
        return tr("{room}, gone", room=_name(storey, room_id))
    at = next((k for k, name in enumerate(side_ids(room.readings.sides)) if name == side), None)
    if at is None:
        return tr("{room}, gone", room=_name(storey, room_id))
    wall = side_name(at, len(room.readings.sides))
    if number is None:
        return tr("{room}, wall {wall}", room=_name(storey, room_id), wall=wall)
    openings = room.readings.sides[at].openings
    if number >= len(openings):
        return tr("{room}, gone", room=_name(storey, room_id))
    return tr(_END_IN[openings[number].kind], room=_name(storey, room_id), wall=wall)


_OPENING_IN = {
    "window": mark("Window in {wall}, {width}"),
    "door": mark("Door in {wall}, {width}"),
    "open": mark("Doorway in {wall}, {width}"),
}
_END_IN = {
    "window": mark("{room}, window in {wall}"),
    "door": mark("{room}, door in {wall}"),
    "open": mark("{room}, doorway in {wall}"),
}


def _name(storey: Storey, room_id: RoomId) -> str:
    room = room_named(storey, str(room_id))
    return (room.name or str(room.id)) if room is not None else str(room_id)


def _lengths(room: Room) -> dict[SideId, float]:
    ring = room.outline
    return {
        side.id: ((side.x_mm - after.x_mm) ** 2 + (side.y_mm - after.y_mm) ** 2) ** 0.5
        for side, after in zip(ring, (*ring[1:], ring[0]), strict=True)
    }


def _corner(text: str) -> int:
    letter = text.strip().upper()
    if len(letter) != 1 or not "A" <= letter <= "Z":
        raise InputError(tr("“{text}” is not a corner: type its letter.", text=text))
    return ord(letter) - ord("A")
