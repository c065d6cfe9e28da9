"""Cutting stock: which patterns to cut, how often, and how good that is.

Best-fit-decreasing comes first; where it does not meet a bound, the relaxation is solved by
column generation (after Gilmore and Gomory: a bounded knapsack makes the patterns, a linear program
weighs them, Farley's bound makes every stage of it safe to stop at), rounded, and at last handed to
an integer program. A pattern that could still be part of a better answer is recognised by its reduced
cost, so that listing all of those proves the best answer even where the relaxation leaves a gap.

How long is searched is a budget of counted work and never a time: the same pieces give the same
bars on any computer, however busy.
"""

from __future__ import annotations

import math
from bisect import bisect_left, insort
from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Counts = tuple[int, ...]
Floats = npt.NDArray[np.float64]

WORK = 2_000_000
"""Steps of work for one profile, some two seconds on a computer of 2026, before the answer says how far
off it may be."""
RELAX_SHARE = 0.6
"""Part of the work that the relaxation may take; what is left is for whole numbers."""
ROUND_SHARE = 0.3
"""Part of what is left then for rounding again and again."""
POOL_SHARE = 0.4
"""Part of what is left then for the patterns at hand; the rest is for the proof."""
PASS_STEP, MASTER_STEP, MASTER_STEPS, BRANCH_STEPS = 1 / 200, 1 / 8, 1000, 2
"""Steps for each mm of a pass over a bar, for each number of a linear program and for having one at
all, and for each branch of a listing: weighed against each other on one computer."""
NODE_STEP, ROOT_NODES = 1 / 16, 200
"""Steps of a node of the integer program for each number in it; its root takes as much as so many."""
MOST_PATTERNS = 12_000
"""Patterns listed for a proof; with more the answer says how far off it may be."""

BOUND_TOLERANCE = 1e-6
"""Part of the cost step by which a bound may exceed a whole step through float noise."""
REDUCED_COST_TOLERANCE = 1e-9
"""Relative to the dearest stock: a pattern has to be better than this to enter."""


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


class Work:
    """Steps done so far: the clock of the search, which goes at the same pace on any computer."""

    def __init__(self) -> None:
        self.done = 0.0


def solve(problem: Problem, steps: float = WORK) -> Answer:
    """The cheapest bars for a problem, with a bound; equal to it when proved within the work.

    Of several answers at the same cost the first found is given; the same problem always gives the
    same answer. Every length must fit the longest stock.
    """
    if not problem.lengths:
        return Answer((), 0, 0)
    best, cost = best_fit(problem, problem.demand)
    bound = whole_cost(problem, bound_by_length(problem))
    if cost <= bound:
        return _answer(problem, best, bound)
    work = Work()
    relaxed = relax(problem, cost, work, RELAX_SHARE * steps)
    bound = max(bound, whole_cost(problem, relaxed.value))
    until = work.done + ROUND_SHARE * (steps - work.done)
    best, cost = _cheaper((best, cost), _rounded(problem, relaxed, bound, work, until))
    if cost > bound:
        pool = tuple(dict.fromkeys((*relaxed.pool, *best)))
        until = work.done + POOL_SHARE * (steps - work.done)
        found, _ = _program(problem, pool, cost, work, until)
        best, cost = _cheaper((best, cost), found)
    if cost > bound and relaxed.complete:
        best, cost, bound = _settle(problem, relaxed, (best, cost), bound, work, steps)
    return _answer(problem, best, bound)


class Relaxation(NamedTuple):
    """The relaxation's optimum: what each length is worth, patterns with their (broken) times.

    ``value`` is a safe lower bound whatever the state in which the search stopped; ``complete``
    says that it stopped at the optimum.
    """

    worth: Floats
    used: tuple[tuple[Pattern, float], ...]
    pool: tuple[Pattern, ...]
    value: float
    complete: bool


def relax(problem: Problem, known_cost: int, work: Work, until: float) -> Relaxation:
    """The relaxation by column generation, stopped early where the bound meets a known cost."""
    demand = np.array(problem.demand, dtype=float)
    pool = {_alone(problem, i): None for i in range(len(problem.lengths))}
    safe = 0.0
    while True:
        times, worth = _weighed(problem, pool, demand)
        fill = Knapsack(problem, worth)
        work.done += MASTER_STEPS + MASTER_STEP * len(pool) * len(demand) + PASS_STEP * fill.passed_mm
        entering, part = _price(problem, fill)
        new = [pattern for pattern in entering if pattern not in pool]
        safe = max(safe, float(worth @ demand) * part)
        if not new or whole_cost(problem, safe) >= known_cost or work.done > until:
            used = tuple((p, float(t)) for p, t in zip(pool, times, strict=True) if t > 0)
            return Relaxation(worth, used, tuple(pool), safe, not new)
        pool |= dict.fromkeys(new)


def _weighed(problem: Problem, pool: Iterable[Pattern], demand: Floats) -> tuple[Floats, Floats]:
    """(how often each pattern is cut, broken; what each length is worth): the linear program over a pool
    that holds every length."""
    from scipy.optimize import linprog

    counts = np.array([pattern.counts for pattern in pool], dtype=float).T
    costs = np.array([problem.costs[pattern.stock] for pattern in pool], dtype=float)
    result = linprog(costs, A_ub=-counts, b_ub=-demand, method="highs-ds")
    return result.x, np.maximum(-result.ineqlin.marginals, 0.0)


