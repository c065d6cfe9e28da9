"""Draws a plan at a scale: coat, openings, marks, labels, and what belongs in the key."""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry

from takeoff.sheets import palette
from takeoff.sheets.captions import Words, captions_of
from takeoff.sheets.curved import only_areas
from takeoff.sheets.model import Plan
from takeoff.sheets.picture import (
    Measure,
    Picture,
    Shape,
    Sheet,
    band_areas,
    bead_shape,
    door_shapes,
    fillet_shape,
    rising_area,
    strip_area,
    unsure_shapes,
    window_shapes,
)

_DASH_MM = (1.6, 1.0)

MARKS = (
    "coat",
    "length",
    "letter",
    "mark",
    "bead",
    "overhead_bead",
    "fillet",
    "wall",
    "wall_nominal",
    "window",
    "door",
    "door_shut",
    "open_side",
    "overhead",
    "rooflight",
    "check",
    "unsure_room",
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
    words = captions_of(plan, bands, sheet, measure, labelled)
    return Picture(
        width_mm=sheet.width,
        height_mm=sheet.height,
        scale=scale,
        shapes=(*shapes, *_circles(words), *words.diamonds),
        captions=words.captions,
        marks=_marks(plan, bands, words, labelled),
        listed=words.listed,
    )


def _circles(words: Words) -> list[Shape]:
    """The circles around walls' letters, which tell them from labels."""
    return [Shape(words.circles, stroke=palette.CORNER, width_mm=0.15)] if words.circles else []


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
        shapes.append(Shape(_crosses(plan, sheet), closed=False, stroke=palette.INK, width_mm=0.15, dash_mm=(0.6, 0.6)))
    if plan.overhead_beads:
        paths = tuple(sheet.path(course) for course in plan.overhead_beads)
        shapes.append(Shape(paths, closed=False, stroke=palette.BEAD, width_mm=0.5, dash_mm=(2.2, 1.2)))
    return shapes


def _crosses(plan: Plan, sheet: Sheet) -> tuple[tuple[tuple[float, float, float], ...], ...]:
    """Both diagonals of every four-sided rooflight."""
    rings = [sheet.path(ring) for ring in plan.rooflights if len(ring) == 4]
    return tuple(((*ring[a][:2], 0.0), (*ring[a + 2][:2], 0.0)) for ring in rings for a in (0, 1))


def _marks(plan: Plan, bands: dict[str, BaseGeometry], words: Words, labelled: bool) -> tuple[str, ...]:
    """Keys of the marks that are drawn, in the order in which the key names them."""
    sure = [opening for opening in plan.openings if opening.sure]
    kinds = {opening.kind for opening in sure}
    coated = any(not band.is_empty for band in bands.values()) or any(o.strips for o in sure)
    used = {
        "coat": coated,
        "length": words.lengths,
        "letter": bool(words.circles),
        "mark": words.marks,
        "bead": bool(plan.beads),
        "overhead_bead": bool(plan.overhead_beads),
        "fillet": bool(plan.fillets),
        "wall": bool(plan.walls) and not plan.nominal,
        "wall_nominal": bool(plan.walls) and plan.nominal,
        "window": "window" in kinds,
        "door": any(opening.swings for opening in sure if opening.kind == "door"),
        "door_shut": any(not opening.swings for opening in sure if opening.kind == "door"),
        "open_side": any(room.open_sides for room in plan.rooms),
        "overhead": bool(plan.overhead),
        "rooflight": bool(plan.rooflights),
        "check": any(not opening.sure for opening in plan.openings),
        "unsure_room": labelled and any(not room.sure for room in plan.rooms),
    }
    return tuple(mark for mark in MARKS if used[mark])
