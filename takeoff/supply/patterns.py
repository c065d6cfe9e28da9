"""Cutting stock in whole numbers: which patterns to cut, how often, and how good that is.

Best-fit-decreasing comes first; where it does not meet a bound, patterns are made one by one
(column generation after Gilmore and Gomory: a bounded knapsack prices them, the simplex method
weighs them), rounded, and at last handed to an integer program. A pattern that could still be
part of a better answer is recognised by its reduced cost, so that listing all of those proves
the best answer even where the relaxation leaves a gap.
"""

from __future__ import annotations

import math
import time
from bisect import bisect_left, insort
from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Counts = tuple[int, ...]

REDUCED_COST_TOLERANCE = 1e-9
"""Relative to the dearest stock: a pattern has to be better than this to enter."""
BOUND_TOLERANCE = 1e-6
"""Part of the cost step by which a bound may exceed a whole step through float noise."""
PIVOT_TOLERANCE = 1e-9
REFRESH_EVERY = 60
"""Pivots after which the inverse is computed afresh."""
MOST_PATTERNS = 40_000
"""Patterns listed for a proof; more are left and the answer says how far off it may be."""


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


def solve(problem: Problem, time_cap_s: float = 2.0) -> Answer:
    """The cheapest bars for a problem, with a bound; equal to it when proved within the time.

    Of several answers at the same cost the first found is given; without the cap being reached
    the same problem always gives the same answer. Every length must fit the longest stock.
    """
    until = time.monotonic() + time_cap_s
    if not problem.lengths:
        return Answer((), 0, 0)
    best, cost = best_fit(problem, problem.demand)
    bound = _whole(problem, _by_length(problem))
    if cost <= bound:
        return _answer(problem, best, bound)
    relaxed = relax(problem, cost, until)
    bound = max(bound, _whole(problem, relaxed.value))
    best, cost = _cheaper((best, cost), _rounded(problem, relaxed))
    if cost > bound:
        found = _integer(problem, (*relaxed.pool, *best), cost, until)
        best, cost = _cheaper((best, cost), found)
    if cost > bound and relaxed.complete:
        best, cost, bound = _settle(problem, relaxed, (best, cost), bound, until)
    return _answer(problem, best, bound)


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
            pattern = Pattern(_cheapest_stock(problem, counts), tuple(counts))
            patterns[pattern] = patterns.get(pattern, 0) + 1
        outcomes.append((patterns, _cost(problem, patterns)))
    return min(outcomes, key=lambda outcome: outcome[1])


def _filled(problem: Problem, demand: Sequence[int], favourite: int) -> list[list[int]]:
    """The counts in each bar after best-fit-decreasing, opening the favourite stock first."""
    bars: list[list[int]] = []
    rooms: list[tuple[int, int]] = []
    for i, length in enumerate(problem.lengths):
        opened = favourite if length <= problem.stock[favourite] else _cheapest_for(problem, length)
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


def relax(problem: Problem, known_cost: int, until: float) -> Relaxation:
    """The relaxation by column generation, stopped early where the bound meets a known cost."""
    m = len(problem.lengths)
    demand = np.array(problem.demand, dtype=float)
    basis: list[Pattern | int] = [_alone(problem, i) for i in range(m)]
    pool: dict[Pattern, None] = {p: None for p in basis if isinstance(p, Pattern)}
    inverse = _inverse(problem, basis)
    safe = 0.0
    complete = False
    for turn in range(1, 200 * m + 1000):
        worth = _costs(problem, basis) @ inverse
        entering: Pattern | int | None
        lowest = int(np.argmin(worth))
        if worth[lowest] < -REDUCED_COST_TOLERANCE * max(problem.costs):
            entering = lowest
        else:
            entering, part = _price(problem, np.maximum(worth, 0.0))
            safe = max(safe, float(np.maximum(worth, 0.0) @ demand) * part)
            complete = entering is None
        enough = _whole(problem, safe) >= known_cost
        if entering is None or enough or time.monotonic() > until:
            break
        if isinstance(entering, Pattern):
            pool[entering] = None
        inverse = _pivot(problem, basis, inverse, entering, demand, turn)
    times = inverse @ demand
    used = tuple((p, float(t)) for p, t in zip(basis, times, strict=True) if isinstance(p, Pattern))
    return Relaxation(np.maximum(worth, 0.0), used, tuple(pool), safe, complete)


