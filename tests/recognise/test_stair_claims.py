"""Stairs drawn in rooms: where they lie, which ceilings are left out for them, and what answers change.

The lower storey of the sample: a room 2400 × 4000 with a half round end, 9.6 + π · 1.2² / 2 = 11.862 m²; a
flight of twelve goings of 260, 1100 wide: 1.1 × 3.12 = 3.432 m².
"""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from takeoff.errors import InputError
from takeoff.measure import measure
from takeoff.plan import edits
from takeoff.plan.check import check
from takeoff.plan.model import Field, Job, Opening, OpeningId, Plane, Room, RoomId, Side, SideId, Storey, StoreyId
from takeoff.plan.moved import moved_room
from takeoff.services.opened.opening import open_file

SAMPLES = Path(__file__).parents[2] / "sample_plans"


@pytest.fixture(scope="module")
def stairwell() -> Job:
    return open_file(SAMPLES / "stairwell.dxf").job


def ceilings(job: Job) -> list[float]:
    return [room.ceiling_m2 for room in measure(job).rooms]


def stair_checks(job: Job) -> list[str]:
    return [finding.text for finding in check(job) if finding.code == "stair-drawn"]


def lower(job: Job) -> Room:
    return job.storeys[0].rooms[0]


def test_ceiling_below_a_stair_that_goes_on_is_not_coated_unasked(stairwell) -> None:
    stair = lower(stairwell).stair
    assert stair is not None
    assert stair.well
    assert set(stair.outline) == {(0, 600, 0), (1100, 600, 0), (1100, 3720, 0), (0, 3720, 0)}
    assert ceilings(stairwell) == pytest.approx([0.0, 11.862, 3.6], abs=0.001)
    assert stair_checks(stairwell) == [
        "The ceiling of Stairwell, 11.86 m², has a stair drawn under it: say whether it goes on above the stair."
    ]
    # the stair comes up into the upper part and ends there
    assert all(room.stair is None for room in stairwell.storeys[1].rooms)


@pytest.mark.parametrize(("answer", "ceiling_m2"), [("goes-on", 11.862), ("well", 11.862 - 3.432), ("none", 0.0)])
def test_answer_coats_the_ceiling_and_takes_the_place_of_an_earlier_one(stairwell, answer, ceiling_m2) -> None:
    job = stairwell
    for before in ("well", "none", "goes-on"):
        job = edits.answer_stair(job, lower(job).id, before)
    job = edits.answer_stair(job, lower(job).id, answer)
    assert ceilings(job)[0] == pytest.approx(ceiling_m2, abs=0.001)
    assert stair_checks(job) == []
    assert not [finding for finding in check(job) if finding.code.startswith("exclusion")]


def test_stair_of_a_single_storey_is_asked_about_and_its_ceiling_measured() -> None:
    job = open_file(SAMPLES / "terrace_ground.dxf").job
    (text,) = stair_checks(job)
    assert "Hall, 9.00 m², has a stair drawn under it" in text
    (hall,) = [room for room in job.storeys[0].rooms if room.stair]
    assert hall.ceiling_treatment.coat
    # the flight: eleven goings of 250, 850 wide
    without = edits.answer_stair(job, hall.id, "well")
    assert sum(ceilings(job)) - sum(ceilings(without)) == pytest.approx(0.85 * 2.75, abs=1e-6)


def test_room_without_a_stair_has_nothing_to_answer(stairwell) -> None:
    with pytest.raises(InputError, match="No stair was seen"):
        edits.answer_stair(stairwell, stairwell.storeys[1].rooms[1].id, "none")


def test_stair_goes_with_its_room_and_stays_in_the_part_that_holds_it(stairwell) -> None:
    room = lower(stairwell)
    moved = moved_room(room, (100.0, 50.0, 0.0)).stair
    assert moved is not None
    assert (100.0, 650.0, 0.0) in moved.outline
    # parted across at 3900, beyond the flight's end at 3720
    parted = edits.split_room(stairwell, room.id, (0.0, 3900.0), (2400.0, 3900.0))
    with_stair = [part for part in parted.storeys[0].rooms if part.stair]
    assert len(parted.storeys[0].rooms) == 2
    assert [min(side.y_mm for side in part.outline) for part in with_stair] == [0.0]


def hall_of_two_storeys(sill_mm: float) -> Job:
    corners = ((0, 0), (4000, 0), (4000, 3000), (0, 3000))
    sides = tuple(Side(id=SideId(f"s{k}"), x_mm=x, y_mm=y) for k, (x, y) in enumerate(corners, 1))
    hall = Room(id=RoomId("r1"), name="Hall", outline=sides, ceiling=Field(planes=(Plane(z_mm=5400.0),)))
    window = Opening(
        id=OpeningId("o1"), kind="window", room=hall.id, side=SideId("s1"), offset_mm=500, width_mm=1000,
        sill_mm=sill_mm, head_mm=sill_mm + 1200,
    )  # fmt: skip
    ground = Storey(id=StoreyId("1"), name="Ground", rooms=(hall,), openings=(window,))
    upper = Storey(
        id=StoreyId("2"), name="First", level_mm=2700.0, rooms=(replace(hall, id=RoomId("r2"), ceiling=None),)
    )
    return Job(storeys=(ground, upper))


@pytest.mark.parametrize(("sill_mm", "told"), [(900.0, False), (3600.0, True)])
def test_opening_in_the_height_of_another_storey_is_told(sill_mm, told) -> None:
    texts = [f.text for f in check(hall_of_two_storeys(sill_mm)) if f.code == "opening-in-other-storey"]
    wanted = "Hall has openings at the height of First (1 opening): check what is beyond, and sill and head."
    assert texts == ([wanted] if told else [])


def named(name: str, **more: object) -> Room:
    corners = ((0.0, 0.0), (2000.0, 0.0), (2000.0, 3000.0), (0.0, 3000.0))
    outline = tuple(Side(id=SideId(f"s{k}"), x_mm=x, y_mm=y) for k, (x, y) in enumerate(corners))
    return Room(id=RoomId(name), name=name, outline=outline, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("name", "asked"),
    [("Лестница", True), ("TREPPENHAUS", True), ("Hall / stair", True), ("Cage d'escalier", True), ("Scala 2", True),
     ("Cupboard under stairs", False), ("Abstellraum unter Treppe", False), ("Hall", False), ("Trappings", False)],
)  # fmt: skip
def test_room_named_as_a_stair_is_asked_about_without_treads(name, asked) -> None:
    job = Job(storeys=(Storey(id=StoreyId("g"), rooms=(named(name),)),))
    told = stair_checks(job)
    wanted = f"The ceiling of {name}, 6.00 m², is that of a stair: say whether it goes on above the stair."
    assert told == ([wanted] if asked else [])
    if asked:
        answered = edits.answer_stair(job, RoomId(name), "none")
        assert (ceilings(job), ceilings(answered)) == ([6.0], [0.0])
        assert stair_checks(answered) == []


def test_last_of_several_stairs_one_over_another_is_not_asked_about() -> None:
    below, above = named("Treppe EG"), named("Treppe OG")
    job = Job(
        storeys=(Storey(id=StoreyId("g"), rooms=(below,)), Storey(id=StoreyId("u"), level_mm=2700.0, rooms=(above,)))
    )
    (text,) = stair_checks(job)
    assert text == (
        "The ceiling of Treppe EG, 6.00 m², has a stair under it and in Treppe OG above: say whether it goes on."
    )
