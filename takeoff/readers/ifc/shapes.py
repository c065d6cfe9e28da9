"""Meshes of elements, made by the geometry library, in mm and in the model's coordinates."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from typing import Any

import numpy as np

from takeoff.readers.ifc.entities import ENTITY_FAULTS, many, parts
from takeoff.readers.ifc.meshes import Mesh, joined

M_TO_MM = 1000.0
NOISE_DIGITS = 6
"""Coordinates are kept to a millionth of a millimetre: what lies below is the noise of placements."""
FACET_RAD = 0.1
"""Curves come in facets that turn by less than this, so that they can be told from polygons."""
FARTHEST_MM = 1e10
"""10,000 km: coordinates beyond are damage; national grids stay below."""


class Shaper:
    """Makes meshes and counts what could not be made, by class."""

    def __init__(self, heard: Callable[[str], None]) -> None:
        from ifcopenshell import geom as library

        geom: Any = library
        self._create = geom.create_shape
        self.whole, self.cut = geom.settings(), geom.settings()
        for settings, uncut in ((self.whole, True), (self.cut, False)):
            settings.set("use-world-coords", True)
            settings.set("weld-vertices", True)
            settings.set("mesher-angular-deflection", FACET_RAD)
            settings.set("disable-opening-subtractions", uncut)
        self.heard = heard
        self.failed: Counter[str] = Counter()
        self.far: Counter[str] = Counter()

    def mesh(self, element: Any, *, cut: bool = False) -> Mesh | None:
        """The element's mesh, or its parts' together where it has none of its own; with ``cut``,
        less its openings. None, and counted, where there is none or it cannot be made."""
        if getattr(element, "Representation", None) is None:
            inner = [self.mesh(p, cut=cut) for p in parts(element)[:2000]]
            made = [m for m in inner if m is not None]
            return joined(made) if made else None
        name = str(element.is_a())
        self.heard(name)
        try:
            shape = self._create(self.cut if cut else self.whole, element)
            xyz = np.round(np.array(shape.geometry.verts, float).reshape(-1, 3) * M_TO_MM, NOISE_DIGITS)
            faces = np.array(shape.geometry.faces, np.int64).reshape(-1, 3)
        except ENTITY_FAULTS:
            self.failed[name] += 1
            return None
        if not len(faces):
            self.failed[name] += 1
            return None
        if not np.isfinite(xyz).all() or np.abs(xyz).max() > FARTHEST_MM:
            self.far[name] += 1
            return None
        return Mesh(xyz, faces)


def has_openings(element: Any) -> bool:
    """Whether holes are cut from an element or its parts."""
    return bool(many(element, "HasOpenings")) or any(many(p, "HasOpenings") for p in parts(element))
