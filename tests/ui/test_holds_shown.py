"""Holds at the foot and on the plan until they are cleared; counted items of a room; limits of the job."""

from __future__ import annotations

from datetime import datetime

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton

LEFT = Qt.MouseButton.LeftButton
NOW = datetime(2031, 5, 20, 8, 0)


@pytest.fixture
def part(sample):
    found = sample.findChild(object, "site-checks")
    found.clock = lambda: NOW
    sample.acts.do("site-check")
    return found


def choose(field, key: str) -> None:
    field.setCurrentIndex(field.findData(key))
    field.activated.emit(field.currentIndex())


def room_of(sample) -> str:
    return str(sample.document.job.storeys[0].rooms[0].id)


def button(widget, word: str) -> QPushButton:
    QApplication.processEvents()
    return next(b for b in widget.findChildren(QPushButton) if b.text() == word and b.isVisibleTo(widget))


def test_hold_stands_at_the_foot_and_on_the_plan_until_it_is_cleared(sample, part, qtbot) -> None:
    foot, page, room = sample.totals.holds, part.page, room_of(sample)
    assert foot.text() == ""
    choose(page.room, room)
    choose(page.face, "ceiling")
    qtbot.mouseClick(page.looks["textured"]["yes"], LEFT)
    (tick,) = sample.document.job.site_check.ticks
    assert (tick.room, tick.face) == (room, "ceiling")
    assert foot.text() == "1 hold: textured coating"
    assert [mark.room for mark in part.marks.marks] == [room]
    (mark,) = part.marks.marks
    px = sample.plan.view.px_per_mm
    assert part.marks.at((mark.at[0], mark.at[1] - mark.off_px / px), px).id == room
    assert part.marks.at((mark.at[0] + 60.0 / px, mark.at[1]), px) is None
    sample.sides.show_page("card")
    qtbot.mouseClick(foot, LEFT)
    assert sample.sides.current == "site-check"
    QTest.keyClicks(page.person, "J. Sample")
    QTest.keyClicks(page.because, "surveyed")
    qtbot.mouseClick(button(page.holds, "Clear"), LEFT)
    (cleared,) = sample.document.job.site_check.cleared
    assert (cleared.person, cleared.on, cleared.because) == ("J. Sample", "2031-05-20", "surveyed")
    assert foot.text() == ""
    assert part.marks.marks == ()
    sample.document.stack.undo()
    assert foot.text() == "1 hold: textured coating"


def test_reading_keeps_instrument_person_and_time(sample, part, qtbot) -> None:
    page = part.page
    choose(page.room, room_of(sample))
    choose(page.quantity, "surface")
    for field, text in (
        (page.place, "north reveal"), (page.instrument, "IR 2"), (page.person, "J. Sample"),
        (page.at, "2031-05-19T17:30"), (page.value, "14,0"),
    ):  # fmt: skip
        QTest.keyClicks(field, text)
    qtbot.mouseClick(page.add, LEFT)
    (reading,) = sample.document.job.site_check.readings
    assert (reading.value, reading.place, reading.instrument) == (14.0, "north reveal", "IR 2")
    assert (reading.person, reading.at) == ("J. Sample", "2031-05-19T17:30")
    page.at.setText("2031-05-21T08:00")
    QTest.keyClicks(page.value, "15")
    qtbot.mouseClick(page.add, LEFT)
    assert len(sample.document.job.site_check.readings) == 1
    assert page.value.text() == "15"


def test_limit_of_the_job_is_typed_and_emptied_again(sample, part, qtbot) -> None:
    field = part.page.limits["surface", "low"]
    assert field.placeholderText() == "10"
    field.setFocus()
    QTest.keyClicks(field, "12")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert sample.document.job.site_check.limits.low == (("surface", 12.0),)
    field.selectAll()
    qtbot.keyClick(field, Qt.Key.Key_Delete)
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert sample.document.job.site_check.limits.low == ()


def test_items_are_counted_in_a_room_and_taken_out(sample, qtbot) -> None:
    sample.acts.do("items")
    page = sample.findChild(object, "counted-items").page
    room = sample.document.job.storeys[0].rooms[0]
    choose(page.room, str(room.id))
    choose(page.kind, "radiators")
    assert page.who.currentData() == "plumber"
    choose(page.done, "stays")
    page.count.clear()
    QTest.keyClicks(page.count, "2")
    qtbot.mouseClick(page.add, LEFT)
    (item,) = sample.document.job.storeys[0].rooms[0].counted
    assert (item.kind, item.count, item.done, item.who, item.side) == ("radiators", 2, "stays", "plumber", None)
    assert "stays bare and as cold as it was" in page.bare.text()
    choose(page.kind, "vents")
    assert [page.done.itemData(at) for at in range(page.done.count())] == ["kept-open"]
    page.count.setText("many")
    qtbot.mouseClick(page.add, LEFT)
    assert len(sample.document.job.storeys[0].rooms[0].counted) == 1
    qtbot.mouseClick(button(page.rows, "Remove"), LEFT)
    assert sample.document.job.storeys[0].rooms[0].counted == ()
