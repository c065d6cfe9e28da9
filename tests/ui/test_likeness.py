"""The menu of what is under the mouse, choosing what is alike, rows of the table chosen many at a time."""

from __future__ import annotations

import pytest
from hands import Hands
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QContextMenuEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMenu, QWidget

from takeoff.ui.document import Ref
from takeoff.ui.window.likeness_part import HERE
from takeoff.ui.window.main_window import MainWindow

LEFT, PLAIN = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
SHIFT, CONTROL = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.ControlModifier


def right_click(widget: QWidget, spot: QPoint) -> None:
    QTest.mouseClick(widget, Qt.MouseButton.RightButton, pos=spot)
    reason = QContextMenuEvent.Reason.Mouse
    QApplication.sendEvent(widget, QContextMenuEvent(reason, spot, widget.mapToGlobal(spot), PLAIN))


def menu(window: MainWindow) -> QMenu:
    return next(m for m in reversed(window.findChildren(QMenu, "here")) if m.isVisible())


def words(window: MainWindow) -> list[str]:
    return [action.text() for action in menu(window).actions() if not action.isSeparator()]


def click_in_menu(window: MainWindow, text: str) -> None:
    shown = menu(window)
    action = next(action for action in shown.actions() if action.text() == text)
    QTest.mouseClick(shown, LEFT, pos=shown.actionGeometry(action).center())


def middle_of(window: MainWindow, opening: str) -> QPoint:
    drawn = window.plan._board.openings[opening]
    ends = [line[k] for line in (drawn.face, drawn.far) for k in (0, 1)]
    return window.plan.view.spot((sum(p[0] for p in ends) / 4, sum(p[1] for p in ends) / 4))


def openings(window: MainWindow, kind: str) -> set[str]:
    return {str(o.id) for storey in window.document.job.storeys for o in storey.openings if o.kind == kind}


def test_every_line_of_the_menus_is_an_action(sample: MainWindow) -> None:
    names = {name for lines in HERE.values() for name in lines} - {"", "kinds"}
    assert names <= {row.id for row in sample.acts.rows()}


def test_right_click_on_an_opening_chooses_it_and_its_kind_is_changed_there(sample: MainWindow) -> None:
    storey = sample.document.storey
    window = next(o for o in storey.openings if o.kind == "window")
    right_click(sample.plan.view.viewport(), middle_of(sample, window.id))
    assert sample.document.choice == (Ref("opening", str(window.id), str(window.room)),)
    assert {"Window", "Door", "Select all openings of this type", "Delete the selection"} <= set(words(sample))
    checked = [action.text() for action in menu(sample).actions() if action.isChecked()]
    assert checked == ["Window"]
    click_in_menu(sample, "Door")
    after = next(o for o in sample.document.storey.openings if o.id == window.id)
    assert after.kind == "door"
    assert sample.document.stack.undoText() == "Change the kind of 1 opening"


def test_right_click_on_a_room_a_wall_and_beside_all(sample: MainWindow) -> None:
    storey = sample.document.storey
    kitchen = next(room for room in storey.rooms if "Kitchen" in room.name)
    view = sample.plan.view
    right_click(view.viewport(), view.spot(sample.plan.items.pieces[f"room:{kitchen.id}"].words.at))
    assert sample.document.choice == (Ref("room", str(kitchen.id)),)
    assert "Rename the room" in words(sample)
    left = min(side.x_mm for side in kitchen.outline)
    low = min(side.y_mm for side in kitchen.outline)
    right_click(view.viewport(), view.spot((left + 20.0, low + 1500.0)))
    (ref,) = sample.document.choice
    assert (ref.kind, ref.room) == ("side", str(kitchen.id))
    click_in_menu(sample, "Select all walls of the room")
    assert {ref.id for ref in sample.document.choice} == {str(s.id) for s in kitchen.sides if s.kind == "wall"}
    right_click(view.viewport(), QPoint(5, 5))
    assert "Fit the plan" in words(sample)
    assert "Select all windows" in words(sample)


