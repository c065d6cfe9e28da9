"""Which closed gaps are believed, what each is, and why."""

from __future__ import annotations

import itertools
import math
from typing import Literal, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.plan.reasons import because
from takeoff.recognise.walls.gap_closures import PIER_MM, REACH_MM, Bridge
from takeoff.recognise.walls.opening_evidence import Evidence

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

PLAIN_REACH_MM = 1600.0
"""A gap with nothing drawn in it is closed up to this width; a wider one joins two spaces."""
TO_FACE_REACH_MM = 1250.0
"""The same from a wall end to the face of a wall across, which shows less."""
IN_LINE_REACH_MM = 3000.0
"""The same between two wall ends that face each other in line: there the wall goes on."""
WALL_DEEP = 1.25
"""What runs back from its end by so many times its thickness is a wall, and no pier or nib."""
SLIT_MM = 60.0
"""Wall ends this near to what they look at are meant to meet; the slit is no opening."""
BROKEN_MM = 250.0
"""A face that goes on in line behind a break as wide as a thin wall is one."""
JOINT_MM = 250.0
SHORT_OF_GLASS_MM = 400.0
THICK_PLAIN_MM = 420.0
"""What is thicker, short, and looks at no other wall end is rather the side of a short piece of wall."""
PLAIN_LINE_REACH_MM = 1250.0
"""The same where walls are single lines, which show less of what they are."""
NOWHERE_MM = 1e-6
"""A face that is no longer stands at what it looks at already: nothing can run along it."""
WIDEST_DOOR_MM = 6000.0
NEAR_MM = 200.0
"""A hinge or a symbol this near to a gap belongs to it."""
BESIDE_MM = 60.0
GATE_MM, BEFORE_MM = (1800.0, 6000.0), 150.0
"""A gate that rolls, folds up or slides runs before its piers: its line lies so near to one of their faces, all along a
gap as wide as a gate's (common practice, no source)."""
LEAF_COVER = 0.5
LEAF_WIDEST_MM = 2500.0
FACE_PART = 0.02
COVER = 0.6
"""Glass drawn along this part of a gap fills it; beyond ordinary reach it must fill nearly all."""
COVER_WIDE = 0.85
GLASS_SHARE = 0.5
"""Between two wall ends in line, lines all along of which so much are told for glass show a window of any width."""
DOORWAY_MM = (550.0, 1300.0)
"""A way that has no leaf drawn in it is a door's within these (common practice, no source). Where a plan draws no leaf
at all, one so wide between a column and the end of a wall is a door's as well: frames stand against columns."""
WIDEST_SKETCHED_MM = 6000.0
"""Between two wall ends that face each other in line, lines of no known role all along a gap show a window up to this
width, whose mullions stand free: in feet a usual one is ten wide, which is more than three metres."""
PLAIN_GAP = because("plain-gap")
PLAIN_LINES, SLID_PAST = because("plain-lines"), because("slid-past")
FIRST_TREAD = because("first-tread")
OF_OPENINGS = because("of-openings")
MULLION_LONG_MM = 300.0
"""What is longer along a front is a light, and what lies between two lights may be a way in."""
JOINT, MULLIONS = because("joint"), because("mullions")
OF_FRONTS = (JOINT, MULLIONS)
"""Why the gaps within a glazed front are closed."""


THIN_MM = 1.0


class Gap(NamedTuple):
    """A bridge that is kept: ``kind`` and whether anything drawn shows it."""

    bridge: Bridge
    kind: Literal["door", "window", "open"]
    confirmed: bool
    why: tuple[str, ...]
    symbol: int
    quad: shapely.Polygon


def quad_of(bridge: Bridge) -> shapely.Polygon:
    """The strip between the two faces; a thin one round a single line."""
    if len(bridge.lines) == 2:
        (ax, ay, bx, by), (cx, cy, dx, dy) = bridge.lines
        strip = shapely.Polygon([(ax, ay), (bx, by), (dx, dy), (cx, cy)])
        # Faces that run towards each other cross within their gap, and no overlay takes such a strip.
        return strip if strip.is_valid else strip.convex_hull.buffer(THIN_MM)
    x0, y0, x1, y1 = bridge.lines[0]
    return shapely.LineString([(x0, y0), (x1, y1)]).buffer(BESIDE_MM, cap_style="flat")


