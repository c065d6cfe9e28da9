"""Papers of what comes after the order: a change, the account, the hand-over. Values first, then pages and workbook."""

from __future__ import annotations

from pathlib import Path

import msgspec

from takeoff.files.atomic import write_bytes
from takeoff.language import tr
from takeoff.sheets import palette
from takeoff.sheets.flow import FOOT_MM, SIZES_MM, TEXT_PT, Flow, Page, TableSetter, line_mm, usual_paper, wrap
from takeoff.sheets.labelled import label_mm, line_height, put_lines
from takeoff.sheets.letterhead import HEAD_MM, put_letterhead
from takeoff.sheets.picture import Measure, Photograph, Picture
from takeoff.sheets.sheet_values import Letterhead, Line, Table

_TITLE_PT, _JOB_PT = 22.0, 12.0
_SIGN_MM = 16.0
_ROW_PT, _BESIDE_MM = 12.0, 8.0
"""Titles of pictures as headings have them, and what is left free between two pictures."""
_PHOTO_MM, _LEAST_PHOTO_MM, _PHOTO_GAP_MM = 110.0, 45.0, 4.0


class WorkPaper(msgspec.Struct, frozen=True):
    """What a paper says. ``closing`` stands right above the signatures and goes with them, so that none is alone on a
    page; ``sign``: who signs, () for nobody."""

    title: str
    job: str
    addressed: str
    date: str
    firm: str
    lines: tuple[Line, ...]
    tables: tuple[Table, ...]
    closing: tuple[Line, ...] = ()
    sign: tuple[str, ...] = ()
    pictures: tuple[tuple[str, Picture], ...] = ()
    """Drawn between the lines and the tables, each under its title."""
    photos: tuple[Photograph, ...] = ()
    """After the pictures, as large as leaves room for tables and signatures on the page."""
    letterhead: Letterhead = Letterhead()


def paper_pages(paper: WorkPaper, measure: Measure, size: str = "") -> list[Page]:
    """The paper laid out on "A4", "A3" or "Letter"; "": the region's office paper."""
    flow = Flow(SIZES_MM[size or usual_paper()], measure, (paper.job, paper.title))
    flow.new_page(client=True, head=False)
    _head(flow, paper)
    put_lines(flow, paper.lines, flow.width)
    _put_pictures(flow, paper)
    end = _end_mm(flow, paper)
    _put_photos(flow, paper, end)
    for k, table in enumerate(paper.tables):
        setter = TableSetter(flow, table)
        last = k == len(paper.tables) - 1
        whole = setter.height() + 16.0 + (end if last else 0.0)
        if flow.left_mm() < whole < flow.page.height_mm - FOOT_MM - 30.0 and setter.table.rows and last:
            flow.new_page()
        setter.set()
        flow.y -= 3.0
    _end(flow, paper, end)
    for number, page in enumerate(flow.pages, 1):
        _foot(page, paper, number, len(flow.pages), measure)
    return flow.pages


def paper_bytes(paper: WorkPaper, size: str = "") -> bytes:
    """The PDF of the paper, the same for the same paper."""
    from takeoff.sheets.pdf import Typeface, pages_bytes  # loads slowly, and the window's frame needs none of it

    face = Typeface()
    return pages_bytes(paper_pages(paper, face.measure, size), face, f"{paper.title}: {paper.job}", paper.firm)


def write_paper(paper: WorkPaper, file: Path, size: str = "") -> tuple[Path, ...]:
    """Writes the paper as a PDF, and its tables as a workbook of the same name beside it. Raises OutputError."""
    from takeoff.sheets.xlsx import tables_bytes

    book = file.with_suffix(".xlsx")
    write_bytes(file, paper_bytes(paper, size))
    write_bytes(book, tables_bytes(paper.title, paper.job, (said_table(paper), *paper.tables)))
    return file, book


def said_table(paper: WorkPaper) -> Table:
    """What the paper says beside its tables, as a table for the workbook."""
    from takeoff.sheets.sheet_values import Column

    rows = [
        (paper.title, paper.job),
        ("", paper.date),
        ("", paper.addressed),
        *((line.label, line.text) for line in (*paper.lines, *paper.closing)),
    ]
    return Table(
        id="said",
        title=paper.title,
        columns=(Column("", share=1.0), Column("", share=3.0)),
        rows=tuple(row for row in rows if row[1]),
    )


