"""IFC models (2x3, 4, 4.3): a drawing per storey, cut through the walls, with what the model claims.

Claims of a drawing (:class:`takeoff.drawing.model.Claim`), heights above the storey's level, mm:

* *storey*: words ``guid name``; values ``level_mm`` (in the model), ``elevation_mm`` (as written),
  ``cut_mm`` and ``top_mm`` (the next storey's level, absent on the highest);
* *space*: outer ring of the solid's plan, anticlockwise; words ``guid name number exterior made``;
  values ``floor_mm top_mm x_mm y_mm`` (a point inside), ``overhang_m2`` where ceilings lie over each
  other; *space-inner*: a ring of it that is left out, clockwise;
* *ceiling* and *floor*: one ring of a plane piece of the solid's top or bottom (clockwise: a hole in
  it); word ``guid``; values ``piece z_mm slope_x slope_y at_x_mm at_y_mm``;
* *quantity*: words ``guid set name unit`` (m, m2 or m3); value ``value``;
* *opening*: the plan of the hole, from the first jamb along the wall, then back on its other face;
  words ``guid kind mark host operation``; values ``width_mm sill_mm head_mm thickness_mm face_mm2``
  (area seen square to the wall), ``overall_width_mm overall_height_mm`` as written, ``frame_from_mm
  frame_to_mm`` (across the wall from the ring's first edge) where a frame is modelled;
* *rooflight*: the plan of the hole; words ``guid mark``; values ``bottom_mm top_mm``;
* *wall*: one ring of the section without its openings; words ``guid what external`` (yes, no or
  nothing); values ``base_mm top_mm``.
"""

from takeoff.readers.ifc.ifc_file import read

__all__ = ["read"]
