"""What stands along the walls of rooms, drawn with the lines of walls, is no wall."""

from __future__ import annotations

import math

import pytest
from drawn import Sheet, two_rooms
from test_rooms_found import area_m2, rooms

from takeoff.plan.model import Job
from takeoff.plan.reasons import because
from takeoff.recognise import propose


def areas(job: Job) -> list[float]:
    return sorted(round(area_m2(r), 2) for r in rooms(job))


def on_one_layer() -> Sheet:
    """Rooms of 12.0 and 9.0 m² whose walls are on a layer that says nothing."""
    sheet = two_rooms()
    sheet.segments = [(*s[:4], "0" if s[4] == "A-WALL" else s[4]) for s in sheet.segments]
    return sheet


def desk(sheet: Sheet, layer: str) -> Sheet:
    """A desk of 600 × 1800 that stands out from the wall, 700 from the corner, and a shelf of 500 in the corner."""
    for line in ((700, 3000, 700, 1200), (700, 1200, 1300, 1200), (1300, 1200, 1300, 3000), (0, 2500, 700, 2500)):
        sheet.line(*line, layer)
    return sheet


def worktop(sheet: Sheet, layer: str) -> Sheet:
    """Worktops of 600 along two walls, with the line of the cupboards over them and a sink of two rims."""
    sheet.line(600, 0, 600, 2400, layer).line(600, 2400, 3400, 2400, layer).line(3400, 2400, 3400, 3000, layer)
    sheet.line(300, 0, 300, 2700, layer).line(300, 2700, 3400, 2700, layer)
    return sheet.box(1500, 2450, 2000, 2950, layer).box(1540, 2490, 1960, 2910, layer)


def bath(sheet: Sheet, layer: str) -> Sheet:
    """A bath of 700 × 1700 in the corner, its inside rounded."""
    sheet.line(700, 3000, 700, 1300, layer).line(700, 1300, 0, 1300, layer)
    b = math.tan(math.pi / 8)
    inside = (250, 1360), (450, 1360, b), (640, 1550), (640, 2750, b), (450, 2940), (250, 2940, b), (60, 2750)
    return sheet.ring(*inside, (60, 1550, b), layer=layer)


@pytest.mark.parametrize("thing", [desk, worktop, bath])
@pytest.mark.parametrize("layer", ["0", "A-WALL"])
def test_what_stands_along_a_wall_in_one_room_belongs_to_that_room(thing, layer: str) -> None:  # type: ignore[no-untyped-def]
    sheet = thing(on_one_layer() if layer == "0" else two_rooms(), layer)
    job, _ = propose(sheet.drawing())
    assert areas(job) == [9.0, 12.0]
    kitchen = next(r for r in rooms(job) if r.name == "Kitchen")
    assert kitchen.confidence == "check"
    assert because("fittings") in kitchen.evidence


def test_a_worktop_deeper_than_any_wall_is_thick_belongs_to_its_room() -> None:
    """Worktops of 680 along two walls: 3.9 m² of 12.0, which nothing is written in and no way leads into."""
    sheet = two_rooms().line(680, 0, 680, 2320).line(680, 2320, 3400, 2320).line(3400, 2320, 3400, 3000)
    assert areas(propose(sheet.drawing())[0]) == [9.0, 12.0]


def test_what_has_a_word_of_its_own_is_no_worktop() -> None:
    sheet = two_rooms().line(680, 0, 680, 2320).line(680, 2320, 3400, 2320).line(3400, 2320, 3400, 3000)
    assert 12.0 not in areas(propose(sheet.word("Store", 340, 1200).drawing())[0])


@pytest.mark.parametrize(("deep", "hall"), [(600, 12.0), (1500, 12.0 - 4.0 * 1.5)])
def test_what_a_line_cuts_off_as_deep_as_a_wardrobe_belongs_to_the_room(deep: int, hall: float) -> None:
    """A line from wall to wall in the hall of 4000 × 3000, above which nothing is written and no way leads."""
    sheet = two_rooms().line(0, 3000 - deep, 4000, 3000 - deep)
    sheet.words = [("Hall", 1500, 700, "A-ANNO-TEXT"), sheet.words[1]]
    found = {round(area_m2(r), 2) for r in rooms(propose(sheet.drawing())[0])}
    assert hall in found


def test_a_pier_at_a_wall_and_a_short_wall_stay() -> None:
    """A pier of 0.5 × 0.5 m and a wall of 0.1 × 1.2 m: 12.0 less 0.25 and 0.12."""
    sheet = on_one_layer().box(0, 1200, 500, 1700, "0")
    sheet.line(2000, 3000, 2000, 1800, "0").line(2000, 1800, 2100, 1800, "0").line(2100, 1800, 2100, 3000, "0")
    assert areas(propose(sheet.drawing())[0]) == [9.0, 11.63]


def test_a_box_that_a_printed_area_leaves_out_stays() -> None:
    """A shaft of 0.6 × 1.6 m, 0.96 m²; the room has 11.04 m² printed."""
    sheet = on_one_layer().box(0, 1400, 600, 3000, "0").word("11.04 m²", 1500, 1000)
    assert areas(propose(sheet.drawing())[0]) == [9.0, 11.04]
