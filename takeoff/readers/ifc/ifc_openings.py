"""Claims of openings: the hole in its wall, its door or window, and where the frame stands."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from takeoff.drawing.model import Claim
from takeoff.readers.ifc.ifc_entities import ENTITY_FAULTS, number, text
from takeoff.readers.ifc.meshes import Mesh, chains, section

SOURCE = "IFC opening"
JAMB_MM = 80.0
"""A frame's jambs stand within this of the hole's; leaves that stand open do not (common practice)."""
OFF_SIZE = 0.2
"""A hole whose width differs by more than this from the written one lies along the other axis."""
UPRIGHT_SHARE = 0.5
CAVITY_MM = 200.0
"""Leaves of one wall lie no farther apart than this (common practice, no source)."""


class Hole(NamedTuple):
    """A hole in plan: its first corner, the direction along the wall, its extents along and across
    it (mm), its bottom and top in the model, and its area seen square to the wall, mm²."""

    origin: tuple[float, float]
    along: tuple[float, float]
    width: float
    depth: float
    bottom: float
    top: float
    face_mm2: float


def hole_of(mesh: Mesh, axis: tuple[float, float], written_mm: float | None) -> Hole | None:
    """The hole that a mesh is, along ``axis`` or, where the written width says so, square to it.
    None for a mesh without extent."""
    found = _along(mesh, axis)
    if written_mm and abs(found.width - written_mm) > OFF_SIZE * written_mm:
        turned = _along(mesh, (-axis[1], axis[0]))
        if abs(turned.width - written_mm) < abs(found.width - written_mm):
            found = turned
    return found if min(found.width, found.depth, found.top - found.bottom) > 1.0 else None


def _along(mesh: Mesh, axis: tuple[float, float]) -> Hole:
    d = np.array(axis)
    n = np.array((-axis[1], axis[0]))
    start = mesh.xyz[0, :2]
    u, v = (mesh.xyz[:, :2] - start) @ d, (mesh.xyz[:, :2] - start) @ n
    x, y = (start + d * u.min() + n * v.min()).tolist()
    tri = mesh.xyz[mesh.faces]
    normal = np.cross(tri[:, 1] - tri[:, 0], tri[:, 2] - tri[:, 0])
    face = float(np.abs(normal[:, :2] @ n).sum() / 4.0)
    return Hole((x, y), axis, float(u.max() - u.min()), float(v.max() - v.min()), mesh.low, mesh.high, face)


def axis_of(element: Any) -> tuple[float, float] | None:
    """The direction in plan of an element's own x axis; None where it stands upright or has none."""
    from ifcopenshell.util import placement

    if element is None or getattr(element, "ObjectPlacement", None) is None:
        return None
    try:
        x, y = (float(v) for v in placement.get_local_placement(element.ObjectPlacement)[:2, 0])
    except ENTITY_FAULTS:
        return None
    length = float(np.hypot(x, y))
    return (x / length, y / length) if np.isfinite(length) and length > UPRIGHT_SHARE else None


def wall_axis(mesh: Mesh) -> tuple[float, float] | None:
    """The direction of a wall in plan: that of the longest line of its cut at half height. None where
    the cut shows nothing."""
    rings, rest = chains(section(mesh, (mesh.low + mesh.high) / 2.0))
    lines = [np.roll(r.xy, -1, axis=0) - r.xy for r in rings] + [rest[:, 2:] - rest[:, :2]]
    d = np.concatenate(lines)
    if not len(d):
        return None
    x, y = d[int(np.hypot(*d.T).argmax())].tolist()
    length = float(np.hypot(x, y))
    return (x / length, y / length) if length > 0 else None


def within_wall(hole: Hole, wall: Mesh) -> tuple[Hole, float] | None:
    """(the hole cut back to its wall's thickness, that thickness); None where the wall is not there.

    Holes are often modelled longer than their wall is thick, so that they surely pass through it.
    """
    lines = section(wall, (hole.bottom + hole.top) / 2.0)
    d, n = np.array(hole.along), np.array((-hole.along[1], hole.along[0]))
    ends = lines.reshape(-1, 2, 2) - np.array(hole.origin)
    u, v = ends @ d - hole.width / 2.0, ends @ n
    cut = (u[:, 0] > 0) != (u[:, 1] > 0)
    share = u[cut, 0] / (u[cut, 0] - u[cut, 1])
    at = np.sort(v[cut, 0] + (v[cut, 1] - v[cut, 0]) * share)
    if not len(at) or len(at) % 2:
        return None
    leaves = [(a, b) for a, b in at.reshape(-1, 2).tolist() if min(b, hole.depth) - max(a, 0.0) > 0.0]
    if not leaves:
        return None
    # Leaves farther apart than a cavity are two walls: the hole goes through the first that it meets.
    first, last = leaves[0]
    for a, b in leaves[1:]:
        if a - last <= CAVITY_MM:
            last = b
    lo, hi = max(first, 0.0), min(last, hole.depth)
    x, y = (np.array(hole.origin) + n * lo).tolist()
    share_kept = hole._replace(origin=(x, y), depth=hi - lo)
    return share_kept, last - first


