"""A plan at a trade scale on paper: shapes and captions in paper mm, ready for any writer."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence

import msgspec
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from takeoff.plan.model import Vertex
from takeoff.sheets import palette
from takeoff.sheets.curved import area_rings, course_line, only_areas, ring_polygon
from takeoff.sheets.sheet_values import Arris, Course, Plan, PlanOpening, PlanRoom, Point, Strip

SCALES = (20, 25, 50, 75, 100, 125, 200, 250, 300, 400, 500)
"""Scales that stand on the rulers of the trade; 1 : 500 only for what fits nowhere else."""

_BAND_MM = {20: 3.0, 25: 3.0, 50: 2.7, 75: 2.3, 100: 2.0, 125: 1.9, 200: 1.5, 250: 1.4, 300: 1.3, 400: 1.15, 500: 1.0}
"""Width of the coat on paper by scale: wide enough to see its dots, narrow enough for small rooms."""

DOT_STEP_MM, DOT_MM = 1.1, 0.36
"""How far the dots of plaster stand from one another in a row, and how thick they are."""
QUARTER_LEFT = math.tan(math.pi / 8)
"""Bulge of a quarter turn to the left."""

_JOIN_MM = 0.01
"""Courses whose ends come this near run on into each other."""

Measure = Callable[[str, str, float], float]
"""(text, style, size in pt) → width in mm."""


class Shape(msgspec.Struct, frozen=True):
    """Paths in paper mm with one look. ``dots`` is the colour of rows of dots clipped to the paths,
    as drawings show plaster in section."""

    paths: tuple[Course, ...]
    closed: bool = True
    fill: str = ""
    dots: str = ""
    stroke: str = ""
    width_mm: float = 0.18
    dash_mm: tuple[float, ...] = ()


class Caption(msgspec.Struct, frozen=True):
    """A line of text; ``x_mm`` is its left end, ``y_mm`` its baseline."""

    x_mm: float
    y_mm: float
    text: str
    style: str
    size_pt: float
    colour: str = palette.INK


class Photograph(msgspec.Struct, frozen=True):
    """A photo on paper, as a JPEG of so many pixels."""

    jpeg: bytes
    width_px: int
    height_px: int

    def within(self, width_mm: float, height_mm: float) -> tuple[float, float]:
        """Its size on paper, as large as it goes within these."""
        scale = min(width_mm / self.width_px, height_mm / self.height_px)
        return self.width_px * scale, self.height_px * scale


class Picture(msgspec.Struct, frozen=True):
    """A drawing of so many mm with its origin at the lower left.

    ``marks`` are the keys of what is drawn, in the order of the key; ``listed`` the labels that
    had no room on the plan, each after its number; ``unlettered`` how many walls have no room for their letter.
    ``north_deg``: as of the plan that is drawn.
    """

    width_mm: float
    height_mm: float
    scale: int
    shapes: tuple[Shape, ...]
    captions: tuple[Caption, ...] = ()
    marks: tuple[str, ...] = ()
    listed: tuple[str, ...] = ()
    unlettered: int = 0
    north_deg: float | None = None


class Sheet:
    """The transformation from plan to paper, and the paper width of marks at its scale."""

    def __init__(self, plan: Plan, scale: int) -> None:
        self.plan, self.scale = plan, scale
        self.left, self.low, right, high = bounds(plan)
        self.width, self.height = (right - self.left) / scale, (high - self.low) / scale
        self.band = _BAND_MM[scale]

    def point(self, p: Sequence[float]) -> Point:
        """Paper mm of a plan point."""
        return (p[0] - self.left) / self.scale, (p[1] - self.low) / self.scale

    def path(self, course: Iterable[Vertex]) -> Course:
        """A course or ring in paper mm; bulges stay as they are."""
        return tuple((*self.point(v), v[2]) for v in course)

    def areas(self, shape: BaseGeometry) -> tuple[Course, ...]:
        """The rings of a plan area in paper mm, arcs as arcs."""
        return tuple(self.path(ring) for ring in area_rings(shape, self.plan.centres))


def bounds(plan: Plan) -> tuple[float, float, float, float]:
    """(left, low, right, high) of what is drawn, mm; noughts for an empty plan."""
    rings = [*plan.walls, *(ring for room in plan.rooms for ring in room.rings)]
    points = [(v[0], v[1]) for ring in rings for v in ring]
    # Arcs bow out past their ends.
    for ring in rings:
        area = ring_polygon([ring]) if any(v[2] for v in ring) else None
        if area is not None and not area.is_empty:
            points += [area.bounds[:2], area.bounds[2:]]
    if not points:
        return 0.0, 0.0, 0.0, 0.0
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def fitting_scale(plan: Plan, width_mm: float, height_mm: float) -> int | None:
    """The largest trade scale at which a plan fits a frame; None when none does or nothing is drawn."""
    left, low, right, high = bounds(plan)
    return scale_of((right - left, high - low), width_mm, height_mm)


def scale_of(extent: tuple[float, float], width_mm: float, height_mm: float) -> int | None:
    """The same for what is so wide and so tall in plan mm."""
    wide, tall = extent
    if wide <= 0 or tall <= 0:
        return None
    return next((s for s in SCALES if wide / s <= width_mm and tall / s <= height_mm), None)


def band_areas(room: PlanRoom, sheet: Sheet) -> BaseGeometry:
    """The band of coat along a room's walls in plan, mitred at corners, on the room's side only."""
    if not room.coat:
        return only_areas(shapely.MultiPolygon())
    lines = shapely.set_precision(shapely.MultiLineString([course_line(c) for c in room.coat]), _JOIN_MM)
    courses = shapely.line_merge(lines)
    wide = shapely.buffer(courses, sheet.band * sheet.scale, cap_style="flat", join_style="mitre", mitre_limit=10.0)
    area = only_areas(wide.intersection(ring_polygon(room.rings)))
    # A thin wall within a room is narrower than the band: what reached through it is dropped.
    near = [p for p in shapely.get_parts(area) if shapely.distance(p, courses) < 10 * _JOIN_MM]
    return only_areas(shapely.MultiPolygon(near))


HATCH_MM = 1.6
"""From one line of the hatch of what is on hold to the next, on paper."""


def hold_shapes(bands: Iterable[BaseGeometry], sheet: Sheet) -> list[Shape]:
    """A red cross-hatch over bands of coat that are on hold; [] for none."""
    area = shapely.union_all([band for band in bands if not band.is_empty])
    if area.is_empty:
        return []
    left, low, right, high = area.bounds
    step = HATCH_MM * sheet.scale * math.sqrt(2.0)
    wide, tall = right - left, high - low
    count = int((wide + tall) / step) + 1
    lines = [((left + k * step - tall, low), (left + k * step, high)) for k in range(count + 1)]
    lines += [((left + k * step - tall, high), (left + k * step, low)) for k in range(count + 1)]
    cut = shapely.intersection(shapely.multilinestrings([shapely.linestrings(line) for line in lines]), area)
    paths = tuple(
        sheet.path([(x, y, 0.0) for x, y in part.coords])
        for part in shapely.get_parts(cut)
        if part.geom_type == "LineString"
    )
    outline = Shape(sheet.areas(only_areas(area)), stroke=palette.URGENT, width_mm=0.3)
    return [Shape(paths, closed=False, stroke=palette.URGENT, width_mm=0.2), outline]


def strip_area(strip: Strip, sheet: Sheet) -> BaseGeometry:
    """A coated jamb in plan: as deep as it is, as wide as three quarters of the band."""
    wide = sheet.band * sheet.scale * 0.75
    (x0, y0), (x1, y1), (tx, ty) = strip.face, strip.frame, strip.towards
    return shapely.polygons([(x0, y0), (x1, y1), (x1 + tx * wide, y1 + ty * wide), (x0 + tx * wide, y0 + ty * wide)])


def window_shapes(openings: Sequence[PlanOpening], sheet: Sheet) -> list[Shape]:
    """Frames and panes of windows, and the lines of the faces that they interrupt."""
    windows = [o for o in openings if o.kind == "window" and o.sure and o.frame]
    if not windows:
        return []
    frames = tuple(sheet.path(_between(*o.frame)) for o in windows)
    panes = tuple(sheet.path(_middle(*o.frame)) for o in windows)
    faces = tuple(sheet.path(line) for o in windows for line in (o.face, o.far))
    return [
        Shape(faces, closed=False, stroke=palette.INK, width_mm=0.15),
        Shape(frames, fill=palette.PAPER, stroke=palette.INK, width_mm=0.22),
        Shape(panes, closed=False, stroke=palette.INK, width_mm=0.15),
    ]


def door_shapes(openings: Sequence[PlanOpening], sheet: Sheet) -> list[Shape]:
    """Leaves and swings of doors as they were read; a door whose swing nobody read has a line from jamb to jamb."""
    leaves: list[Course] = []
    swings: list[Course] = []
    for opening in openings:
        if opening.kind == "door" and opening.sure:
            for leaf, swing in door_leaves(opening):
                leaves.append(sheet.path(leaf))
                swings.append(sheet.path(swing))
            if not opening.swings:
                leaves.append(sheet.path(_middle(opening.face, opening.far)))
    arcs = [Shape(tuple(swings), closed=False, stroke=palette.INK, width_mm=0.15)] if swings else []
    return [*arcs, Shape(tuple(leaves), closed=False, stroke=palette.INK, width_mm=0.3)] if leaves else []


def door_leaves(opening: PlanOpening) -> list[tuple[Course, Course]]:
    """(leaf, swing) in plan mm of every leaf that was read, a quarter open; none where none was."""
    drawn: list[tuple[Course, Course]] = []
    for swing in opening.swings:
        (ax, ay, _), (bx, by, _) = opening.face if swing.into == "host" else opening.far
        width = math.dist((ax, ay), (bx, by))
        if width == 0:
            continue
        leaf = min(swing.leaf_mm or width / len(opening.swings), width)
        # rooms lie to the left of their sides: a leaf opens to the left into its host, to the right beyond
        open_way = 1.0 if swing.into == "host" else -1.0
        dx, dy = (bx - ax) / width, (by - ay) / width
        inwards = 1.0 if swing.hinge == "start" else -1.0
        x, y = (ax, ay) if swing.hinge == "start" else (bx, by)
        tip = x - dy * leaf * open_way, y + dx * leaf * open_way
        shut = x + dx * leaf * inwards, y + dy * leaf * inwards
        bulge = -QUARTER_LEFT * inwards * open_way
        drawn.append((((x, y, 0.0), (*tip, 0.0)), ((*tip, bulge), (*shut, 0.0))))
    return drawn


def unsure_shapes(openings: Sequence[PlanOpening], sheet: Sheet) -> list[Shape]:
    """Dashed outlines of openings that were not measured; their diamonds come with the captions."""
    outlines = tuple(sheet.path(_between(o.face, o.far)) for o in openings if not o.sure)
    return [Shape(outlines, stroke=palette.INK, width_mm=0.2, dash_mm=(1.2, 0.8))] if outlines else []


def bead_shape(beads: Sequence[Arris], sheet: Sheet) -> list[Shape]:
    """Small Ls that hug the arris on the side of the void."""
    arm_mm, wide = sheet.band * 0.82, sheet.band / 3.0
    paths = []
    for arris in beads:
        (x, y), (ax, ay), (bx, by) = sheet.point(arris.at), *arris.arms
        sx, sy = ax + bx, ay + by
        push = wide / max(sx * sx + sy * sy, 0.5)
        x, y = x - sx * push, y - sy * push
        paths.append(((x + ax * arm_mm, y + ay * arm_mm, 0.0), (x, y, 0.0), (x + bx * arm_mm, y + by * arm_mm, 0.0)))
    return [Shape(tuple(paths), closed=False, stroke=palette.BEAD, width_mm=wide)] if paths else []


def fillet_shape(fillets: Sequence[Arris], sheet: Sheet) -> list[Shape]:
    """Small hollow-faced triangles in the corners."""
    leg_mm = sheet.band * 0.7
    paths = []
    for arris in fillets:
        (x, y), (ax, ay), (bx, by) = sheet.point(arris.at), *arris.arms
        turn = ax * by - ay * bx
        bow = -0.25 if turn > 0 else 0.25
        paths.append(((x, y, 0.0), (x + ax * leg_mm, y + ay * leg_mm, bow), (x + bx * leg_mm, y + by * leg_mm, 0.0)))
    return [Shape(tuple(paths), fill=palette.CORNER)] if paths else []


HALF_DIAMOND_MM = 2.6


def diamond(x: float, y: float, half: float = HALF_DIAMOND_MM) -> Shape:
    """The mark of what is to check, about a middle point."""
    ring = ((x - half, y, 0.0), (x, y - half, 0.0), (x + half, y, 0.0), (x, y + half, 0.0))
    return Shape((ring,), fill=palette.PAPER, stroke=palette.INK, width_mm=0.3)


def question(x: float, y: float, measure: Measure, count: int = 1) -> Caption:
    """The question mark of a diamond about the same point, after how many it stands for if several."""
    size, text = palette.SMALLEST_PT, asked_text(count)
    wide = measure(text, palette.SEMIBOLD, size)
    return Caption(x - wide / 2, y - size * palette.PT_MM * 0.36, text, palette.SEMIBOLD, size)


def asked_text(count: int) -> str:
    """What stands in the diamond of so many things to check."""
    return "?" if count == 1 else f"{count}?"


def half_diamond(count: int, measure: Measure) -> float:
    """Half the width of a diamond that holds the question mark of so many."""
    wider = measure(asked_text(count), palette.SEMIBOLD, palette.SMALLEST_PT) - measure(
        asked_text(1), palette.SEMIBOLD, palette.SMALLEST_PT
    )
    return HALF_DIAMOND_MM + wider / 2


class Asked(msgspec.Struct, frozen=True):
    """A mark of openings to check: about a middle on paper, for so many of them."""

    x_mm: float
    y_mm: float
    count: int = 1


def apart(points: Sequence[Point], measure: Measure) -> tuple[Asked, ...]:
    """A mark for each point; those that would lie over one another are one, in their middle, with their number."""
    marks = [Asked(x, y) for x, y in points]
    while pairs := _meeting(marks, measure):
        gone = {k for pair in pairs for k in pair}
        marks = [
            *(mark for k, mark in enumerate(marks) if k not in gone),
            *(_as_one(marks[one], marks[other]) for one, other in pairs),
        ]
    return tuple(marks)


def _as_one(one: Asked, other: Asked) -> Asked:
    count = one.count + other.count
    x = (one.x_mm * one.count + other.x_mm * other.count) / count
    return Asked(x, (one.y_mm * one.count + other.y_mm * other.count) / count, count)


_BESIDE_MARK_MM = 0.4
"""Space kept between two diamonds."""


def _meeting(marks: Sequence[Asked], measure: Measure) -> list[tuple[int, int]]:
    """The pairs of marks that lie over one another, the nearest first, each mark in one pair at most."""
    if len(marks) < 2:
        return []
    at = np.array([(mark.x_mm, mark.y_mm) for mark in marks])
    half = np.array([half_diamond(mark.count, measure) for mark in marks])
    # diamonds meet where the distances along both axes add up to less than their halves
    off = np.abs(at[:, None, :] - at[None, :, :]).sum(axis=2) - half[:, None] - half[None, :]
    ones, others = np.nonzero(np.triu(off < _BESIDE_MARK_MM, 1))
    pairs, taken = [], set[int]()
    for k in np.argsort(off[ones, others], kind="stable"):
        one, other = int(ones[k]), int(others[k])
        if not {one, other} & taken:
            pairs.append((one, other))
            taken |= {one, other}
    return pairs


def middle_of(opening: PlanOpening) -> Point:
    """The middle of an opening in its wall, plan mm."""
    corners = (*opening.face, *opening.far)
    return sum(c[0] for c in corners) / 4.0, sum(c[1] for c in corners) / 4.0


def _between(near: tuple[Vertex, Vertex], far: tuple[Vertex, Vertex]) -> Course:
    """The ring along one line and back along the other."""
    return near[0], (*near[1][:2], 0.0), (*far[1][:2], -far[0][2]), (*far[0][:2], 0.0)


def _middle(near: tuple[Vertex, Vertex], far: tuple[Vertex, Vertex]) -> Course:
    return tuple(((p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0, p[2]) for p, q in zip(near, far, strict=True))
