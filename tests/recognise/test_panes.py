"""Windows on plans whose layers say nothing: panes between facing wall ends, and no others."""

from __future__ import annotations

import pytest
from test_pens import areas_m2, drawing, sides

from takeoff.plan.model import Opening
from takeoff.recognise import propose

GAP = (1000.0, 2200.0)
"""From and to, in x: a window 1200 wide in the lower wall, which is 300 thick."""


def plan(panes: tuple[float, ...]) -> list[tuple[float, float, float, float]]:
    """A room of 4000 × 3000; ``panes``: y of lines across the gap in its lower wall."""
    a, b = GAP
    lines = [
        (0.0, 0.0, a, 0.0),
        (b, 0.0, 4600.0, 0.0),
        (300.0, 300.0, a, 300.0),
        (b, 300.0, 4300.0, 300.0),
        (a, 0.0, a, 300.0),
        (b, 0.0, b, 300.0),
    ]
    lines += [(4600.0, 0.0, 4600.0, 3600.0), (4600.0, 3600.0, 0.0, 3600.0), (0.0, 3600.0, 0.0, 0.0)]
    lines += [(4300.0, 300.0, 4300.0, 3300.0), (4300.0, 3300.0, 300.0, 3300.0), (300.0, 3300.0, 300.0, 300.0)]
    return [*lines, *((a, y, b, y) for y in panes)]


def openings(panes: tuple[float, ...]) -> list[Opening]:
    job, _ = propose(drawing(((0.25, plan(panes)),)))
    return [o for storey in job.storeys for o in storey.openings]


def test_panes_between_wall_ends_are_a_window_and_the_room_ends_at_the_wall() -> None:
    (window,) = openings((90.0, 150.0, 210.0))
    assert (window.kind, window.confidence) == ("window", "sure")
    assert window.width_mm == pytest.approx(1200.0)
    assert areas_m2(drawing(((0.25, plan((90.0, 150.0, 210.0))),))) == pytest.approx([12.0])


def test_treads_between_strings_are_no_panes() -> None:
    treads = [(x, 1000.0, x, 1900.0) for x in range(1000, 3100, 280)]
    strings = [(1000.0, 1000.0, 2960.0, 1000.0), (1000.0, 1900.0, 2960.0, 1900.0)]
    job, _ = propose(drawing(((0.25, plan((90.0, 150.0, 210.0)) + treads + strings),)))
    assert [o.kind for o in job.storeys[0].openings] == ["window"]


def test_furniture_that_spans_nothing_is_no_window() -> None:
    lines = plan((90.0, 150.0, 210.0)) + sides(1500, 1500, 2900, 2100)
    job, _ = propose(drawing(((0.25, lines),)))
    assert [o.kind for o in job.storeys[0].openings] == ["window"]


def test_panes_between_walls_without_end_lines_are_a_window_too() -> None:
    ends = [(1000.0, 0.0, 1000.0, 300.0), (2200.0, 0.0, 2200.0, 300.0)]
    lines = [line for line in plan((90.0, 150.0, 210.0)) if line not in ends]
    (window,) = [o for s in propose(drawing(((0.25, lines),)))[0].storeys for o in s.openings]
    assert (window.kind, window.confidence, window.width_mm) == ("window", "sure", pytest.approx(1200.0))
    assert areas_m2(drawing(((0.25, lines),))) == pytest.approx([12.0])


def test_three_lines_of_a_shelf_in_a_room_are_no_window() -> None:
    shelf = [(1500.0, y, 2900.0, y) for y in (1500.0, 1650.0, 1800.0)]
    job, _ = propose(drawing(((0.25, plan((90.0, 150.0, 210.0)) + shelf),)))
    assert [o.kind for o in job.storeys[0].openings if o.confidence == "sure"] == ["window"]
