"""Planes over a plan: their height over a place."""

from __future__ import annotations

import msgspec


class Plane(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A plane over the plan: z = z_mm + slope_x·(x − at_x_mm) + slope_y·(y − at_y_mm)."""

    z_mm: float
    slope_x: float = 0.0
    slope_y: float = 0.0
    at_x_mm: float = 0.0
    at_y_mm: float = 0.0

    def at(self, x_mm: float, y_mm: float) -> float:
        """Its height over a place of the plan, mm."""
        return self.z_mm + self.slope_x * (x_mm - self.at_x_mm) + self.slope_y * (y_mm - self.at_y_mm)