def opening_claim(
    hole: Hole, level: float, filling: Any, body: Mesh | None, host: Any, kind: str, guid: str, unit_mm: float
) -> Claim:
    """The claim of a hole, heights above ``level``; ``filling`` and ``body`` may be absent."""
    (x, y), (dx, dy) = hole.origin, hole.along
    nx, ny = -dy * hole.depth, dx * hole.depth
    ux, uy = dx * hole.width, dy * hole.width
    ring = ((x, y, 0.0), (x + ux, y + uy, 0.0), (x + ux + nx, y + uy + ny, 0.0), (x + nx, y + ny, 0.0))
    values = [
        ("width_mm", hole.width),
        ("sill_mm", hole.bottom - level),
        ("head_mm", hole.top - level),
        ("thickness_mm", hole.depth),
        ("face_mm2", hole.face_mm2),
    ]
    for name, key in (("OverallWidth", "overall_width_mm"), ("OverallHeight", "overall_height_mm")):
        size = number(filling, name)
        if size is not None and size > 0:
            values.append((key, size * unit_mm))
    frame = None if body is None else frame_of(hole, body)
    if frame is not None:
        values += [("frame_from_mm", frame[0]), ("frame_to_mm", frame[1])]
    axes = axes_of(filling, hole, unit_mm) if kind == "door" else None
    if axes is not None:
        (ax, ay), (bx, by) = axes
        values += [("axis_x", ax), ("axis_y", ay), ("opens_x", bx), ("opens_y", by)]
    words = (
        ("guid", guid),
        ("kind", kind),
        ("mark", text(filling, "Tag")),
        ("host", text(host, "GlobalId")),
        ("name", text(filling, "Name")),
        ("operation", _operation(filling)),
    )
    return Claim("opening", SOURCE, ring, tuple(values), words)


def axes_of(door: Any, hole: Hole, unit_mm: float) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """The directions in plan of a door's own x axis, which runs from its left to its right, and of its own y axis,
    to which it opens (IfcDoor); None where it does not stand upright, or is not placed at its hole: some programs
    write all shapes in the place of the whole, whose axes say nothing of a door."""
    from ifcopenshell.util import placement

    across = axis_of(door)
    if across is None:
        return None
    matrix = placement.get_local_placement(door.ObjectPlacement)
    x, y = (float(v) for v in matrix[:2, 1])
    length = float(np.hypot(x, y))
    (dx, dy), (ox, oy) = hole.along, hole.origin
    middle = (ox + (dx * hole.width - dy * hole.depth) / 2.0, oy + (dy * hole.width + dx * hole.depth) / 2.0)
    off_mm = float(np.hypot(*(matrix[:2, 3] * unit_mm - np.array(middle))))
    if not np.isfinite(length) or length <= UPRIGHT_SHARE or off_mm > hole.width + hole.depth:
        return None
    return across, (x / length, y / length)


def _operation(filling: Any) -> str:
    """How a door or window works: what is said of it, else of its type."""
    from ifcopenshell.util.element import get_type

    if filling is None:
        return ""
    try:
        whole = (filling, get_type(filling))
    except ENTITY_FAULTS:
        whole = (filling, None)
    for one in whole:
        for name in ("OperationType", "PartitioningType"):
            value = getattr(one, name, None)
            if isinstance(value, str) and value != "NOTDEFINED":
                return value
    return ""


def frame_of(hole: Hole, body: Mesh) -> tuple[float, float] | None:
    """Where the frame's jambs begin and end across the wall, mm from the hole's first face: what a
    cut at half height shows within the hole beside its jambs. None where it shows nothing."""
    lines = section(body, (hole.bottom + hole.top) / 2.0)
    if not len(lines):
        return None
    points = _within(lines, hole)
    if not len(points):
        return None
    return float(points.min()), float(points.max())


def _within(lines: NDArray[np.float64], hole: Hole) -> NDArray[np.float64]:
    """Distances across the wall of the parts of a cut that lie beside the jambs."""
    d = np.array(hole.along)
    n = np.array((-hole.along[1], hole.along[0]))
    ends = lines.reshape(-1, 2, 2) - np.array(hole.origin)
    u, v = ends @ d, ends @ n
    found = []
    for lo, hi in ((0.0, JAMB_MM), (hole.width - JAMB_MM, hole.width)):
        inside = (u.max(axis=1) > lo + 1.0) & (u.min(axis=1) < hi - 1.0)
        for (u0, u1), (v0, v1) in zip(u[inside], v[inside], strict=True):
            span = u1 - u0
            for bound in (lo, hi):
                if abs(span) > 1.0 and min(u0, u1) < bound < max(u0, u1):
                    found.append(v0 + (v1 - v0) * (bound - u0) / span)
            found += [w for t, w in ((u0, v0), (u1, v1)) if lo - 0.5 <= t <= hi + 0.5]
    return np.array(found)
