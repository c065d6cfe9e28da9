"""What was read in rooms on site, as it is saved: sides as walked, diagonals, how rooms stand together.

``plan.readings`` makes rooms of it. Lengths are mm.
"""

from __future__ import annotations

from typing import Literal

from takeoff.plan.base import RoomId, SideId, Value

BUDGET = "budget room"
"""What stands in the evidence of a room that was made of length × width × height alone."""


class ReadOpening(Value, frozen=True):
    """An opening as it was read on site: its jambs along the side, from where the side starts.

    What was not read is None: a usual value is then assumed. ``reveal_mm``: from face to frame.
    """

    from_mm: float
    to_mm: float
    kind: Literal["window", "door", "open"] = "window"
    sill_mm: float | None = None
    head_mm: float | None = None
    reveal_mm: float | None = None


class ReadSide(Value, frozen=True):
    """One side as it was walked. Corner 0 is the start of the first side.

    ``run_mm``: the last figure of running dimensions, the side's length once more. ``turn_deg``: the
    turn at its end, to the left positive; *about*: nobody measured it, *square*: said to be square,
    *read*: measured, *free*: follows from the other readings. ``height_mm`` at its start. ``id``: of the
    room's side, "" for s1, s2 … as walked; it stays where sides are put in or taken out later.
    """

    id: str = ""
    length_mm: float | None = None
    run_mm: float | None = None
    turn_deg: float = -90.0
    turn: Literal["about", "square", "read", "free"] = "about"
    height_mm: float | None = None
    openings: tuple[ReadOpening, ...] = ()


class ReadDiagonal(Value, frozen=True):
    """A length read between two corners, by their numbers."""

    a: int
    b: int
    length_mm: float


class Readings(Value, frozen=True):
    """What was read in a room on site, in the order in which it was walked; its outline is adjusted
    from it. ``unit`` is what a bare number means where it is shown again."""

    sides: tuple[ReadSide, ...]
    diagonals: tuple[ReadDiagonal, ...] = ()
    middle_mm: float | None = None
    unit: Literal["m", "ft"] = "m"


class Join(Value, frozen=True):
    """Two rooms read on site that stand back to back: walls, or one opening seen from both sides.

    ``opening`` and ``beyond_opening`` count the openings of the side as it was read, from 0.
    """

    room: RoomId
    side: SideId
    beyond: RoomId
    beyond_side: SideId
    thickness_mm: float
    opening: int | None = None
    beyond_opening: int | None = None


class CrossCheck(Value, frozen=True):
    """A length read between corners of two rooms, to check how they are set together."""

    room: RoomId
    corner: int
    beyond: RoomId
    beyond_corner: int
    length_mm: float


class SetTogether(Value, frozen=True):
    """How the rooms of a storey that were read on site are set together."""

    joins: tuple[Join, ...] = ()
    checks: tuple[CrossCheck, ...] = ()
