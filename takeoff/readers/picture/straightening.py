"""A picture gets its place in the plan, by four points of a rectangle or by one known length, and is seen
square on, for the screen to trace over."""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec
import numpy as np
from PIL import Image

from takeoff.drawing.model import Drawing, Floats, Picture
from takeoff.errors import InputError
from takeoff.geometry.perspective import Point, apply, inverse, scale_from_known_length, straighten
from takeoff.language import tr
from takeoff.readers.picture.picture_file import eight_bit


def by_four_points(drawing: Drawing, points4: Sequence[Point], width_mm: float, height_mm: float) -> Drawing:
    """The drawing with its picture straightened: pixels (y down) to mm of the plan (y up).

    ``points4``: lower left, lower right, upper right, upper left corner, in pixels, of a rectangle
    of these sides. ``mm_per_px`` becomes the mean along them. Raises InputError as ``straighten``,
    and where the drawing has no picture.
    """
    if drawing.picture is None:
        raise InputError(tr("{file} has no picture to straighten: open a PNG, JPEG or TIFF.", file=drawing.name))
    matrix = straighten(points4, width_mm, height_mm)
    p = np.array(points4, np.float64)
    around_px = float(np.hypot(*(np.roll(p, -1, axis=0) - p).T).sum())
    return _with(drawing, matrix, 2.0 * (width_mm + height_mm) / around_px)


def by_known_length(drawing: Drawing, p: Point, q: Point, length_mm: float) -> Drawing:
    """The drawing with its picture scaled by one known length between two points on it.

    The points are in pixels; a picture that was straightened keeps its straightening and is only
    scaled. Raises InputError where the points are one, the length is none, or there is no picture.
    """
    picture = drawing.picture
    if picture is None:
        raise InputError(tr("{file} has no picture to scale: open a PNG, JPEG or TIFF.", file=drawing.name))
    if picture.mm_per_px is None:
        flat = np.array([[1.0, 0.0, 0.0], [0.0, -1.0, float(picture.height_px)], [0.0, 0.0, 1.0]])
        k = scale_from_known_length(p, q, length_mm)
        return _with(drawing, np.diag([k, k, 1.0]) @ flat, k)
    matrix = np.array(picture.matrix).reshape(3, 3)
    a, b = apply(matrix, np.array([p, q], np.float64)).tolist()
    k = scale_from_known_length((a[0], a[1]), (b[0], b[1]), length_mm)
    return _with(drawing, np.diag([k, k, 1.0]) @ matrix, picture.mm_per_px * k)


UNPLACED_MM = 20_000.0
"""How wide a picture is shown of which nobody has said how large it is."""


def shown_at(picture: Picture) -> tuple[Floats, float]:
    """(the matrix from pixels to mm by which a picture is shown, mm per pixel): its own, or while nobody
    has said how large it is, flat and UNPLACED_MM wide."""
    if picture.mm_per_px is not None:
        return np.array(picture.matrix, np.float64).reshape(3, 3), picture.mm_per_px
    k = UNPLACED_MM / picture.width_px
    return np.array([[k, 0.0, 0.0], [0.0, -k, k * picture.height_px], [0.0, 0.0, 1.0]]), k


def pixels_of(picture: Picture, points: Sequence[Point]) -> tuple[Point, ...]:
    """Points in mm, as they were clicked on the picture as it is shown, in its pixels. Raises InputError
    for a point that is nowhere on it."""
    back = apply(inverse(shown_at(picture)[0]), np.array(points, np.float64).reshape(-1, 2))
    if not np.isfinite(back).all():
        raise InputError(tr("A point lies beyond the picture's horizon: click on the picture."))
    return tuple((float(x), float(y)) for x, y in back)


def in_order(points: Sequence[Point]) -> tuple[Point, ...]:
    """Four corners clicked in any order, y up: lower left, lower right, upper right, upper left. Raises
    InputError where they are not four."""
    if len(points) != 4:
        raise InputError(tr("Straightening needs four points: pick the four corners of a rectangle."))
    x, y = (sum(p[k] for p in points) / 4.0 for k in (0, 1))
    around = sorted(points, key=lambda p: math.atan2(p[1] - y, p[0] - x))
    first = min(range(4), key=lambda k: around[k][0] + around[k][1])
    return tuple(around[(first + k) % 4] for k in range(4))


def _with(drawing: Drawing, matrix: Floats, mm_per_px: float) -> Drawing:
    assert drawing.picture is not None
    picture = msgspec.structs.replace(
        drawing.picture, mm_per_px=mm_per_px, matrix=tuple(float(v) for v in (matrix / matrix[2, 2]).ravel())
    )
    return msgspec.structs.replace(drawing, picture=picture, unit="mm", unit_mm=1.0)


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
        raise InputError(tr("A picture cannot be straightened without its scale: give one known length."))
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
        raise InputError(tr("Nothing of the picture would be seen: pick the four points again."))
    middle, reach = np.median(points, axis=0), BEYOND * mm_per_px * max(size)
    low = np.maximum(points.min(axis=0), middle - reach)
    top = np.minimum(points.max(axis=0), middle + reach)
    return float(low[0]), float(low[1]), float(top[0]), float(top[1])