def _pivot(
    problem: Problem,
    basis: list[Pattern | int],
    inverse: Floats,
    entering: Pattern | int,
    demand: Floats,
    turn: int,
) -> Floats:
    """Takes ``entering`` into the basis (in place) and gives the new inverse."""
    column = inverse @ _column(problem, entering)
    times = np.maximum(inverse @ demand, 0.0)
    ratios = np.full(len(basis), np.inf)
    able = column > PIVOT_TOLERANCE
    ratios[able] = times[able] / column[able]
    near = ratios <= ratios.min() + PIVOT_TOLERANCE
    row = int(np.argmax(np.where(near, column, -np.inf)))
    basis[row] = entering
    if turn % REFRESH_EVERY == 0:
        return _inverse(problem, basis)
    pivot_row = inverse[row] / column[row]
    column[row] = 0.0
    updated = inverse - np.outer(column, pivot_row)
    updated[row] = pivot_row
    return updated


def _price(problem: Problem, worth: Floats) -> tuple[Pattern | None, float]:
    """The pattern that is worth most beyond its cost, and the part of ``worth`` that is safe.

    Farley's bound: scaled down by that part, no pattern is worth more than its stock costs.
    """
    fill = _Knapsack(problem, worth)
    part = 1.0
    gain, entering = REDUCED_COST_TOLERANCE * max(problem.costs), None
    for stock, cost in enumerate(problem.costs):
        value = fill.value(problem.stock[stock])
        if value > 0:
            part = min(part, cost / value)
        if value - cost > gain:
            gain, entering = value - cost, stock
    if entering is None:
        return None, part
    return Pattern(entering, fill.counts(problem.stock[entering])), part


class _Knapsack:
    """The best fill of every capacity at once, each length at most as often as it is wanted.

    Counts are split into 1, 2, 4 … so that each step is one pass over all capacities.
    """

    def __init__(self, problem: Problem, worth: Floats) -> None:
        top = max(problem.stock)
        self._best = np.zeros(top + 1)
        self._steps: list[tuple[int, int, int, npt.NDArray[np.bool_]]] = []
        self._m = len(problem.lengths)
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


