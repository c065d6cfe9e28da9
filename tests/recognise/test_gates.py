"""Gates before piers, gaps as wide as gates that alone open a room, and glazed doors onto balconies."""

from __future__ import annotations

import math

from drawn import Sheet, two_rooms

from takeoff.plan.model import Opening, Room
from takeoff.plan.shape import sound_polygon
from takeoff.recognise import propose


def proposed(sheet: Sheet) -> tuple[list[Room], list[Opening]]:
    storeys = propose(sheet.drawing())[0].storeys
    return [r for s in storeys for r in s.rooms], [o for s in storeys for o in s.openings]


def areas_m2(rooms: list[Room]) -> list[float]:
    return sorted(round(float(sound_polygon(room).area) / 1e6, 1) for room in rooms)


def with_garage(deep: float = 6000.0, gate: float = 5000.0) -> Sheet:
    """A room of 4000 × deep beside what is 6000 wide and as deep, walls of 300 all round and between, a door of 900
    with its leaf between them, and a gap in the middle of the lower wall of the second, which is open there."""
    left = 4300 + (6000 - gate) / 2
    right = left + gate
    outer = [(left, 0), (left, -300), (-300, -300), (-300, deep + 300), (10600, deep + 300), (10600, -300)]
    inner = [(right, -300), (right, 0), (10300, 0), (10300, deep), (4300, deep), (4300, 1900)]
    room = [(4000, 1900), (4000, deep), (0, deep), (0, 0), (4000, 0), (4000, 1000), (4300, 1000), (4300, 0)]
    sheet = Sheet().ring(*outer, *inner, *room)
    sheet.line(4000, 1000, 3100, 1000, "A-DOOR")
    sheet.arcs.append((3100, 1000, 4000, 1900, -math.tan(math.pi / 8), "A-DOOR"))
    return sheet


def test_a_gap_as_wide_as_a_gate_that_alone_opens_a_room_is_a_gate() -> None:
    rooms, openings = proposed(with_garage())
    # 4 × 6 m and 6 × 6 m; nothing is drawn in the gap of 5 m: it is to be checked, and so is the room behind it
    assert areas_m2(rooms) == [24.0, 36.0]
    (gate,) = [o for o in openings if o.width_mm > 1000]
    assert (gate.kind, gate.confidence, round(gate.width_mm)) == ("door", "check", 5000)
    assert [r.confidence for r in rooms if r.id == gate.room] == ["check"]


def test_what_is_not_as_deep_as_a_vehicle_behind_such_a_gap_is_a_porch() -> None:
    rooms, _ = proposed(with_garage(deep=3500.0))
    assert areas_m2(rooms) == [14.0]  # 4 × 3.5 m


def test_among_named_rooms_only_a_name_tells_a_garage_from_a_yard() -> None:
    named = with_garage().word("Office", 2000, 3000)
    assert areas_m2(proposed(named)[0]) == [24.0]
    assert areas_m2(proposed(named.word("Store", 7000, 3000))[0]) == [24.0, 36.0]
    yard = with_garage().word("Office", 2000, 3000).word("Terrace", 7000, 3000)
    assert areas_m2(proposed(yard)[0]) == [24.0]


def test_a_line_of_a_door_layer_before_two_piers_is_their_gate() -> None:
    # From pier to pier, 40 before their faces: 5 m wide, so that nothing else closes the room of 6 × 3.5 m.
    rooms, openings = proposed(with_garage(deep=3500.0).line(4800, -340, 9800, -340, "A-DOOR"))
    assert areas_m2(rooms) == [14.0, 21.0]
    (gate,) = [o for o in openings if o.width_mm > 1000]
    assert (gate.kind, gate.confidence, gate.evidence) == ("door", "sure", ("door linework in the gap",))
    # A line that runs half as far says nothing.
    assert areas_m2(proposed(with_garage(deep=3500.0).line(4800, -340, 7300, -340, "A-DOOR"))[0]) == [14.0]


def with_glass(place: str, x: float, y: float) -> list[tuple[str, str]]:
    """(kind, confidence) of the openings in the lower wall of two rooms, glazed from 1000 to 2800; a place is named."""
    sheet = two_rooms().line(1000, -300, 1000, 0).line(2800, -300, 2800, 0)
    sheet.line(1000, -150, 2800, -150, "A-GLAZ").line(1000, -190, 2800, -190, "A-GLAZ").word(place, x, y)
    return [(o.kind, o.confidence) for o in proposed(sheet)[1] if round(o.width_mm) == 1800]


def test_glass_as_wide_as_two_leaves_before_a_named_balcony_is_a_door() -> None:
    assert with_glass("Balcony", 1900, -1200) == [("door", "check")]  # 1.2 m before the wall's inner face
    assert with_glass("Balcony", 1900, -3500) == [("window", "sure")]  # too far off
    assert with_glass("Balcony", 4400, -200) == [("window", "sure")]  # beside it, along the wall
    assert with_glass("Garden", 1900, -1200) == [("window", "sure")]  # one looks at it
    assert with_glass("Study", 1900, -1200) == [("window", "sure")]
