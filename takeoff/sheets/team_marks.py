"""What only the team's plan shows: walls by letter and openings by mark or number, where there is room."""

from __future__ import annotations

import math
from collections.abc import Iterable

import shapely
from shapely.geometry.base import BaseGeometry

from takeoff.geometry.curves import Curve
from takeoff.sheets import palette
from takeoff.sheets.curved import course_line
from takeoff.sheets.labels import Block, box_of, set_block
from takeoff.sheets.model import Course, Plan, PlanOpening, Point
from takeoff.sheets.picture import Caption, Measure, Sheet, door_leaves

_OFF_MM = 0.7
"""Space between a wall or its band and the letter beside it."""

_LEAF_MM = 0.4
"""Space kept from door leaves."""

_SQUARE_MM = 12.0

_SHARES = (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9)
"""Places tried along a wall, from its middle outwards."""


class Taken:
    """What of the paper is written on already, mm; kept by squares, for plans of many rooms."""

    def __init__(self, areas: Iterable[BaseGeometry]) -> None:
        self._squares: dict[tuple[int, int], list[BaseGeometry]] = {}
        for area in areas:
            if not area.is_empty:
                self._take(area)

    def free(self, box: BaseGeometry) -> bool:
        """Whether nothing meets the box; if so it is taken from now on."""
        near = [area for square in _squares(box) for area in self._squares.get(square, ())]
        if near and shapely.intersects(near, box).any():
            return False
        self._take(box)
        return True

    def _take(self, area: BaseGeometry) -> None:
        for square in _squares(area):
            self._squares.setdefault(square, []).append(area)


def _squares(area: BaseGeometry) -> list[tuple[int, int]]:
    """The squares of the paper that an area's box meets."""
    left, low, right, high = (math.floor(value / _SQUARE_MM) for value in area.bounds)
    return [(x, y) for x in range(left, right + 1) for y in range(low, high + 1)]


def opening_marks(plan: Plan, sheet: Sheet, taken: Taken, measure: Measure) -> list[Caption]:
    """Marks beside the openings, within the host room first; doors carry theirs under their swing."""
    captions = []
    page = shapely.box(0.0, 0.0, sheet.width, sheet.height)
    for opening in plan.openings:
        if opening.label:
            line = (opening.label, palette.SEMIBOLD, palette.SMALLEST_PT, palette.GREY)
            block = Block((line,), number=True)
            for at in _beside(opening, block, sheet, measure):
                box = box_of(block, at, measure)
                if page.contains(box) and taken.free(box):
                    captions += set_block(block, at, measure)[0]
                    break
    return captions


def wall_marks(
    letters: tuple[tuple[Course, str], ...],
    space: BaseGeometry,
    band: BaseGeometry,
    taken: Taken,
    sheet: Sheet,
    measure: Measure,
) -> tuple[list[Caption], list[Course]]:
    """Letters within a room beside its walls, clear of the band, and the circles around them.

    A wall without room for its letter goes without.
    """
    captions: list[Caption] = []
    circles: list[Course] = []
    free = space.difference(band)
    shapely.prepare(free)
    for course, letter in letters:
        curve = Curve(*course[0][:2], *course[1][:2], course[0][2])
        block = Block(((letter, palette.REGULAR, palette.SMALLEST_PT, palette.GREY),), number=True)
        radius = letter_radius(letter, measure)
        for share in _SHARES:
            x, y = _off(curve, share, sheet.band + _OFF_MM + radius, sheet)
            box = shapely.box(x - radius, y - radius, x + radius, y + radius)
            if free.contains(box) and taken.free(box):
                captions += set_block(block, (x, y), measure)[0]
                circles.append(circle(x, y, radius))
                break
    return captions, circles


def letter_radius(letter: str, measure: Measure) -> float:
    """Radius in mm of the circle around a wall's letter."""
    return max(1.9, measure(letter, palette.REGULAR, palette.SMALLEST_PT) / 2 + 0.7)


def circle(x: float, y: float, radius: float) -> Course:
    """A circle as two half turns."""
    return ((x - radius, y, 1.0), (x + radius, y, 1.0))


def leaf_lines(plan: Plan, sheet: Sheet) -> list[BaseGeometry]:
    """The leaves of doors and the arcs of their swings, thickened, in paper mm."""
    return [
        shapely.buffer(shapely.linestrings([sheet.point(p) for p in course_line(course).coords]), _LEAF_MM)
        for opening in plan.openings
        if opening.kind == "door" and opening.sure
        for leaf in door_leaves(opening)
        for course in leaf
    ]


def _beside(opening: PlanOpening, block: Block, sheet: Sheet, measure: Measure) -> list[Point]:
    """Places before the opening's middle, on its host's side and then beyond the wall."""
    near = Curve(*opening.face[0][:2], *opening.face[1][:2], opening.face[0][2])
    far = Curve(*opening.far[1][:2], *opening.far[0][:2], -opening.far[0][2])
    wide, tall = block.size(measure)
    places = []
    # The band runs on past an opening that is not taken off.
    least = _OFF_MM if opening.sure else sheet.band + _OFF_MM
    for curve, gap in ((near, least), (near, sheet.band + _OFF_MM), (far, least)):
        if curve.length > 0:
            dx, dy = curve.direction(curve.length / 2)
            half = abs(dy) * wide / 2 + abs(dx) * tall / 2
            places += [_off(curve, share, gap + half, sheet) for share in (0.5, 0.3, 0.7)]
    return places


def _off(curve: Curve, share: float, off_mm: float, sheet: Sheet) -> Point:
    """The point on paper that stands so far off a course, to its left."""
    at = curve.length * share
    (x, y), (dx, dy) = sheet.point(curve.at(at)), curve.direction(at)
    return x - dy * off_mm, y + dx * off_mm
