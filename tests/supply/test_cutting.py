"""Cutting lists as the team reads them."""

from __future__ import annotations

from decimal import Decimal

import pytest

from takeoff.errors import InputError
from takeoff.measure.takeoff import BeadPiece
from takeoff.supply.cutting import _solved, cut
from takeoff.supply.systems import BeadProfile, Stock


def profile(*stock: tuple[float, str | None], coil: bool = False, loss_percent: float = 0.0) -> BeadProfile:
    lengths = tuple(
        Stock(name=f"{length:g} mm", length_mm=length, price=Decimal(price) if price else None)
        for length, price in stock
    )
    return BeadProfile(id="p", name="bead", stock=lengths, coil=coil, loss_percent=loss_percent)


def pieces(*lengths_mm: float) -> list[BeadPiece]:
    return [BeadPiece(length, "p", f"corner {i}") for i, length in enumerate(lengths_mm, 1)]


def test_each_bar_lists_its_cuts_their_places_and_its_offcut() -> None:
    done = cut(profile((3000, None)), pieces(1200, 2100, 900))
    assert [(bar.stock_mm, bar.offcut_mm) for bar in done.bars] == [(3000, 0), (3000, 1800)]
    assert [[(one.length_mm, one.where) for one in bar.cuts] for bar in done.bars] == [
        [(2100, "corner 2"), (900, "corner 3")],
        [(1200, "corner 1")],
    ]
    assert done.bought == (("3000 mm", 2),)
    assert (done.need_mm, done.bought_mm, done.aim, done.cost) == (4200, 6000, "length", None)


def test_with_prices_the_cost_is_made_least_not_the_length() -> None:
    done = cut(profile((2400, "9.99"), (3000, "3.50")), pieces(2400, 2400))
    assert done.bought == (("3000 mm", 2),)
    assert done.cost == Decimal("7.00")
    assert done.aim == "cost"


def test_shorter_stock_is_taken_where_it_is_cheaper() -> None:
    done = cut(profile((2400, "3.10"), (3000, "3.90")), pieces(2400, 3000, 2300))
    assert done.bought == (("3000 mm", 1), ("2400 mm", 2))
    assert done.cost == Decimal("10.10")
    assert done.proved


def test_piece_longer_than_the_longest_stock_is_joined_from_full_lengths_and_a_rest() -> None:
    done = cut(profile((2400, None), (3000, None)), pieces(6500))
    cuts = sorted((one.length_mm, one.part) for bar in done.bars for one in bar.cuts)
    assert cuts == [(500, "3 of 3"), (3000, "1 of 3"), (3000, "2 of 3")]
    assert done.joints == 2
    assert done.need_mm == 6500


def test_piece_of_twice_the_stock_leaves_no_rest() -> None:
    done = cut(profile((3000, None)), pieces(6000))
    assert len(done.bars) == 2
    assert done.joints == 1


def test_lengths_go_to_the_nearest_millimetre_so_a_full_bar_is_not_joined_for_a_hair() -> None:
    done = cut(profile((2400, None)), pieces(2400.3))
    assert done.joints == 0
    assert done.bars[0].cuts[0].length_mm == 2400


def test_coil_is_taken_by_length_with_its_loss() -> None:
    done = cut(profile((10_000, "8"), (25_000, "15"), coil=True, loss_percent=10), pieces(4000, 3500, 2000))
    assert done.kind == "coil"
    assert done.bars == ()
    assert done.bought == (("25000 mm", 1),)  # 9.5 m × 1.10 = 10.45 m: two short coils cost 16
    assert done.cost == Decimal(15)
    assert [one.length_mm for one in done.coil_cuts] == [4000, 3500, 2000]


def test_saw_loses_its_kerf_from_the_offcut() -> None:
    done = cut(profile((3000, None)), pieces(1000, 1000), kerf_mm=2.5)
    assert done.bars[0].offcut_mm == 994


def test_last_piece_of_a_full_bar_needs_no_cut() -> None:
    done = cut(profile((3000, None)), pieces(1000, 998, 998), kerf_mm=2)  # 2996 + 2 cuts of 2
    assert [(len(bar.cuts), bar.offcut_mm) for bar in done.bars] == [(3, 0)]


def test_nothing_to_cut_gives_an_empty_list() -> None:
    done = cut(profile((3000, "3")), pieces())
    assert (done.bars, done.bought, done.cost, done.proved) == ((), (), Decimal(0), True)


def test_free_stock_still_buys_the_least_length() -> None:
    done = cut(profile((2400, "0"), (3000, "0")), pieces(2000))
    assert done.bought == (("2400 mm", 1),)
    assert done.cost == Decimal(0)


def test_same_pieces_give_the_same_list() -> None:
    lengths = [300 + 37 * i % 1900 for i in range(60)]
    first = cut(profile((2400, None), (3000, None)), pieces(*lengths))
    assert cut(profile((2400, None), (3000, None)), pieces(*lengths)) == first
    _solved.cache_clear()  # once more by searching
    assert cut(profile((2400, None), (3000, None)), pieces(*lengths)) == first


def test_list_that_is_not_proved_says_how_far_off_it_may_be() -> None:
    lengths = [float(length) for length in range(2390, 400, -13)]
    done = cut(profile((2400, "3.10"), (3000, "3.90")), pieces(*lengths), steps=0.0)
    assert not done.proved
    assert done.status == f"no more than {done.best - done.bound:.2f} above the least cost"


@pytest.mark.parametrize("length", [float("nan"), float("inf"), -5.0])
def test_length_that_is_no_length_is_refused_with_its_place(length: float) -> None:
    with pytest.raises(InputError, match="corner 1"):
        cut(profile((3000, None)), pieces(length))
