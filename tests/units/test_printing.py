import math
from decimal import Decimal

import pytest

from takeoff.errors import OutputError
from takeoff.language import use_language
from takeoff.units.lengths import parse_length
from takeoff.units.printing import dim3, feet_inches, fmt2, in_figures, money, money_text, printed, square_feet


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (1.005, "1.01"),
        (2.675, "2.68"),
        (0.125, "0.13"),
        (0.1 + 0.2, "0.30"),
        (1.1 * 1.15, "1.27"),  # 1.265 exactly, 1.2649999999999999 in binary
        (-1.005, "−1.01"),
        (0.0, "0.00"),
        (-0.0, "0.00"),
        (-0.0049, "0.00"),
        (12345.675, "12,345.68"),
        (123456789.125, "123,456,789.13"),
        (0.00499999, "0.00"),
    ],
)
def test_half_goes_up_after_float_noise_is_gone(value, text):
    assert fmt2(value) == text


def test_a_huge_number_prints_and_none_is_lost():
    assert printed(1e300) == Decimal(10) ** 300


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, Decimal("NaN")])
def test_a_figure_that_is_no_number_is_never_printed(value):
    with pytest.raises(OutputError):
        printed(value)


def test_dimensions_have_three_places():
    assert dim3(1.2) == "1.200"
    assert dim3(1.0005) == "1.001"


def test_money_is_decimal_and_rounds_half_up():
    assert money(Decimal("2.345")) == Decimal("2.35")
    assert money_text(Decimal("1234.5")) == "1,234.50"
    assert money_text(Decimal("-0.001")) == "0.00"
    with pytest.raises(TypeError):
        money(2.345)


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (304.8, "1'-0\""),
        (2400.3, "7'-10 1/2\""),  # 94.5 in
        (0.0, "0'-0\""),
        (103.1875, "0'-4 1/16\""),  # 4.0625 in
        (304.3, "1'-0\""),  # 11.9803 in is 11 and 15.685/16, nearer to 12
        (-609.6, "−2'-0\""),
    ],
)
def test_lengths_in_feet_are_read_as_on_a_tape(mm: float, text: str) -> None:
    assert feet_inches(mm) == text
    assert parse_length(text.replace("−", "-")) == pytest.approx(mm, abs=25.4 / 32)


def test_ten_feet_by_ten_are_a_hundred_square_feet() -> None:
    assert square_feet(3.048 * 3.048) == Decimal("100.0")


def test_lines_of_arithmetic_have_the_regions_mark_and_no_thousands() -> None:
    use_language("de")
    try:
        assert (dim3(1234.5), fmt2(1234.5)) == ("1234,500", "1.234,50")
        assert in_figures("2 × 3.450 × 2.400") == "2 × 3,450 × 2,400"
    finally:
        use_language("en")


def test_every_thousandth_rounds_half_up_as_on_paper():
    for thousandths in range(20_000):
        on_paper = (thousandths + 5) // 10
        assert printed(thousandths / 1000) == Decimal(on_paper) / 100
