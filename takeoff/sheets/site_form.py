"""The blank form for surveying a room, in the order in which it is keyed, and a page for its site check."""

from __future__ import annotations

import msgspec

from takeoff.plan.readings.walked_outline import side_name
from takeoff.sheets import palette
from takeoff.sheets.flow import Page, wrap
from takeoff.sheets.form_pieces import GAP_MM, ROW_MM, SMALL_PT, TEXT_PT, FormPage
from takeoff.sheets.picture import Measure
from takeoff.sheets.site_check_forms import check_page
from takeoff.sheets.texts import worded
from takeoff.units.printing import shown

_SIDES = {"A4": 9, "A3": 17, "Letter": 8}
_OPENINGS = {"A4": 6, "A3": 10, "Letter": 6}
_SKETCH_MM = {"A4": 46.0, "A3": 80.0, "Letter": 40.0}

_SIDE_SHARES = (0.09, 0.15, 0.46, 0.15, 0.15)
_OPENING_SHARES = (0.24, 0.16, 0.20, 0.20, 0.20)
_DIAGONAL_SHARES = (0.42, 0.58)
_OPENING_PART = 0.62


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
    """Two pages for each room, its outline and its site check, all alike but for their number. ``job``: its name,
    printed.

    ``paper`` is "A4", "A3" or "Letter"; KeyError for another.
    """
    texts = load_texts()
    # in languages that say it all at more length the sketch gives way
    sketches = [_SKETCH_MM[paper] - less for less in (0.0, 8.0, 16.0, 24.0)]
    forms = [_Form(paper, texts, measure, job, sketch) for sketch in sketches]
    for form in forms:
        form.page(1, 2 * rooms)
    sketch = next((mm for mm, form in zip(sketches, forms, strict=True) if form.whole), sketches[-1])
    pages: list[Page] = []
    for number in range(1, 2 * rooms + 1, 2):
        pages.append(_Form(paper, texts, measure, job, sketch).page(number, 2 * rooms))
        pages.append(check_page(paper, number + 1, 2 * rooms, measure, job))
    return pages


class _Form(FormPage):
    """Fills one page from top to bottom."""

    def __init__(self, paper: str, texts: FormTexts, measure: Measure, job: str, sketch_mm: float) -> None:
        super().__init__(paper, measure)
        self._texts, self._job = texts, job
        self._sketch_mm = sketch_mm
        self.whole = True
        """Whether all of it has room on the page, once it is filled."""

    def page(self, number: int, count: int) -> Page:
        """The filled page."""
        self._head(number, count)
        self._room()
        self._sketch()
        self._sides()
        self._openings_and_diagonals()
        self._notes()
        self._foot_line(self._texts.foot)
        return self._page

    # -- parts

    def _head(self, number: int, count: int) -> None:
        texts = self._texts
        self._title(texts.title, texts.page_of.format(number=number, count=count))
        self.three_blanks((texts.job, texts.date, texts.by), self._job)

    def _room(self) -> None:
        texts, wide = self._texts, self._right - self._left
        self._y -= 10.0
        self._blank(self._left, texts.room, wide * 0.5, strong=True)
        self._blank(self._left + wide * 0.52, texts.height, wide * 0.2, strong=True)
        note = wrap(texts.height_note, wide * 0.26, palette.REGULAR, SMALL_PT, self._measure)
        for k, text in enumerate(note):
            y = self._y + 3.8 * ((len(note) - 1) / 2 - k) - 0.5
            self._text(self._left + wide * 0.74, y, text, palette.REGULAR, SMALL_PT, palette.GREY)
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
        self._text(self._left + 2.0, top - 4.5, texts.sketch, palette.REGULAR, SMALL_PT, palette.GREY)
        self._frame(split, low, self._right, top)
        self._text(split + 2.0, top - 4.5, texts.example, palette.REGULAR, SMALL_PT, palette.GREY)
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
            self._text(x, y, letter, palette.SEMIBOLD, TEXT_PT)
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
        self._heading(texts.diagonals, split + GAP_MM)
        self._table(split + GAP_MM, self._right, _DIAGONAL_SHARES, texts.diagonal_heads, rows)
        self._y = low
        self._note(texts.opening_note)

    def _notes(self) -> None:
        self._y -= 3.0
        self._paragraph(self._texts.notes, palette.GREY)
        self.whole = self._y > 17.0
        while self._y - ROW_MM > 17.0:
            self._y -= ROW_MM
            self._page.rules.append((self._left, self._y, self._right, self._y, 0.15, palette.HAIR))
