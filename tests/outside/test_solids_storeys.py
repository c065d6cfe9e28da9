"""Random storeys of several rooms measured by the engine and, independently, as blocks: both must say the same.

40 storeys in the normal run; TAKEOFF_STOREYS=2000 for the long one. To look at one again:
TAKEOFF_STOREY=1234 pytest tests/outside/test_solids_storeys.py -k one_storey
"""

from __future__ import annotations

import os

import pytest
from solids_blocks import quantities
from solids_storeys import random_storey
from test_solids import figures, same

from takeoff.measure import measure

STOREYS = int(os.environ.get("TAKEOFF_STOREYS", "40"))
BLOCK = 10


def differences(number: int) -> dict[str, tuple[float, float]]:
    """Quantities that differ, as (engine, blocks)."""
    thrown = random_storey(number)
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
        assert not differences(number), f"storey {number}"


@pytest.mark.skipif("TAKEOFF_STOREY" not in os.environ, reason="no storey named in TAKEOFF_STOREY")
def test_one_storey() -> None:
    number = int(os.environ["TAKEOFF_STOREY"])
    found = differences(number)
    assert not found, (found, random_storey(number).job)
