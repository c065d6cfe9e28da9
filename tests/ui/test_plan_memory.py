"""What is drawn after an edit is what would be drawn of the job from the start."""

from __future__ import annotations

import random

import pytest

from takeoff.measure import Memory
from takeoff.plan import edits
from takeoff.plan.model import CeilingTreatment, Job, Opening, Room, Side, Storey, WallTreatment
from takeoff.ui.canvas import plan_memory
from takeoff.ui.canvas.pieces import Board
from takeoff.views.board import State, stand

ACROSS = 6


def house(rooms: int) -> Job:
    """Rooms of 4 × 3 m in rows of six, walls of 200 mm between them, a door in each."""
    made, doors = [], []
    for k in range(rooms):
        x, y = (k % ACROSS) * 4200.0, (k // ACROSS) * 3200.0
        corners = ((x, y), (x + 4000, y), (x + 4000, y + 3000), (x, y + 3000))
        sides = tuple(Side(id=f"r{k}s{i}", x_mm=px, y_mm=py) for i, (px, py) in enumerate(corners))
        made.append(Room(id=f"r{k}", outline=sides))
        doors.append(
            Opening(
                id=f"d{k}",
                kind="door",
                room=f"r{k}",
                side=f"r{k}s1",
                offset_mm=800,
                width_mm=900,
                sill_mm=0,
                head_mm=2040,
            )
        )
    return Job(storeys=(Storey(id="g", rooms=tuple(made), openings=tuple(doors)),))


def some_edit(job: Job, rng: random.Random) -> Job:
    room = f"r{rng.randrange(len(job.storeys[0].rooms))}"
    side = f"{room}s{rng.randrange(4)}"
    what = rng.randrange(7)
    if what == 0:
        return edits.set_flat_ceiling(job, room, rng.choice([2200.0, 2500.0, 3000.0]))
    if what == 1:
        return edits.set_wall_treatment(job, room, WallTreatment(coat=rng.random() < 0.5), side)
    if what == 2:
        return edits.set_ceiling_treatment(job, room, CeilingTreatment(coat=False))
    if what == 3:
        return edits.rename_room(job, room, rng.choice(["Kitchen", "Hall", "Study"]))
    if what == 4:
        return edits.move_side(job, room, side, rng.choice([-300.0, 40.0]))
    if what == 5:
        return edits.slide_opening(job, f"d{room[1:]}", rng.choice([300.0, 1200.0]))
    return edits.set_wall_treatment(job, room, WallTreatment(start_mm=600.0), side)


@pytest.mark.parametrize("rooms", [12, 36])
def test_pieces_after_many_edits_are_those_of_a_fresh_board(rooms: int) -> None:
    rng, memory, board = random.Random(rooms), Memory(), Board((0.0, 0.0))
    job = house(rooms)
    state: State | None = None
    for _ in range(25):
        state = stand(job, memory, state)
        shown = board.pieces(state, job.storeys[0])
        if not board.complete:
            shown = board.pieces(state, job.storeys[0], whole=True)
        fresh = Board((0.0, 0.0)).pieces(stand(job, Memory()), job.storeys[0])
        assert shown.keys() == fresh.keys()
        assert [name for name in fresh if shown[name] != fresh[name]] == []
        job = some_edit(job, rng)


def test_edit_of_height_leaves_every_other_room_the_same_object() -> None:
    memory, board, job = Memory(), Board((0.0, 0.0)), house(36)
    state = stand(job, memory)
    before = board.pieces(state, job.storeys[0])
    job = edits.set_flat_ceiling(job, "r8", 2600.0)
    after = board.pieces(stand(job, memory, state), job.storeys[0])
    assert board.complete
    assert {name for name in after if after[name] is not before[name]} == {"room:r8", "marks:r8"}


def test_large_storey_leaves_its_walls_for_later_and_says_so() -> None:
    memory, board, job = Memory(), Board((0.0, 0.0)), house(plan_memory._FEW + 6)
    state = stand(job, memory)
    board.pieces(state, job.storeys[0])
    moved = edits.move_side(job, "r8", "r8s0", -300.0)
    board.pieces(stand(moved, memory, state), moved.storeys[0])
    assert not board.complete
    board.pieces(stand(moved, memory, state), moved.storeys[0], whole=True)
    assert board.complete
