"""Drawings full of desks and chairs, and a house that is drawn on a layer that is called for its windows."""

from __future__ import annotations

from drawn import Sheet, two_rooms, with_blocks
from test_drawn_rounds import areas

from takeoff.drawing.model import Drawing, Symbol
from takeoff.recognise import propose
from takeoff.recognise.presets import Settings
from takeoff.recognise.propose import prepared
from takeoff.recognise.walls.furniture import without_things

DESK, SIDE_MM, PARTS = "A$C10", 1600.0, 20


def with_desks(sheet: Sheet, columns: int, rows: int) -> Drawing:
    """The sheet, with blocks of desks beside it: squares of ``PARTS`` by ``PARTS`` crossing lines each."""
    plain = sheet.drawing()
    own, symbols = [], []
    step = SIDE_MM / PARTS
    for i in range(columns):
        for j in range(rows):
            x, y = 20_000.0 + 2000.0 * i, 2000.0 * j
            for k in range(PARTS + 1):
                own += [(x, y + k * step, x + SIDE_MM, y + k * step), (x + k * step, y, x + k * step, y + SIDE_MM)]
            box = (x, y, x + SIDE_MM, y + SIDE_MM)
            symbols.append(Symbol(DESK, x, y, 1.0, 1.0, 0.0, 0, box))
    return with_blocks(plain, own, symbols)


def on_layer(sheet: Sheet, layer: str) -> Sheet:
    sheet.segments = [(*s[:4], layer) for s in sheet.segments]
    sheet.loops = [(ring, layer) for ring, _ in sheet.loops]
    return sheet


def test_desks_that_are_placed_again_and_again_do_not_put_a_plan_beyond_counting() -> None:
    drawing = with_desks(on_layer(two_rooms(), "lines"), 16, 16)
    assert not prepared(drawing, Settings()).beyond
    assert [a for a in areas(propose(drawing)[0]) if a > 5.0] == [9.0, 12.0]


def test_things_are_small_and_placed_often_and_have_no_swing() -> None:
    few = with_desks(on_layer(two_rooms(), "lines"), 3, 1)
    ready = prepared(few, Settings())
    assert without_things(few, ready.layered) is ready.layered


def test_a_house_on_a_layer_for_windows_is_read_as_walls() -> None:
    sheet = two_rooms()
    for k in range(1, 4):
        sheet.segments += [(a, b + 6000 * k, c, d + 6000 * k, e) for a, b, c, d, e in two_rooms().segments]
    sheet = on_layer(sheet, "WINDOW").box(600, 600, 2400, 2400, layer="lines").box(4600, 600, 6400, 2400, layer="lines")
    job, _ = propose(sheet.drawing())
    assert areas(job) == [9.0] * 4 + [12.0] * 4
    assert [o.kind for s in job.storeys for o in s.openings] == ["door"] * 4
