"""The blank form for surveying a room, in the order in which they are keyed: one room to a page."""

from __future__ import annotations

import msgspec

from takeoff.plan.readings.walked_outline import side_name
from takeoff.sheets import palette
from takeoff.sheets.flow import MARGIN_MM, SIZES_MM, Page, cut, wrap
from takeoff.sheets.picture import Measure
from takeoff.sheets.texts import worded
from takeoff.units.printing import shown

_ROW_MM = 7.6
"""Tall enough for a pencil."""

_SIDES = {"A4": 9, "A3": 17, "Letter": 8}
_OPENINGS = {"A4": 6, "A3": 10, "Letter": 6}
_SKETCH_MM = {"A4": 46.0, "A3": 80.0, "Letter": 40.0}

_SMALL, _TEXT, _HEAD = 9.0, 9.5, 11.0
_SIDE_SHARES = (0.09, 0.15, 0.46, 0.15, 0.15)
_OPENING_SHARES = (0.24, 0.16, 0.20, 0.20, 0.20)
_DIAGONAL_SHARES = (0.42, 0.58)
_OPENING_PART, _GAP_MM = 0.62, 8.0


class FormTexts(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The form's words."""

    title: str
    job: str
    date: str
    by: str
    room: str
    height: str
    height_note: str
    unit: str
    units: tuple[str, ...]
    walked: str
    ways: tuple[str, ...]
    start: str
    sketch: str
    example: str
    sides: str
    side_heads: tuple[str, ...]
    side_note: str
    openings: str
    opening_heads: tuple[str, ...]
    opening_note: str
    diagonals: str
    diagonal_heads: tuple[str, ...]
    notes: str
    foot: str
    page_of: str


def load_texts() -> FormTexts:
    """The form's words in the language that is spoken."""
    return worded("sheets/site-form.json", FormTexts)


def form_pages(paper: str, rooms: int, measure: Measure, job: str = "") -> list[Page]:
    """So many pages, one for each room, all alike but for their number. ``job``: its name, printed.

    ``paper`` is "A4", "A3" or "Letter"; KeyError for another.
    """
    texts = load_texts()
    # in languages that say it all at more length the sketch gives way
    sketches = [_SKETCH_MM[paper] - less for less in (0.0, 8.0, 16.0, 24.0)]
    forms = [_Form(paper, texts, measure, job, sketch) for sketch in sketches]
    for form in forms:
        form.page(1, rooms)
    sketch = next((mm for mm, form in zip(sketches, forms, strict=True) if form.whole), sketches[-1])
    return [_Form(paper, texts, measure, job, sketch).page(number, rooms) for number in range(1, rooms + 1)]


class _Form:
    """Fills one page from top to bottom."""

    def __init__(self, paper: str, texts: FormTexts, measure: Measure, job: str, sketch_mm: float) -> None:
        self._paper, self._texts, self._measure, self._job = paper, texts, measure, job
        self._sketch_mm = sketch_mm
        self.whole = True
        """Whether all of it has room on the page, once it is filled."""
        wide, tall = SIZES_MM[paper]
        self._page = Page(wide, tall)
        self._left, self._right = MARGIN_MM, wide - MARGIN_MM
        self._y = tall - 13.0

    def page(self, number: int, count: int) -> Page:
        """The filled page."""
        self._head(number, count)
        self._room()
        self._sketch()
        self._sides()
        self._openings_and_diagonals()
        self._notes()
        self._foot()
        return self._page

    # -- parts

    def _head(self, number: int, count: int) -> None:
        texts = self._texts
        self._y -= 6.0
        self._text(self._left, self._y, texts.title, palette.LIGHT, 18.0)
        self._text(
            self._right,
            self._y,
            texts.page_of.format(number=number, count=count),
            palette.REGULAR,
            _SMALL,
            palette.GREY,
            right=True,
        )
        self._y -= 9.0
        wide = self._right - self._left
        job = cut(self._job, wide * 0.42, palette.SEMIBOLD, _TEXT, self._measure)
        self._blank(self._left, texts.job, wide * 0.5, job)
        self._blank(self._left + wide * 0.52, texts.date, wide * 0.2)
        self._blank(self._left + wide * 0.74, texts.by, wide * 0.26)

    def _room(self) -> None:
        texts, wide = self._texts, self._right - self._left
        self._y -= 10.0
        self._blank(self._left, texts.room, wide * 0.5, strong=True)
        self._blank(self._left + wide * 0.52, texts.height, wide * 0.2, strong=True)
        note = wrap(texts.height_note, wide * 0.26, palette.REGULAR, _SMALL, self._measure)
        for k, text in enumerate(note):
            y = self._y + 3.8 * ((len(note) - 1) / 2 - k) - 0.5
            self._text(self._left + wide * 0.74, y, text, palette.REGULAR, _SMALL, palette.GREY)
        self._y -= 8.0
        x = self._boxes(self._left, texts.unit, texts.units)
        x = max(x + 10.0, self._left + wide * 0.52)
        if x + self._boxes_mm(texts.walked, texts.ways) > self._right:
            x, self._y = self._left, self._y - 6.0
        self._boxes(x, texts.walked, texts.ways)

    def _sketch(self) -> None:
        texts, wide = self._texts, self._right - self._left
        self._y -= 7.0
        self._paragraph(texts.start)
        tall = self._sketch_mm
        split = self._left + wide * 0.66
        top, low = self._y - 2.5, self._y - 2.5 - tall
        self._frame(self._left, low, split - 4.0, top)
        self._text(self._left + 2.0, top - 4.5, texts.sketch, palette.REGULAR, _SMALL, palette.GREY)
        self._frame(split, low, self._right, top)
        self._text(split + 2.0, top - 4.5, texts.example, palette.REGULAR, _SMALL, palette.GREY)
        self._example(split, low, self._right, top - 6.0)
        self._y = low - 2.0

    def _example(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """A room of four sides with a window in the first: what stands in the first rows of the tables."""
        left, right, low, high = x0 + 9.0, x1 - 9.0, y0 + 10.0, y1 - 5.5
        corners = ((left, high), (right, high), (right, low), (left, low))
        for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
            self._page.rules.append((*a, *b, 0.6, palette.INK))
        first, last = (left + (right - left) * share for share in (0.85 / 3.6, 2.05 / 3.6))
        self._page.rules.append((first, high, last, high, 1.0, palette.PAPER))
        for dy in (-0.7, 0.7):
            self._page.rules.append((first, high + dy, last, high + dy, 0.2, palette.INK))
        for x in (first, last):
            self._page.rules.append((x, high - 1.2, x, high + 1.2, 0.2, palette.INK))
        for letter, x, y in (
            ("A", left - 4.0, high - 3.4),
            ("B", right + 1.6, high - 3.4),
            ("C", right + 1.6, low),
            ("D", left - 4.0, low),
        ):
            self._text(x, y, letter, palette.SEMIBOLD, _TEXT)
        for x, at in ((left, 0.0), (first, 0.85), (last, 2.05), (right, 3.6)):
            self._centred(x, high + 2.2, shown(at) if at else "0")
        self._page.rules.append((left, high, right, low, 0.15, palette.GREY))
        self._centred(left + (right - left) * 0.34, low + (high - low) * 0.3, f"AC {shown(4.56)}")
        row = f"A–B:  {shown(3.6)}  |  {shown(0.85)}  {shown(2.05)}  {shown(3.6)}"
        self._centred((left + right) / 2.0, y0 + 3.6, row)

    def _sides(self) -> None:
        texts, count = self._texts, _SIDES[self._paper]
        self._heading(texts.sides)
        # the last side ends at A again, at whichever corner that is: its end is left open
        rows = [[side_name(k, count + 1)] for k in range(count)]
        self._table(self._left, self._right, _SIDE_SHARES, texts.side_heads, rows)
        self._note(texts.side_note)

    def _openings_and_diagonals(self) -> None:
        texts, count = self._texts, _OPENINGS[self._paper]
        split = self._left + (self._right - self._left) * _OPENING_PART
        self._y -= 2.0
        top = self._y
        self._heading(texts.openings)
        rows: list[list[str]] = [[] for _ in range(count)]
        self._table(self._left, split, _OPENING_SHARES, texts.opening_heads, rows)
        low = self._y
        self._y = top
        self._heading(texts.diagonals, split + _GAP_MM)
        self._table(split + _GAP_MM, self._right, _DIAGONAL_SHARES, texts.diagonal_heads, rows)
        self._y = low
        self._note(texts.opening_note)

    def _notes(self) -> None:
        self._y -= 3.0
        self._paragraph(self._texts.notes, palette.GREY)
        self.whole = self._y > 17.0
        while self._y - _ROW_MM > 17.0:
            self._y -= _ROW_MM
            self._page.rules.append((self._left, self._y, self._right, self._y, 0.15, palette.HAIR))

    def _foot(self) -> None:
        lines = wrap(self._texts.foot, self._right - self._left, palette.REGULAR, _SMALL, self._measure)
        for k, line in enumerate(reversed(lines)):
            self._text(self._left, 10.6 + 3.6 * k, line, palette.REGULAR, _SMALL, palette.GREY)

    # -- pieces

    def _table(
        self, left: float, right: float, shares: tuple[float, ...], heads: tuple[str, ...],
        rows: list[list[str]],
    ) -> None:  # fmt: skip
        """Heads, an ink line, rows with hairlines between them, and short uprights to write between."""
        xs = [left]
        for share in shares:
            xs.append(xs[-1] + (right - left) * share)
        lines = [
            wrap(head, xs[k + 1] - xs[k] - 2.0, palette.REGULAR, _SMALL, self._measure) for k, head in enumerate(heads)
        ]
        tall = 4.0 * max(len(line) for line in lines)
        for k, parts in enumerate(lines):
            for n, part in enumerate(parts):
                y = self._y - 3.4 - 4.0 * (n + max(len(line) for line in lines) - len(parts))
                self._text(xs[k] + (0.0 if k == 0 else 1.5), y, part, palette.REGULAR, _SMALL, palette.GREY)
        top = self._y - tall - 1.2
        self._page.rules.append((left, top, right, top, 0.35, palette.INK))
        for number, row in enumerate(rows, 1):
            y = top - _ROW_MM * number
            self._page.rules.append((left, y, right, y, 0.15, palette.HAIR))
            for k, text in enumerate(row):
                self._text(xs[k], y + 2.2, text, palette.SEMIBOLD, _TEXT)
        low = top - _ROW_MM * len(rows)
        for x in xs[1:-1]:
            self._page.rules.append((x, low, x, top, 0.15, palette.HAIR))
        self._y = low

    def _heading(self, text: str, x: float | None = None) -> None:
        self._y -= 5.6
        self._text(self._left if x is None else x, self._y, text, palette.SEMIBOLD, _HEAD)
        self._y -= 1.2

    def _note(self, text: str) -> None:
        self._y -= 1.0
        self._paragraph(text, palette.GREY)

    def _paragraph(self, text: str, colour: str = palette.INK) -> None:
        for line in wrap(text, self._right - self._left, palette.REGULAR, _SMALL, self._measure):
            self._y -= 4.0
            self._text(self._left, self._y, line, palette.REGULAR, _SMALL, colour)

    def _blank(self, x: float, text: str, wide: float, filled: str = "", strong: bool = False) -> None:
        """A word and a line to write on."""
        style = palette.SEMIBOLD if strong else palette.REGULAR
        self._text(x, self._y, text, style, _TEXT)
        start = x + self._measure(text, style, _TEXT) + 2.0
        if filled:
            self._text(start, self._y, filled, palette.SEMIBOLD, _TEXT)
        self._page.rules.append((start, self._y - 1.0, x + wide, self._y - 1.0, 0.25, palette.GREY))

    def _boxes_mm(self, text: str, choices: tuple[str, ...]) -> float:
        """How wide a word and its boxes are."""
        words = self._measure(text, palette.REGULAR, _TEXT) + 3.0
        return words + sum(4.8 + self._measure(choice, palette.REGULAR, _TEXT) + 5.0 for choice in choices) - 5.0

    def _boxes(self, x: float, text: str, choices: tuple[str, ...]) -> float:
        """A word and boxes to tick; the place after them."""
        self._text(x, self._y, text, palette.REGULAR, _TEXT)
        x += self._measure(text, palette.REGULAR, _TEXT) + 3.0
        for choice in choices:
            self._frame(x, self._y - 0.4, x + 3.4, self._y + 3.0)
            self._text(x + 4.8, self._y, choice, palette.REGULAR, _TEXT)
            x += 4.8 + self._measure(choice, palette.REGULAR, _TEXT) + 5.0
        return x

    def _frame(self, x0: float, y0: float, x1: float, y1: float) -> None:
        corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
            self._page.rules.append((*a, *b, 0.2, palette.GREY))

    def _centred(self, x: float, y: float, text: str) -> None:
        wide = self._measure(text, palette.REGULAR, _SMALL)
        self._text(x - wide / 2.0, y, text, palette.REGULAR, _SMALL)

    def _text(
        self, x: float, y: float, text: str, style: str, size: float, colour: str = palette.INK,
        right: bool = False,
    ) -> None:  # fmt: skip
        if right:
            x -= self._measure(text, style, size)
        self._page.texts.append((x, y, text, style, size, colour))
