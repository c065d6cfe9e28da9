"""What hangs at the pointer goes with its tool, and shows nothing wrong where something was just placed well."""

from __future__ import annotations

from hands import Hands
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from takeoff.ui.document import Ref
from takeoff.ui.window.main_window import MainWindow

LEFT = Qt.MouseButton.LeftButton


def ghosts(window: MainWindow) -> int:
    """Items in the scene."""
    return len(window.plan.view.scene().items())


def corner_of(window: MainWindow, word: str) -> tuple[float, float]:
    room = next(r for r in window.document.storey.rooms if word in r.name)
    return min((side.x_mm, side.y_mm) for side in room.outline)


def test_the_ghost_of_pasted_rooms_goes_when_they_are_put_down(sample: MainWindow) -> None:
    hands = Hands(sample)
    kitchen = next(r for r in sample.document.storey.rooms if "Kitchen" in r.name)
    sample.document.choose((Ref("room", str(kitchen.id)),))
    sample.acts.do("copy")
    sample.acts.do("paste")
    assert sample.plan.view.tool is not sample.choose
    hands.move((9000.0, 3000.0))
    tool = sample.plan.view.tool
    assert len(tool.preview._items) > 0
    hands.click((9000.0, 3000.0))
    assert sample.plan.view.tool is sample.choose
    assert hands.room_count() == 8
    assert tool.preview._items == []
    assert hands.read == ""
    hands.move((9500.0, 3500.0))
    assert tool.preview._items == []
    # by Enter too
    sample.acts.do("paste")
    hands.move((15000.0, 3000.0))
    hands.key(Qt.Key.Key_Return)
    assert hands.room_count() == 9
    assert tool.preview._items == []


def test_nothing_red_hangs_over_a_window_that_was_placed_well(sample: MainWindow) -> None:
    hands = Hands(sample)
    kitchen = next(r for r in sample.document.storey.rooms if "Kitchen" in r.name)
    left = min(side.x_mm for side in kitchen.outline)
    low = min(side.y_mm for side in kitchen.outline)
    at = (left, low + 1500.0)
    hands.tool("Window")
    hands.move(at)
    tool = sample.plan.view.tool
    assert tool.preview._items != []
    before = len(hands.storey.openings)
    hands.click(at)
    assert len(hands.storey.openings) == before + 1
    assert tool.preview._items == []
    assert hands.read == ""
    # the next one shows once the mouse goes on
    hands.move((left, low + 1510.0), (left, low + 2600.0))
    assert tool.preview._items != []


def test_a_part_is_placed_after_escape(sample: MainWindow) -> None:
    hands = Hands(sample)
    sample.acts.do("parts")
    page = sample.sides.page("parts")
    QApplication.processEvents()
    chip = page.chips["boxing"]
    QTest.mouseClick(chip, LEFT)
    assert chip.isChecked()
    hands.key(Qt.Key.Key_Escape)
    assert sample.plan.view.tool is sample.choose
    # the page does not look as if a click would place something
    assert not any(one.isChecked() for one in page.chips.values())
    QTest.mouseClick(chip, LEFT)
    assert chip.isChecked()
    at = corner_of(sample, "Living")
    done = sample.document.stack.count()
    hands.click((at[0] + 30.0, at[1] + 30.0))
    assert sample.document.stack.count() == done + 1
    assert sample.document.stack.undoText() == "Place boxing in a corner"
    assert sample.plan.view.tool.preview._items == []


def test_a_part_of_two_clicks_is_placed_after_its_first_end_was_given_up(sample: MainWindow) -> None:
    hands = Hands(sample)
    sample.acts.do("part-units")
    kitchen = next(r for r in sample.document.storey.rooms if "Kitchen" in r.name)
    left, low = min(side.x_mm for side in kitchen.outline), min(side.y_mm for side in kitchen.outline)
    hands.click((left + 20.0, low + 900.0))
    hands.key(Qt.Key.Key_Escape)
    assert sample.plan.view.tool is not sample.choose
    done = sample.document.stack.count()
    hands.click((left + 20.0, low + 700.0), (left + 20.0, low + 2200.0))
    assert sample.document.stack.count() == done + 1
