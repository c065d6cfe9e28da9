"""Pages written as a PDF, with the font that they are measured and set in."""

from __future__ import annotations

import datetime
import io
import math
import os
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from functools import cache
from pathlib import Path

import msgspec
import ttf_opensans  # type: ignore[import-untyped]
from reportlab import rl_config
from reportlab.lib.colors import HexColor
from reportlab.lib.rl_accel import fp_str
from reportlab.lib.utils import ImageReader
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from takeoff.files.atomic import write_bytes
from takeoff.geometry.curves import Curve
from takeoff.language import language
from takeoff.sheets import palette
from takeoff.sheets.flow import Page, RuleItem, TextItem, usual_paper
from takeoff.sheets.page_foot import note_missing
from takeoff.sheets.paper_pages import lay_out
from takeoff.sheets.picture import DOT_MM, DOT_STEP_MM, Picture, Shape
from takeoff.sheets.sheet_values import Course, Document, Paper

_WEIGHTS = {palette.LIGHT: 300, palette.REGULAR: 400, palette.SEMIBOLD: 600}

MISSING = "\ufffd"
"""Printed for every character that the typeface lacks, so that none vanishes."""

_SPELT = {"→": "->", "←": "<-", "✓": "checked", "☐": "not checked", "\u2011": "-", "\u2010": "-", "\u2212": "−"}
"""Characters with an equal that the typeface has."""


class Typeface:
    """Widths and printable text. ``replaced`` tells whether any character had to be replaced."""

    def __init__(self) -> None:
        self.replaced = False
        self._clean: dict[str, str] = {}
        self._widths: dict[tuple[str, str], float] = {}
        self._fonts = {style: _font(weight) for style, weight in _WEIGHTS.items()}
        self._known = set(self._fonts[palette.REGULAR].face.charToGlyph)

    def name(self, style: str) -> str:
        """The name by which reportlab knows a style."""
        return str(self._fonts[style].fontName)

    def clean(self, text: str) -> str:
        """The text with every character printable: white space as blanks, missing glyphs as �."""
        done = self._clean.get(text)
        if done is None:
            done = text if text.isascii() and text.isprintable() else self._printable(text)
            self._clean[text] = done
        return done

    def measure(self, text: str, style: str, size_pt: float) -> float:
        """Width in mm of the text as printed."""
        key = (text, style)
        width = self._widths.get(key)
        if width is None:
            face = self._fonts[style].face
            widths, default = face.charWidths, face.defaultWidth
            width = sum(widths.get(ord(ch), default) for ch in self.clean(text)) / 1000.0
            self._widths[key] = width
        return width * size_pt * palette.PT_MM

    def _printable(self, text: str) -> str:
        out = []
        for ch in unicodedata.normalize("NFC", text):
            if ch in _SPELT:
                out.append(_SPELT[ch])
            elif ch.isspace():
                out.append(" ")
            elif ord(ch) in self._known and unicodedata.category(ch) not in ("Cc", "Cf", "Co", "Cs"):
                out.append(ch)
            else:
                out.append(MISSING)
                self.replaced = True
        return "".join(out)


def lacking(doc: Document) -> str:
    """The letters in the sheets that the typeface has not, each once, sorted; "" where it has all."""
    face, seen = Typeface(), set[str]()
    stack: list[object] = [doc]
    while stack:
        value = stack.pop()
        if isinstance(value, str):
            seen |= set() if value.isascii() else set(value)
        elif isinstance(value, msgspec.Struct):
            stack += (getattr(value, name) for name in value.__struct_fields__)
        elif isinstance(value, dict):
            stack += (*value.keys(), *value.values())
        elif isinstance(value, list | tuple):
            stack += value
    return "".join(sorted(letter for letter in seen if MISSING in face.clean(letter)))


@cache
def _font(weight: int) -> TTFont:
    font = TTFont(f"OpenSans-{weight}", str(ttf_opensans.opensans(weight).path))
    pdfmetrics.registerFont(font)
    return font


# Pages in bytes and not in letters: a fifth smaller, and faster to write.
rl_config.useA85 = 0

_MM = 72.0 / 25.4
_EVEN_ODD, _NON_ZERO = 0, 1


def write(document: Document, path: Path, page: str = "", paper: Paper = "scope") -> None:
    """Put one paper of the document at ``path``, on "A4", "A3" or "Letter"; "": the region's office paper.

    Raises OutputError; nothing half-written stays.
    """
    write_bytes(path, pdf_bytes(document, page, paper))


def pdf_bytes(document: Document, page: str = "", paper: Paper = "scope") -> bytes:
    """The PDF's bytes, the same for the same document: no time of day is in it."""
    face = Typeface()
    document = document.for_paper(paper)
    pages = lay_out(document, page or usual_paper(), face.measure)
    if face.replaced:
        note_missing(pages, document.words["missing_glyphs"].format(sign=MISSING))
    return pages_bytes(pages, face, f"{document.title}: {document.job}", document.firm, document.day)


