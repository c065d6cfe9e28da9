"""Inside the worker: open the document, choose the page, hand over its content or its picture.

Only the worker imports PDFium. Everything here works on PDFium's own handles.
"""

from __future__ import annotations

import ctypes
import hashlib
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
import pypdfium2.raw as pdfium

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.readers.pdf.page_content import (
    MOST_CLIP_POINTS,
    PathWalk,
    TooManyClips,
    characters,
    count_sides,
    words_in_annotations,
)
from takeoff.readers.pdf.pdf_messages import Content, Final, Pages, Rendered, Request
from takeoff.readers.pdf.plan_pages import likeliest, text_of
from takeoff.readers.pdf.visibility import hidden_layers
from takeoff.units.printing import shown

Tell = Callable[[float, str], None]
MOST_SIDES = 1_000_000
"""Points of linework on one page, more than any plan that was not exploded from a shaded model."""
MOST_PIXELS = 50_000_000
SHARE_COUNTING = 0.4
MOST_SHOWN = 60
"""Pages that are shown as small pictures."""
PAGES_BETWEEN_NEWS = 5


def serve(request: Request, tell: Tell) -> Final:
    """The page asked for, or the one with most linework. Raises InputError in one sentence."""
    pdfium.FPDF_InitLibrary()
    data = Path(request.path).read_bytes()
    document = _document(data, request.name)
    pages = pdfium.FPDF_GetPageCount(document)
    if pages < 1:
        raise InputError(tr("{file} has no readable page: get the file again.", file=request.name))
    if request.page is not None and not 1 <= request.page <= pages:
        raise InputError(
            tr(
                "{file} has no page {page}: choose one from 1 to {pages}.",
                file=request.name,
                page=request.page,
                pages=pages,
            )
        )
    if request.want == "picture":
        return _rendered(document, request, request.page or 1, hashlib.sha256(data).hexdigest())
    if request.want == "pages":
        return _pages(document, request, pages, tell)
    counts = _counts(document, request, pages, tell)
    number = request.page or likeliest(counts, lambda page: text_of(document, page))
    if counts[number] > MOST_SIDES:
        raise InputError(
            tr(
                "Page {page} of {file} has {lines} lines, more than can be measured ({most}): print it without "
                "hatches and shading, or ask for the DXF.",
                page=number,
                file=request.name,
                lines=shown(counts[number], 0),
                most=shown(MOST_SIDES, 0),
            )
        )
    return _content(document, request, number, counts, pages, tell)


def _document(data: bytes, name: str) -> Any:
    held = ctypes.create_string_buffer(data, len(data))
    document = pdfium.FPDF_LoadMemDocument64(held, len(data), None)
    if document:
        _HELD.append(held)
        return document
    reason = pdfium.FPDF_GetLastError()
    if reason == pdfium.FPDF_ERR_PASSWORD:
        raise InputError(tr("{file} is locked by a password: ask for an unlocked copy.", file=name))
    if reason == pdfium.FPDF_ERR_SECURITY:
        raise InputError(tr("{file} is encrypted in a way that cannot be read: ask for an unlocked copy.", file=name))
    raise InputError(tr("{file} is damaged or no PDF and cannot be read: get the file again.", file=name))


_HELD: list[Any] = []
"""PDFium reads from the bytes as long as the document is open; the worker ends with it."""


def _page(document: Any, number: int, name: str) -> Any:
    page = pdfium.FPDF_LoadPage(document, number - 1)
    if not page:
        raise InputError(
            tr("Page {page} of {file} is damaged and cannot be read: get the file again.", page=number, file=name)
        )
    return page


def _counts(document: Any, request: Request, pages: int, tell: Tell) -> dict[int, int]:
    """Lines and curves per page; only of the one asked for, if one was."""
    if request.page is not None or pages == 1:
        number = request.page or 1
        page = _page(document, number, request.name)
        counts = {number: count_sides(page, MOST_SIDES)}
        pdfium.FPDF_ClosePage(page)
        return counts
    counts = {}
    for number in range(1, pages + 1):
        if number % PAGES_BETWEEN_NEWS == 1 or pages < PAGES_BETWEEN_NEWS * 4:
            tell(SHARE_COUNTING * number / pages, tr("Looking at page {page} of {pages}", page=number, pages=pages))
        page = pdfium.FPDF_LoadPage(document, number - 1)
        if page:
            counts[number] = count_sides(page, MOST_SIDES)
            pdfium.FPDF_ClosePage(page)
    if not counts:
        raise InputError(tr("No page of {file} can be read: get the file again.", file=request.name))
    return counts


