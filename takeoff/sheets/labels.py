"""Where a room's label goes: whole within the room, clear of coat, doors and other marks."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import msgspec
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from takeoff.sheets import palette
from takeoff.sheets.model import Point
from takeoff.sheets.picture import Caption, Measure, Shape, diamond, question

_NAME_PT = 10.5
_FIGURE_PT = 9.5
_LEADING, _TIGHT = 1.32, 0.8
_CLEAR_MM = 0.8
"""Space kept around a label."""

_GRID = 21
"""Places tried across a room, each way."""

_DIAMOND_MM = 6.2
_ABREAST_MM = 2.0
"""Space between a name and its figure on one line."""

_MOST_LINES = 4
"""A name is broken over no more lines than this."""


class Block(msgspec.Struct, frozen=True):
    """Lines of a label, set centred: (text, style, size in pt, colour).

    ``asked`` puts a diamond *before* the lines or *above* them; ``abreast``: all in one line, for
    corridors; ``number``: set tight.
    """

    lines: tuple[tuple[str, str, float, str], ...]
    asked: Literal["", "before", "above"] = ""
    number: bool = False
    abreast: bool = False

    def rows(self) -> tuple[tuple[tuple[str, str, float, str], ...], ...]:
        """The pieces that stand side by side, row by row."""
        return (self.lines,) if self.abreast else tuple((piece,) for piece in self.lines)

    def line_mm(self, size: float) -> float:
        """Height of a line; a number is set as tight as its digits are high."""
        return size * palette.PT_MM * (_TIGHT if self.number else _LEADING)

    def size(self, measure: Measure) -> tuple[float, float]:
        """(width, height) in mm."""
        wide = max(_row_mm(row, measure) for row in self.rows())
        tall = sum(self.line_mm(row[0][2]) for row in self.rows())
        if self.asked == "before":
            return wide + _DIAMOND_MM, max(tall, _DIAMOND_MM)
        return (max(wide, _DIAMOND_MM), tall + _DIAMOND_MM) if self.asked else (wide, tall)


def blocks(name: str, figure: str, asked: bool) -> list[Block]:
    """The forms a label may take, best first: two lines, then name and figure broken over more."""
    marks: tuple[Literal["", "before", "above"], ...] = ("before", "above") if asked else ("",)
    names = [_broken(name, lines) for lines in range(1, min(len(name.split()), _MOST_LINES) + 1)]
    figures: list[tuple[str, ...]] = [(figure,)] if figure else [()]
    if len(figure.split()) > 2:
        # "41.3 m²" over "to coat": figure and unit stay together.
        words = figure.split()
        figures.append((" ".join(words[:2]), " ".join(words[2:])))
    forms = [(first, second, False) for second in figures for first in names]
    forms.insert(1, (names[0], figures[0], True))
    return [
        Block(
            (
                *_set(first, palette.SEMIBOLD, name_pt, palette.INK),
                *_set(second, palette.REGULAR, figure_pt, palette.GREY),
            ),
            mark,
            abreast=abreast,
        )
        for name_pt, figure_pt in ((_NAME_PT, _FIGURE_PT), (palette.SMALLEST_PT, palette.SMALLEST_PT))
        for first, second, abreast in forms
        for mark in marks
    ]


def number_block(number: int, asked: bool) -> Block:
    """What stands in a room too small for its label."""
    lines = _set((str(number),), palette.SEMIBOLD, palette.SMALLEST_PT, palette.INK)
    return Block(lines, "before" if asked else "", number=True)


def _set(texts: Sequence[str], style: str, size: float, colour: str) -> tuple[tuple[str, str, float, str], ...]:
    return tuple((text, style, size, colour) for text in texts)


def _row_mm(row: Sequence[tuple[str, str, float, str]], measure: Measure) -> float:
    """Width of pieces side by side."""
    return sum(measure(text, style, size) for text, style, size, _ in row) + _ABREAST_MM * (len(row) - 1)


def _broken(name: str, lines: int) -> tuple[str, ...]:
    """A name broken at blanks into so many lines of about the same length."""
    if lines == 1:
        return (name,)
    words = name.split()
    wish = len(name) / lines
    at = min(range(1, len(words) - lines + 2), key=lambda k: abs(len(" ".join(words[:k])) - wish))
    return (" ".join(words[:at]), *_broken(" ".join(words[at:]), lines - 1))


class Ground(msgspec.Struct, frozen=True):
    """A room on paper (mm): what of it is free, and where a label would stand best."""

    space: BaseGeometry
    free: BaseGeometry
    wish: Point


def ground_of(space: BaseGeometry, taken: Sequence[BaseGeometry]) -> Ground:
    """The ground of a room's space less what is taken."""
    near = [shape for shape in taken if _boxes_meet(space.bounds, shape.bounds)]
    free = space.difference(shapely.union_all(near)) if near else space
    shapely.prepare(free)
    return Ground(space, free, _wish(space))


