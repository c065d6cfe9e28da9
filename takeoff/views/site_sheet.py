"""What is keyed of a room that was read on site: cells of text, and the readings and the outline that they give.

As many cells as the room's sides and openings need. A faulty cell counts as empty, so that the outline goes on
being shown while it is mended.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, TypeVar

import msgspec

from takeoff.errors import InputError
from takeoff.language import tr, tr_as
from takeoff.plan.model import Job, ReadDiagonal, Readings, ReadOpening, ReadSide, Room
from takeoff.plan.readings import keyed
from takeoff.plan.readings.walked_outline import (
    MOST_CORNERS,
    Outline,
    corner_name,
    outline_of,
    side_ids,
    side_name,
    way_round,
)
from takeoff.units.printing import fmt2, shown
from takeoff.views.naming import place_of

replace = msgspec.structs.replace

FEWEST_SIDES = 3
USUAL_SIDES = 4
_ENOUGH_DEG = 330.0
"""Turns that add up to this much close a walk: more sides are not offered."""


class OpeningCells(msgspec.Struct, frozen=True):
    """What is keyed of one opening."""

    kind: str = ""
    sill: str = ""
    head: str = ""
    reveal: str = ""


class SideCells(msgspec.Struct, frozen=True):
    """What is keyed of one side; ``id``: the side of the room that it is, "" for a new one."""

    id: str = ""
    length: str = ""
    along: str = ""
    turn: str = ""
    height: str = ""
    openings: tuple[OpeningCells, ...] = ()

    @property
    def is_empty(self) -> bool:
        """Whether nothing was keyed of it."""
        return not (self.id or self.length or self.along or self.turn or self.height)


class DiagonalCells(msgspec.Struct, frozen=True):
    """What is keyed of one diagonal."""

    corners: str = ""
    length: str = ""


class Sheet(msgspec.Struct, frozen=True):
    """All cells of one room. ``room``: the id of the room that is read anew, "" for a new one.

    ``middle`` is the height of a level ceiling, or in the middle of one that is not. ``least``: so many
    sides stay, since the user put them in.
    """

    name: str = ""
    middle: str = ""
    unit: keyed.Unit = "m"
    clockwise: bool = True
    sides: tuple[SideCells, ...] = (SideCells(),) * USUAL_SIDES
    diagonals: tuple[DiagonalCells, ...] = (DiagonalCells(),)
    room: str = ""
    least: int = FEWEST_SIDES


def settled(sheet: Sheet) -> Sheet:
    """The sheet with as many rows as it needs: sides until their turns go once round, a row for each
    opening, and a diagonal to go on with."""
    way = -1 if sheet.clockwise else 1
    sides = list(sheet.sides)
    while len(sides) > sheet.least and sides[-1].is_empty and _turned(sides[:-1], way) >= _ENOUGH_DEG:
        sides.pop()
    while len(sides) < MOST_CORNERS and _turned(sides, way) < _ENOUGH_DEG:
        sides.append(SideCells())
    made = tuple(_with_openings(side, sheet.unit) for side in sides)
    return replace(sheet, sides=made, diagonals=_offered(sheet.diagonals, len(made)))


def _turned(sides: list[SideCells], way: int) -> float:
    """By how much the walk turns the way it goes round, in degrees; unreadable cells as the usual corner."""
    total = 0.0
    for side in sides:
        try:
            total += keyed.turn(side.turn, way)[0] * way
        except InputError:
            # read() tells of the cell; until it is mended the corner counts as the usual one
            total += 90.0
    return total


def _with_openings(side: SideCells, unit: keyed.Unit) -> SideCells:
    try:
        count = len(keyed.running(side.along, unit)[0])
    except InputError:
        # what was keyed of the openings stays while their running dimensions are being mended
        return side
    if count == len(side.openings):
        return side
    kept = side.openings[:count]
    return replace(side, openings=(*kept, *(OpeningCells() for _ in range(count - len(kept)))))


def _offered(diagonals: tuple[DiagonalCells, ...], count: int) -> tuple[DiagonalCells, ...]:
    """Those that were keyed; of four corners both, of others one row to go on with."""
    kept = [d for d in diagonals if d.length]
    if count == USUAL_SIDES:
        named = {_pair(d.corners) for d in kept}
        kept += [DiagonalCells(corners) for corners in ("AC", "BD") if corners not in named]
        return tuple(kept)
    begun = [d for d in diagonals if d.corners and not d.length]
    if {d.corners for d in begun} == {"AC", "BD"}:
        # those that were offered while there were four corners
        begun = []
    return (*kept, *(begun[:1] or [DiagonalCells()]))


def _pair(corners: str) -> str:
    return "".join(sorted(letter for letter in corners.upper() if letter.isalpha()))


def insert_side(sheet: Sheet, before: int) -> Sheet:
    """The sheet with an empty side before another. Diagonals of corners behind it move on."""
    sides = (*sheet.sides[:before], SideCells(turn="R" if sheet.clockwise else "L"), *sheet.sides[before:])
    return settled(_relettered(replace(sheet, sides=sides, least=len(sides)), before, 1))


def remove_side(sheet: Sheet, number: int) -> Sheet:
    """The sheet without a side, and without diagonals of the corner at which it begins."""
    if len(sheet.sides) <= FEWEST_SIDES:
        raise InputError(tr("A room has three sides or more: clear the cells instead."))
    sides = (*sheet.sides[:number], *sheet.sides[number + 1 :])
    least = max(min(sheet.least, len(sides)), FEWEST_SIDES)
    return settled(_relettered(replace(sheet, sides=sides, least=least), number, -1))


def _relettered(sheet: Sheet, at: int, by: int) -> Sheet:
    """Diagonals with the letters that their corners have now; corner ``at`` itself goes with by = −1."""
    made = []
    for one in sheet.diagonals:
        numbers = [ord(letter) - ord("A") for letter in _pair(one.corners)]
        if by < 0 and at in numbers:
            continue
        moved = [number + by if number >= at else number for number in numbers]
        made.append(replace(one, corners="".join(corner_name(number) for number in moved)))
    return replace(sheet, diagonals=tuple(made))


def sheet_of(job: Job, room_id: str) -> Sheet | None:
    """The cells of a room as they were keyed, to be changed; a blank sheet under its name for a room that
    was not read yet. None for a room that is not there."""
    place = place_of(job, room_id)
    if place is None:
        return None
    room = place[1]
    if room.readings is None:
        return settled(Sheet(name=room.name, room=str(room.id)))
    return settled(_keyed(room, room.readings))


def _keyed(room: Room, readings: Readings) -> Sheet:
    unit = readings.unit
    sides = tuple(
        _side_keyed(str(name), side, unit, way_round(readings.sides))
        for name, side in zip(side_ids(readings.sides), readings.sides, strict=True)
    )
    diagonals = tuple(
        DiagonalCells(corner_name(d.a) + corner_name(d.b), keyed.shown(d.length_mm, unit)) for d in readings.diagonals
    )
    return Sheet(
        name=room.name,
        middle=keyed.shown(readings.middle_mm, unit),
        unit=unit,
        clockwise=way_round(readings.sides) < 0,
        sides=sides,
        diagonals=diagonals,
        room=str(room.id),
    )


def _side_keyed(name: str, side: ReadSide, unit: keyed.Unit, way: int) -> SideCells:
    usual = side.turn == "about" and side.turn_deg == 90.0 * way
    openings = tuple(
        OpeningCells(
            kind_said(o.kind),
            keyed.shown(o.sill_mm, unit),
            keyed.shown(o.head_mm, unit),
            keyed.shown(o.reveal_mm, unit),
        )
        for o in side.openings
    )
    return SideCells(
        id=name,
        length=keyed.shown(side.length_mm, unit),
        along=keyed.running_shown(side, unit),
        turn="" if usual else keyed.turn_shown(side),
        height=keyed.shown(side.height_mm, unit),
        openings=openings,
    )


def side_names(sheet: Sheet) -> tuple[str, ...]:
    """ "A–B", "B–C" … of the sheet's sides."""
    return tuple(side_name(k, len(sheet.sides)) for k in range(len(sheet.sides)))


