"""Labels stand where there is room: clear of the coat's band and of the swings of doors."""

from __future__ import annotations

import msgspec
import pytest
import shapely
from shapely.geometry import box

from takeoff.plan.model import Swing
from takeoff.sheets.sheet_values import PlanOpening
from takeoff.ui.canvas.label_spots import free_boxes, swings

NOTHING = shapely.Polygon()


def test_rectangle_has_one_box_which_is_itself_without_the_band() -> None:
    (spot,) = free_boxes(box(0, 0, 4000, 3000), 100.0, NOTHING)
    assert spot.at == pytest.approx((2000, 1500))
    assert (spot.wide_mm, spot.tall_mm) == pytest.approx((3800, 2800))


def test_every_box_lies_in_the_free_part_of_the_room() -> None:
    room = box(0, 0, 5000, 2000).union(box(0, 0, 3000, 4000))
    covered = box(500, 500, 1400, 1400)
    spots = free_boxes(room, 135.0, covered)
    assert len(spots) > 1
    free = room.buffer(-134.0, join_style="mitre").difference(covered)
    for spot in spots:
        (x, y), wide, tall = spot.at, spot.wide_mm / 2, spot.tall_mm / 2
        assert free.contains(box(x - wide, y - tall, x + wide, y + tall).buffer(-1.0))


def test_no_box_is_wider_and_taller_than_another() -> None:
    room = box(0, 0, 5000, 2000).union(box(0, 0, 3000, 4000))
    spots = free_boxes(room, 135.0, NOTHING)
    for one in spots:
        assert not any(o.wide_mm >= one.wide_mm and o.tall_mm >= one.tall_mm for o in spots if o is not one)


def test_cupboard_that_its_door_fills_leaves_what_is_beside_the_swing() -> None:
    door = PlanOpening(
        id="D1",
        kind="door",
        label="d1",
        sure=True,
        face=((100.0, 0.0, 0.0), (800.0, 0.0, 0.0)),
        far=((100.0, -100.0, 0.0), (800.0, -100.0, 0.0)),
        swings=(Swing(hinge="start"),),
    )
    assert swings([msgspec.structs.replace(door, swings=())]).is_empty
    covered = swings([door])
    assert covered.contains(shapely.points(300.0, 300.0))
    assert not covered.contains(shapely.points(780.0, 680.0))
    spots = free_boxes(box(0, 0, 1100, 900), 0.0, covered)
    assert spots
    assert all(not covered.intersects(shapely.points(*spot.at)) for spot in spots)


def test_room_narrower_than_two_bands_has_no_box() -> None:
    assert free_boxes(box(0, 0, 4000, 200), 135.0, NOTHING) == ()
