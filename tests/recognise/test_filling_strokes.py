"""Insulation drawn as a zigzag or as loops is no wall; circles, steps and walls stay what they are."""

from __future__ import annotations

import itertools
import math

import msgspec
import numpy as np
from drawn import Sheet

from takeoff.drawing.model import Drawing, LineSource
from takeoff.recognise.walls.bounding_lines import Lines, prepare
from takeoff.recognise.walls.filling_strokes import without_strokes
from takeoff.recognise.walls.layer_roles import guess


def of_one_polyline(*points: tuple[float, float]) -> Lines:
    """The lines of one polyline through these points, on a layer that says nothing."""
    sheet = Sheet()
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        sheet.line(x0, y0, x1, y1, "0")
    drawing: Drawing = msgspec.structs.replace(sheet.drawing(), sources=(LineSource("LWPOLYLINE"),))
    return prepare(drawing, guess(drawing))


def filled(*points: tuple[float, float]) -> int:
    return int((without_strokes(of_one_polyline(*points)).role == "hatch").sum())


def test_a_zigzag_between_two_faces_is_hatching() -> None:
    """20 strokes of 115 mm at 60° across 100 mm."""
    assert filled(*[(58.0 * k, 100.0 * (k % 2)) for k in range(21)]) == 20


def test_loops_are_hatching() -> None:
    """20 loops of 30 chords, each 90 mm high and half over the one before it."""
    t = np.linspace(0, 40 * math.pi, 601)
    assert filled(*zip((7.0 * t + 30 * np.cos(t)).tolist(), (45 * np.sin(t)).tolist(), strict=True)) == 600


def test_a_circle_steps_and_the_outline_of_a_wall_are_none() -> None:
    circle = [(300 * math.cos(a), 300 * math.sin(a)) for a in np.linspace(0, 2 * math.pi, 60).tolist()]
    steps = [(280.0 * ((k + 1) // 2), 175.0 * (k // 2)) for k in range(30)]
    ribs = [(float(x), y) for x in range(0, 6000, 600) for y in (0.0, 150.0, 150.0, 0.0)]
    assert [filled(*p) for p in (circle, steps, ribs)] == [0, 0, 0]
