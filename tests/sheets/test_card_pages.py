"""A card stays whole on its page."""

from __future__ import annotations

import pytest

from takeoff.sheets.card_pages import put_cards
from takeoff.sheets.flow import SIZES_MM, TOP_MM, Flow
from takeoff.sheets.pdf import Typeface
from takeoff.sheets.sheet_values import CardFace, Line, RoomCard


def card(number: int, length_mm: float, lines: int) -> RoomCard:
    ring = ((0.0, 0.0), (length_mm, 0.0), (length_mm, 2400.0), (0.0, 2400.0))
    face = CardFace("A  4 m", length_mm, 0.0, 2400.0, (ring,), (ring,), ())
    return RoomCard(
        f"r{number}", f"Room {number}", "12.0 m² to coat", tuple([Line("To read", "moisture")] * lines), (face,) * 4
    )


@pytest.mark.parametrize("lines", range(1, 9))
@pytest.mark.parametrize("length_mm", [1500.0, 3200.0, 4037.0, 9000.0])
def test_no_page_begins_in_the_middle_of_a_card(length_mm: float, lines: int) -> None:
    flow = Flow(SIZES_MM["A4"], Typeface().measure, ("Job", "Site sheets"))
    put_cards(flow, [card(number, length_mm, lines) for number in range(30)])
    assert len(flow.pages) > 1
    for page in flow.pages:
        body = [item for item in page.texts if item[1] < page.height_mm - TOP_MM - 6.0]
        assert max(body, key=lambda item: item[1])[2] == page.outline[0]
