"""A room gets another name or number: in its card, by F2 on the plan and in the table, found by its word."""

from __future__ import annotations

import pytest
from hands import Hands
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from test_choosing import spot_of
from test_figures import click_figure

from takeoff.ui.document import Ref
from takeoff.ui.panels.card import RoomNames
from takeoff.ui.panels.figures_table import FiguresPanel

ENTER, ESCAPE, F2 = Qt.Key.Key_Return, Qt.Key.Key_Escape, Qt.Key.Key_F2


@pytest.fixture
def names(sample, qtbot) -> RoomNames:
    """The names of the kitchen, which a click on the plan has chosen."""
    sample.activateWindow()
    qtbot.mouseClick(sample.plan.view.viewport(), Qt.MouseButton.LeftButton, pos=spot_of(sample, "Kitchen"))
    assert sample.document.choice == (Ref("room", "G5"),)
    return sample.card.names


def room(window, room_id: str):
    return next(r for s in window.document.job.storeys for r in s.rooms if r.id == room_id)


def retype(field, text: str) -> None:
    """Type over what stands in a field that has the keys."""
    assert QApplication.focusWidget() is field
    field.selectAll()
    QTest.keyClicks(field, text)


def test_name_typed_in_the_card_is_kept_by_enter_and_undone_by_its_name(sample, names, qtbot) -> None:
    before = sample.document.job
    qtbot.mouseClick(names.name, Qt.MouseButton.LeftButton)
    retype(names.name, "Scullery  and larder ")
    QTest.keyClick(names.name, ENTER)
    assert (room(sample, "G5").name, room(sample, "G5").number) == ("Scullery and larder", "G5")
    assert sample.card.title.text() == "G5 Scullery and larder"
    assert any(p.words is not None and p.words.name.endswith("larder") for p in sample.plan.items.pieces.values())
    assert sample.document.stack.undoText() == "Rename G5 Kitchen"
    sample.acts.do("undo")
    assert sample.document.job is before
    assert names.name.text() == "Kitchen"


def test_number_is_kept_when_the_field_is_left(sample, names, qtbot) -> None:
    qtbot.mouseClick(names.number, Qt.MouseButton.LeftButton)
    retype(names.number, "0.12")
    qtbot.mouseClick(names.name, Qt.MouseButton.LeftButton)
    assert (room(sample, "G5").name, room(sample, "G5").number) == ("Kitchen", "0.12")
    assert sample.card.title.text() == "0.12 Kitchen"


def test_escape_gives_back_what_was(sample, names, qtbot) -> None:
    before = sample.document.job
    qtbot.mouseClick(names.name, Qt.MouseButton.LeftButton)
    retype(names.name, "Nonsense")
    QTest.keyClick(names.name, ESCAPE)
    assert names.name.text() == "Kitchen"
    QTest.keyClick(names.name, ENTER)
    assert sample.document.job is before
    assert not sample.document.stack.canUndo()


def test_f2_on_the_plan_types_the_name_and_gives_the_keys_back(sample, names) -> None:
    hands = Hands(sample)
    hands.key(F2)
    assert names.name.selectedText() == "Kitchen"
    retype(names.name, "Galley")
    QTest.keyClick(names.name, ENTER)
    assert room(sample, "G5").name == "Galley"
    assert QApplication.focusWidget() is sample.plan.view
    hands.key(F2)
    QTest.keyClick(names.name, ESCAPE)
    assert QApplication.focusWidget() is sample.plan.view
    assert sample.document.choice == (Ref("room", "G5"),)


def test_f2_of_a_chosen_wall_is_for_its_room(sample, names) -> None:
    sample.document.choose((Ref("side", str(room(sample, "G2").outline[0].id), "G2"),))
    Hands(sample).key(F2)
    assert sample.document.choice == (Ref("room", "G2"),)
    retype(names.name, "Parlour")
    QTest.keyClick(names.name, ENTER)
    assert room(sample, "G2").name == "Parlour"


def test_f2_in_the_table_of_figures_is_for_the_marked_row(sample, names, qtbot) -> None:
    sample.acts.do("figures")
    panel = sample.findChild(FiguresPanel)
    click_figure(qtbot, panel, "G1 Hall")
    QTest.keyClick(panel.table, Qt.Key.Key_Down)
    marked = panel.lines[panel.table.currentIndex().row()]
    assert marked.id == "G2"
    QTest.keyClick(panel.table, F2)
    assert sample.document.choice == (Ref("room", "G2"),)
    retype(names.name, "Saloon")
    QTest.keyClick(names.name, ENTER)
    assert panel.lines[panel.table.currentIndex().row()].name == "G2 Saloon"
    assert QApplication.focusWidget() is panel.table


def test_what_is_typed_belongs_to_its_room_when_another_is_chosen(sample, names, qtbot) -> None:
    qtbot.mouseClick(names.name, Qt.MouseButton.LeftButton)
    retype(names.name, "Galley")
    sample.document.choose((Ref("room", "G1"),))
    QApplication.processEvents()
    assert room(sample, "G5").name == "Galley"
    assert room(sample, "G1").name == names.name.text() == "Hall"


def test_what_is_typed_is_kept_when_the_card_goes(sample, names, qtbot) -> None:
    qtbot.mouseClick(names.name, Qt.MouseButton.LeftButton)
    retype(names.name, "Galley")
    sample.document.choose((Ref("opening", str(sample.document.storey.openings[0].id), "G2"),))
    QApplication.processEvents()
    assert room(sample, "G5").name == "Galley"
    assert sample.document.stack.undoText() == "Rename G5 Kitchen"


def test_of_several_rooms_no_name_is_typed(sample, names) -> None:
    assert names.isVisible()
    sample.document.choose((Ref("room", "G1"), Ref("room", "G5")))
    assert not names.isVisible()


def test_action_is_found_under_rename_and_only_with_a_room(sample, names) -> None:
    QTest.keyClicks(sample.top.field, "rename")
    QTest.keyClick(sample.top.field, ENTER)
    assert QApplication.focusWidget() is names.name
    sample.document.choose(())
    assert not sample.acts.q("rename-room").isEnabled()