def _rounded(problem: Problem, relaxed: Relaxation) -> tuple[dict[Pattern, int], int]:
    """The relaxation rounded down, the rest by best-fit: patterns and cost."""
    left = list(problem.demand)
    patterns: dict[Pattern, int] = {}
    for pattern, times in sorted(relaxed.used, key=lambda one: -one[1]):
        most = min((left[i] // n for i, n in enumerate(pattern.counts) if n), default=0)
        count = min(most, math.floor(times + BOUND_TOLERANCE))
        if count > 0:
            patterns[pattern] = patterns.get(pattern, 0) + count
            left = [have - count * n for have, n in zip(left, pattern.counts, strict=True)]
    rest, _ = best_fit(problem, left)
    for pattern, count in rest.items():
        patterns[pattern] = patterns.get(pattern, 0) + count
    return patterns, _cost(problem, patterns)


def _integer(
    problem: Problem, pool: Iterable[Pattern], known_cost: int, until: float
) -> tuple[dict[Pattern, int], int] | None:
    """The cheapest whole times for the patterns of the pool that beats the known cost, if any."""
    found, _ = _program(problem, tuple(dict.fromkeys(pool)), known_cost, until)
    return found


def _program(
    problem: Problem, pool: tuple[Pattern, ...], known_cost: int, until: float
) -> tuple[tuple[dict[Pattern, int], int] | None, bool]:
    """The integer program: an answer that beats ``known_cost`` or None, and whether that is final."""
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    left_s = until - time.monotonic()
    if left_s <= 0:
        return None, False
    counts = csr_array(np.array([pattern.counts for pattern in pool], dtype=float).T)
    costs = np.array([problem.costs[pattern.stock] // problem.step for pattern in pool], dtype=float)
    ceiling = known_cost // problem.step - 1
    limits = [
        LinearConstraint(counts, lb=np.array(problem.demand, dtype=float)),
        LinearConstraint(csr_array(costs[np.newaxis, :]), ub=np.array([float(ceiling)])),
    ]
    result = milp(
        costs,
        integrality=np.ones(len(pool)),
        bounds=Bounds(0, max(problem.demand)),
        constraints=limits,
        options={"time_limit": left_s, "mip_rel_gap": 0.0},
    )
    final = result.status in (0, 2)
    if result.x is None:
        return None, final
    patterns = {p: round(float(t)) for p, t in zip(pool, result.x, strict=True) if round(float(t)) > 0}
    if any(have < want for have, want in zip(_held(problem, patterns), problem.demand, strict=True)):
        return None, False
    return (patterns, _cost(problem, patterns)), final


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
    found, final = _program(problem, pool, cost, until) if pool else (None, True)
    best, cost = _cheaper(known, found)
    return best, cost, cost if final else bound


def _within(problem: Problem, worth: Floats, gap: float, until: float) -> tuple[Pattern, ...] | None:
    """Every full pattern whose reduced cost is at most ``gap``; None when they are too many."""
    fill = _Knapsack(problem, worth)
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
            trimmed = Pattern(_cheapest_stock(problem, counts), counts)
            exact[trimmed] = exact.get(trimmed, 0) + 1
    assert not any(left)
    return Answer(tuple(exact.items()), _cost(problem, exact), bound)


def _cheaper(
    one: tuple[dict[Pattern, int], int], other: tuple[dict[Pattern, int], int] | None
) -> tuple[dict[Pattern, int], int]:
    return other if other is not None and other[1] < one[1] else one


def _whole(problem: Problem, value: float) -> int:
    """A lower bound raised to the next cost that bars can have."""
    return problem.step * math.ceil(value / problem.step - BOUND_TOLERANCE)


def _by_length(problem: Problem) -> float:
    """What the pieces' length costs at the best rate: a bound that needs no search."""
    needed = sum(n * length for n, length in zip(problem.demand, problem.lengths, strict=True))
    return needed * min(cost / room for cost, room in zip(problem.costs, problem.stock, strict=True))


def _cost(problem: Problem, patterns: dict[Pattern, int]) -> int:
    return sum(times * problem.costs[pattern.stock] for pattern, times in patterns.items())


def _held(problem: Problem, patterns: dict[Pattern, int]) -> list[int]:
    return [sum(times * p.counts[i] for p, times in patterns.items()) for i in range(len(problem.lengths))]


def _cheapest_for(problem: Problem, length: int) -> int:
    """The cheapest stock that is at least this long, the shorter of two at one price."""
    fits = [i for i, room in enumerate(problem.stock) if room >= length]
    return min(fits, key=lambda i: (problem.costs[i], problem.stock[i]))


def _cheapest_stock(problem: Problem, counts: Sequence[int]) -> int:
    return _cheapest_for(problem, sum(n * length for n, length in zip(counts, problem.lengths, strict=True)))


def _alone(problem: Problem, i: int) -> Pattern:
    """The pattern of one length only that makes its pieces cheapest."""

    def most(stock: int) -> int:
        return min(problem.stock[stock] // problem.lengths[i], problem.demand[i])

    fits = [stock for stock in range(len(problem.stock)) if most(stock) > 0]
    stock = min(fits, key=lambda one: problem.costs[one] / most(one))
    return Pattern(stock, tuple(most(stock) if j == i else 0 for j in range(len(problem.lengths))))


def _column(problem: Problem, one: Pattern | int) -> Floats:
    """A pattern's counts; a whole number i stands for one piece too many of length i."""
    if isinstance(one, Pattern):
        return np.array(one.counts, dtype=float)
    column = np.zeros(len(problem.lengths))
    column[one] = -1.0
    return column


def _costs(problem: Problem, basis: Sequence[Pattern | int]) -> Floats:
    return np.array([problem.costs[p.stock] if isinstance(p, Pattern) else 0.0 for p in basis])


def _inverse(problem: Problem, basis: Sequence[Pattern | int]) -> Floats:
    return np.linalg.inv(np.array([_column(problem, one) for one in basis]).T)
