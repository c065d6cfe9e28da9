"""Slashes at the ends of dimensions are no ends of walls."""

from __future__ import annotations

import numpy as np
from drawn import Sheet

from takeoff.recognise.walls.bounding_lines import is_role, prepare
from takeoff.recognise.walls.dimension_ticks import without_ticks
from takeoff.recognise.walls.layer_roles import guess


def roles(sheet: Sheet) -> np.ndarray:
    drawing = sheet.drawing()
    return is_role(without_ticks(prepare(drawing, guess(drawing))), "dimension")


def row(count: int, mid: float = 0.0) -> Sheet:
    """A line of 1 m to each of so many slashes of 200 mm at 45 degrees, their middles ``mid`` beside it."""
    sheet = Sheet().line(0, 0, 1000.0 * count, 0, "1")
    for k in range(count):
        x = 500.0 + 1000.0 * k
        sheet.line(x - 70.71, mid - 70.71, x + 70.71, mid + 70.71, "1")
    return sheet


def test_many_slashes_alike_across_a_line_are_those_of_dimensions() -> None:
    assert roles(row(9)).sum() == 9
    assert roles(row(7)).sum() == 0


def test_strokes_beside_a_line_are_none() -> None:
    # from a wall's face on: its hatching
    assert roles(row(9, 70.71)).sum() == 0


def test_short_walls_square_to_a_line_are_none() -> None:
    sheet = Sheet().line(0, 0, 9000, 0, "1")
    for k in range(9):
        sheet.line(500.0 + 1000.0 * k, -100, 500.0 + 1000.0 * k, 100, "1")
    assert roles(sheet).sum() == 0
