"""A contractor's own consumption over jobs that are done, out of their files."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from takeoff.account.site_progress import OwnConsumption, own_consumption
from takeoff.files.from_outside import named_in_refusals
from takeoff.services.after_order.sent_states import measured_of
from takeoff.services.after_order.work_sheets import progress_for
from takeoff.services.opened.job_store import load_job
from takeoff.supply.systems import in_words, of_job


def own_consumption_of(files: Sequence[Path]) -> tuple[OwnConsumption, ...]:
    """Litres per m² by coating system, over how many m² and jobs; empty where no room is coated with its tubs recorded.
    Raises InputError for a file that is no job."""
    found = []
    for file in files:
        with named_in_refusals(file):
            measured = measured_of(load_job(file), file)
            found.append((in_words(of_job(measured.job)).name, progress_for(measured)))
    return own_consumption(found)
