"""The guided first pass: from a stranger's two drawings to a scope without an open question, with few actions."""

from __future__ import annotations

from pathlib import Path

import pytest
from hands import Hands
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from takeoff.errors import Where
from takeoff.findings import noticed
from takeoff.measure.outline_runs import open_runs, outline_runs
from takeoff.plan import edits
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
    # the rooms and openings of this drawing are told by it: what comes next are the outside walls
    assert window.sides.current == "coat"


def test_empty_enter_keeps_what_is_assumed(window, qtbot) -> None:
    window.files.open(SAMPLES / "terrace_ground.dxf")
    page = guide(window).page
    page.high.setFocus()
    qtbot.keyClick(page.high, Qt.Key.Key_Return)
    assert window.document.job.storeys[0].height_source == "assumed"
    assert left_in(window)["heights"] == 0
    window.acts.do("first-pass")
    assert page.rows["heights"].text().endswith("kept as assumed")


def test_names_are_typed_one_after_another_along_the_plan(window, qtbot) -> None:
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


def with_upper(window, told) -> None:
    window.files.open(SAMPLES / "terrace_ground.dxf")
    told.paths.append(SAMPLES / "terrace_first.dxf")
    window.acts.do("add-drawing")
    QTest.qWait(30)


def test_typed_height_of_one_storey_leaves_that_of_the_next_to_be_asked(window, told, qtbot) -> None:
    with_upper(window, told)
    page = guide(window).page
    qtbot.keyClicks(page.high, "2.55")
    qtbot.keyClick(page.high, Qt.Key.Key_Return)
    assert left_in(window)["heights"] == 1
    assert page.about.text() == "FIRST FLOOR: floor to ceiling"
    assert [s.height_source for s in window.document.job.storeys] == ["typed", "assumed"]


def test_runs_that_lie_over_one_another_are_one_question_and_can_be_asked_apart(window, told) -> None:
    with_upper(window, told)
    assert left_in(window)["beyond"] == 4
    assert len(open_runs(window.document.job)) == 8
    guide(window).go("beyond")
    asking = window.sides.page("coat").asking
    assert asking.apart.isVisible()
    assert "on all these storeys" in asking.says.text()
    first = asking.current
    QTest.keyClick(asking, Qt.Key.Key_1)
    # the answer is written to the run of each storey, as one edit
    assert len(open_runs(window.document.job)) == 6
    window.acts.do("undo")
    assert len(open_runs(window.document.job)) == 8
    guide(window).go("beyond")
    assert asking.current.key == first.key
    QTest.keyClick(asking, Qt.Key.Key_5)
    assert asking.current.parts == ()
    assert not asking.apart.isVisible()
    QTest.keyClick(asking, Qt.Key.Key_4)
    assert len(open_runs(window.document.job)) == 7
    assert asking.current.key == first.parts[1].key
    QTest.keyClick(asking, Qt.Key.Key_1)
    answers = [run.answer for run in outline_runs(window.document.job) if run.answer]
    assert answers == ["neighbour", "outside"]


def test_room_in_doubt_is_told_no_more_once_it_has_its_name_and_told_again_after_undo(window, told, qtbot) -> None:
    window.files.open(SAMPLES / "terrace_ground.dxf")
    job, room = window.document.job, window.document.job.storeys[0].rooms[0]
    doubt = noticed("room-to-check", Where(room=room.id), room="Room r1", x=0.0, y=0.0, why="walls", ask="look at it")
    doubted = edits.set_room_confidence(edits.rename_room(job, room.id, ""), room.id, "check")
    window.document.open(doubted, window.document.drawings, (doubt,))
    assert "room-to-check" in codes(window)
    guide(window).begin()
    guide(window).go("names")
    page = guide(window).page
    assert "• " in page.doubts.text() or not room.evidence
    page.name.setFocus()
    qtbot.keyClicks(page.name, "Scullery")
    qtbot.keyClick(page.name, Qt.Key.Key_Return)
    assert "room-to-check" not in codes(window)
    window.acts.do("undo")
    assert "room-to-check" in codes(window)


def test_what_is_no_room_is_taken_away_by_its_button(window, qtbot) -> None:
    window.files.open(SAMPLES / "terrace_ground.dxf")
    room = window.document.job.storeys[0].rooms[0]
    window.document.apply("Unname", lambda job: edits.rename_room(job, room.id, ""))
    guide(window).go("names")
    qtbot.mouseClick(guide(window).page.none, LEFT)
    assert room.id not in [r.id for r in window.document.job.storeys[0].rooms]


def test_all_openings_are_taken_as_proposed_with_one_key_and_one_undo(window) -> None:
    window.files.open(SAMPLES / "terrace_ground.dxf")

    def doubted(job):
        for opening in job.storeys[0].openings[:3]:
            job = edits.set_opening_confidence(job, opening.id, "question")
        return job

    window.document.apply("Doubt", doubted)
    before = window.document.job
    guide(window).go("kinds")
    page = window.sides.page("proposals")
    assert page.all.isVisible()
    assert "As proposed: " in page.all_words.text()
    QTest.keyClick(page, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier)
    assert all(o.confidence == "sure" for o in window.document.job.storeys[0].openings)
    window.acts.do("undo")
    assert window.document.job == before


def codes(window) -> set[str]:
    window.document.consider_now()
    return {finding.code for finding in window.document.findings}


def test_customs_are_accepted_with_one_key_and_told_with_their_effect(window, qtbot) -> None:
    window.files.open(SAMPLES / "terrace_ground.dxf")
    guide(window).go("customs")
    page = guide(window).page
    QTest.qWait(20)
    assert "come off before the coat (left on: 120 mm of skirting about " in page.about.text()
    coated = window.document.state.takeoff.totals["coated_m2"]
    QTest.keyClick(QApplication.focusWidget() or window, Qt.Key.Key_Return)
    customs = window.document.job.customs
    assert (customs.skirting_mm, customs.coving_mm, customs.architrave_mm, customs.bead_said) == (0, 0, 0, True)
    assert window.document.state.takeoff.totals["coated_m2"] == coated
    assert left_in(window)["customs"] == 0
    window.acts.do("undo")
    assert left_in(window)["customs"] == 4


def test_customs_are_said_one_by_one_on_the_page_of_the_coat(window, qtbot) -> None:
    window.files.open(SAMPLES / "terrace_ground.dxf")
    guide(window).go("customs")
    QTest.qWait(20)
    QTest.keyClick(QApplication.focusWidget() or window, Qt.Key.Key_3)
    assert window.sides.current == "coat"
    fields = window.sides.page("coat").customs
    for custom, text in (("skirting", "120 mm"), ("coving", "0"), ("architrave", "70 mm")):
        fields[custom].setFocus()
        qtbot.keyClicks(fields[custom], text)
        qtbot.keyClick(fields[custom], Qt.Key.Key_Return)
    customs = window.document.job.customs
    assert (customs.skirting_mm, customs.coving_mm, customs.architrave_mm) == (120, 0, 70)
    fields["skirting"].setFocus()
    fields["skirting"].selectAll()
    qtbot.keyClicks(fields["skirting"], "4 m")
    qtbot.keyClick(fields["skirting"], Qt.Key.Key_Return)
    assert window.document.job.customs == customs
