"""Writes the kept sample of the present version: ``python tests/storage/make_samples.py``.

Run it once for each new version of the job file, never for an old one: old samples must stay as
the old programs wrote them.
"""

from __future__ import annotations

from pathlib import Path

from stored_content import full_content

from takeoff.storage import jobfile

SAMPLES = Path(__file__).parent / "samples"


def sample(version: int) -> Path:
    return SAMPLES / f"v{version}{jobfile.EXTENSION}"


if __name__ == "__main__":
    if sample(jobfile.VERSION).exists():
        raise SystemExit(f"{sample(jobfile.VERSION)} is kept as it is")
    jobfile.save(sample(jobfile.VERSION), full_content())
