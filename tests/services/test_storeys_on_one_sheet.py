"""Plans of several storeys on one sheet are told apart by their titles."""

from __future__ import annotations

from pathlib import Path

from takeoff.services.opened.opening import open_file

CHECKOUT = Path(__file__).parents[2]


def test_two_titled_plans_on_one_sheet_are_two_storeys_even_with_one_room_each() -> None:
    job = open_file(CHECKOUT / "sample_plans" / "stairwell.dxf").job
    assert [(s.name, [r.name for r in s.rooms]) for s in job.storeys] == [
        ("GROUND FLOOR", ["Stairwell"]),
        ("FIRST FLOOR", ["Stairwell, upper part", "Lobby"]),
    ]
