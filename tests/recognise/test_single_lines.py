"""Plans whose walls are single lines: axes on layers of room outlines, partitions among furniture."""

from __future__ import annotations

import msgspec
import pytest
from drawn import Sheet

from takeoff.drawing.model import Drawing
from takeoff.plan.shape import sound_polygon
from takeoff.recognise import propose
from takeoff.recognise.units import decide, in_mm

ONE_LINE = "walls are drawn as one line: the room is smaller by half their thickness on each side"


def planner(k: float = 1.0) -> Drawing:
    """Ten offices of 40 m² and a corridor, 50 × 11 m: the outline of the house on a layer that says nothing, the axes
    of the walls in open pieces on one of rooms, piers, and doors and windows as strokes along the walls."""
    sheet = Sheet().box(0, 0, 50_000, 11_000, layer="outline")
    sheet.line(0, 3_000, 50_000, 3_000, "rooms")
    for x in range(0, 50_000, 5_000):
        sheet.line(x + 1_000, 3_000, x + 2_000, 3_000, "doors")
        sheet.line(x + 1_000, 11_000, x + 4_000, 11_000, "windows")
        if x:
            sheet.line(x, 3_000, x, 11_000, "rooms")
            sheet.box(x - 400, 10_700, x + 400, 11_300, layer="pillars")
    sheet.line(0, 1_000, 0, 2_000, "doors")
    return in_mm(sheet.drawing(), "mm", k)


def test_axes_on_a_layer_of_rooms_and_the_outline_they_end_on_enclose_the_rooms() -> None:
    job, _ = propose(planner())
    (storey,) = job.storeys
    areas = sorted(sound_polygon(r).area / 1e6 for r in storey.rooms)
    assert areas == pytest.approx([40.0] * 10 + [150.0], rel=0.01)
    assert {r.confidence for r in storey.rooms} == {"check"}
    assert all(ONE_LINE in r.evidence for r in storey.rooms)


def test_a_stroke_of_a_door_along_a_single_line_is_a_door() -> None:
    (storey,) = propose(planner())[0].storeys
    kinds = sorted(o.kind for o in storey.openings)
    assert kinds == ["door"] * 11 + ["window"] * 10
    assert {round(o.width_mm) for o in storey.openings if o.kind == "door"} == {1000}


def test_strokes_on_a_layer_of_doors_tell_the_unit_against_what_is_declared() -> None:
    drawing = msgspec.structs.replace(planner(0.001), unit="", unit_mm=0.0, declared_unit="mm")
    scaled, (found, *_) = decide(drawing)
    assert scaled.unit == "m"
    assert found.code == "unit-decided"
    assert "11 of 11 strokes on layers of doors have a door's width, the middle one 1000 mm" in found.text
