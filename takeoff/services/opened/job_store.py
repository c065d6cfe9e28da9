"""A job file opened for a change, and saved as it came: JSON stays JSON as long as it keeps no sent states."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import msgspec

from takeoff.errors import InputError
from takeoff.files.atomic import write_bytes
from takeoff.files.from_outside import within_memory
from takeoff.language import tr
from takeoff.plan.limits import refuse_unsound
from takeoff.plan.model import Job
from takeoff.services.opened.bare_pictures import with_bare_pictures
from takeoff.services.opened.opening import kind_of
from takeoff.storage import jobfile, jobs, lock
from takeoff.storage.content import Content


def load_job(path: Path) -> Content:
    """What a job file holds. Raises InputError for a drawing, a damaged file, and what is no job."""
    if kind_of(path) != "job":
        raise InputError(
            tr("{file} is a drawing: save it as a job first, with takeoff job {file} -o JOB.json.", file=path.name)
        )
    with within_memory(path):
        content = jobfile.load(path) if jobfile.is_job_file(path) else Content(jobs.load(path.read_bytes(), path.name))
        return with_bare_pictures(content, path.name)[0]


def store_path(path: Path, content: Content) -> Path:
    """Where a job that came from there is saved: beside it as a job file where JSON has no room for its states."""
    return path.with_suffix(jobfile.EXTENSION) if content.states and not jobfile.is_job_file(path) else path


def save_job(path: Path, content: Content) -> Path:
    """Saves what came from ``path``; where it stands now. Raises InputError where it is open elsewhere or not sound,
    OutputError where it cannot be written."""
    refuse_unsound(content.job, path.name)
    target = store_path(path, content)
    if jobfile.is_job_file(path) or target != path:
        if said := lock.holder(target):
            raise InputError(said)
        if target != path and target.exists():
            raise InputError(tr("“{path}” is there already: move it away, or open that one.", path=target))
        jobfile.save(target, content)
    else:
        write_bytes(target, jobs.dump(content.job))
    return target


def change_job(path: Path, edit: Callable[[Job], Job]) -> Job:
    """Edits the job in a file and saves it, whole or not at all; the job as it is now. Nothing is written where nothing
    changes. A job file is held meanwhile: nobody else can open it unwarned between the reading and the writing. Raises
    as ``load_job`` and ``save_job`` do, and what the edit raises."""
    held = lock.take(path) if kind_of(path) == "job" and jobfile.is_job_file(path) else None
    if held is not None and not held.held:
        raise InputError(held.warning)
    try:
        content = load_job(path)
        job = edit(content.job)
        if job is not content.job:
            save_job(path, msgspec.structs.replace(content, job=job))
        return job
    finally:
        if held is not None:
            held.release()
