"""Windows drawn among lines whose layers say nothing: panes from one wall end to the one opposite.

A wall stops at two short lines that face each other, its faces are not drawn across, and what runs
between them from one to the other is glass or a frame (common practice of drawing, no source).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.recognise.walls.linework import Lines, is_role

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

PANE_MM = (300.0, 6000.0)
END_MM = (60.0, 650.0)
"""Between these lies the thickness of a wall that a window sits in."""
TOUCH_MM = 3.0
OPPOSITE_MM = 15.0
"""Wall ends that face each other are off by less."""
SQUARE_COS = 0.05
FACE_MM = 2.0
"""A line this near to the corners of both wall ends is the wall's face, drawn across."""
WALL_SHARE = 0.6
"""Two lines alone that are so much of the ends' width apart are a thinner wall between piers."""


APART_MM = (5.0, 350.0)
"""Panes and frames of one window lie this far apart."""
FEWEST_FREE = 3
JAMB_MM, DEEP_MM = 30.0, 500.0
"""Where no line is drawn across a wall's end, its faces stop this near to the panes' ends, and within
so much of them across."""


class _Spans(NamedTuple):
    """Lines that run from one short line to another: their row, those two, and how far their ends lie
    from the nearest corner of each."""

    row: Ints
    ends: Ints
    corner: Floats


def with_windows(lines: Lines) -> Lines:
    """The lines, with those that draw windows given the role of glazing; a drawing whose layers say what
    walls or glazing is stays as it is."""
    if is_role(lines, "wall", "glazing").any():
        return lines
    usable = np.flatnonzero(is_role(lines, "unknown") & ~lines.dashed & ~lines.hatch & ~lines.hidden & (lines.arc < 0))
    xy = lines.xy[usable]
    panes = usable[np.union1d(_panes(xy), _free_panes(xy))] if len(usable) else usable
    if not len(panes):
        return lines
    role = lines.role.copy()
    role[panes] = "glazing"
    return lines._replace(role=role)


def _panes(xy: Floats) -> Ints:
    """Rows of the lines that run from wall end to wall end where no two faces do."""
    found = _spans(xy)
    panes: list[int] = []
    pair = found.ends.min(axis=1) * (len(xy) + 1) + found.ends.max(axis=1)
    for key in np.unique(pair):
        own = np.flatnonzero(pair == key)
        faces = found.corner[own] <= FACE_MM
        if (
            (~faces).any()
            and faces.sum() < 2
            and _facing(xy, found.ends[own[0]])
            and not _wall(xy[found.row[own]], xy[found.ends[own[0], 0]])
        ):
            panes += found.row[own].tolist()
    return np.array(sorted(panes), np.int64)


def _spans(xy: Floats) -> _Spans:
    d = xy[:, 2:] - xy[:, :2]
    length = np.hypot(d[:, 0], d[:, 1])
    unit = d / np.maximum(length, 1e-9)[:, None]
    ends = np.flatnonzero((length >= END_MM[0]) & (length <= END_MM[1]))
    rows = np.flatnonzero((length >= PANE_MM[0]) & (length <= PANE_MM[1]))
    none = _Spans(np.zeros(0, np.int64), np.zeros((0, 2), np.int64), np.zeros(0))
    if not len(ends) or not len(rows):
        return none
    tree = shapely.STRtree(shapely.linestrings(xy[ends].reshape(-1, 2, 2)))
    met: list[dict[int, int]] = []
    for side in (slice(0, 2), slice(2, 4)):
        at, k = tree.query(shapely.points(xy[rows][:, side]), predicate="dwithin", distance=TOUCH_MM)
        square = np.abs((unit[rows[at]] * unit[ends[k]]).sum(axis=1)) <= SQUARE_COS
        met.append(dict(zip(at[square].tolist(), ends[k[square]].tolist(), strict=True)))
    both = sorted(set(met[0]) & set(met[1]))
    if not both:
        return none
    pairs = np.array([(met[0][i], met[1][i]) for i in both], np.int64)
    row = rows[both]
    corner = np.maximum(_to_corner(xy[row, :2], xy[pairs[:, 0]]), _to_corner(xy[row, 2:], xy[pairs[:, 1]]))
    return _Spans(row, pairs, corner)


