"""Rooms put into the job from readings, read anew, and rooms for a budget."""

import math
from dataclasses import dataclass

import msgspec
import pytest
from site_samples import read, side, squared

from takeoff.errors import InputError
from takeoff.measure import measure
from takeoff.plan import edits
from takeoff.plan.check import check
from takeoff.plan.model import Band, Job, Opening, ReadOpening, RoomId, SideId, WallTreatment
from takeoff.plan.readings import BudgetOpening, put_budget_room, put_room

replace = msgspec.structs.replace
KITCHEN = RoomId("kitchen")
WINDOW = ReadOpening(from_mm=850.0, to_mm=2050.0, sill_mm=900.0, head_mm=2100.0, reveal_mm=150.0)
PLAIN = read(side(3600.0, WINDOW), 2800.0, None, None, middle_mm=2400.0)


@dataclass
class Figures:
    floor_m2: float
    walls_m2: float
    reveals_m2: float


def figures(job: Job, number: int = 0) -> Figures:
    room = measure(job).rooms[number]
    return Figures(room.floor_m2, room.wall_net_m2, room.reveal_m2)


def codes(job: Job) -> list[str]:
    return [finding.code for finding in check(job)]


def put(readings=PLAIN, job=None, name="Kitchen", room=KITCHEN):
    return put_room(job or Job(), None, room, name, readings)


def only_opening(job) -> Opening:
    (opening,) = job.storeys[0].openings
    return opening


def test_a_room_with_a_window_is_measured_at_once():
    job = put()
    found = figures(job)
    assert found.floor_m2 == pytest.approx(3.6 * 2.8)
    assert found.walls_m2 == pytest.approx(2 * (3.6 + 2.8) * 2.4 - 1.2 * 1.2)
    assert found.reveals_m2 == pytest.approx((1.2 + 2 * 1.2) * 0.15)
    assert job.storeys[0].rooms[0].ceiling.source == "site"


def test_the_ring_runs_anticlockwise_and_openings_stand_where_they_were_read():
    job = put()
    ring = job.storeys[0].rooms[0].outline
    area = sum(a.x_mm * b.y_mm - b.x_mm * a.y_mm for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))
    assert area > 0
    # walked clockwise the side runs the other way: 3600 − 2050 from its start in the ring
    window = only_opening(job)
    assert (window.side, window.offset_mm, window.width_mm) == ("s1", pytest.approx(1550.0), 1200.0)


def test_walked_anticlockwise_the_offset_is_as_read():
    turned = [side(mm, turn_deg=90.0) for mm in (2800.0, None, None)]
    job = put(read(side(3600.0, WINDOW, turn_deg=90.0), *turned))
    assert only_opening(job).offset_mm == pytest.approx(850.0)


def test_what_was_not_read_of_an_opening_is_assumed_and_said():
    job = put(read(side(3600.0, (850.0, 2050.0)), 2800.0, None, None, middle_mm=2400.0))
    window = only_opening(job)
    assert (window.width_source, window.sill_source, window.head_source) == ("site", "assumed", "assumed")
    assert window.reveal.start.depth_source == "assumed"
    assert {"assumed-window-sill", "assumed-window-head", "assumed-window-reveal"} <= set(codes(job))


def test_a_room_without_a_height_has_that_of_its_storey():
    job = put(replace(PLAIN, middle_mm=None))
    assert job.storeys[0].rooms[0].ceiling is None
    assert "assumed-storey-height" in codes(job)


def test_heights_at_corners_make_a_sloping_ceiling():
    # 2.4 m along the first side, 3.0 m along the third: one slope over 2.8 m
    heights = (2400.0, 2400.0, 3000.0, 3000.0)
    job = put(read(*(side(mm, height_mm=z) for mm, z in zip((3600.0, 2800.0, None, None), heights, strict=True))))
    (plane,) = job.storeys[0].rooms[0].ceiling.planes
    assert math.hypot(plane.slope_x, plane.slope_y) == pytest.approx(600.0 / 2800.0)
    ceiling = measure(job).rooms[0].ceiling_m2
    assert ceiling == pytest.approx(3.6 * math.hypot(2.8, 0.6))


def test_a_ridge_is_found_from_the_corners_and_the_middle():
    heights = (2400.0,) * 4
    sides = (side(mm, height_mm=z) for mm, z in zip((4000.0, 6000.0, None, None), heights, strict=True))
    job = put(read(*sides, middle_mm=3400.0))
    assert len(job.storeys[0].rooms[0].ceiling.planes) == 2
    # two ways to lay the ridge fit the five heights as well
    assert "readings-ceiling" in codes(job)


