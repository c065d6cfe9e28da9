"""Right: all photos of the job as thumbnails, by place. Photos dropped on it are pinned to what is chosen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import groupby
from pathlib import Path

import msgspec
from PySide6.QtCore import QBuffer, QByteArray, QEvent, QIODevice, QRect, QSize, Qt, Signal
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QImage, QImageReader, QKeyEvent, QPainter, QPaintEvent, QPixmap
from PySide6.QtWidgets import QGridLayout, QPushButton, QVBoxLayout, QWidget

from takeoff.ui.panels.page_parts import empty, fill, label, scrolled, set_text
from takeoff.ui.themes import SMALL_PX, font


def picture_within(data: bytes, size: QSize) -> QImage | None:
    """The picture in ``data``, no larger than ``size`` in device pixels; None where it is damaged."""
    held = QByteArray(data)
    buffer = QBuffer(held)
    buffer.open(QIODevice.OpenModeFlag.ReadOnly)
    reader = QImageReader(buffer)
    reader.setAutoTransform(True)
    whole = reader.size()
    if whole.isValid() and (whole.width() > 2 * size.width() or whole.height() > 2 * size.height()):
        # a JPEG that is read at a fraction of its size takes a fraction of the time
        reader.setScaledSize(whole.scaled(size * 2, Qt.AspectRatioMode.KeepAspectRatio))
    image = reader.read()
    if image.isNull():
        return None
    if image.width() > size.width() or image.height() > size.height():
        image = image.scaled(size, Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.SmoothTransformation)
    return image


TILE_PX, WORDS_PX = 116, 22
MISSING = "The picture is not in the job's file"

Bytes = Callable[[str], bytes | None]
"""The bytes of a picture by its digest; None where the job has them not."""


class Tile(msgspec.Struct, frozen=True):
    """A photo in the row: its id, its picture's digest, what stands under it, what the tip says."""

    id: str
    sha256: str
    title: str
    tip: str
    note: str = ""


class PhotoTile(QPushButton):
    """One thumbnail with a line under it."""

    opened = Signal(str)
    removed = Signal(str)

    def __init__(self, tile: Tile, data: bytes | None) -> None:
        super().__init__()
        self.tile = tile
        self.setProperty("part", "photo")
        self.setFixedSize(TILE_PX, TILE_PX + WORDS_PX)
        self.setAccessibleName(f"Photo {tile.title}, {tile.tip}")
        self.setToolTip(tile.tip)
        self.clicked.connect(self._open)
        self._data = data
        self._picture: QPixmap | None = None
        self._read = False
        if data is None:
            self.setToolTip(f"{tile.tip}. {MISSING}")

    @property
    def picture(self) -> QPixmap | None:
        """The thumbnail, made when it is first seen; None for one that is missing or damaged."""
        if not self._read and self._data is not None:
            ratio = self.devicePixelRatioF()
            side = round((TILE_PX - 8) * ratio)
            image = picture_within(self._data, QSize(side, side))
            if image is None:
                self.setToolTip(f"{self.tile.tip}. The picture is damaged")
            else:
                self._picture = QPixmap.fromImage(image)
                self._picture.setDevicePixelRatio(ratio)
        self._read = True
        return self._picture

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """The picture in the middle, its title under it, ended with "…" where it is long."""
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        ground = QRect(4, 4, TILE_PX - 8, TILE_PX - 8)
        painter.setPen(self.palette().color(self.foregroundRole()))
        painter.setFont(font(SMALL_PX))
        picture = self.picture
        if picture is not None:
            size = picture.deviceIndependentSize()
            painter.drawPixmap(
                round(ground.center().x() - size.width() / 2), round(ground.center().y() - size.height() / 2), picture
            )
        else:
            painter.drawRect(ground)
            flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
            painter.drawText(ground.adjusted(6, 6, -6, -6), flags, "Not to be shown")
        words = painter.fontMetrics().elidedText(self.tile.title, Qt.TextElideMode.ElideRight, TILE_PX - 8)
        painter.drawText(QRect(4, TILE_PX - 2, TILE_PX - 8, WORDS_PX), Qt.AlignmentFlag.AlignCenter, words)
        painter.end()

    def event(self, event: QEvent) -> bool:
        """Delete is for the photo while it has the focus, and not for what is chosen on the plan."""
        if (
            isinstance(event, QKeyEvent)
            and event.type() == QEvent.Type.ShortcutOverride
            and event.key() == Qt.Key.Key_Delete
        ):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Enter opens, Delete takes away."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._open()
        elif event.key() == Qt.Key.Key_Delete:
            self.removed.emit(self.tile.id)
        else:
            super().keyPressEvent(event)

    def _open(self) -> None:
        self.opened.emit(self.tile.id)


