"""Rooms and piers drawn by hand, rooms parted and joined: areas close, and what stands stays put."""

from __future__ import annotations

import math

import msgspec
import pytest
from plan_samples import L_SHAPE, box, job, room, window

from takeoff.errors import InputError
from takeoff.geometry.rings import ring_area, ring_curves
from takeoff.measure import measure
from takeoff.plan import edits
from takeoff.plan.check import check
from takeoff.plan.model import (
    Border,
    CeilingTreatment,
    Exclusion,
    Field,
    Job,
    OpeningId,
    Plane,
    Readings,
    ReadSide,
    Region,
    RegionId,
    Rooflight,
    RoomId,
    SideId,
    WallTreatment,
)

replace = msgspec.structs.replace
R1, R2 = RoomId("r1"), RoomId("r2")


def rectangle(width, depth, x=0.0, y=0.0):
    return tuple((px, py, 0.0) for px, py in box(width, depth, x, y))


def ceiling_m2(a_job: Job) -> float:
    """The ceilings' coated area in all rooms."""
    rooms = measure(a_job).rooms
    return sum(s.net_m2 for taken in rooms for s in taken.surfaces if s.kind == "ceiling")


def rings_of(a_room):
    return [tuple((s.x_mm, s.y_mm, s.bulge) for s in r) for r in (a_room.outline, *a_room.inner)]


def area_m2(a_job: Job, room_id: RoomId) -> float:
    return sum(ring_area(r) for r in rings_of(edits.room_of(a_job, room_id))) / 1e6


def place_of(a_job: Job, opening_id: str) -> tuple[float, float]:
    """Where the middle of an opening is in the building."""
    opening = edits.opening_of(a_job, OpeningId(opening_id))
    host = edits.room_of(a_job, opening.room)
    for sides in (host.outline, *host.inner):
        curves = ring_curves([(s.x_mm, s.y_mm, s.bulge) for s in sides])
        for side, curve in zip(sides, curves, strict=True):
            if side.id == opening.side:
                return curve.at(opening.offset_mm + opening.width_mm / 2)
    raise AssertionError(f"{opening_id} stands on no side")


def errors(a_job: Job) -> list[str]:
    return [f.text for f in check(a_job) if f.severity == "error"]


# -- drawing


def test_first_room_of_an_empty_job_brings_a_storey_of_assumed_height() -> None:
    drawn = edits.draw_room(Job(), None, rectangle(4000, 3000))
    (storey,) = drawn.storeys
    assert storey.height_source == "assumed"
    assert storey.rooms[0].name == "Room 1"
    assert measure(drawn).rooms[0].floor_m2 == pytest.approx(12.0)
    again = edits.draw_room(drawn, None, rectangle(1000, 3000, 4100))
    assert [r.name for r in again.storeys[0].rooms] == ["Room 1", "Room 2"]


def test_outline_drawn_clockwise_is_turned_with_its_arcs_and_sources() -> None:
    half_round = ((0, 0, 0), (0, 3000, 0), (4000, 3000, 0.0), (4000, 0, -1.0))
    drawn = edits.draw_room(Job(), None, half_round, ("typed", "drawn", "typed", "drawn"))
    made = drawn.storeys[0].rooms[0]
    assert ring_area(rings_of(made)[0]) == pytest.approx(12e6 + math.pi * 2000**2 / 2)
    sources = {(s.x_mm, s.y_mm): s.source for s in made.outline}
    assert sources == {(0, 3000): "typed", (0, 0): "drawn", (4000, 0): "typed", (4000, 3000): "drawn"}


@pytest.mark.parametrize("corners", [
    ((0, 0), (4000, 3000), (4000, 0), (0, 3000)),
    ((0, 0), (4000, 0)),
    ((0, 0), (4000, 0), (8000, 0)),
    ((0, 0), (math.nan, 0), (0, 10)),
])  # fmt: skip
def test_outline_that_is_no_room_is_refused(corners) -> None:
    with pytest.raises(InputError):
        edits.draw_room(Job(), None, tuple((x, y, 0.0) for x, y in corners))


