"""Dashed lines inside rooms are asked about with their place and size; nothing is made of them."""

from __future__ import annotations

import numpy as np
import pytest
from drawn import Sheet, two_rooms
from test_rooms_found import codes, rooms

from takeoff.drawing.model import Drawing, Layer, LineSource, Linework
from takeoff.errors import Finding
from takeoff.plan.model import Job, Room, RoomId, Side, SideId, Storey, StoreyId
from takeoff.recognise import propose
from takeoff.recognise.rooms.overhead import overhead
from takeoff.recognise.walls.layer_roles import guess


def asked(sheet: Sheet) -> list[Finding]:
    sheet.linetypes = {"A-FLOR-OVHD": "DASHED"}
    job, findings = propose(sheet.drawing())
    assert all(r.ceiling is None for r in rooms(job))
    return [f for f in findings if f.code == "dashed-overhead"]


def test_a_dashed_outline_in_a_room_is_asked_about_with_its_size_and_place() -> None:
    (finding,) = asked(two_rooms().box(1000, 1000, 2200, 1600, layer="A-FLOR-OVHD"))
    assert "Dashed: an outline of 1.20 × 0.60 m at 1600, 1300 (a rooflight or" in finding.evidence
    assert finding.severity == "check"
    assert (finding.where.x_mm, finding.where.y_mm) == (pytest.approx(1600), pytest.approx(1300))


def test_two_dashed_lines_from_wall_to_wall_are_a_beam() -> None:
    sheet = two_rooms().line(0, 2000, 4000, 2000, "A-FLOR-OVHD").line(20, 2250, 3980, 2250, "A-FLOR-OVHD")
    (finding,) = asked(sheet)
    assert "an outline of 4.00 × 0.25 m at 2000, 2125 (a beam or a boxing?)" in finding.evidence


def test_a_lone_dashed_line_may_be_a_ridge() -> None:
    (finding,) = asked(two_rooms().line(500, 1500, 3500, 1500, "A-FLOR-OVHD"))
    assert "a line of 3.00 m at 2000, 1500 (a ridge" in finding.evidence


def test_dashed_lines_along_walls_and_outside_are_not_asked_about() -> None:
    sheet = two_rooms().line(0, 30, 4000, 30, "A-FLOR-OVHD").box(-900, -900, 8000, 3900, layer="A-FLOR-OVHD")
    assert asked(sheet) == []


def test_one_finding_for_each_room_however_much_is_dashed() -> None:
    sheet = two_rooms()
    for x in range(500, 3500, 700):
        sheet.box(x, 1000, x + 400, 1400, layer="A-FLOR-OVHD")
    (finding,) = asked(sheet)
    assert " and 2 more" in finding.evidence


def test_dashed_lines_in_a_room_of_two_arcs_are_asked_about() -> None:
    sides = tuple(Side(SideId(f"s{k}"), x, 0.0, 1.0) for k, x in ((1, 6000.0), (2, 0.0)))
    room = Room(RoomId("r1"), sides, name="Round")
    job = Job(storeys=(Storey(StoreyId("1"), rooms=(room,)),))
    lines = [(3000.0, 2000.0, 4500.0, 2000.0), (3000.0, 2900.0, 3000.0, 5000.0), (2500.0, -1000.0, 3500.0, -1000.0)]
    above = LineSource("LINE", linetype="DASHED")
    drawing = Drawing("plan", (Layer("A-FLOR-OVHD"),), Linework(np.array(lines)), sources=(above,), unit="mm")
    (finding,) = overhead(drawing, guess(drawing), job)
    assert finding.where.room == "r1"
    for told in ("a line of 1.50 m at 3750, 2000", "a line of 1.00 m at 3000, -1000"):
        assert told in finding.evidence
    assert "3000, 3950" not in finding.evidence  # the wall bends away from under it


def test_continuous_lines_are_not_asked_about() -> None:
    _, findings = propose(two_rooms().box(1000, 1000, 2200, 1600, layer="A-FLOR-OVHD").drawing())
    assert "dashed-overhead" not in codes(findings)
