"""What the sheets say of customs: assumed with its effect until it is answered, a fact from then on."""

from __future__ import annotations

from invented_job import cottage

from takeoff.measure import measure
from takeoff.plan import edits
from takeoff.plan.model import Job
from takeoff.sheets.first_lines import first_page_lines


def lines(job: Job) -> dict[str, str]:
    return {line.label: line.text for line in first_page_lines(job, measure(job), (), None, "nothing")}


def test_customs_are_assumptions_until_they_are_answered() -> None:
    told = lines(cottage()[0])
    assert "are removed and refitted by others (if kept: 120 mm of skirting about " in told["Assumed"]
    assert "of architraves about " in told["Assumed"]
    assert "if sound bead is kept" in told["Assumed"]
    assert "Trim" not in told


def test_customs_are_facts_once_they_are_answered() -> None:
    job = edits.set_custom(edits.set_custom(cottage()[0], "architrave", 70), "skirting", 120)
    job = edits.set_bead_default(edits.set_custom(job, "coving", 0), "existing")
    told = lines(job)
    assert told["Trim"] == (
        "Coving is removed and refitted by others; skirting 120 mm and architraves 70 mm are kept and coated up to; "
        "sound arrises keep their bead."
    )
    assert "skirting" not in told.get("Assumed", "")
