"""The client's pages: headline, plan at a trade scale, key, short schedule, what holds and what does not."""

from __future__ import annotations

import enum
import math

import msgspec

from takeoff.sheets import palette
from takeoff.sheets.drawn import MARKS, draw
from takeoff.sheets.flow import TEXT_PT, TOP_MM, Flow, cut, line_mm, wrap
from takeoff.sheets.flow_tables import TableSetter
from takeoff.sheets.key import key_picture, scale_bar
from takeoff.sheets.model import Document, Line, Plan, StoreySheet, Table
from takeoff.sheets.picture import Picture, fitting_scale

_TITLE_PT, _STOREY_PT, _FIGURE_PT, _JOB_PT = 26.0, 20.0, 14.0, 12.0
_LABEL_MM = 19.0
_BESIDE_MM = 104.0
"""Width of the column beside a plan on a page that lies on its side."""
_GAP_MM = 6.0
_SMALL_KEY_MM, _SMALL_TITLE_MM = 26.0, 6.0
_KEY_MM = 13.0
"""Height set aside for scale bar and key before the key is known; more is taken where it is needed."""
_READABLE = 100
"""A schedule leaves the plan's page rather than press the plan below this scale."""
_SHARES = (0.0, 0.32, 0.55, 0.775)
"""Where the headline's figures stand, as parts of the width: one grid for every first page."""


class Way(enum.Enum):
    """Where a plan stands: on the first page, on its storey's page, or on one of its own."""

    FRONT = 1
    STOREY = 2
    ALONE = 3


class Arrangement(msgspec.Struct, frozen=True):
    """One way to lay a plan's page out."""

    size: tuple[float, float]
    beside: bool
    schedule: bool
    scale: int | None


def client_pages(flow: Flow, document: Document) -> None:
    """The first page, then a page for every storey that is not on it.

    A single storey stands on the first page, unless it can be drawn larger on its own.
    """
    table = document.summary
    if table is None and document.storeys:
        sheet = document.storeys[0]
        here = _best_arrangement(flow, document, sheet, document.lines, Way.FRONT)
        if here.scale is None or here.scale > _READABLE:
            alone = _best_arrangement(flow, document, sheet, (), Way.ALONE)
            if alone.scale is not None and alone.scale < (here.scale or math.inf):
                _overview(flow, document, sheet.schedule)
                _storey_page(flow, document, sheet, (), Way.ALONE, alone)
                return
        _storey_page(flow, document, sheet, document.lines, Way.FRONT, here)
        return
    _overview(flow, document, table)
    for sheet in document.storeys:
        way = _best_arrangement(flow, document, sheet, sheet.lines, Way.STOREY)
        _storey_page(flow, document, sheet, sheet.lines, Way.STOREY, way)


def _overview(flow: Flow, document: Document, table: Table | None) -> None:
    """A first page without a large plan: headline, table, what holds, small plans where they fit."""
    flow.new_page(client=True, head=False)
    _header(flow, document, document.job)
    if table is None:
        flow.paragraph(document.words["no_rooms"], colour=palette.GREY)
        flow.y -= 3.0
        _lines(flow, document.lines, flow.width)
        return
    setter = TableSetter(flow, table)
    tall = sum(_line_height(flow, line, flow.width) for line in document.lines) + 5.0
    if setter.height() + tall > flow.left_mm():
        # A table over several pages comes after what must stand on the first.
        _lines(flow, document.lines, flow.width)
        flow.y -= 4.0
        setter.set(titled=False)
        return
    setter.set(titled=False)
    flow.y -= 4.0
    _lines(flow, document.lines, flow.width)
    small_plans(flow, document)


def _storey_page(
    flow: Flow, document: Document, sheet: StoreySheet, lines: tuple[Line, ...], way: Way, laid: Arrangement
) -> None:
    """The page of one storey; its schedule follows on pages of its own where it would press the plan."""
    flow.new_page(laid.size, client=way is Way.FRONT, head=way is not Way.FRONT)
    _page_head(flow, document, sheet, way)
    room, top = flow.left_mm(), flow.y
    beside = laid.beside and laid.scale is not None
    wide = flow.width - (_BESIDE_MM + _GAP_MM if beside else 0.0)
    below = 0.0 if beside else _texts_mm(flow, sheet, lines, flow.width, laid.schedule)
    _plan(flow, document, sheet.plan, laid, wide, room - below)
    if beside:
        flow.y = top
        _schedule_and_lines(flow, sheet, lines, _BESIDE_MM, flow.left + wide + _GAP_MM, laid.schedule)
    else:
        _schedule_and_lines(flow, sheet, lines, flow.width, flow.left, laid.schedule)
    if not laid.schedule and way is not Way.ALONE:
        flow.new_page()
        TableSetter(flow, sheet.schedule).set()


