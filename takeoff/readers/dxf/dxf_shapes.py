"""The pieces of one layout or block: gathered in lists, sealed into arrays.

Everything is in the container's own coordinates. Layer ``INHERITED`` marks what is drawn on
layer 0 of a block and takes the layer of its insert.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Literal

import numpy as np
from ezdxf.colors import aci2rgb
from numpy.typing import NDArray

from takeoff.drawing.model import Dimension, Floats, Ints, Label, LineSource, Symbol
from takeoff.geometry.chords import chord_count, chords
from takeoff.readers.dxf.dxf_log import Log

INHERITED = -1
FARTHEST = 1e10
"""Drawing units: beyond the Earth even in mm, so a coordinate that large is damage."""
STRAIGHT_BULGE = 1e-7
"""Below this an arc stands less than 1e-7 of half its chord off it: a straight line."""
MOST_BULGE = 1e4
"""Beyond this the gap in the circle is below 0.02 degrees: damage, not a drawn arc."""
CHORD_STEP_DEG = 1.5
CHORD_STEP_RAD = math.radians(CHORD_STEP_DEG)
NOTHING = 1e-100
"""A coordinate as small as this is nought: products of such numbers are no numbers any more, and what is
worked out of them (areas, angles) never ends."""
WORD_COST = 10
"""A label or symbol is an object of its own and takes the time and memory of ten array rows."""
Role = Literal["line", "hatch", "solid", "frame"]
Frame = tuple[float, float, float, float, float, float]
"""a b c d tx ty: x' = a·x + b·y + tx, y' = c·x + d·y + ty."""
NUMBERED = range(1, 256)
"""Numbers of the colour table; 0 is the block's colour, 256 the layer's."""


@dataclass(frozen=True, slots=True)
class Shapes:
    """Sealed pieces. ``loop_xyb`` (v, 3) holds the vertices of all loops one after the other,
    loop i being ``loop_start[i]:loop_start[i + 1]``."""

    segments: Floats
    segment_layer: Ints
    segment_source: Ints
    arcs: Floats
    arc_layer: Ints
    arc_source: Ints
    loop_xyb: Floats
    loop_start: Ints
    loop_layer: Ints
    loop_source: Ints
    labels: list[Label] = field(default_factory=list)
    symbols: list[Symbol] = field(default_factory=list)
    dimensions: list[Dimension] = field(default_factory=list)
    sources: list[LineSource] = field(default_factory=list)

    def size(self) -> int:
        """What placing this once costs, in pieces; a word costs WORD_COST of them."""
        words = len(self.labels) + len(self.symbols) + len(self.dimensions)
        return len(self.segments) + len(self.arcs) + len(self.loop_xyb) + WORD_COST * words


class Gather:
    """Collects the pieces of one container. ``top``: a layout, whose entities keep their handle."""

    def __init__(self, top: bool, layer_of: Callable[[str], int], linetypes: Sequence[str], log: Log) -> None:
        self.top, self.log = top, log
        self.layer_index, self.linetypes = layer_of, linetypes
        self.lines: list[float] = []
        self.line_layer: list[int] = []
        self.line_source: list[int] = []
        self.arcs: list[float] = []
        self.arc_layer: list[int] = []
        self.arc_source: list[int] = []
        self.xyb: list[float] = []
        self.counts: list[int] = []
        self.closed: list[bool] = []
        self.path_layer: list[int] = []
        self.path_source: list[int] = []
        self.labels: list[Label] = []
        self.symbols: list[Symbol] = []
        self.dimensions: list[Dimension] = []
        self.sources: list[LineSource] = []
        self.known: dict[tuple[str, str, str, float, int], int] = {}

    def layer(self, ns: dict[str, Any]) -> int:
        """The layer of an entity by its attributes; layer 0 in a block is inherited."""
        name = ns.get("layer", "0")
        return INHERITED if name == "0" and not self.top else self.layer_index(name)

    def handle(self, ns: dict[str, Any]) -> str:
        """The handle of an entity of a layout; those in a block are none of the plan's."""
        return self.log.name_in(ns.get("handle") or "") if self.top else ""

    def source(self, entity: str, ns: dict[str, Any], layer: int, role: Role = "line", width: float = 0.0) -> int:
        """The index of where a piece comes from; in blocks equal ones are shared."""
        linetype = self.log.name_in(ns.get("linetype", "BYLAYER")).upper()
        if linetype == "BYLAYER":
            linetype = "BYLAYER" if layer == INHERITED else self.linetypes[layer]
        colour = own_colour(ns) if "color" in ns or "true_color" in ns else -1
        if self.top:
            self.sources.append(LineSource(entity, self.handle(ns), "", linetype, role, width, colour))
            return len(self.sources) - 1
        key = (entity, linetype, role, width, colour)
        index = self.known.get(key)
        if index is None:
            index = self.known[key] = len(self.sources)
            self.sources.append(LineSource(entity, "", "", linetype, role, width, colour))
        return index

    def path(
        self, vertices: Sequence[Sequence[float]], closed: bool, layer: int, source: int, frame: Frame | None = None
    ) -> None:
        """Adds a chain of sides (x, y, bulge), moved by ``frame`` if given."""
        if frame is not None:
            if not similar(*frame[:4]):
                bulges = np.array([v[2] for v in vertices], np.float64)
                self.log.spend(int(chord_count(bulges, CHORD_STEP_DEG).sum()))
            vertices, closed = framed(vertices, closed, frame)
        self.log.spend(len(vertices))
        # All or nothing: a row that is no x, y, bulge must not shift the rows after it.
        self.xyb += [part for x, y, bulge in vertices for part in (x, y, bulge)]
        self.counts.append(len(vertices))
        self.closed.append(closed)
        self.path_layer.append(layer)
        self.path_source.append(source)

    def seal(self, layer_name: Callable[[int], str]) -> Shapes:
        """The arrays of all that was gathered; pieces that are nowhere are dropped and logged."""
        with np.errstate(all="ignore"):
            sides, layer, source, loops = _sides(self)
            lines = np.array(self.lines, np.float64).reshape(-1, 4)
            turned = _turned_arcs(np.array(self.arcs, np.float64).reshape(-1, 5))
            five = np.concatenate((np.column_stack((lines, np.zeros(len(lines)))), turned, sides))
            five[np.abs(five) < NOTHING] = 0.0
            layers = np.concatenate((_ints(self.line_layer), _ints(self.arc_layer), layer))
            sources = np.concatenate((_ints(self.line_source), _ints(self.arc_source), source))
            good = _somewhere(five)
            if not good.all():
                self._drop(sources[~good], layers[~good], layer_name)
            five, layers, sources = five[good], layers[good], sources[good]
            long = (five[:, 0] != five[:, 2]) | (five[:, 1] != five[:, 3]) | np.isinf(five[:, 4])
            straight = np.abs(five[:, 4]) < STRAIGHT_BULGE
            arcs, which = halved(five[long & ~straight])
        keep, bent = long & straight, np.flatnonzero(long & ~straight)[which]
        return Shapes(
            five[keep, :4],
            layers[keep],
            sources[keep],
            arcs,
            layers[bent],
            sources[bent],
            *loops,
            self._placed(self.labels),
            self.symbols,
            self.dimensions,
            self.sources,
        )

    def _placed(self, labels: list[Label]) -> list[Label]:
        good = []
        for w in labels:
            if abs(w.x) < FARTHEST and abs(w.y) < FARTHEST and abs(w.height) < FARTHEST:
                good.append(w)
            else:
                self.log.drop("TEXT", w.handle, "")
        return good

    def _drop(self, sources: Ints, layers: Ints, layer_name: Callable[[int], str]) -> None:
        for s, layer in zip(sources.tolist(), layers.tolist(), strict=True):
            of = self.sources[s]
            self.log.drop(of.entity, of.handle, layer_name(layer) if layer >= 0 else "0")


