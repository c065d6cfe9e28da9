"""Inside the worker: all that stands on a page, in page points: every path, through its forms, the
characters with their places, and words in annotations.

PDFium gives a path in its own coordinates with a matrix to its container; forms nest. Clip
paths are kept as their boxes: viewports are rectangles, and a box never cuts too much.
"""

from __future__ import annotations

import ctypes
import math
from array import array
from collections.abc import Callable
from typing import Any

import pypdfium2.raw as pdfium

from takeoff.files.from_outside import clean
from takeoff.readers.pdf.pdf_messages import Char, Note, Pen

Matrix = tuple[float, float, float, float, float, float]
Box = tuple[float, float, float, float]
IDENTITY: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
DEEPEST_FORM = 12
"""PDFium itself stops nesting forms at a similar depth."""
OBJECTS_BETWEEN_NEWS = 2000
FARTHEST_PT = 1e7
"""Page points; a page of three kilometres is damage."""
MOST_CLIP_POINTS = 2_000_000
"""Points of clip paths on a page, each counted with every object that it clips: as of 400,000 lines in one viewport."""
MOST_CHARS = 400_000
LONGEST_WORDS = 2000
TEXT_AS_NOTE = "SHX"
"""Some programs draw letters as lines and keep the words in annotations whose title says so."""
LONGEST_NAME_BYTES = 400


def count_sides(container: Any, most: int, depth: int = 0) -> int:
    """Lines and curves on a page or in a form, without reading them; stops counting past ``most``."""
    if depth:
        number, get = pdfium.FPDFFormObj_CountObjects(container), pdfium.FPDFFormObj_GetObject
    else:
        number, get = pdfium.FPDFPage_CountObjects(container), pdfium.FPDFPage_GetObject
    total = 0
    for i in range(number):
        thing = get(container, i)
        kind = pdfium.FPDFPageObj_GetType(thing)
        if kind == pdfium.FPDF_PAGEOBJ_PATH:
            total += max(0, pdfium.FPDFPath_CountSegments(thing))
        elif kind == pdfium.FPDF_PAGEOBJ_FORM and depth < DEEPEST_FORM:
            total += count_sides(thing, most, depth + 1)
        if total > 2 * most:
            break
    return total


def after(first: Matrix, second: Matrix) -> Matrix:
    """The matrix that does ``first``, then ``second`` (x' = a·x + c·y + e, y' = b·x + d·y + f)."""
    a, b, c, d, e, f = first
    p, q, r, s, t, u = second
    return (a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u)


def _matrix(thing: Any) -> Matrix:
    m = pdfium.FS_MATRIX()
    if not pdfium.FPDFPageObj_GetMatrix(thing, ctypes.byref(m)):
        return IDENTITY
    return (m.a, m.b, m.c, m.d, m.e, m.f)


class TooManyClips(Exception):
    """The clip paths of a page, object by object, have more than ``MOST_CLIP_POINTS`` points."""


