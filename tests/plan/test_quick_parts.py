"""Quick parts: each is one edit, and is measured as one works it out by hand. Lengths of rooms in mm."""

from __future__ import annotations

import math
from typing import Any

import pytest
from plan_samples import L_SHAPE, box, job, room, window

from takeoff.errors import InputError
from takeoff.measure import measure
from takeoff.measure.takeoff import RoomTakeoff
from takeoff.plan.check import check
from takeoff.plan.edits import outline_parts
from takeoff.plan.edits import part_edits as parts
from takeoff.plan.edits.lookup import opening_of, room_of, side_curve
from takeoff.plan.model import (
    Behind,
    Border,
    CeilingTreatment,
    Field,
    Job,
    OpeningId,
    Plane,
    Room,
    RoomId,
    Side,
    SideId,
    WallTreatment,
)

R1 = RoomId("r1")
S0, S1, S2, S3 = (SideId(f"s{k}") for k in range(4))


def plain(**given: Any) -> Job:
    """4 × 3 m, 2.4 m high; s0 runs along y = 0, s1 up x = 4000, s2 back, s3 down x = 0."""
    return job(room(box(4000, 3000)), height_mm=2400.0, **given)


def on_wall(a_job: Job, room_id: RoomId, side_id: SideId, at: tuple[float, float]) -> parts.OnWall:
    """The place on that side nearest to a point of the plan."""
    return parts.OnWall(room_id, side_id, side_curve(a_job, room_id, side_id)[1].where(*at)[0])


def taken(a_job: Job) -> RoomTakeoff:
    return measure(a_job).rooms[0]


def expect(a_job: Job, **figures: float) -> None:
    found = taken(a_job)
    known = {name: getattr(found, name) for name in found.__struct_fields__} | found.internal_corner_m
    for name, value in figures.items():
        assert known[name] == pytest.approx(value, abs=1e-9), name


def faces(a_job: Job) -> dict[str, float]:
    return {face.id: round(face.net_m2, 6) for face in taken(a_job).faces}


def errors(a_job: Job) -> list[str]:
    return [f.text for f in check(a_job) if f.severity in ("error", "check")]


def side(a_job: Job, name: str) -> Side:
    own = room_of(a_job, R1)
    return next(s for ring in (own.outline, *own.inner) for s in ring if s.id == name)


# -- boxing in a corner


def test_boxing_round_pipes_takes_its_corner_off_floor_and_ceiling_and_gives_an_arris():
    after = outline_parts.box_corner(plain(), R1, S0, 300.0, 200.0)
    # floor 12 − 0.3 × 0.2; the walls go round it: 14 × 2.4, one arris of 2.4, one inner corner more
    expect(
        after,
        floor_m2=11.94,
        ceiling_m2=11.94,
        perimeter_m=14.0,
        wall_net_m2=33.6,
        external_corner_m=2.4,
        wall_wall=5 * 2.4,
    )
    assert faces(after) == pytest.approx(
        {"s0": 3.7 * 2.4, "s1": 7.2, "s2": 9.6, "s3": 2.8 * 2.4, "s0.2": 0.3 * 2.4, "s0.3": 0.2 * 2.4}
    )
    assert errors(after) == []


def test_boxing_up_to_a_height_is_coated_on_its_sides_and_top():
    after = outline_parts.box_corner(plain(), R1, S0, 300.0, 200.0, 900.0)
    # walls lose 0.5 × 0.9; the boxing's sides give it back, its top 0.06; the floor loses 0.06
    expect(after, floor_m2=11.94, ceiling_m2=12.0, wall_net_m2=33.6 - 0.45, drop_m2=0.45 + 0.06)
    # arrises: the upright one 0.9, the two top edges 0.3 and 0.2
    assert taken(after).external_corner_m == pytest.approx(0.9 + 0.5)
    assert errors(after) == []


def test_windows_beside_boxing_stay_where_they_are_and_one_in_its_way_is_told():
    before = plain(openings=(window(offset_mm=1000.0),))
    after = outline_parts.box_corner(before, R1, S0, 300.0, 200.0)
    assert opening_of(after, OpeningId("w1")).offset_mm == 700.0
    expect(after, openings_m2=1.44)
    with pytest.raises(InputError, match=r"w1 is there, 1.00 to 2.20 m along the wall"):
        outline_parts.box_corner(before, R1, S0, 1100.0, 200.0)
    # the corner at the other end of the wall: its start does not move
    other = outline_parts.box_corner(before, R1, S1, 200.0, 300.0)
    assert opening_of(other, OpeningId("w1")).offset_mm == 1000.0


