"""A picture gets its place in the plan: by four points of a rectangle, or by one known length."""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec
import numpy as np

from takeoff.drawing.model import Drawing, Floats, Picture
from takeoff.errors import InputError
from takeoff.geometry.perspective import Point, apply, inverse, scale_from_known_length, straighten


def by_four_points(drawing: Drawing, points4: Sequence[Point], width_mm: float, height_mm: float) -> Drawing:
    """The drawing with its picture straightened: pixels (y down) to mm of the plan (y up).

    ``points4``: lower left, lower right, upper right, upper left corner, in pixels, of a rectangle
    of these sides. ``mm_per_px`` becomes the mean along them. Raises InputError as ``straighten``,
    and where the drawing has no picture.
    """
    if drawing.picture is None:
        raise InputError(f"{drawing.name} has no picture to straighten: open a PNG, JPEG or TIFF.")
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
        raise InputError(f"{drawing.name} has no picture to scale: open a PNG, JPEG or TIFF.")
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
        raise InputError("A point lies beyond the picture's horizon: click on the picture.")
    return tuple((float(x), float(y)) for x, y in back)


def in_order(points: Sequence[Point]) -> tuple[Point, ...]:
    """Four corners clicked in any order, y up: lower left, lower right, upper right, upper left. Raises
    InputError where they are not four."""
    if len(points) != 4:
        raise InputError("Straightening needs four points: pick the four corners of a rectangle.")
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
