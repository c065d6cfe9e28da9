"""How large what a drawing shows would be: what a user needs to tell which unit or scale is right."""

from __future__ import annotations

from statistics import median

import msgspec
import numpy as np

from takeoff.drawing.model import Drawing
from takeoff.recognise.units.evidence import robust_box

QUARTER_DEG = (80.0, 100.0)
"""Door swings are drawn as quarter circles."""
ALIKE = 1.12
"""Radii within this ratio of the commonest one are doors of one width."""
MOST_ARCS = 2000


class Extent(msgspec.Struct, frozen=True):
    """A drawing's width and height, and the radius of most quarter circles (None without any), in mm."""

    wide_mm: float
    high_mm: float
    swing_mm: float | None


def extent(drawing: Drawing) -> Extent:
    """What can be told of a drawing in mm at a glance; one without lines is 0 wide and high."""
    wide, high = robust_box(drawing)
    return Extent(wide, high, _door(drawing))


def _door(drawing: Drawing) -> float | None:
    """The middle radius of the largest group of quarter circles of nearly one size."""
    arcs = drawing.lines.arcs
    bulge = np.abs(arcs[:, 4])
    sweep = np.degrees(4.0 * np.arctan(bulge))
    quarter = (sweep > QUARTER_DEG[0]) & (sweep < QUARTER_DEG[1])
    arcs, bulge = arcs[quarter][:MOST_ARCS], bulge[quarter][:MOST_ARCS]
    if not len(arcs):
        return None
    chord = np.hypot(arcs[:, 2] - arcs[:, 0], arcs[:, 3] - arcs[:, 1])
    radii = np.sort(chord * (1.0 + bulge * bulge) / (4.0 * bulge))
    ends = np.searchsorted(radii, radii * ALIKE, side="right")
    first = int(np.argmax(ends - np.arange(len(radii))))
    return float(median(radii[first : ends[first]].tolist()))
