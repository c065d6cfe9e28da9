"""Figures at dimension lines as feet are written: few, with filled arrows, upright in gaps, beside numbers of steps."""

from __future__ import annotations

from pathlib import Path

import pytest
from pdf_making import MM, Sheet

from takeoff.errors import Finding
from takeoff.readers import pdf
from takeoff.recognise.scale import decide_scale
from takeoff.recognise.scale.paper_figures import figures_on_paper

FOOT = 304.8
SCALE = 82.7
"""As a print that was fitted to its paper has it."""


def arrow(sheet: Sheet, x: float, y: float, way: tuple[int, int], long_mm: float = 4.0) -> None:
    """A filled head whose tip is at a place in the building, ``long_mm`` deep on paper."""
    px, py = sheet.at(x, y)
    dx, dy = way
    back, half = long_mm * MM, 0.8 * MM
    path = sheet.canvas.beginPath()
    path.moveTo(px, py)
    path.lineTo(px - dx * back + dy * half, py - dy * back + dx * half)
    path.lineTo(px - dx * back - dy * half, py - dy * back - dx * half)
    path.close()
    sheet.canvas.drawPath(path, stroke=0, fill=1)


def dimension(sheet: Sheet, feet: int, at: float, upright: bool, says: int = 0) -> None:
    """A dimension of so many feet whose line ends at the backs of its arrows and has a gap for its figure; ``upright``:
    up the sheet with its figure as one reads it; ``says``: another figure than it is long."""
    long, back = feet * FOOT, 4.0 * MM / sheet.k
    gap = (6.0 if not upright else 3.0) * MM / sheet.k
    for a, b in ((back, long / 2 - gap), (long / 2 + gap, long - back)):
        sheet.line(*((at, a, at, b) if upright else (a, at, b, at)))
    for end, way in ((0.0, -1), (long, 1)):
        arrow(sheet, *((at, end) if upright else (end, at)), (0, way) if upright else (way, 0))
        beyond = 3.0 * MM / sheet.k
        sheet.line(*((at - beyond, end, at + beyond, end) if upright else (end, at - beyond, end, at + beyond)))
    sheet.words(*((at, long / 2) if upright else (long / 2, at)), f"{says or feet}'-0\"", 2.5)


def sheet_of(path: Path, *more: str) -> tuple[Path, Sheet]:
    sheet = Sheet(path / "plan.pdf", SCALE, corner_mm=(60.0, 60.0))
    sheet.canvas.rect(*sheet.at(0, 0), 40 * FOOT * sheet.k, 30 * FOOT * sheet.k)
    dimension(sheet, 40, -1500.0, upright=False)
    dimension(sheet, 30, -1500.0, upright=True)
    for k, text in enumerate(more):
        sheet.words(2000.0 + 300.0 * k, 3000.0, text, 2.0)
        sheet.line(1900.0 + 300.0 * k, 2700.0, 2100.0 + 300.0 * k, 2700.0)
    return sheet.done(), sheet


def code_of(found: tuple[Finding, ...]) -> str:
    return next(f.code for f in found if f.code.startswith("scale-"))


def test_a_dimension_is_as_long_as_from_tip_to_tip(tmp_path: Path) -> None:
    drawing, _ = pdf.read(sheet_of(tmp_path)[0])
    lengths = sorted((f.dimension.text, f.dimension.length) for f in figures_on_paper(drawing))
    assert [text for text, _ in lengths] == ["30'-0\"", "40'-0\""]
    assert [mm for _, mm in lengths] == pytest.approx([30 * FOOT / SCALE, 40 * FOOT / SCALE], abs=0.05)


def test_two_figures_that_name_their_unit_tell_the_scale_of_a_fitted_print(tmp_path: Path) -> None:
    scaled, found = decide_scale(pdf.read(sheet_of(tmp_path)[0])[0])
    assert code_of(found) == "scale-decided"
    assert scaled.unit_mm == pytest.approx(SCALE, rel=1e-3)


def test_numbers_of_steps_do_not_outvote_figures_in_feet(tmp_path: Path) -> None:
    path, _ = sheet_of(tmp_path, *(f"{n:02d}" for n in range(1, 9)))
    scaled, _ = decide_scale(pdf.read(path)[0])
    assert scaled.unit_mm == pytest.approx(SCALE, rel=1e-3)


def test_figures_that_contradict_each_other_leave_the_scale_open(tmp_path: Path) -> None:
    """A sketch of 40 by 30 feet whose one side says 32."""
    sheet = Sheet(tmp_path / "plan.pdf", 192.0, corner_mm=(60.0, 60.0))
    sheet.canvas.rect(*sheet.at(0, 0), 40 * FOOT * sheet.k, 30 * FOOT * sheet.k)
    dimension(sheet, 40, -3000.0, upright=False)
    dimension(sheet, 30, -3000.0, upright=True, says=32)
    _, found = decide_scale(pdf.read(sheet.done())[0])
    assert code_of(found) == "scale-undecided"