def test_boxing_longer_than_its_wall_or_at_an_outer_corner_is_refused():
    with pytest.raises(InputError, match=r"3.00 m long and the boxing 3.50 m"):
        outline_parts.box_corner(plain(), R1, S0, 300.0, 3500.0)
    with pytest.raises(InputError, match="external one"):
        outline_parts.box_corner(job(room(L_SHAPE)), R1, SideId("s3"), 300.0, 200.0)
    with pytest.raises(InputError, match="width must be more than 0"):
        outline_parts.box_corner(plain(), R1, S0, 0.0, 200.0)
    with pytest.raises(InputError):
        outline_parts.box_corner(plain(), R1, S0, math.nan, 200.0)


def test_boxing_is_coated_like_its_walls_and_what_lies_behind_them_stays_said():
    bare, outside = WallTreatment(coat=False), (Behind(cls="outside"),)
    sides = room(box(4000, 3000)).outline
    own = (
        Side(id=S0, x_mm=0, y_mm=0, treatment=bare),
        Side(id=S1, x_mm=4000, y_mm=0),
        sides[2],
        Side(id=S3, x_mm=0, y_mm=3000, behind=outside),
    )
    before = job(Room(id=R1, outline=own), height_mm=2400.0)
    after = outline_parts.box_corner(before, R1, S0, 300.0, 200.0)
    # s0.2 stands before the bare wall s0, s0.3 before the outside wall s3
    assert faces(after)["s0.2"] == 0.0
    assert faces(after)["s0.3"] == pytest.approx(0.48)
    assert [b.cls for b in side(after, "s0.3").behind] == ["outside"]
    assert side(after, "s0.2").behind == ()


# -- chimney breast


def test_chimney_breast_with_two_alcoves():
    after = outline_parts.chimney_breast(plain(), R1, S0, 1200.0, 1400.0, 350.0)
    # two cheeks of 0.35 more; two arrises, two inner corners more; floor less 1.4 × 0.35
    expect(
        after,
        floor_m2=12 - 0.49,
        ceiling_m2=12 - 0.49,
        perimeter_m=14.7,
        wall_net_m2=14.7 * 2.4,
        external_corner_m=4.8,
        wall_wall=6 * 2.4,
        wall_ceiling=14.7,
    )
    lengths = {face.id: round(face.length_m, 6) for face in taken(after).faces}
    assert lengths["s0"] == 1.2
    assert sorted(lengths.values()) == [0.35, 0.35, 1.2, 1.4, 1.4, 3.0, 3.0, 4.0]
    assert errors(after) == []


def test_chimney_breast_in_a_corner_has_one_alcove():
    for start in (0.0, 2600.0):
        after = outline_parts.chimney_breast(plain(), R1, S0, start, 1400.0, 350.0)
        expect(after, floor_m2=12 - 0.49, perimeter_m=14.0, external_corner_m=2.4, wall_wall=5 * 2.4)


def test_chimney_breast_between_windows_keeps_them_in_place():
    one, other = window(offset_mm=100.0, width_mm=900.0), window(id=OpeningId("w2"), offset_mm=2800.0)
    after = outline_parts.chimney_breast(plain(openings=(one, other)), R1, S0, 1200.0, 1400.0, 350.0)
    kept, moved = opening_of(after, OpeningId("w1")), opening_of(after, OpeningId("w2"))
    assert (kept.side, kept.offset_mm) == ("s0", 100.0)
    # the right alcove begins at 2.60
    assert moved.side != "s0"
    assert moved.offset_mm == pytest.approx(200.0)
    expect(after, openings_m2=0.9 * 1.2 + 1.44)
    with pytest.raises(InputError, match="w2 is there"):
        outline_parts.chimney_breast(plain(openings=(one, other)), R1, S0, 1500.0, 1400.0, 350.0)


