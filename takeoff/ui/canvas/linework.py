"""The imported drawing as read-only tiles of paths, filled from arrays through a data stream."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QByteArray, QDataStream, QIODevice, QRectF
from PySide6.QtGui import QPainter, QPainterPath, QPen
from PySide6.QtWidgets import QGraphicsItem, QGraphicsPathItem, QGraphicsScene, QStyleOptionGraphicsItem, QWidget

from takeoff.drawing.model import Drawing
from takeoff.sheets.sheet_values import Point
from takeoff.ui.themes import Theme

Floats = NDArray[np.float64]
LayerShow = Literal["on", "dimmed", "off"]

TILES = 32
"""Tiles each way over the drawing."""

_ARC_FACETS = 16
"""Straight pieces that an arc is shown as."""

_SMOOTH_BELOW = 20_000
"""Up to so many lines they are smoothed; more would make panning stumble."""

_EVERYWHERE = QRectF(-1e8, -1e8, 2e8, 2e8)

Z_DRAWING = 0.0
_ROLES: dict[LayerShow, str] = {"on": "line", "dimmed": "dim"}

_ELEMENT = np.dtype([("kind", ">i4"), ("x", ">f8"), ("y", ">f8")])
"""One element of a path as Qt streams it: 0 moves to, 1 draws a line to."""


class _Smoothing(QGraphicsItem):
    """Draws nothing; what comes after it is smoothed or not. One such item costs nothing, while a
    paint method of Python's own for each tile doubled the time of a repaint. Works only in a view that
    does not save the painter's state for each item."""

    def __init__(self, smooth: bool, z: float) -> None:
        super().__init__()
        self._smooth = smooth
        self.setZValue(z)

    def boundingRect(self) -> QRectF:  # noqa: N802 - Qt's name
        """Everywhere, so that it is never left out."""
        return _EVERYWHERE

    def paint(self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None) -> None:
        """Change how what follows is drawn."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, self._smooth)


class LineworkLayers:
    """The drawing on a scene; layers are shown, dimmed or left out by their index."""

    def __init__(self, scene: QGraphicsScene, theme: Theme) -> None:
        self._scene, self._theme = scene, theme
        self._tiles: list[tuple[LayerShow, QGraphicsPathItem]] = []
        self._before, self._after = _Smoothing(False, Z_DRAWING - 2.0), _Smoothing(True, Z_DRAWING + 1.0)
        scene.addItem(self._before)
        scene.addItem(self._after)
        self._segments: Floats = np.zeros((0, 4))
        self._layers: NDArray[np.int32] = np.zeros(0, np.int32)
        self._shows: dict[int, LayerShow] = {}

    @property
    def shows(self) -> Mapping[int, LayerShow]:
        """How each layer is shown, by its index in the drawing."""
        return self._shows

    @property
    def count(self) -> int:
        """How many straight pieces the drawing is shown as, whether its layers are on or off."""
        return len(self._segments)

    def set_drawing(self, drawing: Drawing | None, origin: Point, dimmed: bool = False) -> None:
        """Show a drawing about a local origin; None shows nothing. Layers that are off stay off.

        ``dimmed``: all of it stays back behind what was found in it.
        """
        if drawing is None:
            self._segments, self._layers = np.zeros((0, 4)), np.zeros(0, np.int32)
            self._shows = {}
        else:
            self._segments, self._layers = straight_pieces(drawing, origin)
            shown: LayerShow = "dimmed" if dimmed else "on"
            self._shows = {k: shown if layer.state == "on" else "off" for k, layer in enumerate(drawing.layers)}
        self._fill()

    def show_layers(self, shows: Mapping[int, LayerShow]) -> None:
        """Change how layers are shown; the others stay as they are."""
        self._shows.update(shows)
        self._fill()

    def set_theme(self, theme: Theme) -> None:
        """Show the lines in other colours."""
        self._theme = theme
        for show, tile in self._tiles:
            tile.setPen(self._pen(show))

    def box(self) -> tuple[float, float, float, float] | None:
        """(left, low, right, high) of what is shown, about the local origin; None for nothing."""
        shown = self._segments[self._mask(("on", "dimmed"))]
        if not len(shown):
            return None
        xs, ys = shown[:, (0, 2)], shown[:, (1, 3)]
        return float(xs.min()), float(ys.min()), float(xs.max()), float(ys.max())

    def _mask(self, wanted: tuple[LayerShow, ...]) -> NDArray[np.bool_]:
        chosen = [layer for layer, show in self._shows.items() if show in wanted]
        return np.isin(self._layers, chosen)

    def _fill(self) -> None:
        for _, tile in self._tiles:
            self._scene.removeItem(tile)
        self._tiles.clear()
        many = int(self._mask(("on", "dimmed")).sum()) > _SMOOTH_BELOW
        self._before.setVisible(many)
        self._after.setVisible(many)
        for show in ("dimmed", "on"):
            segments = self._segments[self._mask((show,))]
            for path in tiled_paths(segments):
                tile = QGraphicsPathItem(path)
                tile.setPen(self._pen(show))
                tile.setZValue(Z_DRAWING if show == "on" else Z_DRAWING - 1.0)
                self._scene.addItem(tile)
                self._tiles.append((show, tile))

    def _pen(self, show: LayerShow) -> QPen:
        pen = QPen(self._theme.colour(_ROLES[show]), 1.0)
        pen.setCosmetic(True)
        return pen


def straight_pieces(drawing: Drawing, origin: Point) -> tuple[Floats, NDArray[np.int32]]:
    """(n, 4) pieces about the origin, arcs as facets, and the layer of each."""
    lines = drawing.lines
    shift = np.array([*origin, *origin])
    pieces, layers = [lines.segments - shift], [lines.segment_layer]
    if len(lines.arcs):
        faceted = arc_facets(lines.arcs)
        pieces.append(faceted - shift)
        layers.append(np.repeat(lines.arc_layer, _ARC_FACETS))
    return np.concatenate(pieces), np.concatenate(layers)


def arc_facets(arcs: Floats) -> Floats:
    """(m, 5) arcs with bulges as (m × facets, 4) straight pieces; a bulge of 0 stays on its chord."""
    start, end, bulge = arcs[:, 0:2], arcs[:, 2:4], arcs[:, 4]
    flat = np.abs(bulge) < 1e-9  # a rise of a millionth of a mm over a metre
    b = np.where(flat, 1.0, bulge)
    chord = end - start
    apothem = ((1.0 - b * b) / (4.0 * b))[:, None]
    centre = (start + end) / 2.0 + np.column_stack((-chord[:, 1], chord[:, 0])) * apothem
    arm = start - centre
    steps = np.linspace(0.0, 1.0, _ARC_FACETS + 1)
    turn = 4.0 * np.arctan(b)[:, None] * steps
    cos, sin = np.cos(turn), np.sin(turn)
    x = centre[:, :1] + arm[:, :1] * cos - arm[:, 1:] * sin
    y = centre[:, 1:] + arm[:, :1] * sin + arm[:, 1:] * cos
    x = np.where(flat[:, None], start[:, :1] + chord[:, :1] * steps, x)
    y = np.where(flat[:, None], start[:, 1:] + chord[:, 1:] * steps, y)
    pieces = np.stack((x[:, :-1], y[:, :-1], x[:, 1:], y[:, 1:]), axis=2)
    return np.asarray(pieces.reshape(-1, 4))


def tiled_paths(segments: Floats, tiles: int = TILES) -> Iterator[QPainterPath]:
    """One path for every tile that has lines; a line belongs to the tile of its middle."""
    if not len(segments):
        return
    middles = (segments[:, :2] + segments[:, 2:]) / 2.0
    low, high = middles.min(axis=0), middles.max(axis=0)
    step = np.maximum((high - low) / tiles, 1e-9)
    cells = np.minimum(((middles - low) / step).astype(np.int64), tiles - 1)
    numbers = cells[:, 0] * tiles + cells[:, 1]
    order = np.argsort(numbers, kind="stable")
    ends = np.flatnonzero(np.diff(numbers[order])) + 1
    for part in np.split(order, ends):
        yield path_from(segments[part])


def path_from(segments: Floats) -> QPainterPath:
    """Separate lines as one path. Takes Qt's stream form; line by line where Qt reads it otherwise."""
    path = QPainterPath()
    if not len(segments):
        return path
    streamed = _streamed(segments)
    stream = QDataStream(streamed, QIODevice.OpenModeFlag.ReadOnly)
    stream >> path
    if path.elementCount() == 2 * len(segments):
        return path
    return _line_by_line(segments)


def _streamed(segments: Floats) -> QByteArray:
    """The bytes of a path: count of elements, the elements, where the last part starts, fill rule."""
    elements = np.empty(2 * len(segments), _ELEMENT)
    elements["kind"][0::2], elements["kind"][1::2] = 0, 1
    elements["x"][0::2], elements["y"][0::2] = segments[:, 0], segments[:, 1]
    elements["x"][1::2], elements["y"][1::2] = segments[:, 2], segments[:, 3]
    count = np.array([len(elements)], ">i4").tobytes()
    tail = np.array([len(elements) - 2, 0], ">i4").tobytes()
    return QByteArray(count + elements.tobytes() + tail)


def _line_by_line(segments: Iterable[Floats]) -> QPainterPath:
    path = QPainterPath()
    for x0, y0, x1, y1 in segments:
        path.moveTo(float(x0), float(y0))
        path.lineTo(float(x1), float(y1))
    return path
