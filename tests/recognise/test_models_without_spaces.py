"""Models without a single space: rooms are what the walls enclose, in every schema, unit and place."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "readers"))

from ifc_making import TOWER_M2, tower

from takeoff.measure import measure
from takeoff.plan.check import check
from takeoff.plan.model import Job
from takeoff.readers.ifc import read
from takeoff.recognise.modelled import propose_modelled


def proposed(path: Path) -> Job:
    job, found = propose_modelled(read(path)[0])
    assert "spaces-missing" in {f.code for f in found}
    assert [f.text for f in check(job) if f.severity == "error"] == []
    return job


@pytest.mark.parametrize(
    ("schema", "unit", "turned", "shift"),
    [
        ("IFC2X3", "m", 0.0, (0.0, 0.0)),
        ("IFC4", "ft", 17.0, (0.0, 0.0)),
        ("IFC4X3_ADD2", "mm", -38.0, (0.0, 0.0)),
        ("IFC4", "mm", 0.0, (4e6, -4e6)),
    ],
)
def test_five_storeys_of_walls_give_fifteen_rooms_and_their_openings(
    schema: str, unit: str, turned: float, shift: tuple[float, float], tmp_path: Path
) -> None:
    path = tmp_path / "tower.ifc"
    path.write_text(tower(schema, unit, turned, shift=shift).text())
    job = proposed(path)
    assert [s.level_mm for s in job.storeys] == pytest.approx([0, 3000, 6000, 9000, 12000])
    floors = {r.room: r.floor_m2 for r in measure(job).rooms}
    for storey in job.storeys:
        assert sorted(floors[r.id] for r in storey.rooms) == pytest.approx(sorted(TOWER_M2), rel=1e-4)
        assert {r.confidence for r in storey.rooms} <= {"check", "question"}
        doors = [o for o in storey.openings if o.kind == "door"]
        assert sorted(o.width_mm for o in doors) == pytest.approx([900, 900, 1000])
        assert {(round(o.sill_mm), round(o.head_mm)) for o in doors} == {(0, 2040)}
        windows = [o for o in storey.openings if o.kind == "window" and o.width_mm < 2000]
        assert [(o.width_mm, o.sill_mm, o.head_mm) for o in windows] == [
            (pytest.approx(1200), pytest.approx(900), pytest.approx(2100))
        ]


def test_a_curtain_wall_bounds_its_room_and_is_a_window_of_it(tmp_path: Path) -> None:
    path = tmp_path / "tower.ifc"
    path.write_text(tower(storeys=1).text())
    (storey,) = proposed(path).storeys
    glazed = [o for o in storey.openings if o.kind == "window" and o.width_mm > 2000]
    assert [o.width_mm for o in glazed] == pytest.approx([4600])


def test_a_column_is_left_standing_in_its_room(tmp_path: Path) -> None:
    path = tmp_path / "tower.ifc"
    path.write_text(tower(storeys=1).text())
    (storey,) = proposed(path).storeys
    assert sorted(len(r.inner) for r in storey.rooms) == [0, 0, 1]
