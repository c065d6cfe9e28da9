"""Whole packs for a need, at the lowest cost."""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from takeoff.supply.systems import Pack

NEED_TOLERANCE = 1e-6
"""Part of the smallest step between pack sums that is float noise and buys no further pack."""

Counts = tuple[int, ...]
Score = tuple[Fraction, int, int]


def choose(need: float, packs: Sequence[Pack]) -> Counts:
    """How many of each pack to buy, in the order given, so that they hold at least ``need``.

    Priced packs: the lowest cost, then the least left over, then the fewest packs. Packs without
    prices (one price missing is enough): the least left over, then the fewest packs. What is
    still equal goes to the packs that are cheaper per unit, then larger. The answer is exact.

    ``need`` is in the unit of the packs' sizes; zero or less needs no pack. Raises ValueError
    for a need that is not finite or for no packs.
    """
    if not math.isfinite(need):
        raise ValueError(f"a need of {need} cannot be packed")
    if not packs:
        raise ValueError("there are no packs to choose from")
    step = common_step(packs)
    units = [int(Fraction(str(pack.size)) / step) for pack in packs]
    wanted = wanted_units(need, step)
    if wanted <= 0:
        return (0,) * len(packs)
    prices = [pack.price for pack in packs]
    costs = [Fraction(unit) for unit in units]
    if all(price is not None for price in prices):
        costs = [Fraction(price) for price in prices if price is not None]
    return _cheapest(wanted, units, costs)


def cost_of(counts: Counts, packs: Sequence[Pack]) -> Decimal | None:
    """What these packs cost together; None when a pack that is bought has no price."""
    total = Decimal(0)
    for count, pack in zip(counts, packs, strict=True):
        if count and pack.price is None:
            return None
        total += count * (pack.price or Decimal(0))
    return total


def wanted_units(need: float, step: Fraction) -> int:
    """How many whole steps a need takes; noise of binary arithmetic takes none."""
    return math.ceil(float(Fraction(need) / step) - NEED_TOLERANCE)


def common_step(packs: Sequence[Pack]) -> Fraction:
    """The largest step of which every pack's size is a whole multiple."""
    sizes = [Fraction(str(pack.size)) for pack in packs]
    denominator = math.lcm(*(size.denominator for size in sizes))
    return Fraction(math.gcd(*(int(size * denominator) for size in sizes)), denominator)


def _cheapest(wanted: int, units: Sequence[int], costs: Sequence[Fraction]) -> Counts:
    """Branch and bound over the counts of all packs but the one cheapest per unit.

    As many of another pack as make a common multiple with the cheapest can always be swapped for
    that one at no loss, so each count stays below the multiple: few branches, any need.
    """
    order = sorted(range(len(units)), key=lambda i: (costs[i] / units[i], -units[i], i))
    main, others = order[0], order[1:]
    rate = costs[main] / units[main]
    best: tuple[Score, Counts] | None = None

    def branch(position: int, left: int, cost: Fraction, counts: Counts) -> None:
        nonlocal best
        if best is not None and cost + rate * max(left, 0) > best[0][0]:
            return
        if position == len(others):
            mains = max(0, -(-left // units[main]))
            score = (cost + mains * costs[main], mains * units[main] - left, mains + sum(counts))
            if best is None or score < best[0]:
                best = (score, (mains, *counts))
            return
        i = others[position]
        limit = min(math.lcm(units[main], units[i]) // units[i] - 1, max(0, -(-left // units[i])))
        for count in range(limit + 1):
            branch(position + 1, left - count * units[i], cost + count * costs[i], (*counts, count))

    branch(0, wanted, Fraction(0), ())
    assert best is not None
    found = dict(zip((main, *others), best[1], strict=True))
    return tuple(found[i] for i in range(len(units)))
