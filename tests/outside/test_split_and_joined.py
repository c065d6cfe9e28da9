"""Random rooms parted by a line and joined again: every quantity is what it was before.

TAKEOFF_PARTED=1000 for the long run.
"""

from __future__ import annotations

import os
import random
from collections import Counter
from collections.abc import Iterator
from typing import Literal

import pytest
from solids_rooms import random_case

from takeoff.errors import InputError
from takeoff.measure import measure
from takeoff.plan import edits
from takeoff.plan.model import Job, Room, Side, SideId, Storey

ROOMS = int(os.environ.get("TAKEOFF_PARTED", "60"))
BLOCK = 20
TOLERANCE = 2e-6
WALL_MM = 100.0
LINES = 6

NAMES = (
    "floor_m2", "perimeter_m", "ceiling_m2", "wall_gross_m2", "openings_m2", "wall_net_m2", "drop_m2", "reveal_m2",
    "coated_m2", "external_corner_m", "coat_edge_m", "floor_edge_m", "frame_joint_m", "bead_m",
)  # fmt: skip

Line = tuple[tuple[float, float], tuple[float, float]]


def figures(job: Job) -> Counter[str]:
    found: Counter[str] = Counter()
    for room in measure(job).rooms:
        found.update({name: getattr(room, name) for name in NAMES})
        found.update({f"internal {kind}": length for kind, length in room.internal_corner_m.items()})
        found.update({f"external {kind}": length for kind, length in room.external_corner_by_kind_m.items()})
    return found


def places(room: Room) -> Iterator[tuple[float, float]]:
    """The corners of a room and of all that lies in its ceiling and on its floor."""
    yield from ((side.x_mm, side.y_mm) for side in room.sides)
    fields = [field for field in (room.ceiling, room.floor) if field is not None]
    yield from ((x, y) for field in fields for region in field.regions for x, y, _ in region.outline)
    yield from ((x, y) for e in room.ceiling_treatment.exclusions for x, y, _ in e.outline)


def random_line(rng: random.Random, room: Room) -> tuple[Line, Literal["wall", "open"]] | None:
    """A line across a room, upright or level, often beside a corner. None where a wall along it would hide a
    corner: what turned there cannot be told from what is left."""
    xs, ys = [s.x_mm for s in room.outline], [s.y_mm for s in room.outline]
    upright = rng.random() < 0.5
    own = xs if upright else ys
    beside = rng.choice([0.0, 0.4, 0.8, 1.0, 1.2, -0.6, -1.0, 60.0, -60.0])
    at = rng.choice([rng.uniform(min(own), max(own)), rng.choice(own) + beside])
    kind = rng.choice(("wall", "open"))
    if kind == "wall" and any(abs((x if upright else y) - at) <= WALL_MM / 2 + 1.5 for x, y in places(room)):
        return None
    if upright:
        return ((at, min(ys) - 100), (at, max(ys) + 100)), kind
    return ((min(xs) - 100, at), (max(xs) + 100, at)), kind


@pytest.mark.parametrize("block", range(0, ROOMS, BLOCK))
def test_a_room_that_is_parted_and_joined_again_measures_as_before(block: int) -> None:
    parted, wrong = 0, []
    for number in range(block, min(block + BLOCK, ROOMS)):
        case = random_case(number)
        rng, before = random.Random(number), figures(case.job)
        for _ in range(LINES):
            drawn = random_line(rng, case.room)
            if drawn is None:
                continue
            (one, other), kind = drawn
            try:
                two = edits.split_room(case.job, case.room.id, one, other, kind, WALL_MM)
            except InputError:
                continue  # beside the room, through a pier or an opening: refused, and nothing has changed
            new = next(r.id for s in two.storeys for r in s.rooms if r.id != case.room.id)
            after = figures(edits.join_rooms(two, case.room.id, new))
            parted += 1
            wrong += [
                f"room {number}, {kind} from {one}: {name} {before[name]:.6f}, then {after[name]:.6f}"
                for name in before
                if abs(after[name] - before[name]) > TOLERANCE * max(1.0, abs(before[name]))
            ]
    assert not wrong, "\n".join(wrong)
    assert parted >= BLOCK


def two_rooms(jog_mm: float) -> Job:
    def box(x: float, y: float) -> tuple[Side, ...]:
        corners = ((x, y), (x + 4000, y), (x + 4000, y + 3000), (x, y + 3000))
        return tuple(Side(id=SideId(f"s{k}"), x_mm=a, y_mm=b) for k, (a, b) in enumerate(corners))

    rooms = (Room(id="A", outline=box(0, 0)), Room(id="B", outline=box(4000, jog_mm)))
    return Job(storeys=(Storey(id="g", rooms=rooms),))


@pytest.mark.parametrize("jog_mm", [0.0, 1.0, 3.0])
def test_rooms_a_hair_out_of_line_become_one_wall_without_bead(jog_mm: float) -> None:
    (room,) = measure(edits.join_rooms(two_rooms(jog_mm), "A", "B")).rooms
    assert room.bead_m == 0
    assert room.internal_corner_m["wall_wall"] == pytest.approx(4 * 2.4)
    assert room.perimeter_m == pytest.approx(22.0, abs=0.01)


def test_rooms_that_stand_ten_centimetres_apart_in_line_keep_their_two_corners() -> None:
    (room,) = measure(edits.join_rooms(two_rooms(100.0), "A", "B")).rooms
    # one at each end of the way between them: an external and an internal corner, 2.4 m high
    assert room.bead_m == pytest.approx(2 * 2.4)
