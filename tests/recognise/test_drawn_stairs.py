"""Stair wells whose treads and rails are drawn on the layer of walls are one room."""

from __future__ import annotations

import numpy as np
import shapely
from drawn import Sheet, two_rooms
from test_rooms_found import area_m2, rooms

from takeoff.geometry.noding import Graph
from takeoff.recognise import propose
from takeoff.recognise.walls.bounding_lines import prepare
from takeoff.recognise.walls.drawn_stairs import Flight, flights, treads
from takeoff.recognise.walls.enclosed_faces import Faces
from takeoff.recognise.walls.layer_roles import guess
from takeoff.recognise.walls.room_spaces import find_spaces


def well(rails: tuple[float, ...]) -> Sheet:
    """The hall of 3000 × 3000 with two flights side by side, from x = 5000 to 6200, a landing at both ends, and lines
    between them. The landings' edges run from wall to wall at 4700 and 6500, one going of 300 from the treads."""
    sheet = two_rooms()
    for k in range(5):
        x = 5000 + 300 * k
        sheet.line(x, 0, x, min(rails)).line(x, max(rails), x, 3000)
    for x in (4700, 6500):
        sheet.line(x, 0, x, 3000)
    for y in rails:
        sheet.line(4950, y, 6250, y)
    for x in (4950, 6250):
        sheet.line(x, min(rails), x, max(rails))
    return sheet


def found(sheet: Sheet) -> dict[str, float]:
    return {r.name: round(area_m2(r), 2) for r in rooms(propose(sheet.drawing())[0])}


def test_flights_rails_and_the_edges_of_landings_part_no_stair_well() -> None:
    assert found(well((900, 950, 1050, 1100))) == {"Kitchen": 12.0, "Hall": 9.0}


def test_a_wall_between_two_flights_stays() -> None:
    # 1300 mm long and 200 mm thick, free on all sides: 0.26 m² off 9.
    assert found(well((900, 1100))) == {"Kitchen": 12.0, "Hall": 8.74}


def test_the_wall_that_a_flight_starts_at_stays() -> None:
    sheet = two_rooms()
    sheet.line(5000, 0, 5000, 3000).line(5100, 0, 5100, 3000)
    for k in range(1, 6):
        sheet.line(5100 + 300 * k, 0, 5100 + 300 * k, 3000)
    # A partition of 100 at 5000 parts the hall into 900 and 2000 mm.
    assert sorted(round(area_m2(r), 2) for r in rooms(propose(sheet.drawing())[0])) == [2.7, 6.0, 12.0]


def test_a_landing_between_two_flights_parts_no_stair_well() -> None:
    """The hall of 3000 × 3000 with a wall of 200 × 2000 between two flights of six treads, from its right wall to
    1000 mm short of the left one, which a plain gap would close: 0.4 m² off 9."""
    sheet = two_rooms().line(5100, 2000, 7100, 2000).line(5100, 2200, 7100, 2200).line(5100, 2000, 5100, 2200)
    for k in range(6):
        x = 5250 + 260 * k
        sheet.line(x, 0, x, 2000, layer="A-STRS").line(x, 2200, x, 3000, layer="A-STRS")
    sheet.words = [word for word in sheet.words if word[0] != "Hall"]
    sheet.word("Stair", 5200, 700).word("Landing", 5200, 2600)
    assert found(sheet) == {"Kitchen": 12.0, "Landing / Stair": 8.6}


def test_arrows_breaks_and_the_parts_of_treads_beside_them_part_no_stair_well() -> None:
    """Up the first flight, round the landing, and on up the second, which a break cuts off: all on the layer of
    walls but for the treads of the first."""
    sheet = two_rooms()
    for k in range(6):
        x = 5650 + 260 * k
        sheet.line(x, 1600, x, 3000, layer="A-STRS").line(x, 0, x, 1400 if k < 3 else 1400 - 350 * (k - 2))
    sheet.line(7000, 2300, 4700, 2300).line(4700, 2300, 4700, 700).line(4700, 700, 6600, 700)
    assert found(sheet.line(6100, 1600, 7100, 0)) == {"Kitchen": 12.0, "Hall": 9.0}


def areas(sheet: Sheet) -> list[float]:
    return sorted(round(area_m2(r), 2) for r in rooms(propose(sheet.drawing())[0]))


