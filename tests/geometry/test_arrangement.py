"""Cells, edges and winding of small arrangements, checked by hand."""

from __future__ import annotations

import math

import pytest

from takeoff.geometry.arrangement import Arrangement
from takeoff.geometry.curves import Curve, meet
from takeoff.geometry.offset import offset_ring
from takeoff.geometry.rings import ring_area, ring_curves


def rect(x: float, y: float, w: float, h: float) -> list[Curve]:
    return ring_curves([(x, y, 0), (x + w, y, 0), (x + w, y + h, 0), (x, y + h, 0)])


def areas(curves: list[Curve], rings: list[int]) -> list[tuple[float, dict[int, int]]]:
    a = Arrangement(curves, rings)
    return sorted(((a.cell_area(i), a.winding[i]) for i in range(1, len(a.cells))), key=lambda pair: pair[0])


def test_ring_that_shares_a_side_and_a_hole() -> None:
    found = areas(
        rect(0, 0, 4000, 3000)
        + rect(0, 2400, 4000, 600)
        + [c.reversed() for c in reversed(rect(1000, 1000, 500, 500))],
        [0] * 4 + [1] * 4 + [0] * 4,
    )
    assert [a for a, _ in found] == pytest.approx([0.25e6, 2.4e6, 9.35e6])
    assert [w.get(0, 0) for _, w in found] == [0, 1, 1]
    assert [w.get(1, 0) for _, w in found] == [0, 1, 0]


def test_line_across_a_bow_splits_it_in_two_exactly() -> None:
    bow = ring_curves([(0, 0, 0.25), (4000, 0, 0), (4000, 3000, 0), (0, 3000, 0)])
    found = areas([*bow, Curve(2000, -2000, 2000, 4000)], [0, 0, 0, 0, -1])
    assert [a for a, _ in found] == pytest.approx([13.349854205457968e6 / 2] * 2)


def test_round_pier_in_a_round_room() -> None:
    room = ring_curves([(-2000, 0, 1), (2000, 0, 1)])
    pier = [c.reversed() for c in reversed(ring_curves([(-300, 0, 1), (300, 0, 1)]))]
    found = areas([*room, *pier], [0] * 4)
    assert [a for a, _ in found] == pytest.approx([math.pi * 300**2, math.pi * (2000**2 - 300**2)])
    assert [w.get(0, 0) for _, w in found] == [0, 1]


def test_lines_that_run_along_each_other_become_one_edge() -> None:
    a = Arrangement([Curve(0, 0, 1000, 0), Curve(1500, 0, 500, 0)], [-1, -1])
    assert sorted(len(e.uses) for e in a.edges) == [1, 1, 2]
    assert len(a.cells) == 1


def test_nothing_gives_the_outside_only() -> None:
    a = Arrangement([], [])
    assert a.cells == [[]]
    assert a.edges == []


def test_two_circles_meet_in_two_points() -> None:
    one = Curve(-1000, 0, 1000, 0, 1.0).reversed()
    two = Curve(0, 0, 2000, 0, 1.0).reversed()
    points = {tuple(round(v, 6) for v in one.at(t)) for t, _ in meet(one, two)}
    assert points == {(500.0, -round(math.sqrt(0.75) * 1000, 6))}


def test_offset_mitres_an_l_shape_and_keeps_arcs() -> None:
    shape = ring_curves([(0, 0, 0), (5000, 0, 0), (5000, 2000, 0), (3000, 2000, 0), (3000, 4000, 0), (0, 4000, 0)])
    moved = offset_ring(shape, [100] * 6)
    assert ring_area([p[:3] for p in moved]) == pytest.approx(14.24e6)
    circle = offset_ring(ring_curves([(-1000, 0, 1), (1000, 0, 1)]), [100, 100])
    assert ring_area([p[:3] for p in circle]) == pytest.approx(math.pi * 900**2)


def test_offset_by_different_distances_along_one_line_makes_a_jog() -> None:
    shape = ring_curves([(0, 0, 0), (2000, 0, 0), (4000, 0, 0), (4000, 3000, 0), (0, 3000, 0)])
    moved = offset_ring(shape, [0, 100, 0, 0, 0])
    assert ring_area([p[:3] for p in moved]) == pytest.approx(12e6 - 2000 * 100)
    assert [p[3] for p in moved].count(-1) == 1
