"""Right: all photos of the job, by place. Photos that are dropped on it are pinned to what is chosen."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QFrame, QPushButton, QScrollArea, QVBoxLayout, QWidget

from takeoff.ui.panels.photo_tiles import Bytes, PhotoTiles, Tile
from takeoff.ui.panels.words import empty, label, set_text


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
        inner = QWidget()
        inner.setProperty("part", "page")
        down = QVBoxLayout(inner)
        down.setContentsMargins(18, 16, 18, 16)
        down.setSpacing(6)
        down.addWidget(label("Photos", "title"))
        down.addWidget(self.note)
        down.addWidget(self.button)
        down.addLayout(self._list)
        down.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidget(inner)
        scroll.setWidgetResizable(True)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(scroll)

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
