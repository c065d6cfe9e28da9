"""Invented floor plans with known truth, drawn in many styles and with many kinds of noise.

``plan(seed)`` is a whole plan; ``drawing(plan)`` its linework in mm as recognition gets it;
``write_dxf(plan, path)`` the same as a file in the plan's own unit. All of it is made up.
"""

from __future__ import annotations

import itertools
import math
import random
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import shapely
from shapely.affinity import affine_transform

from takeoff.drawing.model import Drawing, Label, Layer, LineSource, Linework, Loop

STYLES = (
    "bodies",
    "pieces",
    "uncapped",
    "single",
    "jambs",
    "outlines",
    "columns",
    "glazed",
    "curved",
    "skewed",
    "boxes",
)
UNITS = {"mm": (4, 1.0), "m": (6, 1000.0), "in": (1, 25.4), "none": (0, 1.0)}
NAMES = ("Office", "Küche", "Bad", "Flur", "Salle d'eau", "Спальня", "Κουζίνα", "Store", "Meeting", "Plant")
LAYERS = {
    "aia": {
        "wall": "A-WALL",
        "door": "A-DOOR",
        "glass": "A-GLAZ",
        "text": "A-ANNO-TEXT",
        "furniture": "A-FURN",
        "column": "S-COLS",
        "area": "A-AREA",
    },
    "german": {
        "wall": "Wände",
        "door": "Türen",
        "glass": "Fenster",
        "text": "Beschriftung",
        "furniture": "Möbel",
        "column": "Stützen",
        "area": "Räume",
    },
    "iso": {
        "wall": "A-21----E-",
        "door": "A-32----E-",
        "glass": "A-31----E-",
        "text": "A-21----T-",
        "furniture": "A-FURN",
        "column": "A-28----E-",
        "area": "A-AREA",
    },
}


@dataclass
class TrueRoom:
    name: str
    polygon: shapely.Polygon
    area_m2: float


@dataclass
class TrueOpening:
    kind: str
    width_mm: float
    at: tuple[float, float]


@dataclass
class Plan:
    name: str
    style: str
    unit: str = "mm"
    rooms: list[TrueRoom] = field(default_factory=list)
    openings: list[TrueOpening] = field(default_factory=list)
    lines: list[tuple[float, float, float, float, str]] = field(default_factory=list)
    arcs: list[tuple[float, float, float, float, float, str]] = field(default_factory=list)
    loops: list[tuple[tuple[tuple[float, float, float], ...], str]] = field(default_factory=list)
    texts: list[tuple[str, float, float, str]] = field(default_factory=list)


@dataclass
class _Gap:
    kind: str
    quad: shapely.Polygon
    a: np.ndarray
    d: np.ndarray
    width: float
    thickness: float


def plan(seed: int, style: str | None = None) -> Plan:
    """Plan number ``seed``; every style comes up in turn."""
    r = random.Random(seed)
    style = style or STYLES[seed % len(STYLES)]
    names = LAYERS[r.choice(("aia", "aia", "german", "iso"))]
    found = Plan(f"invented {seed} {style}", style, r.choice(tuple(UNITS)))
    if style == "curved":
        _curved(found, r, names)
    else:
        _straight(found, r, names, style)
    _words(found, r, names)
    if r.random() < 0.6:
        _furniture(found, r, names)
    _noise(found, r)
    _move(found, r.choice((0.0, 0.0, 17.0)), r.choice(((0.0, 0.0), (4e6, -4e6))))
    return found


def _cells(r: random.Random, skew: float) -> list[shapely.Polygon]:
    """A rectangle split until the pieces are rooms; then sheared."""
    todo = [(0.0, 0.0, r.randrange(9000, 26000, 250), r.randrange(7000, 18000, 250))]
    done: list[tuple[float, float, float, float]] = []
    while todo:
        x0, y0, x1, y1 = todo.pop()
        w, h = x1 - x0, y1 - y0
        if max(w, h) < 4200 or (max(w, h) < 6500 and r.random() < 0.3):
            done.append((x0, y0, x1, y1))
        elif w > h:
            x = round((x0 + w * r.uniform(0.38, 0.62)) / 50) * 50
            todo += [(x0, y0, x, y1), (x, y0, x1, y1)]
        else:
            y = round((y0 + h * r.uniform(0.38, 0.62)) / 50) * 50
            todo += [(x0, y0, x1, y), (x0, y, x1, y1)]
    cells = [shapely.box(*c) for c in done]
    return [affine_transform(c, (1, skew, 0, 1, 0, 0)) for c in cells]