def test_ceiling_band_along_a_wall_runs_round_its_breast():
    banded = CeilingTreatment(only=(Border(width_mm=500, sides=(S0,)),))
    before = job(room(box(4000, 3000), ceiling_treatment=banded), height_mm=2400.0)
    expect(before, ceiling_m2=2.0)
    after = outline_parts.chimney_breast(before, R1, S0, 1200.0, 1400.0, 350.0)
    # the band is 0.5 wide before the breast, and in the alcoves 0.5 wide on their back and cheeks:
    # 4 × 0.5 moved out by 0.35 over 1.4, and 0.35 more on both sides, 0.5 wide beside the cheeks
    expect(after, ceiling_m2=2.6 * 0.5 + 1.4 * 0.5 + 2 * 0.5 * 0.35)


# -- units and tiles


def test_units_along_a_wall_are_left_out_up_to_their_height():
    start, end = (on_wall(plain(), R1, S0, (x, 0)) for x in (500, 3000))
    after = parts.fitted_units(plain(), end, start, 900.0)
    assert faces(after)["s0"] == pytest.approx(9.6 - 2.5 * 0.9)
    expect(after, excluded_m2=2.25, wall_net_m2=33.6 - 2.25)
    assert errors(after) == []


def test_units_round_a_corner_go_the_shorter_way():
    start = on_wall(plain(), R1, S0, (2500, 0))
    end = on_wall(plain(), R1, S1, (4000, 1800))
    for one, other in ((start, end), (end, start)):
        after = parts.fitted_units(plain(), one, other, 2100.0, 1400.0)
        assert faces(after) == pytest.approx({"s0": 9.6 - 1.5 * 0.7, "s1": 7.2 - 1.8 * 0.7, "s2": 9.6, "s3": 7.2})


def test_units_under_a_window_take_nothing_off_twice():
    before = plain(openings=(window(offset_mm=1000.0, sill_mm=800.0, head_mm=2000.0),))
    start, end = (on_wall(before, R1, S0, (x, 0)) for x in (0, 4000))
    after = parts.fitted_units(before, start, end, 900.0)
    # 4 × 0.9 less the 1.2 × 0.1 that is window already
    expect(after, excluded_m2=3.6 - 0.12, wall_net_m2=33.6 - 1.44 - 3.48)


def test_units_of_no_width_or_upside_down_are_refused():
    place = on_wall(plain(), R1, S0, (500, 0))
    with pytest.raises(InputError, match="have no width"):
        parts.fitted_units(plain(), place, place, 900.0)
    other = on_wall(plain(), R1, S0, (900, 0))
    with pytest.raises(InputError, match="upper edge must be above the lower edge"):
        parts.fitted_units(plain(), place, other, 900.0, 1000.0)


def test_tiles_to_a_height_on_one_wall_and_round_the_room():
    after = parts.tile_walls(plain(), R1, (S0,), 1200.0)
    expect(after, excluded_m2=4.8, wall_net_m2=33.6 - 4.8)
    after = parts.tile_walls(after, R1, (S0, S1, S2, S3), 2000.0)
    # s0 was tiled already: it gets the new height
    expect(after, excluded_m2=14 * 2.0, wall_net_m2=14 * 0.4)
    assert errors(after) == []


def test_tiles_stand_on_the_finished_floor():
    before = job(room(box(4000, 3000), floor_build_up_mm=60.0), height_mm=2400.0)
    expect(before, wall_net_m2=14 * 2.34)
    expect(parts.tile_walls(before, R1, (S0,), 1200.0), excluded_m2=4.8, wall_net_m2=14 * 2.34 - 4.8)


# -- bulkhead, soffit


def test_bulkhead_along_a_wall_is_the_one_worked_by_hand():
    # the project's measuring notes, room C: 600 wide and 300 deep along a 4000 wall
    after = parts.bulkhead(plain(), R1, S2, 600.0, 300.0)
    expect(
        after,
        ceiling_m2=12,
        drop_m2=1.2,
        wall_net_m2=32.04,
        external_corner_m=4,
        wall_wall=9,
        wall_ceiling=14,
        drop=4.6,
    )
    assert errors(after) == []


def test_bulkhead_runs_up_to_a_wall_that_is_not_square():
    skew = job(room(((0, 0), (4000, 0), (5000, 3000), (0, 3000))), height_mm=2400.0)
    after = parts.bulkhead(skew, R1, S2, 600.0, 300.0)
    # 600 down from y 3000 the skewed wall is 200 nearer: 5.0 above, 4.8 below
    expect(after, drop_m2=4.8 * 0.3)
    assert errors(after) == []


