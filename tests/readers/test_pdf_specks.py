"""Specks of a hatch and dashes written one by one: what a page has as plain lines and is none."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
from pdf_making import MM, raw_pdf

from takeoff.drawing.model import Drawing
from takeoff.readers import pdf

WALL = b"0.7 w 72 72 m 500 72 l S 72 100 m 500 100 l S "


def page_of(path: Path, content: bytes) -> Drawing:
    return pdf.read(raw_pdf(path / "plan.pdf", content))[0]


def how_many(drawing: Drawing, role: str, linetype: str = "CONTINUOUS") -> int:
    own = [s.role == role and s.linetype == linetype for s in drawing.sources]
    return int(np.array(own)[drawing.lines.segment_source].sum())


def specks(count: int, size_mm: float) -> bytes:
    """Triangles and dashes of concrete, strewn between the faces of the wall."""
    made = [b"0.3 w "]
    for k in range(count):
        x, y, r = 80.0 + 4.1 * k, 78.0 + 5.3 * (k % 4), size_mm * MM / 2
        turn = 2.4 * k
        corners = [(x + r * math.cos(turn + a), y + r * math.sin(turn + a)) for a in (0.0, 2.1, 4.2)]
        made.append(b"%.3f %.3f m %.3f %.3f l %.3f %.3f l h S " % tuple(v for p in corners for v in p))
        if k % 2:
            made.append(b"%.3f %.3f m %.3f %.3f l S " % (x + 2.0, y, x + 2.6, y + 0.4))
    return b"".join(made)


def test_specks_strewn_over_a_wall_are_its_hatch(tmp_path: Path) -> None:
    drawing = page_of(tmp_path, WALL + specks(100, 0.7))
    assert how_many(drawing, "hatch") == 350  # 100 triangles, 50 dashes
    assert how_many(drawing, "line") == 2
    assert {loop.role for loop in drawing.loops} == {"hatch"}


def test_a_few_small_shapes_stay(tmp_path: Path) -> None:
    drawing = page_of(tmp_path, WALL + specks(20, 0.7))
    assert how_many(drawing, "hatch") == 0


def test_larger_shapes_are_no_specks(tmp_path: Path) -> None:
    """Chairs of a hall, 300 mm at 1:100."""
    drawing = page_of(tmp_path, WALL + specks(100, 3.0))
    assert how_many(drawing, "hatch") < 100
    assert len([loop for loop in drawing.loops if loop.role == "line"]) == 100


def broken(lengths: tuple[float, ...], gap: float, count: int, turn: float = 0.0) -> bytes:
    """Lines in line, of these lengths in turns, mm on paper."""
    made, along = [b"0.7 w "], 30.0
    c, s = math.cos(turn), math.sin(turn)
    for k in range(count):
        a, b = along * MM, (along + lengths[k % len(lengths)]) * MM
        made.append(b"%.3f %.3f m %.3f %.3f l S " % (a * c, 20 + a * s, b * c, 20 + b * s))
        along += lengths[k % len(lengths)] + gap
    return b"".join(made)


def test_an_axis_written_dash_by_dash_is_broken(tmp_path: Path) -> None:
    for turn in (0.0, 0.3):
        drawing = page_of(tmp_path, WALL + broken((7.0, 1.8), 1.8, 20, turn))
        assert how_many(drawing, "line", "DASHED") == 20
        assert how_many(drawing, "line") == 2


def test_walls_between_windows_and_panes_between_mullions_are_not(tmp_path: Path) -> None:
    walls = b"".join(broken((4.0 + k, 9.0), 5.0, 4)[6:] for k in range(3))
    assert how_many(page_of(tmp_path, WALL + walls), "line", "DASHED") == 0
    panes = page_of(tmp_path, WALL + broken((12.0,), 0.6, 10))
    assert how_many(panes, "line", "DASHED") == 0
    pieces = page_of(tmp_path, WALL + broken((9.0, 4.0, 14.0, 6.5, 2.5), 2.0, 10))
    assert how_many(pieces, "line", "DASHED") == 0
