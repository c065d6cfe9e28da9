"""Bead cutting and packs against published cases and an exact solver.

The 453 case is a published trim-loss example (after Gilmore and Gomory); it and the optima of the
others were recomputed beforehand with an exact integer solver, apart from this program.
"""

from __future__ import annotations

from collections import Counter
from decimal import Decimal

import pytest

from takeoff.measure.takeoff import BeadPiece
from takeoff.supply.cutting import cut
from takeoff.supply.order import CuttingList
from takeoff.supply.packs import choose, cost_of
from takeoff.supply.patterns import Problem, best_fit, solve
from takeoff.supply.systems import BeadProfile, Pack, Stock


def bead(*stock_mm: int) -> BeadProfile:
    stock = tuple(Stock(name=f"{one} mm", length_mm=one) for one in stock_mm)
    return BeadProfile(id="square", name="bead", stock=stock)


def cut_from(stock_mm: tuple[int, ...], pieces: dict[int, int], kerf_mm: float = 0.0) -> CuttingList:
    wanted = [BeadPiece(length, "square", f"{length}") for length, n in pieces.items() for _ in range(n)]
    done = cut(bead(*stock_mm), wanted, kerf_mm)
    assert Counter(one.length_mm for bar in done.bars for one in bar.cuts) == Counter(pieces)
    for bar in done.bars:
        lost = kerf_mm * (len(bar.cuts) - 1)
        assert sum(one.length_mm for one in bar.cuts) + lost <= bar.stock_mm
    return done


def test_published_trim_loss_case_takes_453_bars() -> None:
    # Published trim-loss example, stock 100: 453 bars; first-fit-decreasing takes 485.
    problem = Problem((45, 36, 31, 14), (97, 610, 395, 211), (100,), (1,))
    answer = solve(problem)
    assert (answer.cost, answer.bound) == (453, 453)
    held = [sum(n * p.counts[i] for p, n in answer.patterns) for i in range(4)]
    assert held == [97, 610, 395, 211]


def test_published_case_on_which_decreasing_fit_fails_takes_2_bars() -> None:
    # Published: capacity 7, pieces 3 3 2 2 2 2 fill 2; decreasing fits take 3.
    problem = Problem((3, 2), (2, 4), (7,), (1,))
    assert best_fit(problem, problem.demand)[1] == 3
    answer = solve(problem)
    assert (answer.cost, answer.bound) == (2, 2)


def test_two_jamb_pairs_and_four_heads_fit_two_bars() -> None:
    # Optimum from an exact solver: 2 × 1290 and 4 × 855 fill two bars of 3000.
    done = cut_from((3000,), {1290: 2, 855: 4})
    assert len(done.bars) == 2
    assert done.proved


@pytest.mark.parametrize(("stock", "bought_mm"), [((2400, 3000), 32_400), ((2400,), 36_000), ((3000,), 36_000)])
def test_doors_from_two_stock_lengths_buy_least_length(stock: tuple[int, ...], bought_mm: int) -> None:
    # Optima from an exact solver: 32.4 m with both lengths, 36.0 m with either alone.
    done = cut_from(stock, {2040: 12, 840: 6})
    assert done.bought_mm == bought_mm
    assert done.proved
    assert done.status == "least waste"


@pytest.mark.parametrize(("kerf_mm", "bars"), [(0.0, 1), (3.0, 2)])
def test_saw_kerf_makes_four_quarters_too_long_for_one_bar(kerf_mm: float, bars: int) -> None:
    # By hand: 4 × 750 = 3000 with snips; a saw of 3 mm needs 3009.
    assert len(cut_from((3000,), {750: 4}, kerf_mm).bars) == bars


def test_41_litres_from_5_10_and_20_cost_230() -> None:
    # Optimum from an exact solver: 2 × 20 L + 1 × 5 L = 230.
    packs = (
        Pack(name="5 L", size=5, price=Decimal(30)),
        Pack(name="10 L", size=10, price=Decimal(55)),
        Pack(name="20 L", size=20, price=Decimal(100)),
    )
    counts = choose(41, packs)
    assert counts == (1, 0, 2)
    assert cost_of(counts, packs) == Decimal(230)
