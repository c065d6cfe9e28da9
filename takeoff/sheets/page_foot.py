"""The foot of every page: who, which job and page, what to be careful of, what was measured."""

from __future__ import annotations

from takeoff.sheets import palette
from takeoff.sheets.flow import FOOT_MM, Page, cut, wrap
from takeoff.sheets.picture import Measure
from takeoff.sheets.sheet_values import Document

_AGREE_MM = 52.0


def put_foot(page: Page, document: Document, number: int, count: int, measure: Measure) -> None:
    """The rule, who, which job and page, the caution or why it is a draft, the place to agree, what was measured."""
    left, right = 15.0, page.width_mm - 15.0
    size, words = palette.SMALLEST_PT, document.words
    agrees = page.client and bool(document.agree) and not document.draft
    said, style, colour = document.foot, palette.REGULAR, palette.GREY
    if document.draft:
        page.across = words["draft"]
        said, style, colour = document.draft_words, palette.SEMIBOLD, palette.URGENT
    room = right - left - (_AGREE_MM if agrees else 0.0)
    above = _two_lines(said, room, style, size, measure)
    below = _two_lines(document.origin, right - left, palette.REGULAR, size, measure)
    lowest = _LOWEST_MM if len(above) + len(below) <= _FEW_LINES else _LOWER_MM
    y = lowest + _STEP_MM * (len(above) + len(below))
    page.rules.append((left, y + _ABOVE_FIRM_MM, right, y + _ABOVE_FIRM_MM, 0.35, palette.INK))
    pages = words["page_of"].format(number=number, count=count)
    if document.fingerprint:
        pages = f"{words['fingerprint'].format(fingerprint=document.fingerprint)} · {pages}"
    wide = measure(pages, palette.SEMIBOLD, size)
    firm = cut(document.firm or document.job, right - left - wide - 8.0, palette.SEMIBOLD, size, measure)
    page.texts.append((left, y, firm, palette.SEMIBOLD, size, palette.INK))
    page.texts.append((right - wide, y, pages, palette.SEMIBOLD, size, palette.INK))
    for line in above:
        y -= _STEP_MM
        page.texts.append((left, y, line, style, size, colour))
    if agrees:
        agree = measure(document.agree, palette.REGULAR, size)
        start = right - _AGREE_MM + 8.0
        page.texts.append((start, y, document.agree, palette.REGULAR, size, palette.GREY))
        page.rules.append((start + agree + 1.5, y - 0.4, right, y - 0.4, 0.2, palette.GREY))
    for line in below:
        y -= _STEP_MM
        page.texts.append((left, y, line, palette.REGULAR, size, palette.GREY))


_LOWEST_MM, _LOWER_MM, _FEW_LINES = 10.6, 8.2, 3
"""Height of the foot's lowest line: of a few lines, and of more than these."""
_STEP_MM, _ABOVE_FIRM_MM = 3.5, 4.1
"""From line to line in the foot, and from who writes to the rule above."""


def _two_lines(text: str, width: float, style: str, size: float, measure: Measure) -> list[str]:
    """The text on two lines at most."""
    lines = wrap(text, width, style, size, measure)
    return lines if len(lines) < 3 else [lines[0], cut(" ".join(lines[1:]), width, style, size, measure)]


def note_missing(pages: list[Page], text: str) -> None:
    """Say on the last page that characters were replaced."""
    page = pages[-1]
    rule = max((rule[1] for rule in page.rules if rule[1] < FOOT_MM), default=0.0)
    page.texts.append((15.0, max(FOOT_MM - 2.2, rule + 1.2), text, palette.REGULAR, palette.SMALLEST_PT, palette.GREY))