def pages_bytes(pages: Iterable[Page], face: Typeface, title: str, author: str = "", day: str = "") -> bytes:
    """The PDF of pages that were laid out before, with its language and its headings as bookmarks; ``day``: the date
    that it says it was made on, where that is an ISO date."""
    stream = io.BytesIO()
    with _no_other_clock():
        canvas = Canvas(stream, invariant=1, pageCompression=1, lang=language())
    with suppress(ValueError):
        made = datetime.date.fromisoformat(day)
        # reportlab has no other way to say when a document was made and keep its bytes the same
        canvas._doc._timeStamp.YMDhms = (made.year, made.month, made.day, 12, 0, 0)
    canvas.setTitle(face.clean(title))
    canvas.setAuthor(face.clean(author))
    for sheet in pages:
        canvas.setPageSize((sheet.width_mm * _MM, sheet.height_mm * _MM))
        _paint(canvas, sheet, face)
        _bookmark(canvas, sheet.outline, face)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


@contextmanager
def _no_other_clock() -> Iterator[None]:
    """Without the variable by which builders of packages give a time to programs: reportlab would stamp pages with it,
    and fail where it is no number."""
    given = os.environ.pop("SOURCE_DATE_EPOCH", None)
    try:
        yield
    finally:
        if given is not None:
            os.environ["SOURCE_DATE_EPOCH"] = given


def _bookmark(canvas: Canvas, headings: list[str], face: Typeface) -> None:
    """The headings of a page as bookmarks to it."""
    for number, heading in enumerate(headings):
        # reportlab tells bookmarks apart by their keys alone
        key = f"page-{canvas.getPageNumber()}-{number}"
        canvas.bookmarkPage(key)
        canvas.addOutlineEntry(face.clean(heading), key, 0)


def _paint(canvas: Canvas, page: Page, face: Typeface) -> None:
    canvas.setFillColor(HexColor(palette.PAPER))
    canvas.rect(0, 0, page.width_mm * _MM, page.height_mm * _MM, stroke=0, fill=1)
    for x, y, picture in page.pictures:
        paint_picture(canvas, x, y, picture, face)
    for x, y, wide, tall, data in page.images:
        canvas.drawImage(ImageReader(io.BytesIO(data)), x * _MM, y * _MM, wide * _MM, tall * _MM)
    _paint_rules(canvas, page.rules)
    _paint_texts(canvas, page.texts, face)
    if page.across:
        _paint_across(canvas, page, face)


_ACROSS_PART, _ACROSS_ALPHA = 0.62, 0.13
"""How much of the diagonal the word takes, and how much of what is under it it hides."""


def _paint_across(canvas: Canvas, page: Page, face: Typeface) -> None:
    """A word from the lower left to the upper right, over everything and seen through."""
    wide, high = page.width_mm * _MM, page.height_mm * _MM
    one_pt = face.measure(page.across, palette.SEMIBOLD, 1.0) * _MM
    size = math.hypot(wide, high) * _ACROSS_PART / one_pt
    canvas.saveState()
    canvas.translate(wide / 2, high / 2)
    canvas.rotate(math.degrees(math.atan2(high, wide)))
    canvas.setFillColor(HexColor(palette.URGENT))
    canvas.setFillAlpha(_ACROSS_ALPHA)
    canvas.setFont(face.name(palette.SEMIBOLD), size)
    canvas.drawCentredString(0, -size * 0.35, face.clean(page.across))
    canvas.restoreState()


def _paint_rules(canvas: Canvas, rules: list[RuleItem]) -> None:
    """One path for all rules of one look."""
    looks: dict[tuple[float, str], list[RuleItem]] = {}
    for rule in rules:
        looks.setdefault((rule[4], rule[5]), []).append(rule)
    canvas.setLineCap(0)
    for (width, colour), lines in looks.items():
        canvas.setLineWidth(width * _MM)
        canvas.setStrokeColor(HexColor(colour))
        canvas.lines([(x0 * _MM, y0 * _MM, x1 * _MM, y1 * _MM) for x0, y0, x1, y1, _, _ in lines])


def _paint_texts(canvas: Canvas, texts: list[TextItem], face: Typeface) -> None:
    """One text object per look: changing the font costs more than placing a line."""
    looks: dict[tuple[str, float, str], list[TextItem]] = {}
    for item in texts:
        looks.setdefault(item[3:], []).append(item)
    for (style, size, colour), items in looks.items():
        block = canvas.beginText()
        block.setFont(face.name(style), size)
        block.setFillColor(HexColor(colour))
        for x, y, text, *_ in items:
            block.setTextOrigin(x * _MM, y * _MM)
            block.textOut(face.clean(text))
        canvas.drawText(block)


def paint_picture(canvas: Canvas, x: float, y: float, picture: Picture, face: Typeface) -> None:
    canvas.saveState()
    canvas.translate(x * _MM, y * _MM)
    canvas.setLineJoin(0)
    for shape in picture.shapes:
        _paint_shape(canvas, shape)
    canvas.restoreState()
    captions = [(c.x_mm + x, c.y_mm + y, c.text, c.style, c.size_pt, c.colour) for c in picture.captions]
    _paint_texts(canvas, captions, face)


