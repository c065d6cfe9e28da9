"""Rooflights placed, sized, moved and left bare by hand; sizes as one measures them in the ceiling."""

from __future__ import annotations

import math

import pytest
from plan_samples import box, job, room

from takeoff.errors import InputError
from takeoff.measure import measure
from takeoff.plan import edits
from takeoff.plan.check import check
from takeoff.plan.model import Field, Job, OpeningId, Plane, Rooflight, RoomId

R1, LIGHT = RoomId("r1"), OpeningId("r1")
HALF_PITCH = Field(planes=(Plane(z_mm=1000.0, slope_x=1.0),))
"""45°, rising with x."""


def level() -> Job:
    """4 × 3 m, 2.4 m high."""
    return job(room(box(4000, 3000)), height_mm=2400.0)


def sloped() -> Job:
    return job(room(box(4000, 3000), ceiling=HALF_PITCH))


def outline(a_job: Job) -> list[tuple[float, float]]:
    return [(round(x, 6), round(y, 6)) for x, y, _ in a_job.storeys[0].rooflights[0].outline]


def size(a_job: Job) -> tuple[float, float]:
    found = edits.rooflight_size(a_job, LIGHT)
    assert found is not None
    return found


def test_rooflight_in_a_level_ceiling_lies_square_to_the_longest_wall() -> None:
    after = edits.place_rooflight(level(), R1, (2000.0, 1500.0), 800.0, 1000.0, 250.0)
    assert sorted(outline(after)) == [(1600, 1000), (1600, 2000), (2400, 1000), (2400, 2000)]
    assert size(after) == (800.0, 1000.0)
    taken = measure(after).rooms[0]
    assert taken.ceiling_m2 == pytest.approx(12.0 - 0.8)
    assert taken.reveal_m2 == pytest.approx(2 * (0.8 + 1.0) * 0.25)
    assert check(after) == ()


def test_rooflight_in_a_slope_is_shorter_in_plan_than_up_the_slope() -> None:
    after = edits.place_rooflight(sloped(), R1, (1500.0, 1500.0), 800.0, 1000.0, 100.0)
    half = 500.0 * math.cos(math.radians(45.0))
    xs, ys = zip(*outline(after), strict=True)
    assert (min(xs), max(xs)) == (pytest.approx(1500.0 - half), pytest.approx(1500.0 + half))
    assert (min(ys), max(ys)) == (1100.0, 1900.0)
    assert size(after) == (pytest.approx(800.0), pytest.approx(1000.0))
    bare = measure(sloped()).rooms[0].ceiling_m2
    assert measure(after).rooms[0].ceiling_m2 == pytest.approx(bare - 0.8)


def test_sizes_are_set_about_the_middle_each_by_itself() -> None:
    placed = edits.place_rooflight(sloped(), R1, (1500.0, 1500.0), 800.0, 1000.0)
    wider = edits.set_rooflight(placed, LIGHT, width_mm=1200.0)
    assert size(wider) == (pytest.approx(1200.0), pytest.approx(1000.0))
    longer = edits.set_rooflight(wider, LIGHT, length_mm=1400.0, depth_mm=300.0)
    assert size(longer) == (pytest.approx(1200.0), pytest.approx(1400.0))
    light = edits.rooflight_of(longer, LIGHT)
    assert light.depth_mm == 300.0
    assert sum(x for x, _, _ in light.outline) / 4.0 == pytest.approx(1500.0)


def test_outline_that_begins_up_the_slope_keeps_its_order() -> None:
    drawn = ((1000.0, 1000.0, 0.0), (1600.0, 1000.0, 0.0), (1600.0, 1400.0, 0.0), (1000.0, 1400.0, 0.0))
    before = edits.add_rooflight(sloped(), Rooflight(id=LIGHT, room=R1, outline=drawn))
    # its first side runs up the slope: it is 0.4 wide and 0.6 × √2 long
    assert size(before) == (pytest.approx(400.0), pytest.approx(600.0 * math.sqrt(2.0)))
    after = edits.set_rooflight(before, LIGHT, width_mm=500.0)
    assert outline(after) == [(1000, 950), (1600, 950), (1600, 1450), (1000, 1450)]


def test_shaft_is_left_bare_and_coated_and_nothing_new_is_the_same_job() -> None:
    placed = edits.place_rooflight(level(), R1, (2000.0, 1500.0), 800.0, 1000.0, 250.0)
    bare = edits.set_rooflight(placed, LIGHT, coat=False)
    assert measure(bare).rooms[0].reveal_m2 == 0.0
    assert edits.set_rooflight(bare, LIGHT, coat=True) == placed
    assert edits.set_rooflight(placed, LIGHT, coat=True, depth_mm=250.0) is placed
    assert edits.set_opening_mark(placed, LIGHT, "RL7").storeys[0].rooflights[0].mark == "RL7"


def test_rooflight_moves_in_plan_and_stays_in_its_room() -> None:
    placed = edits.place_rooflight(level(), R1, (2000.0, 1500.0), 800.0, 1000.0)
    moved = edits.move_rooflight(placed, LIGHT, (500.0, -200.0))
    assert sorted(outline(moved)) == [(2100, 800), (2100, 1800), (2900, 800), (2900, 1800)]
    with pytest.raises(InputError, match="would leave its room"):
        edits.move_rooflight(placed, LIGHT, (0.0, 1100.0))
    assert edits.move_rooflight(placed, LIGHT, (0.0, 0.0)) == placed


def test_rooflight_that_cannot_be_is_refused() -> None:
    placed = edits.place_rooflight(level(), R1, (2000.0, 1500.0), 800.0, 1000.0)
    with pytest.raises(InputError, match="There is a rooflight already"):
        edits.place_rooflight(placed, R1, (2500.0, 1500.0), 800.0, 1000.0)
    with pytest.raises(InputError, match="would leave its room"):
        edits.place_rooflight(level(), R1, (100.0, 1500.0), 800.0, 1000.0)
    with pytest.raises(InputError, match="must be more than 0"):
        edits.set_rooflight(placed, LIGHT, width_mm=0.0)
    with pytest.raises(InputError, match="the depth of its shaft 0 or more"):
        edits.set_rooflight(placed, LIGHT, depth_mm=-1.0)
    with pytest.raises(InputError, match="has no rooflight"):
        edits.set_rooflight(placed, OpeningId("x"), depth_mm=1.0)


def test_rooflight_of_another_shape_has_a_shaft_and_no_width() -> None:
    drawn = ((1000.0, 1000.0, 0.0), (2000.0, 1000.0, 0.0), (1500.0, 1600.0, 0.0))
    before = edits.add_rooflight(level(), Rooflight(id=LIGHT, room=R1, outline=drawn))
    assert edits.rooflight_size(before, LIGHT) is None
    assert edits.rooflight_of(edits.set_rooflight(before, LIGHT, depth_mm=200.0), LIGHT).depth_mm == 200.0
    with pytest.raises(InputError, match="not a rectangle"):
        edits.set_rooflight(before, LIGHT, width_mm=500.0)
