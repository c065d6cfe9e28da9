"""What a drawing shows of its unit, piece by piece, each with a score for every unit; and how large what it
shows would be, which a user needs to tell which unit is right.

Scores are rough log-odds: 1 is a hint, 3 is good evidence, 6 all but proof. The ranges (doors,
walls, letters, extents) are common practice, no source; each is wider than what is built."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable
from statistics import median
from typing import NamedTuple

import msgspec
import numpy as np
import shapely

from takeoff.drawing.model import Drawing, Floats, Loop
from takeoff.language import mark, tr, tr_count
from takeoff.language.lists import some_of
from takeoff.recognise.names.plan_words import area_in
from takeoff.recognise.names.sizes_of_rooms import size_in
from takeoff.recognise.units.written_dimensions import WRITING_UNITS, readings, says
from takeoff.recognise.walls.layer_roles import by_name
from takeoff.units.lengths import UNIT_MM
from takeoff.units.printing import shown, whole

CANDIDATES = ("mm", "cm", "dm", "m", "in", "ft")
METRIC = ("mm", "cm", "dm", "m")
DOOR_MM = (550.0, 1250.0)
"""Door leaves. No length lies in this range in two of the candidate units at once."""
DOOR_BLOCK_MM = (550.0, 2500.0)
WALL_MM = (60.0, 600.0)
LETTER_MM = (60.0, 600.0)
TYPICAL_DIMENSION_MM = 2500.0
TYPICAL_EXTENT_MM = 15_000.0
PART_CELLS = 64
MOST_WALKED = 50_000
"""Of more lines every so many-th shows as well where they lie."""
PART_SHARE = 0.8
"""A part that is nearly as large as the drawing is the drawing."""
AREA_SHARE = 0.03
BOX_PER_AREA = (1.0, 6.0)
MOST_SEGMENTS = 4000
MOST_AREA_LABELS = 300
MOST_CORNERS = 5000
"""A loop of more is no outline of a room."""
NAMES_LISTED = 12
FEWEST_OUTLINES = 3
OUTLINE_M2 = (4.0, 45.0)

_DOOR_NAME = re.compile(
    r"door|t(ü|ue|u)r(?![a-z]{4})|porte|porta|puerta|deur|drzwi|dveř|dver|двер|dør|dörr|ovi(?![a-z])|ajt(ó|o)|"
    r"kap[iı]|u(ș|s|ş)[aă]|врат|θύρα|πόρτα|門|门|ドア|문(?!자)",
    re.IGNORECASE,
)


class Evidence(NamedTuple):
    """``kind``, the score per unit, what it says given mm per unit, and whether it can decide."""

    kind: str
    scores: dict[str, float]
    tells: Callable[[float], str]
    strong: bool = False


def gather(drawing: Drawing, units: dict[str, float]) -> list[Evidence]:
    """Everything the drawing shows, the strongest kinds first; ``units``: mm per candidate."""
    box = robust_box(drawing)
    found = (
        _dimensions(drawing, units),
        _door_swings(drawing, units),
        _door_blocks(drawing, units),
        _door_strokes(drawing, units),
        _areas_in_loops(drawing, units),
        _areas_in_all(drawing, units, box),
        _room_outlines(drawing, units),
        _written_sizes(drawing, units),
        _treads(drawing, units),
        _declared(drawing, units),
        _system(drawing, units),
        _walls(drawing, units, box),
        _letters(drawing, units),
        _extents(units, box, largest_part(drawing.lines.segments)),
    )
    return [e for e in found if e is not None]


def robust_box(drawing: Drawing) -> tuple[float, float]:
    """Width and height that hold nearly all linework, without strays; never negative."""
    ends = np.concatenate((drawing.lines.segments.reshape(-1, 2), drawing.lines.arcs[:, :4].reshape(-1, 2)))
    if not len(ends):
        return 0.0, 0.0
    low, high = np.quantile(ends, (0.01, 0.99), axis=0)
    return float(high[0] - low[0]), float(high[1] - low[1])


def _hump(value_mm: float, typical_mm: float, top: float, spread: float) -> float:
    """Highest at the typical size, falling with the square of the ratio's logarithm, to -8."""
    if value_mm <= 0.0:
        return 0.0
    return max(-8.0, top - (math.log(value_mm / typical_mm) / math.log(spread)) ** 2)


