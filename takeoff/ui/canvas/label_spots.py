"""Where a room's label may stand: free boxes of its floor, clear of the band and of door swings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import msgspec
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from takeoff.sheets.curved import course_line
from takeoff.sheets.picture import door_leaves
from takeoff.sheets.sheet_values import PlanOpening, Point

_CELLS = 20
"""A room's longer side is looked at in so many steps."""

_LEAST_CELL_MM = 60.0
_CLEAR_MM = 40.0
"""How far a label stays away from the leaf and the swing of a door."""

_MOST = 6
"""Boxes that are kept: wide low ones and narrow tall ones."""


class Spot(msgspec.Struct, frozen=True):
    """A free box about a plan point, mm."""

    at: Point
    wide_mm: float
    tall_mm: float


def swings(openings: Iterable[PlanOpening]) -> BaseGeometry:
    """The area that the leaves and swings of doors cover, with some air round it."""
    areas = []
    for opening in openings:
        if opening.kind == "door" and opening.sure:
            for leaf, swing in door_leaves(opening):
                drawn = shapely.geometrycollections([course_line(leaf), course_line(swing)])
                areas.append(shapely.buffer(shapely.convex_hull(drawn), _CLEAR_MM))
    return shapely.union_all(areas)


def free_boxes(space: BaseGeometry, band_mm: float, covered: BaseGeometry) -> tuple[Spot, ...]:
    """Boxes within a room that hold no coat and no door, the roomiest first; () for a room without any.

    The boxes are those that no wider one is as tall as; their places are exact to a twentieth of the
    room's longer side.
    """
    inner = shapely.buffer(space, -band_mm, join_style="mitre")
    free = inner if covered.is_empty else inner.difference(covered)
    if free.is_empty:
        return ()
    left, low, right, high = free.bounds
    if covered.is_empty and free.area >= (right - left) * (high - low) - 1.0:
        return (Spot(((left + right) / 2, (low + high) / 2), right - left, high - low),)
    cell = max(max(right - left, high - low) / _CELLS, _LEAST_CELL_MM)
    columns, rows = max(1, int((right - left) / cell)), max(1, int((high - low) / cell))
    xs, ys = np.linspace(left, right, columns + 1), np.linspace(low, high, rows + 1)
    # a hair inwards, so that what touches the border counts as within
    shapely.prepare(free)
    grid = shapely.intersects_xy(free, *np.meshgrid(xs, ys))
    open_cells = grid[:-1, :-1] & grid[1:, :-1] & grid[:-1, 1:] & grid[1:, 1:]
    if not covered.is_empty:
        # a swing may lie within one cell: its middle is looked at too
        middles = np.meshgrid((xs[:-1] + xs[1:]) / 2, (ys[:-1] + ys[1:]) / 2)
        open_cells &= shapely.intersects_xy(free, *middles)
    centre = (left + right) / 2, (low + high) / 2
    lines = [float(x) for x in xs], [float(y) for y in ys]
    spots = [_spot(box, *lines) for box in _largest(open_cells, *lines, centre)]
    spots.sort(key=lambda spot: -min(spot.wide_mm / 3.0, spot.tall_mm) * max(spot.wide_mm, spot.tall_mm))
    return tuple(spots[:_MOST])


def _spot(box: tuple[int, int, int, int], xs: Sequence[float], ys: Sequence[float]) -> Spot:
    x0, x1, y0, y1 = xs[box[0]], xs[box[1]], ys[box[2]], ys[box[3]]
    return Spot((float(x0 + x1) / 2, float(y0 + y1) / 2), float(x1 - x0), float(y1 - y0))


def _largest(
    cells: np.ndarray[tuple[int, int], np.dtype[np.bool_]], xs: Sequence[float], ys: Sequence[float], centre: Point
) -> list[tuple[int, int, int, int]]:
    """For each height in cells the widest box of free cells (the one nearest to the middle among equal
    ones) that no taller box is as wide as: (first column, end column, first row, end row)."""
    rows, columns = cells.shape
    best: dict[int, tuple[int, float, tuple[int, int, int, int]]] = {}
    heights = [0] * columns
    for row in range(rows):
        line = cells[row]
        heights = [h + 1 if line[k] else 0 for k, h in enumerate(heights)]
        for first, end, tall in _under(heights):
            box = (first, end, row + 1 - tall, row + 1)
            x, y = (xs[first] + xs[end]) / 2, (ys[box[2]] + ys[row + 1]) / 2
            away = abs(x - centre[0]) + abs(y - centre[1])
            known = best.get(tall)
            if known is None or (end - first, -away) > (known[0], -known[1]):
                best[tall] = (end - first, away, box)
    found, widest = [], 0
    for tall in sorted(best, reverse=True):
        wide, _, box = best[tall]
        if wide > widest:
            widest = wide
            found.append(box)
    return found


def _under(heights: Sequence[int]) -> Iterable[tuple[int, int, int]]:
    """(first, end, height) of every box under a skyline that cannot grow wider."""
    stack: list[tuple[int, int]] = []
    for at, height in enumerate((*heights, 0)):
        first = at
        while stack and stack[-1][1] > height:
            first, tall = stack.pop()
            yield first, at, tall
        if height and (not stack or stack[-1][1] < height):
            stack.append((first, height))
