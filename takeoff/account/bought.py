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


class _Bead(msgspec.Struct, frozen=True):
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
    key: str, name: str, unit: str, line: OrderLine | None, packs: Sequence[Pack], work: WorkRecords, bead: _Bead | None
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


def _bead(listed: CuttingList | None, profile: BeadProfile, kerf_mm: float, work: WorkRecords) -> _Bead:
    if profile.coil:
        return _coil(listed, profile, work)
    key = f"bead-{profile.id}"
    need = Counter(piece.length_mm for bar in listed.bars for piece in bar.cuts) if listed else Counter[int]()
    offcuts: list[int] = []
    whole = {one.name: there(work, key, one.name) for one in profile.stock}
    lengths = {one.name: math.floor(one.length_mm) for one in profile.stock}
    already = 0
    for one in work.movements:
        if one.moved != "used" or one.item != key or one.pack not in whole:
            continue
        whole[one.pack] -= one.count
        for _ in range(one.count):
            for piece in one.cuts_mm:
                if need[piece]:
                    need[piece] -= 1
                    already += 1
                else:
                    offcuts.append(piece)
            if one.cuts_mm:
                offcuts.append(lengths[one.pack] - sum(one.cuts_mm) - math.ceil(kerf_mm) * len(one.cuts_mm))
    pieces = sorted(need.elements(), reverse=True)
    kept = [length for length in offcuts if length >= SHORTEST_OFFCUT_MM]
    sawn, pieces = _out_of(profile.id, pieces, kept, kerf_mm, False)
    bars = [lengths[name] for name, count in whole.items() for _ in range(max(0, count))]
    return _cheapest(profile, pieces, bars, kerf_mm, already, sawn)


def _cheapest(
    profile: BeadProfile, pieces: list[int], bars: list[int], kerf_mm: float, already: int, sawn: list[Sawn]
) -> _Bead:
    """Two ways are tried, and the cheaper is taken: bars that are there filled first and the rest bought; and a
    cutting list of all pieces, of which the bars that are there need not be bought."""
    from_bars, rest = _out_of(profile.id, pieces, bars, kerf_mm, True)
    first = cut(profile, [BeadPiece(mm, profile.id, "") for mm in rest], kerf_mm)
    ways = [_Bead(first.bought, first.cost, already, (*sawn, *from_bars), first if first.bars else None)]
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
    ways.append(_Bead(new.bought, cost, already, (*sawn, *out_of), new if lacking else None))
    return min(ways, key=lambda way: (way.cost is None, way.cost or Decimal(0), sum(n for _, n in way.buy)))


def _coil(listed: CuttingList | None, profile: BeadProfile, work: WorkRecords) -> _Bead:
    need_mm = (listed.need_mm if listed else 0) * (1 + profile.loss_percent / 100)
    packs = tuple(Pack(name=one.name, size=one.length_mm, price=one.price) for one in profile.stock)
    supplied = sum(there(work, f"bead-{profile.id}", pack.name) * pack.size for pack in packs)
    counts = choose(max(0.0, need_mm - supplied), packs)
    buy = tuple((pack.name, n) for pack, n in zip(packs, counts, strict=True) if n)
    return _Bead(buy, cost_of(counts, packs))


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
