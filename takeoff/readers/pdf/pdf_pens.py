"""Layers of a PDF: those it names, else one per pen, called by its colour and width."""

from __future__ import annotations

from collections import defaultdict
from typing import Literal, NamedTuple

from takeoff.drawing.hues import hue_word
from takeoff.drawing.model import Layer
from takeoff.readers.pdf.pdf_messages import Pen

MM_PER_POINT = 25.4 / 72.0
WHITE_FROM = 250
"""Ink of at least so much in red, green and blue is not seen on white paper."""
BLACK_TO = 60
GREY_SPREAD = 24
TEXT_LAYER = "text"
LETTERS_LAYER = "text drawn as shapes"
Paint = Literal["line", "solid", "unseen"]
RGB = tuple[int, int, int]


class PenRow(NamedTuple):
    """What one pen paints, on which layer (index), its ink as a linetype, whether what it draws round
    is filled in an ink that is seen, what it is called by itself, and how wide its lines are."""

    paint: Paint
    layer: int
    linetype: str
    filled: bool = False
    name: str = ""
    weight_mm: float = 0.0


def layers_of(pens: tuple[Pen, ...], hidden: tuple[str, ...] = ()) -> tuple[tuple[Layer, ...], tuple[PenRow, ...]]:
    """(all layers, the row of each pen). The last two layers are for text, and for letters
    that are drawn as shapes or lines; white ink is unseen."""
    names = _names(pens)
    order: dict[str, int] = {}
    weights: dict[str, float] = {}
    rows = []
    for pen, name in zip(pens, names, strict=True):
        paint = _paint(pen)
        layer = order.setdefault(name, len(order)) if paint != "unseen" else 0
        weight = round(pen.width * MM_PER_POINT, 2) if paint == "line" else 0.0
        if paint == "line" and not pen.layer:
            weights[name] = weight
        linetype = "DASHED" if pen.dashed and paint == "line" else "CONTINUOUS"
        filled = pen.fill is not None and min(pen.fill) < WHITE_FROM
        rows.append(PenRow(paint, layer, linetype, filled, _drawn_with(pen), weight))
    layers = [Layer(name, "off" if name in hidden else "on", weight_mm=weights.get(name, 0.0)) for name in order]
    return (*layers, Layer(TEXT_LAYER), Layer(LETTERS_LAYER)), tuple(rows)


def _paint(pen: Pen) -> Paint:
    # An edge in the ink of what it goes round is not seen.
    if pen.stroke is not None and min(pen.stroke) < WHITE_FROM and (pen.stroke != pen.fill or pen.dashed):
        return "line"
    return "solid" if pen.fill is not None and min(pen.fill) < WHITE_FROM else "unseen"


def _names(pens: tuple[Pen, ...]) -> list[str]:
    """A name per pen; where two inks would be called the same, with the ink's number."""
    plain = [_plain_name(pen) for pen in pens]
    inks: dict[str, set[RGB | None]] = defaultdict(set)
    for pen, name in zip(pens, plain, strict=True):
        inks[name].add(_ink(pen))
    named = []
    for pen, name in zip(pens, plain, strict=True):
        ink = _ink(pen)
        doubtful = len(inks[name]) > 1 and not pen.layer and ink is not None
        named.append(f"{name} #{bytes(ink).hex()}" if doubtful and ink is not None else name)
    return named


def _ink(pen: Pen) -> RGB | None:
    return pen.stroke if _paint(pen) == "line" else pen.fill


def _plain_name(pen: Pen) -> str:
    return pen.layer or _drawn_with(pen)


def _drawn_with(pen: Pen) -> str:
    ink = _ink(pen)
    if _paint(pen) == "line" and ink is not None:
        return line_name(ink, pen.width * MM_PER_POINT)
    return f"solid {colour_name(ink) if ink is not None else 'no ink'}"


def line_name(ink: RGB, width_mm: float) -> str:
    """What a pen is called that draws lines of such a width.

    >>> line_name((0, 0, 0), 0.25), line_name((0, 0, 0), 0.0)
    ('black 0.25 mm', 'black hairline')
    """
    colour = colour_name(ink)
    return f"{colour} {width_mm:.2f} mm" if width_mm >= 0.005 else f"{colour} hairline"


def colour_name(rgb: RGB) -> str:
    """A plain word for an ink.

    >>> colour_name((0, 0, 0)), colour_name((200, 30, 30)), colour_name((128, 128, 128))
    ('black', 'red', 'grey')
    """
    if max(rgb) <= BLACK_TO:
        return "black"
    if min(rgb) >= WHITE_FROM:
        return "white"
    if max(rgb) - min(rgb) <= GREY_SPREAD:
        return "grey"
    return hue_word(*(c / 255.0 for c in rgb))
