"""Rooms read on site, set together through walls and openings."""

import math

import msgspec
import pytest
from site_samples import read, side

from takeoff.errors import InputError
from takeoff.geometry.poses import put as placed
from takeoff.measure import measure
from takeoff.plan import edits
from takeoff.plan.check import check
from takeoff.plan.model import CrossCheck, Job, Join, Plane, ReadOpening, RoomId, SetTogether, SideId
from takeoff.plan.moved import moved_room
from takeoff.plan.readings import place_together, put_room, set_together
from takeoff.storage.jobs import dump, load

replace = msgspec.structs.replace
KITCHEN, HALL = RoomId("kitchen"), RoomId("hall")
DOOR = ReadOpening(from_mm=1000.0, to_mm=1800.0, kind="door", sill_mm=0.0, head_mm=2040.0, reveal_mm=40.0)


def two_rooms() -> Job:
    """A kitchen of 4 × 3 with a door in its second side; a hall of 5 × 2, seen from which the same door is
    in the first side, 600 from its corner A."""
    kitchen = read(4000.0, side(3000.0, DOOR), None, None, middle_mm=2400.0)
    hall = read(
        side(5000.0, replace(DOOR, from_mm=600.0, to_mm=1400.0, reveal_mm=60.0)), 2000.0, None, None, middle_mm=2400.0
    )
    return put_room(put_room(Job(), None, KITCHEN, "Kitchen", kitchen), None, HALL, "Hall", hall)


THROUGH = Join(
    room=KITCHEN,
    side=SideId("s2"),
    beyond=HALL,
    beyond_side=SideId("s1"),
    thickness_mm=100.0,
    opening=0,
    beyond_opening=0,
)
WALL = replace(THROUGH, opening=None, beyond_opening=None)


def together(job: Job, *joins: Join, checks=()) -> Job:
    return set_together(job, job.storeys[0].id, SetTogether(joins=joins, checks=tuple(checks)))


def corner(job: Job, number: int, name: str) -> tuple[float, float]:
    """Where a side starts in the ring, less where the kitchen's fourth side does (its corner A)."""
    rooms = job.storeys[0].rooms
    origin = next(s for s in rooms[0].outline if s.id == "s4")
    found = next(s for s in rooms[number].outline if s.id == name)
    return found.x_mm - origin.x_mm, found.y_mm - origin.y_mm


def codes(job: Job) -> list[str]:
    return [finding.code for finding in check(job)]


def test_a_shared_door_puts_the_other_room_behind_the_wall():
    job = together(two_rooms(), THROUGH)
    # the kitchen's second side runs down at x = 4000; the hall begins 100 behind it. Its door jamb nearest
    # to its corner A, 600 from it, is the kitchen's last jamb, 1800 down: A at 1800 + 600 down
    assert corner(job, 1, "s4") == pytest.approx((4100.0, -2400.0), abs=1e-3)
    # its first side runs up from there
    assert corner(job, 1, "s1") == pytest.approx((4100.0, 2600.0), abs=1e-3)


def test_a_shared_door_is_one_opening_with_a_reveal_on_each_side():
    job = together(two_rooms(), THROUGH)
    (door,) = job.storeys[0].openings
    assert (door.room, door.reveal.start.depth_mm, door.reveal_beyond.start.depth_mm) == (KITCHEN, 40.0, 60.0)
    kitchen, hall = measure(job).rooms
    assert kitchen.wall_net_m2 == pytest.approx(14 * 2.4 - 0.8 * 2.04)
    assert hall.wall_net_m2 == pytest.approx(14 * 2.4 - 0.8 * 2.04)


def test_the_wall_between_is_the_same_dwelling():
    job = together(two_rooms(), THROUGH)
    face = next(f for f in measure(job).rooms[0].faces if f.id == "s2")
    inside = [stretch for stretch in face.behind if stretch.cls == "same"]
    assert sum(stretch.to_mm - stretch.from_mm for stretch in inside) == pytest.approx(2400.0, abs=1.0)


def test_walls_alone_leave_a_room_to_slide_and_that_is_said():
    with pytest.raises(InputError, match="Hall can still slide along the shared wall"):
        together(two_rooms(), WALL)


