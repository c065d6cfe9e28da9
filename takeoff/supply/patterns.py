"""Cutting stock: which patterns to cut, how often, and how good that is.

Best-fit-decreasing comes first; where it does not meet a bound, the relaxation is solved by
column generation, rounded, and at last handed to an integer program. A pattern that could still
be part of a better answer is recognised by its reduced cost, so that listing all of those proves
the best answer even where the relaxation leaves a gap.
"""

from __future__ import annotations

import math
import time
from collections.abc import Iterable

import numpy as np

from takeoff.supply.relaxation import Floats, Knapsack, Relaxation, relax
from takeoff.supply.stock import (
    BOUND_TOLERANCE,
    Answer,
    Counts,
    Pattern,
    Problem,
    best_fit,
    bound_by_length,
    cheapest_stock,
    cost_of_patterns,
    held,
    whole_cost,
)

__all__ = ["Answer", "Pattern", "Problem", "solve"]

MOST_PATTERNS = 12_000
"""Patterns listed for a proof; with more the answer says how far off it may be. Programs much
larger than this also run past their time."""
RELAX_SHARE = 0.6
"""Part of the time that the relaxation may take; what is left is for whole numbers."""
ROUND_SHARE = 0.3
"""Part of what is left then for rounding again and again."""
POOL_SHARE = 0.4
"""Part of what is left then for the patterns at hand; the rest is for the proof."""


def solve(problem: Problem, time_cap_s: float = 2.0) -> Answer:
    """The cheapest bars for a problem, with a bound; equal to it when proved within the time.

    Of several answers at the same cost the first found is given; without the cap being reached
    the same problem always gives the same answer. Every length must fit the longest stock.
    """
    if not problem.lengths:
        return Answer((), 0, 0)
    best, cost = best_fit(problem, problem.demand)
    bound = whole_cost(problem, bound_by_length(problem))
    if cost <= bound:
        return _answer(problem, best, bound)
    import scipy.optimize  # noqa: F401 - loading it takes long on a cold disk and is no part of the search

    until = time.monotonic() + time_cap_s
    relaxed = relax(problem, cost, until - (1 - RELAX_SHARE) * time_cap_s)
    bound = max(bound, whole_cost(problem, relaxed.value))
    share_s = ROUND_SHARE * (until - time.monotonic())
    best, cost = _cheaper((best, cost), _rounded(problem, relaxed, bound, time.monotonic() + share_s))
    if cost > bound:
        pool = tuple(dict.fromkeys((*relaxed.pool, *best)))
        share_s = POOL_SHARE * (until - time.monotonic())
        found, _ = _program(problem, pool, cost, share_s)
        best, cost = _cheaper((best, cost), found)
    if cost > bound and relaxed.complete:
        best, cost, bound = _settle(problem, relaxed, (best, cost), bound, until)
    return _answer(problem, best, bound)


def _rounded(problem: Problem, relaxed: Relaxation, bound: int, until: float) -> tuple[dict[Pattern, int], int]:
    """The relaxation rounded down, the rest by best-fit; if that misses the bound, the rest is
    relaxed and rounded in its turn. Patterns and cost of the best of these."""
    fixed: dict[Pattern, int] = {}
    left = list(problem.demand)
    used = relaxed.used
    best: tuple[dict[Pattern, int], int] | None = None
    while True:
        left = _fix(fixed, used, left)
        found = _added(problem, fixed, best_fit(problem, left)[0])
        best = found if best is None else _cheaper(best, found)
        if not any(left) or best[1] <= bound or time.monotonic() > until:
            return best
        used = _relaxed_rest(problem, left, until)


