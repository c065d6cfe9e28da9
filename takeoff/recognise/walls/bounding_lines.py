"""The lines that can bound a room, near the origin, with what each came from; walls drawn as one thick
line get the two faces that they show."""

from __future__ import annotations

import itertools
import math
import re
from typing import Literal, NamedTuple

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing, Linework
from takeoff.geometry.curves import Curve
from takeoff.geometry.noding import JOIN_MM, cluster
from takeoff.geometry.offset import offset_ring
from takeoff.geometry.rings import ring_curves
from takeoff.recognise.walls.layer_roles import LayerGuess, Role, by_name

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

SAGITTA_MM = 0.5
"""How far a chord may lie from its arc where only the topology is wanted."""
SYMBOL_MM = 7000.0
"""A block larger than this is no door, window or piece of furniture, whatever its name."""
NOTHING_MM = 1e-100
SHORTEST_MM = 0.5
"""Shorter lines are dirt."""
FARTHEST_MM = 1e10
"""Coordinates beyond ten thousand kilometres are damage, not a building: grids of national surveys reach as far,
counted from the equator."""
MOST_LINES, MOST_CROSSINGS, MOST_NEAR = 100_000, 50_000, 20_000_000
TOUCHES = 4
"""A floor plan has no more lines, crossings (besides so many touches of each line), and pairs of lines
within a wall's thickness of each other."""
MOST_UNSAID = 60_000
"""Lines and their crossings and touches together, where several choices of them have to be tried as walls."""
ASKED = 128
"""So many lines of a drawing are asked how many others they cross and lie beside."""
FAR_BEYOND = 20
"""So many times the most crossings: an eighth of those asked is then enough to tell."""
BESIDE_MM = 700.0
_DASHED = re.compile(r"DASH|HIDDEN|PHANTOM|DOT|CENTER|DIVIDE|BORDER|STRICH|TIRET|VERDECKT|ACAD_ISO", re.I)


class Lines(NamedTuple):
    """Every usable line of a drawing in mm from ``origin``.

    ``xy`` (n, 4); ``layer``, ``source`` (n,) as in the drawing; ``role`` (n,) its layer's role;
    ``arc`` (n,) row in ``arcs`` of the arc that a chord came from, or -1; ``dashed``, ``hatch``
    and ``hidden`` (layer off or frozen) (n,).
    """

    xy: Floats
    layer: Ints
    source: Ints
    role: NDArray[np.str_]
    arc: Ints
    arcs: Floats
    arc_layer: Ints
    arc_role: NDArray[np.str_]
    arc_source: Ints
    dashed: Bools
    hatch: Bools
    hidden: Bools
    origin: tuple[float, float]

    def pick(self, chosen: Bools) -> Lines:
        """The chosen rows only; arcs stay as they are."""
        return self._replace(
            xy=self.xy[chosen],
            layer=self.layer[chosen],
            source=self.source[chosen],
            role=self.role[chosen],
            arc=self.arc[chosen],
            dashed=self.dashed[chosen],
            hatch=self.hatch[chosen],
            hidden=self.hidden[chosen],
        )


def _origin(segments: Floats, arcs: Floats) -> tuple[float, float]:
    ends = np.concatenate([segments[:, :2], segments[:, 2:], arcs[:, :2], arcs[:, 2:4]])
    ends = ends[np.all(np.abs(ends) < FARTHEST_MM, axis=1)]
    if not len(ends):
        return 0.0, 0.0
    x, y = np.median(ends, axis=0)
    return float(round(x)), float(round(y))


