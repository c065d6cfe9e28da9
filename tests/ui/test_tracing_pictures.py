"""Pictures and scans lie under the plan, straight and to scale, and stay there with the job."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hands import click_plan
from PIL import Image, ImageDraw
from PySide6.QtCore import Qt
from reportlab.pdfgen.canvas import Canvas

from takeoff.geometry.perspective import apply
from takeoff.readers.picture.straightening import UNPLACED_MM
from takeoff.ui.panels.drawing_page import DrawingPage
from takeoff.ui.panels.first_steps import EmptyPlan
from takeoff.ui.window.import_part import Importing

LEFT = Qt.MouseButton.LeftButton
WIDE, HIGH = 800, 600
CORNERS = ((130, 510), (685, 480), (625, 100), (165, 80))
"""Lower left, lower right, upper right, upper left of a room of 8 × 6 m, in pixels of a crooked photo."""


def crooked(path: Path) -> Path:
    image = Image.new("RGB", (WIDE, HIGH), (230, 230, 230))
    ImageDraw.Draw(image).polygon(CORNERS, fill=(255, 255, 255), outline=(0, 0, 0))
    image.save(path)
    return path


def page_of(window) -> DrawingPage:
    page = window.sides.page("drawing")
    assert isinstance(page, DrawingPage)
    return page


def importing(window) -> Importing:
    return window.findChild(Importing, "importing")


def on_plan(pixel: tuple[float, float]) -> tuple[float, float]:
    """Where a pixel of a picture without a scale is shown, plan mm."""
    k = UNPLACED_MM / WIDE
    return pixel[0] * k, (HIGH - pixel[1]) * k


def enter(qtbot, field, text: str) -> None:
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)


def straighten(window, qtbot, order=(0, 1, 2, 3)) -> None:
    page = page_of(window)
    qtbot.mouseClick(page.picture.corners, LEFT)
    click_plan(window, qtbot, *(on_plan(CORNERS[k]) for k in order))
    enter(qtbot, page.picture.across, "8")
    enter(qtbot, page.picture.upwards, "6")


def test_picture_opens_with_a_question_and_no_rooms(window, tmp_path, told) -> None:
    window.files.open(crooked(tmp_path / "photo.png"))
    assert told.sentences == []
    assert window.sides.current == "drawing"
    section = page_of(window).picture
    assert "No scale yet" in section.state.text()
    assert not section.trace_button.isEnabled()
    assert importing(window).tracing.backdrop.box == (0.0, 0.0, UNPLACED_MM, UNPLACED_MM * HIGH / WIDE)
    assert any(f.code == "picture-not-placed" and f.severity == "error" for f in window.document.findings)


@pytest.mark.parametrize("order", [(0, 1, 2, 3), (2, 0, 3, 1), (3, 2, 1, 0)])
def test_four_corners_in_any_order_and_two_lengths_straighten_it(window, tmp_path, qtbot, order) -> None:
    window.files.open(crooked(tmp_path / "photo.png"))
    straighten(window, qtbot, order)
    placed = window.document.job.drawings[0].picture
    at = apply(np.array(placed.matrix).reshape(3, 3), np.array(CORNERS, float))
    assert np.abs(at - [(0, 0), (8000, 0), (8000, 6000), (0, 6000)]).max() < 30.0
    assert page_of(window).picture.trace_button.isEnabled()
    window.document.consider_now()
    assert all(f.code != "picture-not-placed" for f in window.document.findings)


def test_rooms_traced_over_it_are_as_large_as_in_life(window, tmp_path, qtbot) -> None:
    window.files.open(crooked(tmp_path / "photo.png"))
    straighten(window, qtbot)
    qtbot.mouseClick(page_of(window).picture.trace_button, LEFT)
    click_plan(window, qtbot, (0, 0), (8000, 0), (8000, 6000), (0, 6000), (0, 0))
    (room,) = window.document.state.takeoff.rooms
    assert room.floor_m2 == pytest.approx(48.0, rel=0.01)


def test_one_known_length_scales_a_straight_picture(window, tmp_path, qtbot) -> None:
    Image.new("L", (400, 200), 255).save(tmp_path / "scan.jpg")
    window.files.open(tmp_path / "scan.jpg")
    page, k = page_of(window), UNPLACED_MM / 400
    qtbot.mouseClick(page.picture.ends, LEFT)
    click_plan(window, qtbot, (100 * k, 100 * k), (300 * k, 100 * k))
    enter(qtbot, page.picture.length, "5 m")
    assert window.document.job.drawings[0].picture.mm_per_px == pytest.approx(25.0, rel=0.01)
    box = importing(window).tracing.backdrop.box
    assert box[2] - box[0] == pytest.approx(10_000.0, rel=0.01)


def test_nothing_lies_over_the_picture_that_is_to_be_clicked(window, tmp_path) -> None:
    empty = window.findChild(EmptyPlan)
    assert not empty.isHidden()
    window.files.open(crooked(tmp_path / "photo.png"))
    assert empty.isHidden()


def test_placing_is_undone_and_done_again_with_the_picture(window, tmp_path, qtbot) -> None:
    window.files.open(crooked(tmp_path / "photo.png"))
    backdrop = importing(window).tracing.backdrop
    before = backdrop.box
    straighten(window, qtbot)
    after = backdrop.box
    assert after != before
    window.acts.do("undo")
    assert backdrop.box == before
    assert window.document.job.drawings[0].picture.mm_per_px is None
    window.acts.do("redo")
    assert backdrop.box == after


def test_saved_job_has_its_picture_in_place_when_it_is_opened_again(window, tmp_path, qtbot, told) -> None:
    picture = crooked(tmp_path / "photo.png")
    window.files.open(picture)
    straighten(window, qtbot)
    box = importing(window).tracing.backdrop.box
    told.paths = [tmp_path / "mine.takeoff"]
    window.acts.do("save-as")
    picture.unlink()
    window.files.open_sample()
    qtbot.wait(1)
    assert importing(window).tracing.backdrop.box is None
    window.files.open(tmp_path / "mine.takeoff")
    assert importing(window).tracing.backdrop.box == box
    window.space.show_step("drawing")
    assert page_of(window).picture.state.text().startswith("In place")


def test_job_as_json_finds_its_picture_beside_it(window, tmp_path, qtbot, told) -> None:
    picture = crooked(tmp_path / "photo.png")
    window.files.open(picture)
    straighten(window, qtbot)
    told.paths = [tmp_path / "mine.json"]
    window.acts.do("save-as")
    window.files.open(tmp_path / "mine.json")
    assert importing(window).tracing.backdrop.box is not None
    picture.write_bytes(b"another")
    window.files.open(tmp_path / "mine.json")
    qtbot.wait(1)
    window.space.show_step("drawing")
    assert "put it beside the job’s file" in page_of(window).picture.state.text()


def test_scanned_page_of_a_pdf_is_traced_too_and_kept_as_a_picture(window, tmp_path, told) -> None:
    Image.new("L", (300, 400), 200).save(tmp_path / "scan.png")
    canvas = Canvas(str(tmp_path / "scan.pdf"), pagesize=(288, 576))
    canvas.drawImage(str(tmp_path / "scan.png"), 0, 0, 288, 576)
    canvas.save()
    window.files.open(tmp_path / "scan.pdf")
    assert told.sentences == []
    placed = window.document.job.drawings[0].picture
    assert (placed.width_px, placed.height_px) == (800, 1600)
    assert window.document.job.drawings[0].page == 1
    assert importing(window).tracing.backdrop.box is not None
    told.paths = [tmp_path / "mine.takeoff"]
    window.acts.do("save-as")
    (tmp_path / "scan.pdf").unlink()
    window.files.open(tmp_path / "mine.takeoff")
    assert importing(window).tracing.backdrop.box is not None


@pytest.mark.parametrize(
    ("across", "upwards", "words"),
    [("0.05", "6", "cannot be a length on this plan"), ("8", "900 m", "cannot be a length on this plan")],
)
def test_lengths_that_cannot_be_are_refused(window, tmp_path, qtbot, across, upwards, words) -> None:
    window.files.open(crooked(tmp_path / "photo.png"))
    page = page_of(window)
    qtbot.mouseClick(page.picture.corners, LEFT)
    click_plan(window, qtbot, *(on_plan(c) for c in CORNERS))
    enter(qtbot, page.picture.across, across)
    enter(qtbot, page.picture.upwards, upwards)
    assert words in window.totals.note.text()
    assert window.document.job.drawings[0].picture.mm_per_px is None


def test_corners_in_one_line_are_refused(window, tmp_path, qtbot) -> None:
    window.files.open(crooked(tmp_path / "photo.png"))
    page = page_of(window)
    qtbot.mouseClick(page.picture.corners, LEFT)
    click_plan(window, qtbot, *(on_plan((100 + 150 * k, 300)) for k in range(4)))
    enter(qtbot, page.picture.across, "8")
    enter(qtbot, page.picture.upwards, "6")
    assert "in line or out of order" in window.totals.note.text()


def test_backspace_takes_the_last_corner_back(window, tmp_path, qtbot) -> None:
    window.files.open(crooked(tmp_path / "photo.png"))
    qtbot.mouseClick(page_of(window).picture.corners, LEFT)
    click_plan(window, qtbot, on_plan(CORNERS[0]), on_plan(CORNERS[1]))
    qtbot.keyClick(window.plan.view, Qt.Key.Key_Backspace)
    assert len(window.plan.view.tool.points) == 1
    qtbot.keyClick(window.plan.view, Qt.Key.Key_Escape)
    qtbot.keyClick(window.plan.view, Qt.Key.Key_Escape)
    assert window.plan.view.tool is window.choose


def test_picture_is_dimmed_and_hidden_on_demand(window, tmp_path) -> None:
    window.files.open(crooked(tmp_path / "photo.png"))
    shown = page_of(window).picture.shown
    for key in ("dimmed", "off", "on"):
        shown.setCurrentIndex(shown.findData(key))
        shown.activated.emit(shown.currentIndex())
        assert importing(window).tracing.backdrop.show == key


def test_damaged_picture_is_told_in_one_sentence(window, tmp_path, told) -> None:
    data = crooked(tmp_path / "photo.png").read_bytes()
    (tmp_path / "cut.png").write_bytes(data[: len(data) // 2])
    window.files.open(tmp_path / "cut.png")
    assert len(told.sentences) == 1
    assert "cut off or damaged" in told.sentences[0]
