"""The guided first pass: from a stranger's two drawings to a scope without an open question, with few actions."""

from __future__ import annotations

from pathlib import Path

import pytest
from hands import Hands
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from takeoff.measure.outline_runs import open_runs
from takeoff.ui.window.first_pass_part import FirstPass

LEFT = Qt.MouseButton.LeftButton
SAMPLES = Path(__file__).parents[2] / "sample_plans"


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))


def guide(window) -> FirstPass:
    return window.findChild(FirstPass)


def left_in(window) -> dict[str, int]:
    return {step.key: step.left for step in guide(window).steps()}


def test_pass_begins_with_a_drawing_and_not_with_a_job(window) -> None:
    window.files.open(SAMPLES / "terrace.job.json")
    assert window.sides.current != "first-pass"
    window.files.open(SAMPLES / "terrace_ground.dxf")
    assert window.sides.current == "first-pass"


def test_height_is_typed_and_kept_and_the_next_step_comes(window, qtbot) -> None:
    window.files.open(SAMPLES / "terrace_ground.dxf")
    page = guide(window).page
    QTest.qWait(20)
    assert "floor to ceiling" in page.about.text()
    page.high.setFocus()
    page.high.selectAll()
    qtbot.keyClicks(page.high, "2.55")
    qtbot.keyClick(page.high, Qt.Key.Key_Return)
    assert [(s.height_mm, s.height_source) for s in window.document.job.storeys] == [(2550.0, "typed")]
    assert left_in(window)["heights"] == 0
    assert "floor to ceiling" not in page.about.text()


def test_empty_enter_keeps_what_is_assumed(window, qtbot) -> None:
    window.files.open(SAMPLES / "terrace_ground.dxf")
    page = guide(window).page
    page.high.setFocus()
    qtbot.keyClick(page.high, Qt.Key.Key_Return)
    assert window.document.job.storeys[0].height_source == "assumed"
    assert left_in(window)["heights"] == 0
    assert page.rows["heights"].text().endswith("kept as assumed")


def test_names_are_typed_one_after_another_along_the_plan(window, qtbot) -> None:
    from takeoff.plan import edits

    window.files.open(SAMPLES / "terrace_ground.dxf")
    rooms = [room.id for room in window.document.job.storeys[0].rooms]
    for room in rooms[:3]:
        window.document.apply("Unname", lambda job, room=room: edits.rename_room(job, room, ""))
    guide(window).go("names")
    page = guide(window).page
    seen = []
    for name in ("First", "", "Third"):
        (ref,) = window.document.choice
        seen.append(ref.id)
        page.name.setFocus()
        qtbot.keyClicks(page.name, name)
        qtbot.keyClick(page.name, Qt.Key.Key_Return)
    assert set(seen) == {str(room) for room in rooms[:3]}
    names = {str(room.id): room.name for room in window.document.job.storeys[0].rooms}
    assert [names[room] for room in seen] == ["First", "", "Third"]
    assert left_in(window)["names"] == 0


def test_pass_is_left_and_taken_up_again(window, qtbot) -> None:
    window.files.open(SAMPLES / "terrace_ground.dxf")
    page = guide(window).page
    qtbot.mouseClick(page.leave, LEFT)
    assert window.sides.current == "card"
    window.acts.do("first-pass")
    assert window.sides.current == "first-pass"


def test_step_answered_on_its_own_page_leads_back_to_the_next(window) -> None:
    window.files.open(SAMPLES / "terrace_ground.dxf")
    hands = Hands(window)
    page = guide(window).page
    hands_free = guide(window)
    hands_free.go("beyond")
    assert window.sides.current == "coat"
    while open_runs(window.document.job):
        QTest.keyClick(QApplication.focusWidget() or window, Qt.Key.Key_1)
    QTest.qWait(30)
    assert window.sides.current == "first-pass"
    assert left_in(window)["beyond"] == 0
    assert page.rows["beyond"].text().startswith("✓")
    del hands


def test_control_and_the_key_answer_all_runs_that_are_left_as_one_edit(window) -> None:
    window.files.open(SAMPLES / "terrace_ground.dxf")
    guide(window).go("beyond")
    before = window.document.job
    count = len(open_runs(before))
    assert count > 2
    QTest.keyClick(QApplication.focusWidget() or window, Qt.Key.Key_4)
    QTest.keyClick(QApplication.focusWidget() or window, Qt.Key.Key_1, Qt.KeyboardModifier.ControlModifier)
    assert open_runs(window.document.job) == ()
    window.acts.do("undo")
    assert len(open_runs(window.document.job)) == count - 1
    window.acts.do("undo")
    assert window.document.job == before