def place(block: Block, ground: Ground, measure: Measure) -> Point | None:
    """The middle of the free place for a block that is nearest to the best one; None for no place."""
    clear = _CLEAR_MM / 4 if block.number else _CLEAR_MM
    wide, tall = (side + 2 * clear for side in block.size(measure))
    left, low, right, high = ground.space.bounds
    if right - left < wide or high - low < tall:
        return None
    xs = np.append(np.linspace(left + wide / 2, right - wide / 2, _GRID), ground.wish[0])
    ys = np.append(np.linspace(low + tall / 2, high - tall / 2, _GRID), ground.wish[1])
    gx, gy = (grid.ravel() for grid in np.meshgrid(xs, ys))
    order = np.argsort(np.hypot(gx - ground.wish[0], gy - ground.wish[1]), kind="stable")
    gx, gy = gx[order], gy[order]
    boxes = shapely.box(gx - wide / 2, gy - tall / 2, gx + wide / 2, gy + tall / 2)
    fits = np.flatnonzero(shapely.contains(ground.free, boxes))
    return (float(gx[fits[0]]), float(gy[fits[0]])) if fits.size else None


def _boxes_meet(a: Sequence[float], b: Sequence[float]) -> bool:
    return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]


def box_of(block: Block, at: Point, measure: Measure) -> BaseGeometry:
    """The area a placed block takes."""
    wide, tall = block.size(measure)
    return shapely.box(at[0] - wide / 2, at[1] - tall / 2, at[0] + wide / 2, at[1] + tall / 2)


def set_block(block: Block, at: Point, measure: Measure) -> tuple[list[Caption], list[Shape]]:
    """The captions of a placed block, and its diamond."""
    wide, tall = block.size(measure)
    shift = _DIAMOND_MM / 2 if block.asked == "before" else 0.0
    inked = sum(block.line_mm(row[0][2]) for row in block.rows())
    captions: list[Caption] = []
    y = at[1] + inked / 2 - (_DIAMOND_MM / 2 if block.asked == "above" else 0.0)
    for row in block.rows():
        y -= block.line_mm(row[0][2])
        x = at[0] + shift - _row_mm(row, measure) / 2
        below = (0.04 if block.number else 0.35) * row[0][2] * palette.PT_MM
        for text, style, size, colour in row:
            captions.append(Caption(x, y + below, text, style, size, colour))
            x += measure(text, style, size) + _ABREAST_MM
    if not block.asked:
        return captions, []
    dx, dy = at[0], at[1] + tall / 2 - _DIAMOND_MM / 2
    if block.asked == "before":
        dx, dy = at[0] - wide / 2 + _DIAMOND_MM / 2 - 0.4, at[1]
    return [*captions, question(dx, dy, measure)], [diamond(dx, dy)]


def _wish(space: BaseGeometry) -> Point:
    """The middle of a compact room, else the middle of its widest part."""
    centre = space.centroid
    widest = shapely.maximum_inscribed_circle(space, tolerance=max(space.length / 400, 0.05))
    middle = shapely.get_point(widest, 0)
    reach = shapely.length(widest)
    if space.contains(centre) and shapely.distance(centre, space.boundary) > 0.8 * reach:
        return centre.x, centre.y
    return middle.x, middle.y
