"""Edits of lots: plots and storeys made into lots, rooms moved between them, what is in the van."""

from __future__ import annotations

import math
from collections.abc import Iterator

import msgspec

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan.lot_records import InVan, Lot, LotRoom
from takeoff.plan.model import Job
from takeoff.plan.typed_days import typed_day


def every_copy(job: Job) -> Iterator[LotRoom]:
    """Every room of the job, each of its copies by itself, storey by storey."""
    for storey in job.storeys:
        for room in storey.rooms:
            for copy in range(1, room.times * storey.times + 1):
                yield LotRoom(storey=str(storey.id), room=str(room.id), copies=(copy,))


def lot_for_each_plot(job: Job) -> Job:
    """One lot for each time that the storeys are built: plot 1, plot 2 …; a storey that is built less often is in the
    first ones. A room that stands several times in its storey is in its plot as often. Raises InputError where no
    storey is built more than once."""
    plots = max((storey.times for storey in job.storeys), default=1)
    if plots < 2:
        raise InputError(tr("No storey is built more than once: set how often, or make lots by storey."))
    lots = []
    for plot in range(1, plots + 1):
        rooms = tuple(
            LotRoom(
                storey=str(storey.id),
                room=str(room.id),
                copies=tuple(range((plot - 1) * room.times + 1, plot * room.times + 1)),
            )
            for storey in job.storeys
            if plot <= storey.times
            for room in storey.rooms
        )
        lots.append(Lot(id=f"plot-{plot}", name=tr("Plot {number}", number=plot), rooms=rooms))
    return _with(job, tuple(lots))


def lot_for_each_storey(job: Job) -> Job:
    """One lot for each storey, with all its rooms as often as they stand."""
    lots = tuple(
        Lot(
            id=f"storey-{storey.id}",
            name=storey.title,
            rooms=tuple(LotRoom(storey=str(storey.id), room=str(room.id)) for room in storey.rooms),
        )
        for storey in job.storeys
    )
    return _with(job, lots)


def set_lots(job: Job, lots: tuple[Lot, ...]) -> Job:
    """The lots as given. Raises InputError for a room that the job does not have, one that is in two lots, and a
    copy that is not built."""
    counts = {(str(s.id), str(r.id)): r.times * s.times for s in job.storeys for r in s.rooms}
    names = {(str(s.id), str(r.id)): r.title for s in job.storeys for r in s.rooms}
    taken: set[tuple[str, str, int]] = set()
    for lot in lots:
        for one in lot.rooms:
            key = (one.storey, one.room)
            built = counts.get(key, 0)
            if not built:
                name = lot.name or lot.id
                raise InputError(tr("{lot} holds a room that the job does not have: take it out.", lot=name))
            for copy in one.copies or range(1, built + 1):
                if not 1 <= copy <= built:
                    text = tr(
                        "{room} is built {count} times: there is no number {copy}.",
                        room=names[key],
                        count=built,
                        copy=copy,
                    )
                    raise InputError(text)
                if (*key, copy) in taken:
                    raise InputError(tr("{room} is in two lots: take it out of one.", room=names[key]))
                taken.add((*key, copy))
    return _with(job, lots)


def set_lot_date(job: Job, lot: str, date: str) -> Job:
    """The date of a lot, "" for none. Raises InputError for a lot that is not there, and for what is no date."""
    date = date.strip()
    if date:
        typed_day(date)
    if all(one.id != lot for one in job.lots):
        raise InputError(tr("That lot is not there any more."))
    lots = tuple(msgspec.structs.replace(one, date=date) if one.id == lot else one for one in job.lots)
    return _with(job, lots)


def set_in_van(job: Job, item: str, quantity: float) -> Job:
    """What is there of an item; 0 takes it out. Raises InputError for less than nothing or no number."""
    if not math.isfinite(quantity) or quantity < 0:
        raise InputError(tr("What is in the van is 0 or more."))
    rest = tuple(one for one in job.in_van if one.item != item)
    kept = (*rest, InVan(item=item, quantity=quantity)) if quantity else rest
    return job if kept == job.in_van or set(kept) == set(job.in_van) else msgspec.structs.replace(job, in_van=kept)


def set_in_van_typed(job: Job, item: str, text: str) -> Job:
    """As ``set_in_van``, as typed; nothing typed is none. Raises InputError for what is no number."""
    try:
        quantity = float(text.strip().replace(",", ".") or 0)
    except ValueError:
        raise InputError(tr("What is in the van is 0 or more.")) from None
    return set_in_van(job, item, quantity)


def name_lot(job: Job, lot: str, name: str) -> Job:
    """What a lot is called. Raises InputError for a lot that is not there, and for no name."""
    if all(one.id != lot for one in job.lots):
        raise InputError(tr("That lot is not there any more."))
    if not name.strip():
        raise InputError(tr("A lot needs a name."))
    renamed = (msgspec.structs.replace(one, name=name.strip()) if one.id == lot else one for one in job.lots)
    return _with(job, tuple(renamed))


def put_into_lot(job: Job, room: LotRoom, lot: str | None, new_name: str = "") -> Job:
    """One copy of a room put into a lot, out of the one that it was in: ``lot`` "" for none, None for a new one of that
    name. A lot without rooms goes. Raises InputError for a lot that is not there, and as ``set_lots``."""
    if lot and all(one.id != lot for one in job.lots):
        raise InputError(tr("That lot is not there any more."))
    copy = room.copies[0] if room.copies else 1
    counts = {(str(s.id), str(r.id)): r.times * s.times for s in job.storeys for r in s.rooms}
    built = counts.get((room.storey, room.room), 0)
    lots = []
    for one in job.lots:
        rooms = _without(one, room, copy, built)
        lots.append(msgspec.structs.replace(one, rooms=_joined(rooms, room, copy, built) if one.id == lot else rooms))
    lots = [one for one in lots if one.rooms]
    if lot is None:
        taken = {one.id for one in lots}
        number = next(n for n in range(1, len(lots) + 2) if f"lot-{n}" not in taken)
        lots.append(Lot(id=f"lot-{number}", name=new_name, rooms=_joined((), room, copy, built)))
    return set_lots(job, tuple(lots))


def _without(lot: Lot, room: LotRoom, copy: int, built: int) -> tuple[LotRoom, ...]:
    kept = []
    for one in lot.rooms:
        if (one.storey, one.room) == (room.storey, room.room):
            copies = tuple(n for n in one.copies or range(1, built + 1) if n != copy)
            if copies:
                kept.append(one if copies == one.copies else msgspec.structs.replace(one, copies=copies))
        else:
            kept.append(one)
    return tuple(kept)


def _joined(rooms: tuple[LotRoom, ...], room: LotRoom, copy: int, built: int) -> tuple[LotRoom, ...]:
    """The rooms with that copy; all of a room that is built once stands without its number."""
    same = next((one for one in rooms if (one.storey, one.room) == (room.storey, room.room)), None)
    copies = tuple(sorted({copy, *(same.copies if same else ())}))
    own = LotRoom(storey=room.storey, room=room.room, copies=() if built == 1 else copies)
    if same is None:
        return (*rooms, own)
    return tuple(own if one is same else one for one in rooms)


def _with(job: Job, lots: tuple[Lot, ...]) -> Job:
    return job if lots == job.lots else msgspec.structs.replace(job, lots=lots)
