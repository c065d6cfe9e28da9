"""Rectangular outlines of rooms that are measured."""

from __future__ import annotations

from typing import Any

from takeoff.plan.model import Side


def rect(x: float, y: float, w: float, h: float, **by_side: dict[str, Any]) -> tuple[Side, ...]:
    """A rectangle anticlockwise: s0 below, s1 right, s2 above, s3 left."""
    corners = ((x, y), (x + w, y), (x + w, y + h), (x, y + h))
    return tuple(Side(id=f"s{i}", x_mm=a, y_mm=b, **by_side.get(f"s{i}", {})) for i, (a, b) in enumerate(corners))
