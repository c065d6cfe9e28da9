"""A job in its file, changed and saved in place: what else the file holds (drawings, photos) stays."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import msgspec

from takeoff.errors import InputError
from takeoff.files.atomic import write_bytes
from takeoff.language import tr
from takeoff.plan.model import Job
from takeoff.services.bare_pictures import with_bare_pictures
from takeoff.services.opening import kind_of
from takeoff.storage import jobfile, jobs, lock


def change_job_file(path: Path, edit: Callable[[Job], Job]) -> Job:
    """Change the job in the file and save it there, whole or not at all; the job as it is then. A job that the edit
    gives back itself is not written.

    Raises InputError for a file that holds no job, one that is open elsewhere, and what the edit refuses; OutputError
    where it cannot be written. Then the file is as it was.
    """
    if not jobfile.is_job_file(path):
        if kind_of(path) != "job":
            raise InputError(
                tr("{file} is a drawing: save it as a job first, with takeoff job {file} -o JOB.json.", file=path.name)
            )
        job = jobs.load(path.read_bytes(), path.name)
        changed = edit(job)
        if changed is not job:
            write_bytes(path, jobs.dump(changed))
        return changed
    held = lock.take(path)
    if not held.held:
        raise InputError(held.warning)
    try:
        content, _ = with_bare_pictures(jobfile.load(path), path.name)
        changed = edit(content.job)
        if changed is not content.job:
            jobfile.save(path, msgspec.structs.replace(content, job=changed))
        return changed
    finally:
        held.release()
