"""A page of a blank form: words with lines to write on, boxes to tick, tables to fill in."""

from __future__ import annotations

from takeoff.sheets import palette
from takeoff.sheets.flow import MARGIN_MM, SIZES_MM, Page, cut, wrap
from takeoff.sheets.picture import Measure

ROW_MM = 7.6
"""Tall enough for a pencil."""

SMALL_PT, TEXT_PT, HEAD_PT = 9.0, 9.5, 11.0
GAP_MM = 8.0


class FormPage:
    """Filled from top to bottom; ``paper`` "A4", "A3" or "Letter", KeyError for another."""

    def __init__(self, paper: str, measure: Measure) -> None:
        self._paper, self._measure = paper, measure
        wide, tall = SIZES_MM[paper]
        self._page = Page(wide, tall)
        self._left, self._right = MARGIN_MM, wide - MARGIN_MM
        self._y = tall - 13.0

    def _title(self, title: str, at_right: str) -> None:
        self._y -= 6.0
        self._text(self._left, self._y, title, palette.LIGHT, 18.0)
        self._text(self._right, self._y, at_right, palette.REGULAR, SMALL_PT, palette.GREY, right=True)
        self._y -= 9.0

    def three_blanks(self, words: tuple[str, str, str], job: str) -> None:
        """Job (printed where it is known), date and who, on a line."""
        wide = self._right - self._left
        job = cut(job, wide * 0.42, palette.SEMIBOLD, TEXT_PT, self._measure)
        self._blank(self._left, words[0], wide * 0.5, job)
        self._blank(self._left + wide * 0.52, words[1], wide * 0.2)
        self._blank(self._left + wide * 0.74, words[2], wide * 0.26)

    def _foot_line(self, text: str) -> None:
        lines = wrap(text, self._right - self._left, palette.REGULAR, SMALL_PT, self._measure)
        for k, line in enumerate(reversed(lines)):
            self._text(self._left, 10.6 + 3.6 * k, line, palette.REGULAR, SMALL_PT, palette.GREY)

    def _table(
        self, left: float, right: float, shares: tuple[float, ...], heads: tuple[str, ...],
        rows: list[list[str]], row_mm: float = ROW_MM,
    ) -> None:  # fmt: skip
        """Heads, an ink line, rows with hairlines between them, and short uprights to write between."""
        xs = [left]
        for share in shares:
            xs.append(xs[-1] + (right - left) * share)
        lines = [
            wrap(head, xs[k + 1] - xs[k] - 2.0, palette.REGULAR, SMALL_PT, self._measure)
            for k, head in enumerate(heads)
        ]
        tall = 4.0 * max(len(line) for line in lines)
        for k, parts in enumerate(lines):
            for n, part in enumerate(parts):
                y = self._y - 3.4 - 4.0 * (n + max(len(line) for line in lines) - len(parts))
                self._text(xs[k] + (0.0 if k == 0 else 1.5), y, part, palette.REGULAR, SMALL_PT, palette.GREY)
        top = self._y - tall - 1.2
        self._page.rules.append((left, top, right, top, 0.35, palette.INK))
        for number, row in enumerate(rows, 1):
            y = top - row_mm * number
            self._page.rules.append((left, y, right, y, 0.15, palette.HAIR))
            for k, text in enumerate(row):
                style = palette.SEMIBOLD if k == 0 else palette.REGULAR
                self._text(xs[k] + (0.0 if k == 0 else 1.5), y + row_mm * 0.29, text, style, TEXT_PT)
        low = top - row_mm * len(rows)
        for x in xs[1:-1]:
            self._page.rules.append((x, low, x, top, 0.15, palette.HAIR))
        self._y = low

    def _heading(self, text: str, x: float | None = None) -> None:
        self._y -= 5.6
        self._text(self._left if x is None else x, self._y, text, palette.SEMIBOLD, HEAD_PT)
        self._y -= 1.2

    def _note(self, text: str) -> None:
        self._y -= 1.0
        self._paragraph(text, palette.GREY)

    def _paragraph(self, text: str, colour: str = palette.INK) -> None:
        for line in wrap(text, self._right - self._left, palette.REGULAR, SMALL_PT, self._measure):
            self._y -= 4.0
            self._text(self._left, self._y, line, palette.REGULAR, SMALL_PT, colour)

    def _blank(self, x: float, text: str, wide: float, filled: str = "", strong: bool = False) -> None:
        """A word and a line to write on."""
        style = palette.SEMIBOLD if strong else palette.REGULAR
        self._text(x, self._y, text, style, TEXT_PT)
        start = x + self._measure(text, style, TEXT_PT) + 2.0
        if filled:
            self._text(start, self._y, filled, palette.SEMIBOLD, TEXT_PT)
        self._page.rules.append((start, self._y - 1.0, x + wide, self._y - 1.0, 0.25, palette.GREY))

    def _boxes_mm(self, text: str, choices: tuple[str, ...]) -> float:
        """How wide a word and its boxes are."""
        words = self._measure(text, palette.REGULAR, TEXT_PT) + 3.0
        return words + sum(4.8 + self._measure(choice, palette.REGULAR, TEXT_PT) + 5.0 for choice in choices) - 5.0

    def _tick_boxes(
        self, rows: int, shares: tuple[float, ...], columns: tuple[int, ...], row_mm: float = ROW_MM
    ) -> None:
        """Boxes to tick in these columns of the table of so many rows that was drawn last, over the whole width."""
        wide = self._right - self._left
        side = min(3.6, row_mm - 1.8)
        for row in range(rows):
            low = self._y + row_mm * (rows - 1 - row) + (row_mm - side) / 2
            for column in columns:
                x = self._left + wide * sum(shares[:column]) + 2.0
                self._frame(x, low, x + side, low + side)

    def _boxes(self, x: float, text: str, choices: tuple[str, ...], within: bool = False) -> float:
        """A word and boxes to tick; the place after them. ``within``: those beyond the margin in lines below."""
        self._text(x, self._y, text, palette.REGULAR, TEXT_PT)
        x += self._measure(text, palette.REGULAR, TEXT_PT) + 3.0
        for choice in choices:
            if within and x + 4.8 + self._measure(choice, palette.REGULAR, TEXT_PT) > self._right:
                x, self._y = self._left, self._y - 5.4
            self._frame(x, self._y - 0.4, x + 3.4, self._y + 3.0)
            self._text(x + 4.8, self._y, choice, palette.REGULAR, TEXT_PT)
            x += 4.8 + self._measure(choice, palette.REGULAR, TEXT_PT) + 5.0
        return x

    def _frame(self, x0: float, y0: float, x1: float, y1: float) -> None:
        corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
            self._page.rules.append((*a, *b, 0.2, palette.GREY))

    def _centred(self, x: float, y: float, text: str) -> None:
        wide = self._measure(text, palette.REGULAR, SMALL_PT)
        self._text(x - wide / 2.0, y, text, palette.REGULAR, SMALL_PT)

    def _text(
        self, x: float, y: float, text: str, style: str, size: float, colour: str = palette.INK,
        right: bool = False,
    ) -> None:  # fmt: skip
        if right:
            x -= self._measure(text, style, size)
        self._page.texts.append((x, y, text, style, size, colour))
