"""Windows that are drawn over walls whose faces run on, with another pen or on another layer than the walls: two jambs
from face to face, and a pane from one to the other (common practice of drawing, no source)."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.plan.reasons import because
from takeoff.recognise.openings.lines_in_walls import LEAST_MM, THICKEST_MM, WIDEST_MM, Solid
from takeoff.recognise.openings.opening_hosts import Candidate
from takeoff.recognise.walls.bounding_lines import is_role
from takeoff.recognise.walls.wall_reading import Reading

Floats = NDArray[np.float64]

TOUCH_MM = 8.0
"""A pane ends at its jambs, and a jamb at the faces of its wall, but for this."""
SQUARE_SINE = 0.05
IN_WALL = 0.2
"""A pane lies at least so deep in its wall, or it is one of its faces drawn again."""


def windows_over_walls(reading: Reading, found: list[Candidate]) -> list[Candidate]:
    """A window, to be checked, for each pane between two such jambs where none of ``found`` is."""
    lines = reading.drawn
    own = ~reading.walls & is_role(lines, "unknown") & ~lines.dashed & ~lines.hatch & ~lines.hidden & (lines.arc < 0)
    own &= np.hypot(*(lines.xy[:, 2:] - lines.xy[:, :2]).T) > 0.0
    bodies = shapely.union_all(shapely.make_valid(reading.faces.polygons[reading.faces.body]))
    drawn = shapely.linestrings(lines.xy[own].reshape(-1, 2, 2))
    shapely.prepare(bodies)
    inside = shapely.covers(bodies, shapely.line_interpolate_point(drawn, 0.5, normalized=True))
    xy, drawn = lines.xy[own][inside], drawn[inside]
    span = xy[:, 2:] - xy[:, :2]
    length = np.hypot(span[:, 0], span[:, 1])
    ways = span / length[:, None]
    ends = shapely.points(xy.reshape(-1, 2))
    at_face = (shapely.distance(ends, bodies.boundary) <= TOUCH_MM).reshape(-1, 2).all(axis=1)
    jambs = np.flatnonzero(at_face & (length <= THICKEST_MM))
    tree, solid = shapely.STRtree(drawn[jambs]), Solid(reading.faces)
    taken = shapely.STRtree([shapely.multilinestrings(c.lines.reshape(-1, 2, 2)).convex_hull for c in found])
    made: list[Candidate] = []
    used: set[tuple[int, ...]] = set()
    for k in np.flatnonzero((length >= LEAST_MM) & (length <= WIDEST_MM) & ~at_face).tolist():
        way = ways[k]
        held = [_jamb(tree, jambs, ways, end, way) for end in ends[2 * k : 2 * k + 2]]
        middle = xy[k].reshape(2, 2).mean(axis=0)
        left = np.array([-way[1], way[0]])
        sides = [solid.reaches(middle, out) for out in (left, -left)]
        deep = min(sides) >= IN_WALL * sum(sides)
        pair = tuple(sorted(j for j in held if j is not None))
        if len(set(pair)) < 2 or pair in used or not deep or sum(sides) > THICKEST_MM:
            continue
        if len(taken.query(shapely.Point(middle), predicate="dwithin", distance=max(sides))):
            continue
        used.add(pair)
        faces = [(*(xy[k, :2] + left * off), *(xy[k, 2:] + left * off)) for off in (sides[0], -sides[1])]
        made.append(Candidate(np.array(faces), "window", "check", sum(sides), (because("jambs-and-line"),)))
    return made


def _jamb(tree: shapely.STRtree, jambs: NDArray[np.int64], ways: Floats, end: shapely.Point, way: Floats) -> int | None:
    """The jamb that a pane ends at, square to it; None without one."""
    near = jambs[tree.query(end, predicate="dwithin", distance=TOUCH_MM)]
    square = [int(j) for j in near if abs(float(ways[j] @ way)) <= SQUARE_SINE]
    return square[0] if square else None
