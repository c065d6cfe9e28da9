"""Two storeys on one page: their plans at one scale, side by side or one above another, each with its schedule.

A house of two storeys takes one page less so, and both are seen at once.
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from takeoff.sheets import palette
from takeoff.sheets.drawn import MARKS, draw
from takeoff.sheets.flow import TEXT_PT, Flow, TableSetter, line_mm, wrap
from takeoff.sheets.labelled import label_mm, line_height, put_lines
from takeoff.sheets.picture import SCALES, Picture, bounds
from takeoff.sheets.plan_pieces import bar_and_key, label_lines, put_bar_and_key
from takeoff.sheets.sheet_values import Document, StoreySheet

_TITLE_PT, _TITLE_MM = 14.0, 8.0
_TABLE_TITLE_MM = 6.0
_SCHEDULE_MM = 94.0
"""Width of the schedule beside a plan, of plans one above another."""
_MOST_COLUMNS = 5
"""A schedule of more columns takes the whole width of an upright page."""
_GAP_MM, _UNDER_MM = 6.0, 3.0
_SMALL_PT = palette.SMALLEST_PT


class StoreyPair(msgspec.Struct, frozen=True):
    """Two storeys with their pictures at one scale; ``abreast``: side by side."""

    sheets: tuple[StoreySheet, StoreySheet]
    pictures: tuple[Picture, Picture]
    abreast: bool


def pair_of(
    flow: Flow, document: Document, sheets: tuple[StoreySheet, StoreySheet], smallest: int
) -> StoreyPair | None:
    """The two on one upright page at the largest trade scale at which both fit whole; None where that is below 1 :
    ``smallest``, or where a plan shows nothing."""
    if not all(sheet.plan.rooms and sheet.schedule.rows for sheet in sheets):
        return None
    page = Flow(flow.size, flow.measure, flow.running_head)
    page.new_page()
    for scale in (scale for scale in SCALES if scale <= smallest):
        for abreast in (True, False):
            if not _may_fit(page, sheets, scale, abreast):
                continue
            first, second = (draw(sheet.plan, scale, flow.measure) for sheet in sheets)
            pair = StoreyPair(sheets, (first, second), abreast)
            tall = _height(page, document, pair)
            if tall is not None and tall <= page.left_mm():
                return pair
    return None


def put_pair(flow: Flow, document: Document, pair: StoreyPair) -> None:
    """A new page with both storeys, their common key, and their schedules."""
    flow.new_page()
    flow.page.outline += [sheet.title for sheet in pair.sheets]
    (_put_abreast if pair.abreast else _put_stacked)(flow, document, pair)


def _may_fit(page: Flow, sheets: Sequence[StoreySheet], scale: int, abreast: bool) -> bool:
    """Whether the plans' frames alone fit: a plan is drawn only where they do."""
    frames = [bounds(sheet.plan) for sheet in sheets]
    wide = [(right - left) / scale for left, _, right, _ in frames]
    tall = [(high - low) / scale for _, low, _, high in frames]
    if abreast:
        return sum(wide) + _GAP_MM <= page.width and max(tall) <= page.left_mm()
    return max(wide) + _GAP_MM + _SCHEDULE_MM <= page.width and sum(tall) <= page.left_mm()


def _height(page: Flow, document: Document, pair: StoreyPair) -> float | None:
    """What the pair takes of a page's height; None where more labels have no room than can be listed below it."""
    bar, key, _ = bar_and_key(page, document, _both(pair), page.width)
    below = max(bar.height_mm, key.height_mm) + _UNDER_MM
    for sheet, picture in zip(pair.sheets, pair.pictures, strict=True):
        lines, rest = label_lines(page, picture, document, page.width, sheet.title)
        if rest:
            return None
        below += len(lines) * line_mm(_SMALL_PT)
    if pair.abreast:
        half = _half_mm(page, pair.sheets)
        tables = [_TABLE_TITLE_MM + _texts_mm(page, sheet, half or page.width) for sheet in pair.sheets]
        texts = max(tables) if half else sum(tables)
        return _TITLE_MM + max(picture.height_mm for picture in pair.pictures) + _UNDER_MM + below + texts
    rows = zip(pair.sheets, pair.pictures, strict=True)
    return below + sum(
        _TITLE_MM + max(picture.height_mm, _texts_mm(page, sheet, _SCHEDULE_MM)) + _UNDER_MM for sheet, picture in rows
    )


