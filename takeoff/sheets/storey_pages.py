"""The pages that carry plans: the first one of a paper, one for every storey."""

from __future__ import annotations

import enum
import math
from collections.abc import Callable

import msgspec

from takeoff.sheets import palette
from takeoff.sheets.drawn import draw
from takeoff.sheets.flow import Flow, TableSetter, line_mm, wrap
from takeoff.sheets.front_page import header, overview
from takeoff.sheets.labelled import label_mm, line_height, put_lines
from takeoff.sheets.picture import SCALES, Picture, bounds, scale_of
from takeoff.sheets.plan_pieces import plan_mm, put_numbers, put_plan
from takeoff.sheets.sheet_values import Document, Line, StoreySheet
from takeoff.sheets.storey_pairs import StoreyPair, pair_of, put_pair

_STOREY_PT = 20.0
_BESIDE_MM = 104.0
"""Width of the column beside a plan on a page that lies on its side."""
_GAP_MM = 6.0
_KEY_MM = 13.0
"""Height set aside for scale bar and key before the key is known; more is taken where it is needed."""
_MOST_KEY_MM = 42.0
"""More than a key and listed labels ever take."""
_READABLE = 125
"""A schedule leaves the plan's page rather than press the plan below this scale."""

_SMALLEST = 200
"""A page of a plan that would be smaller than this is larger than the other pages."""
_LARGER_MM = ((297.0, 420.0), (420.0, 594.0), (594.0, 841.0), (841.0, 1189.0))
"""A3 to A0 (ISO 216)."""


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
    picture: Picture | None = None


def plan_pages(flow: Flow, document: Document, between: Callable[[], bool]) -> None:
    """The first page, then a page for every storey that is not on it.

    A single storey stands on the first page, unless it can be drawn larger on its own. ``between`` puts on
    what is left of the first page what may stand before the plans that follow, and says whether there was anything.
    """
    table = document.summary
    if table is None and document.storeys:
        sheet = document.storeys[0]
        here = _best_arrangement(flow, document, sheet, document.lines, Way.FRONT)
        if here.scale is None or here.scale > _READABLE:
            alone = _best_arrangement(flow, document, sheet, (), Way.ALONE)
            if alone.scale is not None and alone.scale < (here.scale or math.inf):
                overview(flow, document, sheet.schedule, between)
                _storey_page(flow, document, sheet, (), Way.ALONE, alone)
                return
        _storey_page(flow, document, sheet, document.lines, Way.FRONT, here)
        return
    overview(flow, document, table, between if document.storeys else lambda: False)
    storey_pages(flow, document)


def storey_pages(flow: Flow, document: Document, way: Way = Way.STOREY) -> None:
    """A page for every storey: its plan, with its schedule unless it is to stand alone. Two storeys share a page where
    that costs their plans no more than one step of scale."""
    left = list(document.storeys)
    while left:
        sheet = left.pop(0)
        laid = _best_arrangement(flow, document, sheet, sheet.lines, way)
        pair = _pair(flow, document, (sheet, left[0]), laid) if left and way is Way.STOREY else None
        if pair is None:
            _storey_page(flow, document, sheet, sheet.lines, way, laid)
        else:
            left.pop(0)
            put_pair(flow, document, pair)


def _pair(
    flow: Flow, document: Document, sheets: tuple[StoreySheet, StoreySheet], alone: Arrangement
) -> StoreyPair | None:
    """Both storeys on one page, where they can be read there as they can on their own pages."""
    if alone.scale is None or alone.scale > _READABLE:
        return None
    after = [scale for scale in SCALES if scale > alone.scale]
    return pair_of(flow, document, sheets, min(after[0], _READABLE))


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
    picture = laid.picture or (draw(sheet.plan, laid.scale, flow.measure) if laid.scale else None)
    listed = put_plan(flow, document, sheet.plan, picture, wide, room - below)
    if beside:
        flow.y = top
        _schedule_and_lines(flow, sheet, lines, _BESIDE_MM, flow.left + wide + _GAP_MM, laid.schedule)
    else:
        _schedule_and_lines(flow, sheet, lines, flow.width, flow.left, laid.schedule)
    if not laid.schedule and way is not Way.ALONE:
        flow.new_page()
        TableSetter(flow, sheet.schedule).set()
    if listed:
        put_numbers(flow, document, listed)


def _page_head(flow: Flow, document: Document, sheet: StoreySheet, way: Way) -> None:
    if way is Way.FRONT:
        storey = sheet.title if sheet.title != document.words["unnamed_storey"] else ""
        header(flow, document, ", ".join(part for part in (document.job, storey) if part))
    else:
        _storey_title(flow, sheet)


