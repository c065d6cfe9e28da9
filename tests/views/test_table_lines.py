"""The table of figures adds up: rooms to storeys, storeys to the job, on a calculator."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import msgspec
import pytest

from takeoff.measure import Memory
from takeoff.plan.model import Job
from takeoff.services.opened.opening import open_file
from takeoff.views.board import State, consider, stand
from takeoff.views.table_lines import ITEMS, Sorting, figure_lines, order_sentence, total_figures

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"


@pytest.fixture(scope="module")
def state() -> State:
    return stand(open_file(SAMPLE).job, Memory())


def test_storeys_add_up_to_the_whole_job(state) -> None:
    lines = figure_lines(state)
    storeys = [line.figures for line in lines if line.kind == "storey"]
    assert len(storeys) == len(state.job.storeys)
    assert tuple(sum(column) for column in zip(*storeys, strict=True)) == total_figures(state)


def test_rooms_add_up_to_their_storey_as_often_as_they_stand(state) -> None:
    doubled = msgspec.structs.replace(
        state.job, storeys=tuple(msgspec.structs.replace(s, times=2) for s in state.job.storeys)
    )
    again = stand(doubled, Memory())
    for before, after in zip(figure_lines(state), figure_lines(again), strict=True):
        times = 2 if before.kind == "storey" else 1
        assert after.figures == tuple(times * figure for figure in before.figures)
    assert figure_lines(again)[1].name == "G1 Hall × 2"


def test_rooms_are_sorted_within_their_storey(state) -> None:
    walls = 1 + [item.key for item in ITEMS].index("wall_net_m2")
    lines = figure_lines(state, Sorting(walls, falling=True))
    assert [line.kind for line in lines] == [line.kind for line in figure_lines(state)]
    ground = [line.figures[walls - 1] for line in lines[1:6]]
    assert ground == sorted(ground, reverse=True)
    by_name = figure_lines(state, Sorting(0))
    assert [line.name for line in by_name[1:6]] == sorted(line.name for line in by_name[1:6])


def test_nothing_of_an_item_is_a_dash(state) -> None:
    store = next(line for line in figure_lines(state) if line.id == "G4")
    assert store.figures[0] == Decimal("0.00")
    assert store.cells[1] == "–"


def test_job_without_rooms_has_no_line() -> None:
    assert figure_lines(stand(Job(), Memory())) == ()


def test_order_is_said_in_a_sentence(state) -> None:
    assert order_sentence(None) == "The order is being worked out."
    assert "6 packs of Demo frame sealant" in order_sentence(consider(state))
    nothing = consider(stand(Job(), Memory()))
    assert order_sentence(nothing) == "Nothing to order: nothing is coated yet."
