"""Walls drawn with a pen as broad as they are: the borders of its strokes are the faces."""

import msgspec
import numpy as np
import pytest

from takeoff.drawing.model import Drawing, LineSource, Loop
from takeoff.plan.model import Room
from takeoff.plan.shape import sound_polygon
from takeoff.recognise.propose import proposal
from takeoff.recognise.walls.broad_strokes import STROKED, with_stroked_walls
from tests.recognise.drawn import Sheet

SCALE = 100.0
PENS = {"wall": 1.5, "thick": 2.0, "outer": 3.5, "frame": 1.2, "window": 0.9, "thin": 0.1, "heavy": 0.5}
"""In mm of paper, of which one is 100 mm: walls of 150, 200 and 350, frames of 90, and of the sheet."""


def drawn(sheet: Sheet, filled: tuple[tuple[float, float, float, float], ...] = ()) -> Drawing:
    """The sheet with pens by its layers' names, and boxes that are filled, with their borders."""
    for x0, y0, x1, y1 in filled:
        sheet.box(x0, y0, x1, y1, layer="filled")
    plain = sheet.drawing()
    names = [layer.name for layer in plain.layers]
    sources = tuple(
        LineSource("LINE", role="solid" if name == "filled" else "line", weight_mm=PENS.get(name, 0.0))
        for name in names
    )
    layers = tuple(
        msgspec.structs.replace(layer, name=f"black {PENS.get(n, 0.0):.2f} mm", weight_mm=PENS.get(n, 0.0))
        for layer, n in zip(plain.layers, names, strict=True)
    )
    loops = tuple(Loop(loop.vertices, loop.layer, role="solid") for loop in plain.loops)
    return msgspec.structs.replace(plain, layers=layers, sources=sources, loops=loops, unit_mm=SCALE)


def strokes(sheet: Sheet, *runs: tuple[float, float, float, float], layer: str = "wall") -> Sheet:
    """Each run in two strokes, as a wall between two others is drawn."""
    for x0, y0, x1, y1 in runs:
        sheet.line(x0, y0, (x0 + x1) / 2, (y0 + y1) / 2, layer)
        sheet.line((x0 + x1) / 2, (y0 + y1) / 2, x1, y1, layer)
    return sheet


def house(gap: tuple[float, float] = (1000.0, 1900.0)) -> Sheet:
    """Strokes of 150 about axes of 8000 × 4000, and one at 5000 with a gap: rooms of 4850 × 3850 and 2850 × 3850."""
    sheet = Sheet()
    strokes(sheet, (0, 0, 8000, 0), (8000, 0, 8000, 4000), (8000, 4000, 0, 4000), (0, 4000, 0, 0))
    return strokes(sheet, (5000, 0, 5000, gap[0]), (5000, gap[1], 5000, 4000))


def rooms_of(drawing: Drawing) -> list[Room]:
    return [room for storey in proposal(drawing)[0].storeys for room in storey.rooms]


def areas(drawing: Drawing) -> list[float]:
    return sorted(round(sound_polygon(room).area / 1e6, 2) for room in rooms_of(drawing))


def test_rooms_lie_between_the_borders_of_broad_strokes() -> None:
    # 2.85 × 3.85 = 10.97, 4.85 × 3.85 = 18.67
    assert areas(drawn(house())) == [10.97, 18.67]


def test_strokes_that_follow_each_other_have_a_whole_corner() -> None:
    found = with_stroked_walls(drawn(house()))
    rows = [k for k, source in enumerate(found.sources) if source.entity == STROKED]
    x0, y0 = found.lines.segments[np.isin(found.lines.segment_source, rows)][:, :2].T
    assert {(-75, -75), (8075, -75), (8075, 4075), (-75, 4075)} <= set(zip(x0.round(), y0.round(), strict=True))