class PathWalk:
    """Gathers the sides of all paths in drawing order; see ``messages.Content`` for the arrays."""

    def __init__(self, news: Callable[[float], None]) -> None:
        self.news = news
        self.sides = array("d")
        self.curve = array("i")
        self.path = array("i")
        self.controls = array("d")
        self.pen = array("i")
        self.clip = array("i")
        self.closed = array("B")
        self.thing = array("i")
        self.clips: list[Box] = []
        self.pens: list[Pen] = []
        self.images: list[Box] = []
        self.shadings = 0
        self._objects = self._clip_points = self._drawn = 0
        self._share = 0.0
        self._known_pens: dict[Pen, int] = {}
        self._known_clips: dict[Box, int] = {}
        # One of each for all calls: making them anew takes a third of the time.
        self._x, self._y = ctypes.c_float(), ctypes.c_float()
        self._refs = ctypes.byref(self._x), ctypes.byref(self._y)
        self._filled, self._stroked = ctypes.c_int(), ctypes.c_int()
        self._modes = ctypes.byref(self._filled), ctypes.byref(self._stroked)
        self._ink = tuple(ctypes.c_uint() for _ in range(4))
        self._inks = tuple(ctypes.byref(c) for c in self._ink)

    def page(self, page: Any) -> None:
        """Reads all objects of a page. Raises TooManyClips."""
        number = pdfium.FPDFPage_CountObjects(page)
        for i in range(number):
            self._share = i / max(1, number)
            self._object(pdfium.FPDFPage_GetObject(page, i), IDENTITY, None, "", 0)

    def _object(self, thing: Any, outer: Matrix, clip: Box | None, layer: str, depth: int) -> None:
        if self._objects % OBJECTS_BETWEEN_NEWS == 0:
            self.news(self._share)
        self._objects += 1
        kind = pdfium.FPDFPageObj_GetType(thing)
        if kind == pdfium.FPDF_PAGEOBJ_PATH:
            self._path(thing, outer, clip, layer)
        elif kind == pdfium.FPDF_PAGEOBJ_FORM and depth < DEEPEST_FORM:
            layer = _layer(thing) or layer
            clip = _within(clip, self._clip_box(thing, outer))
            inner = after(_matrix(thing), outer)
            for i in range(pdfium.FPDFFormObj_CountObjects(thing)):
                self._object(pdfium.FPDFFormObj_GetObject(thing, i), inner, clip, layer, depth + 1)
        elif kind == pdfium.FPDF_PAGEOBJ_IMAGE:
            self.images.append(_image_box(after(_matrix(thing), outer)))
        elif kind == pdfium.FPDF_PAGEOBJ_SHADING:
            self.shadings += 1

    def _path(self, thing: Any, outer: Matrix, clip: Box | None, layer: str) -> None:
        inner = _matrix(thing)
        whole = after(inner, outer)
        pen = self._pen(thing, whole, layer)
        if pen is None:
            return
        row = self._clip_row(_within(clip, self._clip_box(thing, outer)))
        before = len(self.pen)
        self._sides(thing, whole)
        added = len(self.pen) - before
        self.pen[before:] = array("i", [pen] * added)
        self.clip.extend([row] * added)
        self.thing.extend([self._drawn] * added)
        self._drawn += 1

    def _sides(self, thing: Any, whole: Matrix) -> None:
        """The sides of one path; a subpath begins with each move that is followed by a side."""
        get, kind_of, point_of = (
            pdfium.FPDFPath_GetPathSegment,
            pdfium.FPDFPathSegment_GetType,
            pdfium.FPDFPathSegment_GetPoint,
        )
        a, b, c, d, e, f = whole
        x, y, (rx, ry) = self._x, self._y, self._refs
        start = last = (0.0, 0.0)
        waiting: list[float] = []
        fresh = True
        for i in range(pdfium.FPDFPath_CountSegments(thing)):
            segment = get(thing, i)
            kind = kind_of(segment)
            point_of(segment, rx, ry)
            u, v = x.value, y.value
            here = (a * u + c * v + e, b * u + d * v + f)
            if not (abs(here[0]) < FARTHEST_PT and abs(here[1]) < FARTHEST_PT):
                fresh, waiting = True, []
                start = last = (math.nan, math.nan)
                continue
            if kind == pdfium.FPDF_SEGMENT_MOVETO:
                start = last = here
                fresh, waiting = True, []
            elif kind == pdfium.FPDF_SEGMENT_BEZIERTO and len(waiting) < 4:
                waiting += here
            else:
                fresh = self._side(last, here, waiting, fresh)
                last, waiting = here, []
            if pdfium.FPDFPathSegment_GetClose(segment) and not fresh:
                self._side(last, start, [], False)
                self.closed[-1] = 1
                last, fresh = start, True

    def _side(self, start: tuple[float, float], end: tuple[float, float], controls: list[float], fresh: bool) -> bool:
        """Adds one side, opening its subpath if there is none; gives back whether one is still
        to be opened."""
        if start[0] != start[0] or (start == end and not controls):
            return fresh
        if fresh:
            self.pen.append(0)
            self.closed.append(0)
        self.sides.extend((*start, *end))
        self.path.append(len(self.pen) - 1)
        self.curve.append(len(self.controls) // 4 if controls else -1)
        self.controls.extend(controls)
        return False

    def _pen(self, thing: Any, whole: Matrix, layer: str) -> int | None:
        """The row of the path's pen; None where it paints nothing."""
        if not pdfium.FPDFPath_GetDrawMode(thing, *self._modes):
            return None
        stroke = self._colour(pdfium.FPDFPageObj_GetStrokeColor, thing) if self._stroked.value else None
        fill = self._colour(pdfium.FPDFPageObj_GetFillColor, thing) if self._filled.value else None
        if stroke is None and fill is None:
            return None
        self._x.value = 0.0
        pdfium.FPDFPageObj_GetStrokeWidth(thing, self._refs[0])
        scale = math.sqrt(abs(whole[0] * whole[3] - whole[1] * whole[2]))
        dashed = stroke is not None and pdfium.FPDFPageObj_GetDashCount(thing) > 0
        wide = self._x.value * scale
        wide = round(wide, 3) if math.isfinite(wide) else 0.0
        pen = Pen(stroke, wide, fill, dashed, _layer(thing) or layer)
        row = self._known_pens.get(pen)
        if row is None:
            row = self._known_pens[pen] = len(self.pens)
            self.pens.append(pen)
        return row

    def _colour(self, get: Any, thing: Any) -> tuple[int, int, int] | None:
        """An ink; None where it is all transparent. Patterns count as mid grey."""
        if not get(thing, *self._inks):
            return (128, 128, 128)
        r, g, b, alpha = self._ink
        return (r.value, g.value, b.value) if alpha.value else None

    def _clip_row(self, box: Box | None) -> int:
        if box is None:
            return -1
        row = self._known_clips.get(box)
        if row is None:
            row = self._known_clips[box] = len(self.clips)
            self.clips.append(box)
        return row

    def _clip_box(self, thing: Any, outer: Matrix) -> Box | None:
        """The box of what an object is clipped to, in page points; None where it is not. Raises TooManyClips."""
        path = pdfium.FPDFPageObj_GetClipPath(thing)
        number = pdfium.FPDFClipPath_CountPaths(path) if path else 0
        box: Box | None = None
        for i in range(max(0, number)):
            points = []
            get, point_of = pdfium.FPDFClipPath_GetPathSegment, pdfium.FPDFPathSegment_GetPoint
            x, y, (rx, ry) = self._x, self._y, self._refs
            segments = max(0, pdfium.FPDFClipPath_CountPathSegments(path, i))
            self._clip_points += segments
            if self._clip_points > MOST_CLIP_POINTS:
                raise TooManyClips
            for k in range(segments):
                segment = get(path, i, k)
                if segment and point_of(segment, rx, ry):
                    points.append((x.value, y.value))
            box = _within(box, _box_of(points, outer))
        return box


def _box_of(points: list[tuple[float, float]], m: Matrix) -> Box | None:
    if not points:
        return None
    xs = [m[0] * x + m[2] * y + m[4] for x, y in points]
    ys = [m[1] * x + m[3] * y + m[5] for x, y in points]
    box = (min(xs), min(ys), max(xs), max(ys))
    return box if all(map(math.isfinite, box)) else None


def _within(a: Box | None, b: Box | None) -> Box | None:
    if a is None or b is None:
        return b if a is None else a
    return (max(a[0], b[0]), max(a[1], b[1]), min(a[2], b[2]), min(a[3], b[3]))


def _image_box(m: Matrix) -> Box:
    return _box_of([(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)], m) or (0.0, 0.0, 0.0, 0.0)


def _layer(thing: Any) -> str:
    """The name of the optional-content layer that an object is marked with, or ""."""
    for i in range(max(0, pdfium.FPDFPageObj_CountMarks(thing))):
        mark = pdfium.FPDFPageObj_GetMark(thing, i)
        if mark and _words(pdfium.FPDFPageObjMark_GetName, mark) == "OC":
            return _said_as(_bytes(mark, b"Name"))
    return ""


def _bytes(mark: Any, key: bytes) -> bytes:
    """A text of a mark's properties as it stands in the file."""
    buffer = (ctypes.c_ubyte * LONGEST_NAME_BYTES)()
    size = ctypes.c_ulong()
    read = pdfium.FPDFPageObjMark_GetParamBlobValue(mark, key, buffer, LONGEST_NAME_BYTES, ctypes.byref(size))
    return bytes(buffer)[: size.value] if read and size.value <= LONGEST_NAME_BYTES else b""


def _said_as(data: bytes) -> str:
    """A text of a PDF in words: UTF-16 or UTF-8 where it begins with their mark, else one byte a letter (ISO 32000-1,
    7.9.2.2); many write UTF-8 without its mark.

    >>> _said_as(b"Ma\xdfe"), _said_as(b"\xfe\xff\x00M\x00a"), _said_as("Maße".encode())
    ('Maße', 'Ma', 'Maße')
    """
    if data.startswith(b"\xfe\xff"):
        return clean(data[2:].decode("utf-16-be", "replace")).strip()
    try:
        return clean(data.decode("utf-8-sig")).strip()
    except UnicodeDecodeError:
        return clean(data.decode("cp1252", "replace")).strip()


def _words(get: Any, mark: Any, *key: bytes) -> str:
    buffer = ctypes.create_string_buffer(LONGEST_NAME_BYTES)
    size = ctypes.c_ulong()
    text = ctypes.cast(buffer, ctypes.POINTER(pdfium.FPDF_WCHAR))
    if not get(mark, *key, text, LONGEST_NAME_BYTES, ctypes.byref(size)) or size.value > LONGEST_NAME_BYTES:
        return ""
    return _decoded(buffer.raw[: size.value])


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
    return _decoded(buffer.raw[:size])


def _decoded(data: bytes) -> str:
    return clean(data.decode("utf-16-le", "replace")).strip()
