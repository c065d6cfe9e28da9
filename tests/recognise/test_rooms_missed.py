"""Rooms of drawings whose layers say little: doors without leaves, columns that are filled, outlines of rooms."""

from __future__ import annotations

import numpy as np
from drawn import Sheet
from test_rooms_found import area_m2, rooms

from takeoff.geometry.noding import Graph
from takeoff.recognise import propose
from takeoff.recognise.walls.believed_gaps import Gap, quad_of
from takeoff.recognise.walls.enclosed_faces import enclose, with_bridges
from takeoff.recognise.walls.gap_closures import Bridge

QUARTER = 0.41421356237


def found(sheet: Sheet) -> list[float]:
    return sorted(round(area_m2(r), 2) for r in rooms(propose(sheet.drawing())[0]))


def two_by_a_door(layer: str = "0", *, end: bool = True) -> Sheet:
    """Rooms of 4000 × 3000 and 3000 × 3000, the wall of 100 between them with a door of 900 at the upper side."""
    sheet = Sheet().box(-300, -300, 7400, 3300, layer).word("Left", 1500, 1000).word("Right", 5000, 1000)
    sheet.line(0, 0, 4000, 0, layer).line(4000, 0, 4000, 2100, layer)
    sheet.line(4100, 2100, 4100, 0, layer).line(4100, 0, 7100, 0, layer).line(7100, 0, 7100, 3000, layer)
    sheet.line(7100, 3000, 0, 3000, layer).line(0, 3000, 0, 0, layer)
    return sheet.line(4000, 2100, 4100, 2100, layer) if end else sheet


def test_a_quarter_circle_alone_is_a_door_where_it_shuts_at_the_end_of_a_wall() -> None:
    sheet = two_by_a_door()
    sheet.arcs.append((3100, 3000, 4000, 2100, QUARTER, "0"))
    # 4.0 × 3.0 and 3.0 × 3.0: the arc about the wall's upper end is the swing and cuts nothing off.
    assert found(sheet) == [9.0, 12.0]
    assert [o.kind for o in propose(sheet.drawing())[0].storeys[0].openings] == ["door"]


def test_the_round_of_a_corner_shower_is_no_door() -> None:
    sheet = two_by_a_door()
    sheet.arcs.append((3100, 3000, 4000, 2100, QUARTER, "0"))
    sheet.arcs.append((6200, 0, 7100, 900, -QUARTER, "0"))
    assert [o.kind for o in propose(sheet.drawing())[0].storeys[0].openings] == ["door"]


def test_a_wall_whose_end_is_drawn_as_a_piece_of_the_swing_ends_there() -> None:
    sheet = two_by_a_door(end=False)
    sheet.arcs.append((3100, 3000, 4000, 2100, QUARTER, "0"))
    sheet.arcs.append((4000, 2100, 4100, 2100, 0.024, "0"))
    assert found(sheet) == [9.0, 12.0]


def test_a_wall_behind_a_leaf_that_stands_open_stays_a_wall() -> None:
    # The wall between both rooms stops 100 above the hall below them; its end is 825 from the pier above.
    sheet = Sheet().box(-300, -300, 7400, 5300, "0").word("Left", 1000, 4000).word("Right", 6000, 4000)
    sheet.word("Hall", 3000, 1000)
    sheet.ring((0, 0), (7100, 0), (7100, 5000), (4100, 5000), (4100, 2000), (4000, 2000), (4000, 2825), layer="0")
    sheet.segments.pop()
    sheet.line(4000, 2825, 3900, 2825, "0").line(3900, 2825, 3900, 5000, "0").line(3900, 5000, 0, 5000, "0")
    sheet.line(0, 5000, 0, 2100, "0").line(0, 2100, 3000, 2100, "0").line(3000, 2100, 3000, 2000, "0")
    sheet.line(3000, 2000, 0, 2000, "0").line(0, 2000, 0, 0, "0")
    sheet.line(4000, 2000, 4000, 3000, "0")
    sheet.arcs.append((4000, 3000, 3000, 2000, QUARTER, "0"))
    # left 4.0 × 2.9 less 0.1 × 2.175; hall and right are one: 7.1 × 2.0 and 3.0 × 3.0
    assert found(sheet) == [11.38, 23.2]


