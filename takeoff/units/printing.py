"""The only place that rounds: how figures and money are printed.

Half goes up (away from nought), after the noise of binary arithmetic has been taken off: a sum
that should be 1.005 is held as 1.00499999999999989 and is printed as 1.01.
"""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Context, Decimal

from takeoff.errors import OutputError
from takeoff.language import number

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
        raise OutputError("A figure is not a number and cannot be printed: check the job for findings.")
    exact = value if isinstance(value, Decimal) else _without_noise(value)
    rounded = exact.quantize(Decimal(1).scaleb(-places), context=_EXACT)
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


def _without_noise(value: float) -> Decimal:
    exact = Decimal(value)
    places = min(_NOISE_PLACES, _NOISE_DIGITS - 1 - exact.adjusted())
    return exact.quantize(Decimal(1).scaleb(-places), context=_EXACT)


def dim3(metres: float) -> str:
    """A dimension in m, printed to 0.001 m: "1.200"."""
    return f"{printed(metres, 3):f}"


def fmt2(quantity: float | Decimal) -> str:
    """A product or a total in m, m² or litres, printed to two decimals: "12.30"."""
    return f"{printed(quantity, 2):f}"


def times_text(times: float) -> str:
    """How often a line counts: "1", "-2" for a deduction, "0.5"; at most three decimals."""
    text = f"{printed(times, 3):f}"
    return text.rstrip("0").rstrip(".") or "0"


def money(amount: Decimal, places: int = 2) -> Decimal:
    """An amount rounded half-up to the smallest coin. Money is never held as a float."""
    if not isinstance(amount, Decimal):
        raise TypeError("money is decimal: give it as Decimal, made from text")
    return printed(amount, places)


def money_text(amount: Decimal, places: int = 2) -> str:
    """An amount as printed, without a currency: "1234.50"."""
    return f"{money(amount, places):f}"
