"""Colours and type sizes of everything that is printed."""

from __future__ import annotations

INK = "#22292E"
GREY = "#4A545C"
PAPER = "#FFFFFF"
HAIR = "#B9B4AA"
WALL = "#CBC6BC"
COAT = "#F0C184"
DOTS = "#96560C"
"""Dots and outline of the coat: brown on ochre, and dark on light where a page is printed in grey."""
BEAD = "#0F6B80"
CORNER = "#59636B"
URGENT = "#9E2A1C"

LIGHT = "light"
REGULAR = "regular"
SEMIBOLD = "semibold"

SMALLEST_PT = 9.0
"""Nothing that proves a figure is smaller on paper."""

PT_MM = 25.4 / 72.0