def test_bulkhead_that_would_reach_the_floor_or_crosses_another_is_refused():
    with pytest.raises(InputError, match=r"only 2.40 m above the floor"):
        parts.bulkhead(plain(), R1, S0, 600.0, 2400.0)
    with pytest.raises(InputError, match=r"would cross what is there \(bulkhead\)"):
        parts.bulkhead(parts.bulkhead(plain(), R1, S0, 600.0, 300.0), R1, S1, 600.0, 300.0)
    with pytest.raises(InputError, match="there already"):
        parts.bulkhead(parts.bulkhead(plain(), R1, S0, 600.0, 300.0), R1, S0, 600.0, 200.0)


def test_bulkhead_hangs_from_the_lined_ceiling():
    lined = job(room(box(4000, 3000), ceiling_build_up_mm=50.0), height_mm=2450.0)
    expect(parts.bulkhead(lined, R1, S2, 600.0, 300.0), drop_m2=1.2, wall_net_m2=32.04, height_max_mm=2400)


def test_soffit_under_a_stair():
    # 900 wide over a run of 3.0 m, from 0.15 m at the end of s0 up to the ceiling: 2.25 over 3, so 3.75 long
    after = parts.stair_soffit(plain(), R1, S0, 4000.0, "start", 900.0, 3000.0, 150.0)
    triangle = 3.0 * 2.25 / 2.0
    expect(after, ceiling_m2=12 - 2.7 + 3.75 * 0.9, drop_m2=triangle)
    assert faces(after) == pytest.approx({"s0": 9.6 - triangle, "s1": 7.2 - 0.9 * 2.25, "s2": 9.6, "s3": 7.2})
    # the string's lower edge is an arris along the slope
    assert taken(after).external_corner_m == pytest.approx(3.75)
    assert errors(after) == []


def test_soffit_that_stops_below_the_ceiling_and_one_cut_off_by_the_wall():
    after = parts.stair_soffit(plain(), R1, S0, 0.0, "end", 900.0, 3000.0, 0.0, 2250.0)
    # 0.15 are left above its upper end
    expect(after, ceiling_m2=12 - 2.7 + 3.75 * 0.9, drop_m2=3.0 * (2.4 + 0.15) / 2.0 + 0.9 * 0.15)
    short = parts.stair_soffit(plain(), R1, S0, 2000.0, "end", 900.0, 3000.0, 0.0, 2250.0)
    # only 2.0 of its run are in the room: it is 1.5 high at the wall
    expect(short, ceiling_m2=12 - 1.8 + 2.5 * 0.9)
    assert faces(short)["s1"] == pytest.approx(7.2 - 0.9 * 0.9)


def test_soffit_that_does_not_rise_is_refused():
    with pytest.raises(InputError, match="not upwards"):
        parts.stair_soffit(plain(), R1, S0, 0.0, "end", 900.0, 3000.0, 2400.0)
    with pytest.raises(InputError, match="No wall remains"):
        parts.stair_soffit(plain(), R1, S0, 0.0, "start", 900.0, 3000.0, 0.0)


# -- dwarf wall, dormer


def test_dwarf_wall_standing_free_is_the_one_worked_by_hand():
    # the project's measuring notes, room F
    before = job(room(box(5000, 4000)), height_mm=2400.0)
    after = parts.dwarf_wall(before, R1, (1000, 2050), (4000, 2050), 100.0, 900.0)
    expect(
        after, floor_m2=19.7, wall_net_m2=43.2, drop_m2=5.88, ceiling_m2=20, external_corner_m=9.8, floor_edge_m=24.2
    )
    capped = parts.dwarf_wall(before, R1, (1000, 2050), (4000, 2050), 100.0, 900.0, coat_top=False)
    expect(capped, drop_m2=5.58)
    assert errors(after) == []


def test_dwarf_wall_from_a_wall_out_into_the_room():
    after = parts.dwarf_wall(plain(), R1, (2000, 0), (2000, 1500), 120.0, 1000.0)
    # two sides of 1.5 and one end of 0.12; its top 1.5 × 0.12; the wall behind it loses 0.12
    expect(after, drop_m2=3.12 + 0.18, wall_net_m2=33.6 - 0.12)


def test_dwarf_wall_too_high_or_outside_is_refused():
    with pytest.raises(InputError, match="reaches the ceiling"):
        parts.dwarf_wall(plain(), R1, (1000, 1000), (2000, 1000), 100.0, 2400.0)
    with pytest.raises(InputError, match=r"outside room 1"):
        parts.dwarf_wall(plain(), R1, (6000, 1000), (9000, 1000), 100.0, 900.0)