def chords(arcs: Floats, sagitta_mm: float = SAGITTA_MM) -> tuple[Floats, Ints]:
    """(chords (k, 4), arc row of each (k,)) of arcs (m, 5) [x0, y0, x1, y1, bulge]."""
    if not len(arcs):
        return np.zeros((0, 4)), np.zeros(0, np.int64)
    p, q, bulge = arcs[:, :2], arcs[:, 2:4], arcs[:, 4]
    sweep = 4 * np.arctan(bulge)
    half = np.hypot(*(q - p).T) / 2
    radius = half / np.abs(np.sin(sweep / 2))
    step = 2 * np.arccos(np.clip(1 - sagitta_mm / np.maximum(radius, 2 * sagitta_mm), -1, 1))
    count = np.clip(np.ceil(np.abs(sweep) / step), 2, 360).astype(np.int64)
    owner = np.repeat(np.arange(len(arcs)), count)
    nth = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    ends = [_on_arc(arcs, owner, (nth + shift) / count[owner]) for shift in (0, 1)]
    last = nth == count[owner] - 1
    ends[0][nth == 0] = p[owner[nth == 0]]
    ends[1][last] = q[owner[last]]
    return np.concatenate(ends, axis=1), owner


def _on_arc(arcs: Floats, row: Ints, t: Floats) -> Floats:
    """Points (k, 2) at the part t of the sweep of the arcs named by ``row``."""
    p = arcs[row, 0] + 1j * arcs[row, 1]
    q = arcs[row, 2] + 1j * arcs[row, 3]
    sweep = 4 * np.arctan(arcs[row, 4])
    centre = arc_centres(arcs)[row]
    z = centre + (p - centre) * np.exp(1j * sweep * t)
    z = np.where(t <= 0, p, np.where(t >= 1, q, z))
    return np.stack([z.real, z.imag], axis=1)


def arc_centres(arcs: Floats) -> NDArray[np.complex128]:
    """The centres (m,) of arcs (m, 5), as complex numbers."""
    p = arcs[:, 0] + 1j * arcs[:, 1]
    q = arcs[:, 2] + 1j * arcs[:, 3]
    b = arcs[:, 4]
    return (p + q) / 2 + 1j * (q - p) * (1 - b * b) / (4 * b)


BENT_MM, BENT_BULGE, END_MM, SWUNG_MM = 2.5, 0.035, 700.0, 2000.0
"""A line no longer than the third that bends by less than the first is straight: some draw the end of a wall as a
piece of the swing that shuts against it. What bends about a centre farther off than a leaf is long is of a round
wall."""


def _with_straight_ends(work: Linework) -> Linework:
    """The linework with such bent lines as straight ones."""
    chord = np.hypot(*(work.arcs[:, 2:4] - work.arcs[:, :2]).T)
    straight = (chord <= END_MM) & (chord >= THINNEST_MM) & (np.abs(work.arcs[:, 4]) <= BENT_BULGE)
    bulge = np.abs(work.arcs[:, 4])
    straight &= bulge * chord / 2 <= BENT_MM
    straight &= chord * (1 + bulge**2) <= 4 * bulge * SWUNG_MM
    if not straight.any():
        return work
    return Linework(
        np.concatenate([work.segments, work.arcs[straight, :4]]),
        np.concatenate([work.segment_layer, work.arc_layer[straight]]),
        np.concatenate([work.segment_source, work.arc_source[straight]]),
        work.arcs[~straight],
        work.arc_layer[~straight],
        work.arc_source[~straight],
    )


