"""Openings fitted into walls, faces coated in part, corners picked: by edit, and what is measured then."""

import msgspec
import pytest
from plan_samples import L_SHAPE, box, job, room, window

from takeoff.errors import InputError
from takeoff.measure import measure
from takeoff.plan import edits
from takeoff.plan.model import Behind, CornerPick, Job, Opening, OpeningId, Reveal, RoomId, SideId, Strip

replace = msgspec.structs.replace

R1, R2, W1 = RoomId("r1"), RoomId("r2"), OpeningId("w1")
S0, S1 = SideId("s0"), SideId("s1")


def one_room(*openings: Opening) -> Job:
    """5 × 4 m, 2.4 m high."""
    return job(room(box(5000, 4000)), openings=openings)


def side_by_side() -> Job:
    """Two rooms 5 × 4 m with a wall of 100 between s1 of the first and s3 of the second."""
    return job(room(box(5000, 4000)), room(box(5000, 4000, 5100), "r2"))


def faces(a_job: Job, room_id: str = "r1") -> dict[str, float]:
    taken = next(r for r in measure(a_job).rooms if r.room == room_id)
    return {face.id: round(face.net_m2, 6) for face in taken.faces}


def figure(a_job: Job, name: str, room_id: str = "r1") -> float:
    return round(getattr(next(r for r in measure(a_job).rooms if r.room == room_id), name), 6)


def test_window_that_would_stick_out_is_kept_within_its_wall():
    after = edits.place_opening(one_room(), window(offset_mm=4500.0))
    assert edits.opening_of(after, W1).offset_mm == 3800.0
    after = edits.place_opening(one_room(), window(offset_mm=-200.0))
    assert edits.opening_of(after, W1).offset_mm == 0.0


def test_window_wider_than_its_wall_is_refused():
    with pytest.raises(InputError, match=r"6.00 m wide and the wall 5.00 m long"):
        edits.place_opening(one_room(), window(width_mm=6000.0))


def test_two_windows_do_not_stand_in_one_place():
    with pytest.raises(InputError, match=r"w1 is there already, 1.00 to 2.20 m"):
        edits.place_opening(one_room(window()), window(id=OpeningId("w2"), offset_mm=2000.0))
    beside = edits.place_opening(one_room(window()), window(id=OpeningId("w2"), offset_mm=2200.0))
    assert len(beside.storeys[0].openings) == 2


def test_door_cuts_both_faces_of_a_wall_with_a_room_behind():
    door = window(
        id=OpeningId("d1"), kind="door", side=S1, offset_mm=500.0, width_mm=900.0, sill_mm=0.0, head_mm=2000.0
    )
    after = edits.place_opening(side_by_side(), door)
    assert faces(after)["s1"] == pytest.approx(4 * 2.4 - 0.9 * 2.0)
    assert faces(after, "r2")["s3"] == pytest.approx(4 * 2.4 - 0.9 * 2.0)


def test_opening_from_the_other_side_is_in_the_way_too():
    door = window(
        id=OpeningId("d1"), kind="door", side=S1, offset_mm=500.0, width_mm=900.0, sill_mm=0.0, head_mm=2000.0
    )
    after = edits.place_opening(side_by_side(), door)
    # s3 of the other room runs down from y 4000: 500 to 1400 up is 2600 to 3500 along it
    assert edits.in_wall(after, R2, SideId("s3")) == (("d1", 2600.0, 3500.0),)
    with pytest.raises(InputError, match="d1 is there already"):
        edits.place_opening(after, window(room=R2, side=SideId("s3"), offset_mm=3000.0))


def test_opening_of_the_wall_across_a_narrow_room_is_not_in_the_way():
    narrow = job(room(box(5000, 600)), openings=(window(side=SideId("s2")),))
    assert edits.in_wall(narrow, R1, S0) == ()


def test_opening_slides_along_and_up_with_its_size_kept():
    after = edits.slide_opening(one_room(window()), W1, 2000.0, 1000.0)
    moved = edits.opening_of(after, W1)
    assert (moved.offset_mm, moved.sill_mm, moved.head_mm) == (2000.0, 1000.0, 2200.0)
    assert edits.slide_opening(after, W1, 2000.0, 1000.0) is after


def test_opening_slides_into_another_wall():
    after = edits.slide_opening(one_room(window()), W1, 100.0, side=(R1, S1))
    assert edits.opening_of(after, W1).side == S1
    assert faces(after) == {"s0": 12.0, "s1": 8.16, "s2": 12.0, "s3": 9.6}


def test_typed_height_moves_the_head_and_keeps_the_sill():
    after = edits.set_opening_size(one_room(window()), W1, height_mm=1400.0)
    assert edits.opening_of(after, W1).head_mm == 2300.0
    with pytest.raises(InputError, match="head must be above the sill"):
        edits.set_opening_size(one_room(window()), W1, height_mm=0.0)


def test_typed_width_keeps_the_middle_unless_the_wall_ends():
    after = edits.set_opening_size(one_room(window()), W1, width_mm=1000.0)
    assert edits.opening_of(after, W1).offset_mm == 1100.0
    after = edits.set_opening_size(one_room(window(offset_mm=0.0)), W1, width_mm=1400.0)
    assert edits.opening_of(after, W1).offset_mm == 0.0


