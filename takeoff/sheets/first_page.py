"""The head of a first page, and a first page without a large plan."""

from __future__ import annotations

from takeoff.sheets import palette
from takeoff.sheets.drawn import MARKS, draw
from takeoff.sheets.flow import TEXT_PT, TOP_MM, Flow, cut, line_mm, wrap
from takeoff.sheets.flow_tables import TableSetter
from takeoff.sheets.model import Document, Line, Plan, Table
from takeoff.sheets.picture import Picture, fitting_scale
from takeoff.sheets.put_plan import bar_and_key, put_bar_and_key

_TITLE_PT, _FIGURE_PT, _JOB_PT = 26.0, 14.0, 12.0
_LABEL_MM = 23.0
_SMALL_KEY_MM, _SMALL_TITLE_MM = 26.0, 6.0
_MOST_ABREAST = 4
_SHARES = (0.0, 0.32, 0.55, 0.775)
"""Where the headline's figures stand, as parts of the width: one grid for every first page."""


def overview(flow: Flow, document: Document, table: Table | None) -> None:
    """A first page without a large plan: headline, table, what holds, small plans where they fit."""
    flow.new_page(client=True, head=False)
    header(flow, document, document.job)
    if table is None:
        flow.paragraph(document.words["no_rooms"], colour=palette.GREY)
        flow.y -= 3.0
        put_lines(flow, document.lines, flow.width)
        return
    setter = TableSetter(flow, table)
    tall = sum(line_height(flow, line, flow.width) for line in document.lines) + 5.0
    if setter.height() + tall > flow.left_mm():
        # A table over several pages comes after what must stand on the first.
        put_lines(flow, document.lines, flow.width)
        flow.y -= 4.0
        setter.set(titled=False)
        return
    setter.set(titled=False)
    flow.y -= 4.0
    put_lines(flow, document.lines, flow.width)
    _small_plans(flow, document)


def header(flow: Flow, document: Document, subject: str) -> None:
    """Title, job and source on the left, reference and date on the right, then the headline."""
    right = flow.left + flow.width
    top = flow.page.height_mm - TOP_MM
    flow.text(flow.left, top - 6.5, document.title, palette.LIGHT, _TITLE_PT)
    flow.text(right, top - 5.2, document.reference, palette.SEMIBOLD, TEXT_PT, align="right")
    flow.text(right, top - 9.6, document.date, palette.REGULAR, TEXT_PT, palette.GREY, "right")
    flow.y = top - 9.2
    flow_width = flow.width - 30.0
    for line in wrap(subject, flow_width, palette.SEMIBOLD, _JOB_PT, flow.measure)[:3]:
        flow.text(flow.left, flow.y - 4.4, line, palette.SEMIBOLD, _JOB_PT)
        flow.y -= line_mm(_JOB_PT)
    if document.addressed:
        flow.paragraph(document.addressed)
    flow.paragraph(document.source, colour=palette.GREY)
    _headline(flow, document)


def _headline(flow: Flow, document: Document) -> None:
    flow.y -= 3.0
    low = flow.y
    for k, head in enumerate(document.headlines[: len(_SHARES)]):
        x = flow.left + flow.width * _SHARES[k]
        end = _SHARES[k + 1] if k + 1 < min(len(document.headlines), len(_SHARES)) else 1.0
        wide = flow.left + flow.width * end - x - 3.0
        flow.text(x, flow.y - 5.6, head.figure, palette.SEMIBOLD, _FIGURE_PT)
        y = flow.y - 10.4
        for line in wrap(head.words, wide, palette.REGULAR, TEXT_PT, flow.measure)[:3]:
            flow.text(x, y, line, palette.REGULAR, TEXT_PT, palette.GREY)
            y -= line_mm(TEXT_PT) * 0.92
        low = min(low, y)
    flow.y = low - 2.6


def put_lines(flow: Flow, lines: tuple[Line, ...], width: float) -> None:
    step = line_mm(TEXT_PT)
    for line in lines:
        colour = palette.URGENT if line.urgent else palette.INK
        flow.text(flow.left, flow.y - step * 0.76, line.label, palette.SEMIBOLD, TEXT_PT, colour)
        flow.paragraph(line.text, indent=_LABEL_MM, width=width)
        flow.y -= 0.3


def line_height(flow: Flow, line: Line, width: float) -> float:
    lines = wrap(line.text, width - _LABEL_MM, palette.REGULAR, TEXT_PT, flow.measure)
    return len(lines) * line_mm(TEXT_PT) + 0.3


def _small_plans(flow: Flow, document: Document) -> None:
    """All storeys at one scale below the summary, marks only, where they fit; else nothing."""
    plans = [sheet.plan for sheet in document.storeys if sheet.plan.rooms]
    room = flow.left_mm() - _SMALL_KEY_MM
    fits = [_grid(plans, columns, flow.width, room) for columns in range(1, min(len(plans), _MOST_ABREAST) + 1)]
    best = min((fit for fit in fits if fit), key=lambda fit: (fit[0], -fit[1]), default=None)
    if best is None:
        return
    scale, columns = best
    pictures = [draw(plan, scale, flow.measure, labelled=False) for plan in plans]
    wide = flow.width / columns
    flow.y -= 5.0
    for first in range(0, len(plans), columns):
        row = list(zip(plans, pictures, strict=True))[first : first + columns]
        tall = max(picture.height_mm for _, picture in row)
        for k, (plan, picture) in enumerate(row):
            # A plan alone stands in the middle and needs no name.
            x = flow.left + (k * wide if len(plans) > 1 else (wide - picture.width_mm) / 2)
            if len(plans) > 1:
                title = cut(plan.title, wide - 6.0, palette.SEMIBOLD, TEXT_PT, flow.measure)
                flow.text(x, flow.y - 3.6, title, palette.SEMIBOLD)
            flow.page.pictures.append((x, flow.y - _SMALL_TITLE_MM - picture.height_mm, picture))
        flow.y -= _SMALL_TITLE_MM + tall + 4.0
    used = {mark for picture in pictures for mark in picture.marks}
    marks = tuple(mark for mark in MARKS if mark in used)
    whole = Picture(0.0, 0.0, scale, (), (), marks)
    put_bar_and_key(flow, *bar_and_key(flow, document, whole, flow.width))


def _grid(plans: list[Plan], columns: int, width: float, room: float) -> tuple[int, int] | None:
    """(scale, columns) at which all plans fit in so many columns; None where they do not."""
    rows = -(-len(plans) // columns)
    tall = room / rows - _SMALL_TITLE_MM - 4.0
    scales = [fitting_scale(plan, width / columns - 6.0, tall) for plan in plans]
    known = [scale for scale in scales if scale is not None]
    return (max(known), columns) if len(known) == len(plans) and plans else None
