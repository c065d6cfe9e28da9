"""Corners and coat edges picked by hand, one or many, and what the others get."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Literal

from takeoff.plan.edits.lookup import changed, with_room
from takeoff.plan.model import CornerPick, Job, OpeningId, Room, RoomId

Bead = Literal["new", "existing", "none"]
Finish = Literal["feather", "trim", "stop"]
Corners = Mapping[RoomId, Collection[str]]
"""Corners by room, each by its id in the result."""


def pick_corners(
    job: Job, corners: Corners, bead: Bead | None = None, finish: Finish | None = None,
    profile: str | None = None,
) -> Job:  # fmt: skip
    """What these corners and coat edges get; what is not given stays as it was picked."""
    given: dict[str, str] = {
        key: value for key, value in (("bead", bead), ("finish", finish), ("profile", profile)) if value is not None
    }

    def picked(room: Room) -> Room:
        known = {pick.corner: pick for pick in room.corners}
        for corner in corners[room.id]:
            known[corner] = changed(known.get(corner, CornerPick(corner=corner)), **given)
        return changed(room, corners=tuple(known.values()))

    if given:
        for room_id in corners:
            job = with_room(job, room_id, picked)
    return job


def unpick_corners(job: Job, corners: Corners) -> Job:
    """These corners as the job says of all again."""
    for room_id, names in corners.items():
        job = with_room(
            job,
            room_id,
            lambda room, names=frozenset(names): changed(  # type: ignore[misc]
                room, corners=tuple(pick for pick in room.corners if pick.corner not in names)
            ),
        )
    return job


def set_bead_default(job: Job, bead: Bead) -> Job:
    """What every external corner gets that was not picked by hand."""
    return changed(job, bead_default=bead)


def set_coat_edge_default(job: Job, finish: Finish) -> Job:
    """How every coat edge ends that was not picked by hand."""
    return changed(job, coat_edge_default=finish)


def without_picks_of(room: Room, opening_id: OpeningId) -> Room:
    """The room without picks of corners at an opening that goes."""
    return changed(room, corners=tuple(p for p in room.corners if not _is_at(p.corner, opening_id)))


def _is_at(corner: str, opening_id: OpeningId) -> bool:
    """Whether a corner is one of an opening: one of its surfaces is a strip of it."""
    surfaces = corner.partition("#")[0].partition("@")[0].split("|")
    return any(name.rpartition(".")[0].removesuffix(".beyond") == opening_id for name in surfaces)
