"""Numbers, dates and money as the user's region writes them (babel, which holds Unicode's CLDR).

What other programs read (JSON) never passes through here: it has a point and ISO dates everywhere.
"""

from __future__ import annotations

import os
import re
from datetime import date
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING

from takeoff.language.catalogue import language

if TYPE_CHECKING:
    from babel import Locale

VARIABLE = "TAKEOFF_REGION"

USUAL = {"en": "GB", "de": "DE"}
"""The region of a language where none is set."""

LETTER_PAPER = frozenset({"US", "CA", "MX", "CL", "CO", "PH"})
"""Regions whose office paper is Letter (CLDR, territoryInfo: measurement of paper; from memory)."""


class _Chosen:
    """The region in use; "": the usual one of the language."""

    code = os.environ.get(VARIABLE, "")


def use_region(code: str) -> None:
    """Write numbers, dates and money as that region does ("GB", "US", "AT"), in this process and in those it
    begins; "" for the usual one of the language. Raises LookupError for one that the language has no form for."""
    if code:
        _locale(_known(), code)
    _Chosen.code = code
    os.environ[VARIABLE] = code


def region() -> str:
    """The region in use: "GB", "DE"; the usual one of the language where that has no form for the one that was chosen
    with another."""
    code = _Chosen.code
    return code if code and _has_form(_known(), code) else USUAL.get(language(), "GB")


@cache
def _has_form(spoken: str, code: str) -> bool:
    try:
        _locale(spoken, code)
    except LookupError:
        return False
    return True


@cache
def _locale(spoken: str, code: str) -> Locale:
    from babel import Locale, UnknownLocaleError  # loading its data takes a while; only what is printed needs it

    try:
        return Locale(spoken, territory=code)
    except (UnknownLocaleError, ValueError) as error:
        raise LookupError(code) from error


def _known() -> str:
    return language() if language() in USUAL else "en"


def _here() -> Locale:
    return _locale(_known(), region())


def decimal_mark() -> str:
    """A point or a comma."""
    return _marks(_known(), region())[0]


def list_mark() -> str:
    """What parts the cells of a table that the region's spreadsheets open: ";" where the decimal mark is a comma."""
    return ";" if decimal_mark() == "," else ","


@cache
def _marks(spoken: str, code: str) -> tuple[str, str]:
    symbols = _locale(spoken, code).number_symbols["latn"]
    return str(symbols["decimal"]), str(symbols["group"])


def number(value: Decimal | int) -> str:
    """The number with the places that it has, the region's decimal mark and thousands parted: "2,932.30",
    "2.932,30". Rounding is ``units.printing``'s, which most callers want (``shown``). Never a negative nought.

    >>> number(Decimal("2932.30"))
    '2,932.30'
    """
    whole, _, part = f"{abs(Decimal(value)):f}".partition(".")
    mark, group = _marks(_known(), region())
    digits = f"{int(whole):,}".replace(",", group)
    sign = "−" if value < 0 and any(digit not in "0." for digit in whole + part) else ""
    return f"{sign}{digits}{mark}{part}" if part else f"{sign}{digits}"


def percent(hundredths: Decimal | int) -> str:
    """So many of a hundred, as the region writes it: "12%", "12 %"."""
    return str(_here().percent_formats[None].pattern).replace("#,##0", number(hundredths))


def date_text(day: date) -> str:
    """The day in words: "20 May 2031", "20. Mai 2031"."""
    from babel.dates import format_date

    return str(format_date(day, "long", locale=_here()))


def day_short(day: date) -> tuple[str, str]:
    """The day of the week and the day without its year, short: ("Mon", "19 May"), ("Mo", "19. Mai")."""
    from babel.dates import format_date, format_skeleton

    week = str(format_date(day, "EEE", locale=_here())).rstrip(".")
    return week, str(format_skeleton("MMMd", day, locale=_here()))


def money_shown(amount: Decimal, currency: str = "") -> str:
    """An amount as the region writes it, with the currency's sign ("" for none): "€1,234.50", "1.234,50 €"; a code
    without a sign stands apart from the figure, "XTS 1,234.50". An amount without places is whole money,
    "€1,234"."""
    from babel.numbers import format_currency

    if not currency:
        return number(amount)
    text = format_currency(amount, currency, locale=_here(), currency_digits=False, decimal_quantization=False)
    if Decimal(amount).as_tuple().exponent == 0:
        text = re.sub(rf"{re.escape(decimal_mark())}\d+", "", text)
    return re.sub(r"(?<=[^\W\d_])(?=\d)", "\u00a0", text)


def letter_paper() -> bool:
    """Whether the region's office paper is Letter, not A4."""
    return region() in LETTER_PAPER