def test_pier_stands_free_and_its_walls_are_measured() -> None:
    whole = job(room(box(5000, 4000)))
    with_pier = edits.add_pier(whole, R1, rectangle(400, 400, 2000, 2000))
    assert area_m2(with_pier, R1) == pytest.approx(20 - 0.16)
    before, after = (measure(j).rooms[0].wall_gross_m2 for j in (whole, with_pier))
    assert after - before == pytest.approx(1.6 * 2.4)
    assert not errors(with_pier)
    pier = edits.room_of(with_pier, R1).inner[0]
    assert edits.remove_pier(with_pier, R1, pier[0].id) == whole


@pytest.mark.parametrize("where", [(4800, 1000), (6000, 0), (0, 1000), (1900, 1900)])
def test_pier_against_a_wall_or_round_another_is_refused(where) -> None:
    whole = edits.add_pier(job(room(box(5000, 4000))), R1, rectangle(200, 200, 2000, 2000))
    with pytest.raises(InputError, match="pier"):
        edits.add_pier(whole, R1, rectangle(400, 400, *where))


# -- arcs


def test_side_bent_out_of_the_room_keeps_its_window_in_the_middle() -> None:
    whole = job(room(box(4000, 3000)), openings=(window(offset_mm=1400.0),))
    bent = edits.bend_side(whole, R1, SideId("s0"), 2000.0)
    assert area_m2(bent, R1) == pytest.approx(12 + math.pi * 4 / 2)
    assert place_of(bent, "w1") == pytest.approx((2000, -2000))
    straight = edits.bend_side(bent, R1, SideId("s0"), 0.0)
    assert rings_of(edits.room_of(straight, R1)) == rings_of(edits.room_of(whole, R1))
    assert place_of(straight, "w1") == pytest.approx((2000, 0))


def test_arc_that_would_cross_another_side_is_refused() -> None:
    with pytest.raises(InputError, match="cross"):
        edits.bend_side(job(room(box(4000, 1000))), R1, SideId("s0"), -1500.0)
    with pytest.raises(InputError, match="at most half"):
        edits.bend_side(job(room(box(4000, 1000))), R1, SideId("s0"), 2100.0)


# -- parting


def test_wall_of_100_takes_its_own_area_from_the_room() -> None:
    parted = edits.split_room(job(room(box(5000, 4000))), R1, (3000, 0), (3000, 4000))
    assert area_m2(parted, R1) == pytest.approx(2.95 * 4)
    assert area_m2(parted, R2) == pytest.approx(1.95 * 4)
    left, right = (edits.room_of(parted, name) for name in (R1, R2))
    assert {s.kind for s in (*left.outline, *right.outline)} == {"wall"}
    assert not errors(parted)


def test_open_side_measures_both_parts_as_the_whole() -> None:
    whole = job(room(box(5000, 4000)))
    parted = edits.split_room(whole, R1, (3000, 0), (3000, 4000), "open")
    assert area_m2(parted, R1) == pytest.approx(12)
    assert area_m2(parted, R2) == pytest.approx(8)
    gross = sum(r.wall_gross_m2 for r in measure(parted).rooms)
    assert gross == pytest.approx(measure(whole).rooms[0].wall_gross_m2)
    assert not errors(parted)


