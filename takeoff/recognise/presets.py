"""What the user decided before a drawing is read: heights that plans do not show, and layers."""

from __future__ import annotations

import msgspec

from takeoff.plan.model import Source


class Settings(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Heights and depths in mm for what a plan does not say, with the names of those the user
    *gave*; the others are assumed. ``layers``: if any, only these are read as linework.
    ``layer_roles``: (layer, role) where the user's choice overrules what a layer's name says."""

    storey_height_mm: float = 2400.0
    door_head_mm: float = 2040.0
    window_sill_mm: float = 900.0
    window_head_mm: float = 2100.0
    reveal_mm: float = 150.0
    layers: tuple[str, ...] = ()
    layer_roles: tuple[tuple[str, str], ...] = ()
    given: frozenset[str] = frozenset()

    def source(self, name: str) -> Source:
        """*typed* where the user gave the value, else *assumed*"""
        return "typed" if name in self.given else "assumed"
