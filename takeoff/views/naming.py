"""What things are called in the window, as on the sheets: rooms, storeys, and where they stand in the job."""

from __future__ import annotations

from decimal import Decimal
from functools import cache

from takeoff.language import language, mark
from takeoff.plan.model import Job, Room, Storey
from takeoff.sheets.room_rows import room_labels
from takeoff.sheets.texts import Texts, load
from takeoff.units.printing import shown

KIND_NAMES: dict[str, str] = {"window": mark("Window"), "door": mark("Door"), "open": mark("Doorway, no door")}
"""Openings by their kind."""


def texts() -> Texts:
    """The words of the sheets, so that screen and paper say the same."""
    return _texts(language())


@cache
def _texts(spoken: str) -> Texts:
    return load()


def labels(job: Job) -> dict[tuple[str, str], str]:
    """A name for every room by (storey, room), as on the sheets."""
    return room_labels(job, texts())


def storey_name(storey: Storey) -> str:
    """The storey's name as on the sheets, never empty."""
    return storey.name or texts().words["unnamed_storey"]


def place_of(job: Job, room_id: str) -> tuple[Storey, Room] | None:
    """The storey and the room of that id; None where the job has no such room."""
    return next(((s, r) for s in job.storeys for r in s.rooms if r.id == room_id), None)


def to_coat(figure: Decimal) -> str:
    """ "41.3 m² to coat": what a room's label says under its name."""
    return texts().words["to_coat"].format(area=shown(figure, 1))
