"""Right: all photos of the job as thumbnails, by place, and one as large as the window allows. Photos dropped on the
page are pinned to what is chosen.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import groupby
from pathlib import Path

import msgspec
from PySide6.QtCore import QBuffer, QByteArray, QEvent, QIODevice, QRect, QSize, Qt, Signal
from PySide6.QtGui import (
    QDragEnterEvent,
    QDropEvent,
    QImage,
    QImageReader,
    QKeyEvent,
    QPainter,
    QPaintEvent,
    QPixmap,
    QResizeEvent,
)
from PySide6.QtWidgets import QDialog, QGridLayout, QHBoxLayout, QLabel, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from takeoff.language import mark, tr
from takeoff.ui.panels.form_fields import TextField
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
MISSING = mark("The picture is not in the job’s file")

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
        self.setAccessibleName(tr("Photo {photo}, {place}", photo=tile.title, place=tile.tip))
        self.setToolTip(tile.tip)
        self.clicked.connect(self._open)
        self._data = data
        self._picture: QPixmap | None = None
        self._read = False
        if data is None:
            self.setToolTip(f"{tile.tip}. {tr(MISSING)}")

    @property
    def picture(self) -> QPixmap | None:
        """The thumbnail, made when it is first seen; None for one that is missing or damaged."""
        if not self._read and self._data is not None:
            ratio = self.devicePixelRatioF()
            side = round((TILE_PX - 8) * ratio)
            image = picture_within(self._data, QSize(side, side))
            if image is None:
                self.setToolTip(f"{self.tile.tip}. {tr('The picture is damaged')}")
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
            painter.drawText(ground.adjusted(6, 6, -6, -6), flags, tr("Cannot be shown"))
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
        self.button = QPushButton(tr("Add photos…"))
        self.button.setToolTip(tr("Photos of what is selected on the plan: a room, a wall face or an opening"))
        self.button.clicked.connect(self.add)
        self.groups: list[PhotoTiles] = []
        self._list = QVBoxLayout()
        self._list.setSpacing(6)
        down = scrolled(self)
        fill(down, label(tr("Photos"), "title"), self.note, self.button, self._list)
        down.addStretch(1)

    def show_photos(self, tiles: Sequence[Tile], chosen: str) -> None:
        """Show these photos; ``chosen``: what new ones would be pinned to, "" for nothing."""
        self.button.setEnabled(bool(chosen))
        words = (
            tr("New ones are pinned to {thing}.", thing=chosen)
            if chosen
            else tr("Select a room, a wall face or an opening on the plan, then add photos of it or drop them here.")
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


VIEWER_SHARE = 0.86
"""Of the window that the photo takes."""


class PhotoViewer(QDialog):
    """Opens over the window; Escape closes it."""

    noted = Signal(str, str)
    """(the photo's id, what was written under it)"""
    removed = Signal(str)
    shown_on_plan = Signal(str)
    moved = Signal(str)
    """The photo is to be pinned to what is chosen."""

    def __init__(self, parent: QWidget, data_of: Bytes) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(tr("Photo"))
        self._data_of = data_of
        self._tiles: tuple[Tile, ...] = ()
        self._at = 0
        self.picture = QLabel()
        self.picture.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.picture.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self.picture.setWordWrap(True)
        # the arrows turn the photos over until somebody goes to the note
        self.picture.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.where, self.count = label("", "heading"), label("", "grey", right=True)
        self.note = TextField("note", tr("What the photo shows"), tr("A note under the photo"), tr("What it shows"))
        self.note.typed.connect(self._noted)
        self.buttons = {
            "before": QPushButton(tr("Previous")),
            "next": QPushButton(tr("Next")),
            "place": QPushButton(tr("Show its place")),
            "pin": QPushButton(tr("Pin to selection")),
            "remove": QPushButton(tr("Remove")),
            "close": QPushButton(tr("Close")),
        }
        self._build()
        self.picture.setFocus()
        self.resize(parent.size() * VIEWER_SHARE)

    def _build(self) -> None:
        does = {
            "before": self._before,
            "next": self._after,
            "place": self._show_place,
            "pin": self._move,
            "remove": self._remove,
            "close": self.close,
        }
        head, foot = QHBoxLayout(), QHBoxLayout()
        head.addWidget(self.where, 1)
        head.addWidget(self.count)
        for word, button in self.buttons.items():
            button.setAutoDefault(False)
            button.clicked.connect(does[word])
            foot.addWidget(button)
            if word == "next":
                foot.addStretch(1)
        down = QVBoxLayout(self)
        down.setContentsMargins(16, 12, 16, 14)
        down.addLayout(head)
        down.addWidget(self.picture, 1)
        down.addWidget(self.note)
        down.addLayout(foot)

    def show_photos(self, tiles: Sequence[Tile], photo_id: str) -> None:
        """Show one of these photos; none left closes it."""
        self._tiles = tuple(tiles)
        if not self._tiles:
            self.close()
            return
        ids = [tile.id for tile in self._tiles]
        self._at = ids.index(photo_id) if photo_id in ids else min(self._at, len(ids) - 1)
        self._show()

    @property
    def tile(self) -> Tile:
        """The photo that is shown."""
        return self._tiles[self._at]

    def _show(self) -> None:
        tile = self.tile
        set_text(self.where, tile.tip)
        set_text(self.count, tr("{number} of {count}", number=self._at + 1, count=len(self._tiles)))
        self.note.show_text(tile.note)
        for word in ("before", "next"):
            self.buttons[word].setEnabled(len(self._tiles) > 1)
        self._draw()

    def _draw(self) -> None:
        if not self._tiles:
            return
        data = self._data_of(self.tile.sha256)
        ratio = self.devicePixelRatioF()
        room = QSize(max(self.picture.width(), 64), max(self.picture.height(), 64)) * ratio
        image = picture_within(data, room) if data is not None else None
        if image is None:
            self.picture.clear()
            self.picture.setText(
                tr("The picture is not in the job’s file: add it again.")
                if data is None
                else tr("The picture is damaged and cannot be shown: add it again.")
            )
            return
        pixmap = QPixmap.fromImage(image)
        pixmap.setDevicePixelRatio(ratio)
        self.picture.setPixmap(pixmap)
        self.picture.setAccessibleName(tr("Photo {photo}, {place}", photo=self.tile.title, place=self.tile.tip))

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """As large as there is room."""
        super().resizeEvent(event)
        self._draw()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Arrows turn the photos over."""
        if event.key() in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            self._turn(1 if event.key() == Qt.Key.Key_Right else -1)
        else:
            super().keyPressEvent(event)

    def _turn(self, by: int) -> None:
        self._at = (self._at + by) % len(self._tiles)
        self._show()

    def _before(self) -> None:
        self._turn(-1)

    def _after(self) -> None:
        self._turn(1)

    def _show_place(self) -> None:
        self.shown_on_plan.emit(self.tile.id)
        self.close()

    def _move(self) -> None:
        self.moved.emit(self.tile.id)

    def _remove(self) -> None:
        self.removed.emit(self.tile.id)

    def _noted(self, key: str, text: str) -> None:
        del key
        self.noted.emit(self.tile.id, text)
