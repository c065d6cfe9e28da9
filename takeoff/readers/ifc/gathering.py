"""All that is read of a model before it is told apart by storey: meshes, spaces, holes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

from takeoff.drawing.model import Claim
from takeoff.readers.ifc import ifc_entities as entities
from takeoff.readers.ifc.ifc_entities import Container, container, fillings, north_claims, number, of_class, text
from takeoff.readers.ifc.ifc_openings import Hole, axis_of, hole_of, wall_axis, within_wall
from takeoff.readers.ifc.ifc_spaces import SpaceShape, shaped, space_shape
from takeoff.readers.ifc.meshes import Mesh, Shaper, has_openings

GLAZED = ("IfcCurtainWall",)
ROOF_LIKE = ("IfcRoof", "IfcSlab")
SLIVER_MM = 50.0
THICKEST_GLAZING_MM = 800.0
"""A curtain wall deeper than this in plan is not straight."""
NEAR_MM = 100.0
SAME_SIZE = 0.3
"""A door or window and its hole differ in width by less than this."""
RECESS_MM = 10.0
"""A hole that leaves more of its wall than this is a recess."""
UPRIGHT_HOSTS = ("IfcWall", "IfcCurtainWall", "IfcBuildingElementPart", "IfcPlate", "IfcMember", "IfcColumn")


class Body(NamedTuple):
    """A solid that is cut: its layer, its mesh whole and less its openings."""

    entity: Any
    what: str
    place: Container
    whole: Mesh
    cut: Mesh


class SpaceBody(NamedTuple):
    entity: Any
    place: Container
    mesh: Mesh
    shape: SpaceShape


class HoleBody(NamedTuple):
    """A hole with what fills it (or None), that one's mesh, and the element it is in (or None)."""

    hole: Hole
    filling: Any
    body: Mesh | None
    host: Any
    kind: str
    guid: str
    place: Container
    in_roof: bool
    mesh: Mesh


class Gathered(NamedTuple):
    bodies: list[Body]
    spaces: list[SpaceBody]
    holes: list[HoleBody]
    lost_spaces: list[str]
    north: tuple[Claim, ...] = ()


def gather(model: Any, shaper: Shaper, unit_mm: float, share: Callable[[float], None]) -> Gathered:
    """Everything of the model that bears on rooms; ``share`` hears how far it is, 0 to 1."""
    spaces = of_class(model, "IfcSpace")
    elements = [
        (e, layer)
        for layer, classes in (
            ("walls", ("IfcWall",)),
            ("columns", ("IfcColumn",)),
            ("curtain", GLAZED),
            ("doors", ("IfcDoor",)),
            ("windows", ("IfcWindow",)),
        )
        for e in of_class(model, *classes)
    ]
    voids = of_class(model, "IfcOpeningElement")
    total = max(1, len(spaces) + len(elements) + len(voids))
    done = 0

    def step() -> None:
        nonlocal done
        done += 1
        share(done / total)

    found_spaces: list[SpaceBody] = []
    lost: list[str] = []
    for space in spaces:
        _space(space, shaper, found_spaces, lost)
        step()
    bodies: dict[int, Body] = {}
    for element, layer in elements:
        made = _body(element, layer, shaper)
        if made is not None:
            bodies[element.id()] = made
        step()
    holes: list[HoleBody] = []
    for void in voids:
        _void(void, shaper, bodies, unit_mm, holes)
        step()
    holes = _unhosted(elements, bodies, holes, unit_mm)
    holes += _glazing(bodies, holes)
    return Gathered(list(bodies.values()), found_spaces, holes, lost, north_claims(model))


def _space(space: Any, shaper: Shaper, found: list[SpaceBody], lost: list[str]) -> None:
    mesh = shaper.mesh(space) if getattr(space, "Representation", None) is not None else None
    shape = None if mesh is None else space_shape(mesh)
    if mesh is None or shape is None:
        inner = any(p.is_a("IfcSpace") for p in entities.parts(space))
        above = [entities.related(rel, "RelatingObject") for rel in entities.many(space, "Decomposes")]
        covered = any(a is not None and a.is_a("IfcSpace") and shaped(a) for a in above)
        if not inner and not covered:
            lost.append(
                " ".join(w for w in (text(space, "Name"), text(space, "LongName")) if w) or text(space, "GlobalId")
            )
        return
    found.append(SpaceBody(space, container(space), mesh, shape))


def _body(element: Any, layer: str, shaper: Shaper) -> Body | None:
    whole = shaper.mesh(element)
    if whole is None:
        return None
    cut = (shaper.mesh(element, cut=True) if has_openings(element) else whole) or whole
    return Body(element, layer, container(element), whole, cut)


