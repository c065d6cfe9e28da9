"""Where all is drawn on one layer, colours stand for layers."""

from __future__ import annotations

import msgspec
import numpy as np
from drawn import Sheet, two_rooms
from test_rooms_found import area_m2, rooms

from takeoff.drawing.model import Drawing, Linework
from takeoff.recognise import propose
from takeoff.recognise.walls.coloured_lines import coloured

RED = 0xFF0000


def on_one_layer(drawing: Drawing, shades: dict[str, int]) -> Drawing:
    """The drawing with all its lines on one layer, those of some layers in colours of their own."""
    work = drawing.lines
    sources = tuple(
        msgspec.structs.replace(source, colour=shades.get(layer.name, -1))
        for source, layer in zip(drawing.sources, drawing.layers, strict=True)
    )
    lines = Linework(
        work.segments,
        np.zeros_like(work.segment_layer),
        work.segment_source,
        work.arcs,
        np.zeros_like(work.arc_layer),
        work.arc_source,
    )
    layer = msgspec.structs.replace(drawing.layers[0], name="0")
    labels = tuple(msgspec.structs.replace(label, layer=0) for label in drawing.labels)
    return msgspec.structs.replace(drawing, layers=(layer,), lines=lines, labels=labels, loops=(), sources=sources)


def wired() -> Sheet:
    """Two rooms of 4000 × 3000 and 3000 × 3000 with wires that run 300 from both sides of their partition, past the
    rooms' names, through the outer walls."""
    sheet = two_rooms()
    sheet.words.clear()
    sheet.word("Kitchen", 3850, 500).word("Hall", 4250, 500)
    return sheet.line(3700, -300, 3700, 3300, "wires").line(4400, -300, 4400, 3300, "wires")


def test_lines_in_a_colour_of_their_own_are_told_from_walls() -> None:
    job, _ = propose(on_one_layer(wired().drawing(), {"wires": RED}))
    assert sorted((r.name, round(area_m2(r), 2)) for r in rooms(job)) == [("Hall", 9.0), ("Kitchen", 12.0)]


def test_lines_of_one_colour_stay_on_their_layer() -> None:
    drawing = on_one_layer(wired().drawing(), {})
    assert coloured(drawing) is drawing


def test_told_apart_again_a_drawing_stays_as_it_is() -> None:
    once = coloured(on_one_layer(wired().drawing(), {"wires": RED}))
    assert [layer.name for layer in once.layers] == ["0", "0 (red)"]
    assert coloured(once) is once


def test_where_a_layer_says_what_is_wall_colours_say_nothing() -> None:
    drawing = wired().drawing()
    sources = tuple(msgspec.structs.replace(s, colour=RED) for s in drawing.sources[:1]) + drawing.sources[1:]
    drawing = msgspec.structs.replace(drawing, sources=sources)
    assert coloured(drawing) is drawing
