"""How each kind of entity becomes sides, arcs, loops, labels and dimensions.

A reader takes the entity and the ``Gather`` of its container. Attributes are read from the
namespace's dictionary: it is several times faster than attribute access, and a drawing has
many lines.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

import numpy as np
from ezdxf.math import OCS, Vec3, fit_points_to_cad_cv

from takeoff.drawing.model import Dimension, Label
from takeoff.geometry.facets import smooth_arc
from takeoff.readers.dxf import dxf_words as words
from takeoff.readers.dxf.dxf_curves import MOST_FIT_POINTS, ellipse_points, ellipse_sweep, spline_points
from takeoff.readers.dxf.dxf_shapes import FARTHEST, Frame, Gather, similar

Reader = Callable[[Any, Gather], None]
Vertices = list[tuple[float, float, float]]
UPRIGHT = 0.9999
"""cos of the angle (0.8 degrees) at which an entity counts as standing out of the plan."""
MOST_PARTS = 200_000
"""Parts that one exploded entity (multiline, mesh, proxy) may have."""
ROUND_SHARE = 1e-6
CLOSED_SHARE = 1e-6
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?|(?<![\w.,])[.,]\d+")
"""Figures under one may come without their nought: .45"""
_UNITS = re.compile(r"['\"′″]|\b(?:mm|cm|dm|m|in|ft)\b", re.IGNORECASE)


def frame_of(ns: dict[str, Any], elevation: float, g: Gather, kind: str) -> Frame | None:
    """How an entity's own plane lies in the plan; None for the usual one, where it is the plan."""
    n = ns.get("extrusion")
    if n is None or (n.x == 0.0 and n.y == 0.0 and n.z > 0.0):
        return None
    ocs = OCS(n)
    if abs(ocs.uz.z) < UPRIGHT:
        g.log.tilted[kind] += 1
    return (ocs.ux.x, ocs.uy.x, ocs.ux.y, ocs.uy.y, ocs.uz.x * elevation, ocs.uz.y * elevation)


def line(e: Any, g: Gather) -> None:
    ns = e.dxf.__dict__
    layer = g.layer(ns)
    a, b = ns.get("start", Vec3()), ns.get("end", Vec3())
    g.log.spend(1)
    g.lines += (a.x, a.y, b.x, b.y)
    g.line_layer.append(layer)
    g.line_source.append(g.source("LINE", ns, layer))


def arc(e: Any, g: Gather) -> None:
    ns = e.dxf.__dict__
    layer = g.layer(ns)
    c, r = ns.get("center", Vec3()), ns.get("radius", 1.0)
    start, end = ns.get("start_angle", 0.0), ns.get("end_angle", 360.0)
    if r == 0.0:
        g.log.sizeless["ARC"] += 1
        return
    frame = frame_of(ns, c.z, g, "ARC")
    source = g.source("ARC", ns, layer)
    if frame is None:
        g.arcs += (c.x, c.y, r, start, end)
        g.arc_layer.append(layer)
        g.arc_source.append(source)
        return
    if not similar(*frame[:4]):
        g.log.chords["ARC"] += 1
    g.path(arc_vertices(c.x, c.y, r, start, end), False, layer, source, frame)


def arc_vertices(x: float, y: float, r: float, start_deg: float, end_deg: float) -> Vertices:
    """An anticlockwise arc as a path of two arcs."""
    sweep = math.radians((end_deg - start_deg) % 360.0 or 360.0)
    a = math.radians(start_deg)
    bulge = math.tan(sweep / 8.0)
    at = [(x + r * math.cos(a + t), y + r * math.sin(a + t)) for t in (0.0, sweep / 2.0, sweep)]
    return [(*at[0], bulge), (*at[1], bulge), (*at[2], 0.0)]


def circle(e: Any, g: Gather) -> None:
    ns = e.dxf.__dict__
    layer = g.layer(ns)
    c, r = ns.get("center", Vec3()), ns.get("radius", 1.0)
    if r == 0.0:
        g.log.sizeless["CIRCLE"] += 1
        return
    if not r > 0.0:
        raise ValueError(f"a circle of radius {r}")
    frame = frame_of(ns, c.z, g, "CIRCLE")
    if frame is not None and not similar(*frame[:4]):
        g.log.chords["CIRCLE"] += 1
    g.path([(c.x - r, c.y, 1.0), (c.x + r, c.y, 1.0)], True, layer, g.source("CIRCLE", ns, layer), frame)


