"""What a first start shows: what a plan without rooms says to do next, and the stops of the tour."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, QPoint, QRect, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from takeoff.language import mark, tr
from takeoff.ui.document import Document
from takeoff.ui.panels.form_fields import in_lines
from takeoff.ui.panels.page_parts import fill, label, set_text, stacked
from takeoff.views.job_steps import Stop

_NOTHING = (
    mark("Nothing to measure yet"),
    mark(
        "Open a drawing (DXF, IFC or PDF), or drop one on the window. Without a drawing, enter a site survey or draw "
        "the rooms. The sample job shows the result."
    ),
    (
        ("open", mark("Open a drawing or a job…")),
        ("draw-room", mark("Draw a room")),
        ("site-room", mark("Enter a site survey")),
        ("open-sample", mark("Open the sample job")),
    ),
)

_NO_ROOM = (
    mark("No room was found in this drawing"),
    mark(
        "Set on the page “Drawing” what its layers are for, click inside its walls to fill a room, or draw one over "
        "the lines."
    ),
    (("show-drawing", mark("See the layers")), ("fill-room", mark("Fill a room")), ("draw-room", mark("Draw a room"))),
)


_WIDE_PX, _BESIDE_PX = 610, 34
"""How wide the words over an empty plan are, and what of it is beside them."""


class EmptyPlan(QFrame):
    """Lies over the middle of the plan, or above a drawing, until there is a room. ``is_idle``: whether no
    tool needs the plan to itself."""

    wanted = Signal(str)
    """The id of the action whose button was pressed."""

    def __init__(self, document: Document, view: QWidget, is_idle: Callable[[], bool]) -> None:
        super().__init__(view)
        self._document, self._view, self._is_idle = document, view, is_idle
        self.setProperty("part", "bubble")
        self.title, self.text = label("", "heading", wrap=True), label("", "tour", wrap=True)
        self.buttons: list[QPushButton] = [QPushButton() for _ in range(len(_NOTHING[2]))]
        for button in self.buttons:
            button.setParent(self)
            button.setProperty("part", "small")
            button.clicked.connect(self._pressed)
        self._rows = QVBoxLayout()
        self._rows.setSpacing(6)
        self._lines: list[list[QPushButton]] = []
        down = stacked(self, (16, 12, 16, 12), 8)
        fill(down, self.title, self.text, self._rows)
        view.installEventFilter(self)
        document.opened.connect(self.refresh)
        document.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Say what fits the job as it is; nothing where it has rooms, or a picture to trace, of which its
        page says what to do."""
        drawing = self._document.drawing
        has_rooms = self._document.job.has_rooms
        if not self._is_idle() or has_rooms or (drawing is not None and drawing.picture is not None):
            self.hide()
            return
        has_lines = drawing is not None and len(drawing.lines) > 0
        title, text, actions = _NO_ROOM if has_lines else _NOTHING
        set_text(self.title, tr(title))
        set_text(self.text, tr(text))
        for button, (action, words) in zip(self.buttons, actions, strict=False):
            button.setText(tr(words))
            button.setObjectName(action)
        for number, button in enumerate(self.buttons):
            button.setVisible(number < len(actions))
        wide = min(_WIDE_PX, max(self._view.width() - 2 * _GAP_PX, WIDE_PX))
        self.setFixedWidth(wide)
        self._line_up(self.buttons[: len(actions)], wide - _BESIDE_PX)
        self._place(has_lines)
        self.show()

    def _line_up(self, shown: list[QPushButton], wide_px: int) -> None:
        """Buttons side by side as far as they have room."""
        lines = in_lines(shown, wide_px, 8)
        if lines == self._lines:
            return
        self._lines = lines
        while (taken := self._rows.takeAt(0)) is not None:
            row = taken.layout()
            while row is not None and row.takeAt(0) is not None:
                pass
        for line in lines:
            across = QHBoxLayout()
            across.setSpacing(8)
            for button in line:
                across.addWidget(button)
            across.addStretch(1)
            self._rows.addLayout(across)

    def _place(self, above: bool) -> None:
        # a frame does not ask by itself how high its broken lines stand at this width
        down = self.layout()
        if down is not None:
            self.setFixedHeight(down.totalHeightForWidth(self.width()))
        x = max((self._view.width() - self.width()) // 2, 0)
        y = 14 if above else max((self._view.height() - self.height()) // 2, 0)
        self.move(x, y)

    def _pressed(self) -> None:
        sender = self.sender()
        if sender is not None:
            self.wanted.emit(sender.objectName())

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Stay in the middle when the plan changes its size."""
        if event.type() == QEvent.Type.Resize and not self.isHidden():
            self.refresh()
        return super().eventFilter(watched, event)

    def keyPressEvent(self, event: object) -> None:  # noqa: N802 - Qt's name
        """Keys that no button wants are the plan's."""
        ignore = getattr(event, "ignore", None)
        if ignore is not None:
            ignore()


WIDE_PX = 360
_COUNT_PX = 50
"""What "1 of 10" takes."""

_GAP_PX, _MARGIN_PX = 14, 10


class TourBubble(QFrame):
    """Next and Enter go on, Back and the left arrow go back, Skip and Escape end."""

    next = Signal()
    back = Signal()
    ended = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._window = parent
        self.setProperty("part", "bubble")
        self.setFixedWidth(WIDE_PX)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.frame = QFrame(parent)
        self.frame.setProperty("part", "tour-frame")
        self.frame.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.frame.hide()
        self.title, self.text = label("", "heading", wrap=True), label("", "tour", wrap=True)
        self.count = label("", "grey")
        self.buttons = {
            key: QPushButton(words)
            for key, words in (("skip", tr("Skip the tour")), ("back", tr("Back")), ("next", tr("Next")))
        }
        self.buttons["next"].setProperty("part", "main")
        self.buttons["skip"].clicked.connect(self.ended)
        self.buttons["back"].clicked.connect(self.back)
        self.buttons["next"].clicked.connect(self.next)
        down = stacked(self, (16, 14, 16, 12), 8)
        fill(down, self.title, self.text, 4)
        # beside the count where all have room, in a language of longer words below it
        every: list[QWidget] = [self.count, *self.buttons.values()]
        lines = in_lines(every, WIDE_PX - _BESIDE_PX - _COUNT_PX, 8)
        for line in lines if len(lines) == 1 else [every[:1], every[1:]]:
            row = QHBoxLayout()
            row.setSpacing(8)
            row.addWidget(line[0])
            row.insertStretch(1 if line[0] is self.count else 0, 1)
            for widget in line[1:]:
                row.addWidget(widget)
            down.addLayout(row)
        self.hide()

    def show_stop(self, stop: Stop, number: int, of: int, target: QWidget) -> None:
        """Say what a stop says, beside its widget."""
        set_text(self.title, stop.title)
        set_text(self.text, stop.text)
        place = tr("{number} of {count}", number=number, count=of)
        set_text(self.count, place)
        last = number == of
        self.buttons["back"].setVisible(number > 1)
        self.buttons["skip"].setVisible(not last)
        self.buttons["next"].setText(tr("Done") if last else tr("Next"))
        self.setAccessibleName(tr("Tour, {place}: {title}. {text}", place=place, title=stop.title, text=stop.text))
        self.place_at(target)
        self.frame.show()
        self.show()
        self.frame.raise_()
        self.raise_()
        self.buttons["next"].setFocus()

    def place_at(self, target: QWidget) -> None:
        """Stand beside a widget, within the window, and frame the widget."""
        whole = self._window.rect()
        spot = QRect(target.mapTo(self._window, QPoint(0, 0)), target.size()).intersected(whole)
        self.frame.setGeometry(spot.adjusted(1, 1, -1, -1))
        tall = self.heightForWidth(WIDE_PX) if self.hasHeightForWidth() else self.sizeHint().height()
        self.resize(WIDE_PX, max(tall, self.sizeHint().height()))
        self.move(beside(spot, QSize(WIDE_PX, self.height()), whole))

    def end(self) -> None:
        """Go away."""
        self.hide()
        self.frame.hide()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """The arrows go on and back, Enter goes on, Escape ends."""
        key = event.key()
        if key in (Qt.Key.Key_Right, Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Down):
            self.next.emit()
        elif key in (Qt.Key.Key_Left, Qt.Key.Key_Up, Qt.Key.Key_Backspace):
            self.back.emit()
        elif key == Qt.Key.Key_Escape:
            self.ended.emit()
        else:
            super().keyPressEvent(event)


def beside(spot: QRect, size: QSize, whole: QRect) -> QPoint:
    """Where a bubble of a size stands: right, left, below or above of what it speaks of, else within it."""
    room = whole.adjusted(_MARGIN_PX, _MARGIN_PX, -_MARGIN_PX, -_MARGIN_PX)
    wide, tall = size.width(), size.height()
    choices = (
        QPoint(spot.right() + _GAP_PX, spot.top() + _GAP_PX),
        QPoint(spot.left() - _GAP_PX - wide, spot.top() + _GAP_PX),
        QPoint(spot.left() + _GAP_PX, spot.bottom() + _GAP_PX),
        QPoint(spot.left() + _GAP_PX, spot.top() - _GAP_PX - tall),
    )
    for at in choices:
        # it may slide along the widget to stay in the window, never over it
        slid = QPoint(
            min(max(at.x(), room.left()), room.right() - wide), min(max(at.y(), room.top()), room.bottom() - tall)
        )
        if not QRect(slid, size).intersects(spot) and room.contains(QRect(slid, size)):
            return slid
    return QPoint(spot.left() + 2 * _GAP_PX, spot.top() + 2 * _GAP_PX)
