"""Doors in gaps that the ends of walls do not show are closed by their swings."""

from __future__ import annotations

import math

import numpy as np
import pytest
from drawn import Sheet
from test_rooms_found import area_m2, rooms

from takeoff.recognise import propose
from takeoff.recognise.walls.believed_gaps import judge
from takeoff.recognise.walls.doors_both_ways import with_both_ways
from takeoff.recognise.walls.gap_closures import Bridge
from takeoff.recognise.walls.opening_evidence import Evidence, Swings


def side_by_side(*, swings: bool) -> Sheet:
    """A hall of 6100 × 1900 below two rooms of 3000 × 3000; the partition between these ends within the wall of 100
    between them and the hall, and on both sides of it stands a door of 900."""
    sheet = (
        Sheet().box(-300, -300, 6400, 5300).word("Left", 1500, 3500).word("Right", 4500, 3500).word("Hall", 3000, 900)
    )
    sheet.line(0, 0, 6100, 0).line(6100, 0, 6100, 1900).line(6100, 1900, 4000, 1900).line(4000, 1900, 4000, 2000)
    sheet.line(4000, 2000, 6100, 2000).line(6100, 2000, 6100, 5000).line(6100, 5000, 3100, 5000)
    sheet.line(3100, 5000, 3100, 1940).line(3100, 1940, 3000, 1940).line(3000, 1940, 3000, 5000)
    sheet.line(3000, 5000, 0, 5000).line(0, 5000, 0, 2000).line(0, 2000, 2100, 2000).line(2100, 2000, 2100, 1900)
    sheet.line(2100, 1900, 0, 1900).line(0, 1900, 0, 0)
    if swings:
        sheet.line(3000, 2000, 3000, 2900, "A-DOOR").line(3100, 2000, 3100, 2900, "A-DOOR")
        sheet.arcs.append((3000, 2900, 2100, 2000, 0.41421356237, "A-DOOR"))
        sheet.arcs.append((4000, 2000, 3100, 2900, 0.41421356237, "A-DOOR"))
    return sheet


def found(sheet: Sheet) -> dict[str, float]:
    return {r.name: round(area_m2(r), 2) for r in rooms(propose(sheet.drawing())[0])}


def test_two_doors_beside_a_partition_that_ends_within_the_wall_close_it() -> None:
    # The hall reaches up to the leaves: 1.9 m × 0.1 m more, less the end of the partition, 0.1 m × 0.06 m.
    assert found(side_by_side(swings=True)) == {"Left": 9.0, "Right": 9.0, "Hall": 11.77}


def test_without_their_swings_only_names_close_them_where_other_leaves_are_drawn() -> None:
    sheet = side_by_side(swings=False).line(800, 500, 800, 1300, "A-DOOR")
    sheet.arcs.append((1600, 500, 800, 1300, 0.41421356237, "A-DOOR"))
    assert len(found(sheet)) == 3
    sheet.words = [word for word in sheet.words if word[0] == "Hall"]
    assert len(found(sheet)) == 1


def test_where_no_leaf_is_drawn_they_are_doorways() -> None:
    assert found(side_by_side(swings=False)) == {"Left": 9.0, "Right": 9.0, "Hall": 11.77}


def test_a_swing_beside_the_gap_of_another_door_closes_its_own_way() -> None:
    # A hall of 6000 × 2000 below a room of 6000 × 3000 with a door of 900 from x = 2000 on. A front of glass in it from
    # (3100, 0) to (3100, 1000), has a door of 900 between it and the wall, hung 206 beside the first one's gap.
    sheet = (
        Sheet().box(-300, -300, 6300, 5400).word("Room", 3000, 3500).word("Left", 1500, 900).word("Right", 4500, 900)
    )
    sheet.box(0, 2100, 6000, 5100).ring((0, 0), (6000, 0), (6000, 2000), (0, 2000))
    sheet.segments = [s for s in sheet.segments if not (s[1] == s[3] and s[1] in (2000, 2100))]
    for y in (2000, 2100):
        sheet.line(0, y, 2000, y).line(2900, y, 6000, y)
    for x in (2000, 2900):
        sheet.line(x, 2000, x, 2100)
    sheet.line(2000, 2100, 2000, 3000, "A-DOOR").line(3100, 0, 3100, 1000, "A-GLAZ")
    sheet.arcs.append((2900, 2100, 2000, 3000, 0.41421356237, "A-DOOR"))
    sheet.line(3100, 1950, 4000, 1950, "A-DOOR")
    sheet.arcs.append((3100, 1050, 4000, 1950, 0.41421356237, "A-DOOR"))
    # 3.1 × 2.0 m and 2.9 × 2.0 m
    assert found(sheet) == {"Room": 18.0, "Left": 6.2, "Right": 5.8}


