"""The frame of a page and what is drawn into it: the margin with its marks, and the cells of the title block.

A sheet's frame is a rectangle along the edges of the paper that nothing interrupts (ISO 5457 practice, from memory:
10 mm of margin, 20 mm at the side that is bound), drawn as lines or as filled strips, and the plan stands free in the
field within it. What is ruled off from that field, square to the sheet, with lines that lead from the frame to the
frame, is the title block or a list: its cells close as rooms do."""

from __future__ import annotations

from typing import NamedTuple

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing, Layer, Linework
from takeoff.geometry.runs import components

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

LAYER = "frame and title block of the sheet"
"""Where the frame's lines and words go, so that its cells are not taken for rooms."""
SQUARE_MM, JOIN_MM, SHORTEST_MM = 0.1, 0.4, 0.5
"""On paper: lines square to the sheet differ by no more than the first across, what touches by no more than the second;
shorter lines than the third rule nothing off."""
MARGIN_MM, MARGIN_PART = 45.0, 0.12
"""The frame lies no farther from the paper's edge."""
FREE_PART = 0.5
"""The plan stands free of the frame: lines that are joined to it are no more than this part of those square to the
sheet, or it is a house's outer wall on a page that was cut to it."""
FACED_MM, FACED_PART, FACED_SIDES = 15.0, 0.6, 3
"""An outer wall has its other face no farther within on paper, along this part of its sides but for one."""
MIDDLE = (0.35, 0.65)
"""No cell of a title block lies in this part of the field's width and height at once."""
FIELD_PART = 0.4
MOST_LINES = 500_000


class Rule(NamedTuple):
    """Straight pieces of line in one line, square to the sheet, end to end: per rule whether it is upright, where it
    stands across, from where to where along, and for each segment of the drawing which rule it is of (−1: none)."""

    upright: Bools
    across: Floats
    low: Floats
    high: Floats
    of_segment: Ints


def with_frame_apart(drawing: Drawing) -> Drawing:
    """A page in mm on paper, with the lines and words of its frame and title block on a layer of their own. A page
    without a frame, and a drawing that is no page, stays as it is."""
    size = next((dict(c.values) for c in drawing.claims if c.kind == "sheet"), None)
    if size is None or not 0 < len(drawing.lines.segments) <= MOST_LINES:
        return drawing
    rules = ruled(drawing)
    frame = _frame(rules, size.get("width_mm", 0.0), size.get("height_mm", 0.0))
    if frame is None or not _stands_free(rules, frame):
        return drawing
    return _apart(drawing, _field(rules, frame), frame)


def ruled(drawing: Drawing) -> Rule:
    """The lines of a drawing that are square to its sheet, those that lie end to end as one."""
    s = drawing.lines.segments
    d = np.abs(s[:, 2:] - s[:, :2])
    usable = np.isfinite(s).all(axis=1)
    square = usable & (d.min(axis=1) <= SQUARE_MM) & (d.max(axis=1) > SQUARE_MM)
    of_segment = np.full(len(s), -1)
    parts: list[tuple[bool, float, float, float]] = []
    for upright in (False, True):
        rows = np.flatnonzero(square & ((d[:, 1] > d[:, 0]) == upright))
        k = int(upright)
        across = (s[rows, 1 - k] + s[rows, 3 - k]) / 2.0
        low, high = np.minimum(s[rows, k], s[rows, 2 + k]), np.maximum(s[rows, k], s[rows, 2 + k])
        step = np.argsort(across, kind="stable")
        line = np.empty(len(rows), np.int64)
        line[step] = np.cumsum(np.diff(across[step], prepend=across[step[:1]]) > SQUARE_MM)
        order = np.lexsort((low, line))
        end = -np.inf
        for n, j in enumerate(order.tolist()):
            if n and line[j] == line[order[n - 1]] and low[j] <= end + JOIN_MM:
                end = max(end, float(high[j]))
                parts[-1] = (upright, parts[-1][1], parts[-1][2], end)
            else:
                end = float(high[j])
                parts.append((upright, float(across[j]), float(low[j]), end))
            of_segment[rows[j]] = len(parts) - 1
    made = np.array(parts, float).reshape(-1, 4)
    return Rule(made[:, 0] > 0.5, made[:, 1], made[:, 2], made[:, 3], of_segment)


