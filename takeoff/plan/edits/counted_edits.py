"""Edits of what is counted in a room: radiators, sockets and switches, vents, curtain poles, hatches."""

from __future__ import annotations

import msgspec

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan.counted_items import HANDLED, ITEM_KINDS, WHO, CountedItem
from takeoff.plan.edits.lookup import room_of, with_room
from takeoff.plan.model import Job, RoomId

MOST = 500
"""More of a kind than any room has (common practice, no source)."""


def count_items(job: Job, room_id: RoomId, item: CountedItem) -> Job:
    """The job with so many of a kind in a room; those of the same kind, handling, person and wall are replaced, and
    none of them takes them out. Raises InputError for a room or a wall that is not there, a number that cannot be, a
    kind or a person that is not known, and what is not done with that kind."""
    room = room_of(job, room_id)
    if item.kind not in ITEM_KINDS:
        raise InputError(tr("“{what}” are not counted: use {known}.", what=item.kind, known=", ".join(ITEM_KINDS)))
    if item.who not in WHO:
        raise InputError(tr("“{who}” does nothing here: use {known}.", who=item.who, known=", ".join(WHO)))
    if item.done not in HANDLED[item.kind]:
        known = ", ".join(HANDLED[item.kind])
        raise InputError(tr("{what}: use {known}, not “{done}”.", what=item.kind, known=known, done=item.done))
    if not 0 <= item.count <= MOST:
        raise InputError(tr("A room has 0 to {most} of a kind, not {count}.", most=MOST, count=item.count))
    if item.side is not None and all(str(side.id) != item.side for side in room.sides):
        raise InputError(tr("That wall is not in {room} any more: select another.", room=room.title))
    kept = list(room.counted)
    at = next((k for k, one in enumerate(kept) if _same_but_count(one, item)), len(kept))
    kept[at : at + 1] = [item] if item.count else []
    counted = tuple(kept)
    return (
        job
        if counted == room.counted
        else with_room(job, room_id, lambda r: msgspec.structs.replace(r, counted=counted))
    )


def _same_but_count(one: CountedItem, other: CountedItem) -> bool:
    return msgspec.structs.replace(one, count=other.count) == other
