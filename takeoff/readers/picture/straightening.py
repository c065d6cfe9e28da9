"""The picture itself seen square on, for the screen to trace over."""

from __future__ import annotations

import math

import numpy as np
from PIL import Image

from takeoff.drawing.model import Floats
from takeoff.errors import InputError
from takeoff.geometry.perspective import apply, inverse
from takeoff.readers.picture.reading import eight_bit

MOST_PIXELS = 60_000_000
BEYOND = 4.0
"""Parts of the picture that would lie so many times its straightened middle away are left out:
towards the horizon a photo grows without end."""


def straightened(
    image: Image.Image, matrix: Floats, mm_per_px: float, most_pixels: int = MOST_PIXELS
) -> tuple[Image.Image, tuple[float, float, float, float]]:
    """(the picture seen square on, the box x0 y0 x1 y1 in mm that it covers; its top is y1).

    ``matrix``: pixels (y down) to mm (y up), as ``straighten`` gives. White where the picture has
    nothing. At most ``most_pixels``. Raises InputError where nothing of it would be seen.
    """
    if not 0.0 < mm_per_px < 1e6:
        raise InputError("A picture cannot be straightened without its scale: give one known length.")
    x0, y0, x1, y1 = _covered(image.size, matrix, mm_per_px)
    step = max(mm_per_px, math.sqrt((x1 - x0) * (y1 - y0) / most_pixels))
    wide, high = max(1, round((x1 - x0) / step)), max(1, round((y1 - y0) / step))
    to_mm = np.array([[step, 0.0, x0], [0.0, -step, y1], [0.0, 0.0, 1.0]])
    back = inverse(matrix) @ to_mm
    back = back / back[2, 2]
    coefficients = tuple(float(v) for v in back.ravel()[:8])
    plain = eight_bit(image)
    seen = plain.transform(
        (wide, high),
        Image.Transform.PERSPECTIVE,
        coefficients,
        Image.Resampling.BILINEAR,
        fillcolor=255 if plain.mode == "L" else (255, 255, 255),
    )
    return seen, (x0, y1 - high * step, x0 + wide * step, y1)


def _covered(size: tuple[int, int], matrix: Floats, mm_per_px: float) -> tuple[float, float, float, float]:
    """The box in mm of the part of the picture on this side of the horizon, and not too far out."""
    wide, high = size
    grid = np.stack(np.meshgrid(np.linspace(0, wide, 41), np.linspace(0, high, 41)), axis=-1).reshape(-1, 2)
    w = np.column_stack((grid, np.ones(len(grid)))) @ matrix[2]
    near = np.sign(w) == np.sign(np.median(w))
    points = apply(matrix, grid[near])
    points = points[np.isfinite(points).all(axis=1)]
    if not len(points):
        raise InputError("Nothing of the picture would be seen: pick the four points again.")
    middle, reach = np.median(points, axis=0), BEYOND * mm_per_px * max(size)
    low = np.maximum(points.min(axis=0), middle - reach)
    top = np.minimum(points.max(axis=0), middle + reach)
    return float(low[0]), float(low[1]), float(top[0]), float(top[1])
