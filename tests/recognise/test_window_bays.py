"""Bays of windows side by side, put together or not."""

from __future__ import annotations

from takeoff.plan.model import Opening, OpeningId, RoomId, SideId
from takeoff.recognise.openings.window_bays import as_one


def window(number: int, offset_mm: float, width_mm: float, why: str) -> Opening:
    return Opening(
        id=OpeningId(f"o{number}"),
        kind="window",
        room=RoomId("r1"),
        side=SideId("r1s1"),
        offset_mm=offset_mm,
        width_mm=width_mm,
        sill_mm=900.0,
        head_mm=2100.0,
        evidence=(why,),
    )


def test_a_bare_gap_between_two_windows_is_the_pier_between_them() -> None:
    glass, bare = "glazing drawn over the wall", "a plain gap in the wall"
    row = [window(1, 0, 2600, glass), window(2, 2600, 500, bare), window(3, 3100, 2600, glass)]
    assert as_one(row) == row
    # The same with glass in the middle is one window of 5.7 m.
    (one,) = as_one([window(1, 0, 2600, glass), window(2, 2600, 500, glass), window(3, 3100, 2600, glass)])
    assert one.width_mm == 5700
