"""The sheets before they are written: the same PDF as the command's, and its pages as pictures."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock
from typing import Any

import msgspec

from takeoff.errors import OutputError
from takeoff.language import tr
from takeoff.services.measured.job_result import Measured
from takeoff.services.written.writing import Page, document, for_paper, refuse_more_rooms
from takeoff.sheets.sheet_values import Paper

POINTS_PER_INCH = 72.0
LARGEST_PX = 6000
"""Neither side of a page's picture is larger."""


class Sheets(msgspec.Struct, frozen=True):
    """A PDF and its pages' sizes, width and height in points."""

    pdf: bytes
    sizes_pt: tuple[tuple[float, float], ...]


class PagePicture(msgspec.Struct, frozen=True):
    """A page as it looks: rows from the top, three bytes a pixel (red, green, blue)."""

    number: int
    width_px: int
    height_px: int
    rgb: bytes


def sheets_of(measured: Measured, paper: Paper, page: Page | None = None) -> Sheets:
    """One paper of a measured job, byte for byte as it is written.

    Takes up to some seconds for a large job. Raises InputError and OutputError as writing does.
    """
    from takeoff.sheets import pdf

    refuse_more_rooms(measured.job)
    data = pdf.pdf_bytes(for_paper(document(measured), measured, paper), page or "", paper)
    return Sheets(data, page_sizes(data))


def page_sizes(data: bytes) -> tuple[tuple[float, float], ...]:
    """Width and height of every page, in points. Raises OutputError for what is no PDF."""
    with opened_pdf(data) as pdf:
        return tuple(pdf.get_page_size(number) for number in range(len(pdf)))


def page_picture(data: bytes, number: int, width_px: int) -> PagePicture:
    """A page (from 0) as it looks so many pixels wide, sharp at that size.

    Raises OutputError for what is no PDF or has no such page.
    """
    with opened_pdf(data) as pdf:
        if not 0 <= number < len(pdf):
            raise OutputError(tr("The sheets have no page {page}: the last is {last}.", page=number + 1, last=len(pdf)))
        wide, high = pdf.get_page_size(number)
        scale = min(max(width_px, 1) / wide, LARGEST_PX / wide, LARGEST_PX / high)
        sheet = pdf[number]
        bitmap = sheet.render(scale=scale, rev_byteorder=True)
        rows = bytes(bitmap.buffer)
        width, height, stride = bitmap.width, bitmap.height, bitmap.stride
        bitmap.close()
        sheet.close()
    if stride != 3 * width:
        rows = b"".join(rows[k * stride : k * stride + 3 * width] for k in range(height))
    return PagePicture(number, width, height, rows)


_ONE_AT_A_TIME = Lock()
"""The library that draws pages is not safe for threads: two that use it at once end the program without a word.
Pages for the screen, for the printer and sizes are asked for by different threads."""


@contextmanager
def opened_pdf(data: bytes) -> Iterator[Any]:
    """A document of the library that draws pages, for one thread at a time. Raises OutputError for what is no PDF."""
    import pypdfium2

    with _ONE_AT_A_TIME:
        try:
            pdf = pypdfium2.PdfDocument(data)
        except pypdfium2.PdfiumError as error:
            raise OutputError(
                tr("The sheets cannot be shown ({why}): export them and open the files.", why=error)
            ) from error
        try:
            yield pdf
        finally:
            pdf.close()
