"""Bead by stock length: which bars to buy and what to cut from each.

The search itself is in ``patterns``; here pieces get their places and words. Whole millimetres,
to the nearest: nobody cuts bead finer (common practice, no source).
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from decimal import Decimal
from functools import lru_cache
from typing import TYPE_CHECKING

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.measure.takeoff import BeadPiece
from takeoff.supply.order import Bar, Cut, CuttingList, PlacedPiece
from takeoff.supply.packs import choose, cost_of
from takeoff.supply.systems import BeadProfile, Pack, Stock
from takeoff.units.printing import fmt2, money_text

if TYPE_CHECKING:
    from takeoff.supply.patterns import Answer, Pattern, Problem


def cut(
    profile: BeadProfile, pieces: Sequence[BeadPiece], kerf_mm: float = 0.0, steps: float | None = None
) -> CuttingList:
    """The cutting list of one profile for these pieces, whatever profile they name.

    Made least: the cost, or without prices the length bought; answers that are equal in that are
    not told apart further. A piece longer than the longest stock is joined: full lengths of the
    longest stock and one rest (common practice, no source). ``kerf_mm`` is lost between two
    pieces of a bar, in whole millimetres upwards; snips lose nothing. Coil is cut by length, with
    the profile's loss on top, and takes no part in the search. No pieces give an empty list.
    ``steps``: the work that the search may take, counted and not timed.

    Raises InputError for a length that is not a number or is negative.
    """
    cuts = [_whole(piece) for piece in pieces]
    cuts = [one for one in cuts if one.length_mm > 0]
    return _from_coil(profile, cuts) if profile.coil else _from_bars(profile, cuts, kerf_mm, steps)


def _whole(piece: BeadPiece) -> Cut:
    if not math.isfinite(piece.length_mm) or piece.length_mm < 0:
        raise InputError(
            tr(
                "The bead at “{place}” has no usable length ({length}): check that corner.",
                place=piece.where,
                length=piece.length_mm,
            )
        )
    at = piece.at if isinstance(piece, PlacedPiece) else None
    return Cut(math.floor(piece.length_mm + 0.5), piece.where, at=at)


def _from_coil(profile: BeadProfile, cuts: Sequence[Cut]) -> CuttingList:
    """Cut one after another; where a coil ends within a piece, that piece gets a joint."""
    need_mm = sum(one.length_mm for one in cuts)
    packs = tuple(Pack(name=one.name, size=one.length_mm, price=one.price) for one in profile.stock)
    counts = choose(need_mm * (1 + profile.loss_percent / 100), packs)
    cost = cost_of(counts, packs)
    bought_mm = sum(n * round(pack.size) for n, pack in zip(counts, packs, strict=True))
    best = Decimal(bought_mm) if cost is None else cost
    return CuttingList(
        profile=profile.id,
        name=profile.name,
        kind="coil",
        bars=(),
        coil_cuts=tuple(sorted(cuts, key=lambda one: -one.length_mm)),
        bought=_named((pack.name, n) for n, pack in zip(counts, packs, strict=True)),
        bought_mm=bought_mm,
        need_mm=need_mm,
        joints=0,
        cost=cost,
        aim="length" if cost is None else "cost",
        best=best,
        bound=best,
        proved=True,
        status=tr("cut from the coil by length"),
    )


@lru_cache(maxsize=128)
def _solved(problem: Problem, steps: float | None) -> Answer:
    """The search's answer, remembered: an edit that changes no length of bead is not cut anew."""
    from takeoff.supply.patterns import solve

    return solve(problem) if steps is None else solve(problem, steps)


