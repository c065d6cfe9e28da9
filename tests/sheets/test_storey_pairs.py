"""Two storeys on one page: both whole, at one scale, within the margins; each by itself where that cannot be."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import open_file
from takeoff.services.written.writing import document
from takeoff.sheets.flow import FOOT_MM, MARGIN_MM, SIZES_MM, Flow
from takeoff.sheets.paper_pages import lay_out
from takeoff.sheets.pdf import Typeface
from takeoff.sheets.sheet_values import Document, StoreySheet
from takeoff.sheets.storey_pairs import pair_of, put_pair

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"
FACE = Typeface()
A4 = SIZES_MM["A4"]


@pytest.fixture(scope="module")
def scope() -> Document:
    return document(measure_job(open_file(SAMPLE)), "2031-05-20").for_paper("scope")


def wider(sheet: StoreySheet, times: float) -> StoreySheet:
    """The storey drawn so many times as wide."""
    rooms = tuple(
        msgspec.structs.replace(room, rings=tuple(tuple((x * times, y, b) for x, y, b in ring) for ring in room.rings))
        for room in sheet.plan.rooms
    )
    plan = msgspec.structs.replace(sheet.plan, rooms=rooms, walls=(), openings=(), beads=(), fillets=())
    return msgspec.structs.replace(sheet, plan=plan)


def test_both_storeys_of_a_house_share_a_page(scope: Document) -> None:
    pages = [
        page for page in lay_out(scope, "A4", FACE.measure) if {"Ground floor", "Room in the roof"} <= {*page.outline}
    ]
    assert len(pages) == 1
    plans = sorted(pages[0].pictures, key=lambda put: -put[2].width_mm * put[2].height_mm)[:2]
    assert len({picture.scale for _, _, picture in plans}) == 1
    (left, right) = sorted(plans, key=lambda put: put[0])
    assert left[0] + left[2].width_mm <= right[0]


@pytest.mark.parametrize(("rows", "abreast"), [(1, True), (3, False)])
def test_all_of_a_pair_keeps_to_the_margins(scope: Document, rows: int, abreast: bool) -> None:
    """Below schedules that are too long for that plans stand one above another, each with its schedule beside it."""
    first, second = (
        msgspec.structs.replace(
            sheet, schedule=msgspec.structs.replace(sheet.schedule, rows=sheet.schedule.rows * rows)
        )
        for sheet in scope.storeys
    )
    flow = Flow(A4, FACE.measure, ("Job", "Scope"))
    pair = pair_of(flow, scope, (first, second), 125)
    assert pair is not None
    assert pair.abreast is abreast
    put_pair(flow, scope, pair)
    (page,) = flow.pages
    for x, y, picture in page.pictures:
        assert x >= MARGIN_MM - 0.01
        assert x + picture.width_mm <= A4[0] - MARGIN_MM + 0.01
        assert y >= FOOT_MM - 0.01
    for x, y, text, style, size, _ in page.texts:
        assert y >= FOOT_MM
        assert x + FACE.measure(text, style, size) <= A4[0] - MARGIN_MM + 0.5, text
    words = [text for *_, text, _, _, _ in page.texts]
    assert words.count("Total") == 2


def test_plans_that_would_be_too_small_are_no_pair(scope: Document) -> None:
    flow = Flow(A4, FACE.measure, ("Job", "Scope"))
    first, second = (wider(sheet, 6.0) for sheet in scope.storeys)
    assert pair_of(flow, scope, (first, second), 125) is None
    empty = msgspec.structs.replace(first, plan=msgspec.structs.replace(first.plan, rooms=()))
    assert pair_of(flow, scope, (empty, second), 500) is None
