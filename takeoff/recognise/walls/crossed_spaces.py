"""The crosses that mark a shower, a shaft, a lift or a void: two lines from corner to corner of what they lie in. They
part nothing, though four triangles lie between them (common practice of drawing, no source)."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.near_points import pairs_within
from takeoff.recognise.walls.bounding_lines import Lines, is_role

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

LONG_MM = (500.0, 8000.0)
"""What is crossed is a box of this size from corner to corner."""
OFF_MIDDLE, ALIKE, SINE = 0.08, 0.15, 0.25
"""The two lines of a cross meet in their middles but for so much of their length, are as long as each other but for
so much, and do not run along each other."""
FRAME_MM, DRAWN_PART, FEWEST_SIDES = 25.0, 0.6, 3
"""The sides of the box are drawn this near to the ends of the cross, each along so much of it; one of them may be
open."""
LEVEL_SINE = 0.05


BEHIND_MM, BEHIND_PART = (40.0, 350.0), 0.8
"""A wall has its other face this far behind the one that is a side of the box, along so much of it; a leaf that stands
open beside a tray is shorter (common practice, no source)."""


def without_crosses(lines: Lines) -> Lines:
    """The lines, those of such crosses given the role of hatching where their layer says nothing or walls, and dashed
    ones along the sides of their boxes taken for drawn through: an edge without a wall closes a void as well. Without
    such it is the same. A tray that stands in a room, which one line alone bounds on a side, is left as it is."""
    own = is_role(lines, "unknown", "wall", "column", "glazing") & ~lines.hatch & ~lines.dashed & (lines.arc < 0)
    length = np.hypot(*(lines.xy[:, 2:] - lines.xy[:, :2]).T)
    rows = np.flatnonzero(own & (length >= LONG_MM[0]) & (length <= LONG_MM[1]))
    if len(rows) < 2:
        return lines
    one, other = _crossing(lines.xy[rows], length[rows])
    one, other = rows[one], rows[other]
    if not len(one):
        return lines
    drawn = np.flatnonzero(~lines.hatch & (length > FRAME_MM))
    sides = _sides(lines.xy[one], lines.xy[other])
    at, along, level_mm = _along(sides, lines.xy[drawn])
    told = np.bincount(at, level_mm, minlength=len(sides)) >= DRAWN_PART * _long(sides)
    lone = np.zeros(len(sides), bool)
    lone[at[_spans(sides[at], lines.xy[drawn[along]])]] = True
    lone &= ~_faced(sides, lines.xy[drawn])
    boxed = (told.reshape(-1, 4).sum(axis=1) >= FEWEST_SIDES) & ~lone.reshape(-1, 4).any(axis=1)
    role, dashed = lines.role.copy(), lines.dashed.copy()
    role[one[boxed]] = role[other[boxed]] = "hatch"
    dashed[drawn[along[np.repeat(boxed, 4)[at]]]] = False
    return lines._replace(role=role, dashed=dashed)


def crossed_boxes(lines: Lines) -> NDArray[np.object_]:
    """The boxes whose corners such crosses join, on whatever layer, as polygons; drawn or not."""
    length = _long(lines.xy)
    own = ~is_role(lines, "text", "dimension", "frame", "grid") & ~lines.dashed & (lines.arc < 0)
    rows = np.flatnonzero(own & (length >= LONG_MM[0]) & (length <= LONG_MM[1]))
    one, other = _crossing(lines.xy[rows], length[rows])
    corners = _sides(lines.xy[rows[one]], lines.xy[rows[other]])[:, :2].reshape(-1, 4, 2)
    return np.asarray(shapely.polygons(corners))


def _crossing(xy: Floats, length: Floats) -> tuple[Ints, Ints]:
    """The pairs of lines (n, 4), as long as each other, that cross in their middles; none where they lie in heaps."""
    # where they cross lies no farther than that from both middles
    pairs = pairs_within((xy[:, :2] + xy[:, 2:]) / 2, OFF_MIDDLE * (2.0 + ALIKE) * length)
    if pairs is None:
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    i, j = pairs
    fits = (i < j) & (np.abs(length[i] - length[j]) <= ALIKE * length[i])
    i, j = i[fits], j[fits]
    d, e, off = xy[i, 2:] - xy[i, :2], xy[j, 2:] - xy[j, :2], xy[j, :2] - xy[i, :2]
    turn = d[:, 0] * e[:, 1] - d[:, 1] * e[:, 0]
    fits = np.abs(turn) >= SINE * length[i] * length[j]
    turn = np.where(fits, turn, 1.0)
    for along in (off[:, 0] * e[:, 1] - off[:, 1] * e[:, 0], off[:, 0] * d[:, 1] - off[:, 1] * d[:, 0]):
        fits &= np.abs(along / turn - 0.5) <= OFF_MIDDLE
    return i[fits], j[fits]


def _sides(one: Floats, other: Floats) -> Floats:
    """(4 n, 4) the sides of the boxes whose diagonals are one line (n, 4) and another each, anticlockwise."""
    d, e = one[:, 2:] - one[:, :2], other[:, 2:] - other[:, :2]
    turned = d[:, 0] * e[:, 1] - d[:, 1] * e[:, 0] > 0
    other = np.where(turned[:, None], other, np.roll(other, 2, axis=1))
    corners = np.stack([one[:, :2], other[:, :2], one[:, 2:], other[:, 2:]], axis=1)
    return np.concatenate([corners, np.roll(corners, -1, axis=1)], axis=2).reshape(-1, 4)


def _long(xy: Floats) -> Floats:
    return np.asarray(np.hypot(*(xy[:, 2:] - xy[:, :2]).T))


def _along(sides: Floats, drawn: Floats) -> tuple[Ints, Ints, Floats]:
    """(side, line, for how many mm) of the lines (m, 4) that run along sides (n, 4)."""
    zones = shapely.buffer(shapely.linestrings(sides.reshape(-1, 2, 2)), FRAME_MM, cap_style="flat")
    return _within(zones, sides, drawn)


def _within(zones: NDArray[np.object_], sides: Floats, drawn: Floats) -> tuple[Ints, Ints, Floats]:
    """(side, line, for how many mm) of the lines (m, 4) that run along sides (n, 4) in a zone of each."""
    lines = shapely.linestrings(drawn.reshape(-1, 2, 2))
    at, line = shapely.STRtree(lines).query(zones, predicate="intersects")
    d, e = sides[at, 2:] - sides[at, :2], drawn[line, 2:] - drawn[line, :2]
    level = np.abs(d[:, 0] * e[:, 1] - d[:, 1] * e[:, 0]) <= LEVEL_SINE * np.hypot(*d.T) * np.hypot(*e.T)
    at, line = at[level], line[level]
    return at, line, np.asarray(shapely.length(shapely.intersection(lines[line], zones[at])))


def _spans(sides: Floats, lines: Floats) -> Bools:
    """Which of the lines (n, 4) run from one end of their sides (n, 4) to the other, and end there."""
    same = np.abs(sides - lines).max(axis=1)
    turned = np.abs(sides - np.roll(lines, 2, axis=1)).max(axis=1)
    return np.asarray(np.minimum(same, turned) <= FRAME_MM)


def _faced(sides: Floats, drawn: Floats) -> Bools:
    """Which sides (n, 4) have a line as a wall's other face behind them, out of their box."""
    d = sides[:, 2:] - sides[:, :2]
    out = np.stack([d[:, 1], -d[:, 0]], axis=1) / np.maximum(_long(sides), 1.0)[:, None]
    near, far = (np.tile(out * mm, 2) for mm in BEHIND_MM)
    corners = np.concatenate([sides + near, np.roll(sides + far, 2, axis=1)], axis=1)
    at, _line, level_mm = _within(shapely.polygons(corners.reshape(-1, 4, 2)), sides, drawn)
    longest = np.zeros(len(sides))
    np.maximum.at(longest, at, level_mm)
    return longest >= BEHIND_PART * _long(sides)
