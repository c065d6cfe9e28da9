"""Days and lots on their pages: what is typed and clicked is in the job, bars and tables follow."""

from __future__ import annotations

from icalendar import Calendar
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QPushButton

from takeoff.ui import messages
from tests.ui.test_price_and_days import cells, days_of, typed


def lots_of(window):
    window.acts.do("lots")
    return window.findChild(object, "lots").page


def test_crews_nights_and_bars_follow_what_is_typed(sample, qtbot) -> None:
    page = days_of(sample)
    page.crews.add.click()
    assert sample.document.job.programme.crews == ()
    page.crews.name.setText("Sanders")
    page.crews.people.setText("2")
    page.crews.works["sand"].click()
    qtbot.mouseClick(page.crews.add, Qt.MouseButton.LeftButton)
    assert (page.crews.name.text(), page.crews.works["sand"].isChecked()) == ("", False)
    typed(qtbot, page.fields["together"], "2")
    living = next(room for room, box in page.rooms.items() if "Living" in box.text())
    page.rooms[living].click()
    sample.document.consider_now()
    terms = sample.document.job.programme
    assert [(crew.name, crew.people, crew.works) for crew in terms.crews] == [("Sanders", 2, ("sand",))]
    assert (terms.lived_in, terms.together) == ((living,), 2)
    assert page.chart.pictures
    assert "Nights out of use" in [page.blocks[0].cells.horizontalHeaderItem(c).text() for c in range(5)]
    assert "Water to dry out" in page.water.text()


def test_a_crew_is_taken_out_again(sample, qtbot) -> None:
    page = days_of(sample)
    page.crews.name.setText("Sanders")
    page.crews.works["sand"].click()
    qtbot.mouseClick(page.crews.add, Qt.MouseButton.LeftButton)
    row = page.crews.rows.layout().itemAt(0).widget()
    assert "Sanders, 1 person: Sand" in [shown.text() for shown in row.findChildren(QLabel)]
    qtbot.mouseClick(row.findChild(QPushButton), Qt.MouseButton.LeftButton)
    assert sample.document.job.programme.crews == ()


def test_calendar_file_is_offered_and_opens(sample, qtbot, tmp_path, monkeypatch) -> None:
    page = days_of(sample)
    typed(qtbot, page.fields["start"], "2031-05-19")
    sample.document.consider_now()
    file = tmp_path / "days.ics"
    monkeypatch.setattr(messages.current(), "file_to_save", lambda *_: file)
    qtbot.mouseClick(page.calendar, Qt.MouseButton.LeftButton)
    assert len(Calendar.from_ical(file.read_bytes()).walk("VEVENT")) > 20


def test_storeys_are_lots_and_a_room_goes_into_another(sample, qtbot) -> None:
    page = lots_of(sample)
    qtbot.mouseClick(page.by_storey, Qt.MouseButton.LeftButton)
    sample.document.consider_now()
    lots = sample.document.job.lots
    assert [lot.name for lot in lots] == [storey.title for storey in sample.document.job.storeys]
    assert [row[0] for row in cells(page.blocks[0])][:2] == [lot.name for lot in lots]
    bought = [row[3] for block in page.blocks[1:] for row in cells(block)]
    count = sum(int(part.split(" × ")[0]) for text in bought for part in text.split(" + ") if " × " in part)
    assert sample.totals.figures[3].text() == f"{count} packs, all materials"
    page.into.setCurrentIndex(page.into.findData(lots[1].id))
    page.into.activated.emit(page.into.currentIndex())
    after = sample.document.job.lots
    assert [len(lot.rooms) for lot in after] == [len(lots[0].rooms) - 1, len(lots[1].rooms) + 1]
    typed(qtbot, page.date, "2031-06-02")
    assert sample.document.job.lots[0].date == "2031-06-02"
    typed(qtbot, page.van, "60")
    assert [one.quantity for one in sample.document.job.in_van] == [60.0]
    typed(qtbot, page.date, "soon")
    assert "is not a date" in page.date.refusal
