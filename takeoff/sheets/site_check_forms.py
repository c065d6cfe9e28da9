"""Blank forms of the site check: a page of readings for each room, and one page that asks whether to coat today."""

from __future__ import annotations

import msgspec

from takeoff.plan.site_check import SiteCheck
from takeoff.sheets import palette
from takeoff.sheets.flow import Page
from takeoff.sheets.form_pieces import GAP_MM, SMALL_PT, FormPage
from takeoff.sheets.picture import Measure
from takeoff.sheets.texts import worded
from takeoff.sitecheck.holds import limit
from takeoff.sitecheck.moist_air import dew_point_c
from takeoff.units.printing import shown, shown_short

_READING_SHARES = (0.15, 0.25, 0.12, 0.22, 0.10, 0.16)
_ITEM_SHARES = (0.26, 0.10, 0.10, 0.22, 0.32)
_LOOK_SHARES = (0.45, 0.07, 0.07, 0.1, 0.1, 0.21)
_ROOM_MM = ((7.6, 5.8, True), (6.4, 5.4, True), (5.6, 5.0, True), (5.6, 5.0, False))
"""Height of rows for readings and of what is looked at, and whether there are rows for second readings: the first that
has room."""

_MEASURED_SHARES = (0.28, 0.20, 0.14, 0.26, 0.06, 0.06)
_ASKED_SHARES = (0.88, 0.06, 0.06)

_FOOT_MM = 17.0

AIRS_C = (8, 10, 12, 14, 16, 18, 20, 22, 24, 26)
HUMIDITIES = (40, 45, 50, 55, 60, 65, 70, 75, 80)
"""What the table of dew points has rows and columns for."""


