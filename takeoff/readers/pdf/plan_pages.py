"""Inside the worker: which page of several is the floor plan, by what stands on it. Elevations have bricks and tiles,
and more lines than any plan."""

from __future__ import annotations

import ctypes
import re
from collections.abc import Callable
from typing import Any

import pypdfium2.raw as pdfium

LINES_SHARE = 0.25
"""A page with fewer lines than this part of the most is a cover with a list of sheets, or a detail."""
MOST_PAGES, MOST_LETTERS = 60, 20_000
"""So many pages are looked at, and so many letters of each."""
_PLANS = re.compile(
    r"floor\s+plans?|(?:ground|first|second|third|upper|lower|typical|basement)\s+floor|layout\s+plan|key\s+plan|"
    r"grundri(?:ss|ß)|erdgescho(?:ss|ß)|obergescho(?:ss|ß)|dachgescho(?:ss|ß)|"
    r"plan\s+(?:du\s+|des?\s+)?(?:rez|r\.?d\.?c|[ée]tage|niveau|sous-sol|\d)|"
    r"planta\s+(?:baixa|baja|alta|primera|tipo|de\s+distribuci[oó]n|t[ée]rreo)|pianta\s+(?:del\s+)?(?:piano|terra)|piano\s+terra|"
    r"plattegrond|begane\s+grond|verdieping|rzut\s+(?:parteru|pi[ęe]tra|przyziemia)|tloris|alaprajz|p[ůô]dorys|"
    r"план\s+(?:\d|перв|втор|этаж)|zemin\s+kat|kat\s+plan[ıi]|planritning|plantegning|pohjapiirustus|κάτοψη|平面図|平面图",
    re.I,
)
_OTHERS = re.compile(
    r"\belevations?\b|\bsections?\b|\b(?:site|roof|location|block)\s+plans?\b|\bansicht(?:en)?\b|\bschnitte?\b|lageplan|"
    r"dachdraufsicht|[ée]l[ée]vations?|fa[çc]ades?|\bcoupes?\b|plan\s+de\s+(?:masse|situation|toiture)|alzados?|"
    r"fachadas?|\bcortes?\b|secci[oó]n|planta\s+de\s+(?:cubierta|cobertura|situa)|prospett[oi]|sezion[ei]|\bgevels?\b|"
    r"doorsnede|elewacj[ae]|przekr[óo]j|фасад|разрез|görünüş|kesit|立面|断面",
    re.I,
)


def likeliest(counts: dict[int, int], text_of: Callable[[int], str]) -> int:
    """The page to read of those with so many lines each: of the pages with many the one that says it is a floor plan,
    and none that says it is something else while others do not; among equals the one with most lines."""
    most = max(counts.values())
    many = sorted((n for n in counts if counts[n] >= LINES_SHARE * most), key=lambda n: -counts[n])[:MOST_PAGES]
    if len(many) < 2:
        return max(counts, key=lambda n: (counts[n], -n))
    return max(many, key=lambda n: (_says(text_of(n)), counts[n], -n))


def _says(text: str) -> int:
    """1 for a floor plan, -1 for something else alone, 0 for nothing of either."""
    text = " ".join(text.split())
    return 1 if _PLANS.search(text) else -1 if _OTHERS.search(text) else 0


def text_of(document: Any, number: int) -> str:
    """The text of a page; nothing where it cannot be read."""
    page = pdfium.FPDF_LoadPage(document, number - 1)
    text = pdfium.FPDFText_LoadPage(page) if page else None
    found = ""
    if text:
        count = max(0, min(MOST_LETTERS, pdfium.FPDFText_CountChars(text)))
        buffer = (ctypes.c_ushort * (count + 1))()
        pdfium.FPDFText_GetText(text, 0, count, buffer)
        found = bytes(buffer)[: 2 * count].decode("utf-16-le", "replace")
        pdfium.FPDFText_ClosePage(text)
    if page:
        pdfium.FPDF_ClosePage(page)
    return found