def _inside(bridge: Bridge, quad: shapely.Polygon) -> shapely.Polygon:
    """The strip without its border: a leaf that stands open along a wall's face lies in no gap."""
    if len(bridge.lines) == 1:
        return quad
    first, last = bridge.lines
    drawn_in = (last - first) * FACE_PART
    return quad_of(bridge._replace(lines=np.array([first + drawn_in, last - drawn_in])))


def judge(bridges: list[Bridge], evidence: Evidence, plain: Floats, single_lines: bool) -> list[Gap]:
    """The gaps to close, confirmed ones first, none crossing another.

    ``plain``: lines of no known role, which show a window where they run along a gap;
    ``single_lines``: walls are drawn as single lines, so that plain gaps between such are closed
    too.
    """
    if not bridges:
        return []
    quads = [quad_of(b) for b in bridges]
    tree = shapely.STRtree(quads)
    notes: list[dict[str, list[str]]] = [{"door": [], "window": []} for _ in bridges]
    symbol = [-1] * len(bridges)
    hung = _swing_notes(bridges, tree, evidence, notes)
    _symbol_notes(bridges, quads, tree, evidence, notes, symbol)
    inner = [_inside(b, q) for b, q in zip(bridges, quads, strict=True)]
    glass = _cover(bridges, inner, tree, evidence.glass_lines)
    doors = _cover(bridges, inner, tree, evidence.door_lines)
    before = _before(bridges, quads, evidence.door_lines)
    either = _cover(bridges, inner, tree, evidence.either_lines)
    sketched = _cover(bridges, inner, tree, np.concatenate([plain, evidence.glass_lines]))
    past = _sliding_past(bridges, quads, plain)
    leaves = _leaves(evidence, hung)
    leafless = not len(evidence.swings.hinge)
    gaps = []
    for k, bridge in enumerate(bridges):
        if not notes[k]["door"] and len(bridge.lines) == 2:
            notes[k]["door"] += _leaves_beside(bridge, leaves)
        if doors[k] >= (LEAF_COVER if bridge.width_mm <= REACH_MM else COVER_WIDE) or before[k] >= COVER_WIDE:
            notes[k]["door"].append(because("door-linework"))
        elif not notes[k]["door"] and either[k] >= COVER and bridge.width_mm <= REACH_MM:
            notes[k]["door"].append(OF_OPENINGS)
        if glass[k] >= (COVER if bridge.width_mm <= REACH_MM else COVER_WIDE):
            notes[k]["window"].append(because("glazing"))
        gap = _decide(bridge, quads[k], notes[k], symbol[k], glass[k], sketched[k], single_lines, leafless)
        if gap is not None:
            sliding = past[k] and gap.why == (PLAIN_LINES,)
            gaps.append(gap._replace(why=(SLID_PAST,)) if sliding else gap)
    hung_in = [gap for gap in gaps if gap.confirmed and gap.kind == "door"]
    lined = [k for k, b in enumerate(bridges) if sketched[k] >= COVER_WIDE and b.pier and not b.in_row]
    gaps += [
        Gap(bridges[k], "window", False, (PLAIN_LINES,), symbol[k], quads[k])
        for k in _past_doors(bridges, lined, hung_in)
    ]
    return uncrossed(gaps)


def _past_doors(bridges: list[Bridge], lined: list[int], doors: list[Gap]) -> list[int]:
    """Which of the gaps that have lines all along them lead from a free piece of wall to the wall across, where a door
    stands on the other side of that piece, in line with the gap."""
    found = []
    tree = shapely.STRtree([door.quad for door in doors])
    for k in lined:
        bridge = bridges[k]
        if bridge.key[1] >= 0 or bridge.thickness_mm <= 0 or bridge.width_mm > REACH_MM:
            continue
        start = bridge.lines[:, :2].mean(axis=0)
        _, along, _ = frame_of(bridge)
        back = shapely.LineString([start, start - along * (PIER_MM + SLIT_MM)])
        if any(not _square(bridge, doors[d].bridge) for d in tree.query(back, predicate="intersects").tolist()):
            found.append(k)
    return found


