"""What a user has settled never comes back: not on the command, in the window, or on paper."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pypdfium2
import pytest

from takeoff.measure import Memory
from takeoff.plan.assumptions import assumptions
from takeoff.plan.edits import settling_edits as settling
from takeoff.plan.model import Exclusion, Job, OpeningId, RoomId
from takeoff.services.measured.job_result import Measured, job_json, measure_job
from takeoff.services.opened.opening import open_file
from takeoff.services.written.writing import document
from takeoff.sheets import pdf
from takeoff.sheets.sheet_values import PAPERS, Paper
from takeoff.views.board import all_findings, consider, measured_of, stand
from takeoff.views.settling import rows

SAMPLES = Path(__file__).parents[2] / "sample_plans"
NAMES = sorted(path.name for path in SAMPLES.iterdir() if path.name.endswith((".dxf", ".job.json")))


def all_settled(job: Job, measured: Measured) -> Job:
    """The job as a user leaves it who settles every row: values confirmed, rooms and openings accepted."""
    job = settling.confirm(job, assumptions(job))
    for storey in job.storeys:
        for room in storey.rooms:
            job = settling.accept_room(job, RoomId(room.id))
        for opening in storey.openings:
            job = settling.accept_opening(job, OpeningId(opening.id))
    return settling.accept_findings(job, [f for f in measured.findings if f.severity != "error"])


def pdf_text(measured: Measured, reader: Paper) -> str:
    data = pdf.pdf_bytes(document(measured, "2026-01-01"), "A4", reader)
    pages = pypdfium2.PdfDocument(data)
    text = " ".join(page.get_textpage().get_text_bounded() for page in pages)
    return " ".join(text.split())


@pytest.mark.parametrize("name", NAMES)
def test_job_with_all_settled_tells_nothing_anywhere(name: str, tmp_path: Path) -> None:
    opened = open_file(SAMPLES / name)
    before = measure_job(opened)
    assert before.findings
    path = tmp_path / "settled.job.json"
    # accepting may let another be noticed, as an opening that is measured now: a user goes on until nothing is left
    job, measured = opened.job, before
    again = opened
    for _ in range(3):
        if not measured.findings:
            break
        job = all_settled(job, measured)
        path.write_bytes(job_json(job))
        again = open_file(path)
        measured = measure_job(again)
    assert measured.findings == ()
    state = stand(again.job, Memory())
    assert all_findings(state, consider(state), again.findings) == ()
    assert {row.group for row in rows(state, ())} <= {"settled"}
    in_window = measured_of(state, again.findings, name)
    assert in_window.findings == ()
    sheets = document(measured, "2026-01-01")
    assert document(in_window, "2026-01-01") == sheets
    assert not any(line.label in ("To check", "To confirm") for line in sheets.lines)
    assert all(table.rows == () for table in sheets.findings)
    for reader in PAPERS:
        said = pdf_text(measured, reader)
        assert "to be looked at" not in said
        assert "to look at" not in said
        assert not any(" ".join(f.text.split())[:60] in said for f in before.findings)


def with_tiles(job: Job, ring: tuple[tuple[float, float, float], ...]) -> Job:
    """The job with something left on all walls of its first room."""
    storey, room = job.storeys[0], job.storeys[0].rooms[0]
    walls = msgspec.structs.replace(room.walls, exclusions=(Exclusion("x1", ring, "tiles"),))
    storey = msgspec.structs.replace(storey, rooms=(msgspec.structs.replace(room, walls=walls), *storey.rooms[1:]))
    return msgspec.structs.replace(job, storeys=(storey, *job.storeys[1:]))


@pytest.mark.parametrize(("low_mm", "code"), [(2000.0, "exclusion-sticks-out"), (4000.0, "exclusion-outside")])
def test_part_left_out_of_a_whole_room_is_one_fault_and_stays_settled(low_mm: float, code: str, tmp_path: Path) -> None:
    ring = ((0.0, low_mm, 0.0), (500.0, low_mm, 0.0), (500.0, low_mm + 1000.0, 0.0), (0.0, low_mm + 1000.0, 0.0))
    path = tmp_path / "tiles.job.json"
    path.write_bytes(job_json(with_tiles(open_file(SAMPLES / "terrace.job.json").job, ring)))
    measured = measure_job(open_file(path))
    told = [f for f in measured.findings if f.code.startswith("exclusion-")]
    assert [f.code for f in told] == [code]
    if told[0].severity == "error":
        return
    path.write_bytes(job_json(settling.accept_findings(measured.job, told)))
    again = open_file(path)
    state = stand(again.job, Memory())
    for findings in (
        measure_job(again).findings,
        all_findings(state, consider(state), again.findings),
        measured_of(state, again.findings, "tiles").findings,
    ):
        assert not any(f.code.startswith("exclusion-") for f in findings)