def _page_head(flow: Flow, document: Document, sheet: StoreySheet, way: Way) -> None:
    if way is Way.FRONT:
        storey = sheet.title if sheet.title != document.words["unnamed_storey"] else ""
        _header(flow, document, ", ".join(part for part in (document.job, storey) if part))
    else:
        _storey_title(flow, sheet)


def _best_arrangement(
    flow: Flow, document: Document, sheet: StoreySheet, lines: tuple[Line, ...], way: Way
) -> Arrangement:
    """The largest scale; arrangements that keep the schedule with the plan come first while readable."""
    wide, tall = flow.size
    tried = [
        _tried(flow, document, sheet, lines, way, Arrangement(size, beside, schedule, None))
        for size, beside in (((wide, tall), False), ((tall, wide), True), ((tall, wide), False))
        for schedule in (True, False)
        if not (schedule and way is Way.ALONE)
    ]
    fitting = [laid for laid in tried if laid is not None and laid.scale is not None]
    if not fitting:
        few = not sheet.schedule.rows
        return Arrangement((wide, tall), False, few and way is not Way.ALONE, None)
    readable = [laid for laid in fitting if laid.schedule and (laid.scale or 0) <= _READABLE]
    return min(readable or fitting, key=lambda laid: (laid.scale, not laid.schedule))


def _tried(
    flow: Flow, document: Document, sheet: StoreySheet, lines: tuple[Line, ...], way: Way, laid: Arrangement
) -> Arrangement | None:
    """The arrangement with its scale; None where the plan or the texts do not fit."""
    trial = Flow(laid.size, flow.measure, flow.running_head)
    trial.new_page(laid.size, head=way is not Way.FRONT)
    _page_head(trial, document, sheet, way)
    wide = trial.width - (_BESIDE_MM + _GAP_MM if laid.beside else 0.0)
    tall = trial.left_mm() - _KEY_MM
    if laid.beside:
        if _texts_mm(trial, sheet, lines, _BESIDE_MM, laid.schedule) > trial.left_mm():
            return None
    else:
        tall -= _texts_mm(trial, sheet, lines, trial.width, laid.schedule)
    scale = fitting_scale(sheet.plan, wide, tall)
    return None if scale is None else Arrangement(laid.size, laid.beside, laid.schedule, scale)


def _texts_mm(flow: Flow, sheet: StoreySheet, lines: tuple[Line, ...], width: float, schedule: bool) -> float:
    """Height of schedule and lines at a width."""
    tall = sum(_line_height(flow, line, width) for line in lines) + 5.0
    if schedule:
        tall += TableSetter(flow, sheet.schedule, width).height() + 3.0
    return tall


def _plan(flow: Flow, document: Document, plan: Plan, way: Arrangement, width: float, room: float) -> None:
    """The plan, its scale bar, key, and the labels that had no room on it; what height is over is shared out."""
    if way.scale is None:
        words = document.words["too_large"] if plan.rooms else document.words["no_plan"]
        flow.paragraph(words, colour=palette.GREY)
        flow.y -= 3.0
        return
    picture = draw(plan, way.scale, flow.measure)
    listed = _listed_lines(flow, picture, document, width)
    bar, key, key_left = _bar_and_key(flow, document, picture, width)
    foot = max(bar.height_mm, key.height_mm) + len(listed) * line_mm(palette.SMALLEST_PT)
    spare = min(max(0.0, room - picture.height_mm - foot - 8.0) / 3.0, 5.0)
    flow.y -= spare
    x = flow.left + (width - picture.width_mm) / 2.0
    flow.page.pictures.append((x, flow.y - picture.height_mm, picture))
    flow.y -= picture.height_mm + 3.0 + spare
    _put_bar_and_key(flow, bar, key, key_left)
    for line in listed:
        flow.text(flow.left, flow.y - 3.4, line, palette.REGULAR, palette.SMALLEST_PT, palette.GREY)
        flow.y -= line_mm(palette.SMALLEST_PT)
    flow.y -= 2.5 + spare


def _bar_and_key(
    flow: Flow, document: Document, picture: Picture, width: float
) -> tuple[Picture, Picture, float]:
    """The scale bar, the key, and how far right the key begins."""
    bar = scale_bar(picture.scale, flow.measure)
    left = bar.width_mm + 9.0
    return bar, key_picture(picture.marks, document.words, width - left, flow.measure), left