def _decide(
    bridge: Bridge,
    quad: shapely.Polygon,
    notes: dict[str, list[str]],
    symbol: int,
    glass: float,
    sketched: float,
    single_lines: bool,
    leafless: bool = False,
) -> Gap | None:
    width = bridge.width_mm
    # Where a wall that joined was rubbed out, the face of the other is left broken (common practice, no source).
    broken = bridge.thickness_mm == 0 and bridge.in_line and not single_lines
    if width <= (BROKEN_MM if broken else SLIT_MM):
        return Gap(bridge, "open", True, (because("slit"),), symbol, quad)
    if notes["door"] and width <= WIDEST_DOOR_MM:
        return Gap(bridge, "door", True, tuple(notes["door"]), symbol, quad)
    seen = bridge.in_line and sketched >= COVER_WIDE and bridge.thickness_mm > 0
    if seen and glass >= GLASS_SHARE:
        return Gap(bridge, "window", True, (because("glazing"),), symbol, quad)
    if notes["window"] and (width <= REACH_MM or glass >= COVER_WIDE):
        return Gap(bridge, "window", True, tuple(notes["window"]), symbol, quad)
    if seen and (bridge.in_row or not bridge.strewn) and width <= WIDEST_SKETCHED_MM:
        return Gap(bridge, "window", False, (PLAIN_LINES,), symbol, quad)
    # Between a window and a door stands a short piece of wall: the row that it is in goes on to the wall across.
    last_of_row = bridge.key[1] < 0 and bridge.pier and bridge.in_row and bridge.thickness_mm > 0
    if last_of_row and sketched >= COVER_WIDE and width <= REACH_MM:
        return Gap(bridge, "window", False, (PLAIN_LINES,), symbol, quad)
    beside_column = leafless and not bridge.strewn and DOORWAY_MM[0] <= width <= DOORWAY_MM[1]
    if (bridge.pier and not beside_column) or (bridge.thickness_mm == 0 and not single_lines):
        return None
    shallow, deep = bridge.deep_mm
    thick = bridge.thickness_mm
    to_face = bridge.key[1] < 0
    if to_face and (deep < thick or (thick > THICK_PLAIN_MM and shallow < WALL_DEEP * thick)):
        return None
    if sketched >= 0.8 and width <= REACH_MM and bridge.thickness_mm > 0:
        return Gap(bridge, "window", False, (PLAIN_LINES,), symbol, quad)
    reach = (
        IN_LINE_REACH_MM
        if bridge.in_line and shallow >= WALL_DEEP * thick
        else TO_FACE_REACH_MM
        if to_face and (not bridge.goes_on or any(bridge.drawn))
        else PLAIN_REACH_MM
    )
    if width <= (reach if bridge.thickness_mm > 0 else PLAIN_LINE_REACH_MM):
        return Gap(bridge, "open", False, (PLAIN_GAP,), symbol, quad)
    return None


HALF, BESIDE_OTHER_MM = (0.35, 0.7), 8.0
"""Of a pair of leaves that slide each covers about half of the gap, from its own jamb on, and one runs so far beside
the other, so that they pass."""


def _sliding_past(bridges: list[Bridge], quads: list[shapely.Polygon], plain: Floats) -> list[bool]:
    """For each gap whether lines of no known role show two leaves in it that slide past each other, and none runs from
    jamb to jamb between the faces of its wall."""
    tree = shapely.STRtree(shapely.linestrings(plain.reshape(-1, 2, 2)))
    return [len(b.lines) == 2 and _passing(b, plain[tree.query(q)]) for b, q in zip(bridges, quads, strict=True)]


