"""What a plan without rooms says to do next, in its middle, with the actions themselves."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from takeoff.ui.document import Document
from takeoff.ui.panels.words import label, set_text

_NOTHING = (
    "Nothing to measure yet",
    "Open a drawing (DXF, IFC or PDF) or drop one on the window. Without a drawing, key what you read on "
    "site, or draw the rooms. The sample job shows what comes of it.",
    (
        ("open", "Open a drawing or a job…"),
        ("draw-room", "Draw a room"),
        ("site-room", "Key site readings"),
        ("open-sample", "Open the sample job"),
    ),
)

_NO_ROOM = (
    "No room was found in this drawing",
    "Say on the page “Drawing” what its layers are for, fill a room by a click inside its walls, or draw one "
    "over the lines.",
    (("show-drawing", "Look at the layers"), ("fill-room", "Fill a room"), ("draw-room", "Draw a room")),
)


_WIDE_PX = 610


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
        row = QHBoxLayout()
        row.setSpacing(8)
        for button in self.buttons:
            button.setProperty("part", "small")
            button.clicked.connect(self._pressed)
            row.addWidget(button)
        row.addStretch(1)
        down = QVBoxLayout(self)
        down.setContentsMargins(16, 12, 16, 12)
        down.setSpacing(8)
        down.addWidget(self.title)
        down.addWidget(self.text)
        down.addLayout(row)
        self.setFixedWidth(_WIDE_PX)
        view.installEventFilter(self)
        document.opened.connect(self.refresh)
        document.changed.connect(self._listen)
        self.refresh()

    def refresh(self) -> None:
        """Say what fits the job as it is; nothing where it has rooms, or a picture to trace, of which its
        page says what to do."""
        drawing = self._document.drawing
        has_rooms = any(storey.rooms for storey in self._document.job.storeys)
        if not self._is_idle() or has_rooms or (drawing is not None and drawing.picture is not None):
            self.hide()
            return
        has_lines = drawing is not None and len(drawing.lines) > 0
        title, text, actions = _NO_ROOM if has_lines else _NOTHING
        set_text(self.title, title)
        set_text(self.text, text)
        for button, (action, words) in zip(self.buttons, actions, strict=False):
            button.setText(words)
            button.setObjectName(action)
        for number, button in enumerate(self.buttons):
            button.setVisible(number < len(actions))
        self._place(has_lines)
        self.show()

    def _place(self, above: bool) -> None:
        # a frame does not ask by itself how high its broken lines stand at this width
        down = self.layout()
        if down is not None:
            self.setFixedHeight(down.totalHeightForWidth(_WIDE_PX))
        x = max((self._view.width() - self.width()) // 2, 0)
        y = 14 if above else max((self._view.height() - self.height()) // 2, 0)
        self.move(x, y)

    def _pressed(self) -> None:
        sender = self.sender()
        if sender is not None:
            self.wanted.emit(sender.objectName())

    def _listen(self, before: object, after: object) -> None:
        del before, after
        self.refresh()

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
