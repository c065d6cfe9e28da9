"""What ordering returns: lines with whole packs, the bead cutting lists, the workings.

Needs are in the line's unit and unrounded; packs are whole; money is Decimal.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

import msgspec

from takeoff.errors import Finding
from takeoff.measure.takeoff import BeadPiece


class Working(msgspec.Struct, frozen=True):
    """One line of arithmetic behind a need: ``text`` can be typed into a calculator.

    ``item`` is the order line's ``id``; ``amount`` the unrounded result, which ``text`` leaves
    out, in that line's unit.
    """

    item: str
    what: str
    text: str
    amount: float
    unit: str
    rule: str = ""


class OrderLine(msgspec.Struct, frozen=True):
    """One thing to order. ``packs``: (name, count) of each pack bought, none with a count of 0.

    ``pack`` is the same in words, ``supplied`` what the packs hold, ``cost`` None where a price
    is missing, ``working`` the sum that leads to ``need``.
    """

    id: str
    item: str
    need: float
    unit: str
    packs: tuple[tuple[str, int], ...]
    pack: str
    supplied: float
    cost: Decimal | None
    working: str

    @property
    def count(self) -> int:
        """How many packs in all."""
        return sum(count for _, count in self.packs)


class At(msgspec.Struct, frozen=True):
    """The edge a piece of bead belongs to, for those who know its name: ids of storey, room and edge.

    ``copy``: of a room that stands several times, which one ("2 of 3"), else empty.
    """

    storey: str
    room: str
    edge: str
    kind: str = ""
    copy: str = ""


class PlacedPiece(BeadPiece, frozen=True):
    """A length of bead to cut that keeps the ids of its edge."""

    at: At | None = None


class Cut(msgspec.Struct, frozen=True):
    """One piece as cut, whole mm. ``part``: which part of a joined piece ("2 of 3"), else empty.

    ``where`` is its place in words, ``at`` the same by ids where they are known.
    """

    length_mm: int
    where: str
    part: str = ""
    at: At | None = None


class Bar(msgspec.Struct, frozen=True):
    """One bought bar: its cuts, longest first, and what is left of it after the saw."""

    stock: str
    stock_mm: int
    cuts: tuple[Cut, ...]
    offcut_mm: int


class CuttingList(msgspec.Struct, frozen=True):
    """How to cut one profile.

    ``kind`` *bar*: from ``bars``; *coil*: ``coil_cuts`` are taken off the coil one after another
    and ``bars`` is empty. ``bought`` counts bars or coils by name. ``aim`` is what was made least,
    the money or, without prices, the length bought (mm); ``best`` is its value, ``bound`` a value
    that no list can beat. ``proved``: the two meet.
    """

    profile: str
    name: str
    kind: Literal["bar", "coil"]
    bars: tuple[Bar, ...]
    coil_cuts: tuple[Cut, ...]
    bought: tuple[tuple[str, int], ...]
    bought_mm: int
    need_mm: int
    joints: int
    cost: Decimal | None
    aim: Literal["cost", "length"]
    best: Decimal
    bound: Decimal
    proved: bool
    status: str


class Order(msgspec.Struct, frozen=True):
    """Everything to buy for a takeoff. Empty when there is nothing to coat.

    ``cost`` is the sum of the lines and of ``carriage``, None where one of them has none; in ``currency``.
    ``carriage`` is None where the supplier says nothing of it; ``carriage_note``: what was bought for its sake.
    ``system`` is the coating system's id, ``system_name`` its name.
    """

    system: str
    currency: str
    lines: tuple[OrderLine, ...]
    beads: tuple[CuttingList, ...]
    workings: tuple[Working, ...]
    findings: tuple[Finding, ...]
    cost: Decimal | None
    system_name: str = ""
    carriage: Decimal | None = None
    carriage_note: str = ""
