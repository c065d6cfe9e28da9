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
    assert "11 of 11 strokes on layers of doors are as long as a door, half of them at least 1000 mm" in found.evidence


def studio(beds: bool = True) -> Drawing:
    """Three rooms of 4 × 4 m in single lines and a hall before them, all on one layer, each room with a door drawn as
    a triangle; a bed and a shower as closed boxes at their walls, and an elevation of two boxes beside the plan."""
    sheet = Sheet().box(0, 0, 12_000, 6_000, layer="0")
    for x in (0, 4_000, 8_000):
        sheet.box(x, 0, x + 4_000, 4_000, layer="0")
        sheet.ring((x + 500, 4_000), (x + 500, 3_200), (x + 1_300, 4_000), layer="0")
        if beds:
            sheet.box(x + 2_000, 1_000, x + 4_000, 2_400, layer="0")
            sheet.box(x, 0, x + 800, 800, layer="0")
    sheet.ring((0, 4_800), (800, 4_800), (0, 5_600), layer="0")
    for x in (20_000, 25_000):
        sheet.box(x, 0, x + 5_000, 3_000, layer="0")
    return sheet.drawing()


def test_boxes_that_no_door_leads_into_are_furniture_and_what_lies_apart_is_an_elevation() -> None:
    (storey,) = propose(studio())[0].storeys
    areas = sorted(round(sound_polygon(r).area / 1e6, 2) for r in storey.rooms)
    assert areas == [16.0, 16.0, 16.0, 24.0]
    assert "sure" not in {r.confidence for r in storey.rooms}
    assert all(ONE_LINE in r.evidence for r in storey.rooms)
    beds = [r for r in storey.rooms if "lines in it that no door leads through are taken for furniture" in r.evidence]
    assert len(beds) == 3


def test_a_triangle_of_a_leaf_s_width_is_a_door() -> None:
    (storey,) = propose(studio(beds=False))[0].storeys
    assert [(o.kind, round(o.width_mm)) for o in storey.openings] == [("door", 800)] * 4
