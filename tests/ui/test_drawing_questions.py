"""A drawing opens and asks on its page for what it leaves open: unit, scale, page, one known length."""

from __future__ import annotations

import sys
from pathlib import Path

import ezdxf
import pytest
from hands import click_plan
from PySide6.QtCore import Qt

sys.path.insert(0, str(Path(__file__).parents[1] / "readers"))

from pdf_making import Sheet, flat

from takeoff.plan import edits
from takeoff.ui.panels.drawing_page import DrawingPage

CHECKOUT = Path(__file__).parents[2]
LEFT = Qt.MouseButton.LeftButton


def page_of(window) -> DrawingPage:
    page = window.sides.page("drawing")
    assert isinstance(page, DrawingPage)
    return page


def bare_box(path: Path, wide: float = 400.0, high: float = 300.0) -> Path:
    """Two closed outlines with nothing that tells the unit: no header, no door, no word."""
    doc = ezdxf.new(units=0)
    space = doc.modelspace()
    for low, x, y in ((-0.05 * wide, 1.05 * wide, high + 0.05 * wide), (0.0, wide, high)):
        space.add_lwpolyline([(low, low), (x, low), (x, y), (low, y)], close=True)
    doc.saveas(path)
    return path


def widen(page: DrawingPage, qtbot) -> None:
    """Show the choices where the page says only what was taken."""
    if page.question.change.isVisibleTo(page):
        qtbot.mouseClick(page.question.change, LEFT)


def floor_m2(window) -> list[float]:
    return sorted(round(room.floor_m2, 3) for room in window.document.state.takeoff.rooms)


def test_doubtful_unit_is_asked_for_with_what_each_would_mean(window, qtbot, tmp_path, told) -> None:
    window.files.open(bare_box(tmp_path / "box.dxf"))
    assert told.sentences == []
    assert window.sides.current == "drawing"
    page = page_of(window)
    assert page.question.title.text() == "In which unit is it drawn?"
    rows = {row.choice.key: row for row in page.question.rows}
    assert rows["cm"].choice.means.startswith("4.4 × 3.4 m in all")
    assert "largest room 12 m²" in rows["cm"].choice.means
    other = "mm" if rows["cm"].choice.taken else "cm"
    qtbot.mouseClick(rows[other].button, LEFT)
    assert window.document.drawing.unit == other
    assert floor_m2(window) == [12.0 if other == "cm" else 0.12]
    assert page.question.title.text() == f"Drawn in {'centimetres' if other == 'cm' else 'millimetres'}"
    assert all(f.code != "unit-undecided" for f in window.document.findings)


def test_unit_that_was_taken_can_be_kept_with_one_click(window, qtbot, tmp_path) -> None:
    window.files.open(bare_box(tmp_path / "box.dxf"))
    page = page_of(window)
    unit = window.document.drawing.unit
    assert page.question.keep.isVisibleTo(page)
    qtbot.mouseClick(page.question.keep, LEFT)
    assert window.document.drawing.unit == unit
    assert page.question.title.text().startswith("Drawn in")
    assert not page.question.keep.isVisibleTo(page)


def test_one_known_length_settles_the_unit(window, qtbot, tmp_path) -> None:
    window.files.open(bare_box(tmp_path / "box.dxf"))
    page, k = page_of(window), window.document.drawing.unit_mm
    qtbot.mouseClick(page.question.pick_button, LEFT)
    click_plan(window, qtbot, (0.0, 0.0), (400.0 * k, 0.0))
    qtbot.keyClicks(page.question.length, "4 m")
    qtbot.keyClick(page.question.length, Qt.Key.Key_Return)
    assert window.document.drawing.unit == "cm"
    assert floor_m2(window) == [12.0]
    assert window.plan.view.tool is window.choose


def test_a_length_that_fits_no_unit_is_refused_in_a_sentence(window, qtbot, tmp_path) -> None:
    window.files.open(bare_box(tmp_path / "box.dxf"))
    page, k = page_of(window), window.document.drawing.unit_mm
    before = window.document.job
    qtbot.mouseClick(page.question.pick_button, LEFT)
    click_plan(window, qtbot, (0.0, 0.0), (400.0 * k, 0.0))
    qtbot.keyClicks(page.question.length, "1.5 m")
    qtbot.keyClick(page.question.length, Qt.Key.Key_Return)
    assert "which no unit is" in window.totals.note.text()
    assert window.document.job is before


@pytest.fixture
def flat_pdf(tmp_path: Path) -> Path:
    sheet = Sheet(tmp_path / "flat.pdf", 50.0, corner_mm=(120.0, 100.0))
    flat(sheet, figures=False, areas=False)
    return sheet.done()