def _frame(rules: Rule, width: float, height: float) -> shapely.Polygon | None:
    """The innermost rectangle along the edges of the paper that four rules close."""
    if not (width > 0.0 and height > 0.0):
        return None
    margin = (min(MARGIN_MM, MARGIN_PART * width), min(MARGIN_MM, MARGIN_PART * height))
    sides = {}
    for name, upright, near in (("left", 1, 0), ("right", 1, 1), ("bottom", 0, 0), ("top", 0, 1)):
        own, size = (width, margin[0]) if upright else (height, margin[1]), (height if upright else width)
        from_edge = own[0] - rules.across if near else rules.across
        fits = (rules.upright == bool(upright)) & (from_edge >= -JOIN_MM) & (from_edge <= own[1])
        fits &= rules.high - rules.low >= (1.0 - 2.0 * MARGIN_PART) * size
        rows = np.flatnonzero(fits)
        sides[name] = rows[np.argsort(-from_edge[rows])].tolist()
    for left in sides["left"]:
        for right in sides["right"]:
            for bottom in sides["bottom"]:
                for top in sides["top"]:
                    x0, x1, y0, y1 = (float(rules.across[k]) for k in (left, right, bottom, top))
                    spans = ((left, y0, y1), (right, y0, y1), (bottom, x0, x1), (top, x0, x1))
                    if all(rules.low[k] <= a + JOIN_MM and rules.high[k] >= b - JOIN_MM for k, a, b in spans):
                        return shapely.box(x0, y0, x1, y1)
    return None


def _joined(rules: Rule, frame: shapely.Polygon) -> Bools:
    """Which rules lie in the frame and are joined to it, by ends or crossings, over others."""
    lines = _lines(rules)
    inside = shapely.dwithin(lines, frame, JOIN_MM)
    tree = shapely.STRtree(lines)
    a, b = tree.query(lines, predicate="dwithin", distance=JOIN_MM)
    both = inside[a] & inside[b]
    group = components(len(lines), a[both], b[both])
    at_frame = inside & shapely.dwithin(lines, frame.exterior, JOIN_MM)
    return np.asarray(inside & np.isin(group, group[at_frame]))


def _on(rules: Rule, frame: shapely.Polygon) -> Bools:
    """Which rules lie on the frame's own sides."""
    lines = _lines(rules)
    return np.asarray(shapely.within(lines, frame.exterior.buffer(JOIN_MM, join_style="mitre")))


def _lines(rules: Rule) -> NDArray[np.object_]:
    up = rules.upright[:, None]
    low = np.where(up, np.stack((rules.across, rules.low), 1), np.stack((rules.low, rules.across), 1))
    high = np.where(up, np.stack((rules.across, rules.high), 1), np.stack((rules.high, rules.across), 1))
    made: NDArray[np.object_] = shapely.linestrings(np.stack((low, high), axis=1))
    return made


def _stands_free(rules: Rule, frame: shapely.Polygon) -> bool:
    """Whether most of what is drawn within the frame is not joined to it, nor goes round with it."""
    if _faced(rules, frame):
        return False
    within = shapely.within(_lines(rules), frame.buffer(JOIN_MM)) & ~_on(rules, frame)
    length = np.where(within & (rules.high - rules.low >= SHORTEST_MM), rules.high - rules.low, 0.0)
    return bool(length[_joined(rules, frame)].sum() <= FREE_PART * length.sum())


