"""What is known of a whole drawing before a room is looked for round a point: which of its lines may be walls, in
several ways, the spaces, words and openings that were read."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing
from takeoff.plan.model import Vertex
from takeoff.recognise.names.placed_words import Placed, of_rooms
from takeoff.recognise.openings.glazed_fronts import fronts
from takeoff.recognise.openings.opening_hosts import Candidate
from takeoff.recognise.presets import Settings
from takeoff.recognise.propose import Seen, look, shown_lines
from takeoff.recognise.rooms.assemble import candidates
from takeoff.recognise.rooms.borders import Border, rings_of
from takeoff.recognise.walls.bounding_lines import Lines, is_role, tangled
from takeoff.recognise.walls.drawn_stairs import stair_marks, treads
from takeoff.recognise.walls.furniture import free_shapes
from takeoff.recognise.walls.opening_evidence import swings
from takeoff.recognise.walls.wall_reading import Reading

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

THINNEST_MM, THICKEST_MM = 40.0, 480.0
"""A wall is no thinner, and seldom thicker (common practice, no source)."""
USUAL, SAME_MM = 0.04, 15.0
"""A thickness is usual on a plan where this part of its wall ends have it, within so much."""


class Way(NamedTuple):
    """Lines (n, 4) that are tried as walls; which arc each came from, -1 for none; what speaks for this choice beside
    the others; whether nothing but walls is among them."""

    xy: Floats
    arc: Ints
    worth: float
    of_walls: bool


class KnownSpace(NamedTuple):
    """A space that was read: what it covers, and its rings with their arcs, in mm near the origin."""

    polygon: shapely.Polygon
    rings: tuple[tuple[Vertex, ...], ...]


class Ground(NamedTuple):
    """``ways`` to choose the walls, the likeliest first; ``arcs`` (m, 5) that their lines are pieces of; ``drawn``
    (n, 4): all that is drawn and no word or dimension; ``words`` with their places, ``spoken``
    those that speak of rooms; ``thick``: the usual thicknesses of walls in mm; ``openings``
    wherever they are; ``origin`` of everything in the drawing."""

    ways: tuple[Way, ...]
    spaces: tuple[KnownSpace, ...]
    arcs: Floats
    drawn: Floats
    words: tuple[Placed, ...]
    spoken: tuple[Placed, ...]
    thick: Floats
    openings: tuple[Candidate, ...]
    origin: tuple[float, float]


def known_ground(drawing: Drawing, settings: Settings) -> Ground:
    """What is known of a drawing in mm; for a whole storey as long as proposing its rooms."""
    return ground_seen(look(drawing, settings))


def ground_seen(seen: Seen) -> Ground:
    """What is known of a drawing by what was read of it."""
    lines, reading = seen.lines, seen.reading
    ways = [*_as_read(reading), *_as_drawn(seen)]
    ways = [way for k, way in enumerate(ways) if not any(np.array_equal(way.xy, w.xy) for w in ways[:k])]
    ways = [way for way in ways if not tangled(way.xy)]
    drawn = lines.xy[shown_lines(lines) & ~is_role(lines, "text", "dimension", "demolished")]
    spaces: tuple[KnownSpace, ...] = ()
    openings: tuple[Candidate, ...] = ()
    thick = np.zeros(0)
    if reading is not None:
        glazed = fronts(reading)
        border = Border(reading.faces.graph, reading.lines.arc, reading.lines.arcs)
        spaces = tuple(KnownSpace(p, tuple(tuple(ring) for ring in rings_of(border, p))) for p in glazed.polygons)
        openings = tuple(candidates(reading, seen.evidence, glazed))
        thick = _thicknesses(reading)
    return Ground(
        tuple(ways),
        spaces,
        lines.arcs,
        drawn,
        tuple(seen.words),
        tuple(of_rooms(seen.words)),
        thick,
        openings,
        lines.origin,
    )


def _as_read(reading: Reading | None) -> list[Way]:
    """The walls that recognition chose: with every gap shut that may be one, then with those alone that are sure."""
    if reading is None:
        return []
    own, ways = reading.lines, []
    for gaps, worth in ((reading.gaps, 0.4), ([g for g in reading.gaps if g.confirmed], 0.3)):
        bridges = np.concatenate([np.zeros((0, 4)), *(g.bridge.lines for g in gaps)])
        arc = np.concatenate([own.arc, np.full(len(bridges), -1)])
        ways.append(Way(np.concatenate([own.xy, bridges]), arc, worth, True))
    return ways


def _as_drawn(seen: Seen) -> list[Way]:
    """All lines but for what layers or their looks say is no wall, then all lines but for words, dimensions, walls that
    come down and doors' swings."""
    lines = seen.lines
    shown, leaf = shown_lines(lines), swings(lines)[1]
    last = shown & ~leaf & ~is_role(lines, "text", "dimension", "demolished")
    may = last & ~is_role(lines, "furniture", "hatch", "grid", "frame", "service", "stair")
    may &= ~free_shapes(lines, may, np.array([(w.x, w.y) for w in seen.words]).reshape(-1, 2))
    may &= ~(treads(lines, may) | stair_marks(lines, may, seen.evidence.flights))
    return [_way(lines, may, 0.1), _way(lines, last, 0.0)]


def _way(lines: Lines, own: Bools, worth: float) -> Way:
    return Way(lines.xy[own], lines.arc[own], worth, False)


def _thicknesses(reading: Reading) -> Floats:
    """The usual thicknesses in mm, told by the ends of walls at gaps; empty where none are."""
    thick = np.array(
        [g.bridge.thickness_mm for g in reading.gaps if THINNEST_MM <= g.bridge.thickness_mm <= THICKEST_MM]
    )
    if not len(thick):
        return thick
    alike = (np.abs(thick[:, None] - thick[None]) <= SAME_MM).sum(axis=1)
    return np.asarray(np.unique(np.round(thick[alike >= max(2, USUAL * len(thick))])))
