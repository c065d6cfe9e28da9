"""Where one space with several names likely parts: lines between nibs, proposed in words only.

No wall is made of them: whether a room ends there is for the user to say.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.plan.model import Room
from takeoff.recognise.names.placed_words import Placed
from takeoff.recognise.rooms.making import Written
from takeoff.units.printing import fmt2

Floats = NDArray[np.float64]

WIDEST_MM = 6000.0
"""An open side between two parts is no wider (common practice, no source)."""
LEAST_PART_M2 = 0.8
MOST_CORNERS = 60
"""In rooms with more corners than this that point inwards nothing is proposed."""
FAR_MM = 1e5
NEAR_MM = 0.5


class Cut(NamedTuple):
    """A line [x0, y0, x1, y1] near the origin across an open plan, and the areas of both parts, m²."""

    line: tuple[float, float, float, float]
    areas_m2: tuple[float, float]


def likely_cuts(polygon: shapely.Polygon, labels: list[tuple[float, float]]) -> list[Cut]:
    """The shortest lines from inner corners that part the labels from each other, one fewer than there
    are labels at most; none where no line parts them.

    A line runs from an inner corner to another one, or straight on along a side that ends there.
    """
    cuts: list[Cut] = []
    parts = [polygon]
    while True:
        crowded = [k for k, p in enumerate(parts) if _held(p, labels) > 1]
        best = next((c for k in crowded if (c := _shortest(parts[k], labels, k)) is not None), None)
        if best is None:
            return cuts
        cut, k, halves = best
        cuts.append(cut)
        parts[k : k + 1] = halves


def _held(part: shapely.Polygon, labels: list[tuple[float, float]]) -> int:
    return int(shapely.contains(part, shapely.points(labels)).sum()) if labels else 0


def _shortest(
    part: shapely.Polygon, labels: list[tuple[float, float]], k: int
) -> tuple[Cut, int, list[shapely.Polygon]] | None:
    for line in _candidates(part):
        pieces = [
            p
            for p in shapely.get_parts(
                shapely.polygonize(shapely.get_parts(shapely.node(shapely.union_all([part.boundary, line]))))
            )
            if part.contains(p.representative_point())
        ]
        if len(pieces) != 2 or min(p.area for p in pieces) < LEAST_PART_M2 * 1e6:
            continue
        if all(_held(p, labels) for p in pieces):
            (x0, y0), (x1, y1) = shapely.get_coordinates(line).tolist()
            areas = (float(pieces[0].area) / 1e6, float(pieces[1].area) / 1e6)
            return Cut((x0, y0, x1, y1), areas), k, pieces
    return None


def _candidates(part: shapely.Polygon) -> list[shapely.LineString]:
    """Lines across the part from its inner corners, the shortest first."""
    ends, ways = _inner_corners(part)
    if not 0 < len(ends) <= MOST_CORNERS:
        return []
    shapely.prepare(part)
    found = []
    for i, p in enumerate(ends):
        targets = [ends[j] for j in range(i + 1, len(ends))]
        targets += [q for way in ways[i] if (q := _ahead(part, p, way)) is not None]
        for q in targets:
            length = float(np.hypot(*(q - p)))
            if NEAR_MM < length <= WIDEST_MM:
                line = shapely.LineString([p, q])
                # One that runs along a side parts nothing.
                if part.covers(line) and part.boundary.intersection(line).length < NEAR_MM:
                    found.append(line)
    return sorted(found, key=lambda line: float(line.length))


def _inner_corners(part: shapely.Polygon) -> tuple[list[Floats], list[list[Floats]]]:
    """(corners that point into the space, for each the directions in which its two sides run on)"""
    part = shapely.orient_polygons(part.simplify(NEAR_MM))
    ends, ways = [], []
    for ring in (part.exterior, *part.interiors):
        xy = shapely.get_coordinates(ring)[:-1]
        before, after = xy - np.roll(xy, 1, axis=0), np.roll(xy, -1, axis=0) - xy
        turn = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
        sizes = np.hypot(*before.T) * np.hypot(*after.T)
        for k in np.flatnonzero(turn < -0.1 * sizes).tolist():
            ends.append(xy[k])
            ways.append([before[k] / np.hypot(*before[k]), -after[k] / np.hypot(*after[k])])
    return ends, ways


def _ahead(part: shapely.Polygon, start: Floats, way: Floats) -> Floats | None:
    """Where a line straight on from a corner first meets the border again."""
    ray = shapely.LineString([start + way * 2 * NEAR_MM, start + way * FAR_MM])
    hits = shapely.get_coordinates(part.boundary.intersection(ray))
    if not len(hits):
        return None
    t = float(((hits - start) @ way).min())
    return np.asarray(start + way * t)


def open_plan_finding(
    room: Room,
    written: Written,
    words: list[Placed],
    polygon: shapely.Polygon,
    storey: str,
    origin: tuple[float, float],
) -> list[Finding]:
    """One finding for a room with several names: where it likely parts."""
    if len(written.names) < 2:
        return []
    labels = [(w.x, w.y) for w in words if w.words.kind == "name" and w.words.text in written.names]
    cuts = likely_cuts(polygon, labels)
    names = ", ".join(f"“{n}”" for n in written.names)
    x, y = origin
    if cuts:
        said = "; ".join(_said(c, origin) for c in cuts)
        how = f"it likely parts along {said}; split it there if its parts are treated differently"
    else:
        how = "nothing drawn shows where it parts; split it by hand if its parts are treated differently"
    at = labels[0] if labels else (0.0, 0.0)
    where = Where(storey=storey, room=room.id, x_mm=at[0] + x, y_mm=at[1] + y)
    return [noticed("open-plan-parts", where, names=names, how=how)]


def _said(cut: Cut, origin: tuple[float, float]) -> str:
    x0, y0, x1, y1 = cut.line
    x, y = origin
    length_m = float(np.hypot(x1 - x0, y1 - y0)) / 1000
    return (
        f"{fmt2(length_m)} m from {x0 + x:.0f}, {y0 + y:.0f} to {x1 + x:.0f}, {y1 + y:.0f} (parts of "
        f"{fmt2(cut.areas_m2[0])} and {fmt2(cut.areas_m2[1])} m²)"
    )
