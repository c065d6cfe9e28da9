"""Storeys of two drawings laid over one another: by their walls, or by two points that a user shows."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from takeoff.errors import InputError
from takeoff.geometry.curves import Point
from takeoff.language import mark, number, tr
from takeoff.plan.model import Laid, Storey
from takeoff.plan.shape import outer_polygon
from takeoff.units.printing import shown

Floats = NDArray[np.float64]

FITS = 0.45
"""Storeys of one building have so much of their walls in common, measured on the smaller (common practice,
no source: outside walls alone are more)."""
AS_DRAWN = 0.85
"""A drawing stays where it was drawn if it fits there by so much of what it fits at best."""
STEP_MM = 200.0
"""Walls are compared at places so far apart."""
NEAR_MM = 120.0
"""Faces of walls over one another lie so near: a wall is thinner above than below."""
ALIKE_DEG = 3.0
CELL_MM = 100.0
"""Shifts that differ by less are counted as one."""
MOST_CORNERS = 700
"""More corners than these add nothing."""
TRIED = 8
SAME_ROOMS = 0.9
"""Drawings with so many outlines in common, where they lie, show one and the same storey."""
SAME_OUTLINE = 0.98
FACTORS = (10.0, 25.4, 100.0, 304.8, 1000.0)
"""Between mm, cm, inches, feet and m."""
AS_LARGE = 2.0
"""Plans of one building are no more than so many times as long as one another."""
LENGTH_OFF = 0.02
LENGTH_OFF_MM = 60.0
"""Two places shown on both storeys may lie apart by so much more or less."""


class Fit(NamedTuple):
    """How a drawing lies over others, and which part (0 to 1) of the walls of the smaller then lie over walls."""

    laid: Laid
    share: float

    @property
    def fits(self) -> bool:
        """Whether they can be storeys of one building."""
        return self.share >= FITS


class _Walls(NamedTuple):
    """Places (n, 2) along the faces of walls, their directions (radians, half a turn), corners (k, 2)."""

    places: Floats
    directions: Floats
    corners: Floats


def lay_over(below: Iterable[Storey], new: Iterable[Storey]) -> Fit:
    """How the storeys of a new drawing lie best over those that the job has. Without walls on either side
    they stay as drawn and fit by nothing."""
    mine = _walls(new)
    best = Fit(Laid(), 0.0)
    for storey in below:
        theirs = _walls((storey,))
        if len(mine.places) and len(theirs.places):
            best = max(best, _best(theirs, mine), key=lambda fit: fit.share)
    return best


def ways_to_lie(below: Storey, new: Storey) -> tuple[Fit, ...]:
    """How one storey may lie over another: as it is drawn, and at best at each quarter turn between their walls'
    directions, the best first. Empty without walls on either side."""
    theirs, mine = _walls((below,)), _walls((new,))
    if not len(theirs.places) or not len(mine.places):
        return ()
    ways = [Fit(Laid(), _share(theirs, mine, np.zeros(2)))]
    apart = math.degrees(_main_direction(theirs) - _main_direction(mine))
    for quarter in range(4):
        ways += _turned_ways(theirs, mine, _turn_deg(apart + 90.0 * quarter))
    return tuple(sorted(ways, key=lambda fit: -fit.share))


def _turned_ways(below: _Walls, new: _Walls, turn_deg: float) -> list[Fit]:
    """How walls lie over others at one turn, for every shift that lays many corners over corners."""
    turned, sought = _turned(new, math.radians(turn_deg)), _Sought(below)
    return [
        Fit(Laid(turn_deg=turn_deg, dx_mm=float(shift[0]), dy_mm=float(shift[1])), _share(below, turned, shift, sought))
        for shift in _shifts(below.corners, turned.corners)
    ]


def laid_by_points(from_points: tuple[Point, Point], to_points: tuple[Point, Point]) -> Laid:
    """How a drawing lies when two of its places lie on two of the job's. Raises InputError where the two
    lie too near to each other, or not as far apart on both."""
    (ax, ay), (bx, by) = from_points
    (cx, cy), (dx, dy) = to_points
    own, theirs = math.hypot(bx - ax, by - ay), math.hypot(dx - cx, dy - cy)
    if min(own, theirs) < STEP_MM:
        raise InputError(tr("The two places lie too near to each other: choose two that are some metres apart."))
    if abs(own - theirs) > max(LENGTH_OFF_MM, LENGTH_OFF * theirs):
        raise InputError(
            tr(
                "The places are {one} m apart on one storey, {other} m on the other: choose the same two, or check the "
                "unit of the drawing.",
                one=shown(own / 1000),
                other=shown(theirs / 1000),
            )
        )
    turn = math.atan2(dy - cy, dx - cx) - math.atan2(by - ay, bx - ax)
    cos, sin = math.cos(turn), math.sin(turn)
    mx, my = (ax + bx) / 2.0, (ay + by) / 2.0
    return Laid(
        turn_deg=_turn_deg(math.degrees(turn)),
        dx_mm=(cx + dx) / 2.0 - (mx * cos - my * sin),
        dy_mm=(cy + dy) / 2.0 - (mx * sin + my * cos),
    )


def share_as_laid(below: Iterable[Storey], new: Iterable[Storey]) -> float:
    """Which part of the walls of the smaller lie over walls as the storeys stand now, at best over one storey."""
    mine = _walls(new)
    return max((_share(_walls((storey,)), mine, np.zeros(2)) for storey in below), default=0.0)


def as_if_in(below: Iterable[Storey], new: Iterable[Storey]) -> str | None:
    """By which factor the new storeys would have to be larger to fit, in words ("10 times as large"), where
    units are commonly taken for one another; None where none makes them fit."""
    below, mine = tuple(below), _walls(new)
    for factor in FACTORS:
        for scale, words in ((factor, mark("{factor} times as large")), (1.0 / factor, mark("{factor} times smaller"))):
            scaled = _thinned(_Walls(mine.places * scale, mine.directions, mine.corners * scale), scale)
            for storey in below:
                theirs = _walls((storey,))
                if not len(theirs.places) or not len(scaled.places) or not _alike_large(theirs, scaled):
                    continue
                if _best(theirs, scaled).share >= FITS:
                    return tr(words, factor=number(Decimal(f"{factor:g}")))
    return None


def _alike_large(one: _Walls, other: _Walls) -> bool:
    """Whether two plans are about as large as each other: one that is shrunk to a room lies over walls anywhere."""
    mine, theirs = (max(float(np.ptp(walls.places, axis=0).max()), 1.0) for walls in (one, other))
    return max(mine, theirs) <= AS_LARGE * min(mine, theirs)


def _thinned(walls: _Walls, scale: float) -> _Walls:
    """Places about as far apart as those of walls that were not scaled."""
    step = max(1, round(1.0 / scale))
    return _Walls(walls.places[::step], walls.directions[::step], walls.corners)


def same_storey(one: Storey, other: Storey) -> bool:
    """Whether two storeys, laid over each other, show the same rooms."""
    mine, theirs = ([outer_polygon(room) for room in storey.rooms] for storey in (one, other))
    if not mine or not theirs:
        return False
    alike = sum(
        any(a.intersection(b).area > SAME_OUTLINE * a.union(b).area > 0.0 for b in theirs if a.intersects(b))
        for a in mine
    )
    return alike >= SAME_ROOMS * max(len(mine), len(theirs))


def _walls(storeys: Iterable[Storey]) -> _Walls:
    places: list[Floats] = []
    directions: list[Floats] = []
    corners: list[Point] = []
    for ax, ay, bx, by in _faces(storeys):
        length = math.hypot(bx - ax, by - ay)
        corners.append((ax, ay))
        if length < 1.0:
            continue
        count = max(1, round(length / STEP_MM))
        along = (np.arange(count) + 0.5)[:, None] / count
        places.append(np.array([[ax, ay]]) + along * np.array([[bx - ax, by - ay]]))
        directions.append(np.full(count, math.atan2(by - ay, bx - ax) % math.pi))
    if not places:
        return _Walls(np.zeros((0, 2)), np.zeros(0), np.zeros((0, 2)))
    unique = np.unique(np.round(np.array(corners), 1), axis=0)
    thinned = unique[:: max(1, len(unique) // MOST_CORNERS)]
    return _Walls(np.concatenate(places), np.concatenate(directions), thinned)


def _faces(storeys: Iterable[Storey]) -> Iterator[tuple[float, float, float, float]]:
    """The chords of all sides that carry a wall, and of the outlines of stairs."""
    for storey in storeys:
        for room in storey.rooms:
            for ring in room.rings:
                for side, after in zip(ring, (*ring[1:], *ring[:1]), strict=True):
                    if side.has_wall:
                        yield side.x_mm, side.y_mm, after.x_mm, after.y_mm
            outline = room.stair.outline if room.stair is not None else ()
            for (ax, ay, _), (bx, by, _) in zip(outline, (*outline[1:], *outline[:1]), strict=True):
                yield ax, ay, bx, by


def _best(below: _Walls, new: _Walls) -> Fit:
    as_drawn = Fit(Laid(), _share(below, new, np.zeros(2)))
    best = as_drawn
    apart = math.degrees(_main_direction(below) - _main_direction(new))
    for quarter in range(4):
        best = max(best, *_turned_ways(below, new, _turn_deg(apart + 90.0 * quarter)), key=lambda fit: fit.share)
    return as_drawn if as_drawn.share >= AS_DRAWN * best.share else best


def _turn_deg(turn: float) -> float:
    """Between −180 and 180, and whole quarters exactly."""
    turn = (turn + 180.0) % 360.0 - 180.0
    quarter = round(turn / 90.0) * 90.0
    return 0.0 + (quarter if abs(turn - quarter) < 0.05 else turn)


def _main_direction(walls: _Walls) -> float:
    """The direction of most walls, radians, as if turned by quarters into the first."""
    return float(np.angle(np.exp(4j * walls.directions).sum())) / 4.0


def _turned(walls: _Walls, turn: float) -> _Walls:
    cos, sin = math.cos(turn), math.sin(turn)
    matrix = np.array([[cos, sin], [-sin, cos]])
    return _Walls(walls.places @ matrix, (walls.directions + turn) % math.pi, walls.corners @ matrix)


def _shifts(below: Floats, new: Floats) -> list[Floats]:
    """The shifts that lay most corners over corners."""
    apart = (below[:, None, :] - new[None, :, :]).reshape(-1, 2)
    apart = apart[np.argsort(apart[:, 0], kind="stable")]  # what is near a shift stands together then
    found: dict[tuple[int, int], int] = {}
    for offset in (0.0, 0.5):
        cell_of = np.floor(apart / CELL_MM + offset).astype(np.int64)
        low = cell_of[:, 1].min()
        high = cell_of[:, 1].max() - low + 1
        # one number for each cell sorts much faster than pairs, in the same order
        cells, counts = np.unique(cell_of[:, 0] * high + (cell_of[:, 1] - low), return_counts=True)
        for k in np.argsort(-counts, kind="stable")[:TRIED].tolist():
            across, up = divmod(int(cells[k]), int(high))
            cell = np.array([across, up + int(low)]) - offset + 0.5
            first, last = np.searchsorted(apart[:, 0], cell[0] * CELL_MM + np.array([-1.0, 1.0]) * (CELL_MM + 1.0))
            some = apart[first:last]
            off = np.abs(some - cell * CELL_MM)
            near = (off[:, 0] <= CELL_MM) & (off[:, 1] <= CELL_MM)
            middle = np.median(some[near], axis=0)
            found[round(float(middle[0])), round(float(middle[1]))] = int(counts[k])
    return [np.array(shift, dtype=float) for shift in found]


class _Sought:
    """The places of the walls below, as they are sought: what lies nowhere near them is told by a raster, since most
    shifts that are tried lay most places on no wall, and the tree takes far longer to say so."""

    def __init__(self, walls: _Walls) -> None:
        from scipy.spatial import cKDTree  # takes long to load, and the window stands without it

        self._tree = cKDTree(walls.places)
        self._low = walls.places.min(axis=0)
        cells = np.floor((walls.places - self._low) / _CELL_MM).astype(np.int64)
        across, up = (cells.max(axis=0) + 1).tolist()
        self._near: NDArray[np.bool_] | None = None
        if across * up <= _MOST_CELLS:
            # a margin of two cells all round: one that is near a place, and one for all that lies beyond
            self._near = np.zeros((across + 4, up + 4), dtype=bool)
            for dx in (1, 2, 3):
                for dy in (1, 2, 3):
                    self._near[cells[:, 0] + dx, cells[:, 1] + dy] = True

    def nearest(self, places: Floats) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Which of these places lie within reach of one below, and the nearest of those to each."""
        some = np.arange(len(places))
        if self._near is not None:
            cells = np.floor((places - self._low) / _CELL_MM) + 2.0
            cells = np.clip(cells, 0, np.array(self._near.shape) - 1).astype(np.int64)
            some = np.flatnonzero(self._near[cells[:, 0], cells[:, 1]])
        far, index = self._tree.query(places[some], distance_upper_bound=_REACH_MM)
        hit = np.isfinite(far)
        return some[hit], index[hit]


_REACH_MM = max(NEAR_MM, STEP_MM / 2.0)
_CELL_MM = 1.001 * _REACH_MM
"""A little more than the reach, so that no rounding puts what is within it two cells away."""
_MOST_CELLS = 4_000_000


def _share(below: _Walls, new: _Walls, shift: Floats, sought: _Sought | None = None) -> float:
    """Which part of the places of the smaller lies over walls. ``sought``: those below, where they are at hand."""
    if not len(below.places) or not len(new.places):
        return 0.0
    hit, index = (sought or _Sought(below)).nearest(new.places + shift)
    turn = np.abs(below.directions[index] - new.directions[hit])
    alike = np.minimum(turn, math.pi - turn) <= math.radians(ALIKE_DEG)
    return min(1.0, float(alike.sum()) / min(len(below.places), len(new.places)))
