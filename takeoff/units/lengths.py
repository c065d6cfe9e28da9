"""Reading lengths and areas as people write them, exactly.

The only table of unit factors in the program. Numbers are read as fractions, so that
"3.45 m" is 3450 mm and not its neighbour in binary.
"""

from __future__ import annotations

import math
import re
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from takeoff.errors import InputError
from takeoff.language import number, tr

_INCH = Fraction(254, 10)
_US_FOOT = Fraction(1_200_000, 3937)  # US survey foot: 1200/3937 m by definition

EXACT_MM: dict[str, Fraction] = {
    "um": Fraction(1, 1000),
    "mm": Fraction(1),
    "cm": Fraction(10),
    "dm": Fraction(100),
    "m": Fraction(1000),
    "dam": Fraction(10_000),
    "hm": Fraction(100_000),
    "km": Fraction(1_000_000),
    "mil": _INCH / 1000,
    "in": _INCH,
    "ft": _INCH * 12,
    "yd": _INCH * 36,
    "mi": _INCH * 12 * 5280,
    "us_in": _US_FOOT / 12,
    "us_ft": _US_FOOT,
    "us_yd": _US_FOOT * 3,
    "us_mi": _US_FOOT * 5280,
}
"""mm per unit, exact (1 in = 25.4 mm by the international agreement of 1959)."""

UNIT_MM: dict[str, float] = {unit: float(factor) for unit, factor in EXACT_MM.items()}
"""mm per unit as floats, each the nearest to the exact factor."""

_NAMES: dict[str, str] = {
    "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
    "metre": "m", "metres": "m", "meter": "m", "meters": "m", "mtr": "m",
    "kilometre": "km", "kilometres": "km", "kilometer": "km", "kilometers": "km",
    "inch": "in", "inches": "in", "ins": "in", '"': "in",
    "foot": "ft", "feet": "ft", "'": "ft",
    "yard": "yd", "yards": "yd", "yds": "yd", "mile": "mi", "miles": "mi",
    "us survey ft": "us_ft", "us survey foot": "us_ft", "us survey feet": "us_ft", "us ft": "us_ft",
}  # fmt: skip

_GLYPHS = str.maketrans(
    {
        "′": "'", "’": "'", "‘": "'", "´": "'", "`": "'", "″": '"', "”": '"', "“": '"', "„": '"',
        "−": "-", "–": "-", "‑": "-", "⁄": "/", "\u00a0": " ", "\u202f": " ", "\u2009": " ",
        "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
        "⅓": " 1/3", "⅔": " 2/3", "µ": "u", "μ": "u",
    }
)  # fmt: skip

_NUMBER = r"\d+(?:[ .,]\d+)*|[.,]\d+"
_MIXED = rf"(?:(?P<whole>{_NUMBER})(?:\s*-\s*|\s+))?(?P<top>\d+)\s*/\s*(?P<bottom>\d+)|(?P<plain>{_NUMBER})"
_ONE = re.compile(rf"(?:{_MIXED})\s*(?P<unit>[a-z_'\"][a-z_ ]*)?")
_FEET_INCHES = re.compile(
    r"(?P<feet>\d+)\s*(?:'|ft\b\.?|feet\b|foot\b)\s*-?\s*(?P<inches>[\d ./,-]+?)\s*(?:\"|in|ins|inch|inches)?"
)
_LONGEST_TEXT = 60
_MAX_MM = 1e12
"""Lengths beyond a thousand kilometres are no building's."""


def parse_length(text: str, default_unit: str = "m") -> float:
    """The length in mm that ``text`` says; ``default_unit`` holds where it names none.

    Metric, feet and inches with fractions, primes of every kind, and a comma for the decimal
    point. A comma before exactly three digits is refused where it may stand for thousands
    (3,450 mm). A leading minus is kept (levels). Raises InputError for anything else, empty text too.

    >>> parse_length("3,45"), parse_length("10'-6 1/2\\"")
    (3450.0, 3213.1)
    """
    cleaned = _clean(text, "length")
    negative = cleaned.startswith("-")
    body = cleaned[1:].strip() if cleaned[0] in "+-" else cleaned
    value = _feet_and_inches(body, text)
    if value is None:
        value = _one_length(body, text, _unit_named(default_unit, text))
    return _finite(-value if negative else value, text)


class Size(NamedTuple):
    """What a length of some kind can be, in mm (common practice, no source).

    A bare number is metres while it is then below ``high_mm``, else mm: the same wherever it is typed.
    ``low_mm`` to ``most_mm`` is what such a thing can be; None: no end. ``usual_mm`` to ten times as much
    is what it mostly is, which is what a slip of the keys is held against.
    """

    usual_mm: float
    low_mm: float
    high_mm: float
    most_mm: float | None = None