T = TypeVar("T")

OpeningKind = Literal["window", "door", "open"]
KINDS: tuple[OpeningKind, ...] = ("window", "door", "open")
USUAL_KIND: OpeningKind = "window"

_NOTHING_ALONG: tuple[tuple[tuple[float, float], ...], float | None] = ((), None)


class Fault(msgspec.Struct, frozen=True):
    """A cell that cannot be read, by its key ("length:0", "sill:0:1"), and why."""

    cell: str
    text: str


class Read(msgspec.Struct, frozen=True):
    """What the cells give."""

    readings: Readings
    outline: Outline
    faults: tuple[Fault, ...]

    @property
    def is_room(self) -> bool:
        """Whether a room can be made of it."""
        errors = any(finding.severity == "error" for finding in self.outline.findings)
        return self.outline.closed and not self.faults and not errors


class Cells:
    """Reads cells one by one and keeps those that cannot be read."""

    def __init__(self, unit: keyed.Unit = "m") -> None:
        self.unit: keyed.Unit = unit
        self.faults: list[Fault] = []

    def take(self, cell: str, otherwise: T, parse: Callable[..., T], *given: object) -> T:
        """What ``parse`` makes of the cell, or ``otherwise`` where it cannot."""
        try:
            return parse(*given)
        except InputError as error:
            self.faults.append(Fault(cell, str(error)))
            return otherwise

    def length(self, cell: str, text: str) -> float | None:
        """A length of a room."""
        return self.take(cell, None, keyed.length, text, self.unit)

    def height(self, cell: str, text: str) -> float | None:
        """From floor to ceiling."""
        return self.take(cell, None, keyed.height, text, self.unit)

    def small(self, cell: str, text: str) -> float | None:
        """A sill or a head."""
        return self.take(cell, None, keyed.small_length, text, self.unit)

    def depth(self, cell: str, text: str) -> float | None:
        """A reveal."""
        return self.take(cell, None, keyed.depth, text, self.unit)


