"""The sheets' shapes as Qt paths, pens and brushes in the colours of a theme."""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import lru_cache

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QImage, QPainter, QPainterPath, QPen, QTransform

from takeoff.geometry.curves import Curve
from takeoff.sheets import palette
from takeoff.sheets.sheet_values import Course
from takeoff.ui.themes import Theme

ROLES = {
    palette.INK: "ink",
    palette.GREY: "grey",
    palette.PAPER: "paper",
    palette.HAIR: "hair",
    palette.WALL: "wall",
    palette.COAT: "coat",
    palette.HATCH: "hatch",
    palette.BEAD: "bead",
    palette.CORNER: "corner",
    palette.URGENT: "hold",
}
"""The paper's colours by the role that they play in a theme; role names stand for themselves."""

PX_PER_MM = 5.0
"""Pen widths and dashes: px on screen for a mm on paper."""

HATCH_PX = 8
"""Width of the hatch's tile: lines stand 5.7 px apart."""

_FINER = 4
"""The tile is drawn so much larger and shrunk, which smooths its lines."""


def colour_of(theme: Theme, colour: str) -> QColor:
    """The theme's colour for one of the paper's, or for a role."""
    return theme.colour(ROLES.get(colour, colour))


def path_of(courses: Iterable[Course], closed: bool, scale: float) -> QPainterPath:
    """Courses with bulges, times ``scale``, as one path filled by even-odd."""
    path = QPainterPath()
    path.setFillRule(Qt.FillRule.OddEvenFill)
    for course in courses:
        if course:
            _add(path, course, closed, scale)
    return path


def _add(path: QPainterPath, course: Course, closed: bool, scale: float) -> None:
    path.moveTo(course[0][0] * scale, course[0][1] * scale)
    following = (*course[1:], course[0]) if closed else course[1:]
    for here, after in zip(course, following, strict=False):
        if here[2]:
            _arc(path, Curve(here[0] * scale, here[1] * scale, after[0] * scale, after[1] * scale, here[2]))
        path.lineTo(after[0] * scale, after[1] * scale)
    if closed:
        path.closeSubpath()


def _arc(path: QPainterPath, curve: Curve) -> None:
    if not curve.bulge:
        return
    r = curve.radius
    # Qt's angles run clockwise where y is up: the box is the same, start and sweep change sign.
    path.arcTo(
        QRectF(curve.cx - r, curve.cy - r, 2 * r, 2 * r),
        -math.degrees(curve.a0),
        -math.degrees(curve.turn * curve.length / r),
    )


def pen_of(theme: Theme, stroke: str, width_mm: float, dash_mm: tuple[float, ...] = ()) -> QPen:
    """A cosmetic pen; no stroke gives no pen."""
    if not stroke:
        return QPen(Qt.PenStyle.NoPen)
    width = max(width_mm * PX_PER_MM, 1.0)
    pen = QPen(colour_of(theme, stroke), width)
    pen.setCosmetic(True)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    if dash_mm:
        pen.setDashPattern([max(length * PX_PER_MM / width, 0.5) for length in dash_mm])
    return pen


@lru_cache(maxsize=64)
def hatch_tile(rgba: int, falling: bool) -> QImage:
    """A tile with lines at 45°, drawn ``_FINER`` times as large as it shows."""
    side = HATCH_PX * _FINER
    image = QImage(side, side, QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(Qt.GlobalColor.transparent)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor.fromRgba(rgba), 1.1 * _FINER))
    for shift in (-side, 0, side):
        if falling:
            painter.drawLine(shift - side, -side, shift + 2 * side, 2 * side)
        else:
            painter.drawLine(shift - side, 2 * side, shift + 2 * side, -side)
    painter.end()
    return image


def hatch_brush(colour: QColor, falling: bool, world: QTransform) -> QBrush:
    """The hatch at one size on screen, anchored to the plan; ``world`` is the painter's transform."""
    brush = QBrush(hatch_tile(colour.rgba(), falling))
    sx, sy = world.m11() or 1.0, world.m22() or 1.0
    brush.setTransform(QTransform.fromScale(1.0 / (sx * _FINER), 1.0 / (sy * _FINER)))
    return brush