def _passing(bridge: Bridge, lines: Floats) -> bool:
    width = bridge.width_mm
    if not DOORWAY_MM[0] <= width <= WIDEST_DOOR_MM:
        return False
    start, along, sides = frame_of(bridge)
    halves: tuple[list[float], list[float]] = ([], [])
    for line in lines:
        t, off = placed_along(line, start, along)
        lies = abs(t[1] - t[0]) >= LEVEL_COS * float(np.hypot(t[1] - t[0], off[1] - off[0]))
        if not lies or off.min() < sides[0] + THIN_MM or off.max() > sides[1] - THIN_MM:
            continue
        low, high = max(float(t.min()), 0.0), min(float(t.max()), width)
        if high - low > HALF[1] * width:
            return False
        if high - low >= HALF[0] * width and (low <= JAMB_MM) != (high >= width - JAMB_MM):
            halves[int(low > JAMB_MM)].append(float(off.mean()))
    return bool(halves[0] and halves[1]) and max(abs(a - b) for a, b in itertools.product(*halves)) >= BESIDE_OTHER_MM


def front_gaps(bridges: list[Bridge], evidence: Evidence) -> list[Gap]:
    """Between the pieces of a glazed front: joints, and the bays of a row of mullions, those that leaves shut doors."""
    gaps = []
    tree = shapely.STRtree([quad_of(b) for b in bridges])
    notes: list[dict[str, list[str]]] = [{"door": [], "window": []} for _ in bridges]
    _swing_notes(bridges, tree, evidence, notes)
    for bridge, note in zip(bridges, notes, strict=True):
        joint = bridge.width_mm <= JOINT_MM
        bay = bridge.key[1] >= 0 and bridge.width_mm <= REACH_MM and bridge.deep_mm[1] <= MULLION_LONG_MM
        if joint or bay:
            door = bool(note["door"]) and not joint
            why = tuple(note["door"]) if door else (JOINT,) if joint else (MULLIONS,)
            gaps.append(Gap(bridge, "door" if door else "window", True, why, -1, quad_of(bridge)))
    return uncrossed(gaps)


def wall_to_front_gaps(bridges: list[Bridge]) -> list[Gap]:
    """From wall ends to the glazed front that they run against."""
    why = (because("short-of-front"),)
    return uncrossed([Gap(b, "open", True, why, -1, quad_of(b)) for b in bridges if b.width_mm <= SHORT_OF_GLASS_MM])


OTHER_GAP_MM = 150.0
"""A leaf that is this much nearer to the width of one gap hangs in that one, and only stands open at another."""


def _swing_notes(
    bridges: list[Bridge], tree: shapely.STRtree, evidence: Evidence, notes: list[dict[str, list[str]]]
) -> dict[int, Bridge]:
    """A leaf hangs at one end of its gap and shuts at the other; two leaves, alike or not, shut between them. Gives
    the gap of each swing that shuts one, alone or in a pair."""
    swings = evidence.swings
    if not len(swings.hinge):
        return {}
    at, k = tree.query(shapely.points(swings.hinge), predicate="dwithin", distance=NEAR_MM)
    single: dict[int, list[tuple[float, int]]] = {}
    halves: list[tuple[int, int, int, int]] = []
    for row, b in zip(at.tolist(), k.tolist(), strict=True):
        ends = _gap_ends(bridges[b])
        hinge = swings.hinge[row]
        own = int(np.argmin([_distance(end, hinge) for end in ends]))
        if _distance(ends[own], hinge) > NEAR_MM:
            continue
        tips = swings.ends[row]
        if min(_distance(ends[1 - own], tip) for tip in tips) <= NEAR_MM:
            off = abs(bridges[b].width_mm - float(swings.radius[row]))
            single.setdefault(row, []).append((off, b))
        else:
            shut = [k for k, tip in enumerate(tips) if _between(bridges[b], tip)]
            halves += [(row, b, own, k) for k in shut]
    for fits in single.values():
        best, own = min(fits)
        for off, b in fits:
            if off <= best + OTHER_GAP_MM and (b == own or not _square(bridges[b], bridges[own])):
                notes[b]["door"].append(because("swing"))
    hung = {row: bridges[min(fits)[1]] for row, fits in single.items()}
    pairs: dict[int, tuple[list[tuple[int, int]], list[tuple[int, int]]]] = {}
    for row, b, own, k in halves:
        if row not in single:
            pairs.setdefault(b, ([], []))[own].append((row, k))
    for b, (first, second) in pairs.items():
        met = [(p, q) for p in first for q in second if math.dist(swings.ends[p], swings.ends[q]) <= NEAR_MM]
        if met:
            notes[b]["door"].append(because("pair-of-doors"))
        hung |= {row: bridges[b] for pair in met for row, _ in pair}
    return hung


