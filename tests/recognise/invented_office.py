"""An invented office floor: glazed fronts of mullions and panes, columns, a core, thin partitions."""

from __future__ import annotations

import itertools
import random

import numpy as np
import shapely
from invented import NAMES, Plan, TrueOpening, TrueRoom, _fill, _furniture, _Gap, _move, _ring

NAMES_OF_LAYERS = {
    "wall": "A-WALL",
    "door": "A-DOOR",
    "glass": "A-GLAZ",
    "text": "A-AREA-TEXT",
    "furniture": "A-FURN",
    "column": "A-COLS",
}


def office(seed: int, panes: bool = True, one_layer: bool = False) -> Plan:
    """A floor of some 30 to 70 rooms; without ``panes`` the fronts are rows of mullions alone; on
    ``one_layer`` nothing but the text has a layer that says anything."""
    r = random.Random(seed)
    names = dict(NAMES_OF_LAYERS)
    if one_layer:
        names = {k: ("text" if k == "text" else "0") for k in names}
    found = Plan(f"office {seed}", "office")
    bay = r.choice((2700.0, 3000.0, 3300.0))
    count = r.randint(10, 20)
    deep, hall = 5200.0, 1800.0
    wide = bay * count
    rooms = _rooms(r, bay, count, deep, hall)
    t = 100.0
    shapes = [c.buffer(-t / 2, join_style="mitre") for c in rooms]
    corridor = shapely.box(0, deep, wide, deep + hall).buffer(-t / 2, join_style="mitre")
    columns = [
        shapely.box(x - 200, y, x + 200, y + 400)
        for x in np.arange(2 * bay, wide - bay, 2 * bay)
        for y in (t / 2, 2 * deep + hall - t / 2 - 400)
    ]
    solid = shapely.box(-250, t / 2, wide + 250, 2 * deep + hall - t / 2).difference(
        shapely.union_all([*shapes, corridor])
    )
    gaps = [_door(r, c, deep, hall, t) for c in rooms]
    way_in = shapely.box(-251, deep + 400, t / 2 + 1, deep + 1400)
    gaps.append(_Gap("door", way_in, np.array([-100.0, deep + 400]), np.array([0.0, 1.0]), 1000.0, 300.0))
    blocked = shapely.union_all(columns)
    walls = solid.difference(shapely.union_all([g.quad.buffer(1, join_style="mitre") for g in gaps]))
    for part in shapely.get_parts(walls):
        _ring(found, part, names["wall"])
    for column in columns:
        _ring(found, column, names["column"])
    _fronts(found, r, wide, 2 * deep + hall, t, names["glass"], panes)
    for number, shape in enumerate([*shapes, corridor]):
        name = f"{NAMES[number % len(NAMES)]} {number + 101}" if number < len(shapes) else "Corridor 100"
        cut = shape.difference(blocked)
        found.rooms.append(TrueRoom(name, cut, cut.area / 1e6))
        p = shapely.maximum_inscribed_circle(cut).coords[0]
        found.texts.append((name, p[0], p[1] + 100, names["text"]))
        found.texts.append((f"{cut.area / 1e6:.2f} m2", p[0], p[1] - 150, names["text"]))
    for gap in gaps:
        found.openings.append(TrueOpening("door", gap.width, gap.quad.centroid.coords[0]))
        _fill(found, r, gap, names)
    _furniture(found, r, names)
    _move(found, r.choice((0.0, 17.0)), (0.0, 0.0))
    return found


def _rooms(r: random.Random, bay: float, count: int, deep: float, hall: float) -> list[shapely.Polygon]:
    """Rooms of one to three bays along both fronts."""
    cells = []
    for y0, y1 in ((0.0, deep), (deep + hall, 2 * deep + hall)):
        at = 0
        while at < count:
            n = min(r.choice((1, 1, 2, 2, 3)), count - at)
            cells.append(shapely.box(at * bay, y0, (at + n) * bay, y1))
            at += n
    return cells


def _door(r: random.Random, cell: shapely.Polygon, deep: float, hall: float, t: float) -> _Gap:
    x0, y0, x1, _ = cell.bounds
    y = deep if y0 == 0 else deep + hall
    width = r.choice((864.0, 900.0, 1010.0))
    a = np.array([x0 + r.uniform(300, x1 - x0 - width - 300), y])
    quad = shapely.box(a[0], y - t / 2, a[0] + width, y + t / 2)
    return _Gap("door", quad, a, np.array([1.0, 0.0]), width, t)


def _fronts(found: Plan, r: random.Random, wide: float, high: float, t: float, layer: str, panes: bool) -> None:
    """Mullions every 1.5 m or so along both long fronts, panes between them a little off."""
    step = wide / round(wide / r.choice((1350.0, 1500.0)))
    for y0, y1, inner in ((-100.0, t / 2, t / 2), (high - t / 2, high + 100, high - t / 2)):
        edges = np.arange(0, wide + 1, step)
        for x in edges:
            _ring(found, shapely.box(x - 30, y0, x + 30, y1), layer)
        if panes:
            y = inner - 30 if inner < high / 2 else inner + 5
            for a, b in itertools.pairwise(edges):
                slack = r.uniform(0, 8)
                _ring(found, shapely.box(a + 30 + slack, y, b - 30 - slack, y + 25), layer)
