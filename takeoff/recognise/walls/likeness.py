"""What the layers of a drawing look like, where their names say nothing: walls, columns, doors."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.noding import cluster
from takeoff.geometry.runs import components
from takeoff.recognise.walls.evidence import LEAF_MM
from takeoff.recognise.walls.linework import Lines, arc_centres

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

PAIR_MM = (50.0, 520.0)
"""The two faces of a wall lie so far apart (common practice, no source)."""
PARALLEL_SINE = 0.02
LONG_MM = 250.0
"""Shorter lines show no pairs."""
SAMPLES = (0.2, 0.5, 0.8)
COLUMN_MM, COLUMN_ASPECT = (140.0, 1300.0), 2.5
MULLION_MM, MULLION_ASPECT = (15.0, 400.0), 12.0
COLUMNS_PART = 0.85
"""A layer of columns has hardly anything else."""
JOIN_MM = 5.0
TOUCH_MM = 60.0
ACROSS, LONG_AXIS_MM, AXES_PART = 0.7, 6000.0, 0.7
"""Axes run across so much of a plan's shorter way, are no shorter than that, and make up so much of
their layer."""
QUARTER_DEG = (75.0, 105.0)
SWINGS_PART = 0.6
"""A layer of doors has mostly quarter circles of a leaf's size among its arcs."""
FEWEST_SWINGS = 3


class Likeness(NamedTuple):
    """Per layer of the drawing (n,): ``total_mm`` drawn; ``paired_mm``: of that with one line
    beside it at a wall's distance, on one side; ``axes``: its lines run across the plan;
    ``columns``, ``doors``, ``mullions``: what it has hardly anything but."""

    total_mm: Floats
    paired_mm: Floats
    axes: Bools
    columns: Bools
    doors: Bools
    mullions: Bools


def likeness(lines: Lines, layers: int) -> Likeness:
    """How each of so many layers looks; zeros for those without usable lines."""
    usable = ~lines.dashed & ~lines.hatch & ~lines.hidden
    length = np.hypot(*(lines.xy[:, 2:] - lines.xy[:, :2]).T)
    total = np.bincount(lines.layer[usable], length[usable], minlength=layers).astype(np.float64)
    paired = np.zeros(layers)
    for layer in np.unique(lines.layer[usable & (length >= LONG_MM)]).tolist():
        own = usable & (length >= LONG_MM) & (lines.layer == layer)
        paired[layer] = float((_paired_part(lines.xy[own]) * length[own]).sum())
    columns, mullions = np.zeros(layers, bool), np.zeros(layers, bool)
    for layer in np.flatnonzero(total).tolist():
        own = lines.xy[usable & (lines.layer == layer)]
        columns[layer] = _closed_part(own, COLUMN_MM, COLUMN_ASPECT) >= COLUMNS_PART
        mullions[layer] = _closed_part(own, MULLION_MM, MULLION_ASPECT) >= COLUMNS_PART
    axes = _axes(lines, usable, length, total)
    return Likeness(total, paired, axes, columns, _doors(lines, layers), mullions & ~columns)


def like_columns(lines: Lines, layer: int) -> bool:
    """Whether a layer has hardly anything but small closed shapes as columns are, two or more of them."""
    own = lines.xy[(lines.layer == layer) & ~lines.dashed & ~lines.hatch & ~lines.hidden]
    return len(own) >= 8 and _closed_part(own, COLUMN_MM, COLUMN_ASPECT) >= COLUMNS_PART


def touching_part(lines: Lines, walls: Floats) -> float:
    """Which part of these lines is in pieces that come near to one of the walls (m, 4); 0 to 1."""
    if not len(lines.xy) or not len(walls):
        return 0.0
    group = _pieces(lines.xy)
    tree = shapely.STRtree(shapely.linestrings(walls.reshape(-1, 2, 2)))
    near, _ = tree.query(shapely.linestrings(lines.xy.reshape(-1, 2, 2)), predicate="dwithin", distance=TOUCH_MM)
    touching = np.isin(group, group[np.unique(near)])
    length = np.hypot(*(lines.xy[:, 2:] - lines.xy[:, :2]).T)
    return float(length[touching].sum() / max(float(length.sum()), 1e-9))


def _pieces(xy: Floats) -> Ints:
    """For each line the number of the piece of linework, joined end to end, that it is in."""
    node = cluster(np.concatenate([xy[:, :2], xy[:, 2:]]), JOIN_MM)
    a, b = node[: len(xy)], node[len(xy) :]
    return components(2 * len(xy), a, b)[a]