def _ints(values: list[int]) -> Ints:
    return np.array(values, np.int32)


def _somewhere(five: Floats) -> NDArray[np.bool_]:
    """Which rows x0 y0 x1 y1 bulge have places on Earth and a bulge (infinite: full circle)."""
    return (np.abs(five[:, :4]) < FARTHEST).all(axis=1) & ~np.isnan(five[:, 4])


def _turned_arcs(arcs: Floats) -> Floats:
    """Centre, radius, start and end angle in degrees as ends and bulge; equal angles are a full
    turn, whose bulge is infinite until ``halved`` splits it."""
    x, y, r, start, end = arcs.T
    sweep = np.mod(end - start, 360.0)
    sweep = np.where(sweep < 1e-9, 360.0, sweep)
    r = np.where(r > 0.0, r, np.nan)
    a, b = np.radians(start), np.radians(start + sweep)
    bulge = np.where(sweep >= 360.0, np.inf, np.tan(np.radians(sweep) / 4.0))
    full = sweep >= 360.0
    x1, y1 = x + r * np.cos(b), y + r * np.sin(b)
    # A full circle is kept as its diameter until it is split: ends opposite, bulge infinite.
    x1, y1 = np.where(full, x - r * np.cos(a), x1), np.where(full, y - r * np.sin(a), y1)
    return np.column_stack((x + r * np.cos(a), y + r * np.sin(a), x1, y1, bulge))


