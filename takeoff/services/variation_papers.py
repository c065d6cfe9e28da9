"""What a comparison gives on paper, written into one folder: all of it or nothing."""

from __future__ import annotations

from pathlib import Path

from takeoff.files.atomic import write_bytes
from takeoff.files.together import all_or_nothing
from takeoff.services.comparing import Comparison, difference_json
from takeoff.services.job_result import with_copies
from takeoff.storage import jobs

DIFFERENCE_NAME, JOB_NAME = "difference.json", "job.json"


def write_variation(done: Comparison, folder: Path, accept: bool, page: str = "", date: str = "") -> tuple[Path, ...]:
    """Write the comparison as JSON into ``folder``; with ``accept`` the job with all changes in it too. Returns the
    files. Raises OutputError; then nothing new is there and nothing is lost."""
    del page, date
    names = [DIFFERENCE_NAME]
    with all_or_nothing(folder) as beside:
        write_bytes(beside / DIFFERENCE_NAME, difference_json(done))
        if accept:
            write_bytes(beside / JOB_NAME, jobs.dump(with_copies(done.compared.job)))
            names.append(JOB_NAME)
    return tuple(folder / name for name in names)
