"""The order in which the cells of a room survey are keyed: where Enter and the arrows lead.

Cells go by their keys ("length:0", "kind:0:1"), in the order of the paper form, after the name and the height.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from takeoff.views.site_sheet import Sheet

HEAD = ("name", "middle")
"""The cells of the room as a whole, which come first."""


def part_of(key: str) -> str:
    """What a cell is for: "length" of "length:0"."""
    return key.partition(":")[0]


def following(order: Sequence[str], here: str, sheet: Sheet, written: Collection[str], closed: bool) -> str | None:
    """The cell that Enter leads to; None at the end. ``order``: the cells of the tables; ``written``: those
    with something in them; ``closed``: the outline is. Where it is, an empty length leads past all sides, and an
    empty diagonal to the end."""
    keys = _entered(order, here, sheet, written)
    after = keys[keys.index(here) + 1 :]
    empty = here not in written
    if part_of(here) == "length" and empty and closed:
        after = [key for key in after if not key.startswith(("length", "along", "turn", "height"))]
    elif part_of(here) == "diagonal" and empty:
        after = []
    return after[0] if after else None


def _entered(order: Sequence[str], here: str, sheet: Sheet, written: Collection[str]) -> list[str]:
    """The cells at which Enter stops, and the one it is pressed in: heights at corners only where one was
    keyed, corners of a diagonal only where none are named."""
    heights = any(side.height for side in sheet.sides)
    passed = {"height"} if not heights else set()
    tables = [
        key
        for key in order
        if key == here or not (part_of(key) in passed or (part_of(key) == "corners" and key in written))
    ]
    return [*HEAD, *tables]


def stepped(order: Sequence[str], here: str, by: int) -> str | None:
    """The cell so many rows below in the same column; None past its ends."""
    column = [key for key in (*HEAD, *order) if part_of(key) == part_of(here)]
    to = column.index(here) + by
    return column[to] if 0 <= to < len(column) else None