def _axes(lines: Lines, usable: Bools, length: Floats, total: Floats) -> Bools:
    """Layers whose linework is mostly single lines that run across much of the plan."""
    if not usable.any():
        return np.zeros(len(total), bool)
    ends = np.concatenate([lines.xy[usable, :2], lines.xy[usable, 2:]])
    across = float((np.percentile(ends, 95, axis=0) - np.percentile(ends, 5, axis=0)).min())
    long = usable & (length >= max(ACROSS * across, LONG_AXIS_MM))
    run_across = np.bincount(lines.layer[long], length[long], minlength=len(total))
    return np.asarray(run_across > AXES_PART * np.maximum(total, 1.0))


def _paired_part(xy: Floats) -> Floats:
    """For each line the part of it that has a parallel one at a wall's distance on one side only:
    treads, tiles and hatching have such on both."""
    d = xy[:, 2:] - xy[:, :2]
    length = np.hypot(d[:, 0], d[:, 1])
    unit = d / length[:, None]
    tree = shapely.STRtree(shapely.linestrings(xy.reshape(-1, 2, 2)))
    part = np.zeros(len(xy))
    for t in SAMPLES:
        at = xy[:, :2] + d * t
        i, j = tree.query(shapely.points(at), predicate="dwithin", distance=PAIR_MM[1])
        sine = np.abs(unit[i, 0] * unit[j, 1] - unit[i, 1] * unit[j, 0])
        off = at[i] - xy[j, :2]
        along = (off * unit[j]).sum(axis=1)
        across = unit[i, 0] * -off[:, 1] + unit[i, 1] * off[:, 0]
        fits = (sine < PARALLEL_SINE) & (along >= 0) & (along <= length[j]) & (np.abs(across) >= PAIR_MM[0])
        left, right = np.zeros(len(xy), bool), np.zeros(len(xy), bool)
        left[i[fits & (across > 0)]] = True
        right[i[fits & (across < 0)]] = True
        part += (left ^ right) / len(SAMPLES)
    return part


def _closed_part(xy: Floats, size_mm: tuple[float, float], aspect: float) -> float:
    """Which part of these lines are closed shapes of such a size, no slimmer than that."""
    ends = np.concatenate([xy[:, :2], xy[:, 2:]])
    node = cluster(ends, JOIN_MM)
    a, b = node[: len(xy)], node[len(xy) :]
    group = components(len(ends), a, b)
    low, high = np.full((len(ends), 2), np.inf), np.full((len(ends), 2), -np.inf)
    for own in (a, b):
        np.minimum.at(low, group[own], ends[own])
        np.maximum.at(high, group[own], ends[own])
    size = high - low
    degree = np.bincount(np.concatenate([a, b]), minlength=len(ends))
    open_ends = np.bincount(group[np.flatnonzero(degree == 1)], minlength=len(ends))
    with np.errstate(invalid="ignore"):
        small = (size.min(axis=1) >= size_mm[0]) & (size.max(axis=1) <= size_mm[1])
        small &= (size.max(axis=1) <= aspect * size.min(axis=1)) & (open_ends == 0)
    length = np.hypot(*(xy[:, 2:] - xy[:, :2]).T)
    return float(length[small[group[a]]].sum() / max(float(length.sum()), 1e-9))


def _doors(lines: Lines, layers: int) -> Bools:
    """Layers whose arcs are mostly door swings."""
    doors = np.zeros(layers, bool)
    if not len(lines.arcs):
        return doors
    sweep = np.degrees(4 * np.arctan(np.abs(lines.arcs[:, 4])))
    radius = np.abs(arc_centres(lines.arcs) - (lines.arcs[:, 0] + 1j * lines.arcs[:, 1]))
    swing = (sweep >= QUARTER_DEG[0]) & (sweep <= QUARTER_DEG[1])
    swing &= (radius >= LEAF_MM[0]) & (radius <= LEAF_MM[1])
    arcs = np.bincount(lines.arc_layer, minlength=layers)
    swings = np.bincount(lines.arc_layer[swing], minlength=layers)
    straight = np.bincount(lines.layer[lines.arc < 0], minlength=layers)
    return np.asarray((swings >= FEWEST_SWINGS) & (swings >= SWINGS_PART * arcs) & (straight <= 8 * swings))