def _shared_sides(cells: list[shapely.Polygon]) -> list[tuple[int, int, np.ndarray, np.ndarray]]:
    """(cell, cell or -1, start, end) of every straight border between two cells, or outside, which
    then lies to the right."""
    found = []
    for i, a in enumerate(cells):
        rest = shapely.get_exterior_ring(a)
        for j, b in enumerate(cells):
            if i == j:
                continue
            common = shapely.intersection(a, b)
            if common.length > 0:
                rest = shapely.difference(rest, common.buffer(1))
                if i < j:
                    xy = shapely.get_coordinates(common)
                    found.append((i, j, xy[0], xy[-1]))
        for piece in shapely.get_parts(rest):
            xy = shapely.get_coordinates(piece)
            for p, q in itertools.pairwise(xy):
                d = (q - p) / max(float(np.hypot(*(q - p))), 1e-9)
                left = shapely.Point((p + q) / 2 + np.array([-d[1], d[0]]) * 10)
                found.append((i, -1, p, q) if a.contains(left) else (i, -1, q, p))
    return found


def _openings(r: random.Random, cells: list[shapely.Polygon], t_in: float, t_out: float) -> list[_Gap]:
    """A door from every room to a neighbour reached before, and windows in outer walls."""
    sides = [s for s in _shared_sides(cells) if np.hypot(*(s[3] - s[2])) > 1900]
    reached, gaps = {0}, []
    inner = [s for s in sides if s[1] >= 0]
    r.shuffle(inner)
    progress = True
    while progress:
        progress = False
        for i, j, p, q in inner:
            if (i in reached) != (j in reached):
                reached |= {i, j}
                gaps.append(_gap("door", p, q, r.choice((762, 864, 900, 1010)), t_in, 0.0, r))
                progress = True
    for _, j, p, q in sides:
        if j < 0 and r.random() < 0.7:
            wide = min(r.choice((900, 1200, 1510, 2400)), np.hypot(*(q - p)) - 900)
            gaps.append(_gap("window", p, q, wide, t_out, t_out / 2 - t_in / 2, r))
    first = next((s for s in sides if s[1] < 0 and s[0] == 0), None)
    if first is not None and not any(g.kind == "window" and _beside(g, first) for g in gaps):
        gaps.append(_gap("door", first[2], first[3], 1010, t_out, t_out / 2 - t_in / 2, r))
    return gaps


def _beside(gap: _Gap, side: tuple[int, int, np.ndarray, np.ndarray]) -> bool:
    return gap.quad.distance(shapely.LineString([side[2], side[3]])) < 50


def _gap(kind: str, p: np.ndarray, q: np.ndarray, width: float, thickness: float, out: float, r: random.Random) -> _Gap:
    length = float(np.hypot(*(q - p)))
    d = (q - p) / length
    n = np.array([-d[1], d[0]])
    start = r.uniform(400, max(401, length - width - 400))
    a = p + d * start - n * out
    half = n * (thickness / 2)
    quad = shapely.Polygon([a - half, a + d * width - half, a + d * width + half, a + half])
    return _Gap(kind, quad, a, d, width, thickness)


