"""A plan as a picture in mm on paper, with its key and its scale bar."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from takeoff.language import tr
from takeoff.sheets import palette
from takeoff.sheets.captions import Flag, Words, captions_of, circle
from takeoff.sheets.curved import only_areas
from takeoff.sheets.line_words import opening_label
from takeoff.sheets.picture import (
    QUARTER_LEFT,
    Caption,
    Measure,
    Picture,
    Shape,
    Sheet,
    band_areas,
    bead_shape,
    diamond,
    door_shapes,
    fillet_shape,
    hold_shapes,
    question,
    strip_area,
    unsure_shapes,
    window_shapes,
)
from takeoff.sheets.sheet_values import Course, Plan

_WRITTEN = {"length": palette.REGULAR, "letter": palette.REGULAR, "mark": palette.SEMIBOLD}
"""Marks that are words, and the style of their samples."""

_TALL_MM = 4.0
_SIZE_PT = 9.5
_BARS_M = {20: 1, 25: 1, 50: 3, 75: 3, 100: 5, 125: 5, 200: 10, 250: 10, 300: 10, 400: 20, 500: 30}
_BARS_FT = {20: 4, 25: 5, 50: 10, 75: 15, 100: 20, 125: 20, 200: 40, 250: 40, 300: 60, 400: 80, 500: 100}
_PIECES = {1: 2, 3: 3, 5: 5, 10: 5, 20: 4, 30: 3}


def key_picture(marks: tuple[str, ...], words: Mapping[str, str], width_mm: float, measure: Measure) -> Picture:
    """Swatches with their words, in rows no wider than given; no marks give a picture of no height."""
    shapes: list[Shape] = []
    captions: list[Caption] = []
    x, row = 0.0, 0
    places = []
    for mark in marks:
        swatch, wide = _swatch(mark)
        if mark == "length":
            wide = max(wide, measure(words["length_sample"], palette.REGULAR, palette.SMALLEST_PT))
        text = words[mark]
        whole = wide + 1.6 + measure(text, palette.REGULAR, _SIZE_PT)
        if x > 0 and x + whole > width_mm:
            x, row = 0.0, row + 1
        places.append((x, row, swatch, wide, text, mark))
        x += whole + 6.0
    rows = row + 1 if marks else 0
    for x, row, swatch, wide, text, mark in places:
        y = (rows - 1 - row) * 6.0
        shapes += [_moved(shape, x, y) for shape in swatch]
        if mark in ("check", "unsure_room", "check_several"):
            captions.append(question(x + wide / 2, y + _TALL_MM / 2, measure, 3 if mark == "check_several" else 1))
        if mark in _WRITTEN:
            style, sample = _WRITTEN[mark], "A"
            if mark != "letter":
                sample = words["length_sample"] if mark == "length" else opening_label("window", "1")
            left = x + (1.9 - measure(sample, style, palette.SMALLEST_PT) / 2 if mark == "letter" else 0.0)
            captions.append(
                Caption(left, y + (1.6 if mark == "letter" else 0.9), sample, style, palette.SMALLEST_PT, palette.GREY)
            )
        captions.append(Caption(x + wide + 1.6, y + 0.9, text, palette.REGULAR, _SIZE_PT))
    return Picture(width_mm, rows * 6.0, 0, tuple(shapes), tuple(captions), marks)


def scale_bar(scale: int, measure: Measure, feet: bool = False) -> Picture:
    """A bar of whole metres, or feet, with its scale, 16 mm high at most with its figures."""
    metres = _BARS_M[scale]
    long = _BARS_FT[scale] * 304.8 / scale if feet else metres * 1000.0 / scale
    pieces = 4 if feet else _PIECES[metres]
    step = long / pieces
    dark = tuple(_box(k * step, 4.6, (k + 1) * step, 5.6) for k in range(0, pieces, 2))
    bar = [
        Shape((_box(0, 4.6, long, 5.6),), fill=palette.PAPER, stroke=palette.INK, width_mm=0.2),
        Shape(dark, fill=palette.INK, stroke=palette.INK, width_mm=0.2),
    ]
    size = palette.SMALLEST_PT
    end, middle = tr("{feet} ft", feet=_BARS_FT[scale]) if feet else f"{metres} m", f"1 : {scale}"
    captions = (
        Caption(0.0, 0.9, "0", palette.REGULAR, size, palette.GREY),
        Caption((long - measure(middle, palette.REGULAR, size)) / 2, 0.9, middle, palette.REGULAR, size, palette.GREY),
        Caption(long - measure(end, palette.REGULAR, size), 0.9, end, palette.REGULAR, size, palette.GREY),
    )
    return Picture(long, 6.0, scale, tuple(bar), captions)


def _swatch(mark: str) -> tuple[list[Shape], float]:
    """The shapes of a mark within 4 mm of height, and their width."""
    ink = palette.INK
    box = _box(0.2, 0.2, 10.8, 3.8)
    line = ((0.0, 2.0, 0.0), (10.0, 2.0, 0.0))
    if mark == "coat":
        return [Shape((box,), fill=palette.COAT, dots=palette.DOTS, stroke=palette.DOTS, width_mm=0.2)], 11.0
    if mark == "hold":
        return _hold_swatch(box), 11.0
    if mark == "letter":
        cloth = _box(0.0, 0.9, 3.8, 4.4)
        staff = ((1.9, 0.9, 0.0), (1.9, 0.0, 0.0))
        wall = ((0.0, 0.0, 0.0), (3.8, 0.0, 0.0))
        return [
            Shape((cloth,), stroke=palette.CORNER, width_mm=0.15),
            Shape((staff,), closed=False, stroke=palette.CORNER, width_mm=0.3),
            Shape((wall,), closed=False, stroke=palette.INK, width_mm=0.35),
        ], 3.8
    if mark in _WRITTEN:
        return [], 7.0 if mark == "length" else 4.4
    if mark == "bead":
        arm = ((0.4, 3.3, 0.0), (2.9, 3.3, 0.0), (2.9, 0.6, 0.0))
        return [Shape((arm,), closed=False, stroke=palette.BEAD, width_mm=0.9)], 3.4
    if mark == "overhead_bead":
        return [Shape((line,), closed=False, stroke=palette.BEAD, width_mm=0.5, dash_mm=(2.2, 1.2))], 10.0
    if mark == "fillet":
        return [Shape((((0.3, 0.6, 0.0), (2.5, 0.6, 0.25), (0.3, 2.8, 0.0)),), fill=palette.CORNER)], 2.8
    if mark in ("wall", "wall_nominal"):
        return [Shape((box,), fill=palette.WALL, stroke=ink, width_mm=0.3)], 11.0
    if mark == "window":
        faces = tuple(((0.2, y, 0.0), (9.8, y, 0.0)) for y in (0.6, 3.4))
        frame = _box(0.2, 1.3, 9.8, 2.7)
        pane = ((0.2, 2.0, 0.0), (9.8, 2.0, 0.0))
        return [
            Shape((*faces, pane), closed=False, stroke=ink, width_mm=0.15),
            Shape((frame,), stroke=ink, width_mm=0.22),
        ], 10.0
    if mark == "door":
        leaf, swing = ((0.3, 0.2, 0.0), (0.3, 3.8, 0.0)), ((0.3, 3.8, -QUARTER_LEFT), (3.9, 0.2, 0.0))
        return [
            Shape((leaf,), closed=False, stroke=ink, width_mm=0.3),
            Shape((swing,), closed=False, stroke=ink, width_mm=0.15),
        ], 4.2
    if mark == "door_shut":
        jambs = tuple(((x, 0.6, 0.0), (x, 3.4, 0.0)) for x in (0.2, 5.8))
        return [Shape((*jambs, ((0.2, 2.0, 0.0), (5.8, 2.0, 0.0))), closed=False, stroke=ink, width_mm=0.3)], 6.0
    if mark == "open_side":
        return [Shape((line,), closed=False, stroke=palette.CORNER, width_mm=0.2, dash_mm=(0.5, 1.0))], 10.0
    if mark == "overhead":
        return [Shape((box,), stroke=palette.CORNER, width_mm=0.2, dash_mm=(1.6, 1.0))], 11.0
    if mark == "rooflight":
        cross = (((0.2, 0.2, 0.0), (10.8, 3.8, 0.0)), ((0.2, 3.8, 0.0), (10.8, 0.2, 0.0)))
        return [
            Shape((box,), stroke=ink, width_mm=0.2, dash_mm=(0.6, 0.6)),
            Shape(cross, closed=False, stroke=ink, width_mm=0.15, dash_mm=(0.6, 0.6)),
        ], 11.0
    if mark == "check_several":
        return [diamond(3.6, 2.0, 3.6)], 7.2
    return [diamond(2.6, 2.0)], 5.2


def _hold_swatch(box: Course) -> list[Shape]:
    """Coat under a red cross-hatch."""
    lines = tuple(((x, 0.2, 0.0), (x + 3.6, 3.8, 0.0)) for x in (0.2, 2.4, 4.8, 7.2))
    lines += tuple(((x, 3.8, 0.0), (x + 3.6, 0.2, 0.0)) for x in (0.2, 2.4, 4.8, 7.2))
    return [
        Shape((box,), fill=palette.COAT, stroke=palette.URGENT, width_mm=0.3),
        Shape(lines, closed=False, stroke=palette.URGENT, width_mm=0.2),
    ]


def _moved(shape: Shape, dx: float, dy: float) -> Shape:
    paths = tuple(tuple((x + dx, y + dy, bulge) for x, y, bulge in path) for path in shape.paths)
    return Shape(paths, shape.closed, shape.fill, shape.dots, shape.stroke, shape.width_mm, shape.dash_mm)


def _box(x0: float, y0: float, x1: float, y1: float) -> Course:
    return ((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0))


_DASH_MM = (1.6, 1.0)

MARKS = (
    "coat",
    "hold",
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
    "check_several",
    "unsure_room",
)
"""Every mark that a plan may hold, in the order in which the key names them."""


def draw(plan: Plan, scale: int, measure: Measure, labelled: bool = True) -> Picture:
    """The plan on paper at 1 : ``scale``; an empty plan gives a picture of no size.

    Not ``labelled``: without names, figures, lengths and the marks of openings to check, which hide a small plan.
    """
    sheet = Sheet(plan, scale)
    bands = {room.id: band_areas(room, sheet) for room in plan.rooms}
    shapes = [*_ground(plan, sheet), *_coat(plan, bands, sheet)]
    shapes += hold_shapes([bands[room.id] for room in plan.rooms if room.held], sheet)
    shapes += window_shapes(plan.openings, sheet) + door_shapes(plan.openings, sheet)
    shapes += _overhead(plan, sheet) + (unsure_shapes(plan.openings, sheet) if labelled else [])
    shapes += fillet_shape(plan.fillets, sheet) + bead_shape(plan.beads, sheet)
    words = captions_of(plan, bands, sheet, measure, labelled)
    return Picture(
        width_mm=sheet.width,
        height_mm=sheet.height,
        scale=scale,
        shapes=(*shapes, *_flags(words.flags), *words.diamonds),
        captions=words.captions,
        marks=_marks(plan, bands, words, labelled),
        listed=words.listed,
        unlettered=words.unlettered,
        north_deg=plan.north_deg,
    )


_FOOT_MM = 0.35
"""Radius of the dot at the foot of a leader."""


def _flags(flags: Sequence[Flag]) -> list[Shape]:
    """The flags of walls' letters, which touch the walls that they name."""
    if not flags:
        return []
    short = tuple(flag.staff for flag in flags if not flag.led)
    led = tuple(flag.staff for flag in flags if flag.led)
    shapes = [Shape(tuple(flag.cloth for flag in flags), fill=palette.PAPER, stroke=palette.CORNER, width_mm=0.15)]
    if short:
        shapes.insert(0, Shape(short, closed=False, stroke=palette.CORNER, width_mm=0.3))
    if led:
        shapes.insert(0, Shape(led, closed=False, stroke=palette.INK, width_mm=0.15))
        shapes.append(Shape(tuple(circle(*staff[0][:2], _FOOT_MM) for staff in led), fill=palette.INK))
    return shapes


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
    """The bands of all rooms and the coated jambs: ground, dots, outline."""
    areas = [band for band in bands.values() if not band.is_empty]
    areas += [strip_area(strip, sheet) for o in plan.openings if o.sure for strip in o.strips]
    if not areas:
        return []
    whole = only_areas(shapely.union_all(areas))
    paths = sheet.areas(whole)
    return [
        Shape(paths, fill=palette.COAT),
        Shape(paths, dots=palette.DOTS),
        Shape(paths, stroke=palette.DOTS, width_mm=0.2),
    ]


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
        "hold": any(room.held for room in plan.rooms),
        "length": words.lengths,
        "letter": bool(words.flags),
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
        "check": labelled and any(not opening.sure for opening in plan.openings),
        "check_several": words.several,
        "unsure_room": labelled and any(not room.sure for room in plan.rooms),
    }
    return tuple(mark for mark in MARKS if used[mark])
