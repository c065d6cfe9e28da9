"""Windows that are drawn with a lighter pen over walls whose faces run on."""

from __future__ import annotations

import pytest
from drawn import Sheet

from takeoff.recognise import propose

LIGHT = "M-2"


def room(*lines: tuple[float, float, float, float]) -> list[tuple[str, str, int]]:
    """The openings found in a room of 4000 × 3000 in walls of 200, over whose upper one these lines are drawn."""
    sheet = Sheet().box(0, 0, 4000, 3000).box(-200, -200, 4200, 3200).word("Bed", 2000, 1500)
    for line in lines:
        sheet.line(*line, LIGHT)
    job, _ = propose(sheet.drawing())
    return [(o.kind, o.confidence, round(o.width_mm)) for o in job.storeys[0].openings]


JAMBS = ((1000.0, 3000.0, 1000.0, 3200.0), (2200.0, 3000.0, 2200.0, 3200.0))


def test_a_pane_between_two_jambs_is_a_window_to_be_checked() -> None:
    assert room(*JAMBS, (1000, 3100, 2200, 3100)) == [("window", "check", 1200)]


def test_two_panes_between_the_same_jambs_are_one_window() -> None:
    assert room(*JAMBS, (1000, 3080, 2200, 3080), (1000, 3120, 2200, 3120)) == [("window", "check", 1200)]


@pytest.mark.parametrize(
    "lines",
    [
        JAMBS,  # joints of blocks
        ((1000, 3100, 2200, 3100),),  # an axis
        (*JAMBS, (1000, 3100, 2000, 3100)),  # ends short of its jamb
        (*JAMBS, (1000, 3020, 2200, 3020)),  # the face drawn again
        ((1000, 3050, 1000, 3150), (2200, 3050, 2200, 3150), (1000, 3100, 2200, 3100)),  # a pipe with its ends
    ],
)
def test_other_lines_in_walls_are_no_windows(lines: tuple[tuple[float, float, float, float], ...]) -> None:
    assert room(*lines) == []


def test_lines_that_end_where_they_begin_once_ends_are_joined_are_none() -> None:
    """Where arcs are drawn, ends as near as noding joins them are made one: three millimetres at a bolt in a wall."""
    sheet = Sheet().box(0, 0, 4000, 3000).box(-200, -200, 4200, 3200).word("Bed", 2000, 1500)
    sheet.line(1450, 3100, 1453, 3100, LIGHT).ring((1450, 3100, 1.0), (1550, 3100, 1.0), layer=LIGHT)
    assert propose(sheet.drawing())[0].storeys[0].openings == ()