def test_a_steep_stair_with_a_turned_step_is_a_room_though_no_door_leads_in() -> None:
    # A partition of 100 parts 1000 × 3000 off the hall; ten treads at goings of 200, then a step turned on the landing.
    sheet = two_rooms().line(6000, 0, 6000, 3000).line(6100, 0, 6100, 3000).line(6100, 2000, 7100, 3000)
    for k in range(1, 11):
        sheet.line(6100, 200 * k, 7100, 200 * k)
    # 1.0 × 3.0, and 1.9 × 3.0 of the hall.
    assert areas(sheet) == [3.0, 5.7, 12.0]


def test_the_wall_that_turns_the_corner_at_the_foot_of_a_stair_stays() -> None:
    # A flight of 1000 between walls that end at 5500: there the wall beside it turns off, and its face goes on in the
    # line of the first tread.
    sheet = two_rooms().word("Stair", 6300, 400)
    sheet.line(5500, 0, 5500, 1100).line(5500, 1000, 7100, 1000).line(5500, 1100, 7100, 1100)
    for k in range(1, 6):
        sheet.line(5500 + 250 * k, 0, 5500 + 250 * k, 1000)
    # 1.6 × 1.0; the hall without it and its wall: 9.0 − 1.6 × 1.1.
    assert areas(sheet) == [1.6, 7.24, 12.0]


def test_a_face_that_crosses_itself_beside_a_stair_ends_nothing() -> None:
    """One face of 2000 × 2000 and one that is a bow of two triangles of 1000 × 2000, one line between them."""
    bow = shapely.Polygon([(2000, 0), (4000, 2000), (4000, 0), (2000, 2000)])
    xy = np.array([(2000.0, 0.0), (2000.0, 2000.0)])
    polygons = np.array([shapely.box(0, 0, 2000, 2000), bow])
    faces = Faces(
        Graph(xy, np.array([[0, 1]]), np.array([0])),
        polygons,
        np.array([0]),
        np.array([1]),
        shapely.area(polygons),
        shapely.length(polygons),
        np.zeros(2, bool),
        np.full(2, -1),
    )
    flight = Flight(
        np.arange(5), np.array([500.0, 500.0]), np.array([1.0, 0.0]), np.array([0.0, 1.0]), (0, 1000), (0, 1000)
    )
    spaces, _ = find_spaces(faces, [], np.zeros((0, 2)), np.array([True]), True, np.zeros(0, bool), (flight,))
    assert len(spaces) >= 1


def test_lines_that_lie_farther_along_one_after_the_other_are_no_stair() -> None:
    """Forty lines of 1000, 250 apart, each 24 farther along: no two at the ends lie over each other, so that none
    covers what all cover."""
    rows = [(24.0 * k, 250.0 * k, 24.0 * k + 1000.0, 250.0 * k) for k in range(40)]
    sheet = Sheet()
    for row in rows:
        sheet.line(*row)
    lines = prepare(sheet.drawing(), guess(sheet.drawing()))
    assert not treads(lines, np.ones(len(lines.xy), bool)).any()


def test_steps_as_wide_as_a_front_are_a_flight_where_they_are_many() -> None:
    steps = [(0.0, 400.0 * k, 4900.0, 400.0 * k) for k in range(6)]
    assert flights(np.array(steps)).tolist() == [0] * 6
    assert flights(np.array(steps[:5])).tolist() == [-1] * 5


def flight_between(ends: bool) -> int:
    """How many of eight treads of 1000, 250 apart, are told for treads between two lines that end at the first of
    them, as faces of walls do that have their ends drawn in its line (``ends``), or in the corners of a room."""
    sheet = Sheet().line(4000, 1600, 6000, 1600).line(4000, 2600, 6000, 2600)
    if ends:
        for y in (1400, 2600):
            sheet.line(4000, y, 4000, y + 200).line(4000, y if y < 2000 else y + 200, 6000, y if y < 2000 else y + 200)
    for k in range(8):
        sheet.line(4000 + 250 * k, 1600, 4000 + 250 * k, 2600)
    lines = prepare(sheet.drawing(), guess(sheet.drawing()))
    return int(treads(lines, np.ones(len(lines.xy), bool)).sum())


def test_a_first_tread_between_the_ends_of_two_walls_is_no_wall() -> None:
    assert flight_between(ends=True) == 8


def test_a_line_in_the_corners_of_a_room_may_be_its_wall() -> None:
    assert flight_between(ends=False) == 7
