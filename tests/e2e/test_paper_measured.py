"""A PDF is measured as a drawing is; pictures and scans say what has to be done with them."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

sys.path.insert(0, str(Path(__file__).parents[1] / "readers"))

from pdf_making import AREAS_M2, MM, Sheet, flat
from reportlab.pdfgen.canvas import Canvas

Takeoff = Callable[..., subprocess.CompletedProcess[str]]


def sheet_of(path: Path, figures: bool = False, title: str = "") -> Path:
    sheet = Sheet(path, 100.0, corner_mm=(120.0, 100.0))
    flat(sheet, figures=figures)
    if title:
        sheet.on_paper(300, 20, title)
    return sheet.done()


def test_a_pdf_is_measured_at_the_scale_that_is_given(takeoff: Takeoff, tmp_path: Path) -> None:
    path, out = sheet_of(tmp_path / "plan.pdf"), tmp_path / "OUT"
    done = takeoff("measure", path, "--scale", "1:100", "-o", out)
    assert done.returncode == 0, done.stdout + done.stderr
    result = json.loads((out / "result.json").read_text(encoding="utf-8"))
    assert sorted(room["floor_m2"] for room in result["rooms"]) == pytest.approx(sorted(AREAS_M2), rel=1e-3)
    assert {room["name"] for room in result["rooms"]} == {"Bedroom", "Kitchen"}
    assert (out / "scope.pdf").read_bytes().startswith(b"%PDF")
    job = json.loads((out / "job.json").read_text(encoding="utf-8"))
    assert (job["drawings"][0]["name"], job["drawings"][0]["unit_mm"]) == ("plan.pdf", 100.0)


def test_a_title_block_gives_the_scale(takeoff: Takeoff, tmp_path: Path) -> None:
    done = takeoff("measure", sheet_of(tmp_path / "plan.pdf", True, "Scale 1:100 @ A3"), "--json", "-")
    assert done.returncode == 0, done.stderr
    areas = [room["floor_m2"] for room in json.loads(done.stdout)["rooms"]]
    assert sorted(areas) == pytest.approx(sorted(AREAS_M2), rel=1e-3)


def test_an_unsure_scale_is_an_error_to_mend(takeoff: Takeoff, tmp_path: Path) -> None:
    done = takeoff("check", sheet_of(tmp_path / "plan.pdf"))
    assert done.returncode == 1
    assert "--scale 1:100" in done.stdout


def test_a_page_is_chosen_by_its_number(takeoff: Takeoff, tmp_path: Path) -> None:
    path = sheet_of(tmp_path / "plan.pdf")
    done = takeoff("check", path, "--scale", "1:100", "--page-number", "2")
    assert done.returncode == 2
    assert "has no page 2" in done.stderr


def test_a_scale_that_is_none_is_a_wrong_option(takeoff: Takeoff, tmp_path: Path) -> None:
    done = takeoff("check", sheet_of(tmp_path / "plan.pdf"), "--scale", "big")
    assert done.returncode == 2
    assert "“big” is no scale" in done.stderr


def test_options_for_paper_are_in_vain_for_a_drawing(takeoff: Takeoff, samples: Path) -> None:
    done = takeoff("measure", samples / "terrace_ground.dxf", "--scale", "1:50", "--json", "-")
    texts = [f["text"] for f in json.loads(done.stdout)["findings"]]
    assert any(t.startswith("--scale had no effect, since terrace_ground.dxf is no PDF") for t in texts)


@pytest.mark.parametrize("name", ["photo.png", "photo.jpg", "photo.tif"])
def test_a_picture_has_to_be_traced(takeoff: Takeoff, tmp_path: Path, name: str) -> None:
    Image.new("RGB", (640, 480), "white").save(tmp_path / name)
    done = takeoff("measure", tmp_path / name)
    assert done.returncode == 2
    assert f"{name} is a picture (640 × 480 pixels)" in done.stderr
    assert "four corners" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_damaged_picture_says_that_it_is_damaged(takeoff: Takeoff, tmp_path: Path) -> None:
    (tmp_path / "photo.png").write_bytes(b"\x89PNG\r\n\x1a\nrubbish")
    done = takeoff("measure", tmp_path / "photo.png")
    assert done.returncode == 2
    assert "no picture that can be read" in done.stderr


def test_a_scanned_pdf_has_to_be_traced_too(takeoff: Takeoff, tmp_path: Path) -> None:
    Image.new("L", (300, 400), 200).save(tmp_path / "scan.png")
    canvas = Canvas(str(tmp_path / "scan.pdf"), pagesize=(210 * MM, 297 * MM))
    canvas.drawImage(str(tmp_path / "scan.png"), 0, 0, 210 * MM, 297 * MM)
    canvas.save()
    done = takeoff("measure", tmp_path / "scan.pdf")
    assert done.returncode == 2
    assert "Page 1 of scan.pdf is a picture" in done.stderr
