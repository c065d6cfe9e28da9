"""The pages that carry plans: the first one of a paper, one for every storey."""

from __future__ import annotations

import enum
import math
from collections.abc import Callable

import msgspec

from takeoff.sheets import palette
from takeoff.sheets.drawn import MARKS, draw, key_picture, scale_bar
from takeoff.sheets.flow import ROW_MM, TEXT_PT, TOP_MM, Flow, TableSetter, cut, line_mm, wrap
from takeoff.sheets.letterhead import HEAD_MM, put_letterhead
from takeoff.sheets.north import with_north
from takeoff.sheets.picture import SCALES, Picture, bounds, fitting_scale, scale_of
from takeoff.sheets.sheet_values import Document, Line, Plan, StoreySheet, Table

_SMALL_PT = palette.SMALLEST_PT
_MOST_SPARE_MM = 5.0
_GAPS_MM = 3.0 + 1.0 + 2.5
"""Above the key, below it, and below the labels."""

_MOST_LISTED = 3
"""Lines of labels below a plan; more of them are listed after its page."""

_NUMBERS_MM = 58.0
"""Width of a column of listed labels."""


def put_plan(
    flow: Flow, document: Document, plan: Plan, picture: Picture | None, width: float, room: float
) -> tuple[str, ...]:
    """Put the plan's picture within a width; of the height that is over a little is shared out around it.

    A few labels that had no room are listed below it; many are returned, to be listed elsewhere.
    Without a picture a sentence says why there is no plan.
    """
    if picture is None:
        flow.paragraph(document.words["too_large" if plan.rooms else "no_plan"], colour=palette.GREY)
        flow.y -= 3.0
        return ()
    lines, rest = _listed_lines(flow, picture, document, width)
    bar, key, key_left = bar_and_key(flow, document, picture, width)
    over = room - plan_mm(flow, document, picture, width)
    spare = min(max(0.0, over) / 3.0, _MOST_SPARE_MM)
    flow.y -= spare
    x = flow.left + (width - picture.width_mm) / 2.0
    flow.page.pictures.append((x, flow.y - picture.height_mm, picture))
    flow.y -= picture.height_mm + 3.0 + spare
    put_bar_and_key(flow, bar, key, key_left)
    for line in lines:
        flow.text(flow.left, flow.y - 3.4, line, palette.REGULAR, _SMALL_PT, palette.GREY)
        flow.y -= line_mm(_SMALL_PT)
    flow.y -= 2.5 + spare
    return rest


def plan_mm(flow: Flow, document: Document, picture: Picture, width: float) -> float:
    """Height of a plan with its key and the labels listed below it."""
    lines, _ = _listed_lines(flow, picture, document, width)
    bar, key, _ = bar_and_key(flow, document, picture, width)
    below = max(bar.height_mm, key.height_mm) + len(lines) * line_mm(_SMALL_PT)
    return picture.height_mm + below + _GAPS_MM


