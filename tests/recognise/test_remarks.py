"""Names of rooms told from remarks, and levels from other figures."""

from __future__ import annotations

import pytest
from drawn import Sheet, two_rooms
from test_rooms_found import rooms

from takeoff.recognise import propose
from takeoff.recognise.names.plan_words import Named, is_remark, level_in, names_among


@pytest.mark.parametrize(
    "text",
    [
        "ridge over",
        "eaves 1200 high",
        "sloping ceiling, wall plate 1200 high",
        "beam over",
        "Line of floor over",
        "rooflight over",
        "see A-501",
        "do not scale",
        "FFL +0.15",
        "Dachschräge",
        "Unterzug 24/40",
        "UZ darüber",
        "voir coupe",
        "faîtage",
        "vedi sezione",
        "zie detail",
        "см. лист 5",
        "bulkhead above",
    ],
)
def test_remarks_name_no_room(text: str) -> None:
    assert is_remark(text)


@pytest.mark.parametrize(
    "text",
    [
        "Store under stairs",
        "Loft",
        "First floor landing",
        "New kitchen",
        "Void",
        "Overnight room",
        "Beamer room",
        "Balkon",
        "Flur",
        "Verwaltung",
        "Sichtbar",
        "Office 2",
        "Halle über zwei Geschosse",
    ],
)
def test_names_with_words_of_remarks_are_names(text: str) -> None:
    assert not is_remark(text)


def test_layer_words_and_height_tell_the_name_from_what_else_is_written() -> None:
    assert names_among([Named("Studio"), Named("Sprung floor", on_notes=True)]) == ("Studio",)
    assert names_among([Named("Studio", height=150), Named("mirror wall", height=150)]) == ("Studio",)
    assert names_among([Named("Studio", height=150), Named("Barre", height=90)]) == ("Studio",)
    assert names_among([Named("Sprung floor", on_notes=True)]) == ("Sprung floor",)
    assert names_among([Named("ridge over")]) == ()
    assert names_among([]) == ()


def test_the_labels_of_an_open_plan_all_stay_though_one_is_small() -> None:
    parts = [Named("Living", height=150), Named("Dining", height=150), Named("Nook", height=90)]
    assert names_among(parts[:2]) == ("Living", "Dining")
    assert names_among(parts, areas=3) == ("Living", "Dining", "Nook")


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("+2.70", 2700),
        ("FFL +3.000", 3000),
        ("±0.00", 0),
        ("OKFF +2,80", 2800),
        ("-0.15", -150),
        ("+2800", 2800),
        ("+3.20 FFL", 3200),
        ("SSL +2.90", None),
        ("Ridge +8.10", None),
        ("2.80", None),
        ("3450", None),
        ("Hall", None),
    ],
)
def test_levels_of_finished_floors_are_read(text: str, mm: float | None) -> None:
    assert level_in(text) == mm


def test_a_remark_in_a_room_neither_names_it_nor_makes_a_room_sure() -> None:
    sheet: Sheet = two_rooms().word("ridge over", 1500, 2500, "A-ANNO-NOTE")
    assert sorted(r.name for r in rooms(propose(sheet.drawing())[0])) == ["Hall", "Kitchen"]


def test_a_name_in_many_words_gives_way_to_a_short_one_and_an_area_each_keeps_small_ones() -> None:
    long = Named("Store for chairs of the hall")
    assert names_among([long, Named("Studio")]) == ("Studio",)
    assert names_among([long]) == (long.text,)
    pair = [Named("Living", height=150), Named("Nook", height=90)]
    assert names_among(pair, areas=1) == ("Living",)
    assert names_among(pair, areas=2) == ("Living", "Nook")