def _put_bar_and_key(flow: Flow, bar: Picture, key: Picture, key_left: float) -> None:
    flow.page.pictures.append((flow.left, flow.y - bar.height_mm, bar))
    flow.page.pictures.append((flow.left + key_left, flow.y - key.height_mm, key))
    flow.y -= max(bar.height_mm, key.height_mm) + 1.0


def small_plans(flow: Flow, document: Document) -> None:
    """All storeys at one scale below the summary, marks only, where they fit; else nothing."""
    plans = [sheet.plan for sheet in document.storeys if sheet.plan.rooms]
    room = flow.left_mm() - _SMALL_KEY_MM
    fits = [_grid(plans, columns, flow.width, room) for columns in range(1, min(len(plans), 4) + 1)]
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
            x = flow.left + k * wide
            title = cut(plan.title, wide - 6.0, palette.SEMIBOLD, TEXT_PT, flow.measure)
            flow.text(x, flow.y - 3.6, title, palette.SEMIBOLD)
            flow.page.pictures.append((x, flow.y - _SMALL_TITLE_MM - picture.height_mm, picture))
        flow.y -= _SMALL_TITLE_MM + tall + 4.0
    used = {mark for picture in pictures for mark in picture.marks}
    marks = tuple(mark for mark in MARKS if mark in used)
    whole = Picture(0.0, 0.0, scale, (), (), marks)
    _put_bar_and_key(flow, *_bar_and_key(flow, document, whole, flow.width))


def _grid(plans: list[Plan], columns: int, width: float, room: float) -> tuple[int, int] | None:
    """(scale, columns) at which all plans fit in so many columns; None where they do not."""
    rows = -(-len(plans) // columns)
    tall = room / rows - _SMALL_TITLE_MM - 4.0
    scales = [fitting_scale(plan, width / columns - 6.0, tall) for plan in plans]
    known = [scale for scale in scales if scale is not None]
    return (max(known), columns) if len(known) == len(plans) and plans else None


def _listed_lines(flow: Flow, picture: Picture, document: Document, width: float) -> list[str]:
    if not picture.listed:
        return []
    text = f"{document.words['not_labelled']}: " + ";  ".join(picture.listed)
    return wrap(text, width, palette.REGULAR, palette.SMALLEST_PT, flow.measure)


def _schedule_and_lines(
    flow: Flow, sheet: StoreySheet, lines: tuple[Line, ...], width: float, left: float, schedule: bool
) -> None:
    if schedule:
        kept = flow.left
        flow.left = left
        TableSetter(flow, sheet.schedule, width, left).set(titled=False)
        flow.left = kept
        flow.y -= 3.0
    kept, flow.left = flow.left, left
    _lines(flow, lines, width)
    flow.left = kept


def _lines(flow: Flow, lines: tuple[Line, ...], width: float) -> None:
    step = line_mm(TEXT_PT)
    for line in lines:
        colour = palette.URGENT if line.urgent else palette.INK
        flow.text(flow.left, flow.y - step * 0.76, line.label, palette.SEMIBOLD, TEXT_PT, colour)
        flow.paragraph(line.text, indent=_LABEL_MM, width=width)
        flow.y -= 0.3


def _line_height(flow: Flow, line: Line, width: float) -> float:
    lines = wrap(line.text, width - _LABEL_MM, palette.REGULAR, TEXT_PT, flow.measure)
    return len(lines) * line_mm(TEXT_PT) + 0.3


def _storey_title(flow: Flow, sheet: StoreySheet) -> None:
    step = line_mm(_STOREY_PT)
    for line in wrap(sheet.title, flow.width, palette.LIGHT, _STOREY_PT, flow.measure)[:2]:
        flow.text(flow.left, flow.y - step * 0.72, line, palette.LIGHT, _STOREY_PT)
        flow.y -= step
    flow.y -= 2.0


def _header(flow: Flow, document: Document, subject: str) -> None:
    """Title, job and source on the left, reference and date on the right, then the headline."""
    right = flow.left + flow.width
    top = flow.page.height_mm - TOP_MM
    flow.text(flow.left, top - 6.5, document.title, palette.LIGHT, _TITLE_PT)
    flow.text(right, top - 5.2, document.reference, palette.SEMIBOLD, TEXT_PT, align="right")
    flow.text(right, top - 9.6, document.date, palette.REGULAR, TEXT_PT, palette.GREY, "right")
    flow.y = top - 8.4
    flow_width = flow.width - 30.0
    for line in wrap(subject, flow_width, palette.SEMIBOLD, _JOB_PT, flow.measure)[:3]:
        flow.text(flow.left, flow.y - 4.4, line, palette.SEMIBOLD, _JOB_PT)
        flow.y -= line_mm(_JOB_PT)
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

