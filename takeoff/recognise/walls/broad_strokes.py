"""Walls that a page draws with a pen as broad as they are: each stroke covers a wall, and its borders are the faces.

Programs that know no walls draw them so, and polylines as wide as a wall are plotted so. What is as thick as the
strokes, filled, and touches them, is a piece of wall too: some draw piers and short pieces as filled boxes."""

from __future__ import annotations

import itertools

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing, Linework, Loop
from takeoff.geometry.runs import components
from takeoff.recognise.walls.bounding_lines import THICKEST_MM, Lines, is_dashed
from takeoff.recognise.walls.covered_ground import JOINT_MM, WITHIN_MM, sides_of, thick_mm, together

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

BROAD_PEN_MM = 1.0
"""No line is drawn with so broad a pen for its own sake, but those of a frame (ISO 128 practice, from memory)."""
THINNEST_MM = 70.0
ALIKE = 0.85
"""Pens no thinner than that part draw walls as well: strokes on a slant are measured a little otherwise."""
OTHER_PART, OTHERS_ON = 0.1, 0.6
"""Another pen draws walls where it draws such a part of what the first does, and so much of it in one piece with walls
of the first: the frame of a sheet touches none."""
FRAME = 0.5
"""What is drawn with a pen at least so broad beside that of walls is a frame as one sees it, and no single line."""
LEAST_MM, FEWEST = 15_000.0, 12
"""Fewer, or less of them in all, are a frame or bars of a scale."""
FILLED = (0.35, 2.0)
"""What is filled is a piece of wall where it is so many times as thick as the strokes; broader strokes than the last
are none."""
RECTANGLE = 0.98
"""What covers so much of the rectangle round it is one."""
STROKED = "STROKED WALL"
"""What outlines of such walls come from."""


def with_stroked_walls(drawing: Drawing) -> Drawing:
    """The drawing (in mm) with outlines in place of strokes as broad as walls, and of what is filled between them;
    the same one where there are no such strokes."""
    broad, frame, wide_mm = _broad(drawing)
    if not broad.any():
        return drawing
    lines = drawing.lines
    strokes = _covered(lines.segments[broad], wide_mm[broad])
    filled = _filled(drawing, strokes, float(np.median(wide_mm[broad])))
    body = together([*strokes, *(shape for _, shape in filled)])
    new = sides_of(body)
    framed = np.flatnonzero(frame)
    borders = [sides_of(shape) for k in framed for shape in _covered(lines.segments[k : k + 1], wide_mm[k : k + 1])]
    first = int(np.flatnonzero(broad)[0])
    source = msgspec.structs.replace(drawing.sources[lines.segment_source[first]], entity=STROKED, role="solid")
    gone = broad | frame | _within(drawing, body)
    row = np.repeat(framed, [len(sides) for sides in borders])
    work = Linework(
        np.concatenate([lines.segments[~gone], new, *borders]),
        np.concatenate(
            [
                lines.segment_layer[~gone],
                np.full(len(new), lines.segment_layer[first], np.int32),
                lines.segment_layer[row],
            ]
        ),
        np.concatenate(
            [lines.segment_source[~gone], np.full(len(new), len(drawing.sources), np.int32), lines.segment_source[row]]
        ),
        lines.arcs.copy(),
        lines.arc_layer.copy(),
        lines.arc_source.copy(),
    )
    used = {id(loop) for loop, _ in filled}
    loops = tuple(loop for loop in drawing.loops if id(loop) not in used)
    return msgspec.structs.replace(drawing, lines=work, loops=loops, sources=(*drawing.sources, source))


def stroked(drawing: Drawing, lines: Lines) -> Bools:
    """Which lines are outlines of such walls."""
    own = np.array([source.entity == STROKED for source in drawing.sources] or [False])
    return np.asarray(own[lines.source])