def _straight(found: Plan, r: random.Random, names: dict[str, str], style: str) -> None:
    t_in = r.choice((100.0, 125.0, 150.0))
    t_out = r.choice((250.0, 300.0, 365.0))
    cells = _cells(r, 0.2 if style == "skewed" else 0.0)
    hull = shapely.union_all(cells)
    if style == "single":
        rooms, outer = cells, hull
        t_in = t_out = 0.0
    else:
        rooms = [c.buffer(-t_in / 2, join_style="mitre", mitre_limit=10) for c in cells]
        outer = hull.buffer(t_out - t_in / 2, join_style="mitre", mitre_limit=10)
    gaps = _openings(r, cells, max(t_in, 40.0), max(t_out, 40.0))
    if style == "outlines":
        gaps = []
    columns = _columns(r, rooms) if style == "columns" else []
    for number, room in enumerate(rooms):
        shape = room.difference(shapely.union_all(columns)) if columns else room
        name = f"{NAMES[number % len(NAMES)]} {number + 1:02d}"
        found.rooms.append(TrueRoom(name, shape, shape.area / 1e6))
    for gap in gaps:
        c = gap.quad.centroid
        found.openings.append(TrueOpening(gap.kind, gap.width, (c.x, c.y)))
    for column in columns:
        _ring(found, column, names["column"])
    solid = outer.difference(shapely.union_all(rooms))
    _draw(found, r, names, style, solid, rooms, cells, gaps)


def _columns(r: random.Random, rooms: list[shapely.Polygon]) -> list[shapely.Polygon]:
    found = []
    for room in rooms:
        if room.area > 14e6 and r.random() < 0.7:
            c = room.centroid
            if r.random() < 0.5:
                found.append(shapely.box(c.x - 200, c.y - 200, c.x + 200, c.y + 200))
            else:
                x0, _y0, _, _ = room.bounds
                found.append(shapely.box(x0, c.y - 150, x0 + 300, c.y + 150))
    return found


def _ring(found: Plan, polygon: shapely.Polygon, layer: str) -> None:
    for ring in (polygon.exterior, *polygon.interiors):
        found.loops.append((tuple((x, y, 0.0) for x, y in ring.coords[:-1]), layer))


def _draw(
    found: Plan,
    r: random.Random,
    names: dict[str, str],
    style: str,
    solid: shapely.Polygon,
    rooms: list[shapely.Polygon],
    cells: list[shapely.Polygon],
    gaps: list[_Gap],
) -> None:
    if style == "outlines":
        for room in rooms:
            _ring(found, room, names["area"])
        return
    if style == "single":
        _single(found, cells, gaps, names)
    elif style == "boxes":
        _boxes(found, cells, rooms, solid, gaps, names["wall"])
    elif style == "jambs":
        for ring in _rings_of(solid):
            _as_lines(found, ring, names["wall"])
        for gap in gaps:
            c = shapely.get_coordinates(gap.quad)
            for k in (1, 3):
                found.lines.append((*c[k], *c[k + 1], names["wall"]))
    else:
        cut = solid.difference(shapely.union_all([_longer(g.quad) for g in gaps])) if gaps else solid
        for part in shapely.get_parts(cut):
            if style in ("bodies", "columns", "glazed"):
                _ring(found, part, names["wall"])
            else:
                _pieces(found, r, part, names["wall"], gaps if style == "uncapped" else [])
    for gap in gaps:
        _fill(found, r, gap, names)


def _longer(quad: shapely.Polygon) -> shapely.Polygon:
    """The same gap, a little deeper than the wall, so that no sliver stays."""
    c = shapely.get_coordinates(quad)
    n = (c[3] - c[0]) / np.hypot(*(c[3] - c[0]))
    return shapely.Polygon([c[0] - n, c[1] - n, c[2] + n, c[3] + n])


def _rings_of(polygon: shapely.Polygon) -> list[shapely.LinearRing]:
    return [ring for part in shapely.get_parts(polygon) for ring in (part.exterior, *part.interiors)]


def _as_lines(found: Plan, ring: shapely.LinearRing, layer: str) -> None:
    xy = shapely.get_coordinates(ring)
    for p, q in itertools.pairwise(xy):
        found.lines.append((*p, *q, layer))


