"""The words on a plan: rooms with their figures, lengths of returns, question marks; none over another."""

from __future__ import annotations

import msgspec
import shapely
from shapely.affinity import affine_transform
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from takeoff.geometry.curves import Curve
from takeoff.sheets import palette
from takeoff.sheets.curved import course_line, ring_polygon
from takeoff.sheets.labels import Block, blocks, box_of, ground_of, number_block, place, set_block
from takeoff.sheets.model import Course, Plan, PlanRoom, Point
from takeoff.sheets.picture import Caption, Measure, Shape, Sheet, diamond, door_leaves, middle_of, question
from takeoff.sheets.team_marks import Taken, leaf_lines, opening_marks, wall_marks

_OFF_BAND_MM = 0.8
"""Space between the band and the length written beside it."""

_LINE_MM = 0.5
"""Space kept from a line overhead where there is room enough."""


class Words(msgspec.Struct, frozen=True):
    """What is written on a plan.

    ``listed``: rooms whose label had no room, each after its number (or "–" where not even that
    had). ``lengths`` and ``marks``: whether any was written; ``circles`` around walls' letters.
    """

    captions: tuple[Caption, ...]
    diamonds: tuple[Shape, ...]
    listed: tuple[str, ...]
    lengths: bool
    circles: tuple[Course, ...] = ()
    marks: bool = False


def captions_of(plan: Plan, bands: dict[str, BaseGeometry], sheet: Sheet, measure: Measure, labelled: bool) -> Words:
    """All words of a plan; not ``labelled``: question marks of openings only."""
    marks = [(diamond(x, y), question(x, y, measure)) for x, y in _questions(plan, sheet)]
    captions = [caption for _, caption in marks]
    diamonds = [mark for mark, _ in marks]
    if not labelled:
        return Words(tuple(captions), tuple(diamonds), (), False)
    asked_boxes = [ring_polygon([mark.paths[0]]) for mark in diamonds]
    overhead = _overhead(plan, sheet)
    fixed = [*asked_boxes, *_swings(plan, sheet)]
    # Labels stay within their rooms, so that those of other rooms need not be looked at.
    nearby = shapely.STRtree(fixed)
    listed: list[str] = []
    written: list[BaseGeometry] = []
    any_length = False
    for room in plan.rooms:
        space = _on_paper(ring_polygon(room.rings), sheet)
        if space.is_empty:
            continue
        taken = [_on_paper(bands[room.id], sheet), *(fixed[k] for k in nearby.query(space))]
        known = len(taken)
        lengths = _lengths(room, space, taken, sheet, measure)
        block, at = _label(room, space, taken, overhead, measure, len(listed) + 1)
        if block.number:
            listed.append(_listed(len(listed) + 1 if at else None, room))
        captions += lengths
        any_length = any_length or bool(lengths)
        written += taken[known:]
        if at is not None:
            texts, asked = set_block(block, at, measure)
            written.append(box_of(block, at, measure))
            captions += texts
            diamonds += asked
    named, letters, circles = _team_marks(plan, bands, sheet, measure, [*asked_boxes, *overhead, *written])
    captions += [*named, *letters]
    return Words(tuple(captions), tuple(diamonds), tuple(listed), any_length, circles, bool(named))


def _team_marks(
    plan: Plan, bands: dict[str, BaseGeometry], sheet: Sheet, measure: Measure, written: list[BaseGeometry]
) -> tuple[list[Caption], list[Caption], tuple[Course, ...]]:
    """(marks of openings, letters of walls, their circles), clear of all that is written."""
    taken = Taken([*written, *leaf_lines(plan, sheet)])
    named = opening_marks(plan, sheet, taken, measure)
    letters: list[Caption] = []
    circles: list[Course] = []
    for room in plan.rooms:
        if room.letters:
            space = _on_paper(ring_polygon(room.rings), sheet)
            band = _on_paper(bands[room.id], sheet)
            texts, rings = wall_marks(room.letters, space, band, taken, sheet, measure)
            letters += texts
            circles += rings
    return named, letters, tuple(circles)


