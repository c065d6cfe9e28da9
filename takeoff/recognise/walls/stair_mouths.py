"""Where a stair begins in a room whose area is printed without it: the well ends at the first tread.

A flight that runs from wall to wall fills its well, which is open to the room in its whole width. No wall is drawn
there, and none stands there: the two are one room, unless what is printed in it is the area of the part before the
stair alone. The line between them is then that of the first tread, or that of a corner of the wall close before it
(common practice, no source)."""

from __future__ import annotations

import re

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.recognise.names.placed_words import Placed
from takeoff.recognise.walls.believed_gaps import FIRST_TREAD, Gap, quad_of
from takeoff.recognise.walls.drawn_stairs import Flight, outline_of
from takeoff.recognise.walls.gap_closures import Bridge
from takeoff.recognise.walls.necks import MOST_CORNERS, jutting_corners, parts_of
from takeoff.recognise.walls.printed_necks import AGREES, Printed, off_print, printed_in
from takeoff.recognise.walls.room_spaces import Space

Floats = NDArray[np.float64]

IN_SPACE = 0.7
"""So much of a flight lies in its space: breaks and arrows cut it short."""
BESIDE_MM = 350.0
"""Strings, rails and the well between two flights take so much of the width, on each side."""
AHEAD_MM = 350.0
"""A corner of the wall so little before the first tread, about its going, is where the well ends."""
LEAST_HALL_M2, LARGEST_WELL_M2 = 6.5, 40.0
"""What is smaller before a flight is its landing, whatever is written there; a well is no larger (common practice, no
source)."""
SAME_WAY_COS = 0.98
FAR_MM = 8000.0
ON_TREADS = 0.05
STEP_MM, ACROSS = (150.0, 420.0), 0.8
"""The first step's edge lies a going before the outmost tread and runs over so much of the flights' width."""
_ROOM = re.compile(
    r"stair|st\.?\s*case|escad|escal|treppe|scal[ae]\b|schod|klatka|merdiven|лестн|trap\b|楼梯|階段|계단", re.IGNORECASE
)
"""What a stair's own room is called: it has its landings with it."""


def stair_gaps(spaces: list[Space], words: list[Placed], flights: tuple[Flight, ...], drawn: Floats) -> list[Gap]:
    """The gaps that part stairs from rooms with an area of their own; none where no flight is drawn. ``words``: all
    that is written; ``drawn``: all lines (n, 4)."""
    if not flights:
        return []
    outlines = np.array([outline_of(flight) for flight in flights])
    wells = [shapely.Point(w.x, w.y) for w in words if w.words.kind == "name" and _ROOM.search(w.words.text)]
    printed = printed_in(words)
    found = []
    for space in spaces:
        inside = shapely.area(shapely.intersection(outlines, space.polygon)) >= IN_SPACE * shapely.area(outlines)
        own = np.flatnonzero(inside).tolist()
        if own and printed and not any(space.polygon.contains(place) for place in wells):
            found += _of_space(space, [flights[k] for k in own], shapely.union_all(outlines[own]), printed, drawn)
    return found


def _of_space(
    space: Space, own: list[Flight], treads: shapely.Geometry, printed: list[Printed], drawn: Floats
) -> list[Gap]:
    polygon = shapely.orient_polygons(space.polygon)
    corners, _ = jutting_corners(polygon)
    if not polygon.is_valid or len(corners) > MOST_CORNERS:
        return []
    best: Floats | None = None
    for flight in own:
        for sign in (1.0, -1.0):
            line = _mouth(polygon, flight, sign, own, corners, drawn)
            if (
                line is not None
                and _parts(polygon, line, treads, printed)
                and (best is None or _long(line) < _long(best))
            ):
                best = line
    if best is None:
        return []
    bridge = Bridge(best.reshape(1, 4), _long(best), 0.0, (-1, -1))
    return [Gap(bridge, "open", False, (FIRST_TREAD,), -1, quad_of(bridge))]


def _long(line: Floats) -> float:
    return float(np.hypot(*(line[2:] - line[:2])))


def _mouth(
    polygon: shapely.Polygon, flight: Flight, sign: float, own: list[Flight], corners: Floats, drawn: Floats
) -> Floats | None:
    """The line along the outmost tread of all flights that run as this one does, from wall to wall; None where the
    flights do not fill their well."""
    beside = [other for other in own if abs(float(other.along @ flight.along)) >= SAME_WAY_COS]
    xy = np.concatenate([shapely.get_coordinates(outline_of(other)) for other in beside]) - flight.start
    along, across = xy @ flight.along, sign * (xy @ flight.across)
    ends = (float(along.min()), float(along.max()))
    off = float(across.max())
    if len(corners):
        place = corners - flight.start
        ahead, aside = sign * (place @ flight.across) - off, place @ flight.along
        near = (ahead > 0.0) & (ahead <= AHEAD_MM) & (aside >= ends[0] - BESIDE_MM) & (aside <= ends[1] + BESIDE_MM)
        off += float(ahead[near].min()) if near.any() else 0.0
    off += _step_before(flight, sign, off, ends, drawn)
    for side in (1.0, -1.0):
        # A hair before the tread, or behind it where the walls of the well end right there.
        middle = flight.start + flight.along * sum(ends) / 2 + flight.across * sign * (off + side)
        ray = shapely.LineString([middle - flight.along * FAR_MM, middle + flight.along * FAR_MM])
        pieces = [p for p in shapely.get_parts(polygon.intersection(ray)) if p.distance(shapely.Point(middle)) <= 1.0]
        if pieces and pieces[0].length <= ends[1] - ends[0] + 2 * BESIDE_MM:
            return np.asarray(shapely.get_coordinates(pieces[0])[[0, -1]].reshape(4))
    return None


def _step_before(flight: Flight, sign: float, off: float, ends: tuple[float, float], drawn: Floats) -> float:
    """How far in mm before the outmost tread a line runs across the whole well: the first step's edge, which is longer
    than the treads; 0 without one."""
    first, last = drawn[:, :2] - flight.start, drawn[:, 2:] - flight.start
    a, b = sign * (first @ flight.across) - off, sign * (last @ flight.across) - off
    u, v = first @ flight.along, last @ flight.along
    over = np.minimum(np.maximum(u, v), ends[1]) - np.maximum(np.minimum(u, v), ends[0])
    fits = (np.abs(a - b) <= 5.0) & (a >= STEP_MM[0]) & (a <= STEP_MM[1]) & (over >= ACROSS * (ends[1] - ends[0]))
    return float(a[fits].min()) if fits.any() else 0.0


def _parts(polygon: shapely.Polygon, line: Floats, treads: shapely.Geometry, printed: list[Printed]) -> bool:
    """Whether a line parts the stair, with all its treads, from a hall whose area is printed in it, which that of both
    together is not."""
    parts = parts_of(polygon, shapely.LineString(line.reshape(2, 2)))
    if len(parts) != 2:
        return False
    hall, well = sorted(parts, key=lambda part: float(part.intersection(treads).area))
    whole_off, hall_off = off_print(polygon, printed), off_print(hall, printed)
    return (
        float(hall.intersection(treads).area) <= ON_TREADS * float(treads.area)
        and float(hall.area) >= LEAST_HALL_M2 * 1e6
        and float(well.area) <= LARGEST_WELL_M2 * 1e6
        and hall_off is not None
        and whole_off is not None
        and hall_off <= AGREES < whole_off
    )
