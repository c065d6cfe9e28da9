"""How deep the reveals of a model's openings are, from where the frame stands in its wall."""

from __future__ import annotations

from typing import NamedTuple

from takeoff.plan.model import Reveal, Source, Strip
from takeoff.recognise.modelled.claims import Hole
from takeoff.recognise.settings import Settings

FILLS = 0.9
"""A frame that fills more of its wall than this is drawn in simple form: it says no depth."""


class Depths(NamedTuple):
    """Where the frame stands from the hole's first face, or None; the wall's thickness; the depth to
    take where the frame does not say, with its source."""

    frame: tuple[float, float] | None
    thickness: float
    default: float
    source: Source


def depths_of(hole: Hole, settings: Settings) -> Depths:
    """What a hole says about its reveals; a window that stands in no wall has none."""
    thickness = hole.values["thickness_mm"]
    if not hole.hosted:
        return Depths((0.0, thickness), thickness, 0.0, "drawn")
    first, last = hole.values.get("frame_from_mm"), hole.values.get("frame_to_mm")
    if first is None or last is None or last - first > FILLS * thickness:
        return Depths(None, thickness, settings.reveal_mm, settings.source("reveal_mm"))
    return Depths((max(0.0, first), min(thickness, last)), thickness, 0.0, "drawn")


def reveal_of(kind: str, depths: Depths, turn: int, across: float, outer: bool) -> Reveal:
    """The reveal on one face, ``across`` from the hole's first face, ``turn`` −1 or 1.

    Windows: jambs and head; doors in outer walls likewise where the frame says how deep, other doors
    are lined and have none; open ways span the wall (common practice, no source).
    """
    if kind == "open":
        strip = Strip(depth_mm=depths.thickness, depth_source="drawn")
        return Reveal(strip, strip, strip)
    if kind == "door" and (depths.frame is None or not outer):
        strip = Strip(depth_source="assumed")
        return Reveal(strip, strip, strip)
    if depths.frame is None:
        depth = min(depths.default, depths.thickness)
    else:
        depth = max(0.0, depths.frame[0] - across if turn < 0 else across - depths.frame[1])
    strip = Strip(depth_mm=depth, depth_source=depths.source)
    return Reveal(strip, strip, strip, Strip(depth_mm=depth, coat=False, depth_source=depths.source))