def test_a_leaf_that_is_drawn_against_a_wall_closes_nothing() -> None:
    # A cupboard's swing in a corner of the hall: its leaf runs along one wall, its other end along the other.
    sheet = side_by_side(swings=True).line(0, 0, 900, 0, "A-DOOR")
    sheet.arcs.append((900, 0, 0, 900, 0.41421356237, "A-DOOR"))
    assert found(sheet) == {"Left": 9.0, "Right": 9.0, "Hall": 11.77}


def test_a_door_drawn_a_little_askew_shuts_at_the_corner_across() -> None:
    # Bed 4000 × 4000; its wall ends at the corner of the kitchen, 1000 from a partition that goes on past the door.
    sheet = (
        Sheet().box(-300, -300, 8400, 5300).word("Bed", 2000, 3000).word("Kitchen", 6000, 3500).word("Hall", 5000, 500)
    )
    sheet.ring(
        (0, 0),
        (8100, 0),
        (8100, 2000),
        (4000, 2000),
        (4000, 5000),
        (0, 5000),
        (0, 1000),
        (5500, 1000),
        (5500, 900),
        (0, 900),
    )
    sheet.box(4100, 2100, 8100, 5000)
    # The leaf of 915 hangs 50 above the partition and stands open along it; shut it points 4 mm past the corner.
    sheet.arcs.append((4000, 1960, 3185, 1030, math.tan(math.radians(84.98) / 4), "A-DOOR"))
    # From the partition, 5 mm beside the hinge, to the corner: 0.053 m² of the way go to the bed, as many less to the
    # hall of 8.1 × 0.9 + 2.6 × 0.1 + 4.1 × 1.0.
    assert found(sheet) == {"Bed": 16.05, "Kitchen": 11.6, "Hall": 11.6}


def test_a_door_between_a_wall_and_a_glazed_front_closes_its_room() -> None:
    # 7 m × 4 m, whose lower wall starts at x = 6000: before that glass up to x = 5000, and a leaf of 900 in its frame.
    sheet = Sheet().word("Salon", 3000, 2000)
    sheet.ring(
        *((0, -230), (0, 4000), (7000, 4000), (7000, 0), (6000, 0), (6000, -230)),
        *((7230, -230), (7230, 4230), (-230, 4230), (-230, -230)),
    )
    for y in (-230, -150, -80, 0):
        sheet.line(0, y, 5000, y, "A-GLAZ")
    sheet.line(5000, -230, 5000, 0, "A-GLAZ").line(5950, -115, 5950, -1015, "A-DOOR")
    sheet.arcs.append((5050, -115, 5950, -1015, 0.41421356237, "A-DOOR"))
    for name, x in (("Study", 9000.0), ("Bath", 13000.0)):
        sheet.box(x, 0, x + 3000, 3000).box(x - 230, -230, x + 3230, 3230).word(name, x + 1500, 1500)
    # Down to the shut leaf in the middle of the wall: 1 m × 0.115 m more.
    assert found(sheet) == {"Salon": 28.11, "Study": 9.0, "Bath": 9.0}


def test_a_leaf_shuts_against_a_smaller_one_at_a_glazed_front() -> None:
    # As before, but glass up to x = 4700 and a second leaf of 300 in its frame, which the one of 900 meets at x = 5050.
    sheet = Sheet().word("Salon", 3000, 2000)
    sheet.ring(
        *((0, -230), (0, 4000), (7000, 4000), (7000, 0), (6000, 0), (6000, -230)),
        *((7230, -230), (7230, 4230), (-230, 4230), (-230, -230)),
    )
    for y in (-230, -150, -80, 0):
        sheet.line(0, y, 4700, y, "A-GLAZ")
    sheet.line(4700, -230, 4700, 0, "A-GLAZ").line(5950, -115, 5950, -1015, "A-DOOR")
    sheet.arcs.append((5050, -115, 5950, -1015, 0.41421356237, "A-DOOR"))
    sheet.arcs.append((4750, -415, 5050, -115, 0.41421356237, "A-DOOR"))
    for name, x in (("Study", 9000.0), ("Bath", 13000.0)):
        sheet.box(x, 0, x + 3000, 3000).box(x - 230, -230, x + 3230, 3230).word(name, x + 1500, 1500)
    # 1.3 m × 0.115 m more.
    assert found(sheet) == {"Salon": 28.15, "Study": 9.0, "Bath": 9.0}