def test_page_without_a_scale_opens_and_asks(window, qtbot, flat_pdf, told) -> None:
    window.files.open(flat_pdf)
    assert told.sentences == []
    page = page_of(window)
    rows = {row.choice.key: row for row in page.question.rows}
    if not rows["50"].choice.taken:
        qtbot.mouseClick(rows["50"].button, LEFT)
    assert window.document.drawing.unit_mm == 50.0
    at_50 = floor_m2(window)
    widen(page, qtbot)
    qtbot.keyClicks(page.question.own, "1:100")
    qtbot.keyClick(page.question.own, Qt.Key.Key_Return)
    assert window.document.drawing.unit_mm == 100.0
    assert floor_m2(window) != at_50


def test_a_scale_that_is_none_is_told_and_nothing_changes(window, qtbot, flat_pdf, told) -> None:
    window.files.open(flat_pdf)
    page, before = page_of(window), window.document.job
    widen(page, qtbot)
    qtbot.keyClicks(page.question.own, "as printed")
    qtbot.keyClick(page.question.own, Qt.Key.Key_Return)
    assert "is no scale" in told.sentences[-1]
    assert window.document.job is before


def test_one_known_length_settles_the_scale(window, qtbot, flat_pdf) -> None:
    window.files.open(flat_pdf)
    page = page_of(window)
    widen(page, qtbot)
    lines = window.document.drawing.lines.segments
    longest = max(lines.tolist(), key=lambda s: abs(s[2] - s[0]))
    wide_on_paper = abs(longest[2] - longest[0]) / window.document.drawing.unit_mm
    qtbot.mouseClick(page.question.pick_button, LEFT)
    click_plan(window, qtbot, (longest[0], longest[1]), (longest[2], longest[3]))
    qtbot.keyClicks(page.question.length, f"{wide_on_paper * 75.0:.3f} mm")
    qtbot.keyClick(page.question.length, Qt.Key.Key_Return)
    assert window.document.drawing.unit_mm == pytest.approx(75.0, rel=1e-4)


def test_unsaved_work_is_asked_about_before_reading_otherwise(window, qtbot, tmp_path, told) -> None:
    window.files.open(bare_box(tmp_path / "box.dxf"))
    room = window.document.storey.rooms[0].id
    window.document.apply("Rename", lambda job: edits.rename_room(job, room, "Store"))
    told.answers = ["stay"]
    page = page_of(window)
    other = next(row for row in page.question.rows if not row.choice.taken)
    qtbot.mouseClick(other.button, LEFT)
    assert len(told.questions) == 1
    assert window.document.storey.rooms[0].name == "Store"
    assert next(row for row in page.question.rows if row.choice.taken).button.isChecked()


def two_pages(path: Path) -> Path:
    """Page 1 a small room of few lines, page 2 a flat."""
    from reportlab.pdfgen.canvas import Canvas

    canvas = Canvas(str(path), pagesize=(600, 400))
    for width in (200, 220):
        canvas.rect(300 - width / 2, 200 - width / 2, width, width)
    canvas.showPage()
    for k in range(8):
        canvas.rect(50 + 60 * k, 50, 50, 50)
        canvas.rect(52 + 60 * k, 52, 46, 46)
    canvas.showPage()
    canvas.save()
    return path


def test_pages_are_shown_small_and_another_is_a_click_away(window, qtbot, tmp_path, told) -> None:
    window.files.open(two_pages(tmp_path / "two.pdf"))
    page = page_of(window)
    assert page.pages.title.text() == "Page 2 of 2"
    assert sorted(page.pages.buttons) == [1, 2]
    assert not page.pages.buttons[1].icon().isNull()
    told.answers.append("stay")
    qtbot.mouseClick(page.pages.buttons[1], LEFT)
    assert window.document.job.drawings[0].page == 2
    assert page.pages.buttons[2].isChecked()
    told.answers.append("instead")
    qtbot.mouseClick(page.pages.buttons[1], LEFT)
    assert told.questions == ["What is page 1 for?"] * 2
    assert window.document.job.drawings[0].page == 1
    assert page.pages.title.text() == "Page 1 of 2"
    assert page.pages.buttons[1].isChecked()
    assert len(window.document.storey.rooms) == 1


def test_clear_drawing_opens_without_asking(window) -> None:
    window.files.open(CHECKOUT / "sample_plans" / "terrace_ground.dxf")
    assert window.sides.current != "drawing"
    page = page_of(window)
    assert page.question.title.text().startswith("Drawn in")
    assert not page.question.known.isVisibleTo(page)