def _best_arrangement(
    flow: Flow, document: Document, sheet: StoreySheet, lines: tuple[Line, ...], way: Way
) -> Arrangement:
    """The largest scale; arrangements that keep the schedule with the plan come first while readable."""
    wide, tall = flow.size
    left, low, right, high = bounds(sheet.plan)
    extent = right - left, high - low
    tried = [
        _tried(flow, document, sheet, lines, way, Arrangement(size, beside, schedule, None), extent)
        for size, beside in (((wide, tall), False), ((tall, wide), True), ((tall, wide), False))
        for schedule in (True, False)
        if not (schedule and way is Way.ALONE)
    ]
    fitting = [laid for laid in tried if laid is not None and laid.scale is not None]
    if way is not Way.FRONT and all((laid.scale or 0) > _SMALLEST for laid in fitting):
        fitting += _on_larger_paper(flow, document, sheet, lines, way, extent)
    if not fitting:
        few = not sheet.schedule.rows
        return Arrangement((wide, tall), False, few and way is not Way.ALONE, None)
    # With its key and its labels a plan may need one scale less than its frame alone would take.
    fitting += [smaller for laid in fitting if (smaller := _next_scale(laid)) is not None]
    readable = [laid for laid in fitting if laid.schedule and (laid.scale or 0) <= _READABLE]
    fitting = [laid for laid in fitting if laid not in readable]
    best = [sorted(some, key=lambda laid: (laid.scale, not laid.schedule)) for some in (readable, fitting)]
    return _first_whole(flow, document, sheet, lines, way, [*best[0], *best[1]], extent[1])


def _on_larger_paper(
    flow: Flow, document: Document, sheet: StoreySheet, lines: tuple[Line, ...], way: Way, extent: tuple[float, float]
) -> list[Arrangement]:
    """The plan's page on the smallest larger paper on which it can be read; none where there is no such paper."""
    for wide, tall in _LARGER_MM:
        tried = [
            _tried(flow, document, sheet, lines, way, Arrangement(size, False, False, None), extent)
            for size in ((wide, tall), (tall, wide))
            if wide > flow.size[0]
        ]
        found = [laid for laid in tried if laid is not None and laid.scale is not None and laid.scale <= _SMALLEST]
        if found:
            return found
    return []


def _next_scale(laid: Arrangement) -> Arrangement | None:
    after = [scale for scale in SCALES if scale > (laid.scale or 0)]
    return msgspec.structs.replace(laid, scale=after[0]) if after else None


def _first_whole(
    flow: Flow,
    document: Document,
    sheet: StoreySheet,
    lines: tuple[Line, ...],
    way: Way,
    laid: list[Arrangement],
    plan_tall: float,
) -> Arrangement:
    """The first arrangement that fits with its key and its listed labels; the last where none does.

    The plan is drawn only where it is a near thing.
    """
    drawn: dict[int, Picture] = {}
    for one in laid:
        scale = one.scale or 1
        trial = Flow(one.size, flow.measure, flow.running_head)
        trial.new_page(one.size, head=way is not Way.FRONT)
        _page_head(trial, document, sheet, way)
        wide = trial.width - (_BESIDE_MM + _GAP_MM if one.beside else 0.0)
        below = 0.0 if one.beside else _texts_mm(trial, sheet, lines, trial.width, one.schedule)
        if plan_tall / scale + below + _MOST_KEY_MM <= trial.left_mm():
            return one
        picture = drawn[scale] = drawn.get(scale) or draw(sheet.plan, scale, flow.measure)
        whole = msgspec.structs.replace(one, picture=picture)
        if plan_mm(trial, document, picture, wide) + below <= trial.left_mm():
            return whole
    return whole


def _tried(
    flow: Flow,
    document: Document,
    sheet: StoreySheet,
    lines: tuple[Line, ...],
    way: Way,
    laid: Arrangement,
    extent: tuple[float, float],
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
    scale = scale_of(extent, wide, tall)
    return None if scale is None else Arrangement(laid.size, laid.beside, laid.schedule, scale)


def _texts_mm(flow: Flow, sheet: StoreySheet, lines: tuple[Line, ...], width: float, schedule: bool) -> float:
    """Height of schedule and lines at a width."""
    tall = sum(line_height(flow, line, width, label_mm(flow, tuple(lines))) for line in lines) + 5.0
    if schedule:
        tall += TableSetter(flow, sheet.schedule, width).height() + 3.0
    return tall


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
    put_lines(flow, lines, width)
    flow.left = kept


def _storey_title(flow: Flow, sheet: StoreySheet) -> None:
    flow.page.outline.append(sheet.title)
    step = line_mm(_STOREY_PT)
    for line in wrap(sheet.title, flow.width, palette.LIGHT, _STOREY_PT, flow.measure)[:2]:
        flow.text(flow.left, flow.y - step * 0.72, line, palette.LIGHT, _STOREY_PT)
        flow.y -= step
    flow.y -= 2.0
