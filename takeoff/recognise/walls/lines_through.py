"""Lines that run through walls: axes, lines of sections, leaders.

Walls end on one another, or both faces of one run through the other. A line that runs through walls by itself, with
no second face beside it that does the same, is drawn over the plan and bounds nothing (common practice of drawing, no
source). On layers that say nothing such a line is told before walls are (``without_axes``); on the layer of walls,
where faces stop a hair beyond one another, it must also end freely, or be bent and touch nothing
(``section_lines``)."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.noding import JOIN_MM, cluster
from takeoff.geometry.runs import components
from takeoff.recognise.walls.bounding_lines import Lines, is_role, laborious
from takeoff.recognise.walls.inferred_layers import paired_part

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

LONG_MM, FACE_MM = 2500.0, 600.0
"""A shorter line is none that is drawn over the plan; a shorter one is no face of a wall that it runs through."""
THICK_MM = (50.0, 520.0)
"""The two faces of a wall lie so far apart (common practice, no source)."""
BEYOND_MM = 60.0
"""Both lines go on so far beyond the place where they cross: nearer, one ends on the other."""
PARALLEL_SINE, SQUARE_SINE, PARALLEL = 0.02, 0.25, 1e-9
FEWEST_WALLS = 2


def without_axes(lines: Lines) -> Lines:
    """The lines, with those of layers that say nothing that run through walls by themselves taken for axes."""
    return lines._replace(role=np.where(lines_through(lines), "grid", lines.role))


def lines_through(lines: Lines) -> Bools:
    """Which lines, of those that may be walls, run through two walls or more by themselves, or through one and end
    freely; none where they are beyond counting."""
    may = is_role(lines, "unknown", "wall", "column", "glazing") & ~lines.dashed & ~lines.hatch & ~lines.hidden
    may &= lines.arc < 0
    length = np.hypot(*(lines.xy[:, 2:] - lines.xy[:, :2]).T)
    through = np.zeros(len(lines.xy), bool)
    own = np.flatnonzero(may & (length >= LONG_MM) & is_role(lines, "unknown"))
    other = np.flatnonzero(may & (length >= FACE_MM))
    if len(own) and len(other) and not laborious(lines.xy[may]):
        walls = _walls_run_through(lines.xy[own], lines.xy[other])
        through[own] = walls >= FEWEST_WALLS
        single = own[walls == 1]
        through[single] = _free(lines.xy[single], lines.xy[may])
    found = np.flatnonzero(through)
    if len(found):
        through[found] = _paired(lines.xy[found], lines.xy[other]) <= MOST_PAIRED
        through[found] &= ~_between_corners(lines.xy[found], lines.xy[other])
        through[own] |= _in_row(lines.xy[own], lines.layer[own], through[own])
    return through


FREE_MM = 30.0
"""A line that ends so far from all others ends freely."""


def _free(xy: Floats, drawn: Floats) -> Bools:
    """Which lines (n, 4) end freely at one end, as faces of walls hardly ever do beyond a wall."""
    near, _line = shapely.STRtree(shapely.linestrings(drawn.reshape(-1, 2, 2))).query(
        shapely.points(xy.reshape(-1, 2)), predicate="dwithin", distance=FREE_MM
    )
    return np.asarray((np.bincount(near, minlength=2 * len(xy)) <= 1).reshape(-1, 2).any(axis=1))


FEWEST_AXES, SAME_END_MM = 3, 10.0


def _in_row(xy: Floats, layer: Ints, through: Bools) -> Bools:
    """Which lines (n, 4) end in line with three or more that run through walls, on their layer and parallel to them:
    a grid of axes goes on where there are no walls, and along walls."""
    low, high = np.minimum(xy[:, :2], xy[:, 2:]), np.maximum(xy[:, :2], xy[:, 2:])
    found = np.zeros(len(xy), bool)
    for axis in (0, 1):
        along = high[:, 1 - axis] - low[:, 1 - axis] <= SAME_END_MM
        ends = np.round(np.stack([layer, low[:, axis] / SAME_END_MM, high[:, axis] / SAME_END_MM], axis=1))
        _, row = np.unique(ends, axis=0, return_inverse=True)
        row = row.reshape(-1)
        many = np.bincount(row[along & through], minlength=len(xy)) >= FEWEST_AXES
        found |= along & many[row]
    return found


def _between_corners(xy: Floats, faces: Floats) -> Bools:
    """Which lines (n, 4) meet an end of a face that turns off and leads on at both their ends, as the sides of an
    outline do; the ends of a line of section turn off too, and end there."""
    places = shapely.points(faces.reshape(-1, 2))
    met, _face = shapely.STRtree(shapely.linestrings(faces.reshape(-1, 2, 2))).query(
        places, predicate="dwithin", distance=JOIN_MM
    )
    leads = (np.bincount(met, minlength=len(places)) > 1).reshape(-1, 2)[:, ::-1].reshape(-1)
    ends = xy.reshape(-1, 2)
    i, j = shapely.STRtree(places).query(shapely.points(ends), predicate="dwithin", distance=JOIN_MM)
    d, e = (xy[:, 2:] - xy[:, :2])[i // 2], (faces[:, 2:] - faces[:, :2])[j // 2]
    sine = np.abs(d[:, 0] * e[:, 1] - d[:, 1] * e[:, 0])
    turns = sine >= SQUARE_SINE * np.hypot(d[:, 0], d[:, 1]) * np.hypot(e[:, 0], e[:, 1])
    meets = np.zeros(len(ends), bool)
    meets[i[turns & leads[j]]] = True
    return np.asarray(meets.reshape(-1, 2).all(axis=1))


MOST_PAIRED, BESIDE_MM = 0.4, 350.0
"""What has a second line so near on one side, along more of it than that, is rather a face of a wall whose other face
ends at walls."""
SAMPLES = np.linspace(0.025, 0.975, 20)


def _paired(xy: Floats, faces: Floats) -> Floats:
    """For each line (n, 4) the part of it that has a face of a wall beside it, on one side only."""
    d = xy[:, 2:] - xy[:, :2]
    at = (xy[:, None, :2] + d[:, None, :] * SAMPLES[None, :, None]).reshape(-1, 2)
    i, j = shapely.STRtree(shapely.linestrings(faces.reshape(-1, 2, 2))).query(
        shapely.points(at), predicate="dwithin", distance=BESIDE_MM
    )
    unit = d / np.hypot(d[:, 0], d[:, 1])[:, None]
    row = i // len(SAMPLES)
    e = faces[j, 2:] - faces[j, :2]
    other = np.hypot(e[:, 0], e[:, 1])
    off = at[i] - faces[j, :2]
    along = (off * e).sum(axis=1) / other
    across = unit[row, 0] * off[:, 1] - unit[row, 1] * off[:, 0]
    fits = np.abs(unit[row, 0] * e[:, 1] - unit[row, 1] * e[:, 0]) < PARALLEL_SINE * other
    fits &= (along >= 0) & (along <= other) & (np.abs(across) >= THICK_MM[0])
    left, right = np.zeros(len(at), bool), np.zeros(len(at), bool)
    left[i[fits & (across > 0)]] = True
    right[i[fits & (across < 0)]] = True
    return np.asarray((left ^ right).reshape(len(xy), len(SAMPLES)).mean(axis=1))


def _walls_run_through(xy: Floats, faces: Floats) -> Ints:
    """How many walls, drawn by pairs of ``faces`` (m, 4), each line (n, 4) runs through with no other beside it."""
    i, j, along, angle = _crossed(xy, faces, BEYOND_MM)
    square = angle >= SQUARE_SINE
    i, j, along = i[square], j[square], along[square]
    order = np.lexsort((along, i))
    i, j, along = i[order], j[order], along[order]
    count = np.zeros(len(xy), np.int64)
    if len(i) < 2:
        return count
    d = faces[:, 2:] - faces[:, :2]
    unit = d / np.hypot(d[:, 0], d[:, 1])[:, None]
    crossed_by = _by_face(i, j, len(faces))
    own = xy[:, 2:] - xy[:, :2]
    direction = own / np.hypot(own[:, 0], own[:, 1])[:, None]
    last = np.full(len(xy), -np.inf)
    for k in range(len(i) - 1):
        line, a, b = int(i[k]), int(j[k]), int(j[k + 1])
        if i[k + 1] != line or along[k] < last[line]:
            continue
        sine = abs(unit[a, 0] * unit[b, 1] - unit[a, 1] * unit[b, 0])
        slope = abs(direction[line, 0] * unit[a, 1] - direction[line, 1] * unit[a, 0])
        apart = (along[k + 1] - along[k]) * slope
        if sine >= PARALLEL_SINE or not THICK_MM[0] <= apart <= THICK_MM[1]:
            continue
        if not _has_second(line, xy, direction, np.intersect1d(crossed_by[a], crossed_by[b])):
            count[line] += 1
            last[line] = along[k + 1]
    return count


def _crossed(xy: Floats, faces: Floats, beyond_mm: float) -> tuple[Ints, Ints, Floats, Floats]:
    """(line, face, how far along the line, the sine of their angle) of each place where one of the lines (n, 4) goes
    through one of the faces (m, 4), and both go on so far beyond it."""
    drawn = shapely.linestrings(xy.reshape(-1, 2, 2))
    met = shapely.STRtree(shapely.linestrings(faces.reshape(-1, 2, 2))).query(drawn, predicate="intersects")
    return _through(xy, faces, met, beyond_mm)


def _through(xy: Floats, faces: Floats, met: Ints, beyond_mm: float) -> tuple[Ints, Ints, Floats, Floats]:
    """As ``_crossed``, of those pairs (2, k) of a line and a face that meet."""
    i, j = met
    p, d = xy[i, :2], xy[i, 2:] - xy[i, :2]
    q, e = faces[j, :2], faces[j, 2:] - faces[j, :2]
    own, other = np.hypot(d[:, 0], d[:, 1]), np.hypot(e[:, 0], e[:, 1])
    cross = d[:, 0] * e[:, 1] - d[:, 1] * e[:, 0]
    cross[np.abs(cross) < PARALLEL] = np.inf
    off = q - p
    t = (off[:, 0] * e[:, 1] - off[:, 1] * e[:, 0]) / cross * own
    u = (off[:, 0] * d[:, 1] - off[:, 1] * d[:, 0]) / cross * other
    fits = (t >= beyond_mm) & (t <= own - beyond_mm) & (u >= beyond_mm) & (u <= other - beyond_mm)
    return i[fits], j[fits], t[fits], (np.abs(cross) / (own * other))[fits]


def _by_face(i: Ints, j: Ints, count: int) -> list[Ints]:
    """For each face the lines that it is crossed by."""
    order = np.argsort(j, kind="stable")
    return np.split(i[order], np.searchsorted(j[order], np.arange(1, count)))


def _has_second(line: int, xy: Floats, direction: Floats, others: Ints) -> bool:
    """Whether another of the lines runs beside this one as the second face of its wall."""
    rest = others[others != line]
    if not len(rest):
        return False
    u = direction[line]
    sine = np.abs(u[0] * direction[rest, 1] - u[1] * direction[rest, 0])
    off = xy[rest, :2] - xy[line, :2]
    across = np.abs(u[0] * off[:, 1] - u[1] * off[:, 0])
    return bool(((sine < PARALLEL_SINE) & (across >= THICK_MM[0]) & (across <= THICK_MM[1])).any())


SECTION_MM, MEET_MM = 3000.0, 10.0
"""The line of a section is no shorter; lines that end so near to each other, or to another line, meet."""
FEWEST_OF_ONE = 1
"""It crosses both faces of two walls, and each of its pieces those of one: faces themselves end where they meet."""
FACES_MM, FACED_PART = (45.0, 330.0), 0.4
"""A wall's face has the other one beside it at such a distance along more of its length than that."""


