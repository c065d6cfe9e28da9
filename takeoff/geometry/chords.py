"""Sides with a bulge cut into chords, many at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def chord_count(bulge: Floats, most_deg: float) -> Ints:
    """How many chords of at most so many degrees each side comes to: one where it is straight or no number."""
    turn = np.nan_to_num(np.abs(np.degrees(4.0 * np.arctan(bulge))))
    return np.maximum(1, np.ceil(turn / most_deg)).astype(np.int64)


def chords(sides: Floats, most_deg: float) -> tuple[Floats, Ints]:
    """Chords (k, 4) of sides (n, 5: x0 y0 x1 y1 bulge) in their order, and the row each came from."""
    p, q, b = sides[:, :2], sides[:, 2:4], sides[:, 4]
    count = chord_count(b, most_deg)
    owner = np.repeat(np.arange(len(sides)), count)
    nth = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    sweep, safe = 4.0 * np.arctan(b), np.where(b == 0.0, 1.0, b)
    z0, z1 = p[:, 0] + 1j * p[:, 1], q[:, 0] + 1j * q[:, 1]
    # Centre: from the middle of the chord, by (1 - bulge²) / (4·bulge) chords to its left.
    centre = (z0 + z1) / 2.0 + 1j * (z1 - z0) * (1.0 - b * b) / (4.0 * safe)
    ends = []
    for shift in (0, 1):
        t = (nth + shift) / count[owner]
        z = centre[owner] + (z0 - centre)[owner] * np.exp(1j * sweep[owner] * t)
        z = np.where(t <= 0.0, z0[owner], np.where(t >= 1.0, z1[owner], z))
        ends += [z.real, z.imag]
    return np.column_stack(ends), owner
