"""Walls and corners moved by hand, sides opened and closed between rooms."""

from __future__ import annotations

import math

import msgspec
import pytest
from plan_samples import box, job, ring, room, window

from takeoff.errors import InputError
from takeoff.measure import measure
from takeoff.plan import edits
from takeoff.plan.check import check
from takeoff.plan.model import RoomId, SideId

R1, R2, R3 = RoomId("r1"), RoomId("r2"), RoomId("r3")


def corners(a_job, room_id=R1):
    return [(s.x_mm, s.y_mm) for s in edits.room_of(a_job, room_id).outline]


def beside(gap=100.0):
    """Two rooms of 3 × 4 m, the second at the right of the first."""
    return job(room(box(3000, 4000)), room(box(3000, 4000, 3000 + gap), "r2"))


def test_side_moved_out_takes_its_neighbours_along() -> None:
    moved = edits.move_wall(beside(), R1, SideId("s1"), 50.0)
    assert corners(moved) == [(0, 0), (3050, 0), (3050, 4000), (0, 4000)]
    assert corners(moved, R2) == corners(beside(), R2)


def test_whole_wall_moves_with_its_far_face() -> None:
    moved = edits.move_wall(beside(), R1, SideId("s1"), 250.0, with_far_face=True)
    assert corners(moved)[1] == (3250, 0)
    assert corners(moved, R2)[0] == (3350, 0)
    assert corners(moved, R2)[3] == (3350, 4000)


def test_corridor_takes_every_room_at_its_wall_and_a_room_leaves_the_corridor() -> None:
    rooms = job(room(box(6100, 1000)), room(box(3000, 2000, 0, 1100), "r2"), room(box(3000, 2000, 3100, 1100), "r3"))
    moved = edits.move_wall(rooms, R1, SideId("s2"), 200.0, with_far_face=True)
    assert corners(moved, R2)[0][1] == 1300
    assert corners(moved, R3)[0][1] == 1300
    moved = edits.move_wall(rooms, R2, SideId("s0"), -200.0, with_far_face=True)
    assert corners(moved) == corners(rooms)


def test_open_side_moves_for_both_rooms() -> None:
    opened = edits.open_side(beside(0.0), R1, SideId("s1"))
    moved = edits.move_wall(opened, R1, SideId("s1"), 500.0)
    assert corners(moved)[1] == (3500, 0)
    assert corners(moved, R2)[0] == (3500, 0)
    assert not [f for f in check(moved) if f.severity == "error"]
    dragged = edits.move_corners(opened, R1, SideId("s2"), 3200, 4000)
    assert corners(dragged)[2] == corners(dragged, R2)[3] == (3200, 4000)


def test_stretch_between_two_new_corners_becomes_a_breast_and_goes_back() -> None:
    plain = job(room(box(4000, 3000)))
    parted = edits.insert_corner(plain, R1, SideId("s2"), 3000, 3000, SideId("breast"))
    parted = edits.insert_corner(parted, R1, SideId("breast"), 1500, 3000, SideId("rest"))
    moved = edits.move_wall(parted, R1, SideId("breast"), -350.0)
    assert corners(moved) == [
        (0, 0),
        (4000, 0),
        (4000, 3000),
        (3000, 3000),
        (3000, 2650),
        (1500, 2650),
        (1500, 3000),
        (0, 3000),
    ]
    assert measure(moved).rooms[0].floor_m2 == pytest.approx(12.0 - 1.5 * 0.35)
    back = edits.move_wall(moved, R1, SideId("breast"), 350.0)
    assert corners(back) == corners(parted)


def test_window_stays_in_its_place_when_the_start_of_its_wall_moves() -> None:
    with_window = job(room(box(4000, 3000)), openings=(window(offset_mm=2000.0),))
    moved = edits.move_wall(with_window, R1, SideId("s3"), 300.0)
    assert corners(moved)[0] == (-300, 0)
    assert moved.storeys[0].openings[0].offset_mm == 2300.0


def test_moved_too_far_is_refused_but_a_crossed_outline_can_be_mended() -> None:
    rooms = beside()
    with pytest.raises(InputError, match="would cross itself or vanish"):
        edits.move_wall(rooms, R1, SideId("s1"), -3500.0)
    with pytest.raises(InputError, match="would cross itself"):
        edits.move_corners(rooms, R1, SideId("s2"), -500, -500)
    crossed = job(room(((0, 0), (3000, 0), (0, 2000), (3000, 2000))))
    mended = edits.move_corners(crossed, R1, SideId("s2"), 3000, 1000)
    assert corners(mended)[2] == (3000, 1000)


