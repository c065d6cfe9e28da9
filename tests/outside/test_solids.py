"""Random rooms measured by the engine and, independently, as solids: both must say the same.

300 rooms in the normal run; TAKEOFF_SOLIDS=10000 for the long one. To look at one room again:
TAKEOFF_SOLIDS_ROOM=1234 pytest tests/outside/test_solids.py -k one_room
"""

from __future__ import annotations

import os

import pytest
from solids_reading import Reading, quantities, read_void
from solids_rooms import FAMILIES, STOREY_HEIGHT_MM, Case, random_case
from solids_void import with_openings

from takeoff.measure import measure
from takeoff.measure.takeoff import RoomTakeoff

ROOMS = int(os.environ.get("TAKEOFF_SOLIDS", "300"))
BLOCK = 10
TOLERANCE = 1e-6
"""Relative, and in m or m² below 1."""
NEAR_COINCIDENCE_MM = 1.0
"""Rooms in which points of the solid come closer than this, without being the same, are left out."""
MOST_LEFT_OUT = 0.1
AGAIN = "to look at one again: TAKEOFF_SOLIDS_ROOM=<number> pytest tests/outside/test_solids.py -k one_room"


def figures(room: RoomTakeoff) -> dict[str, float]:
    """The engine's figures under the names of the solids' ones."""
    names = (
        "perimeter_m", "floor_m2", "wall_gross_m2", "openings_m2", "not_coated_m2", "wall_net_m2",
        "ceiling_m2", "drop_m2",
        "reveal_m2", "coated_m2", "external_corner_m", "coat_edge_m", "floor_edge_m", "frame_joint_m",
    )  # fmt: skip
    made: dict[str, float] = {name: getattr(room, name) for name in names}
    made |= {f"internal.{kind}": length for kind, length in room.internal_corner_m.items()}
    made |= {f"external.{kind}": length for kind, length in room.external_corner_by_kind_m.items()}
    return made


def same(a: float, b: float) -> bool:
    return abs(a - b) <= TOLERANCE * max(1.0, abs(a), abs(b))


def readings(case: Case) -> tuple[Reading, Reading]:
    full = with_openings(case.bare, case.room, case.recesses)
    return (
        read_void(full, case.room, case.recesses, STOREY_HEIGHT_MM),
        read_void(case.bare, case.room, (), STOREY_HEIGHT_MM),
    )


def differences(case: Case) -> dict[str, tuple[float, float]] | None:
    """Quantities that differ, as (engine, solid); None where the room is left out."""
    full, bare = readings(case)
    if full.untellable or full.shortest_mm < NEAR_COINCIDENCE_MM:
        return None
    expected = quantities(case.room, case.recesses, full, bare)
    found = figures(measure(case.job).rooms[0])
    differ = {
        name: (found.get(name, 0.0), value) for name, value in expected.items() if not same(found.get(name, 0.0), value)
    }
    return differ | faces_that_differ(case, full, bare)


def faces_that_differ(case: Case, full: Reading, bare: Reading) -> dict[str, tuple[float, float]]:
    """Wall faces whose gross or net area differs, largest face first."""
    room = measure(case.job).rooms[0]
    differ = {}
    for what, reading in (("gross", bare), ("net", full)):
        counted = {s: a for s, a in reading.area.items() if s.kind == "wall" and (s.coated or what == "gross")}
        solid = sorted(counted.values())
        faces = sorted(getattr(face, f"{what}_m2") for face in room.faces)
        faces = [area for area in faces if area > 0.0]
        if len(faces) != len(solid) or not all(map(same, faces, solid)):
            differ[f"faces.{what}"] = (sum(faces), sum(solid))
    return differ


@pytest.mark.parametrize("block", range(0, ROOMS, BLOCK))
def test_random_rooms_measure_the_same_as_their_solids(block: int) -> None:
    cases = [random_case(number) for number in range(block, min(block + BLOCK, ROOMS))]
    results = [(case, differences(case)) for case in cases]
    wrong = [
        f"room {case.number} ({case.family}): {name}: engine {pair[0]:.9f}, solid {pair[1]:.9f}"
        for case, differ in results
        for name, pair in (differ or {}).items()
    ]
    assert not wrong, "\n".join([*wrong, AGAIN])
    assert sum(differ is None for _, differ in results) <= max(3, MOST_LEFT_OUT * len(cases))


@pytest.mark.skipif("TAKEOFF_SOLIDS_ROOM" not in os.environ, reason="no room named in TAKEOFF_SOLIDS_ROOM")
def test_one_room() -> None:
    case = random_case(int(os.environ["TAKEOFF_SOLIDS_ROOM"]))
    print(case.job)
    assert not differences(case)


def test_the_rooms_have_what_they_are_meant_to_try() -> None:
    """The generator itself: every family has its features, and openings touch floor, ceiling and corner."""
    cases = [random_case(number) for number in range(60)]
    seen = {case.family for case in cases}
    openings = [o for case in cases for o in case.openings]
    regions = [r for case in cases for f in (case.room.ceiling, case.room.floor) if f for r in f.regions]
    assert seen == set(FAMILIES)
    assert max(len(case.room.outline) for case in cases) == 12
    assert sum(bool(case.room.inner) for case in cases) >= 10
    assert len(openings) >= 60
    assert {o.sill_mm in (0.0, 70.0) for o in openings} == {True, False}
    assert sum(o.offset_mm == 0.0 for o in openings) >= 3
    assert {r.op for r in regions} == {"lower", "raise", "set"}
