"""Claims of a space: its outline, the planes of its ceiling and floor, its own quantities."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from takeoff.drawing.model import Claim
from takeoff.readers.ifc import ifc_entities as entities
from takeoff.readers.ifc.ifc_entities import text
from takeoff.readers.ifc.meshes import Mesh, Piece, Ring, outline, pieces, tops_and_bottoms

SOURCE = "IFC space"
FLAT_MM2 = 1.0


class SpaceShape(NamedTuple):
    """A space's rings in plan, its ceiling and floor pieces, a point inside, and by how much its
    ceilings lie over each other, m²."""

    rings: tuple[Ring, ...]
    ceiling: tuple[Piece, ...]
    floor: tuple[Piece, ...]
    inside: tuple[float, float]
    overhang_m2: float
    closed: bool


def space_shape(mesh: Mesh) -> SpaceShape | None:
    """The shape in plan; None for a mesh that encloses nothing."""
    up, down = tops_and_bottoms(mesh)
    rings, rest = outline(down)
    if not rings or len(rest):
        other, other_rest = outline(up)
        if other and not len(other_rest):
            rings, rest = other, other_rest
    if not any(r.area > FLAT_MM2 for r in rings):
        return None
    ceiling, floor = pieces(up), pieces(down)
    area = sum(r.area for r in rings)
    over = max(0.0, sum(p.area for p in ceiling) - area) / 1e6
    lead = down if len(down) else up
    a, b = lead[:, 1, :2] - lead[:, 0, :2], lead[:, 2, :2] - lead[:, 0, :2]
    largest = lead[int(np.argmax(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]))]
    x, y = largest[:, :2].mean(axis=0).tolist()
    return SpaceShape(tuple(rings), tuple(ceiling), tuple(floor), (x, y), over, not len(rest))


def space_claims(space: Any, mesh: Mesh, shape: SpaceShape, level: float, scale: dict[str, float]) -> list[Claim]:
    """All claims of one space, heights above ``level``. ``scale``: the file's units in m, m², m³."""
    guid = text(space, "GlobalId")
    own = (("guid", guid),)
    words = (
        *own,
        ("name", text(space, "LongName")),
        ("number", text(space, "Name")),
        ("exterior", "yes" if _exterior(space) else ""),
        ("made", _made(space)),
    )
    values = (
        ("floor_mm", mesh.low - level),
        ("top_mm", mesh.high - level),
        ("x_mm", shape.inside[0]),
        ("y_mm", shape.inside[1]),
        ("overhang_m2", shape.overhang_m2),
    )
    outer = sorted((r for r in shape.rings if r.area > 0), key=lambda r: -r.area)
    claims = [Claim("space", SOURCE, ring_of(r), values, words) for r in outer[:1]]
    claims += [Claim("space-part", SOURCE, ring_of(r), (), own) for r in outer[1:]]
    claims += [Claim("space-inner", SOURCE, ring_of(r), (), own) for r in shape.rings if r.area < 0]
    for kind, found in (("ceiling", shape.ceiling), ("floor", shape.floor)):
        for number, piece in enumerate(found):
            claims += [Claim(kind, SOURCE, ring_of(r), _plane(piece, number, level), own) for r in piece.rings]
    claims += [
        Claim(
            "quantity",
            SOURCE,
            (),
            (("value", value * scale[unit]),),
            (*own, ("set", set_name), ("name", name), ("unit", unit)),
        )
        for set_name, name, unit, value in entities.quantities(space)
    ]
    return claims


def ring_of(ring: Ring) -> tuple[tuple[float, float, float], ...]:
    """A ring as a claim holds it, all sides straight."""
    return tuple((x, y, 0.0) for x, y in ring.xy.tolist())


def _plane(piece: Piece, number: int, level: float) -> tuple[tuple[str, float], ...]:
    return (
        ("piece", float(number)),
        ("z_mm", piece.z - level),
        ("slope_x", piece.slope[0]),
        ("slope_y", piece.slope[1]),
        ("at_x_mm", piece.at[0]),
        ("at_y_mm", piece.at[1]),
    )


def _exterior(space: Any) -> bool:
    """Whether the file says that a space is no room inside: external, or a gross floor area."""
    said = {str(getattr(space, n, None)) for n in ("InteriorOrExteriorSpace", "PredefinedType")}
    return bool(said & {"EXTERNAL", "EXTERNAL_EARTH", "EXTERNAL_WATER", "EXTERNAL_FIRE", "GFA"})


def shaped(entity: Any) -> bool:
    """Whether an element has a shape of its own."""
    return getattr(entity, "Representation", None) is not None


def _made(space: Any) -> str:
    """*whole* for a space made of other spaces that have shapes, *part* for a part of one, else nothing."""
    if any(p.is_a("IfcSpace") and shaped(p) for p in entities.parts(space)):
        return "whole"
    above = [entities.related(rel, "RelatingObject") for rel in entities.many(space, "Decomposes")]
    return "part" if any(a is not None and a.is_a("IfcSpace") for a in above) else ""
