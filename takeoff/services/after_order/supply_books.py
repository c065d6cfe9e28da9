"""The ledger of what was bought, from what is typed: packs by their names, a whole order at once, bars as cut."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

import msgspec

from takeoff.account.bought import StillToBuy, still_to_buy
from takeoff.account.bought_by_lot import LotStill, still_by_lot
from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan import edits
from takeoff.plan.model import Job
from takeoff.plan.work_records import Moved, Movement
from takeoff.services.measured.job_result import Measured
from takeoff.supply.lots import order_by_lots
from takeoff.supply.order import Order
from takeoff.supply.systems import CoatingSystem, in_words, of_job, products_by_line


class KnownPack(msgspec.Struct, frozen=True):
    """A pack or a bar that the coating system sells: the line that it belongs to, and what both are called.

    ``pack`` is the system's own name, which the ledger keeps; ``said`` and ``product`` are in the user's language.
    """

    item: str
    pack: str
    product: str
    said: str


def known_packs(system: CoatingSystem) -> tuple[KnownPack, ...]:
    """Everything that can be bought, in the order of the system's lines."""
    spoken = in_words(system)
    packs = [
        KnownPack(key, pack.name, product.name, said.name)
        for (key, own), product in zip(products_by_line(system).items(), products_by_line(spoken).values(), strict=True)
        for pack, said in zip(own.packs, product.packs, strict=True)
    ]
    bars = [
        KnownPack(f"bead-{own.id}", stock.name, one.name, said.name)
        for own, one in zip(system.beads, spoken.beads, strict=True)
        for stock, said in zip(own.stock, one.stock, strict=True)
    ]
    return (*packs, *bars)


def _own_name(job: Job, item: str, pack: str) -> str:
    """The system's own name of a pack of an order, which is in the user's language: a ledger is read on in another."""
    known = known_packs(of_job(job))
    return next((one.pack for one in known if one.item == item and one.said == pack), pack)


def pack_called(system: CoatingSystem, text: str) -> KnownPack:
    """The pack that is meant by its name, or by "product: pack" where several have it. Raises InputError for one that
    is not sold, and for a name that fits several."""
    wanted = " ".join(text.casefold().split())
    product, colon, pack = wanted.partition(":")
    found = [
        one
        for one in known_packs(system)
        for name in {one.pack.casefold(), one.said.casefold()}
        if wanted in (name, f"{one.item.casefold()}/{name}")
        or (colon and one.product.casefold() == product.strip() and name == pack.strip())
    ]
    if not found:
        raise InputError(
            tr("The coating system sells no “{pack}”: use one of {packs}.", pack=text, packs=_names(system))
        )
    if len(found) > 1:
        example = f"{found[0].product}: {found[0].said}"
        raise InputError(tr("“{pack}” is sold of several products: write “{example}”.", pack=text, example=example))
    return found[0]


def moved(job: Job, moved_how: Moved, text: str, on: str, lot: str = "", batch: str = "") -> Job:
    """The job with a movement as typed, "22 L demo bucket=3". Raises InputError."""
    name, equals, count = text.rpartition("=")
    if not equals or not count.strip().isdecimal():
        raise InputError(tr("“{text}” gives no number: write it as PACK=3.", text=text))
    pack = pack_called(of_job(job), name)
    movement = Movement(moved=moved_how, item=pack.item, pack=pack.pack, count=int(count), on=on, lot=lot, batch=batch)
    return edits.record_movement(job, movement)


def order_taken(job: Job, order: Order, on: str, lot: str = "", delivered: bool = True) -> Job:
    """The job with a whole order as ordered, and as delivered too where it was."""
    for line in order.lines:
        for pack, count in line.packs:
            for how in ("ordered", "delivered") if delivered else ("ordered",):
                name = _own_name(job, line.id, pack)
                movement = Movement(moved=how, item=line.id, pack=name, count=count, on=on, lot=lot)
                job = edits.record_movement(job, movement)
    return job


def rest_ordered(measured: Measured, on: str, lot: str = "") -> Job:
    """The measured job with what it, or one lot of it, must still buy as ordered. Raises InputError where nothing is
    lacking, and for a lot that is not there."""
    job, lines = measured.job, to_buy(measured).lines
    if lot:
        found = [one for one in to_buy_by_lot(measured) if one.lot.id == lot]
        if not found:
            raise InputError(tr("The job has no lot “{lot}”: use one that it has.", lot=lot))
        lines = found[0].lines
    if not any(line.buy for line in lines):
        raise InputError(tr("Nothing is still to buy."))
    for line in lines:
        for pack, count in line.buy:
            movement = Movement(moved="ordered", item=line.id, pack=pack, count=count, on=on, lot=lot)
            job = edits.record_movement(job, movement)
    return job


class CutBar(NamedTuple):
    """A bar of a profile by the name of its stock, and the pieces in mm that are cut from it."""

    profile: str
    stock: str
    pieces: tuple[int, ...]


def bars_of(measured: Measured, lot: str = "") -> tuple[CutBar, ...]:
    """Every bar that is bought for the measured job, or for one lot of it, with what is cut from it. Each lot cuts its
    own, and what a later lot takes from an offcut is cut from the bar that it is left of."""
    if not measured.job.lots:
        beads = [(one.profile, bar) for one in measured.order.beads for bar in one.bars]
        return tuple(CutBar(name, bar.stock, tuple(cut.length_mm for cut in bar.cuts)) for name, bar in beads)
    system = of_job(measured.job)
    left: list[tuple[str, CutBar, int]] = []
    for done in order_by_lots(measured.job, measured.takeoff, system).lots:
        for used in done.offcuts:
            pieces = tuple(cut.length_mm for cut in used.cuts)
            at = next(k for k, (_, bar, mm) in enumerate(left) if (bar.profile, mm) == (used.profile, used.offcut_mm))
            of, bar, mm = left[at]
            rest = mm - sum(pieces) - len(pieces) * round(system.kerf_mm)
            left[at] = (of, bar._replace(pieces=(*bar.pieces, *pieces)), rest)
        left += [
            (done.lot.id, CutBar(one.profile, bar.stock, tuple(cut.length_mm for cut in bar.cuts)), bar.offcut_mm)
            for one in done.beads
            for bar in one.bars
        ]
    return tuple(bar for of, bar, _ in left if lot in ("", of))


def bars_cut(job: Job, bars: Sequence[CutBar], on: str, lot: str = "") -> Job:
    """The job with these bars as cut. Raises InputError for bars that were never delivered."""
    for (profile, stock, pieces), count in Counter(bars).items():
        item = f"bead-{profile}"
        name = _own_name(job, item, stock)
        movement = Movement(moved="used", item=item, pack=name, count=count, on=on, lot=lot, cuts_mm=pieces)
        job = edits.record_movement(job, movement)
    return job


def to_buy(measured: Measured) -> StillToBuy:
    """What the measured job must still buy."""
    return still_to_buy(measured.order, of_job(measured.job), measured.job.work)


def to_buy_by_lot(measured: Measured) -> tuple[LotStill, ...]:
    """What each lot of the measured job must still buy."""
    return still_by_lot(measured.job, measured.takeoff, of_job(measured.job))


def _names(system: CoatingSystem) -> str:
    return ", ".join(dict.fromkeys(one.said for one in known_packs(system)))
