"""A bare number means the same wherever it is typed, and one that cannot be is refused with what is meant."""

from __future__ import annotations

import pytest

from takeoff.errors import InputError
from takeoff.units.lengths import (
    CEILING_HEIGHT,
    DEPTH,
    HEAD,
    LENGTH,
    OPENING_SIZE,
    PART,
    SILL,
    STOREY_HEIGHT,
    Size,
    size_mm,
)


@pytest.mark.parametrize(
    ("text", "size", "mm"),
    [
        ("2.4", STOREY_HEIGHT, 2400.0),
        ("2,4", STOREY_HEIGHT, 2400.0),
        ("2400", STOREY_HEIGHT, 2400.0),
        ("2400.5", STOREY_HEIGHT, 2400.5),
        ("3", STOREY_HEIGHT, 3000.0),
        ("8'", STOREY_HEIGHT, 2438.4),
        # with its unit a thing may be what it seldom is
        ("24 m", STOREY_HEIGHT, 24000.0),
        ("0", CEILING_HEIGHT, 0.0),
        ("300", CEILING_HEIGHT, 300.0),
        ("2.04", HEAD, 2040.0),
        ("0", SILL, 0.0),
        ("0.9", SILL, 900.0),
        ("900", SILL, 900.0),
        ("1.2", OPENING_SIZE, 1200.0),
        ("150", DEPTH, 150.0),
        ("0.15", DEPTH, 150.0),
        ("12", DEPTH, 12.0),
        ("1", DEPTH, 1000.0),
        ("7500", PART, 7500.0),
        ("3.45", LENGTH, 3450.0),
        ("49.9", LENGTH, 49900.0),
        ("50", LENGTH, 50.0),
        ("3450", LENGTH, 3450.0),
        ("3,450", LENGTH, 3450.0),
        ("-150", LENGTH, -150.0),
        ("-1.5", LENGTH, -1500.0),
        ("120 m", LENGTH, 120000.0),
    ],
)
def test_bare_numbers_are_metres_while_the_thing_can_be_so_large_and_else_millimetres(
    text: str, size: Size, mm: float
) -> None:
    assert size_mm(text, size) == mm


@pytest.mark.parametrize(
    ("text", "size", "sentence"),
    [
        ("24000", STOREY_HEIGHT, "“24000” would be 24 m: did you mean 2.4 m?"),
        ("24,000", STOREY_HEIGHT, "“24,000” would be 24 m: did you mean 2.4 m?"),
        ("240", STOREY_HEIGHT, "“240” would be 240 mm: did you mean 2.4 m?"),
        ("24", STOREY_HEIGHT, "“24” would be 24 mm: did you mean 2.4 m?"),
        ("2.4 mm", STOREY_HEIGHT, "“2.4 mm” would be 2.4 mm: did you mean 2.4 m?"),
        ("-2400", STOREY_HEIGHT, "“-2400” would be −2.4 m: did you mean 2.4 m?"),
        ("2400 m", STOREY_HEIGHT, "“2400 m” would be 2,400 m: did you mean 2.4 m?"),
        ("0", STOREY_HEIGHT, "“0” would be 0 mm: give a larger length."),
        ("204", HEAD, "“204” would be 204 mm: did you mean 2.04 m?"),
        ("90000", SILL, "“90000” would be 90 m: did you mean 900 mm?"),
        ("-1", SILL, "“-1” would be −1 m: did you mean 1 m?"),
        ("15000.5", DEPTH, "“15000.5” would be 15.0005 m: did you mean 150.005 mm?"),
        ("20", OPENING_SIZE, "“20” would be 20 mm: did you mean 2 m?"),
    ],
)
def test_what_a_thing_cannot_be_is_refused_with_what_is_meant(text: str, size: Size, sentence: str) -> None:
    with pytest.raises(InputError) as refused:
        size_mm(text, size)
    assert str(refused.value) == sentence


@pytest.mark.parametrize("size", [STOREY_HEIGHT, CEILING_HEIGHT, HEAD, SILL, OPENING_SIZE, DEPTH, PART, LENGTH])
def test_what_is_meant_can_be_and_means_itself(size: Size) -> None:
    for mm in (size.usual_mm, 2.4 * size.usual_mm, 9.9 * size.usual_mm):
        if size.most_mm is None or mm <= size.most_mm:
            assert size_mm(f"{mm / 1000.0:g} m", size) == pytest.approx(mm)
    assert size.low_mm <= size.usual_mm < size.high_mm
