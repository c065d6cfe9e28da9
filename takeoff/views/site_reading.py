"""The cells of a room read on site, made into readings and an outline.

A faulty cell counts as empty, so that the outline goes on being shown while it is mended.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, TypeVar

import msgspec

from takeoff.errors import InputError
from takeoff.plan.read_on_site import ReadDiagonal, Readings, ReadOpening, ReadSide
from takeoff.plan.readings import keyed
from takeoff.plan.readings.walked_outline import Outline, outline_of
from takeoff.units.printing import fmt2
from takeoff.views.site_sheet import OpeningCells, Sheet, SideCells

T = TypeVar("T")

OpeningKind = Literal["window", "door", "open"]
KINDS: tuple[OpeningKind, ...] = ("window", "door", "open")

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


class _Cells:
    """Reads cells one by one and keeps those that cannot be read."""

    def __init__(self, unit: keyed.Unit) -> None:
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

    def small(self, cell: str, text: str) -> float | None:
        """A sill, a head, a reveal."""
        return self.take(cell, None, keyed.small_length, text, self.unit)


def read(sheet: Sheet) -> Read:
    """The readings that the cells hold, their outline, and the cells that cannot be read."""
    cells, way = _Cells(sheet.unit), -1 if sheet.clockwise else 1
    readings = Readings(
        sides=tuple(_side(cells, k, side, way) for k, side in enumerate(sheet.sides)),
        diagonals=_diagonals(cells, sheet),
        middle_mm=cells.length("middle", sheet.middle),
        unit=sheet.unit,
    )
    return Read(readings, outline_of(readings), tuple(cells.faults))


def _side(cells: _Cells, k: int, side: SideCells, way: int) -> ReadSide:
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
        height_mm=cells.length(f"height:{k}", side.height),
        openings=openings,
    )
    cells.faults += _too_long(k, made)
    return made


def _opening(cells: _Cells, key: str, pair: tuple[float, float], keyed_of: OpeningCells) -> ReadOpening:
    sill, head = cells.small(f"sill:{key}", keyed_of.sill), cells.small(f"head:{key}", keyed_of.head)
    if sill is not None and head is not None and head <= sill:
        cells.faults.append(Fault(f"head:{key}", "The head of an opening is above its sill: look at both."))
    usual: OpeningKind = "window"
    kind = cells.take(f"kind:{key}", usual, kind_of, keyed_of.kind)
    return ReadOpening(
        from_mm=pair[0],
        to_mm=pair[1],
        kind=kind,
        sill_mm=sill,
        head_mm=head,
        reveal_mm=cells.small(f"reveal:{key}", keyed_of.reveal),
    )


def _diagonals(cells: _Cells, sheet: Sheet) -> tuple[ReadDiagonal, ...]:
    count = len(sheet.sides)
    cells.faults += [
        Fault(f"diagonal:{k}", "Name the two corners that this diagonal joins, like AC.")
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
            f"The last jamb, at {last} m, lies past the end of the side ({fmt2(length / 1000.0)} m): look at both.",
        )
    ]


def opening_cells(side: SideCells, number: int) -> OpeningCells:
    """The cells of an opening of a side; blank ones where it has none yet."""
    return side.openings[number] if number < len(side.openings) else OpeningCells()


def kind_word(text: str) -> str:
    """The kind written out where the text says one; the text where it says none."""
    word = text.strip().casefold()
    return next((kind for kind in KINDS if kind.startswith(word)), text)


def kind_of(text: str) -> OpeningKind:
    """The kind of opening that a word or its first letter says; a window for nothing. Raises InputError."""
    found = next((kind for kind in KINDS if kind == kind_word(text)), None)
    if found is None:
        raise InputError(f"“{text}” is no kind of opening: type w for a window, d for a door, o for an open way.")
    return found