def _share(values: Iterable[float], limits: tuple[float, float]) -> float:
    inside = [limits[0] <= v <= limits[1] for v in values]
    return sum(inside) / len(inside) if inside else 0.0


def _dimensions(drawing: Drawing, units: dict[str, float]) -> Evidence | None:
    """Words that name a unit decide by their ratio to the drawn length; bare numbers by the pairs
    of units that fit, and by how long a building's dimensions are."""
    read = [(d, readings(d.text)) for d in drawing.dimensions if d.length > 0.0]
    read = [(d, r) for d, r in read if r]
    if not read:
        return None
    scores, fits = {}, {}
    for unit, mm in units.items():
        fit = [d for d, rs in read if any(says(r, d.length * mm, WRITING_UNITS) for r in rs)]
        named = [d for d, rs in read if rs[0].unit and says(rs[0], d.length * mm, ())]
        fits[unit] = fit
        weight = min(1.0, (1.0 + len(read)) / 4.0)
        share = len(fit) / len(read)
        size = _hump(median(d.length * mm for d in fit), TYPICAL_DIMENSION_MM, 4.0, 3.0) if fit else -4.0
        scores[unit] = weight * (share * size + 4.0 * (share - 1.0)) + 4.0 * len(named) / len(read)

    def tells(mm: float) -> str:
        unit = min(units, key=lambda u: abs(units[u] - mm))
        fit = fits[unit]
        words = some_of([" ".join(d.text.split()) for d in fit], NAMES_LISTED)
        told = tr_count(
            "{fit} of {count} written dimension agrees with what is drawn",
            "{fit} of {count} written dimensions agree with what is drawn",
            len(read),
            fit=len(fit),
        )
        return f"{told} ({words})" if fit else told

    return Evidence("dimensions", scores, tells, True)


def _door_swings(drawing: Drawing, units: dict[str, float]) -> Evidence | None:
    arcs = drawing.lines.arcs
    sweep = np.degrees(4.0 * np.arctan(np.abs(arcs[:, 4])))
    quarter = arcs[(sweep > 80.0) & (sweep < 100.0)]
    if not len(quarter):
        return None
    half_chord = np.hypot(quarter[:, 2] - quarter[:, 0], quarter[:, 3] - quarter[:, 1]) / 2.0
    radius = (half_chord / np.sin(2.0 * np.arctan(np.abs(quarter[:, 4])))).tolist()
    return _doors("door swings", SWINGS, radius, units, DOOR_MM, 4.0)


def _door_blocks(drawing: Drawing, units: dict[str, float]) -> Evidence | None:
    sizes = [
        max(s.box[2] - s.box[0], s.box[3] - s.box[1])
        for s in drawing.symbols
        if s.box is not None and _DOOR_NAME.search(s.name)
    ]
    if not sizes:
        return None
    return _doors("door blocks", BLOCKS, sizes, units, DOOR_BLOCK_MM, 3.0)


def _door_strokes(drawing: Drawing, units: dict[str, float]) -> Evidence | None:
    """Planners draw a door as one stroke along its wall, on a layer of doors: it touches no other line there."""
    lines = drawing.lines
    doors = np.array([by_name(layer.name)[0] == "door" for layer in drawing.layers] or [False])
    if doors[lines.arc_layer].any():
        return None
    own = lines.segments[doors[lines.segment_layer]]
    own = own[np.hypot(*(own[:, 2:] - own[:, :2]).T) > 0.0][:MOST_SEGMENTS]
    if len(own) < FEWEST_STROKES:
        return None
    drawn = shapely.linestrings(own.reshape(-1, 2, 2))
    at, _ = shapely.STRtree(drawn).query(drawn, predicate="intersects")
    if (np.bincount(at, minlength=len(own)) > 1).any():
        return None
    sizes = np.hypot(*(own[:, 2:] - own[:, :2]).T).tolist()
    return _doors("door strokes", STROKES, sizes, units, DOOR_MM, 3.0)


