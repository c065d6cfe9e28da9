"""Where bead and inner corners are marked in plan, and which way their faces run off."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from takeoff.geometry.curves import Curve
from takeoff.measure.takeoff import Edge, RoomTakeoff
from takeoff.plan.model import Side
from takeoff.sheets.sheet_values import Arris, Course, PlanOpening, Point

_SAME_MM = 3.0
"""A corner's course and the vertex or jamb it stands on may differ by rounding of the takeoff."""


def corner_marks(
    rooms: Sequence[RoomTakeoff], sides: Mapping[str, Mapping[str, tuple[Side, Curve]]], openings: Sequence[PlanOpening]
) -> tuple[tuple[Arris, ...], tuple[Arris, ...], tuple[Course, ...]]:
    """(bead on upright arrises, fillets of upright inner corners, courses of bead overhead).

    A corner that stands at several heights is marked once.
    """
    beads: dict[tuple[int, int], Arris] = {}
    fillets: dict[tuple[int, int], Arris] = {}
    lines: list[Course] = []
    jambs = _by_place(arris for opening in openings if opening.sure for arris in _jambs(opening))
    for room in rooms:
        vertices = _by_place(_vertices([curve for _, curve in sides.get(room.room, {}).values()]))
        for edge in room.edges:
            upright = _upright(edge)
            if edge.cls == "external" and edge.bead == "new":
                if upright is not None:
                    _mark(beads, upright, jambs if edge.kind == "opening" else vertices)
                elif edge.kind != "opening" and len(edge.line) > 1:
                    lines.append(tuple((x, y, 0.0) for x, y, _ in edge.line))
            elif edge.cls == "internal" and edge.kind == "wall_wall" and upright is not None:
                _mark(fillets, upright, vertices)
    return tuple(beads.values()), tuple(fillets.values()), tuple(lines)


def _upright(edge: Edge) -> Point | None:
    """Where an upright edge stands; None for one that runs over the plan."""
    if len(edge.line) < 2:
        return None
    x, y, _ = edge.line[0]
    if all(math.hypot(px - x, py - y) <= _SAME_MM for px, py, _ in edge.line[1:]):
        return x, y
    return None


_CELL_MM = 10.0 * _SAME_MM

_Places = Mapping[tuple[int, int], Sequence[Arris]]


def _by_place(corners: Iterable[Arris]) -> _Places:
    """Corners by the cell of a grid that they stand in: a storey has thousands of jambs."""
    found: dict[tuple[int, int], list[Arris]] = {}
    for corner in corners:
        found.setdefault(_cell(corner.at), []).append(corner)
    return found


def _cell(at: Point) -> tuple[int, int]:
    return math.floor(at[0] / _CELL_MM), math.floor(at[1] / _CELL_MM)


def _mark(marks: dict[tuple[int, int], Arris], at: Point, corners: _Places) -> None:
    i, j = _cell(at)
    around = [c for x in (i - 1, i, i + 1) for y in (j - 1, j, j + 1) for c in corners.get((x, y), ())]
    near = min(around, key=lambda corner: math.dist(corner.at, at), default=None)
    if near is not None and math.dist(near.at, at) <= _SAME_MM:
        marks.setdefault((round(at[0]), round(at[1])), near)


def _vertices(curves: Sequence[Curve]) -> list[Arris]:
    """The corners of a room's outline; sides follow one another within each ring."""
    ending: dict[tuple[float, float], Curve] = {(c.x1, c.y1): c for c in curves}
    corners = []
    for curve in curves:
        before = ending.get((curve.x0, curve.y0))
        if before is not None:
            back, out = before.direction(before.length), curve.direction(0.0)
            corners.append(Arris((curve.x0, curve.y0), ((-back[0], -back[1]), out)))
    return corners


def _jambs(opening: PlanOpening) -> list[Arris]:
    """The four arrises of an opening: along the face away from it, and along the jamb."""
    (a, b), (far_a, far_b) = opening.face, opening.far
    along_a, along_b = _unit(b, a), _unit(a, b)
    return [
        Arris(a[:2], (along_a, _unit(a, far_a))),
        Arris(b[:2], (along_b, _unit(b, far_b))),
        Arris(far_a[:2], (along_a, _unit(far_a, a))),
        Arris(far_b[:2], (along_b, _unit(far_b, b))),
    ]


def _unit(a: Sequence[float], b: Sequence[float]) -> Point:
    """From a towards b."""
    length = math.hypot(b[0] - a[0], b[1] - a[1]) or 1.0
    return (b[0] - a[0]) / length, (b[1] - a[1]) / length
