"""Ways between rooms that are told by what is printed on both their sides: where a wall stops short, or two corners
stand opposite each other, and the area or the size that is written on either side is just what lies on that side.

One printed area is met by chance among the many ways across a space; that both sides meet theirs is not, nor that one
does across a doorway to a side that has a room's name or number. Whoever prints the area of a room has measured it up
to the line where it ends, drawn or not (common practice, no source)."""

from __future__ import annotations

import re
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.plan.reasons import because
from takeoff.recognise.names.placed_words import Placed
from takeoff.recognise.names.sizes_of_rooms import size_in
from takeoff.recognise.walls.believed_gaps import Gap, quad_of
from takeoff.recognise.walls.gap_closures import Bridge
from takeoff.recognise.walls.necks import MOST_CORNERS, Chord, beyond, chords, jutting_corners, parts_of, runs_inside
from takeoff.recognise.walls.room_spaces import Space

Floats = NDArray[np.float64]

WIDEST_MM, DOORWAY_MM = 2100.0, 1600.0
"""A way between two rooms is no wider, nor a doorway (common practice, no source): the parts of an open plan have their
areas printed as well."""
LEAST_M2 = 1.2
AGREES, CLOSELY = 0.035, 0.015
"""Printed areas are rounded, measured from finished walls, and without what lies in the way between two rooms: two are
off by less than the first part; one alone proves something where it is off by less than the second."""
SAME = 0.03
"""Two figures nearer than this are one, written in metres and in feet."""
MOST_PRINTED = 8
"""More figures in one space are those of a table."""
MOST_WAYS = 200
"""Of so many ways across a space, the shortest, its parts are measured."""
_FIGURE = re.compile(r"\d{1,4}[.,]\d{1,2}")


class Printed(NamedTuple):
    """Where an area is printed, and how large in mm²; 0 for a room's name or number."""

    x: float
    y: float
    mm2: float


def printed_gaps(spaces: list[Space], words: list[Placed]) -> list[Gap]:
    """The gaps that close such ways; none across spaces in which not two areas are printed, or all of them on one side
    of every way."""
    printed = printed_in(words)
    if len(printed) < 2:
        return []
    points = shapely.STRtree([shapely.Point(p.x, p.y) for p in printed])
    found: list[Gap] = []
    for space in spaces:
        own = [printed[k] for k in points.query(space.polygon, predicate="contains").tolist()]
        if len(own) > 1 and 1 <= sum(p.mm2 > 0 for p in own) <= MOST_PRINTED:
            found += _across(shapely.orient_polygons(space.polygon), own)
    return found


def printed_in(words: list[Placed]) -> list[Printed]:
    """The areas that are printed, the sizes that are, and figures with places behind the point: many plans print areas
    without a unit below the room's number."""
    found = []
    for word in words:
        kind, text = word.words.kind, word.words.text
        if kind == "area":
            found.append(Printed(word.x, word.y, word.words.value * 1e6))
        elif kind == "number" and _FIGURE.fullmatch(text):
            found.append(Printed(word.x, word.y, float(text.replace(",", ".")) * 1e6))
        elif kind == "room-size" and (size := size_in(text)) is not None:
            found.append(Printed(word.x, word.y, size[0] * size[1]))
    return [p for p in found if p.mm2 >= LEAST_M2 * 1e6] + [
        Printed(w.x, w.y, 0.0)
        for w in words
        if w.words.kind in ("name", "number") and not _FIGURE.fullmatch(w.words.text)
    ]


def _across(polygon: shapely.Polygon, printed: list[Printed]) -> list[Gap]:
    """The ways across one space, one after the other, each on that side of the last that still holds several areas."""
    whole = off_print(polygon, printed)
    if not polygon.is_valid or whole is None or (whole <= AGREES and len(_different(polygon, printed)) < 2):
        return []
    corners, edges = jutting_corners(polygon)
    if not 0 < len(corners) <= MOST_CORNERS:
        return []
    shapely.prepare(polygon)
    best: tuple[float, Chord, list[shapely.Polygon]] | None = None
    for chord in sorted(chords(corners, edges, WIDEST_MM), key=lambda c: c.width)[:MOST_WAYS]:
        line = shapely.LineString([chord.start, chord.end])
        parts = parts_of(polygon, line) if runs_inside(polygon, line) else []
        if len(parts) != 2 or min(p.area for p in parts) < LEAST_M2 * 1e6:
            continue
        off = _misfit(parts, printed, chord.width)
        if off is not None and (best is None or off < best[0]):
            best = (off, chord, parts)
    if best is None:
        return []
    _, chord, parts = best
    bridge = Bridge(np.array([(*chord.start, *beyond(chord))]), chord.width, 0.0, (-1, -1))
    gap = Gap(bridge, "open", False, (because("prints-part"),), -1, quad_of(bridge))
    return [gap, *(more for part in parts for more in _across(part, printed))]


def _misfit(parts: list[shapely.Polygon], printed: list[Printed], width_mm: float) -> float | None:
    """How far two parts are together from what is printed in them; None where that does not part them."""
    off = [off_print(part, printed) for part in parts]
    known = [part_off for part_off in off if part_off is not None]
    if len(known) == 2 and max(known) <= AGREES:
        return sum(known)
    if not known or min(known) > CLOSELY or width_mm > DOORWAY_MM:
        return None
    called = all(any(_holds(part, p) for p in printed if not p.mm2) for part in parts)
    one_sided = len(known) == 1 and any(_holds(parts[off.index(None)], p) for p in printed)
    return min(known) + AGREES if one_sided or called else None


def _different(part: shapely.Polygon, printed: list[Printed]) -> list[float]:
    """The different areas in mm² that are printed in a part."""
    found: list[float] = []
    for p in printed:
        if p.mm2 and _holds(part, p) and all(abs(p.mm2 - mm2) > SAME * mm2 for mm2 in found):
            found.append(p.mm2)
    return found


def _holds(part: shapely.Polygon, printed: Printed) -> bool:
    return bool(part.contains(shapely.Point(printed.x, printed.y)))


def off_print(part: shapely.Polygon, printed: list[Printed]) -> float | None:
    """How far, as a part of it, a part is from the area printed in it, or from all of them together; None without
    any."""
    own = _different(part, printed)
    return abs(sum(own) - float(part.area)) / float(part.area) if own else None
