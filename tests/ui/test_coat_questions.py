"""Before outside walls are coated the window asks, run by run, what stands beyond; and above ceilings."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from by_command import assert_as_command
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from takeoff.measure.outline_runs import outline_runs
from takeoff.ui.document import Ref
from takeoff.views.cards import side_card
from takeoff.views.settling import rows

TERRACE = Path(__file__).parents[2] / "sample_plans" / "terrace_ground.dxf"
LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def page(window, qtbot):
    window.show()
    window.activateWindow()
    window.files.open(TERRACE)
    QTest.mouseClick(window.steps.button("coat"), LEFT)
    return window.sides.page("coat")


def key(page, *keys: Qt.Key) -> None:
    for one in keys:
        QTest.keyClick(page.asking, one)


def coated(window) -> Decimal:
    return window.document.state.totals["coated_m2"]


def test_four_keys_answer_four_runs_and_then_it_is_coated(window, page, tmp_path) -> None:
    asking = page.asking
    QTest.mouseClick(page.outside, LEFT)
    assert asking.isVisible()
    assert asking.title.text() == "Lower run, 5.20 m, beside Hall and Living room"
    assert asking.says.text() == "The drawing ends there. What stands beyond 4.70 m of wall?"
    assert [button.text() for button in asking.answers] == ["1  Outside", "2  Unheated", "3  Heated", "4  Neighbour"]
    assert len(window.plan.lit) >= 3  # both walls and the outline's run
    key(page, Qt.Key.Key_1)
    assert asking.title.text().startswith("Right run, 9.00 m")
    key(page, Qt.Key.Key_4, Qt.Key.Key_1)
    assert asking.count.text() == "The last question"
    # four keys and no coat yet
    assert coated(window) == Decimal("148.52")
    key(page, Qt.Key.Key_4)
    assert not asking.isVisible()
    assert len(window.plan.lit) == 0
    assert coated(window) == Decimal("31.03")
    assert [run.answer for run in outline_runs(window.document.job)] == ["outside", "neighbour"] * 2
    assert page.claims.isHidden()
    assert_as_command(window, tmp_path)
    # each answer and the coat can be taken back one by one
    for _ in range(5):
        window.acts.do("undo")
    assert coated(window) == Decimal("148.52")
    assert all(run.is_open for run in outline_runs(window.document.job))


def test_escape_leaves_a_run_to_check_and_coats_it_as_drawn(window, page, qtbot) -> None:
    QTest.mouseClick(page.outside, LEFT)
    key(page, *([Qt.Key.Key_Escape] * 4))
    assert coated(window) == Decimal("82.01")
    assert page.claims.text() == "Outside only as drawn, to check: 26.70 m of wall."
    qtbot.waitUntil(lambda: "outside-as-drawn" in [finding.code for finding in window.document.findings])
    # answered afterwards, the coat follows
    QTest.mouseClick(page.say, LEFT)
    key(page, Qt.Key.Key_Escape, Qt.Key.Key_4, Qt.Key.Key_Escape, Qt.Key.Key_4)
    assert coated(window) == Decimal("31.03")
    assert page.claims.text() == "Outside only as drawn, to check: 9.50 m of wall."


def test_a_click_answers_as_its_key_does_and_stop_coats_nothing(window, page) -> None:
    QTest.mouseClick(page.outside, LEFT)
    QTest.mouseClick(page.asking.answers[3], LEFT)
    QTest.mouseClick(page.asking.leave, LEFT)
    assert page.asking.title.text().startswith("Upper run")
    QTest.mouseClick(page.asking.stop, LEFT)
    assert not page.asking.isVisible()
    assert coated(window) == Decimal("148.52")
    assert outline_runs(window.document.job)[0].answer == "neighbour"


def test_ceilings_under_the_roof_are_one_action(window, page, tmp_path) -> None:
    QTest.mouseClick(page.roof, LEFT)
    assert page.asking.title.text() == "Ceilings of Kitchen, Hall, WC, Store and 1 more"
    assert page.asking.answers[0].text() == "1  Roof, cold loft"
    key(page, Qt.Key.Key_2)
    assert window.document.state.totals["ceiling_m2"] == Decimal("0.00")
    assert {room.above for room in window.document.job.storeys[0].rooms} == {"heated"}
    assert_as_command(window, tmp_path)


def test_what_lies_above_a_room_can_be_said_anew(window, page) -> None:
    QTest.mouseClick(page.roof, LEFT)
    key(page, Qt.Key.Key_2)
    window.document.choose((Ref("room", "r1"),))
    above = page.rooms.above
    assert above.currentData() == "heated"
    index = above.findData("roof")
    above.setCurrentIndex(index)
    above.activated.emit(index)
    assert window.document.job.storeys[0].rooms[0].above == "roof"
    QTest.mouseClick(page.roof, LEFT)
    # kitchen 4.80 × 3.30
    assert window.document.state.totals["ceiling_m2"] == Decimal("15.84")


def test_a_click_on_the_finding_asks_run_by_run(window, page, qtbot) -> None:
    QTest.mouseClick(page.outside, LEFT)
    key(page, *([Qt.Key.Key_Escape] * 4))
    qtbot.waitUntil(lambda: "outside-as-drawn" in [finding.code for finding in window.document.findings])
    QTest.mouseClick(window.steps.button("settle"), LEFT)
    settle = window.sides.page("settle")
    row = next(
        row
        for row in rows(window.document.state, window.document.findings)
        if any(f.code == "outside-as-drawn" for f in row.findings)
    )
    settle.picked.emit(row)
    assert window.sides.current == "coat"
    assert page.asking.title.text().startswith("Lower run")


def test_card_of_a_wall_says_that_outside_is_to_check(window, page) -> None:
    state = window.document.state
    card = side_card(state, "r1", "s3", ())
    assert card is not None
    assert card.about == "4.80 m long. Behind it: outside, to check (300 mm of wall)."
