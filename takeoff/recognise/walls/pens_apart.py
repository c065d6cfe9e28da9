"""Layers of a page whose names say nothing, told apart by the pens that draw on them.

A page that went through a program for pictures, or that was laid under another drawing, has everything on one layer
("Layer 1", "PDF_Geometry"). How heavy its lines are, and what is filled in which ink, are then all that tells walls
from furniture, as on a page without layers."""

from __future__ import annotations

import re

import msgspec
import numpy as np
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing
from takeoff.recognise.walls.layer_roles import guess
from takeoff.recognise.walls.layers_told_apart import lengths_by_way, on_layers

Ints = NDArray[np.int64]

_OF_PEN = re.compile(r" \((?:solid .+|.+ hairline|.+ \d+\.\d\d mm)(?: #[0-9a-f]{6})?\)(?= \(|$)")
LEAST_MM = 6000.0
"""Less drawn with a pen, in mm of the building, is a symbol and not told apart."""


def pens_apart(drawing: Drawing) -> Drawing:
    """The drawing in mm, with the pens of layers that say nothing on layers of their own, called by their layer and
    their pen ("Layer 1 (black 0.35 mm)"); the pen that draws most stays. Told apart again it is the same, as are
    drawings that know no pens."""
    names = sorted({s.pen for s in drawing.sources if s.pen})
    if not names:
        return drawing
    number = {name: k for k, name in enumerate(names)}
    of_source = np.array([number.get(s.pen, -1) for s in drawing.sources], np.int64)
    weight = {s.pen: s.weight_mm for s in drawing.sources}
    lengths = lengths_by_way(drawing, of_source, len(names) + 1)[:, : len(names)]
    layers = list(drawing.layers)
    taken = {layer.name.casefold() for layer in layers}
    table = np.arange(len(layers))[:, None].repeat(len(names) + 1, axis=1)
    for k, row in enumerate(guess(drawing)):
        many = np.flatnonzero(lengths[k] >= LEAST_MM)
        if row.role != "unknown" or len(many) < 2:
            continue
        most = int(lengths[k].argmax())
        layers[k] = msgspec.structs.replace(layers[k], weight_mm=weight[names[most]])
        for pen in many[many != most].tolist():
            name = f"{drawing.layers[k].name} ({names[pen]})"
            if name.casefold() not in taken:
                table[k, pen] = len(layers)
                layers.append(msgspec.structs.replace(drawing.layers[k], name=name, weight_mm=weight[names[pen]]))
    if len(layers) == len(drawing.layers):
        return drawing
    work = drawing.lines
    lines = on_layers(
        work,
        table[work.segment_layer, of_source[work.segment_source]].astype(np.int32),
        table[work.arc_layer, of_source[work.arc_source]].astype(np.int32),
    )
    return msgspec.structs.replace(drawing, layers=tuple(layers), lines=lines)


def of_pen(name: str) -> bool:
    """Whether a layer's name is one of those that are made here."""
    return bool(_OF_PEN.search(name))