def test_a_check_dimension_holds_a_room_along_the_wall():
    # hall's corner A is to stand 2400 down: 3-4-5 by 600 from the kitchen's A, 4100 across and 2400 down
    across = CrossCheck(room=KITCHEN, corner=0, beyond=HALL, beyond_corner=0, length_mm=math.hypot(4100.0, 2400.0))
    job = together(two_rooms(), WALL, checks=(across,))
    x, y = corner(job, 1, "s4")
    assert x == pytest.approx(4100.0, abs=1e-3)
    # which of the two places where that length fits is nearest to the middle of both walls
    assert abs(y) == pytest.approx(2400.0, abs=1e-3)
    # without an opening in common each wall keeps its own door
    assert len(job.storeys[0].openings) == 2


def test_what_does_not_fit_across_is_shown_in_mm():
    across = CrossCheck(
        room=KITCHEN, corner=0, beyond=HALL, beyond_corner=0, length_mm=math.hypot(4100.0, 2400.0) + 60.0
    )
    joined = SetTogether(joins=(THROUGH,), checks=(across,))
    _, placing = place_together(two_rooms().storeys[0], joined)
    assert [what for what, _ in placing.lines] == ["opening between Kitchen and Hall", "check Kitchen A to Hall A"]
    shares = dict(placing.lines)
    assert shares["check Kitchen A to Hall A"] > 10.0
    job = together(two_rooms(), THROUGH, checks=(across,))
    assert "together-misfit" in codes(job)
    assert "together-misfit" not in codes(together(two_rooms(), THROUGH))


def test_a_ring_of_rooms_closes_or_says_by_how_much_not():
    # four rooms of 3 × 3 round a point, walls of 100: or the last wall is read 220
    square = read(3000.0, 3000.0, 3000.0, 3000.0, diagonals=((0, 2, math.hypot(3000, 3000)),))
    job = Job()
    for name in "abcd":
        job = put_room(job, None, RoomId(name), name.upper(), square)

    def join(one, s, other, t, thick=100.0):
        return Join(room=RoomId(one), side=SideId(s), beyond=RoomId(other), beyond_side=SideId(t), thickness_mm=thick)

    def tie(one, p, other, q, mm):
        return CrossCheck(room=RoomId(one), corner=p, beyond=RoomId(other), beyond_corner=q, length_mm=mm)

    # clockwise from upper left: A right of it B, below it C, left of it D; corners A B / D C as walked
    joins = (
        join("a", "s2", "b", "s4"),
        join("b", "s3", "c", "s1"),
        join("c", "s4", "d", "s2"),
        join("d", "s1", "a", "s3"),
    )
    # slanting, from the far corner of one to the far corner of the next
    checks = (
        tie("a", 0, "b", 2, math.hypot(6100.0, 3000.0)),
        tie("b", 0, "c", 2, math.hypot(3000.0, 6100.0)),
        tie("c", 1, "d", 3, math.hypot(6100.0, 3000.0)),
    )
    good = set_together(job, job.storeys[0].id, SetTogether(joins=joins, checks=checks))
    assert "together-misfit" not in codes(good)
    assert "rooms-overlap" not in codes(good)
    worse = (*joins[:3], join("d", "s1", "a", "s3", 220.0))
    # 120 mm, shared by four walls and three lengths across
    told = codes(set_together(job, job.storeys[0].id, SetTogether(joins=worse, checks=checks)))
    assert "together-misfit" in told


@pytest.mark.parametrize(
    ("join", "words"),
    [
        (replace(THROUGH, side=SideId("s9")), "no wall s9"),
        (replace(THROUGH, beyond=RoomId("attic")), "no room “attic”"),
        (replace(THROUGH, beyond=KITCHEN, beyond_side=SideId("s3")), "to itself"),
        (replace(THROUGH, opening=4), "no surveyed opening 5"),
        (replace(THROUGH, beyond_opening=None), "in both rooms"),
        (replace(THROUGH, thickness_mm=math.nan), "thickness"),
    ],
)
def test_joins_that_name_what_is_not_there_are_refused(join, words):
    with pytest.raises(InputError, match=words):
        together(two_rooms(), join)


def test_rooms_in_two_groups_are_refused():
    square = read(3000.0, 3000.0, None, None)
    job = two_rooms()
    for name in ("c", "d"):
        job = put_room(job, None, RoomId(name), name.upper(), square)
    other = Join(room=RoomId("c"), side=SideId("s2"), beyond=RoomId("d"), beyond_side=SideId("s4"), thickness_mm=100.0)
    with pytest.raises(InputError, match="two groups"):
        together(job, THROUGH, other)


