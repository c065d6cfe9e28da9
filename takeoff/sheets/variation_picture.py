"""The plan of a storey with what a new drawing changes in it, told apart in black and white: ground that a room gains
is hatched upwards in full lines, ground that it loses downwards in broken ones; walls and openings that come are thick,
those that go are thick and broken; rooms that are altered have a black outline; each changed room has its number, as in
the list."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import msgspec
import shapely
from shapely.geometry.base import BaseGeometry

from takeoff.language import tr
from takeoff.plan.model import Opening, Ring, Room, Storey, Vertex
from takeoff.plan.shape import curves_by_id, polygon, vertex_rings
from takeoff.sheets import palette
from takeoff.sheets.picture import SCALES, Caption, Measure, Picture, Shape

HATCH_MM = 1.6
"""Between the lines of a hatch, on paper."""
DASH_MM = (1.0, 0.8)
ALTERED_MM = 0.35
"""How thick the outline of a room is that is altered."""
LEAST_M2 = 0.005
"""Less ground than this is no change that can be seen."""
MARGIN_MM = 2.0
NUMBER_PT = 9.0
NAME_PT = 7.5
_RING_MM = 2.8
_NAME_BELOW_MM = 5.6
"""From the middle of a number down to the line of the name."""


class _Paper:
    """From plan to paper."""

    def __init__(self, rings: Sequence[Ring], scale: int) -> None:
        xs, ys = [v[0] for ring in rings for v in ring], [v[1] for ring in rings for v in ring]
        self.left, self.low, self.scale = min(xs), min(ys), scale
        self.width = (max(xs) - self.left) / scale + 2 * MARGIN_MM
        self.height = (max(ys) - self.low) / scale + 2 * MARGIN_MM

    def put(self, x: float, y: float) -> tuple[float, float]:
        """Paper mm of a place in plan."""
        return (x - self.left) / self.scale + MARGIN_MM, (y - self.low) / self.scale + MARGIN_MM

    def course(self, course: Iterable[Vertex]) -> tuple[Vertex, ...]:
        """A course on paper, arcs as arcs."""
        return tuple((*self.put(x, y), bulge) for x, y, bulge in course)


def variation_picture(
    old: Storey | None, new: Storey | None, numbers: Mapping[str, int], measure: Measure, width_mm: float,
    height_mm: float,
) -> Picture | None:  # fmt: skip
    """The picture of one storey; None where nothing is drawn or no scale fits. ``numbers``: of changed rooms, by id;
    ``old`` None: the storey is new; ``new`` None: it is gone."""
    before = {str(room.id): room for room in old.rooms} if old is not None else {}
    after = {str(room.id): room for room in new.rooms} if new is not None else {}
    rings = [ring for room in (*before.values(), *after.values()) for ring in vertex_rings(room)]
    if not any(rings):
        return None
    paper = next((p for s in SCALES if (p := _Paper(rings, s)).width <= width_mm and p.height <= height_mm), None)
    if paper is None:
        return None
    shapes: list[Shape] = []
    for name in numbers:
        shapes += _ground(paper, before.get(name), after.get(name))
    for room in after.values():
        altered = str(room.id) in numbers and str(room.id) in before
        shapes.append(_outline(paper, room, palette.INK if altered else palette.GREY, ALTERED_MM if altered else 0.18))
    for name in numbers:
        shapes += _walls(paper, before.get(name), after.get(name))
    shapes += _openings(paper, old, new, numbers)
    captions = _captions(paper, before, after, numbers, measure)
    shapes += [_behind(caption, measure) for caption in captions]
    shapes += [_ring_round(caption, measure) for caption in captions if caption.size_pt == NUMBER_PT]
    return Picture(paper.width, paper.height, paper.scale, tuple(shapes), tuple(captions))


def key_picture(measure: Measure) -> Picture:
    """What the hatches and lines mean, in two rows."""
    shapes: list[Shape] = []
    captions: list[Caption] = []
    x = 0.0
    box = shapely.box(0.0, 0.0, 7.0, 4.0)
    for words, up in ((tr("added"), True), (tr("omitted"), False), (tr("altered, numbered as in the list"), None)):
        area = shapely.affinity.translate(box, x, 6.5)
        edge = msgspec.structs.replace(_edge(area), stroke=palette.INK, width_mm=ALTERED_MM)
        shapes += [edge] if up is None else [*_hatched(area, up), _edge(area)]
        captions.append(Caption(x + 9.0, 7.4, words, palette.REGULAR, NAME_PT))
        x += 13.0 + measure(words, palette.REGULAR, NAME_PT)
    wide, x = x, 0.0
    for words, dash in (
        (tr("wall or opening added or longer"), ()),
        (tr("wall or opening omitted or shorter"), DASH_MM),
    ):
        line = ((x, 2.5, 0.0), (x + 8.0, 2.5, 0.0))
        shapes.append(Shape((line,), False, stroke=palette.INK, width_mm=0.8, dash_mm=dash))
        captions.append(Caption(x + 10.0, 1.4, words, palette.REGULAR, NAME_PT))
        x += 14.0 + measure(words, palette.REGULAR, NAME_PT)
    return Picture(max(wide, x), 11.0, 1, tuple(shapes), tuple(captions))


def _ground(paper: _Paper, old: Room | None, new: Room | None) -> list[Shape]:
    was = polygon(old).buffer(0) if old is not None else shapely.Polygon()
    now = polygon(new).buffer(0) if new is not None else shapely.Polygon()
    shapes = []
    for area, up in ((now.difference(was), True), (was.difference(now), False)):
        if area.area > LEAST_M2 * 1e6:
            drawn = shapely.transform(area, lambda xy: (xy - [paper.left, paper.low]) / paper.scale + MARGIN_MM)
            shapes += _hatched(drawn, up)
    return shapes


def _hatched(area: BaseGeometry, up: bool) -> list[Shape]:
    """Lines at 45° over an area on paper; those that rise full, those that fall broken."""
    left, low, right, high = area.bounds
    tall = high - low
    step = HATCH_MM * 2**0.5
    lines = []
    # one raster for all areas, so that neighbours' lines run on
    start = (left - tall) // step * step
    x = start
    while x < right + tall:
        ends = [(x, low), (x + tall, high)] if up else [(x + tall, low), (x, high)]
        lines.append(shapely.LineString(ends))
        x += step
    inside = shapely.get_parts(shapely.intersection(shapely.multilinestrings(lines), area))
    paths = tuple(tuple((float(px), float(py), 0.0) for px, py in shapely.get_coordinates(part)) for part in inside)
    paths = tuple(path for path in paths if len(path) > 1)
    dash = () if up else DASH_MM
    return [Shape(paths, False, stroke=palette.INK, width_mm=0.18, dash_mm=dash)] if paths else []


def _edge(area: BaseGeometry) -> Shape:
    ring = tuple((float(x), float(y), 0.0) for x, y in shapely.get_coordinates(area)[:-1])
    return Shape((ring,), stroke=palette.GREY)


def _outline(paper: _Paper, room: Room, colour: str, width: float) -> Shape:
    return Shape(tuple(paper.course(ring) for ring in vertex_rings(room)), stroke=colour, width_mm=width)


def _walls(paper: _Paper, old: Room | None, new: Room | None) -> list[Shape]:
    """Walls that one state alone has, or has in another place."""
    was = curves_by_id(old) if old is not None else {}
    now = curves_by_id(new) if new is not None else {}
    found = []
    for mine, theirs, dash in ((now, was, ()), (was, now, DASH_MM)):
        for side, curve in mine.items():
            other = theirs.get(side)
            ends = (curve.x0, curve.y0, curve.x1, curve.y1)
            there = (other.x0, other.y0, other.x1, other.y1) if other is not None else None
            if there is None or max(abs(a - b) for a, b in zip(ends, there, strict=True)) > 1.0:
                course = paper.course(((curve.x0, curve.y0, curve.bulge), (curve.x1, curve.y1, 0.0)))
                found.append(Shape((course,), False, stroke=palette.INK, width_mm=0.5, dash_mm=dash))
    return found


def _openings(paper: _Paper, old: Storey | None, new: Storey | None, numbers: Mapping[str, int]) -> list[Shape]:
    was, now = _placed(old), _placed(new)
    found = []
    for mine, theirs, dash in ((now, was, ()), (was, now, DASH_MM)):
        for name, (opening, line) in mine.items():
            other = theirs.get(name)
            sizes = (opening.width_mm, opening.sill_mm, opening.head_mm)
            same = other is not None and (other[0].width_mm, other[0].sill_mm, other[0].head_mm) == sizes
            if not same and str(opening.room) in numbers:
                found.append(Shape((paper.course(line),), False, stroke=palette.INK, width_mm=1.2, dash_mm=dash))
    return found


def _placed(storey: Storey | None) -> dict[str, tuple[Opening, tuple[Vertex, Vertex]]]:
    """Openings by id with their course along the host's face."""
    if storey is None:
        return {}
    curves = {(room.id, side): curve for room in storey.rooms for side, curve in curves_by_id(room).items()}
    found = {}
    for opening in storey.openings:
        curve = curves.get((opening.room, opening.side))
        if curve is not None:
            start, end = curve.at(opening.offset_mm), curve.at(opening.offset_mm + opening.width_mm)
            found[str(opening.id)] = (opening, ((*start, 0.0), (*end, 0.0)))
    return found


