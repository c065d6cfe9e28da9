"""Text and tables put on pages one under another, with their widths, breaks and repeated heads."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from itertools import zip_longest

import msgspec

from takeoff.language import number, tr
from takeoff.language.regions import letter_paper
from takeoff.sheets import palette
from takeoff.sheets.picture import Measure, Picture
from takeoff.sheets.sheet_values import Cell, Column, Table

MARGIN_MM = 15.0
FOOT_MM = 27.5
"""Height above the paper's lower edge where the foot begins."""
TOP_MM = 15.0

SIZES_MM = {"A4": (210.0, 297.0), "A3": (297.0, 420.0), "Letter": (215.9, 279.4)}
"""Paper by its name: ISO 216, and the office paper of North America (8 1/2 × 11 in)."""


def usual_paper() -> str:
    """The paper of sheets for which none is asked: the region's office paper."""
    return "Letter" if letter_paper() else "A4"


TEXT_PT = 9.5
LEADING = 1.36

TextItem = tuple[float, float, str, str, float, str]
"""(x, y of the baseline, text, style, size in pt, colour)"""

RuleItem = tuple[float, float, float, float, float, str]
"""(x0, y0, x1, y1, width, colour)"""


ImageItem = tuple[float, float, float, float, bytes]
"""(x, y of the lower left corner, width, height, the bytes of a PNG or JPEG)"""


class Page(msgspec.Struct):
    """What stands on one sheet of paper; ``client`` pages carry the place to agree. ``across``: a word
    over the whole of it; ``outline``: headings on it, by which a reader finds his way."""

    width_mm: float
    height_mm: float
    client: bool = False
    across: str = ""
    outline: list[str] = msgspec.field(default_factory=list)
    texts: list[TextItem] = msgspec.field(default_factory=list)
    rules: list[RuleItem] = msgspec.field(default_factory=list)
    pictures: list[tuple[float, float, Picture]] = msgspec.field(default_factory=list)
    images: list[ImageItem] = msgspec.field(default_factory=list)