def test_broader_strokes_and_filled_pieces_between_them_are_walls() -> None:
    sheet = Sheet()
    strokes(sheet, (0, 0, 8000, 0), (8000, 0, 8000, 4000), (8000, 4000, 0, 4000), (0, 4000, 0, 0))
    strokes(sheet, (5000, 1900, 5000, 3000), (5000, 3000, 5000, 4000), layer="thick")
    # The partition is 200 thick above its door, and a filled box of 200 below: 4.825 × 3.85 = 18.58, 2.825 × 3.85.
    found = areas(drawn(sheet, ((4900, 75, 5100, 1000),)))
    assert found == [pytest.approx(10.88, abs=0.01), pytest.approx(18.58, abs=0.01)]


def test_a_filled_box_as_thick_as_the_strokes_is_a_pier_where_it_stands_free() -> None:
    found = with_stroked_walls(drawn(house((500, 3500)), ((4925, 1400, 5075, 2600), (2000, 1000, 2600, 1600))))
    rows = [k for k, source in enumerate(found.sources) if source.entity == STROKED]
    walls = found.lines.segments[np.isin(found.lines.segment_source, rows)]
    on_pier = (walls[:, [0, 2]].min(axis=1) >= 4920) & (walls[:, [0, 2]].max(axis=1) <= 5080)
    on_pier &= (walls[:, [1, 3]].min(axis=1) >= 1390) & (walls[:, [1, 3]].max(axis=1) <= 2610)
    assert on_pier.sum() == 4
    # The box of 600 × 600 is four times as thick, and stays what it was.
    assert len(found.loops) == 1


def test_a_frame_is_what_its_broad_stroke_covers() -> None:
    sheet = house()
    sheet.line(2000, 30, 3000, 30, "window")
    found = with_stroked_walls(drawn(sheet))
    source = [k for k, s in enumerate(found.sources) if s.weight_mm == PENS["window"]]
    lines = found.lines.segments[np.isin(found.lines.segment_source, source)]
    # 90 broad about y = 30.
    assert sorted(lines[np.abs(lines[:, 3] - lines[:, 1]) < 1][:, 1].round().tolist()) == [-15, 75]


def test_a_few_broad_strokes_are_a_frame_or_a_bar() -> None:
    sheet = Sheet()
    strokes(sheet, (0, 0, 9000, 0), (9000, 0, 9000, 5000), (9000, 5000, 0, 5000), (0, 5000, 0, 0))
    plain = drawn(sheet)
    assert with_stroked_walls(plain) is plain


def test_thinner_strokes_between_broad_ones_are_walls_and_a_frame_round_the_sheet_is_none() -> None:
    sheet = Sheet()
    above_below = ((0, y, 4000, y) for y in (0, 4000)), ((4000, y, 8000, y) for y in (0, 4000))
    strokes(sheet, *above_below[0], *above_below[1], (8000, 0, 8000, 4000), (0, 4000, 0, 0), layer="outer")
    strokes(sheet, (5000, 0, 5000, 1000), (5000, 1900, 5000, 4000))
    frame = ((-3000, -3000, 11000, -3000), (11000, -3000, 11000, 7000), (11000, 7000, -3000, 7000))
    strokes(sheet, *frame, (-3000, 7000, -3000, -3000), layer="frame")
    # Outer walls of 350, one of 150 between them: 4.75 × 3.65 = 17.34 and 2.75 × 3.65 = 10.04.
    assert areas(drawn(sheet)) == [10.04, 17.34]


def test_where_broad_strokes_wall_in_nothing_other_pens_are_tried() -> None:
    # Two rooms in a pen of 0.5 with thin lines across, and a title beside them in letters of broad strokes.
    sheet = Sheet()
    sheet.box(-150, -150, 8150, 4150, layer="heavy")
    sheet.ring(
        (0, 0),
        (5000, 0),
        (5000, 1000),
        (5150, 1000),
        (5150, 0),
        (8000, 0),
        (8000, 4000),
        (5150, 4000),
        (5150, 1900),
        (5000, 1900),
        (5000, 4000),
        (0, 4000),
        layer="heavy",
    )
    sheet.line(2500, 0, 2500, 4000, "thin").line(5150, 2800, 8000, 2800, "thin")
    for k in range(8):
        strokes(sheet, (900 * k, -3000, 900 * k + 700, -3000), (900 * k, -3000, 900 * k, -1800))
    # 5 × 4 and 2.85 × 4
    assert areas(drawn(sheet)) == [11.4, 20.0]
