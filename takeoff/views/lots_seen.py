"""Lots as the window shows them: every room and copy with the lot that it is in, and what each lot buys."""

from __future__ import annotations

import msgspec

from takeoff.errors import TakeoffError
from takeoff.language import tr
from takeoff.plan.edits.lot_edits import every_copy
from takeoff.plan.lot_records import LotRoom
from takeoff.plan.model import Job
from takeoff.services.measured.job_result import Measured
from takeoff.services.measured.lots_said import lots_said
from takeoff.sheets.sheet_values import Table
from takeoff.supply.systems import amounts_unit
from takeoff.views.board import Considered, State


class LotsSeen(msgspec.Struct, frozen=True):
    """``items``: (id, name, how much is in the van) of what is ordered; ``instead``: why there is no table."""

    tables: tuple[Table, ...] = ()
    items: tuple[tuple[str, str, str], ...] = ()
    instead: str = ""


def lots_seen(state: State, considered: Considered | None) -> LotsSeen:
    """What the lots of the job buy."""
    if considered is None:
        return LotsSeen(instead=tr("Working out the order …"))
    if considered.order is None:
        return LotsSeen(instead=considered.failure or tr("The order cannot be worked out yet."))
    van = {one.item: f"{one.quantity:g}" for one in state.job.in_van}
    items = tuple(
        (line.id, f"{line.item}, {amounts_unit(line.unit)}", van.get(line.id, "")) for line in considered.order.lines
    )
    items = tuple(item for item in items if not item[0].startswith("bead-"))
    try:
        said = lots_said(Measured(state.job, state.takeoff, considered.order, (), ""))
    except TakeoffError as error:
        return LotsSeen(items=items, instead=str(error))
    return LotsSeen((said.together, *said.lots), items)


def room_keys(job: Job) -> tuple[tuple[str, str, str], ...]:
    """(key, name, id of the lot that it is in) of every room, each copy by itself."""
    where: dict[tuple[str, str, int], str] = {}
    built = {(str(s.id), str(r.id)): r.times * s.times for s in job.storeys for r in s.rooms}
    for lot in job.lots:
        for one in lot.rooms:
            for copy in one.copies or range(1, built.get((one.storey, one.room), 0) + 1):
                where[one.storey, one.room, copy] = lot.id
    names = {(str(s.id), str(r.id)): r.title for s in job.storeys for r in s.rooms}
    found = []
    for one in every_copy(job):
        copy = one.copies[0]
        name = names[one.storey, one.room]
        if built[one.storey, one.room] > 1:
            name = tr("{room}, number {copy}", room=name, copy=copy)
        found.append((_key(one), name, where.get((one.storey, one.room, copy), "")))
    return tuple(found)


def room_of_key(job: Job, key: str) -> LotRoom | None:
    """The room and copy that a key of ``room_keys`` stands for."""
    return next((one for one in every_copy(job) if _key(one) == key), None)


def _key(one: LotRoom) -> str:
    return f"{one.storey}|{one.room}|{one.copies[0]}"
