"""A job found in one drawing, made ready to stand beside those of others: ids of its own, laid over them."""

from __future__ import annotations

import math

import msgspec

from takeoff.errors import Finding, Where
from takeoff.geometry.poses import Pose, put
from takeoff.plan.edits.storey_edits import renamed_storey
from takeoff.plan.job_drawings import FIRST
from takeoff.plan.model import DrawingId, Job, Laid, Storey, StoreyId
from takeoff.plan.moved import STILL, moved_light, moved_ring, moved_room

replace = msgspec.structs.replace


def pose_of(laid: Laid) -> Pose:
    """How a drawing lies, as a pose of its own origin."""
    return laid.dx_mm, laid.dy_mm, math.radians(laid.turn_deg)


def pose_from(before: Laid, after: Laid) -> Pose:
    """The movement that brings what lies as ``before`` to where it lies as ``after``."""
    turn = math.radians(after.turn_deg - before.turn_deg)
    x, y = put((0.0, 0.0, turn), (before.dx_mm, before.dy_mm))
    return after.dx_mm - x, after.dy_mm - y, turn


def then_laid(before: Laid, moved: Laid) -> Laid:
    """How a drawing lies that lay as ``before`` and is then moved in the plan."""
    x, y = put(pose_of(moved), (before.dx_mm, before.dy_mm))
    turn = (before.turn_deg + moved.turn_deg + 180.0) % 360.0 - 180.0
    return Laid(turn_deg=turn, dx_mm=x, dy_mm=y)


def own_ids(job: Job, drawing: DrawingId) -> Job:
    """The job with storeys, rooms and openings called after the drawing ("d2/r1"), so that they are the only
    ones of their name beside those of other drawings. Those of a job's first drawing keep their ids."""
    if drawing == FIRST:
        return job
    storeys = tuple(renamed_storey(storey, StoreyId(f"{drawing}/{storey.id}"), str(drawing)) for storey in job.storeys)
    return replace(job, storeys=tuple(replace(storey, drawing=drawing) for storey in storeys))


def moved_storey(storey: Storey, pose: Pose) -> Storey:
    """The storey with all that lies in its plan, moved and turned as a whole."""
    return replace(
        storey,
        rooms=tuple(moved_room(room, pose) for room in storey.rooms),
        rooflights=tuple(moved_light(light, pose) for light in storey.rooflights),
        building=tuple(moved_ring(ring, pose) for ring in storey.building),
    )


def finding_in_job(finding: Finding, drawing: DrawingId, pose: Pose = STILL) -> Finding:
    """What was noticed in a drawing by itself, with its place as the job that it is joined to has it."""
    where = finding.where
    x, y = where.x_mm, where.y_mm
    if x is not None and y is not None:
        x, y = put(pose, (x, y))

    def named(name: str | None) -> str | None:
        return f"{drawing}/{name}" if name and drawing != FIRST else name

    there: Where = replace(
        where, storey=named(where.storey), room=named(where.room), opening=named(where.opening), x_mm=x, y_mm=y
    )
    return replace(finding, where=there)