class Flow:
    """Fills pages; ``y`` is where the next line's top stands, falling."""

    def __init__(self, size: tuple[float, float], measure: Measure, running_head: tuple[str, str]) -> None:
        self.size = size
        self.measure = measure
        self.running_head = running_head
        self.pages: list[Page] = []
        self.y = 0.0
        self.left = MARGIN_MM
        self.width = size[0] - 2 * MARGIN_MM

    @property
    def page(self) -> Page:
        """The page being filled."""
        return self.pages[-1]

    def new_page(self, size: tuple[float, float] | None = None, client: bool = False, head: bool = True) -> None:
        """Turn to a new page; ``head`` prints the running head."""
        wide, tall = size or self.size
        self.pages.append(Page(wide, tall, client))
        self.left, self.width = MARGIN_MM, wide - 2 * MARGIN_MM
        self.y = tall - TOP_MM
        if head:
            self._head()

    def left_mm(self) -> float:
        """Height left on the page above its foot."""
        return self.y - FOOT_MM

    def need(self, height_mm: float) -> bool:
        """Turn the page unless so much is left; True when it was turned. Never turns a fresh page."""
        if self.left_mm() >= height_mm or self.y >= self.page.height_mm - TOP_MM - 9.0:
            return False
        self.new_page()
        return True

    def text(
        self,
        x: float,
        baseline: float,
        text: str,
        style: str = palette.REGULAR,
        size: float = TEXT_PT,
        colour: str = palette.INK,
        align: str = "left",
    ) -> None:
        """One line of text; with ``align`` right, ``x`` is its right end."""
        if align == "right":
            x -= self.measure(text, style, size)
        self.page.texts.append((x, baseline, text, style, size, colour))

    def rule(self, x0: float, x1: float, y: float, width: float = 0.12, colour: str = palette.HAIR) -> None:
        """A level line."""
        self.page.rules.append((x0, y, x1, y, width, colour))

    def paragraph(
        self,
        text: str,
        style: str = palette.REGULAR,
        size: float = TEXT_PT,
        colour: str = palette.INK,
        indent: float = 0.0,
        width: float | None = None,
    ) -> None:
        """Text broken over lines, over pages where it must."""
        step = line_mm(size)
        for line in wrap(text, (width or self.width) - indent, style, size, self.measure):
            self.need(step)
            self.text(self.left + indent, self.y - step * 0.76, line, style, size, colour)
            self.y -= step

    def labelled(
        self,
        label: str,
        text: str,
        indent: float,
        colour: str = palette.INK,
        width: float | None = None,
        size: float = TEXT_PT,
    ) -> None:
        """A label in its own colour with a text beside it, ``indent`` mm to the right; each over as many lines as it
        takes, over pages where it must."""
        step = line_mm(size)
        beside = wrap(text, (width or self.width) - indent, palette.REGULAR, size, self.measure)
        for name, line in zip_longest(label_lines(label, indent, self.measure, size), beside, fillvalue=""):
            self.need(step)
            if name:
                self.text(self.left, self.y - step * 0.76, name, palette.SEMIBOLD, size, colour)
            if line:
                self.text(self.left + indent, self.y - step * 0.76, line, size=size)
            self.y -= step

    def heading(self, text: str, keep_mm: float, size: float = 12.0) -> None:
        """A heading that never stands alone: with ``keep_mm`` of what follows."""
        lines = wrap(text, self.width, palette.SEMIBOLD, size, self.measure)
        step = line_mm(size)
        gap = 0.0 if self.y >= self.page.height_mm - TOP_MM - 9.0 else 6.0
        if self.need(gap + step * len(lines) + keep_mm):
            gap = 0.0
        self.y -= gap
        self.page.outline.append(text)
        for line in lines:
            self.text(self.left, self.y - step * 0.76, line, palette.SEMIBOLD, size)
            self.y -= step

    def _head(self) -> None:
        job, title = self.running_head
        size, base = palette.SMALLEST_PT, self.y - 3.0
        room = self.width - self.measure(title, palette.REGULAR, size) - 6.0
        self.text(self.left, base, cut(job, room, palette.SEMIBOLD, size, self.measure), palette.SEMIBOLD, size)
        self.text(self.left + self.width, base, title, palette.REGULAR, size, palette.GREY, "right")
        self.y -= 9.0


_BESIDE_LABEL_MM = 1.5


def label_lines(label: str, indent: float, measure: Measure, size: float = TEXT_PT) -> list[str]:
    """The label over as many lines as it takes before a text that begins ``indent`` mm to its right."""
    return wrap(label, indent - _BESIDE_LABEL_MM, palette.SEMIBOLD, size, measure)


def labelled_lines(label: str, text: str, indent: float, width: float, measure: Measure, size: float = TEXT_PT) -> int:
    """How many lines a label and the text beside it take, in all a ``width`` in mm."""
    beside = wrap(text, width - indent, palette.REGULAR, size, measure)
    return max(len(label_lines(label, indent, measure, size)), len(beside))


def line_mm(size_pt: float) -> float:
    """Height of a line of text of a size."""
    return size_pt * palette.PT_MM * LEADING


def wrap(text: str, width_mm: float, style: str, size: float, measure: Measure) -> list[str]:
    """The text broken at blanks into lines no wider than given; words too long for a line are broken.

    At least one line, which may be empty.
    """
    if measure(text, style, size) <= width_mm and "\n" not in text:
        return [text]
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if measure(longer, style, size) <= width_mm:
            lines[-1] = longer
            continue
        pieces = _pieces(word, width_mm, style, size, measure)
        if lines[-1]:
            lines.append(pieces[0])
        else:
            lines[-1] = pieces[0]
        lines += pieces[1:]
    return lines


