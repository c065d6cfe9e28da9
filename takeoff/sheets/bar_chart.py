"""The programme as a bar chart: rooms down, days across. Its values, and the pictures that they are drawn as.

A day's column gives most of its width to the hours of work; the night has a narrow strip on either side, so that short
work is seen and drying over night runs on.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta

import msgspec

from takeoff.language import day_short, tr
from takeoff.plan.model import Vertex
from takeoff.programme.list_schedule import Programme
from takeoff.programme.room_days import RoomDays, Span
from takeoff.programme.work_calendar import WorkCalendar
from takeoff.sheets import palette
from takeoff.sheets.days_tables import day_words, days_note, first_whole_day
from takeoff.sheets.picture import Caption, Measure, Picture, Shape
from takeoff.sheets.sheet_values import BarChart, BarKind, ChartBar

WORK_SHARE = 0.7
"""Part of a day's column that the hours of work have."""

CHART_ROW_MM = 4.7
_HEAD_MM, _KEY_MM, _KEY_LINE_MM = 9.5, 6.9, 4.6
_LEAST_DAY_MM, _HEADED_DAY_MM, _MOST_DAY_MM = 3.4, 12.0, 26.0
"""Days that have less than the second of the whole width have a head for each week alone."""
_DAYS_SHARE = 0.55
"""The part of the width that days have at least."""
_WEEK_MM = 12.0
"""What the head of a week takes."""
_ENDS_FROM_MM, _END_GAP_MM = 150.0, 3.0
"""A chart narrower than this has no columns at the ends of its rows."""
_GAP_MM, _MOST_NAME = 2.0, 0.28
_WORK_MM, _DRYING_MM, _NIGHT_MM, _BACK_MM = 2.8, 0.9, 1.6, 1.3
_MOST_ROWS = 34


def programme_chart(rooms: Sequence[RoomDays], programme: Programme, calendar: WorkCalendar, dated: bool) -> BarChart:
    """The bars of every room, from the day on which the work begins to the day on which it ends."""
    first, last = programme.begins.date(), programme.ends.date()
    count = (last - first).days + 1 if rooms else 0

    def at(moment: datetime) -> float:
        whole = (moment.date() - first).days
        return min(max(whole + _within(moment.time(), calendar), 0.0), float(count))

    bars: list[ChartBar] = []
    for row, room in enumerate(rooms):
        bars += [ChartBar(row, at(start), at(end), "drying") for start, end in _cut(room.drying, programme)]
        bars += [ChartBar(row, at(start), at(end), "work") for start, end in room.work]
        if room.lived_in:
            bars += [_night(row, (night - first).days) for night in room.nights if night < last]
        bars.append(ChartBar(row, at(room.given_back), at(room.given_back), "back"))
    days = tuple(_head(first + timedelta(days=n), n, calendar, dated) for n in range(count))
    return BarChart(
        "bars",
        tr("Programme"),
        tuple(room.room for room in rooms),
        days,
        tuple(bars),
        ends=tuple(_end(room, programme, dated) for room in rooms),
        end_heads=(tr("Given back"), tr("Decorate from")),
        note=days_note(rooms),
    )


def _end(room: RoomDays, programme: Programme, dated: bool) -> tuple[str, str]:
    """When a room is given back and when it may be decorated, short: the days stand above."""
    back, decorate = room.given_back, first_whole_day(room.decorate)
    return f"{_day(back.date(), programme, dated)}, {back:%H:%M}", _day(decorate, programme, dated)


def _day(day: date, programme: Programme, dated: bool) -> str:
    return " ".join(day_short(day)) if dated else day_words(day, programme, dated)


def _cut(spans: Sequence[Span], programme: Programme) -> list[Span]:
    """What lies in the chart: drying that goes on after the last day is cut off there."""
    return [(start, min(end, programme.ends)) for start, end in spans if start < programme.ends]


def _night(row: int, day: int) -> ChartBar:
    edge = (1.0 - WORK_SHARE) / 2.0
    return ChartBar(row, day + 1.0 - edge, day + 1.0 + edge, "night")


def _within(moment: time, calendar: WorkCalendar) -> float:
    """Where in a day's column a time of the day stands, 0 to 1."""
    hour, begins, ends = (t.hour + t.minute / 60.0 for t in (moment, calendar.begins, calendar.ends))
    edge = (1.0 - WORK_SHARE) / 2.0
    if hour <= begins:
        return edge * (hour / begins if begins else 1.0)
    if hour >= ends:
        return 1.0 - edge * (24.0 - hour) / (24.0 - ends)
    return edge + WORK_SHARE * (hour - begins) / (ends - begins)


def _head(day: date, number: int, calendar: WorkCalendar, dated: bool) -> tuple[str, str, bool]:
    if not dated:
        return tr("Day"), str(number + 1), calendar.works(day)
    return (*day_short(day), calendar.works(day))


