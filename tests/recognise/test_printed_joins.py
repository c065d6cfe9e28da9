"""What lies behind the front of a stage belongs to the hall whose printed area includes it, and a duct behind a hole in
a room's wall does not where the printed area leaves it out."""

from __future__ import annotations

import numpy as np
import pytest
from drawn import Sheet, two_rooms
from test_rooms_found import area_m2, rooms

from takeoff.geometry.noding import node
from takeoff.recognise import propose
from takeoff.recognise.walls.enclosed_faces import classify
from takeoff.recognise.walls.printed_joins import join_behind_by_print


def stage(printed: str) -> Sheet:
    """The room of 4.0 × 3.0 m with a front of 0.1 m from wall to wall, 0.8 m before its left wall."""
    return two_rooms().line(800, 0, 800, 3000).line(900, 0, 900, 3000).word(printed, 1500, 1200)


@pytest.mark.parametrize(
    ("printed", "areas"), [("12.00 m²", [9.0, 12.0]), ("9.30 m²", [9.0, 9.3]), ("11.70 m²", [9.0, 9.3])]
)
def test_a_part_behind_a_front_is_of_the_room_whose_printed_area_includes_it(printed: str, areas: list[float]) -> None:
    """3.1 × 3.0 and 0.8 × 3.0 m, the front between them 0.3 m²: without it the sum is 11.7 m², which nobody measures.
    By itself the part behind it, into which no way leads, is no room."""
    assert sorted(round(area_m2(r), 2) for r in rooms(propose(stage(printed).drawing())[0])) == areas


def test_a_room_with_a_word_of_its_own_stays() -> None:
    sheet = stage("12.00 m²").word("Store", 400, 1500)
    found = {r.name: round(area_m2(r), 2) for r in rooms(propose(sheet.drawing())[0])}
    assert found == {"Kitchen": 9.3, "Store": 2.4, "Hall": 9.0}


def washroom(printed: str) -> Sheet:
    """Two parts of 3.0 × 3.0 and 2.7 × 3.0 m with a way of 0.9 m in the wall of 0.2 m between them, a door of 0.9 m
    from the second one into a hall of 3.0 × 3.0 m, and below it a duct of 2.7 × 1.0 m behind a hole of 0.6 m."""
    sheet = Sheet().box(-300, -1500, 9400, 3300).word("Washroom", 1500, 2000).word(printed, 1500, 1500)
    sheet.word("Hall", 7600, 2000)
    for x in (3000, 5900):
        for low, high in ((0, 1000), (1900, 3000)):
            sheet.line(x, low, x, high).line(x + 200, low, x + 200, high)
        sheet.line(x, 1000, x + 200, 1000).line(x, 1900, x + 200, 1900)
    for x0, x1 in ((0, 3000), (3200, 5900), (6100, 9100)):
        sheet.line(x0, 3000, x1, 3000)
    sheet.line(0, 0, 3000, 0).line(0, 0, 0, 3000).line(6100, 0, 9100, 0).line(9100, 0, 9100, 3000)
    for x0, x1 in ((3200, 4200), (4800, 5900)):
        sheet.line(x0, 0, x1, 0).line(x0, -200, x1, -200)
    sheet.line(4200, -200, 4200, 0).line(4800, -200, 4800, 0)
    sheet.line(3200, -200, 3200, -1200).line(3200, -1200, 5900, -1200).line(5900, -1200, 5900, -200)
    sheet.line(6000, 1000, 6900, 1000, "A-DOOR")
    sheet.arcs.append((6900, 1000, 6000, 1900, 0.41421356237, "A-DOOR"))
    return sheet


def test_a_duct_that_the_printed_area_leaves_out_is_no_niche_of_the_room() -> None:
    """9.0 and 8.1 m² and the floor of the way, 0.18 m²."""
    found = {r.name: round(area_m2(r), 2) for r in rooms(propose(washroom("17.28 m²").drawing())[0])}
    assert found["Washroom"] == 17.28


def test_a_niche_that_the_printed_area_includes_is_the_room_s() -> None:
    """2.7 m² and the floor of the hole, 0.12 m², more."""
    found = {r.name: round(area_m2(r), 2) for r in rooms(propose(washroom("20.10 m²").drawing())[0])}
    assert found["Washroom"] == 20.1


def test_lines_that_enclose_nothing_have_no_spaces_to_join() -> None:
    """Of the cuts of a plan by its pens one may close nothing at all."""
    lines = np.array([[0.0, 0.0, 4000.0, 0.0], [0.0, 3000.0, 4000.0, 3000.0]])
    assert join_behind_by_print([], classify(node(lines), [], np.zeros((0, 2))), {}) == []
