"""Openings as they are drawn: cut through the wall, frame, coated jambs."""

from __future__ import annotations

import math

import shapely
from shapely.geometry.base import BaseGeometry

from takeoff.geometry.curves import Curve
from takeoff.measure.takeoff import Face
from takeoff.plan.model import Opening, Reveal, Vertex
from takeoff.sheets.bodies import NOMINAL_MM, thickness_at
from takeoff.sheets.model import PlanOpening, Point, Strip

_FRAME_MM = 70.0
"""Depth at which a frame is drawn; no reading gives it (common practice, no source)."""

_SLACK_MM = 1.0
"""A cut reaches this far past both faces, so that no sliver of wall is left."""

_SAGITTA = 1e-3
"""By how much of its radius a wall in facets of 3° may stand off its arc, with some to spare."""

_THINNEST_MM = 10.0


def opening_of(opening: Opening, side: Curve, face: Face | None, body: BaseGeometry, label: str = "") -> PlanOpening:
    """The picture of an opening in its host side; its jambs are kept within the side."""
    start = min(max(opening.offset_mm, 0.0), side.length)
    end = min(start + opening.width_mm, side.length)
    thick = _thickness(side, (start + end) / 2.0, face, body)
    near, far = _between(side, start, end, 0.0), _between(side, start, end, thick)
    strips = _strips(side, start, end, opening.reveal, 0.0, 1.0, thick)
    if opening.reveal_beyond is not None and opening.kind != "open":
        strips += _strips(side, start, end, opening.reveal_beyond, thick, -1.0, thick)
    return PlanOpening(
        id=str(opening.id),
        kind=opening.kind,
        face=near,
        far=far,
        frame=_frame(opening, side, start, end, thick),
        strips=tuple(strips),
        sure=opening.confidence == "sure",
        label=label,
        swings=opening.swings,
    )


def cutter(opening: PlanOpening) -> BaseGeometry:
    """The area an opening takes out of its wall, faces included."""
    near, far = _points(opening.face), _points(opening.far)
    slack = _SLACK_MM + _SAGITTA * _radius(opening)
    near_out = [_beyond(p, q, slack) for p, q in zip(near, far, strict=True)]
    far_out = [_beyond(q, p, slack) for p, q in zip(near, far, strict=True)]
    return shapely.make_valid(shapely.polygons([*near_out, *far_out[::-1]]))


def _thickness(side: Curve, at_mm: float, face: Face | None, body: BaseGeometry) -> float:
    for behind in face.behind if face else ():
        if behind.from_mm <= at_mm <= behind.to_mm and behind.thickness_mm:
            return max(behind.thickness_mm, _THINNEST_MM)
    return max(thickness_at(body, side, at_mm) or NOMINAL_MM, _THINNEST_MM)


def _between(side: Curve, start: float, end: float, depth: float) -> tuple[Vertex, Vertex]:
    """The line between the jambs at a depth behind the face, curved as the wall is."""
    part = side.part(start, end) if end > start else side
    return (*_behind(side, start, depth), part.bulge), (*_behind(side, end, depth), 0.0)


def _behind(side: Curve, at_mm: float, depth: float) -> Point:
    """The point so far behind the face: to the right of a side whose room lies on its left."""
    (x, y), (dx, dy) = side.at(at_mm), side.direction(at_mm)
    return x + dy * depth, y - dx * depth


def _strips(
    side: Curve, start: float, end: float, reveal: Reveal, face: float, inwards: float, thick: float
) -> list[Strip]:
    """Coated jambs from the face at depth ``face`` towards the frame; splay narrows the frame."""
    strips = []
    for at, sense, strip in ((start, 1.0, reveal.start), (end, -1.0, reveal.end)):
        depth = min(strip.depth_mm, thick)
        if strip.coat and depth > 0:
            dx, dy = side.direction(at)
            set_in = sense * depth * math.tan(math.radians(reveal.splay_deg))
            strips.append(
                Strip(
                    _behind(side, at, face),
                    _behind(side, at + set_in, face + inwards * depth),
                    (dx * sense, dy * sense),
                )
            )
    return strips


def _frame(opening: Opening, side: Curve, start: float, end: float, thick: float) -> tuple[tuple[Vertex, Vertex], ...]:
    """The two lines of a window's frame, behind its reveal or else in mid wall; none for the rest."""
    if opening.kind != "window":
        return ()
    depth = max(opening.reveal.start.depth_mm, opening.reveal.end.depth_mm)
    frame = min(_FRAME_MM, thick * 0.6)
    if not 0 < depth <= thick - frame:
        depth = (thick - frame) / 2.0 if depth == 0 else thick - frame
    return _between(side, start, end, depth), _between(side, start, end, depth + frame)


def _points(line: tuple[Vertex, Vertex]) -> list[Point]:
    curve = Curve(line[0][0], line[0][1], line[1][0], line[1][1], line[0][2])
    count = 12 if curve.bulge else 1
    return [curve.at(curve.length * k / count) for k in range(count + 1)]


def _radius(opening: PlanOpening) -> float:
    bulge = opening.face[0][2]
    return max(Curve(*a[:2], *b[:2], a[2]).radius for a, b in (opening.face, opening.far)) if bulge else 0.0


def _beyond(point: Point, other: Point, by_mm: float) -> Point:
    """``point`` moved so far away from ``other``."""
    step = by_mm / (math.dist(point, other) or 1.0)
    return point[0] + (point[0] - other[0]) * step, point[1] + (point[1] - other[1]) * step
