"""Which layers draw walls, columns, glazing and doors where no layer's name says so, and which pens draw walls
where layers say nothing but how heavy their lines are.

What looks like walls is tried, not believed: a choice of layers counts by the named rooms that it walls
in, and by printed areas that are theirs; one of pens by the spaces that it walls in. What is cut is drawn
heavier than what is seen beyond it, dimensions thinnest (ISO 128 practice, from memory)."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import NamedTuple

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.geometry.near_points import pairs_within
from takeoff.geometry.noding import cluster
from takeoff.geometry.runs import components
from takeoff.language import mark, quoted, tr
from takeoff.plan.reasons import because
from takeoff.recognise.names.outdoor_names import outdoors
from takeoff.recognise.names.placed_words import NAMING
from takeoff.recognise.walls.bounding_lines import Lines, arc_centres, is_role, laborious
from takeoff.recognise.walls.broad_strokes import stroked
from takeoff.recognise.walls.hatched_faces import filled_borders, hatched_faces
from takeoff.recognise.walls.layer_roles import LayerGuess, Role, also_says, whole_of
from takeoff.recognise.walls.opening_evidence import LEAF_MM, Swings, swings
from takeoff.recognise.walls.pens_apart import of_pen
from takeoff.recognise.walls.room_spaces import Space
from takeoff.recognise.walls.wall_reading import Reading

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
        paired[layer] = float((paired_part(lines.xy[own]) * length[own]).sum())
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


def with_columns_filled(drawing: Drawing, lines: Lines) -> Lines:
    """The lines, with columns that are drawn by what fills them taken for columns: borders of what is filled on layers
    of columns where these draw nothing else, and outlines on a layer for what fills columns."""
    role, hatch = lines.role.copy(), lines.hatch.copy()
    for layer, name in enumerate(layer.name for layer in drawing.layers):
        own = (lines.layer == layer) & ~lines.dashed & ~lines.hidden
        if not own.any() or not also_says(name, "column"):
            continue
        border = own & lines.hatch & is_role(lines, "column")
        if (own == border).all() and _closed_part(lines.xy[border], COLUMN_MM, COLUMN_ASPECT) >= COLUMNS_PART:
            hatch[border] = False
        if is_role(lines.pick(own), "hatch").any() and like_columns(lines, layer):
            role[own & ~lines.hatch] = "column"
    return lines._replace(role=role, hatch=hatch)


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


LEAF_DEEP_MM = 60.0
"""No leaf of a door is as thick, and none longer than LEAF_MM (common practice, no source)."""
AT_HINGE_MM = 15.0
"""The line of a leaf starts so near to its hinge, and ends so near to its swing's end."""
FEWEST_FACES = 6
"""So many lines longer than two leaves, with their like at a wall's distance, are partitions; fewer may be gates."""


def with_partitions(lines: Lines) -> Lines:
    """The lines, with those that draw partitions on layers of doors given the role of walls: systems of
    partitions are drawn on one layer with the doors in them. What is as thin as a leaf, and the chords and leaves of
    swings, stay doors."""
    shown = is_role(lines, "door") & ~lines.dashed & ~lines.hatch & ~lines.hidden & (lines.arc < 0)
    length = np.hypot(*(lines.xy[:, 2:] - lines.xy[:, :2]).T)
    role = lines.role.copy()
    for layer in np.unique(lines.layer[shown & (length > 2 * LEAF_MM[1])]).tolist():
        own = np.flatnonzero(shown & (lines.layer == layer) & (length >= LEAF_DEEP_MM))
        long = length[own] > 2 * LEAF_MM[1]
        if (paired_part(lines.xy[own])[long] > DOUBTED).sum() >= FEWEST_FACES:
            leaf = _close_beside(lines.xy[own], LEAF_DEEP_MM) | _of_leaves(lines.xy[own], swings(lines)[0])
            role[own[~leaf]] = "wall"
    return lines._replace(role=role)


