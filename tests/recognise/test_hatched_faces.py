"""Walls are told by the hatching between their faces, where nothing else tells them from furniture."""

from __future__ import annotations

import numpy as np
from drawn import Sheet

from takeoff.recognise import propose
from takeoff.recognise.presets import Settings
from takeoff.recognise.propose import prepared
from takeoff.recognise.walls.hatched_faces import filled_borders, hatched_faces

PEN = "black 0.25 mm"
WALLS = (
    (0.0, 0.0, 8900.0, 300.0),
    (0.0, 4300.0, 8900.0, 4600.0),
    (0.0, 300.0, 300.0, 4300.0),
    (4300.0, 300.0, 4600.0, 4300.0),
    (8600.0, 300.0, 8900.0, 4300.0),
)


def hatch(sheet: Sheet, x0: float, y0: float, x1: float, y1: float) -> None:
    """Strokes at 45 degrees from face to face, 200 mm apart along the wall."""
    wide, high = x1 - x0, y1 - y0
    for k in range(int((max(wide, high) - min(wide, high)) / 200.0)):
        if wide > high:
            sheet.line(x0 + 200.0 * k, y0, x0 + 200.0 * k + high, y1, PEN)
        else:
            sheet.line(x0, y0 + 200.0 * k, x1, y0 + 200.0 * k + wide, PEN)


def house(with_hatch: bool) -> Sheet:
    """Two rooms of 4.0 by 4.0 m, in the left a worktop 0.6 m deep along two walls, in the right a wardrobe and a
    shelf 0.3 m deep from wall to wall, all in one pen."""
    sheet = Sheet()
    sheet.box(0.0, 0.0, 8900.0, 4600.0, layer=PEN)
    sheet.box(300.0, 300.0, 4300.0, 4300.0, layer=PEN).box(4600.0, 300.0, 8600.0, 4300.0, layer=PEN)
    sheet.line(300.0, 900.0, 3700.0, 900.0, PEN).line(3700.0, 900.0, 3700.0, 4300.0, PEN)
    sheet.line(4600.0, 3700.0, 8600.0, 3700.0, PEN)
    sheet.line(4600.0, 2000.0, 8600.0, 2000.0, PEN).line(4600.0, 2300.0, 8600.0, 2300.0, PEN)
    for x in (5600.0, 6600.0, 7600.0):
        sheet.line(x, 3700.0, x, 4300.0, PEN)
    if with_hatch:
        for wall in WALLS:
            hatch(sheet, *wall)
    return sheet


def faces(sheet: Sheet) -> np.ndarray:
    """(n, 4) the lines that are taken for faces, from the drawing's origin."""
    lines = prepared(sheet.drawing(), Settings()).lines
    return lines.xy[hatched_faces(lines)] + np.tile(lines.origin, 2)


def test_faces_are_the_lines_that_strokes_end_on_and_no_worktop() -> None:
    found = {
        tuple(sorted((round(x0), round(x1))) + sorted((round(y0), round(y1)))) for x0, y0, x1, y1 in faces(house(True))
    }
    assert {(0, 8900, 0, 0), (300, 300, 300, 4300), (4600, 4600, 300, 4300)} <= found
    assert not {(300, 3700, 900, 900), (4600, 8600, 3700, 3700)} & found
    assert len(found) == 12


def test_a_plan_without_hatching_has_no_hatched_faces() -> None:
    assert not len(faces(house(False)))


def test_rooms_of_hatched_walls_are_whole_though_furniture_closes_parts_of_them() -> None:
    """4.0 × 4.0 m = 16.0 m²; the shelf would part the right room like a wall."""
    job, _ = propose(house(True).drawing())
    areas = sorted(round(abs(_area(room.outline)) / 1e6, 2) for room in job.storeys[0].rooms)
    assert areas == [16.0, 16.0]


def _area(outline: tuple) -> float:
    points = [(v.x_mm, v.y_mm) for v in outline]
    return sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(points, points[1:] + points[:1], strict=True)) / 2.0


def test_borders_of_fills_are_told_where_a_line_is_drawn_along_them() -> None:
    """Two lines along the long sides of a filled wall, one across the room."""
    sheet = Sheet()
    sheet.box(0.0, 0.0, 3000.0, 100.0, layer="fill")
    sheet.line(0.0, 0.0, 3000.0, 0.0, PEN).line(0.0, 100.0, 3000.0, 100.0, PEN).line(0.0, 2000.0, 3000.0, 2000.0, PEN)
    lines = prepared(sheet.drawing(), Settings()).lines
    solid = np.array([sheet.drawing().layers[k].name == "fill" for k in lines.layer])
    assert filled_borders(lines, solid).sum() == 2