def _fix(fixed: dict[Pattern, int], used: Iterable[tuple[Pattern, float]], left: list[int]) -> list[int]:
    """Adds whole times of the used patterns to ``fixed``, at least one in all; what is left then."""
    taken = False
    by_times = sorted(used, key=lambda one: -one[1])
    for pattern, times in by_times:
        most = min(left[i] // n for i, n in enumerate(pattern.counts) if n)
        count = min(most, math.floor(times + BOUND_TOLERANCE))
        if count > 0:
            taken = True
            fixed[pattern] = fixed.get(pattern, 0) + count
            left = [have - count * n for have, n in zip(left, pattern.counts, strict=True)]
    if taken:
        return left
    first = by_times[0][0]
    part = Pattern(first.stock, tuple(min(n, have) for n, have in zip(first.counts, left, strict=True)))
    fixed[part] = fixed.get(part, 0) + 1
    return [have - n for have, n in zip(left, part.counts, strict=True)]


def _relaxed_rest(problem: Problem, left: list[int], until: float) -> tuple[tuple[Pattern, float], ...]:
    """The relaxation of what is left, its patterns in terms of the whole problem."""
    there = [i for i, have in enumerate(left) if have]
    lengths = tuple(problem.lengths[i] for i in there)
    rest = Problem(lengths, tuple(left[i] for i in there), problem.stock, problem.costs)
    found = []
    for pattern, times in relax(rest, best_fit(rest, rest.demand)[1], until).used:
        counts = [0] * len(left)
        for i, n in zip(there, pattern.counts, strict=True):
            counts[i] = n
        found.append((Pattern(pattern.stock, tuple(counts)), times))
    return tuple(found)


def _added(problem: Problem, one: dict[Pattern, int], other: dict[Pattern, int]) -> tuple[dict[Pattern, int], int]:
    both = dict(one)
    for pattern, times in other.items():
        both[pattern] = both.get(pattern, 0) + times
    return both, cost_of_patterns(problem, both)


def _program(
    problem: Problem, pool: tuple[Pattern, ...], known_cost: int, time_s: float
) -> tuple[tuple[dict[Pattern, int], int] | None, bool]:
    """The integer program over a pool: an answer that costs less than what is known, or None, and
    whether that is final for the pool.

    Also tried: the known bound as a constraint. It ends some searches early, slows more of them.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    if time_s <= 0:
        return None, False
    counts = csr_array(np.array([pattern.counts for pattern in pool], dtype=float).T)
    costs = np.array([problem.costs[pattern.stock] // problem.step for pattern in pool], dtype=float)
    highest = known_cost // problem.step - 1
    limits = [
        LinearConstraint(counts, lb=np.array(problem.demand, dtype=float)),
        LinearConstraint(csr_array(costs[np.newaxis, :]), ub=float(highest)),
    ]
    result = milp(
        costs,
        integrality=np.ones(len(pool)),
        bounds=Bounds(0, max(problem.demand)),
        constraints=limits,
        options={"time_limit": time_s, "mip_rel_gap": 0.0},
    )
    final = result.status in (0, 2)
    if result.x is None:
        return None, final
    patterns = {p: round(float(t)) for p, t in zip(pool, result.x, strict=True) if round(float(t)) > 0}
    if any(have < want for have, want in zip(held(problem, patterns), problem.demand, strict=True)):
        return None, False
    return (patterns, cost_of_patterns(problem, patterns)), final


def _settle(
    problem: Problem, relaxed: Relaxation, known: tuple[dict[Pattern, int], int], bound: int, until: float
) -> tuple[dict[Pattern, int], int, int]:
    """Lists every pattern that a better answer could use and settles which is best.

    In an answer cheaper than the known one no pattern's reduced cost exceeds the gap between the
    two costs less one step; that is a short list when the gap is small.
    """
    best, cost = known
    gap = cost - problem.step - relaxed.value
    pool = _within(problem, relaxed.worth, gap, until)
    if pool is None:
        return best, cost, bound
    time_s = until - time.monotonic()
    found, final = _program(problem, pool, cost, time_s) if pool else (None, True)
    best, cost = _cheaper(known, found)
    return best, cost, cost if final else bound


def _within(problem: Problem, worth: Floats, gap: float, until: float) -> tuple[Pattern, ...] | None:
    """Every full pattern whose reduced cost is at most ``gap``; None when they are too many."""
    fill = Knapsack(problem, worth)
    slack = BOUND_TOLERANCE * problem.step
    found: list[Pattern] = []

    def branch(stock: int, i: int, room: int, value: float, counts: Counts) -> bool:
        if value + fill.value(room) < problem.costs[stock] - gap - slack:
            return True
        if i == len(problem.lengths):
            found.append(Pattern(stock, counts))
            return len(found) <= MOST_PATTERNS and time.monotonic() < until
        length = problem.lengths[i]
        for n in range(min(problem.demand[i], room // length), -1, -1):
            if not branch(stock, i + 1, room - n * length, value + n * float(worth[i]), (*counts, n)):
                return False
        return True

    for stock, capacity in enumerate(problem.stock):
        if not branch(stock, 0, capacity, 0.0, ()):
            return None
    return tuple(found)


def _answer(problem: Problem, patterns: dict[Pattern, int], bound: int) -> Answer:
    """Patterns without the pieces that nobody wants, each on the cheapest stock that holds it."""
    left = list(problem.demand)
    exact: dict[Pattern, int] = {}
    for pattern, times in patterns.items():
        for _ in range(times):
            counts = tuple(min(n, have) for n, have in zip(pattern.counts, left, strict=True))
            if not any(counts):
                continue
            left = [have - n for have, n in zip(left, counts, strict=True)]
            trimmed = Pattern(cheapest_stock(problem, counts), counts)
            exact[trimmed] = exact.get(trimmed, 0) + 1
    assert not any(left)
    return Answer(tuple(exact.items()), cost_of_patterns(problem, exact), bound)


def _cheaper(
    one: tuple[dict[Pattern, int], int], other: tuple[dict[Pattern, int], int] | None
) -> tuple[dict[Pattern, int], int]:
    return other if other is not None and other[1] < one[1] else one
