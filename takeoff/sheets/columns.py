"""Labelled sentences in two columns of small type, as the conditions of a contract are printed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from takeoff.sheets import palette
from takeoff.sheets.flow import TOP_MM, Flow, line_mm, wrap
from takeoff.sheets.picture import Measure
from takeoff.sheets.sheet_values import Line

TEXT_PT = 8.5
_BETWEEN_MM, _AFTER_MM = 8.0, 1.4
_BESIDE_LABEL_MM = 1.6
_HEAD_PT = 11.0


class _Laid(NamedTuple):
    """A sentence in its column: its label, the rest of the label's line, the lines below it."""

    line: Line
    first: str
    rest: list[str]

    @property
    def height(self) -> int:
        """Lines of it."""
        return 1 + len(self.rest)


def put_columns(flow: Flow, title: str, lines: Sequence[Line], after_mm: float = 0.0) -> None:
    """Put the sentences under their title, read down the left column and then down the right one; nothing for none.

    They stay on one page where a page holds them, with so much that follows them.
    """
    if not lines:
        return
    wide = (flow.width - _BETWEEN_MM) / 2
    laid = [_laid(line, wide, flow.measure) for line in lines]
    title_mm = 6.0 + line_mm(_HEAD_PT) + 1.5
    if title_mm + _columns_mm(laid) + after_mm > flow.left_mm():
        left = flow.left_mm() - title_mm
        fresh = flow.page.height_mm - TOP_MM - 9.0 - flow.y < 1.0
        if not fresh and not _fits_apart(laid, left):
            flow.new_page()
    flow.heading(title, 4 * line_mm(TEXT_PT), _HEAD_PT)
    flow.y -= 1.5
    while laid:
        taken = _as_many(laid, flow.left_mm(), after_mm)
        _put(flow, laid[:taken], wide)
        laid = laid[taken:]
        if laid:
            flow.new_page()
    flow.y -= 1.0


def _fits_apart(laid: Sequence[_Laid], left_mm: float) -> bool:
    """Whether enough of the sentences stands on what is left of a page for the rest to go on overleaf."""
    return _as_many(laid, left_mm, 0.0) >= 2 and len(laid) - _as_many(laid, left_mm, 0.0) >= 2


def _as_many(laid: Sequence[_Laid], left_mm: float, after_mm: float) -> int:
    """How many of the first sentences stand in two columns of that height; one at least."""
    if _columns_mm(laid) + after_mm <= left_mm:
        return len(laid)
    most = max((k for k in range(1, len(laid) + 1) if _columns_mm(laid[:k]) <= left_mm), default=1)
    # what follows the last sentence keeps one of them with it
    return most - 1 if most == len(laid) and after_mm and most > 1 else most


def _columns_mm(laid: Sequence[_Laid]) -> float:
    """Height of the sentences in two columns as even as they can be."""
    heights = [_tall(one) for one in laid]
    cut = _cut(heights)
    return max(sum(heights[:cut]), sum(heights[cut:]))


def _cut(heights: Sequence[float]) -> int:
    """How many stand in the left column: as many as make the taller one lowest, the left one where both do."""
    return min(range(1, len(heights) + 1), key=lambda k: (max(sum(heights[:k]), sum(heights[k:])), k))


def _tall(one: _Laid) -> float:
    return one.height * line_mm(TEXT_PT) + _AFTER_MM


def _put(flow: Flow, laid: Sequence[_Laid], wide: float) -> None:
    heights = [_tall(one) for one in laid]
    cut = _cut(heights)
    low, top = flow.y, flow.y
    for x, own in ((flow.left, laid[:cut]), (flow.left + wide + _BETWEEN_MM, laid[cut:])):
        y = top
        for one in own:
            y = _put_one(flow, one, x, y)
        low = min(low, y)
    flow.y = low


def _put_one(flow: Flow, one: _Laid, x: float, y: float) -> float:
    step = line_mm(TEXT_PT)
    colour = palette.URGENT if one.line.urgent else palette.INK
    base = y - step * 0.76
    if one.line.label:
        flow.text(x, base, one.line.label, palette.SEMIBOLD, TEXT_PT, colour)
    if one.first:
        flow.text(x + _label_mm(one.line, flow.measure), base, one.first, palette.REGULAR, TEXT_PT)
    for number, text in enumerate(one.rest, 1):
        flow.text(x, base - number * step, text, palette.REGULAR, TEXT_PT)
    return y - _tall(one)


def _label_mm(line: Line, measure: Measure) -> float:
    """What the label takes of its line."""
    return measure(line.label, palette.SEMIBOLD, TEXT_PT) + _BESIDE_LABEL_MM if line.label else 0.0


def _laid(line: Line, wide: float, measure: Measure) -> _Laid:
    """The sentence with as many words beside its label as have room there."""
    words = line.text.split()
    room = wide - _label_mm(line, measure)
    count = 0
    while count < len(words) and measure(" ".join(words[: count + 1]), palette.REGULAR, TEXT_PT) <= room:
        count += 1
    rest = " ".join(words[count:])
    return _Laid(line, " ".join(words[:count]), wrap(rest, wide, palette.REGULAR, TEXT_PT, measure) if rest else [])