def section_lines(lines: Lines, walls: Bools, out: Bools) -> Bools:
    """(n,) which of the lines taken for walls are such: straight ones, or bent ones whose parts are none of ``out``."""
    rows = np.flatnonzero(walls & (lines.arc < 0))
    found = np.zeros(len(walls), bool)
    if not len(rows) or not (drawn := _drawn(lines.xy[rows])).free.any():
        return found
    found[rows[_straight(drawn)]] = True
    left = ~(out | found)[rows]
    if left.any():
        rows, drawn = rows[left], drawn if left.all() else _drawn(lines.xy[rows[left]])
        found[rows[_bent(drawn)]] = True
    return found


class _Drawn(NamedTuple):
    """Lines (n, 4), the node (2, n) that each of their ends is at, and which ends (2, n) no other one is near to."""

    xy: Floats
    node: Ints
    free: Bools
    lines: NDArray[np.object_]
    tree: shapely.STRtree


def _drawn(xy: Floats) -> _Drawn:
    node = cluster(np.concatenate([xy[:, :2], xy[:, 2:]]), MEET_MM).reshape(2, -1)
    free = np.bincount(node.ravel())[node] == 1
    lines = shapely.linestrings(xy.reshape(-1, 2, 2) if free.any() else np.zeros((0, 2, 2)))
    return _Drawn(xy, node, free, lines, shapely.STRtree(lines))


