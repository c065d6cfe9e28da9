"""Old paint and textured coatings hold the work on every paper until a named person has them surveyed."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import msgspec
import pypdfium2
import pytest

from takeoff.plan import edits
from takeoff.plan.model import Job
from takeoff.plan.site_check import Tick
from takeoff.services.measured.job_result import Measured, measure_job
from takeoff.services.opened.opening import open_file
from takeoff.services.written.writing import document, for_paper
from takeoff.sheets.pdf import pdf_bytes
from takeoff.sheets.sheet_values import PAPERS, Paper
from takeoff.sitecheck.holds import holds

JOB = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"
NOW = datetime(2031, 5, 20, 12)
REASONS = {
    "old-paint": "The paint may be old enough to hold lead.",
    "textured": "There is a textured coating, which may hold asbestos.",
}


@pytest.fixture(scope="module")
def measured() -> Measured:
    return measure_job(open_file(JOB))


def first_page(measured: Measured, job: Job, paper: Paper) -> str:
    of = msgspec.structs.replace(measured, job=job)
    data = pdf_bytes(for_paper(document(of, "2031-05-20"), of, paper), "A4", paper)
    with pypdfium2.PdfDocument(data) as pages:
        return " ".join(pages[0].get_textpage().get_text_bounded().split())


@pytest.mark.parametrize("what", ["old-paint", "textured"])
def test_it_holds_on_the_first_page_of_every_paper_until_it_is_surveyed(measured: Measured, what: str) -> None:
    seen = edits.answer_look(measured.job, Tick(what=what, answer="yes"), NOW)  # type: ignore[arg-type]
    found = [one for one in holds(seen, NOW) if one.code == f"seen-{what}"]  # one for each room
    assert {one.state for one in found} == {"hold"}  # in a quote too
    for paper in PAPERS:
        words = first_page(measured, seen, paper)
        assert "On hold" in words, paper
        assert REASONS[what] in words, paper
    cleared = seen
    for one in found:
        nearly, cleared = cleared, edits.clear_hold(cleared, one.id, "S. Surveyor", "2031-05-19", "sampled: none found")
    assert REASONS[what] in first_page(measured, nearly, "scope")  # as long as one room is not surveyed
    for paper in PAPERS:
        words = first_page(measured, cleared, paper)
        assert "On hold" not in words, paper
        # what was cleared may be listed, with who did it
        assert words.count(REASONS[what]) == words.count(f"{REASONS[what]} by S. Surveyor"), paper
    of = msgspec.structs.replace(measured, job=cleared)
    table = next(t for t in document(of, "2031-05-20").totals if t.id == "holds")
    assert any("S. Surveyor" in str(cell) for row in table.rows for cell in row)


def test_the_survey_is_in_scope_and_price_while_it_is_asked_for(measured: Measured) -> None:
    seen = edits.answer_look(measured.job, Tick(what="textured", answer="yes"), NOW)
    assert "Specialist survey" in " ".join(
        f"{line.label} {line.text}" for line in document(msgspec.structs.replace(measured, job=seen)).lines
    ) or any(
        "pecialist" in table.title or "pecialist" in str(table.rows)
        for table in document(msgspec.structs.replace(measured, job=seen)).totals
    )