def chart_pictures(
    chart: BarChart, width_mm: float, measure: Measure, most_rows: int = _MOST_ROWS
) -> tuple[Picture, ...]:
    """The chart in a width, in as many pictures as its days and rows need, each with the names of its rooms and the
    heads of its days, those alone in which something is done; none for an empty chart."""
    if not chart.rows or not chart.days:
        return ()
    longest = max(measure(name, palette.REGULAR, palette.SMALLEST_PT) for name in chart.rows)
    name_mm = min(longest, width_mm * _MOST_NAME) + _GAP_MM
    for_days = width_mm - name_mm - sum(_end_widths(chart, width_mm, measure))
    # by the whole width: names and words of another language leave another part of it, and the days stay the same
    most = max(1, int(width_mm * _DAYS_SHARE / _LEAST_DAY_MM))
    parts = -(-len(chart.days) // most)
    share = -(-len(chart.days) // parts)
    day_mm = min(_MOST_DAY_MM, for_days / min(share, len(chart.days)))
    made = []
    for top in range(0, len(chart.rows), most_rows):
        rows = range(top, min(top + most_rows, len(chart.rows)))
        for first in range(0, len(chart.days), share):
            days = range(first, min(first + share, len(chart.days)))
            # weeks in which nothing is done in these rooms are no picture
            if not any(bar.row in rows and bar.end > days[0] and bar.start < days[-1] + 1 for bar in chart.bars):
                continue
            headed = width_mm / len(days) >= _HEADED_DAY_MM
            made.append(_picture(chart, rows, days, name_mm, day_mm, measure, headed))
            if ends := _end_captions(chart, rows, made[-1], _end_widths(chart, width_mm, measure), measure):
                whole = max(made[-1].width_mm, width_mm)
                made[-1] = msgspec.structs.replace(made[-1], width_mm=whole, captions=(*made[-1].captions, *ends))
    return tuple(made)


def _end_widths(chart: BarChart, width_mm: float, measure: Measure) -> list[float]:
    """Width of each column at the ends of rows, with the gap before it; none in a narrow chart."""
    if width_mm < _ENDS_FROM_MM or not chart.ends:
        return []
    size = palette.SMALLEST_PT
    return [
        _END_GAP_MM + max(measure(text, palette.REGULAR, size) for text in (head, *(end[k] for end in chart.ends)))
        for k, head in enumerate(chart.end_heads)
    ]


def _end_captions(
    chart: BarChart, rows: range, body: Picture, widths: Sequence[float], measure: Measure
) -> list[Caption]:
    """The columns at the ends of rows under their heads."""
    size, found, x = palette.SMALLEST_PT, [], body.width_mm
    for k, wide in enumerate(widths):
        texts = [(chart.end_heads[k], -1), *((chart.ends[row][k], row - rows[0]) for row in rows)]
        for text, down in texts:
            y = body.height_mm - _HEAD_MM - (down + 0.5) * CHART_ROW_MM - 1.1 if down >= 0 else None
            base = body.height_mm - _HEAD_MM + 1.4 if y is None else y
            found.append(Caption(x + _END_GAP_MM, base, text, palette.SEMIBOLD if y is None else palette.REGULAR, size))
        x += wide
    return found


def _picture(
    chart: BarChart, rows: range, days: range, name_mm: float, day_mm: float, measure: Measure, headed: bool
) -> Picture:
    body, width = len(rows) * CHART_ROW_MM, name_mm + len(days) * day_mm
    shown = [bar for bar in chart.bars if bar.row in rows and bar.end >= days[0] and bar.start <= days[-1] + 1]
    key, captions = _key(any(bar.kind == "night" for bar in shown), measure, width)
    low = _KEY_MM + _KEY_LINE_MM * (len({caption.y_mm for caption in captions}) - 1)
    grid = [_line(name_mm + n * day_mm, low, name_mm + n * day_mm, low + body) for n in range(len(days) + 1)]
    grid += [_line(0.0, low + n * CHART_ROW_MM, width, low + n * CHART_ROW_MM) for n in range(len(rows) + 1)]
    shapes = [Shape(tuple(grid), closed=False, stroke=palette.HAIR, width_mm=0.12)]
    free = [
        _line(name_mm + n * day_mm, low, name_mm + (n + 1) * day_mm, low + body)
        for n, day in enumerate(days)
        if not chart.days[day][2]
    ]
    if free:
        shapes.append(Shape(tuple(free), closed=False, stroke=palette.HAIR, width_mm=0.12, dash_mm=(0.6, 0.8)))
    for bar in shown:
        middle = low + body - (bar.row - rows[0] + 0.5) * CHART_ROW_MM
        left = name_mm + (max(bar.start, days[0]) - days[0]) * day_mm
        right = name_mm + (min(bar.end, days[-1] + 1) - days[0]) * day_mm
        shapes.append(_bar(bar.kind, left, right, middle))
    names = _names(chart, rows, name_mm, low + body, measure)
    heads = _heads(chart, days, name_mm, day_mm, low + body, measure, headed)
    return Picture(width, _HEAD_MM + body + low, 1, (*shapes, *key), (*names, *heads, *captions))


def _bar(kind: BarKind, left: float, right: float, middle: float) -> Shape:
    if kind == "back":
        r = _BACK_MM
        diamond = ((left - r, middle, 0.0), (left, middle - r, 0.0), (left + r, middle, 0.0), (left, middle + r, 0.0))
        return Shape((diamond,), fill="#FFFFFF", stroke=palette.INK, width_mm=0.3)
    if kind == "night":
        return Shape((_box(left, right, middle, _NIGHT_MM),), fill="#FFFFFF", stroke=palette.URGENT, width_mm=0.35)
    if kind == "drying":
        return Shape((_box(left, right, middle, _DRYING_MM),), fill=palette.HAIR)
    return Shape((_box(left, max(right, left + 0.25), middle, _WORK_MM),), fill=palette.BEAD)


def _names(chart: BarChart, rows: range, name_mm: float, top: float, measure: Measure) -> list[Caption]:
    from takeoff.sheets.flow import cut

    size = palette.SMALLEST_PT
    found: list[Caption] = []
    for row in rows:
        y = top - (row - rows[0] + 0.5) * CHART_ROW_MM - 1.1
        text = cut(chart.rows[row], name_mm - _GAP_MM, palette.REGULAR, size, measure)
        found.append(Caption(0.0, y, text, palette.REGULAR, size))
    return found


def _heads(
    chart: BarChart, days: range, name_mm: float, day_mm: float, top: float, measure: Measure, headed: bool
) -> list[Caption]:
    """The heads of days: of each where it is wide enough, else of the first of each week."""
    size = palette.SMALLEST_PT
    found: list[Caption] = []
    free, end = name_mm, name_mm + len(days) * day_mm
    for day in days:
        left = name_mm + (day - days[0]) * day_mm
        if not headed and (not _begins_week(chart, days, day) or left < free or left + _WEEK_MM > end):
            continue
        free = left + _WEEK_MM
        for line, text in enumerate(chart.days[day][:2]):
            wide = measure(text, palette.REGULAR, size)
            if headed and wide > day_mm - 0.4:
                text = text.split()[0].rstrip(".")[:2]
                wide = measure(text, palette.REGULAR, size)
            x = left + (day_mm - wide) / 2.0 if headed else left + 0.4
            y = top + (5.2 if line == 0 else 1.4)
            found.append(
                Caption(x, y, text, palette.REGULAR, size, palette.INK if chart.days[day][2] else palette.GREY)
            )
    return found


def _begins_week(chart: BarChart, days: range, day: int) -> bool:
    """Whether a day is the first shown, or the first worked one after days that are not."""
    return day == days[0] or (chart.days[day][2] and not chart.days[day - 1][2])


def _key(nights: bool, measure: Measure, width: float) -> tuple[list[Shape], list[Caption]]:
    """What the bars mean, in a row at the foot, in more where one is too long: swatches and words."""
    words: list[tuple[BarKind, str]] = [("work", tr("work")), ("drying", tr("drying")), ("back", tr("given back"))]
    if nights:
        words.append(("night", tr("out of use at night")))
    lines: list[list[tuple[BarKind, str, float]]] = [[]]
    x = 0.0
    for kind, text in words:
        wide = 6.0 + measure(text, palette.REGULAR, palette.SMALLEST_PT)
        if lines[-1] and x + wide > width:
            lines.append([])
            x = 0.0
        lines[-1].append((kind, text, x))
        x += wide + 5.0
    shapes, found = [], []
    for up, line in enumerate(reversed(lines)):
        y = 1.2 + up * _KEY_LINE_MM
        for kind, text, x in line:
            left = x + (_BACK_MM if kind == "back" else 0.0)
            shapes.append(_bar(kind, left, left + 5.0, y + 1.0))
            found.append(Caption(x + 6.0, y, text, palette.REGULAR, palette.SMALLEST_PT))
    return shapes, found


def _line(x0: float, y0: float, x1: float, y1: float) -> tuple[Vertex, ...]:
    return ((x0, y0, 0.0), (x1, y1, 0.0))


def _box(left: float, right: float, middle: float, high: float) -> tuple[Vertex, ...]:
    low, top = middle - high / 2.0, middle + high / 2.0
    return ((left, low, 0.0), (right, low, 0.0), (right, top, 0.0), (left, top, 0.0))
