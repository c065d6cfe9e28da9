"""What is painted over what, from any side."""

from __future__ import annotations

import itertools
import random

import pytest

from takeoff.geometry.seen import Tree, View, holds_point, normal_of


def test_eye_in_the_front_sees_right_to_the_right_and_up_upwards():
    view = View(-90.0, 0.0)
    assert view.towards == pytest.approx((0.0, -1.0, 0.0))
    assert view.flat([(100.0, 0.0, 0.0)])[0] == pytest.approx((100.0, 0.0))
    assert view.flat([(0.0, 0.0, 100.0)])[0] == pytest.approx((0.0, 100.0))
    # from straight above the plan lies as it is drawn
    above = View(-90.0, 85.0).flat([(0.0, 100.0, 0.0)])[0]
    assert above == pytest.approx((0.0, 99.6), abs=0.1)


def test_view_turns_round_and_stops_short_of_straight_above():
    view = View(170.0, 80.0).turned(30.0, 30.0)
    assert (view.round_deg, view.up_deg) == (-160.0, 85.0)


def square(x: float, y: float, z: float = 0.0, size: float = 100.0):
    """Upright, facing the eye at −y."""
    return ((x, y, z), (x + size, y, z), (x + size, y, z + size), (x, y, z + size))


def order(tree: Tree, view: View) -> list[int]:
    return [piece.item for piece in tree.from_behind(view.towards) if not piece.is_line]


def test_further_pieces_come_first_from_both_sides():
    tree = Tree([square(0, 50), square(0, 0), square(0, 100)])
    assert order(tree, View(-90.0, 0.0)) == [2, 0, 1]
    assert order(tree, View(90.0, 0.0)) == [1, 0, 2]


def test_pieces_that_run_through_each_other_are_parted():
    wall = ((0, 0, 0), (200, 0, 0), (200, 0, 100), (0, 0, 100))
    across = ((100, -100, 0), (100, 100, 0), (100, 100, 100), (100, -100, 100))
    pieces = list(Tree([wall, across]).from_behind(View(-60.0, 10.0).towards))
    assert len(pieces) == 3
    assert {piece.item for piece in pieces} == {0, 1}


def test_line_on_a_facet_is_painted_after_it():
    tree = Tree([square(0, 0), square(0, 50)], [((10.0, 0.0, 10.0), (90.0, 0.0, 10.0))])
    pieces = [(piece.item, piece.is_line) for piece in tree.from_behind(View(-90.0, 0.0).towards)]
    assert pieces == [(1, False), (0, False), (0, True)]


def test_line_in_the_open_is_painted_between_what_is_behind_and_before_it():
    tree = Tree([square(0, 0), square(0, 50)], [((10.0, 25.0, 10.0), (90.0, 25.0, 10.0))])
    pieces = [(piece.item, piece.is_line) for piece in tree.from_behind(View(-90.0, 0.0).towards)]
    assert pieces == [(1, False), (0, True), (0, False)]


@pytest.mark.parametrize("seed", range(12))
def test_nothing_covers_what_is_nearer(seed):
    rng = random.Random(seed)
    facets = []
    for _ in range(14):
        a, b, c = (tuple(rng.uniform(0, 1000) for _ in range(3)) for _ in range(3))
        facets.append((a, b, c))
    tree = Tree(facets)
    for _ in range(6):
        view = View(rng.uniform(-180, 180), rng.uniform(-80, 80))
        d = view.towards
        painted = list(tree.from_behind(d))
        flats = [view.flat(piece.points) for piece in painted]
        normals = [normal_of(piece.points) for piece in painted]
        for (k, first), (j, second) in itertools.combinations(enumerate(flats), 2):
            # a spot where both lie: the one that is painted later must not be further away
            x, y = (sum(p[axis] for p in first) / len(first) for axis in (0, 1))
            if not holds_point(second, x, y):
                continue
            depths = []
            for number in (k, j):
                n, p = normals[number], painted[number].points[0]
                facing = sum(u * v for u, v in zip(n, d, strict=True))
                if abs(facing) < 1e-3:
                    break
                base = view_point(view, x, y)
                depths.append(sum(u * (q - b) for u, q, b in zip(n, p, base, strict=True)) / facing)
            if len(depths) == 2:
                assert depths[1] >= depths[0] - 0.5


def view_point(view: View, x: float, y: float) -> tuple[float, float, float]:
    """The point at depth nought that is seen at x, y."""
    right, up = axes(view)
    return tuple(x * r + y * u for r, u in zip(right, up, strict=True))  # type: ignore[return-value]


def axes(view: View) -> tuple[tuple[float, ...], tuple[float, ...]]:
    seen = [view.flat([unit])[0] for unit in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))]
    return tuple(s[0] for s in seen), tuple(s[1] for s in seen)