def test_pairs_of_doors_side_by_side_in_a_front_close_their_hall() -> None:
    # 8 m × 4 m, whose lower side is glass but for two pairs of 1800 from x = 2200 to x = 5840, with a post of 40
    # between them, which hang in the middle of the front.
    sheet = Sheet().word("Foyer", 4000, 2500)
    sheet.ring((0, -200), (0, 4000), (8000, 4000), (8000, -200), (8200, -200), (8200, 4200), (-200, 4200), (-200, -200))
    for x0, x1 in ((0, 2200), (5840, 8000)):
        for y in (-200, -130, -70, 0):
            sheet.line(x0, y, x1, y, "A-GLAZ")
        sheet.line(x0, -200, x0, 0, "A-GLAZ").line(x1, -200, x1, 0, "A-GLAZ")
    for x, way in ((2200, 1), (4000, -1), (4040, 1), (5840, -1)):
        sheet.line(x, -100, x, -1000, "A-DOOR")
        sheet.arcs.append((x, -1000, x + way * 900, -100, way * 0.41421356237, "A-DOOR"))
    # Down to the shut leaves: 3.64 m × 0.1 m more.
    assert found(sheet) == {"Foyer": 32.36}
    (storey,) = propose(sheet.drawing())[0].storeys
    assert [round(o.width_mm) for o in storey.openings if o.kind == "door"] == [1820, 1820]


def test_a_pair_of_doors_that_swings_both_ways_is_a_door() -> None:
    # 8 m × 4 m, whose lower wall of 200 is open from x = 2200 to x = 4000: each leaf of 900 is drawn open to both
    # sides, on the layer of the walls, with the half circle that it swings over.
    sheet = Sheet().word("Foyer", 6000, 2500)
    sheet.ring(
        *((2200, 0), (0, 0), (0, 4000), (8000, 4000), (8000, 0), (4000, 0), (4000, -200)),
        *((8200, -200), (8200, 4200), (-200, 4200), (-200, -200), (2200, -200)),
    )
    sheet.line(2200, -1000, 2200, 800).line(4000, -1000, 4000, 800)
    sheet.arcs.append((2200, -1000, 2200, 800, 1.0, "A-WALL"))
    sheet.arcs.append((4000, 800, 4000, -1000, 1.0, "A-WALL"))
    assert found(sheet) == {"Foyer": 32.0}
    (storey,) = propose(sheet.drawing())[0].storeys
    assert [(o.kind, round(o.width_mm), o.confidence) for o in storey.openings] == [("door", 1800, "sure")]


def test_the_round_end_of_a_wall_is_no_door_that_swings_both_ways() -> None:
    # A shelf across the half round of a wall, one face about the other: nothing is changed.
    sheet = Sheet().line(0, 0, 1400, 0).line(700, 0, 700, 300)
    for out in (0.0, 100.0):
        sheet.arcs.append((-out, 0, 1400 + out, 0, 1.0, "A-WALL"))
    drawing = sheet.drawing()
    assert with_both_ways(drawing) is drawing


@pytest.mark.parametrize(("off", "kind"), [(205.0, "door"), (300.0, "open")])
def test_a_leaf_hangs_on_the_other_face_of_a_wall_whose_gap_one_line_closes(off: float, kind: str) -> None:
    """A gap of 900 along y = 0; the leaf hangs below its left end and shuts below its right one, or too far off."""
    bridge = Bridge(np.array([(0.0, 0.0, 900.0, 0.0)]), 900.0, 0.0, (0, -1))
    ends = np.array([[(900.0, -off), (0.0, -off - 900.0)]])
    swings = Swings(np.array([(0.0, -off)]), ends, np.array([900.0]), np.array([0]))
    none, boxes = np.zeros((0, 4)), np.zeros((0, 4))
    (gap,) = judge([bridge], Evidence(swings, none, none, boxes, (), (), none), none, single_lines=True)
    assert gap.kind == kind
