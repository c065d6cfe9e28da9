import math

import pytest

from takeoff.errors import InputError
from takeoff.units.lengths import EXACT_MM, UNIT_MM, parse_area, parse_length


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("3.2 m", 3200.0),
        ("3450 mm", 3450.0),
        ("3450mm", 3450.0),
        ("3.45", 3450.0),
        ("3,45", 3450.0),
        ("3,450 m", 3450.0),
        (",5 m", 500.0),
        (".5", 500.0),
        ("1 234,5 mm", 1234.5),
        ("1.234,5 mm", 1234.5),
        ("1,234.5 mm", 1234.5),
        ("-2.7 m", -2700.0),
        ("−2.7 m", -2700.0),
        ("45 cm", 450.0),
        ("2.5 metres", 2500.0),
        ("10'-6 1/2\"", 3213.1),
        ("10' 6 1/2\"", 3213.1),
        ("10′-6½″", 3213.1),
        ("10’ 6”", 3200.4),
        ("10'6", 3200.4),
        ("10'", 3048.0),
        ("10.5'", 3200.4),
        ("10 ft 6 in", 3200.4),
        ("10 feet 6 inches", 3200.4),
        ("0'-6\"", 152.4),
        ("6 1/2\"", 165.1),
        ("6-1/2 in", 165.1),
        ("1/2\"", 12.7),
        ("3''", 76.2),
        ("36 in", 914.4),
        ("2 yd", 1828.8),
    ],
)  # fmt: skip
def test_a_length_as_people_write_it(text, mm):
    assert parse_length(text) == mm


def test_a_number_without_a_unit_takes_the_default():
    assert parse_length("3450", "mm") == 3450.0
    assert parse_length("10 1/2", "in") == 266.7
    assert parse_length("10", "ft") == 3048.0
    assert parse_length("10'", "mm") == 3048.0


def test_metres_come_out_as_whole_millimetres_where_they_are():
    for mm in range(0, 20001, 7):
        assert parse_length(f"{mm // 1000}.{mm % 1000:03d}") == float(mm)


@pytest.mark.parametrize(
    "text",
    ["", "  ", "wide", "3 4 m", "3.4.5", "1e3", "nan", "inf", "3 furlongs", "10'-14\"", "1/0\"", "3,450 mm",
     "1,234 ft", "--3", "10' 6 m", "3 m 20", "1'2'3", "9" * 59, "9" * 100, "3/", "１2", "1,2,3 m",
     "12,34,567 mm"],
)  # fmt: skip
def test_what_is_no_length_is_refused_with_a_sentence(text):
    with pytest.raises(InputError) as error:
        parse_length(text)
    assert str(error.value).endswith(".")


def test_an_unknown_default_unit_is_refused():
    with pytest.raises(InputError, match="parsec"):
        parse_length("3", "parsec")


@pytest.mark.parametrize(
    ("text", "m2"),
    [
        ("12,3 m²", 12.3),
        ("12.3 m2", 12.3),
        ("12.3", 12.3),
        ("12.3 sq m", 12.3),
        ("28,2 qm", 28.2),
        ("100 sq ft", 9.290304),
        ("100 sq. ft.", 9.290304),
        ("100 ft²", 9.290304),
        ("7 sq yd", 5.85289152),
        ("1.204,5 m²", 1204.5),
    ],
)
def test_an_area_as_people_write_it(text, m2):
    assert parse_area(text) == m2


@pytest.mark.parametrize("text", ["", "m²", "12 m", "12 acres", "-3 m²", "1,200 sq ft", "x", "9" * 50])
def test_what_is_no_area_is_refused_with_a_sentence(text):
    with pytest.raises(InputError) as error:
        parse_area(text)
    assert str(error.value).endswith(".")


def test_factors_are_exact_and_the_floats_are_the_nearest():
    assert UNIT_MM["in"] == 25.4
    assert UNIT_MM["ft"] == 304.8
    assert EXACT_MM["us_ft"] * 3937 == 1_200_000
    # 2 parts in a million between the two feet
    assert math.isclose(UNIT_MM["us_ft"] / UNIT_MM["ft"] - 1, 2e-6, rel_tol=1e-3)
