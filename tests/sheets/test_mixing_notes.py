"""Notes on mixing stand on the site sheets, with where they come from; they change nothing of a job."""

from __future__ import annotations

from pathlib import Path

import msgspec

from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import open_file
from takeoff.services.written.writing import document, for_paper
from takeoff.sheets.site_notes import system_notes
from takeoff.supply.systems import DEMO, CoatingSystem, as_copy, load, moved_on

TERRACE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"


def mixing(system: CoatingSystem) -> list[str]:
    return [line.text for line in system_notes(system).lines if line.label == "Mixing"]


def silent(system: CoatingSystem) -> CoatingSystem:
    """The system as older files have it."""
    product = msgspec.structs.replace(system.coat.product, mixing="", mixing_rule="")
    return msgspec.structs.replace(system, coat=msgspec.structs.replace(system.coat, product=product))


def test_a_note_is_told_with_its_product_and_source() -> None:
    (told,) = mixing(load(DEMO))
    assert told.startswith("Demo lime foam coat: Invented for trying out: stir slowly for 2 minutes")
    assert told.endswith("(invented, no source)")


def test_a_system_without_notes_says_so_and_its_file_stays_as_it_was() -> None:
    system = silent(load(DEMO))
    assert mixing(system) == ["As the manufacturer's instructions say: the system has no notes on mixing."]
    assert "mixing" not in as_copy(system)["coat"]["product"]


def test_a_job_with_an_older_copy_is_not_told_that_its_system_changed() -> None:
    job = open_file(TERRACE).job
    older = as_copy(silent(load(DEMO)))
    assert moved_on(msgspec.structs.replace(job, system=DEMO, system_copy=older)) == ""
    older["coat"]["thickness_mm"] = 2.5
    assert moved_on(msgspec.structs.replace(job, system=DEMO, system_copy=older)) == "changed"


def test_the_site_sheets_carry_the_note_of_the_jobs_own_copy() -> None:
    opened = open_file(TERRACE)
    job = msgspec.structs.replace(opened.job, system=DEMO, system_copy=as_copy(load(DEMO)))
    measured = measure_job(msgspec.structs.replace(opened, job=job))
    sheets = for_paper(document(measured, "2031-05-20"), measured, "site")
    lines = [line.text for notes in sheets.notes for line in notes.lines]
    assert any("stir slowly for 2 minutes" in text for text in lines)
