"""The typeface of the PDF: Open Sans from a package, its widths, and what it cannot print."""

from __future__ import annotations

import unicodedata
from functools import cache

import ttf_opensans  # type: ignore[import-untyped]
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from takeoff.sheets import palette

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


@cache
def _font(weight: int) -> TTFont:
    font = TTFont(f"OpenSans-{weight}", str(ttf_opensans.opensans(weight).path))
    pdfmetrics.registerFont(font)
    return font