SQUARE_COS = 0.5
"""Ways that turn by more from one another are not one way in two readings: a leaf that hangs where they meet shuts one
of them, and stands open along the other."""


def _square(one: Bridge, other: Bridge) -> bool:
    """Whether two gaps lead in directions that are rather square to each other than parallel."""
    ways = [b.lines[0, 2:] - b.lines[0, :2] for b in (one, other)]
    cosine = abs(float(ways[0] @ ways[1])) / max(math.prod(float(np.hypot(*way)) for way in ways), 1e-9)
    return cosine < SQUARE_COS


def _between(bridge: Bridge, point: Floats) -> bool:
    """Whether a point lies near to the lines across a gap."""
    return any(_distance(line.reshape(2, 2), point) <= NEAR_MM for line in bridge.lines)


SLID_SIDE_MM, SLID_LENGTH = 150.0, (0.75, 1.3)
"""A leaf that slides runs this near to its wall's faces, and is about as wide as its gap."""
FOLDED_MM, FOLDED_COVER = 700.0, 0.35
"""Leaves that fold stand out by less, and cover this part of their gap, pushed together as they are."""
JAMB_MM = 120.0
LEVEL_COS = 0.995


class _Leaves(NamedTuple):
    """Leaves that hang at no hinge, all lines of doors, and the circles round leaves that hang in a gap of their own,
    each with its tree, and these gaps."""

    sliding: Floats
    slid: shapely.STRtree
    doors: Floats
    drawn: shapely.STRtree
    discs: shapely.STRtree
    hung: list[Bridge]