def _straight(drawn: _Drawn) -> Ints:
    """The lines that are long, alone, free at one end at least, or going on at it as another piece that is, and that
    cross the faces of walls."""
    none, xy = np.zeros(0, np.int64), drawn.xy
    long = np.flatnonzero(np.hypot(*(xy[:, 2:] - xy[:, :2]).T) >= SECTION_MM)
    if not drawn.free[:, long].any():
        return none
    crossed = _walls_crossed(drawn, long)
    tried = long[crossed >= FEWEST_OF_ONE]
    crossed = crossed[crossed >= FEWEST_OF_ONE]
    alone = np.array([not _faced(xy, row, drawn.lines, drawn.tree) for row in tried.tolist()] or [], bool)
    tried, crossed = tried[alone], crossed[alone]
    if not len(tried):
        return none
    free, joined = _ends(xy, tried, drawn.tree)
    group = components(len(tried), *joined)
    total = np.bincount(group, weights=crossed)
    loose = np.bincount(group, weights=free)
    chosen = (total >= FEWEST_WALLS) & (loose > 0)
    return np.asarray(tried[chosen[group]])


def _walls_crossed(drawn: _Drawn, long: Ints) -> Ints:
    """Through how many walls each of the long lines goes: two lines that it crosses away from the ends of either, as
    far apart as a wall's faces."""
    met = drawn.tree.query(drawn.lines[long], predicate="intersects")
    i, _face, along, _sine = _through(drawn.xy[long], drawn.xy, met, MEET_MM)
    count = np.zeros(len(long), np.int64)
    for k in np.unique(i).tolist():
        apart = np.diff(np.sort(along[i == k]))
        count[k] = int(((apart >= FACES_MM[0]) & (apart <= FACES_MM[1])).sum())
    return count


