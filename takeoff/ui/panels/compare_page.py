"""Right: what a new drawing changes, room by room, to be accepted or refused, with the storey before and now."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, Qt, Signal
from PySide6.QtGui import QBrush, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QHBoxLayout, QListWidget, QListWidgetItem, QWidget

from takeoff.language import tr
from takeoff.plan.model import Storey
from takeoff.plan.shape import chords, curves_of
from takeoff.ui.panels.form_fields import buttons, small_button
from takeoff.ui.panels.page_parts import label, scrolled, set_text
from takeoff.views.comparing_seen import ChangeRow

_HIGH_PX = 190
_MARGIN_PX = 8.0
_ROOM = Qt.ItemDataRole.UserRole


class StoreyPicture(QWidget):
    """The rooms of a storey as outlines; the one that is spoken of is hatched."""

    def __init__(self, name: str, pattern: Qt.BrushStyle) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.setMinimumHeight(_HIGH_PX)
        self._pattern = pattern
        self._storey: Storey | None = None
        self._room = ""
        self._box = (0.0, 0.0, 1.0, 1.0)

    def show_storey(self, storey: Storey | None, room: str, box: tuple[float, float, float, float]) -> None:
        """Show this storey within a box of the plan (left, low, right, high in mm)."""
        self._storey, self._room, self._box = storey, room, box
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the outlines, y upwards."""
        del event
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        left, low, right, high = self._box
        across, up = self.width() - 2 * _MARGIN_PX, self.height() - 2 * _MARGIN_PX
        scale = min(across / max(right - left, 1.0), up / max(high - low, 1.0))
        ink = self.palette().windowText().color()
        for room in self._storey.rooms if self._storey is not None else ():
            for ring in room.rings:
                points = [
                    QPointF(_MARGIN_PX + (x - left) * scale, self.height() - _MARGIN_PX - (y - low) * scale)
                    for x, y in chords(curves_of(ring))
                ]
                chosen = str(room.id) == self._room
                painter.setPen(QPen(ink, 2.0 if chosen else 1.0))
                painter.setBrush(QBrush(ink, self._pattern) if chosen else QBrush(Qt.BrushStyle.NoBrush))
                painter.drawPolygon(QPolygonF(points))
        painter.end()


class ComparePage(QWidget):
    """``chosen`` tells a room's id, ``take`` asks for what is ticked to be put into the job, ``write`` for the
    variation."""

    chosen = Signal(str)
    take = Signal()
    write = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("part", "page")
        self.before = StoreyPicture(tr("Before"), Qt.BrushStyle.FDiagPattern)
        self.now = StoreyPicture(tr("Now"), Qt.BrushStyle.BDiagPattern)
        self.said = label("", "grey", wrap=True)
        self.list = QListWidget()
        self.list.setAccessibleName(tr("Changes"))
        self.list.setWordWrap(True)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setMinimumHeight(220)
        self.list.currentItemChanged.connect(self._current)
        self.every = small_button(tr("Accept all"), tr("Tick every change"))
        self.none = small_button(tr("Refuse all"), tr("Tick no change; refused ones stay listed"))
        self.into = small_button(tr("Put into the job"), tr("Change the job as ticked; one step to undo"))
        self.paper = small_button(tr("Write the variation…"), tr("Plans, list, price and a place to sign"))
        self.every.clicked.connect(lambda: self._tick(Qt.CheckState.Checked))
        self.none.clicked.connect(lambda: self._tick(Qt.CheckState.Unchecked))
        self.into.clicked.connect(self.take)
        self.paper.clicked.connect(self.write)
        down = scrolled(self)
        down.addWidget(label(tr("Compare with a new drawing"), "title", wrap=True))
        down.addWidget(self.said)
        heads, pictures = QHBoxLayout(), QHBoxLayout()
        for words, picture in ((tr("Before"), self.before), (tr("Now"), self.now)):
            heads.addWidget(label(words, "grey"))
            pictures.addWidget(picture)
        down.addLayout(heads)
        down.addLayout(pictures)
        down.addWidget(self.list)
        down.addWidget(buttons(self.every, self.none))
        down.addWidget(buttons(self.into, self.paper))
        down.addStretch(1)

    def show_changes(self, rows: Sequence[ChangeRow], said: Sequence[str], refused: frozenset[str]) -> None:
        """List the changes, ticked where they are not refused."""
        set_text(self.said, "\n".join(said))
        self.list.clear()
        for row in rows:
            item = QListWidgetItem(f"{row.words}\n{row.figures}")
            item.setData(_ROOM, row.room)
            item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
            item.setCheckState(Qt.CheckState.Unchecked if row.room in refused else Qt.CheckState.Checked)
            self.list.addItem(item)
        for button in (self.every, self.none, self.into, self.paper):
            button.setEnabled(bool(rows))
        if rows:
            self.list.setCurrentRow(0)

    @property
    def refused(self) -> frozenset[str]:
        """The rooms whose changes are not ticked."""
        items = [self.list.item(k) for k in range(self.list.count())]
        return frozenset(str(i.data(_ROOM)) for i in items if i.checkState() != Qt.CheckState.Checked)

    def _tick(self, state: Qt.CheckState) -> None:
        for k in range(self.list.count()):
            self.list.item(k).setCheckState(state)

    def _current(self, item: QListWidgetItem | None, before: object = None) -> None:
        del before
        if item is not None:
            self.chosen.emit(str(item.data(_ROOM)))
