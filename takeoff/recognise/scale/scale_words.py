"""Scales as people write them: on a title block, and as an answer to the question for one."""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import NamedTuple

from takeoff.errors import InputError
from takeoff.language import tr

METRIC = (1, 2, 5, 10, 20, 25, 50, 75, 100, 125, 150, 200, 250, 500)
IMPERIAL = {
    4: '3" = 1\'-0"',
    8: '1 1/2" = 1\'-0"',
    12: '1" = 1\'-0"',
    16: '3/4" = 1\'-0"',
    24: '1/2" = 1\'-0"',
    32: '3/8" = 1\'-0"',
    48: '1/4" = 1\'-0"',
    64: '3/16" = 1\'-0"',
    96: '1/8" = 1\'-0"',
    128: '3/32" = 1\'-0"',
    192: '1/16" = 1\'-0"',
    120: "1\" = 10'",
    240: "1\" = 20'",
}
"""Scales of the trade: one to so much (common practice, no source)."""
SMALLEST, LARGEST = 0.1, 100_000.0

_PAPER = r"(?:\s*(?:@|\(|on|at|auf|bei|in|/|-|,)?\s*(?:DIN\s*|ISO\s*)?(?P<paper>A[0-4])\b)?"
_RATIO = re.compile(rf"(?<![\d:.,/])1\s*[:∶]\s*(?P<ratio>\d{{1,4}}(?:[.,]\d+)?)(?![\d:]){_PAPER}", re.I)
_SLASHED = re.compile(rf"(?<![\d:.,/])1\s*/\s*(?P<ratio>\d{{1,4}})(?![\d/\"”″'’′]){_PAPER}", re.I)
_INCHES = re.compile(
    rf"(?<![\d/])(?P<inches>(?:\d+[ -]+)?\d+\s*/\s*\d+|\d+(?:\.\d+)?)\s*"
    rf"(?:\"|”|″|''|in\b\.?|inch(?:es)?)\s*=\s*"
    rf"(?P<feet>\d+)\s*(?:'|’|′|ft\b|foot|feet)(?:\s*-?\s*0\s*(?:\"|”|″|''|in\b))?{_PAPER}",
    re.I,
)
_WORD = re.compile(
    r"\b(?:scale|ma(?:ß|ss)stab|mst\b|[ée]chelle|[ée]ch\b|escala|esc\b|scala|schaal|skala|m(?=\s*1\s*[:∶])|"
    r"mierzalka|podziałka|масштаб|м(?=\s*1\s*[:∶])|κλίμακα|mittakaava|ölçek|målestok|målestokk|měřítko)",
    re.I,
)
_SLOPE = re.compile(r"slope|fall\b|falls\b|gradient|ramp|gef[äa]lle|neigung|pente|pendenza|pendiente|уклон", re.I)
_NOT_TO_SCALE = re.compile(
    r"(?:\bn\.?\s?t\.?\s?s\b\.?|not\s+to\s+scale|ohne\s+ma(?:ß|ss)stab|hors\s+[ée]chelle|sin\s+escala)", re.I
)
_DO_NOT_SCALE = re.compile(
    r"do\s+not\s+scale|don'?t\s+scale|not\s+be\s+scaled|not\s+scale\s+(?:from|off)|nicht\s+(?:heraus)?messen|"
    r"ne\s+pas\s+mesurer|не\s+масштабировать",
    re.I,
)


class WrittenScale(NamedTuple):
    """A scale as written: one to ``ratio``, the paper it names ("" for none), its words, and
    whether a word for scale stands with it."""

    ratio: float
    paper: str
    words: str
    named: bool


def scales_in(text: str) -> tuple[WrittenScale, ...]:
    """Every scale that a line of text says; slopes and plain fractions say none.

    >>> [(s.ratio, s.paper) for s in scales_in("Scale 1:50 @ A1, 1:100 @ A3")]
    [(50.0, 'A1'), (100.0, 'A3')]
    """
    if _SLOPE.search(text):
        return ()
    named = bool(_WORD.search(text))
    found = []
    for pattern in (_RATIO, _SLASHED) if named else (_RATIO,):
        for match in pattern.finditer(text):
            ratio = float(match["ratio"].replace(",", "."))
            if ratio in METRIC or (named and SMALLEST <= ratio <= LARGEST):
                found.append(_written(match, ratio, named))
    for match in _INCHES.finditer(text):
        inches = _inches(match["inches"])
        if inches > 0:
            ratio = float(12 * int(match["feet"]) / inches)
            if SMALLEST <= ratio <= LARGEST:
                found.append(_written(match, ratio, True))
    return tuple(found)


def _written(match: re.Match[str], ratio: float, named: bool) -> WrittenScale:
    return WrittenScale(ratio, (match["paper"] or "").upper(), " ".join(match[0].split()), named)


def _inches(text: str) -> Fraction:
    parts = re.split(r"[ -]+", re.sub(r"\s*/\s*", "/", text.strip()))
    if any(p.endswith("/0") for p in parts):
        return Fraction(0)
    return sum((Fraction(p) for p in parts), Fraction(0))


def is_scale_word(text: str) -> bool:
    """Is the text a word for scale alone, as above a box of the title block?"""
    match = _WORD.search(text)
    return match is not None and len(re.sub(r"[\W_]", "", text)) <= len(match[0]) + 3


def not_to_scale(text: str) -> bool:
    """Does the text say that what it stands with has no scale?"""
    return _NOT_TO_SCALE.search(text) is not None and not do_not_scale(text)


def do_not_scale(text: str) -> bool:
    """Does the text forbid to measure off the drawing?"""
    return _DO_NOT_SCALE.search(text) is not None


def parse_scale(said: str | float) -> float:
    """The ratio that a user's answer says: "1:100", "1/4\\" = 1'-0\\"", "100" or 100.

    Raises InputError for anything else, and for a ratio that no sheet has.
    """
    ratio = _ratio_in(said.strip()) if isinstance(said, str) else float(said)
    if ratio is None or not math.isfinite(ratio) or not SMALLEST <= ratio <= LARGEST:
        raise InputError(tr('“{said}” is no scale: write it like 1:100 or 1/4" = 1\'-0".', said=said))
    return ratio


def _ratio_in(said: str) -> float | None:
    if len(said) > 60:
        return None
    plain = re.fullmatch(r"(?:1\s*[:/∶]\s*)?(\d{1,6}(?:[.,]\d+)?)", said)
    if plain is not None:
        return float(plain[1].replace(",", "."))
    found = scales_in("scale " + said)
    return found[0].ratio if len(found) == 1 else None


def name_of(ratio: float) -> str:
    """A scale as it is written: 1:100, or 1/4" = 1'-0" (1:48).

    >>> name_of(100.0), name_of(106.38)
    ('1:100', '1:106.4')
    """
    whole = round(ratio)
    if abs(ratio - whole) < 1e-6 * ratio:
        return f"{IMPERIAL[whole]} (1:{whole})" if whole in IMPERIAL else f"1:{whole}"
    return f"1:{ratio:.4g}"


def nearest_usual(ratio: float, share: float) -> float:
    """The scale of the trade within ``share`` of a ratio that was measured, else the ratio.

    >>> nearest_usual(99.7, 0.01), nearest_usual(106.4, 0.01)
    (100.0, 106.4)
    """
    usual = min((*METRIC, *IMPERIAL), key=lambda r: abs(r / ratio - 1.0))
    return float(usual) if abs(usual / ratio - 1.0) <= share else ratio
