"""Furniture among lines whose layers say nothing: shapes that stand free, and boxes drawn along walls.

A wall is thin or leads somewhere; a shape that stands free, is no thinner than a table and closed is
what stands in a room. Chairs are as large as columns are: one that stands close to such a shape is none.
A box that stands against a wall inside one room is a fitting or a casing: nothing in its lines says
which (common practice of drawing, no source). The room's printed area decides where there is one;
else the room is to be checked."""

from __future__ import annotations

import itertools
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing
from takeoff.geometry.noding import JOIN_MM, cluster, parcels
from takeoff.geometry.runs import components
from takeoff.plan.reasons import because
from takeoff.recognise.names.placed_words import Placed
from takeoff.recognise.walls.bounding_lines import Lines, is_role
from takeoff.recognise.walls.drawn_stairs import flights
from takeoff.recognise.walls.enclosed_faces import BRIDGED, Faces
from takeoff.recognise.walls.opening_evidence import Swings
from takeoff.recognise.walls.opening_evidence import swings as swings_of
from takeoff.recognise.walls.room_spaces import Space, edge_lengths, run_lengths

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

SMALLEST_MM, LARGEST_MM, ASPECT, FILL = 450.0, 3600.0, 4.0, 0.75
"""Sides of the box round a table, a bed, the car of a lift (common practice, no source)."""
TABLE_MM = 2100.0
"""Nothing that stands free and is no larger is a room, whatever is written on it."""
WALL_MM, STEP_MM, MOST_BESIDE = 650.0, 30.0, 0.4
"""What has lines at a wall's distance along more of its border than that may be a room's own outline."""
CHAIR_MM, BESIDE_MM = (200.0, 800.0), 400.0
SAME_MIDDLE_MM, SAME_LENGTH = 10.0, 0.01
CROSS_MM, CROSS_SINE = (500.0, 9000.0), 0.1
CHAIRS = because("chairs")
CROSSED = because("crossed")


def free_shapes(lines: Lines, walls: Bools, words: Floats) -> Bools:
    """Which of the lines taken for walls draw such shapes, or the crossed diagonals that mark a shaft;
    ``words`` (w, 2): what is written in rooms, which no table carries."""
    rows = np.flatnonzero(walls)
    drop = np.zeros(len(walls), bool)
    if len(rows) < 4:
        return drop
    xy = lines.xy[rows]
    crossed = _crossed(xy)
    drop[rows[crossed]] = True
    drop[rows[flights(xy) >= 0]] = True
    group, low, high, closed = _pieces(xy)
    with_cross = np.zeros(len(low), bool)
    with_cross[group[crossed]] = True
    short, long = _sides(xy, group, closed, low, high, with_cross)
    fat = (short >= SMALLEST_MM) & (long <= ASPECT * short)
    small = (long <= LARGEST_MM) & ~_holding(low, high, words)
    tables = fat & ((short > CHAIR_MM[1]) | (long > 1.3 * short)) & (with_cross | (long <= TABLE_MM) | small)
    tables &= ~_touched(xy, group, tables)
    once, twice = _beside_walls(xy, group, low, high, tables[group] & ~crossed)
    tables &= (once < MOST_BESIDE) | (with_cross & (twice > 1.0 - MOST_BESIDE))
    drop[rows[tables[group]]] = True
    chairs = (short >= CHAIR_MM[0]) & (long <= CHAIR_MM[1]) & ~tables
    chairs &= ~_touched(xy, group, chairs)
    drop[rows[_beside_tables(low, high, chairs, tables)[group]]] = True
    return drop


FEWEST_CHORDS = 5
"""A free curve of fewer lines is a straight line or a frame that some program writes as one."""


def without_free_curves(drawing: Drawing, lines: Lines) -> Lines:
    """The lines, with free curves on layers that say nothing given the role of furniture: walls are straight or
    round, and where a drawing has such curves by the thousand they are chairs, plants and pictures."""
    free = np.array([s.entity == "SPLINE" for s in drawing.sources] or [False])
    many = np.bincount(lines.source, minlength=len(free)) >= FEWEST_CHORDS
    curves = (free & many)[lines.source] & is_role(lines, "unknown")
    return lines._replace(role=np.where(curves, "furniture", lines.role))


