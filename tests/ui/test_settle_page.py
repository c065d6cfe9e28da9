"""What is to settle: a click goes there, and most of it is settled from the list."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel

from takeoff.plan import edits
from takeoff.plan.assumptions import assumptions
from takeoff.plan.model import OpeningId, RoomId
from takeoff.ui.document import Ref
from takeoff.ui.panels.settle_page import SettlePage, SettleRow

SAMPLES = Path(__file__).parents[2] / "sample_plans"


@pytest.fixture
def page(window, qtbot) -> SettlePage:
    """The page for a ground floor of which nothing is given but its outlines and doors' widths."""
    window.files.open(SAMPLES / "terrace_ground.dxf")
    qtbot.mouseClick(window.steps.button("settle"), Qt.MouseButton.LeftButton)
    return window.sides.page("settle")


def row_of(page: SettlePage, words: str) -> SettleRow:
    return next(row for row in page.widgets() if row.row.text.startswith(words))


def texts(page: SettlePage) -> list[str]:
    return [row.row.text for row in page.widgets()]


def type_over(qtbot, row: SettleRow, text: str) -> None:
    row.field.selectAll()
    qtbot.keyClicks(row.field, text)


def test_height_is_corrected_in_its_row_and_every_figure_follows(window, page, qtbot) -> None:
    before = window.document.state.totals["coated_m2"]
    height = row_of(page, "Height of the storey")
    assert height.field.text() == "2.40"
    type_over(qtbot, height, "2.50")
    assert height.buttons["confirm"].text() == "Correct"
    qtbot.keyClick(height.field, Qt.Key.Key_Return)
    storey = window.document.job.storeys[0]
    assert (storey.height_mm, storey.height_source) == (2500.0, "typed")
    assert window.document.state.totals["coated_m2"] > before
    assert not any(text.startswith("Height of the storey") for text in texts(page))
    assert window.document.stack.undoText() == "Correct: Height of the storey"


def test_millimetres_and_feet_are_lengths_too(window, page, qtbot) -> None:
    sills = row_of(page, "Sills of 2 windows")
    type_over(qtbot, sills, "850")
    qtbot.mouseClick(sills.buttons["confirm"], Qt.MouseButton.LeftButton)
    windows = [o for o in window.document.job.storeys[0].openings if o.kind == "window"]
    assert [o.sill_mm for o in windows] == [850.0, 850.0]


def test_no_length_is_told_in_the_row_and_nothing_changes(window, page, qtbot) -> None:
    job = window.document.job
    sills = row_of(page, "Sills of 2 windows")
    type_over(qtbot, sills, "about a metre")
    qtbot.keyClick(sills.field, Qt.Key.Key_Return)
    assert window.document.job is job
    assert "about a metre" in sills._wrong.text()


def test_one_door_is_confirmed_by_itself_and_the_rest_together(window, page, qtbot) -> None:
    qtbot.mouseClick(row_of(page, "Heads of 6 doors").buttons["each"], Qt.MouseButton.LeftButton)
    door = row_of(page, "Door D4")
    qtbot.mouseClick(door.buttons["confirm"], Qt.MouseButton.LeftButton)
    heads = [a for a in assumptions(window.document.job) if a.kind == "door-head"]
    assert len(heads) == 5
    assert "Heads of 5 doors" in texts(page)
    other = row_of(page, "Door D5")
    assert other.buttons["confirm-alike"].text() == "The same for all 5 like this"
    qtbot.mouseClick(other.buttons["confirm-alike"], Qt.MouseButton.LeftButton)
    assert not [a for a in assumptions(window.document.job) if a.kind == "door-head"]


def test_click_on_a_row_chooses_what_it_speaks_of_and_the_page_stays(window, page, qtbot) -> None:
    sills = row_of(page, "Sills of 2 windows")
    qtbot.mouseClick(sills, Qt.MouseButton.LeftButton)
    windows = {str(o.id) for o in window.document.job.storeys[0].openings if o.kind == "window"}
    assert {ref.id for ref in window.document.choice} == windows
    assert window.sides.current == "settle"


