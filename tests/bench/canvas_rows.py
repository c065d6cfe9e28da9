"""Repaints of the plan's canvas against one bare path item, offscreen at 1920 × 1080."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QRectF
from PySide6.QtGui import QImage, QPainter, QPainterPath, QPen, QTransform
from PySide6.QtWidgets import QApplication, QFrame, QGraphicsPathItem, QGraphicsScene, QGraphicsView

from takeoff.drawing.model import Drawing, Layer, Linework
from takeoff.ui import themes
from takeoff.ui.app import application
from takeoff.ui.canvas.linework import LineworkLayers
from takeoff.ui.canvas.view import PlanView

SIZE = 1920, 1080
SIDE_MM = 60_000.0


def segments_of(count: int) -> NDArray[np.float64]:
    """Short walls all over a square, as plans have them."""
    rng = np.random.default_rng(7)
    starts = rng.uniform(0.0, SIDE_MM, (count, 2))
    lengths = rng.uniform(50.0, 2500.0, count)
    upright = rng.integers(0, 2, count).astype(bool)
    ends = starts + np.where(upright[:, None], np.stack([0 * lengths, lengths], 1), np.stack([lengths, 0 * lengths], 1))
    return np.concatenate([starts, ends], axis=1)


def bare_view(segments: NDArray[np.float64]) -> tuple[QGraphicsView, QGraphicsScene]:
    """One path item in a plain view, fitted: the floor. The scene must be kept as long as the view."""
    path = QPainterPath()
    for x0, y0, x1, y1 in segments:
        path.moveTo(x0, y0)
        path.lineTo(x1, y1)
    item = QGraphicsPathItem(path)
    pen = QPen(themes.load("light").colour("line"))
    pen.setCosmetic(True)
    item.setPen(pen)
    scene = QGraphicsScene()
    scene.addItem(item)
    view = QGraphicsView(scene)
    view.setFrameShape(QFrame.Shape.NoFrame)
    _show(view)
    scale = SIZE[1] / (SIDE_MM * 1.12)
    view.setTransform(QTransform.fromScale(scale, -scale))
    view.centerOn(SIDE_MM / 2, SIDE_MM / 2)
    return view, scene


def our_view(segments: NDArray[np.float64]) -> tuple[PlanView, LineworkLayers]:
    """The plan's own view with the same lines, fitted. The layers must be kept as long as the view."""
    theme = themes.load("light")
    view = PlanView(theme)
    linework = LineworkLayers(view.scene(), theme)
    drawing = Drawing(name="lines.dxf", layers=(Layer("A-WALL"),), lines=Linework(segments), unit="mm")
    linework.set_drawing(drawing, (0.0, 0.0))
    _show(view)
    view.set_box(0.0, 0.0, SIDE_MM, SIDE_MM)
    view.fit()
    return view, linework


def _show(view: QGraphicsView) -> None:
    """At its size: a view that was never shown has a viewport of any size."""
    view.resize(*SIZE)
    view.show()
    QApplication.processEvents()


class Painted:
    """A view that paints itself whole into one image when it is called."""

    def __init__(self, view: QGraphicsView) -> None:
        self.view = view
        self._image = QImage(*SIZE, QImage.Format.Format_RGB32)

    def __call__(self) -> None:
        painter = QPainter(self._image)
        self.view.render(painter, QRectF(0, 0, *SIZE), self.view.viewport().rect())
        painter.end()


FRAMES = 10
"""Repaints of one drag: a drag is a run of them, each painted right after the other."""


class Dragged(Painted):
    """A drag: moved by some px before each of its repaints."""

    def __call__(self) -> None:
        bar = self.view.horizontalScrollBar()
        for _ in range(FRAMES):
            bar.setValue(bar.value() + 3)
            super().__call__()


def fit_views(count: int) -> tuple[Painted, Painted, object]:
    """(bare, ours, what must be kept) fitted."""
    application()
    segments = segments_of(count)
    view, linework = our_view(segments)
    bare, scene = bare_view(segments)
    return Painted(bare), Painted(view), (scene, linework)


def zoomed_views(count: int) -> tuple[Painted, Painted, object]:
    """(ours fitted, ours zoomed to a room and dragged, what must be kept)."""
    application()
    segments = segments_of(count)
    fitted, one = our_view(segments)
    near, other = our_view(segments)
    near.show_area(20_000.0, 20_000.0, 26_000.0, 24_000.0)
    return Painted(fitted), Dragged(near), (one, other)