def test_typed_length_of_the_side_beside_says_how_far_to_move() -> None:
    rooms = beside()
    assert edits.outward_for_length(rooms, R1, SideId("s1"), SideId("s0"), 3450.0) == pytest.approx(450.0)
    skew = job(room(((0, 0), (4000, 0), (4000, 3000), (0, 3000 + 4000 / math.sqrt(3)))))
    # the sloped side is at 60° to the upright one: pushing that out by 1 makes it longer by 1 / sin 60°
    outward = edits.outward_for_length(skew, R1, SideId("s1"), SideId("s2"), 8000 / math.sqrt(3) + 1000)
    assert outward == pytest.approx(1000 * math.sin(math.radians(60)))
    with pytest.raises(InputError, match="must be more than 0"):
        edits.outward_for_length(rooms, R1, SideId("s1"), SideId("s0"), 0.0)


def test_corner_is_fixed_by_two_tape_lengths_on_the_side_of_the_pointer() -> None:
    found = edits.corner_by_lengths((0, 0), 3000, (5000, 0), 4000, near=(1800, 100))
    assert found == pytest.approx((1800, 2400))
    below = edits.corner_by_lengths((0, 0), 3000, (5000, 0), 4000, near=(1800, -100))
    assert below == pytest.approx((1800, -2400))
    with pytest.raises(InputError, match="do not meet"):
        edits.corner_by_lengths((0, 0), 1000, (5000, 0), 2000, near=(0, 0))


def test_shared_part_of_a_side_opens_on_both_faces_and_closes_again() -> None:
    rooms = job(room(box(5000, 4000)), room(box(2000, 2000, 5000, 1000), "r2"))
    opened = edits.open_side(rooms, R1, SideId("s1"))
    mine, theirs = (edits.room_of(opened, name).outline for name in (R1, R2))
    assert [(s.y_mm, s.kind) for s in mine if s.x_mm == 5000] == [
        (0, "wall"),
        (1000, "open"),
        (3000, "wall"),
        (4000, "wall"),
    ]
    assert [s.kind for s in theirs] == ["wall", "wall", "wall", "open"]
    before, after = measure(rooms), measure(opened)
    gone = sum(r.wall_gross_m2 for r in before.rooms) - sum(r.wall_gross_m2 for r in after.rooms)
    assert gone == pytest.approx(2 * 2.0 * 2.4)
    the_open = next(s.id for s in mine if s.kind == "open")
    closed = edits.close_side(opened, R1, the_open)
    assert {s.kind for name in (R1, R2) for s in edits.room_of(closed, name).outline} == {"wall"}
    again = edits.open_side(closed, R2, SideId("s3"))
    assert [s.kind for s in edits.room_of(again, R1).outline] == [s.kind for s in mine]


def test_wall_between_or_a_window_in_it_refuses_to_open() -> None:
    with pytest.raises(InputError, match="A wall of 100 mm stands between room 1 and room 2"):
        edits.open_side(beside(), R1, SideId("s1"))
    rooms = job(room(box(3000, 4000)), openings=(window(side=SideId("s1"), mark="W1"),))
    with pytest.raises(InputError, match="In this wall stands window W1"):
        edits.open_side(rooms, R1, SideId("s1"))


def test_side_with_nothing_behind_opens_and_the_check_asks_about_it() -> None:
    alone = job(room(box(3000, 4000)))
    opened = edits.open_side(alone, R1, SideId("s1"))
    assert [f.code for f in check(opened) if f.severity == "check"] == ["open-side-leads-nowhere"]
    assert edits.close_side(opened, R1, SideId("s1")) == alone
    assert edits.close_side(alone, R1, SideId("s1")) is alone


def test_far_face_of_a_pier_is_no_partner() -> None:
    with_pier = msgspec.structs.replace(
        room(box(6000, 4000)), inner=(ring(((1000, 1000), (1000, 1500), (1500, 1500), (1500, 1000)), "p"),)
    )
    moved = edits.move_wall(job(with_pier), R1, SideId("p0"), -100.0)
    assert [s.x_mm for s in edits.room_of(moved, R1).inner[0]] == [900, 900, 1500, 1500]
