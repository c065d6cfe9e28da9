"""Inside the worker: which of the layers that a file names are switched off.

PDFium tells it by no call, but it draws only what is switched on: a layer none of whose lines
leave a mark on the drawn page is off.
"""

from __future__ import annotations

import ctypes
import math
from typing import Any

import pypdfium2.raw as pdfium

from takeoff.readers.pdf.page_content import PathWalk
from takeoff.readers.pdf.pdf_messages import Pen

PIXELS = 9_000_000
SAMPLES = 300
FEWEST = 3
SEEN_SHARE = 0.05
"""Lines of a layer that is off may still be crossed by those of others."""
INK_BELOW = 250
PALE_FROM = 235
"""Ink that is hardly darker than the paper is no test."""


def hidden_layers(page: Any, walk: PathWalk) -> tuple[str, ...]:
    """The named layers that are off, in alphabetical order; none where no layer is named."""
    samples = _samples(walk)
    if not samples:
        return ()
    wide, high = pdfium.FPDF_GetPageWidthF(page), pdfium.FPDF_GetPageHeightF(page)
    if not (wide > 0.0 and high > 0.0 and math.isfinite(wide * high)):
        return ()
    k = math.sqrt(PIXELS / (wide * high))
    width, height = max(1, round(wide * k)), max(1, round(high * k))
    bitmap = pdfium.FPDFBitmap_CreateEx(width, height, pdfium.FPDFBitmap_Gray, None, 0)
    if not bitmap:
        return ()
    pdfium.FPDFBitmap_FillRect(bitmap, 0, 0, width, height, 0xFFFFFFFF)
    pdfium.FPDF_RenderPageBitmap(bitmap, page, 0, 0, width, height, 0, 0)
    stride = pdfium.FPDFBitmap_GetStride(bitmap)
    pixels = ctypes.string_at(pdfium.FPDFBitmap_GetBuffer(bitmap), stride * height)
    hidden = []
    for name, points in samples.items():
        seen = [_inked(page, pixels, (width, height, stride), x, y) for x, y in points]
        known = [s for s in seen if s is not None]
        if len(known) >= FEWEST and sum(known) <= SEEN_SHARE * len(known):
            hidden.append(name)
    return tuple(sorted(hidden))


def _samples(walk: PathWalk) -> dict[str, list[tuple[float, float]]]:
    """Middles of straight sides of each named layer, spread over its lines, in page points."""
    rows: dict[str, list[int]] = {}
    for i, path in enumerate(walk.path):
        pen = walk.pens[walk.pen[path]]
        if pen.layer and walk.curve[i] < 0 and _dark(pen):
            rows.setdefault(pen.layer, []).append(i)
    s = walk.sides
    return {
        name: [
            ((s[4 * i] + s[4 * i + 2]) / 2.0, (s[4 * i + 1] + s[4 * i + 3]) / 2.0)
            for i in some[:: max(1, len(some) // SAMPLES)]
        ]
        for name, some in rows.items()
    }


def _dark(pen: Pen) -> bool:
    """A solid stroke in clear ink: a dash may have its gap in the middle."""
    return pen.stroke is not None and not pen.dashed and min(pen.stroke) < PALE_FROM


def _inked(page: Any, pixels: bytes, size: tuple[int, int, int], x: float, y: float) -> bool | None:
    """Is there ink within a pixel of the place? None where it lies off the page."""
    width, height, stride = size
    column, row = ctypes.c_int(), ctypes.c_int()
    pdfium.FPDF_PageToDevice(page, 0, 0, width, height, 0, x, y, ctypes.byref(column), ctypes.byref(row))
    if not (1 <= column.value < width - 1 and 1 <= row.value < height - 1):
        return None
    return any(
        min(pixels[r * stride + column.value - 1 : r * stride + column.value + 2]) < INK_BELOW
        for r in range(row.value - 1, row.value + 2)
    )