def prepare(drawing: Drawing, guesses: tuple[LayerGuess, ...]) -> Lines:
    """The drawing's lines near its own origin; arcs as chords that know their arc."""
    work = _with_straight_ends(drawing.lines)
    x, y = _origin(work.segments, work.arcs)
    shift = np.array([x, y, x, y])
    near = np.all(np.abs(work.segments) < FARTHEST_MM, axis=1)
    near &= np.hypot(*(work.segments[:, 2:] - work.segments[:, :2]).T) > SHORTEST_MM
    arc_ok = np.all(np.abs(work.arcs[:, :4]) < FARTHEST_MM, axis=1) & (np.abs(work.arcs[:, 4]) > 1e-9)
    arcs = work.arcs[arc_ok].copy()
    arcs[:, :4] -= shift
    segments = work.segments[near] - shift
    # What is all but 0 is 0: shapely can run for hours on numbers so small that they have no digits.
    for rows in (segments, arcs):
        rows[np.abs(rows) < NOTHING_MM] = 0.0
    _snap_ends(segments, arcs)
    arcs_alive = np.hypot(*(arcs[:, 2:4] - arcs[:, :2]).T) > SHORTEST_MM
    arcs, arc_ok[arc_ok] = arcs[arcs_alive], arcs_alive
    chord, owner = chords(arcs)
    arc_layer = work.arc_layer[arc_ok].astype(np.int64)
    arc_source = work.arc_source[arc_ok].astype(np.int64)
    layer = np.concatenate([work.segment_layer[near], arc_layer[owner]]).astype(np.int64)
    source = np.concatenate([work.segment_source[near], arc_source[owner]]).astype(np.int64)
    roles = np.array([g.role for g in guesses] or ["unknown"], dtype="U12")
    xy = np.concatenate([segments, chord])
    role = _role_by_block(drawing, xy, source, roles[layer])
    arc_role = roles[arc_layer]
    arc_role[owner] = role[len(segments) :]
    hidden = np.array([s.state != "on" for s in drawing.layers] or [False])
    dashed, hatch = _source_flags(drawing)
    return Lines(
        xy,
        layer,
        source,
        role,
        np.concatenate([np.full(len(segments), -1), owner]),
        arcs,
        arc_layer,
        arc_role,
        arc_source,
        dashed[source],
        hatch[source],
        hidden[layer],
        (x, y),
    )


AGAIN_MM = 0.5


def drawn_once(lines: Lines) -> Lines:
    """The lines without those that were drawn before, from the same place to the same place in the same way: drawn
    twice, the faces of a wall would count for treads or panes."""
    ends = np.round(lines.xy / AGAIN_MM).astype(np.int64)
    turned = (ends[:, 0] > ends[:, 2]) | ((ends[:, 0] == ends[:, 2]) & (ends[:, 1] > ends[:, 3]))
    ends[turned] = ends[turned][:, [2, 3, 0, 1]]
    keep = np.ones(len(ends), bool)
    again = _perhaps_again(ends)
    way = np.stack([lines.layer, lines.dashed, lines.hatch, lines.role == "unknown", lines.arc], axis=1)[again]
    first = np.unique(np.concatenate([ends[again], way.astype(np.int64)], axis=1), axis=0, return_index=True)[1]
    keep[again] = False
    keep[again[first]] = True
    return lines.pick(keep | (lines.arc >= 0))


_MIXED = np.array([0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9, 0x27D4EB2F165667C5], np.uint64)
"""Odd numbers by which four others become one, seldom the same for four others."""


def _perhaps_again(rows: Ints) -> Ints:
    """Those of the rows (n, 4) that may be like another one, by one number made of each: most of a drawing's lines
    are drawn once, and to sort them by all four takes ten times as long."""
    number = (rows.astype(np.uint64) * _MIXED).sum(axis=1, dtype=np.uint64)
    order = np.argsort(number, kind="stable")
    same = number[order][1:] == number[order][:-1]
    twice = np.zeros(len(rows), bool)
    twice[1:] |= same
    twice[:-1] |= same
    return np.sort(order[twice])


def _role_by_block(drawing: Drawing, xy: Floats, source: Ints, by_layer: NDArray[np.str_]) -> NDArray[np.str_]:
    """The role of each line, where small blocks named for what they are overrule their layer."""
    named = {block for s in drawing.sources if (block := s.block)}
    by_block = {block: _block_role(block) for block in named}
    told = np.array([by_block.get(s.block, "") for s in drawing.sources] or [""], dtype="U12")
    if not (told != "").any():
        return by_layer
    low, high = np.full((len(told), 2), np.inf), np.full((len(told), 2), -np.inf)
    for ends in (xy[:, :2], xy[:, 2:]):
        np.minimum.at(low, source, ends)
        np.maximum.at(high, source, ends)
    small = (high - low).max(axis=1) <= SYMBOL_MM
    overruled = (told != "") & small
    return np.where(overruled[source], told[source], by_layer)


