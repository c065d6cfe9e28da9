"""Bays of windows side by side, put together or not."""

from __future__ import annotations

from drawn import Sheet

from takeoff.plan.model import Opening, OpeningId, RoomId, SideId
from takeoff.recognise import propose
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


def in_a_thick_wall(off_mm: float) -> list[str]:
    """Openings of a room of 4000 × 3000 whose inner faces alone are drawn, with panes of 1200 × 60 in the wall below,
    whose middle lies so far from the face."""
    sheet = Sheet().box(0, 0, 4000, 3000).word("Room", 2000, 1500)
    sheet.box(1400, -off_mm - 30, 2600, -off_mm + 30, "A-GLAZ")
    return [f"{o.kind} {round(o.width_mm)}" for s in propose(sheet.drawing())[0].storeys for o in s.openings]


def test_a_window_stands_in_the_outer_half_of_a_thick_wall() -> None:
    assert in_a_thick_wall(430.0) == ["window 1200"]
    assert in_a_thick_wall(600.0) == []
