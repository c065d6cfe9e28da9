"""The cutting problem in whole numbers, a plain way to fill bars, and a bound without search."""

from __future__ import annotations

import math
from bisect import bisect_left, insort
from collections.abc import Sequence
from typing import NamedTuple

Counts = tuple[int, ...]

BOUND_TOLERANCE = 1e-6
"""Part of the cost step by which a bound may exceed a whole step through float noise."""


class Pattern(NamedTuple):
    """Pieces cut from one bar: the index of its stock and the count of each length."""

    stock: int
    counts: Counts


class Problem(NamedTuple):
    """Lengths (longest first, all different) with their demand; stock with costs; all whole numbers.

    The kerf is already in: a saw takes one kerf fewer than there are pieces, which is the same as
    making each piece and each stock longer by one kerf.
    """

    lengths: Counts
    demand: Counts
    stock: Counts
    costs: Counts

    @property
    def step(self) -> int:
        """Every cost is a whole multiple of this."""
        return math.gcd(*self.costs)


class Answer(NamedTuple):
    """Patterns with how often each is cut; they hold the demand exactly. ``bound`` ≤ any cost."""

    patterns: tuple[tuple[Pattern, int], ...]
    cost: int
    bound: int


def best_fit(problem: Problem, demand: Sequence[int]) -> tuple[dict[Pattern, int], int]:
    """Best-fit-decreasing: each piece into the fullest bar that takes it; patterns and cost.

    With several stocks it is done once per stock to open, then each bar becomes the cheapest
    stock that holds its pieces; the cheapest outcome is given.
    """
    outcomes = []
    for favourite in range(len(problem.stock)):
        bars = _filled(problem, demand, favourite)
        patterns: dict[Pattern, int] = {}
        for counts in bars:
            pattern = Pattern(cheapest_stock(problem, counts), tuple(counts))
            patterns[pattern] = patterns.get(pattern, 0) + 1
        outcomes.append((patterns, cost_of_patterns(problem, patterns)))
    return min(outcomes, key=lambda outcome: outcome[1])


def _filled(problem: Problem, demand: Sequence[int], favourite: int) -> list[list[int]]:
    """The counts in each bar after best-fit-decreasing, opening the favourite stock first."""
    bars: list[list[int]] = []
    rooms: list[tuple[int, int]] = []
    for i, length in enumerate(problem.lengths):
        opened = favourite if length <= problem.stock[favourite] else cheapest_for(problem, length)
        for _ in range(demand[i]):
            at = bisect_left(rooms, (length, -1))
            if at < len(rooms):
                room, bar = rooms.pop(at)
            else:
                room, bar = problem.stock[opened], len(bars)
                bars.append([0] * len(problem.lengths))
            bars[bar][i] += 1
            insort(rooms, (room - length, bar))
    return bars


def whole_cost(problem: Problem, value: float) -> int:
    """A lower bound raised to the next cost that bars can have."""
    return problem.step * math.ceil(value / problem.step - BOUND_TOLERANCE)


def bound_by_length(problem: Problem) -> float:
    """What the pieces' length costs at the best rate: a bound that needs no search."""
    needed = sum(n * length for n, length in zip(problem.demand, problem.lengths, strict=True))
    return needed * min(cost / room for cost, room in zip(problem.costs, problem.stock, strict=True))


def cost_of_patterns(problem: Problem, patterns: dict[Pattern, int]) -> int:
    return sum(times * problem.costs[pattern.stock] for pattern, times in patterns.items())


def held(problem: Problem, patterns: dict[Pattern, int]) -> list[int]:
    return [sum(times * p.counts[i] for p, times in patterns.items()) for i in range(len(problem.lengths))]


def cheapest_for(problem: Problem, length: int) -> int:
    """The cheapest stock that is at least this long, the shorter of two at one price."""
    fits = [i for i, room in enumerate(problem.stock) if room >= length]
    return min(fits, key=lambda i: (problem.costs[i], problem.stock[i]))


def cheapest_stock(problem: Problem, counts: Sequence[int]) -> int:
    return cheapest_for(problem, sum(n * length for n, length in zip(counts, problem.lengths, strict=True)))