def _head(flow: Flow, paper: WorkPaper) -> None:
    top = flow.y
    dated = put_letterhead(flow, paper.letterhead, top) - (4.2 if paper.letterhead.is_set else 6.5)
    width = flow.width - (HEAD_MM + 4.0 if paper.letterhead.is_set else 0.0)
    flow.text(flow.left, top - 6.5, paper.title, palette.LIGHT, _TITLE_PT)
    flow.text(flow.left + flow.width, dated, paper.date, palette.REGULAR, TEXT_PT, palette.GREY, "right")
    flow.y = top - 9.6
    for line in wrap(paper.job, width, palette.SEMIBOLD, _JOB_PT, flow.measure):
        flow.text(flow.left, flow.y - 4.4, line, palette.SEMIBOLD, _JOB_PT)
        flow.y -= line_mm(_JOB_PT)
    if paper.addressed:
        flow.paragraph(paper.addressed, width=width)
    flow.y = min(flow.y, dated - 1.0) - 4.0


def _put_pictures(flow: Flow, paper: WorkPaper) -> None:
    """Pictures in rows: as many beside one another as there is width for, each under its title."""
    flow.y -= 3.0 if paper.pictures else 0.0
    for row in _rows_of(flow, paper.pictures):
        tall = max(picture.height_mm for _, _, picture in row)
        flow.need(tall + 12.0)
        if row[0][1]:
            flow.heading(row[0][1], tall)
        for number, (x, title, picture) in enumerate(row):
            if number:
                flow.page.outline.append(title)
                flow.text(flow.left + x, flow.y + line_mm(_ROW_PT) * 0.24, title, palette.SEMIBOLD, _ROW_PT)
            flow.page.pictures.append((flow.left + x, flow.y - picture.height_mm, picture))
        flow.y -= tall + 4.0


Placed = tuple[float, str, Picture]
"""How far from the left a picture stands, its title, the picture."""


def _rows_of(flow: Flow, pictures: tuple[tuple[str, Picture], ...]) -> list[list[Placed]]:
    rows: list[list[Placed]] = []
    end = 0.0
    for title, picture in pictures:
        wide = max(picture.width_mm, flow.measure(title, palette.SEMIBOLD, _ROW_PT))
        if rows and title and rows[-1][-1][1] and end + wide <= flow.width:
            rows[-1].append((end, title, picture))
        else:
            rows.append([(0.0, title, picture)])
            end = 0.0
        end += wide + _BESIDE_MM
    return rows


def _put_photos(flow: Flow, paper: WorkPaper, end_mm: float) -> None:
    """Photos below one another in the room that tables and signatures leave on this page; no smaller than can be read,
    and then on pages of their own."""
    if not paper.photos:
        return
    flow.y -= 3.0
    below = end_mm + sum(TableSetter(flow, table).height() + 19.0 for table in paper.tables)
    free = (flow.left_mm() - below) / len(paper.photos) - _PHOTO_GAP_MM
    for photo in paper.photos:
        width, height = photo.within(flow.width, min(_PHOTO_MM, max(_LEAST_PHOTO_MM, free)))
        flow.need(height + _PHOTO_GAP_MM)
        flow.page.images.append((flow.left, flow.y - height, width, height, photo.jpeg))
        flow.y -= height + _PHOTO_GAP_MM


def _end_mm(flow: Flow, paper: WorkPaper) -> float:
    indent = label_mm(flow, paper.closing)
    text = sum(line_height(flow, line, flow.width, indent) for line in paper.closing)
    return text + 4.0 + (_SIGN_MM if paper.sign else 0.0)


def _end(flow: Flow, paper: WorkPaper, height_mm: float) -> None:
    """The closing lines and the signatures on one page."""
    flow.need(height_mm)
    flow.y -= 3.0
    put_lines(flow, paper.closing, flow.width)
    if not paper.sign:
        return
    wide = flow.width / len(paper.sign)
    y = flow.y - 11.0
    for k, who in enumerate(paper.sign):
        x = flow.left + k * wide
        flow.rule(x, x + wide - 8.0, y, 0.2, palette.INK)
        flow.text(x, y - 4.0, who, palette.REGULAR, palette.SMALLEST_PT, palette.GREY)
    flow.y = y - 5.0


def _foot(page: Page, paper: WorkPaper, number: int, count: int, measure: Measure) -> None:
    text = tr("Page {number} of {count}", number=number, count=count)
    size, y = palette.SMALLEST_PT, 12.0
    right = page.width_mm - 15.0
    page.rules.append((15.0, y + 5.0, right, y + 5.0, 0.2, palette.HAIR))
    page.texts.append((15.0, y, paper.firm or paper.job, palette.SEMIBOLD, size, palette.INK))
    page.texts.append((right - measure(text, palette.SEMIBOLD, size), y, text, palette.SEMIBOLD, size, palette.INK))
