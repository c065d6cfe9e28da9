"""Invented office floors as they come from practice: rings of corridors round a core or a court, halls,
walls as bodies, overlapping boxes, single lines in pieces or open outlines, thin partitions among thick
walls, columns in, beside and away from walls, glazed fronts, and what is drawn over all of it."""

from __future__ import annotations

import itertools
import math
import random
from dataclasses import dataclass, field

import numpy as np
import shapely
from invented import LAYERS, NAMES, Plan, TrueOpening, TrueRoom, _Gap, _move, _ring

WALLS = ("bodies", "boxes", "lines", "open")
FRONTS = ("punched", "curtain", "mullions", "strip")
KINDS = ("core", "court", "hall")


@dataclass
class Choice:
    """How one floor is drawn."""

    kind: str
    walls: str
    front: str
    singles: bool
    columns: str
    doors: str
    layers: dict[str, str]
    over: bool
    bent: bool = False
    bay: float = 3000.0
    count: int = 16
    deep: float = 5400.0
    hall: float = 1900.0
    core: float = 6200.0
    outer: float = 300.0
    corridor: float = 150.0
    partition: float = 100.0


@dataclass
class Parts:
    """Rooms by name, doors, single partitions, and walls as boxes."""

    rooms: list[tuple[str, shapely.Polygon]] = field(default_factory=list)
    gaps: list[_Gap] = field(default_factory=list)
    singles: list[tuple[float, float, float, float]] = field(default_factory=list)
    columns: list[shapely.Polygon] = field(default_factory=list)