def test_a_second_room_stands_beside_the_first():
    job = put(job=put(), name="Hall", room=RoomId("hall"))
    first, second = job.storeys[0].rooms
    assert min(s.x_mm for s in second.outline) == pytest.approx(max(s.x_mm for s in first.outline) + 1000.0)
    assert "rooms-overlap" not in codes(job)


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        (read(3600.0, 2800.0), "three sides"),
        (read(3600.0, None, None, None), "not fixed"),
        (squared(1500.0, 3000.0, 1000.0, 3000.0, 1500.0, 2000.0, 4000.0, 2000.0, left=(1, 2)), "crosses itself"),
    ],
)
def test_readings_that_give_no_room_are_refused(readings, words):
    with pytest.raises(InputError, match=words):
        put(readings)


# -- read anew


def set_up(job: Job) -> Job:
    """The kitchen with what a user sets: another name, a face not coated, skirting, a mark, no coat in the
    head."""
    job = edits.rename_room(job, KITCHEN, "Kitchen-diner", "1.04")
    bare = WallTreatment(coat=False)
    job = edits.set_wall_treatment(job, KITCHEN, bare, SideId("s2"))
    job = edits.set_wall_treatment(job, KITCHEN, WallTreatment(bands=(Band(edge="bottom", to_mm=120.0),)))
    storey = job.storeys[0]
    window = storey.openings[0]
    reveal = replace(window.reveal, head=replace(window.reveal.head, coat=False))
    marked = replace(window, mark="W4", reveal=reveal)
    return replace(job, storeys=(replace(storey, openings=(marked,)),))


def test_reading_a_room_anew_keeps_what_was_set():
    before = set_up(put())
    wider = read(side(3650.0, replace(WINDOW, to_mm=2100.0)), 2800.0, None, None, middle_mm=2450.0)
    job = put(wider, before, name="")
    room, window = job.storeys[0].rooms[0], only_opening(job)
    assert (room.name, room.number) == ("Kitchen-diner", "1.04")
    assert next(s for s in room.outline if s.id == "s2").treatment == WallTreatment(coat=False)
    assert room.walls.bands[0].to_mm == 120.0
    assert (window.mark, window.width_mm, window.reveal.head.coat) == ("W4", 1250.0, False)
    assert room.ceiling.planes[0].z_mm == 2450.0
    assert figures(job).floor_m2 == pytest.approx(3.65 * 2.8)


def test_reading_a_room_anew_leaves_it_where_it_stands():
    before = put(job=put(), name="Hall", room=RoomId("hall"))
    after = put_room(before, None, RoomId("hall"), "Hall", read(3700.0, 2800.0, None, None))
    first = {s.id: (s.x_mm, s.y_mm) for s in before.storeys[0].rooms[1].outline}
    second = {s.id: (s.x_mm, s.y_mm) for s in after.storeys[0].rooms[1].outline}
    # corner A is where s1 starts as walked, which in the ring is where s4 begins
    assert first["s4"] == pytest.approx(second["s4"])
    assert math.dist(second["s4"], second["s1"]) == pytest.approx(3700.0)


def test_reading_the_same_again_changes_nothing():
    before = set_up(put())
    after = put(before.storeys[0].rooms[0].readings, before, name="")
    assert after.storeys[0].openings == before.storeys[0].openings
    for old, new in zip(before.storeys[0].rooms[0].outline, after.storeys[0].rooms[0].outline, strict=True):
        assert (new.x_mm, new.y_mm) == pytest.approx((old.x_mm, old.y_mm), abs=1e-6)
        assert replace(new, x_mm=old.x_mm, y_mm=old.y_mm) == old


def test_a_side_put_in_later_leaves_the_others_what_was_set_on_them():
    before = set_up(put())
    # the corner between the first and the second side is cut off: a new side of 45° between them
    cut = math.hypot(500.0, 500.0)
    sides = (
        side(3100.0, WINDOW, id="s1", turn="read", turn_deg=-45.0),
        side(cut, turn="read", turn_deg=-45.0),
        side(2300.0, id="s2"),
        side(3600.0, id="s3"),
        side(2800.0, id="s4"),
    )
    job = put(read(*sides, middle_mm=2400.0), before, name="")
    room = job.storeys[0].rooms[0]
    assert {s.id for s in room.outline} == {"s1", "s2", "s3", "s4", "s5"}
    assert next(s for s in room.outline if s.id == "s2").treatment == WallTreatment(coat=False)
    assert only_opening(job).mark == "W4"
    assert figures(job).floor_m2 == pytest.approx(3.6 * 2.8 - 0.125)