class SiteCheckTexts(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The forms' words."""

    title: str
    today: str
    job: str
    date: str
    by: str
    room: str
    time: str
    stage: str
    stages: tuple[str, ...]
    readings: str
    reading_heads: tuple[str, ...]
    quantities: tuple[str, ...]
    reading_note: str
    looks: str
    look_lines: tuple[str, ...]
    answers: tuple[str, ...]
    faces: tuple[str, ...]
    items: str
    item_heads: tuple[str, ...]
    item_lines: tuple[str, ...]
    cautions: tuple[str, ...]
    foot: str
    page_of: str
    today_note: str
    measured: str
    measured_heads: tuple[str, ...]
    surface: str
    air: str
    humidity: str
    dew: str
    margin: str
    at_least: str
    at_most: str
    between: str
    asked: str
    asked_heads: tuple[str, ...]
    asked_lines: tuple[str, ...]
    table: str
    table_head: str
    table_note: str
    verdict: str
    verdicts: tuple[str, ...]
    because: str
    cleared: str


def load_check_texts() -> SiteCheckTexts:
    """The forms' words in the language that is spoken."""
    return worded("sheets/site-check-form.json", SiteCheckTexts)


def check_page(paper: str, number: int, count: int, measure: Measure, job: str = "") -> Page:
    """The page of readings of a room, page ``number`` of ``count``. ``paper`` as ``form_pages`` has it; KeyError for
    another."""
    # in languages that say it all at more length rows give way, and then those for second readings
    for room in _ROOM_MM:
        form = _CheckPage(paper, load_check_texts(), measure, job, room)
        page = form.filled(number, count)
        if form.whole:
            break
    return page


def today_page(paper: str, measure: Measure, job: str = "", check: SiteCheck | None = None) -> Page:
    """ "May we coat today?" on one page, by the limits of the job's site check."""
    return _TodayPage(paper, load_check_texts(), measure, job).filled(check or SiteCheck())


class _CheckPage(FormPage):
    """Fills the page of readings from top to bottom."""

    def __init__(
        self, paper: str, texts: SiteCheckTexts, measure: Measure, job: str, room: tuple[float, float, bool]
    ) -> None:
        super().__init__(paper, measure)
        self._texts, self._job = texts, job
        self._row_mm, self._look_mm, self._twice = room
        self.whole = True
        """Whether all of it has room on the page, once it is filled."""

    def filled(self, number: int, count: int) -> Page:
        """The filled page."""
        texts, wide = self._texts, self._right - self._left
        self._title(texts.title, texts.page_of.format(number=number, count=count))
        self.three_blanks((texts.job, texts.date, texts.by), self._job)
        self._y -= 9.0
        self._blank(self._left, texts.room, wide * 0.5, strong=True)
        self._y -= 8.0
        self._boxes(self._left, texts.stage, texts.stages, within=True)
        self._y -= 2.0
        self._heading(texts.readings)
        named = texts.quantities if self._twice else tuple(dict.fromkeys(texts.quantities))
        rows = [[text] for text in named]
        self._table(self._left, self._right, _READING_SHARES, texts.reading_heads, rows, self._row_mm)
        self._note(texts.reading_note)
        self._heading(texts.looks)
        self._looks()
        self._y -= 2.5
        self._heading(texts.items)
        items = [[text] for text in texts.item_lines]
        self._table(self._left, self._right, _ITEM_SHARES, texts.item_heads, items, self._row_mm)
        self._y -= 2.0
        for caution in texts.cautions:
            self._paragraph(caution)
        self.whole = self._y > _FOOT_MM
        self._foot_line(texts.foot)
        return self._page

    def _looks(self) -> None:
        """A line for each thing that is looked at, with boxes for the answer and the surfaces."""
        texts = self._texts
        lines = [[line] for line in texts.look_lines]
        heads = (texts.reading_heads[0], *texts.answers, *texts.faces, texts.reading_heads[1])
        self._table(self._left, self._right, _LOOK_SHARES, heads, lines, self._look_mm)
        self._tick_boxes(len(lines), _LOOK_SHARES, (1, 2, 3, 4), self._look_mm)


class _TodayPage(FormPage):
    """Fills the page that asks whether to coat today."""

    def __init__(self, paper: str, texts: SiteCheckTexts, measure: Measure, job: str) -> None:
        super().__init__(paper, measure)
        self._texts, self._job = texts, job

    def filled(self, check: SiteCheck) -> Page:
        """The filled page."""
        texts, wide = self._texts, self._right - self._left
        self._title(texts.today, "")
        self.three_blanks((texts.job, texts.date, texts.by), self._job)
        self._y -= 9.0
        self._blank(self._left, texts.room, wide * 0.5, strong=True)
        self._blank(self._left + wide * 0.52, texts.time, wide * 0.2)
        self._y -= 4.0
        self._paragraph(texts.today_note)
        self._heading(texts.measured)
        self._table(self._left, self._right, _MEASURED_SHARES, texts.measured_heads, self._measured(check))
        self._tick_boxes(5, _MEASURED_SHARES, (4, 5))
        self._heading(texts.asked)
        lines = [[line] for line in texts.asked_lines]
        self._table(self._left, self._right, _ASKED_SHARES, texts.asked_heads, lines)
        self._tick_boxes(len(lines), _ASKED_SHARES, (1, 2))
        self._dew_points()
        self._y -= 9.0
        self._boxes(self._left, texts.verdict, texts.verdicts, within=True)
        self._y -= 9.0
        self._blank(self._left, texts.because, wide)
        self._y -= 8.5
        self._blank(self._left, texts.cleared, wide)
        self._y -= 2.0
        for caution in texts.cautions:
            self._paragraph(caution, palette.GREY)
        self._foot_line(texts.foot)
        return self._page

    def _measured(self, check: SiteCheck) -> list[list[str]]:
        """What is measured with its limit."""
        texts = self._texts
        return [
            [texts.surface, self._limit(check, "surface")],
            [texts.air, self._limit(check, "air")],
            [texts.humidity, self._limit(check, "humidity")],
            [texts.dew, ""],
            [texts.margin, self._limit(check, "margin")],
        ]

    def _limit(self, check: SiteCheck, which: str) -> str:
        texts, found = self._texts, limit(check, which)
        low = "" if found.low is None else shown_short(found.low, 1)
        high = "" if found.high is None else shown_short(found.high, 1)
        words = texts.between if low and high else texts.at_least if low else texts.at_most
        return words.format(low=low, high=high, unit=found.unit)

    def _dew_points(self) -> None:
        """The table of dew points, to read the margin off."""
        texts, wide = self._texts, self._right - self._left
        self._heading(texts.table)
        step = wide / (len(HUMIDITIES) + 1)
        self._y -= 4.4
        self._text(self._left, self._y, texts.table_head, palette.REGULAR, SMALL_PT, palette.GREY)
        for k, humidity in enumerate(HUMIDITIES, 1):
            x = self._left + step * (k + 1) - GAP_MM / 4
            self._text(x, self._y, f"{humidity} %", palette.REGULAR, SMALL_PT, palette.GREY, right=True)
        self._page.rules.append((self._left, self._y - 1.2, self._right, self._y - 1.2, 0.35, palette.INK))
        for air in AIRS_C:
            self._y -= 4.7
            self._text(self._left, self._y, str(air), palette.SEMIBOLD, SMALL_PT)
            for k, humidity in enumerate(HUMIDITIES, 1):
                value = shown(dew_point_c(air, humidity), 1)
                x = self._left + step * (k + 1) - GAP_MM / 4
                self._text(x, self._y, value, palette.REGULAR, SMALL_PT, right=True)
            self._page.rules.append((self._left, self._y - 1.2, self._right, self._y - 1.2, 0.15, palette.HAIR))
        self._note(texts.table_note)
