"""What the coat goes on: of faces, of rooms, of the whole job. Which there are is the coating system's word."""

from __future__ import annotations

from collections.abc import Collection

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan.edits.coat_edits import Faces, each_face, each_room
from takeoff.plan.edits.lookup import changed
from takeoff.plan.model import Job, RoomId
from takeoff.plan.substrates import USUAL_CEILING, USUAL_WALL

LONGEST = 60


def set_face_substrate(job: Job, faces: Faces, substrate: str) -> Job:
    """What these faces are of; "" takes their own word away again."""
    key = _key(substrate)
    return each_face(job, faces, lambda treatment: changed(treatment, substrate=key))


def set_room_substrates(
    job: Job, rooms: Collection[RoomId], walls: str | None = None, ceiling: str | None = None
) -> Job:
    """What walls and ceilings of these rooms are of, each where given; "" takes the room's word away again."""
    if walls is not None:
        own = _key(walls)
        job = each_room(job, rooms, lambda room: changed(room, walls=changed(room.walls, substrate=own)))
    if ceiling is None:
        return job
    over = _key(ceiling)
    return each_room(
        job, rooms, lambda room: changed(room, ceiling_treatment=changed(room.ceiling_treatment, substrate=over))
    )


def set_job_substrates(job: Job, walls: str | None = None, ceilings: str | None = None) -> Job:
    """What walls and ceilings are of where neither face nor room says, each where given; "": nobody knows."""
    given = {"wall_substrate": walls, "ceiling_substrate": ceilings}
    return changed(job, **{name: _key(text) for name, text in given.items() if text is not None})


def accept_substrates(job: Job) -> Job:
    """The job with what was taken of walls and ceilings said, each where nobody has."""
    return set_job_substrates(job, job.wall_substrate or USUAL_WALL, job.ceiling_substrate or USUAL_CEILING)


def _key(substrate: str) -> str:
    key = substrate.strip()
    if len(key) > LONGEST:
        raise InputError(tr("The name of that substrate is too long: use one of the coating system."))
    return key