def put_numbers(flow: Flow, document: Document, listed: tuple[str, ...]) -> None:
    """The labels that a crowded plan has as numbers, in columns read downwards."""
    step = line_mm(TEXT_PT)
    flow.heading(document.words["numbers"], 3 * step)
    flow.y -= 1.5
    while listed:
        # the plan's own page may be larger than those that follow
        columns = max(1, int(flow.width // _NUMBERS_MM))
        wide = flow.width / columns
        rows = min(-(-len(listed) // columns), max(1, int(flow.left_mm() / step)))
        for k, text in enumerate(listed[: rows * columns]):
            shown = cut(text, wide - 4.0, palette.REGULAR, TEXT_PT, flow.measure)
            flow.text(flow.left + (k // rows) * wide, flow.y - (k % rows + 0.76) * step, shown)
        listed = listed[rows * columns :]
        flow.y -= rows * step
        if listed:
            flow.new_page()


def bar_and_key(flow: Flow, document: Document, picture: Picture, width: float) -> tuple[Picture, Picture, float]:
    """The scale bar, the key, and how far right the key begins."""
    bar = with_north(scale_bar(picture.scale, flow.measure, document.feet), picture.north_deg, flow.measure)
    left = bar.width_mm + 9.0
    return bar, key_picture(picture.marks, document.words, width - left, flow.measure), left


def put_bar_and_key(flow: Flow, bar: Picture, key: Picture, key_left: float) -> None:
    """Both side by side at the left margin, their tops level."""
    flow.page.pictures.append((flow.left, flow.y - bar.height_mm, bar))
    flow.page.pictures.append((flow.left + key_left, flow.y - key.height_mm, key))
    flow.y -= max(bar.height_mm, key.height_mm) + 1.0


def _listed_lines(flow: Flow, picture: Picture, document: Document, width: float) -> tuple[list[str], tuple[str, ...]]:
    """(lines below the plan, labels that are too many for that)."""
    lines, rest = _label_lines(flow, picture, document, width)
    if picture.unlettered:
        text = document.words["unlettered"].format(count=picture.unlettered)
        lines = [*lines, *wrap(text, width, palette.REGULAR, _SMALL_PT, flow.measure)]
    return lines, rest


def _label_lines(flow: Flow, picture: Picture, document: Document, width: float) -> tuple[list[str], tuple[str, ...]]:
    if not picture.listed:
        return [], ()
    text = f"{document.words['not_labelled']}: " + ";  ".join(picture.listed)
    # Hundreds of labels are not worth breaking into lines to see that they are too many.
    if flow.measure(text, palette.REGULAR, _SMALL_PT) <= _MOST_LISTED * width:
        lines = wrap(text, width, palette.REGULAR, _SMALL_PT, flow.measure)
        if len(lines) <= _MOST_LISTED:
            return lines, ()
    elsewhere = document.words["numbers_elsewhere"]
    return wrap(elsewhere, width, palette.REGULAR, _SMALL_PT, flow.measure), picture.listed


_TITLE_PT, _FIGURE_PT, _JOB_PT = 26.0, 14.0, 12.0
_LABEL_MM, _MOST_LABEL_MM = 23.0, 45.0
_SMALL_KEY_MM, _SMALL_TITLE_MM = 26.0, 6.0
_MOST_ABREAST = 4
_FIGURES_APART_MM = 4.0
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
    tall = sum(line_height(flow, line, flow.width, label_mm(flow, document.lines)) for line in document.lines) + 5.0
    if setter.height() + tall > flow.left_mm():
        # A table over several pages comes after what must stand on the first.
        put_lines(flow, document.lines, flow.width)
        flow.y -= 4.0
        flow.need(min(setter.height(), setter.head_mm + _KEPT_ROWS * ROW_MM))
        setter.set(titled=False)
        return
    setter.set(titled=False)
    flow.y -= 4.0
    put_lines(flow, document.lines, flow.width)
    price = front_table(document)
    if price and TableSetter(flow, price).height() + _PRICE_HEAD_MM <= flow.left_mm():
        # The plans come larger on pages of their own; the price is asked for first.
        TableSetter(flow, price).set()
        return
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


_KEPT_LINES = 3


def put_lines(flow: Flow, lines: tuple[Line, ...], width: float, size_pt: float = TEXT_PT) -> None:
    """Labelled sentences one under another, over pages where they must."""
    step = line_mm(size_pt)
    indent = label_mm(flow, lines, size_pt)
    for line in lines:
        # a label stays with its sentence, or with so much of a long one
        flow.need(min(line_height(flow, line, width, indent, size_pt), _KEPT_LINES * step))
        colour = palette.URGENT if line.urgent else palette.INK
        flow.text(flow.left, flow.y - step * 0.76, line.label, palette.SEMIBOLD, size_pt, colour)
        flow.paragraph(line.text, size=size_pt, indent=indent, width=width)
        flow.y -= 0.3


def label_mm(flow: Flow, lines: tuple[Line, ...], size_pt: float = TEXT_PT) -> float:
    """The width of the labels before these lines: the usual one, more where a label is longer."""
    widest = max((flow.measure(line.label, palette.SEMIBOLD, size_pt) for line in lines), default=0.0)
    return min(max(_LABEL_MM, widest + 3.0), _MOST_LABEL_MM)


def line_height(flow: Flow, line: Line, width: float, indent: float, size_pt: float = TEXT_PT) -> float:
    """Height of a labelled sentence within a width, its label's width taken off."""
    lines = wrap(line.text, width - indent, palette.REGULAR, size_pt, flow.measure)
    return len(lines) * line_mm(size_pt) + 0.3


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


_BAR_GAP_MM = 3.0
_SMALLEST_SEEN_MM = 45.0


def _grid(plans: list[Plan], columns: int, width: float, room: float) -> tuple[int, int] | None:
    """(scale, columns) at which all plans fit in so many columns; None where they do not."""
    rows = -(-len(plans) // columns)
    tall = room / rows - _SMALL_TITLE_MM - 4.0
    scales = [fitting_scale(plan, width / columns - 6.0, tall) for plan in plans]
    known = [scale for scale in scales if scale is not None]
    return (max(known), columns) if len(known) == len(plans) and plans else None


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


def plan_pages(flow: Flow, document: Document, between: Callable[[], None]) -> None:
    """The first page, then a page for every storey that is not on it.

    A single storey stands on the first page, unless it can be drawn larger on its own. ``between`` is called once the
    first page is filled, where plans follow: what it puts on what is left stands before them.
    """
    table = document.summary
    if table is None and document.storeys:
        sheet = document.storeys[0]
        here = _best_arrangement(flow, document, sheet, document.lines, Way.FRONT)
        if here.scale is None or here.scale > _READABLE:
            alone = _best_arrangement(flow, document, sheet, (), Way.ALONE)
            if alone.scale is not None and alone.scale < (here.scale or math.inf):
                overview(flow, document, sheet.schedule)
                between()
                _storey_page(flow, document, sheet, (), Way.ALONE, alone)
                return
        _storey_page(flow, document, sheet, document.lines, Way.FRONT, here)
        return
    overview(flow, document, table)
    if document.storeys:
        between()
    storey_pages(flow, document)


def storey_pages(flow: Flow, document: Document, way: Way = Way.STOREY) -> None:
    """A page for every storey: its plan, with its schedule unless it is to stand alone."""
    for sheet in document.storeys:
        laid = _best_arrangement(flow, document, sheet, sheet.lines, way)
        _storey_page(flow, document, sheet, sheet.lines, way, laid)


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
