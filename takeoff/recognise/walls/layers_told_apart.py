"""What tells lines of one layer apart by how they are drawn has in common: how much a layer has of each way, and the
linework with lines moved to other layers."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing, Linework

Ints = NDArray[np.int64]


def lengths_by_way(drawing: Drawing, of_source: Ints, ways: int) -> NDArray[np.float64]:
    """(layers, ways): how many mm of segments and chords each layer has in each way; ``of_source`` gives the way of
    each source, -1 for the last."""
    made = np.zeros((len(drawing.layers), ways))
    work = drawing.lines
    for rows, layer, source in (
        (work.segments, work.segment_layer, work.segment_source),
        (work.arcs, work.arc_layer, work.arc_source),
    ):
        if len(rows):
            np.add.at(made, (layer, of_source[source]), np.hypot(*(rows[:, 2:4] - rows[:, :2]).T))
    return made


def on_layers(work: Linework, segment_layer: NDArray[np.int32], arc_layer: NDArray[np.int32]) -> Linework:
    """The same lines on these layers."""
    return Linework(work.segments, segment_layer, work.segment_source, work.arcs, arc_layer, work.arc_source)