def test_a_join_given_up_gives_both_rooms_their_door_again():
    job = together(together(two_rooms(), THROUGH))
    assert job.storeys[0].set_together is None
    doors = {door.room: door for door in job.storeys[0].openings}
    assert doors[KITCHEN].reveal_beyond is None
    assert doors[HALL].reveal.start.depth_mm == 60.0
    assert [room.wall_net_m2 for room in measure(job).rooms] == pytest.approx([14 * 2.4 - 0.8 * 2.04] * 2)


def test_setting_together_twice_is_the_same_as_once():
    once = together(two_rooms(), THROUGH)
    twice = together(once, THROUGH)
    assert twice.storeys[0].openings == once.storeys[0].openings
    for before, after in zip(once.storeys[0].rooms, twice.storeys[0].rooms, strict=True):
        for old, new in zip(before.outline, after.outline, strict=True):
            assert (new.x_mm, new.y_mm) == pytest.approx((old.x_mm, old.y_mm), abs=1e-4)


# -- read anew afterwards


def test_a_room_read_anew_moves_those_that_are_set_together_with_it():
    job = together(two_rooms(), THROUGH)
    longer = read(4200.0, side(3000.0, DOOR), None, None, middle_mm=2400.0)
    job = put_room(job, None, KITCHEN, "", longer)
    assert corner(job, 1, "s4") == pytest.approx((4300.0, -2400.0), abs=1e-3)
    assert len(job.storeys[0].openings) == 1


def test_the_room_beyond_read_anew_brings_no_second_door_but_its_reveal():
    job = together(two_rooms(), THROUGH)
    hall = read(side(5200.0, replace(DOOR, from_mm=700.0, to_mm=1500.0, reveal_mm=75.0)), 2000.0, None, None)
    job = put_room(job, None, HALL, "", hall)
    (door,) = job.storeys[0].openings
    assert (door.room, door.reveal_beyond.start.depth_mm) == (KITCHEN, 75.0)
    # 700 instead of 600 from its corner A to the jamb
    assert corner(job, 1, "s4") == pytest.approx((4100.0, -2500.0), abs=1e-3)


def test_a_side_that_is_read_no_more_leaves_the_rooms_and_is_told():
    job = together(two_rooms(), THROUGH)
    job = put_room(job, None, KITCHEN, "", read(4000.0, 3000.0, None, None))
    told = next(f for f in check(job) if f.code == "together-open")
    assert "no surveyed opening 1" in told.evidence


def test_a_room_moved_by_hand_afterwards_is_told():
    job = together(two_rooms(), THROUGH)
    storey = job.storeys[0]
    away = replace(storey, rooms=(storey.rooms[0], moved_room(storey.rooms[1], (500.0, 0.0, 0.0))))
    assert "together-moved" in codes(replace(job, storeys=(away,)))
    assert "together-moved" not in codes(job)


def test_readings_and_joins_are_saved_and_opened_again():
    across = CrossCheck(room=KITCHEN, corner=0, beyond=HALL, beyond_corner=0, length_mm=4751.0)
    job = together(two_rooms(), THROUGH, checks=(across,))
    assert load(dump(job), "two.json") == job


def test_a_room_that_goes_takes_its_joins_with_it():
    job = edits.remove_room(together(two_rooms(), THROUGH), HALL)
    assert job.storeys[0].set_together is None
    assert codes(job).count("together-open") == 0


# -- moving


def test_a_room_turned_keeps_the_heights_over_its_floor():
    job = two_rooms()
    room = replace(
        job.storeys[0].rooms[0],
        ceiling=replace(
            job.storeys[0].rooms[0].ceiling, planes=(Plane(z_mm=2400.0, slope_x=0.1, slope_y=0.3, at_x_mm=500.0),)
        ),
    )
    pose = (700.0, -300.0, 0.6)
    turned = moved_room(room, pose)
    before, after = room.ceiling.planes[0], turned.ceiling.planes[0]

    def height(plane, x, y):
        return plane.z_mm + plane.slope_x * (x - plane.at_x_mm) + plane.slope_y * (y - plane.at_y_mm)

    for spot in ((0.0, 0.0), (3000.0, 100.0), (-50.0, 2000.0)):
        assert height(after, *placed(pose, spot)) == pytest.approx(height(before, *spot))