def test_strips_of_a_reveal_are_set_one_by_one():
    after = edits.set_strips(one_room(window()), W1, depth_mm=150.0)
    assert figure(after, "reveal_m2") == pytest.approx((1.2 + 2 * 1.2) * 0.15)
    after = edits.set_strips(after, W1, ("sill",), coat=True)
    assert figure(after, "reveal_m2") == pytest.approx((1.2 + 2 * 1.2 + 1.2) * 0.15)
    after = edits.coat_reveals(after, {(W1, False)}, False)
    assert figure(after, "reveal_m2") == 0.0


def test_round_window_is_as_high_as_it_is_wide():
    after = edits.set_opening_shape(one_room(window(width_mm=600.0)), W1, "round")
    assert edits.opening_of(after, W1).head_mm == 1500.0


def test_new_ids_are_free():
    assert edits.new_opening_id(one_room(window()), "window") == "w2"
    assert edits.new_opening_id(one_room(), "door") == "d1"


def test_face_is_switched_off_and_on_again():
    off = edits.coat_sides(one_room(), {R1: (S0,)}, False)
    assert faces(off) == {"s0": 0.0, "s1": 9.6, "s2": 12.0, "s3": 9.6}
    assert edits.coat_sides(off, {R1: (S0,)}, True) == one_room()


def test_every_face_of_a_room_is_switched_through_the_room():
    off = edits.coat_sides(one_room(), {R1: edits.all_sides(edits.room_of(one_room(), R1))}, False)
    found = edits.room_of(off, R1)
    assert not found.walls.coat
    assert all(side.treatment is None for side in found.outline)


def test_returns_coat_so_far_from_the_ends():
    after = edits.set_returns(one_room(), {R1: (S0,)}, 600.0, 400.0)
    assert faces(after)["s0"] == pytest.approx((0.6 + 0.4) * 2.4)
    assert faces(edits.set_returns(after, {R1: (S0,)}, None, None))["s0"] == 0.0
    with pytest.raises(InputError, match="return"):
        edits.set_returns(one_room(), {R1: (S0,)}, -1.0, None)


def test_skirting_stays_on_along_the_walls_that_have_it():
    after = edits.set_band(one_room(), {R1: (S0, S1)}, "bottom", 120.0)
    assert faces(after) == {"s0": 11.4, "s1": 9.12, "s2": 12.0, "s3": 9.6}
    assert edits.set_band(after, {R1: (S0, S1)}, "bottom", None) == one_room()


def test_coving_stays_on_walls_and_ceiling():
    after = edits.set_coving(one_room(), (R1,), 100.0)
    assert figure(after, "wall_net_m2") == pytest.approx(18 * 2.3)
    assert figure(after, "ceiling_m2") == pytest.approx(4.8 * 3.8)
    assert edits.set_coving(after, (R1,), None) == one_room()


def test_ceiling_band_along_two_walls():
    after = edits.set_ceiling_band(one_room(), R1, 600.0, (S0, S1))
    assert figure(after, "ceiling_m2") == pytest.approx(5 * 0.6 + 3.4 * 0.6)
    assert figure(edits.coat_ceilings(after, (R1,), True), "ceiling_m2") == pytest.approx(20.0)
    assert figure(edits.coat_ceilings(after, (R1,), False), "ceiling_m2") == 0.0


def test_answer_about_a_stretch_leaves_the_rest_as_it_was_said():
    before = edits.set_behind(one_room(), R1, S0, (Behind(cls="neighbour", to_mm=3000.0),))
    after = edits.answer_behind(before, R1, S0, ((1000.0, 2000.0), (3000.0, 5000.0)), "outside")
    said = [(b.cls, b.from_mm, b.to_mm) for b in edits.room_of(after, R1).outline[0].behind]
    assert said == [
        ("neighbour", 0.0, 1000.0),
        ("outside", 1000.0, 2000.0),
        ("neighbour", 2000.0, 3000.0),
        ("outside", 3000.0, None),
    ]
    assert edits.answer_behind(after, R1, S0, ((1000.0, 2000.0),), "outside") == after


def test_picks_of_many_corners_keep_what_was_picked_before():
    deep = Strip(depth_mm=150.0)
    lshape = job(room(L_SHAPE), openings=(window(reveal=Reveal(start=deep, end=deep, head=deep)),))
    corner = "s2|s3"
    assert figure(lshape, "bead_m") == pytest.approx(2.4 + 1.2 + 1.2 + 1.2)
    after = edits.pick_corners(lshape, {R1: (corner, "s0|w1.head")}, bead="none")
    assert figure(after, "bead_m") == pytest.approx(2.4)
    after = edits.pick_corners(after, {R1: (corner,)}, profile="round")
    assert CornerPick(corner=corner, bead="none", profile="round") in edits.room_of(after, R1).corners
    after = edits.unpick_corners(after, {R1: (corner, "s0|w1.head")})
    assert after == lshape
    assert figure(edits.set_bead_default(lshape, "existing"), "bead_m") == 0.0


def test_picks_go_with_their_opening():
    before = edits.pick_corners(
        one_room(window(), window(id=OpeningId("w1.head"), offset_mm=3000.0)),
        {R1: ("s0|w1.start", "s0|w1.head.head", "s0|s1")},
        bead="none",
    )
    after = edits.remove_opening(before, W1)
    assert [pick.corner for pick in edits.room_of(after, R1).corners] == ["s0|w1.head.head", "s0|s1"]
