"""Whole packs for several needs at once where carriage goes by what is ordered, and small orders are not taken.

The least total is sought: goods and carriage together. It may pay to buy a pack more where that brings the order over
a step. The answer is exact: of every step the cheapest order that reaches it is found, and the best of these is taken.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from decimal import Decimal
from fractions import Fraction

import msgspec

from takeoff.supply.packs import Counts, choose, common_step, wanted_units
from takeoff.supply.systems import Carriage, Pack

MOST_STATES = 400_000
"""So many ways to fill one need are looked at; beyond that the order is filled up with the cheapest packs."""

MOST_COINS = 2_000_000
"""So many coins more than the goods cost are counted one by one: 20,000 in money that has hundredths."""
MOST_BITS = 20_000_000_000
"""Ways to fill the needs times coins: more take longer than an order is worth."""


class PackNeed(msgspec.Struct, frozen=True):
    """A need in the unit of its packs' sizes."""

    need: float
    packs: tuple[Pack, ...]


class Carried(msgspec.Struct, frozen=True):
    """Packs for each need, what the goods cost in all, and carriage. ``raised``: packs were added for its sake.
    ``proved``: no order costs less."""

    counts: tuple[Counts, ...]
    goods: Decimal
    charge: Decimal
    raised: bool = False
    proved: bool = True

    @property
    def total(self) -> Decimal:
        """Goods and carriage."""
        return self.goods + self.charge


def charge_for(carriage: Carriage, goods: Decimal) -> Decimal:
    """What carriage costs for an order of that much: the charge of the highest step that it reaches, 0 below all."""
    reached = [step for step in carriage.steps if step.order_from <= goods]
    return max(reached, key=lambda step: step.order_from).charge if reached else Decimal(0)


def with_carriage(needs: Sequence[PackNeed], fixed: Decimal, carriage: Carriage) -> Carried | None:
    """The packs that make goods and carriage together cheapest; ``fixed`` is what else is in the order. None where a
    pack has no price, so that nothing can be said. An order of nothing costs nothing."""
    wanted = [one for one in needs if one.need > 0]
    if any(pack.price is None for one in wanted for pack in one.packs):
        return None
    plain = tuple(choose(one.need, one.packs) if one.packs else () for one in needs)
    goods = fixed + sum((_cost(n, one.packs) for n, one in zip(plain, needs, strict=True)), Decimal(0))
    if not goods:
        return Carried(plain, goods, Decimal(0))
    found = _best(needs, plain, goods, carriage)
    return found or Carried(plain, goods, charge_for(carriage, goods), proved=goods >= carriage.minimum_order)


def _best(needs: Sequence[PackNeed], plain: tuple[Counts, ...], goods: Decimal, carriage: Carriage) -> Carried | None:
    """The cheapest of: as it is, and raised to each step and to the minimum; None where it can only stay as it is."""
    targets = sorted(
        {max(step.order_from, carriage.minimum_order) for step in carriage.steps} | {carriage.minimum_order}
    )
    targets = [target for target in targets if target > goods]
    reached = goods >= carriage.minimum_order
    prices = [pack.price for one in needs if one.need > 0 for pack in one.packs if pack.price]
    if not targets or not prices:
        return None
    least = min((step.charge for step in carriage.steps), default=Decimal(0))
    if reached:
        highest = goods + charge_for(carriage, goods) - least
    else:
        dearest = max((step.charge for step in carriage.steps), default=Decimal(0))
        highest = carriage.minimum_order + min(prices) + dearest - least
    unit = _coin([goods, highest, *prices])
    most = int((highest - goods) / unit)
    sets = _ways(needs, plain, most, unit) if most <= MOST_COINS else None
    if sets is None or most * sum(map(len, sets)) > MOST_BITS:
        return _filled_up(needs, plain, goods, carriage)
    sums = _sums(sets, most)
    options = [Carried(plain, goods, charge_for(carriage, goods))] if reached else []
    for target in targets:
        surplus = _lowest(sums[-1], math.ceil((target - goods) / unit))
        if surplus is not None:
            amount = goods + surplus * unit
            options.append(Carried(_picked(sets, sums, surplus), amount, charge_for(carriage, amount), raised=True))
    return min(options, key=lambda one: (one.total, one.goods), default=None)


def _coin(amounts: Sequence[Decimal]) -> Decimal:
    """The largest coin of which all amounts are whole multiples."""
    exact = [Fraction(amount) for amount in amounts]
    denominator = math.lcm(*(amount.denominator for amount in exact))
    return Decimal(math.gcd(*(int(amount * denominator) for amount in exact))) / Decimal(denominator)


Ways = dict[int, Counts]
"""By how many coins more than at least a need may be filled, and the packs for it."""


def _ways(needs: Sequence[PackNeed], plain: tuple[Counts, ...], most: int, unit: Decimal) -> list[Ways] | None:
    """For each need every cost at which it can be filled; None where there are too many ways to look at."""
    found: list[Ways] = []
    for one, counts in zip(needs, plain, strict=True):
        ways = _surpluses(one, counts, most, unit)
        if ways is None:
            return None
        found.append(ways)
    return found


