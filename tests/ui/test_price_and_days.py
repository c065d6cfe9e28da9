"""Price and days on their page: what is typed is in the job, and the tables are those of the command."""

from __future__ import annotations

from decimal import Decimal

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest


def page_of(window):
    window.acts.do("offer")
    return window.findChild(object, "offers").page


def days_of(window):
    window.acts.do("days")
    return window.findChild(object, "days").page


def typed(qtbot, field, text: str) -> None:
    qtbot.mouseClick(field, Qt.MouseButton.LeftButton)
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)


def cells(block) -> list[list[str]]:
    table = block.cells
    rows = range(table.rowCount())
    columns = range(table.columnCount())
    return [[table.item(row, column).text() if table.item(row, column) else "" for column in columns] for row in rows]


def test_rates_that_are_typed_make_a_price(sample, qtbot) -> None:
    page = page_of(sample)
    sample.document.consider_now()
    for item in ("walls", "ceilings", "drops", "reveals", "bead"):
        typed(qtbot, page.fields[f"rate:{item}"], "10,50")
    assert {rate.price for rate in sample.document.job.price.rates} == {"10.50"}
    sample.document.consider_now()
    rows = cells(page.blocks[0])
    amounts = [Decimal(row[-1].replace(",", "")) for row in rows]
    assert rows[-1][0] == "Total"
    assert sum(amounts[:-1]) == amounts[-1]
    sample.document.stack.undo()
    assert len(sample.document.job.price.rates) == 4


def test_price_that_is_built_up_shows_its_parts(sample, qtbot) -> None:
    page = page_of(sample)
    page.way.setCurrentIndex(page.way.findData("built-up"))
    page.way.activated.emit(page.way.currentIndex())
    assert sample.document.job.price.way == "built-up"
    typed(qtbot, page.fields["hour"], "42")
    typed(qtbot, page.fields["visit"], "25")
    sample.document.consider_now()
    assert "Materials in whole packs" in [row[0] for row in cells(page.blocks[1])]
    assert not page.fields["rate:walls"].isEnabled()
    assert not page.fields["rate:strip"].isEnabled()  # its hours are known
    assert page.fields["rate:treat"].isEnabled()


def test_hire_of_the_dehumidifier_is_a_line_once_both_pages_say_it(sample, qtbot) -> None:
    page = page_of(sample)
    typed(qtbot, page.fields["dryer_day"], "24,50")
    sample.document.consider_now()
    assert not any("Dehumidifier" in row[0] for row in cells(page.blocks[0]))
    typed(qtbot, days_of(sample).fields["dryer"], "18")
    page = page_of(sample)
    sample.document.consider_now()
    (row,) = [row for row in cells(page.blocks[0]) if "Dehumidifier" in row[0]]
    assert Decimal(row[-1].replace(",", "")) == Decimal(row[1]) * Decimal("24.50")


def test_dates_and_hours_are_seen_whole(sample, qtbot) -> None:
    page = days_of(sample)
    sample.resize(1366, 768)
    sample.show()
    typed(qtbot, page.fields["start"], "2031-05-19")
    for key in ("start", "begins", "ends", "inside", "outside"):
        field = page.fields[key]
        text = field.text() or field.placeholderText()
        assert field.fontMetrics().horizontalAdvance(text) < field.width() - 20, key


def test_days_follow_start_and_crew(sample, qtbot) -> None:
    page = days_of(sample)
    typed(qtbot, page.fields["start"], "2031-05-19")
    typed(qtbot, page.fields["people"], "2")
    sample.document.consider_now()
    days = next(block for block in page.blocks if block.title.text() == "Programme" and block.isVisibleTo(page))
    assert cells(days)[0][0] == "19 May 2031"
    assert "visits" in days.note.text()


def test_what_cannot_be_is_refused_beside_its_field(sample, qtbot) -> None:
    before = sample.document.job
    for key, text, said in (
        ("start", "soon", "is not a date"),
        ("people", "0", "1 to 50 people"),
        ("country", "XQ", "not known"),
        ("tax", "-3", "not a percentage"),
        ("ends", "06:00", "ends after it begins"),
    ):
        page = page_of(sample) if key == "tax" else days_of(sample)
        field = page.fields[key]
        typed(qtbot, field, text)
        assert said in field.refusal
        assert field.text() == text
        QTest.keyClick(field, Qt.Key.Key_Escape)
    assert sample.document.job == before


def test_page_fits_its_place_in_a_small_window(sample, qtbot) -> None:
    sample.resize(1366, 768)
    page = page_of(sample)
    sample.document.consider_now()
    assert page.minimumSizeHint().width() <= page.width()
    for field in page.fields.values():
        right = field.mapTo(page, field.rect().topRight()).x()
        assert right < page.width()


def test_extras_widths_and_what_the_client_sees_are_typed_and_shown_again(sample, qtbot) -> None:
    page = page_of(sample)
    sample.document.consider_now()
    for item in ("walls", "ceilings", "drops", "reveals", "bead"):
        typed(qtbot, page.fields[f"rate:{item}"], "10,50 @5" if item == "bead" else "10,50")
    typed(qtbot, page.fields["by_width"], "300=14; 150=9,50")
    typed(qtbot, page.fields["extras"], "Skip hire=1 each 120; Day work=2 h 42 @5")
    typed(qtbot, page.fields["currency"], "eur")
    typed(qtbot, page.fields["valid_days"], "14")
    page.seen.setCurrentIndex(page.seen.findData("rooms"))
    page.seen.activated.emit(page.seen.currentIndex())
    sample.document.consider_now()
    assert page.fields["by_width"].text() == "150=9.50; 300=14"
    assert page.fields["rate:bead"].text() == "10.50 @5%"
    assert page.fields["extras"].text() == "Skip hire=1 each 120; Day work=2 h 42 @5%"
    job = sample.document.job
    assert (job.price.shown, job.price.valid_days, job.details.currency) == ("rooms", 14, "EUR")
    rows = cells(page.blocks[0])
    assert [row[0] for row in rows if "Skip" in row[0] or "Net" in row[0]] == ["Skip hire", "Net"]
    net = next(k for k, row in enumerate(rows) if row[0] == "Net")
    amounts = [Decimal(row[-1].replace(",", "")) for row in rows]
    assert sum(amounts[:net]) == amounts[net]
    assert sum(amounts[net:-1]) == amounts[-1]


def test_price_that_is_none_is_refused_at_its_field_and_nothing_is_lost(sample, qtbot) -> None:
    page = page_of(sample)
    before = sample.document.job
    for key, text in (
        ("rate:walls", "-3"),
        ("tax", "1000"),
        ("currency", "XQQ"),
        ("extras", "Skip"),
        ("by_width", "x=1"),
    ):
        typed(qtbot, page.fields[key], text)
        assert sample.document.job is before
