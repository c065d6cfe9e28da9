"""A picture that rooms are traced over has to have a scale."""

from __future__ import annotations

from takeoff.errors import Finding
from takeoff.plan.model import Job


def unplaced_picture(job: Job) -> list[Finding]:
    """An error while nobody has said how large the job's picture is: what is traced over it is wrong."""
    ref = job.drawing
    if ref is None or ref.picture is None or ref.picture.mm_per_px is not None:
        return []
    return [
        Finding(
            "picture-not-placed",
            "error",
            (
                f"{ref.name} is a picture without a scale: straighten it by four corners of a rectangle, or give one "
                "known length, before its rooms are traced."
            ),
        )
    ]
