"""Lines of sections, axes, things placed as blocks and crossed cupboards, drawn over plans whose layers say nothing."""

from __future__ import annotations

import numpy as np
import pytest
from drawn import Sheet, two_rooms, with_blocks
from test_beyond_things import on_layer
from test_drawn_rounds import areas

from takeoff.drawing.model import Drawing, Symbol
from takeoff.recognise import propose
from takeoff.recognise.presets import Settings
from takeoff.recognise.propose import prepared
from takeoff.recognise.walls.opening_evidence import swings

OVER = {
    "a line of a section": [(-2000, 2500, 9000, 2500)],
    "one whose ends turn off": [(-2000, 2500, 9000, 2500), (-2000, 2500, -2000, 1700), (9000, 2500, 9000, 1700)],
    "a line from over one wall to within a room": [(2000, -1500, 2000, 2000)],
}


def on_one_layer() -> Sheet:
    return on_layer(two_rooms(), "lines")


def unnamed() -> Sheet:
    """The same without words, which would show that what a line parts is one room."""
    sheet = on_one_layer()
    sheet.words = []
    return sheet


def over_walls(drawing: Drawing) -> int:
    """How many lines are taken for axes."""
    return int((prepared(drawing, Settings()).layered.role == "grid").sum())


@pytest.mark.parametrize("over", OVER)
def test_a_line_that_runs_through_walls_by_itself_bounds_no_room(over: str) -> None:
    sheet = unnamed()
    for line in OVER[over]:
        sheet.line(*line, layer="lines")
    job = propose(sheet.drawing())[0]
    assert areas(job) == [9.0, 12.0]
    assert not any("line across" in said for s in job.storeys for r in s.rooms for said in r.evidence)


def test_both_faces_of_a_wall_may_run_through_others() -> None:
    sheet = Sheet()
    for at in (0, 200, 4000, 4100, 8000, 8200):
        sheet.line(-200, at, 8400, at, "lines").line(at, -200, at, 8400, "lines")
    assert over_walls(sheet.drawing()) == 0


def test_the_side_of_an_outline_runs_through_walls_and_stays() -> None:
    """A fence round the house that meets walls of it: its sides end on one another."""
    sheet = on_one_layer()
    for x in (1000, 1200, 5000, 5200):
        sheet.line(x, 3300, x, 6000, "lines")
    before = over_walls(sheet.drawing())
    sheet.box(-3000, -3000, 9000, 5000, layer="lines")
    assert over_walls(sheet.drawing()) == before


def test_a_grid_goes_on_where_there_are_no_walls() -> None:
    """Axes at every metre, three of which run through walls: those beside the house end in line with them."""
    sheet = on_one_layer()
    for x in range(500, 12_000, 1000):
        sheet.line(x, -2000, x, 6000, "lines")
    assert over_walls(sheet.drawing()) == 12
    assert areas(propose(sheet.drawing())[0]) == [9.0, 12.0]


def placed(sheet: Sheet, x: float, y: float, width: float, depth: float, parts: int) -> Drawing:
    """The sheet, with a block of that size and ``parts`` lines each way."""
    plain = sheet.drawing()
    own = [(x + width * k / parts, y, x + width * k / parts, y + depth) for k in range(parts + 1)]
    own += [(x, y + depth * k / parts, x + width, y + depth * k / parts) for k in range(parts + 1)]
    return with_blocks(plain, own, [Symbol("B7", x, y, 1.0, 1.0, 0.0, 0, (x, y, x + width, y + depth))])


def test_a_thing_placed_as_a_block_against_a_wall_bounds_no_room() -> None:
    drawing = placed(unnamed(), 0.0, 1200.0, 2000.0, 1800.0, 8)
    assert int((prepared(drawing, Settings()).layered.role == "furniture").sum()) == 18
    assert areas(propose(drawing)[0]) == [9.0, 12.0]


@pytest.mark.parametrize(("width", "depth", "parts"), [(1500.0, 300.0, 8), (1500.0, 1500.0, 2), (4000.0, 1800.0, 8)])
def test_what_is_narrow_or_plain_or_long_may_be_a_window_a_column_or_a_room(
    width: float, depth: float, parts: int
) -> None:
    ready = prepared(placed(on_one_layer(), 0.0, 1200.0, width, depth, parts), Settings())
    assert not (ready.layered.role == "furniture").any()


def test_the_diagonals_of_a_slim_cupboard_are_no_walls() -> None:
    """A cupboard of 3.5 × 0.5 m along a wall, crossed: the room goes on below it, and is to be checked."""
    sheet = on_one_layer()
    sheet.line(300, 2500, 3800, 2500, "lines").line(300, 2500, 300, 3000, "lines").line(3800, 2500, 3800, 3000, "lines")
    sheet.line(300, 2500, 3800, 3000, "lines").line(300, 3000, 3800, 2500, "lines")
    job = propose(sheet.drawing())[0]
    assert areas(job) == [9.0, 12.0]
    assert [r.confidence for s in job.storeys for r in s.rooms if r.name == "Kitchen"] == ["check"]


def test_strokes_of_hatching_drawn_line_by_line_are_no_walls() -> None:
    """Strokes at 45° every 300 between the faces of the outer wall below and of the partition; one ends at a corner of
    them, as a splayed jamb would."""
    sheet = unnamed()
    for k in range(20):
        sheet.line(200 + 300 * k, -300, 500 + 300 * k, 0, "lines")
    for k in range(3):
        sheet.line(4000, 150 + 300 * k, 4100, 250 + 300 * k, "lines")
    roles = prepared(sheet.drawing(), Settings()).layered.role
    assert int((roles == "hatch").sum()) == 22
    assert areas(propose(sheet.drawing())[0]) == [9.0, 12.0]


def test_splayed_jambs_are_no_strokes() -> None:
    """Ten windows whose jambs run at 45° from face to face, where these end."""
    sheet = Sheet()
    for k in range(10):
        x = 3000 * k
        sheet.ring((x, 0), (x + 2000, 0), (x + 1700, 300), (x + 300, 300), layer="lines")
    assert (prepared(sheet.drawing(), Settings()).layered.role == "unknown").all()


def test_the_leaf_of_a_door_has_two_faces_and_its_threshold_one() -> None:
    """A leaf of 40 that stands open, and an arrow of six strokes on the threshold."""
    sheet = Sheet(arcs=[(4000, 1900, 3100, 1000, 0.41421356237, "lines")])
    sheet.box(3100, 1000, 4000, 1040, layer="lines").line(4000, 1000, 4000, 1900, "lines")
    for y in (1440, 1445, 1450, 1455, 1460, 1465):
        sheet.line(3960, y, 4010, 1450, "lines")
    lines = prepared(sheet.drawing(), Settings()).lines
    leaf = lines.xy[swings(lines)[1] & (lines.arc < 0)]
    assert np.ptp(leaf[:, [0, 2]]) == 900.0
    assert np.ptp(leaf[:, [1, 3]]) == 40.0
