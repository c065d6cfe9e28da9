"""Tolerances by name. Each was chosen against the size of real errors, not of floats."""

SNAP_MM = 1e-3
"""Two points closer than this are one: a thousandth of a millimetre, as linework is noded."""

HEIGHT_MM = 1e-3
"""Two heights closer than this are equal."""

TOUCH_MM = 1.0
"""An opening this close to a floor, a corner or a ceiling touches it (common practice)."""

FLAT_DEG = 5.0
"""A void angle within this of 180° is no corner (common practice)."""

ANGLE_RAD = 1e-9
"""Directions closer than this are the same; curvature then decides their order."""
