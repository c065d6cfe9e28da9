"""What must still be bought: the need less what was supplied, in whole packs; bead out of what is there first.

Pieces that are cut already serve where their length is still needed. What is then lacking comes out of offcuts, then
out of bars that nobody has cut, and only the rest is bought: a bar that is cut is never cut as if it were whole.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from decimal import Decimal

import msgspec

from takeoff.measure.takeoff import BeadPiece
from takeoff.plan.edits.supply_edits import counted
from takeoff.plan.work_records import WorkRecords
from takeoff.supply.cutting import cut
from takeoff.supply.lots import SHORTEST_OFFCUT_MM
from takeoff.supply.order import CuttingList, Order, OrderLine
from takeoff.supply.packs import choose, cost_of
from takeoff.supply.systems import BeadProfile, CoatingSystem, Pack, products_by_line

Packs = tuple[tuple[str, int], ...]


class StillLine(msgspec.Struct, frozen=True):
    """One item: what it needs, what was supplied less what went back, what is bought more. ``left``: what is then over,
    in the item's unit; ``cost`` None where a price is missing."""

    id: str
    item: str
    unit: str
    need: float
    supplied: float
    buy: Packs
    left: float
    cost: Decimal | None


class Sawn(msgspec.Struct, frozen=True):
    """Pieces that come out of something that is there: an offcut or a bar of that length, mm."""

    profile: str
    from_mm: int
    whole: bool
    pieces_mm: tuple[int, ...]


class StillToBuy(msgspec.Struct, frozen=True):
    """All items, and how bead is cut. ``cut_already``: pieces of the need that are cut; ``from_there``: out of offcuts
    and bars; ``new``: what is cut from the bars that are bought. ``afresh``: what the whole order costs anew."""

    lines: tuple[StillLine, ...]
    cut_already: tuple[tuple[str, int], ...]
    from_there: tuple[Sawn, ...]
    new: tuple[CuttingList, ...]
    cost: Decimal | None
    afresh: Decimal | None


class BeadGot(msgspec.Struct, frozen=True):
    """How one profile's bead is got: see ``StillToBuy``."""

    buy: Packs
    cost: Decimal | None
    already: int = 0
    sawn: tuple[Sawn, ...] = ()
    new: CuttingList | None = None


def still_to_buy(order: Order, system: CoatingSystem, work: WorkRecords) -> StillToBuy:
    """What the order needs beyond what was supplied. Items that were supplied and are needed no more stand with a need
    of nought. Packs that the system does not know any more count for nothing."""
    sold, profiles = products_by_line(system), {f"bead-{one.id}": one for one in system.beads}
    needed = {line.id: line for line in order.lines}
    lists = {f"bead-{one.profile}": one for one in order.beads}
    lines, beads = [], []
    for key in (*needed, *(key for key in _moved(work) if key not in needed)):
        if key in profiles:
            bead = _bead(lists.get(key), profiles[key], system.kerf_mm, work)
            beads.append((profiles[key], bead))
            packs = [Pack(name=one.name, size=one.length_mm / 1000, price=one.price) for one in profiles[key].stock]
            lines.append(_line(key, profiles[key].name, "m", needed.get(key), packs, work, bead))
        elif key in sold:
            lines.append(_line(key, sold[key].name, sold[key].unit, needed.get(key), sold[key].packs, work, None))
    costs = [line.cost for line in lines]
    return StillToBuy(
        tuple(lines),
        tuple((profile.id, bead.already) for profile, bead in beads if bead.already),
        tuple(one for _, bead in beads for one in bead.sawn),
        tuple(bead.new for _, bead in beads if bead.new is not None),
        None if None in costs else sum((cost for cost in costs if cost is not None), Decimal(0)),
        order.cost,
    )


def there(work: WorkRecords, item: str, pack: str) -> int:
    """How many of a pack are there or on their way: ordered or delivered, whichever is more, less what went back."""
    most = max(counted(work, "ordered", item, pack), counted(work, "delivered", item, pack))
    return most - counted(work, "returned", item, pack)