FEWEST_PLACED, FEWEST_DRAWN, THING_MM = 4, 12, 2500.0
"""A block that is placed so often, drawn with so many lines and no larger is a desk, a chair, a basin (common
practice, no source)."""


def without_things(drawing: Drawing, lines: Lines) -> Lines:
    """The lines, with those of blocks on layers that say nothing, or say glass, given the role of furniture where
    they look like things that stand in rooms: small, drawn finely, placed again and again, and without a swing."""
    placed: dict[str, list[float]] = {}
    for symbol in drawing.symbols:
        if symbol.box is not None:
            x0, y0, x1, y1 = symbol.box
            placed.setdefault(symbol.name, []).append(max(x1 - x0, y1 - y0))
    small = {n for n, sizes in placed.items() if len(sizes) >= FEWEST_PLACED and max(sizes) <= THING_MM}
    if not small:
        return lines
    names = [next((n for n in s.block.split("/") if n in small), "") for s in drawing.sources]
    name = np.array(names or [""])[lines.source]
    swung = set(np.unique(name[swings_of(lines, bare_too=False)[1]]).tolist())
    drawn = {n: int((name == n).sum()) / len(placed[n]) for n in small - swung}
    things = [n for n, count in drawn.items() if count >= FEWEST_DRAWN]
    own = np.isin(name, things) & is_role(lines, "unknown", "glazing")
    return lines._replace(role=np.where(own, "furniture", lines.role))


BROAD_MM, LONGEST_MM, FINELY = (300.0, 450.0), 3100.0, 30
"""A thing that is placed as a block is broader than a window in its wall, or broader than a leaf and drawn with so many
lines; and no longer than a large sofa or a group of desks (common practice, no source)."""


def without_placed(drawing: Drawing, lines: Lines) -> Lines:
    """The lines, with those of blocks on layers that say nothing given the role of furniture where they look like
    things that stand in rooms: as broad and long as these, drawn finely, and without a swing. Walls are hardly ever
    placed as blocks; what is placed as one is a thing, a door, a window or a column, and these are drawn with few lines
    or are as narrow as a wall."""
    unsaid = is_role(lines, "unknown")
    sizes: dict[str, list[tuple[float, float]]] = {}
    for symbol in drawing.symbols:
        if symbol.box is not None:
            x0, y0, x1, y1 = symbol.box
            sizes.setdefault(symbol.name, []).append((min(x1 - x0, y1 - y0), max(x1 - x0, y1 - y0)))
    fits = {n for n, all_ in sizes.items() if max(s[1] for s in all_) <= LONGEST_MM and min(all_)[0] >= BROAD_MM[0]}
    if not fits:
        return lines
    names = [next((n for n in s.block.split("/") if n in fits), "") for s in drawing.sources]
    name = np.array(names or [""])[lines.source]
    own = unsaid & (name != "")
    if not own.any():
        return lines
    swung = set(np.unique(name[swings_of(lines, bare_too=False)[1]]).tolist())
    things = []
    for n in sorted(set(np.unique(name[own]).tolist()) - swung):
        drawn = int((name == n).sum()) / len(sizes[n])
        if drawn >= (FEWEST_DRAWN if min(sizes[n])[0] >= BROAD_MM[1] else FINELY):
            things.append(n)
    return lines._replace(role=np.where(own & np.isin(name, things), "furniture", lines.role))


WARE_MM, WARE_PART_MM, COLUMN_MM = 1000.0, 800.0, (140.0, 2.5)
"""A basin or a closet is no larger, nor its parts (EN 997 and common practice, from memory); a closed ring from so
wide on, no longer than so many times its width, may be a column or a flue however round it is."""
SHORT_MM, FEWEST_SHORT, PARTS_MM = 60.0, 8, 30.0
"""A bent outline has so many lines that short; the parts of one thing are drawn so near to each other."""


