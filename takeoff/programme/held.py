"""What a hold of the site check stops in the programme: work of its room, from a kind of work on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

import msgspec

from takeoff.plan.model import Job
from takeoff.plan.price_terms import WORK_ITEMS, WorkItem
from takeoff.plan.site_check import Stage
from takeoff.programme.list_schedule import Activity, Programme
from takeoff.sitecheck.holds import Hold, holds

_FROM: dict[Stage, WorkItem] = {"quote": "base", "start": "base", "coating": "base", "sanding": "scrape"}
"""What a hold of each stage stops first; one before decoration stops none of this work."""

_RANK: dict[str, int] = {item: rank for rank, item in enumerate(WORK_ITEMS)}

_UNTOUCHED = ("seen-textured", "seen-old-paint", "unseen-textured", "unseen-old-paint")
"""Codes of holds on surfaces that nobody may disturb before they were surveyed: nothing is prepared either."""


class HeldRoom(msgspec.Struct, frozen=True):
    """A room whose work waits. ``what`` is stopped first, at ``before``: by then its holds must be cleared."""

    room: str
    what: str
    before: datetime
    reasons: tuple[str, ...]


def stopped_work(job: Job, activities: Sequence[Activity], now: datetime) -> dict[str, tuple[str, ...]]:
    """The ids of activities that a hold stops, with the reasons; empty where the site was never looked at in a way
    that holds."""
    found: dict[str, tuple[str, ...]] = {}
    by_room: dict[str, list[Hold]] = {}
    for hold in holds(job, now):
        if hold.state == "hold":
            by_room.setdefault(hold.room, []).append(hold)
    for one in activities:
        reasons = [hold.reason for hold in by_room.get(one.room_id, ()) if _stops(hold, one.item, job.site_check.stage)]
        if reasons:
            found[one.id] = tuple(dict.fromkeys(reasons))
    return found


def held_rooms(programme: Programme, stopped: Mapping[str, tuple[str, ...]]) -> tuple[HeldRoom, ...]:
    """The rooms whose work waits, in the order in which it would begin, each by the first thing that is stopped."""
    found: dict[str, HeldRoom] = {}
    for planned in programme.planned:
        activity = planned.activity
        if activity.id in stopped and activity.chain not in found:
            found[activity.chain] = HeldRoom(activity.room, activity.what, planned.start, stopped[activity.id])
    return tuple(found.values())


def _stops(hold: Hold, item: str, stage: Stage) -> bool:
    first = "prepare" if hold.code in _UNTOUCHED else _FROM.get(stage)
    return first is not None and item in _RANK and _RANK[item] >= _RANK[first]
