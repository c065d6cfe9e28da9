"""Colours that stand for layers: where one layer holds all that is drawn and says nothing, its lines in other colours
are told apart as layers are.

A plot of such a drawing gives each colour a pen of its own, so that whoever draws on one layer alone picks the colour
for what a line is: walls in one, wires, windows or furniture in others (common practice, no source). What each colour
draws is not taken from the colour: it is found out as for layers whose names say nothing."""

from __future__ import annotations

import msgspec
import numpy as np
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing, Loop
from takeoff.recognise.walls.layer_roles import guess
from takeoff.recognise.walls.layers_told_apart import on_layers
from takeoff.recognise.walls.line_styles import colour_word

Ints = NDArray[np.int64]

LEAST_MM = 5000.0
"""Less linework in a colour is a symbol (common practice, no source)."""
NEARLY_ALL = 0.9
"""A layer that holds so much of what layers that say nothing hold is the one that all is drawn on."""
MOST_COLOURS = 6
"""A layer with more colours is a picture, or something else has coloured it."""
OWN_LAYERS = -1


def coloured(drawing: Drawing) -> Drawing:
    """The drawing in mm with the lines of its one layer told apart by their colours, each on a layer called by both
    ("0 (blue)"); the same drawing where several layers are drawn on, a layer says which lines are walls, or all lines
    have one colour. Told apart again it stays as it is."""
    rows = guess(drawing)
    if not drawing.sources or any(row.role in ("wall", "column") for row in rows):
        return drawing
    work = drawing.lines
    colour = np.array([s.colour if s.role == "line" else OWN_LAYERS for s in drawing.sources])
    layer = np.concatenate([work.segment_layer, work.arc_layer])
    own = colour[np.concatenate([work.segment_source, work.arc_source])]
    drawn = np.concatenate([work.segments[:, :4], work.arcs[:, :4]])
    length = np.hypot(drawn[:, 2] - drawn[:, 0], drawn[:, 3] - drawn[:, 1])
    unsaid = np.array([row.role == "unknown" for row in rows] or [False])[layer]
    by_layer = np.bincount(layer[unsaid], length[unsaid], minlength=len(rows))
    if not by_layer.any() or by_layer.max() < NEARLY_ALL * by_layer.sum():
        return drawing
    one = int(by_layer.argmax())
    of_one = layer == one
    shades, number = np.unique(own[of_one], return_inverse=True)
    much = np.bincount(number, length[of_one]) >= LEAST_MM
    if not 1 < int(much.sum()) <= MOST_COLOURS:
        return drawing
    apart = [int(shade) for shade, enough in zip(shades, much, strict=True) if enough and shade != OWN_LAYERS]
    return _told_apart(drawing, one, apart, colour)


def _told_apart(drawing: Drawing, one: int, shades: list[int], colour: Ints) -> Drawing:
    """The drawing with lines of these colours on layers of their own."""
    layers, table = list(drawing.layers), dict[int, int]()
    taken = {layer.name.casefold() for layer in layers}
    for shade in shades:
        word = f"{drawing.layers[one].name} ({colour_word(shade)}"
        name = next(n for k in range(1, len(shades) + 2) if (n := _called(word, k)).casefold() not in taken)
        taken.add(name.casefold())
        table[shade] = len(layers)
        layers.append(msgspec.structs.replace(drawing.layers[one], name=name))
    work = drawing.lines
    lines = on_layers(
        work,
        _moved(work.segment_layer, one, colour[work.segment_source], table),
        _moved(work.arc_layer, one, colour[work.arc_source], table),
    )
    return msgspec.structs.replace(drawing, layers=tuple(layers), lines=lines, loops=_loops(drawing, one, table))


def _called(word: str, k: int) -> str:
    return f"{word})" if k == 1 else f"{word} {k})"


def _moved(layer: NDArray[np.int32], one: int, colour: Ints, table: dict[int, int]) -> NDArray[np.int32]:
    moved = layer.copy()
    for shade, new in table.items():
        moved[(layer == one) & (colour == shade)] = new
    return moved


def _loops(drawing: Drawing, one: int, table: dict[int, int]) -> tuple[Loop, ...]:
    new = {s.handle: table[s.colour] for s in drawing.sources if s.handle and not s.block and s.colour in table}
    return tuple(
        msgspec.structs.replace(loop, layer=new[loop.handle])
        if loop.layer == one and loop.role == "line" and loop.handle in new
        else loop
        for loop in drawing.loops
    )
