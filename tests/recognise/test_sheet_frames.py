"""A page's frame, its margin and its title block are told from the plan that stands free within."""

from __future__ import annotations

import msgspec
import numpy as np
from drawn import Sheet

from takeoff.drawing.model import Claim, Drawing, LineSource
from takeoff.recognise import propose
from takeoff.recognise.scale import decide_scale
from takeoff.recognise.scale.sheet_frames import LAYER, with_frame_apart

PEN = "black 0.25 mm"
A3 = Claim("sheet", "page 1", values=(("width_mm", 420.0), ("height_mm", 297.0)))


def house(sheet: Sheet, x: float, y: float, wide: float, deep: float, wall: float = 3.0) -> None:
    """Two rooms, mm on paper, with a wall of ``wall`` round them and one between; no doors."""
    half = (wide - 3.0 * wall) / 2.0
    sheet.box(x, y, x + wide, y + deep, layer=PEN)
    for left in (x + wall, x + 2.0 * wall + half):
        sheet.box(left, y + wall, left + half, y + deep - wall, layer=PEN)


def framed() -> Sheet:
    """A frame at 20 and 10 mm, a mark in its margin, a title block of four rows in a corner of it, one parted."""
    sheet = Sheet().box(0.0, 0.0, 420.0, 297.0, layer=PEN).box(20.0, 10.0, 410.0, 287.0, layer=PEN)
    sheet.line(210.0, 287.0, 210.0, 292.0, PEN)
    sheet.line(300.0, 10.0, 300.0, 90.0, PEN).line(300.0, 90.0, 410.0, 90.0, PEN)
    for row in (30.0, 50.0, 70.0):
        sheet.line(300.0, row, 410.0, row, PEN)
    sheet.line(355.0, 10.0, 355.0, 30.0, PEN)
    sheet.word("Bedroom block", 350.0, 60.0).word("Kitchen Ltd", 350.0, 80.0).word("A-101", 380.0, 20.0)
    return sheet


def page(sheet: Sheet) -> Drawing:
    """The sheet as a page, with letters of 2.5 mm."""
    plain = sheet.drawing()
    labels = tuple(msgspec.structs.replace(v, height=2.5) for v in plain.labels)
    return msgspec.structs.replace(plain, claims=(A3,), labels=labels, unit="mm on paper")


def test_cells_of_a_title_block_are_no_rooms() -> None:
    sheet = framed()
    house(sheet, 80.0, 120.0, 120.0, 60.0)
    sheet.word("Living", 110.0, 150.0).word("Office", 170.0, 150.0)
    job, _ = propose(decide_scale(page(sheet), 100.0)[0])
    assert sorted(room.name for room in job.storeys[0].rooms) == ["Living", "Office"]


def test_lines_and_words_of_the_frame_stand_on_a_layer_of_their_own() -> None:
    sheet = framed()
    before = len(sheet.segments)
    house(sheet, 80.0, 120.0, 120.0, 60.0)
    sheet.word("Living", 110.0, 150.0)
    told = with_frame_apart(page(sheet))
    own = [k for k, layer in enumerate(told.layers) if layer.name == LAYER]
    assert np.isin(told.lines.segment_layer, own).tolist() == [True] * before + [False] * (len(sheet.segments) - before)
    assert [v.text for v in told.labels if v.layer in own] == ["Bedroom block", "Kitchen Ltd", "A-101"]


def test_a_frame_may_be_drawn_as_filled_strips() -> None:
    # Thick lines are written as what they cover: four strips 1 mm wide.
    sheet = Sheet()
    for x0, y0, x1, y1 in ((20, 10, 21, 287), (409, 10, 410, 287), (20, 10, 410, 11), (20, 286, 410, 287)):
        sheet.box(x0, y0, x1, y1, layer="filled")
    house(sheet, 80.0, 120.0, 120.0, 60.0)
    plain = page(sheet)
    sources = (LineSource("PATH", role="solid"), *plain.sources[1:])
    told = with_frame_apart(msgspec.structs.replace(plain, sources=sources))
    frame = np.arange(16)
    assert [told.layers[k].name == LAYER for k in told.lines.segment_layer] == [k in frame for k in range(16 + 12)]


def test_a_house_that_fills_its_page_is_no_frame() -> None:
    sheet = Sheet()
    house(sheet, 10.0, 10.0, 400.0, 277.0)
    drawing = page(sheet)
    assert with_frame_apart(drawing) is drawing


def test_a_room_in_the_middle_that_is_joined_to_the_frame_stays_a_room() -> None:
    """As where a boundary is drawn from the house to the edge: 20 to 200 and 200 to 410 mm."""
    sheet = framed()
    house(sheet, 150.0, 100.0, 120.0, 100.0)
    for y in (100.0, 200.0):
        sheet.line(20.0, y, 150.0, y, PEN)
    told = with_frame_apart(page(sheet))
    walls = [
        k
        for k, s in enumerate(sheet.segments)
        if min(s[0], s[2]) >= 150.0 and max(s[0], s[2]) <= 270.0 and s[1] >= 100.0
    ]
    assert told.layers[told.lines.segment_layer[walls].max()].name == PEN


def test_a_drawing_that_is_no_page_stays_as_it_is() -> None:
    drawing = framed().drawing()
    assert with_frame_apart(drawing) is drawing