def _content(document: Any, request: Request, number: int, counts: dict[int, int], pages: int, tell: Tell) -> Content:
    tell(SHARE_COUNTING, tr("Reading page {page}", page=number))
    page = _page(document, number, request.name)
    walk = PathWalk(lambda share: tell(SHARE_COUNTING + 0.5 * share, tr("Reading page {page}", page=number)))
    try:
        walk.page(page)
    except TooManyClips as error:
        raise InputError(
            tr(
                "Page {page} of {file} has clip paths of more than {most} points, too many to measure: print it as a "
                "new PDF, or ask for the DXF.",
                page=number,
                file=request.name,
                most=shown(MOST_CLIP_POINTS, 0),
            )
        ) from error
    tell(0.9, tr("Reading the text"))
    chars = characters(page)
    return Content(
        page=number,
        pages=pages,
        sides_on=tuple(counts.items()),
        box=_box(page, request.name, number),
        turns=pdfium.FPDFPage_GetRotation(page) % 4,
        sides=walk.sides.tobytes(),
        curve=walk.curve.tobytes(),
        path=walk.path.tobytes(),
        controls=walk.controls.tobytes(),
        pen=walk.pen.tobytes(),
        clip=walk.clip.tobytes(),
        closed=walk.closed.tobytes(),
        thing=walk.thing.tobytes(),
        clips=tuple(walk.clips),
        pens=tuple(walk.pens),
        chars=chars,
        notes=words_in_annotations(page),
        images=tuple(walk.images),
        uncounted=pages - len(counts) if request.page is None else 0,
        shadings=walk.shadings,
        hidden=hidden_layers(page, walk),
    )


def _box(page: Any, name: str, number: int) -> tuple[float, float, float, float]:
    """The visible part of the page, x0 y0 x1 y1: the crop box within the media box."""
    rect = pdfium.FS_RECTF()
    if not pdfium.FPDF_GetPageBoundingBox(page, ctypes.byref(rect)):
        raise InputError(
            tr("Page {page} of {file} has no size: print it as a new PDF and open that.", page=number, file=name)
        )
    box = (rect.left, min(rect.bottom, rect.top), rect.right, max(rect.bottom, rect.top))
    if not (all(map(math.isfinite, box)) and box[2] > box[0] and box[3] > box[1]):
        raise InputError(
            tr("Page {page} of {file} has no size: print it as a new PDF and open that.", page=number, file=name)
        )
    return box


def _pages(document: Any, request: Request, pages: int, tell: Tell) -> Pages:
    """Small pictures of the pages, with how many lines each has; damaged ones are left out."""
    shown, sides = [], []
    first = request.page or 1
    for number in range(first, min(pages, first + MOST_SHOWN - 1) + 1):
        tell(number / pages, tr("Looking at page {page} of {pages}", page=number, pages=pages))
        page = pdfium.FPDF_LoadPage(document, number - 1)
        if not page:
            continue
        sides.append(count_sides(page, MOST_SIDES))
        longest = max(pdfium.FPDF_GetPageWidthF(page), pdfium.FPDF_GetPageHeightF(page), 1.0)
        pdfium.FPDF_ClosePage(page)
        own = msgspec.structs.replace(request, dpi=72.0 * request.longest_px / longest)
        shown.append(_rendered(document, own, number, ""))
    return Pages(pages, tuple(shown), tuple(sides))


def _rendered(document: Any, request: Request, number: int, digest: str) -> Rendered:
    page = _page(document, number, request.name)
    wide, high = pdfium.FPDF_GetPageWidthF(page), pdfium.FPDF_GetPageHeightF(page)
    if not (wide > 0.0 and high > 0.0 and math.isfinite(wide * high)):
        raise InputError(
            tr(
                "Page {page} of {file} has no size: print it as a new PDF and open that.",
                page=number,
                file=request.name,
            )
        )
    dpi = min(request.dpi, 72.0 * math.sqrt(MOST_PIXELS / (wide * high)))
    width, height = max(1, round(wide * dpi / 72.0)), max(1, round(high * dpi / 72.0))
    bitmap = pdfium.FPDFBitmap_CreateEx(width, height, pdfium.FPDFBitmap_BGR, None, 0)
    if not bitmap:
        raise MemoryError
    pdfium.FPDFBitmap_FillRect(bitmap, 0, 0, width, height, 0xFFFFFFFF)
    flags = pdfium.FPDF_ANNOT | pdfium.FPDF_REVERSE_BYTE_ORDER
    pdfium.FPDF_RenderPageBitmap(bitmap, page, 0, 0, width, height, 0, flags)
    stride = pdfium.FPDFBitmap_GetStride(bitmap)
    raw = ctypes.string_at(pdfium.FPDFBitmap_GetBuffer(bitmap), stride * height)
    rows = b"".join(raw[i * stride : i * stride + 3 * width] for i in range(height))
    return Rendered(number, width, height, dpi, rows, digest)
