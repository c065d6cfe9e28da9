"""What pages are put together of: labels and lines of the house's type, columns, the frame that scrolls.

Labels are told apart by the style sheet's property ``part``.
"""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont, QFontMetricsF, QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QFrame, QLabel, QLayout, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

Margins = tuple[int, int, int, int]
PAGE_PX: Margins = (18, 16, 18, 16)
FORM_PX: Margins = (16, 16, 8, 16)
"""Round a page, and round one of fields, which need the width."""


def label(text: str, part: str, wrap: bool = False, right: bool = False) -> QLabel:
    """A label of plain text. ``part`` as in the style sheet: "title", "figure", "dims" …"""
    made = QLabel(text)
    made.setProperty("part", part)
    made.setTextFormat(Qt.TextFormat.PlainText)
    made.setWordWrap(wrap)
    if right:
        made.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
    return made


class Elided(QLabel):
    """A line that never widens its window: what has no room ends in "…" and is whole in the tooltip."""

    def __init__(self, part: str = "grey") -> None:
        super().__init__()
        self.setProperty("part", part)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.whole = ""

    def say(self, text: str) -> None:
        """Say this."""
        if text != self.whole:
            self.whole = text
            self.setToolTip(text)
            self.setAccessibleName(text)
            self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Another width shows more or less of it."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        room = self.contentsRect().width()
        set_text(self, self.fontMetrics().elidedText(self.whole, Qt.TextElideMode.ElideRight, room))


def broken(words: str, wide_px: float, face: QFont) -> str:
    """The words in as many lines as they need to stand within a width; a single word is never parted."""
    letters = QFontMetricsF(face)
    lines: list[str] = []
    for word in words.split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and letters.horizontalAdvance(longer) <= wide_px:
            lines[-1] = longer
        else:
            lines.append(word)
    return "\n".join(lines)


def hair() -> QFrame:
    """A hairline across."""
    line = QFrame()
    line.setProperty("part", "hair")
    line.setFixedHeight(1)
    return line


def set_text(shown: QLabel, text: str) -> None:
    """Set a label's text where it differs."""
    if shown.text() != text:
        shown.setText(text)


def restyle(widget: QWidget, part: str) -> None:
    """Give a widget another part and its looks."""
    if widget.property("part") != part:
        widget.setProperty("part", part)
        widget.style().unpolish(widget)
        widget.style().polish(widget)


def empty(layout: QLayout) -> None:
    """Take every widget out of a layout."""
    while layout.count():
        taken = layout.takeAt(0)
        widget = taken.widget() if taken else None
        if widget is not None:
            widget.hide()
            widget.deleteLater()


def stacked(holder: QWidget, margins: Margins = (0, 0, 0, 0), spacing: int = 6) -> QVBoxLayout:
    """A column that fills a widget, px."""
    made = QVBoxLayout(holder)
    made.setContentsMargins(*margins)
    made.setSpacing(spacing)
    return made


def fill(layout: QBoxLayout, *items: QWidget | QLayout | int) -> None:
    """Put widgets, layouts and gaps of so many px one after another."""
    for item in items:
        if isinstance(item, QWidget):
            layout.addWidget(item)
        elif isinstance(item, QLayout):
            layout.addLayout(item)
        else:
            layout.addSpacing(item)


def scroll_frame(margins: Margins, spacing: int, takes_keys: bool = False) -> tuple[QScrollArea, QVBoxLayout]:
    """A frame that scrolls down and never across, and the column within it. ``takes_keys``: the Tab key comes to
    it too, so that what holds no field can be scrolled by the arrows."""
    inner = QWidget()
    inner.setProperty("part", "page")
    scroll = QScrollArea()
    scroll.setWidget(inner)
    scroll.setWidgetResizable(True)
    scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    scroll.setFrameShape(QFrame.Shape.NoFrame)
    if not takes_keys:
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    return scroll, stacked(inner, margins, spacing)


def scrolled(page: QWidget, margins: Margins = PAGE_PX, spacing: int = 6, takes_keys: bool = False) -> QVBoxLayout:
    """The column within a page that scrolls as a whole when it is long."""
    scroll, down = scroll_frame(margins, spacing, takes_keys)
    stacked(page).addWidget(scroll)
    return down
