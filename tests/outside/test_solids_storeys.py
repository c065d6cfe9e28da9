"""Random storeys of several rooms measured by the engine and, independently, as blocks: both must say the same.

40 storeys in the normal run; TAKEOFF_STOREYS=2000 for the long one; of either family of doorways that stand on
steps half as many. To look at one again: TAKEOFF_STOREY=1234 pytest tests/outside/test_solids_storeys.py -k one_storey,
with TAKEOFF_DOORWAYS="between levels" one of that family.
"""

from __future__ import annotations

import os

import pytest
from solids_blocks import quantities
from solids_storeys import Doorways, Thrown, random_storey, stepped_storey
from test_solids import figures, same

from takeoff.measure import measure

STOREYS = int(os.environ.get("TAKEOFF_STOREYS", "40"))
BLOCK = 10


def differences(thrown: Thrown) -> dict[str, tuple[float, float]]:
    """Quantities that differ, as (engine, blocks)."""
    found = measure(thrown.job)
    expected = quantities(thrown)
    differ = {}
    totals: dict[str, float] = {}
    for room in found.rooms:
        mine, wanted = figures(room), expected[room.room]
        for name, value in wanted.items():
            if not same(mine[name], value):
                differ[f"{room.room} {name}"] = (mine[name], value)
            totals[name] = totals.get(name, 0.0) + value * room.times
        planned = next(r for r in thrown.storey.rooms if r.id == room.room)
        assert room.times == planned.times * thrown.storey.times
    for name in ("wall_net_m2", "reveal_m2", "coated_m2", "coat_edge_m", "floor_edge_m", "frame_joint_m"):
        if not same(found.totals[name], totals[name]):
            differ[f"total {name}"] = (found.totals[name], totals[name])
    return differ


@pytest.mark.parametrize("first", range(0, STOREYS, BLOCK))
def test_random_storeys_are_the_same_as_blocks(first: int) -> None:
    for number in range(first, min(first + BLOCK, STOREYS)):
        assert not differences(random_storey(number)), f"storey {number}"


@pytest.mark.parametrize("first", range(0, STOREYS // 2, BLOCK))
@pytest.mark.parametrize("doorways", ["between levels", "partly hidden"])
def test_random_doorways_on_steps_are_the_same_as_blocks(doorways: Doorways, first: int) -> None:
    for number in range(first, min(first + BLOCK, STOREYS // 2)):
        assert not differences(stepped_storey(number, doorways)), f"storey {number}"


@pytest.mark.skipif("TAKEOFF_STOREY" not in os.environ, reason="no storey named in TAKEOFF_STOREY")
def test_one_storey() -> None:
    number, doorways = int(os.environ["TAKEOFF_STOREY"]), os.environ.get("TAKEOFF_DOORWAYS", "level")
    thrown = random_storey(number) if doorways == "level" else stepped_storey(number, doorways)  # type: ignore[arg-type]
    found = differences(thrown)
    assert not found, (found, thrown.job)
