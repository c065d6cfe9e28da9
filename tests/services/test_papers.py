"""Pictures and scanned pages come as drawings to trace; what is neither is refused."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest
from PIL import Image
from reportlab.pdfgen.canvas import Canvas

from takeoff.errors import InputError
from takeoff.services.papers import to_trace


def test_a_picture_is_a_drawing_to_trace(tmp_path: Path) -> None:
    Image.new("RGB", (64, 48)).save(tmp_path / "photo.png")
    drawing, (found,) = to_trace(tmp_path / "photo.png")
    assert drawing.picture is not None
    assert (drawing.picture.width_px, drawing.picture.height_px) == (64, 48)
    assert found.code == "picture-to-trace"


def test_a_page_of_a_scanned_pdf_is_rendered_to_trace(tmp_path: Path) -> None:
    path = tmp_path / "scan.pdf"
    Image.new("L", (30, 40), 200).save(tmp_path / "scan.png")
    canvas = Canvas(str(path), pagesize=(72, 144))
    canvas.drawImage(str(tmp_path / "scan.png"), 0, 0, 72, 144)
    canvas.save()
    drawing, _ = to_trace(path)
    assert drawing.picture is not None
    assert (drawing.picture.width_px, drawing.picture.height_px) == (200, 400)
    assert drawing.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()


def test_what_is_no_picture_is_refused(tmp_path: Path) -> None:
    (tmp_path / "plan.dxf").write_text("  0\nSECTION\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"plan.dxf is no picture"):
        to_trace(tmp_path / "plan.dxf")
