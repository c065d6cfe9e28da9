"""Fields: a click marks all, what is refused stays with the reason beside it, Escape goes back to the plan."""

from __future__ import annotations

import pytest
from hands import Hands
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from takeoff.ui.document import Ref
from takeoff.ui.panels.form_fields import LengthField
from takeoff.ui.panels.opening_editor import OpeningEditor
from takeoff.ui.window.main_window import MainWindow

LEFT = Qt.MouseButton.LeftButton


def editor_of(window: MainWindow, kind: str = "window") -> OpeningEditor:
    """The card of the first opening of a kind."""
    storey = window.document.storey
    assert storey is not None
    opening = next(o for o in storey.openings if o.kind == kind)
    window.activateWindow()
    window.document.choose((Ref("opening", str(opening.id), str(opening.room)),))
    QApplication.processEvents()
    return window.card.editors.of("opening")


def type_over(field: LengthField, text: str) -> None:
    QTest.mouseClick(field, LEFT)
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)


def test_a_click_marks_all_and_typing_replaces_it(sample: MainWindow) -> None:
    field = editor_of(sample).width_field
    QTest.mouseClick(field, LEFT)
    assert field.selectedText() == field.text() != ""
    QTest.keyClicks(field, "0.9")
    assert field.text() == "0.9"
    # a second click sets the cursor, as everywhere
    QTest.mouseClick(field, LEFT)
    assert field.selectedText() == ""


def test_units_are_shown_behind_lengths_unless_one_is_typed(sample: MainWindow) -> None:
    field = editor_of(sample).width_field
    assert field.unit == "m"
    with_unit = field.grab().toImage()
    QTest.mouseClick(field, LEFT)
    QTest.keyClicks(field, "900 mm")
    assert field.unit == ""
    assert field.grab().toImage() != with_unit


@pytest.mark.parametrize("typed", ["wide", "-3", "4000"])
def test_what_is_refused_stays_with_the_reason_beside_the_field(sample: MainWindow, typed: str) -> None:
    editor = editor_of(sample)
    field, before = editor.width_field, sample.document.job
    type_over(field, typed)
    assert sample.document.job is before
    assert field.text() == typed
    assert field.refusal
    beside = field._beside
    assert beside is not None
    assert beside.isVisible()
    assert beside.text() == field.refusal
    gap = beside.geometry().top() - field.geometry().bottom()
    assert 0 <= gap <= 6 or 0 <= field.geometry().top() - beside.geometry().bottom() <= 6
    assert beside.x() >= 0
    assert beside.geometry().right() <= beside.parentWidget().width()
    # typing again forgives
    QTest.keyClicks(field, "0")
    assert not field.refusal
    assert not beside.isVisible()


def test_an_edit_that_is_refused_keeps_what_was_typed_too(sample: MainWindow) -> None:
    """0.10 m is a height that a head may have, but not below the sill."""
    editor = editor_of(sample)
    storey = sample.document.storey
    assert storey is not None
    field, before = editor.head, sample.document.job
    type_over(field, "0.10")
    assert sample.document.job is before
    assert field.text() == "0.10"
    assert field.refusal == sample.totals.note.text() != ""
    # another opening shows its own
    other = next(o for o in storey.openings if o.kind == "door")
    sample.document.choose((Ref("opening", str(other.id), str(other.room)),))
    assert field.text() != "0.10"
    assert not field.refusal


def test_escape_takes_back_and_gives_the_keys_to_the_plan(sample: MainWindow) -> None:
    field = editor_of(sample).width_field
    shown = field.text()
    QTest.mouseClick(field, LEFT)
    QTest.keyClicks(field, "7")
    QTest.keyClick(field, Qt.Key.Key_Escape)
    assert field.text() == shown
    assert sample.plan.view.hasFocus()
    QTest.mouseClick(field, LEFT)
    QTest.keyClick(field, Qt.Key.Key_Escape)
    assert sample.plan.view.hasFocus()


@pytest.mark.parametrize("where", ["find", "page", "steps", "table"])
def test_escape_lays_a_tool_down_wherever_the_keys_are(sample: MainWindow, where: str) -> None:
    hands = Hands(sample)
    hands.tool("Window")
    assert sample.plan.view.tool is not sample.choose
    sample.space.show_step("openings")
    page = sample.sides.page("openings")
    widget = {"find": sample.top.field, "page": page.sill, "steps": sample.steps.button("rooms"), "table": page.table}[
        where
    ]
    widget.setFocus()
    QTest.keyClick(widget, Qt.Key.Key_Escape)
    assert sample.plan.view.tool is sample.choose
    assert sample.plan.view.hasFocus()