SWINGS = (
    mark("{fit} of {count} quarter circles are door swings"),
    mark("{fit} of {count} quarter circles are door swings, half of them at least {middle} mm wide"),
)
BLOCKS = (
    mark("{fit} of {count} blocks named as doors are as wide as a door"),
    mark("{fit} of {count} blocks named as doors are as wide as a door, half of them at least {middle} mm"),
)
STROKES = (
    mark("{fit} of {count} strokes on layers of doors are as long as a door"),
    mark("{fit} of {count} strokes on layers of doors are as long as a door, half of them at least {middle} mm"),
)
"""What sizes of doors tell: where none fits, and where some do."""


def _doors(
    kind: str,
    words: tuple[str, str],
    sizes: list[float],
    units: dict[str, float],
    limits: tuple[float, float],
    top: float,
) -> Evidence:
    weight = min(1.0, (1.0 + len(sizes)) / 4.0)
    share = {u: _share((v * mm for v in sizes), limits) for u, mm in units.items()}
    scores = {u: weight * top * (s if s >= 0.2 else 0.0) for u, s in share.items()}

    def tells(mm: float) -> str:
        fit = [v * mm for v in sizes if limits[0] <= v * mm <= limits[1]]
        middle = whole(median(fit)) if fit else ""
        return tr(words[bool(fit)], fit=len(fit), count=len(sizes), middle=middle)

    return Evidence(kind, scores, tells, True)


def printed_areas(drawing: Drawing) -> list[tuple[float, float, float]]:
    """x, y and m² of every area that a label prints with its unit."""
    found = []
    for label in drawing.labels:
        for line in label.text.splitlines():
            said = area_in(line, bare=False)
            if said is not None and said[0] > 0.0:
                found.append((label.x, label.y, said[0]))
                break
    return found[:MOST_AREA_LABELS]


def _areas_in_loops(drawing: Drawing, units: dict[str, float]) -> Evidence | None:
    """Printed areas against any loop of the drawing that holds the label."""
    printed = printed_areas(drawing)
    loops = [v for v in drawing.loops if v.role == "line" and len(v.vertices) <= MOST_CORNERS]
    if not printed or not loops:
        return None
    boxes = np.array([_loop_box(v) for v in loops])
    areas: dict[int, float] = {}
    hits = dict.fromkeys(units, 0)
    for x, y, area in printed:
        near = np.flatnonzero((boxes[:, 0] < x) & (boxes[:, 1] < y) & (boxes[:, 2] > x) & (boxes[:, 3] > y))
        around = [int(i) for i in near[:50] if _inside(loops[i], x, y)]
        for i in around:
            if i not in areas:
                areas[i] = loop_area(loops[i])
        for unit, mm in units.items():
            hits[unit] += any(abs(areas[i] * mm * mm / 1e6 - area) <= AREA_SHARE * area for i in around)
    if not any(hits.values()):
        return None
    most = max(hits.values())
    # Some few of many agree by chance with whatever is drawn round them.
    share = min(1.0, 2.0 * most / len(printed))
    scores = {u: (3.0 + 3.0 * min(1.0, n / 3.0)) * n / most * share for u, n in hits.items()}

    def tells(mm: float) -> str:
        unit = min(units, key=lambda u: abs(units[u] - mm))
        return tr(
            "{fit} of {count} printed areas are those of the outlines around them", fit=hits[unit], count=len(printed)
        )

    return Evidence("printed areas", scores, tells, True)


def _areas_in_all(drawing: Drawing, units: dict[str, float], box: tuple[float, float]) -> Evidence | None:
    total = sum(a for _, _, a in printed_areas(drawing))
    if not total or not box[0] * box[1]:
        return None
    scores = {}
    for unit, mm in units.items():
        ratio = box[0] * box[1] * mm * mm / 1e6 / total
        near = BOX_PER_AREA[0] <= ratio <= BOX_PER_AREA[1]
        possible = BOX_PER_AREA[0] / 3.0 <= ratio <= BOX_PER_AREA[1] * 5.0
        scores[unit] = 2.0 if near else 0.0 if possible else -3.0
    return Evidence(
        "areas in all",
        scores,
        lambda mm: tr(
            "the room areas written on it, {total} m² together, fit inside the drawing of {box} m²",
            total=shown(total, 1),
            box=shown(box[0] * box[1] * mm * mm / 1e6, 0),
        ),
    )


