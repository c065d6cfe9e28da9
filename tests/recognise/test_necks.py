"""Ways between rooms that no wall end looks across are closed all the same."""

from __future__ import annotations

from drawn import Sheet
from test_rooms_found import area_m2, rooms

from takeoff.recognise import propose


def mouth(radius: float) -> Sheet:
    """A room of 4000 × 3000 and a corridor of 1000 × 4000 that opens into it at x = 4000 between two corners, with a
    swing of a radius hung 150 before its lower corner."""
    sheet = Sheet()
    sheet.box(-300, -300, 8300, 3300)
    sheet.ring((0, 0), (4000, 0), (4000, 1000), (8000, 1000), (8000, 2000), (4000, 2000), (4000, 3000), (0, 3000))
    sheet.word("Hall", 2000, 1500).word("Corridor", 6500, 1500)
    sheet.line(3850, 1000, 3850 - radius, 1000, "A-DOOR")
    sheet.arcs.append((3850, 1000 + radius, 3850 - radius, 1000, 0.41421356237, "A-DOOR"))
    return sheet


def test_the_mouth_of_a_corridor_is_closed_where_a_door_hangs_in_it() -> None:
    job, _ = propose(mouth(1000).drawing())
    assert {r.name: round(area_m2(r), 2) for r in rooms(job)} == {"Hall": 12.0, "Corridor": 4.0}
    assert [(o.kind, round(o.width_mm)) for o in job.storeys[0].openings] == [("door", 1000)]


def test_a_leaf_that_is_too_short_for_the_mouth_of_a_corridor_closes_nothing() -> None:
    assert [round(area_m2(r), 2) for r in rooms(propose(mouth(700).drawing())[0])] == [16.0]