def _of_leaves(xy: Floats, found: Swings) -> Bools:
    """Which lines run from the hinge of a swing to one of its ends: a leaf that is drawn as one line."""
    hinges = shapely.STRtree(shapely.points(found.hinge))
    leaf = np.zeros(len(xy), bool)
    for start, end in ((xy[:, :2], xy[:, 2:]), (xy[:, 2:], xy[:, :2])):
        line, swing = hinges.query(shapely.points(start), predicate="dwithin", distance=AT_HINGE_MM)
        off = np.hypot(*np.moveaxis(found.ends[swing] - end[line][:, None], 2, 0)).min(axis=1)
        leaf[line[off <= AT_HINGE_MM]] = True
    return leaf


FEW_WALLS, MUCH_PAIRED_MM, FACE_MM = 0.05, 60_000.0, 1500.0
"""This part of it on layers of walls is a sample; so much in pairs a wall's thickness apart, in lines that are no
shorter than the last, is more than the glass of a house."""
APART_MM = 90.0


def with_walls_on_glass(lines: Lines) -> Lines:
    """The lines, with a layer whose name says glass taken for one that says nothing, where there are all but none on
    layers of walls and it has the pairs that walls have, more of them than all layers that say nothing: some draw
    the whole house on it."""
    shown = ~lines.dashed & ~lines.hatch & ~lines.hidden
    length = np.hypot(*(lines.xy[:, 2:] - lines.xy[:, :2]).T)
    walls = shown & is_role(lines, "wall")
    least_mm = max(MUCH_PAIRED_MM, float(length[walls].sum()) / FEW_WALLS)
    if length[shown & is_role(lines, "glazing")].sum() < least_mm:
        return lines

    def paired(own: Bools) -> float:
        rows = np.flatnonzero(own & shown & (length >= FACE_MM) & (lines.arc < 0))
        part = paired_part(lines.xy[rows], APART_MM) if len(rows) else np.zeros(0)
        return float((part * length[rows]).sum())

    unsaid = paired(is_role(lines, "unknown"))
    role = lines.role.copy()
    for layer in np.unique(lines.layer[is_role(lines, "glazing")]).tolist():
        own = is_role(lines, "glazing") & (lines.layer == layer)
        if paired(own) >= max(least_mm, unsaid):
            role[own] = "unknown"
            role[walls] = "unknown"
    return lines._replace(role=role)


def _close_beside(xy: Floats, within_mm: float) -> Bools:
    """Which lines have one of their own length along them, no farther away than that; all where they lie in heaps."""
    d = xy[:, 2:] - xy[:, :2]
    length = np.hypot(d[:, 0], d[:, 1])
    pairs = pairs_within((xy[:, :2] + xy[:, 2:]) / 2, within_mm)
    if pairs is None:
        return np.ones(len(xy), bool)
    i, j = pairs
    sine = np.abs(d[i, 0] * d[j, 1] - d[i, 1] * d[j, 0]) / (length[i] * length[j])
    alike = (i != j) & (sine < PARALLEL_SINE) & (np.abs(length[i] - length[j]) < within_mm)
    found = np.zeros(len(xy), bool)
    found[i[alike & (length[i] > within_mm)]] = True
    return found


def _axes(lines: Lines, usable: Bools, length: Floats, total: Floats) -> Bools:
    """Layers whose linework is mostly single lines that run across much of the plan."""
    if not usable.any():
        return np.zeros(len(total), bool)
    ends = np.concatenate([lines.xy[usable, :2], lines.xy[usable, 2:]])
    across = float((np.percentile(ends, 95, axis=0) - np.percentile(ends, 5, axis=0)).min())
    long = usable & (length >= max(ACROSS * across, LONG_AXIS_MM))
    run_across = np.bincount(lines.layer[long], length[long], minlength=len(total))
    return np.asarray(run_across > AXES_PART * np.maximum(total, 1.0))


COUNTED, MOST_PAIRS = 200, 5_000_000
"""Of so many lines their neighbours are counted; where all had more in all, a plan is tried in far too small a unit, or
it is a picture drawn in lines: each line lies beside hundreds of others, and comparing them takes minutes."""