def _label(
    room: PlanRoom,
    space: BaseGeometry,
    taken: list[BaseGeometry],
    overhead: list[BaseGeometry],
    measure: Measure,
    number: int,
) -> tuple[Block, Point | None]:
    """The best form of the label that fits, else the room's number; no place: None.

    Lines overhead are kept clear where a label fits otherwise too; a number may stand on the band.
    """
    grounds = [ground_of(space, [*taken, *overhead])] if overhead else []
    grounds.append(ground_of(space, taken))
    for ground in grounds:
        for block in blocks(room.name, room.figure, not room.sure):
            at = place(block, ground, measure)
            if at is not None:
                return block, at
    for asked in (True, False) if not room.sure else (False,):
        block = number_block(number, asked)
        at = place(block, grounds[-1], measure) or place(block, ground_of(space, taken[1:]), measure)
        if at is not None:
            break
    return block, at


def _listed(number: int | None, room: PlanRoom) -> str:
    return f"{number or '–'} {room.name}" + (f", {room.figure}" if room.figure else "")


def _lengths(
    room: PlanRoom, space: BaseGeometry, taken: list[BaseGeometry], sheet: Sheet, measure: Measure
) -> list[Caption]:
    """Lengths beside stretches that are a part of their face; what is taken grows by them."""
    captions = []
    for course, text in room.parts:
        curve = Curve(*course[0][:2], *course[1][:2], course[0][2])
        block = Block(((text, palette.REGULAR, palette.SMALLEST_PT, palette.GREY),))
        at = _beside(curve, block, space, taken, sheet, measure)
        if at is not None:
            captions += set_block(block, at, measure)[0]
            taken.append(box_of(block, at, measure))
    return captions


def _beside(
    curve: Curve, block: Block, space: BaseGeometry, taken: list[BaseGeometry], sheet: Sheet, measure: Measure
) -> Point | None:
    """A place for a length next to the band, from the stretch's middle outwards; None if all are taken."""
    wide, tall = block.size(measure)
    free = ground_of(space, taken).free
    for share in (0.5, 0.35, 0.65, 0.2, 0.8):
        at = curve.length * share
        (x, y), (dx, dy) = sheet.point(curve.at(at)), curve.direction(at)
        off = sheet.band + _OFF_BAND_MM + abs(dy) * wide / 2 + abs(dx) * tall / 2
        spot = (x - dy * off, y + dx * off)
        if free.contains(box_of(block, spot, measure)):
            return spot
    return None


def _questions(plan: Plan, sheet: Sheet) -> list[Point]:
    return [sheet.point(middle_of(opening)) for opening in plan.openings if not opening.sure]


def _swings(plan: Plan, sheet: Sheet) -> list[BaseGeometry]:
    """What doors sweep over, in paper mm."""
    areas = []
    for opening in plan.openings:
        if opening.kind == "door" and opening.sure:
            for leaf, swing in door_leaves(opening):
                points = [*course_line(swing).coords, leaf[0][:2]]
                areas.append(shapely.polygons([sheet.point(p) for p in points]))
    return areas


def _overhead(plan: Plan, sheet: Sheet) -> list[BaseGeometry]:
    """Lines of lowered and raised ceilings and bead overhead, and rooflights, in paper mm."""
    lines = [[*(sheet.point(v) for v in ring), sheet.point(ring[0])] for ring in plan.overhead]
    lines += [[sheet.point(v) for v in course] for course in plan.overhead_beads]
    areas = [LineString(line).buffer(_LINE_MM) for line in lines]
    return areas + [_on_paper(ring_polygon([ring]), sheet) for ring in plan.rooflights]


def _on_paper(shape: BaseGeometry, sheet: Sheet) -> BaseGeometry:
    factor = 1.0 / sheet.scale
    return affine_transform(shape, [factor, 0, 0, factor, -sheet.left * factor, -sheet.low * factor])
