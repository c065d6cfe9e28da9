"""Right: what a new drawing changes, room by room, to be accepted or refused, with the storey before and now."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, Qt, Signal
from PySide6.QtGui import QBrush, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QHBoxLayout, QListWidget, QListWidgetItem, QWidget

from takeoff.language import tr
from takeoff.plan.model import Storey
from takeoff.plan.shape import chords, curves_of
from takeoff.ui.panels.form_fields import ChoiceField, Form, buttons, small_button
from takeoff.ui.panels.page_parts import label, scrolled, set_text
from takeoff.views.comparing_seen import ChangeRow, LieRow

NEW, OLD = "new", "old"
"""What may be drawn over the plan."""
_HIGH_PX = 150
_LIST_PX = 230
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
    variation; ``lay`` for the new storey that is meant to be set down by two places, ``seen`` that another storey, or
    another state, is to be seen over the plan."""

    chosen = Signal(str)
    take = Signal()
    write = Signal()
    lay = Signal()
    seen = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("part", "page")
        self._rows: tuple[ChangeRow, ...] = ()
        self._lies: tuple[LieRow, ...] = ()
        self.before = StoreyPicture(tr("Before"), Qt.BrushStyle.FDiagPattern)
        self.now = StoreyPicture(tr("Now"), Qt.BrushStyle.BDiagPattern)
        self.said = label("", "grey", wrap=True)
        self.fit = label("", "grey", wrap=True)
        over = ((NEW, tr("the new drawing")), (OLD, tr("the drawing before")), ("", tr("nothing")))
        self.over = ChoiceField(tr("What is drawn dashed over the plan"), over)
        self.lies = ChoiceField(tr("Which storey of the new drawings"), ())
        self.list = QListWidget()
        self.list.setAccessibleName(tr("Changes"))
        self.list.setWordWrap(True)
        self.list.setTextElideMode(Qt.TextElideMode.ElideNone)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setMinimumHeight(_LIST_PX)
        self.every = small_button(tr("Accept all"), tr("Tick every change"))
        self.none = small_button(tr("Refuse all"), tr("Tick no change; refused ones stay listed"))
        self.like = small_button(tr("Accept alike"), tr("Tick every change that is like the selected one"))
        self.unlike = small_button(tr("Refuse alike"), tr("Untick every change that is like the selected one"))
        self.into = small_button(tr("Put into the job"), tr("Change the job as ticked; one step to undo"))
        self.paper = small_button(tr("Write the variation…"), tr("Plans, list, price and a place to sign"))
        self.set_down = small_button(
            tr("Two places…"), tr("Click two places of the new drawing, then where they are in the plan")
        )
        self._build()
        self._connect()

    def _build(self) -> None:
        down = scrolled(self)
        down.addWidget(label(tr("Compare with a new drawing"), "title", wrap=True))
        down.addWidget(self.said)
        form = Form()
        form.pair((tr("Over the plan"), self.over))
        down.addLayout(form)
        heads, pictures = QHBoxLayout(), QHBoxLayout()
        for words, picture in ((tr("Before"), self.before), (tr("Now"), self.now)):
            heads.addWidget(label(words, "grey"))
            pictures.addWidget(picture)
        down.addLayout(heads)
        down.addLayout(pictures)
        down.addWidget(self.list)
        down.addWidget(buttons(self.every, self.none))
        down.addWidget(buttons(self.like, self.unlike))
        down.addWidget(buttons(self.into, self.paper))
        down.addWidget(label(tr("How the new drawing lies"), "group"))
        lies = Form()
        lies.pair((tr("Storey"), self.lies))
        down.addLayout(lies)
        down.addWidget(self.fit)
        down.addWidget(buttons(self.set_down))
        down.addStretch(1)

    def _connect(self) -> None:
        self.list.currentItemChanged.connect(self._current)
        self.every.clicked.connect(lambda: self._tick(Qt.CheckState.Checked))
        self.none.clicked.connect(lambda: self._tick(Qt.CheckState.Unchecked))
        self.like.clicked.connect(lambda: self._tick(Qt.CheckState.Checked, alike=True))
        self.unlike.clicked.connect(lambda: self._tick(Qt.CheckState.Unchecked, alike=True))
        self.into.clicked.connect(self.take)
        self.paper.clicked.connect(self.write)
        self.set_down.clicked.connect(self.lay)
        self.over.picked.connect(lambda _: self.seen.emit())
        self.lies.picked.connect(lambda _: self._lie_picked())

    def show_changes(
        self, rows: Sequence[ChangeRow], said: Sequence[str], refused: frozenset[str], lies: Sequence[LieRow] = ()
    ) -> None:
        """List the changes, ticked where they are not refused, and how the new storeys lie."""
        current = self.list.currentItem().data(_ROOM) if self.list.currentRow() >= 0 else None
        self._rows, self._lies = tuple(rows), tuple(lies)
        set_text(self.said, "\n".join(said))
        self.list.clear()
        for row in rows:
            item = QListWidgetItem(f"{row.words}\n{row.figures}")
            item.setToolTip(item.text())
            item.setData(_ROOM, row.room)
            item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
            item.setCheckState(Qt.CheckState.Unchecked if row.room in refused else Qt.CheckState.Checked)
            self.list.addItem(item)
        for button in (self.every, self.none, self.like, self.unlike, self.into, self.paper):
            button.setEnabled(bool(rows))
        self.lies.offer([(one.key, one.words) for one in lies])
        self.set_down.setEnabled(bool(lies))
        self.show_lie(self.lie)
        if rows:
            self.list.setCurrentRow(next((k for k, row in enumerate(rows) if row.room == current), 0))
        self.seen.emit()

    @property
    def refused(self) -> frozenset[str]:
        """The rooms whose changes are not ticked."""
        items = [self.list.item(k) for k in range(self.list.count())]
        return frozenset(str(i.data(_ROOM)) for i in items if i.checkState() != Qt.CheckState.Checked)

    @property
    def lie(self) -> int:
        """Which new storey is meant; 0 where there is none."""
        return max(0, self.lies.currentIndex())

    def show_lie(self, number: int) -> None:
        """Mean this new storey from now on."""
        if number < len(self._lies):
            self.lies.setCurrentIndex(number)
        set_text(self.fit, self._lies[number].fit if number < len(self._lies) else "")

    def _lie_picked(self) -> None:
        self.show_lie(self.lie)
        self.seen.emit()

    def _tick(self, state: Qt.CheckState, alike: bool = False) -> None:
        meant = self._rows[self.list.currentRow()].alike if alike and self.list.currentRow() >= 0 else None
        for k, row in enumerate(self._rows):
            if meant is None or row.alike == meant:
                self.list.item(k).setCheckState(state)

    def _current(self, item: QListWidgetItem | None, before: object = None) -> None:
        del before
        if item is not None:
            self.chosen.emit(str(item.data(_ROOM)))