def paired_part(xy: Floats, least_mm: float = PAIR_MM[0]) -> Floats:
    """For each line the part of it that has a parallel one at a wall's distance on one side only:
    treads, tiles and hatching have such on both, and lines that lie closer than any walls have none."""
    d = xy[:, 2:] - xy[:, :2]
    length = np.hypot(d[:, 0], d[:, 1])
    unit = d / length[:, None]
    tree = shapely.STRtree(shapely.linestrings(xy.reshape(-1, 2, 2)))
    part = np.zeros(len(xy))
    some = xy[:: max(1, len(xy) // COUNTED), :2]
    near, _ = tree.query(shapely.points(some), predicate="dwithin", distance=PAIR_MM[1])
    if len(near) * (len(xy) / max(1, len(some))) > MOST_PAIRS:
        return part
    for t in SAMPLES:
        at = xy[:, :2] + d * t
        i, j = tree.query(shapely.points(at), predicate="dwithin", distance=PAIR_MM[1])
        sine = np.abs(unit[i, 0] * unit[j, 1] - unit[i, 1] * unit[j, 0])
        off = at[i] - xy[j, :2]
        along = (off * unit[j]).sum(axis=1)
        across = unit[i, 0] * -off[:, 1] + unit[i, 1] * off[:, 0]
        fits = (sine < PARALLEL_SINE) & (along >= 0) & (along <= length[j]) & (np.abs(across) >= least_mm)
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


Read = Callable[[Lines, bool], Reading]
"""What is read of lines with these roles; whether all that is on layers of walls is one."""
MIXED = 0.5
"""Where less of what is drawn on layers taken for walls has its pair, furniture, stairs and sills are among it."""

LEAST_PAIRED_MM = 6000.0
"""Less of it at a wall's distance is no layer of walls."""
NEARLY_ALL = 0.75
"""A layer of walls has caps and reveals besides its faces, and little else."""
MOST_TRIED = 5
WALLED = 0.85
SMALLEST_MM2 = 1.0e6
MOST_GLASS = 0.7
"""What is bounded by more glass is rather a table or a mat."""
TOUCHING = 0.6
"""So much of a layer of glazing is drawn in pieces that touch walls; furniture stands free."""
DOUBTED = 0.5
"""What a room counts that was only closed by taking lines for no wall, or shapes for piers."""
UNNAMED = 0.1
"""What an unnamed space counts against a choice: furniture is that."""
BETTER = 1.02
"""A further layer must wall in so many more rooms."""
FEWEST_ROOMS = 2
CLEARLY, ENOUGH = 1.05, 0.98
"""So much more than without layers a choice must be worth; and no choice is tried where nearly all
that is written in rooms is walled in without."""
WALLS = because("paired-lines")
GLASS = because("closing-lines")
COLUMNS = because("small-shapes")
DOORS = because("door-swings")
_LAYERS = (WALLS, GLASS, COLUMNS, DOORS)


def infer(
    lines: Lines, guesses: tuple[LayerGuess, ...], read: Read, plain: Reading | None, most_mm: float = math.inf
) -> tuple[tuple[LayerGuess, ...], Reading | None]:
    """(the guesses with roles for layers whose names say nothing, what is then read).

    Nothing is inferred, and the reading is None, where all lines are on one layer, or where no choice of
    layers walls in clearly more rooms than the ``plain`` reading, which knows nothing of layers. Where some
    layer's name says that it has walls, only layers that have hardly anything but walls are tried as more. Layers
    that have more than ``most_mm`` together are not tried.
    """
    if is_role(lines, "wall").any():
        return _more_walls(lines, guesses, read, plain)
    unknown = {k for k, g in enumerate(guesses) if g.role == "unknown"}
    usable = ~lines.dashed & ~lines.hatch & ~lines.hidden
    drawn = set(np.unique(lines.layer[usable]).tolist()) & unknown
    known_worth = worth_of(plain) if plain is not None else 0.0
    if len(drawn) < 2 or (plain is not None and known_worth >= ENOUGH * _most(plain)):
        return guesses, None
    seen = likeness(lines, len(guesses))
    first: dict[int, tuple[str, Role]] = {k: (COLUMNS, "column") for k in drawn if seen.columns[k]}
    first |= {k: (DOORS, "door") for k in drawn if seen.doors[k]}
    known = _with(guesses, first)
    best: _Choice | None = None

    shades = _of_colours(guesses)

    def told(tried: Lines, _: bool) -> Reading:
        return read(
            tried, not _mixed(tried, seen) and not (is_role(tried, "wall") & np.isin(tried.layer, shades)).any()
        )

    for layers in _walls_tried(seen, drawn - set(first)):
        if seen.total_mm[list(layers)].sum() > most_mm:
            continue
        best = _better(best, lines, _with(known, dict.fromkeys(layers, (WALLS, "wall"))), told)
    if best is not None:
        best = _with_more(best, lines, seen, told, most_mm)
    if best is None or best.worth < max(FEWEST_ROOMS, known_worth * CLEARLY):
        return guesses, None
    return best.guesses, best.reading


def _of_colours(guesses: tuple[LayerGuess, ...]) -> list[int]:
    """The layers that were told apart by colours from one, and what is left of that one: a colour is given to what
    stands in rooms as well as to walls."""
    wholes = {whole_of(g.name) for g in guesses if not of_pen(g.name)} - {""}
    return [k for k, g in enumerate(guesses) if g.name in wholes or whole_of(g.name) in wholes]


def _more_walls(
    lines: Lines, guesses: tuple[LayerGuess, ...], read: Read, plain: Reading | None
) -> tuple[tuple[LayerGuess, ...], Reading | None]:
    """What ``infer`` gives where layers say which lines are walls: a layer that says nothing has more of them,
    where pairs of lines are nearly all that it has and where it walls in more of the rooms that are named; on a plan
    without words, more rooms."""
    if plain is None or not plain.wall_layers:
        return guesses, None
    naming = sum(w.words.kind in NAMING for w in plain.words)
    if naming and _named(plain) >= naming:
        return guesses, None
    count = _named if naming else rooms_walled
    usable = is_role(lines, "unknown") & ~lines.dashed & ~lines.hatch & ~lines.hidden
    length = np.hypot(*(lines.xy[:, 2:] - lines.xy[:, :2]).T)
    best, most = None, count(plain)
    for layer in np.unique(lines.layer[usable]).tolist():
        own = usable & (lines.layer == layer)
        long = own & (length >= LONG_MM)
        paired_mm = float((paired_part(lines.xy[long]) * length[long]).sum()) if long.any() else 0.0
        if paired_mm < max(LEAST_PAIRED_MM, NEARLY_ALL * float(length[own].sum())):
            continue
        tried = _with(guesses, {layer: (WALLS, "wall")})
        reading = read(_relabelled(lines, tried), True)
        if count(reading) > most:
            guesses, best, most = tried, reading, count(reading)
    return guesses, best


def _named(reading: Reading) -> int:
    """How many spaces that are walled in have a word that shows a room."""
    named = [any(reading.words[w].words.kind in NAMING for w in s.words) for s in reading.spaces]
    return sum(n and s.support >= WALLED for n, s in zip(named, reading.spaces, strict=True))


class _Choice(NamedTuple):
    guesses: tuple[LayerGuess, ...]
    reading: Reading
    worth: float


def _better(best: _Choice | None, lines: Lines, tried: tuple[LayerGuess, ...], read: Read) -> _Choice:
    """The better of two choices; what was there first stays unless the other is clearly better."""
    reading = read(_relabelled(lines, tried), True)
    worth = worth_of(reading)
    if best is not None and worth <= best.worth + max((BETTER - 1.0) * abs(best.worth), 0.5):
        return best
    return _Choice(tried, reading, worth)


def _with_more(best: _Choice, lines: Lines, seen: Likeness, read: Read, most_mm: float) -> _Choice:
    """The choice with those further layers that wall in more rooms: as glazing, if its lines touch
    walls, or as walls."""
    rest = [
        k
        for k, g in enumerate(best.guesses)
        if g.role == "unknown" and seen.total_mm[k] >= LEAST_PAIRED_MM and not seen.axes[k]
    ]
    rest.sort(key=lambda k: -float(seen.paired_mm[k] / seen.total_mm[k]))
    walls = _relabelled(lines, best.guesses)
    walls = walls.pick(is_role(walls, "wall", "column"))
    for layer in rest[:MOST_TRIED]:
        before = best
        if seen.mullions[layer] or touching_part(lines.pick(lines.layer == layer), walls.xy) >= TOUCHING:
            best = _better(best, lines, _with(best.guesses, {layer: (GLASS, "glazing")}), read)
        own = [k for k, g in enumerate(best.guesses) if g.role == "wall"] + [layer]
        if best is before and seen.paired_mm[layer] >= LEAST_PAIRED_MM and seen.total_mm[own].sum() <= most_mm:
            best = _better(best, lines, _with(best.guesses, {layer: (WALLS, "wall")}), read)
    return best


def _mixed(tried: Lines, seen: Likeness) -> bool:
    """Whether each layer that was taken for walls has much besides, as where storeys have a layer each: of several
    that differ each draws one thing."""
    layers = np.unique(tried.layer[is_role(tried, "wall")])
    return bool(len(layers)) and bool((seen.paired_mm[layers] < MIXED * seen.total_mm[layers]).all())


def _walls_tried(seen: Likeness, unknown: set[int]) -> Iterator[tuple[int, ...]]:
    """The layer with most pairs, the next, and both together, and so on."""
    ranked = sorted(
        (k for k in unknown if seen.paired_mm[k] >= LEAST_PAIRED_MM and not seen.axes[k]),
        key=lambda k: -float(seen.paired_mm[k]),
    )[:MOST_TRIED]
    for k in ranked:
        yield (k,)
    for count in range(2, len(ranked) + 1):
        yield tuple(ranked[:count])


def _with(guesses: tuple[LayerGuess, ...], roles: dict[int, tuple[str, Role]]) -> tuple[LayerGuess, ...]:
    return tuple(
        msgspec.structs.replace(g, why=roles[k][0], role=roles[k][1]) if k in roles else g
        for k, g in enumerate(guesses)
    )


def _relabelled(lines: Lines, guesses: tuple[LayerGuess, ...]) -> Lines:
    """The lines with the roles of these guesses, where they had none yet."""
    roles = np.array([g.role for g in guesses], dtype="U12")
    role, arc_role = lines.role.copy(), lines.arc_role.copy()
    blank = role == "unknown"
    role[blank] = roles[lines.layer[blank]]
    blank = arc_role == "unknown"
    arc_role[blank] = roles[lines.arc_layer[blank]]
    return lines._replace(role=role, arc_role=arc_role)


def worth_of(reading: Reading) -> float:
    """Rooms that a reading walls in, once more for each whose printed area is its own; spaces
    without a name count a little against it, and patios and yards, which other lines than walls close, not at all.
    Without words, the spaces that are walled in."""
    kinds = [w.words.kind for w in reading.words]
    worth = 0.0
    for space in reading.spaces:
        walled = space.support >= WALLED and space.polygon.area >= SMALLEST_MM2
        walled = walled and space.glazed <= MOST_GLASS
        if not kinds:
            worth += 1.0 if walled else -UNNAMED
        elif any(kinds[w] in ("name", "area") for w in space.words):
            if _outside(reading, space):
                continue
            worth += (0.0 if not walled else DOUBTED if space.joined else 1.0) + (
                1.0 if agrees(reading, space) else 0.0
            )
        else:
            worth -= UNNAMED
    return worth


def _outside(reading: Reading, space: Space) -> bool:
    """Whether a name in a space is of a place outdoors: marks of lamps and sockets may stand beside it."""
    own = [reading.words[w].words for w in space.words]
    return any(word.kind == "name" and outdoors(word.text) for word in own)


def rooms_walled(reading: Reading) -> int:
    """How many rooms a reading walls in, named or not."""
    return sum(
        s.support >= WALLED and s.polygon.area >= SMALLEST_MM2 and s.glazed <= MOST_GLASS for s in reading.spaces
    )


def _most(reading: Reading) -> float:
    """What a reading would be worth if each place with words of a room were one."""
    kinds = [w.words.kind for w in reading.words]
    return float(max(kinds.count("name"), kinds.count("area")) + kinds.count("area")) or float("inf")


def columns_unsaid(lines: Lines, guesses: tuple[LayerGuess, ...]) -> tuple[Finding, ...]:
    """Says so where walls have layers and another one, whose name says nothing, has shapes like columns
    only: they are not measured as such."""
    if not is_role(lines, "wall").any():
        return ()
    found = []
    for layer, guess in enumerate(guesses):
        if guess.role == "unknown" and like_columns(lines, layer):
            found.append(noticed("columns-unsaid", Where(layer=guess.name), layer=guess.name))
    return tuple(found)


def inferred_finding(guesses: tuple[LayerGuess, ...]) -> tuple[Finding, ...]:
    """Says which layers were taken for walls without their names saying so."""
    taken = [g for g in guesses if g.why in _LAYERS]
    if not taken:
        return ()
    words = {
        "wall": mark("{layers} for walls"),
        "column": mark("{layers} for columns"),
        "glazing": mark("{layers} for glazing"),
        "door": mark("{layers} for doors"),
    }
    parts = []
    for role, sentence in words.items():
        names = [quoted(g.name) for g in taken if g.role == role]
        if names:
            parts.append(tr(sentence, layers=", ".join(names)))
    return (noticed("layers-inferred", Where(layer=taken[0].name), taken="; ".join(parts)),)


MOST_CUTS = 4
FEWEST_LINES = 8
"""Fewer heavy lines are a frame round the sheet, no walls."""
CLOSED_IN = 0.9
"""A space counts where so much of its border is wall or a gap in a wall."""
AGREE_SHARE = 0.02


def heavier(drawing: Drawing, lines: Lines, beyond: bool = False) -> list[Bools]:
    """Faces of walls that are hatched, with borders of what is filled besides and alone; outlines of what is filled;
    then lines at least as heavy as each pen but the lightest, the heaviest pens first; none where layers tell what is
    wall, or all pens are alike and nothing is filled. ``beyond``: of lines beyond counting none are asked whether they
    are hatched, and only choices that are not beyond it are given."""
    if is_role(lines, "wall").any():
        return []
    usable = is_role(lines, "unknown") & ~lines.dashed & ~lines.hatch & ~lines.hidden
    solid = np.array([source.role == "solid" for source in drawing.sources] or [False])
    hatched = usable & hatched_faces(lines) if not beyond else np.zeros(len(usable), bool)
    filled = usable & filled_borders(lines, solid[lines.source]) if hatched.any() else hatched
    cuts = [usable & solid[lines.source]]
    weight = np.array([layer.weight_mm for layer in drawing.layers] or [0.0])[lines.layer]
    pens = np.unique(weight[usable])[::-1]
    if len(pens) and pens[0] > 0.0:
        # What is filled has no pen: it is at least as heavy as the heaviest.
        weight = np.where(solid[lines.source], pens[0], weight)
        cuts += [usable & (weight >= pen) for pen in pens[:-1]]
    cuts = [hatched | filled, hatched, *cuts[:MOST_CUTS]]
    different = [c for k, c in enumerate(cuts) if not any(np.array_equal(c, d) for d in cuts[:k])]
    fit = [cut for cut in different if cut.sum() >= FEWEST_LINES and (usable & ~cut).any()]
    return [cut for cut in fit if not beyond or not laborious(lines.xy[cut])]


def by_pens(drawing: Drawing, lines: Lines, read: Callable[[Bools], Reading], beyond: bool = False) -> Reading | None:
    """The reading of the heavier lines that finds no fewer rooms than all lines together do; None
    where no choice of pens does. ``beyond``: all lines together are beyond counting, and only choices that are not
    are read.

    Rooms are spaces with a printed area in them, else with a name, since furniture along a wall looks
    like a wall too; on a plan without words, spaces that are walled in.
    """
    cuts = heavier(drawing, lines, beyond)
    if not cuts:
        return None
    everything = is_role(lines, "unknown") & ~lines.dashed & ~lines.hatch & ~lines.hidden
    outlined = everything & stroked(drawing, lines)
    whole = [] if beyond else [read(everything)]
    if outlined.any():
        strokes = read(outlined)
        if rooms_walled(strokes) >= max(FEWEST_ROOMS, STROKED_PART * sum(map(rooms_walled, whole))):
            return strokes._replace(wall_layers=True)
    readings = [*map(read, cuts), *whole]
    counts = [_rooms(r) for r in readings]
    spoken = any(w.words.kind in ("name", "area") for w in readings[-1].words)
    if max(counts) == (0, 0, 0):
        if not spoken or not any(rooms_walled(r) for r in readings[:-1]):
            return None
        # What is written and lies in no room in any way to read the lines are marks, titles and notes.
        spoken = False
    best = counts.index(max(counts)) if spoken else _plainest(readings)
    if best is None or best == len(cuts):
        return None
    return readings[best]._replace(wall_layers=True)


STROKED_PART = 0.5
"""Strokes as broad as walls are all the walls where they wall in so many rooms of those that all lines do."""
NEARLY_MM2 = 0.8
"""Walls alone wall in so much of what is walled in with furniture among them: a car shuts a garage."""


NEARLY_COUNT, FEWER_MM = 0.75, 0.4
"""Or so many of the rooms with so much of the lines: a glass front that is not told leaves a hall open."""


def drawn_mm(reading: Reading) -> float:
    """How much is drawn of what a reading takes for walls."""
    xy = reading.drawn.xy[reading.walls]
    return float(np.hypot(*(xy[:, 2:] - xy[:, :2]).T).sum())


def _plainest(readings: list[Reading]) -> int | None:
    """Which of these walls in nearly as much as any other, and two rooms or more, with the fewest lines: where no word
    shows what is a room, beds, cars and worktops would count for some. None where none does."""
    walled = [
        [s.polygon.area for s in r.spaces if s.support >= WALLED and s.polygon.area >= SMALLEST_MM2] for r in readings
    ]
    most, count = max(sum(areas) for areas in walled), max(len(areas) for areas in walled)
    drawn = min((drawn_mm(r) for r, areas in zip(readings, walled, strict=True) if len(areas) == count), default=0.0)
    fit = [
        k
        for k, areas in enumerate(walled)
        if len(areas) >= FEWEST_ROOMS
        and (
            sum(areas) >= NEARLY_MM2 * most
            or (len(areas) >= NEARLY_COUNT * count and drawn_mm(readings[k]) <= FEWER_MM * drawn)
        )
    ]
    return min(fit, key=lambda k: drawn_mm(readings[k]), default=None)


def _rooms(reading: Reading) -> tuple[int, int, int]:
    """(spaces whose printed area is theirs, nearly theirs, spaces that are rooms); places outdoors are none: other
    lines than walls close them."""
    kinds = [w.words.kind for w in reading.words]
    agree = (sum(agrees(reading, s, 0.0) for s in reading.spaces), sum(agrees(reading, s) for s in reading.spaces))
    for kind in ("area", "name"):
        if kind in kinds:
            named = [[reading.words[w].words.text for w in s.words if kinds[w] == kind] for s in reading.spaces]
            return *agree, sum(bool(own) and not all(outdoors(text) for text in own) for own in named)
    return 0, 0, sum(s.support >= CLOSED_IN and s.polygon.area >= SMALLEST_MM2 for s in reading.spaces)


def agrees(reading: Reading, space: Space, share: float = AGREE_SHARE) -> bool:
    """Whether an area printed in a space is its own, within its rounding or this share of it."""
    area_m2 = float(space.polygon.area) / 1e6
    printed = [reading.words[w].words for w in space.words if reading.words[w].words.kind == "area"]
    return any(abs(p.value - area_m2) <= max(share * area_m2, p.rounding * (1 + 1e-9) + 1e-6) for p in printed)