def test_columns_that_are_told_by_their_filling_stand_in_the_walls() -> None:
    # One room between four columns, its walls ending at them, and beside it four whose walls are closed.
    sheet = Sheet().word("Studio", 2000, 1000)
    for x in (0, 4000):
        for y in (0, 3000):
            sheet.box(x - 200, y - 200, x + 200, y + 200, "Column hatch")
        sheet.box(x - 100, 200, x + 100, 2800, "0").box(200, 3 * x / 4 - 100, 3800, 3 * x / 4 + 100, "0")
    for k in range(4):
        sheet.box(6000 + 2100 * k, 0, 8000 + 2100 * k, 2000, "0").word(f"Store {k}", 7000 + 2100 * k, 1000)
    sheet.box(5900, -100, 14400, 2100, "0")
    # 3.8 × 2.8 less a corner of 0.1 × 0.1 at each of four columns
    assert found(sheet) == [4.0] * 4 + [10.6]


def test_outlines_of_rooms_are_the_rooms_where_nothing_else_tells_them() -> None:
    sheet = Sheet().box(-400, -400, 8000, 4400, "OUTLINE")
    sheet.box(0, 0, 4000, 4000, "ROOMS").box(4300, 0, 7600, 1800, "ROOMS").box(4300, 2000, 7600, 4000, "ROOMS")
    assert found(sheet) == [5.94, 6.6, 16.0]


def test_walls_that_are_told_go_before_outlines_of_rooms() -> None:
    sheet = two_by_a_door("A-WALL").box(-150, -150, 4050, 3150, "A-AREA").box(4050, -150, 7250, 3150, "A-AREA")
    sheet.arcs.append((3100, 3000, 4000, 2100, QUARTER, "A-DOOR"))
    assert found(sheet) == [9.0, 12.0]


def row_of_three(sheet: Sheet, y: float) -> Sheet:
    """Three rooms of 3000 × 3000 with doors of 900 in the walls of 100 between them."""
    low, high = [(0.0, y)], [(0.0, y + 3000)]
    for x in (3000.0, 6100.0):
        low += [(x, y), (x, y + 1000), (x + 100, y + 1000), (x + 100, y)]
        high += [(x, y + 3000), (x, y + 1900), (x + 100, y + 1900), (x + 100, y + 3000)]
        sheet.line(x, y + 1000, x - 900, y + 1000, "A-DOOR")
        sheet.arcs.append((x, y + 1900, x - 900, y + 1000, QUARTER, "A-DOOR"))
    sheet.ring(*low, (9200, y), (9200, y + 3000), *reversed(high))
    return sheet.box(-300, y - 300, 9500, y + 3300)


def test_a_detail_that_is_titled_beside_a_plan_with_doors_takes_nothing_from_it() -> None:
    sheet = row_of_three(row_of_three(Sheet(), 0), 8000).word("WALL SECTION", 4000, 12000)
    assert found(sheet) == [9.0] * 6


def test_a_wall_whose_faces_are_drawn_twice_is_no_flight_of_stairs() -> None:
    # Rooms of 4000 × 3600 and 3000 × 3600, the wall of 250 between them 2700 long from the door up.
    sheet = Sheet().box(-300, -300, 7550, 3900, "0").word("Left", 1500, 1000).word("Right", 5500, 1000)
    for _ in range(2):
        sheet.line(4000, 900, 4000, 3600, "0").line(4250, 900, 4250, 3600, "0")
    sheet.line(4000, 900, 4250, 900, "0").line(4250, 3600, 7250, 3600, "0").line(7250, 3600, 7250, 0, "0")
    sheet.line(7250, 0, 0, 0, "0").line(0, 0, 0, 3600, "0").line(0, 3600, 4000, 3600, "0")
    assert found(sheet) == [10.8, 14.4]


