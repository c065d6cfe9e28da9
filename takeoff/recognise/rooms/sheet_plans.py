"""Plans that lie side by side on one sheet, told apart, with their titles; boxes of the sheet that are no
rooms: those that its scale or its title block is written in."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import shapely

from takeoff.drawing.model import Drawing
from takeoff.geometry.runs import components
from takeoff.plan.model import Ring
from takeoff.recognise.names.placed_words import Placed
from takeoff.recognise.names.plan_words import level_in
from takeoff.recognise.scale.scale_words import scales_in
from takeoff.recognise.walls.room_spaces import WALLED, Space
from takeoff.recognise.walls.wall_reading import Reading

APART_MM = 1500.0
"""Buildings nearer than this to each other are one plan: a porch, a garage beside a house."""
LEAST_ROOMS = 2
TITLE_REACH = 0.5
"""A title stands within this part of the plan's size of its border."""
SMALLEST_HULL_MM2 = 1e6
_TITLE = re.compile(
    r"\b(?:(?:ground|first|second|third|fourth|upper|lower|attic|typical)\s+floor|floor\s+plan|"
    r"basement|mezzanine|loft|level\s*[-+]?\d+|storey|story|plan\s+of|"
    r"erdgeschoss|obergeschoss|dachgeschoss|kellergeschoss|untergeschoss|keller|grundriss|"
    r"(?:\d\.?\s*)?(?:EG|OG|UG|DG|KG)|rez-de-chauss[ée]e|(?:\d+(?:er|e|ème)?\s+)?[ée]tage|sous-sol|niveau|"
    r"planta|piano|pianta|s[oó]tano|verdieping|begane\s+grond|plattegrond|"
    r"våning|plan\s+\d|parter|pi[eę]tro|rzut)\b|"
    r"этаж|подвал|мансарда|цоколь|όροφ|ισόγειο|υπόγειο|κάτοψη",
    re.I,
)


AGREED = 0.6
"""A plan's level is what this part of the levels written in it say: steps and yards have others."""
HIGHEST_MM = 1e6


class Plan(NamedTuple):
    """One plan: its spaces (rows of the reading), its outer borders near the origin, its title, and
    its floor's level in mm where one is written."""

    spaces: tuple[int, ...]
    hulls: tuple[shapely.Polygon, ...]
    title: str
    level_mm: float | None = None


def is_title(text: str) -> bool:
    """Whether a text names a storey."""
    return bool(_TITLE.search(text))


def outer_borders(reading: Reading) -> list[shapely.Polygon]:
    """The outer borders of all walls, gaps and spaces together, near the origin."""
    faces = reading.faces
    inside = faces.body | (faces.gap >= 0)
    for space in reading.spaces:
        inside[list(space.faces)] = True
    held = np.append(inside, False)
    rim = held[faces.left] != held[faces.right]
    if not rim.any():
        return []
    lines = shapely.linestrings(faces.graph.xy[faces.graph.edges[rim]])
    shapes = shapely.get_parts(shapely.polygonize(lines))
    filled = shapely.union_all(shapely.polygons(shapely.get_exterior_ring(shapes)))
    return [hull for hull in shapely.get_parts(filled) if hull.area > SMALLEST_HULL_MM2]


def plans(reading: Reading, texts: list[Placed]) -> list[Plan]:
    """The plans on the sheet, left to right; a lone one takes every space."""
    hulls = outer_borders(reading)
    if not hulls:
        return [Plan(tuple(range(len(reading.spaces))), (), "")]
    a, b = shapely.STRtree(hulls).query(hulls, predicate="dwithin", distance=APART_MM)
    label = components(len(hulls), a, b)
    groups: dict[int, list[int]] = {}
    for k, own in enumerate(label.tolist()):
        groups.setdefault(own, []).append(k)
    inner = shapely.STRtree(shapely.point_on_surface([s.polygon for s in reading.spaces]))
    hull, space = inner.query(hulls, predicate="contains")
    found = []
    for members in groups.values():
        spaces = tuple(space[np.isin(hull, members)].tolist())
        found.append(Plan(spaces, tuple(hulls[m] for m in members), ""))
    named = _named(_settled(found, len(reading.spaces), _titles(found, texts)), texts)
    return [plan._replace(level_mm=_level(plan, texts)) for plan in named]


def _level(plan: Plan, texts: list[Placed]) -> float | None:
    """The level that most marks in the plan say, else the one in its title."""
    marks = [
        (t, level)
        for t in texts
        if t.words.kind != "sheet" and (level := level_in(t.words.text)) is not None and abs(level) <= HIGHEST_MM
    ]
    inside = [level for t, level in marks if any(h.contains(shapely.Point(t.x, t.y)) for h in plan.hulls)]
    if inside:
        level, count = Counter(inside).most_common(1)[0]
        return level if count >= AGREED * len(inside) else None
    said = re.search(r"[+\-−–±]\s*\d+(?:[.,]\d+)?\s*(?:m|mm)?\s*\)?$", plan.title)
    return level_in(said[0].strip(" )")) if said else None