def test_an_opening_that_is_read_no_more_goes_and_a_new_one_comes():
    before = set_up(put())
    door = ReadOpening(from_mm=300.0, to_mm=1100.0, kind="door")
    job = put(read(3600.0, side(2800.0, door), None, None), before)
    assert (only_opening(job).kind, only_opening(job).side, only_opening(job).mark) == ("door", "s2", "")


def test_a_height_that_was_set_by_hand_stays_where_none_is_read():
    before = edits.set_flat_ceiling(put(replace(PLAIN, middle_mm=None)), KITCHEN, 2700.0)
    job = put(replace(PLAIN, middle_mm=None), before)
    assert job.storeys[0].rooms[0].ceiling.planes[0].z_mm == 2700.0


# -- the check


def test_misclosure_and_slips_stand_among_the_findings():
    assert "readings-misclose" in codes(put(read(4000.0, 3000.0, 4030.0, 3040.0)))
    slip = read(4000.0, 3000.0, 4100.0, 3000.0, diagonals=((0, 2, 5000.0), (1, 3, 5000.0)))
    assert "readings-gross" not in codes(put())
    assert "reading-gross" in codes(put(slip))


def test_an_outline_changed_by_hand_is_no_longer_what_was_read():
    job = put(read(4000.0, 3000.0, 4030.0, 3040.0))
    storey = job.storeys[0]
    ring = storey.rooms[0].outline
    moved = (replace(ring[0], x_mm=ring[0].x_mm - 300.0), *ring[1:])
    job = replace(job, storeys=(replace(storey, rooms=(replace(storey.rooms[0], outline=moved),)),))
    assert "readings-overruled" in codes(job)
    assert "readings-misclose" not in codes(job)


# -- budget rooms


def budget(*openings, **given):
    sizes = {"length_mm": 4000.0, "width_mm": 3000.0, "height_mm": 2400.0} | given
    return put_budget_room(Job(), None, RoomId("bed2"), "Bed 2", openings=openings, **sizes)


def test_a_budget_room_is_measured_at_once_and_marked():
    job = budget(BudgetOpening(2, 1200.0, 1200.0, reveal_mm=150.0), BudgetOpening(1, 800.0, 2040.0, "door"))
    found = figures(job)
    assert found.floor_m2 == pytest.approx(12.0)
    assert found.walls_m2 == pytest.approx(14 * 2.4 - 2 * 1.2 * 1.2 - 0.8 * 2.04)
    assert found.reveals_m2 == pytest.approx(2 * (1.2 + 2.4) * 0.15)
    assert job.storeys[0].rooms[0].confidence == "check"
    told = next(f for f in check(job) if f.code == "budget-room")
    assert "Bed 2 is an estimate room" in told.text
    assert "room-check" not in codes(job)


def test_openings_of_a_budget_room_keep_clear_of_each_other_and_of_corners():
    job = budget(BudgetOpening(6, 1200.0, 1200.0))
    for name, wall in (("s1", 4000.0), ("s2", 3000.0), ("s3", 4000.0), ("s4", 3000.0)):
        at, last = 0.0, 0.0
        for opening in sorted((o for o in job.storeys[0].openings if o.side == name), key=lambda o: o.offset_mm):
            assert opening.offset_mm >= at + 50.0
            at = last = opening.offset_mm + opening.width_mm
        assert wall - last >= 50.0
    assert all(o.evidence == ("budget room",) for o in job.storeys[0].openings)


@pytest.mark.parametrize(
    ("openings", "given", "words"),
    [
        ((BudgetOpening(9, 1900.0, 1200.0),), {}, "no place"),
        ((BudgetOpening(1, 900.0, 2500.0),), {}, "higher than its room"),
        ((BudgetOpening(0, 900.0, 2000.0),), {}, "Number, width and height"),
        ((), {"length_mm": 0.0}, "length"),
        ((), {"height_mm": math.nan}, "height"),
    ],
)
def test_a_budget_that_cannot_be_is_refused(openings, given, words):
    with pytest.raises(InputError, match=words):
        budget(*openings, **given)


def test_the_real_outline_takes_the_place_of_the_budget():
    before = edits.set_wall_treatment(
        budget(BudgetOpening(1, 1200.0, 1200.0)), RoomId("bed2"), WallTreatment(substrate="brick")
    )
    job = put_room(before, None, RoomId("bed2"), "", read(side(4050.0, WINDOW), 2950.0, None, None))
    room = job.storeys[0].rooms[0]
    assert (room.name, room.confidence, room.evidence) == ("Bed 2", "sure", ())
    assert room.walls.substrate == "brick"
    assert only_opening(job).evidence == ()
    assert only_opening(job).offset_mm == pytest.approx(4050.0 - 2050.0)
    assert "budget-room" not in codes(job)
    assert figures(job).floor_m2 == pytest.approx(4.05 * 2.95)
