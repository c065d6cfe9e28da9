"""Edits of the ledger of what was bought: packs and bars ordered, delivered, opened, used, returned."""

from __future__ import annotations

import msgspec

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan.edits.work_dates import day_of, in_turn
from takeoff.plan.model import Job
from takeoff.plan.work_records import Moved, Movement, WorkRecords


def record_movement(job: Job, movement: Movement) -> Job:
    """The job with one movement more. Raises InputError for no count, a day that is none or comes before what it
    follows from, more delivered than ordered, and what goes back or is opened without ever having been delivered."""
    if movement.count < 1:
        raise InputError(tr("Give how many packs or bars: 1 or more."))
    day_of(movement.on)
    work = job.work
    _refuse_more_than_there(work, movement)
    return msgspec.structs.replace(job, work=msgspec.structs.replace(work, movements=(*work.movements, movement)))


def take_movement_out(job: Job, index: int) -> Job:
    """Without the movement of that index. Raises InputError where there is none, or where later ones rest on it."""
    movements = job.work.movements
    if not 0 <= index < len(movements):
        raise InputError(tr("That entry is not there any more."))
    bare = msgspec.structs.replace(job, work=msgspec.structs.replace(job.work, movements=()))
    for movement in (*movements[:index], *movements[index + 1 :]):
        bare = record_movement(bare, movement)
    return bare


def counted(work: WorkRecords, moved: Moved, item: str, pack: str, lot: str | None = None) -> int:
    """How many of a pack were moved so; tubs opened room by room count with those opened. ``lot`` None: of all."""
    own = sum(
        one.count
        for one in work.movements
        if one.moved == moved and (one.item, one.pack) == (item, pack) and lot in (None, one.lot)
    )
    if moved == "opened" and not lot:
        own += sum(tub.count for day in work.days for tub in day.opened if (tub.item, tub.pack) == (item, pack))
    return own


def _refuse_more_than_there(work: WorkRecords, new: Movement) -> None:
    def so_far(moved: Moved) -> int:
        return counted(work, moved, new.item, new.pack, new.lot)

    earlier: dict[Moved, Moved] = {"delivered": "ordered", "returned": "delivered", "opened": "delivered"}
    if new.moved == "used":
        earlier["used"] = "delivered"
    before = earlier.get(new.moved)
    if before is None:
        return
    there = so_far(before)
    if new.moved == "delivered" and so_far("delivered") + new.count > there:
        raise InputError(
            tr(
                "{count} × {pack} would be delivered, and {ordered} are ordered: enter the order first.",
                count=so_far("delivered") + new.count,
                pack=new.pack,
                ordered=there,
            )
        )
    if new.moved != "delivered" and not there:
        raise InputError(tr("{pack} was never delivered: enter the delivery first.", pack=new.pack))
    gone = (
        so_far("returned")
        + (so_far("opened") if new.moved != "used" else 0)
        + (so_far("used") if new.moved == "used" else 0)
    )
    if new.moved != "delivered" and gone + new.count > there:
        raise InputError(
            tr(
                "Of {there} × {pack} delivered, {gone} are opened, used or returned already: {count} more cannot be.",
                there=there,
                pack=new.pack,
                gone=gone,
                count=new.count,
            )
        )
    first = min((m.on for m in work.movements if m.moved == before and m.item == new.item and m.on), default="")
    in_turn(first, new.on)
