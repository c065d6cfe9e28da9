"""Opening a file for the window: importable by name, so that it can run in a process of its own."""

from __future__ import annotations

from pathlib import Path

from takeoff.errors import InputError
from takeoff.files.paths import resource
from takeoff.services.measuring import Opened, Progress, open_file

SAMPLE = "terrace.job.json"


def open_for_window(path: Path, unit: str | None, progress: Progress) -> Opened:
    """``open_file`` with what a spawned process can be given. Raises InputError."""
    return open_file(path, unit=unit, progress=progress)


def sample_job() -> Path | None:
    """The sample job that a first start opens: in the wheel's data, or beside it in a checkout."""
    try:
        found = resource(f"samples/{SAMPLE}")
    except InputError:
        beside = Path(__file__).resolve().parents[2] / "sample_plans" / SAMPLE
        return beside if beside.is_file() else None
    return Path(str(found))
