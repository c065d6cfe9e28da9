"""Names and figures of rooms: upright, of one size at any zoom, in the best form that has room; those of rooms that
are too small for them beside the building, each with a line to its room.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush
from PySide6.QtWidgets import (
    QGraphicsEllipseItem,
    QGraphicsItem,
    QGraphicsLineItem,
    QGraphicsRectItem,
    QGraphicsScene,
    QGraphicsSimpleTextItem,
)

from takeoff.sheets.sheet_values import Point
from takeoff.ui.canvas.label_spots import Spot
from takeoff.ui.canvas.pens import pen_of
from takeoff.ui.canvas.pieces import Z_WORDS, Words
from takeoff.ui.themes import Theme, font

LINE_PX = 20.0
"""From one line of a label to the next."""

_MARGIN_PX = 3.0
"""What a label keeps free between itself and the band."""

_MARK_CLEAR_MM = 135.0
"""A room's question mark keeps off the band of its walls."""

_LEADER_PX = 4.0
"""What a line to a name takes on either side."""

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
        self.asked_px = 0.0
        """What a question mark above the name takes of the height; 0 where none is asked for."""
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
        if max((spot.tall_mm for spot in boxes), default=0.0) * px_per_mm < LINE_PX - _LEADING_PX + self.asked_px:
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
        tall = (len(form) * LINE_PX - _LEADING_PX + self.asked_px) / px_per_mm
        down = self.asked_px / 2.0 / px_per_mm
        spots = (*words.spots, *(words.tight if len(form) == 1 else ()))
        found = (place for spot in spots if (place := _within(spot, words.at, wide, tall)))
        return [(x, y - down) for x, y in found]

    def box(self, mm_per_px: float) -> tuple[float, float, float, float] | None:
        """(left, low, right, high) of its lines in plan mm; None where nothing is shown."""
        if not self._form:
            return None
        (x, y), wide, tall = self._stands, form_width(self._form) * mm_per_px, len(self._form) * LINE_PX * mm_per_px
        return x - wide / 2, y - tall / 2, x + wide / 2, y + tall / 2

    def leader_box(self, mm_per_px: float) -> tuple[float, float, float, float] | None:
        """(left, low, right, high) in plan mm of the line from a name beside the building to its room; None for a
        name in its room."""
        if self.has_room or not self._form or self.words is None:
            return None
        (x, y), (ax, ay), thick = self.words.at, self._stands, _LEADER_PX * mm_per_px
        return min(x, ax) - thick, min(y, ay) - thick, max(x, ax) + thick, max(y, ay) + thick

    def mark_offset(self, px_per_mm: float, half_px: float) -> tuple[float, float]:
        """Where the room's question mark stands, px right and up from the room's own point: above its name within
        the room, else below or beside it, in place of a name that is shown elsewhere."""
        words, box = self.words, self.box(1.0 / px_per_mm)
        if words is None or box is None or not self.has_room:
            return 0.0, 0.0
        (x, y), (left, low, right, high) = words.at, words.box
        dx, dy = (self._stands[0] - x) * px_per_mm, (self._stands[1] - y) * px_per_mm
        away_y, away_x = len(self._form or ()) * LINE_PX / 2 + half_px, form_width(self._form or ()) / 2 + half_px + 2.0
        places = ((dx, dy + away_y), (dx, dy - away_y), (dx - away_x, dy), (dx + away_x, dy))
        clear = _MARK_CLEAR_MM * px_per_mm + half_px
        for px, py in places:
            at_x, at_y = (x - left) * px_per_mm + px, (y - low) * px_per_mm + py
            wide, tall = (right - left) * px_per_mm, (high - low) * px_per_mm
            if clear <= at_x <= wide - clear and clear <= at_y <= tall - clear:
                return px, py
        return places[0]

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


_CALLED_PX = 18.0
"""Rooms that show smaller than this are named by nobody: one zooms in."""

_MOST_CALLED = 10
"""With more of them the plan would be hemmed in by names."""

_WALL_MM = 450.0
"""The building's outer walls are no thicker (common practice, no source)."""

_AWAY_PX = 14.0
_DOT_PX = 5.0

Box = tuple[float, float, float, float]