def _broad(drawing: Drawing) -> tuple[Bools, Bools, Floats]:
    """(which straight lines are such strokes, which are frames of windows and the like, half as wide or more, how wide
    each line is): those of the pen that draws most of what is as wide as a wall, and of others as wide or up to twice
    as wide."""
    lines = drawing.lines
    none = np.zeros(len(lines.segments), bool)
    pen = np.array([s.weight_mm if s.role == "line" and not is_dashed(s.linetype) else 0.0 for s in drawing.sources])
    if not len(pen) or not len(none):
        return none, none, none.astype(np.float64)
    pen = pen[lines.segment_source]
    wide = pen * drawing.unit_mm
    fit = (pen >= BROAD_PEN_MM) & (wide >= THINNEST_MM) & (wide <= THICKEST_MM)
    length = np.hypot(*(lines.segments[:, 2:] - lines.segments[:, :2]).T)
    if not fit.any():
        return none, none, wide
    pens = np.unique(wide[fit]).tolist()
    likes = [fit & (wide >= ALIKE * pen) & (wide <= FILLED[1] * pen) for pen in pens]
    fits = [k for k, own in enumerate(likes) if own.sum() >= FEWEST and length[own].sum() >= LEAST_MM]
    if not fits:
        return none, none, wide
    # The frame of a sheet is longer than many a wall, but drawn in four strokes.
    main = max(fits, key=lambda k: int((fit & (wide == pens[k])).sum()))
    own = likes[main] | _of_other_walls(lines.segments, wide, length, likes[main], fit & ~likes[main])
    return own, (wide >= FRAME * pens[main]) & ~own, wide


def _of_other_walls(segments: Floats, wide: Floats, length: Floats, own: Bools, others: Bools) -> Bools:
    """Which of the other broad strokes are walls as well, thicker or thinner ones: those of pens that draw a good part
    of what the walls' pens do, and mostly on these walls."""
    found = np.zeros(len(own), bool)
    body = shapely.union_all(_covered(segments[own], wide[own])) if others.any() else None
    for pen in np.unique(wide[others]).tolist():
        rows = np.flatnonzero(others & (wide == pen))
        drawn = shapely.buffer(shapely.linestrings(segments[rows].reshape(-1, 2, 2)), pen / 2.0, cap_style="flat")
        touching = components(len(rows), *shapely.STRtree(drawn).query(drawn, predicate="dwithin", distance=JOINT_MM))
        on = np.isin(touching, touching[shapely.dwithin(drawn, body, JOINT_MM)])
        much = length[rows].sum() >= OTHER_PART * length[own].sum()
        found[rows] = much and length[rows][on].sum() >= OTHERS_ON * length[rows].sum()
    return found


def _covered(segments: Floats, wide_mm: Floats) -> list[shapely.Geometry]:
    """What these strokes cover; those of one pen that follow each other have a whole corner between them."""
    found: list[shapely.Geometry] = []
    for wide in np.unique(wide_mm).tolist():
        drawn = shapely.multilinestrings(segments[wide_mm == wide].reshape(-1, 2, 2))
        runs = shapely.get_parts(shapely.line_merge(drawn))
        found += shapely.buffer(runs, wide / 2.0, cap_style="flat", join_style="mitre").tolist()
    return found


def _filled(drawing: Drawing, strokes: list[shapely.Geometry], wide_mm: float) -> list[tuple[Loop, shapely.Polygon]]:
    """What is filled about as thick as the strokes and hangs together with them, or stands free, just as thick, among
    them."""
    found = []
    for loop in drawing.loops:
        if loop.role == "solid" and len(loop.vertices) > 2 and not any(bulge for _, _, bulge in loop.vertices):
            shape = shapely.Polygon([(x, y) for x, y, _ in loop.vertices])
            if shape.is_valid and FILLED[0] * wide_mm <= thick_mm(shape) <= FILLED[1] * wide_mm:
                found.append((loop, shape))
    shapes = np.array([*strokes, *(shape for _, shape in found)], dtype=object)
    i, j = shapely.STRtree(shapes).query(shapes, predicate="dwithin", distance=2.0 * JOINT_MM)
    group = components(len(shapes), i, j)
    pieces = np.isin(group[len(strokes) :], group[: len(strokes)])
    among = shapely.union_all(strokes).convex_hull
    pieces |= np.array([_is_box(shape, wide_mm) and among.contains(shape) for _, shape in found], bool)
    return list(itertools.compress(found, pieces))


def _is_box(shape: shapely.Polygon, wide_mm: float) -> bool:
    """Whether a shape is a rectangle just as thick as the strokes."""
    whole = shape.area >= RECTANGLE * shape.minimum_rotated_rectangle.area
    return whole and ALIKE * wide_mm <= thick_mm(shape) <= wide_mm / ALIKE


def _within(drawing: Drawing, body: shapely.Geometry) -> Bools:
    """Which lines are borders of what is filled within the bodies of walls."""
    lines = drawing.lines
    solid = np.array([s.role == "solid" for s in drawing.sources])[lines.segment_source]
    found = np.zeros(len(solid), bool)
    rows = np.flatnonzero(solid)
    ground = body.buffer(WITHIN_MM)
    shapely.prepare(ground)
    found[rows] = shapely.contains(ground, shapely.linestrings(lines.segments[rows].reshape(-1, 2, 2)))
    return found
