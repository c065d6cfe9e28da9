"""A frame round a word on a page is no wall, a cupboard with a name in it is no frame."""

from __future__ import annotations

import msgspec
from drawn import Sheet

from takeoff.drawing.model import Claim, Drawing
from takeoff.recognise import propose
from takeoff.recognise.scale import decide_scale
from takeoff.recognise.scale.word_boxes import with_boxes_at_words

PEN = "black 0.25 mm"
A3 = Claim("sheet", "page 1", values=(("width_mm", 420.0), ("height_mm", 297.0)))


def room(deep: float) -> Drawing:
    """A room of 40 by 30 mm on paper with its name, and its area in a box ``deep`` mm deep; letters are 1.5 mm high."""
    sheet = Sheet().box(97.0, 97.0, 143.0, 133.0, layer=PEN).box(100.0, 100.0, 140.0, 130.0, layer=PEN)
    sheet.box(115.0, 108.0 - deep / 2.0, 125.0, 108.0 + deep / 2.0, layer=PEN)
    sheet.word("Office", 120.0, 120.0).word("12.0 m²", 120.0, 108.0)
    plain = sheet.drawing()
    labels = tuple(msgspec.structs.replace(v, height=1.5) for v in plain.labels)
    return msgspec.structs.replace(plain, claims=(A3,), labels=labels)


def test_the_area_in_a_frame_is_the_rooms_own() -> None:
    """40 × 30 mm at 1:100 are 12.0 m²."""
    job, _ = propose(decide_scale(room(2.0), 100.0)[0])
    (found,) = job.storeys[0].rooms
    assert (found.name, found.printed_area_m2) == ("Office", 12.0)


def test_a_box_three_letters_deep_keeps_its_layer() -> None:
    drawing = room(4.5)
    assert with_boxes_at_words(drawing) is drawing
    moved = with_boxes_at_words(room(2.0))
    assert [moved.layers[k].name for k in moved.lines.segment_layer] == [PEN] * 8 + ["A-ANNO-TEXT"] * 4


def test_a_drawing_that_is_no_page_keeps_its_boxes() -> None:
    drawing = msgspec.structs.replace(room(2.0), claims=())
    assert with_boxes_at_words(drawing) is drawing