def test_openings_exclusions_and_regions_stay_where_they_are() -> None:
    tiles = Exclusion(id="t", outline=((3500, 0, 0), (4500, 0, 0), (4500, 1000, 0), (3500, 1000, 0)))
    beam = Region(id=RegionId("beam"), op="lower", planes=(Plane(z_mm=2200),), outline=rectangle(5000, 300, 0, 1000))
    own = room(box(5000, 4000), ceiling=Field(planes=(Plane(z_mm=2400),), regions=(beam,)))
    first = replace(own.outline[0], treatment=WallTreatment(exclusions=(tiles,)))
    own = replace(own, outline=(first, *own.outline[1:]))
    light = Rooflight(id=OpeningId("l"), room=R1, outline=rectangle(500, 500, 4000, 2000))
    near, far = window(offset_mm=1000.0), window(id=OpeningId("w2"), offset_mm=3500.0)
    whole = job(own, openings=(near, far), rooflights=(light,))
    parted = edits.split_room(whole, R1, (3000, 0), (3000, 4000))
    for name in ("w1", "w2"):
        assert place_of(parted, name) == pytest.approx(place_of(whole, name))
    assert [o.room for o in parted.storeys[0].openings] == [R1, R2]
    assert parted.storeys[0].rooflights[0].room == R2
    right = edits.room_of(parted, R2)
    tiled = next(s for s in right.outline if s.treatment and s.treatment.exclusions)
    assert [u + tiled.x_mm for u, _, _ in tiled.treatment.exclusions[0].outline][:2] == [3500, 4500]
    areas = [abs(ring_area(edits.room_of(parted, r).ceiling.regions[0].outline)) / 1e6 for r in (R1, R2)]
    assert areas == pytest.approx([2.95 * 0.3, 1.95 * 0.3])
    assert not errors(parted)


def test_line_from_corner_to_corner_needs_no_new_corners() -> None:
    parted = edits.split_room(job(room(L_SHAPE)), R1, (3000, 2000), (3000, 0), "open")
    assert area_m2(parted, R1) + area_m2(parted, R2) == pytest.approx(16)
    assert len(edits.room_of(parted, R1).outline) == 4
    assert not errors(parted)


def test_ends_short_of_the_sides_are_carried_on_to_them() -> None:
    parted = edits.split_room(job(room(box(5000, 4000))), R1, (3000, 500), (3000, 3500), "open")
    assert area_m2(parted, R2) == pytest.approx(8)


def test_arc_met_twice_by_one_line() -> None:
    bow = room(((0, 0), (4000, 0, 1.0), (4000, 4000), (0, 4000)))
    parted = edits.split_room(job(bow), R1, (5000, 0), (5000, 4000), "open")
    total = area_m2(parted, R1) + area_m2(parted, R2)
    assert total == pytest.approx(16 + math.pi * 2)
    assert not errors(parted)


def test_line_through_a_window_a_pier_or_beside_the_room_is_refused() -> None:
    whole = job(room(box(5000, 4000)), openings=(window(offset_mm=2500.0),))
    with pytest.raises(InputError, match="meets a window: divide"):
        edits.split_room(whole, R1, (3000, 0), (3000, 4000))
    beside = edits.split_room(whole, R1, (2440, 0), (2440, 4000))
    assert place_of(beside, "w1") == pytest.approx((3100, 0))
    with pytest.raises(InputError, match="meets a window: divide"):
        edits.split_room(whole, R1, (2460, 0), (2460, 4000))
    with pytest.raises(InputError, match="does not divide"):
        edits.split_room(whole, R1, (6000, 0), (6000, 4000))
    pier = edits.add_pier(job(room(box(5000, 4000))), R1, rectangle(200, 200, 2900, 2000))
    with pytest.raises(InputError, match="pier"):
        edits.split_room(pier, R1, (3000, 0), (3000, 4000))


def test_border_along_named_walls_goes_with_its_parts() -> None:
    band = Border(width_mm=500, sides=(SideId("s0"),))
    own = room(box(5000, 4000), ceiling_treatment=CeilingTreatment(only=(band,)))
    whole = job(own)
    parted = edits.split_room(whole, R1, (3000, 0), (3000, 4000), "open")
    assert [ceiling_m2(j) for j in (whole, parted)] == pytest.approx([2.5, 2.5])


# -- joining


