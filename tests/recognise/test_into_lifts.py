"""What leads into a lift is a door, though it is drawn as a bare way."""

from __future__ import annotations

import pytest
from drawn import Sheet
from test_opening_kinds_proposed import openings


def lobby(word: str = "Store", cabin: float = 0.0, off: float = 0.0) -> Sheet:
    """A lobby of 4000 × 3000, a shaft of 2000 × 2000 beside it behind a wall of 200 with a bare way of 1600 in it, too
    wide for a door of one leaf; ``cabin``: how wide the box with a cross is that is drawn in the shaft, and a fifth
    less deep; ``off``: how far it stands to the right of the middle."""
    sheet = Sheet().box(-300, -300, 6500, 3300).word("Lobby", 2000, 1500)
    sheet.line(0, 0, 4000, 0).line(4000, 0, 4000, 200).line(4000, 200, 4200, 200).line(4200, 200, 4200, 0)
    sheet.line(4200, 0, 6200, 0).line(6200, 0, 6200, 2000).line(6200, 2000, 4200, 2000).line(4200, 2000, 4200, 1800)
    sheet.line(4200, 1800, 4000, 1800).line(4000, 1800, 4000, 3000).line(4000, 3000, 0, 3000).line(0, 3000, 0, 0)
    if cabin:
        left, right = 5200 + off - cabin / 2, 5200 + off + cabin / 2
        low, high = 1000 - 0.4 * cabin, 1000 + 0.4 * cabin
        sheet.box(left, low, right, high, layer="lift")
        sheet.line(left, low, right, high, "lift").line(left, high, right, low, "lift")
    return sheet.word(word, 5200, 1300)


@pytest.mark.parametrize(
    ("sheet", "kind"),
    [
        (lobby(), "open"),
        (lobby("Lift 2"), "door"),
        (lobby(cabin=1500.0), "door"),
        (lobby(cabin=700.0), "open"),
        (lobby(cabin=1500.0, off=250.0), "open"),
    ],
    ids=["bare", "named", "with a cabin: 1.8 of 4 m²", "with a crossed box of 0.39 m²", "with a tray at the wall"],
)
def test_a_way_into_a_lift_is_a_door(sheet: Sheet, kind: str) -> None:
    (way,) = openings(sheet)
    assert (way.kind, way.confidence, round(way.width_mm)) == (kind, "check", 1600)