def _paint_shape(canvas: Canvas, shape: Shape) -> None:
    path = canvas.beginPath()
    for course in shape.paths:
        _trace(path, course, shape.closed)
    if shape.fill:
        canvas.setFillColor(HexColor(shape.fill))
    if shape.stroke:
        canvas.setStrokeColor(HexColor(shape.stroke))
        canvas.setLineWidth(shape.width_mm * _MM)
        canvas.setDash([d * _MM for d in shape.dash_mm])
    if shape.fill or shape.stroke:
        canvas.drawPath(path, stroke=bool(shape.stroke), fill=bool(shape.fill), fillMode=_EVEN_ODD)
    if shape.dots and shape.paths:
        _paint_dots(canvas, shape, path)


_DASH_MM = 0.01
"""A dash this short with round ends prints as a dot: a row of dots is one line, which keeps large plans small."""


def _paint_dots(canvas: Canvas, shape: Shape, path: PDFPathObject) -> None:
    """Rows of dots over the whole shape in one path, clipped to it."""
    xs = [v[0] for course in shape.paths for v in course]
    ys = [v[1] for course in shape.paths for v in course]
    # Arcs may bow out past their ends by up to half their chord.
    slack = max(max(xs) - min(xs), max(ys) - min(ys)) / 2 if _curved(shape.paths) else 0.0
    left, right, low, high = min(xs) - slack, max(xs) + slack, min(ys) - slack, max(ys) + slack
    canvas.saveState()
    canvas.clipPath(path, stroke=0, fill=0, fillMode=_EVEN_ODD)
    canvas.setStrokeColor(HexColor(shape.dots))
    canvas.setLineWidth(DOT_MM * _MM)
    canvas.setLineCap(1)
    canvas.setDash([_DASH_MM * _MM, (DOT_STEP_MM - _DASH_MM) * _MM])
    canvas.drawPath(_dotted(dot_rows(left, low, high), right), stroke=1, fill=0)
    canvas.restoreState()


def _dotted(rows: Sequence[tuple[float, float]], right: float) -> PDFPathObject:
    """Rows of dots from their first ones to the right edge. They share few places across, whose figures are set
    once: a large job has hundreds of thousands of rows."""
    end = fp_str(right * _MM)
    starts = {x: fp_str(x * _MM) for x in {x for x, _ in rows}}
    operators = ["n"] if rows else []
    for x, y in rows:
        height = fp_str(y * _MM)
        operators += (f"{starts[x]} {height} m", f"{end} {height} l")
    return PDFPathObject(operators)


def dot_rows(left: float, low: float, high: float) -> list[tuple[float, float]]:
    """(x of its first dot, y) of the rows of dots through a box: each second row half a step along, and all boxes
    share one raster."""
    rows = []
    for k in range(math.floor(low / _ROW_MM), math.ceil(high / _ROW_MM) + 1):
        shift = DOT_STEP_MM / 2 if k % 2 else 0.0
        rows.append((math.floor((left - shift) / DOT_STEP_MM) * DOT_STEP_MM + shift, k * _ROW_MM))
    return rows


_ROW_MM = DOT_STEP_MM / 2
"""Rows of dots stand so far apart that each dot is as far from those beside it as from those above."""


def _curved(paths: Iterable[Course]) -> bool:
    return any(v[2] for course in paths for v in course)


def _trace(path: PDFPathObject, course: Course, closed: bool) -> None:
    """A course into a path, arcs as curves."""
    if not course:
        return
    path.moveTo(course[0][0] * _MM, course[0][1] * _MM)
    ends = (*course[1:], course[0]) if closed else course[1:]
    for start, end in zip(course, ends, strict=False):
        if start[2]:
            _arc(path, Curve(start[0], start[1], end[0], end[1], start[2]))
        elif not (closed and end is course[0]):
            path.lineTo(end[0] * _MM, end[1] * _MM)
    if closed:
        path.close()


def _arc(path: PDFPathObject, curve: Curve) -> None:
    """Bézier pieces of at most a quarter turn: off the circle by less than 0.03 % of its radius."""
    if curve.bulge == 0.0:
        path.lineTo(curve.x1 * _MM, curve.y1 * _MM)
        return
    sweep = curve.length / curve.radius
    count = max(1, math.ceil(sweep / (math.pi / 2) - 1e-9))
    reach = 4.0 / 3.0 * math.tan(sweep / count / 4.0) * curve.radius
    for k in range(count):
        t0, t1 = curve.length * k / count, curve.length * (k + 1) / count
        (x0, y0), (x1, y1) = curve.at(t0), curve.at(t1)
        (ux, uy), (vx, vy) = curve.direction(t0), curve.direction(t1)
        path.curveTo(
            (x0 + ux * reach) * _MM,
            (y0 + uy * reach) * _MM,
            (x1 - vx * reach) * _MM,
            (y1 - vy * reach) * _MM,
            x1 * _MM,
            y1 * _MM,
        )