LENGTH = Size(1000.0, -1e12, 50_000.0)
"""Along walls, on plans and on site, and levels: no wall is 50 m long, none is read to be 49 mm."""
STOREY_HEIGHT = Size(2000.0, 500.0, 15_000.0, 15_000.0)
CEILING_HEIGHT = Size(2000.0, 0.0, 15_000.0, 15_000.0)
"""At some place, where it may come down to the floor."""
HEAD = Size(1500.0, 300.0, 15_000.0, 15_000.0)
SILL = Size(300.0, 0.0, 10_000.0, 15_000.0)
OPENING_SIZE = Size(300.0, 50.0, 15_000.0, 15_000.0)
"""Width or height of an opening."""
DEPTH = Size(50.0, 0.0, 5000.0, 15_000.0)
"""Of reveals, returns, bands, skirting and coving; thicknesses and rises."""
PART = Size(100.0, 0.0, 5000.0, 50_000.0)
"""Sides of beams, boxing, steps and other parts of a room."""

LONGEST_MM = 100_000.0
"""Written with its unit a thing may be more than it mostly can be, but not a hundred metres."""

_BARE = re.compile(r"[+-]?\d+(?:[.,]\d+)?")


def size_mm(text: str, size: Size = LENGTH) -> float:
    """The length in mm that ``text`` says of a thing of that size; see there for bare numbers.

    Raises InputError for what cannot be read, and for what the thing cannot be, with what may be meant.

    >>> size_mm("2.4", STOREY_HEIGHT), size_mm("2400", STOREY_HEIGHT), size_mm("120", DEPTH)
    (2400.0, 2400.0, 120.0)
    """
    cleaned = text.strip()
    value = parse_length(cleaned, "m")
    has_unit = any(mark.isalpha() for mark in cleaned) or not set(cleaned) <= set("0123456789+-., \u00a0\u202f\u2009")
    # a comma before three digits is a decimal one only in metres: "3,450" stays 3.45 m
    if _BARE.fullmatch(cleaned) and cleaned[-4:-3] != "," and abs(value) >= size.high_mm:
        value = parse_length(cleaned, "mm")
    most = size.most_mm if size.most_mm is None or not has_unit else LONGEST_MM
    if value < size.low_mm or (most is not None and value > most):
        meant = _meant(abs(value), size)
        if not meant:
            raise InputError(
                tr("“{text}” would be {length}: give a larger length.", text=text, length=length_text(value))
            )
        raise InputError(
            tr("“{text}” would be {length}: did you mean {meant}?", text=text, length=length_text(value), meant=meant)
        )
    return value


def meant_by(value_mm: float, size: Size) -> str:
    """What may have been meant by a length that such a thing cannot be; "" for one that it can be."""
    fits = size.low_mm <= value_mm <= (size.high_mm if size.most_mm is None else size.most_mm)
    return "" if fits else _meant(abs(value_mm), size)


def _meant(value_mm: float, size: Size) -> str:
    """What a slip of the point or the unit would have been, among what such things mostly are."""
    if value_mm <= 0.0 or not math.isfinite(value_mm):
        return ""
    while value_mm < size.usual_mm:
        value_mm *= 10.0
    while value_mm >= 10.0 * size.usual_mm:
        value_mm /= 10.0
    return length_text(value_mm)


def length_text(value_mm: float) -> str:
    """ "2.4 m", "150 mm": a length in a sentence, metres from one metre on."""
    return f"{_digits(value_mm / 1000.0)} m" if abs(value_mm) >= 1000.0 else f"{_digits(value_mm)} mm"


def _digits(value: float) -> str:
    """Six digits at most, as the region writes them."""
    return number(Decimal(f"{value:.6g}")) if math.isfinite(value) else f"{value}"


def _feet_and_inches(body: str, text: str) -> Fraction | None:
    match = _FEET_INCHES.fullmatch(body)
    if match is None:
        return None
    inches = _ONE.fullmatch(match["inches"].strip())
    if inches is None or inches["unit"]:
        raise _unreadable(text, "length")
    value = _quantity(inches, "in", text)
    if value >= 12:
        raise InputError(
            tr("“{text}” has 12 inches or more after the feet: write feet and less than 12 inches.", text=text)
        )
    return int(match["feet"]) * EXACT_MM["ft"] + value * EXACT_MM["in"]


def _one_length(body: str, text: str, default_unit: str) -> Fraction:
    match = _ONE.fullmatch(body)
    if match is None:
        raise _unreadable(text, "length")
    unit = _unit_named(match["unit"], text) if match["unit"] else default_unit
    return _quantity(match, unit, text) * EXACT_MM[unit]


def _quantity(match: re.Match[str], unit: str, text: str) -> Fraction:
    if match["plain"] is not None:
        return _number(match["plain"], unit, text)
    if int(match["bottom"]) == 0:
        raise InputError(tr("“{text}” divides by zero: write the fraction again.", text=text))
    whole = _number(match["whole"], unit, text) if match["whole"] else Fraction(0)
    return whole + Fraction(int(match["top"]), int(match["bottom"]))


