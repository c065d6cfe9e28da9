"""The relaxation of the cutting problem by column generation, after Gilmore and Gomory.

A bounded knapsack makes the patterns, the simplex method weighs them, Farley's bound makes every
stage of it safe to stop at.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from takeoff.supply.stock import Counts, Pattern, Problem, whole_cost

Floats = npt.NDArray[np.float64]

REDUCED_COST_TOLERANCE = 1e-9
"""Relative to the dearest stock: a pattern has to be better than this to enter."""
PIVOT_TOLERANCE = 1e-9
REFRESH_EVERY = 60
"""Pivots after which the inverse is computed afresh."""


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
        enough = whole_cost(problem, safe) >= known_cost
        if entering is None or enough or time.monotonic() > until:
            break
        if isinstance(entering, Pattern):
            pool[entering] = None
        inverse = _pivot(problem, basis, inverse, entering, demand, turn)
    times = inverse @ demand
    used = tuple((p, float(t)) for p, t in zip(basis, times, strict=True) if isinstance(p, Pattern))
    return Relaxation(np.maximum(worth, 0.0), used, tuple(pool), safe, complete)


def _pivot(
    problem: Problem, basis: list[Pattern | int], inverse: Floats, entering: Pattern | int, demand: Floats, turn: int
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
    fill = Knapsack(problem, worth)
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


class Knapsack:
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
