"""The fit-out of offices: thousands of lines of furniture, partitions on layers of doors or on layers that say
nothing, and bathrooms on the layer of walls."""

from __future__ import annotations

import itertools
import math

import msgspec
import numpy as np
from drawn import Sheet, two_rooms
from test_rooms_found import area_m2, codes, rooms

from takeoff.plan.model import Job
from takeoff.recognise import propose
from takeoff.recognise.walls.bounding_lines import is_role, prepare
from takeoff.recognise.walls.inferred_layers import with_partitions
from takeoff.recognise.walls.layer_roles import guess


def areas(job: Job) -> list[float]:
    return sorted(round(area_m2(r), 2) for r in rooms(job))


def shell() -> Sheet:
    """Outer walls of 300 round a floor of 12.2 × 4 m, and the names of three rooms of 4 m on it."""
    sheet = Sheet().box(-300, -300, 12500, 4300).box(0, 0, 12200, 4000)
    return sheet.word("Office", 1500, 2000).word("Meeting", 6000, 2000).word("Store", 11000, 2000)


def partition(sheet: Sheet, x: float, layer: str) -> Sheet:
    """A partition of 100 across the floor, with an opening of 500 at its end."""
    sheet.line(x, 0, x, 3500, layer).line(x + 100, 0, x + 100, 3500, layer)
    return sheet.line(x, 3500, x + 100, 3500, layer)


def fitted(layer: str) -> Sheet:
    return partition(partition(shell(), 4000, layer), 8100, layer)


def test_furniture_does_not_count_among_lines_beyond_counting() -> None:
    sheet = two_rooms()
    sheet.segments = [(*s[:4], "1" if s[4] == "A-WALL" else s[4]) for s in sheet.segments]
    for x, y in np.random.default_rng(5).uniform(0, 2900, (61_000, 2)).tolist():
        sheet.line(x, y, x + 5, y, "LOOSE FURNITURE")
    job, findings = propose(sheet.drawing())
    assert areas(job) == [9.0, 12.0]
    assert "lines-beyond-counting" not in codes(findings)


def test_nothing_but_furniture_beyond_counting_is_told() -> None:
    sheet = Sheet()
    for x, y in np.random.default_rng(5).uniform(0, 2900, (61_000, 2)).tolist():
        sheet.line(x, y, x + 5, y, "LOOSE FURNITURE")
    job, findings = propose(sheet.drawing())
    assert not job.storeys
    assert "lines-beyond-counting" in codes(findings)


def test_pictures_of_free_curves_beside_a_plan_do_not_count_where_no_layer_says_a_thing() -> None:
    sheet = two_rooms()
    sheet.segments = [(*s[:4], "1" if s[4] == "A-WALL" else s[4]) for s in sheet.segments]
    for x, y in np.random.default_rng(5).uniform(20_000, 23_000, (61_000, 2)).tolist():
        # longer than the strokes that fill a wall
        sheet.line(x, y, x + 70, y, "2")
    drawing = sheet.drawing()
    job, findings = propose(drawing)
    assert not job.storeys
    assert "lines-beyond-counting" in codes(findings)
    curves = [s.name == "2" for s in drawing.layers]
    free = [
        msgspec.structs.replace(s, entity="SPLINE") if c else s for s, c in zip(drawing.sources, curves, strict=True)
    ]
    job, findings = propose(msgspec.structs.replace(drawing, sources=tuple(free)))
    assert areas(job) == [9.0, 12.0]
    assert "lines-beyond-counting" not in codes(findings)


def test_words_that_came_as_strokes_do_not_count_where_no_layer_says_a_thing() -> None:
    """A drawing taken from paper: each letter a square of 40 mm drawn by four strokes."""
    sheet = two_rooms()
    sheet.segments = [(*s[:4], "1" if s[4] == "A-WALL" else s[4]) for s in sheet.segments]
    # none goes on from the one before, as those of one polyline would
    square = [(0, 0, 40, 0), (40, 40, 0, 40), (40, 0, 40, 40), (0, 40, 0, 0)]
    for x, y in np.random.default_rng(5).uniform(200, 2700, (16_000, 2)).tolist():
        for a, b, c, d in square:
            sheet.line(x + a, y + b, x + c, y + d, "1")
    job, findings = propose(sheet.drawing())
    assert areas(job) == [9.0, 12.0]
    assert "lines-beyond-counting" not in codes(findings)