def test_parted_and_joined_is_the_room_it_was() -> None:
    whole = job(room(box(5000, 4000)), openings=(window(offset_mm=3200.0),))
    parted = edits.split_room(whole, R1, (3000, 0), (3000, 4000), "open")
    joined = edits.join_rooms(parted, R1, R2)
    one = edits.room_of(joined, R1)
    assert sorted(rings_of(one)[0]) == sorted(rings_of(edits.room_of(whole, R1))[0])
    assert place_of(joined, "w1") == pytest.approx(place_of(whole, "w1"))
    assert len(joined.storeys[0].rooms) == 1


def test_readings_of_the_whole_are_of_no_part_and_of_no_joined_room() -> None:
    readings = Readings(sides=tuple(ReadSide(length_mm=length) for length in (5000, 4000, 5000, 4000)))
    whole = job(room(box(5000, 4000), readings=readings))
    parted = edits.split_room(whole, R1, (3000, 0), (3000, 4000), "open")
    assert [r.readings for r in parted.storeys[0].rooms] == [None, None]
    two = job(room(box(3000, 4000), readings=readings), room(box(2000, 4000, 3100), "r2"))
    assert edits.room_of(edits.join_rooms(two, R1, R2), R1).readings is None


def test_wall_between_two_rooms_goes_with_its_door_and_leaves_its_ends() -> None:
    door = window(id=OpeningId("d"), side=SideId("s1"), kind="door", sill_mm=0.0, offset_mm=500.0)
    apart = job(room(box(4000, 3000)), room(box(2000, 2000, 4100, 500), "r2"), openings=(door,))
    joined = edits.join_rooms(apart, R1, R2)
    assert area_m2(joined, R1) == pytest.approx(12 + 4 + 0.1 * 2)
    assert joined.storeys[0].openings == ()
    assert len(edits.room_of(joined, R1).outline) == 8
    assert not errors(joined)


def test_higher_room_stays_higher_when_joined() -> None:
    high = Field(planes=(Plane(z_mm=3000),))
    apart = job(room(box(4000, 3000)), room(box(2000, 3000, 4000), "r2", ceiling=high))
    joined = edits.join_rooms(apart, R1, R2)
    taken = measure(joined).rooms[0]
    assert taken.wall_gross_m2 == pytest.approx((4 + 4 + 3) * 2.4 + (2 + 2 + 3) * 3.0)
    assert not errors(joined)


def test_bare_room_stays_bare_when_joined() -> None:
    bare = {"walls": WallTreatment(coat=False), "ceiling_treatment": CeilingTreatment(coat=False)}
    apart = job(room(box(4000, 3000)), room(box(2000, 3000, 4000), "r2", **bare))
    joined = edits.join_rooms(apart, R1, R2)
    assert ceiling_m2(joined) == pytest.approx(12)
    assert measure(joined).rooms[0].wall_net_m2 == pytest.approx((4 + 4 + 3) * 2.4)


def test_ring_of_rooms_closes_round_what_stands_in_the_middle() -> None:
    u_shape = ((0, 0), (5000, 0), (5000, 4000), (4000, 4000), (4000, 1000), (1000, 1000), (1000, 4000), (0, 4000))
    apart = job(room(u_shape), room(box(5000, 1000, 0, 4000), "r2"))
    joined = edits.join_rooms(apart, R1, R2)
    one = edits.room_of(joined, R1)
    assert len(one.inner) == 1
    assert area_m2(joined, R1) == pytest.approx(25 - 9)
    assert not errors(joined)


def test_rooms_that_do_not_lie_side_by_side_are_refused() -> None:
    apart = job(room(box(4000, 3000)), room(box(2000, 2000, 9000), "r2"))
    with pytest.raises(InputError, match="side by side"):
        edits.join_rooms(apart, R1, R2)
    with pytest.raises(InputError, match="second room"):
        edits.join_rooms(apart, R1, R1)


def test_line_along_a_side_parts_nothing_off() -> None:
    with pytest.raises(InputError, match="divides nothing"):
        edits.split_room(job(room(box(5000, 4000))), R1, (0, 0.5), (5000, 0.5), "open")