def test_right_click_in_tables_on_the_strip_and_by_key(sample: MainWindow) -> None:
    sample.space.show_step("rooms")
    QApplication.processEvents()
    table = sample.sides.page("rooms").table
    row = next(k for k, row in enumerate(table.rows.rows) if "Kitchen" in row.cells[0])
    right_click(table.viewport(), table.visualRect(table.rows.index(row, 0)).center())
    assert sample.document.choice == (table.rows.rows[row].ref,)
    assert sample.sides.current == "rooms"
    assert "Rename the room" in words(sample)
    faces = sample.strip.faces
    QApplication.processEvents()
    face, box = faces.boxes()[0]
    right_click(faces, QPointF(box.left() + 2, box.center().y()).toPoint())
    assert sample.document.choice[-1].kind == "side"
    assert "Select all walls of the room" in words(sample)
    assert face.elevation.side == sample.document.choice[-1].id
    sample.plan.view.setFocus()
    key = QContextMenuEvent(QContextMenuEvent.Reason.Keyboard, QPoint(0, 0), QPoint(0, 0), PLAIN)
    QApplication.sendEvent(sample.plan.view, key)
    assert "Next wall of the room" in words(sample)


@pytest.mark.parametrize(("action", "kind"), [("choose-windows", "window"), ("choose-doors", "door")])
def test_all_of_a_kind_are_chosen_and_set_together(sample: MainWindow, action: str, kind: str) -> None:
    sample.acts.do(action)
    assert {ref.id for ref in sample.document.choice} == openings(sample, kind)
    editor = sample.card.editors.of("opening")
    assert editor.isVisible()
    assert f"{len(openings(sample, kind))} openings, set together" in editor.place.text()
    QTest.mouseClick(editor.head, LEFT)
    QTest.keyClicks(editor.head, "2.05")
    QTest.keyClick(editor.head, Qt.Key.Key_Return)
    heads = {o.head_mm for s in sample.document.job.storeys for o in s.openings if o.kind == kind}
    assert heads == {2050.0}


def test_all_of_a_type_are_those_of_its_size(sample: MainWindow) -> None:
    every = [o for storey in sample.document.job.storeys for o in storey.openings]
    sizes = {o.id: (o.kind, o.shape, o.width_mm, o.sill_mm, o.head_mm) for o in every}
    first = next(o for o in every if sum(size == sizes[o.id] for size in sizes.values()) > 1)
    sample.document.choose((Ref("opening", str(first.id), str(first.room)),))
    sample.acts.do("choose-alike")
    assert {ref.id for ref in sample.document.choice} == {
        str(k) for k, size in sizes.items() if size == sizes[first.id]
    }


def test_rows_of_the_openings_table_are_chosen_together_and_changed_together(sample: MainWindow) -> None:
    Hands(sample)
    sample.space.show_step("openings")
    QApplication.processEvents()
    page = sample.sides.page("openings")
    table = page.table

    def click(row: int, keys=PLAIN) -> None:
        QTest.mouseClick(table.viewport(), LEFT, keys, table.visualRect(table.rows.index(row, 0)).center())

    click(0)
    assert sample.sides.current == "openings"
    click(3, SHIFT)
    click(1, CONTROL)
    wanted = [table.rows.rows[row].ref for row in (0, 2, 3)]
    assert sorted(sample.document.choice, key=str) == sorted(wanted, key=str)
    assert page.change_button.text() == "Change 3 together…"
    QTest.mouseClick(page.change_button, LEFT)
    assert sample.sides.current == "card"
    editor = sample.card.editors.of("opening")
    QTest.mouseClick(editor.width_field, LEFT)
    QTest.keyClicks(editor.width_field, "0.71")
    QTest.keyClick(editor.width_field, Qt.Key.Key_Return)
    ids = {ref.id for ref in wanted}
    widths = {o.width_mm for s in sample.document.job.storeys for o in s.openings if o.id in ids}
    assert widths == {710.0}
    sample.acts.do("undo")
    assert sample.document.stack.isClean()