def _pieces(found: Plan, r: random.Random, part: shapely.Polygon, layer: str, open_at: list[_Gap]) -> None:
    """The outline in single lines, long ones in two; wall ends at gaps left open if asked."""
    for ring in (part.exterior, *part.interiors):
        xy = shapely.get_coordinates(ring.simplify(0.01))
        for p, q in itertools.pairwise(xy):
            middle = shapely.Point((p + q) / 2)
            if any(
                g.quad.exterior.distance(middle) < 2
                and abs(np.hypot(*(q - p)) - g.thickness) < 5
                and abs(float((q - p) @ g.d)) < 5
                for g in open_at
            ):
                continue
            if np.hypot(*(q - p)) > 2500 and r.random() < 0.5:
                m = p + (q - p) * r.uniform(0.3, 0.7)
                found.lines += [(*p, *m, layer), (*m, *q, layer)]
            else:
                found.lines.append((*p, *q, layer))


def _boxes(
    found: Plan,
    cells: list[shapely.Polygon],
    rooms: list[shapely.Polygon],
    solid: shapely.Polygon,
    gaps: list[_Gap],
    layer: str,
) -> None:
    """Every wall its own closed rectangle, lapping over the next at corners and junctions."""
    cut = shapely.union_all([_longer(g.quad) for g in gaps]) if gaps else shapely.Polygon()
    t_in = _thickness(cells, rooms)
    x0, y0, x1, y1 = solid.bounds
    t_out = shapely.union_all(cells).bounds[0] - x0 + t_in / 2
    for _, j, p, q in _shared_sides(cells):
        d = (q - p) / np.hypot(*(q - p))
        n = np.array([-d[1], d[0]])
        if j >= 0:
            near, far, past = n * t_in / 2, -n * t_in / 2, t_in / 2
        else:
            near, far, past = n * t_in / 2, -n * (t_out - t_in / 2), t_in / 2
        ends = (p - d * past, q + d * past)
        wall = shapely.Polygon([ends[0] + near, ends[1] + near, ends[1] + far, ends[0] + far])
        for part in shapely.get_parts(wall.intersection(shapely.box(x0, y0, x1, y1)).difference(cut)):
            if part.geom_type == "Polygon" and part.area > 1:
                _ring(found, part, layer)
    for x, y in ((x0, y0), (x0, y1 - t_out), (x1 - t_out, y0), (x1 - t_out, y1 - t_out)):
        _ring(found, shapely.box(x, y, x + t_out, y + t_out), layer)


def _thickness(cells: list[shapely.Polygon], rooms: list[shapely.Polygon]) -> float:
    return 2 * (rooms[0].bounds[0] - cells[0].bounds[0])


def _single(found: Plan, cells: list[shapely.Polygon], gaps: list[_Gap], names: dict[str, str]) -> None:
    net = shapely.union_all([c.exterior for c in cells])
    if gaps:
        net = net.difference(shapely.union_all([g.quad for g in gaps if g.kind == "door"]))
    for piece in shapely.get_parts(shapely.line_merge(net)):
        xy = shapely.get_coordinates(piece)
        for p, q in itertools.pairwise(xy):
            found.lines.append((*p, *q, names["wall"]))


def _fill(found: Plan, r: random.Random, gap: _Gap, names: dict[str, str]) -> None:
    """A door's leaf and swing, or a window's frame lines."""
    n = np.array([-gap.d[1], gap.d[0]])
    if gap.kind == "door":
        way = r.choice((-1.0, 1.0))
        hinge = gap.a + n * way * gap.thickness / 2
        tip, closed = hinge + n * way * gap.width, hinge + gap.d * gap.width
        found.lines.append((*hinge, *tip, names["door"]))
        bulge = math.tan(math.pi / 8)
        ends = (*closed, *tip) if way > 0 else (*tip, *closed)
        found.arcs.append((*ends, bulge, names["door"]))
        return
    for off in (-0.2, 0.0, 0.2):
        p = gap.a + n * off * gap.thickness
        found.lines.append((*p, *(p + gap.d * gap.width), names["glass"]))


