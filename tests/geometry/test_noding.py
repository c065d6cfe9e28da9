"""Linework cut at crossings, small gaps closed."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from takeoff.geometry.noding import cluster, node
from takeoff.geometry.runs import components, straight_runs


def closed_area(segments: list[tuple[float, float, float, float]]) -> float:
    graph = node(np.array(segments, float))
    return float(sum(p.area for p in shapely.get_parts(shapely.polygonize(shapely.linestrings(graph.xy[graph.edges])))))


def test_nothing_gives_an_empty_graph() -> None:
    graph = node(np.zeros((0, 4)))
    assert (len(graph.xy), len(graph.edges), len(graph.source)) == (0, 0, 0)


def test_a_crossing_makes_four_edges_and_keeps_the_original_ends() -> None:
    graph = node(np.array([[0, 0, 1000, 0], [500, -300, 500, 700]], float))
    assert sorted(graph.source.tolist()) == [0, 0, 1, 1]
    assert {tuple(p) for p in graph.xy.tolist()} == {(0, 0), (1000, 0), (500, -300), (500, 700), (500, 0)}


def test_lines_drawn_twice_and_lines_without_length_are_gone() -> None:
    graph = node(np.array([[0, 0, 1000, 0], [1000, 0, 0, 0], [5, 5, 5, 5]], float))
    assert graph.edges.shape == (1, 2)


@pytest.mark.parametrize("short", [0.0, 1.0, 2.5, 4.0, 4.9])
def test_a_line_that_stops_up_to_five_mm_short_of_another_is_joined_to_it(short: float) -> None:
    square = [(0, 0, 1000, 0), (1000, 0, 1000, 1000), (1000, 1000, 0, 1000), (0, 1000, 0, 0)]
    middle = (500, short, 500, 1000 - short)
    assert closed_area([*square, middle]) == pytest.approx(1e6)
    assert (
        len(
            shapely.get_parts(
                shapely.polygonize(shapely.linestrings((g := node(np.array([*square, middle], float))).xy[g.edges]))
            )
        )
        == 2
    )


@pytest.mark.parametrize("past", [1.0, 3.0, 4.9, 12.0])
@pytest.mark.parametrize("short", [0.0, 2.2, 4.0])
def test_a_corner_with_one_line_past_it_and_one_short_of_it_is_closed(past: float, short: float) -> None:
    lines = [(0, 0, 1000 + past, 0), (1000, short, 1000, 1000), (1000, 1000, 0, 1000), (0, 1000, 0, 0)]
    assert closed_area(lines) == pytest.approx(1e6, rel=5e-3)


@pytest.mark.parametrize("degrees", [0, 17, 33, 45, 71])
def test_t_junctions_on_a_turned_wall_far_from_the_origin_close(degrees: float) -> None:
    a = np.radians(degrees)
    turn = np.array([[np.cos(a), -np.sin(a)], [np.sin(a), np.cos(a)]])
    lines = [(0, 0, 9000, 0), (9000, 0, 9000, 3000), (9000, 3000, 0, 3000), (0, 3000, 0, 0)]
    lines += [(1000 * k + 77.7, 0, 1000 * k + 77.7, 3000) for k in range(1, 9)]
    xy = np.array(lines, float).reshape(-1, 2) @ turn.T + 12345.678
    graph = node(xy.reshape(-1, 4))
    cells = shapely.get_parts(shapely.polygonize(shapely.linestrings(graph.xy[graph.edges])))
    assert len(cells) == 9
    assert sum(c.area for c in cells) == pytest.approx(27e6)


def test_the_most_frequent_place_stands_for_its_neighbours() -> None:
    xy = np.array([[0, 0], [3, 0], [3, 0], [100, 0]], float)
    assert cluster(xy, 5.0).tolist() == [1, 1, 1, 3]


def test_groups_are_named_by_their_least_member() -> None:
    assert components(6, np.array([1, 4, 2]), np.array([3, 5, 3])).tolist() == [0, 1, 1, 1, 4, 4]


def test_a_wall_in_three_pieces_is_one_straight_run() -> None:
    xy = np.array([[0, 0], [1000, 0], [2000, 1], [3000, 0], [3000, 900]], float)
    runs = straight_runs(xy, np.array([[0, 1], [2, 1], [2, 3], [3, 4]]))
    assert len(set(runs.of_edge[:3].tolist())) == 1
    assert sorted(runs.ends[runs.of_edge[0]].tolist()) == [0, 3]
    assert runs.of_edge[3] != runs.of_edge[0]


def test_of_a_heap_of_points_those_stand_that_would_if_each_pair_were_looked_at() -> None:
    r = np.random.default_rng(5)
    points = np.round(np.concatenate([r.random((1500, 2)) * 60.0, r.normal(30.0, 2.0, (1500, 2))]), 1)
    weight = r.integers(1, 4, len(points))
    kept, group = np.unique(points, axis=0, return_inverse=True)
    heavy = np.bincount(group.reshape(-1), weight)
    expected: list[int] = []
    for k in np.argsort(-heavy, kind="stable").tolist():
        if all(np.hypot(*(kept[k] - kept[e])) > 5.0 for e in expected):
            expected.append(k)
    stands = np.unique(points[cluster(points, 5.0, weight)], axis=0)
    assert np.array_equal(stands, kept[sorted(expected)])
