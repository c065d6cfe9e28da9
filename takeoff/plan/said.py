"""How a sentence about a plan says places and sizes."""

from __future__ import annotations

import math

from takeoff.errors import Where
from takeoff.language import mark, tr
from takeoff.language.regions import decimal_mark
from takeoff.plan.model import Room, Storey
from takeoff.units.printing import printed, shown, whole


def mm(length_mm: float) -> str:
    """A length in whole mm where it is whole, else to 0.1 mm."""
    text = f"{printed(length_mm, 1):f}".removesuffix(".0").replace(".", decimal_mark())
    return tr("{number} mm", number=text)


def m2(area_mm2: float) -> str:
    """An area given in mm², printed in m²."""
    area = area_mm2 / 1e6
    return tr("{number} m²", number=shown(area, 2 if area >= 0.1 else 3))


def at(x_mm: float, y_mm: float) -> str:
    """A place in plan, for the end of a sentence."""
    return tr("at x {x}, y {y}", x=whole(x_mm), y=whole(y_mm))


def spot(storey: Storey, room: Room, x_mm: float, y_mm: float, surface: str | None = None) -> Where:
    """A point in a room."""
    return Where(storey=storey.id, room=room.id, surface=surface, x_mm=x_mm, y_mm=y_mm)


_ALONG = (
    mark("right"),
    mark("upper right"),
    mark("upper"),
    mark("upper left"),
    mark("left"),
    mark("lower left"),
    mark("lower"),
    mark("lower right"),
)
"""Sides of the plan by eighths of a turn from the right, anticlockwise."""


def bearing(dx: float, dy: float) -> str:
    """The side of the plan towards which a direction looks: "upper", "lower right"."""
    return _ALONG[round(math.atan2(dy, dx) / (math.pi / 4)) % 8]


def counted(count: int, one: str, many: str | None = None) -> str:
    """ "1 room", "2 rooms"; ``many`` where the plural is not made with an s."""
    return f"{count} {one if count == 1 else many or one + 's'}"
