"""What is closed, but has no way in or hardly a wall, is told and is no room; cubicles belong to their washroom."""

from __future__ import annotations

from drawn import Sheet, two_rooms
from test_rooms_found import area_m2, codes, rooms

from takeoff.recognise import propose


def row(more: float = 0.0) -> Sheet:
    """Five rooms of 3000 × 3000 in a row, 9.0 m² each, with a doorway of 900 between each two, and behind the last a
    closed one, ``more`` wide."""
    names = ("Kitchen", "Hall", "Bedroom", "Office", "Studio")
    end = 3100 * len(names) - 100 + (more + 100 if more else 0.0)
    sheet = Sheet().box(-300, -300, end + 300, 3300)
    for k, name in enumerate(names):
        x = 3100.0 * k
        sheet.word(name, x + 1500, 1500)
        if k < len(names) - 1:
            for low, high in ((0, 1000), (1900, 3000)):
                sheet.line(x + 3000, low, x + 3000, high).line(x + 3100, low, x + 3100, high)
            for y in (1000, 1900):
                sheet.line(x + 3000, y, x + 3100, y)
        for y in (0, 3000):
            sheet.line(x, y, x + 3000, y)
    sheet.line(0, 0, 0, 3000).line(15400, 0, 15400, 3000)
    if more:
        sheet.box(15500, 0, 15500 + more, 3000)
    return sheet


def found(sheet: Sheet) -> tuple[list[tuple[str, float]], set[str]]:
    job, findings = propose(sheet.drawing())
    return sorted((r.name, round(area_m2(r), 2)) for r in rooms(job)), set(codes(findings))


ROOMS = [("Bedroom", 9.0), ("Hall", 9.0), ("Kitchen", 9.0), ("Office", 9.0), ("Studio", 9.0)]


def test_a_pond_with_its_name_in_it_is_told_and_is_no_room() -> None:
    named, told = found(row(2000).word("Pond", 16500, 1500))
    assert named == ROOMS
    assert "named-without-way-in" in told


def test_what_has_a_number_or_its_area_printed_stays_without_a_way_in() -> None:
    for said in ("B 12", "6.00 m²"):
        named, told = found(row(2000).word("Store", 16500, 2000).word(said, 16500, 1000))
        assert len(named) == 6, said
        assert "named-without-way-in" not in told


def test_a_yard_without_a_word_is_none_however_large_it_is() -> None:
    named, told = found(row(5000))
    assert named == ROOMS
    assert "spaces-without-way-in" in told


def test_a_balcony_behind_its_railing_is_told_and_is_no_room() -> None:
    """Of 3000 × 1200 before the first room: 3000 of 8400 of its border is wall."""
    sheet = row().line(0, -300, 0, -1500).line(0, -1500, 3000, -1500).line(3000, -1500, 3000, -300)
    named, told = found(sheet.word("Balcony", 1500, -900))
    assert named == ROOMS
    assert "spaces-hardly-walled" in told


def test_a_parking_bay_with_its_number_is_told_and_is_no_room() -> None:
    """Of 3000 × 6000 before the first room: 3000 of 18000 of its border is wall."""
    sheet = row().line(0, -300, 0, -6300).line(0, -6300, 3000, -6300).line(3000, -6300, 3000, -300)
    named, told = found(sheet.word("Car", 1500, -3000).word("3", 1500, -4500))
    assert named == ROOMS
    assert "spaces-hardly-walled" in told


def washroom(thick: float) -> Sheet:
    """The hall of 3000 × 3000 with a cubicle of 1000 × 1400 in its corner, behind walls of ``thick`` and a door of
    700 that opens inwards."""
    sheet = two_rooms()
    x, y = 6100 - thick, 1400 + thick
    for low, high in ((0.0, 400.0), (1100.0, 1400.0)):
        sheet.line(6100, low, 6100, high).line(x, low, x, high if high < 1400 else y)
    sheet.line(6100, 1400, 7100, 1400).line(x, y, 7100, y)
    for jamb in (400.0, 1100.0):
        sheet.line(x, jamb, 6100, jamb)
    sheet.line(6100, 400, 6800, 400, "A-DOOR")
    sheet.arcs.append((6800, 400, 6100, 1100, 0.41421356237, "A-DOOR"))
    return sheet


def test_a_cubicle_behind_panels_is_a_part_of_its_washroom() -> None:
    assert found(washroom(50))[0] == [("Hall", 9.0), ("Kitchen", 12.0)]


def test_what_stands_behind_walls_is_a_room_of_its_own_however_small() -> None:
    # 9.0 less 1.4 within and less 0.1 × (1.5 + 1.0) of wall.
    assert found(washroom(100))[0] == [("", 1.4), ("Hall", 7.35), ("Kitchen", 12.0)]