def test_a_hair_between_a_wall_and_a_column_leaves_no_slit_where_gaps_are_closed() -> None:
    # A room of 3000 × 3000 whose corner lies 0.06 above the column's face, joined to it; one gap is closed in the
    # room's left wall, another ends at the column.
    corners = [(-200, 0), (0, 0), (0, 0.06), (0, 1000), (0, 2000), (0, 3000), (3000, 3000), (3000, 0.06), (550, 0)]
    edges = np.array([(0, 1), (1, 8), (1, 2), (2, 3), (4, 5), (5, 6), (6, 7), (7, 2)])
    graph = Graph(np.array(corners, float), edges, np.array([0, 0, -1, 1, 2, 3, 4, 5]))
    gaps = []
    for line in ((0, 1000, 0, 2000), (-200, 0, -200, -500)):
        bridge = Bridge(np.array([line], float), 1000.0, 0.0, (-1, -1))
        gaps.append(Gap(bridge, "window", True, ("glass",), -1, quad_of(bridge)))
    assert [round(p.area / 1e6, 2) for p in enclose(with_bridges(graph, gaps))[0]] == [9.0]


def in_front_of_a_closet(tip: float) -> Sheet:
    """A room of 4000 × 3000 with a recess of 800 × 900 in a corner, beside a stub of 100, and two lines of 450 from the
    recess' front that end ``tip`` apart."""
    inner = [(0, 0), (4000, 0), (4000, 2000), (3200, 2000), (3200, 2100), (4000, 2100), (4000, 3000), (0, 3000)]
    sheet = Sheet().box(-300, -300, 4300, 3300).ring(*inner)
    return sheet.line(3200, 2100, 2765, 2217, "A-FURN").line(3200, 2334, 2765, 2217 + tip, "A-FURN")


def test_two_leaves_that_fold_shut_the_front_of_a_closet() -> None:
    # 0.8 × 0.9 and, without it and the stub of 0.8 × 0.1, the rest of 4.0 × 3.0
    assert found(in_front_of_a_closet(0)) == [0.72, 11.2]


def test_lines_that_do_not_meet_are_no_leaves_of_a_closet() -> None:
    assert found(in_front_of_a_closet(300)) == [11.92]


def test_two_leaves_that_fold_make_a_plain_gap_between_wall_ends_a_door() -> None:
    sheet = (
        two_by_a_door("A-WALL").line(4100, 3000, 4100, 2900).line(4000, 2900, 4100, 2900).line(4000, 2900, 4000, 3000)
    )
    # the gap is 800 wide, each leaf 400
    sheet.line(4000, 2100, 3614, 2204, "A-FURN").line(4000, 2308, 3614, 2204, "A-FURN")
    (door,) = propose(sheet.drawing())[0].storeys[0].openings
    assert (door.kind, door.confidence, round(door.width_mm)) == ("door", "sure", 800)


def test_rails_of_lamps_part_no_rooms_though_the_numbers_of_lamps_lie_more_evenly_between_them() -> None:
    # Eight lamps in each of two rooms of 4.0 × 3.0 m, in rows on both sides of a rail on a layer of fittings.
    sheet = Sheet().box(-300, -300, 8400, 3300, "0").box(0, 0, 4000, 3000, "0").box(4100, 0, 8100, 3000, "0")
    for k, left in enumerate((0, 4100)):
        sheet.line(left, 1500, left + 4000, 1500, "Light fittings")
        for n in range(8):
            sheet.word(f"L{k}{n + 1}", left + 500 + n // 2 * 1000, 800 + n % 2 * 1400)
    assert found(sheet) == [12.0, 12.0]
