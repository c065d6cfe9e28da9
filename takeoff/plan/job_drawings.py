"""The drawings of a job: what each is called in it, and which storey was found in which."""

from __future__ import annotations

from collections.abc import Collection

import msgspec

from takeoff.plan.model import DrawingId, DrawingRef, Job, Storey, StoreyId

FIRST = DrawingId("d1")
"""What the first drawing of a job is called in it."""


def with_origin(job: Job, ref: DrawingRef, storeys: Collection[StoreyId] | None = None) -> Job:
    """The job with that drawing, in place of its own of the same id where it has one. Those of its storeys
    (None: all) that do not say yet where they are from are of that drawing."""

    def of_it(storey: Storey) -> Storey:
        known = storey.drawing is not None or (storeys is not None and storey.id not in storeys)
        return storey if known else msgspec.structs.replace(storey, drawing=ref.id)

    return msgspec.structs.replace(with_drawing(job, ref), storeys=tuple(of_it(storey) for storey in job.storeys))


def with_drawing(job: Job, ref: DrawingRef) -> Job:
    """The job with that drawing, in place of its own of the same id, or after the others."""
    if all(own.id != ref.id for own in job.drawings):
        return msgspec.structs.replace(job, drawings=(*job.drawings, ref))
    drawings = tuple(ref if own.id == ref.id else own for own in job.drawings)
    return msgspec.structs.replace(job, drawings=drawings)


def drawing_called(job: Job, drawing: DrawingId | None) -> DrawingRef | None:
    """The job's drawing of that id; None for none."""
    return next((ref for ref in job.drawings if ref.id == drawing), None)


def origin_of(job: Job, storey: Storey) -> DrawingRef | None:
    """The drawing of a storey; None for one that was made without a drawing."""
    return drawing_called(job, storey.drawing)


def north_of(job: Job, storey: Storey) -> float | None:
    """Where north lies in the plan of a storey, degrees anticlockwise from its x; None where its drawing does not
    say."""
    ref = origin_of(job, storey)
    return None if ref is None or ref.north_deg is None else (ref.north_deg + ref.laid.turn_deg) % 360.0


def drawing_shown(job: Job, storey: Storey | None) -> DrawingRef | None:
    """The drawing that lies under a storey: its own, or the only one of the job; None where there is none."""
    if storey is not None and storey.drawing is not None:
        return origin_of(job, storey)
    return job.drawings[0] if len(job.drawings) == 1 else None


def drawing_to_trace(job: Job) -> DrawingId | None:
    """Which drawing a storey that is begun by hand is of: the only one, as long as no storey was found in it."""
    if len(job.drawings) == 1 and all(storey.drawing is None for storey in job.storeys):
        return job.drawings[0].id
    return None


def drawing_traced(job: Job, storey: Storey) -> DrawingId | None:
    """The picture that a storey is traced over, which another one begun by hand is traced over too; None
    where it is not."""
    ref = drawing_shown(job, storey)
    return ref.id if ref is not None and ref.picture is not None else None


def fresh_drawing_id(job: Job) -> DrawingId:
    """An id that none of the job's drawings has: "d1", "d2" …"""
    taken = {str(ref.id) for ref in job.drawings}
    number = next(n for n in range(1, len(taken) + 2) if f"d{n}" not in taken)
    return DrawingId(f"d{number}")