def _curved(found: Plan, r: random.Random, names: dict[str, str]) -> None:
    """Rooms side by side between two concentric walls, parted by radial ones."""
    t = r.choice((120.0, 200.0))
    r1, r2 = r.choice((4000.0, 7000.0)), 0.0
    r2 = r1 + r.choice((4000.0, 5500.0))
    count = r.randint(3, 6)
    step = math.radians(r.uniform(28, 40))
    h = t / 2
    lo, hi = r1 + h, r2 - h
    for k in range(count):
        a, b = k * step, (k + 1) * step
        corners = [_off_ray(a, h, lo), _off_ray(a, h, hi), _off_ray(b, -h, hi), _off_ray(b, -h, lo)]
        sweep_out = step - 2 * math.asin(h / hi)
        sweep_in = step - 2 * math.asin(h / lo)
        ring = (
            (*corners[0], 0.0),
            (*corners[1], math.tan(sweep_out / 4)),
            (*corners[2], 0.0),
            (*corners[3], -math.tan(sweep_in / 4)),
        )
        polygon = _fine(ring)
        area = polygon.area / 1e6
        found.rooms.append(TrueRoom(f"{NAMES[k % len(NAMES)]} {k + 1:02d}", polygon, area))
        found.loops.append((ring, names["wall"]))
    a, b = 0.0, count * step
    ends = [_off_ray(a, -h, r1 - h), _off_ray(a, -h, r2 + h), _off_ray(b, h, r2 + h), _off_ray(b, h, r1 - h)]
    sweep_out = b + 2 * math.asin(h / (r2 + h))
    sweep_in = b + 2 * math.asin(h / (r1 - h))
    found.loops.append(
        (
            (
                (*ends[0], 0.0),
                (*ends[1], math.tan(sweep_out / 4)),
                (*ends[2], 0.0),
                (*ends[3], -math.tan(sweep_in / 4)),
            ),
            names["wall"],
        )
    )


def _off_ray(angle: float, off: float, radius: float) -> tuple[float, float]:
    """Where the line beside a ray, off to its left, meets a circle."""
    along = math.sqrt(radius * radius - off * off)
    c, s = math.cos(angle), math.sin(angle)
    return along * c - off * s, along * s + off * c


def _fine(ring: tuple[tuple[float, float, float], ...], steps: int = 400) -> shapely.Polygon:
    points = []
    for (x0, y0, b), (x1, y1, _) in zip(ring, ring[1:] + ring[:1], strict=True):
        if b == 0:
            points.append((x0, y0))
            continue
        p, q = complex(x0, y0), complex(x1, y1)
        centre = (p + q) / 2 + 1j * (q - p) * (1 - b * b) / (4 * b)
        for k in range(steps):
            z = centre + (p - centre) * complex(
                math.cos(4 * math.atan(b) * k / steps), math.sin(4 * math.atan(b) * k / steps)
            )
            points.append((z.real, z.imag))
    return shapely.Polygon(points)


def _words(found: Plan, r: random.Random, names: dict[str, str]) -> None:
    areas = r.random() < 0.6
    for room in found.rooms:
        p = shapely.maximum_inscribed_circle(room.polygon).coords[0]
        found.texts.append((room.name, p[0], p[1] + 120, names["text"]))
        if areas:
            found.texts.append((f"{room.area_m2:.2f} m²", p[0], p[1] - 200, names["text"]))


def _furniture(found: Plan, r: random.Random, names: dict[str, str]) -> None:
    for room in found.rooms:
        if room.area_m2 > 9 and r.random() < 0.7:
            x, y = shapely.maximum_inscribed_circle(room.polygon).coords[0]
            corners = ((x - 700, y - 400), (x + 700, y - 400), (x + 700, y + 400), (x - 700, y + 400))
            ring = tuple((*corner, 0.0) for corner in corners)
            found.loops.append((ring, names["furniture"]))
            found.arcs.append((x - 250, y, x + 250, y, 1.0, names["furniture"]))
            found.arcs.append((x + 250, y, x - 250, y, 1.0, names["furniture"]))