def _block_role(path: str) -> Role | Literal[""]:
    """What the innermost telling name of nested blocks says, or nothing."""
    for name in reversed(path.split("/")):
        role = by_name(name)[0]
        if role in ("door", "glazing", "furniture", "column", "stair", "service"):
            return role
    return ""


def _source_flags(drawing: Drawing) -> tuple[Bools, Bools]:
    dashed = [is_dashed(s.linetype) for s in drawing.sources]
    hatch = [s.role == "hatch" for s in drawing.sources]
    return np.array(dashed or [False]), np.array(hatch or [False])


def is_dashed(linetype: str) -> bool:
    """Whether a line type shows what is not there to see: above, behind, demolished, an axis."""
    return bool(_DASHED.search(linetype))


def _snap_ends(segments: Floats, arcs: Floats) -> None:
    """Ends within the join distance become one of them, in place, so that arcs keep their ends."""
    if not len(arcs):
        return
    ends = np.concatenate([segments[:, :2], segments[:, 2:], arcs[:, :2], arcs[:, 2:4]])
    moved = ends[cluster(ends, JOIN_MM)]
    n, m = len(segments), len(arcs)
    segments[:, :2], segments[:, 2:] = moved[:n], moved[n : 2 * n]
    arcs[:, :2], arcs[:, 2:4] = moved[2 * n : 2 * n + m], moved[2 * n + m :]


def bulge_between(start: complex, end: complex, centre: complex, left: bool) -> float:
    """The bulge of the arc about ``centre`` from start to end, turning left or right."""
    sweep = math.remainder(np.angle((end - centre) / (start - centre)), 2 * math.pi)
    if left and sweep < 0:
        sweep += 2 * math.pi
    if not left and sweep > 0:
        sweep -= 2 * math.pi
    return math.tan(sweep / 4)


def is_role(lines: Lines, *roles: Role) -> Bools:
    """Which rows are on a layer of one of these roles."""
    return np.isin(lines.role, roles)


THINNEST_MM, THICKEST_MM = 45.0, 700.0
"""The widths that a wall can have; thinner lines are drawn so for the print (common practice)."""
SAME_MM = 1e-3
SLENDER = 2.0
"""A line shorter than this many widths is a mark or an arrow, no wall."""


def with_faces(drawing: Drawing) -> Drawing:
    """The drawing (in mm) with every straight polyline that is as wide as a wall replaced by the
    outline of what it covers. Without such lines it is the same drawing."""
    widths = np.array([s.width for s in drawing.sources] or [0.0]) * drawing.unit_mm
    wall = (widths >= THINNEST_MM) & (widths <= THICKEST_MM)
    lines = drawing.lines
    if not len(lines.segments) or not wall.any():
        return drawing
    curved = np.zeros(len(wall), bool)
    curved[lines.arc_source] = True
    wide = (wall & ~curved)[lines.segment_source]
    if not wide.any():
        return drawing
    rows = np.flatnonzero(wide)
    made: list[Floats] = []
    owner: list[int] = []
    for chain in _chains(lines.segments, lines.segment_source, rows):
        width = float(widths[lines.segment_source[chain[0]]])
        outline = _outline(lines.segments[chain], width)
        made += outline
        owner += [int(chain[0])] * len(outline)
    new = np.array(made).reshape(-1, 4)
    own = np.array(owner, np.int64)
    segments = np.concatenate([lines.segments[~wide], new])
    layer = np.concatenate([lines.segment_layer[~wide], lines.segment_layer[own]])
    source = np.concatenate([lines.segment_source[~wide], lines.segment_source[own]])
    work = Linework(segments, layer, source, lines.arcs.copy(), lines.arc_layer.copy(), lines.arc_source.copy())
    return msgspec.structs.replace(drawing, lines=work)


