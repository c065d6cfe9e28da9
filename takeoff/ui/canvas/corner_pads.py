"""Bead on the plan: small Ls that hug the arris, as large as they are on the building's scale."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from takeoff.sheets import palette
from takeoff.sheets.picture import Shape, Sheet
from takeoff.sheets.sheet_values import Arris

_ARM, _THICK = 1.2, 0.34
"""Of the width of the coat: thick enough to be seen, with arms long enough to be an L and no square."""


def bead_pads(beads: Sequence[Arris], sheet: Sheet) -> list[Shape]:
    """An L in the void about each arris, filled, so that it is an L at any zoom; none for no bead."""
    arm, thick = sheet.band * _ARM, sheet.band * _THICK
    paths = []
    for arris in beads:
        (x, y), (ax, ay), (bx, by) = sheet.point(arris.at), *arris.arms
        turn = ax * by - ay * bx
        line = shapely.linestrings([(x + ax * arm, y + ay * arm), (x, y), (x + bx * arm, y + by * arm)])
        side = thick if turn > 0 else -thick
        pad = shapely.buffer(line, side, single_sided=True, join_style="mitre", mitre_limit=3.0)
        for part in shapely.get_parts(pad):
            if part.geom_type == "Polygon" and not part.is_empty:
                paths.append(tuple((float(px), float(py), 0.0) for px, py in part.exterior.coords[:-1]))
    return [Shape(tuple(paths), fill=palette.BEAD)] if paths else []
