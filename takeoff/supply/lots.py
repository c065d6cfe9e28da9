"""The order lot by lot: what each lot needs less what is left of the lots before it, in whole packs.

Leftovers go on: opened and unopened packs alike, offcuts of bead where a piece fits. Each lot buys the cheapest packs
for what is then lacking, so that all lots together never cost more than each by itself; what one order for all of
them would save is said beside it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal

import msgspec

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.measure.takeoff import RoomTakeoff, Takeoff
from takeoff.plan.lot_records import InVan, Lot, LotRoom
from takeoff.plan.model import Job
from takeoff.supply.batches import LEAST_L, Batch, FromBatch, from_older
from takeoff.supply.cutting import cut
from takeoff.supply.materials import delivered, materials, packs_in_words
from takeoff.supply.order import Cut, CuttingList, Order, OrderLine, PlacedPiece
from takeoff.supply.packs import choose, cost_of
from takeoff.supply.systems import BeadProfile, CoatingSystem, Product, in_words, products_by_line

SHORTEST_OFFCUT_MM = 300
"""A shorter offcut is thrown away (common practice, no source)."""

NOT_IN_A_LOT = "rest"


class LotLine(msgspec.Struct, frozen=True):
    """One item of a lot: what it needs, what is there from before, what is bought, what is left after it."""

    id: str
    item: str
    unit: str
    need: float
    before: float
    packs: tuple[tuple[str, int], ...]
    supplied: float
    left: float
    cost: Decimal | None


class FromOffcut(msgspec.Struct, frozen=True):
    """Pieces that are cut from an offcut of an earlier lot."""

    profile: str
    offcut_mm: int
    cuts: tuple[Cut, ...]


class LotOrder(msgspec.Struct, frozen=True):
    """What one lot buys and cuts. ``alone``: what it would cost by itself. Costs are None where a price is missing, and
    hold ``carriage`` where the supplier charges it. ``older``: faces that are coated out of what is left of older
    batches, where the system asks for one batch to a face."""

    lot: Lot
    lines: tuple[LotLine, ...]
    beads: tuple[CuttingList, ...]
    offcuts: tuple[FromOffcut, ...]
    cost: Decimal | None
    alone: Decimal | None
    carriage: Decimal | None = None
    older: tuple[FromBatch, ...] = ()


class LotsOrder(msgspec.Struct, frozen=True):
    """All lots in order. ``at_once``: what one order of everything would cost; ``saves``: by how much less than lot by
    lot, None where a price is missing."""

    lots: tuple[LotOrder, ...]
    cost: Decimal | None
    at_once: Decimal | None
    saves: Decimal | None


def lots_in_order(job: Job) -> tuple[Lot, ...]:
    """The job's lots by date, those without one last as listed; a last one with whatever is in none. One lot with
    everything where the job has none; empty for a job without rooms."""
    taken: dict[tuple[str, str], set[int]] = {}
    counts = {(str(s.id), str(r.id)): r.times * s.times for s in job.storeys for r in s.rooms}
    for lot in job.lots:
        for one in lot.rooms:
            key = (one.storey, one.room)
            taken.setdefault(key, set()).update(one.copies or range(1, counts.get(key, 0) + 1))
    rest = []
    for (storey, room), count in counts.items():
        copies = tuple(n for n in range(1, count + 1) if n not in taken.get((storey, room), ()))
        if copies:
            rest.append(LotRoom(storey=storey, room=room, copies=copies))
    listed = sorted(job.lots, key=lambda lot: (not lot.date, lot.date))
    return (*listed, Lot(id=NOT_IN_A_LOT, rooms=tuple(rest))) if rest else tuple(listed)


def part_of(takeoff: Takeoff, lot: Lot) -> Takeoff:
    """The takeoff of the lot's rooms alone, each as often as it is in the lot."""
    wanted = {(one.storey, one.room): len(one.copies) for one in lot.rooms}
    rooms: list[RoomTakeoff] = []
    for room in takeoff.rooms:
        count = wanted.get((str(room.storey), str(room.room)))
        if count is not None:
            rooms.append(msgspec.structs.replace(room, times=count or room.times))
    return Takeoff(tuple(rooms), {}, (), ())


def order_by_lots(job: Job, takeoff: Takeoff, system: CoatingSystem) -> LotsOrder:
    """What each lot of the job buys, in order, its packs and items named in the user's language."""
    system = in_words(system)
    left = _in_van(job.in_van)
    offcuts: dict[str, list[int]] = {}
    batches: tuple[Batch, ...] = (Batch("", left["coat"]),) if left.get("coat") else ()
    orders = []
    refuse_twice(job)
    for lot in lots_in_order(job):
        part = part_of(takeoff, lot)
        alone = materials(part, system)
        need = next((line.need for line in alone.lines if line.id == "coat"), 0.0)
        older, rest = from_older(part, need, system, batches) if system.coat.one_batch else ((), batches)
        order = _lot_order(lot, alone, system, left, offcuts, older)
        batches = _batches_after(order, batches, rest)
        orders.append(order)
    cost = _total(order.cost for order in orders)
    at_once = _less_van(materials(takeoff, system), system, job.in_van)
    saves = None if cost is None or at_once is None else max(Decimal(0), cost - at_once)
    return LotsOrder(tuple(orders), cost, at_once, saves)


