"""What a user says of the drawing itself."""

from __future__ import annotations

import math

import msgspec

from takeoff.errors import InputError
from takeoff.plan.model import Job, PlacedPicture


def place_picture(job: Job, placed: PlacedPicture) -> Job:
    """The job with its picture lying otherwise under the plan; rooms stay where they are. Raises
    InputError where the job has no picture, or another one."""
    ref = job.drawing
    if ref is None or ref.picture is None:
        raise InputError("This job has no picture to place: open a PNG, JPEG or scanned PDF.")
    if (placed.sha256, placed.width_px, placed.height_px) != (
        ref.picture.sha256,
        ref.picture.width_px,
        ref.picture.height_px,
    ):
        raise InputError("That is another picture than the job's: place the one that it has.")
    if not all(math.isfinite(v) for v in (*placed.matrix, placed.mm_per_px or 1.0)):
        raise InputError("The picture cannot lie so: pick the points again.")
    if placed == ref.picture:
        return job
    return msgspec.structs.replace(job, drawing=msgspec.structs.replace(ref, picture=placed))
