"""Cells of a room read on site: rows that come and go, faults that are named, readings that come back."""

import msgspec
import pytest

from takeoff.errors import InputError
from takeoff.language import use_language
from takeoff.plan.model import Job, RoomId
from takeoff.plan.readings import put_room
from takeoff.views.site_said import closing_words, differences, edit_name, headline, put_words, site_rooms
from takeoff.views.site_sheet import (
    DiagonalCells,
    OpeningCells,
    Sheet,
    SideCells,
    insert_side,
    kind_known,
    kind_of,
    kind_word,
    read,
    remove_side,
    settled,
    sheet_of,
)

replace = msgspec.structs.replace


def sheet(*lengths: str, **given) -> Sheet:
    return settled(Sheet(sides=tuple(SideCells(length=length) for length in lengths), **given))


def keyed(number: int, before: Sheet, **cells) -> Sheet:
    sides = tuple(replace(side, **cells) if k == number else side for k, side in enumerate(before.sides))
    return settled(replace(before, sides=sides))


KITCHEN = keyed(0, sheet("3.6", "2.8", "", "", name="Kitchen", middle="2.4"), along="0.85 2.05")


def test_a_left_turn_brings_the_sides_that_it_needs_and_takes_them_back():
    left = keyed(2, sheet("5", "4", "2", ""), turn="L")
    assert len(left.sides) == 6
    assert len(keyed(2, left, turn="").sides) == 4


def test_sides_that_were_keyed_are_not_taken_back():
    left = keyed(4, keyed(2, sheet("5", "4", "2", ""), turn="L"), length="3")
    assert len(keyed(2, left, turn="").sides) == 5


def test_a_corner_cut_off_brings_a_side():
    cut = keyed(1, keyed(0, sheet("4", "", "", ""), turn="R 45"), turn="R 45")
    assert len(cut.sides) == 5


def test_walking_the_other_way_turns_usual_corners():
    other = replace(KITCHEN, clockwise=False)
    assert settled(other).sides == KITCHEN.sides
    assert [side.turn_deg for side in read(other).readings.sides] == [90.0] * 4


def test_an_opening_gets_cells_and_loses_them_with_its_running_dimensions():
    assert KITCHEN.sides[0].openings == (OpeningCells(),)
    assert keyed(0, KITCHEN, along="").sides[0].openings == ()
    # while they are being mended what was keyed of the opening stays
    door = keyed(0, KITCHEN, openings=(OpeningCells("door"),))
    assert keyed(0, door, along="0.85 x").sides[0].openings == (OpeningCells("door"),)


def test_four_corners_are_offered_both_diagonals_others_one_row_to_go_on_with():
    assert [d.corners for d in KITCHEN.diagonals] == ["AC", "BD"]
    given = settled(replace(KITCHEN, diagonals=(DiagonalCells("CA", "4.56"),)))
    assert [d.corners for d in given.diagonals] == ["CA", "BD"]
    assert keyed(2, KITCHEN, turn="L").diagonals == (DiagonalCells(),)


def test_two_lengths_and_a_window_are_a_room():
    found = read(KITCHEN)
    assert found.is_room
    assert headline(found) == "10.08 m²"
    window = found.readings.sides[0].openings[0]
    assert (window.from_mm, window.to_mm, window.kind, window.sill_mm) == (850.0, 2050.0, "window", None)


@pytest.mark.parametrize(
    ("cells", "cell"),
    [
        ({"length": "wall"}, "length:0"),
        ({"along": "2.05 0.85"}, "along:0"),
        ({"along": "2.9 3.8"}, "along:0"),
        ({"turn": "up"}, "turn:0"),
        ({"height": "-2"}, "height:0"),
        ({"openings": (OpeningCells("x"),)}, "kind:0:0"),
        ({"openings": (OpeningCells("w", "low"),)}, "sill:0:0"),
        ({"openings": (OpeningCells("w", "2.1", "0.9"),)}, "head:0:0"),
    ],
)
def test_a_cell_that_cannot_be_read_is_named_and_the_rest_goes_on(cells, cell):
    found = read(keyed(0, KITCHEN, **cells))
    assert [fault.cell for fault in found.faults] == [cell]
    assert not found.is_room
    assert closing_words(found)[0] == (found.faults[0].text, "urgent")


def test_corners_that_are_named_first_wait_for_their_length():
    six = keyed(2, KITCHEN, turn="L")
    named = settled(replace(six, diagonals=(DiagonalCells("AC"),)))
    assert named.diagonals == (DiagonalCells("AC"),)
    assert settled(replace(named, diagonals=(DiagonalCells("AC", "4.5"),))).diagonals[1] == DiagonalCells()


def test_a_diagonal_without_corners_asks_for_them():
    found = read(replace(KITCHEN, diagonals=(DiagonalCells("", "4"),)))
    assert [fault.cell for fault in found.faults] == ["diagonal:0"]


def test_a_diagonal_of_no_corner_is_named():
    found = read(replace(KITCHEN, diagonals=(DiagonalCells("AE", "4"),)))
    assert [fault.cell for fault in found.faults] == ["diagonal:0"]


@pytest.mark.parametrize(
    ("text", "kind", "word"),
    [
        ("", "window", "Fenster"),
        ("t", "door", "Tür"),
        ("D", "open", "Durchgang"),
        ("door", "door", "Tür"),
        ("x", None, "x"),
    ],
)
def test_kinds_are_typed_in_the_users_language_and_still_in_english(text, kind, word):
    use_language("de")
    try:
        assert (kind_known(text), kind_word(text)) == (kind, word)
    finally:
        use_language("en")


