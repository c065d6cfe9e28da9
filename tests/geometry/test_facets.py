"""Facets that stand for a curve, and polygons that do not."""

from __future__ import annotations

import math

import numpy as np
import pytest

from takeoff.geometry.facets import faceted_runs, scattered_runs, smooth_arc


def chain(points: list[tuple[float, float]]) -> np.ndarray:
    p = np.array(points, dtype=float)
    return np.concatenate((p[:-1], p[1:]), axis=1)


def on_circle(radius: float, angles_deg: np.ndarray) -> list[tuple[float, float]]:
    t = np.radians(angles_deg)
    return list(zip((radius * np.cos(t)).tolist(), (radius * np.sin(t)).tolist(), strict=True))


def runs_of(points: list[tuple[float, float]]):
    sides = chain(points)
    return faceted_runs(sides, np.zeros(len(sides), dtype=np.int64))


def test_a_bow_in_nine_degree_facets_is_one_arc_with_its_exact_sweep() -> None:
    (run,) = runs_of(on_circle(4250, np.linspace(30, 120, 11)))
    assert run.sure
    assert run.radius == pytest.approx(4250)
    ((x0, y0, x1, y1, bulge),) = run.arcs
    assert bulge == pytest.approx(math.tan(math.radians(90) / 4))
    assert [(x0, y0), (x1, y1)] == [pytest.approx(p) for p in on_circle(4250, np.array([30, 120]))]


def test_a_full_circle_of_72_sides_is_two_arcs() -> None:
    (run,) = runs_of(on_circle(300, np.linspace(0, 360, 73)))
    assert [a[4] for a in run.arcs] == pytest.approx([1, 1])


def test_turning_right_gives_a_negative_bulge() -> None:
    (run,) = runs_of(on_circle(1000, np.linspace(90, 0, 19)))
    assert run.arcs[0][4] == pytest.approx(-math.tan(math.pi / 8))


@pytest.mark.parametrize("sides", [3, 4, 5, 6, 8, 12])
def test_regular_polygons_are_never_curves(sides: int) -> None:
    assert runs_of(on_circle(1500, np.linspace(0, 360, sides + 1))) == ()


def test_a_bay_with_45_degree_sides_is_no_curve() -> None:
    assert runs_of([(0, 0), (1000, 0), (1700, -700), (3200, -700), (3900, 0), (5000, 0)]) == ()


def test_a_bow_window_of_five_equal_panes_is_asked_about() -> None:
    (run,) = runs_of(on_circle(3000, np.linspace(0, 60, 6)))
    assert not run.sure
    assert run.turn_deg == pytest.approx(12)


def test_a_wall_drawn_in_equal_pieces_stays_straight() -> None:
    assert runs_of([(i * 500.0, 0.0) for i in range(12)]) == ()


def test_walls_before_and_after_the_curve_are_not_swallowed() -> None:
    bow = on_circle(2000, np.linspace(0, 90, 19))
    (run,) = runs_of([(2000, -3000), *bow, (-3000, 2000)])
    assert (run.first, run.last) == (1, 18)
    assert run.arcs[0][4] == pytest.approx(math.tan(math.pi / 8))


def test_shorter_facets_at_both_ends_belong_to_the_curve() -> None:
    (run,) = runs_of(on_circle(2000, np.array([2, *range(5, 90, 5), 86.5])))
    assert (run.first, run.last) == (0, 17)
    assert run.arcs[0][4] == pytest.approx(math.tan(math.radians(84.5) / 4))


def test_a_spiral_is_no_circle() -> None:
    points = [
        (r * math.cos(math.radians(t)), r * math.sin(math.radians(t)))
        for t, r in ((10 * i, 1000 + 15 * i) for i in range(20))
    ]
    assert all(run.last - run.first < 8 for run in runs_of(points))


def test_pieces_of_different_groups_do_not_join() -> None:
    sides = chain(on_circle(1000, np.linspace(0, 90, 13)))
    assert faceted_runs(sides, np.arange(len(sides))) == ()


def test_an_exploded_curve_is_found_in_any_order_and_direction() -> None:
    rng = np.random.default_rng(7)
    sides = chain(on_circle(2000, np.linspace(10, 100, 19)))
    back = rng.random(len(sides)) < 0.5
    sides[back] = sides[back][:, (2, 3, 0, 1)]
    walls = chain([(9000, 0), (9000, 4000), (5000, 4000)])
    mixed = np.concatenate((sides, walls))[rng.permutation(len(sides) + 2)]
    ((rows, run),) = scattered_runs(mixed, np.zeros(len(mixed), dtype=np.int64))
    assert len(rows) == 18
    assert run.sure
    assert abs(run.arcs[0][4]) == pytest.approx(math.tan(math.pi / 8))


def test_a_scattered_ring_becomes_a_whole_circle() -> None:
    sides = chain(on_circle(500, np.linspace(0, 360, 37)))[np.random.default_rng(3).permutation(36)]
    ((rows, run),) = scattered_runs(sides, np.zeros(36, dtype=np.int64))
    assert sorted(rows.tolist()) == list(range(36))
    assert sum(4 * math.atan(abs(a[4])) for a in run.arcs) == pytest.approx(2 * math.pi)


def test_a_wall_that_ends_on_the_curve_stops_the_chain_there() -> None:
    sides = np.concatenate((chain(on_circle(2000, np.linspace(0, 90, 19))), [[2000.0, 0.0, 2600.0, 0.0]]))
    assert len(scattered_runs(sides, np.zeros(len(sides), dtype=np.int64))) == 1


def test_moved_far_from_the_origin_the_curve_is_found_too() -> None:
    points = [(x + 4e6, y + 4e6) for x, y in on_circle(4250, np.linspace(30, 120, 11))]
    (run,) = runs_of(points)
    assert run.arcs[0][4] == pytest.approx(math.tan(math.radians(90) / 4), rel=1e-6)


def test_samples_of_a_smooth_curve_at_any_spacing_are_an_arc_only_on_a_circle() -> None:
    at = np.array(on_circle(700, np.array([0, 3, 10, 31, 60, 88, 90])))
    arcs = smooth_arc(at)
    assert arcs is not None
    assert arcs[0][4] == pytest.approx(math.tan(math.pi / 8))
    assert smooth_arc(at * [1.0, 1.1]) is None
    assert smooth_arc(at[:3]) is None
    assert smooth_arc(at * 1e160) is None  # a damaged file has them; its squares are beyond floats


def test_a_wave_of_next_to_nothing_is_a_straight_line_and_no_overflow() -> None:
    x = np.arange(9) * 3.75
    off = np.array([0.0, 1.23, 1.41, 0.88, 0.0, -0.88, -1.41, -1.23, 0.0])
    assert smooth_arc(np.column_stack((x, off * 1e-200))) is None


def test_a_long_shallow_wave_is_no_arc_of_a_huge_circle() -> None:
    x = np.linspace(0, 1900, 4000)
    assert smooth_arc(np.column_stack((x, np.sin(x)))) is None
