"""Numbers, dates and money as regions write them, beside what Unicode's CLDR prints for them by another way."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from decimal import Decimal

import pytest
from babel.numbers import format_decimal

from takeoff.language import date_text, money_shown, number, percent, region, use_language, use_region
from takeoff.language.regions import letter_paper, list_mark
from takeoff.units.printing import shown, shown_short


@pytest.fixture(autouse=True)
def english() -> Iterator[None]:
    yield
    use_language("en")
    use_region("")


def _in(spoken: str, where: str = "") -> None:
    use_language(spoken)
    use_region(where)


@pytest.mark.parametrize(
    ("spoken", "where", "expected"), [("en", "", "2,932.30"), ("en", "US", "2,932.30"), ("de", "", "2.932,30")]
)
def test_number_of_a_region(spoken: str, where: str, expected: str) -> None:
    _in(spoken, where)
    assert number(Decimal("2932.30")) == expected


@pytest.mark.parametrize("value", ["0", "0.00", "12", "999.9", "1000", "-1234567.125", "0.5"])
@pytest.mark.parametrize(("spoken", "where"), [("en", "GB"), ("de", "DE"), ("de", "AT")])
def test_numbers_are_those_of_the_library(value: str, spoken: str, where: str) -> None:
    _in(spoken, where)
    places = len(value.partition(".")[2])
    pattern = "#,##0" + ("." + "0" * places if places else "")
    theirs = format_decimal(Decimal(value), pattern, locale=f"{spoken}_{where}")
    assert number(Decimal(value)) == theirs.replace("-", "−")


def test_shown_rounds_half_up_and_knows_no_negative_zero() -> None:
    assert (shown(1.005), shown(-0.001), shown(2.5, 0), shown(1234.5, 1)) == ("1.01", "0.00", "3", "1,234.5")
    assert (shown_short(2.40), shown_short(3.0), shown_short(1200), shown_short(0.755)) == ("2.4", "3", "1,200", "0.76")


def test_dates_and_money() -> None:
    day = date(2031, 5, 20)
    assert (date_text(day), money_shown(Decimal("1234.50"), "EUR")) == ("20 May 2031", "€1,234.50")
    assert money_shown(Decimal("1234.50"), "XTS") == "XTS\u00a01,234.50"
    assert (money_shown(Decimal("1234"), "EUR"), money_shown(Decimal("1234"), "XTS")) == ("€1,234", "XTS\u00a01,234")
    _in("en", "US")
    assert date_text(day) == "May 20, 2031"
    _in("de")
    assert (date_text(day), money_shown(Decimal("1234.50"), "EUR")) == ("20. Mai 2031", "1.234,50\u00a0€")
    assert money_shown(Decimal("1234"), "EUR") == "1.234\u00a0€"
    assert percent(12) == "12\u00a0%"


def test_paper_and_table_marks_of_regions() -> None:
    assert (region(), list_mark(), letter_paper()) == ("GB", ",", False)
    _in("de")
    assert (region(), list_mark()) == ("DE", ";")
    _in("en", "US")
    assert letter_paper()


def test_region_that_the_language_has_no_form_for_is_refused() -> None:
    with pytest.raises(LookupError):
        use_region("XQ")
