"""Holds and counted items as the window shows them, in words."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.language import tr, tr_count
from takeoff.plan.model import Job
from takeoff.sheets.site_work_tables import DONE_NAMES, WHO_NAMES, item_words
from takeoff.sitecheck.holds import QUANTITY_NAMES, Hold
from takeoff.sitecheck.preparation import CAUSES

_MOST_NAMED = 3
"""More causes than these end in an ellipsis."""


def held_rooms(found: Sequence[Hold]) -> frozenset[str]:
    """The rooms that are on hold."""
    return frozenset(hold.room for hold in found if hold.state == "hold")


def foot_words(found: Sequence[Hold]) -> str:
    """ "2 holds: textured coating, damp"; "" where nothing is held. A cause counts once in each room."""
    held = [hold for hold in found if hold.state == "hold"]
    if not held:
        return ""
    causes = list(dict.fromkeys(cause_of(hold) for hold in held))
    named = ", ".join(causes[:_MOST_NAMED]) + (" …" if len(causes) > _MOST_NAMED else "")
    return tr_count("{count} hold: {what}", "{count} holds: {what}", len(held), what=named)


def cause_of(hold: Hold) -> str:
    """What a hold is about, in a word or two."""
    _, _, what = hold.code.partition("-")
    if hold.code == "near-dew":
        return tr("dew point")
    if what in CAUSES:
        return tr(CAUSES[what])
    names = {str(key): name for key, name in QUANTITY_NAMES.items()}
    return tr(names[what]) if what in names else {"base-dry": tr("base coat"), "vents-free": tr("vents")}.get(what, "")


def items_of(job: Job, room_id: str) -> tuple[str, ...]:
    """A line for each counted item of a room: "2 × Radiators, wall B: stays where it is (plumber)"."""
    return tuple(
        tr(
            "{count} × {item}: {done} ({who})",
            count=item.count,
            item=item_words(room, item),
            done=tr(DONE_NAMES[item.done]),
            who=tr(WHO_NAMES[item.who]),
        )
        for storey in job.storeys
        for room in storey.rooms
        if str(room.id) == room_id
        for item in room.counted
    )
