"""How a face of the wall strip is painted, as one sees it from inside, and an opening that is dragged in it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPainterPath, QPen, QPolygonF, QTransform

from takeoff.measure.elevations import FlatRing
from takeoff.ui.canvas.pens import hatch_brush, pen_of
from takeoff.ui.document import Choice
from takeoff.ui.themes import Theme, font
from takeoff.ui.tools.opening_tools import STEP_MM, stepped
from takeoff.units.printing import dim3
from takeoff.views.figure_places import OnFace
from takeoff.views.room_seen import FaceDrawing, OpeningInFace

LINE_PX = 17.0
WORDS_PX = 2 * LINE_PX + 4.0
"""What the words under a face take."""

TICK_PX = 13.0
"""The box before a face's letter that is ticked where it is coated."""

_WASH_ALPHA = 46
"""How much the colour of what is chosen covers a lit area: coat and hatch stay visible."""


class FaceBrush:
    """Paints faces with what is chosen, lit and dragged at the moment."""

    def __init__(
        self,
        painter: QPainter,
        theme: Theme,
        scale: float,
        height: int,
        choice: Choice,
        lit: Mapping[str, OnFace],
        drag: StripDrag | None,
    ) -> None:
        self.painter, self.theme, self.scale, self.height = painter, theme, scale, height
        self.choice, self.lit, self.drag = choice, lit, drag

    def paint(self, face: FaceDrawing, box: QRectF) -> None:
        """Ground, coat, what stays, openings, outline, what is lit or dragged, and the words."""
        theme, e, painter = self.theme, face.elevation, self.painter
        painter.save()
        painter.setTransform(to_px(face, box, self.scale), combine=True)
        whole = path_of_rings(e.whole)
        painter.fillPath(whole, theme.colour("paper"))
        coat = path_of_rings(e.coat)
        painter.fillPath(coat, theme.colour("coat"))
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.fillPath(coat, hatch_brush(theme.colour("hatch"), False, painter.worldTransform()))
        painter.fillPath(path_of_rings(e.left_on), theme.colour("wall"))
        for opening, rings in e.openings:
            shape = path_of_rings(rings)
            painter.fillPath(shape, theme.colour("paper"))
            painter.strokePath(shape, pen_of(theme, "ink", 0.24))
            if self._is_chosen("opening", opening):
                painter.strokePath(shape, pen_of(theme, "chosen", 0.5, (1.6, 0.8)))
        painter.strokePath(whole, pen_of(theme, "ink", 0.28))
        if self._is_chosen("side", e.side):
            painter.strokePath(whole, pen_of(theme, "chosen", 0.5, (1.6, 0.8)))
        self._paint_lit(painter, e.side)
        if self.drag is not None and self.drag.face == face:
            moved = path_of_rings(self.drag.rings())
            wash = theme.colour("chosen")
            wash.setAlpha(_WASH_ALPHA)
            painter.fillPath(moved, wash)
            painter.strokePath(moved, pen_of(theme, "chosen", 0.5))
        painter.restore()
        self._write(painter, face, box)
        if self.drag is not None and self.drag.face == face:
            self._write_lengths(painter, face, box)

    def _write_lengths(self, painter: QPainter, face: FaceDrawing, box: QRectF) -> None:
        """What is left to both corners and to the floor while an opening is dragged."""
        assert self.drag is not None
        onto, paper = to_px(face, box, self.scale), self.theme.colour("paper")
        paper.setAlpha(225)
        painter.setFont(font(13, "semibold"))
        metrics = QFontMetricsF(painter.font())
        for u, z, words in self.drag.lengths():
            at = onto.map(QPointF(u, z))
            wide = metrics.horizontalAdvance(words) + 6.0
            ground = QRectF(at.x() - wide / 2.0, at.y() - LINE_PX / 2.0, wide, LINE_PX)
            painter.fillRect(ground, paper)
            painter.setPen(QPen(self.theme.colour("chosen")))
            painter.drawText(ground, Qt.AlignmentFlag.AlignCenter, words)

    def _paint_lit(self, painter: QPainter, side: str) -> None:
        lit = self.lit.get(side)
        if lit is None:
            return
        wash = self.theme.colour("chosen")
        wash.setAlpha(_WASH_ALPHA)
        for rings in lit.areas:
            path = path_of_rings(rings)
            painter.fillPath(path, wash)
            painter.strokePath(path, pen_of(self.theme, "chosen", 0.4, (1.6, 0.8)))
        for course in lit.lines:
            path = QPainterPath()
            path.addPolygon(QPolygonF([QPointF(u, z) for u, z in course]))
            painter.strokePath(path, pen_of(self.theme, "chosen", 0.8, (1.6, 0.8)))

    def _write(self, painter: QPainter, face: FaceDrawing, box: QRectF) -> None:
        painter.setFont(font(13))
        painter.setPen(QPen(self.theme.colour("ink")))
        wide = max(box.width(), words_px(face)) + 4.0
        for number, words in enumerate(face.words):
            top = self.height - WORDS_PX + 2.0 + number * LINE_PX
            shift = (TICK_PX + 5.0) / 2.0 if number == 0 else 0.0
            line = QRectF(box.center().x() - wide / 2 + shift, top, wide, LINE_PX)
            painter.drawText(line, Qt.AlignmentFlag.AlignCenter, words)
        self._paint_tick(painter, tick_box(face, box, self.height), face.coat)

    def _paint_tick(self, painter: QPainter, box: QRectF, coat: str) -> None:
        """Ticked where the face is coated, a dash where in part."""
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(self.theme.colour("grey" if coat == "none" else "ink"), 1.4))
        painter.drawRoundedRect(box.adjusted(0.7, 0.7, -0.7, -0.7), 2.5, 2.5)
        painter.setPen(QPen(self.theme.colour("ink"), 1.8))
        if coat == "part":
            painter.drawLine(QPointF(box.left() + 3.5, box.center().y()), QPointF(box.right() - 3.5, box.center().y()))
        elif coat == "whole":
            foot = QPointF(box.left() + 5.4, box.bottom() - 3.4)
            painter.drawLine(QPointF(box.left() + 3.0, box.top() + 6.6), foot)
            painter.drawLine(foot, QPointF(box.right() - 2.8, box.top() + 3.4))

    def _is_chosen(self, kind: str, name: str) -> bool:
        return not self.lit and any(ref.kind == kind and ref.id == name for ref in self.choice)


