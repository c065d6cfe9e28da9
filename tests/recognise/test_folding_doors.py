"""Folding doors, drawn half open, close the closets that they stand before; leaves sliding along a wall are doors."""

from __future__ import annotations

import math

from drawn import Sheet, two_rooms
from test_rooms_found import area_m2, rooms

from takeoff.plan.model import Job
from takeoff.recognise import propose


def areas(job: Job) -> list[float]:
    return sorted(round(area_m2(r), 2) for r in rooms(job))


def leaves(sheet: Sheet, x: float, y: float, wide: float, layer: str = "FURNITURE") -> Sheet:
    """A pair of leaves on the line at y, each half as wide as the way and 40 thick, its feet at x and 300 beside it."""
    long, out = wide / 2, 150.0
    up = math.sqrt(long**2 - out**2)
    for foot, way in ((x, 1.0), (x + 300, -1.0)):
        tip = foot + way * out, y - up
        side = 40 * up / long, way * 40 * out / long
        corners = [
            (foot, y),
            tip,
            (tip[0] + way * side[0], tip[1] + side[1] * way),
            (foot + way * side[0], y + side[1] * way),
        ]
        for (x0, y0), (x1, y1) in zip(corners, corners[1:] + corners[:1], strict=True):
            sheet.line(x0, y0, x1, y1, layer)
    return sheet


def closet(sheet: Sheet) -> Sheet:
    """A closet of 1.2 × 0.7 m in the corner of the kitchen, with a wall of 0.1 m on one side, open on its front."""
    return sheet.line(1200, 3000, 1200, 2300).line(1200, 2300, 1300, 2300).line(1300, 2300, 1300, 3000)


def test_a_folding_door_between_two_walls_parts_a_closet_from_its_room() -> None:
    """12.0 less the closet's 0.84 and its wall's 0.07 m²."""
    assert areas(propose(leaves(closet(two_rooms()), 20, 2300, 1180).drawing())[0]) == [0.84, 9.0, 11.09]


def test_without_leaves_a_niche_is_its_room_s() -> None:
    assert areas(propose(closet(two_rooms()).drawing())[0]) == [9.0, 11.93]


def test_leaves_that_fit_no_way_close_none() -> None:
    """Leaves of 0.4 m, together 0.8 or 1.6, before a way of 1.2 m."""
    assert areas(propose(leaves(closet(two_rooms()), 20, 2300, 800).drawing())[0]) == [9.0, 11.93]


def test_a_pair_of_leaves_that_part_along_the_wall_is_a_door() -> None:
    """Before a way of 900 between y = 1000 and 1900 two leaves of 500 by 40, drawn half open: each covers 350 of it."""
    sheet = two_rooms(door=False).box(3950, 850, 3990, 1350, "A-DOOR").box(3950, 1550, 3990, 2050, "A-DOOR")
    (storey,) = propose(sheet.drawing())[0].storeys
    assert [(o.kind, o.confidence, round(o.width_mm)) for o in storey.openings] == [("door", "sure", 900)]


def test_two_leaves_at_one_jamb_are_no_such_pair() -> None:
    """They leave the other half of the way open."""
    sheet = two_rooms(door=False).box(3950, 850, 3990, 1350, "A-DOOR").box(4110, 850, 4150, 1350, "A-DOOR")
    (storey,) = propose(sheet.drawing())[0].storeys
    assert [o.confidence for o in storey.openings] != ["sure"]


def wall_with_pairs(sheet: Sheet, x: float, way: float, pairs: list[tuple[float, float]]) -> Sheet:
    """A wall of 200 up to y = 9000 with its corridor's face at x, with pairs of doors of 1500 from each of these
    heights on, whose leaves of 750 and 40 open into the corridor (1) or out of it (-1). ``way``: into the corridor."""
    back, y = x - 200 * way, 0.0
    for start, into in pairs:
        sheet.line(x, y, x, start).line(back, y, back, start).line(x, start, back, start)
        hinge_x, tip_x = x - 100 * way, x - 100 * way + 750 * way * into
        for hinge, turn in ((start, 1), (start + 1500, -1)):
            sheet.box(hinge_x, hinge, tip_x, hinge + 40 * turn, "A-DOOR")
            sheet.arcs.append((tip_x, hinge, hinge_x, start + 750, 0.41421356237 * way * into * turn, "A-DOOR"))
        y = start + 1500
        sheet.line(x, y, back, y)
    return sheet.line(x, y, x, 9000).line(back, y, back, 9000)


def test_pairs_of_doors_on_both_sides_of_a_corridor_do_not_fold_across_it() -> None:
    """A corridor of 3.0 × 9.0 m with a pair of doors in either wall, opposite each other, that open into it, and
    in its left wall, behind a piece of 0.6 m, a pair that opens out of it; rooms of 4.0 × 9.0 m beside."""
    sheet = Sheet().box(-4500, -300, 7500, 9300).word("Store", -2000, 4500).word("Office", 5200, 4500)
    wall_with_pairs(wall_with_pairs(sheet, 0, 1, [(2200, -1), (4300, 1)]), 3000, -1, [(4300, 1)])
    for x0, x1 in ((-4200, -200), (0, 3000), (3200, 7200)):
        sheet.line(x0, 0, x1, 0).line(x0, 9000, x1, 9000)
    sheet.line(-4200, 0, -4200, 9000).line(7200, 0, 7200, 9000).word("Corridor", 1500, 7000)
    assert areas(propose(sheet.drawing())[0]) == [27.0, 36.0, 36.0]


def test_a_leaf_that_hangs_in_the_wall_behind_folds_across_no_way_before_it() -> None:
    """A pantry of 2.5 × 3.0 m whose door of 0.9 m hangs in the wall of 0.2 m at the end of a bay of 0.5 × 1.1 m beside
    a casing; the leaf swings through the bay."""
    sheet = Sheet().box(-300, -300, 6500, 3300).word("Pantry", 1200, 1500).word("Hall", 4800, 1500)
    sheet.line(0, 0, 3000, 0).line(0, 0, 0, 3000).line(0, 3000, 2500, 3000).line(2500, 3000, 2500, 1100)
    sheet.line(2500, 1100, 3000, 1100).line(3000, 0, 3000, 100).line(3000, 1000, 3000, 1100)
    sheet.line(3000, 1000, 3200, 1000).line(3000, 100, 3200, 100).line(3200, 0, 3200, 100).line(3200, 1000, 3200, 3000)
    sheet.line(3200, 0, 6200, 0).line(6200, 0, 6200, 3000).line(6200, 3000, 3200, 3000)
    sheet.box(2600, 1200, 3000, 3000).line(3000, 1100, 3000, 1200)
    sheet.box(3100, 100, 2200, 140, "A-DOOR")
    sheet.arcs.append((3100, 1000, 2200, 100, 0.41421356237, "A-DOOR"))
    # 2.5 × 3.0 and 0.5 × 1.1 m
    assert areas(propose(sheet.drawing())[0]) == [8.05, 9.0]