def in_the_roof() -> Job:
    """4 × 5 m under one slope: 1.0 m high at x = 0, 5.0 at x = 4000."""
    return job(room(box(4000, 5000), ceiling=Field(planes=(Plane(z_mm=1000.0, slope_x=1.0),))))


def test_dormer_in_a_slope_is_the_one_worked_by_hand():
    # the project's measuring notes, room E: 1.5 wide, its front 0.5 in, its ceiling at 2.3
    after = parts.dormer(in_the_roof(), R1, (900, 1750), 1500.0, 2300.0, 500.0)
    root2 = math.sqrt(2)
    expect(
        after,
        ceiling_m2=18.8 * root2 + 1.2,
        wall_net_m2=54,
        drop_m2=1.84,
        external_corner_m=1.5 + 2 * 0.8 * root2 + 1.5,
        wall_wall=12,
        wall_ceiling=10 + 8 * root2,
        drop=4.7,
    )
    assert errors(after) == []


def test_dormer_flush_with_the_eaves_wall_makes_that_wall_higher():
    after = parts.dormer(in_the_roof(), R1, (400, 1750), 1500.0, 2300.0)
    # its front is the wall itself: 1.5 × 1.3 more; cheeks of ½ × 1.3 × 1.3
    expect(after, wall_net_m2=54 + 1.95, drop_m2=1.69)
    assert taken(after).ceiling_m2 == pytest.approx((20 - 1.95) * math.sqrt(2) + 1.95)


def test_dormer_is_refused_where_it_cannot_be():
    with pytest.raises(InputError, match="level here"):
        parts.dormer(plain(), R1, (1000, 1000), 1500.0, 2300.0)
    with pytest.raises(InputError, match=r"slope is 1.50 m high at the front"):
        parts.dormer(in_the_roof(), R1, (900, 1750), 1500.0, 1400.0, 500.0)
    low = Field(planes=(Plane(z_mm=1000.0, slope_x=1.0), Plane(z_mm=2200.0)))
    with pytest.raises(InputError, match=r"behind the dormer is only 2.20 m"):
        parts.dormer(job(room(box(4000, 5000), ceiling=low)), R1, (900, 1750), 1500.0, 2300.0)


def test_parts_leave_everything_else_the_very_same():
    before = job(room(box(4000, 3000)), room(box(4000, 3000, 5000), "r2"))
    after = parts.bulkhead(before, R1, S0, 600.0, 300.0)
    assert after.storeys[0].rooms[1] is before.storeys[0].rooms[1]
    assert after.storeys[0].openings is before.storeys[0].openings


def test_part_for_which_there_is_no_height_is_refused():
    low = parts.dwarf_wall(plain(), R1, (500, 1500), (3500, 1500), 100.0, 2000.0)
    with pytest.raises(InputError, match="Bulkhead: no room"):
        parts.bulkhead(low, R1, S0, 2000.0, 600.0)


def test_tiles_stop_at_a_low_ceiling_and_shelves_above_it_are_refused():
    eaves = Field(planes=(Plane(z_mm=1000.0, slope_x=1.0),))
    under = job(room(box(4000, 3000), ceiling=eaves))
    after = parts.tile_walls(under, R1, (S3,), 1200.0)
    # the wall at x = 0 is 1.0 high
    assert faces(after)["s3"] == 0.0
    assert errors(after) == []
    start, end = (on_wall(under, R1, S3, (0, y)) for y in (500, 2500))
    with pytest.raises(InputError, match="Units: the ceiling there is below their lower edge"):
        parts.fitted_units(under, start, end, 2000.0, 1400.0)


def test_bulkhead_in_a_wedge_is_cut_to_it():
    wedge = job(room(((0, 0), (3000, 0), (0, 1500))), height_mm=2400.0)
    after = parts.bulkhead(wedge, R1, S0, 500.0, 300.0)
    # 500 in, the wedge is 2.0 m wide
    expect(after, drop_m2=2.0 * 0.3)
    assert errors(after) == []


def test_breast_does_not_swallow_a_part_that_is_there():
    boxed = outline_parts.box_corner(plain(), R1, S0, 300.0, 200.0, 900.0)
    with pytest.raises(InputError, match="Remove that part first"):
        outline_parts.chimney_breast(boxed, R1, S0, 0.0, 1400.0, 350.0)
