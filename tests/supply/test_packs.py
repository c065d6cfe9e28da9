"""Whole packs for a need."""

from __future__ import annotations

from decimal import Decimal
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from takeoff.supply.packs import choose, cost_of
from takeoff.supply.systems import Pack


def packs_of(*sizes: float, prices: tuple[str, ...] = ()) -> tuple[Pack, ...]:
    given_prices = [Decimal(one) for one in prices] or [None] * len(sizes)
    return tuple(Pack(name=f"{size}", size=size, price=price) for size, price in zip(sizes, given_prices, strict=True))


def test_without_prices_the_least_is_left_over_then_the_fewest_packs() -> None:
    assert choose(41, packs_of(5, 10, 20)) == (1, 0, 2)
    assert choose(10, packs_of(5, 10, 20)) == (0, 1, 0)
    assert choose(9, packs_of(3, 5)) == (3, 0)


def test_a_dearer_larger_pack_is_not_bought_for_a_small_need() -> None:
    assert choose(3, packs_of(5, 20, prices=("30", "100"))) == (1, 0)
    # 30 against 40, though the larger is cheaper by the litre: 2.67 against 3.00
    assert choose(5, packs_of(10, 15, prices=("30", "40"))) == (1, 0)


def test_one_large_pack_beats_several_small_ones_that_cost_more() -> None:
    assert choose(16, packs_of(5, 20, prices=("30", "100"))) == (0, 1)


def test_equal_cost_leaves_the_least_over() -> None:
    assert choose(8, packs_of(10, 15, prices=("7", "7"))) == (1, 0)


def test_nothing_needed_buys_nothing() -> None:
    assert choose(0.0, packs_of(5, 10)) == (0, 0)
    assert choose(-1.0, packs_of(5, 10)) == (0, 0)


def test_float_noise_buys_no_further_pack() -> None:
    assert choose(0.1 + 0.2, packs_of(0.1)) == (3,)
    assert choose(40.001, packs_of(20)) == (3,)


def test_a_very_large_need_is_still_exact() -> None:
    packs = packs_of(5, 10, 22.5, prices=("30", "55", "110"))
    counts = choose(1_000_003, packs)
    assert counts == (1, 1, 44_444)  # 44,444 × 22.5 = 999,990; the 13 left cost 85 in 5 and 10, 110 in one
    assert cost_of(counts, packs) == 44_444 * 110 + 85


def test_a_need_that_is_not_a_number_is_refused() -> None:
    with pytest.raises(ValueError, match="cannot be packed"):
        choose(float("nan"), packs_of(5))


def test_cost_is_unknown_where_a_price_is_missing() -> None:
    assert cost_of((1, 0), packs_of(5, 10)) is None
    assert cost_of((0, 0), packs_of(5, 10)) == Decimal(0)


@given(
    need=st.integers(1, 60),
    offers=st.lists(
        st.tuples(st.integers(1, 12), st.integers(1, 40)), min_size=1, max_size=3, unique_by=lambda o: o[0]
    ),
)
def test_no_other_choice_of_packs_is_cheaper_or_leaves_less(need: int, offers: list[tuple[int, int]]) -> None:
    packs = tuple(Pack(name=f"{size}", size=size, price=Decimal(price)) for size, price in offers)

    def score(counts: tuple[int, ...]) -> tuple[int, int, int]:
        held = sum(n * size for n, (size, _) in zip(counts, offers, strict=True))
        return sum(n * p for n, (_, p) in zip(counts, offers, strict=True)), held - need, sum(counts)

    ranges = [range(-(-need // size) + 1) for size, _ in offers]
    every = [c for c in product(*ranges) if score(c)[1] >= 0]
    assert score(choose(need, packs)) == min(score(c) for c in every)
