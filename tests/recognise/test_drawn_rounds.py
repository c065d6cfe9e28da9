"""Swings of doors that are written as many short lines, and pairs of leaves that are not alike."""

from __future__ import annotations

import itertools
import math

from drawn import Sheet, two_rooms
from test_rooms_found import area_m2, rooms

from takeoff.plan.model import Job
from takeoff.recognise import propose
from takeoff.recognise.walls.drawn_rounds import with_rounds

LAYER = "lines"


def on_one_layer(sheet: Sheet) -> Sheet:
    sheet.segments = [(*s[:4], LAYER) for s in sheet.segments]
    sheet.loops = [(ring, LAYER) for ring, _ in sheet.loops]
    return sheet


def quarter(sheet: Sheet, hinge: tuple[float, float], radius: float, first: float, turn: float, parts: int) -> Sheet:
    """A leaf from its hinge and the quarter circle from its end, as so many chords."""
    (x, y), angles = hinge, [math.radians(first + turn * k / parts) for k in range(parts + 1)]
    places = [(x + radius * math.cos(a), y + radius * math.sin(a)) for a in angles]
    for (x0, y0), (x1, y1) in itertools.pairwise(places):
        sheet.line(x0, y0, x1, y1, LAYER)
    return sheet.line(x, y, *places[0], LAYER)


def doors(job: Job) -> list[tuple[str, int, str]]:
    return [(o.kind, round(o.width_mm), o.confidence) for s in job.storeys for o in s.openings]


def areas(job: Job) -> list[float]:
    return sorted(round(area_m2(r), 2) for r in rooms(job))


def test_a_swing_of_chords_is_a_door_and_its_pocket_is_floor() -> None:
    # The gap of the partition is from y = 1000 to 1900: the leaf hangs at its lower end and opens to the left.
    job, _ = propose(quarter(on_one_layer(two_rooms()), (4000, 1000), 900, 180, -90, 12).drawing())
    assert areas(job) == [9.0, 12.0]
    assert doors(job) == [("door", 900, "sure")]


def test_a_round_without_a_leaf_stays_as_it_is_drawn() -> None:
    sheet = on_one_layer(two_rooms())
    plain = sheet.drawing()
    assert with_rounds(plain) is plain
    angles = [math.radians(6 * k) for k in range(16)]
    places = [(1500 + 900 * math.cos(a), 1500 + 900 * math.sin(a)) for a in angles]
    for p, q in itertools.pairwise(places):
        sheet.line(*p, *q, LAYER)
    bare = sheet.drawing()
    assert with_rounds(bare) is bare


def test_two_leaves_that_are_not_alike_shut_between_the_jambs() -> None:
    # A gap of 1400 from y = 800 to 2200, with a leaf of 900 below and one of 500 above.
    sheet = Sheet()
    sheet.box(-300, -300, 7400, 3300, LAYER)
    points = [(0, 0), (4000, 0), (4000, 800), (4100, 800), (4100, 0), (7100, 0)]
    points += [(7100, 3000), (4100, 3000), (4100, 2200), (4000, 2200), (4000, 3000), (0, 3000)]
    sheet.ring(*points, layer=LAYER)
    quarter(sheet, (4000, 800), 900, 180, -90, 10)
    quarter(sheet, (4000, 2200), 500, 180, 90, 10)
    job, _ = propose(sheet.drawing())
    assert areas(job) == [9.0, 12.0]
    assert doors(job) == [("door", 1400, "sure")]


def test_a_line_that_a_door_leads_through_parts_two_rooms_where_walls_have_two_lines() -> None:
    sheet = Sheet().box(-300, -300, 8300, 4300, LAYER).box(0, 0, 8000, 4000, LAYER)
    # A glass partition of one line from y = 0 to 4000 at x = 5000, with a door of 900 in it.
    sheet.line(5000, 0, 5000, 1000, LAYER).line(5000, 1900, 5000, 4000, LAYER)
    quarter(sheet, (5000, 1000), 900, 180, -90, 12)
    assert areas(propose(sheet.drawing())[0]) == [12.0, 20.0]
    # Without the door a line across a room may be a step, a carpet or a beam.
    sheet = Sheet().box(-300, -300, 8300, 4300, LAYER).box(0, 0, 8000, 4000, LAYER).line(5000, 0, 5000, 4000, LAYER)
    assert areas(propose(sheet.drawing())[0]) == [32.0]
