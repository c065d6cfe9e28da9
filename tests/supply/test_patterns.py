"""The search for bars against every possible way to cut, on cases small enough to try them all."""

from __future__ import annotations

import itertools
import subprocess
import sys
import time
from functools import cache
from itertools import product
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from takeoff.supply import patterns
from takeoff.supply.patterns import Problem, solve


def least_cost(problem: Problem) -> int:
    """By trying every filling of every bar, one bar after another."""
    fills = [
        (cost, counts)
        for room, cost in zip(problem.stock, problem.costs, strict=True)
        for counts in product(*(range(n + 1) for n in problem.demand))
        if any(counts) and sum(n * x for n, x in zip(counts, problem.lengths, strict=True)) <= room
    ]

    @cache
    def rest(left: tuple[int, ...]) -> int:
        if not any(left):
            return 0
        fitting = [(cost, tuple(max(0, a - b) for a, b in zip(left, counts, strict=True))) for cost, counts in fills]
        return min(cost + rest(after) for cost, after in fitting if after != left)

    return rest(problem.demand)


@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_proved_best_is_the_best_of_all_ways_to_cut(data: st.DataObject) -> None:
    lengths = data.draw(st.lists(st.integers(2, 19), min_size=1, max_size=4, unique=True))
    demand = data.draw(st.tuples(*(st.integers(1, 4) for _ in lengths)))
    stock = data.draw(st.lists(st.integers(19, 30), min_size=1, max_size=2, unique=True))
    costs = data.draw(st.tuples(*(st.integers(5, 30) for _ in stock)))
    problem = Problem(tuple(sorted(lengths, reverse=True)), demand, tuple(stock), costs)
    answer = solve(problem)
    assert answer.cost == answer.bound == least_cost(problem)
    for pattern, _ in answer.patterns:
        used = sum(n * x for n, x in zip(pattern.counts, problem.lengths, strict=True))
        assert used <= problem.stock[pattern.stock]


HALF_A_BAR = Problem((16, 13), (1, 2), (22, 32), (23, 10))
"""Any two pieces fill a bar at 10, so the relaxation pays 1½ bars (15) and whole bars cost 20."""


def test_gap_between_relaxation_and_whole_bars_is_settled() -> None:
    answer = solve(HALF_A_BAR)
    assert (answer.cost, answer.bound) == (20, 20)


def test_proof_that_ran_out_of_work_is_no_proof(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(patterns, "_program", lambda *_: (None, False))
    answer = solve(HALF_A_BAR)
    assert (answer.cost, answer.bound) == (20, 15)


def test_pieces_that_fit_by_length_but_not_by_shape_take_a_further_bar() -> None:
    # 132 long: 2 × 44, 3 × 33 and 6 × 12 measure 259 of 264, but no two bars hold them.
    problem = Problem((44, 33, 12), (2, 3, 6), (132,), (1,))
    answer = solve(problem)
    assert answer.cost == answer.bound == least_cost(problem) == 3


def test_nothing_to_cut_costs_nothing() -> None:
    assert solve(Problem((), (), (3000,), (1,))).cost == 0


def test_without_work_the_answer_is_complete_and_says_how_far_off_it_may_be() -> None:
    lengths = tuple(range(2390, 400, -13))
    problem = Problem(lengths, (1,) * len(lengths), (2400, 3000), (310, 390))
    answer = solve(problem, 0.0)
    held = [sum(n * p.counts[i] for p, n in answer.patterns) for i in range(len(lengths))]
    assert held == [1] * len(lengths)
    assert 0 < answer.bound <= answer.cost


def many_lengths() -> Problem:
    """40 lengths at random whose best answer is not proved: every stage of the search has its turn."""
    random = Random(5)
    lengths = tuple(sorted(random.sample(range(300, 2390), 40), reverse=True))
    return Problem(lengths, tuple(random.randint(1, 4) for _ in lengths), (2400, 3000), (310, 390))


def test_same_pieces_give_the_same_bars_however_the_clock_goes(monkeypatch: pytest.MonkeyPatch) -> None:
    import scipy.optimize

    known = solve(many_lengths())
    assert known.cost == 16030
    assert known.bound < known.cost
    programs = []

    def untimed(*given: Any, options: dict[str, Any], **named: Any) -> Any:
        programs.append(options)
        return milp(*given, options=options, **named)

    milp = scipy.optimize.milp
    monkeypatch.setattr(scipy.optimize, "milp", untimed)
    hours = itertools.count(0, 3600)
    for clock in ("monotonic", "perf_counter", "time", "process_time"):
        monkeypatch.setattr(time, clock, lambda: float(next(hours)))
    assert solve(many_lengths()) == known
    assert programs
    assert not any("time_limit" in options for options in programs)


def test_more_work_gives_no_worse_answer_and_bound() -> None:
    problem = many_lengths()
    some = [solve(problem, steps) for steps in (0.0, 50_000.0, 2_000_000.0)]
    assert [one.cost for one in some] == sorted((one.cost for one in some), reverse=True)
    assert [one.bound for one in some] == sorted(one.bound for one in some)


@pytest.mark.parametrize("module", ["takeoff.supply.materials", "takeoff.supply.patterns"])
def test_scipy_is_not_loaded_before_it_is_needed(module: str) -> None:
    code = f"import sys, {module}; sys.exit('scipy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False, timeout=300).returncode == 0
