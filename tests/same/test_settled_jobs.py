"""Random jobs in which everything is settled, saved and opened again: nothing comes back, and nothing is lost.

A few in the normal run; TAKEOFF_SETTLED=200 for the long one. To look at one again:
TAKEOFF_SETTLED_JOB=17 pytest tests/same/test_settled_jobs.py -k one_job
"""

from __future__ import annotations

import os
from pathlib import Path
from random import Random

import msgspec
import pypdfium2
import pytest
from random_jobs import hard_room, house, read_on_site, with_paperwork, with_parts

from takeoff.errors import TakeoffError
from takeoff.measure import Memory
from takeoff.plan import edits
from takeoff.plan.edits import settling_edits as settling
from takeoff.plan.model import Job, OpeningId, RoomId, Stair
from takeoff.services.measured.job_result import Measured, job_json, measure_job, result
from takeoff.services.opened.opening import open_file
from takeoff.services.written.writing import document
from takeoff.sheets import pdf
from takeoff.sheets.sheet_values import PAPERS
from takeoff.storage import jobfile
from takeoff.storage.content import Content
from takeoff.views.board import all_findings, consider, stand
from takeoff.views.coat_questions import above_questions, question_answered, run_questions
from takeoff.views.settling import Row, rows

JOBS = int(os.environ.get("TAKEOFF_SETTLED", "8"))
ROUNDS = 8
"""Settling lets other things be noticed, as what an opening that is measured now hides: so often at most."""
MAKERS = (house, hard_room, house, read_on_site, house, with_parts)


def made(number: int) -> Job:
    rng = Random(9100 + number)
    try:
        job = MAKERS[number % len(MAKERS)](rng, number)
    except TakeoffError:
        job = house(rng, number)
    return with_paperwork(rng, with_stairs(rng, job), number)


def with_stairs(rng: Random, job: Job) -> Job:
    """Some rooms have stairs, with or without an outline."""
    storeys = []
    for storey in job.storeys:
        rooms = tuple(
            msgspec.structs.replace(
                room, stair=Stair(outline=rng.choice(((), tuple((s.x_mm, s.y_mm, s.bulge) for s in room.outline))))
            )
            if rng.random() < 0.2
            else room
            for room in storey.rooms
        )
        storeys.append(msgspec.structs.replace(storey, rooms=rooms))
    return msgspec.structs.replace(job, storeys=tuple(storeys))


def settled(rng: Random, job: Job) -> Job:
    """The job as somebody leaves it who answers everything that is asked, this or that way, until nothing is left
    that has an answer."""
    memory = Memory()
    for _ in range(ROUNDS):
        before = job
        state = stand(job, memory)
        for question in (*run_questions(state), *above_questions(state)):
            job = question_answered(state, job, question, rng.choice(question.answers)[0])
        state = stand(job, memory)
        for row in rows(state, all_findings(state, consider(state))):
            job = answered(rng, job, row)
        if job == before:
            return job
    raise AssertionError("settling does not come to an end")


def answered(rng: Random, job: Job, row: Row) -> Job:
    if row.answers:
        answer = rng.choice(row.answers)[0]
        if row.accept == "stair":
            return edits.answer_stair(job, RoomId(row.thing), answer)  # type: ignore[arg-type]
        return edits.answer_openings(job, [OpeningId(name) for name, _ in row.members], answer)  # type: ignore[arg-type]
    if row.value_mm is not None:
        still = [value for value in row.values if value in settling.assumptions(job)]
        return settling.confirm(job, still, rng.choice((None, None, row.value_mm + 50.0)))
    if row.accept == "room":
        return settling.accept_room(job, RoomId(row.thing), row.findings)
    if row.accept == "opening":
        return settling.accept_opening(job, OpeningId(row.thing), row.findings)
    return settling.accept_findings(job, row.findings) if row.accept else job


def opened(job: Job, path: Path) -> tuple[Job, Measured]:
    """The job as it is opened and measured from a file of its kind."""
    if path.suffix == ".json":
        path.write_bytes(job_json(job))
    else:
        jobfile.save(path, Content(job))
    again = open_file(path)
    return again.job, measure_job(again)


def sheets(measured: Measured) -> list[str]:
    """The words of every page of every paper."""
    whole = document(measured, "2031-05-20")
    pages = []
    for reader in PAPERS:
        found = pypdfium2.PdfDocument(pdf.pdf_bytes(whole, "A4", reader))
        pages += [page.get_textpage().get_text_range() for page in found]
    return pages


def unasked(job: Job) -> list[str]:
    """What the job still asks that has an answer."""
    state = stand(job, Memory())
    open_rows = [row for row in rows(state, all_findings(state, consider(state))) if row.group != "settled"]
    asked = [row.text for row in open_rows if row.accept or row.value_mm is not None]
    return asked + [question.words for question in (*run_questions(state), *above_questions(state))]


def compare(number: int, folder: Path) -> None:
    job = settled(Random(number), made(number))
    assert unasked(job) == []
    first, before = opened(job, folder / "one.takeoff")
    second, after = opened(first, folder / "two.job.json")
    third, once_more = opened(second, folder / "one.takeoff")
    assert job == first == second == third
    assert first.settled == job.settled
    for other in (after, once_more):
        assert result(msgspec.structs.replace(other, source=before.source)) == result(before)
        assert other.findings == before.findings
        assert sheets(other) == sheets(before)
    assert {f.severity for f in before.findings} <= {"error"}  # nothing is left but what must be mended
    assert unasked(third) == []


@pytest.mark.parametrize("number", range(JOBS))
def test_settled_job_is_the_same_after_it_was_saved_and_opened(number: int, tmp_path: Path) -> None:
    compare(number, tmp_path)


@pytest.mark.skipif("TAKEOFF_SETTLED_JOB" not in os.environ, reason="no job named in TAKEOFF_SETTLED_JOB")
def test_one_job(tmp_path: Path) -> None:
    compare(int(os.environ["TAKEOFF_SETTLED_JOB"]), tmp_path)
