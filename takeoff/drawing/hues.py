"""Plain words for the hues of lines and inks."""

from __future__ import annotations

import colorsys

HUES = (
    (15, "red"),
    (40, "orange"),
    (70, "yellow"),
    (165, "green"),
    (200, "cyan"),
    (260, "blue"),
    (290, "violet"),
    (340, "magenta"),
    (361, "red"),
)
"""Up to how many degrees of the colour circle each word reaches (common practice, no source)."""


def hue_word(red: float, green: float, blue: float) -> str:
    """The word for the hue of a colour, each part from 0 to 1; a grey has none, and is called red.

    >>> hue_word(1, 1, 0), hue_word(0.8, 0.1, 0.1), hue_word(1, 0, 0.1)
    ('yellow', 'red', 'red')
    """
    degrees = colorsys.rgb_to_hsv(red, green, blue)[0] * 360.0
    return next(word for limit, word in HUES if degrees < limit)