class PhotoTiles(QWidget):
    """The thumbnails; only those that differ are made anew."""

    opened = Signal(str)
    removed = Signal(str)

    def __init__(self, data_of: Bytes) -> None:
        super().__init__()
        self._data_of = data_of
        self.tiles: list[PhotoTile] = []
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(8)
        self._grid.setColumnStretch(2, 1)

    def show_tiles(self, tiles: Sequence[Tile]) -> None:
        """Show these photos in this order."""
        if [made.tile for made in self.tiles] == list(tiles):
            return
        known = {made.tile: made for made in self.tiles}
        wanted = []
        for tile in tiles:
            made = known.pop(tile, None)
            if made is None:
                made = PhotoTile(tile, self._data_of(tile.sha256))
                made.opened.connect(self.opened)
                made.removed.connect(self.removed)
            wanted.append(made)
        for gone in known.values():
            gone.hide()
            self._grid.removeWidget(gone)
            gone.deleteLater()
        self.tiles = wanted
        for number, made in enumerate(wanted):
            self._grid.addWidget(made, number // 2, number % 2)
            made.show()


class PhotosPage(QWidget):
    """A heading for each place, its photos under it."""

    add = Signal()
    dropped = Signal(object)
    """The paths of files."""
    opened = Signal(str)
    removed = Signal(str)

    def __init__(self, data_of: Bytes) -> None:
        super().__init__()
        self._data_of = data_of
        self.setAcceptDrops(True)
        self._shown: tuple[Tile, ...] | None = None
        self.note = label("", "grey", wrap=True)
        self.button = QPushButton("Add photos…")
        self.button.setToolTip("Photos of what is chosen on the plan: a room, a wall face or an opening")
        self.button.clicked.connect(self.add)
        self.groups: list[PhotoTiles] = []
        self._list = QVBoxLayout()
        self._list.setSpacing(6)
        down = scrolled(self)
        fill(down, label("Photos", "title"), self.note, self.button, self._list)
        down.addStretch(1)

    def show_photos(self, tiles: Sequence[Tile], chosen: str) -> None:
        """Show these photos; ``chosen``: what new ones would be pinned to, "" for nothing."""
        self.button.setEnabled(bool(chosen))
        words = (
            f"New ones are pinned to {chosen}."
            if chosen
            else "Choose a room, a wall face or an opening on the plan, then add photos of it or drop them here."
        )
        set_text(self.note, words)
        if self._shown == tuple(tiles):
            return
        self._shown = tuple(tiles)
        empty(self._list)
        self.groups = []
        for place, group in groupby(tiles, key=lambda tile: tile.tip):
            own = PhotoTiles(self._data_of)
            own.opened.connect(self.opened)
            own.removed.connect(self.removed)
            own.show_tiles(tuple(group))
            self.groups.append(own)
            self._list.addWidget(label(place, "heading", wrap=True))
            self._list.addWidget(own)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:  # noqa: N802 - Qt's name
        """Files are welcome."""
        if event.mimeData().hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:  # noqa: N802 - Qt's name
        """Pin them."""
        paths = tuple(Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile())
        event.acceptProposedAction()
        if paths:
            self.dropped.emit(paths)
