"""Sloping ceilings by eaves, pitch and ridge, and by heights at corners; measured as worked by hand."""

from __future__ import annotations

import math

import pytest
from plan_samples import L_SHAPE, box, job, room

from takeoff.errors import InputError
from takeoff.geometry.planes import Height, planes_through
from takeoff.measure import measure
from takeoff.measure.takeoff import RoomTakeoff
from takeoff.plan import edits
from takeoff.plan.edits import height_edits as slopes
from takeoff.plan.edits import part_edits as parts
from takeoff.plan.edits.lookup import room_of
from takeoff.plan.model import Field, Job, Plane, Region, RegionId, RoomId, SideId
from takeoff.plan.readings.walked_room import ceiling_from_heights

R1 = RoomId("r1")
S0, S1, S2, S3 = (SideId(f"s{k}") for k in range(4))


def plain(width: float = 4000, depth: float = 6000) -> Job:
    return job(room(box(width, depth)), height_mm=2400.0)


def taken(a_job: Job) -> RoomTakeoff:
    return measure(a_job).rooms[0]


def planes(a_job: Job) -> tuple[Plane, ...]:
    ceiling = room_of(a_job, R1).ceiling
    assert ceiling is not None
    return ceiling.planes


def test_room_in_the_roof_is_the_one_worked_by_hand():
    # the project's measuring notes, room B: eaves 1.2 along the 6.0 m sides, 45°, level piece at 2.4
    after = slopes.slope_ceiling(plain(), R1, S1, "two", 1200.0, pitch_deg=45.0, flat_mm=2400.0)
    found = taken(after)
    assert found.ceiling_m2 == pytest.approx(2 * 6 * 1.2 * math.sqrt(2) + 9.6)
    assert found.wall_net_m2 == pytest.approx(30.72)
    assert found.internal_corner_m["ceiling"] == pytest.approx(12)


def test_lean_to_by_pitch_and_by_its_high_end_are_the_same():
    pitch = math.degrees(math.atan(0.75))
    by_pitch = slopes.slope_ceiling(plain(4000, 3000), R1, S0, "one", 2000.0, pitch_deg=pitch)
    by_top = slopes.slope_ceiling(plain(4000, 3000), R1, S0, "one", 2000.0, top_mm=4250.0)
    for after in (by_pitch, by_top):
        # 3 m deep, rising 2.25: 3.75 long
        assert taken(after).ceiling_m2 == pytest.approx(4 * 3.75)
        assert taken(after).wall_net_m2 == pytest.approx(4 * 2.0 + 4 * 4.25 + 2 * 3 * 3.125)


def test_ridge_in_the_middle_by_its_height():
    after = slopes.slope_ceiling(plain(), R1, S1, "two", 1500.0, top_mm=3000.0)
    # half of 4.0 m is 2.0, rising 1.5: 2.5 long on both sides
    assert taken(after).ceiling_m2 == pytest.approx(2 * 2.5 * 6)
    assert taken(after).wall_net_m2 == pytest.approx(2 * 6 * 1.5 + 2 * 4 * 2.25)


def test_eaves_of_two_heights_move_the_ridge_by_pitch_and_keep_it_in_the_middle_by_height():
    by_pitch = slopes.slope_ceiling(plain(), R1, S1, "two", 1000.0, pitch_deg=45.0, other_eaves_mm=2000.0)
    # z = 1000 + d meets 2000 + (4000 − d): d = 2500, 3.5 high
    assert taken(by_pitch).height_max_mm == pytest.approx(3500.0)
    by_top = slopes.slope_ceiling(plain(), R1, S1, "two", 1000.0, top_mm=3000.0, other_eaves_mm=2000.0)
    assert taken(by_top).height_max_mm == pytest.approx(3000.0)
    assert taken(by_top).ceiling_m2 == pytest.approx(6 * (math.hypot(2, 2) + math.hypot(2, 1)))


def test_slopes_from_every_wall_meet_over_the_middle():
    after = slopes.slope_ceiling(plain(4000, 4000), R1, S0, "all", 2000.0, top_mm=3500.0)
    # a pyramid: 2.0 run, 1.5 rise, factor 1.25 over 16 m²
    assert taken(after).ceiling_m2 == pytest.approx(20.0, abs=0.02)
    by_pitch = slopes.slope_ceiling(plain(4000, 4000), R1, S0, "all", 2000.0, pitch_deg=math.degrees(math.atan(0.75)))
    assert taken(by_pitch).ceiling_m2 == pytest.approx(20.0)
    with pytest.raises(InputError, match="no external corner"):
        slopes.slope_ceiling(job(room(L_SHAPE)), R1, S0, "all", 2000.0, pitch_deg=30.0)


