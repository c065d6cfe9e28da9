"""A photo as large as the window allows, with its place and a note; the others by the arrow keys."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPixmap, QResizeEvent
from PySide6.QtWidgets import QDialog, QHBoxLayout, QLabel, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from takeoff.ui.panels.form_fields import TextField
from takeoff.ui.panels.page_parts import label, set_text
from takeoff.ui.panels.photos_page import MISSING, Bytes, Tile, picture_within

SHARE = 0.86
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
        self.setWindowTitle("Photo")
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
        self.note = TextField("note", "What the photo shows", "A note under the photo", "What it shows")
        self.note.typed.connect(self._noted)
        self.buttons = {
            word: QPushButton(word)
            for word in ("Before", "Next", "Show its place", "Pin to what is chosen", "Remove", "Close")
        }
        self._build()
        self.picture.setFocus()
        self.resize(parent.size() * SHARE)

    def _build(self) -> None:
        does = {
            "Before": self._before,
            "Next": self._after,
            "Show its place": self._show_place,
            "Pin to what is chosen": self._move,
            "Remove": self._remove,
            "Close": self.close,
        }
        head, foot = QHBoxLayout(), QHBoxLayout()
        head.addWidget(self.where, 1)
        head.addWidget(self.count)
        for word, button in self.buttons.items():
            button.setAutoDefault(False)
            button.clicked.connect(does[word])
            foot.addWidget(button)
            if word == "Next":
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
        set_text(self.count, f"{self._at + 1} of {len(self._tiles)}")
        self.note.show_text(tile.note)
        for word in ("Before", "Next"):
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
                f"{MISSING}: add it again."
                if data is None
                else "The picture is damaged and cannot be shown: add it again."
            )
            return
        pixmap = QPixmap.fromImage(image)
        pixmap.setDevicePixelRatio(ratio)
        self.picture.setPixmap(pixmap)
        self.picture.setAccessibleName(f"Photo {self.tile.title}, {self.tile.tip}")

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
