"""Draws a plan at a scale: coat, openings, marks, labels, and what belongs in the key."""

from __future__ import annotations

import shapely
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from takeoff.geometry.curves import Curve
from takeoff.sheets import palette
from takeoff.sheets.curved import course_line, only_areas, ring_polygon
from takeoff.sheets.labels import Block, blocks, box_of, number_block, place, set_block
from takeoff.sheets.model import Plan, PlanRoom
from takeoff.sheets.picture import (
    Caption,
    Measure,
    Picture,
    Shape,
    Sheet,
    band_areas,
    bead_shape,
    diamond,
    door_leaves,
    door_shapes,
    fillet_shape,
    middle_of,
    question,
    rising_area,
    strip_area,
    unsure_shapes,
    window_shapes,
)

_LENGTH_PT = palette.SMALLEST_PT
_DASH_MM = (1.6, 1.0)

MARKS = (
    "coat", "length", "bead", "overhead_bead", "fillet", "wall", "wall_nominal", "window", "door",
    "open_side", "overhead", "rooflight", "check", "unsure_room",
)
"""Every mark that a plan may hold, in the order in which the key names them."""


def draw(plan: Plan, scale: int, measure: Measure, labelled: bool = True) -> Picture:
    """The plan on paper at 1 : ``scale``; an empty plan gives a picture of no size.

    Not ``labelled``: marks only, without names, figures and lengths.
    """
    sheet = Sheet(plan, scale)
    bands = {room.id: band_areas(room, sheet) for room in plan.rooms}
    shapes = [*_ground(plan, sheet), *_coat(plan, bands, sheet)]
    shapes += window_shapes(plan.openings, sheet) + door_shapes(plan.openings, sheet)
    shapes += _overhead(plan, sheet) + unsure_shapes(plan.openings, sheet)
    shapes += fillet_shape(plan.fillets, sheet) + bead_shape(plan.beads, sheet)
    captions, diamonds, listed, written = _captions(plan, bands, sheet, measure, labelled)
    return Picture(
        width_mm=sheet.width,
        height_mm=sheet.height,
        scale=scale,
        shapes=(*shapes, *diamonds),
        captions=tuple(captions),
        marks=_marks(plan, bands, written, labelled),
        listed=tuple(listed),
    )


def _ground(plan: Plan, sheet: Sheet) -> list[Shape]:
    shapes = []
    if plan.walls:
        paths = tuple(sheet.path(ring) for ring in plan.walls)
        shapes.append(Shape(paths, fill=palette.WALL, stroke=palette.INK, width_mm=0.35))
    opened = tuple(sheet.path(course) for room in plan.rooms for course in room.open_sides)
    if opened:
        shapes.append(Shape(opened, closed=False, stroke=palette.CORNER, width_mm=0.2, dash_mm=(0.5, 1.0)))
    return shapes


def _coat(plan: Plan, bands: dict[str, BaseGeometry], sheet: Sheet) -> list[Shape]:
    """The bands of all rooms and the coated jambs: ground, hatch both ways, outline."""
    areas = [band for band in bands.values() if not band.is_empty]
    areas += [strip_area(strip, sheet) for o in plan.openings if o.sure for strip in o.strips]
    if not areas:
        return []
    whole = only_areas(shapely.union_all(areas))
    paths = sheet.areas(whole)
    # Along walls that run as the hatch does it would be lost: there it falls the other way.
    along = only_areas(whole.intersection(shapely.union_all([rising_area(room, sheet) for room in plan.rooms])))
    shapes = [Shape(paths, fill=palette.COAT)]
    if along.is_empty:
        shapes.append(Shape(paths, hatch=palette.HATCH))
    else:
        shapes.append(Shape(sheet.areas(only_areas(whole.difference(along))), hatch=palette.HATCH))
        shapes.append(Shape(sheet.areas(along), hatch=palette.HATCH, falling=True))
    return [*shapes, Shape(paths, stroke=palette.HATCH, width_mm=0.2)]


def _overhead(plan: Plan, sheet: Sheet) -> list[Shape]:
    shapes = []
    if plan.overhead:
        paths = tuple(sheet.path(ring) for ring in plan.overhead)
        shapes.append(Shape(paths, stroke=palette.CORNER, width_mm=0.2, dash_mm=_DASH_MM))
    if plan.rooflights:
        paths = tuple(sheet.path(ring) for ring in plan.rooflights)
        shapes.append(Shape(paths, stroke=palette.INK, width_mm=0.2, dash_mm=(0.6, 0.6)))
        shapes.append(
            Shape(_crosses(plan, sheet), closed=False, stroke=palette.INK, width_mm=0.15, dash_mm=(0.6, 0.6))
        )
    if plan.overhead_beads:
        paths = tuple(sheet.path(course) for course in plan.overhead_beads)
        shapes.append(Shape(paths, closed=False, stroke=palette.BEAD, width_mm=0.5, dash_mm=(2.2, 1.2)))
    return shapes


def _crosses(plan: Plan, sheet: Sheet) -> tuple[tuple[tuple[float, float, float], ...], ...]:
    """Both diagonals of every four-sided rooflight."""
    rings = [sheet.path(ring) for ring in plan.rooflights if len(ring) == 4]
    return tuple(((*ring[a][:2], 0.0), (*ring[a + 2][:2], 0.0)) for ring in rings for a in (0, 1))