def _noise(found: Plan, r: random.Random) -> None:
    """Gaps and overshoots at the ends of lines, and lines drawn twice."""
    kind = r.choice(("clean", "gaps", "overshoots", "duplicates", "all"))
    moved = []
    for x0, y0, x1, y1, layer in found.lines:
        d = np.array([x1 - x0, y1 - y0])
        length = float(np.hypot(*d))
        d = d / length if length else d
        s, e = 0.0, 0.0
        if kind in ("gaps", "all") and length > 60:
            s, e = r.uniform(0, 2.2), -r.uniform(0, 2.2)
        if kind in ("overshoots", "all") and length > 400 and r.random() < 0.3:
            e = r.uniform(1, 15)
        moved.append((x0 + d[0] * s, y0 + d[1] * s, x1 + d[0] * e, y1 + d[1] * e, layer))
        if kind in ("duplicates", "all") and r.random() < 0.2:
            moved.append(moved[-1] if r.random() < 0.5 else (x1, y1, x0, y0, layer))
    found.lines = moved
    if kind in ("duplicates", "all"):
        found.loops += [loop for loop in found.loops if r.random() < 0.15]


def _move(found: Plan, degrees: float, shift: tuple[float, float]) -> None:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))

    def place(x: float, y: float) -> tuple[float, float]:
        return x * c - y * s + shift[0], x * s + y * c + shift[1]

    matrix = (c, -s, s, c, *shift)
    found.lines = [(*place(a, b), *place(x, y), layer) for a, b, x, y, layer in found.lines]
    found.arcs = [(*place(a, b), *place(x, y), bulge, layer) for a, b, x, y, bulge, layer in found.arcs]
    found.loops = [(tuple((*place(x, y), b) for x, y, b in ring), layer) for ring, layer in found.loops]
    found.texts = [(text, *place(x, y), layer) for text, x, y, layer in found.texts]
    for room in found.rooms:
        room.polygon = affine_transform(room.polygon, matrix)
    for opening in found.openings:
        opening.at = place(*opening.at)


def drawing(found: Plan) -> Drawing:
    """The plan as recognition gets it: in mm."""
    used = [row[-1] for rows in (found.lines, found.arcs, found.loops, found.texts) for row in rows]
    layers = list(dict.fromkeys(used))
    number = {name: k for k, name in enumerate(layers)}
    segments = [(*row[:4], number[row[4]]) for row in found.lines]
    arcs = [(*row[:5], number[row[5]]) for row in found.arcs]
    for ring, layer in found.loops:
        for (x0, y0, b), (x1, y1, _) in zip(ring, ring[1:] + ring[:1], strict=True):
            if b:
                arcs.append((x0, y0, x1, y1, b, number[layer]))
            else:
                segments.append((x0, y0, x1, y1, number[layer]))
    s = np.array(segments, float).reshape(-1, 5)
    a = np.array(arcs, float).reshape(-1, 6)
    lines = Linework(
        s[:, :4].copy(),
        s[:, 4].astype(np.int32),
        np.zeros(len(s), np.int32),
        a[:, :5].copy(),
        a[:, 5].astype(np.int32),
        np.zeros(len(a), np.int32),
    )
    return Drawing(
        name=found.name,
        layers=tuple(Layer(n) for n in layers),
        lines=lines,
        loops=tuple(Loop(ring, number[layer]) for ring, layer in found.loops),
        labels=tuple(Label(t, x, y, 150.0, number[layer]) for t, x, y, layer in found.texts),
        sources=(LineSource("LINE"),),
        unit="mm",
        unit_mm=1.0,
    )


def write_dxf(found: Plan, path: Path) -> None:
    """The plan as a file, in its own unit."""
    import ezdxf

    code, factor = UNITS[found.unit]
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = code
    space = document.modelspace()

    def scaled(*values: float) -> list[float]:
        return [v / factor for v in values]

    for x0, y0, x1, y1, layer in found.lines:
        space.add_line(scaled(x0, y0), scaled(x1, y1), {"layer": layer})
    for x0, y0, x1, y1, bulge, layer in found.arcs:
        points = [(*scaled(x0, y0), bulge), (*scaled(x1, y1), 0)]
        space.add_lwpolyline(points, format="xyb", dxfattribs={"layer": layer})
    for ring, layer in found.loops:
        points = [(*scaled(x, y), b) for x, y, b in ring]
        space.add_lwpolyline(points, format="xyb", close=True, dxfattribs={"layer": layer})
    for text, x, y, layer in found.texts:
        space.add_text(text, height=150 / factor, dxfattribs={"layer": layer, "insert": scaled(x, y)})
    document.saveas(path)