def _moved(work: WorkRecords) -> Iterable[str]:
    return dict.fromkeys(movement.item for movement in work.movements)


def _line(
    key: str,
    name: str,
    unit: str,
    line: OrderLine | None,
    packs: Sequence[Pack],
    work: WorkRecords,
    bead: BeadGot | None,
) -> StillLine:
    need = line.need if line is not None else 0.0
    supplied = math.fsum(there(work, key, pack.name) * pack.size for pack in packs)
    if bead is None:
        counts = choose(max(0.0, need - supplied), packs)
        buy = tuple((pack.name, n) for pack, n in zip(packs, counts, strict=True) if n)
        cost = cost_of(counts, packs)
    else:
        buy, cost = bead.buy, bead.cost
    sizes = {pack.name: pack.size for pack in packs}
    bought = math.fsum(n * sizes[pack] for pack, n in buy)
    return StillLine(key, name, unit, need, supplied, buy, max(0.0, supplied + bought - need), cost)


class BeadStock(msgspec.Struct, frozen=True):
    """What is there of a profile's bead, mm: bars that nobody has cut, offcuts long enough to keep, pieces that were
    cut already."""

    bars_mm: tuple[int, ...] = ()
    offcuts_mm: tuple[int, ...] = ()
    pieces_mm: tuple[int, ...] = ()


def bead_stock(profile: BeadProfile, kerf_mm: float, work: WorkRecords) -> BeadStock:
    """What the ledger leaves of a profile that comes in bars."""
    key = f"bead-{profile.id}"
    whole = {one.name: there(work, key, one.name) for one in profile.stock}
    lengths = {one.name: math.floor(one.length_mm) for one in profile.stock}
    offcuts, pieces = [], []
    for one in work.movements:
        if one.moved != "used" or one.item != key or one.pack not in whole:
            continue
        whole[one.pack] -= one.count
        pieces += list(one.cuts_mm) * one.count
        if one.cuts_mm:
            left = lengths[one.pack] - sum(one.cuts_mm) - math.ceil(kerf_mm) * len(one.cuts_mm)
            offcuts += [left] * one.count
    bars = [lengths[name] for name, count in whole.items() for _ in range(max(0, count))]
    return BeadStock(tuple(bars), tuple(mm for mm in offcuts if mm >= SHORTEST_OFFCUT_MM), tuple(pieces))


def bead_out_of(listed: CuttingList | None, profile: BeadProfile, kerf_mm: float, stock: BeadStock) -> BeadGot:
    """How a profile's pieces are got out of what is there and what is bought; pieces that are cut already first."""
    need = Counter(piece.length_mm for bar in listed.bars for piece in bar.cuts) if listed else Counter[int]()
    cut_already = need & Counter(stock.pieces_mm)
    over = Counter(stock.pieces_mm) - cut_already
    offcuts = [*stock.offcuts_mm, *(mm for mm in over.elements() if mm >= SHORTEST_OFFCUT_MM)]
    pieces = sorted((need - cut_already).elements(), reverse=True)
    sawn, pieces = _out_of(profile.id, pieces, offcuts, kerf_mm, False)
    return _cheapest(profile, pieces, list(stock.bars_mm), kerf_mm, cut_already.total(), sawn)


def stock_after(got: BeadGot, listed: CuttingList | None, stock: BeadStock, kerf_mm: float) -> BeadStock:
    """What is left of the bead once it is cut so."""
    need = Counter(piece.length_mm for bar in listed.bars for piece in bar.cuts) if listed else Counter[int]()
    bars, offcuts = Counter(stock.bars_mm), Counter(stock.offcuts_mm)
    offcuts += Counter(stock.pieces_mm) - need
    for one in got.sawn:
        (bars if one.whole else offcuts)[one.from_mm] -= 1
        offcuts[one.from_mm - sum(one.pieces_mm) - math.ceil(kerf_mm) * len(one.pieces_mm)] += 1
    for bar in got.new.bars if got.new is not None else ():
        offcuts[bar.offcut_mm] += 1
    kept = sorted((mm for mm in (+offcuts).elements() if mm >= SHORTEST_OFFCUT_MM), reverse=True)
    return BeadStock(tuple((+bars).elements()), tuple(kept))