def test_accepted_finding_is_among_the_settled_and_can_be_opened_again(window, page, qtbot) -> None:
    demo = row_of(page, "The material list uses")
    qtbot.mouseClick(demo.buttons["accept"], Qt.MouseButton.LeftButton)
    assert not any("invented demo system" in text for text in texts(page))
    qtbot.mouseClick(page.filters["settled"], Qt.MouseButton.LeftButton)
    (settled,) = page.widgets()
    assert "invented demo system" in settled.row.text
    qtbot.mouseClick(settled.buttons["again"], Qt.MouseButton.LeftButton)
    assert page.widgets() == ()
    assert "Nothing is done yet" in page.note.text()
    qtbot.mouseClick(page.filters["open"], Qt.MouseButton.LeftButton)
    assert any("invented demo system" in text for text in texts(page))


def test_settling_is_undone_and_done_again(window, page, qtbot) -> None:
    before = texts(page)
    qtbot.mouseClick(row_of(page, "Sills of 2 windows").buttons["confirm"], Qt.MouseButton.LeftButton)
    after = texts(page)
    window.acts.do("undo")
    window.document.consider_now()
    assert texts(page) == before
    window.acts.do("redo")
    window.document.consider_now()
    assert texts(page) == after


def test_filters_count_and_show_one_group(page, qtbot) -> None:
    # five sizes, the four customs of the trade and the substrates of walls and ceilings
    assert page.filters["assumed"].text() == "Assumed 11"
    assert not page.filters["error"].isEnabled()
    qtbot.mouseClick(page.filters["assumed"], Qt.MouseButton.LeftButton)
    assert {row.row.group for row in page.widgets()} == {"assumed"}
    assert len(page.widgets()) == 11


def test_doubtful_room_is_accepted_or_removed_from_the_list(window, page, qtbot) -> None:
    document = window.document
    one, two = (str(room.id) for room in document.job.storeys[0].rooms[:2])
    for room in (one, two):
        document.apply("Doubt", lambda job, room=room: edits.set_room_confidence(job, RoomId(room), "check"))
    document.consider_now()
    qtbot.mouseClick(
        next(row for row in page.widgets() if row.row.thing == one).buttons["accept"], Qt.MouseButton.LeftButton
    )
    assert edits.room_of(document.job, RoomId(one)).confidence == "sure"
    qtbot.mouseClick(
        next(row for row in page.widgets() if row.row.thing == two).buttons["remove"], Qt.MouseButton.LeftButton
    )
    assert two not in {str(room.id) for room in document.job.storeys[0].rooms}


def test_doubtful_opening_is_accepted_from_the_list_and_measured(window, page, qtbot) -> None:
    document = window.document
    name = next(o.id for o in document.job.storeys[0].openings if o.kind == "window")
    measured = document.state.totals["openings_m2"]
    document.apply("Doubt", lambda job: edits.set_opening_confidence(job, OpeningId(name), "check"))
    assert document.state.totals["openings_m2"] < measured
    row = next(row for row in page.widgets() if row.row.thing == name)
    qtbot.mouseClick(row.buttons["accept"], Qt.MouseButton.LeftButton)
    assert document.state.totals["openings_m2"] == measured


def in_question(document, count: int) -> list[str]:
    """So many doors of one width, of which nobody is sure any more."""
    doors = [str(o.id) for o in document.job.storeys[0].openings if o.kind == "door"][:count]
    for name in doors:
        document.apply("Width", lambda job, name=name: edits.set_opening_size(job, OpeningId(name), width_mm=820.0))
        document.apply("Doubt", lambda job, name=name: edits.set_opening_confidence(job, OpeningId(name), "question"))
    document.consider_now()
    return doors


def test_alike_openings_are_asked_about_in_one_row_and_answered_with_one_button(window, page, qtbot) -> None:
    document = window.document
    doors = in_question(document, 3)
    rows = [row for row in page.widgets() if row.row.accept in ("opening", "openings")]
    (row,) = rows
    assert {name for name, _ in row.row.members} == set(doors)
    assert row.row.text.startswith("3 openings, 0.82 m wide, ")
    assert "proposed as doors, are not measured yet" in row.row.text
    assert page.filters["check"].text().startswith("To check")
    qtbot.mouseClick(row, Qt.MouseButton.LeftButton)
    assert {ref.id for ref in document.choice} == set(doors)
    qtbot.mouseClick(row.buttons["open"], Qt.MouseButton.LeftButton)
    kinds = {o.id: (o.kind, o.confidence) for o in document.job.storeys[0].openings}
    assert {kinds[name] for name in doors} == {("open", "sure")}
    assert not [row for row in page.widgets() if row.row.accept in ("opening", "openings")]
    assert document.stack.undoText() == "3 openings: Doorways"


