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
    palette.DOTS: "hatch",
    palette.BEAD: "bead",
    palette.CORNER: "corner",
    palette.URGENT: "hold",
}
"""The paper's colours by the role that they play in a theme; role names stand for themselves."""

PX_PER_MM = 5.0
"""Pen widths and dashes: px on screen for a mm on paper."""

DOTS_PX = 7
"""Width of the tile of dots: one in its middle and a quarter of one in each corner."""
_DOT_PX = 1.9
"""How thick a dot is."""

_FINER = 4
"""The tile is drawn so much larger and shrunk, which smooths its dots."""


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
def dots_tile(rgba: int) -> QImage:
    """A tile of staggered dots, as drawings show plaster, drawn ``_FINER`` times as large as it shows."""
    side = DOTS_PX * _FINER
    image = QImage(side, side, QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(Qt.GlobalColor.transparent)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor.fromRgba(rgba))
    half = _DOT_PX * _FINER / 2.0
    for x, y in ((0, 0), (side, 0), (0, side), (side, side), (side / 2.0, side / 2.0)):
        painter.drawEllipse(QRectF(x - half, y - half, 2.0 * half, 2.0 * half))
    painter.end()
    return image


def dots_brush(colour: QColor, world: QTransform) -> QBrush:
    """The dots of the coat at one size on screen, anchored to the plan; ``world`` is the painter's transform."""
    brush = QBrush(dots_tile(colour.rgba()))
    sx, sy = world.m11() or 1.0, world.m22() or 1.0
    brush.setTransform(QTransform.fromScale(1.0 / (sx * _FINER), 1.0 / (sy * _FINER)))
    return brush