def wares(lines: Lines, walls: Bools) -> Bools:
    """Which of the lines taken for walls draw sanitary ware: small parts close together, one of which is bent and
    no ring. Drawings of what stands have bathrooms on the layer of walls."""
    rows = np.flatnonzero(walls)
    found = np.zeros(len(walls), bool)
    xy = lines.xy[rows]
    short = np.hypot(*(xy[:, 2:] - xy[:, :2]).T) < SHORT_MM
    if short.sum() < FEWEST_SHORT:
        return found
    group, low, high, closed = _pieces(xy)
    ids = np.unique(group)
    with np.errstate(invalid="ignore"):
        size = high - low
    ids = ids[size[ids].max(axis=1) <= WARE_PART_MM]
    thin, long = size[ids].min(axis=1), size[ids].max(axis=1)
    ring = closed[ids] & (thin >= COLUMN_MM[0]) & (long <= COLUMN_MM[1] * thin)
    bent = (np.bincount(group[short], minlength=len(low))[ids] >= FEWEST_SHORT) & ~ring
    boxes = shapely.box(low[ids, 0], low[ids, 1], high[ids, 0], high[ids, 1])
    thing = components(len(ids), *shapely.STRtree(boxes).query(boxes, predicate="dwithin", distance=PARTS_MM))
    for k in np.unique(thing[bent]).tolist():
        own = ids[thing == k]
        if (high[own].max(axis=0) - low[own].min(axis=0)).max() <= WARE_MM:
            found[rows[np.isin(group, own)]] = True
    return found


def with_doubts(spaces: list[Space], lines: Lines, walls: Bools, dropped: Bools) -> list[Space]:
    """The spaces, doubted where crossed diagonals lie in them or end on their border, since what is taken for the walls
    of a shaft may be the car of its lift, or a cupboard along a wall, and where a square or a round was ``dropped``
    that could be a column."""
    xy = lines.xy[walls]
    crossed = shapely.linestrings(xy[_crossed(xy)].reshape(-1, 2, 2)) if len(xy) else np.zeros(0, object)
    columns = shapely.points(_like_columns(lines.xy[dropped]))
    return _doubted(_doubted(spaces, crossed, CROSSED), columns, CHAIRS)


def _doubted(spaces: list[Space], marks: NDArray[np.object_], reason: str) -> list[Space]:
    """The spaces, those doubted that marks lie in or touch."""
    if not len(marks) or not spaces:
        return spaces
    _, marked = shapely.STRtree([s.polygon for s in spaces]).query(marks, predicate="dwithin", distance=JOIN_MM)
    doubted = set(marked.tolist())
    return [s._replace(joined=(*s.joined, reason)) if k in doubted else s for k, s in enumerate(spaces)]


def _like_columns(xy: Floats) -> Floats:
    """The middles of small pieces that are as wide as they are long."""
    if not len(xy):
        return np.zeros((0, 2))
    _, low, high, closed = _pieces(xy)
    with np.errstate(invalid="ignore"):
        size = high - low
        alike = closed & (size.min(axis=1) >= CHAIR_MM[0]) & (size.max(axis=1) <= 1.5 * CHAIR_MM[1])
        alike &= size.max(axis=1) <= 1.3 * size.min(axis=1)
    return np.asarray((low[alike] + high[alike]) / 2)


def _sides(
    xy: Floats, group: Ints, closed: Bools, low: Floats, high: Floats, with_cross: Bools
) -> tuple[Floats, Floats]:
    """Short and long side of each closed piece that fills the rectangle round it, as tables do and walls
    round a corner do not; 0 and 0 for others."""
    short, long = np.zeros(len(low)), np.zeros(len(low))
    with np.errstate(invalid="ignore"):
        size = (high - low).max(axis=1)
        tried = closed & (with_cross | (size <= 1.5 * LARGEST_MM)) & (size <= CROSS_MM[1])
    rows = np.flatnonzero(tried[group])
    order = rows[np.argsort(group[rows], kind="stable")]
    for own in np.split(order, np.flatnonzero(np.diff(group[order])) + 1) if len(order) else ():
        whole = shapely.union_all(parcels(shapely.linestrings(xy[own].reshape(-1, 2, 2))))
        box = shapely.oriented_envelope(whole)
        corners = shapely.get_coordinates(box)
        if len(corners) == 5 and whole.area >= FILL * box.area:
            sides = sorted(float(np.hypot(*(corners[k + 1] - corners[k]))) for k in (0, 1))
            short[group[own[0]]], long[group[own[0]]] = sides
    return short, long