def _void(void: Any, shaper: Shaper, bodies: dict[int, Body], unit_mm: float, holes: list[HoleBody]) -> None:
    host = next(
        (entities.related(rel, "RelatingBuildingElement") for rel in entities.many(void, "VoidsElements")), None
    )
    if host is None or getattr(void, "PredefinedType", None) == "RECESS":
        return
    in_roof = any(host.is_a(name) for name in ROOF_LIKE)
    if not in_roof and not any(host.is_a(name) for name in UPRIGHT_HOSTS):
        return
    filled = [f for f in fillings(void) if f.is_a("IfcDoor") or f.is_a("IfcWindow")]
    if in_roof and not filled:
        return  # A stair's or a shaft's hole in a slab is no rooflight.
    mesh = shaper.mesh(void)
    if mesh is None:
        return
    filling = filled[0] if filled else None
    wall = bodies.get(host.id())
    along = wall_axis(wall.whole) if wall is not None else None
    axis = axis_of(filling) or along or axis_of(host) or (1.0, 0.0)
    hole = hole_of(mesh, axis, _written(filling, unit_mm))
    if hole is None:
        return
    if wall is not None and not in_roof:
        cut = within_wall(hole, wall.whole)
        if filling is None and (cut is None or cut[1] - cut[0].depth > RECESS_MM):
            return  # A recess: it does not pass through, so it is no opening.
        hole = cut[0] if cut is not None else hole
    body = bodies.get(filling.id()) if filling is not None else None
    own = filling if filling is not None else void
    kind = "open" if filling is None else "door" if filling.is_a("IfcDoor") else "window"
    holes.append(
        HoleBody(
            hole,
            filling,
            body.whole if body else None,
            host,
            kind,
            text(own, "GlobalId"),
            container(own),
            in_roof,
            mesh,
        )
    )


def _written(filling: Any, unit_mm: float) -> float | None:
    size = number(filling, "OverallWidth")
    return None if size is None else size * unit_mm


def _unhosted(
    elements: list[tuple[Any, str]], bodies: dict[int, Body], holes: list[HoleBody], unit_mm: float
) -> list[HoleBody]:
    """All holes, with the doors and windows that the file puts in none: in the bare hole that they
    stand in, or else where their own bodies are."""
    bare = [h for h in holes if h.filling is None]
    found = [h for h in holes if h.filling is not None]
    for element, layer in elements:
        body = bodies.get(element.id())
        if layer not in ("doors", "windows") or body is None or entities.many(element, "FillsVoids"):
            continue
        axis = axis_of(element) or (1.0, 0.0)
        own = hole_of(body.whole, axis, _written(element, unit_mm))
        if own is None:
            continue
        kind, guid = layer[:-1], text(element, "GlobalId")
        around = [h for h in bare if _holds(h.hole, own)]
        if around:
            bare = [h for h in bare if h is not around[0]]
            found.append(around[0]._replace(filling=element, body=body.whole, kind=kind, guid=guid))
        else:
            found.append(HoleBody(own, element, body.whole, None, kind, guid, body.place, False, body.whole))
    return found + bare


def _holds(hole: Hole, own: Hole) -> bool:
    """Whether a door or window stands in a hole of about its size."""
    (x, y), (dx, dy) = hole.origin, hole.along
    cx = own.origin[0] + (own.along[0] * own.width - own.along[1] * own.depth) / 2.0 - x
    cy = own.origin[1] + (own.along[1] * own.width + own.along[0] * own.depth) / 2.0 - y
    u, v = cx * dx + cy * dy, cy * dx - cx * dy
    middle = (own.bottom + own.top) / 2.0
    inside = 0.0 < u < hole.width and -NEAR_MM < v < hole.depth + NEAR_MM and hole.bottom < middle < hole.top
    return inside and abs(own.width - hole.width) < SAME_SIZE * hole.width


def _glazing(bodies: dict[int, Body], holes: list[HoleBody]) -> list[HoleBody]:
    """Straight curtain walls as windows of their size, less the doors that stand in them: nobody coats
    glass. What a door leaves over its head stays a window."""
    found = []
    for body in bodies.values():
        if body.what != "curtain":
            continue
        hole = hole_of(body.whole, wall_axis(body.whole) or (1.0, 0.0), None)
        if hole is None or hole.depth > THICKEST_GLAZING_MM:
            continue
        doors = sorted(
            (span[0], span[1], h.hole.top)
            for h in holes
            if h.kind != "open" and (span := _stands_in(hole, h.hole)) is not None
        )
        at = 0.0
        pieces = []
        for first, last, top in doors:
            pieces += [(at, first, hole.bottom), (max(first, at), last, top)]
            at = max(at, last)
        for first, last, bottom in [*pieces, (at, hole.width, hole.bottom)]:
            if last - first > SLIVER_MM and hole.top - bottom > SLIVER_MM:
                found.append(_pane(body, hole, first, last, bottom))
    return found


def _pane(body: Body, hole: Hole, first: float, last: float, bottom: float) -> HoleBody:
    x = hole.origin[0] + hole.along[0] * first
    y = hole.origin[1] + hole.along[1] * first
    face = (last - first) * (hole.top - bottom)
    part = hole._replace(origin=(x, y), width=last - first, bottom=bottom, face_mm2=face)
    guid = text(body.entity, "GlobalId")
    return HoleBody(part, None, None, None, "window", guid, body.place, False, body.whole)


def _stands_in(hole: Hole, own: Hole) -> tuple[float, float] | None:
    """The stretch of a curtain wall that a door or window takes up; None where it is elsewhere."""
    (x, y), (dx, dy) = hole.origin, hole.along
    ends = [own.origin, (own.origin[0] + own.along[0] * own.width, own.origin[1] + own.along[1] * own.width)]
    u = [(px - x) * dx + (py - y) * dy for px, py in ends]
    v = [(py - y) * dx - (px - x) * dy for px, py in ends]
    lo, hi = max(0.0, min(u)), min(hole.width, max(u))
    off = max(max(v) - hole.depth, -min(v))
    if (
        hi - lo < SLIVER_MM
        or off > NEAR_MM + own.depth
        or min(own.top, hole.top) - max(own.bottom, hole.bottom) < SLIVER_MM
    ):
        return None
    return lo, hi
