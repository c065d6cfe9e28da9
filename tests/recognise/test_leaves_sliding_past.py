"""What is drawn in a gap beside the end of a wall: leaves that slide past each other, and a window beside a pier."""

import pytest

from takeoff.plan.model import Opening
from takeoff.plan.shape import sound_polygon
from takeoff.recognise.propose import propose
from takeoff.recognise.walls.believed_gaps import PLAIN_LINES, SLID_PAST
from tests.recognise.drawn import Sheet

OPENING = "X1"
"""A layer that says nothing."""


def closet(*lines: tuple[float, float, float, float]) -> tuple[list[float], list[Opening]]:
    """(areas of the rooms, openings) of a room of 4000 × 3000, a hall of 3000 × 3850 beside it, and behind a wall of
    150 with a gap of 1600 a closet of 4000 × 700; lines in that gap."""
    sheet = Sheet().box(-150, -150, 7250, 4000)
    hall = ((4000, 0), (4000, 1000), (4100, 1000), (4100, 0), (7100, 0), (7100, 3850), (4100, 3850), (4100, 1900))
    back = ((4000, 1900), (4000, 3000), (2800, 3000), (2800, 3150), (4000, 3150), (4000, 3850), (0, 3850), (0, 3150))
    sheet.ring((0, 0), *hall, *back, (1200, 3150), (1200, 3000), (0, 3000))
    sheet.line(4000, 1000, 3100, 1000, "A-DOOR").arcs.append((4000, 1900, 3100, 1000, 0.41421356237, "A-DOOR"))
    sheet.word("Bedroom", 1500, 1500).word("Hall", 5500, 1500)
    for line in lines:
        sheet.line(*line, layer=OPENING)
    storey = propose(sheet.drawing())[0].storeys[0]
    return sorted(round(sound_polygon(r).area / 1e6, 2) for r in storey.rooms), list(storey.openings)


def test_lines_that_pass_each_other_between_two_rooms_are_doors() -> None:
    rooms, openings = closet((1200, 3050, 2050, 3050), (1950, 3100, 2800, 3100))
    assert rooms == [2.8, pytest.approx(11.55), pytest.approx(12.0)]
    front = next(o for o in openings if SLID_PAST in o.evidence)
    assert (front.kind, round(front.width_mm)) == ("door", 1600)


def test_lines_from_jamb_to_jamb_are_a_window() -> None:
    _, openings = closet((1200, 3050, 2800, 3050), (1200, 3100, 2800, 3100))
    assert not any(SLID_PAST in o.evidence for o in openings)


@pytest.mark.parametrize("pane", [True, False])
def test_a_window_ends_at_a_pier_whose_other_side_a_door_stands_at(pane: bool) -> None:
    # The wall above has a window from 0 to 1500, a pier of 300 and a door of 900: 4000 × 3000.
    sheet = Sheet()
    walls = ((4000, 3000), (4000, 0), (0, 0), (0, 3150), (-150, 3150), (-150, -150), (4150, -150), (4150, 3150))
    sheet.ring((2700, 3000), *walls, (2700, 3150)).box(1500, 3000, 1800, 3150)
    if pane:
        sheet.line(0, 3050, 1500, 3050, OPENING).line(0, 3100, 1500, 3100, OPENING)
    sheet.word("Bedroom", 2000, 1500)
    storeys = propose(sheet.drawing())[0].storeys
    windows = [o for s in storeys for o in s.openings if PLAIN_LINES in o.evidence]
    assert [round(o.width_mm) for o in windows] == ([1500] if pane else [])
    assert [round(sound_polygon(r).area / 1e6, 2) for s in storeys for r in s.rooms] == ([12.0] if pane else [])


@pytest.mark.parametrize("leaf", [True, False])
def test_a_window_ends_at_a_pier_between_it_and_a_door_at_the_wall_across(leaf: bool) -> None:
    # The wall above has a window from 0 to 2500, a pier of 600, and a door of 900 whose other jamb is the wall across.
    sheet = Sheet()
    sheet.ring((0, 3150), (-150, 3150), (-150, -150), (4150, -150), (4150, 3150), (4000, 3150), (4000, 0), (0, 0))
    sheet.box(2500, 3000, 3100, 3150)
    for y in (3050, 3100):
        sheet.line(0, y, 2500, y, OPENING)
    if leaf:
        sheet.line(3100, 3000, 3100, 2100, "A-DOOR").arcs.append((4000, 3000, 3100, 2100, -0.41421356237, "A-DOOR"))
    sheet.word("Bedroom", 2000, 1500)
    storeys = propose(sheet.drawing())[0].storeys
    windows = [o for s in storeys for o in s.openings if PLAIN_LINES in o.evidence]
    assert [round(o.width_mm) for o in windows] == ([2500] if leaf else [])
    assert 12.0 in [round(sound_polygon(r).area / 1e6, 2) for s in storeys for r in s.rooms] or not leaf
