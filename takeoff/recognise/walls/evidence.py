"""What shows that a gap in a wall is a door or a window: swings, leaves, glass, symbols."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing
from takeoff.recognise.walls.layers import by_name
from takeoff.recognise.walls.linework import Lines, arc_centres, is_role

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

LEAF_MM = (450.0, 1600.0)
"""A door leaf is this wide (common practice, no source)."""
SWING_DEG = (28.0, 185.0)
"""How far a leaf is drawn open."""
LEAF_SLACK_MM = 80.0
"""A leaf has a thickness, and is drawn a little off its swing's centre or end."""


class Swings(NamedTuple):
    """Door swings: ``hinge`` (n, 2), ``closed`` (n, 2, 2) both ends of the arc (either can be the
    closed position), ``radius`` (n,), the arc's row ``arc`` (n,)."""

    hinge: Floats
    ends: Floats
    radius: Floats
    arc: Ints


class Evidence(NamedTuple):
    """Door and window marks near the origin. ``door_lines``, ``glass_lines``: (n, 4); ``leaves``:
    the straight ones among the door lines; ``symbols``: boxes (n, 4); ``symbol_kind`` (n,) of
    "door" or "window"; ``symbol_row``: which symbol of the drawing each is."""

    swings: Swings
    door_lines: Floats
    glass_lines: Floats
    symbols: Floats
    symbol_kind: tuple[str, ...]
    symbol_row: tuple[int, ...]
    leaves: Floats


def swings(lines: Lines, hidden_too: bool = False) -> tuple[Swings, Bools]:
    """(door swings, which lines draw them: arc chords and leaves).

    On a door layer an arc of a leaf's size is enough; elsewhere it needs a leaf from its centre
    to one of its ends, or two arcs that meet as a pair of leaves do.
    """
    arcs = lines.arcs
    drawn = np.zeros(len(lines.xy), bool)
    if not len(arcs):
        return Swings(np.zeros((0, 2)), np.zeros((0, 2, 2)), np.zeros(0), np.zeros(0, np.int64)), drawn
    sweep = np.degrees(4 * np.arctan(np.abs(arcs[:, 4])))
    centre = arc_centres(arcs)
    radius = np.abs(centre - (arcs[:, 0] + 1j * arcs[:, 1]))
    fits = (sweep >= SWING_DEG[0]) & (sweep <= SWING_DEG[1])
    fits &= (radius >= LEAF_MM[0]) & (radius <= LEAF_MM[1])
    rows = np.flatnonzero(fits)
    alive = lines.arc_role[rows] == "door"
    doubtful = rows[~alive]
    leaf_of = _leaves(lines, arcs, doubtful, centre, radius)
    alive[~alive] = [bool(len(leaf)) for leaf in leaf_of]
    for leaf in leaf_of:
        drawn[leaf] = True
    rows = rows[alive]
    drawn |= np.isin(lines.arc, rows)
    hinge = np.stack([centre[rows].real, centre[rows].imag], axis=1)
    return Swings(hinge, arcs[rows, :4].reshape(-1, 2, 2), radius[rows], rows), drawn


def _leaves(lines: Lines, arcs: Floats, rows: Ints, centre: NDArray[np.complex128], radius: Floats) -> list[Ints]:
    """For each arc the lines that draw its leaf: near the line from its centre to an end, and
    along it or across its thickness; on wall layers only lines as long as the leaf are."""
    straight = np.flatnonzero(lines.arc < 0)
    of_wall = is_role(lines, "wall", "column")
    if not len(rows) or not len(straight):
        return [np.zeros(0, np.int64) for _ in rows]
    found: list[Ints] = []
    tree = shapely.STRtree(shapely.linestrings(lines.xy[straight].reshape(-1, 2, 2)))
    for row in rows:
        c = np.array([centre[row].real, centre[row].imag])
        best = np.zeros(0, np.int64)
        for end in (arcs[row, :2], arcs[row, 2:4]):
            corridor = shapely.buffer(shapely.linestrings([c, end]), LEAF_SLACK_MM)
            near = straight[tree.query(corridor, predicate="contains")]
            d = lines.xy[near, 2:] - lines.xy[near, :2]
            length = np.hypot(d[:, 0], d[:, 1])
            along = np.abs(d @ (end - c)) / radius[row]
            fits = np.where(of_wall[near], length > 0.8 * radius[row], length < LEAF_SLACK_MM)
            fits |= (along > 0.97 * length) & ~of_wall[near]
            near, length = near[fits], length[fits]
            if len(near) and length.max() > 0.8 * radius[row] and len(near) > len(best):
                best = near
        found.append(best)
    return found


def gather(drawing: Drawing, lines: Lines, found: Swings) -> Evidence:
    """All that speaks for doors and windows in the drawing."""
    door = is_role(lines, "door")
    glass = is_role(lines, "glazing")
    boxes, kinds, rows = [], [], []
    x, y = lines.origin
    for row, symbol in enumerate(drawing.symbols):
        role = by_name(symbol.name)[0]
        if role not in ("door", "glazing"):
            role = by_name(drawing.layers[symbol.layer].name)[0] if drawing.layers else "unknown"
        if role in ("door", "glazing") and symbol.box is not None:
            x0, y0, x1, y1 = symbol.box
            boxes.append((x0 - x, y0 - y, x1 - x, y1 - y))
            kinds.append("door" if role == "door" else "window")
            rows.append(row)
    return Evidence(
        found,
        lines.xy[door],
        lines.xy[glass],
        np.array(boxes, float).reshape(-1, 4),
        tuple(kinds),
        tuple(rows),
        lines.xy[door & (lines.arc < 0)],
    )
