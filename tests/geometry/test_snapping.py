"""Points drawn to linework: which kind wins, exactly where, and how little of the drawing is looked at."""

from __future__ import annotations

import math

import numpy as np
import pytest

from takeoff.geometry.curves import Curve
from takeoff.geometry.snapping import From, LineIndex, directions_after, snap

ROOM = np.array([(0, 0, 4000, 0), (4000, 0, 4000, 3000), (4000, 3000, 0, 3000), (0, 3000, 0, 0)], float)
CROSS = np.array([(0, 1000, 4000, 1000), (1500, 0, 1500, 3000)], float)
SQUARE = directions_after(None)


def snapped(x, y, lines, reach=50.0, start=None, arcs=None):
    return snap(x, y, reach, [LineIndex(np.asarray(lines, float), arcs)], start)


def test_end_is_the_very_number_of_the_drawing() -> None:
    lines = np.array([(1234.56789012345, 0.1, 5e8 + 0.25, 77.7)])
    found = snapped(5e8, 80.0, lines)
    assert (found.kind, found.x, found.y) == ("end", 5e8 + 0.25, 77.7)


def test_end_wins_over_a_nearer_line() -> None:
    found = snapped(3980, 1, ROOM)
    assert (found.kind, found.at) == ("end", (4000, 0))


def test_crossing_wins_over_the_lines_that_cross() -> None:
    found = snapped(1510, 1020, CROSS)
    assert (found.kind, found.at) == ("crossing", (1500, 1000))


def test_lines_that_would_cross_only_beyond_their_ends_give_no_crossing() -> None:
    found = snapped(1510, 1020, [(0, 1000, 1480, 1000), (1500, 2000, 1500, 1030)])
    assert found.kind == "end"


def test_middle_and_anywhere_on_a_line() -> None:
    assert snapped(2010, 12, ROOM[:1])[:3] == (2000, 0, "middle")
    assert snapped(1200, 12, ROOM[:1])[:3] == (1200, 0, "line")


def test_foot_is_square_from_the_last_corner_onto_the_line() -> None:
    sloped = [(0, 0, 4000, 4000)]
    found = snapped(1020, 1005, sloped, start=From((2000, 0)))
    assert found.kind == "foot"
    assert found.at == pytest.approx((1000, 1000))


def test_square_and_straight_on_from_the_last_side() -> None:
    side = (math.cos(0.3), math.sin(0.3))
    start = From((100, 200), directions_after(side))
    x, y = 100 + 3000 * side[0], 200 + 3000 * side[1]
    assert snapped(x - 8, y + 20, np.zeros((0, 4)), start=start).kind == "straight on"
    x, y = 100 - 3000 * side[1], 200 + 3000 * side[0]
    found = snapped(x + 20, y + 8, np.zeros((0, 4)), start=start)
    assert found.kind == "square"
    assert (found.x - 100) * side[0] + (found.y - 200) * side[1] == pytest.approx(0, abs=1e-9)


def test_square_direction_meets_a_line_exactly() -> None:
    sloped = [(3000, -1000, 3300, 2000)]
    found = snapped(3090, 30, sloped, start=From((0, 0), SQUARE))
    assert found.kind == "meets"
    assert found.at == pytest.approx((3100, 0))


def test_fourth_corner_comes_level_with_the_first() -> None:
    start = From((4000, 3000), SQUARE, first=(0, 0))
    found = snapped(20, 3010, np.zeros((0, 4)), start=start)
    assert (found.kind, found.at) == ("in line", (0, 3000))


def test_arc_is_hit_on_the_arc_and_not_on_its_chord() -> None:
    half = np.array([(1000, 0, -1000, 0, 1.0)])
    found = snapped(10, 1010, np.zeros((0, 4)), arcs=half)
    assert found.kind == "middle"
    assert found.at == pytest.approx((0, 1000))
    assert snapped(0, 10, np.zeros((0, 4)), arcs=half) is None
    line_through = snapped(600, 790, [(600, 0, 600, 2000)], arcs=half)
    assert line_through.kind == "crossing"
    assert line_through.at == pytest.approx((600, 800))


def test_nothing_within_reach_and_nothing_drawn_is_none() -> None:
    assert snapped(2000, 1500, ROOM) is None
    assert snapped(0, 0, np.zeros((0, 4))) is None
    assert snapped(0, 0, [(5, 5, 5, 5)]) is None
    assert snapped(0, 0, [(math.nan, 0, 1, 1)]) is None


def test_several_indexes_cross_each_other() -> None:
    one, other = LineIndex(CROSS[:1]), LineIndex(CROSS[1:])
    assert snap(1505, 1004, 50, [one, other]).at == (1500, 1000)


def test_blot_of_lines_is_cut_to_the_nearest() -> None:
    rng = np.random.default_rng(5)
    blot = rng.uniform(-40, 40, (3000, 4))
    near = LineIndex(blot).near(0, 0, 50)
    assert len(near) == 12
    every = sorted(_off(Curve(*row)) for row in blot.tolist())
    assert [_off(c) for c in near] == pytest.approx(every[:12])


def _off(curve: Curve) -> float:
    t, _ = curve.where(0, 0)
    return math.hypot(*curve.at(min(max(t, 0), curve.length)))


def test_snapping_agrees_with_looking_at_every_line() -> None:
    rng = np.random.default_rng(11)
    lines = rng.uniform(0, 20_000, (200, 4))
    index = LineIndex(lines)
    for x, y in rng.uniform(0, 20_000, (200, 2)).tolist():
        found = snap(x, y, 60, [index])
        ends = np.concatenate([lines[:, :2], lines[:, 2:]])
        off = np.hypot(*(ends - [x, y]).T)
        if off.min() <= 60:
            assert found.kind == "end"
            assert found.at == tuple(ends[off.argmin()])
        else:
            assert found is None or found.kind != "end"