def _texts_mm(flow: Flow, sheet: StoreySheet, width: float) -> float:
    """Height of a schedule with its lines."""
    indent = label_mm(flow, sheet.lines)
    lines = sum(line_height(flow, line, width, indent) for line in sheet.lines)
    return TableSetter(flow, sheet.schedule, width).height() + lines + _UNDER_MM


def _both(pair: StoreyPair) -> Picture:
    """No picture, but the scale, the marks and the north of both, for their common key."""
    used = {mark for picture in pair.pictures for mark in picture.marks}
    ways = {picture.north_deg for picture in pair.pictures}
    north = ways.pop() if len(ways) == 1 else None
    marks = tuple(mark for mark in MARKS if mark in used)
    return Picture(0.0, 0.0, pair.pictures[0].scale, (), (), marks, north_deg=north)


def _put_abreast(flow: Flow, document: Document, pair: StoreyPair) -> None:
    """Plans side by side, their tops level; below them the key, then the schedules: narrow ones side by side too."""
    spare = (flow.width - sum(picture.width_mm for picture in pair.pictures)) / 2.0
    top, x = flow.y, flow.left
    for sheet, picture in zip(pair.sheets, pair.pictures, strict=True):
        _title(flow, sheet, x, picture.width_mm + spare - 2.0)
        flow.page.pictures.append((x, top - _TITLE_MM - picture.height_mm, picture))
        x += picture.width_mm + spare
    flow.y = top - _TITLE_MM - max(picture.height_mm for picture in pair.pictures) - _UNDER_MM
    _put_key(flow, document, pair)
    half, x, top, low = _half_mm(flow, pair.sheets), flow.left, flow.y, flow.y
    for sheet in pair.sheets:
        flow.text(x, flow.y - 3.8, sheet.title, palette.SEMIBOLD, TEXT_PT)
        flow.y -= _TABLE_TITLE_MM
        _schedule(flow, sheet, x, half or flow.width)
        low = min(low, flow.y)
        if half:
            x, flow.y = x + half + _GAP_MM, top
    flow.y = low


def _half_mm(flow: Flow, sheets: Sequence[StoreySheet]) -> float | None:
    """The width of schedules side by side; None where one has too many columns for that."""
    few = all(len(sheet.schedule.columns) <= _MOST_COLUMNS for sheet in sheets)
    return (flow.width - _GAP_MM) / 2.0 if few else None


def _put_stacked(flow: Flow, document: Document, pair: StoreyPair) -> None:
    """Each plan with its schedule beside it, one storey under another, and the key below both."""
    for sheet, picture in zip(pair.sheets, pair.pictures, strict=True):
        _title(flow, sheet, flow.left, flow.width)
        top = flow.y - _TITLE_MM
        flow.page.pictures.append((flow.left, top - picture.height_mm, picture))
        flow.y = top
        _schedule(flow, sheet, flow.left + flow.width - _SCHEDULE_MM, _SCHEDULE_MM)
        flow.y = min(top - picture.height_mm, flow.y) - _UNDER_MM
    _put_key(flow, document, pair)


def _title(flow: Flow, sheet: StoreySheet, x: float, width: float) -> None:
    line = wrap(sheet.title, width, palette.LIGHT, _TITLE_PT, flow.measure)[0]
    flow.text(x, flow.y - 4.6, line, palette.LIGHT, _TITLE_PT)


def _put_key(flow: Flow, document: Document, pair: StoreyPair) -> None:
    """The common bar and key, and below them the labels that have no room on their plan."""
    put_bar_and_key(flow, *bar_and_key(flow, document, _both(pair), flow.width))
    for sheet, picture in zip(pair.sheets, pair.pictures, strict=True):
        for line in label_lines(flow, picture, document, flow.width, sheet.title)[0]:
            flow.text(flow.left, flow.y - 3.4, line, palette.REGULAR, _SMALL_PT, palette.GREY)
            flow.y -= line_mm(_SMALL_PT)
    flow.y -= _UNDER_MM


def _schedule(flow: Flow, sheet: StoreySheet, left: float, width: float) -> None:
    TableSetter(flow, sheet.schedule, width, left).set(titled=False)
    kept, flow.left = flow.left, left
    put_lines(flow, sheet.lines, width)
    flow.left = kept
    flow.y -= _UNDER_MM
