"""What is typed into the table of readings."""

import pytest

from takeoff.errors import InputError
from takeoff.plan.model import ReadOpening, ReadSide
from takeoff.plan.readings import keyed


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("3.6", 3600.0),
        ("3,6", 3600.0),
        ("3600", 3600.0),
        ("3.6 m", 3600.0),
        ("360 cm", 3600.0),
        ("49", 49000.0),
        ("50", 50.0),
        ("11'4 1/2\"", 3467.1),
        ("", None),
        ("  ", None),
    ],
)
def test_bare_lengths_are_metres_or_from_fifty_on_millimetres(text, mm):
    assert keyed.length(text) == mm


def test_bare_lengths_can_be_feet():
    assert keyed.length("10", "ft") == pytest.approx(3048.0)
    assert keyed.length("3.2 m", "ft") == pytest.approx(3200.0)


@pytest.mark.parametrize("text", ["0", "-3", "wall", "3.4.5.6", "1e9", "900 m", "nan", "inf"])
def test_what_is_no_length_of_a_room_is_refused(text):
    with pytest.raises(InputError):
        keyed.length(text)


@pytest.mark.parametrize(("text", "mm"), [("0", 0.0), ("150", 150.0), ("0.15", 150.0), ("10", 10.0), ("", None)])
def test_sills_and_reveals_may_be_nought_and_are_millimetres_from_ten_on(text, mm):
    assert keyed.small_length(text) == mm
    assert keyed.depth(text) == mm


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("", (-90.0, "about")),
        ("R", (-90.0, "about")),
        ("l", (90.0, "about")),
        ("L sq", (90.0, "square")),
        ("sq", (-90.0, "square")),
        ("R 45", (-45.0, "read")),
        ("l30", (30.0, "read")),
        ("135", (-45.0, "read")),
        ("270", (90.0, "read")),
        ("88.5°", (-91.5, "read")),
        ("R ?", (-90.0, "free")),
        ("?", (-90.0, "free")),
    ],
)
def test_turns(text, wanted):
    assert keyed.turn(text) == wanted


def test_an_inner_angle_turns_the_way_the_room_is_walked():
    assert keyed.turn("135", way=1) == (45.0, "read")
    assert keyed.turn("", way=1) == (90.0, "about")


@pytest.mark.parametrize("text", ["x", "R 190", "0", "RL", "left right"])
def test_what_is_no_turn_is_refused(text):
    with pytest.raises(InputError):
        keyed.turn(text)


@pytest.mark.parametrize(
    ("text", "openings", "end"),
    [
        ("", (), None),
        ("0, 850, 2050, 3600", ((850.0, 2050.0),), 3600.0),
        ("850 2050", ((850.0, 2050.0),), None),
        ("0.85 2.05 3.6", ((850.0, 2050.0),), 3600.0),
        ("0,85 2,05 3,60", ((850.0, 2050.0),), 3600.0),
        ("0.85,2.05,3.6", ((850.0, 2050.0),), 3600.0),
        ("0.5 1.4; 2 2.9", ((500.0, 1400.0), (2000.0, 2900.0)), None),
        ("2'6\"; 5'", ((762.0, 1524.0),), None),
        ("3600", (), 3600.0),
    ],
)
def test_running_dimensions_give_openings_and_the_wall_end(text, openings, end):
    assert keyed.running(text) == (openings, end)


@pytest.mark.parametrize("text", ["2050 850", "850 850", "0.85 nine", "850 -900"])
def test_running_dimensions_grow(text):
    with pytest.raises(InputError):
        keyed.running(text)


@pytest.mark.parametrize("unit", ["m", "ft"])
@pytest.mark.parametrize("mm", [3600.0, 850.0, 3467.1, 12.5, 25.4, 3048.0, 60_000.0])
def test_lengths_come_back_as_they_were_typed(mm, unit):
    assert keyed.length(keyed.shown(mm, unit), unit) == pytest.approx(mm, abs=1e-6)


@pytest.mark.parametrize("unit", ["m", "ft"])
def test_running_dimensions_come_back(unit):
    side = ReadSide(run_mm=3600.0, openings=(ReadOpening(from_mm=850.0, to_mm=2050.0),))
    openings, end = keyed.running(keyed.running_shown(side, unit), unit)
    assert openings[0] == pytest.approx((850.0, 2050.0), abs=0.01)
    assert end == pytest.approx(3600.0, abs=0.01)


@pytest.mark.parametrize("text", ["", "L", "L sq", "R 45", "R ?"])
def test_turns_come_back(text):
    deg, kind = keyed.turn(text)
    assert keyed.turn(keyed.turn_shown(ReadSide(turn_deg=deg, turn=kind))) == (deg, kind)


def test_diagonals_name_two_corners_of_the_room():
    found = keyed.diagonal("ac", "4.56", 4)
    assert found is not None
    assert (found.a, found.b, found.length_mm) == (0, 2, 4560.0)
    assert keyed.diagonal("B–D", "4560", 4) is not None
    assert keyed.diagonal("", "4.5", 4) is None
    assert keyed.diagonal("AC", "", 4) is None
    for corners in ("A", "AA", "AZ", "ABC"):
        with pytest.raises(InputError):
            keyed.diagonal(corners, "4.5", 4)