def order_of(job: Job, takeoff: Takeoff, system: CoatingSystem) -> Order:
    """What the job is bought by: one order of everything or, where it has lots, as many packs as all lots buy together,
    with their cost and carriage. Needs, workings and beads are those of everything either way; a job with a room in two
    lots is ordered at once until the room is taken out of one."""
    whole = materials(takeoff, system)
    if not job.lots or _room_in_two(job):
        return whole
    done = order_by_lots(job, takeoff, system)
    sold = products_by_line(in_words(system))
    carried = [one.carriage for one in done.lots if one.carriage is not None]
    return msgspec.structs.replace(
        whole,
        lines=tuple(_of_all_lots(line, done, sold.get(line.id)) for line in whole.lines),
        cost=done.cost,
        carriage=sum(carried, Decimal(0)) if carried else None,
        carriage_note="",
    )


def _of_all_lots(line: OrderLine, done: LotsOrder, product: Product | None) -> OrderLine:
    """The line with the packs that all lots buy of it, in the order in which its product has them. ``product``: None of
    bead."""
    own = [lot_line for order in done.lots for lot_line in order.lines if lot_line.id == line.id]
    counts = {pack.name: 0 for pack in product.packs} if product else {}
    for name, count in (pack for one in own for pack in one.packs):
        counts[name] = counts.get(name, 0) + count
    packs = tuple((name, count) for name, count in counts.items() if count)
    return msgspec.structs.replace(
        line,
        packs=packs,
        pack=packs_in_words(packs),
        supplied=sum(one.supplied for one in own),
        cost=_total(one.cost for one in own),
    )


def _lot_order(
    lot: Lot,
    alone: Order,
    system: CoatingSystem,
    left: dict[str, float],
    offcuts: dict[str, list[int]],
    older: tuple[FromBatch, ...] = (),
) -> LotOrder:
    """``left`` and ``offcuts`` are what earlier lots left over, and become what this one does. Where carriage makes it
    dearer to use what is left of bead, the lot buys as it would alone."""
    sold = products_by_line(system)
    profiles = {profile.id: profile for profile in system.beads}
    beads, cut_from = [], []
    offcuts_before = {key: list(lengths) for key, lengths in offcuts.items()}
    for one in alone.beads:
        own, used = _cut_lot(one, profiles[one.profile], system.kerf_mm, offcuts.setdefault(one.profile, []))
        beads.append(own)
        cut_from += used
    by_bead = {f"bead-{one.profile}": one for one in beads}
    usable = {**left, "coat": sum(one.litres for one in older)} if system.coat.one_batch else left
    bought, carriage = _bought(alone, system, usable, by_bead)
    cost = _total((*(line.cost for line in bought), carriage or Decimal(0)))
    if cost is not None and alone.cost is not None and cost > alone.cost:
        bought, carriage, cost = {line.id: line for line in alone.lines}.values(), alone.carriage, alone.cost
        beads, cut_from, older = list(alone.beads), [], ()
        by_bead = {f"bead-{one.profile}": one for one in beads}
        for one in beads:
            new = [bar.offcut_mm for bar in one.bars if bar.offcut_mm >= SHORTEST_OFFCUT_MM]
            offcuts[one.profile] = sorted([*offcuts_before.get(one.profile, []), *new], reverse=True)
    lines = tuple(
        _bead_line(line, by_bead[line.id]) if line.id in by_bead else _pack_line(line, sold[line.id], left)
        for line in bought
    )
    return LotOrder(lot, lines, tuple(beads), tuple(cut_from), cost, alone.cost, carriage, older)


def _batches_after(order: LotOrder, before: tuple[Batch, ...], rest: tuple[Batch, ...]) -> tuple[Batch, ...]:
    """What is left of each batch after a lot, its own among them."""
    coat = next((line for line in order.lines if line.id == "coat"), None)
    kept = rest if order.older else before
    new = 0.0 if coat is None else coat.left - sum(batch.litres for batch in kept)
    return (*kept, Batch(order.lot.id, new)) if new > LEAST_L else kept


def refuse_twice(job: Job) -> None:
    """Raises InputError where a room, or the same copy of one, is in two lots."""
    if name := _room_in_two(job):
        raise InputError(tr("{room} is in two lots: take it out of one.", room=name))


def _room_in_two(job: Job) -> str:
    """The name of the first room that is in two lots, itself or a copy of it; "" where none is."""
    counts = {(str(s.id), str(r.id)): r.times * s.times for s in job.storeys for r in s.rooms}
    names = {(str(s.id), str(r.id)): r.title for s in job.storeys for r in s.rooms}
    taken: set[tuple[str, str, int]] = set()
    for lot in job.lots:
        for one in lot.rooms:
            for copy in one.copies or range(1, counts.get((one.storey, one.room), 0) + 1):
                place = (one.storey, one.room, copy)
                if place in taken and place[:2] in names:
                    return names[place[:2]]
                taken.add(place)
    return ""