def halved(arcs: Floats) -> tuple[Floats, NDArray[np.int64]]:
    """Arcs over half a turn split in two, and for each result the row it came from."""
    index = np.arange(len(arcs))
    big = np.abs(arcs[:, 4]) > 1.0
    if not big.any():
        return arcs, index
    a = arcs[big]
    x0, y0, x1, y1, b = a.T
    full = np.isinf(b)
    half = np.where(full, 1.0, np.tan(np.arctan(np.where(full, 1.0, b)) / 2.0))
    # The middle of an arc lies to the right of its chord by bulge · half the chord.
    b0 = np.where(full, 0.0, b)
    mx, my = (x0 + x1) / 2 + b0 * (y1 - y0) / 2, (y0 + y1) / 2 - b0 * (x1 - x0) / 2
    mx, my = np.where(full, x1, mx), np.where(full, y1, my)
    ex, ey = np.where(full, x0, x1), np.where(full, y0, y1)
    first = np.column_stack((x0, y0, mx, my, half))
    second = np.column_stack((mx, my, ex, ey, half))
    return np.concatenate((arcs[~big], first, second)), np.concatenate((index[~big], index[big], index[big]))


Loops = tuple[Floats, Ints, Ints, Ints]


def _sides(g: Gather) -> tuple[Floats, Ints, Ints, Loops]:
    """The sides of all gathered paths (x0 y0 x1 y1 bulge), layer and source of each, and the
    loops among the paths: those flagged closed, or that end where they start."""
    xyb = np.array(g.xyb, np.float64).reshape(-1, 3)
    xyb[np.abs(xyb[:, 2]) > MOST_BULGE, 2] = np.nan
    xyb[np.abs(xyb) < NOTHING] = 0.0
    counts, closed = np.array(g.counts, np.int64), np.array(g.closed, bool)
    used = counts > 0
    counts, closed = counts[used], closed[used]
    layer, source = _ints(g.path_layer)[used], _ints(g.path_source)[used]
    owner = np.repeat(np.arange(len(counts)), counts)
    start = np.concatenate(([0], np.cumsum(counts)))
    first, last = start[:-1], start[1:] - 1
    following = np.arange(len(xyb)) + 1
    following[last] = first
    has_side = np.ones(len(xyb), bool)
    has_side[last] = closed
    sides = np.column_stack((xyb[:, :2], xyb[following, :2], xyb[:, 2]))
    real = has_side & ((sides[:, 0] != sides[:, 2]) | (sides[:, 1] != sides[:, 3]))
    ring = closed | ((xyb[first, :2] == xyb[last, :2]).all(axis=1) & (counts > 3))
    fit = np.ones(len(counts), bool)
    np.logical_and.at(fit, owner[has_side], _somewhere(sides)[has_side])
    number = np.bincount(owner[real], minlength=len(counts))
    curved = np.bincount(owner[real & (np.abs(xyb[:, 2]) >= STRAIGHT_BULGE)], minlength=len(counts))
    ring &= fit & ((number >= 3) | ((number == 2) & (curved > 0)))
    chosen = real & ring[owner]
    loops = (xyb[chosen], np.concatenate(([0], np.cumsum(number[ring]))).astype(np.int32), layer[ring], source[ring])
    return sides[real], layer[owner[real]], source[owner[real]], loops


def framed(
    vertices: Sequence[Sequence[float]], closed: bool, frame: Frame
) -> tuple[list[tuple[float, float, float]], bool]:
    """A path in another frame: a similar one keeps its arcs (mirrored: turned round), any other
    gets chords first."""
    a, b, c, d, tx, ty = frame
    mirrored = a * d - b * c < 0.0
    if not similar(a, b, c, d):
        vertices = chorded(vertices, closed)
    sign = -1.0 if mirrored else 1.0
    return [(a * x + b * y + tx, c * x + d * y + ty, sign * w) for x, y, w in vertices], closed


def similar(a: float, b: float, c: float, d: float, share: float = 1e-6) -> bool:
    """Does this matrix keep circles circles?"""
    size = a * a + b * b + c * c + d * d
    return abs(a * a + c * c - b * b - d * d) <= share * size and abs(a * b + c * d) <= share * size


def chorded(vertices: Sequence[Sequence[float]], closed: bool) -> list[tuple[float, float, float]]:
    """The path with every arc cut into chords of at most 1.5 degrees."""
    rows = np.array(vertices, np.float64).reshape(-1, 3)
    if not len(rows):
        return []
    sides = np.column_stack((rows[:, :2], np.roll(rows[:, :2], -1, axis=0), rows[:, 2]))
    with np.errstate(all="ignore"):
        cut, _ = chords(sides if closed else sides[:-1], CHORD_STEP_DEG)
    made = [(x, y, 0.0) for x, y in cut[:, :2].tolist()]
    return made if closed else [*made, (float(rows[-1, 0]), float(rows[-1, 1]), 0.0)]


def own_colour(ns: dict[str, Any]) -> int:
    """0xRRGGBB of an entity by its attributes; −1 where it has its layer's or its block's, or
    what stands there is no colour."""
    true = ns.get("true_color")
    if isinstance(true, int) and 0 <= true <= 0xFFFFFF:
        return true
    number = ns.get("color", 256)
    return _numbered(number) if number in NUMBERED else -1


@cache
def _numbered(number: int) -> int:
    r, g, b = aci2rgb(number)
    return r << 16 | g << 8 | b