def _room_outlines(drawing: Drawing, units: dict[str, float]) -> Evidence | None:
    """The middle one of the closed outlines on layers of rooms."""
    rooms = {k for k, layer in enumerate(drawing.layers) if by_name(layer.name)[0] == "area"}
    areas = [loop_area(v) for v in drawing.loops if v.layer in rooms and 2 < len(v.vertices) <= MOST_CORNERS]
    if len(areas) < FEWEST_OUTLINES:
        return None
    middle = median(areas)
    size = {u: middle * mm * mm / 1e6 for u, mm in units.items()}
    scores = {
        u: 1.5
        if OUTLINE_M2[0] <= m2 <= OUTLINE_M2[1]
        else 0.0
        if OUTLINE_M2[0] / 3 <= m2 <= OUTLINE_M2[1] * 5
        else -2.0
        for u, m2 in size.items()
    }
    return Evidence(
        "room outlines",
        scores,
        lambda mm: tr("outlines of rooms have {area} m²", area=shown(middle * mm * mm / 1e6, 1)),
    )


SIZE_SHARE, SIZE_OFF_MM = 0.04, 30.0
"""A room is as large as it says within this part and so much more."""
FEWEST_SIZES, MOST_SIZES, LEAST_SIZED = 2, 60, 0.4
"""Of fewer rooms, or a smaller part of them, the size agrees by chance."""
BOUNDING = 0.3
"""What ends a room is longer than this part of its shorter side."""


def _written_sizes(drawing: Drawing, units: dict[str, float]) -> Evidence | None:
    """Sizes of rooms that are written in them against the lines that end them, to the left and the right of the
    words, above and below: one of both sides will do, since furniture and niches shorten the other."""
    said = [
        (label.x, label.y, size)
        for label in drawing.labels
        for line in label.text.splitlines()
        if (size := size_in(line)) is not None and min(size) > 0.0
    ][:MOST_SIZES]
    if len(said) < FEWEST_SIZES:
        return None
    hits = {u: sum(_is_size(drawing.lines.segments, row, mm) for row in said) for u, mm in units.items()}
    most = max(hits.values())
    if most < max(FEWEST_SIZES, LEAST_SIZED * len(said)):
        return None
    share = min(1.0, 2.0 * most / len(said))
    scores = {u: (3.0 + 3.0 * min(1.0, n / 3.0)) * n / most * share for u, n in hits.items()}

    def tells(mm: float) -> str:
        unit = min(units, key=lambda u: abs(units[u] - mm))
        return tr("{fit} of {count} rooms are as wide as is written in them", fit=hits[unit], count=len(said))

    return Evidence("written sizes", scores, tells, True)


def _is_size(segments: Floats, said: tuple[float, float, tuple[float, float]], mm: float) -> bool:
    x, y, (first, second) = said
    wide = _clear(segments, x, y, BOUNDING * min(first, second) / mm) * mm
    high = _clear(segments[:, [1, 0, 3, 2]], y, x, BOUNDING * min(first, second) / mm) * mm
    return any(abs(own - a) <= SIZE_SHARE * a + SIZE_OFF_MM for own in (wide, high) for a in (first, second))


def _clear(segments: Floats, x: float, y: float, least: float) -> float:
    """How far it is along x from the next line on the one side of a point to the next on the other; 0 where there
    is none on one of them. Lines shorter than ``least`` end nothing."""
    x0, y0, x1, y1 = segments.T
    across = ((y0 <= y) != (y1 <= y)) & (np.hypot(x1 - x0, y1 - y0) >= least)
    x0, y0, x1, y1 = segments[across].T
    at = x0 + (y - y0) * (x1 - x0) / (y1 - y0)
    left, right = at[at < x], at[at > x]
    return float(right.min() - left.max()) if len(left) and len(right) else 0.0


TREAD_MM = (230.0, 340.0)
"""The going of a stair (common practice, no source)."""
FEWEST_TREADS, EVEN_STEPS, TREAD_ASPECT = 6, 0.03, (2.2, 9.0)
"""So many lines of one length side by side, evenly spaced, so many times as long as they lie apart, are a flight."""


def _treads(drawing: Drawing, units: dict[str, float]) -> Evidence | None:
    steps = _flights(drawing.lines.segments)
    if not steps:
        return None
    middle = median(steps)
    scores = {u: 2.5 if TREAD_MM[0] <= middle * mm <= TREAD_MM[1] else 0.0 for u, mm in units.items()}
    return Evidence(
        "treads", scores, lambda mm: tr("what looks like stairs has treads of {length} mm", length=whole(middle * mm))
    )


