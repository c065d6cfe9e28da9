"""The ceiling above a stair is asked about in the list of what is to settle, with a button for each answer."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from by_command import assert_as_command
from PySide6.QtCore import Qt

SAMPLES = Path(__file__).parents[2] / "sample_plans"
LEFT = Qt.MouseButton.LeftButton


@pytest.mark.parametrize(
    ("answer", "words", "more_m2"),
    [
        ("goes-on", "It goes on", Decimal("11.86")),
        ("well", "Part is the well", Decimal("8.43")),
        ("none", "No ceiling here", Decimal(0)),
    ],
)
def test_button_answers_in_one_step(window, qtbot, tmp_path, answer, words, more_m2) -> None:
    window.files.open(SAMPLES / "stairwell.dxf")
    qtbot.mouseClick(window.steps.button("settle"), LEFT)
    page = window.sides.page("settle")

    def asked():
        return [row for row in page.widgets() if row.row.accept == "stair"]

    before = window.document.state.totals["coated_m2"]
    (row,) = asked()
    assert "11.86 m², has a stair drawn under it" in row.row.text
    assert "not measured" in row.row.evidence
    assert row.buttons[answer].text() == words
    qtbot.mouseClick(row.buttons[answer], LEFT)
    assert window.document.state.totals["coated_m2"] - before == more_m2
    assert asked() == []
    assert_as_command(window, tmp_path)
    assert window.document.stack.undoText() == f"Ceiling above the stair: {words}"
    window.document.stack.undo()
    window.document.consider_now()
    assert window.document.state.totals["coated_m2"] == before
    assert len(asked()) == 1