def read(sheet: Sheet) -> Read:
    """The readings that the cells hold, their outline, and the cells that cannot be read."""
    cells, way = Cells(sheet.unit), -1 if sheet.clockwise else 1
    readings = Readings(
        sides=tuple(_side(cells, k, side, way) for k, side in enumerate(sheet.sides)),
        diagonals=_diagonals(cells, sheet),
        middle_mm=cells.height("middle", sheet.middle),
        unit=sheet.unit,
    )
    return Read(readings, outline_of(readings), tuple(cells.faults))


def _side(cells: Cells, k: int, side: SideCells, way: int) -> ReadSide:
    usual: tuple[float, keyed.TurnKind] = (90.0 * way, "about")
    pairs, end = cells.take(f"along:{k}", _NOTHING_ALONG, keyed.running, side.along, cells.unit)
    deg, turn = cells.take(f"turn:{k}", usual, keyed.turn, side.turn, way)
    openings = tuple(_opening(cells, f"{k}:{n}", pair, opening_cells(side, n)) for n, pair in enumerate(pairs))
    made = ReadSide(
        id=side.id,
        length_mm=cells.length(f"length:{k}", side.length),
        run_mm=end,
        turn_deg=deg,
        turn=turn,
        height_mm=cells.height(f"height:{k}", side.height),
        openings=openings,
    )
    cells.faults += _too_long(k, made)
    return made


def _opening(cells: Cells, key: str, pair: tuple[float, float], keyed_of: OpeningCells) -> ReadOpening:
    sill, head = cells.small(f"sill:{key}", keyed_of.sill), cells.small(f"head:{key}", keyed_of.head)
    if sill is not None and head is not None and head <= sill:
        cells.faults.append(Fault(f"head:{key}", tr("The head is not above the sill: check both.")))
    kind = cells.take(f"kind:{key}", USUAL_KIND, kind_of, keyed_of.kind)
    return ReadOpening(
        from_mm=pair[0],
        to_mm=pair[1],
        kind=kind,
        sill_mm=sill,
        head_mm=head,
        reveal_mm=cells.depth(f"reveal:{key}", keyed_of.reveal),
    )


def _diagonals(cells: Cells, sheet: Sheet) -> tuple[ReadDiagonal, ...]:
    count = len(sheet.sides)
    cells.faults += [
        Fault(f"diagonal:{k}", tr("Name the two corners that this diagonal joins, like AC."))
        for k, one in enumerate(sheet.diagonals)
        if one.length and not one.corners
    ]
    found = [
        cells.take(f"diagonal:{k}", None, keyed.diagonal, one.corners, one.length, count, sheet.unit)
        for k, one in enumerate(sheet.diagonals)
    ]
    return tuple(one for one in found if one is not None)


def _too_long(k: int, side: ReadSide) -> list[Fault]:
    """An opening has to end before its side does."""
    length = side.length_mm if side.length_mm is not None else side.run_mm
    if length is None or not side.openings or side.openings[-1].to_mm <= length:
        return []
    last = fmt2(side.openings[-1].to_mm / 1000.0)
    return [
        Fault(
            f"along:{k}",
            tr(
                "The last jamb, at {last} m, lies past the end of the side ({length} m): check both.",
                last=last,
                length=shown(length / 1000.0),
            ),
        )
    ]


def opening_cells(side: SideCells, number: int) -> OpeningCells:
    """The cells of an opening of a side; blank ones where it has none yet."""
    return side.openings[number] if number < len(side.openings) else OpeningCells()


def kind_said(kind: OpeningKind) -> str:
    """The word for a kind of opening, as it stands in a cell and is typed there."""
    said = {
        "window": tr_as("typed for a kind of opening", "window"),
        "door": tr_as("typed for a kind of opening", "door"),
        "open": tr_as("typed for a kind of opening", "open"),
    }
    return said[kind]


def kind_known(text: str) -> OpeningKind | None:
    """The kind that a word or its first letter says, in the user's language or else in English, as older surveys have
    it; a window for nothing, None for what says no kind."""
    word = text.strip().casefold()
    words = [(kind_said(kind).casefold(), kind) for kind in KINDS] + [(str(kind), kind) for kind in KINDS]
    return next((kind for said, kind in words if said.startswith(word)), None)


def kind_word(text: str) -> str:
    """The kind written out where the text says one; the text where it says none."""
    kind = kind_known(text)
    return text if kind is None else kind_said(kind)


def kind_of(text: str) -> OpeningKind:
    """The kind of opening that a word or its first letter says; a window for nothing. Raises InputError."""
    found = kind_known(text)
    if found is None:
        raise InputError(
            tr("“{text}” is not a kind of opening: type w for a window, d for a door, o for a doorway.", text=text)
        )
    return found