def lwpolyline(e: Any, g: Gather) -> None:
    ns = e.dxf.__dict__
    layer = g.layer(ns)
    points = e.lwpoints.values
    widths = points[:, 2:4]
    if not widths.any():
        widths = np.array([[ns.get("const_width", 0.0)]])
    width = _one_width(widths, g)
    v = points[:, (0, 1, 4)].tolist()
    closed = bool(ns.get("flags", 0) & 1)
    source = g.source("LWPOLYLINE", ns, layer, width=width)
    frame = frame_of(ns, ns.get("elevation", 0.0), g, "LWPOLYLINE") if "extrusion" in ns else None
    g.path(v, closed, layer, source, frame)


def _one_width(widths: Any, g: Gather) -> float:
    """The width of a polyline where it is the same all along, else 0; counted for the report."""
    width = float(widths.flat[0])
    if not widths.any():
        return 0.0
    g.log.wide += 1
    return width if math.isfinite(width) and width > 0.0 and (widths == width).all() else 0.0


def polyline(e: Any, g: Gather) -> None:
    """The old polyline, in 2D and 3D; meshes by the sides of their faces."""
    ns = e.dxf.__dict__
    flags = ns.get("flags", 0)
    if flags & (16 | 64):
        parts(e, g)
        return
    layer = g.layer(ns)
    usual = [ns.get("default_start_width", 0.0), ns.get("default_end_width", 0.0)]
    widths = [
        [w.get("start_width", usual[0]), w.get("end_width", usual[1])]
        for w in (v.dxf.__dict__ for v in e.vertices)
        if not w.get("flags", 0) & 16
    ]
    width = _one_width(np.array(widths or [[0.0]], float), g)
    source = g.source("POLYLINE", ns, layer, width=width)
    vertices = []
    z = 0.0
    for v in e.vertices:
        w = v.dxf.__dict__
        if not w.get("flags", 0) & 16:  # 16: frame of a spline, not on it
            at = w["location"]
            vertices.append((at.x, at.y, 0.0 if flags & 8 else float(w.get("bulge", 0.0))))
            z = at.z
    frame = None if flags & 8 else frame_of(ns, z, g, "POLYLINE")
    if frame is not None and any(v[2] for v in vertices) and not similar(*frame[:4]):
        g.log.chords["POLYLINE"] += 1
    g.path(vertices, bool(flags & 1), layer, source, frame)


def ellipse(e: Any, g: Gather) -> None:
    ns = e.dxf.__dict__
    layer = g.layer(ns)
    c, major = ns.get("center", Vec3()), ns.get("major_axis", Vec3(1, 0, 0))
    if not major.x and not major.y and not major.z:
        g.log.sizeless["ELLIPSE"] += 1
        return
    n = ns.get("extrusion", Vec3(0, 0, 1)).normalize()
    minor = n.cross(major) * ns.get("ratio", 1.0)
    sweep = ellipse_sweep(ns.get("start_param", 0.0), ns.get("end_param", 2.0 * math.pi))
    if abs(n.z) < UPRIGHT:
        g.log.tilted["ELLIPSE"] += 1
    vertices, closed = elliptic_vertices(
        (c.x, c.y), (major.x, major.y), (minor.x, minor.y), ns.get("start_param", 0.0), sweep, g
    )
    g.path(vertices, closed, layer, g.source("ELLIPSE", ns, layer))


def elliptic_vertices(
    c: tuple[float, float],
    major: tuple[float, float],
    minor: tuple[float, float],
    start: float,
    sweep: float,
    g: Gather,
) -> tuple[Vertices, bool]:
    """Arcs where both axes are equal, chords otherwise; and whether it goes all round."""
    closed = abs(sweep) >= 2.0 * math.pi - 1e-9
    if similar(major[0], minor[0], major[1], minor[1], ROUND_SHARE):
        turn = sweep if major[0] * minor[1] - major[1] * minor[0] > 0.0 else -sweep
        p = [
            (
                c[0] + math.cos(start + t) * major[0] + math.sin(start + t) * minor[0],
                c[1] + math.cos(start + t) * major[1] + math.sin(start + t) * minor[1],
            )
            for t in (0.0, sweep / 2.0, sweep)
        ]
        bulge = math.tan(turn / 8.0)
        made = [(*p[0], bulge), (*p[1], bulge), (*p[2], 0.0)]
        return (made[:2] if closed else made), closed
    g.log.chords["ELLIPSE"] += 1
    points = ellipse_points(c, major, minor, start, sweep)
    return [(x, y, 0.0) for x, y in (points[:-1] if closed else points)], closed


