"""The only place that rounds: how figures and money are printed.

Half goes up (away from nought), after the noise of binary arithmetic has been taken off: a sum
that should be 1.005 is held as 1.00499999999999989 and is printed as 1.01.
"""

from __future__ import annotations

import math
import re
from decimal import ROUND_HALF_UP, Context, Decimal
from fractions import Fraction
from functools import cache

from takeoff.errors import OutputError
from takeoff.language import number, tr
from takeoff.language.regions import decimal_mark

_NOISE_PLACES = 9
"""Decimals kept before rounding; a millionth of a square millimetre is no quantity."""

_NOISE_DIGITS = 14
"""Significant digits kept before rounding: a double carries 15 to 17, and sums lose some."""

_EXACT = Context(prec=400, rounding=ROUND_HALF_UP)


def printed(value: float | Decimal, places: int = 2) -> Decimal:
    """``value`` rounded half-up to ``places`` decimals, never a negative nought.

    Raises OutputError for NaN and infinity: a figure that is no number must not reach a sheet.

    >>> printed(1.005), printed(-0.0001)
    (Decimal('1.01'), Decimal('0.00'))
    """
    if not math.isfinite(value):
        raise OutputError(tr("A figure is not a number and cannot be printed: check the job for findings."))
    exact = value if isinstance(value, Decimal) else _without_noise(value)
    rounded = exact.quantize(_step(places), context=_EXACT)
    return abs(rounded) if rounded == 0 else rounded


def shown(value: float | Decimal, places: int = 2) -> str:
    """``value`` rounded half-up to ``places`` decimals, as the user's region writes numbers: "1,234.50", "1.234,50".

    For whatever a person reads; what programs read (JSON) has ``printed``. Raises OutputError as ``printed`` does.
    """
    return number(printed(value, places))


def whole(value: float | Decimal) -> str:
    """``value`` rounded to a whole number, its digits not parted: mm and places in plan, "12000"."""
    return f"{printed(value, 0):f}"


def shown_short(value: float | Decimal, places: int = 2) -> str:
    """As ``shown``, without noughts at the end: "2.4", "3", "0,75"."""
    exact = printed(value, places)
    short = exact.normalize()
    return number(short if short.as_tuple().exponent < 0 else exact.quantize(Decimal(1)))  # type: ignore[operator]


@cache
def _step(places: int) -> Decimal:
    """The smallest step of a figure with so many decimals: 0.01 for two."""
    return Decimal(1).scaleb(-places)


def _without_noise(value: float) -> Decimal:
    exact = Decimal(value)
    places = min(_NOISE_PLACES, _NOISE_DIGITS - 1 - exact.adjusted())
    return exact.quantize(_step(places), context=_EXACT)


def in_figures(text: str) -> str:
    """A line of arithmetic with the region's decimal mark; thousands stay whole, as a calculator wants them.

    For lines that were put together with a point: "3.450 × 2.400" is "3,450 × 2,400" where a comma is the mark.
    """
    mark = decimal_mark()
    return text if mark == "." else _POINT.sub(mark, text)


_POINT = re.compile(r"(?<=\d)\.(?=\d)")


def dim3(metres: float) -> str:
    """A dimension in m, printed to 0.001 m, as it is typed into a calculator: "1.200", "1,200"."""
    return in_figures(f"{printed(metres, 3):f}")


_SIXTEENTHS = 16


def feet_inches(length_mm: float) -> str:
    """A length in feet and inches to the nearest sixteenth, as tapes there are read: 7'-10 1/2", 0'-4 1/16".

    1 in = 25.4 mm by the international agreement of 1959. Raises OutputError as ``printed`` does.
    """
    sixteenths = int(printed(abs(length_mm) / 25.4 * _SIXTEENTHS, 0))
    inches, part = divmod(sixteenths, _SIXTEENTHS)
    feet, inches = divmod(inches, 12)
    fraction = f" {Fraction(part, _SIXTEENTHS)}" if part else ""
    return f"{'−' if length_mm < 0 and sixteenths else ''}{feet}'-{inches}{fraction}\""


def square_feet(area_m2: float | Decimal) -> Decimal:
    """An area in square feet, rounded half-up to a tenth; 1 ft = 0.3048 m exactly."""
    return printed(Decimal(area_m2) / _SQUARE_FOOT_M2, 1)


_SQUARE_FOOT_M2 = Decimal("0.3048") ** 2


def fmt2(quantity: float | Decimal) -> str:
    """A product or a total in m, m² or litres, printed to two decimals: "12.30", "1,234.50"."""
    return shown(quantity, 2)


def money(amount: Decimal, places: int = 2) -> Decimal:
    """An amount rounded half-up to the smallest coin. Money is never held as a float."""
    if not isinstance(amount, Decimal):
        raise TypeError("money is decimal: give it as Decimal, made from text")
    return printed(amount, places)


def money_text(amount: Decimal, places: int = 2) -> str:
    """An amount as printed, without a currency: "1,234.50"."""
    return number(money(amount, places))