def _flights(segments: Floats) -> list[float]:
    """How far the lines of each row of treads lie apart, once for each row."""
    d = segments[:, 2:] - segments[:, :2]
    length = np.hypot(d[:, 0], d[:, 1])
    own = np.flatnonzero(length > 0.0)
    turned = (d[own, 0] < 0) | ((d[own, 0] == 0) & (d[own, 1] < 0))
    way = np.where(turned[:, None], -d[own], d[own]) / length[own][:, None]
    middle = (segments[own, :2] + segments[own, 2:]) / 2
    along = (middle * way).sum(axis=1) / length[own]
    off = way[:, 0] * middle[:, 1] - way[:, 1] * middle[:, 0]
    keys = np.stack([np.round(way[:, 0] * 50), np.round(way[:, 1] * 50), np.round(np.log(length[own]) * 50)])
    keys = np.concatenate([keys, np.round(along * 10)[None]])
    _, group = np.unique(keys, axis=1, return_inverse=True)
    group = group.reshape(-1)
    found = []
    # Each group is taken out of one sorted list: to look through all lines for each takes minutes of a large drawing.
    order, counts = np.argsort(group, kind="stable"), np.bincount(group)
    ends, long = np.cumsum(counts), length[own]
    for k in np.flatnonzero(counts >= FEWEST_TREADS).tolist():
        rows = order[ends[k] - counts[k] : ends[k]]
        gaps = np.diff(np.sort(off[rows]))
        step = float(np.median(gaps))
        even = np.abs(gaps - step) <= EVEN_STEPS * step
        ratio = float(long[rows].mean()) / step if step > 0.0 else 0.0
        if even.sum() + 1 >= max(FEWEST_TREADS, 0.8 * len(gaps)) and TREAD_ASPECT[0] <= ratio <= TREAD_ASPECT[1]:
            found.append(step)
    return found


_SAID = {"in": mark("inches"), "ft": mark("feet"), "m": mark("metres")}


def unit_said(unit: str) -> str:
    """A unit as a sentence says it: "mm", "inches"."""
    return tr(_SAID[unit]) if unit in _SAID else unit


def _declared(drawing: Drawing, units: dict[str, float]) -> Evidence | None:
    declared = drawing.declared_unit
    if declared not in units:
        return None
    header = header_values(drawing)
    # Inches are what many programs write when nobody chose; a metric template beside contradicts.
    doubtful = declared == "in" and header.get("$MEASUREMENT") == 1.0
    scores = {u: (0.7 if doubtful else 2.5) if u == declared else 0.0 for u in units}
    return Evidence("declared", scores, lambda mm: tr("the file says {unit}", unit=unit_said(declared)))


def header_values(drawing: Drawing) -> dict[str, float]:
    """The numbers of the reader's claim about the file's header; empty without one."""
    return next((dict(c.values) for c in drawing.claims if c.kind == "header"), {})


def _system(drawing: Drawing, units: dict[str, float]) -> Evidence | None:
    """Metric or imperial as the header has it: a mere default more often than not."""
    system = header_values(drawing).get("$MEASUREMENT")
    if system not in (0.0, 1.0):
        return None
    metric = system == 1.0
    scores = {u: 0.5 if metric == (u in METRIC) else 0.0 for u in units}
    return Evidence(
        "system", scores, lambda mm: tr("its header says metric") if metric else tr("its header says imperial")
    )


def _walls(drawing: Drawing, units: dict[str, float], box: tuple[float, float]) -> Evidence | None:
    distance = wall_distance(drawing.lines.segments, max(box))
    if distance is None:
        return None
    scores = {u: 1.0 if WALL_MM[0] <= distance * mm <= WALL_MM[1] else -1.0 for u, mm in units.items()}
    return Evidence("walls", scores, lambda mm: tr("most walls are {length} mm thick", length=whole(distance * mm)))