def _chains(segments: Floats, source: NDArray[np.int32], rows: NDArray[np.int64]) -> list[list[int]]:
    """Rows of segments that run on from one another in one polyline."""
    chains: list[list[int]] = []
    for row in rows.tolist():
        last = chains[-1][-1] if chains else None
        if (
            last is not None
            and last == row - 1
            and source[last] == source[row]
            and (np.abs(segments[last, 2:] - segments[row, :2]).max() <= SAME_MM)
        ):
            chains[-1].append(row)
        else:
            chains.append([row])
    return chains


def _outline(run: Floats, width: float) -> list[Floats]:
    points = [tuple(run[0, :2]), *(tuple(p) for p in run[:, 2:])]
    length = float(np.hypot(*(run[:, 2:] - run[:, :2]).T).sum())
    if length < SLENDER * width:
        return list(run)
    half = width / 2.0
    if len(points) > 3 and np.hypot(points[0][0] - points[-1][0], points[0][1] - points[-1][1]) <= SAME_MM:
        sides = ring_curves([(x, y, 0.0) for x, y in points[:-1]])
        rings = [offset_ring(sides, [d] * len(sides)) for d in (half, -half)]
    else:
        # There and back along the line, then outwards all round: the ends become square.
        there = [Curve(*a, *b) for a, b in itertools.pairwise(points)]
        back = [c.reversed() for c in reversed(there)]
        rings = [offset_ring([*there, *back], [-half] * (2 * len(there)))]
    found: list[Floats] = []
    for ring in rings:
        corners = np.array([(x, y) for x, y, _, _ in ring])
        found += list(np.hstack([corners, np.roll(corners, -1, axis=0)]))
    return found


def _tree(xy: Floats) -> shapely.STRtree:
    return shapely.STRtree(shapely.linestrings(xy.reshape(-1, 2, 2)))


def crossings(xy: Floats, tree: shapely.STRtree | None = None) -> int:
    """About how often lines (n, 4) cross or touch each other, by asking some of them: a few first, and more only
    where these do not say that it is far beyond any limit, since each may cross thousands. ``tree``: of the lines."""
    if len(xy) < 2:
        return 0
    tree = tree or _tree(xy)
    about = 0
    for many in (ASKED // 8, ASKED):
        asked = tree.geometries[np.unique(np.linspace(0, len(xy) - 1, many).astype(np.int64))]
        met = len(tree.query(asked, predicate="intersects")[0]) - len(asked)
        about = int(met / len(asked) * len(xy) / 2)
        if about > FAR_BEYOND * (MOST_CROSSINGS + TOUCHES * len(xy)):
            break
    return about


def tangled(xy: Floats) -> bool:
    """Whether lines (n, 4) are more, or cross each other more often, than those of a building do: to look
    for rooms among them would take hours."""
    return len(xy) > MOST_LINES or crossings(xy) > MOST_CROSSINGS + TOUCHES * len(xy)


def laborious(xy: Floats) -> bool:
    """Whether lines (n, 4) are too many, or meet too often, to try one choice of them after the other."""
    if not 1 < len(xy) <= MOST_UNSAID:
        return len(xy) > MOST_UNSAID
    tree = _tree(xy)
    return len(xy) + crossings(xy, tree) > MOST_UNSAID or crowded(xy, tree)


class Asked:
    """``laborious`` for one reading of a drawing, which asks about the same lines several times on its way."""

    def __init__(self) -> None:
        self._last: tuple[Floats, bool] | None = None

    def laborious(self, xy: Floats) -> bool:
        if self._last is None or not np.array_equal(self._last[0], xy):
            self._last = xy, laborious(xy)
        return self._last[1]


def crowded(xy: Floats, tree: shapely.STRtree | None = None) -> bool:
    """Whether so many lines (n, 4) lie side by side that not every pair of them can be looked at. ``tree``: of them."""
    if len(xy) < ASKED:
        return False
    asked = xy[np.unique(np.linspace(0, len(xy) - 1, ASKED).astype(np.int64))]
    middle = shapely.points((asked[:, :2] + asked[:, 2:]) / 2)
    near = len((tree or _tree(xy)).query(middle, predicate="dwithin", distance=BESIDE_MM)[0])
    return near / len(asked) * len(xy) > MOST_NEAR