def _faced(xy: Floats, row: int, drawn: NDArray[np.object_], tree: shapely.STRtree) -> bool:
    """Whether a line is one of the two faces of a wall."""
    line = drawn[row]
    way = (xy[row, 2:] - xy[row, :2]) / float(line.length)
    near = tree.query(line.buffer(FACES_MM[1], cap_style="flat"), predicate="intersects")
    near = near[near != row]
    d = xy[near, 2:] - xy[near, :2]
    level = np.abs(d[:, 0] * way[1] - d[:, 1] * way[0]) <= PARALLEL_SINE * np.hypot(*d.T)
    ends = xy[near[level]].reshape(-1, 2, 2) - xy[row, :2]
    along, off = np.sort(ends @ way, axis=1), np.abs(ends @ np.array([-way[1], way[0]])).mean(axis=1)
    beside = (off >= FACES_MM[0]) & (off <= FACES_MM[1])
    shared = np.clip(along[beside, 1], 0, line.length) - np.clip(along[beside, 0], 0, line.length)
    return float(shared.sum()) > FACED_PART * float(line.length)


def _ends(xy: Floats, tried: Ints, tree: shapely.STRtree) -> tuple[Ints, tuple[Ints, Ints]]:
    """(how many ends of each of these lines touch nothing, which of them end on each other)"""
    points = shapely.points(xy[tried].reshape(-1, 2))
    at, row = tree.query(points, predicate="dwithin", distance=MEET_MM)
    other = row != tried[at // 2]
    met = np.bincount(at[other], minlength=len(points)) > 0
    place = np.full(len(xy), -1)
    place[tried] = np.arange(len(tried))
    i, j = at[other] // 2, place[row[other]]
    i, j = i[j >= 0], j[j >= 0]
    return (~met).reshape(-1, 2).sum(axis=1), (i, j)


CHAIN_MM, CHAIN_FACE_MM, MOST_FACED = 5000.0, 250.0, 0.4
"""A bent line is no shorter; shorter parts of it are no faces; the faces of walls have each other beside them along
more of their length."""
FEWEST_FACES = 4
"""It crosses both faces of two walls."""


def _bent(drawn: _Drawn) -> Ints:
    """The lines that are in a chain without a loop, that ends on nothing and on which nothing ends, and that crosses
    the faces of walls: those of sections that go on with a jog and end in an arrow."""
    none, node, xy = np.zeros(0, np.int64), drawn.node, drawn.xy
    if not (drawn.free.any(axis=0) & ~drawn.free.all(axis=0)).any():
        return none  # no line ends freely and hangs on another one
    group = components(int(node.max()) + 1, node[0], node[1])
    own = group[node[0]]
    length = np.hypot(*(xy[:, 2:] - xy[:, :2]).T)
    count = int(group.max()) + 1
    nodes = np.bincount(group[np.unique(node)], minlength=count)
    tried = (np.bincount(own, minlength=count) == nodes - 1) & (nodes > 2)
    tried &= np.bincount(own, length, minlength=count) >= CHAIN_MM
    if not tried.any():
        return none
    tried &= _lines_crossed(drawn, np.flatnonzero(tried[own]), own, count) >= FEWEST_FACES
    chosen, seen = np.zeros(len(xy), bool), length >= CHAIN_FACE_MM
    for chain in np.flatnonzero(tried).tolist():
        mine = own == chain
        if _untouched(drawn, mine) and _part_faced(xy[seen], mine[seen]) < MOST_FACED:
            chosen |= mine
    return np.flatnonzero(chosen)


def _lines_crossed(drawn: _Drawn, rows: Ints, own: Ints, count: int) -> Ints:
    """For each of ``count`` chains how many other lines its lines (``rows``) cross. ``own``: the chain of each line."""
    line, other = drawn.tree.query(drawn.lines[rows], predicate="crosses")
    chain = own[rows[line]]
    pairs = np.unique(np.stack([chain, other])[:, own[other] != chain], axis=1)
    return np.bincount(pairs[0], minlength=count)


def _part_faced(xy: Floats, mine: Bools) -> float:
    """Which part of these lines has another one beside it as the faces of walls have."""
    length = np.hypot(*(xy[mine, 2:] - xy[mine, :2]).T)
    return float((paired_part(xy)[mine] * length).sum() / max(float(length.sum()), 1e-9))


def _untouched(drawn: _Drawn, mine: Bools) -> bool:
    """Whether none of these lines ends on another one, and no other one on these."""
    xy, tree = drawn.xy, drawn.tree
    own, near = tree.query(drawn.lines[mine], predicate="dwithin", distance=MEET_MM)
    own, near = own[~mine[near]], near[~mine[near]]
    pieces = drawn.lines[mine][own]
    for at in (xy[near, :2], xy[near, 2:]):
        if shapely.dwithin(shapely.points(at), pieces, MEET_MM).any():
            return False
    ends = shapely.points(xy[mine].reshape(-1, 2))
    _end, line = tree.query(ends, predicate="dwithin", distance=MEET_MM)
    return bool(mine[line].all())
