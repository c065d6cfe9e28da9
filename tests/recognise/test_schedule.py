"""Schedules of doors and windows give heights; what contradicts the drawing is told and not used."""

from __future__ import annotations

import msgspec
import pytest
from drawn import Sheet, two_rooms
from test_rooms_found import codes

from takeoff.drawing.model import Symbol
from takeoff.recognise import propose
from takeoff.recognise.names.schedule import Size, head_of, schedule


def table(sheet: Sheet, heads: tuple[str, ...], *rows: tuple[str, ...]) -> Sheet:
    for y, row in enumerate((heads, *rows)):
        for x, text in enumerate(row):
            sheet.word(text, 12000 + 2000 * x, -400 * y, "0")
    return sheet


def test_a_table_of_marks_widths_and_heights_is_read_whatever_its_unit() -> None:
    sheet = table(
        two_rooms(), ("Mark", "Width", "Height", "Sill"), ("D1", "900", "2100", "0"), ("W1", "1200", "1400", "850")
    )
    found = schedule(sheet.drawing())
    assert found.by_mark == {"D1": Size(900, 2100, 0), "W1": Size(1200, 1400, 850)}
    assert len(found.rows) == 12
    sheet = table(two_rooms(), ("Tür Nr", "B x H (cm)"), ("T 1", "90 x 210"), ("T 2", "80 x 210"))
    assert schedule(sheet.drawing()).by_mark == {"T1": Size(900, 2100), "T2": Size(800, 2100)}


def test_feet_and_inches_are_read() -> None:
    sheet = table(two_rooms(), ("Mark", "Width", "Height"), ("D1", "3'-0\"", "6'-8\""))
    assert schedule(sheet.drawing()).by_mark == {"D1": Size(914.4, pytest.approx(2032))}
    block = Symbol("DOOR", 0, 0, 1, 1, 0, 0, attributes=(("HEIGHT", "80"),))
    drawing = msgspec.structs.replace(two_rooms().drawing(), symbols=(block,), unit="in")
    assert schedule(drawing).placed == ((0, 0, Size(height_mm=pytest.approx(2032))),)


def test_a_mark_with_two_sizes_has_none() -> None:
    sheet = table(two_rooms(), ("Ref", "W", "H"), ("D1", "900", "2100"), ("D1", "900", "2000"))
    assert schedule(sheet.drawing()).by_mark == {}


def test_a_doors_height_is_the_schedules_and_figured() -> None:
    sheet = table(
        two_rooms().word("D1", 4300, 1450, "A-DOOR-IDEN"),
        ("Mark", "Width", "Height"),
        ("D1", "900", "2200"),
        ("D2", "800", "2000"),
    )
    job, findings = propose(sheet.drawing())
    (door,) = job.storeys[0].openings
    assert (door.mark, door.head_mm, door.head_source) == ("D1", 2200, "figured")
    assert codes(findings) == []


def test_a_schedule_that_contradicts_the_drawn_width_is_told_and_not_used() -> None:
    sheet = table(
        two_rooms().word("D1", 4300, 1450, "A-DOOR-IDEN"), ("Mark", "Width", "Height"), ("D1", "1200", "2200")
    )
    job, findings = propose(sheet.drawing())
    (door,) = job.storeys[0].openings
    assert (door.head_mm, door.head_source) == (2040, "assumed")
    assert codes(findings) == ["schedule-differs"]
    assert findings[0].where.x_mm == pytest.approx(4000, abs=101)


def test_heights_in_a_doors_block_are_its_own() -> None:
    drawing = two_rooms().drawing()
    block = Symbol(
        "DOOR-900",
        4000,
        1000,
        1,
        1,
        0,
        0,
        box=(3100, 1000, 4000, 1900),
        attributes=(("WIDTH", "900"), ("DOOR_HEIGHT", "2135")),
    )
    job, _ = propose(msgspec.structs.replace(drawing, symbols=(block,)))
    assert [(o.head_mm, o.head_source) for o in job.storeys[0].openings] == [(2135, "figured")]


@pytest.mark.parametrize(
    ("text", "head"),
    [
        ("Height (mm)", ("height", "mm")),
        ("Breite [cm]", ("width", "cm")),
        ("BRH", ("sill", "")),
        ("H", ("height", "")),
        ("Hall", None),
        ("Door No", ("mark", "")),
        ("m", None),
    ],
)
def test_heads_of_columns_and_their_units(text: str, head: tuple[str, str] | None) -> None:
    assert head_of(text) == head


@pytest.mark.parametrize(
    ("width", "height", "size"),
    [
        ("0.9", "2,1", Size(900, 2100)),  # below 12: metres
        (".9", "2,1", Size(900, 2100)),
        ("90", "210", Size(900, 2100)),  # below 400: centimetres
        ("900", "2100", Size(900, 2100)),
    ],
)
def test_bare_numbers_are_metres_centimetres_or_millimetres_by_their_size(width: str, height: str, size: Size) -> None:
    sheet = table(two_rooms(), ("Mark", "Width", "Height"), ("D1", width, height))
    assert schedule(sheet.drawing()).by_mark == {"D1": size}


def test_a_length_that_no_opening_has_is_not_read_but_a_low_sill_is() -> None:
    heads = ("Mark", "Width (mm)", "Height (mm)", "Sill (mm)")
    sheet = table(two_rooms(), heads, ("W1", "120", "1400", "120"), ("W2", "14000", "1400", "850"))
    # no width below 150 mm or above 12 m; a sill may stand 120 mm high
    assert schedule(sheet.drawing()).by_mark == {"W1": Size(None, 1400, 120), "W2": Size(None, 1400, 850)}
