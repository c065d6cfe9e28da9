"""Boxes of the sheet that are no rooms: those that its scale or its title block is written in."""

from __future__ import annotations

import numpy as np
import shapely

from takeoff.drawing.model import Drawing
from takeoff.recognise.names.title_block import title_block
from takeoff.recognise.scale.words import scales_in
from takeoff.recognise.walls.reading import Reading
from takeoff.recognise.walls.spaces import WALLED, Space


def without_frames(reading: Reading, drawing: Drawing) -> Reading:
    """The reading without spaces that hold words of the title block or a written scale and are not
    walled in: no room is written on so."""
    rows = title_block(drawing).rows
    said = [
        label
        for k, label in enumerate(drawing.labels)
        if k in rows or any(scale.named for scale in scales_in(label.text))
    ]
    open_spaces = [k for k, s in enumerate(reading.spaces) if s.support < WALLED and not _spoken(reading, s)]
    if not said or not open_spaces:
        return reading
    x, y = reading.lines.origin
    points = shapely.points(np.array([(label.x - x, label.y - y) for label in said]))
    tree = shapely.STRtree(points)
    gone = {k for k in open_spaces if len(tree.query(reading.spaces[k].polygon, predicate="contains"))}
    return reading._replace(spaces=[s for k, s in enumerate(reading.spaces) if k not in gone])


def _spoken(reading: Reading, space: Space) -> bool:
    return any(reading.words[w].words.kind == "area" for w in space.words)