def wall_distance(segments: Floats, size: float) -> float | None:
    """The commonest distance, weighted by length, of close parallel lines that run side by side."""
    d = segments[:, 2:] - segments[:, :2]
    length = np.hypot(d[:, 0], d[:, 1])
    longest = np.argsort(-length, kind="stable")[:MOST_SEGMENTS]
    longest = longest[length[longest] > 0.01 * size]
    if len(longest) < 4:
        return None
    s, d, length = segments[longest], d[longest], length[longest]
    angle = np.round(np.degrees(np.arctan2(d[:, 1], d[:, 0])) % 180.0) % 180.0
    way = np.stack((np.cos(np.radians(angle)), np.sin(np.radians(angle))), axis=1)
    along = np.sort(np.stack(((s[:, :2] * way).sum(1), (s[:, 2:] * way).sum(1))), axis=0)
    middle = (s[:, :2] + s[:, 2:]) / 2.0
    off = middle[:, 1] * way[:, 0] - middle[:, 0] * way[:, 1]
    order = np.lexsort((off, angle))
    gaps, weights = [], []
    for k in (1, 2, 3):
        a, b = order[:-k], order[k:]
        gap = off[b] - off[a]
        overlap = np.minimum(along[1, a], along[1, b]) - np.maximum(along[0, a], along[0, b])
        good = (angle[a] == angle[b]) & (gap > 1e-4 * size) & (gap < 0.2 * size)
        good &= overlap > 0.3 * np.minimum(length[a], length[b])
        gaps.append(gap[good])
        weights.append(overlap[good] / k)
    gap, weight = np.concatenate(gaps), np.concatenate(weights)
    if not len(gap):
        return None
    bins = np.round(np.log(gap) / 0.05).astype(np.int64)
    kinds, index = np.unique(bins, return_inverse=True)
    best = int(np.argmax(np.bincount(index, weights=weight, minlength=len(kinds))))
    return float(np.median(gap[index == best]))


def _letters(drawing: Drawing, units: dict[str, float]) -> Evidence | None:
    heights = [w.height for w in drawing.labels if w.height > 0.0]
    if not heights:
        return None
    middle = median(heights)
    scores = {u: 0.5 if LETTER_MM[0] <= middle * mm <= LETTER_MM[1] else 0.0 for u, mm in units.items()}
    return Evidence("letters", scores, lambda mm: tr("letters are {length} mm high", length=whole(middle * mm)))


def _extents(units: dict[str, float], box: tuple[float, float], part: tuple[float, float]) -> Evidence | None:
    """A sheet may hold the plans of many storeys, and whatever else, beside each other: the largest of its
    parts is what has the size of a building."""
    if max(box) <= 0.0:
        return None
    parted = 0.0 < max(part) < PART_SHARE * max(box)
    wide, high = part if parted else box
    scores = {u: max(-4.0, _hump(max(wide, high) * mm, TYPICAL_EXTENT_MM, 1.0, 4.5)) for u, mm in units.items()}

    def tells(mm: float) -> str:
        size = {"wide": shown(wide * mm / 1000, 1), "high": shown(high * mm / 1000, 1)}
        if parted:
            return tr("the largest part of the drawing is {wide} × {high} m", **size)
        return tr("the drawing is {wide} × {high} m", **size)

    return Evidence("extents", scores, tells)


def largest_part(segments: Floats) -> tuple[float, float]:
    """Width and height of the part with most linework, where blank stretches of a sixty-fourth of the drawing
    part it; (0, 0) without lines."""
    from scipy import ndimage  # takes long to load, and the window stands without it

    finite = segments[np.abs(segments).max(axis=1) < np.inf]
    if not len(finite):
        return 0.0, 0.0
    ends = finite.reshape(-1, 2)
    low, high = np.quantile(ends, (0.01, 0.99), axis=0)
    cell = float((high - low).max()) / PART_CELLS
    if cell <= 0.0:
        return 0.0, 0.0
    kept = finite[((finite >= np.tile(low, 2) - cell) & (finite <= np.tile(high, 2) + cell)).all(axis=1)]
    if not len(kept):
        return 0.0, 0.0
    if len(kept) > MOST_WALKED:
        kept = kept[:: math.ceil(len(kept) / MOST_WALKED)]
    steps = np.ceil(np.hypot(*(kept[:, 2:] - kept[:, :2]).T) / cell).astype(np.int64) + 1
    row = np.repeat(np.arange(len(kept)), steps)
    share = (np.arange(len(row)) - np.repeat(np.cumsum(steps) - steps, steps)) / np.maximum(steps[row] - 1, 1)
    points = kept[row, :2] + share[:, None] * (kept[row, 2:] - kept[row, :2])
    at = ((points - low) / cell + 1.0).astype(np.int64).clip(0)
    filled = np.zeros(at.max(axis=0) + 1, bool)
    filled[at[:, 0], at[:, 1]] = True
    part, _ = ndimage.label(filled, np.ones((3, 3), int))
    of = part[at[:, 0], at[:, 1]]
    own = points[of == np.bincount(of).argmax()]
    wide, tall = (own.max(axis=0) - own.min(axis=0)).tolist()
    return float(wide), float(tall)


