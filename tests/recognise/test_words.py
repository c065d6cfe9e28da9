"""What text on plans says."""

from __future__ import annotations

import pytest
from drawn import two_rooms
from test_rooms_found import rooms

from takeoff.recognise import propose
from takeoff.recognise.names.plan_words import Words, area_in, height_in, read


@pytest.mark.parametrize(
    ("text", "m2", "rounding"),
    [
        ("5.9 m²", 5.9, 0.05),
        ("12,3 m2", 12.3, 0.05),
        ("12 м²", 12.0, 0.5),
        ("A: 12.3", 12.3, 0.05),
        ("Fläche: 12,30 m²", 12.3, 0.005),
        ("1 234,50 m²", 1234.5, 0.005),
        ("134 sq ft", 134 * 0.09290304, 0.5 * 0.09290304),
        ("12,50 mq", 12.5, 0.005),
        ("mq. 14,20", 14.2, 0.005),
        ("Camera mq 9", 9.0, 0.5),
        ("12.5㎡", 12.5, 0.05),
        ("面积:12.5平方米", 12.5, 0.05),
        ("30 sq. mtrs", 30.0, 0.5),
        ("8 m.kw.", 8.0, 0.5),
        ("1,250 SF", 1250 * 0.09290304, 0.5 * 0.09290304),
    ],
)
def test_printed_areas_are_read_with_their_rounding(text: str, m2: float, rounding: float) -> None:
    found = area_in(text)
    assert found is not None
    assert found[:2] == pytest.approx((m2, rounding))


@pytest.mark.parametrize(
    ("text", "mm"),
    [("CH 2.60", 2600), ("h=2,70 m", 2700), ("H: 2700", 2700), ("LH 250 cm", 2500), ("CH 0.10", None), ("Hall", None)],
)
def test_ceiling_heights_are_read_only_where_they_can_be_one(text: str, mm: float | None) -> None:
    assert height_in(text) == mm


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        ("Wohnzimmer", ["name"]),
        ("Λουτρό", ["name"]),
        ("Лестница", ["name"]),
        ("Salle d'eau", ["name"]),
        ("101 Office", ["number", "name"]),
        ("Office 101", ["name", "number"]),
        ("B203", ["number"]),
        ("Living 27.6 m²", ["name", "area"]),
        ("Входная дверь", ["door-note"]),
        ("1:100", ["note"]),
        ("900x2100", ["size"]),
        ("8'0X6'8 GLASS SLIDER", ["note"]),
        ("2#6'0X6'8 BI FOLD", ["note"]),
        ("600 x 600 tiles", ["note"]),
        ("Kitchen 10' x 12'", ["name"]),
        ("D01", ["mark"]),
        ("3450", ["number"]),
        ("+3.20", ["figure"]),
        ("-0.15", ["figure"]),
        ("B.2.03", ["number"]),
        ("", []),
    ],
)
def test_names_numbers_and_notes_are_told_apart(text: str, kinds: list[str]) -> None:
    assert [w.kind for w in read(text)] == kinds


def test_a_name_passes_as_it_is_written() -> None:
    assert read("Küche / Essen") == (Words("name", "Küche / Essen"),)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Room name: Kitchen", [("name", "Kitchen")]),
        ("Raum: Küche\nRaum-Nr.: 1.04", [("name", "Küche"), ("number", "1.04")]),
        (
            "Name: Store\nUsed by: Night shift\nSeats:",
            [("name", "Store"), ("note", "Used by: Night shift"), ("note", "Seats:")],
        ),
        (
            "房间名称：教室\n使用面积：30㎡\n建筑面积：34㎡",
            [("name", "教室"), ("area", "30㎡"), ("note", "建筑面积：34㎡")],
        ),
        ("Gross area: 34 m²", [("note", "Gross area: 34 m²")]),
        ("Zone: Store", [("name", "Zone: Store")]),  # nothing in the label tells a name under a caption
    ],
)
def test_what_stands_under_captions_is_told_by_them(text: str, said: list[tuple[str, str]]) -> None:
    assert [(w.kind, w.text) for w in read(text)] == said


def test_where_names_stand_under_captions_no_other_caption_names_a_room() -> None:
    """Who looks after a room, and in brackets for whom, stands in labels of its own."""
    sheet = two_rooms()
    sheet.words[0] = ("Room name: Store", 1500.0, 1500.0, "A-ANNO-TEXT")
    sheet.word("Keeper: A. Mason", 1500.0, 1000.0).word("(Day shift)", 1500.0, 600.0)
    assert sorted(r.name for r in rooms(propose(sheet.drawing())[0])) == ["Hall", "Store"]


def test_a_light_well_of_the_printed_area_is_asked_about() -> None:
    """Walled in and measured like the kitchen of 4.00 × 3.00 m that it stands for, it has the sky above."""
    sheet = two_rooms()
    sheet.words[0] = ("天井", 1500.0, 1500.0, "A-ANNO-TEXT")
    sheet.word("12.00 m²", 1500.0, 1200.0)
    assert {r.name: r.confidence for r in rooms(propose(sheet.drawing())[0])} == {"天井": "check", "Hall": "sure"}


@pytest.mark.parametrize(("text", "mm"), [("h 16 m", None), ("H: 1700", None), ("h 15 m", 15000), ("CH 1.80", 1800)])
def test_a_ceiling_is_between_1_8_and_15_m_high(text: str, mm: float | None) -> None:
    assert height_in(text) == mm


@pytest.mark.parametrize(
    ("mark", "times", "names"),
    [
        ("PM", 3, ["Hall", "Kitchen"]),
        ("PM", 2, ["Hall", "Kitchen / PM"]),  # twice it may be anything
        ("WC", 3, ["Hall", "Kitchen / WC"]),  # what a room is called in two letters
        ("Bar", 3, ["Hall", "Kitchen / Bar"]),
    ],
)
def test_letters_that_mark_each_door_name_no_room(mark: str, times: int, names: list[str]) -> None:
    sheet = two_rooms()
    for k in range(times):
        sheet.word(mark, 3000.0 + 300.0 * k, 700.0)
    assert sorted(r.name for r in rooms(propose(sheet.drawing())[0])) == names
