"""A leaf drawn half in its pocket makes the way beside it a door; what lies along or within a wall alone makes none."""

from __future__ import annotations

from drawn import Sheet, two_rooms
from test_rooms_found import rooms

from takeoff.recognise import propose


def leaf(low: float, high: float, x: float = 4031.0) -> Sheet:
    """Two rooms with a way of 900 from y = 1000 to 1900 in the wall from x = 4000 to 4100, and a leaf of 38."""
    sheet = two_rooms(door=False)
    return sheet.box(x, low, x + 38, high, "FURNITURE")


def ways(sheet: Sheet) -> list[tuple[str, str]]:
    job = propose(sheet.drawing())[0]
    assert len(rooms(job)) == 2
    return [(o.kind, o.confidence) for s in job.storeys for o in s.openings]


def test_a_leaf_half_in_its_wall_is_a_door() -> None:
    """450 of it in the way, 450 in the wall."""
    assert ways(leaf(1450, 2350)) == [("door", "sure")]


def test_without_a_leaf_or_with_one_in_the_wall_alone_it_is_to_be_checked() -> None:
    assert [c for _, c in ways(two_rooms(door=False))] == ["check"]
    assert [c for _, c in ways(leaf(1950, 2850))] == ["check"]


def test_what_lies_along_a_face_is_no_leaf() -> None:
    """A strip from the face itself on: a lining or a board; and one before the face that leaves most of the way free:
    250 of 900."""
    assert [c for _, c in ways(leaf(1450, 2350, x=4000.0))] == ["check"]
    assert [c for _, c in ways(leaf(1650, 2550, x=4125.0))] == ["check"]


def test_a_leaf_that_slides_before_its_wall_is_a_door() -> None:
    """25 before the face, 700 of 900 in the way."""
    assert ways(leaf(1200, 2100, x=4125.0)) == [("door", "sure")]
