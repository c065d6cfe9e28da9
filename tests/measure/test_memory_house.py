"""A memory after any edit of a house gives what measuring anew gives: piers, rooflights, storeys, open ways."""

from __future__ import annotations

import random

import pytest
from memory_house import EDITS, Edit, house, in_room, in_storey, replace

from takeoff.measure import Memory, measure
from takeoff.measure.takeoff import Takeoff
from takeoff.plan.job_drawings import FIRST, with_origin
from takeoff.plan.model import BUDGET, DrawingRef, Job


def alike(memory: Memory, job: Job) -> Takeoff:
    remembered, anew = memory.measure(job), measure(job)
    assert remembered.rooms == anew.rooms
    assert remembered.unsure == anew.unsure
    assert remembered.findings == anew.findings
    assert remembered.totals == pytest.approx(anew.totals, abs=1e-9)
    return anew


@pytest.mark.parametrize("edit", EDITS)
def test_an_edit_and_its_undoing_measured_with_a_memory_equal_measuring_anew(edit: str) -> None:
    memory, before = Memory(), house()
    after = EDITS[edit](before)
    first = alike(memory, before)
    second = alike(memory, after)
    assert first != second, "the edit changes nothing that is measured"
    alike(memory, before)
    alike(memory, after)


@pytest.mark.parametrize("seed", range(4))
def test_edits_one_after_another_equal_measuring_anew(seed: int) -> None:
    rng, memory, job = random.Random(seed), Memory(), house()
    for name in rng.sample(sorted(EDITS), 14):
        job = EDITS[name](job)
        alike(memory, job)


def test_a_rooflight_in_one_storey_leaves_the_rooms_of_the_other_alone() -> None:
    memory, job = Memory(), house()
    before = memory.measure(job).rooms
    after = memory.measure(EDITS["rooflight deeper"](job)).rooms
    below = [(a, b) for a, b in zip(before, after, strict=True) if a.storey == "ground"]
    assert len(below) == 4
    assert all(a is b for a, b in below)
    loft = [(a, b) for a, b in zip(before, after, strict=True) if a.room == "loft"]
    assert loft[0][0].reveal_m2 < loft[0][1].reveal_m2


def test_the_far_side_of_an_open_way_is_measured_anew_when_its_room_moves() -> None:
    memory, job = Memory(), house()
    hall = next(r for r in memory.measure(job).rooms if r.room == "hall")
    moved = memory.measure(EDITS["far room of the open way moved off"](job)).rooms
    # the wall is 240 mm thick now and 100 mm before: one jamb of 2.1 m and the head of 1.0 m are coated
    grown = next(r for r in moved if r.room == "hall").reveal_m2 - hall.reveal_m2
    assert grown == pytest.approx((2.1 + 1.0) * 0.14)


@pytest.mark.parametrize(
    "edit",
    [
        lambda job: with_origin(job, DrawingRef(id=FIRST, name="house.dxf")),
        in_storey("ground", lambda storey: replace(storey, building_source="drawn")),
        in_room("ground", "store", lambda room: replace(room, evidence=(BUDGET,))),
    ],
    ids=["from a drawing", "said to be drawn", "room set down by its sizes"],
)
def test_whose_word_the_outline_of_a_building_is_counts_for_what_lies_behind_its_walls(edit: Edit) -> None:
    memory, known = Memory(), EDITS["building known"](house())
    first = alike(memory, known)
    assert first != alike(memory, edit(known))
    alike(memory, known)