def _faced(rules: Rule, frame: shapely.Polygon) -> bool:
    """Whether lines within go along three sides or more at a wall's thickness, as the other face of an outer wall does:
    of a frame that is drawn twice the inner rectangle is taken."""
    x0, y0, x1, y1 = frame.bounds
    faced = 0
    for upright, at, inward, low, high in (
        (1, x0, 1, y0, y1),
        (1, x1, -1, y0, y1),
        (0, y0, 1, x0, x1),
        (0, y1, -1, x0, x1),
    ):
        off = (rules.across - at) * inward
        own = (rules.upright == bool(upright)) & (off > JOIN_MM) & (off <= FACED_MM)
        beside = shapely.box(rules.low[own], 0.0, rules.high[own], 1.0)
        along = shapely.union_all(beside).intersection(shapely.box(low, 0.0, high, 1.0))
        faced += along.area >= FACED_PART * (high - low)
    return faced >= FACED_SIDES


def _field(rules: Rule, frame: shapely.Polygon) -> shapely.Polygon:
    """What is left of the frame's inside without the cells that are ruled off from it; all of it where these are no
    title block."""
    lines = _lines(rules)
    own = np.flatnonzero(_joined(rules, frame) & ~_on(rules, frame))
    if not len(own):
        return frame
    x0, y0, x1, y1 = frame.bounds
    low, high = MIDDLE
    middle = shapely.box(x0 + low * (x1 - x0), y0 + low * (y1 - y0), x0 + high * (x1 - x0), y0 + high * (y1 - y0))
    a, b = shapely.STRtree(lines[own]).query(lines[own], predicate="dwithin", distance=JOIN_MM)
    group = components(len(own), a, b)
    left: shapely.Geometry = frame
    for g in np.unique(group).tolist():
        cells = _cells(lines[own[group == g]], frame)
        rest = left.difference(cells)
        if not cells.is_empty and not cells.intersects(middle) and rest.area >= FIELD_PART * frame.area:
            left = rest
    parts = shapely.get_parts(left)
    field: shapely.Polygon = parts[int(shapely.area(parts).argmax())]
    return field


def _cells(lines: NDArray[np.object_], frame: shapely.Polygon) -> shapely.Geometry:
    """What these lines rule off in the frame, but for its largest part."""
    # Ends that stop short of what they lead to are drawn on, so that cells close.
    coords = shapely.get_coordinates(lines).reshape(-1, 2, 2)
    step = np.sign(coords[:, 1] - coords[:, 0]) * JOIN_MM
    longer = shapely.linestrings(np.stack((coords[:, 0] - step, coords[:, 1] + step), axis=1))
    noded = shapely.union_all([*longer, frame.exterior])
    parts = [p for p in shapely.get_parts(shapely.polygonize([noded])) if frame.contains(p.representative_point())]
    parts.sort(key=lambda p: -float(p.area))
    return shapely.union_all(parts[1:])


def _apart(drawing: Drawing, field: shapely.Polygon, frame: shapely.Polygon) -> Drawing:
    """The drawing, what does not lie in the field on the sheet's own layer."""
    inner = field.buffer(-JOIN_MM)
    shapely.prepare(inner)
    lines = drawing.lines
    out = ~shapely.intersects_xy(inner, (lines.segments[:, :2] + lines.segments[:, 2:]) / 2.0)
    for end in (lines.segments[:, :2], lines.segments[:, 2:]):
        out &= ~shapely.intersects_xy(inner, end)
    arcs_out = ~shapely.intersects_xy(inner, (lines.arcs[:, :2] + lines.arcs[:, 2:4]) / 2.0)
    if not out.any():
        return drawing
    layer = len(drawing.layers)
    of, of_arc = lines.segment_layer.copy(), lines.arc_layer.copy()
    of[out], of_arc[arcs_out] = layer, layer
    moved = Linework(lines.segments, of, lines.segment_source, lines.arcs, of_arc, lines.arc_source)
    labels = tuple(
        v if shapely.intersects_xy(inner, v.x, v.y) else msgspec.structs.replace(v, layer=layer) for v in drawing.labels
    )
    layers = (*drawing.layers, Layer(LAYER))
    return msgspec.structs.replace(drawing, layers=layers, lines=moved, labels=labels)
