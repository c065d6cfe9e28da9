"""Client and team read what is outside only as drawn, and over which part a wall is coated."""

from __future__ import annotations

from pathlib import Path

import msgspec

from takeoff.measure.outside_rule import OutsideRule
from takeoff.plan import edits
from takeoff.plan.model import Behind, RoomId, SideId
from takeoff.services.measured.coating import CoatSaid, coated_as_said
from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import Opened, open_file
from takeoff.services.written.writing import document
from takeoff.sheets.sheet_values import Document

TERRACE = Path(__file__).parents[2] / "sample_plans" / "terrace_ground.dxf"
RULE = OutsideRule(600.0, 600.0)
ALL = tuple((run, "outside") for run in ("lower", "right", "upper", "left"))


def sheets(opened: Opened, said: CoatSaid) -> Document:
    return document(measure_job(coated_as_said(opened, said)), "2031-05-20")


def line(told: Document, title: str) -> str:
    return next((one.text for one in told.lines if one.label == title), "")


def found(told: Document) -> str:
    return " ".join(str(cell) for table in told.findings for row in table.rows for cell in row)


def test_scope_and_site_sheets_carry_what_is_outside_only_as_drawn() -> None:
    opened = open_file(TERRACE)
    told = sheets(opened, CoatSaid(rule=RULE))
    claim = (
        "outline of GROUND FLOOR is outside only as drawn (lower, right, upper and left, 26.00 m of wall): say what "
        "stands there. Open: 4 straight runs. Coated are 82.0 m² if all of it is outside, 0.0 m² if none is"
    )
    assert claim in line(told, "To confirm")
    assert claim in found(told)
    told = sheets(opened, CoatSaid(rule=RULE, beyond=ALL))
    assert "only as drawn" not in line(told, "To confirm") + found(told)


def test_sheets_say_whether_a_wall_is_coated_over_its_outside_part_or_whole() -> None:
    opened = open_file(TERRACE)
    part = (Behind(cls="neighbour", to_mm=2000.0), Behind(cls="outside", from_mm=2000.0))
    job = edits.set_behind(opened.job, RoomId("r1"), SideId("s3"), part)
    opened = msgspec.structs.replace(opened, job=job)
    told = sheets(opened, CoatSaid(rule=RULE))
    assert "1 wall over its outside part only" in line(told, "Coated")
    told = sheets(opened, CoatSaid(rule=OutsideRule(600.0, 600.0, whole_walls=True)))
    assert "1 wall outside over a part, coated whole" in line(told, "Coated")
