"""The firm in the window: its logo chosen, seen and removed, its details kept for the next job, prices on the order."""

from __future__ import annotations

from pathlib import Path

import pypdfium2
import pytest
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from takeoff.services.written.preview import opened_pdf
from takeoff.ui.window.sheets_part import SheetsPart


@pytest.fixture(autouse=True)
def own(own_folder: Path) -> Path:
    return own_folder / "firm.json"


def shown(window, qtbot) -> SheetsPart:
    part = window.findChild(SheetsPart, "sheets")
    assert part is not None
    if not part.panel.isVisible():
        window.acts.do("sheets")
    qtbot.waitUntil(lambda: part.sheets is not None)
    return part


def images(part: SheetsPart) -> int:
    with opened_pdf(part.sheets.pdf) as pages:
        return sum(1 for _ in pages[0].get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_IMAGE]))


def click(qtbot, button) -> None:
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def test_a_logo_is_chosen_seen_on_the_page_taken_back_and_removed(sample, qtbot, told, tmp_path) -> None:
    part = shown(sample, qtbot)
    logo = part.page.logo
    assert not logo.remove_button.isVisibleTo(part.page)
    Image.new("RGB", (300, 100), (20, 90, 120)).save(tmp_path / "logo.png")
    told.paths = [tmp_path / "logo.png"]
    click(qtbot, logo.choose_button)
    qtbot.waitUntil(lambda: images(part) == 1)
    assert logo.picture.isVisibleTo(part.page)
    assert logo.picture.pixmap().width() > 100
    click(qtbot, logo.remove_button)
    qtbot.waitUntil(lambda: images(part) == 0)
    sample.document.stack.undo()
    qtbot.waitUntil(lambda: images(part) == 1)


def test_what_is_no_picture_is_told_and_the_old_logo_stays(sample, qtbot, told, tmp_path) -> None:
    part = shown(sample, qtbot)
    (tmp_path / "logo.png").write_text("no picture")
    told.paths = [tmp_path / "logo.png"]
    click(qtbot, part.page.logo.choose_button)
    assert told.sentences[-1] == "logo.png is no picture that can be read: save it as PNG or JPEG."
    assert sample.document.job.details.logo is None
    assert not sample.document.stack.canUndo()


def test_the_firm_is_kept_for_new_jobs_and_the_client_is_not(sample, qtbot, own) -> None:
    part = shown(sample, qtbot)
    for key, text in (
        ("client", "A. Private Client"),
        ("contractor", "Fairweather Ltd"),
        ("address", "1 Sample Street"),
    ):
        field = part.page.fields[key]
        field.setFocus()
        field.selectAll()
        QTest.keyClicks(field, text)
        QTest.keyClick(field, Qt.Key.Key_Return)
    click(qtbot, part.page.logo.keep_button)
    kept = own.read_text(encoding="utf-8")
    assert "Fairweather Ltd" in kept
    assert "Private" not in kept
    sample.document.stack.setClean()
    assert sample.files.start_empty()
    details = sample.document.job.details
    assert (details.contractor, details.address, details.client) == ("Fairweather Ltd", "1 Sample Street", "")


def test_prices_come_onto_the_order_with_a_tick(sample, qtbot) -> None:
    part = shown(sample, qtbot)
    part.page.reader.setCurrentIndex(1)
    part.page.reader.activated.emit(1)

    def words() -> str:
        with opened_pdf(part.sheets.pdf) as pages:
            return " ".join(page.get_textpage().get_text_bounded() for page in pages)

    qtbot.waitUntil(lambda: "Deliver to" in words())
    assert "Cost" not in words()
    part.page.order_prices.setFocus()
    QTest.keyClick(part.page.order_prices, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: "Cost" in words())
