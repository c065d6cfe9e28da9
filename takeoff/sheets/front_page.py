"""The first page of a paper: whose it is, the headline, its table, what holds, and small plans."""

from __future__ import annotations

import math
from collections.abc import Callable

from takeoff.sheets import palette
from takeoff.sheets.drawn import MARKS, draw, key_picture
from takeoff.sheets.flow import ROW_MM, TEXT_PT, TOP_MM, Flow, TableSetter, cut, line_mm, wrap
from takeoff.sheets.labelled import label_mm, line_height, put_lines
from takeoff.sheets.letterhead import HEAD_MM, put_letterhead
from takeoff.sheets.picture import Picture, fitting_scale
from takeoff.sheets.plan_pieces import bar_and_key, put_bar_and_key
from takeoff.sheets.sheet_values import Document, Plan, Table

_TITLE_PT, _FIGURE_PT, _JOB_PT = 26.0, 14.0, 12.0
_SMALL_KEY_MM, _SMALL_TITLE_MM = 26.0, 6.0
_MOST_ABREAST = 4
_FIGURES_APART_MM = 4.0
_SHARES = (0.0, 0.32, 0.55, 0.775)
"""Where the headline's figures stand, as parts of the width: one grid for every first page."""


def overview(flow: Flow, document: Document, table: Table | None, between: Callable[[], bool]) -> None:
    """A first page without a large plan: headline, table, what holds, and what ``between`` puts on what is left of it;
    small plans where that is nothing and they fit."""
    flow.new_page(client=True, head=False)
    header(flow, document, document.job)
    if table is None:
        flow.paragraph(document.words["no_rooms"], colour=palette.GREY)
        flow.y -= 3.0
        put_lines(flow, document.lines, flow.width)
        return
    setter = TableSetter(flow, table)
    tall = sum(line_height(flow, line, flow.width, label_mm(flow, document.lines)) for line in document.lines) + 5.0
    if setter.height() + tall > flow.left_mm():
        # A table over several pages comes after what must stand on the first.
        put_lines(flow, document.lines, flow.width)
        flow.y -= 4.0
        flow.need(min(setter.height(), setter.head_mm + _KEPT_ROWS * ROW_MM))
        setter.set(titled=False)
        between()
        return
    setter.set(titled=False)
    flow.y -= 4.0
    put_lines(flow, document.lines, flow.width)
    price = front_table(document)
    if price and TableSetter(flow, price).height() + _PRICE_HEAD_MM <= flow.left_mm():
        # The plans come larger on pages of their own; the price is asked for first.
        TableSetter(flow, price).set()
        between()
    elif not between():
        _small_plans(flow, document)


_KEPT_ROWS = 3
"""A table without a title keeps its head with so many rows."""

_PRICE_HEAD_MM = 16.0
"""The heading of a price with the space around it."""


def front_table(document: Document) -> Table | None:
    """The table that stands on a scope's first page where it fits: its price; None for other papers and none."""
    priced = [table for table in document.totals if table.id in ("offer", "price")]
    return priced[0] if priced and document.paper == "scope" else None


def header(flow: Flow, document: Document, subject: str) -> None:
    """Title, job and source on the left, reference and date on the right, then the headline."""
    flow.page.outline.append(subject)
    low, width = _who_and_when(flow, document)
    top = flow.page.height_mm - TOP_MM
    size = _title_pt(flow, document.title, width)
    flow.text(flow.left, top - 6.5, document.title, palette.LIGHT, size)
    flow.y = top - 9.2
    for line in wrap(subject, min(width, flow.width - 30.0), palette.SEMIBOLD, _JOB_PT, flow.measure)[:3]:
        flow.text(flow.left, flow.y - 4.4, line, palette.SEMIBOLD, _JOB_PT)
        flow.y -= line_mm(_JOB_PT)
    if document.addressed:
        flow.paragraph(document.addressed, width=width)
    flow.paragraph(document.source, colour=palette.GREY, width=width)
    flow.y = min(flow.y, low)
    _headline(flow, document)


def _who_and_when(flow: Flow, document: Document) -> tuple[float, float]:
    """Put firm, reference and date at the right: (where that ends, how much width is left beside it)."""
    right, top = flow.left + flow.width, flow.page.height_mm - TOP_MM
    if document.letterhead.is_set:
        low = put_letterhead(flow, document.letterhead, top) - 4.2
        named = wrap(document.reference, HEAD_MM, palette.SEMIBOLD, TEXT_PT, flow.measure)[:3]
        lines = [(line, palette.SEMIBOLD, palette.INK) for line in named if line]
        for text, style, colour in (*lines, (document.date, palette.REGULAR, palette.GREY)):
            flow.text(right, low, text, style, TEXT_PT, colour, "right")
            low -= 4.4
        return low + 3.0, flow.width - HEAD_MM - _FIGURES_APART_MM
    beside = flow.width - flow.measure(document.title, palette.LIGHT, _TITLE_PT) - _FIGURES_APART_MM
    # a long title leaves no room beside it: the reference stands under the date then
    fits = flow.measure(document.reference, palette.SEMIBOLD, TEXT_PT) <= beside
    first, second = (5.2, 9.6) if fits else (14.0, 9.6)
    flow.text(right, top - first, document.reference, palette.SEMIBOLD, TEXT_PT, align="right")
    flow.text(right, top - second, document.date, palette.REGULAR, TEXT_PT, palette.GREY, "right")
    return top, flow.width


def _title_pt(flow: Flow, title: str, width: float) -> float:
    """The size at which a title keeps to its width."""
    return min(_TITLE_PT, _TITLE_PT * width / flow.measure(title, palette.LIGHT, _TITLE_PT)) if title else _TITLE_PT