def test_slopes_that_cannot_be_are_refused():
    with pytest.raises(InputError, match="Type the pitch"):
        slopes.slope_ceiling(plain(), R1, S0, "one", 2000.0)
    with pytest.raises(InputError, match="not upwards"):
        slopes.slope_ceiling(plain(), R1, S0, "one", 2000.0, top_mm=1900.0)
    with pytest.raises(InputError, match="at most 80°"):
        slopes.slope_ceiling(plain(), R1, S0, "one", 2000.0, pitch_deg=90.0)
    with pytest.raises(InputError, match="must be above the eaves"):
        slopes.slope_ceiling(plain(), R1, S0, "one", 2000.0, pitch_deg=30.0, flat_mm=1900.0)
    bowed = job(room(((0, 0, 0.3), (4000, 0), (4000, 3000), (0, 3000))))
    with pytest.raises(InputError, match="straight wall"):
        slopes.slope_ceiling(bowed, R1, S0, "one", 2000.0, pitch_deg=30.0)


def test_slope_that_would_run_below_the_floor_elsewhere_is_refused():
    # from the wall that juts into the L the ceiling falls away behind it
    bent = job(room(L_SHAPE), height_mm=2400.0)
    with pytest.raises(InputError, match="below the floor somewhere"):
        slopes.slope_ceiling(bent, R1, SideId("s2"), "one", 1200.0, pitch_deg=50.0)


def test_lowered_parts_stay_when_the_ceiling_is_sloped():
    part = Region(
        id=RegionId("p1"),
        op="lower",
        planes=(Plane(z_mm=1900.0),),
        outline=((0, 0, 0), (500, 0, 0), (500, 500, 0), (0, 500, 0)),
    )
    before = job(room(box(4000, 6000), ceiling=Field(planes=(Plane(z_mm=2400.0),), regions=(part,))))
    after = slopes.slope_ceiling(before, R1, S1, "two", 1200.0, pitch_deg=45.0)
    assert room_of(after, R1).ceiling.regions == (part,)
    assert room_of(slopes.set_corner_heights(before, R1, {S0: 2500.0}), R1).ceiling.regions == (part,)


# -- heights at corners


def test_one_corner_raised_makes_two_planes_that_meet_in_a_hip():
    after = slopes.set_corner_heights(plain(4000, 3000), R1, {S2: 2700.0})
    assert len(planes(after)) == 2
    assert slopes.corner_heights(after, R1) == pytest.approx({S0: 2400, S1: 2400, S2: 2700, S3: 2400})
    # s1 and s2 end at it: trapezia 3 × (2.4 + 2.7)/2 and 4 × (2.4 + 2.7)/2
    assert taken(after).wall_net_m2 == pytest.approx(4 * 2.4 + 3 * 2.55 + 4 * 2.55 + 3 * 2.4)


def test_one_corner_typed_is_the_ceiling_that_readings_of_it_make():
    # 4 × 3 m, one corner at 3.00: two planes, 2.60 in the mean, on this page and on site
    typed = slopes.set_corner_heights(plain(4000, 3000), R1, {S2: 3000.0})
    heights = (2400.0, 2400.0, 3000.0, 2400.0)
    corners = [Height(x, y, z) for (x, y), z in zip(box(4000, 3000), heights, strict=True)]
    read = ceiling_from_heights(corners)
    assert read is not None
    assert read.sure
    assert read.words == "two slopes"
    assert read.off_mm == pytest.approx(0.0, abs=1e-6)
    assert planes(typed) == read.field.planes


def test_middle_read_is_a_ridge_and_the_other_ridge_is_asked_about():
    # 4 × 3 m, corners at 2.40, the middle at 3.00: a ridge, 2.70 in the mean
    corners = [Height(x, y, 2400.0) for x, y in box(4000, 3000)]
    read = ceiling_from_heights(corners, Height(2000.0, 1500.0, 3000.0))
    assert read is not None
    assert not read.sure
    assert read.words == "two slopes"
    assert read.field.planes == planes_through(corners, Height(2000.0, 1500.0, 3000.0)).planes
    ridge = job(room(box(4000, 3000), ceiling=read.field))
    # 0.6 m high over both gables, of which each has half: mean 2.70
    walls = {4000: 2 * 4 * 2.4 + 2 * 3 * 2.7, 3000: 2 * 3 * 2.4 + 2 * 4 * 2.7}
    assert any(taken(ridge).wall_net_m2 == pytest.approx(net) for net in walls.values())


