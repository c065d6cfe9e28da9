"""Ways that nothing closes: the mouth of a passage, and the open side of a hall.

A door hangs in a wall that goes on beside it, on one side at least: its leaf has a jamb to hang on. Where the way
between two wall ends is as wide as the space behind it, no wall goes on beside it on that side, and it is the mouth of
a passage, unless it is a hole as wide as a leaf in the wall of the other space; and one wider than a leaf, with wall
beside it on one side only, has no door either. Plans that draw leaves would draw one there (common practice, no
source). What is called by a name, or has an area printed, on both sides of such a way stays two rooms."""

from __future__ import annotations

import numpy as np

from takeoff.plan.reasons import because
from takeoff.recognise.walls.believed_gaps import Gap
from takeoff.recognise.walls.enclosed_faces import Faces
from takeoff.recognise.walls.room_spaces import Space, as_door, union_of, walls_beside, without_leaves

FEWEST_LEAVES = 3
"""A plan that draws fewer leaves may leave others out."""
LEAF_WIDE_MM, PAIR_WIDE_MM = 1050.0, 1800.0
"""A single leaf is no wider, nor a pair of them, or the hole in one wall that stands in line on both its sides (common
practice, no source)."""
TINY_M2 = 1.2
"""Nobody walks into a room of that size: what has no name and no leaf before it is a bay of its neighbour (common
practice, no source)."""
OPEN_WAY = because("open-way")


def join_open_ways(spaces: list[Space], faces: Faces, gaps: list[Gap], called: set[int]) -> list[Space]:
    """The spaces, those put together that such a way alone parts, where the plan draws leaves; the same ones where
    there is none. ``called``: the words (rows) that are names or areas of rooms."""
    if without_leaves(gaps) or sum(g.confirmed and g.kind == "door" and as_door(g) for g in gaps) < FEWEST_LEAVES:
        return spaces
    found = list(spaces)
    for tiny in (False, True):
        for k in sorted({k for s in found for k in s.doubtful_gaps}, key=lambda k: -gaps[k].bridge.width_mm):
            pair = [s for s in found if k in s.doubtful_gaps]
            if len(pair) != 2 or not _plain(gaps[k]) or all(called.intersection(s.words) for s in pair):
                continue
            if _is_bay(pair, called) if tiny else _is_open(gaps[k], pair):
                found = [s for s in found if s not in pair] + [_joined(pair, faces)]
    return found


def _plain(gap: Gap) -> bool:
    return gap.kind == "open" and not gap.confirmed and len(gap.bridge.lines) == 2


def _is_bay(pair: list[Space], called: set[int]) -> bool:
    """Whether one of two spaces is too small for a room, and nothing names it."""
    small = min(pair, key=lambda s: float(s.polygon.area))
    return float(small.polygon.area) <= TINY_M2 * 1e6 and not called.intersection(small.words)


def _is_open(gap: Gap, pair: list[Space]) -> bool:
    """Whether a way has no wall beside it in one of its two spaces, or has one on one side only and is wider than what
    is closed there."""
    beside = [walls_beside(gap, np.array([space.polygon])) for space in pair]
    if any(count is None for count in beside):
        return False
    least, most = sorted(count for count in beside if count is not None)
    # From a hall a passage as wide as a leaf is seen through a hole in the hall's wall.
    if most == 2 and gap.bridge.width_mm <= LEAF_WIDE_MM:
        return False
    straight = gap.bridge.in_line or gap.bridge.goes_on
    return least == 0 or (least == 1 and gap.bridge.width_mm > (PAIR_WIDE_MM if straight else LEAF_WIDE_MM))


def _joined(pair: list[Space], faces: Faces) -> Space:
    """Two spaces as one, over all plain ways that lead from one into the other."""
    shared = set(pair[0].doubtful_gaps) & set(pair[1].doubtful_gaps)
    fill = np.flatnonzero(np.isin(faces.gap, list(shared))).tolist()
    own = [f for s in pair for f in s.faces] + fill
    first = max(pair, key=lambda s: float(s.polygon.area))
    ways = tuple(sorted({way for s in pair for way in s.ways}))
    return first._replace(
        polygon=union_of(faces, own),
        faces=tuple(own),
        doubtful_gaps=tuple(sorted({k for s in pair for k in s.doubtful_gaps} - shared)),
        joined=tuple(dict.fromkeys((*(r for s in pair for r in s.joined), OPEN_WAY))),
        words=tuple(w for s in pair for w in s.words),
        ways=ways,
        doors=len(ways),
    )
