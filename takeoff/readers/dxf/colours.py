"""The colour that an entity has of its own, unlike its layer's."""

from __future__ import annotations

from functools import cache
from typing import Any

from ezdxf.colors import aci2rgb

NUMBERED = range(1, 256)
"""Numbers of the colour table; 0 is the block's colour, 256 the layer's."""


def own_colour(ns: dict[str, Any]) -> int:
    """0xRRGGBB of an entity by its attributes; −1 where it has its layer's or its block's, or
    what stands there is no colour."""
    true = ns.get("true_color")
    if isinstance(true, int) and 0 <= true <= 0xFFFFFF:
        return true
    number = ns.get("color", 256)
    return _numbered(number) if number in NUMBERED else -1


@cache
def _numbered(number: int) -> int:
    r, g, b = aci2rgb(number)
    return r << 16 | g << 8 | b
