"""Pictures and scanned pages come as drawings to trace; what is neither is refused."""

from __future__ import annotations

import hashlib
import sys
from pathlib import Path

from PIL import Image
from reportlab.pdfgen.canvas import Canvas

sys.path.insert(0, str(Path(__file__).parents[1] / "readers"))

from pdf_making import Sheet, flat

from takeoff.services.opened.opening import Answers, open_file, open_for_window, silent


def test_a_picture_is_a_drawing_to_trace(tmp_path: Path) -> None:
    Image.new("RGB", (64, 48)).save(tmp_path / "photo.png")
    drawing = open_for_window(tmp_path / "photo.png", Answers(), silent).drawing
    assert drawing is not None
    assert drawing.picture is not None
    assert (drawing.picture.width_px, drawing.picture.height_px) == (64, 48)


def test_a_page_of_a_scanned_pdf_is_rendered_to_trace(tmp_path: Path) -> None:
    path = tmp_path / "scan.pdf"
    Image.new("L", (30, 40), 200).save(tmp_path / "scan.png")
    canvas = Canvas(str(path), pagesize=(72, 144))
    canvas.drawImage(str(tmp_path / "scan.png"), 0, 0, 72, 144)
    canvas.save()
    opened = open_for_window(path, Answers(), silent)
    assert opened.drawing is not None
    assert opened.drawing.picture is not None
    assert (opened.drawing.picture.width_px, opened.drawing.picture.height_px) == (200, 400)
    assert opened.job.drawings[0].sha256 == hashlib.sha256(path.read_bytes()).hexdigest()


def flat_at(folder: Path, scale: float, title: str = "") -> Path:
    sheet = Sheet(folder / "plan.pdf", scale, corner_mm=(120.0, 100.0))
    flat(sheet, figures=False, areas=True)
    if title:
        sheet.on_paper(300, 20, title)
    return sheet.done()


def scale_findings(path: Path, scale: str | None = None) -> tuple[float, list[tuple[str, str]]]:
    opened = open_file(path, scale=scale)
    assert opened.drawing is not None
    told = [f for f in opened.findings if f.code.startswith("scale")]
    return opened.drawing.unit_mm, [(f.code, f.severity) for f in told]


def test_printed_areas_settle_a_scale_that_the_sheet_leaves_open(tmp_path: Path) -> None:
    ratio, found = scale_findings(flat_at(tmp_path, 50.0))
    assert ratio == 50.0
    assert found == [("scale-decided", "note")]


def test_printed_areas_overrule_a_title_block_and_it_is_told(tmp_path: Path) -> None:
    ratio, found = scale_findings(flat_at(tmp_path, 50.0, "Scale 1:100"))
    assert ratio == 50.0
    assert found == [("scale-decided", "check")]


def test_printed_areas_against_the_given_scale_are_told(tmp_path: Path) -> None:
    ratio, found = scale_findings(flat_at(tmp_path, 50.0), "1:75")
    assert ratio == 75.0
    assert ("scale-contradicted", "check") in found
