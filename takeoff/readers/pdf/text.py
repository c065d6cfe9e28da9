"""Inside the worker: the characters of a page with their places, and words in annotations."""

from __future__ import annotations

import ctypes
import math
from typing import Any

import pypdfium2.raw as pdfium

from takeoff.readers.pdf.messages import Char, Note

MOST_CHARS = 400_000
LONGEST_WORDS = 2000
TEXT_AS_NOTE = "SHX"
"""Some programs draw letters as lines and keep the words in annotations whose title says so."""


def characters(page: Any) -> tuple[Char, ...]:
    """The page's characters in their order, without those that PDFium makes up as spaces."""
    text = pdfium.FPDFText_LoadPage(page)
    if not text:
        return ()
    found = []
    for i in range(min(MOST_CHARS, max(0, pdfium.FPDFText_CountChars(text)))):
        if pdfium.FPDFText_IsGenerated(text, i) != 1:
            char = _char(text, i)
            if char is not None:
                found.append(char)
    pdfium.FPDFText_ClosePage(text)
    return tuple(found)


def _char(text: Any, i: int) -> Char | None:
    code = pdfium.FPDFText_GetUnicode(text, i)
    if code < 32 or 0xD800 <= code < 0xE000 or code > 0x10FFFF or code in (0x7F, 0xFFFE, 0xFFFF):
        return None
    x, y, m, box = ctypes.c_double(), ctypes.c_double(), pdfium.FS_MATRIX(), pdfium.FS_RECTF()
    if not (
        pdfium.FPDFText_GetCharOrigin(text, i, ctypes.byref(x), ctypes.byref(y))
        and pdfium.FPDFText_GetMatrix(text, i, ctypes.byref(m))
        and pdfium.FPDFText_GetLooseCharBox(text, i, ctypes.byref(box))
    ):
        return None
    along = math.hypot(m.a, m.b)
    size = abs(pdfium.FPDFText_GetFontSize(text, i)) * math.hypot(m.c, m.d)
    values = (x.value, y.value, box.left, box.bottom, box.right, box.top, along, size)
    if not all(map(math.isfinite, values)) or along <= 0.0 or size <= 0.0:
        return None
    edges = (min(box.left, box.right), min(box.bottom, box.top), max(box.left, box.right), max(box.bottom, box.top))
    return Char(chr(code), x.value, y.value, edges, m.a / along, m.b / along, size)


def words_in_annotations(page: Any) -> tuple[Note, ...]:
    """Words kept in annotations that stand for letters drawn as lines; people's remarks are left."""
    found = []
    for i in range(max(0, pdfium.FPDFPage_GetAnnotCount(page))):
        note = pdfium.FPDFPage_GetAnnot(page, i)
        if not note:
            continue
        rect = pdfium.FS_RECTF()
        words = _string(note, b"Contents")
        if words and TEXT_AS_NOTE in _string(note, b"T") and pdfium.FPDFAnnot_GetRect(note, ctypes.byref(rect)):
            box = (rect.left, min(rect.bottom, rect.top), rect.right, max(rect.bottom, rect.top))
            if all(map(math.isfinite, box)):
                found.append(Note(words, box))
        pdfium.FPDFPage_CloseAnnot(note)
    return tuple(found)


def _string(note: Any, key: bytes) -> str:
    buffer = ctypes.create_string_buffer(LONGEST_WORDS)
    text = ctypes.cast(buffer, ctypes.POINTER(pdfium.FPDF_WCHAR))
    size = pdfium.FPDFAnnot_GetStringValue(note, key, text, LONGEST_WORDS)
    if not 0 < size <= LONGEST_WORDS:
        return ""
    return buffer.raw[:size].decode("utf-16-le", "replace").rstrip("\0").strip()