def _headline(flow: Flow, document: Document) -> None:
    flow.y -= 3.0
    low = flow.y
    free = flow.left
    for k, head in enumerate(document.headlines[: len(_SHARES)]):
        x = max(free, flow.left + flow.width * _SHARES[k])  # a long figure pushes the next one on
        free = x + flow.measure(head.figure, palette.SEMIBOLD, _FIGURE_PT) + _FIGURES_APART_MM
        end = _SHARES[k + 1] if k + 1 < min(len(document.headlines), len(_SHARES)) else 1.0
        wide = flow.left + flow.width * end - x - 3.0
        flow.text(x, flow.y - 5.6, head.figure, palette.SEMIBOLD, _FIGURE_PT)
        y = flow.y - 10.4
        for line in wrap(head.words, wide, palette.REGULAR, TEXT_PT, flow.measure)[:3]:
            flow.text(x, y, line, palette.REGULAR, TEXT_PT, palette.GREY)
            y -= line_mm(TEXT_PT) * 0.92
        low = min(low, y)
    flow.y = low - 2.6


def _small_plans(flow: Flow, document: Document) -> None:
    """All storeys at one scale below the summary, marks only, where they fit; else nothing."""
    plans = [sheet.plan for sheet in document.storeys if sheet.plan.rooms]
    if len(plans) == 1:
        _one_small_plan(flow, document, plans[0])
        return
    room = flow.left_mm() - _SMALL_KEY_MM
    fits = [_grid(plans, columns, flow.width, room) for columns in range(1, min(len(plans), _MOST_ABREAST) + 1)]
    best = min((fit for fit in fits if fit), key=lambda fit: (fit[0], -fit[1]), default=None)
    if best is None:
        return
    scale, columns = best
    pictures = [draw(plan, scale, flow.measure, labelled=False) for plan in plans]
    if max(max(picture.width_mm, picture.height_mm) for picture in pictures) < _SMALLEST_SEEN_MM:
        return
    wide = flow.width / columns
    flow.y -= 5.0
    for first in range(0, len(plans), columns):
        row = list(zip(plans, pictures, strict=True))[first : first + columns]
        tall = max(picture.height_mm for _, picture in row)
        for k, (plan, picture) in enumerate(row):
            x = flow.left + k * wide
            title = cut(plan.title, wide - 6.0, palette.SEMIBOLD, TEXT_PT, flow.measure)
            flow.text(x, flow.y - 3.6, title, palette.SEMIBOLD)
            flow.page.pictures.append((x, flow.y - _SMALL_TITLE_MM - picture.height_mm, picture))
        flow.y -= _SMALL_TITLE_MM + tall + 4.0
    used = {mark for picture in pictures for mark in picture.marks}
    marks = tuple(mark for mark in MARKS if mark in used)
    ways = {plan.north_deg for plan in plans}
    whole = Picture(0.0, 0.0, scale, (), (), marks, north_deg=ways.pop() if len(ways) == 1 else None)
    put_bar_and_key(flow, *bar_and_key(flow, document, whole, flow.width))


_SMALL_GAP_MM, _KEY_PART = 6.0, 0.34
"""Above a small plan and below it; what part of the width its key takes beside it."""


def _one_small_plan(flow: Flow, document: Document, plan: Plan) -> None:
    """A plan by itself as large as what is left of the page allows, its bar and key beside it or below it; nothing
    where that is too little: it stands larger on the next page, and a stamp of it would show nothing."""
    tall = flow.left_mm() - 2 * _SMALL_GAP_MM
    beside = flow.width * _KEY_PART
    scales = (
        fitting_scale(plan, flow.width - beside - _GAP_MM, tall),
        fitting_scale(plan, flow.width, tall - _SMALL_KEY_MM),
    )
    if all(scale is None for scale in scales):
        return
    near, below = (math.inf if scale is None else scale for scale in scales)
    picture = draw(plan, int(min(near, below)), flow.measure, labelled=False)
    if max(picture.width_mm, picture.height_mm) < _SMALLEST_SEEN_MM:
        return
    bar, key, key_left = bar_and_key(flow, document, picture, flow.width)
    top = flow.y - _SMALL_GAP_MM
    if below < near or bar.width_mm > beside:
        if picture.height_mm + _BAR_GAP_MM + max(bar.height_mm, key.height_mm) > tall:
            return
        flow.page.pictures.append((flow.left, top - picture.height_mm, picture))
        flow.y = top - picture.height_mm - _BAR_GAP_MM
        put_bar_and_key(flow, bar, key, key_left)
        return
    key = key_picture(picture.marks, document.words, beside, flow.measure)
    down = bar.height_mm + _BAR_GAP_MM + key.height_mm
    if max(picture.height_mm, down) > tall:
        return
    x, wide = flow.left + flow.width - beside, flow.width - beside - _GAP_MM
    flow.page.pictures.append((flow.left + (wide - picture.width_mm) / 2, top - picture.height_mm, picture))
    flow.page.pictures.append((x, top - bar.height_mm, bar))
    flow.page.pictures.append((x, top - down, key))
    flow.y = top - max(picture.height_mm, down)


_BAR_GAP_MM, _GAP_MM = 3.0, 6.0
"""Between plan and bar one above another, and side by side."""
_SMALLEST_SEEN_MM = 45.0


def _grid(plans: list[Plan], columns: int, width: float, room: float) -> tuple[int, int] | None:
    """(scale, columns) at which all plans fit in so many columns; None where they do not."""
    rows = -(-len(plans) // columns)
    tall = room / rows - _SMALL_TITLE_MM - 4.0
    scales = [fitting_scale(plan, width / columns - 6.0, tall) for plan in plans]
    known = [scale for scale in scales if scale is not None]
    return (max(known), columns) if len(known) == len(plans) and plans else None
