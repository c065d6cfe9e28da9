"""Measuring with a memory gives what measuring afresh gives, whatever was edited in between."""

from __future__ import annotations

import random

import msgspec
import pytest

from takeoff.measure import Memory, measure
from takeoff.measure.takeoff import Takeoff
from takeoff.plan.model import Job, Opening, Reveal, Room, Side, Storey, Strip, WallTreatment, WallType

replace = msgspec.structs.replace
GRID = 3


def house() -> Job:
    rooms, openings = [], []
    for i in range(GRID * GRID):
        x, y = (i % GRID) * 4100, (i // GRID) * 3100
        corners = ((x, y), (x + 4000, y), (x + 4000, y + 3000), (x, y + 3000))
        rooms.append(
            Room(id=f"r{i}", outline=tuple(Side(id=f"s{k}", x_mm=a, y_mm=b) for k, (a, b) in enumerate(corners)))
        )
        openings.append(
            Opening(
                id=f"o{i}",
                kind="open",
                room=f"r{i}",
                side="s1",
                offset_mm=500,
                width_mm=900,
                sill_mm=0,
                head_mm=2000,
                reveal=Reveal(start=Strip(), end=Strip(), head=Strip()),
                confidence="check" if i == 4 else "sure",
            )
        )
    return Job(storeys=(Storey(id="g", rooms=tuple(rooms), openings=tuple(openings)),))


def edited(job: Job, rng: random.Random) -> Job:
    storey = job.storeys[0]
    rooms, openings = list(storey.rooms), list(storey.openings)
    k = rng.randrange(len(rooms))
    what = rng.randrange(6)
    if what == 0:
        rooms[k] = replace(rooms[k], times=rng.randint(1, 3))
    elif what == 1:
        outline = list(rooms[k].outline)
        outline[2] = replace(outline[2], y_mm=outline[2].y_mm + rng.uniform(-50, 50))
        rooms[k] = replace(rooms[k], outline=tuple(outline))
    elif what == 2 and openings:
        n = rng.randrange(len(openings))
        openings[n] = replace(openings[n], offset_mm=rng.uniform(100, 1900))
    elif what == 3 and openings:
        del openings[rng.randrange(len(openings))]
    elif what == 4 and len(rooms) > 3:
        gone = rooms.pop(k)
        openings = [o for o in openings if o.room != gone.id]
    else:
        outline = list(rooms[k].outline)
        outline[1] = replace(outline[1], kind=rng.choice(["open", "wall"]))
        rooms[k] = replace(rooms[k], outline=tuple(outline))
    return replace(job, storeys=(replace(storey, rooms=tuple(rooms), openings=tuple(openings)),))


def alike(a: Takeoff, b: Takeoff) -> None:
    assert a.rooms == b.rooms
    assert a.unsure == b.unsure
    assert a.findings == b.findings
    assert a.totals == pytest.approx(b.totals, abs=1e-9)


@pytest.mark.parametrize("seed", range(8))
def test_edits_measured_with_a_memory_equal_a_fresh_measurement(seed: int) -> None:
    rng, memory, job = random.Random(seed), Memory(), house()
    for _ in range(12):
        alike(memory.measure(job), measure(job))
        job = edited(job, rng)


def test_unchanged_rooms_keep_their_figures_by_identity() -> None:
    memory, job = Memory(), house()
    before = memory.measure(job).rooms
    storey = job.storeys[0]
    rooms = (replace(storey.rooms[0], name="Store"), *storey.rooms[1:])
    after = memory.measure(replace(job, storeys=(replace(storey, rooms=rooms),))).rooms
    assert after[0].name == "Store"
    assert [a is b for a, b in zip(before, after, strict=True)].count(True) == GRID * GRID - 1


def test_change_of_the_bead_default_reaches_every_room() -> None:
    memory, job = Memory(), house()
    assert memory.measure(job).totals["bead_m"] > 0
    assert memory.measure(replace(job, bead_default="none")).totals["bead_m"] == 0


def test_of_rooms_drawn_over_each_other_the_same_lies_behind_whichever_was_drawn_last() -> None:
    one = house().storeys[0]
    over = replace(one.rooms[1], id="over")
    late = Job(storeys=(replace(one, rooms=(*one.rooms, over)),))
    memory = Memory()
    memory.measure(late)
    first = replace(one.rooms[1], outline=tuple(replace(side) for side in one.rooms[1].outline))
    again = Job(storeys=(replace(one, rooms=(one.rooms[0], first, *one.rooms[2:], over)),))
    alike(memory.measure(again), measure(again))


def test_another_treatment_of_a_host_reaches_the_room_beyond_its_doorway() -> None:
    memory, job = Memory(), house()
    memory.measure(job)
    storey = job.storeys[0]
    rooms = (replace(storey.rooms[0], walls=WallTreatment(coat=False)), *storey.rooms[1:])
    bare = replace(job, storeys=(replace(storey, rooms=rooms),))
    alike(memory.measure(bare), measure(bare))


def test_another_wall_type_of_the_far_room_reaches_the_strips_of_the_doorway() -> None:
    memory, job = Memory(), replace(house(), wall_types=(WallType(id="lined", finish_a_mm=15),))
    was = memory.measure(job).rooms[0].reveal_m2
    storey = job.storeys[0]
    far = storey.rooms[1]
    lined = replace(far, outline=(*far.outline[:3], replace(far.outline[3], wall_type="lined")))
    after = replace(job, storeys=(replace(storey, rooms=(storey.rooms[0], lined, *storey.rooms[2:])),))
    alike(memory.measure(after), measure(after))
    assert memory.measure(after).rooms[0].reveal_m2 == pytest.approx(was * 115 / 100)
