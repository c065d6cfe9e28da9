"""The site check in the window: readings, answers, holds cleared by name."""

from __future__ import annotations

from datetime import datetime

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton

LEFT = Qt.MouseButton.LeftButton
NOW = datetime(2031, 5, 20, 8, 0)


@pytest.fixture
def page(sample):
    part = sample.findChild(object, "site-checks")
    part.clock = lambda: NOW
    sample.acts.do("site-check")
    return part.page


def choose(field, key: str) -> None:
    field.setCurrentIndex(field.findData(key))
    field.activated.emit(field.currentIndex())


def read(qtbot, page, quantity: str, text: str) -> None:
    choose(page.quantity, quantity)
    page.value.clear()
    QTest.keyClicks(page.value, text)
    qtbot.mouseClick(page.add, LEFT)


def reasons(page) -> str:
    table = page.table.cells
    return "\n".join(table.item(row, 1).text() for row in range(table.rowCount()) if table.item(row, 1))


def test_dew_point_hold_is_said_and_goes_with_a_warmer_surface(sample, page, qtbot) -> None:
    room = str(sample.document.job.storeys[0].rooms[0].id)
    choose(page.stage, "coating")
    choose(page.room, room)
    for quantity, text in (("air", "20"), ("humidity", "60"), ("surface", "14,0")):
        read(qtbot, page, quantity, text)
    readings = sample.document.job.site_check.readings
    assert [(r.quantity, r.value, r.room) for r in readings] == [
        ("air", 20.0, room),
        ("humidity", 60.0, room),
        ("surface", 14.0, room),
    ]
    assert "margin 2.0 K" in reasons(page)
    assert page.verdict.isVisibleTo(page)
    sample.document.stack.undo()
    page_part = sample.findChild(object, "site-checks")
    page_part.clock = lambda: datetime(2031, 5, 20, 8, 5)
    read(qtbot, page, "surface", "15.1")
    assert "margin" not in reasons(page)


def test_answers_are_kept_and_shown(sample, page, qtbot) -> None:
    qtbot.mouseClick(page.looks["textured"]["yes"], LEFT)
    (tick,) = sample.document.job.site_check.ticks
    assert (tick.what, tick.answer, tick.room) == ("textured", "yes", None)
    assert page.looks["textured"]["yes"].isChecked()
    assert "may hold asbestos" in reasons(page)
    qtbot.mouseClick(page.looks["textured"]["no"], LEFT)
    assert "may hold asbestos" not in reasons(page)
    assert len(sample.document.job.site_check.ticks) == 1


def test_hold_is_cleared_by_name_and_put_back(sample, page, qtbot, told) -> None:
    qtbot.mouseClick(page.looks["textured"]["yes"], LEFT)

    def button(word: str) -> QPushButton:
        QApplication.processEvents()  # rows that come in are shown by then
        return next(b for b in page.holds.findChildren(QPushButton) if b.text() == word and b.isVisibleTo(page))

    qtbot.mouseClick(button("Clear"), LEFT)
    assert sample.document.job.site_check.cleared == ()
    QTest.keyClicks(page.person, "J. Sample")
    qtbot.mouseClick(button("Clear"), LEFT)
    (cleared,) = sample.document.job.site_check.cleared
    assert (cleared.person, cleared.on) == ("J. Sample", "2031-05-20")
    qtbot.mouseClick(button("Hold again"), LEFT)
    assert sample.document.job.site_check.cleared == ()


def test_reading_that_cannot_be_stays_typed_and_is_not_taken(sample, page, qtbot) -> None:
    choose(page.room, str(sample.document.job.storeys[0].rooms[0].id))
    for text in ("ninety", "140"):
        read(qtbot, page, "humidity", text)
        assert page.value.text() == text
    assert sample.document.job.site_check.readings == ()


def test_reading_is_removed(sample, page, qtbot) -> None:
    choose(page.room, str(sample.document.job.storeys[0].rooms[0].id))
    read(qtbot, page, "gap", "8")
    assert "Too high" in reasons(page)
    out = next(b for b in page.readings.findChildren(QPushButton) if b.text() == "Remove")
    qtbot.mouseClick(out, LEFT)
    assert sample.document.job.site_check.readings == ()
