"""What is filled piece by piece, or by strokes whose ink runs together, is read as the shape that is seen."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from pdf_making import MM, raw_pdf

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding
from takeoff.readers import pdf

TRIANGLES = b"72 72 m 216 72 l 216 144 l f 72 72 m 216 144 l 72 144 l f "


def read(path: Path, content: bytes) -> tuple[Drawing, tuple[Finding, ...]]:
    return pdf.read(raw_pdf(path / "plan.pdf", content))


def roles(drawing: Drawing) -> list[str]:
    return [drawing.sources[i].role for i in drawing.lines.segment_source]


def box_of(drawing: Drawing) -> list[float]:
    ends = drawing.lines.segments.reshape(-1, 2)
    return [*ends.min(axis=0).tolist(), *ends.max(axis=0).tolist()]


def test_triangles_that_fill_one_shape_are_that_shape(tmp_path: Path) -> None:
    drawing, _ = read(tmp_path, b"0.4 g " + TRIANGLES)
    assert roles(drawing) == ["solid"] * 4  # the rectangle; no line across it
    assert box_of(drawing) == pytest.approx([25.4, 25.4, 76.2, 50.8], abs=1e-3)
    assert [len(loop.vertices) for loop in drawing.loops] == [4]


def test_triangles_in_two_inks_stay_two(tmp_path: Path) -> None:
    drawing, _ = read(tmp_path, b"0.4 g 72 72 m 216 72 l 216 144 l f 1 0 0 rg 72 72 m 216 144 l 72 144 l f")
    assert len(drawing.loops) == 2


def test_bodies_filled_wall_by_wall_keep_their_ends(tmp_path: Path) -> None:
    """A window is painted over a wall between the ends of two pieces, which show where it is."""
    drawing, _ = read(tmp_path, b"0.4 g 72 72 144 18 re f 216 72 72 18 re f")
    assert len(drawing.loops) == 2


def test_bands_of_a_shading_are_one_shape(tmp_path: Path) -> None:
    bands = b"".join(b"%.3f g 72 %d 144 1 re f " % (0.5 + 0.01 * k, 72 + k) for k in range(30))
    # a band is a hair by itself; a little thicker it is a slim strip
    thick = b"".join(b"%.3f g 72 %.1f 144 1.3 re f " % (0.5 + 0.01 * k, 72 + 1.3 * k) for k in range(30))
    assert len(read(tmp_path, bands)[0].lines.segments) == 30
    drawing, _ = read(tmp_path, thick)
    assert len(drawing.loops) == 1
    assert box_of(drawing) == pytest.approx([25.4, 25.4, 76.2, 25.4 + 39 / MM], abs=1e-3)


def test_an_edge_in_the_ink_of_its_filling_is_not_seen(tmp_path: Path) -> None:
    drawing, _ = read(tmp_path, b"1 0 0 rg 1 0 0 RG " + TRIANGLES.replace(b" f ", b" b "))
    assert [len(loop.vertices) for loop in drawing.loops] == [4]
    assert drawing.layers[0].name == "solid red"


def test_rings_of_one_path_keep_their_holes(tmp_path: Path) -> None:
    """Two triangles that touch a ring of the same ink: its hole is no part of what is filled."""
    ring = b"0 g 72 72 36 36 re 84 84 12 12 re f* "
    drawing, _ = read(tmp_path, ring + b"108 72 m 120 72 l 108 108 l f 120 72 m 120 108 l 108 108 l f")
    lengths = sorted(len(loop.vertices) for loop in drawing.loops)
    assert lengths == [4, 4, 4]  # the ring's two edges, and the rectangle of both triangles


def strokes(step_mm: float, x0: float = 20.0, y0: float = 20.0, wide: float = 60.0, high: float = 3.0) -> bytes:
    """A hatch at 45° in a rectangle, its pen 0.25 mm wide."""
    made = [b"0.7087 w "]
    for k in np.arange(step_mm, wide + high, step_mm):
        low, top = max(0.0, k - high), min(k, wide)
        points = ((x0 + low) * MM, (y0 + k - low) * MM, (x0 + top) * MM, (y0 + k - top) * MM)
        made.append(b"%.4f %.4f m %.4f %.4f l S " % points)
    return b"".join(made)


RECTANGLE = b"0.7087 w %.4f %.4f %.4f %.4f re S " % (20 * MM, 20 * MM, 60 * MM, 3 * MM)


def test_strokes_whose_ink_runs_together_are_what_they_fill(tmp_path: Path) -> None:
    drawing, found = read(tmp_path, strokes(0.1))
    assert set(roles(drawing)) == {"solid"}
    assert len(drawing.lines.segments) <= 6  # four sides, and a corner that no stroke reaches
    assert box_of(drawing) == pytest.approx([20.0, 20.0, 80.0, 23.0], abs=0.12)
    told = next(f for f in found if f.code == "strokes-as-fill")
    assert "628" in (told.evidence or "") or "629" in (told.evidence or "")  # (60 + 3) / 0.1


def test_lines_along_what_strokes_fill_are_its_edges(tmp_path: Path) -> None:
    drawing, _ = read(tmp_path, strokes(0.1) + RECTANGLE)
    assert roles(drawing) == ["solid"] * 4
    assert box_of(drawing) == pytest.approx([20.0, 20.0, 80.0, 23.0], abs=1e-3)


def test_a_hatch_with_paper_between_its_lines_stays(tmp_path: Path) -> None:
    drawing, found = read(tmp_path, strokes(0.5) + RECTANGLE)
    assert roles(drawing) == ["line"] * len(drawing.lines.segments)
    assert len(drawing.lines.segments) > 100
    assert not any(f.code == "strokes-as-fill" for f in found)


def test_three_lines_side_by_side_are_no_filling(tmp_path: Path) -> None:
    content = b"0.7087 w " + b"".join(b"72 %.2f m 300 %.2f l S " % (y, y) for y in (72.0, 72.5, 73.0))
    assert len(read(tmp_path, content)[0].lines.segments) == 3


def dotted(dash_pt: float, dot_pt: float) -> bytes:
    """Six dashes with a dot after each, 4 pt wide and 3 pt apart, each filled as two triangles, and 40 × 8 pt."""
    shapes, x = [(72.0, 144.0, 40.0, 8.0)], 72.0
    for long in 6 * (dash_pt, dot_pt):
        shapes.append((x, 72.0, long, 4.0))
        x += long + 3.0
    return b"0.4 g " + b"".join(
        b"%.1f %.1f m %.1f %.1f l %.1f %.1f l f " % (*p, *q, *r)
        for x, y, w, h in shapes
        for p, q, r in (((x, y), (x + w, y), (x + w, y + h)), ((x, y), (x + w, y + h), (x, y + h)))
    )


def test_dashes_and_dots_of_a_broad_line_are_a_broken_line_along_its_middle(tmp_path: Path) -> None:
    drawing, _ = read(tmp_path, dotted(18.0, 4.0))
    lines = drawing.lines
    broken = np.array([s.linetype == "DASHED" for s in drawing.sources])[lines.segment_source]
    assert (int(broken.sum()), len(broken)) == (12, 16)  # and the four sides of what is no dash
    assert lines.segments[broken][:, 1::2] == pytest.approx(74.0 / MM, abs=1e-3)


def test_filled_piers_of_one_length_are_no_dashes(tmp_path: Path) -> None:
    assert roles(read(tmp_path, dotted(18.0, 18.0))[0]) == ["solid"] * 52
