"""The sample job that a first start opens is the one the sample plans come with."""

from __future__ import annotations

from pathlib import Path

from takeoff.services.opening import sample_job

CHECKOUT = Path(__file__).parents[2]


def test_sample_of_the_first_start_is_that_of_the_sample_plans() -> None:
    found = sample_job()
    assert found is not None
    assert found == CHECKOUT / "resources" / "samples" / "terrace.job.json"
    assert found.read_bytes() == (CHECKOUT / "sample_plans" / "terrace.job.json").read_bytes()