def cut(text: str, width_mm: float, style: str, size: float, measure: Measure) -> str:
    """The text, cut with "…" where it is too wide; "" where not even that fits."""
    if measure(text, style, size) <= width_mm:
        return text

    def fits(letters: int) -> bool:
        return measure(text[:letters].rstrip() + "…", style, size) <= width_mm

    if not fits(1):
        return ""
    # So many letters fit, and so many do not: found in steps that depend on the width, not on the text.
    fitting, beyond = 1, 2
    while beyond < len(text) and fits(beyond):
        fitting, beyond = beyond, 2 * beyond
    beyond = min(beyond, len(text))
    while beyond - fitting > 1:
        middle = (fitting + beyond) // 2
        fitting, beyond = (middle, beyond) if fits(middle) else (fitting, middle)
    return text[:fitting].rstrip() + "…"


def _pieces(word: str, width_mm: float, style: str, size: float, measure: Measure) -> Sequence[str]:
    pieces = [""]
    for ch in word:
        if pieces[-1] and measure(pieces[-1] + ch, style, size) > width_mm:
            pieces.append(ch)
        else:
            pieces[-1] += ch
    return pieces


ROW_MM = 5.1
_LINE_MM = line_mm(TEXT_PT) * 0.94
_GAP_MM, _NARROW_GAP_MM = 4.0, 2.4
"""Space between columns, and in tables beside a plan."""
_BESIDE_MM = 120.0
"""Tables narrower than this count as beside a plan."""
_MOST_LINES = 40
"""A cell is cut with "…" after so many lines: a row must fit on a page; the workbook has it whole."""
_NARROW_MM = 110.0
"""Tables of two columns are no wider than this: an eye must not lose its row."""

_ROUNDING_MM = 0.01
"""Sums of widths may lack the last digit: a word that just fits is not broken."""

Laid = tuple[list[list[str]], float, str]
"""(lines of each cell, height, kind of row)"""


def cell_text(cell: Cell) -> str:
    """A cell as printed: figures with their places, as the region writes them; counts and mm without thousands."""
    if cell is None:
        return ""
    if isinstance(cell, str):
        return cell
    if isinstance(cell, Decimal):
        return number(cell)
    return str(cell).replace("-", "−")


def column_widths(table: Table, width_mm: float) -> list[float]:
    """Widths in mm by the columns' shares; they sum to the given width."""
    whole = sum(column.share for column in table.columns)
    return [width_mm * column.share / whole for column in table.columns]


