"""What the user decided before a drawing is read: heights that plans do not show, and layers."""

from __future__ import annotations

from takeoff.plan.usual_sizes import UsualSizes


class Settings(UsualSizes, frozen=True, forbid_unknown_fields=True):
    """Heights and depths in mm for what a plan does not say, with the names of those the user
    *gave*; the others are assumed. ``layers``: if any, only these are read as linework.
    ``layer_roles``: (layer, role) where the user's choice overrules what a layer's name says."""

    storey_height_mm: float = 2400.0
    layers: tuple[str, ...] = ()
    layer_roles: tuple[tuple[str, str], ...] = ()