def _bought(
    alone: Order, system: CoatingSystem, left: Mapping[str, float], by_bead: Mapping[str, CuttingList]
) -> tuple[Iterable[OrderLine], Decimal | None]:
    """The lot's lines with what is bought for what is lacking, and carriage."""
    sold = products_by_line(system)
    lines = []
    for line in alone.lines:
        if line.id in by_bead:
            lines.append(msgspec.structs.replace(line, cost=by_bead[line.id].cost))
        else:
            packs = sold[line.id].packs
            counts = choose(max(0.0, line.need - left.get(line.id, 0.0)), packs)
            bought = tuple((pack.name, n) for pack, n in zip(packs, counts, strict=True) if n)
            lines.append(msgspec.structs.replace(line, packs=bought, cost=cost_of(counts, packs)))
    found, carriage, _ = delivered(system, tuple(lines), left)
    return found, carriage


def _pack_line(line: OrderLine, product: Product, left: dict[str, float]) -> LotLine:
    before = left.get(line.id, 0.0)
    counts = dict(line.packs)
    supplied = sum(counts.get(pack.name, 0) * pack.size for pack in product.packs)
    left[line.id] = max(0.0, before + supplied - line.need)
    return LotLine(line.id, line.item, line.unit, line.need, before, line.packs, supplied, left[line.id], line.cost)


def _bead_line(line: OrderLine, own: CuttingList) -> LotLine:
    supplied, need = own.bought_mm / 1000, line.need
    before = need - own.need_mm / 1000
    return LotLine(
        line.id, line.item, line.unit, need, before, own.bought, supplied, max(0.0, supplied + before - need), own.cost
    )


def _cut_lot(
    alone: CuttingList, profile: BeadProfile, kerf_mm: float, offcuts: list[int]
) -> tuple[CuttingList, list[FromOffcut]]:
    """The lot's cutting list with what earlier offcuts serve taken out, unless that would cost more."""
    if alone.kind == "coil":
        return alone, []
    pieces = sorted((piece for bar in alone.bars for piece in bar.cuts), key=lambda piece: -piece.length_mm)
    used, rest, remaining = _from_offcuts(pieces, offcuts, kerf_mm)
    own = alone
    if used:
        again = cut(profile, [_as_piece(piece, alone.profile) for piece in rest], kerf_mm)
        if again.cost is None or alone.cost is None or again.cost <= alone.cost:
            own = again
        else:
            used, remaining = {}, list(offcuts)
    new = [bar.offcut_mm for bar in own.bars if bar.offcut_mm >= SHORTEST_OFFCUT_MM]
    offcuts[:] = sorted([*remaining, *new], reverse=True)
    return own, [FromOffcut(alone.profile, length, tuple(cuts)) for length, cuts in used.values()]


def _from_offcuts(
    pieces: Sequence[Cut], offcuts: Sequence[int], kerf_mm: float
) -> tuple[dict[int, tuple[int, list[Cut]]], list[Cut], list[int]]:
    """Longest pieces first, each into the shortest offcut that holds it: (used, pieces left, offcuts left)."""
    room = dict(enumerate(offcuts))
    used: dict[int, tuple[int, list[Cut]]] = {}
    rest = []
    for piece in pieces:
        fitting = [index for index, length in room.items() if length >= piece.length_mm]
        if not fitting:
            rest.append(piece)
            continue
        index = min(fitting, key=lambda i: (room[i], i))
        room[index] -= piece.length_mm + round(kerf_mm)
        used.setdefault(index, (offcuts[index], []))[1].append(piece)
    return used, rest, [length for length in room.values() if length >= SHORTEST_OFFCUT_MM]


def _as_piece(piece: Cut, profile: str) -> PlacedPiece:
    where = f"{piece.where}, {piece.part}" if piece.part else piece.where
    return PlacedPiece(piece.length_mm, profile, where, piece.at)


def _in_van(stock: Iterable[InVan]) -> dict[str, float]:
    return {one.item: one.quantity for one in stock}


def _less_van(order: Order, system: CoatingSystem, stock: Iterable[InVan]) -> Decimal | None:
    """What the order costs when what is in the van is taken off its needs."""
    left: Mapping[str, float] = _in_van(stock)
    by_bead = {f"bead-{one.profile}": one for one in order.beads}
    bought, carriage = _bought(order, system, left, by_bead)
    return _total((*(line.cost for line in bought), carriage or Decimal(0)))


def _total(costs: Iterable[Decimal | None]) -> Decimal | None:
    listed = list(costs)
    known = [cost for cost in listed if cost is not None]
    return sum(known, Decimal(0)) if len(known) == len(listed) else None