def _price(problem: Problem, fill: Knapsack) -> tuple[list[Pattern], float]:
    """The patterns that are worth most beyond their cost, one of each stock, and the part of the worth
    that is safe.

    Farley's bound: scaled down by that part, no pattern is worth more than its stock costs.
    """
    part, entering = 1.0, []
    for stock, (capacity, cost) in enumerate(zip(problem.stock, problem.costs, strict=True)):
        value = fill.value(capacity)
        if value > 0:
            part = min(part, cost / value)
        if value - cost > REDUCED_COST_TOLERANCE * max(problem.costs):
            entering.append(Pattern(stock, fill.counts(capacity)))
    return entering, part


class Knapsack:
    """The best fill of every capacity at once, each length at most as often as it is wanted.

    Counts are split into 1, 2, 4 … so that each step is one pass over all capacities.
    """

    def __init__(self, problem: Problem, worth: Floats) -> None:
        top = max(problem.stock)
        self._best = np.zeros(top + 1)
        self._steps: list[tuple[int, int, int, npt.NDArray[np.bool_]]] = []
        self._m = len(problem.lengths)
        self.passed_mm = 0
        for i, length in enumerate(problem.lengths):
            if worth[i] <= 0:
                continue
            left, bundle = min(problem.demand[i], top // length), 1
            while left > 0:
                count = min(bundle, left)
                self._add(i, count, count * length, count * float(worth[i]))
                left, bundle = left - count, bundle * 2

    def _add(self, i: int, count: int, size: int, value: float) -> None:
        offered = self._best[:-size] + value
        kept = self._best[size:]
        taken = offered > kept
        self._steps.append((i, count, size, taken))
        self.passed_mm += len(kept)
        np.copyto(kept, offered, where=taken)

    def value(self, capacity: int) -> float:
        return float(self._best[capacity])

    def counts(self, capacity: int) -> Counts:
        """The pieces of the best fill of a capacity."""
        found = [0] * self._m
        for i, count, size, taken in reversed(self._steps):
            if capacity >= size and taken[capacity - size]:
                found[i] += count
                capacity -= size
        return tuple(found)


def _alone(problem: Problem, i: int) -> Pattern:
    """The pattern of one length only that makes its pieces cheapest."""

    def most(stock: int) -> int:
        return min(problem.stock[stock] // problem.lengths[i], problem.demand[i])

    fits = [stock for stock in range(len(problem.stock)) if most(stock) > 0]
    stock = min(fits, key=lambda one: problem.costs[one] / most(one))
    return Pattern(stock, tuple(most(stock) if j == i else 0 for j in range(len(problem.lengths))))


def _rounded(
    problem: Problem, relaxed: Relaxation, bound: int, work: Work, until: float
) -> tuple[dict[Pattern, int], int]:
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
        if not any(left) or best[1] <= bound or work.done > until:
            return best
        used = _relaxed_rest(problem, left, work, until)


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


def _relaxed_rest(problem: Problem, left: list[int], work: Work, until: float) -> tuple[tuple[Pattern, float], ...]:
    """The relaxation of what is left, its patterns in terms of the whole problem."""
    there = [i for i, have in enumerate(left) if have]
    lengths = tuple(problem.lengths[i] for i in there)
    rest = Problem(lengths, tuple(left[i] for i in there), problem.stock, problem.costs)
    found = []
    for pattern, times in relax(rest, best_fit(rest, rest.demand)[1], work, until).used:
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
    problem: Problem, pool: tuple[Pattern, ...], known_cost: int, work: Work, until: float
) -> tuple[tuple[dict[Pattern, int], int] | None, bool]:
    """The integer program over a pool: an answer that costs less than what is known, or None, and
    whether that is final for the pool.

    Also tried: the known bound as a constraint. It ends some searches early, slows more of them.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    node_steps = NODE_STEP * len(pool) * len(problem.demand)
    nodes = int((until - work.done) / node_steps) - ROOT_NODES
    if nodes < 1:
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
        options={"node_limit": nodes, "mip_rel_gap": 0.0},
    )
    work.done += node_steps * (ROOT_NODES + (result.mip_node_count or 0))
    final = result.status in (0, 2)
    if result.x is None:
        return None, final
    patterns = {p: round(float(t)) for p, t in zip(pool, result.x, strict=True) if round(float(t)) > 0}
    if any(have < want for have, want in zip(held(problem, patterns), problem.demand, strict=True)):
        return None, False
    return (patterns, cost_of_patterns(problem, patterns)), final


def _settle(
    problem: Problem, relaxed: Relaxation, known: tuple[dict[Pattern, int], int], bound: int, work: Work, until: float
) -> tuple[dict[Pattern, int], int, int]:
    """Lists every pattern that a better answer could use and settles which is best.

    In an answer cheaper than the known one no pattern's reduced cost exceeds the gap between the
    two costs less one step; that is a short list when the gap is small.
    """
    best, cost = known
    gap = cost - problem.step - relaxed.value
    pool = _within(problem, relaxed.worth, gap, work, until)
    if pool is None:
        return best, cost, bound
    found, final = _program(problem, pool, cost, work, until) if pool else (None, True)
    best, cost = _cheaper(known, found)
    return best, cost, cost if final else bound


def _within(problem: Problem, worth: Floats, gap: float, work: Work, until: float) -> tuple[Pattern, ...] | None:
    """Every full pattern whose reduced cost is at most ``gap``; None when they are too many."""
    fill = Knapsack(problem, worth)
    slack = BOUND_TOLERANCE * problem.step
    found: list[Pattern] = []

    def branch(stock: int, i: int, room: int, value: float, counts: Counts) -> bool:
        work.done += BRANCH_STEPS
        if value + fill.value(room) < problem.costs[stock] - gap - slack:
            return True
        if i == len(problem.lengths):
            found.append(Pattern(stock, counts))
            return len(found) <= MOST_PATTERNS
        if work.done > until:
            return False
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
