"""Which way north lies on a plan: an arrow beside its scale bar."""

from __future__ import annotations

import math

import msgspec

from takeoff.language import tr
from takeoff.sheets import palette
from takeoff.sheets.captions import circle
from takeoff.sheets.picture import Caption, Measure, Picture, Shape

_RADIUS_MM, _APART_MM = 3.6, 5.0
_LETTER_OUT_MM, _LETTER_TALL_MM = 5.4, 1.8
"""How far from the middle the letter stands, and half of how tall it is."""
_ROOM_MM = 3.4
"""Room for the letter round the ring."""


def with_north(bar: Picture, north_deg: float | None, measure: Measure) -> Picture:
    """The scale bar with an arrow to north at its right; ``north_deg`` anticlockwise from the right, None for a plan
    that does not say, which leaves the bar as it is."""
    if north_deg is None:
        return bar
    side = 2 * (_RADIUS_MM + _ROOM_MM)
    lift = side - bar.height_mm
    shapes = [msgspec.structs.replace(shape, paths=_lifted(shape, lift)) for shape in bar.shapes]
    captions = [msgspec.structs.replace(caption, y_mm=caption.y_mm + lift) for caption in bar.captions]
    x, y = bar.width_mm + _APART_MM + side / 2, side / 2
    turn = math.radians(north_deg)
    ahead, across = (math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))

    def at(forward: float, left: float) -> tuple[float, float, float]:
        return x + forward * ahead[0] + left * across[0], y + forward * ahead[1] + left * across[1], 0.0

    tip, tail = at(_RADIUS_MM, 0.0), at(-0.45 * _RADIUS_MM, 0.0)
    wings = [at(-0.72 * _RADIUS_MM, side * 0.55 * _RADIUS_MM) for side in (1.0, -1.0)]
    shapes += [
        Shape((circle(x, y, _RADIUS_MM),), stroke=palette.GREY, width_mm=0.15),
        Shape(((tip, wings[0], tail),), fill=palette.INK, stroke=palette.INK, width_mm=0.15),
        Shape(((tip, wings[1], tail),), fill=palette.PAPER, stroke=palette.INK, width_mm=0.15),
    ]
    letter, size = tr("N"), palette.SMALLEST_PT
    at_x, at_y, _ = at(_LETTER_OUT_MM, 0.0)
    wide = measure(letter, palette.SEMIBOLD, size)
    captions.append(Caption(at_x - wide / 2, at_y - _LETTER_TALL_MM / 2, letter, palette.SEMIBOLD, size, palette.INK))
    return msgspec.structs.replace(
        bar, width_mm=bar.width_mm + _APART_MM + side, height_mm=side, shapes=tuple(shapes), captions=tuple(captions)
    )


def _lifted(shape: Shape, by_mm: float) -> tuple[tuple[tuple[float, float, float], ...], ...]:
    return tuple(tuple((x, y + by_mm, bulge) for x, y, bulge in path) for path in shape.paths)
