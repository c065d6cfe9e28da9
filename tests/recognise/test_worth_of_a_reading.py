"""What a way to tell walls is worth: rooms count, yards that other lines close do not."""

from __future__ import annotations

import pytest
from drawn import Sheet

from takeoff.recognise.propose import look
from takeoff.recognise.walls.inferred_layers import worth_of


def worth(*words: str) -> float:
    """Of two closed boxes of 3 × 3 m, 0.2 m apart and walled by 0.2 m all round; ``words`` stand in the second."""
    sheet = (
        Sheet().box(-200, -200, 6400, 3200).box(0, 0, 3000, 3000).box(3200, 0, 6200, 3000).word("Office", 1500, 1500)
    )
    for k, word in enumerate(words):
        sheet.word(word, 4700, 1500 + 600 * k)
    reading = look(sheet.drawing()).reading
    assert reading is not None
    return worth_of(reading)


def test_a_patio_is_no_room_that_walls_wall_in_whatever_marks_stand_in_it() -> None:
    assert worth("Bedroom") == pytest.approx(2.0)
    assert worth("Patio") == pytest.approx(1.0)
    assert worth("Patio", "Lamp") == pytest.approx(1.0)
