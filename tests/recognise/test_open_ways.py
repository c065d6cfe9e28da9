"""The mouth of a passage parts nothing in a plan that draws its leaves."""

from __future__ import annotations

from drawn import Sheet
from test_rooms_found import area_m2, rooms

from takeoff.recognise import propose

QUARTER = 0.41421356237


def passage(*, nib: float, name: str = "", at_corner: bool = False) -> Sheet:
    """A hall of 4000 × 3000 with a passage of 5000 × 1000 beside its lower wall, and rooms of 2200 × 2000 below, with
    doors of 800 that are drawn: one into the hall, two into the passage. The wall of 100 between hall and passage ends
    so much lower than the passage's upper wall. ``at_corner``: the hall's door hangs at the mouth of the passage and
    stands open across most of it."""
    sheet = Sheet().box(-300, -2400, 9400, 3300)
    sheet.line(0, 3000, 4000, 3000).line(0, 0, 0, 3000).line(4000, 3000, 4000, 1000 - nib)
    sheet.line(4000, 1000 - nib, 4100, 1000 - nib).line(4100, 1000 - nib, 4100, 1000)
    sheet.line(4100, 1000, 9100, 1000).line(9100, 1000, 9100, 0)
    end = 0.0
    first = (1900.0, 3150.0) if at_corner else (0.0, 500.0)
    for name_below, x, door in (("Bedroom", *first), ("Study", 4300.0, 4800.0), ("Bath", 6900.0, 7400.0)):
        right, shut = x + 2200.0, door + 800.0
        sheet.line(x, -100, x, -2100).line(x, -2100, right, -2100).line(right, -2100, right, -100)
        sheet.line(x, -100, door, -100).line(door, -100, door, 0).line(end, 0, door, 0)
        sheet.line(shut, 0, shut, -100).line(shut, -100, right, -100).word(name_below, x + 1100, -1500)
        if at_corner and name_below == "Bedroom":
            sheet.line(shut, 0, shut, 800, "A-DOOR")
            sheet.arcs.append((shut, 800, door, 0, QUARTER, "A-DOOR"))
        else:
            sheet.line(door, -100, door, -900, "A-DOOR")
            sheet.arcs.append((door, -900, shut, -100, QUARTER, "A-DOOR"))
        end = shut
    sheet.line(end, 0, 9100, 0).word("Hall", 2000, 1800)
    return sheet.word(name, 6000, 500) if name else sheet


def found(sheet: Sheet) -> dict[str, float]:
    return {r.name: round(area_m2(r), 2) for r in rooms(propose(sheet.drawing())[0])}


BEDS = {"Bedroom": 4.4, "Study": 4.4, "Bath": 4.4}


def test_a_passage_that_opens_in_its_whole_width_is_a_part_of_its_hall() -> None:
    # The hall 4 m × 3 m, the passage 5 m × 1 m, and between them 0.1 m × 0.95 m.
    assert found(passage(nib=50.0)) == {"Hall": 17.09, **BEDS}


def test_a_passage_with_a_name_of_its_own_stays_a_room() -> None:
    assert found(passage(nib=50.0, name="Corridor")) == {"Hall": 12.0, "Corridor": 5.0, **BEDS}


def test_a_passage_behind_a_way_that_has_a_jamb_stays_a_room() -> None:
    assert found(passage(nib=150.0)) == {"Hall": 12.0, "": 5.0, **BEDS}


def test_a_leaf_that_stands_open_across_a_passage_is_no_door_of_it() -> None:
    assert found(passage(nib=50.0, at_corner=True)) == {"Hall": 17.09, **BEDS}
