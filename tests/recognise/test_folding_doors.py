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
