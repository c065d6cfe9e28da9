"""A page that has everything on one layer: its pens tell what is wall."""

from __future__ import annotations

from drawn import Sheet, two_rooms
from msgspec.structs import replace
from test_rooms_found import area_m2, rooms

from takeoff.drawing.model import Drawing, Layer, LineSource, Linework
from takeoff.recognise import propose
from takeoff.recognise.walls.pens_apart import pens_apart


def on_one_layer(sheet: Sheet, pens: dict[str, float]) -> Drawing:
    """The sheet as a page has it that was laid under another: each layer of it is a pen, so wide in mm on paper."""
    plain = sheet.drawing()
    names = [layer.name for layer in plain.layers]
    sources = tuple(
        LineSource("PATH", pen=f"black {pens[n]:.2f} mm", weight_mm=pens[n]) if n in pens else s
        for n, s in zip(names, plain.sources, strict=True)
    )
    work = plain.lines
    layer = work.segment_layer * 0
    lines = Linework(work.segments, layer, work.segment_source, work.arcs, work.arc_layer * 0, work.arc_source)
    labels = tuple(replace(label, layer=1) for label in plain.labels)
    return replace(plain, layers=(Layer("Layer 1"), Layer("text")), lines=lines, sources=sources, labels=labels)


def furnished() -> Sheet:
    """Walls, and in heavier ink a plant in the kitchen whose rays run from wall to wall."""
    sheet = two_rooms()
    for k in range(7):
        sheet.line(500 * k + 200, 100, 3600 - 500 * k, 2900, "plant")
        sheet.line(500 * k + 250, 100, 3650 - 500 * k, 2900, "plant")
    return sheet


def test_pens_of_a_layer_that_says_nothing_get_layers_of_their_own() -> None:
    drawing = pens_apart(on_one_layer(furnished(), {"A-WALL": 0.2, "A-DOOR": 0.1, "plant": 0.3}))
    # 14 rays of some 3 to 4 m are more than the 43 m of walls have: theirs is the layer's own pen.
    assert [(layer.name, layer.weight_mm) for layer in drawing.layers if layer.name.startswith("Layer")] == [
        ("Layer 1", 0.3),
        ("Layer 1 (black 0.20 mm)", 0.2),
    ]
    assert pens_apart(drawing) == drawing


def test_walls_in_a_pen_that_is_not_the_heaviest_are_told() -> None:
    drawing = pens_apart(on_one_layer(furnished(), {"A-WALL": 0.2, "A-DOOR": 0.1, "plant": 0.3}))
    assert {r.name: round(area_m2(r), 2) for r in rooms(propose(drawing)[0])} == {"Kitchen": 12.0, "Hall": 9.0}


def test_a_drawing_that_knows_no_pens_stays_as_it_is() -> None:
    drawing = two_rooms().drawing()
    assert pens_apart(drawing) is drawing
