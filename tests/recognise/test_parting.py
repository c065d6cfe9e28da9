"""Walls of one layer drawn in several ways are told apart, asked about once, and counted as answered."""

from __future__ import annotations

import msgspec
import pytest
from drawn import Sheet, two_rooms
from test_rooms_found import codes, rooms

from takeoff.drawing.model import Drawing, Layer
from takeoff.errors import InputError
from takeoff.recognise import Settings, propose
from takeoff.recognise.walls.layer_roles import guess, role_named
from takeoff.recognise.walls.line_styles import colour_word, parted, parts, said_of

YELLOW = 0xFFFF00


def with_partition(linetype: str = "CONTINUOUS", colour: int = -1) -> Drawing:
    """Two rooms on one layer; a partition of 100 parts the left one at x = 2000, drawn otherwise."""
    sheet: Sheet = two_rooms().box(2000, 0, 2100, 3000, layer="other")
    drawing = sheet.drawing()
    other = next(k for k, layer in enumerate(drawing.layers) if layer.name == "other")
    own = msgspec.structs.replace(drawing.sources[other], linetype=linetype, colour=colour)
    wall = next(k for k, layer in enumerate(drawing.layers) if layer.name == "A-WALL")
    lines = drawing.lines
    layer = lines.segment_layer.copy()
    layer[layer == other] = wall
    moved = type(lines)(lines.segments, layer, lines.segment_source, lines.arcs, lines.arc_layer, lines.arc_source)
    return msgspec.structs.replace(
        drawing,
        lines=moved,
        sources=(*drawing.sources[:other], own, *drawing.sources[other + 1 :]),
        loops=tuple(v for v in drawing.loops if v.layer != other),
    )


def names(drawing: Drawing) -> list[str]:
    return [layer.name for layer in drawing.layers]


@pytest.mark.parametrize(
    ("linetype", "colour", "words"),
    [("DASHED", -1, "DASHED"), ("ABBRUCH_KREUZ", -1, "ABBRUCH_KREUZ"), ("CONTINUOUS", YELLOW, "yellow")],
)
def test_lines_drawn_otherwise_get_a_layer_of_their_own(linetype: str, colour: int, words: str) -> None:
    drawing = parted(with_partition(linetype, colour))
    assert f"A-WALL ({words})" in names(drawing)
    assert parted(drawing) is drawing
    if words != "ABBRUCH_KREUZ":
        (part,) = parts(drawing, guess(drawing))
        assert (part.layer, part.way.words) == (f"A-WALL ({words})", words)
        assert part.length_mm == pytest.approx(2 * (3000 + 100))


def test_a_line_type_called_demolition_is_demolished_without_asking() -> None:
    drawing = parted(with_partition("ABBRUCH"))
    job, found = propose(drawing, Settings())
    assert sorted(r.name for r in rooms(job)) == ["Hall", "Kitchen"]
    assert "demolished-left-out" in codes(found)


def test_yellow_walls_bound_rooms_until_it_is_said_that_they_come_down() -> None:
    drawing = parted(with_partition(colour=YELLOW))
    job, found = propose(drawing, Settings())
    assert len(rooms(job)) == 3
    assert codes(found).count("walls-drawn-otherwise") == 1
    roles = said_of((("yellow", "demolished"),), drawing, parts(drawing, guess(drawing)))
    job, found = propose(drawing, Settings(layer_roles=roles))
    assert sorted(r.name for r in rooms(job)) == ["Hall", "Kitchen"]
    assert "walls-drawn-otherwise" not in codes(found)


def test_dashed_walls_stand_once_it_is_said() -> None:
    drawing = parted(with_partition("DASHED"))
    job, found = propose(drawing, Settings())
    assert len(rooms(job)) == 2
    assert codes(found).count("dashed-walls-left-out") == 1
    roles = said_of((("Dashed", "walls"),), drawing, parts(drawing, guess(drawing)))
    assert roles == (("A-WALL (DASHED)", "wall"),)
    job, found = propose(drawing, Settings(layer_roles=roles))
    assert len(rooms(job)) == 3
    assert "dashed-walls-left-out" not in codes(found)


def test_one_answer_counts_for_every_layer_drawn_that_way() -> None:
    sheet = two_rooms()
    sheet.linetypes = {"A-WALL-LOW": "DASHED", "A-WALL-OLD": "DASHED"}
    sheet.line(2000, 0, 2000, 3000, "A-WALL-LOW").line(5500, 0, 5500, 3000, "A-WALL-OLD")
    drawing = parted(sheet.drawing())
    roles = said_of((("DASHED", "demolished"),), drawing, parts(drawing, guess(drawing)))
    assert roles == (("A-WALL-LOW", "demolished"), ("A-WALL-OLD", "demolished"))
    assert codes(propose(drawing, Settings(layer_roles=roles))[1]) == []


def test_walls_in_their_layers_own_colour_are_not_asked_about() -> None:
    drawing = with_partition()
    assert parted(drawing) is drawing
    assert parts(drawing, guess(drawing)) == ()


def test_a_yellow_layer_among_other_walls_is_asked_about() -> None:
    drawing = two_rooms().box(2000, 0, 2100, 3000, layer="A-WALL-2").drawing()
    layers = tuple(Layer(v.name, colour=2 if v.name == "A-WALL-2" else 7) for v in drawing.layers)
    drawing = msgspec.structs.replace(drawing, layers=layers)
    assert [p.layer for p in parts(drawing, guess(drawing))] == ["A-WALL-2"]
    every = msgspec.structs.replace(drawing, layers=tuple(Layer(v.name, colour=2) for v in drawing.layers))
    assert parts(every, guess(every)) == ()


def test_names_that_the_drawing_lacks_and_roles_that_are_none_are_refused() -> None:
    drawing = two_rooms().drawing()
    with pytest.raises(InputError, match="has no layer, line type or colour of walls called “WALLS”"):
        said_of((("WALLS", "wall"),), drawing, ())
    with pytest.raises(InputError, match="“cupboard” is not a layer use"):
        role_named("cupboard")
    assert (role_named(" Windows "), role_named("unused"), role_named("wall")) == ("glazing", "frame", "wall")


@pytest.mark.parametrize(
    ("rgb", "word"),
    [
        (YELLOW, "yellow"),
        (0xFF0000, "red"),
        (0xFF8000, "orange"),
        (0x0000FF, "blue"),
        (0x202020, "black"),
        (0xFFFFFF, "white"),
    ],
)
def test_colours_have_plain_words(rgb: int, word: str) -> None:
    assert colour_word(rgb) == word


def test_dashed_pairs_are_asked_about_where_no_layer_says_that_it_has_walls() -> None:
    sheet = two_rooms()
    sheet.linetypes = {"B": "DASHED", "C": "DASHED"}
    sheet.box(2000, 0, 2100, 3000, layer="B").line(0, 4000, 7000, 4500, "C")
    plain = sheet.drawing()
    layers = tuple(
        msgspec.structs.replace(v, name={"A-WALL": "1", "A-DOOR": "2"}.get(v.name, v.name)) for v in plain.layers
    )
    drawing = parted(msgspec.structs.replace(plain, layers=layers))
    assert [p.layer for p in parts(drawing, guess(drawing))] == ["B"]
    found = propose(drawing, Settings())[1]
    assert codes(found).count("dashed-walls-left-out") == 1