@pytest.mark.parametrize(("text", "kind"), [("", "window"), ("w", "window"), ("D", "door"), ("open", "open")])
def test_kinds_by_their_first_letter(text, kind):
    assert kind_of(text) == kind


def test_a_side_put_in_moves_the_letters_of_diagonals_on():
    before = replace(KITCHEN, diagonals=(DiagonalCells("AC", "4.56"), DiagonalCells("BD", "4.5")))
    after = insert_side(before, 1)
    assert len(after.sides) == 5
    assert [d.corners for d in after.diagonals if d.length] == ["AD", "CE"]
    back = remove_side(after, 1)
    assert [side.length for side in back.sides] == [side.length for side in before.sides]
    assert [d.corners for d in back.diagonals if d.length] == ["AC", "BD"]


def test_the_corner_at_which_a_side_begins_goes_with_it():
    before = replace(insert_side(KITCHEN, 1), diagonals=(DiagonalCells("BD", "4.5"), DiagonalCells("AD", "4.5")))
    assert [d.corners for d in remove_side(before, 1).diagonals if d.length] == ["AC"]


def test_a_room_has_three_sides():
    three = Sheet(sides=(SideCells(turn="60"),) * 3)
    with pytest.raises(InputError, match="three sides"):
        remove_side(three, 0)


@pytest.mark.parametrize(
    "given",
    [
        KITCHEN,
        keyed(0, KITCHEN, along="0.85 2.05 3.6", turn="88.5", openings=(OpeningCells("door", "0", "2.04", "0.1"),)),
        replace(keyed(1, KITCHEN, height="2.6"), diagonals=(DiagonalCells("AC", "4.5607"), DiagonalCells("BD"))),
        replace(sheet("3.6", "2.8", "", "", name="X"), clockwise=False),
        sheet("11'10\"", "9'2 1/2\"", "", "", name="Feet", middle="8'", unit="ft"),
        keyed(2, sheet("5", "4", "2", "2", "3", "2", name="L"), turn="L sq"),
    ],
)
def test_readings_come_back_as_they_were_keyed(given):
    made = read(given).readings
    job = put_room(Job(), None, RoomId("r"), given.name, made)
    back = sheet_of(job, "r")
    again = read(back).readings
    assert [side.id for side in again.sides] == [f"s{k + 1}" for k in range(len(again.sides))]
    named = replace(again, sides=tuple(replace(side, id="") for side in again.sides))
    assert named == made
    assert (back.name, back.room, back.clockwise) == (given.name, "r", given.clockwise)
    # and putting them in again changes nothing
    assert put_room(job, None, RoomId("r"), "", again) is job


def test_a_room_that_is_not_there_has_no_sheet():
    assert sheet_of(Job(), "r") is None


# -- words


def test_misclosure_is_said_in_mm():
    found = read(sheet("4", "3", "4.003", "3.004"))
    assert (
        "The sides do not close by 5 mm. The corners took that up; no length was changed.",
        "good",
    ) in closing_words(found)


def test_what_the_heights_make_of_the_ceiling_is_said():
    one = read(keyed(3, keyed(2, keyed(1, keyed(0, KITCHEN, height="2.4"), height="2.4"), height="3"), height="3"))
    assert ("Ceiling: two slopes.", "plain") not in closing_words(one)
    assert "Ceiling: " in " ".join(text for text, _ in closing_words(one))
    level = replace(KITCHEN, middle="")
    slope = read(keyed(3, keyed(2, keyed(1, keyed(0, level, height="2.4"), height="2.4"), height="3"), height="3"))
    assert ("Ceiling: one slope.", "plain") in closing_words(slope)
    assert not any("Ceiling" in text for text, _ in closing_words(read(KITCHEN)))


def test_a_walk_that_closes_says_so():
    assert ("The sides close.", "good") in closing_words(read(sheet("4", "3", "4", "3")))


def test_what_is_missing_is_said_while_the_outline_is_open():
    assert closing_words(read(sheet("4", "", "", "")))[-1][0].startswith("Corners A, B, C, D are not fixed yet")


def test_differences_are_signed_and_a_slip_is_marked():
    found = read(replace(sheet("4", "3", "4.1", "3"), diagonals=(DiagonalCells("AC", "5"), DiagonalCells("BD", "5"))))
    rows = {row.what: row for row in differences(found)}
    assert rows["Side C–D"].read == "4.100"
    assert rows["Side C–D"].off.startswith("−")
    assert rows["Side C–D"].marked
    assert rows["Corner B"].read == "not measured"
    assert rows["Corner B"].off == ""


def test_a_running_dimension_stands_beside_its_side():
    found = read(keyed(0, sheet("4", "3", "", ""), along="4.006"))
    rows = {row.what: row.off for row in differences(found)}
    assert rows == {"Side A–B": "+3 mm", "Running A–B": "−3 mm"} | {f"Corner {c}": "" for c in "ABCD"}


def test_rooms_from_site_are_listed_with_what_is_said_of_them():
    job = put_room(Job(), None, RoomId("a"), "Kitchen", read(KITCHEN).readings)
    square = replace(sheet("4", "3", "4", "3"), diagonals=(DiagonalCells("AC", "5"),))
    job = put_room(job, None, RoomId("b"), "Hall", read(square).readings)
    assert [(room.name, room.says) for room in site_rooms(job)] == [
        ("Kitchen", "corners not measured"),
        ("Hall", "misclosure 0 mm"),
    ]


def test_buttons_and_edits_say_whether_a_room_is_new():
    assert put_words(KITCHEN) == "Put the room into the job"
    assert edit_name(KITCHEN) == "Put Kitchen in from the survey"
    assert put_words(replace(KITCHEN, room="a")) == "Use the new measurements"
    assert edit_name(replace(KITCHEN, room="a")) == "Measure Kitchen again"