def _titles(found: list[Plan], texts: list[Placed]) -> set[int]:
    """Which plans have a title of their own: one that names a storey and stands nearest to them."""
    held = [k for k, p in enumerate(found) if p.spaces and p.hulls]
    titled = set()
    for title in _titles_outside(found, texts) if held else ():
        place = shapely.Point(title.x, title.y)
        k = min(held, key=lambda i: _off(found[i], place))
        if _off(found[k], place) <= TITLE_REACH * _size(found[k]):
            titled.add(k)
    return titled


def _titles_outside(found: list[Plan], texts: list[Placed]) -> list[Placed]:
    """The texts that name a storey and stand in no plan."""
    titles = [t for t in texts if is_title(t.words.text) and t.words.kind in ("name", "note")]
    return [t for t in titles if not any(h.contains(shapely.Point(t.x, t.y)) for p in found for h in p.hulls)]


def _size(plan: Plan) -> float:
    x0, y0, x1, y1 = shapely.total_bounds(plan.hulls)
    return float(max(x1 - x0, y1 - y0))


def _settled(found: list[Plan], count: int, titled: set[int]) -> list[Plan]:
    """Plans of two rooms or more, or with a title of their own where another has one too; what is
    smaller belongs to the nearest of them."""
    alone = titled if len(titled) > 1 else set[int]()
    large = [p for k, p in enumerate(found) if len(p.spaces) >= LEAST_ROOMS or k in alone]
    if len(large) < 2:
        held = [p for p in found if p.spaces] or found
        hulls = tuple(h for p in held for h in p.hulls)
        return [Plan(tuple(range(count)), hulls, "")]
    for plan in found:
        if plan.spaces and plan not in large:
            near = min(range(len(large)), key=lambda k: _apart(large[k], plan))
            own = large[near]
            large[near] = Plan(own.spaces + plan.spaces, own.hulls + plan.hulls, "")
    left_over = set(range(count)) - {s for p in large for s in p.spaces}
    if left_over:
        large[0] = large[0]._replace(spaces=large[0].spaces + tuple(sorted(left_over)))
    return sorted(large, key=lambda p: p.hulls[0].bounds[0])


def _apart(a: Plan, b: Plan) -> float:
    return min(float(x.distance(y)) for x in a.hulls for y in b.hulls)


def _named(found: list[Plan], texts: list[Placed]) -> list[Plan]:
    """Each plan with the nearest title that stands by it and by no other plan nearer."""
    if not all(p.hulls for p in found):
        return found
    outside = _titles_outside(found, texts)
    named = list(found)
    for title in sorted(outside, key=lambda t: -len(t.words.text)):
        place = shapely.Point(title.x, title.y)
        k = min(range(len(found)), key=lambda i: _off(found[i], place))
        if _off(found[k], place) <= TITLE_REACH * _size(found[k]) and not named[k].title:
            named[k] = found[k]._replace(title=title.words.text)
    return named


def titles_beside(found: list[Plan], texts: list[Placed], also: Callable[[str], bool]) -> list[str]:
    """For each plan the text nearest to it, within the reach of a title, that names a storey or what ``also`` asks
    for, and stands in no plan and nearer to no other; an empty one where there is none."""
    titles = [""] * len(found)
    nearest = [math.inf] * len(found)
    for text in texts:
        said, place = text.words.text, shapely.Point(text.x, text.y)
        if text.words.kind not in ("name", "note") or not (is_title(said) or also(said)):
            continue
        offs = [_off(plan, place) if plan.hulls else math.inf for plan in found]
        k = int(np.argmin(offs))
        if 0.0 < offs[k] <= TITLE_REACH * _size(found[k]) and offs[k] < nearest[k]:
            titles[k], nearest[k] = said, offs[k]
    return titles


def _off(plan: Plan, place: shapely.Point) -> float:
    return min(float(hull.distance(place)) for hull in plan.hulls)


def as_rings(hulls: tuple[shapely.Polygon, ...], origin: tuple[float, float]) -> tuple[Ring, ...]:
    """Outer borders anticlockwise, in the drawing's coordinates."""
    rings = []
    for hull in hulls:
        simple = shapely.orient_polygons(hull.simplify(0.5))
        rings.append(tuple((x + origin[0], y + origin[1], 0.0) for x, y in simple.exterior.coords[:-1]))
    return tuple(rings)


def without_frames(reading: Reading, drawing: Drawing, rows: frozenset[int]) -> Reading:
    """The reading without spaces that hold words of the title block or a written scale and are not
    walled in: no room is written on so. ``rows``: the labels of the title block."""
    said = [
        label
        for k, label in enumerate(drawing.labels)
        if k in rows or any(scale.named for scale in scales_in(label.text))
    ]
    open_spaces = [k for k, s in enumerate(reading.spaces) if s.support < WALLED and not _spoken(reading, s)]
    if not said or not open_spaces:
        return reading
    x, y = reading.lines.origin
    points = shapely.points(np.array([(label.x - x, label.y - y) for label in said]))
    tree = shapely.STRtree(points)
    gone = {k for k in open_spaces if len(tree.query(reading.spaces[k].polygon, predicate="contains"))}
    return reading._replace(spaces=[s for k, s in enumerate(reading.spaces) if k not in gone])


def _spoken(reading: Reading, space: Space) -> bool:
    return any(reading.words[w].words.kind == "area" for w in space.words)