def _leaves(evidence: Evidence, hung: dict[int, Bridge]) -> _Leaves:
    """``hung``: the gap that a swing shuts, alone or in a pair."""
    sliding, rows = evidence.leaves, list(hung)
    if len(sliding) and len(evidence.swings.hinge):
        hinges = shapely.STRtree(shapely.points(evidence.swings.hinge))
        at, _ = hinges.query(shapely.points(sliding.reshape(-1, 2)), predicate="dwithin", distance=JAMB_MM)
        sliding = sliding[~np.isin(np.arange(len(sliding)), at // 2)]
    slid, drawn = (shapely.STRtree(shapely.linestrings(r.reshape(-1, 2, 2))) for r in (sliding, evidence.door_lines))
    swings = evidence.swings
    discs = shapely.buffer(shapely.points(swings.hinge[rows]), swings.radius[rows] + BESIDE_MM) if rows else []
    return _Leaves(sliding, slid, evidence.door_lines, drawn, shapely.STRtree(discs), list(hung.values()))


def _leaves_beside(bridge: Bridge, leaves: _Leaves) -> list[str]:
    """What is drawn beside a gap that closes it: a leaf that slides along its wall, from one of its jambs, a pair of
    them that part, half as wide, each at its own jamb, or leaves that fold, from both of them."""
    width = bridge.width_mm
    if not SLIT_MM < width <= WIDEST_DOOR_MM:
        return []
    start, along, sides = frame_of(bridge)
    quad = quad_of(bridge)
    pair = width <= 2 * LEAF_WIDEST_MM
    halves: set[int] = set()
    for row in leaves.slid.query(quad.buffer(SLID_SIDE_MM + width), predicate="intersects").tolist() if pair else ():
        t, off = placed_along(leaves.sliding[row], start, along)
        length = abs(t[1] - t[0])
        level = length >= LEVEL_COS * float(np.hypot(t[1] - t[0], off[1] - off[0]))
        if not level or off.min() < sides[0] - SLID_SIDE_MM or off.max() > sides[1] + SLID_SIDE_MM:
            continue
        jamb = min(abs(end - at) for end in (t.min(), t.max()) for at in (0.0, width)) <= JAMB_MM
        shut = max(abs(t.min()), abs(t.max() - width)) <= BESIDE_MM
        whole = width <= LEAF_WIDEST_MM and SLID_LENGTH[0] * width <= length <= SLID_LENGTH[1] * width
        if jamb and not shut and whole:
            return [because("sliding-leaf")]
        if SLID_LENGTH[0] * width <= 2 * length <= SLID_LENGTH[1] * width:
            halves |= {k for k, at in enumerate((0.0, width)) if t.min() - JAMB_MM <= at <= t.max() + JAMB_MM}
    if halves == {0, 1}:
        return [because("sliding-leaf")]
    return _folded(width, start, along, sides, _not_hung(bridge, quad, leaves))


def _not_hung(bridge: Bridge, quad: shapely.Polygon, leaves: _Leaves) -> Floats:
    """The lines of doors near a gap, but for leaves that hang in another one, square to it or behind it, with their
    frames and arcs: these fold across none."""
    lines = leaves.doors[leaves.drawn.query(quad.buffer(FOLDED_MM))]
    discs = [
        k
        for k in leaves.discs.query(quad, predicate="intersects").tolist()
        if _square(leaves.hung[k], bridge) or _behind(quad_of(leaves.hung[k]), quad)
    ]
    if not len(lines) or not discs:
        return np.asarray(lines)
    within = shapely.STRtree(shapely.multipoints(lines.reshape(-1, 2, 2)))
    return np.delete(lines, within.query(leaves.discs.geometries[discs], predicate="contains")[1], axis=0)


def _behind(one: shapely.Polygon, other: shapely.Polygon) -> bool:
    """Whether two gaps are no two readings of one: they hardly share any ground."""
    return bool(one.intersection(other).area <= FACE_PART * min(one.area, other.area))


def _folded(width: float, start: Floats, along: Floats, sides: tuple[float, float], lines: Floats) -> list[str]:
    spans, ends = [], set()
    for line in lines:
        t, off = placed_along(line, start, along)
        if t.min() < -JAMB_MM or t.max() > width + JAMB_MM or abs(t[1] - t[0]) > width / 2:
            continue
        if off.max() < sides[0] - FOLDED_MM or off.min() > sides[1] + FOLDED_MM:
            continue
        spans.append((max(float(t.min()), 0.0), min(float(t.max()), width)))
        if off.max() >= sides[0] - JAMB_MM and off.min() <= sides[1] + JAMB_MM:
            ends |= {k for k, at in enumerate((0.0, width)) if min(abs(t - at)) <= JAMB_MM}
    return [because("folding-leaves")] if ends == {0, 1} and length_of_spans(spans) >= FOLDED_COVER * width else []


def frame_of(bridge: Bridge) -> tuple[Floats, Floats, tuple[float, float]]:
    """(a corner of the gap, the unit direction along its wall, where its two faces lie across that)"""
    start = bridge.lines[0, :2]
    way = bridge.lines[0, 2:] - start
    along = way / max(float(np.hypot(*way)), 1e-9)
    other = bridge.lines[-1, :2] - start
    across = float(-along[1] * other[0] + along[0] * other[1])
    return start, along, (min(0.0, across), max(0.0, across))


def placed_along(line: Floats, start: Floats, along: Floats) -> tuple[Floats, Floats]:
    """Where both ends of a line lie along the wall, and across it."""
    d = line.reshape(2, 2) - start
    return d @ along, d @ np.array([-along[1], along[0]])


def _gap_ends(bridge: Bridge) -> Floats:
    """(2, 2, 2): the two jambs of a gap as lines, across the strip round it where the wall is a single line: its leaf
    may hang on the other face."""
    if len(bridge.lines) == 2:
        return np.array([bridge.lines[:, :2], bridge.lines[:, 2:]])
    start, along, _ = frame_of(bridge)
    aside = BESIDE_MM * np.array([[-along[1], along[0]], [along[1], -along[0]]])
    return np.array([start + aside, bridge.lines[0, 2:] + aside])


def _distance(line: Floats, point: Floats) -> float:
    """From a point to a line between two ends."""
    (px, py), (qx, qy) = line.tolist()
    x, y = point.tolist()
    dx, dy = qx - px, qy - py
    length2 = dx * dx + dy * dy
    t = 0.0 if length2 == 0 else min(1.0, max(0.0, ((x - px) * dx + (y - py) * dy) / length2))
    return math.hypot(px + t * dx - x, py + t * dy - y)


def _symbol_notes(
    bridges: list[Bridge],
    quads: list[shapely.Polygon],
    tree: shapely.STRtree,
    evidence: Evidence,
    notes: list[dict[str, list[str]]],
    symbol: list[int],
) -> None:
    if not len(evidence.symbols):
        return
    boxes = shapely.box(*evidence.symbols.T)
    at, k = tree.query(boxes, predicate="intersects")
    for row, b in zip(at.tolist(), k.tolist(), strict=True):
        x0, y0, x1, y1 = evidence.symbols[row]
        size = max(x1 - x0, y1 - y0)
        if 0.5 * bridges[b].width_mm <= size <= 2.2 * bridges[b].width_mm + 2 * NEAR_MM:
            shared = quads[b].intersection(boxes[row]).area
            if shared >= 0.4 * quads[b].area:
                notes[b][evidence.symbol_kind[row]].append(because("symbol"))
                symbol[b] = evidence.symbol_row[row]


def _cover(bridges: list[Bridge], quads: list[shapely.Polygon], tree: shapely.STRtree, lines: Floats) -> Floats:
    """For each gap which part of its width lines run along, inside its strip."""
    cover = np.zeros(len(bridges))
    if not len(lines):
        return cover
    drawn = shapely.linestrings(lines.reshape(-1, 2, 2))
    row, k = tree.query(drawn, predicate="intersects")
    if not len(k):
        return cover
    order = np.argsort(k, kind="stable")
    row, k = row[order], k[order]
    starts = np.flatnonzero(np.append(True, k[1:] != k[:-1]))
    for start, stop in zip(starts, np.append(starts[1:], len(k)), strict=True):
        b = int(k[start])
        inside = shapely.intersection(drawn[row[start:stop]], quads[b])
        cover[b] = _covered(bridges[b], inside)
    return cover


def _before(bridges: list[Bridge], quads: list[shapely.Polygon], doors: Floats) -> Floats:
    """For each gap as wide as a gate's which part of its width lines of doors run along, in it or just before it; 0 for
    the others."""
    cover = np.zeros(len(bridges))
    rows = [k for k, b in enumerate(bridges) if len(b.lines) == 2 and GATE_MM[0] <= b.width_mm <= GATE_MM[1]]
    wide = [quads[k].buffer(BEFORE_MM, join_style="mitre") for k in rows]
    cover[rows] = _cover([bridges[k] for k in rows], wide, shapely.STRtree(wide), doors)
    return cover


def _covered(bridge: Bridge, pieces: NDArray[np.object_]) -> float:
    x0, y0, x1, y1 = bridge.lines[0]
    d = np.array([x1 - x0, y1 - y0])
    length = float(np.hypot(*d))
    if length <= NOWHERE_MM:
        return 0.0
    spans = []
    for piece in shapely.get_parts(pieces):
        xy = shapely.get_coordinates(piece)
        t = (xy - (x0, y0)) @ d / length
        if len(t) > 1 and t.max() - t.min() > 0.7 * piece.length:
            spans.append((max(t.min(), 0.0), min(t.max(), length)))
    return length_of_spans(spans) / length


def length_of_spans(spans: list[tuple[float, float]]) -> float:
    """The length that stretches cover together."""
    total, reached = 0.0, 0.0
    for lo, hi in sorted(spans):
        total += max(0.0, hi - max(lo, reached))
        reached = max(reached, hi)
    return total


def uncrossed(gaps: list[Gap]) -> list[Gap]:
    """The gaps without those that cross one which is confirmed, or narrower."""
    gaps = sorted(gaps, key=lambda g: (not g.confirmed, g.bridge.width_mm))
    if len(gaps) < 2:
        return gaps
    lines = [shapely.multilinestrings(g.bridge.lines.reshape(-1, 2, 2)) for g in gaps]
    a, b = shapely.STRtree(lines).query(lines, predicate="crosses")
    rivals: dict[int, list[int]] = {}
    for i, j in zip(a.tolist(), b.tolist(), strict=True):
        rivals.setdefault(i, []).append(j)
    kept: set[int] = set()
    for i in range(len(gaps)):
        if not any(j in kept for j in rivals.get(i, ())):
            kept.add(i)
    return [gaps[i] for i in sorted(kept)]