def choose(seed: int) -> Choice:
    """The styles of floor number ``seed``; every style of walls and fronts comes up in turn."""
    r = random.Random(1000 + seed)
    names = dict(LAYERS[r.choice(("aia", "german", "iso"))], stair="A-FLOR-STRS", grid="S-GRID")
    said = r.random()
    if said < 0.3:
        names = {k: ("text" if k == "text" else f"L{number}") for number, k in enumerate(names)}
    elif said < 0.45:
        names = {k: ("text" if k == "text" else "0") for k in names}
    return Choice(
        kind=KINDS[seed % 3],
        walls=WALLS[seed % 4],
        front=FRONTS[(seed // 2) % 4],
        singles=r.random() < 0.5,
        columns=r.choice(("none", "in", "beside", "free")),
        doors=r.choice(("leaf", "swing", "plain", "sill")),
        layers=names,
        over=r.random() < 0.6,
        bay=r.choice((2700.0, 3000.0, 3300.0)),
        count=r.randint(14, 22),
        outer=r.choice((250.0, 300.0, 365.0)),
        corridor=r.choice((125.0, 150.0, 200.0)),
        partition=r.choice((75.0, 100.0, 125.0)),
    )


def floor(seed: int, style: Choice | None = None) -> Plan:
    """A floor of 40 to 80 rooms."""
    r = random.Random(seed)
    c = style or choose(seed)
    parts = _layout(r, c)
    found = Plan(f"floor {seed} {c.kind} {c.walls} {c.front}", "floor")
    wide, high = c.bay * c.count, 2 * (c.deep + c.hall) + c.core
    _walls(found, r, c, parts, wide, high)
    blocked = shapely.union_all(parts.columns) if parts.columns else shapely.Polygon()
    for name, shape in parts.rooms:
        cut = max(shapely.get_parts(shape.difference(blocked)), key=lambda p: float(p.area))
        found.rooms.append(TrueRoom(name, cut, cut.area / 1e6))
    for column in parts.columns:
        _ring(found, column, c.layers["column"])
    for gap in parts.gaps:
        centre = gap.quad.centroid
        found.openings.append(TrueOpening("door", gap.width, (centre.x, centre.y)))
        _door(found, r, gap, c)
    _labels(found, r, c)
    _inside(found, r, c)
    if c.over:
        _over(found, r, c, wide, high)
    if c.bent:
        _bend(found, 2.0 * wide)
    _move(found, r.choice((0.0, 0.0, 17.0)), r.choice(((0.0, 0.0), (4e6, -4e6))))
    return found


# -- the layout: fronts at y = 0 and y = high, inner faces of the outer walls


def _layout(r: random.Random, c: Choice) -> Parts:
    parts = Parts()
    wide, high = c.bay * c.count, 2 * (c.deep + c.hall) + c.core
    end = c.bay * 2 if c.kind == "hall" else 0.0
    _row(parts, r, c, 0.0, c.deep, wide - end, True)
    _row(parts, r, c, high, high - c.deep, wide - end, False)
    y0, y1 = c.deep + c.corridor / 2, high - c.deep - c.corridor / 2
    x1 = wide - end - (c.corridor / 2 if end else 0.0)
    inner = shapely.box(c.hall, c.deep + c.hall, x1 - c.hall, high - c.deep - c.hall)
    ring = shapely.box(0.0, y0, x1, y1).difference(inner)
    parts.rooms.append(("Corridor 100", ring))
    if c.kind == "court":
        parts.rooms.append(("Court", inner.buffer(-c.outer, join_style="mitre")))
        parts.gaps.append(_gap_y(c.hall + c.outer / 2, c.deep + c.hall + 2000, 1200.0, c.outer))
    else:
        _core(parts, r, inner)
    if end:
        hall = shapely.box(wide - end + c.corridor / 2, 0.0, wide, high)
        parts.rooms.append(("Hall 001", hall))
        parts.gaps.append(_gap_y(wide - end, high / 2 - 900, 1800.0, c.corridor))
    parts.gaps.append(_gap_y(-c.outer / 2, high / 2 - 700, 1400.0, c.outer))
    _columns(parts, c, wide, high)
    return parts


def _row(parts: Parts, r: random.Random, c: Choice, front: float, back: float, wide: float, low: bool) -> None:
    """Rooms of one to three bays along one front."""
    edges, at = [0.0], 0
    count = round(wide / c.bay)
    while at < count:
        at = min(at + r.choice((1, 1, 1, 2, 2, 3)), count)
        edges.append(at * c.bay)
    edges[-1] = wide
    single = [c.singles and r.random() < 0.4 and 0 < k < len(edges) - 1 for k in range(len(edges))]
    y0, y1 = (front, back - c.corridor / 2) if low else (back + c.corridor / 2, front)
    for k, (a, b) in enumerate(itertools.pairwise(edges)):
        left = 0.0 if k == 0 or single[k] else c.partition / 2
        right = 0.0 if single[k + 1] else c.partition / 2
        if k + 2 == len(edges):
            right = 0.0 if c.kind != "hall" else c.corridor / 2
        name = f"{r.choice(NAMES)} {(1 if low else 2) * 100 + k + 1}"
        parts.rooms.append((name, shapely.box(a + left, y0, b - right, y1)))
        if single[k]:
            parts.singles.append((a, y0, a, y1))
        width = r.choice((864.0, 900.0, 1010.0))
        x = r.uniform(a + 350, b - 350 - width)
        parts.gaps.append(_gap_x(x, back, width, c.corridor))


def _core(parts: Parts, r: random.Random, inner: shapely.Polygon) -> None:
    """Two rows of stairs, lifts, stores and lavatories back to back."""
    t = 200.0
    x0, y0, x1, y1 = inner.bounds
    middle = (y0 + y1) / 2
    for low, (a, b) in ((True, (y0 + t, middle - t / 2)), (False, (middle + t / 2, y1 - t))):
        x, k = x0 + t, 0
        while x < x1 - t - 100:
            width = min(r.choice((1900.0, 2400.0, 2800.0, 5000.0, 4200.0)), x1 - t - x)
            if x1 - t - x - width < 2100.0:
                width = x1 - t - x
            kind = r.choice(("Stair", "Lift", "Store", "WC", "Plant"))
            parts.rooms.append((f"{kind} {(3 if low else 4) * 100 + k}", shapely.box(x, a, x + width, b)))
            door = min(900.0, width - 500)
            parts.gaps.append(_gap_x(x + 250, y0 + t / 2 if low else y1 - t / 2, door, t))
            x, k = x + width + t, k + 1


def _gap_x(x: float, y: float, width: float, t: float) -> _Gap:
    quad = shapely.box(x, y - t / 2, x + width, y + t / 2)
    return _Gap("door", quad, np.array([x, y]), np.array([1.0, 0.0]), width, t)


def _gap_y(x: float, y: float, width: float, t: float) -> _Gap:
    quad = shapely.box(x - t / 2, y, x + t / 2, y + width)
    return _Gap("door", quad, np.array([x, y]), np.array([0.0, 1.0]), width, t)


def _columns(parts: Parts, c: Choice, wide: float, high: float) -> None:
    """Every two bays: in the corridor walls, just beside the fronts, or free in the rooms."""
    if c.columns == "none":
        return
    doors = shapely.union_all([g.quad.buffer(1200) for g in parts.gaps])
    for x in np.arange(2 * c.bay, wide - c.bay, 2 * c.bay):
        for low in (True, False):
            y = {"in": c.deep, "beside": 200.0, "free": 1500.0}[c.columns]
            y = y if low else high - y
            size = 200.0
            column = shapely.box(x + 250 - size, y - size, x + 250 + size, y + size)
            if not column.intersects(doors):
                parts.columns.append(column)


# -- walls


def _walls(found: Plan, r: random.Random, c: Choice, parts: Parts, wide: float, high: float) -> None:
    glazed = c.front in ("curtain", "mullions")
    shell = shapely.box(-c.outer, 0.0 if glazed else -c.outer, wide + c.outer, high if glazed else high + c.outer)
    solid = shell.difference(shapely.union_all([p for _, p in parts.rooms]))
    if c.columns in ("beside", "free", "in"):
        solid = solid.difference(shapely.union_all(parts.columns)) if c.columns == "in" else solid
    windows = [] if glazed else _windows(r, c, wide, high)
    cuts = [shapely.box(*_grown(g.quad.bounds)) for g in (*parts.gaps, *windows)]
    solid = solid.difference(shapely.union_all(cuts)).buffer(-0.01).buffer(0.01, join_style="mitre")
    layer = c.layers["wall"]
    for part in shapely.get_parts(solid):
        if part.area < 1e3:
            continue
        if c.walls == "bodies":
            _ring(found, part.simplify(0.05), layer)
        elif c.walls == "boxes":
            _as_boxes(found, part, layer)
        else:
            _as_lines(found, r, part, layer, c.walls == "open")
    for x0, y0, x1, y1 in parts.singles:
        found.lines.append((x0, y0, x1, y1, layer))
    for gap in windows:
        _window(found, gap, c)
    if glazed:
        _front(found, r, c, wide, high)


def _grown(bounds: tuple[float, ...]) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = bounds
    return (x0, y0 - 1, x1, y1 + 1) if x1 - x0 > y1 - y0 else (x0 - 1, y0, x1 + 1, y1)


def _as_boxes(found: Plan, part: shapely.Polygon, layer: str) -> None:
    """A body as the strips it falls into, each its own closed outline, lapping at the corners."""
    xs = sorted({round(x, 1) for x, _ in shapely.get_coordinates(part)})
    ys = sorted({round(y, 1) for _, y in shapely.get_coordinates(part)})
    for lines, turned in ((ys, False), (xs, True)):
        for a, b in itertools.pairwise(lines):
            if not 20 < b - a < 450:
                continue
            strip = shapely.box(a, -1e6, b, 1e6) if turned else shapely.box(-1e6, a, 1e6, b)
            for piece in shapely.get_parts(part.intersection(strip)):
                x0, y0, x1, y1 = piece.bounds if piece.area > 1 else (0, 0, 0, 0)
                long = (y1 - y0) if turned else (x1 - x0)
                if long >= b - a - 1 and piece.area > 0.99 * (x1 - x0) * (y1 - y0) > 1e3:
                    _ring(found, shapely.box(x0, y0, x1, y1), layer)


def _as_lines(found: Plan, r: random.Random, part: shapely.Polygon, layer: str, open_ends: bool) -> None:
    """A body's outline as single lines with small faults; with ``open_ends`` without short end lines."""
    for ring in (part.exterior, *part.interiors):
        xy = shapely.get_coordinates(ring.simplify(0.05))
        for p, q in itertools.pairwise(xy):
            length = float(np.hypot(*(q - p)))
            if open_ends and length < 210 and r.random() < 0.6:
                continue
            d = (q - p) / max(length, 1e-9)
            s, e = (r.uniform(-2, 2), r.uniform(-2, 2)) if length > 60 else (0.0, 0.0)
            found.lines.append((*(p + d * s), *(q + d * e), layer))
            if r.random() < 0.1:
                found.lines.append((*p, *(p + d * length * 0.6), layer))


# -- fronts and doors


def _windows(r: random.Random, c: Choice, wide: float, high: float) -> list[_Gap]:
    """Single windows, or strips of several bays that run past the partitions."""
    gaps = []
    step = c.bay * (3 if c.front == "strip" else 1)
    for y in (-c.outer / 2, high + c.outer / 2):
        for x in np.arange(0.0, wide - step + 1, step):
            if c.front == "strip":
                gaps.append(_glass(_gap_x(x + 300, y, step - 600, c.outer)))
            elif r.random() < 0.85:
                width = min(1500.0, c.bay - 900)
                gaps.append(_glass(_gap_x(x + (c.bay - width) / 2, y, width, c.outer)))
    return gaps


def _glass(gap: _Gap) -> _Gap:
    gap.kind = "window"
    return gap


def _window(found: Plan, gap: _Gap, c: Choice) -> None:
    x0, y0, x1, y1 = gap.quad.bounds
    at = (
        (y0, y1, (y0 + y1) / 2, (y0 + y1) / 2 + 40)
        if c.front == "strip"
        else ((y0 + y1) / 2 - 20, (y0 + y1) / 2 + 20, y0, y1)
    )
    for y in at:
        found.lines.append((x0, y, x1, y, c.layers["glass"]))


def _front(found: Plan, r: random.Random, c: Choice, wide: float, high: float) -> None:
    """Two lines of glass with mullions, or mullions alone, along both fronts."""
    layer = c.layers["glass"]
    step = c.bay / 2
    for y, out in ((0.0, -1.0), (high, 1.0)):
        edges = np.arange(0.0, wide + 1, step)
        for x in edges:
            _ring(found, shapely.box(x - 30, min(y, y + out * 150), x + 30, max(y, y + out * 150)), layer)
        if c.front == "curtain":
            for off in (0.0, 30.0):
                for a, b in itertools.pairwise(edges):
                    slack = r.uniform(0, 4)
                    found.lines.append((a + 30 + slack, y + out * off, b - 30 - slack, y + out * off, layer))


def _door(found: Plan, r: random.Random, gap: _Gap, c: Choice) -> None:
    """A leaf with its swing, a swing alone, nothing, or lines across both faces."""
    n = np.array([-gap.d[1], gap.d[0]])
    layer = c.layers["door"]
    if c.doors == "plain":
        return
    if c.doors == "sill":
        for off in (-0.5, 0.5):
            p = gap.a + n * off * gap.thickness
            found.lines.append((*p, *(p + gap.d * gap.width), layer))
    leaves = 2 if gap.width > 1200 else 1
    way = r.choice((-1.0, 1.0))
    for k in range(leaves):
        size = gap.width / leaves
        d = gap.d if k == 0 else -gap.d
        hinge = gap.a + n * way * gap.thickness / 2 + (gap.d * gap.width if k else 0.0)
        tip, closed = hinge + n * way * size, hinge + d * size
        if c.doors != "swing":
            found.lines.append((*hinge, *tip, layer))
        turn = math.copysign(1.0, float(d[0] * n[1] * way - d[1] * n[0] * way))
        ends = (*closed, *tip) if turn > 0 else (*tip, *closed)
        found.arcs.append((*ends, math.tan(math.pi / 8), layer))


# -- what else is drawn


def _labels(found: Plan, r: random.Random, c: Choice) -> None:
    areas = r.random() < 0.5
    for room in found.rooms:
        p = shapely.maximum_inscribed_circle(room.polygon).coords[0]
        found.texts.append((room.name, p[0], p[1] + 150, c.layers["text"]))
        if areas:
            found.texts.append((f"{room.area_m2:.2f} m²", p[0], p[1] - 150, c.layers["text"]))


def _inside(found: Plan, r: random.Random, c: Choice) -> None:
    """Treads, lift cars, desks."""
    for room in found.rooms:
        x0, y0, x1, y1 = room.polygon.bounds
        if room.name.startswith("Stair"):
            for y in np.arange(y0 + 600, y1 - 600, 280.0):
                found.lines.append((x0, y, x1, y, c.layers["stair"]))
            found.lines.append(((x0 + x1) / 2, y0 + 600, (x0 + x1) / 2, y1 - 600, c.layers["stair"]))
        elif room.name.startswith("Lift"):
            _ring(found, shapely.box(x0 + 150, y0 + 150, x1 - 150, y1 - 150), c.layers["furniture"])
            found.lines.append((x0 + 150, y0 + 150, x1 - 150, y1 - 150, c.layers["furniture"]))
            found.lines.append((x0 + 150, y1 - 150, x1 - 150, y0 + 150, c.layers["furniture"]))
        elif room.area_m2 > 12 and not room.name.startswith(("Corridor", "Court", "Plant", "WC")):
            for x in np.arange(x0 + 700, x1 - 2400, 3300.0):
                for y in np.arange(y0 + 900, y1 - 1800, 2600.0):
                    _ring(found, shapely.box(x, y, x + 1600, y + 800), c.layers["furniture"])
                    _ring(found, shapely.box(x, y + 800, x + 1600, y + 1600), c.layers["furniture"])
                    _ring(found, shapely.box(x + 600, y - 550, x + 1050, y - 100), c.layers["furniture"])


def _over(found: Plan, r: random.Random, c: Choice, wide: float, high: float) -> None:
    """Axes across the whole floor, chains of dimensions beside it, a sheet's frame."""
    layer = c.layers["grid"] if c.layers["grid"] != "0" else "Axes"
    for x in np.arange(0.0, wide + 1, 2 * c.bay):
        found.lines.append((x, -3000.0, x, high + 3000.0, layer))
    for y in (0.0, c.deep, high - c.deep, high):
        found.lines.append((-3000.0, y, wide + 3000.0, y, layer))
    frame = shapely.box(-9000, -9000, wide + 12000, high + 9000)
    _ring(found, frame, "Frame")
    del r


# -- floors with curved fronts


def _bend(found: Plan, radius: float) -> None:
    """The whole floor laid round a circle: what runs along it becomes arcs, what runs across it rays."""

    def place(x: float, y: float) -> tuple[float, float]:
        angle = math.pi / 2 - x / radius
        return (radius + y) * math.cos(angle), (radius + y) * math.sin(angle)

    def bulge(x0: float, y0: float, x1: float, y1: float) -> float:
        return -math.tan((x1 - x0) / radius / 4.0) if abs(y1 - y0) < 0.02 and abs(x1 - x0) > 1.0 else 0.0

    straight = []
    for x0, y0, x1, y1, layer in found.lines:
        b = bulge(x0, y0, x1, y1)
        if b:
            found.arcs.append((*place(x0, y0), *place(x1, y1), b, layer))
        else:
            straight.append((*place(x0, y0), *place(x1, y1), layer))
    swings = [a for a in found.arcs if abs(abs(a[4]) - math.tan(math.pi / 8)) < 1e-9]
    curved = [a for a in found.arcs if a not in swings]
    found.lines = straight
    found.arcs = curved + [(*place(a[0], a[1]), *place(a[2], a[3]), a[4], a[5]) for a in swings]
    found.loops = [
        (
            tuple(
                (*place(x, y), bulge(x, y, nx, ny))
                for (x, y, _), (nx, ny, _) in zip(ring, ring[1:] + ring[:1], strict=True)
            ),
            layer,
        )
        for ring, layer in found.loops
    ]
    found.texts = [(text, *place(x, y), layer) for text, x, y, layer in found.texts]
    for room in found.rooms:
        fine = shapely.segmentize(room.polygon, 100.0)
        room.polygon = shapely.transform(fine, lambda xy: np.array([place(x, y) for x, y in xy]))
        room.area_m2 = room.polygon.area / 1e6
    found.texts = [t for t in found.texts if " m²" not in t[0]]
    for opening in found.openings:
        opening.at = place(*opening.at)
