"""Names and figures of rooms: upright, of one size at any zoom, in the best form that has room."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from itertools import groupby

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QBrush
from PySide6.QtWidgets import QGraphicsItem, QGraphicsRectItem, QGraphicsScene, QGraphicsSimpleTextItem

from takeoff.sheets.sheet_values import Point
from takeoff.ui.canvas.label_spots import Spot
from takeoff.ui.canvas.pieces import Z_WORDS, Words
from takeoff.ui.themes import Theme, font

LINE_PX = 20.0
"""From one line of a label to the next."""

_MARGIN_PX = 3.0
"""What a label keeps free between itself and the band."""

_LEADING_PX = 4.0
"""Air above and below the letters of a line that may lie over what is beside."""

Form = tuple[tuple[str, bool], ...]
"""Lines of a label, each with whether it is of the name."""


def forms(words: Words) -> Iterator[Form]:
    """The forms that a label may take, best first: one line each, broken ones, the name alone, and its
    number alone ("G4" of "G4 Store")."""
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
    number = name.split()[0] if name.split() else ""
    if number != name and any(letter.isdigit() for letter in number):
        # better its number than a room that nobody can name
        yield ((number, True),)


def together(every: Iterable[Form]) -> Iterator[tuple[Form, ...]]:
    """Forms that say the same in other lines, the fullest first."""
    for _, alike in groupby(every, key=lambda form: " ".join(line for line, _ in form)):
        yield tuple(alike)


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
        self._home, self._stands = QPointF(), (0.0, 0.0)
        self._forms: tuple[tuple[Form, ...], ...] = ()
        self.has_room = True
        """Whether some form stands in the room at the last zoom."""

    @property
    def shown(self) -> tuple[str, ...]:
        """The lines that are shown; none where the room is too small at this zoom."""
        return tuple(line for line, _ in self._form or ())

    def show(self, words: Words, at: QPointF, theme: Theme) -> None:
        """Set the label's words and colours; ``fit`` chooses the form."""
        if words != self.words:
            self._forms = tuple(together(forms(words)))
        self.words, self._theme, self._form = words, theme, None
        self._home, self._stands = at, words.at
        self.pivot.setPos(at)

    def fit(self, px_per_mm: float) -> bool:
        """Take the best form that a free box of the room holds on screen at this zoom, as near to the
        room's middle as the box allows. False where none has room: nothing is shown."""
        self.has_room = self.words is None or self._fits(px_per_mm)
        return self.has_room

    def _fits(self, px_per_mm: float) -> bool:
        if self.words is None:
            return True
        boxes = (*self.words.spots, *self.words.tight)
        if max((spot.tall_mm for spot in boxes), default=0.0) * px_per_mm < LINE_PX - _LEADING_PX:
            self._place(self.words.at)
            self._set(())
            return False
        middle = self.words.at
        for alike in self._forms:
            places = [(place, form) for form in alike for place in self._places(form, px_per_mm)]
            if places:
                # of forms that say the same the one that stands nearest to the middle, the first of equals
                at, form = min(places, key=lambda one: round(math.dist(one[0], middle) * px_per_mm))
                self._place(at)
                self._set(form)
                return True
        self._place(self.words.at)
        self._set(())
        return False

    def _places(self, form: Form, px_per_mm: float) -> list[Point]:
        """Where a form could stand, a place for each free box that holds it."""
        words = self.words
        if words is None:
            return []
        margin = 2 * _MARGIN_PX if len(form) > 1 else 0.0
        wide = (form_width(form) + margin) / px_per_mm
        tall = (len(form) * LINE_PX - _LEADING_PX) / px_per_mm
        spots = (*words.spots, *(words.tight if len(form) == 1 else ()))
        return [place for spot in spots if (place := _within(spot, words.at, wide, tall))]

    def call_out(self, at: Point) -> None:
        """Show the shortest form at a place beside the room."""
        if self.words is not None:
            self._place(at)
            self._set(callout_form(self.words))

    def _place(self, at: Point) -> None:
        """Move the label to where it stands."""
        if self.words is not None and at != self._stands:
            self._stands = at
            dx, dy = at[0] - self.words.at[0], at[1] - self.words.at[1]
            self.pivot.setPos(self._home + QPointF(dx, dy))

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


def callout_form(words: Words) -> Form:
    """What a label beside its room says: its name in one line."""
    return ((words.name, True),)


def form_width(form: Form) -> float:
    """How wide a form is on screen, px."""
    return max((_width(*line) for line in form), default=0.0)


def _within(spot: Spot, wish: Point, wide_mm: float, tall_mm: float) -> Point | None:
    """The place in a box nearest to a wish about which so much has room; None where the box is too small."""
    spare_x, spare_y = (spot.wide_mm - wide_mm) / 2.0, (spot.tall_mm - tall_mm) / 2.0
    if spare_x < 0 or spare_y < 0:
        return None
    (x, y), (px, py) = spot.at, wish
    return min(max(px, x - spare_x), x + spare_x), min(max(py, y - spare_y), y + spare_y)


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
