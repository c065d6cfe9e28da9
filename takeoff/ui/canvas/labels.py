"""Names and figures of rooms: upright, of one size at any zoom, in the best form that has room."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QBrush
from PySide6.QtWidgets import QGraphicsItem, QGraphicsRectItem, QGraphicsScene, QGraphicsSimpleTextItem

from takeoff.ui.canvas.pieces import BAND_MM, Z_WORDS, Words
from takeoff.ui.themes import Theme, font

LINE_PX = 20.0
"""From one line of a label to the next."""

_MARGIN_PX = 6.0
"""What a label keeps free between itself and the band."""

Form = tuple[tuple[str, bool], ...]
"""Lines of a label, each with whether it is of the name."""


def forms(words: Words) -> Iterator[Form]:
    """The forms that a label may take, best first: one line each, broken ones, the name alone."""
    name, figure = words.name, words.figure
    figures: list[tuple[str, ...]] = [(figure,)] if figure else [()]
    parts = figure.split()
    if len(parts) > 2:
        # "41.3 m²" over "to coat": figure and unit stay together
        figures.append((" ".join(parts[:2]), " ".join(parts[2:])))
    names = [(name,), *([tuple(broken(name))] if " " in name else [])]
    for second in (*figures, ()):
        for first in names:
            yield (*((line, True) for line in first), *((line, False) for line in second))


def broken(name: str) -> tuple[str, str]:
    """A name of several words in two lines of about the same length."""
    words = name.split()
    at = min(range(1, len(words)), key=lambda k: abs(len(" ".join(words[:k])) - len(name) / 2))
    return " ".join(words[:at]), " ".join(words[at:])


class Label:
    """The label of a room about a plan point."""

    def __init__(self, scene: QGraphicsScene) -> None:
        self.pivot = pivot(scene, Z_WORDS)
        self._lines = [QGraphicsSimpleTextItem(self.pivot) for _ in range(4)]
        self._theme: Theme | None = None
        self._form: Form | None = None
        self.words: Words | None = None

    @property
    def shown(self) -> tuple[str, ...]:
        """The lines that are shown; none where the room is too small at this zoom."""
        return tuple(line for line, _ in self._form or ())

    def show(self, words: Words, at: QPointF, theme: Theme) -> None:
        """Set the label's words and colours; ``fit`` chooses the form."""
        self.words, self._theme, self._form = words, theme, None
        self.pivot.setPos(at)

    def fit(self, px_per_mm: float) -> None:
        """Take the best form that the room holds on screen at this zoom; none: nothing is shown."""
        if self.words is None:
            return
        wide = (self.words.wide_mm - 2 * BAND_MM) * px_per_mm
        tall = (self.words.tall_mm - 2 * BAND_MM) * px_per_mm
        for form in forms(self.words):
            # a name alone may touch the band: better than a room that nobody can name
            margin = 2 * _MARGIN_PX if len(form) > 1 else 0.0
            if tall >= len(form) * LINE_PX and all(_width(*line) <= wide - margin for line in form):
                self._set(form)
                return
        self._set(())

    def _set(self, form: Form) -> None:
        if form == self._form or self._theme is None:
            return
        self._form = form
        top = -LINE_PX * (len(form) - 1) / 2.0
        for number, item in enumerate(self._lines):
            item.setVisible(number < len(form))
            if number < len(form):
                text, is_name = form[number]
                item.setFont(font(14, "semibold") if is_name else font(13))
                item.setBrush(QBrush(self._theme.colour("ink" if is_name else "grey")))
                item.setText(text)
                box = item.boundingRect()
                item.setPos(-box.width() / 2, top + number * LINE_PX - box.height() / 2)


_widths: dict[tuple[str, bool], float] = {}


def _width(text: str, is_name: bool) -> float:
    """Width of a line in px; remembered, since every zoom asks for every label."""
    known = _widths.get((text, is_name))
    if known is None:
        item = QGraphicsSimpleTextItem(text)
        item.setFont(font(14, "semibold") if is_name else font(13))
        known = _widths[text, is_name] = item.boundingRect().width()
    return known


def pivot(scene: QGraphicsScene, z: float) -> QGraphicsRectItem:
    """A point of the plan that carries items of one size on screen."""
    made = QGraphicsRectItem(0, 0, 0, 0)
    made.setPen(Qt.PenStyle.NoPen)
    made.setFlag(QGraphicsItem.GraphicsItemFlag.ItemIgnoresTransformations)
    made.setZValue(z)
    scene.addItem(made)
    return made