def _pieces(xy: Floats) -> tuple[Ints, Floats, Floats, Bools]:
    """(piece of each line, lower and upper corner of the box round each piece, whether it has no free
    end); pieces are numbered by one of their ends."""
    ends = np.concatenate([xy[:, :2], xy[:, 2:]])
    node = cluster(ends, JOIN_MM)
    a, b = node[: len(xy)], node[len(xy) :]
    group = components(len(ends), a, b)
    low, high = np.full((len(ends), 2), np.inf), np.full((len(ends), 2), -np.inf)
    for own in (a, b):
        np.minimum.at(low, group[own], ends[own])
        np.maximum.at(high, group[own], ends[own])
    degree = np.bincount(node, minlength=len(ends))
    free = np.bincount(group[np.flatnonzero(degree == 1)], minlength=len(ends))
    return group[a], low, high, (free == 0) & np.isfinite(low).all(axis=1)


def closed_part(xy: Floats) -> float:
    """Which part of the length of lines (n, 4) is in pieces that have no free end; 0 for no lines."""
    if not len(xy):
        return 0.0
    group, _, _, closed = _pieces(xy)
    length = np.hypot(*(xy[:, 2:] - xy[:, :2]).T)
    return float(length[closed[group]].sum() / max(float(length.sum()), 1e-9))


def _crossed(xy: Floats) -> Bools:
    """Lines that are one of two diagonals of a rectangle."""
    d = xy[:, 2:] - xy[:, :2]
    length = np.hypot(d[:, 0], d[:, 1])
    slanted = np.flatnonzero((length >= CROSS_MM[0]) & (length <= CROSS_MM[1]))
    found = np.zeros(len(xy), bool)
    if len(slanted) < 2:
        return found
    middle = shapely.points((xy[slanted, :2] + xy[slanted, 2:]) / 2)
    i, j = shapely.STRtree(middle).query(middle, predicate="dwithin", distance=SAME_MIDDLE_MM)
    i, j = slanted[i[i != j]], slanted[j[i != j]]
    sine = np.abs(d[i, 0] * d[j, 1] - d[i, 1] * d[j, 0]) / np.maximum(length[i] * length[j], 1e-9)
    alike = (np.abs(length[i] - length[j]) <= SAME_LENGTH * length[i]) & (sine > CROSS_SINE)
    found[i[alike]] = True
    return found


def _holding(low: Floats, high: Floats, words: Floats) -> Bools:
    holding = np.zeros(len(low), bool)
    known = np.flatnonzero(np.isfinite(low).all(axis=1))
    if len(words) and len(known):
        boxes = shapely.box(low[known, 0], low[known, 1], high[known, 0], high[known, 1])
        _, box = shapely.STRtree(boxes).query(shapely.points(words), predicate="within")
        holding[known[np.unique(box)]] = True
    return holding


def _touched(xy: Floats, group: Ints, pieces: Bools) -> Bools:
    """Which of these pieces a line of another piece crosses or reaches."""
    drawn = shapely.linestrings(xy.reshape(-1, 2, 2))
    small = np.flatnonzero(pieces[group])
    i, j = shapely.STRtree(drawn).query(drawn[small], predicate="dwithin", distance=JOIN_MM)
    other = group[small[i]] != group[j]
    touched = np.zeros(len(pieces), bool)
    touched[group[small[i[other]]]] = True
    return touched


def _beside_walls(xy: Floats, group: Ints, low: Floats, high: Floats, outline: Bools) -> tuple[Floats, Floats]:
    """For each piece which part of its ``outline`` has another piece's line outside of it at a wall's
    distance, as the outline of a room has, and which part has two, as a lift's car has in its shaft."""
    own = np.flatnonzero(outline)
    once, twice, whole = np.zeros(len(low)), np.zeros(len(low)), np.full(len(low), 1e-9)
    if not len(own):
        return once, twice
    d = xy[:, 2:] - xy[:, :2]
    length = np.maximum(np.hypot(d[:, 0], d[:, 1]), 1e-9)
    unit = d / length[:, None]
    centre = (xy[own, :2] + xy[own, 2:]) / 2
    i, j = shapely.STRtree(shapely.linestrings(xy.reshape(-1, 2, 2))).query(
        shapely.points(centre), predicate="dwithin", distance=WALL_MM
    )
    row = own[i]
    off = xy[j, :2] - centre[i]
    across = unit[row, 0] * off[:, 1] - unit[row, 1] * off[:, 0]
    inward = (low[group[row]] + high[group[row]]) / 2 - centre[i]
    outside = across * (unit[row, 0] * inward[:, 1] - unit[row, 1] * inward[:, 0]) < 0
    sine = np.abs(unit[row, 0] * unit[j, 1] - unit[row, 1] * unit[j, 0])
    along = -(off * unit[j]).sum(axis=1)
    fits = (group[row] != group[j]) & outside & (sine < 0.02) & (along >= 0) & (along <= length[j])
    steps = np.unique(np.stack([i[fits], np.round(np.abs(across[fits]) / STEP_MM).astype(np.int64)]), axis=1)
    count = np.bincount(steps[0], minlength=len(own))
    np.add.at(whole, group[own], length[own])
    np.add.at(once, group[own[count >= 1]], length[own[count >= 1]])
    np.add.at(twice, group[own[count >= 2]], length[own[count >= 2]])
    return once / whole, twice / whole