def test_one_of_alike_openings_is_answered_by_itself(window, page, qtbot) -> None:
    doors = in_question(window.document, 3)
    (row,) = [row for row in page.widgets() if row.row.members]
    qtbot.mouseClick(row.buttons["each"], Qt.MouseButton.LeftButton)
    one = next(row for row in page.widgets() if row.row.thing == doors[1])
    qtbot.mouseClick(one.buttons["remove"], Qt.MouseButton.LeftButton)
    assert doors[1] not in {o.id for o in window.document.job.storeys[0].openings}
    assert any(row.row.text.startswith("2 openings, 0.82 m wide") for row in page.widgets())


def test_well_is_offered_only_where_the_outline_of_the_stair_is_known(window, page, qtbot) -> None:
    hall = next(row for row in page.widgets() if row.row.accept == "stair")
    assert list(hall.buttons) == ["goes-on", "well", "none", "why"]
    other = next(str(room.id) for room in window.document.job.storeys[0].rooms if str(room.id) != hall.row.thing)
    window.document.apply("Name", lambda job: edits.rename_room(job, RoomId(other), "Stair"))
    window.document.consider_now()
    named = next(row for row in page.widgets() if row.row.thing == other and row.row.accept == "stair")
    assert list(named.buttons) == ["goes-on", "none", "why"]
    qtbot.mouseClick(named.buttons["none"], Qt.MouseButton.LeftButton)
    assert not edits.room_of(window.document.job, RoomId(other)).ceiling_treatment.coat


def test_settled_things_are_saved_with_the_job(window, page, qtbot, told, tmp_path) -> None:
    qtbot.mouseClick(row_of(page, "Heads of 6 doors").buttons["confirm"], Qt.MouseButton.LeftButton)
    told.paths.append(tmp_path / "house.takeoff")
    window.acts.do("save-as")
    job = window.document.job
    window.files.open(tmp_path / "house.takeoff")
    assert window.document.job == job
    assert len(window.document.job.settled) == 6
    window.space.show_step("settle")
    assert page.filters["settled"].text() == "Done 6"
    assert not any(text.startswith("Heads of 6 doors") for text in texts(page))


def test_first_thing_to_settle_is_a_key_away(sample, qtbot) -> None:
    sample.document.choose((Ref("room", "G1"),))
    sample.acts.do("settle-next")
    assert sample.sides.current == "settle"
    assert sample.sides.page("settle").widgets()[0].row.text.startswith("The material list uses")


def test_first_thing_to_settle_is_found_whatever_group_was_shown(window, page, qtbot) -> None:
    page.show_filter("settled")
    window.acts.do("settle-next")
    assert window.focusWidget() is page.widgets()[0]
    assert page.filters["open"].isChecked()


def test_empty_job_says_what_will_be_listed(window, qtbot) -> None:
    window.space.show_step("settle")
    page = window.sides.page("settle")
    page.show_filter("check")
    assert "draw one, or open a drawing" in page.note.text()


def test_why_a_row_is_listed_folds_out_by_mouse_and_key(window, page, qtbot) -> None:
    page.show_filter("note")
    row = next(row for row in page.widgets() if row.row.evidence)
    why = row.buttons["why"]
    shown = [lab for lab in row.findChildren(QLabel) if lab.text() == row.row.evidence]
    assert len(shown) == 1
    assert row.row.evidence not in row.row.text
    assert shown[0].isHidden()
    qtbot.mouseClick(why, Qt.MouseButton.LeftButton)
    assert not shown[0].isHidden()
    why.setFocus()
    qtbot.keyClick(why, Qt.Key.Key_Space)
    assert shown[0].isHidden()