def _to_corner(point: Floats, line: Floats) -> Floats:
    first, second = point - line[:, :2], point - line[:, 2:]
    return np.asarray(np.minimum(np.hypot(first[:, 0], first[:, 1]), np.hypot(second[:, 0], second[:, 1])))


def _wall(lines: Floats, end: Floats) -> bool:
    """Whether two lines from pier to pier are the faces of a wall."""
    if len(lines) != 2:
        return False
    d = end[2:] - end[:2]
    width = float(np.hypot(*d))
    across = (lines[:, :2] - end[:2]) @ d / width
    return bool(abs(across[1] - across[0]) >= WALL_SHARE * width)


def _facing(xy: Floats, ends: Ints) -> bool:
    """Whether two short lines lie opposite each other and are of one length."""
    a, b = xy[ends[0]].reshape(2, 2), xy[ends[1]].reshape(2, 2)
    d = a[1] - a[0]
    u = d / np.hypot(*d)
    spans = [np.sort((line - a[0]) @ u) for line in (a, b)]
    return bool(np.abs(spans[0] - spans[1]).max() <= OPPOSITE_MM)


def _free_panes(xy: Floats) -> Ints:
    """Rows of three or more like lines side by side between faces of walls that stop at their ends."""
    d = xy[:, 2:] - xy[:, :2]
    turned = (d[:, 0] < 0) | ((d[:, 0] == 0) & (d[:, 1] < 0))
    ends = np.where(turned[:, None], np.roll(xy, 2, axis=1), xy)
    length = np.hypot(d[:, 0], d[:, 1])
    rows = np.flatnonzero((length >= PANE_MM[0]) & (length <= PANE_MM[1]))
    if len(rows) < FEWEST_FREE:
        return np.zeros(0, np.int64)
    own = ends[rows]
    middle = shapely.points((own[:, :2] + own[:, 2:]) / 2.0)
    a, b = shapely.STRtree(middle).query(middle, predicate="dwithin", distance=APART_MM[1])
    unit = (own[:, 2:] - own[:, :2]) / length[rows][:, None]
    first, last = own[b, :2] - own[a, :2], own[b, 2:] - own[a, 2:]
    aside = np.abs(first[:, 0] * unit[a, 1] - first[:, 1] * unit[a, 0])
    alike = (a != b) & (np.abs((first * unit[a]).sum(axis=1)) <= OPPOSITE_MM)
    alike &= (np.abs((last * unit[a]).sum(axis=1)) <= OPPOSITE_MM) & (aside >= APART_MM[0])
    mates: dict[int, list[int]] = {}
    for i, j in zip(a[alike].tolist(), b[alike].tolist(), strict=True):
        mates.setdefault(i, []).append(j)
    tips = shapely.STRtree(shapely.points(np.concatenate([ends[:, :2], ends[:, 2:]])))
    found: set[int] = set()
    for i, others in mates.items():
        group = [i, *others]
        if len(group) >= FEWEST_FREE and all(
            _stops(ends, tips, own[group], unit[i], set(rows[group].tolist()), side) for side in (0, 1)
        ):
            found |= set(rows[group].tolist())
    return np.array(sorted(found), np.int64)


def _stops(ends: Floats, tips: shapely.STRtree, group: Floats, along: Floats, own: set[int], side: int) -> bool:
    """Whether faces of a wall stop on both sides of the panes' ends: lines along them whose own ends lie
    level with these."""
    at = group[:, 2 * side : 2 * side + 2]
    across = np.array([-along[1], along[0]])
    offs = at @ across
    near = tips.query(shapely.Point(at.mean(axis=0)).buffer(DEEP_MM), predicate="contains") % len(ends)
    sides: set[bool] = set()
    for row in np.unique(near).tolist():
        line = ends[row].reshape(2, 2)
        d = line[1] - line[0]
        if row in own or abs(float(d @ across)) > SQUARE_COS * float(np.hypot(*d)):
            continue
        # A face that goes away from the panes ends where they begin.
        tip = line[1 - side]
        if abs(float((tip - at.mean(axis=0)) @ along)) <= JAMB_MM:
            off = float(tip @ across)
            if off <= offs.min() or off >= offs.max():
                sides.add(off >= offs.max())
    return len(sides) == 2