def _beside_tables(low: Floats, high: Floats, small: Bools, tables: Bools) -> Bools:
    """Those of some small pieces that stand close to a table."""
    chairs = np.zeros(len(low), bool)
    if not small.any() or not tables.any():
        return chairs

    def boxes(which: Bools) -> NDArray[np.object_]:
        return np.asarray(shapely.box(low[which, 0], low[which, 1], high[which, 0], high[which, 1]))

    near, _ = shapely.STRtree(boxes(tables)).query(boxes(small), predicate="dwithin", distance=BESIDE_MM)
    chairs[np.flatnonzero(small)[np.unique(near)]] = True
    return chairs


DEPTH_MM = (200.0, 750.0)
DOUBTED_MM = 300.0
"""Boxes less deep than this are linings and pipes, which the coat goes round."""
LARGEST_MM2 = 6.0e6
BOX_FILL = 0.95
BESIDE_ROOM, BESIDE_WALL = 0.25, 0.25
"""Parts of a box's border along its room, and along walls."""
MOST_PIECES, MOST_TRIED = 3, 10
EXACT_SHARE = 0.002
"""An area printed more coarsely than this tells no box from a wall."""


class _Box(NamedTuple):
    """Faces that are one box beside a space: their numbers, area, sides, and whether they were taken
    for the body of a wall."""

    faces: tuple[int, ...]
    area: float
    sides: tuple[float, float]
    body: bool


def with_fittings(spaces: list[Space], faces: Faces, words: list[Placed]) -> list[Space]:
    """The spaces, with such boxes joined as make their printed areas true, and a doubt where nothing
    is printed. What is joined to one space is no space of its own any more."""
    beside = _beside(faces)
    of_space = {f: k for k, s in enumerate(spaces) for f in s.faces}
    found, gone = list(spaces), set()
    for k, space in enumerate(spaces):
        boxes = _boxes(k, spaces, faces, beside, of_space)
        if not boxes:
            continue
        target = _printed(space, words)
        chosen = None if target is None else _making(float(space.polygon.area), target, boxes)
        if chosen:
            gone |= {of_space[f] for b in chosen for f in b.faces if f in of_space}
            found[k] = _joined(space, chosen, faces)
        elif target is None:
            found[k] = _box_doubted(space, boxes)
    return [s for k, s in enumerate(found) if k not in gone]


def _printed(space: Space, words: list[Placed]) -> tuple[float, float] | None:
    """(printed area, its rounding) in mm², where one is printed exactly enough."""
    areas = [words[w].words for w in space.words if words[w].words.kind == "area"]
    if len(areas) != 1 or areas[0].rounding > EXACT_SHARE * areas[0].value:
        return None
    return areas[0].value * 1e6, areas[0].rounding * 1e6 + 1.0


def _beside(faces: Faces) -> dict[int, dict[int, float]]:
    """For each face how long it lies along each other one (-1: outside), over no bridge."""
    length = edge_lengths(faces)
    drawn = faces.graph.source < BRIDGED
    found: dict[int, dict[int, float]] = {}
    for a, b, d in zip(faces.left[drawn].tolist(), faces.right[drawn].tolist(), length[drawn].tolist(), strict=True):
        for own, other in ((a, b), (b, a)):
            if own >= 0:
                row = found.setdefault(own, {})
                row[other] = row.get(other, 0.0) + d
    return found