def spline(e: Any, g: Gather) -> None:
    ns = e.dxf.__dict__
    layer = g.layer(ns)
    vertices = spline_vertices(e.control_points, e.knots, e.weights, e.fit_points, int(ns.get("degree", 3)), g)
    closed = _ends_meet(vertices)
    g.path(vertices[:-1] if closed else vertices, closed, layer, g.source("SPLINE", ns, layer))


def spline_vertices(control: Any, knots: Any, weights: Any, fit: Any, degree: int, g: Gather) -> Vertices:
    """Arcs where the spline is a circle, straight sides where it is a chain, else chords."""
    if not len(control):
        if not 2 <= len(fit) <= MOST_FIT_POINTS:
            raise ValueError(f"a spline through {len(fit)} points")
        through = fit_points_to_cad_cv([Vec3(p) for p in fit])
        control, knots, weights, degree = through.control_points, through.knots(), (), through.degree
    points = spline_points(control, knots, weights, degree)
    arcs = smooth_arc(points)
    if arcs is not None:
        return [*((a[0], a[1], a[4]) for a in arcs), (arcs[-1][2], arcs[-1][3], 0.0)]
    if degree > 1:
        g.log.chords["SPLINE"] += 1
    return [(x, y, 0.0) for x, y in points.tolist()]


def _ends_meet(v: Vertices) -> bool:
    if len(v) < 3:
        return False
    size = max(abs(v[0][0] - p[0]) + abs(v[0][1] - p[1]) for p in v)
    return abs(v[0][0] - v[-1][0]) + abs(v[0][1] - v[-1][1]) <= CLOSED_SHARE * size


def solid(e: Any, g: Gather) -> None:
    """SOLID and TRACE, whose third and fourth corners are crossed over in the file."""
    ns = e.dxf.__dict__
    kind = e.dxftype()
    layer = g.layer(ns)
    corners = [ns[k] for k in ("vtx0", "vtx1", "vtx3", "vtx2") if k in ns]
    frame = frame_of(ns, corners[0].z, g, kind) if corners else None
    g.path([(p.x, p.y, 0.0) for p in corners], True, layer, g.source(kind, ns, layer, "solid"), frame)


def face3d(e: Any, g: Gather) -> None:
    """3DFACE by its visible edges."""
    ns = e.dxf.__dict__
    layer = g.layer(ns)
    corners = [ns[k] for k in ("vtx0", "vtx1", "vtx2", "vtx3") if k in ns]
    hidden = int(ns.get("invisible_edges", 0))
    source = g.source("3DFACE", ns, layer, "solid")
    if not hidden:
        g.path([(p.x, p.y, 0.0) for p in corners], True, layer, source)
        return
    for i, p in enumerate(corners):
        q = corners[(i + 1) % len(corners)]
        if not hidden >> i & 1:
            g.path([(p.x, p.y, 0.0), (q.x, q.y, 0.0)], False, layer, source)


def hatch(e: Any, g: Gather) -> None:
    ns = e.dxf.__dict__
    kind = e.dxftype()
    layer = g.layer(ns)
    frame = frame_of(ns, ns.get("elevation", Vec3()).z, g, kind)
    source = g.source(kind, ns, layer, "hatch")
    for path in e.paths:
        if hasattr(path, "vertices"):
            g.path([(v[0], v[1], v[2]) for v in path.vertices], bool(path.is_closed), layer, source, frame)
        else:
            _edges([_edge_vertices(edge, g) for edge in path.edges], layer, source, frame, g)


