"""Pages filled from top to bottom: texts, rules and pictures at their places, in mm from the lower left."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from takeoff.sheets import palette
from takeoff.sheets.picture import Measure, Picture

MARGIN_MM = 15.0
FOOT_MM = 25.0
"""Height above the paper's lower edge where the foot begins."""
TOP_MM = 15.0

SIZES_MM = {"A4": (210.0, 297.0), "A3": (297.0, 420.0)}

TEXT_PT = 9.5
LEADING = 1.36

TextItem = tuple[float, float, str, str, float, str]
"""(x, y of the baseline, text, style, size in pt, colour)"""

RuleItem = tuple[float, float, float, float, float, str]
"""(x0, y0, x1, y1, width, colour)"""


class Page(msgspec.Struct):
    """What stands on one sheet of paper; ``client`` pages carry the place to agree."""

    width_mm: float
    height_mm: float
    client: bool = False
    texts: list[TextItem] = msgspec.field(default_factory=list)
    rules: list[RuleItem] = msgspec.field(default_factory=list)
    pictures: list[tuple[float, float, Picture]] = msgspec.field(default_factory=list)


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

    def heading(self, text: str, keep_mm: float, size: float = 12.0) -> None:
        """A heading that never stands alone: with ``keep_mm`` of what follows."""
        lines = wrap(text, self.width, palette.SEMIBOLD, size, self.measure)
        step = line_mm(size)
        gap = 0.0 if self.y >= self.page.height_mm - TOP_MM - 9.0 else 6.0
        if self.need(gap + step * len(lines) + keep_mm):
            gap = 0.0
        self.y -= gap
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
    kept = text
    while kept and measure(kept.rstrip() + "…", style, size) > width_mm:
        kept = kept[:-1]
    return kept.rstrip() + "…" if kept else ""


def _pieces(word: str, width_mm: float, style: str, size: float, measure: Measure) -> Sequence[str]:
    pieces = [""]
    for ch in word:
        if pieces[-1] and measure(pieces[-1] + ch, style, size) > width_mm:
            pieces.append(ch)
        else:
            pieces[-1] += ch
    return pieces