def _captions(
    paper: _Paper, before: Mapping[str, Room], after: Mapping[str, Room], numbers: Mapping[str, int], measure: Measure
) -> list[Caption]:
    """Numbers of changed rooms with the names below them, names of the others; a name that has no room is left out."""
    found = []
    for name, room in ({**before, **after}).items():
        if name not in numbers and name not in after:
            continue
        shape = polygon(room).buffer(0)
        if shape.is_empty:
            continue
        circle = shapely.maximum_inscribed_circle(shape)
        x, y = paper.put(*circle.coords[0])
        title = room.name or room.title
        wide, free = measure(title, palette.REGULAR, NAME_PT), shapely.length(circle) / paper.scale
        low = _NAME_BELOW_MM if name in numbers else 0.9
        if wide < (shape.bounds[2] - shape.bounds[0]) / paper.scale and free > low + 0.8:
            found.append(Caption(x - wide / 2.0, y - low, title, palette.REGULAR, NAME_PT, palette.GREY))
        if name in numbers:
            text = str(numbers[name])
            half = measure(text, palette.SEMIBOLD, NUMBER_PT) / 2.0
            found.append(Caption(x - half, y - 1.1, text, palette.SEMIBOLD, NUMBER_PT))
    return found


def _behind(caption: Caption, measure: Measure) -> Shape:
    """Paper behind words, so that no hatch goes through them."""
    wide = measure(caption.text, caption.style, caption.size_pt)
    left, right, low, high = caption.x_mm - 0.5, caption.x_mm + wide + 0.5, caption.y_mm - 0.8, caption.y_mm + 2.4
    if caption.size_pt == NUMBER_PT:
        x, y, r = caption.x_mm + wide / 2.0, caption.y_mm + 1.1, _RING_MM
        return Shape((((x - r, y, 1.0), (x + r, y, 1.0)),), fill=palette.PAPER)
    return Shape((((left, low, 0.0), (right, low, 0.0), (right, high, 0.0), (left, high, 0.0)),), fill=palette.PAPER)


def _ring_round(caption: Caption, measure: Measure) -> Shape:
    """A circle round a number."""
    x = caption.x_mm + measure(caption.text, caption.style, caption.size_pt) / 2.0
    y, r = caption.y_mm + 1.1, _RING_MM
    return Shape((((x - r, y, 1.0), (x + r, y, 1.0)),), stroke=palette.INK, width_mm=0.3)