def test_no_heights_and_more_than_forty_are_refused():
    with pytest.raises(InputError, match="1 to 40 heights"):
        slopes.ceiling_through(plain(), R1, {}, "follow")
    many = tuple((100.0 * math.cos(k), 100.0 * math.sin(k)) for k in (0.14 * n for n in range(44)))
    with pytest.raises(InputError, match="1 to 40 heights"):
        slopes.ceiling_through(job(room(many)), R1, {S0: 2500.0})


def test_one_corner_lowered_makes_a_fold_across():
    after = slopes.set_corner_heights(plain(4000, 3000), R1, {S2: 2100.0})
    assert len(planes(after)) == 2
    assert slopes.corner_heights(after, R1) == pytest.approx({S0: 2400, S1: 2400, S2: 2100, S3: 2400})


def test_second_corner_makes_one_slope_of_it_again():
    one = slopes.set_corner_heights(plain(4000, 3000), R1, {S2: 4650.0})
    both = slopes.set_corner_heights(one, R1, {S3: 4650.0})
    assert len(planes(both)) == 1
    assert taken(both).ceiling_m2 == pytest.approx(4 * 3.75)


def test_three_heights_set_a_plane_and_the_fourth_corner_follows():
    after = slopes.set_corner_heights(plain(4000, 3000), R1, {S0: 2400.0, S1: 2800.0, S2: 3100.0}, "follow")
    assert len(planes(after)) == 1
    # 0.4 along x and 0.3 along y: the fourth is 2.4 + 0.3
    assert slopes.corner_heights(after, R1)[S3] == pytest.approx(2700.0)


def test_one_height_is_level_and_two_rise_from_one_to_the_other():
    level = slopes.set_corner_heights(plain(), R1, {S0: 2600.0}, "follow")
    assert set(slopes.corner_heights(level, R1).values()) == {2600.0}
    rising = slopes.set_corner_heights(plain(), R1, {S0: 2400.0, S1: 2800.0}, "follow")
    assert slopes.corner_heights(rising, R1) == pytest.approx({S0: 2400, S1: 2800, S2: 2800, S3: 2400})


def test_heights_a_few_millimetres_off_are_one_plane_and_the_miss_is_told():
    through, missed = slopes.ceiling_through(plain(), R1, {S2: 2412.0})
    assert len(through.planes) == 1
    # least squares share 12 mm among four corners: 3 each
    assert missed == pytest.approx({S0: -3.0, S1: 3.0, S2: -3.0, S3: 3.0})
    assert through.worst_mm == pytest.approx(3.0)


def test_heights_that_do_not_fit_are_told_with_the_corner():
    # the corner that juts into the L is measured far lower than a ceiling over the others allows
    with pytest.raises(InputError, match=r"corner 3.00, 2.00 the others give 2.40 m, not 2.10 m"):
        slopes.set_corner_heights(job(room(L_SHAPE), height_mm=2400.0), R1, {SideId("s3"): 2100.0})


def test_three_heights_in_one_line_that_do_not_lie_in_it_are_told():
    straight = job(room(((0, 0), (2000, 0), (4000, 0), (4000, 3000), (0, 3000))), height_mm=2400.0)
    with pytest.raises(InputError, match="disagree"):
        slopes.set_corner_heights(straight, R1, {S0: 2400.0, S1: 2200.0, S2: 2400.0}, "follow")


def test_ridge_over_a_gable_corner_by_corner():
    # a gable wall with a corner in its middle: the ridge runs from it to the far gable
    shape = ((0, 0), (2000, 0), (4000, 0), (4000, 6000), (2000, 6000), (0, 6000))
    after = slopes.set_corner_heights(
        job(room(shape), height_mm=1500.0), R1, {SideId("s1"): 3000.0, SideId("s4"): 3000.0}
    )
    assert len(planes(after)) == 2
    assert taken(after).ceiling_m2 == pytest.approx(2 * 2.5 * 6)


# -- levels and build-ups


def test_floor_at_a_level_of_its_own_takes_what_stands_on_it_along():
    walled = parts.dwarf_wall(plain(), R1, (1000, 2050), (3000, 2050), 100.0, 900.0)
    sunk = edits.set_flat_floor(walled, R1, -300.0)
    assert taken(sunk).wall_net_m2 == pytest.approx(20 * 2.7)
    assert taken(sunk).drop_m2 == pytest.approx(taken(walled).drop_m2)
    assert room_of(edits.set_flat_floor(plain(), R1, 0.0), R1).floor is None


def test_screed_and_lining_of_a_whole_storey():
    two = job(room(box(4000, 6000)), room(box(4000, 6000, 5000), "r2"), height_mm=2400.0)
    after = edits.set_storey_build_ups(two, two.storeys[0].id, 60.0, 40.0)
    assert [r.wall_net_m2 for r in measure(after).rooms] == pytest.approx([20 * 2.3, 20 * 2.3])