def to_px(face: FaceDrawing, box: QRectF, scale: float) -> QTransform:
    """From (u, z) mm: seen from inside the start of a side is on the right."""
    move = QTransform.fromTranslate(box.right(), box.bottom() + face.elevation.low_mm * scale)
    return QTransform.fromScale(-scale, -scale) * move


def tick_box(face: FaceDrawing, box: QRectF, height: int) -> QRectF:
    """Where the tick of a face is drawn in a strip of that height: before its letter."""
    wide = QFontMetricsF(font(13)).horizontalAdvance(face.words[0])
    left = box.center().x() - (wide + TICK_PX + 5.0) / 2.0
    top = height - WORDS_PX + 2.0 + (LINE_PX - TICK_PX) / 2.0
    return QRectF(left, top, TICK_PX, TICK_PX)


def words_px(face: FaceDrawing) -> float:
    """How wide the words under a face are, with its tick."""
    metrics = QFontMetricsF(font(13))
    return max(
        metrics.horizontalAdvance(words) + (TICK_PX + 5.0 if number == 0 else 0.0)
        for number, words in enumerate(face.words)
    )


def path_of_rings(rings: Iterable[FlatRing]) -> QPainterPath:
    """Rings as one path, holes by even-odd."""
    path = QPainterPath()
    path.setFillRule(Qt.FillRule.OddEvenFill)
    for ring in rings:
        path.addPolygon(QPolygonF([QPointF(u, z) for u, z in ring]))
        path.closeSubpath()
    return path


UP_FROM_MM = 60.0
"""A drag must go up or down so far before the sill moves: most drags mean the place along the wall."""


class StripDrag:
    """Where the opening would be. ``to`` follows the mouse in mm of the face."""

    def __init__(self, face: FaceDrawing, opening: OpeningInFace, u_mm: float, z_mm: float) -> None:
        self.face, self.opening = face, opening
        self._from_u, self._from_z = u_mm, z_mm
        self.along_mm = 0.0
        """How far it would move along this face, from its start."""
        self.up_mm = 0.0
        self.said = ""

    def to(self, u_mm: float, z_mm: float, reach_mm: float, free: bool = False) -> None:
        """The mouse is there now; ``free``: without steps."""
        opening, length = self.opening, self.face.elevation.length_mm
        wish = opening.from_mm + u_mm - self._from_u
        at, self.said = stepped(length, opening.to_mm - opening.from_mm, wish, reach_mm, free)
        self.along_mm = at - opening.from_mm
        up = z_mm - self._from_z
        self.up_mm = self._stepped_up(up, free) if opening.rises and abs(up) >= UP_FROM_MM else 0.0

    def _stepped_up(self, up_mm: float, free: bool) -> float:
        """Sills go by steps too, and stay between floor and ceiling."""
        opening, e = self.opening, self.face.elevation
        highest = max(e.high_mm - (opening.head_mm - opening.sill_mm), e.low_mm)
        sill = min(max(opening.sill_mm + up_mm, e.low_mm), highest)
        return (sill if free else round(sill / STEP_MM) * STEP_MM) - opening.sill_mm

    @property
    def has_moved(self) -> bool:
        """Whether it would be anywhere else."""
        return abs(self.along_mm) > 1e-6 or abs(self.up_mm) > 1e-6

    @property
    def host_mm(self) -> float:
        """How far it would move along its own wall, from that wall's start."""
        return self.along_mm if self.opening.is_host else -self.along_mm

    @property
    def sill_mm(self) -> float | None:
        """The new sill; None where it stays."""
        return self.opening.sill_mm + self.up_mm if self.up_mm else None

    def rings(self) -> tuple[FlatRing, ...]:
        """Its outline where it would be."""
        found: tuple[FlatRing, ...] = next(
            (rings for name, rings in self.face.elevation.openings if name == self.opening.id), ()
        )
        return tuple(tuple((u + self.along_mm, z + self.up_mm) for u, z in ring) for ring in found)

    def lengths(self) -> tuple[tuple[float, float, str], ...]:
        """(u, z, words): what is left to both corners and below, in the middle of each stretch."""
        opening, e = self.opening, self.face.elevation
        start, end = opening.from_mm + self.along_mm, opening.to_mm + self.along_mm
        sill, head = opening.sill_mm + self.up_mm, opening.head_mm + self.up_mm
        middle = (max(sill, e.low_mm) + min(head, e.high_mm)) / 2.0
        said = [
            (start / 2.0, middle, dim3(start / 1000.0)),
            ((end + e.length_mm) / 2.0, middle, dim3((e.length_mm - end) / 1000.0)),
        ]
        if opening.rises:
            said.append(((start + end) / 2.0, (e.low_mm + sill) / 2.0, dim3(sill / 1000.0)))
        return tuple(said)