def _boxes(
    k: int, spaces: list[Space], faces: Faces, beside: dict[int, dict[int, float]], of_space: dict[int, int]
) -> list[_Box]:
    """The boxes that stand in space ``k``: nothing but it and walls lie round them."""
    near = {f for own in spaces[k].faces for f in beside.get(own, {}) if f >= 0 and f not in spaces[k].faces}
    boxes = []
    for f in sorted(near):
        other = of_space.get(f)
        if other is not None and (len(spaces[other].faces) > 1 or spaces[other].words):
            continue
        if other is None and not faces.body[f]:
            continue
        row = beside[f]
        rim = float(faces.perimeter[f])
        room = sum(d for g, d in row.items() if of_space.get(g) == k)
        wall = sum(d for g, d in row.items() if g >= 0 and of_space.get(g) is None)
        if room < BESIDE_ROOM * rim or wall < BESIDE_WALL * rim or room + wall < 0.98 * rim:
            continue
        sides = _box_sides(faces.polygons[f])
        if sides is not None and DEPTH_MM[0] <= sides[0] <= DEPTH_MM[1] and faces.area[f] <= LARGEST_MM2:
            boxes.append(_Box((f,), float(faces.area[f]), sides, other is None))
    return boxes[:MOST_TRIED]


def _box_sides(polygon: shapely.Polygon) -> tuple[float, float] | None:
    """Short and long side of what is all but a rectangle."""
    box = shapely.oriented_envelope(polygon)
    xy = shapely.get_coordinates(box)
    if len(xy) < 5 or polygon.area < BOX_FILL * box.area:
        return None
    first, second = (float(np.hypot(*(xy[i + 1] - xy[i]))) for i in (0, 1))
    return min(first, second), max(first, second)


def _making(area: float, target: tuple[float, float], boxes: list[_Box]) -> tuple[_Box, ...]:
    """The boxes that bring an area to the printed one; none where it is that already, or where
    several choices do."""
    if abs(area - target[0]) <= target[1]:
        return ()
    fits = [
        some
        for n in range(1, MOST_PIECES + 1)
        for some in itertools.combinations(boxes, n)
        if abs(area + sum(b.area for b in some) - target[0]) <= target[1]
    ]
    return fits[0] if len(fits) == 1 else ()


def _joined(space: Space, chosen: tuple[_Box, ...], faces: Faces) -> Space:
    own = [f for b in chosen for f in b.faces]
    whole = shapely.union_all([space.polygon, *faces.polygons[own]])
    parts = [p for p in shapely.get_parts(whole) if p.geom_type == "Polygon"]
    included = because("with-box") if len(own) == 1 else because("with-boxes", count=len(own))
    return space._replace(
        polygon=max(parts, key=lambda p: float(p.area)), faces=(*space.faces, *own), joined=(*space.joined, included)
    )


def _box_doubted(space: Space, boxes: list[_Box]) -> Space:
    deep = [b for b in boxes if b.body and b.sides[0] >= DOUBTED_MM]
    if not deep:
        return space
    largest = max(deep, key=lambda b: b.area)
    wide, long = (f"{side / 1000:.2f}" for side in largest.sides)
    return space._replace(joined=(*space.joined, because("box-as-wall", long_m=long, wide_m=wide)))


ON_LINE_MM = 60.0
"""A swing's hinge and its closed end lie on the line of the wall, but for this."""
FEWEST_DOORS = 2
PAIR_MM = 600.0
"""Piers stand a bay apart: of two things so close neither is one (common practice, no source)."""
ALONE = 0.01
WAYLESS = because("furniture")


def without_ways(spaces: list[Space], faces: Faces, swings: Swings) -> list[Space]:
    """The spaces of a plan whose walls are single lines like those of beds and cupboards, told apart by their doors:
    what nothing is written in and no door leads into is furniture of the room across the shortest line round it, and
    what lies apart from all that doors lead into is an elevation or a section. As they are where fewer than
    two have doors."""
    if not spaces:
        return spaces
    entered = _entered(spaces, swings) | np.array([bool(s.doors) for s in spaces])
    if entered.sum() < FEWEST_DOORS:
        return spaces
    named = np.array([bool(s.words) for s in spaces])
    spaces = [*spaces, *_deep_boxes(spaces, faces)]
    rooms = np.pad(entered | named, (0, len(spaces) - len(named)))
    of_room = _rooms_across(spaces, _common(spaces, faces), rooms)
    found = []
    for k in np.flatnonzero(rooms).tolist():
        own = np.flatnonzero((of_room == k) & ~rooms).tolist()
        found.append(_with_furniture(spaces[k], [spaces[f] for f in own]))
    return found


