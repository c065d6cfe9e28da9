"""The guided first pass: from a stranger's two drawings to a scope without an open question, with few actions."""

from __future__ import annotations

from pathlib import Path

import msgspec
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
from takeoff.views.job_steps import steps as job_steps

pytestmark = pytest.mark.usefixtures("own_folder")

LEFT = Qt.MouseButton.LeftButton
SAMPLES = Path(__file__).parents[2] / "sample_plans"


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
    doubt = noticed("room-to-check", Where(room=room.id), room="Room r1", why="walls")
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
    assert "are removed and refitted by others (if kept: 120 mm of skirting about " in page.about.text()
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


def test_substrates_are_accepted_with_one_key_or_said_on_the_page_of_the_coat(window) -> None:
    window.files.open(SAMPLES / "terrace_ground.dxf")
    guide(window).go("substrates")
    page = guide(window).page
    QTest.qWait(20)
    assert "m² of walls are assumed to be old plaster" in page.about.text()
    QTest.keyClick(QApplication.focusWidget() or window, Qt.Key.Key_Return)
    assert left_in(window)["substrates"] == 0
    assert window.document.job.wall_substrate == "plaster"
    window.acts.do("undo")
    guide(window).go("substrates")
    QTest.qWait(20)
    QTest.keyClick(QApplication.focusWidget() or window, Qt.Key.Key_2)
    assert window.sides.current == "coat"
    choice = window.sides.page("coat").walls_on
    choice.setFocus()
    QTest.keyClick(choice, Qt.Key.Key_End)
    assert choice.currentText() == "wood-based board"
    assert window.document.job.wall_substrate == "timber-board"


def test_long_answers_stand_in_lines_and_the_page_is_no_wider_than_its_frame(window, qtbot) -> None:
    window.files.open(SAMPLES / "terrace_ground.dxf")
    page = guide(window).page
    page.list.show_answers((("a", "Skirting 120 mm and architraves 70 mm stay on for good, everywhere", "tip"),))
    page.list.show()
    QTest.qWait(30)
    button = page.list.buttons["a"]
    assert "\n" in button.text()
    assert button.minimumSizeHint().width() <= button.width() <= page.width()
    assert button.mapTo(page, button.rect().topRight()).x() < page.width()


def test_step_at_the_left_is_as_high_as_its_words_are(window, told) -> None:
    """13 to check and 14 assumed do not fit in one line."""
    window.files.open(SAMPLES / "terrace_ground.dxf")
    button = window.steps.button("settle")
    one = button.height()
    step = next(step for step in steps_of(window) if step.id == "settle")
    button.show_step(msgspec.structs.replace(step, says="13 to check, 14 assumed, 5 notes and more"))
    QTest.qWait(30)
    words = button._says
    assert words.height() >= words.heightForWidth(words.width())
    assert button.height() > one


def steps_of(window):
    document = window.document
    return job_steps(document.state, document.considered, document.findings, "")


def test_in_a_low_window_no_button_is_squashed_and_the_question_is_scrolled_to(window) -> None:
    """1366 × 768 at one and a half: 911 × 512."""
    window.resize(911, 512)
    window.files.open(SAMPLES / "terrace_ground.dxf")
    opening = window.document.job.storeys[0].openings[0]
    window.document.apply("Doubt", lambda job: edits.set_opening_confidence(job, opening.id, "question"))
    guide(window).go("kinds")
    QTest.qWait(50)
    page = window.sides.page("proposals")
    for button in (page.right, page.refuse, page.skip):
        assert button.height() >= button.sizeHint().height()
    guide(window).go("beyond")
    QTest.qWait(50)
    coat = window.sides.page("coat")
    shown = coat.asking.answers[3].visibleRegion().boundingRect()
    assert shown.height() == coat.asking.answers[3].height()
    window.acts.do("system")
    QTest.qWait(50)
    system = window.sides.page("system")
    table, more = system.table.geometry(), system.buttons["more"].geometry()
    assert not table.intersects(more)