class TableSetter:
    """Sets one table into a flow, within a width from a left edge."""

    def __init__(self, flow: Flow, table: Table, width_mm: float | None = None, left_mm: float | None = None) -> None:
        self.flow, self.table = flow, table
        small = len(table.columns) == 2 and table.columns[1].kind != "text"
        narrow = min(flow.width, _NARROW_MM) if small else flow.width
        self.width = width_mm or narrow
        self.left = flow.left if left_mm is None else left_mm
        self.gap = _GAP_MM if self.width >= _BESIDE_MM or small else _NARROW_GAP_MM
        self.widths = self._widths()
        self.edges = [self.left + sum(self.widths[:k]) for k in range(len(self.widths))]
        self.head = self._cells([c.title for c in table.columns], [palette.SEMIBOLD] * len(table.columns))
        self.head_mm = self._height(self.head) + 0.6

    def _widths(self) -> list[float]:
        """The columns' widths by their shares, but that no word of a head and no figure is broken, nor a word of a
        cell: what one lacks is taken from those that have more than they need, as far as there is any."""
        shares = column_widths(self.table, self.width)
        least = [self._least_mm(k) for k in range(len(shares))]
        words = [self._words_mm(k) for k in range(len(shares))]
        both = [max(pair) for pair in zip(least, words, strict=True)]
        widths = _evened(shares, least, both)
        wished = [
            max(need, min(word, _MOST_OF_SHARE * share)) for need, word, share in zip(least, words, shares, strict=True)
        ]
        return _evened(widths, wished, both)

    def _least_mm(self, k: int) -> float:
        """The width that the longest word of a column's head needs, and its longest figure, with the gap after it."""
        column = self.table.columns[k]
        figures = [] if column.kind == "text" else [text for text in self._texts(k) if text]
        return self._widest_mm(k, [*column.title.split(), *figures])

    def _words_mm(self, k: int) -> float:
        """The width that the longest word of a column's cells needs; short ones fit anywhere."""
        words = {word for text in self._texts(k) if len(text) > _SHORT for word in text.split()}
        return self._widest_mm(k, (word for word in words if len(word) > _SHORT))

    def _texts(self, k: int) -> Iterator[str]:
        rows = (*self.table.rows, *((self.table.total,) if self.table.total else ()))
        groups = {n for n, kind in enumerate(self.table.kinds) if kind == "group"}  # they run over the whole width
        return (cell_text(row[k]) for n, row in enumerate(rows) if n not in groups)

    def _widest_mm(self, k: int, words: Iterable[str]) -> float:
        widest = max((self.flow.measure(word, palette.SEMIBOLD, TEXT_PT) for word in words), default=0.0)
        return widest + (0.0 if k == len(self.table.columns) - 1 else self.gap) + _ROUNDING_MM

    def rows(self) -> list[Laid]:
        """Every row laid out, the total last."""
        table = self.table
        laid = [self._row(cells, table.kind_of(k)) for k, cells in enumerate(table.rows)]
        if table.total is not None:
            laid.append(self._row(table.total, "sum"))
        return laid

    def height(self) -> float:
        """Height of the whole table with head and note, without a title."""
        note = ROW_MM if self.table.full_note else 0.0
        return self.head_mm + sum(height for _, height, _ in self.rows()) + note

    def set(self, titled: bool = True) -> None:
        """Put the table where the flow stands, over as many pages as it takes."""
        flow, table = self.flow, self.table
        laid = self.rows()
        if not table.rows:
            if titled:
                flow.heading(table.title, ROW_MM)
            flow.paragraph(table.empty, colour=palette.GREY)
            return
        first = sum(height for _, height, _ in laid[: _kept(laid, 0)])
        if titled:
            flow.heading(table.title, self.head_mm + first + 2.0)
            flow.y -= 1.0
        self._head()
        self._body(laid)
        if table.full_note:
            flow.y -= 0.8
            flow.paragraph(table.full_note, size=palette.SMALLEST_PT, colour=palette.GREY, width=self.width)

    def _body(self, laid: list[Laid]) -> None:
        k, above = 0, None
        while k < len(laid):
            count = _kept(laid, k)
            # The note below a table does not stand on a page of its own.
            note = ROW_MM if self.table.full_note and k + count == len(laid) else 0.0
            if self.flow.left_mm() < sum(height for _, height, _ in laid[k : k + count]) + note:
                self._turn()
                above = None
            for cells, height, kind in laid[k : k + count]:
                same = self.table.ditto
                named = not same or kind != "line" or cells[:same] != above
                self._put(cells, height if named else self._height(cells[same:]), kind, named)
                above = cells[:same]
            k += count

    def _turn(self) -> None:
        self.flow.new_page()
        title = tr("{title} (continued)", title=self.table.title)
        for line in wrap(title, self.width, palette.SEMIBOLD, TEXT_PT, self.flow.measure):
            self.flow.text(self.left, self.flow.y - 3.6, line, palette.SEMIBOLD, TEXT_PT, palette.GREY)
            self.flow.y -= _LINE_MM
        self.flow.y -= 6.0 - _LINE_MM
        self._head()

    def _head(self) -> None:
        flow = self.flow
        lines = max(len(cell) for cell in self.head)
        for cell, column, x, wide in zip(self.head, self.table.columns, self.edges, self.widths, strict=True):
            # Heads of several lines stand on the line below them.
            y = flow.y - 3.7 - (lines - len(cell)) * _LINE_MM
            self._lines(cell, column, x, wide, y, palette.SEMIBOLD)
        flow.y -= self.head_mm
        flow.rule(self.left, self.left + self.width, flow.y, 0.3, palette.INK)

    def _put(self, cells: list[list[str]], height: float, kind: str, named: bool) -> None:
        """One row; unless ``named`` its first cells repeat the row above and are left blank."""
        flow = self.flow
        for k, (cell, column, x, wide) in enumerate(
            zip(cells, self.table.columns, self.edges, self.widths, strict=True)
        ):
            if k >= self.table.ditto or named:
                self._lines(cell, column, x, wide, flow.y - 3.6, _style(kind, k, column))
        flow.y -= height
        if kind != "sum":
            flow.rule(self.left, self.left + self.width, flow.y)

    def _lines(self, lines: list[str], column: Column, x: float, wide: float, y: float, style: str) -> None:
        flow = self.flow
        right = column.kind != "text"
        edge = x + wide - (0.0 if column is self.table.columns[-1] else self.gap)
        for line in lines:
            if line:
                flow.text(edge if right else x, y, line, style, align="right" if right else "left")
            y -= _LINE_MM

    def _row(self, cells: Sequence[Cell], kind: str) -> Laid:
        columns = self.table.columns
        texts = [cell_text(cell) for cell in cells]
        if kind == "group":
            # The name of a group runs over the whole width.
            name = wrap(texts[0], self.width, palette.SEMIBOLD, TEXT_PT, self.flow.measure)
            return [name, *([""] for _ in texts[1:])], self._height([name]), kind
        laid = self._cells(texts, [_style(kind, k, column) for k, column in enumerate(columns)])
        return laid, self._height(laid), kind

    def _cells(self, texts: Sequence[str], styles: Sequence[str]) -> list[list[str]]:
        last = len(texts) - 1
        laid = []
        for k, (text, wide, style) in enumerate(zip(texts, self.widths, styles, strict=True)):
            room = wide - (0.0 if k == last else self.gap)
            lines = wrap(text, room, style, TEXT_PT, self.flow.measure) if text else [""]
            if len(lines) > _MOST_LINES:
                lines = [
                    *lines[: _MOST_LINES - 1],
                    cut(f"{lines[_MOST_LINES - 1]} …", room, style, TEXT_PT, self.flow.measure),
                ]
            laid.append(lines)
        return laid

    def _height(self, cells: list[list[str]]) -> float:
        return ROW_MM + (max(len(cell) for cell in cells) - 1) * _LINE_MM


