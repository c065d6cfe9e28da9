"""The sheets are looked at before they are written: the very PDF, sharp, with the job's own words on it."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QImage, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from takeoff.errors import OutputError
from takeoff.findings import noticed
from takeoff.plan import edits
from takeoff.plan.settled import with_unsettled
from takeoff.services.written import preview
from takeoff.ui.settings import Settings
from takeoff.ui.window.main_window import MainWindow
from takeoff.ui.window.sheet_printing import image_of
from takeoff.ui.window.sheets_part import SheetsPart


def part_of(window) -> SheetsPart:
    part = window.findChild(SheetsPart, "sheets")
    assert part is not None
    return part


def shown(window, qtbot) -> SheetsPart:
    """The sheets, once they are there and the page in view is sharp."""
    part = part_of(window)
    if not part.panel.isVisible():
        window.acts.do("sheets")
    qtbot.waitUntil(lambda: part.sheets is not None and part.panel.view.is_sharp(part.panel.view.page))
    return part


def pick(field, key: str) -> None:
    """Choose from a list by its keys, as a hand does."""
    field.setFocus()
    field.showPopup()
    QTest.keyClick(field.view(), Qt.Key.Key_Home)
    for _ in range(field.findData(key)):
        QTest.keyClick(field.view(), Qt.Key.Key_Down)
    QTest.keyClick(field.view(), Qt.Key.Key_Return)


def type_into(window, key: str, text: str) -> None:
    field = part_of(window).page.fields[key]
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)


def text_of(pdf: bytes) -> str:
    with preview.opened_pdf(pdf) as document:
        return "\n".join(page.get_textpage().get_text_range() for page in document)


def ink(image: QImage) -> int:
    """How many of some thousand points are darker than paper."""
    return sum(
        image.pixelColor(x, y).lightness() < 200
        for x in range(0, image.width(), 7)
        for y in range(0, image.height(), 7)
    )


def test_button_brings_up_the_pages_in_the_place_of_the_plan(sample, qtbot) -> None:
    qtbot.mouseClick(sample.top.button, Qt.MouseButton.LeftButton)
    part = shown(sample, qtbot)
    assert part.panel.isVisible()
    assert not sample.plan.view.isVisible()
    assert sample.steps.button("sheets").isChecked()
    picture = part.panel.view.picture(0)
    assert picture is not None
    assert ink(picture) > 300
    assert part.panel.where.text() == f"page 1 of {part.panel.view.count}"
    sample.steps.button("rooms").click()
    assert sample.plan.view.isVisible()
    assert not part.panel.isVisible()


def test_what_is_shown_is_what_is_written(sample, qtbot, told, tmp_path) -> None:
    part = shown(sample, qtbot)
    client = part.sheets.pdf
    part.page.reader.setCurrentIndex(2)
    part.page.reader.activated.emit(2)
    qtbot.waitUntil(lambda: part.sheets.pdf != client)
    team = part.sheets.pdf
    told.paths = [tmp_path / "sheets"]
    qtbot.mouseClick(part.page.write_button, Qt.MouseButton.LeftButton)
    assert (tmp_path / "sheets" / "scope.pdf").read_bytes() == client
    assert (tmp_path / "sheets" / "site.pdf").read_bytes() == team
    assert "Exported to" in told.sentences[-1]


def test_pages_are_as_sharp_as_the_screen(sample, qtbot, monkeypatch) -> None:
    part = shown(sample, qtbot)
    view = part.panel.view
    plain = view.picture(0).width()
    monkeypatch.setattr(type(view), "devicePixelRatioF", lambda self: 2.0)
    view.viewport().update()
    qtbot.waitUntil(lambda: view.is_sharp(0))
    assert view.picture(0).width() == 2 * plain


def test_client_and_firm_typed_at_the_side_stand_on_the_page_at_once(sample, qtbot) -> None:
    part = shown(sample, qtbot)
    type_into(sample, "client", "A. Client")
    type_into(sample, "contractor", "Example Plastering")
    type_into(sample, "price_coat_m2", "48,50")
    type_into(sample, "currency", "EUR")
    qtbot.waitUntil(lambda: "Amount EUR" in text_of(part.sheets.pdf))
    words = text_of(part.sheets.pdf)
    assert "For A. Client." in words
    assert "Example Plastering" in words
    assert "48.50" in words
    assert sample.steps.button("sheets").accessibleName() == "Sheets: A. Client"
    assert sample.document.stack.undoText() == "Set: Currency"
    sample.acts.do("undo")
    assert part.page.fields["currency"].text() == ""


def test_narrow_work_is_priced_by_the_metre_typed_at_the_side(sample, qtbot) -> None:
    part = shown(sample, qtbot)
    pick(part.page.bill, "uk-smm7")
    assert sample.document.job.convention == "uk-smm7"
    type_into(sample, "price_coat_m2", "41.50")
    qtbot.waitUntil(lambda: "Narrow widths, length × width" in text_of(part.sheets.pdf))
    type_into(sample, "price_narrow_m", "12,25")
    qtbot.waitUntil(lambda: "Narrow widths, by length" in text_of(part.sheets.pdf))
    words = text_of(part.sheets.pdf)
    assert "12.25" in words
    assert "memory" not in words
    assert sample.document.job.details.price_narrow_m == "12.25"
    assert sample.document.stack.undoText() == "Set: Narrow widths, per m"


def test_price_that_is_none_is_refused_and_the_old_one_counts(sample, qtbot) -> None:
    type_into(sample, "price_coat_m2", "48.50")
    type_into(sample, "price_coat_m2", "cheap")
    assert "is not a price" in sample.totals.note.text()
    field = part_of(sample).page.fields["price_coat_m2"]
    assert (field.text(), "is not a price" in field.refusal) == ("cheap", True)
    assert sample.document.job.details.price_coat_m2 == "48.50"


def test_edit_while_the_sheets_are_shown_makes_them_anew(sample, qtbot) -> None:
    part = shown(sample, qtbot)
    before = part.sheets.pdf
    sample.document.apply("Rename a room", lambda job: edits.rename_room(job, "G1", "Passage"))
    qtbot.waitUntil(lambda: part.sheets.pdf != before)
    assert "Passage" in text_of(part.sheets.pdf)


def test_keys_turn_the_pages_and_change_their_size(sample, qtbot) -> None:
    part = shown(sample, qtbot)
    view = part.panel.view
    sample.activateWindow()
    view.setFocus()
    storey = sample.document.storey
    QTest.keyClick(view, Qt.Key.Key_PageDown)
    assert view.page == 1
    assert sample.document.storey is storey
    QTest.keyClick(view, Qt.Key.Key_End)
    assert view.page == view.count - 1
    qtbot.waitUntil(lambda: view.is_sharp(view.page))
    QTest.keyClick(view, Qt.Key.Key_Home)
    assert view.page == 0
    wide = view.picture(0).width()
    QTest.keyClick(view, Qt.Key.Key_Minus, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: view.is_sharp(0))
    assert view.picture(0).width() == pytest.approx(wide / 1.25, abs=1)


def test_wheel_with_control_zooms_and_fit_brings_it_back(sample, qtbot) -> None:
    view = shown(sample, qtbot).panel.view
    wide = view.picture(0).width()
    spot = QPointF(300, 200)
    QApplication.sendEvent(
        view.viewport(),
        QWheelEvent(
            spot,
            spot,
            QPoint(),
            QPoint(0, 120),
            Qt.MouseButton.NoButton,
            Qt.KeyboardModifier.ControlModifier,
            Qt.ScrollPhase.NoScrollPhase,
            False,
        ),
    )
    qtbot.waitUntil(lambda: view.is_sharp(view.page))
    assert view.picture(view.page).width() > wide
    view.fit()
    view.go_to(0)
    qtbot.waitUntil(lambda: view.is_sharp(0))
    assert view.picture(0).width() == wide


def test_printed_pages_are_the_sheets_at_their_own_scale(sample, qtbot, told, tmp_path) -> None:
    part = shown(sample, qtbot)
    told.paths = [tmp_path / "printed.pdf"]
    qtbot.mouseClick(part.page.print_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: "printed at full size" in sample.totals.note.text())
    made = (tmp_path / "printed.pdf").read_bytes()
    assert [tuple(round(side) for side in size) for size in preview.page_sizes(made)] == [
        tuple(round(side) for side in size) for size in part.sheets.sizes_pt
    ]
    one, other = (
        image_of(preview.page_picture(pdf, 0, 800)).scaled(100, 141, mode=Qt.TransformationMode.SmoothTransformation)
        for pdf in (made, part.sheets.pdf)
    )
    apart = [
        abs(one.pixelColor(x, y).lightness() - other.pixelColor(x, y).lightness())
        for x in range(100)
        for y in range(141)
    ]
    assert max(apart) < 60
    assert sum(apart) / len(apart) < 3


def test_sheets_on_smaller_paper_say_that_their_scale_does_not_hold(sample, qtbot, told, tmp_path) -> None:
    part = shown(sample, qtbot)
    part.page.paper.setCurrentIndex(1)
    part.page.paper.activated.emit(1)
    qtbot.waitUntil(lambda: part.sheets.sizes_pt[0][0] > 800)
    choose = told.printer

    def on_a4(parent, printer) -> bool:
        from PySide6.QtGui import QPageSize

        printer.setPageSize(QPageSize(QPageSize.PageSizeId.A4))
        return choose(parent, printer)

    told.printer, told.paths = on_a4, [tmp_path / "small.pdf"]
    sample.acts.do("print-sheets")
    qtbot.waitUntil(lambda: bool(told.sentences))
    assert "71%" in told.sentences[-1]
    assert "does not hold" in told.sentences[-1]


def test_user_who_thinks_better_of_printing_prints_nothing(sample, qtbot, told, tmp_path) -> None:
    told.paths = [None]
    sample.acts.do("print-sheets")
    assert told.sentences == []
    assert [path for path in tmp_path.iterdir() if path.suffix == ".pdf"] == []


def test_job_that_cannot_be_ordered_says_why_in_the_place_of_pages(sample, qtbot) -> None:
    import msgspec

    part = shown(sample, qtbot)
    sample.document.apply("System", lambda job: msgspec.structs.replace(job, system="no-such-system"))
    qtbot.waitUntil(lambda: part.panel.wrong.isVisible())
    assert "no-such-system" in part.panel.wrong.text()
    assert part.panel.view.count == 0
    sample.acts.do("undo")
    qtbot.waitUntil(lambda: part.panel.view.count > 0)
    assert not part.panel.wrong.isVisible()


def test_what_is_no_pdf_and_a_page_that_is_not_there_are_refused(sample, qtbot) -> None:
    with pytest.raises(OutputError, match="cannot be shown"):
        preview.page_sizes(b"no PDF")
    pdf = shown(sample, qtbot).sheets.pdf
    with pytest.raises(OutputError, match="no page 100"):
        preview.page_picture(pdf, 99, 100)
    huge = preview.page_picture(pdf, 0, 1_000_000)
    assert max(huge.width_px, huge.height_px) <= preview.LARGEST_PX


def test_pages_of_the_wide_window_are_not_wider_than_a_line_can_be_read(sample, qtbot) -> None:
    sample.resize(2560, 1440)
    view = shown(sample, qtbot).panel.view
    assert view.picture(0).width() <= 940


def test_folder_of_the_sample_stays_as_it_was(sample) -> None:
    assert not list((Path(__file__).parents[2] / "sample_plans").glob(".*.lock"))


def test_with_an_error_open_only_a_draft_is_offered_and_once_accepted_the_sheets(
    sample, qtbot, told, tmp_path: Path
) -> None:
    lost = noticed("block-missing", file="house.dxf", blocks="SINK")
    sample.document.open(with_unsettled(sample.document.job, (lost,)))
    part = shown(sample, qtbot)
    page = part.page
    assert page.write_button.text() == "Export draft…"
    assert page.print_button.text() == "Print draft…"
    assert page.draft.isVisible()
    assert "house.dxf inserts blocks that it does not contain" in page.draft.text()
    assert "DRAFT, not for the client" in text_of(part.sheets.pdf)
    told.paths = [tmp_path]
    qtbot.mouseClick(page.write_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: (tmp_path / "job.json").is_file())
    assert "DRAFT, not for the client" in text_of((tmp_path / "scope.pdf").read_bytes())
    assert told.sentences[-1].startswith("Exported as a draft to")

    sample.steps.button("settle").click()
    settle = sample.sides.page("settle")
    row = next(widget for widget in settle.widgets() if widget.row.group == "error")
    qtbot.mouseClick(row.buttons["accept"], Qt.MouseButton.LeftButton)
    part = shown(sample, qtbot)
    qtbot.waitUntil(lambda: "DRAFT" not in text_of(part.sheets.pdf))
    assert page.write_button.text() == "Export…"
    assert not page.draft.isVisible()


def test_guessed_scale_is_not_for_accepting(sample) -> None:
    guessed = noticed("unit-undecided", file="house.dxf", header="says nothing", unit="mm", shown="it is small")
    sample.document.open(with_unsettled(sample.document.job, (guessed,)))
    sample.steps.button("settle").click()
    row = next(w for w in sample.sides.page("settle").widgets() if w.row.group == "error")
    assert "accept" not in row.buttons


def test_sheets_that_another_program_prints_go_with_the_window(sample, told, qtbot, tmp_path, monkeypatch) -> None:
    from PySide6.QtGui import QDesktopServices

    from takeoff.ui.window import sheets_to_print

    monkeypatch.setattr(sheets_to_print, "state_folder", lambda: tmp_path / "state")
    opened: list[str] = []
    monkeypatch.setattr(QDesktopServices, "openUrl", lambda url: opened.append(url.toLocalFile()) or True)

    class Made(NamedTuple):
        pdf: bytes

    left = tmp_path / "state" / "printing" / "client.pdf"
    left.parent.mkdir(parents=True)
    left.write_bytes(b"of a window that was killed")
    window = MainWindow(Settings(tmp_path / "second.json"), in_order=True)
    qtbot.addWidget(window)
    assert not left.exists()
    part = window.findChild(SheetsPart, "sheets")
    part.printing._open_elsewhere(part.wanted(), Made(b"%PDF-1"))
    (printed,) = map(Path, opened)
    assert printed.read_bytes() == b"%PDF-1"
    part.printing.let_go()
    assert not printed.exists()


def test_the_sheet_that_is_shown_is_exported_alone_and_then_opened_and_found(
    sample, qtbot, told, tmp_path, monkeypatch
) -> None:
    opened: list[str] = []
    monkeypatch.setattr(
        "takeoff.ui.window.sheet_export.QDesktopServices.openUrl", lambda url: opened.append(url.toLocalFile()) or True
    )
    part = shown(sample, qtbot)
    pick(part.page.reader, "order")
    qtbot.waitUntil(lambda: "Deliver to" in text_of(part.sheets.pdf))
    assert not part.page.open_button.isVisible()
    told.paths = [tmp_path / "order only"]
    qtbot.mouseClick(part.page.one_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(part.page.open_button.isVisible)
    assert sorted(path.name for path in (tmp_path / "order only").iterdir()) == ["job.json", "order.pdf"]
    qtbot.mouseClick(part.page.open_button, Qt.MouseButton.LeftButton)
    qtbot.mouseClick(part.page.folder_button, Qt.MouseButton.LeftButton)
    assert opened == [str(tmp_path / "order only" / "order.pdf"), str(tmp_path / "order only")]


def test_a_folder_of_another_job_is_refused_and_stays_as_it_was(sample, qtbot, told, tmp_path) -> None:
    part = shown(sample, qtbot)
    told.paths = [tmp_path, tmp_path]
    qtbot.mouseClick(part.page.one_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: "Exported to" in told.sentences[-1])
    before = (tmp_path / "scope.pdf").read_bytes()
    data = (tmp_path / "job.json").read_text().replace(sample.document.job.name, "Quay house")
    (tmp_path / "job.json").write_text(data)
    qtbot.mouseClick(part.page.one_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: "another job, Quay house" in told.sentences[-1])
    assert (tmp_path / "scope.pdf").read_bytes() == before
