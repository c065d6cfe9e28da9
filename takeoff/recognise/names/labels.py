"""What is written on a plan, line by line, with its place near the origin."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing
from takeoff.recognise.names.words import Words, read
from takeoff.recognise.walls.layers import by_name

Floats = NDArray[np.float64]

NAMING = ("name", "area", "number")
"""Kinds of words that show a room where they stand."""
ROOM_WORDS = (*NAMING, "height")
"""Kinds of words that belong to the room they stand in."""
NOT_ROOMS = ("dimension", "grid", "frame", "service", "site", "door", "glazing", "stair")
"""Text on layers of these roles does not name rooms."""


class Placed(NamedTuple):
    """Words at a place in mm near the origin, with their height; ``label`` is its row in the
    drawing."""

    words: Words
    x: float
    y: float
    label: int
    height: float


def placed(drawing: Drawing, origin: tuple[float, float]) -> list[Placed]:
    """Every line of text with what it says; text on layers that are off is left out, unless all
    of it is."""
    roles = [by_name(layer.name)[0] for layer in drawing.layers]
    shown = [layer.state == "on" for layer in drawing.layers]
    found: list[Placed] = []
    for row, label in enumerate(drawing.labels):
        if not shown[label.layer]:
            continue
        for words in read(label.text, label.tag):
            if roles[label.layer] in NOT_ROOMS and words.kind in ("name", "number"):
                words = Words("note", words.text)
            found.append(Placed(words, label.x - origin[0], label.y - origin[1], row, label.height))
    return found


def of_rooms(words: list[Placed]) -> list[Placed]:
    """Those that speak of a room."""
    return [w for w in words if w.words.kind in ROOM_WORDS]


def places(words: list[Placed]) -> Floats:
    """(n, 2) mm"""
    return np.array([(w.x, w.y) for w in words], float).reshape(-1, 2)