_SHORT = 10
"""Words of so many letters fit into every column."""

_MOST_OF_SHARE = 1.5
"""A column grows by half for its words: one of a hundred letters is broken."""


def _evened(widths: Sequence[float], needs: Sequence[float], keeps: Sequence[float]) -> list[float]:
    """The widths with what some lack of their needs taken from those that have more than they keep."""
    lacking = [max(need - wide, 0.0) for need, wide in zip(needs, widths, strict=True)]
    spare = [max(wide - keep, 0.0) for keep, wide in zip(keeps, widths, strict=True)]
    moved = min(sum(lacking), sum(spare))
    if not moved:
        return list(widths)
    return [
        wide + more * moved / sum(lacking) - less * moved / sum(spare)
        for wide, more, less in zip(widths, lacking, spare, strict=True)
    ]


def _style(kind: str, column: int, what: Column) -> str:
    """Totals are strong where they say what and how much; their workings are not."""
    strong = kind != "line" and (column == 0 or what.kind != "text")
    return palette.SEMIBOLD if strong else palette.REGULAR


_PAIR_MM = 60.0
"""Rows taller than this together are not held on one page: they would leave too much of a page empty."""


def _kept(laid: list[Laid], k: int) -> int:
    """How many rows from here stay on one page: what belongs together, and never one row alone with a head or at
    the end."""
    count = _joined(laid, k)
    while k + count < len(laid) and (k + count == 1 or k + count == len(laid) - 1):
        more = count + _joined(laid, k + count)
        if sum(height for _, height, _ in laid[k : k + more]) > _PAIR_MM:
            break
        count = more
    return count


def _joined(laid: list[Laid], k: int) -> int:
    """Rows from here that belong together: a group's name with its first line, a line with its total."""
    count = 1
    if laid[k][2] == "group":
        count = 2
    while k + count < len(laid) and laid[k + count][2] in ("total", "sum") and count < 5:
        count += 1
    return min(count, len(laid) - k)