def _from_bars(profile: BeadProfile, cuts: Sequence[Cut], kerf_mm: float, steps: float | None) -> CuttingList:
    from takeoff.supply.patterns import Problem

    stock = sorted(profile.stock, key=lambda one: one.length_mm)
    parts = [part for one in cuts for part in _joined(one, math.floor(stock[-1].length_mm))]
    kerf = math.ceil(kerf_mm)
    places: dict[int, list[Cut]] = defaultdict(list)
    for part in parts:
        places[part.length_mm].append(part)
    lengths = sorted(places, reverse=True)
    priced, costs, scale = _costs(stock)
    problem = Problem(
        tuple(length + kerf for length in lengths),
        tuple(len(places[length]) for length in lengths),
        tuple(math.floor(one.length_mm) + kerf for one in stock),
        costs,
    )
    answer = _solved(problem, steps)
    bars = tuple(_bars(answer.patterns, stock, lengths, places, kerf))
    best, bound = (Decimal(value) / scale for value in (answer.cost, answer.bound))
    return CuttingList(
        profile=profile.id,
        name=profile.name,
        kind="bar",
        bars=bars,
        coil_cuts=(),
        bought=_named((one.name, sum(bar.stock == one.name for bar in bars)) for one in reversed(stock)),
        bought_mm=sum(bar.stock_mm for bar in bars),
        need_mm=sum(one.length_mm for one in cuts),
        joints=len(parts) - len(cuts),
        cost=_paid(bars, stock),
        aim="cost" if priced else "length",
        best=best,
        bound=bound,
        proved=answer.cost <= answer.bound,
        status=_status(best - bound, priced),
    )


def _costs(stock: Sequence[Stock]) -> tuple[bool, tuple[int, ...], int]:
    """Whether by price; the costs as whole numbers; what to divide them by.

    Prices count in their smallest step; lengths in mm where a price is missing, or is nought so
    that there would be nothing to make least.
    """
    prices = [one.price for one in stock if one.price]
    if len(prices) < len(stock):
        return False, tuple(math.floor(one.length_mm) for one in stock), 1
    places = max(0, *(-int(price.normalize().as_tuple().exponent) for price in prices))
    return True, tuple(int(price.scaleb(places)) for price in prices), int(10**places)


def _paid(bars: Sequence[Bar], stock: Sequence[Stock]) -> Decimal | None:
    """What the bars cost; None where one that is bought has no price."""
    prices = {one.name: one.price for one in stock}
    paid = [prices[bar.stock] for bar in bars]
    known = [price for price in paid if price is not None]
    return sum(known, Decimal(0)) if len(known) == len(paid) else None


def _joined(one: Cut, longest_mm: int) -> list[Cut]:
    """A piece as it is; or, longer than the longest stock, in full lengths and a rest."""
    if one.length_mm <= longest_mm:
        return [one]
    full, rest = divmod(one.length_mm, longest_mm)
    lengths = [longest_mm] * full + ([rest] if rest else [])
    return [
        Cut(length, one.where, tr("{number} of {count}", number=i, count=len(lengths)), one.at)
        for i, length in enumerate(lengths, 1)
    ]


def _bars(
    patterns: Sequence[tuple[Pattern, int]],
    stock: Sequence[Stock],
    lengths: Sequence[int],
    places: dict[int, list[Cut]],
    kerf: int,
) -> Iterator[Bar]:
    """Bars from the longest stock down, fullest first; pieces of a length go out in their order."""
    taken = dict.fromkeys(lengths, 0)

    def fullness(one: tuple[Pattern, int]) -> tuple[int, int, tuple[int, ...]]:
        (which, counts), _ = one
        used = sum(n * length for n, length in zip(counts, lengths, strict=True))
        return -which, -used, tuple(-n for n in counts)

    for (which, counts), times in sorted(patterns, key=fullness):
        for _ in range(times):
            cuts: list[Cut] = []
            for length, n in zip(lengths, counts, strict=True):
                cuts += places[length][taken[length] : taken[length] + n]
                taken[length] += n
            stock_mm = math.floor(stock[which].length_mm)
            left = stock_mm - sum(one.length_mm for one in cuts) - kerf * len(cuts)
            yield Bar(stock[which].name, stock_mm, tuple(cuts), max(0, left))


def _named(pairs: Iterator[tuple[str, int]]) -> tuple[tuple[str, int], ...]:
    return tuple((name, count) for name, count in pairs if count)


def _status(off: Decimal, priced: bool) -> str:
    if off <= 0:
        return tr("least cost") if priced else tr("least waste")
    if priced:
        return tr("no more than {amount} above the least cost", amount=money_text(off))
    return tr("no more than {length} m above the least length", length=fmt2(off / 1000))
