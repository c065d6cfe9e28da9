"""The small plan of a first page: as large as its place allows, within the margins, with its bar, north and key."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import open_file
from takeoff.services.written.writing import document
from takeoff.sheets import front_page
from takeoff.sheets.flow import FOOT_MM, MARGIN_MM, SIZES_MM, Flow
from takeoff.sheets.pdf import Typeface
from takeoff.sheets.sheet_values import Document, Plan

PLAN = Path(__file__).parents[2] / "sample_plans" / "terrace_ground.dxf"
SLACK_MM = 0.01


@pytest.fixture(scope="module")
def scope() -> Document:
    return document(measure_job(open_file(PLAN)), "2031-05-20").for_paper("scope")


def put(scope: Document, plan: Plan, size: str, used_mm: float) -> Flow:
    flow = Flow(SIZES_MM[size], Typeface().measure, ("Job", "Scope"))
    flow.new_page()
    flow.y -= used_mm
    front_page._one_small_plan(flow, scope, plan)
    return flow


@pytest.mark.parametrize("north", [None, 30.0])
@pytest.mark.parametrize("size", ["A4", "Letter", "A3"])
@pytest.mark.parametrize("turned", [False, True])
def test_it_keeps_to_the_margins_and_above_the_foot(
    scope: Document, size: str, north: float | None, turned: bool
) -> None:
    plan = msgspec.structs.replace(scope.storeys[0].plan, north_deg=north)
    if turned:  # as wide as it was tall
        plan = msgspec.structs.replace(plan, rooms=tuple(_turned(room) for room in plan.rooms), walls=(), openings=())
    seen = 0
    for used in range(0, 220, 10):
        flow = put(scope, plan, size, used)
        seen += bool(flow.page.pictures)
        for x, y, picture in flow.page.pictures:
            assert x >= MARGIN_MM - SLACK_MM
            assert x + picture.width_mm <= flow.page.width_mm - MARGIN_MM + SLACK_MM
            assert y >= FOOT_MM - SLACK_MM
    assert seen > 5


def test_more_room_never_draws_it_smaller(scope: Document) -> None:
    scales = []
    for used in range(200, -1, -10):
        pictures = put(scope, scope.storeys[0].plan, "A4", used).page.pictures
        if pictures:
            scales.append(pictures[0][2].scale)
    assert scales == sorted(scales, reverse=True)
    assert len(set(scales)) > 2


def _turned(room):
    def ring(points):
        return tuple((y, -x, bulge) for x, y, bulge in points)

    return msgspec.structs.replace(
        room,
        rings=tuple(ring(one) for one in room.rings),
        coat=tuple(ring(one) for one in room.coat),
        parts=(),
        open_sides=(),
        letters=(),
    )
