"""Windows from one side wall of a room to the other, without a wall end beside them."""

from __future__ import annotations

from drawn import Sheet
from test_rooms_found import area_m2, rooms

from takeoff.recognise import propose


def terrace(*offs: float, deep: float = 4000.0) -> Sheet:
    """A room of 5000 × ``deep`` between side walls of 200 that end in its front, 200 below the room, and one of
    5000 × 4000 above it behind a wall of 200; lines from side wall to side wall so far above the ends of the walls."""
    sheet, top = Sheet(), deep + 4200.0
    sheet.line(0, -200, 0, deep).line(0, deep, 5000, deep).line(5000, deep, 5000, -200).line(5000, -200, 5200, -200)
    sheet.line(5200, -200, 5200, top + 200).line(5200, top + 200, -200, top + 200).line(-200, top + 200, -200, -200)
    sheet.line(-200, -200, 0, -200).box(0, deep + 200, 5000, top)
    for off in offs:
        sheet.line(0, off - 200, 5000, off - 200, "lines")
    return sheet.word("Bedroom", 2500, deep + 2000)


def found(sheet: Sheet) -> list[float]:
    return sorted(round(area_m2(r), 1) for r in rooms(propose(sheet.drawing())[0]))


def test_a_window_from_wall_to_wall_closes_its_room() -> None:
    # The inner line lies 60 below the room: 5 m × 4.06 m.
    assert found(terrace(20.0, 80.0, 140.0)) == [20.0, 20.3]
    kinds = [o.kind for s in propose(terrace(20.0, 80.0, 140.0).drawing())[0].storeys for o in s.openings]
    assert kinds == ["window"]


def test_a_bench_before_the_window_is_no_part_of_it() -> None:
    assert found(terrace(20.0, 80.0, 140.0, 395.0)) == [20.0, 20.3]


def test_two_lines_are_no_window_and_a_balcony_s_rail_closes_no_room() -> None:
    assert found(terrace(20.0, 80.0)) == [20.0]
    assert found(terrace(20.0, 80.0, 140.0, deep=1500.0)) == [20.0]