def _loop_box(loop: Loop) -> tuple[float, float, float, float]:
    xs, ys = [v[0] for v in loop.vertices], [v[1] for v in loop.vertices]
    return min(xs), min(ys), max(xs), max(ys)


def _inside(loop: Loop, x: float, y: float) -> bool:
    """Is the point within the loop's corners? Arcs count as their chords: labels lie well inside."""
    inside = False
    v = loop.vertices
    for (x0, y0, _), (x1, y1, _) in zip(v, [*v[1:], v[0]], strict=True):
        if (y0 > y) != (y1 > y) and x < x0 + (y - y0) * (x1 - x0) / (y1 - y0):
            inside = not inside
    return inside


def loop_area(loop: Loop) -> float:
    """The area a loop encloses, arcs included, in square drawing units; never negative."""
    v = loop.vertices
    ox, oy, _ = v[0]
    total = 0.0
    for (x0, y0, b), (x1, y1, _) in zip(v, [*v[1:], v[0]], strict=True):
        total += ((x0 - ox) * (y1 - oy) - (x1 - ox) * (y0 - oy)) / 2.0
        if b:
            # Segment of a circle: r²/2 · (sweep - sin sweep), signed like the bulge.
            chord2, sweep = (x1 - x0) ** 2 + (y1 - y0) ** 2, 4.0 * math.atan(abs(b))
            r2 = chord2 * (1.0 + b * b) ** 2 / (16.0 * b * b)
            total += math.copysign(r2 / 2.0 * (sweep - math.sin(sweep)), b)
    return abs(total)


def units_for(declared: str) -> dict[str, float]:
    """mm per candidate unit; a declared unit outside the usual ones joins in."""
    names = [*CANDIDATES, *([declared] if declared in UNIT_MM and declared not in CANDIDATES else [])]
    return {u: UNIT_MM[u] for u in names}


QUARTER_DEG = (80.0, 100.0)
"""Door swings are drawn as quarter circles."""
ALIKE = 1.12
"""Radii within this ratio of the commonest one are doors of one width."""
MOST_ARCS = 2000
FEWEST_STROKES = 3
"""Fewer strokes on a layer of doors may be anything (common practice, no source)."""


class Extent(msgspec.Struct, frozen=True):
    """A drawing's width and height, and the radius of most quarter circles (None without any), in mm."""

    wide_mm: float
    high_mm: float
    swing_mm: float | None


def extent(drawing: Drawing) -> Extent:
    """What can be told of a drawing in mm at a glance; one without lines is 0 wide and high."""
    wide, high = robust_box(drawing)
    return Extent(wide, high, _door(drawing))


def _door(drawing: Drawing) -> float | None:
    """The middle radius of the largest group of quarter circles of nearly one size."""
    arcs = drawing.lines.arcs
    bulge = np.abs(arcs[:, 4])
    sweep = np.degrees(4.0 * np.arctan(bulge))
    quarter = (sweep > QUARTER_DEG[0]) & (sweep < QUARTER_DEG[1])
    arcs, bulge = arcs[quarter][:MOST_ARCS], bulge[quarter][:MOST_ARCS]
    if not len(arcs):
        return None
    chord = np.hypot(arcs[:, 2] - arcs[:, 0], arcs[:, 3] - arcs[:, 1])
    radii = np.sort(chord * (1.0 + bulge * bulge) / (4.0 * bulge))
    ends = np.searchsorted(radii, radii * ALIKE, side="right")
    first = int(np.argmax(ends - np.arange(len(radii))))
    return float(median(radii[first : ends[first]].tolist()))