def _captions(
    plan: Plan, bands: dict[str, BaseGeometry], sheet: Sheet, measure: Measure, labelled: bool
) -> tuple[list[Caption], list[Shape], list[str], bool]:
    """Captions, diamonds, labels that had no room, and whether any length was written."""
    captions: list[Caption] = []
    diamonds: list[Shape] = []
    listed: list[str] = []
    marks = _diamonds(plan, sheet, measure)
    for mark, caption in marks:
        diamonds.append(mark)
        captions.append(caption)
    fixed = [ring_polygon([mark.paths[0]]) for mark, _ in marks] + _swings(plan, sheet)
    written = False
    for room in plan.rooms if labelled else ():
        space = _on_paper(ring_polygon(room.rings), sheet)
        if space.is_empty:
            continue
        taken = [_on_paper(bands[room.id], sheet), *fixed]
        lengths = _lengths(room, space, taken, sheet, measure)
        captions += lengths
        written = written or bool(lengths)
        block, at = _label(room, space, taken, measure, len(listed) + 1)
        if block.number:
            listed.append(_listed(len(listed) + 1, room))
        if at is None:
            continue
        texts, asked = set_block(block, at, measure)
        fixed.append(box_of(block, at, measure))
        captions += texts
        diamonds += asked
    return captions, diamonds, listed, written


def _label(
    room: PlanRoom, space: BaseGeometry, taken: list[BaseGeometry], measure: Measure, number: int
) -> tuple[Block, tuple[float, float] | None]:
    """The best form of the label that fits, else the room's number; no place: None."""
    for block in blocks(room.name, room.figure, not room.sure):
        at = place(block, space, taken, measure)
        if at is not None:
            return block, at
    for block in (number_block(number, asked=not room.sure), number_block(number, asked=False)):
        at = place(block, space, taken, measure) or place(block, space, taken[1:], measure)
        if at is not None:
            break
    return block, at


def _listed(number: int, room: PlanRoom) -> str:
    return f"{number}  {room.name}" + (f", {room.figure}" if room.figure else "")


def _lengths(
    room: PlanRoom, space: BaseGeometry, taken: list[BaseGeometry], sheet: Sheet, measure: Measure
) -> list[Caption]:
    """Lengths beside stretches that are a part of their face; what is taken grows by them."""
    captions = []
    for course, text in room.parts:
        curve = Curve(*course[0][:2], *course[1][:2], course[0][2])
        block = Block(((text, palette.REGULAR, _LENGTH_PT, palette.GREY),))
        at = _beside(curve, block, space, taken, sheet, measure)
        if at is not None:
            captions += set_block(block, at, measure)[0]
            taken.append(box_of(block, at, measure))
    return captions


def _beside(
    curve: Curve, block: Block, space: BaseGeometry, taken: list[BaseGeometry], sheet: Sheet, measure: Measure
) -> tuple[float, float] | None:
    """A place for a length next to the band, from the stretch's middle outwards; None if all are taken."""
    wide, tall = block.size(measure)
    blocked = shapely.union_all(taken)
    for share in (0.5, 0.35, 0.65, 0.2, 0.8):
        at = curve.length * share
        (x, y), (dx, dy) = sheet.point(curve.at(at)), curve.direction(at)
        off = sheet.band + 0.8 + abs(dy) * wide / 2 + abs(dx) * tall / 2
        spot = (x - dy * off, y + dx * off)
        box = box_of(block, spot, measure)
        if space.contains(box) and not blocked.intersects(box):
            return spot
    return None


def _diamonds(plan: Plan, sheet: Sheet, measure: Measure) -> list[tuple[Shape, Caption]]:
    spots = [sheet.point(middle_of(opening)) for opening in plan.openings if not opening.sure]
    return [(diamond(x, y), question(x, y, measure)) for x, y in spots]


def _swings(plan: Plan, sheet: Sheet) -> list[BaseGeometry]:
    """What doors sweep over, in paper mm."""
    areas = []
    for opening in plan.openings:
        if opening.kind == "door" and opening.sure:
            for leaf, swing in door_leaves(opening):
                points = [*course_line(swing).coords, leaf[0][:2]]
                areas.append(shapely.polygons([sheet.point(p) for p in points]))
    return areas


def _on_paper(shape: BaseGeometry, sheet: Sheet) -> BaseGeometry:
    factor = 1.0 / sheet.scale
    return affine_transform(shape, [factor, 0, 0, factor, -sheet.left * factor, -sheet.low * factor])


def _marks(plan: Plan, bands: dict[str, BaseGeometry], written: bool, labelled: bool) -> tuple[str, ...]:
    """Keys of the marks that are drawn, in the order in which the key names them."""
    sure = [opening for opening in plan.openings if opening.sure]
    kinds = {opening.kind for opening in sure}
    coated = any(not band.is_empty for band in bands.values()) or any(o.strips for o in sure)
    used = {
        "coat": coated,
        "length": written,
        "bead": bool(plan.beads),
        "overhead_bead": bool(plan.overhead_beads),
        "fillet": bool(plan.fillets),
        "wall": bool(plan.walls) and not plan.nominal,
        "wall_nominal": bool(plan.walls) and plan.nominal,
        "window": "window" in kinds,
        "door": "door" in kinds,
        "open_side": any(room.open_sides for room in plan.rooms),
        "overhead": bool(plan.overhead),
        "rooflight": bool(plan.rooflights),
        "check": any(not opening.sure for opening in plan.openings),
        "unsure_room": labelled and any(not room.sure for room in plan.rooms),
    }
    return tuple(mark for mark in MARKS if used[mark])
