"""What the answers of the first pass do to the job: one edit each."""

from __future__ import annotations

from takeoff.errors import TakeoffError
from takeoff.language import tr
from takeoff.plan import edits
from takeoff.plan.edits import settling_edits as settling
from takeoff.plan.model import Job, Room, RoomId, StoreyId
from takeoff.supply.systems import as_copy, load
from takeoff.ui.document import Document
from takeoff.views.first_pass import TRIM_ON
from takeoff.views.settling import Row


def name_room(document: Document, room: Room, name: str) -> None:
    """A room has that name; who names it says that it is a room."""
    document.apply(tr("Name a room"), lambda job: _as_room(job, room, name))


def _as_room(job: Job, room: Room, name: str) -> Job:
    return edits.set_room_confidence(edits.rename_room(job, room.id, name), room.id, "sure")


def no_room(document: Document, room: RoomId) -> None:
    """What was taken for a room is none."""
    document.apply(tr("Not a room"), lambda job: edits.remove_room(job, room))


def set_height(document: Document, storey: StoreyId, height_mm: float) -> None:
    """A storey is so high from floor to ceiling."""
    document.apply(tr("Set a storey's height"), lambda job: edits.set_storey_height(job, storey, height_mm))


def set_substrates(document: Document) -> None:
    """Walls and ceilings of which nothing was said are of what is usual."""
    document.apply(tr("Set what walls and ceilings are made of"), edits.accept_substrates)


def set_trim(document: Document, stays: bool) -> None:
    """What of the trim was not said yet stays on at its usual size, or comes off."""
    usual = TRIM_ON if stays else None
    document.apply(tr("Say what is removed and what is kept"), lambda job: edits.accept_customs(job, usual))


def answer_row(document: Document, row: Row, key: str) -> None:
    """What was seen in the drawing is accepted as it is ("accept"), or a ceiling over a stair goes on or ends."""
    if key == "accept":
        document.apply(tr("Accept what was found"), lambda job: settling.accept_findings(job, row.findings))
    else:
        words = next(words for name, words, _ in row.answers if name == key).lower()
        document.apply(
            tr("Ceiling above the stair: {answer}", answer=words),
            lambda job: edits.answer_stair(job, RoomId(row.thing), key),  # type: ignore[arg-type]
        )


def use_system(document: Document, system_id: str) -> str:
    """The job is ordered with one of the user's own coating systems; why it cannot be, "" where it can."""
    try:
        system = load(system_id)
    except TakeoffError as error:
        return str(error)
    copy = as_copy(system)
    document.apply(tr("Use {system}", system=system.name), lambda job: edits.set_system(job, system.id, copy))
    return ""