def _surpluses(one: PackNeed, plain: Counts, most: int, unit: Decimal) -> Ways | None:
    """Every cost, in coins above the least, at which the need can be filled, up to ``most``; None where there are too
    many ways to look at.

    One pack, the cheapest per unit, is counted last: of all ways to buy the others at one cost, the one that holds
    most serves every cost that any of them does.
    """
    if one.need <= 0:
        return {0: plain}
    step = common_step(one.packs)
    units = [int(Fraction(str(pack.size)) / step) for pack in one.packs]
    costs = [int((pack.price or Decimal(0)) / unit) for pack in one.packs]
    wanted = wanted_units(one.need, step)
    least = sum(n * cost for n, cost in zip(plain, costs, strict=True))
    main = min(range(len(units)), key=lambda i: (Fraction(costs[i], units[i]), -units[i], i))
    rate = Fraction(costs[main], units[main])
    held: dict[int, tuple[int, Counts]] = {0: (0, (0,) * len(units))}
    for i in range(len(units)):
        if i == main:
            continue
        free = costs[i] == rate * units[i]
        bound = math.lcm(units[main], units[i]) // units[i] - 1 if free else least + most
        grown: dict[int, tuple[int, Counts]] = {}
        for cost, (amount, counts) in held.items():
            for n in range(bound + 1):
                paid, now = cost + n * costs[i], amount + n * units[i]
                if paid + rate * max(0, wanted - now) > least + most or (
                    costs[i] == 0 and n * units[i] > wanted + units[i]
                ):
                    break
                if paid not in grown or grown[paid][0] < now:
                    grown[paid] = (now, (*counts[:i], n, *counts[i + 1 :]))
            if len(grown) > MOST_STATES:
                return None
        held = grown
    return _with_main(held, main, units[main], costs[main], wanted, least, most, plain)


def _with_main(
    held: dict[int, tuple[int, Counts]],
    main: int,
    size: int,
    cost: int,
    wanted: int,
    least: int,
    most: int,
    plain: Counts,
) -> Ways:
    """The others with as many of the main pack as are needed, and with more of it."""
    ways: Ways = {0: plain}
    for paid, (amount, counts) in held.items():
        n = max(0, -(-(wanted - amount) // size))
        while paid + n * cost <= least + most:
            ways.setdefault(paid + n * cost - least, (*counts[:main], n, *counts[main + 1 :]))
            if cost == 0:
                break
            n += 1
    return ways


def _sums(sets: Sequence[Ways], most: int) -> list[int]:
    """For so many of the needs, in order, the sums of their surpluses as bits of a number."""
    mask = (1 << (most + 1)) - 1
    sums = [1]
    for ways in sets:
        bits = 0
        for surplus in ways:
            bits |= sums[-1] << surplus
        sums.append(bits & mask)
    return sums


def _lowest(bits: int, at_least: int) -> int | None:
    """The lowest bit from there on."""
    rest = bits >> at_least
    return at_least + (rest & -rest).bit_length() - 1 if rest else None


def _picked(sets: Sequence[Ways], sums: Sequence[int], surplus: int) -> tuple[Counts, ...]:
    """The packs of each need whose surpluses come to that sum: as little as can be of the later ones."""
    picked: list[Counts] = []
    for k in range(len(sets) - 1, -1, -1):
        own = next(own for own in sorted(sets[k]) if own <= surplus and sums[k] >> (surplus - own) & 1)
        picked.append(sets[k][own])
        surplus -= own
    return tuple(reversed(picked))


def _filled_up(
    needs: Sequence[PackNeed], plain: tuple[Counts, ...], goods: Decimal, carriage: Carriage
) -> Carried | None:
    """The best of the orders that more of one pack make reach a target; not proved to be the best of all."""
    options = (
        [Carried(plain, goods, charge_for(carriage, goods), proved=False)] if goods >= carriage.minimum_order else []
    )
    targets = [step.order_from for step in carriage.steps] + [carriage.minimum_order]
    for k, i, price in _priced(needs):
        for target in targets:
            more = math.ceil((max(target, carriage.minimum_order) - goods) / price)
            if more > 0:
                own = (*plain[k][:i], plain[k][i] + more, *plain[k][i + 1 :])
                amount = goods + more * price
                counts = (*plain[:k], own, *plain[k + 1 :])
                options.append(Carried(counts, amount, charge_for(carriage, amount), raised=True, proved=False))
    return min(options, key=lambda one: (one.total, one.goods), default=None)


def _priced(needs: Sequence[PackNeed]) -> Iterator[tuple[int, int, Decimal]]:
    for k, one in enumerate(needs):
        for i, pack in enumerate(one.packs):
            if one.need > 0 and pack.price:
                yield k, i, pack.price


def _cost(counts: Counts, packs: Sequence[Pack]) -> Decimal:
    return sum((n * (pack.price or Decimal(0)) for n, pack in zip(counts, packs, strict=True)), Decimal(0))
