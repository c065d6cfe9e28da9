"""The client's pages: headline, plan at a trade scale, key, short schedule, what holds and what does not."""

from __future__ import annotations

import msgspec

from takeoff.sheets import palette
from takeoff.sheets.drawn import draw
from takeoff.sheets.flow import TEXT_PT, TOP_MM, Flow, cut, line_mm, wrap
from takeoff.sheets.flow_tables import TableSetter
from takeoff.sheets.key import key_picture, scale_bar
from takeoff.sheets.model import Document, Line, Plan, StoreySheet
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


class Arrangement(msgspec.Struct, frozen=True):
    """One way to lay a plan's page out."""

    size: tuple[float, float]
    beside: bool
    schedule: bool
    scale: int | None


def front_page(flow: Flow, document: Document) -> None:
    """Title, headline, and for a single storey its plan and schedule; for several the storeys compared."""
    if document.summary is None and document.storeys:
        _storey_page(flow, document, document.storeys[0], document.lines)
        return
    flow.new_page(client=True, head=False)
    _header(flow, document, document.job)
    if document.summary is None:
        flow.paragraph(document.words["no_rooms"], colour=palette.GREY)
        _lines(flow, document.lines, flow.width)
        return
    TableSetter(flow, document.summary).set(titled=False)
    flow.y -= 4.0
    _lines(flow, document.lines, flow.width)
    small_plans(flow, document)
    for storey in document.storeys:
        _storey_page(flow, document, storey, storey.lines)


def _storey_page(flow: Flow, document: Document, sheet: StoreySheet, lines: tuple[Line, ...]) -> None:
    """The page of one storey; its schedule follows on pages of its own where it would press the plan."""
    single = document.summary is None
    way = _best_arrangement(flow, document, sheet, lines, single)
    flow.new_page(way.size, client=single, head=not single)
    if single:
        storey = sheet.title if sheet.title != document.words["unnamed_storey"] else ""
        _header(flow, document, ", ".join(part for part in (document.job, storey) if part))
    else:
        _storey_title(flow, sheet)
    room = flow.left_mm()
    top = flow.y
    frame_wide = flow.width - (_BESIDE_MM + _GAP_MM if way.beside else 0.0)
    below = _below_mm(flow, sheet, lines, way)
    _plan(flow, document, sheet.plan, way, frame_wide, room - below)
    if way.beside:
        flow.y = top
        _schedule_and_lines(flow, sheet, lines, _BESIDE_MM, flow.left + frame_wide + _GAP_MM, way.schedule)
    else:
        _schedule_and_lines(flow, sheet, lines, flow.width, flow.left, way.schedule)
    if not way.schedule:
        flow.new_page()
        TableSetter(flow, sheet.schedule).set()


def _best_arrangement(
    flow: Flow, document: Document, sheet: StoreySheet, lines: tuple[Line, ...], single: bool
) -> Arrangement:
    """The way with the largest scale; those that keep the schedule with the plan come first while readable."""
    wide, tall = flow.size
    ways = []
    for size, beside in (((wide, tall), False), ((tall, wide), True), ((tall, wide), False)):
        for schedule in (True, False):
            ways.append(_tried(flow, document, sheet, lines, single, Arrangement(size, beside, schedule, None)))
    fitting = [way for way in ways if way is not None]
    if not fitting:
        with_rooms = bool(sheet.schedule.rows)
        return Arrangement((wide, tall), False, not with_rooms, None)
    readable = [way for way in fitting if way.schedule and (way.scale or 0) <= _READABLE]
    return min(readable or fitting, key=lambda way: (way.scale, not way.schedule))


def _tried(
    flow: Flow, document: Document, sheet: StoreySheet, lines: tuple[Line, ...], single: bool, way: Arrangement
) -> Arrangement | None:
    """The way with its scale; None where the plan or the texts do not fit."""
    trial = Flow(way.size, flow.measure, flow.running_head)
    trial.new_page(way.size, head=not single)
    if single:
        _header(trial, document, document.job)
    else:
        _storey_title(trial, sheet)
    wide = trial.width - (_BESIDE_MM + _GAP_MM if way.beside else 0.0)
    tall = trial.left_mm() - _below_mm(trial, sheet, lines, way) - _KEY_MM
    if way.beside and _texts_mm(trial, sheet, lines, _BESIDE_MM, way.schedule) > trial.left_mm():
        return None
    scale = fitting_scale(sheet.plan, wide, tall)
    return None if scale is None else Arrangement(way.size, way.beside, way.schedule, scale)


def _below_mm(flow: Flow, sheet: StoreySheet, lines: tuple[Line, ...], way: Arrangement) -> float:
    return 0.0 if way.beside else _texts_mm(flow, sheet, lines, flow.width, way.schedule)


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
    best = min((fit for fit in fits if fit), default=None)
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
    marks = tuple(dict.fromkeys(mark for picture in pictures for mark in picture.marks))
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