def test_partitions_on_a_layer_of_doors_are_walls() -> None:
    sheet = fitted("INTERNAL DOORS")
    # a third one, so that the layer has as many faces as no gates have
    partition(sheet, 11000, "INTERNAL DOORS")
    sheet.words = [w for w in sheet.words if w[0] != "Store"]
    sheet.word("Store", 9500, 2000).word("Files", 11650, 2000)
    assert areas(propose(sheet.drawing())[0]) == [4.4, 11.2, 16.0, 16.0]


def test_a_leaf_of_one_line_among_such_partitions_is_no_wall() -> None:
    sheet = fitted("INTERNAL DOORS")
    partition(sheet, 11000, "INTERNAL DOORS")
    # A cupboard's door of 800 in the last room, drawn open: its leaf would stand there as a wall.
    sheet.line(12200, 1000, 13000, 1000, "INTERNAL DOORS")
    sheet.arcs.append((13000, 1000, 12200, 1800, 0.41421356237, "INTERNAL DOORS"))
    lines = prepare(drawing := sheet.drawing(), guess(drawing))
    leaf = (np.abs(lines.xy[:, [1, 3]] + lines.origin[1] - 1000.0) < 1.0).all(axis=1) & (lines.arc < 0)
    walls = is_role(with_partitions(lines), "wall")
    assert leaf.sum() == 1
    assert not walls[leaf].any()
    assert walls[is_role(lines, "door") & (lines.arc < 0) & ~leaf].any()


def test_two_leaves_of_a_gate_are_no_partition() -> None:
    sheet = Sheet().line(0, 0, 0, 4000).line(0, 4000, 6000, 4000).line(6000, 4000, 6000, 0).line(0, 0, 1000, 0)
    sheet.line(6000, 0, 5000, 0).line(-300, -300, -300, 4300).line(-300, 4300, 6300, 4300).line(6300, 4300, 6300, -300)
    sheet.line(-300, -300, 1000, -300).line(5000, -300, 6300, -300).line(1000, -300, 1000, 0).line(5000, -300, 5000, 0)
    sheet.line(1000, -200, 5000, -200, "A-DOOR").line(1000, -120, 5000, -120, "A-DOOR")
    job, _ = propose(sheet.word("Garage", 3000, 2000).drawing())
    assert areas(job) == [24.0]
    assert [o.kind for o in job.storeys[0].openings] == ["door"]


def test_a_layer_that_says_nothing_has_walls_where_it_parts_what_is_named() -> None:
    job, findings = propose(fitted("Layer 1").drawing())
    assert areas(job) == [16.0, 16.0, 16.0]
    assert "layers-inferred" in codes(findings)


def test_lines_that_part_no_named_rooms_are_no_walls() -> None:
    sheet = fitted("Layer 1")
    sheet.words = [w for w in sheet.words if w[0] == "Office"]
    assert areas(propose(sheet.drawing())[0]) == [48.8]


def closet(sheet: Sheet, x: float, y: float) -> Sheet:
    """The pan of a closet, drawn as many short lines between its ends, and its cistern against the wall below."""
    bend = [(x + 180 * math.cos(t), y + 300 + 180 * math.sin(t)) for t in np.linspace(0, math.pi, 40).tolist()]
    for (x0, y0), (x1, y1) in itertools.pairwise(bend):
        sheet.line(x0, y0, x1, y1)
    sheet.line(x + 180, y + 300, x + 120, y + 190).line(x - 180, y + 300, x - 120, y + 190)
    return sheet.box(x - 240, y, x + 240, y + 180)


def test_sanitary_ware_on_the_layer_of_walls_is_no_wall() -> None:
    sheet = two_rooms()
    assert areas(propose(closet(sheet, 1000, 20).drawing())[0]) == [9.0, 12.0]


def test_a_pier_among_sanitary_ware_stays() -> None:
    sheet = closet(two_rooms(), 1000, 20).box(5000, 2000, 5400, 2400)
    assert areas(propose(sheet.drawing())[0]) == [8.84, 12.0]


def test_a_round_column_is_no_sanitary_ware() -> None:
    ring = [(5200 + 150 * math.cos(t), 2200 + 150 * math.sin(t)) for t in np.linspace(0, 2 * math.pi, 49)[:-1].tolist()]
    (small, large) = areas(propose(two_rooms().ring(*ring).drawing())[0])
    assert (small, large) == (8.93, 12.0)