def _bead(listed: CuttingList | None, profile: BeadProfile, kerf_mm: float, work: WorkRecords) -> BeadGot:
    if profile.coil:
        return coil_got(listed, profile, _coil_mm(profile, work))
    return bead_out_of(listed, profile, kerf_mm, bead_stock(profile, kerf_mm, work))


def _cheapest(
    profile: BeadProfile, pieces: list[int], bars: list[int], kerf_mm: float, already: int, sawn: list[Sawn]
) -> BeadGot:
    """Two ways are tried, and the cheaper is taken: bars that are there filled first and the rest bought; and a
    cutting list of all pieces, of which the bars that are there need not be bought."""
    from_bars, rest = _out_of(profile.id, pieces, bars, kerf_mm, True)
    first = cut(profile, [BeadPiece(mm, profile.id, "") for mm in rest], kerf_mm)
    ways = [BeadGot(first.bought, first.cost, already, (*sawn, *from_bars), first if first.bars else None)]
    whole = cut(profile, [BeadPiece(mm, profile.id, "") for mm in pieces], kerf_mm)
    had, out_of, lacking = Counter(bars), [], []
    for bar in whole.bars:
        if had[bar.stock_mm]:
            had[bar.stock_mm] -= 1
            out_of.append(Sawn(profile.id, bar.stock_mm, True, tuple(piece.length_mm for piece in bar.cuts)))
        else:
            lacking.append(bar)
    bought = Counter(bar.stock for bar in lacking)
    prices = {one.name: one.price for one in profile.stock}
    paid = [prices[bar.stock] for bar in lacking]
    known = [price for price in paid if price is not None]
    cost = sum(known, Decimal(0)) if len(known) == len(paid) else None
    new = msgspec.structs.replace(
        whole,
        bars=tuple(lacking),
        bought=tuple(bought.items()),
        bought_mm=sum(bar.stock_mm for bar in lacking),
        need_mm=sum(piece.length_mm for bar in lacking for piece in bar.cuts),
        cost=cost,
    )
    ways.append(BeadGot(new.bought, cost, already, (*sawn, *out_of), new if lacking else None))
    return min(ways, key=lambda way: (way.cost is None, way.cost or Decimal(0), sum(n for _, n in way.buy)))


def _coil_mm(profile: BeadProfile, work: WorkRecords) -> float:
    return sum(there(work, f"bead-{profile.id}", one.name) * one.length_mm for one in profile.stock)


def coil_got(listed: CuttingList | None, profile: BeadProfile, supplied_mm: float) -> BeadGot:
    """Coils that are bought for what the need, with its loss, has beyond what was supplied."""
    need_mm = (listed.need_mm if listed else 0) * (1 + profile.loss_percent / 100)
    packs = tuple(Pack(name=one.name, size=one.length_mm, price=one.price) for one in profile.stock)
    counts = choose(max(0.0, need_mm - supplied_mm), packs)
    buy = tuple((pack.name, n) for pack, n in zip(packs, counts, strict=True) if n)
    return BeadGot(buy, cost_of(counts, packs))


def _out_of(
    profile: str, pieces: Sequence[int], lengths: Sequence[int], kerf_mm: float, whole: bool
) -> tuple[list[Sawn], list[int]]:
    """Longest pieces first, each out of the shortest length that holds it: (what is sawn, pieces that are left)."""
    left, sawn, rest = list(lengths), dict[int, list[int]](), []
    for piece in sorted(pieces, reverse=True):
        fitting = [k for k, length in enumerate(left) if length >= piece]
        if not fitting:
            rest.append(piece)
            continue
        k = min(fitting, key=lambda one: (left[one], one))
        left[k] -= piece + math.ceil(kerf_mm)
        sawn.setdefault(k, []).append(piece)
    return [Sawn(profile, lengths[k], whole, tuple(own)) for k, own in sorted(sawn.items())], rest