class Callouts:
    """Lines from names to rooms, made anew with every zoom."""

    def __init__(self, scene: QGraphicsScene) -> None:
        self._scene = scene
        self._items: list[QGraphicsItem] = []

    def clear(self) -> None:
        """Take every line away."""
        for item in self._items:
            self._scene.removeItem(item)
        self._items.clear()

    def show(
        self,
        homeless: Sequence[Label],
        box: Box | None,
        px_per_mm: float,
        origin: Point,
        theme: Theme,
        written: Sequence[Box] = (),
    ) -> None:
        """Name these rooms beside the building, whose rooms lie in ``box``; lines keep off what is ``written``."""
        self.clear()
        own = [label for label in homeless if label.words is not None and _shows(label.words, px_per_mm)]
        if box is None or not own or len(own) > _MOST_CALLED:
            return
        wide = box[2] - box[0] > 1.5 * (box[3] - box[1])
        spots = places([label.words for label in own], box, px_per_mm, wide, written)
        for label, at in zip(own, spots, strict=True):
            label.call_out(at)
            self._line(label, at, px_per_mm, wide, origin, theme)

    def _line(self, label: Label, at: Point, px_per_mm: float, wide: bool, origin: Point, theme: Theme) -> None:
        words = label.words
        if words is None:
            return
        (x, y), (ax, ay) = words.at, at
        if wide:
            ay += (LINE_PX / 2.0 if ay < y else -LINE_PX / 2.0) / px_per_mm
        else:
            half = form_width(callout_form(words)) / 2.0 + 4.0
            ax += (half if ax < x else -half) / px_per_mm
        line = QGraphicsLineItem(QLineF(ax - origin[0], ay - origin[1], x - origin[0], y - origin[1]))
        line.setPen(pen_of(theme, "grey", 0.2))
        line.setZValue(Z_WORDS - 0.5)
        self._scene.addItem(line)
        dot = pivot(self._scene, Z_WORDS - 0.5)
        dot.setPos(QPointF(x - origin[0], y - origin[1]))
        mark = QGraphicsEllipseItem(QRectF(-_DOT_PX / 2, -_DOT_PX / 2, _DOT_PX, _DOT_PX), dot)
        mark.setBrush(QBrush(theme.colour("grey")))
        mark.setPen(pen_of(theme, "grey", 0.0))
        self._items += [line, dot]


def places(
    words: Sequence[Words | None], box: Box, px_per_mm: float, wide: bool, written: Sequence[Box] = ()
) -> list[Point]:
    """Where the names stand: at the nearer side of the building, level with their rooms, none over another;
    at the other side where the line to the room would cross what is ``written`` and there would not. ``wide``:
    above and below, where a building leaves no room at its sides."""
    left, low, right, high = box[0] - _WALL_MM, box[1] - _WALL_MM, box[2] + _WALL_MM, box[3] + _WALL_MM
    found: dict[int, Point] = {}
    ends: dict[bool, float] = {}
    order = sorted((k for k, one in enumerate(words) if one), key=lambda k: _rank(words[k], wide))
    for k in order:
        one = words[k]
        if one is None:
            continue
        (x, y), long = one.at, (form_width(callout_form(one)) + 8.0) / px_per_mm
        if wide:
            nearer = y > (low + high) / 2.0
            away = (_AWAY_PX + LINE_PX / 2.0) / px_per_mm
            tried = {
                far: (max(x, ends.get(far, x) + long / 2.0), high + away if far else low - away)
                for far in (nearer, not nearer)
            }
        else:
            nearer = x > (left + right) / 2.0
            tall, away = LINE_PX / px_per_mm, _AWAY_PX / px_per_mm + long / 2.0
            tried = {
                far: (right + away if far else left - away, max(y, ends.get(far, y - tall) + tall))
                for far in (nearer, not nearer)
            }
        clear = (far for far, at in tried.items() if not _crosses((x, y), at, written, _LEADER_PX / px_per_mm))
        far = next(clear, nearer)
        found[k] = tried[far]
        ends[far] = tried[far][0] + long / 2.0 if wide else tried[far][1]
    return [found[k] for k in range(len(words))]


def _crosses(one: Point, other: Point, written: Sequence[Box], thick: float) -> bool:
    """Whether a line from one point to another comes over something that is written."""
    left, right = min(one[0], other[0]) - thick, max(one[0], other[0]) + thick
    low, high = min(one[1], other[1]) - thick, max(one[1], other[1]) + thick
    return any(left < b[2] and b[0] < right and low < b[3] and b[1] < high for b in written)


def _rank(words: Words | None, wide: bool) -> float:
    return 0.0 if words is None else words.at[0 if wide else 1]


def _shows(words: Words, px_per_mm: float) -> bool:
    left, low, right, high = words.box
    return min(right - left, high - low) * px_per_mm >= _CALLED_PX