def _edge_vertices(edge: Any, g: Gather) -> Vertices:
    kind = edge.EDGE_TYPE
    if kind == "LineEdge":
        return [(edge.start.x, edge.start.y, 0.0), (edge.end.x, edge.end.y, 0.0)]
    if kind == "ArcEdge":
        v = arc_vertices(edge.center.x, edge.center.y, edge.radius, edge.start_angle, edge.end_angle)
        return v if edge.ccw else _reversed(v)
    if kind == "EllipseEdge":
        major = edge.major_axis
        minor = (-major.y * edge.ratio, major.x * edge.ratio)
        full = abs(edge.end_angle - edge.start_angle) >= 360.0 - 1e-9
        start = edge.start_param
        sweep = 2.0 * math.pi if full else ellipse_sweep(start, edge.end_param)
        v, closed = elliptic_vertices((edge.center.x, edge.center.y), (major.x, major.y), minor, start, sweep, g)
        v = [*v, (v[0][0], v[0][1], 0.0)] if closed else v
        return v if edge.ccw else _reversed(v)
    return spline_vertices(edge.control_points, edge.knot_values, edge.weights, edge.fit_points, int(edge.degree), g)


def _reversed(v: Vertices) -> Vertices:
    return [(p[0], p[1], -q[2]) for p, q in zip(v[::-1], [*v[-2::-1], (0.0, 0.0, 0.0)], strict=True)]


def _edges(chains: list[Vertices], layer: int, source: int, frame: Frame | None, g: Gather) -> None:
    """Hatch edges as one loop where each starts at the end of the last, else one by one."""
    chains = [c for c in chains if len(c) > 1]
    if not chains:
        return
    size = max(abs(p[0]) + abs(p[1]) for c in chains for p in c) or 1.0
    follow = all(
        abs(a[-1][0] - b[0][0]) + abs(a[-1][1] - b[0][1]) <= CLOSED_SHARE * size
        for a, b in zip(chains, [*chains[1:], chains[0]], strict=True)
    )
    if follow:
        g.path([p for c in chains for p in c[:-1]], True, layer, source, frame)
        return
    for c in chains:
        g.path(c, False, layer, source, frame)


def parts(e: Any, g: Gather) -> None:
    """What the library can take apart into simple entities: multilines, meshes, proxy graphics."""
    ns = e.dxf.__dict__
    count = 0
    for part in e.virtual_entities():
        read = READERS.get(part.dxftype())
        if read is not None and read is not parts:
            part.dxf.__dict__.update(layer=ns.get("layer", "0"), handle=ns.get("handle"))
            read(part, g)
        count += 1
        if count > MOST_PARTS:
            raise ValueError(f"more than {MOST_PARTS} parts")
    if not count:
        g.log.not_lines[e.dxftype()] += 1


def text(e: Any, g: Gather) -> None:
    ns = e.dxf.__dict__
    label = text_label(ns, words.plain(ns.get("text", ""), g.log), g)
    if label is not None:
        g.labels.append(label)


def text_label(ns: dict[str, Any], plain: str, g: Gather, tag: str = "", block: str = "") -> Label | None:
    if not plain or "insert" not in ns:
        return None
    x, y = words.text_middle(ns, plain)
    n = ns.get("extrusion")
    if n is not None and n.z < 0.0:
        x = -x
    return Label(
        plain, x, y, float(ns.get("height", 1.0)), g.layer(ns), float(ns.get("rotation", 0.0)), g.handle(ns), tag, block
    )


def mtext(e: Any, g: Gather) -> None:
    ns = e.dxf.__dict__
    plain = words.plain(e.text, g.log, many_lines=True)
    if not plain or "insert" not in ns:
        return
    way = ns.get("text_direction")
    rotation = math.degrees(math.atan2(way.y, way.x)) if way is not None else float(ns.get("rotation", 0.0))
    x, y = words.mtext_middle(ns, plain, rotation)
    g.labels.append(Label(plain, x, y, float(ns.get("char_height", 1.0)), g.layer(ns), rotation, g.handle(ns)))


def multileader(e: Any, g: Gather) -> None:
    """The words at the end of a multileader; its line is no linework of the plan."""
    ns = e.dxf.__dict__
    content = e.context.mtext
    if content is None:
        return
    plain = words.plain(content.default_content, g.log, many_lines=True)
    if plain:
        at = content.insert
        g.labels.append(
            Label(
                plain,
                at.x,
                at.y,
                float(e.context.char_height),
                g.layer(ns),
                math.degrees(content.rotation),
                g.handle(ns),
            )
        )


def attdef(e: Any, g: Gather) -> None:
    """A constant attribute definition shows its text; any other is a template."""
    if not g.top and e.dxf.__dict__.get("flags", 0) & 2:
        text(e, g)


