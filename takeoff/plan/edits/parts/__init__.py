"""Quick parts: what stands in many rooms, each one edit with two or three dimensions.

All are made of what a plan has anyway: sides, regions of ceiling and floor, exclusions. Lengths are mm,
heights mm above the storey's datum unless they are said to be from the floor or the ceiling.
"""

from takeoff.plan.edits.parts.covered import fitted_units, tile_walls
from takeoff.plan.edits.parts.lowered import bulkhead, stair_soffit
from takeoff.plan.edits.parts.places import place_on_wall
from takeoff.plan.edits.parts.raised import dormer, dwarf_wall
from takeoff.plan.edits.parts.stood_in import box_corner, chimney_breast

__all__ = [
    "box_corner",
    "bulkhead",
    "chimney_breast",
    "dormer",
    "dwarf_wall",
    "fitted_units",
    "place_on_wall",
    "stair_soffit",
    "tile_walls",
]