def _deep_boxes(spaces: list[Space], faces: Faces) -> list[Space]:
    """Bodies and gaps as spaces that are as deep as cupboards and showers: where walls are lines, none is. What
    stands free in one space may be a pier."""
    of_face = np.full(len(faces.polygons) + 1, -1)
    for k, space in enumerate(spaces):
        of_face[list(space.faces)] = k
    beside = _beside(faces)
    found = []
    for f in np.flatnonzero(faces.body | (faces.gap >= 0)).tolist():
        sides = _box_sides(faces.polygons[f])
        free = any(
            of_face[g] >= 0 and d >= (1.0 - ALONE) * faces.perimeter[f] for g, d in beside.get(f, {}).items() if g >= 0
        )
        if sides is not None and sides[0] >= SMALLEST_MM and sides[1] <= ASPECT * sides[0] and not free:
            found.append(Space(faces.polygons[f], (f,), 0.0, (), (), (), 0.0))
    return found


def _rooms_across(spaces: list[Space], common: dict[tuple[int, int], float], rooms: Bools) -> Ints:
    """For each space the room that it is or stands in, -1 for none: a wall runs on beyond what stands against it,
    and furniture's own lines end with it."""
    of_room = np.where(rooms, np.arange(len(spaces)), -1)
    size = [float(s.polygon.area) for s in spaces]
    while True:
        reached = [
            (mm, a, int(of_room[b]))
            for (a, b), mm in common.items()
            if of_room[a] < 0 <= of_room[b] and size[a] < size[of_room[b]]
        ]
        if not reached:
            return of_room
        _, piece, room = min(reached)
        of_room[piece] = room


def _entered(spaces: list[Space], swings: Swings) -> Bools:
    """Which spaces have the hinge and an end of a swing on one line of their border."""
    entered = np.zeros(len(spaces), bool)
    if not len(swings.hinge):
        return entered
    lines = np.concatenate([np.concatenate([swings.hinge, swings.ends[:, k]], axis=1) for k in (0, 1)])
    tree = shapely.STRtree(shapely.linestrings(lines.reshape(-1, 2, 2)))
    for k, space in enumerate(spaces):
        border = shapely.buffer(space.polygon.exterior, ON_LINE_MM)
        entered[k] = len(tree.query(border, predicate="contains")) > 0
    return entered


def _common(spaces: list[Space], faces: Faces) -> dict[tuple[int, int], float]:
    """The length of the shortest straight line drawn between each two spaces, both ways round."""
    of_face = np.full(len(faces.polygons) + 1, -1)
    for k, space in enumerate(spaces):
        of_face[list(space.faces)] = k
    left, right = of_face[faces.left], of_face[faces.right]
    between = (left >= 0) & (right >= 0) & (left != right) & (faces.graph.source < BRIDGED)
    found: dict[tuple[int, int], float] = {}
    for a, b, mm in zip(
        left[between].tolist(), right[between].tolist(), run_lengths(faces)[between].tolist(), strict=True
    ):
        for pair in ((a, b), (b, a)):
            found[pair] = min(found.get(pair, np.inf), mm)
    return found


def _with_furniture(room: Space, pieces: list[Space]) -> Space:
    """A room with the floor below its furniture; what stands in that, or close to its like, is no pier."""
    rings = [shapely.Polygon(ring) for ring in room.polygon.interiors]
    kept = [
        ring
        for k, ring in enumerate(rings)
        if not any(shapely.dwithin(ring, other, PAIR_MM) for j, other in enumerate(rings) if j != k)
    ]
    bare = shapely.Polygon(room.polygon.exterior, [ring.exterior for ring in kept])
    if not pieces and len(kept) == len(rings):
        return room
    whole = shapely.union_all([bare, *(shapely.Polygon(p.polygon.exterior) for p in pieces)])
    parts = [p for p in shapely.get_parts(whole) if p.geom_type == "Polygon"]
    return room._replace(
        polygon=max(parts, key=lambda p: float(p.area)),
        faces=(*room.faces, *(f for p in pieces for f in p.faces)),
        joined=(*room.joined, WAYLESS) if pieces else room.joined,
    )