def dimension(e: Any, g: Gather) -> None:
    """Linear, aligned, radial and diameter dimensions; angles and ordinates are no lengths."""
    ns = e.dxf.__dict__
    kind = int(ns.get("dimtype", 0)) & 15
    if kind in (0, 1):
        a, b = ns.get("defpoint2"), ns.get("defpoint3")
    elif kind in (3, 4):
        a, b = ns.get("defpoint"), ns.get("defpoint4")
    else:
        return
    if a is None or b is None:
        raise ValueError("a dimension without its measured points")
    length = _across(a, b, ns) if kind == 0 else (b - a).magnitude
    if not (all(abs(v) < FARTHEST for v in (a.x, a.y, b.x, b.y)) and length < FARTHEST):
        g.log.drop("DIMENSION", g.log.name_in(ns.get("handle") or ""), str(ns.get("layer", "0")))
        return
    said = shown(e, ns, g)
    g.dimensions.append(
        Dimension(a.x, a.y, b.x, b.y, length, said, bare_number(said), g.layer(ns), g.handle(ns), _step(e))
    )


def _across(a: Vec3, b: Vec3, ns: dict[str, Any]) -> float:
    """The distance along the dimension's own direction, in its own plane (seen from below the
    direction is mirrored)."""
    angle = math.radians(float(ns.get("angle", 0.0)))
    n = ns.get("extrusion")
    way = Vec3(math.cos(angle) * (-1.0 if n is not None and n.z < 0.0 else 1.0), math.sin(angle), 0.0)
    return abs(float((b - a).dot(way)))


def _step(e: Any) -> float:
    """What the dimension's style rounds to; 0 where it does not."""
    step = e.override().get("dimrnd", 0.0)
    return float(step) if isinstance(step, int | float) and 0.0 < step < FARTHEST else 0.0


def shown(e: Any, ns: dict[str, Any], g: Gather) -> str:
    """What the sheet shows: the written override, or the words in the dimension's picture."""
    override = str(ns.get("text", "") or "")
    if override.strip() and "<>" not in override:
        return words.plain(override, g.log, many_lines=True)
    block = e.get_geometry_block()
    for part in block or ():
        if part.dxftype() == "MTEXT":
            return words.plain(part.text, g.log, many_lines=True)
        if part.dxftype() == "TEXT":
            return words.plain(part.dxf.get("text", ""), g.log)
    return words.plain(override, g.log, many_lines=True)


def bare_number(said: str) -> float | None:
    """The number in a dimension's words if there is exactly one and it names no unit."""
    if _UNITS.search(said):
        return None
    numbers = _NUMBER.findall(said)
    return float(numbers[0].replace(",", ".")) if len(numbers) == 1 else None


def passed_over(e: Any, g: Gather) -> None:
    """Carries no linework of the plan by its nature."""


READERS: dict[str, Reader] = {
    "LINE": line,
    "ARC": arc,
    "CIRCLE": circle,
    "LWPOLYLINE": lwpolyline,
    "POLYLINE": polyline,
    "ELLIPSE": ellipse,
    "SPLINE": spline,
    "HELIX": spline,
    "SOLID": solid,
    "TRACE": solid,
    "3DFACE": face3d,
    "HATCH": hatch,
    "MPOLYGON": hatch,
    "MLINE": parts,
    "ACAD_PROXY_ENTITY": parts,
    "TEXT": text,
    "MTEXT": mtext,
    "ATTDEF": attdef,
    "DIMENSION": dimension,
    "MULTILEADER": multileader,
    "MLEADER": multileader,
    "LEADER": passed_over,
    "POINT": passed_over,
    "VIEWPORT": passed_over,
    "TOLERANCE": passed_over,
    "WIPEOUT": passed_over,
    "RAY": passed_over,
    "XLINE": passed_over,
    "SEQEND": passed_over,
    "ATTRIB": passed_over,
    "LIGHT": passed_over,
    "SUN": passed_over,
    "SHAPE": passed_over,
}
"""Kinds that are not here are counted and reported."""

LINEWORK = frozenset(
    {
        "LINE",
        "ARC",
        "CIRCLE",
        "LWPOLYLINE",
        "POLYLINE",
        "ELLIPSE",
        "SPLINE",
        "HELIX",
        "SOLID",
        "TRACE",
        "3DFACE",
        "HATCH",
        "MPOLYGON",
        "MLINE",
        "INSERT",
    }
)
