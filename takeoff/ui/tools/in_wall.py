"""An opening in its wall while it is placed or moved: how it is shown, and where it may go."""

from __future__ import annotations

import msgspec

from takeoff.geometry.curves import Curve, Point
from takeoff.plan.model import Opening
from takeoff.ui.canvas.targets import opening_corners
from takeoff.ui.tools.preview import Preview
from takeoff.units.printing import dim3

STEP_MM = 10.0
"""Places along a wall go by so much while the mouse moves, counted from the nearer corner."""

_MIDDLE_REACHES = 1.0
"""So many clicks' reaches from the middle of a wall the middle is meant."""


def stepped(wall_mm: float, width_mm: float, wish_mm: float, reach_mm: float, free: bool) -> tuple[float, str]:
    """(the offset that is meant, what it is drawn to) for a wished one along a wall; ``free``: as wished.

    It stays within the wall: corners, the wall's middle, then steps from the nearer corner.
    """
    last = max(wall_mm - width_mm, 0.0)
    at = min(max(wish_mm, 0.0), last)
    if free:
        return at, ""
    if abs(at - last / 2.0) <= _MIDDLE_REACHES * reach_mm:
        return last / 2.0, "middle of the wall"
    if at <= last / 2.0:
        return round(at / STEP_MM) * STEP_MM, ""
    return max(last - round((last - at) / STEP_MM) * STEP_MM, 0.0), ""


def show_in_wall(
    preview: Preview, opening: Opening, curve: Curve, texts: tuple[str, str] = ("", ""), wrong: bool = False
) -> None:
    """The opening in its wall, with what is left to the wall's start and end; ``texts`` instead of these
    where they are being typed."""
    role = "hold" if wrong else "chosen"
    ring = tuple((x, y, 0.0) for x, y in opening_corners(opening, curve))
    preview.course(ring, closed=True, role=role, filled=True)
    start, end = opening.offset_mm, opening.offset_mm + opening.width_mm
    for low, high, text in ((0.0, start, texts[0]), (end, curve.length, texts[1])):
        if high - low > 1.0 and low < curve.length and high > 0.0:
            part = curve.part(max(low, 0.0), min(high, curve.length))
            preview.course(((part.x0, part.y0, part.bulge), (part.x1, part.y1, 0.0)), role=role)
            preview.length(part, text or dim3((high - low) / 1000.0), left=True)


def moved(opening: Opening, offset_mm: float) -> Opening:
    """The opening at another place of its side, for showing."""
    return msgspec.structs.replace(opening, offset_mm=offset_mm)


def along(curve: Curve, at: Point) -> float:
    """How far along a side a point lies, mm, within its ends."""
    return min(max(curve.where(*at)[0], 0.0), curve.length)
