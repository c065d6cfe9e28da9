"""Every page of a document as one reader gets it: plans first, then tables, then what holds in general."""

from __future__ import annotations

from takeoff.sheets import palette
from takeoff.sheets.flow import FOOT_MM, SIZES_MM, Flow, Page, cut, line_mm
from takeoff.sheets.flow_tables import TableSetter
from takeoff.sheets.model import Document, Line
from takeoff.sheets.picture import Measure
from takeoff.sheets.plan_pages import plan_pages

_AGREE_MM = 52.0
_SIGN_MM, _BETWEEN_MM, _ABOVE_SIGN_MM = 33.0, 12.0, 2.5


def lay_out(document: Document, paper: str, measure: Measure) -> list[Page]:
    """The pages of one reader's document (``Document.seen_by``) in order, each with its foot.

    ``paper`` is "A4" or "A3"; KeyError for another.
    """
    flow = Flow(SIZES_MM[paper], measure, (document.job, document.title))
    plan_pages(flow, document)
    if flow.page.pictures:
        # What stands beside a plan leaves no place to go on from.
        flow.new_page()
    tables = (*document.findings, *document.order, *document.totals, *document.dims)
    # How the materials were worked out is what is looked up least.
    for table in sorted(tables, key=lambda table: table.id == "materials-workings"):
        TableSetter(flow, table).set()
        flow.y -= 2.0
    _sentences(flow, document.words["conditions"], document.conditions)
    _sentences(flow, document.cautions_title, document.cautions)
    if document.sign:
        _places_to_sign(flow, document)
    for number, page in enumerate(flow.pages, 1):
        _foot(page, document, number, len(flow.pages), measure)
    return flow.pages


def note_missing(pages: list[Page], words: str, missing: str) -> None:
    """Say on the last page that characters were replaced."""
    page = pages[-1]
    text = f"{words} {missing}."
    page.texts.append((15.0, FOOT_MM - 3.6, text, palette.REGULAR, palette.SMALLEST_PT, palette.GREY))


def _sentences(flow: Flow, title: str, lines: tuple[Line, ...]) -> None:
    if not lines:
        return
    flow.heading(title, 4 * line_mm(9.5))
    flow.y -= 1.5
    for line in lines:
        flow.need(2 * line_mm(9.5))
        flow.text(flow.left, flow.y - line_mm(9.5) * 0.76, line.label, palette.SEMIBOLD, 9.5)
        flow.paragraph(line.text, indent=30.0)
        flow.y -= 1.6


def _places_to_sign(flow: Flow, document: Document) -> None:
    """Side by side, each with a line for place and date and one for the signature."""
    flow.need(_SIGN_MM)
    flow.y -= _ABOVE_SIGN_MM
    wide = (flow.width - _BETWEEN_MM) / 2
    for k, who in enumerate(document.sign):
        x = flow.left + (k % 2) * (wide + _BETWEEN_MM)
        flow.text(x, flow.y - 4.0, who, palette.SEMIBOLD, 9.5)
        for row, word in enumerate(("place_date", "signature")):
            y = flow.y - 13.0 - row * 12.0
            flow.rule(x, x + wide, y, 0.2, palette.GREY)
            flow.text(x, y - 4.0, document.words[word], palette.REGULAR, palette.SMALLEST_PT, palette.GREY)
    flow.y -= _SIGN_MM - _ABOVE_SIGN_MM


def _foot(page: Page, document: Document, number: int, count: int, measure: Measure) -> None:
    left, right = 15.0, page.width_mm - 15.0
    size, words = palette.SMALLEST_PT, document.words
    page.rules.append((left, 19.2, right, 19.2, 0.35, palette.INK))
    pages = f"{words['page']} {number} {words['of']} {count}"
    wide = measure(pages, palette.SEMIBOLD, size)
    firm = cut(document.firm or document.job, right - left - wide - 8.0, palette.SEMIBOLD, size, measure)
    page.texts.append((left, 14.9, firm, palette.SEMIBOLD, size, palette.INK))
    page.texts.append((right - wide, 14.9, pages, palette.SEMIBOLD, size, palette.INK))
    room = right - left - (_AGREE_MM if page.client and document.agree else 0.0)
    foot = cut(document.foot, room, palette.REGULAR, size, measure)
    page.texts.append((left, 10.6, foot, palette.REGULAR, size, palette.GREY))
    if page.client and document.agree:
        agree = measure(document.agree, palette.REGULAR, size)
        start = right - _AGREE_MM + 8.0
        page.texts.append((start, 10.6, document.agree, palette.REGULAR, size, palette.GREY))
        page.rules.append((start + agree + 1.5, 10.2, right, 10.2, 0.2, palette.GREY))