def _number(digits: str, unit: str, text: str) -> Fraction:
    """A plain number with a point or a comma, and groups of three where that is beyond doubt."""
    marks = [c for c in digits if not c.isdigit()]
    kinds = list(dict.fromkeys(marks))
    if not marks:
        return Fraction(digits)
    tail = digits[digits.rfind(marks[-1]) + 1 :]
    decimal = marks[-1] if marks.count(marks[-1]) == 1 and marks[-1] != " " else ""
    if kinds == [","] and len(marks) == 1 and len(tail) == 3 and unit not in ("m", "m²", "km"):
        raise InputError(
            tr("“{text}” may be a decimal or thousands: write it without the comma, or with a point.", text=text)
        )
    head = digits[: digits.rfind(decimal)] if decimal else digits
    groups = re.split(r"[ .,]", head)
    grouped = len(groups) > 1
    separators = {c for c in head if not c.isdigit()}
    if grouped and (
        len(separators) > 1
        or decimal in separators
        or not 1 <= len(groups[0]) <= 3
        or any(len(g) != 3 for g in groups[1:])
    ):
        raise _unreadable(text, "number")
    return Fraction("".join(groups) + (f".{tail}" if decimal else "")) if head else Fraction(f"0.{tail}")


def _unit_named(name: str, text: str) -> str:
    key = re.sub(r"\s+", " ", name.strip().rstrip(".").lower())
    key = _NAMES.get(key, key)
    if key not in EXACT_MM:
        said = tr("“{text}” has an unknown unit, “{unit}”: use mm, cm, m, in, ft or yd.", text=text, unit=name.strip())
        raise InputError(said)
    return key


_SQUARE_NAMES: dict[str, str] = {
    "m2": "m", "sqm": "m", "sq m": "m", "qm": "m", "square metres": "m", "square meters": "m",
    "square metre": "m", "square meter": "m", "cm2": "cm", "mm2": "mm",
    "ft2": "ft", "sqft": "ft", "sq ft": "ft", "sf": "ft", "square feet": "ft", "square foot": "ft",
    "yd2": "yd", "sqyd": "yd", "sq yd": "yd", "sq yds": "yd", "square yards": "yd",
    "in2": "in", "sq in": "in",
}  # fmt: skip
_AREA = re.compile(rf"(?P<number>{_NUMBER})\s*(?P<unit>[a-z].*)?")


def parse_area(text: str, default_unit: str = "m²") -> float:
    """The area in m² that ``text`` says ("12,3 m²", "134 sq ft").

    ``default_unit`` holds where it names none. A comma is a decimal point, except that in feet,
    yards and inches one before exactly three digits is refused. Raises InputError with a sentence.
    """
    cleaned = _clean(text, "area")
    match = _AREA.fullmatch(cleaned)
    if match is None:
        raise _unreadable(text, "area")
    side = _square_of(match["unit"] or default_unit, text)
    size = _number(match["number"], "m²" if side == "m" else side, text)
    return _finite(size * (EXACT_MM[side] / 1000) ** 2, text)


def _square_of(name: str, text: str) -> str:
    key = name.strip().lower().replace("²", "2").replace("^2", "2").replace(".", "")
    key = re.sub(r"\s+", " ", key).replace(" 2", "2").strip()
    if key not in _SQUARE_NAMES:
        said = tr("“{text}” has an unknown unit, “{unit}”: use m², sq ft or sq yd.", text=text, unit=name.strip())
        raise InputError(said)
    return _SQUARE_NAMES[key]


def _clean(text: str, what: str) -> str:
    if len(text) > _LONGEST_TEXT:
        raise InputError(tr("“{text}…” is too long: write a number and a unit.", text=text[:20]))
    cleaned = text.translate(_GLYPHS).replace("''", '"').strip().lower()
    if not cleaned.isascii() and what == "length":
        raise _unreadable(text, what)
    if not cleaned:
        if what == "length":
            raise InputError(tr("No length was given: write a number and a unit, such as 3.45 m."))
        raise InputError(tr("No area was given: write a number and a unit, such as 12.3 m²."))
    return cleaned


def _finite(value: Fraction, text: str) -> float:
    if abs(value) > _MAX_MM:
        raise InputError(tr("“{text}” is larger than any building: check the number and its unit.", text=text))
    return float(value)


def _unreadable(text: str, what: str) -> InputError:
    if what == "area":
        return InputError(tr("“{text}” cannot be read as an area: write it like 12.3 m² or 134 sq ft.", text=text))
    if what == "number":
        return InputError(tr("“{text}” cannot be read as a number: write it like 3.2 m or 3450 mm.", text=text))
    return InputError(
        tr("“{text}” cannot be read as a length: write it like 3.2 m, 3450 mm or 10'-6 1/2\".", text=text)
    )
