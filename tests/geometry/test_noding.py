"""Linework cut at crossings, small gaps closed."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from takeoff.geometry.noding import cluster, node, parcels
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


def test_a_run_that_forks_ends_where_its_ends_lie_farthest_apart() -> None:
    """A wall's face drawn twice, once 5 over 1000 off: from (0, 0) to (2000, 5) it is 2000.006 long, to (2000, 0) 2000,
    and from one of these two to the other 5."""
    xy = np.array([[1000, 0], [2000, 5], [0, 0], [2000, 0]], float)
    runs = straight_runs(xy, np.array([[0, 1], [2, 0], [0, 3]]))
    assert set(runs.of_edge.tolist()) == {0}
    assert runs.ends.tolist() == [[1, 2]]


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


def test_a_narrow_bundle_of_lines_across_a_border_is_cut_all_the_same() -> None:
    """As hatching and stairs of a damaged page gave it; ``shapely.node`` fails on these nine lines."""
    bundle = (
        (1749.1972447225332, 11490.547716069841, 1638.6075902583675, 11567.012486363286),
        (1777.0545852563741, 11524.700736893496, 1639.8454056822386, 11524.647814010808),
        (1751.0596437251415, 11489.260001476468, 1650.4935577156382, 11558.794197087143),
        (1764.6230779653952, 11479.881864899433, 1664.0067204035354, 11549.450819662976),
        (1664.0595888354062, 11548.154337025555, 1774.3539741139314, 11471.810215665404),
        (1653.393956928391, 11514.028972735678, 1775.271229998547, 11513.981962186446),
        (1776.2594050844557, 11471.83618391302, 1665.9193909585024, 11548.128345916737),
        (1655.2712389253588, 11514.02824862972, 1787.2511531242565, 11513.97734128585),
        (2441.7730340871567, 10452.512653446605, 1656.6444441701651, 10452.209813341307),
    )
    border = shapely.box(1400.0, 10000.0, 3200.0, 11800.0)
    found = parcels([border.boundary, *(shapely.LineString([r[:2], r[2:]]) for r in bundle)])
    assert sum(p.area for p in found) == pytest.approx(border.area, rel=1e-9)
    assert len(found) > 1
