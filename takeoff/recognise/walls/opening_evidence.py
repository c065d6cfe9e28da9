"""What shows that a gap in a wall is a door or a window: swings, leaves, glass, symbols; among lines whose
layers say nothing, panes from one wall end to the one opposite.

A wall stops at two short lines that face each other, its faces are not drawn across, and what runs
between them from one to the other is glass or a frame (common practice of drawing, no source)."""

from __future__ import annotations

import re
from typing import NamedTuple

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing, Linework
from takeoff.geometry.near_points import pairs_within
from takeoff.recognise.walls.bounding_lines import Lines, arc_centres, is_role
from takeoff.recognise.walls.drawn_stairs import Flight, drawn_flights
from takeoff.recognise.walls.layer_roles import by_name

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

LEAF_MM = (450.0, 1600.0)
"""A door leaf is this wide (common practice, no source)."""
SWING_DEG = (25.0, 185.0)
"""How far a leaf is drawn open."""
LEAF_SLACK_MM = 80.0
"""A leaf has a thickness, and is drawn a little off its swing's centre or end."""


class Swings(NamedTuple):
    """Door swings: ``hinge`` (n, 2), ``closed`` (n, 2, 2) both ends of the arc (either can be the
    closed position), ``radius`` (n,), the arc's row ``arc`` (n,)."""

    hinge: Floats
    ends: Floats
    radius: Floats
    arc: Ints


class Evidence(NamedTuple):
    """Door and window marks near the origin. ``door_lines``, ``glass_lines``: (n, 4); ``either_lines``: of layers
    that are for all openings; ``leaves``: the straight ones of doors or either; ``symbols``: boxes (n, 4);
    ``symbol_kind`` (n,) of "door" or "window"; ``symbol_row``: which symbol of the drawing each is; ``flights``: of
    stairs, between whose parts no opening is."""

    swings: Swings
    door_lines: Floats
    glass_lines: Floats
    symbols: Floats
    symbol_kind: tuple[str, ...]
    symbol_row: tuple[int, ...]
    leaves: Floats
    either_lines: Floats = np.zeros((0, 4))
    flights: tuple[Flight, ...] = ()


EVEN_LEGS, SQUARE_LEGS = 0.02, 0.02
QUARTER_BULGE = 0.41421356237309503


def with_quarters(drawing: Drawing) -> Drawing:
    """The drawing (in mm) with the quarter circle of a door in place of its chord: quick plans show a door as a
    triangle with two equal legs of a leaf's width at a right angle, the leaf and the threshold. Without such it
    is the same drawing."""
    work = drawing.lines
    seg, source = work.segments, work.segment_source
    if len(seg) < 3:
        return drawing
    first = np.flatnonzero((source[:-2] == source[1:-1]) & (source[1:-1] == source[2:]))
    closed = [np.abs(seg[first + k, 2:] - seg[first + (k + 1) % 3, :2]).max(axis=1) <= TOUCH_MM for k in range(3)]
    first = first[np.logical_and.reduce(closed)]
    gone, arcs = [], []
    for row in first.tolist():
        for k in range(3):
            a, b, chord = (seg[row + (k + j) % 3] for j in range(3))
            u, v = a[:2] - a[2:], b[2:] - b[:2]
            long, wide = float(np.hypot(*u)), float(np.hypot(*v))
            square = abs(float(u @ v)) <= SQUARE_LEGS * long * wide
            if square and LEAF_MM[0] <= long <= LEAF_MM[1] and abs(wide - long) <= EVEN_LEGS * long:
                turn = float(v[0] * u[1] - v[1] * u[0])
                gone.append(row + (k + 2) % 3)
                arcs.append((*chord, QUARTER_BULGE if turn > 0 else -QUARTER_BULGE))
    if not gone:
        return drawing
    keep = np.ones(len(seg), bool)
    keep[gone] = False
    new = Linework(
        seg[keep],
        work.segment_layer[keep],
        source[keep],
        np.concatenate([work.arcs, np.array(arcs)]),
        np.concatenate([work.arc_layer, work.segment_layer[gone]]),
        np.concatenate([work.arc_source, source[gone]]),
    )
    return msgspec.structs.replace(drawing, lines=new)


PIECES_DEG, WHOLE_DEG, SAME_CENTRE = 80.0, (75.0, 115.0), 0.02
"""A swing that was written in pieces: each turns by less than the first, and by the second all together; their centres
are off by less than the last part of the radius."""


def with_whole_swings(drawing: Drawing) -> Drawing:
    """The drawing (in mm) with one arc for each swing that is drawn in two, one after the other about the same centre,
    as many printers write every quarter circle: only one of them ends where the leaf does, and the other where it
    shuts. Without such it is the same drawing."""
    work = drawing.lines
    arcs = work.arcs
    if len(arcs) < 2:
        return drawing
    sweep = np.degrees(4 * np.arctan(arcs[:, 4]))
    centre = arc_centres(arcs)
    radius = np.abs(centre - (arcs[:, 0] + 1j * arcs[:, 1]))
    first, second = arcs[:-1], arcs[1:]
    whole = sweep[:-1] + sweep[1:]
    on = (work.arc_source[:-1] == work.arc_source[1:]) & (work.arc_layer[:-1] == work.arc_layer[1:])
    on &= np.abs(first[:, 2:4] - second[:, :2]).max(axis=1) <= TOUCH_MM
    on &= np.abs(centre[:-1] - centre[1:]) <= SAME_CENTRE * radius[:-1]
    on &= (radius[:-1] >= LEAF_MM[0]) & (radius[:-1] <= LEAF_MM[1])
    on &= (np.abs(sweep[:-1]) < PIECES_DEG) & (np.abs(sweep[1:]) < PIECES_DEG) & (sweep[:-1] * sweep[1:] > 0)
    on &= (np.abs(whole) >= WHOLE_DEG[0]) & (np.abs(whole) <= WHOLE_DEG[1])
    # No arc is the second of one swing and the first of the next.
    on[1:] &= ~on[:-1]
    rows = np.flatnonzero(on)
    if not len(rows):
        return drawing
    joined = arcs.copy()
    joined[rows, 2:4] = second[rows, 2:4]
    joined[rows, 4] = np.tan(np.radians(whole[rows]) / 4)
    keep = np.ones(len(arcs), bool)
    keep[rows + 1] = False
    new = Linework(
        work.segments,
        work.segment_layer,
        work.segment_source,
        joined[keep],
        work.arc_layer[keep],
        work.arc_source[keep],
    )
    return msgspec.structs.replace(drawing, lines=new)


def swings(lines: Lines, bare_too: bool = True) -> tuple[Swings, Bools]:
    """(door swings, which lines draw them: arc chords and leaves).

    On a door layer an arc of a leaf's size is enough; elsewhere it needs a leaf from its centre
    to one of its ends, or two arcs that meet as a pair of leaves do, or, as a quarter circle, a wall's end where
    it shuts (``bare_too``).
    """
    arcs = lines.arcs
    drawn = np.zeros(len(lines.xy), bool)
    if not len(arcs):
        return Swings(np.zeros((0, 2)), np.zeros((0, 2, 2)), np.zeros(0), np.zeros(0, np.int64)), drawn
    sweep = np.degrees(4 * np.arctan(np.abs(arcs[:, 4])))
    centre = arc_centres(arcs)
    radius = np.abs(centre - (arcs[:, 0] + 1j * arcs[:, 1]))
    fits = (sweep >= SWING_DEG[0]) & (sweep <= SWING_DEG[1])
    fits &= (radius >= LEAF_MM[0]) & (radius <= LEAF_MM[1])
    rows = np.flatnonzero(fits)
    alive = lines.arc_role[rows] == "door"
    doubtful = rows[~alive]
    by_hand = _hung_by_hand(lines, arcs, doubtful.tolist())
    for k, (at, leaf_row) in by_hand.items():
        centre[k], radius[k] = complex(*at), float(np.hypot(*(lines.xy[leaf_row, 2:] - lines.xy[leaf_row, :2])))
    leaf_of = _leaves(lines, arcs, doubtful, centre, radius)
    alive[~alive] = [bool(len(leaf)) or k in by_hand for k, leaf in zip(doubtful.tolist(), leaf_of, strict=True)]
    for leaf in leaf_of:
        drawn[leaf] = True
    if bare_too:
        alive[~alive] = _bare(lines, arcs, rows[~alive], centre, radius)
    rows = rows[alive]
    small = _smaller_leaves(lines, arcs, rows, centre, radius)
    rows = np.concatenate([rows, small])
    drawn |= np.isin(lines.arc, rows)
    hinge = np.stack([centre[rows].real, centre[rows].imag], axis=1)
    drawn[[leaf_row for _, leaf_row in by_hand.values()]] = True
    return Swings(hinge, arcs[rows, :4].reshape(-1, 2, 2), radius[rows], rows), drawn


SMALLER_MM, MEET_MM, OPPOSITE = 200.0, 60.0, -0.9
"""The smaller leaf of a pair is no narrower than the first, and shuts within the second of the other's edge, from the
opposite side (common practice, no source)."""
HALF_MM = 380.0
"""Two leaves of one door, each narrower than a leaf by itself, are this wide (common practice, no source)."""


def _smaller_leaves(
    lines: Lines, arcs: Floats, rows: Ints, centre: NDArray[np.complex128], radius: Floats
) -> NDArray[np.int64]:
    """The arcs narrower than leaves of doors by themselves that shut against one of ``rows``, which are swings, or
    against each other, as the halves of a door do."""
    sweep = np.degrees(4 * np.arctan(np.abs(arcs[:, 4])))
    fits = (radius >= SMALLER_MM) & (radius < LEAF_MM[0]) & (sweep >= SWING_DEG[0]) & (sweep <= SWING_DEG[1])
    narrow = np.flatnonzero(fits)
    rows = np.union1d(rows, narrow[radius[narrow] >= HALF_MM])
    if not len(narrow) or not len(rows):
        return narrow[:0]
    own, other = (arcs[k, :4].reshape(-1, 2) for k in (narrow, rows))
    i, j = shapely.STRtree(shapely.points(other)).query(shapely.points(own), predicate="dwithin", distance=MEET_MM)
    ways = [
        xy[at] - np.stack([centre[k[at // 2]].real, centre[k[at // 2]].imag], axis=1)
        for xy, k, at in ((own, narrow, i), (other, rows, j))
    ]
    cosine = (ways[0] * ways[1]).sum(axis=1) / (radius[narrow[i // 2]] * radius[rows[j // 2]])
    met = np.unique(narrow[i[cosine < OPPOSITE] // 2])
    leaf_of = _leaves(lines, arcs, met, centre, radius)
    hung = [bool(len(leaf)) for leaf in leaf_of]
    return np.asarray(met[(lines.arc_role[met] == "door") | np.array(hung, bool)], np.int64)


BARE_DEG, BARE_TOUCH_MM = (80.0, 100.0), 40.0
BARE_CLEAR = 0.2
"""A quarter circle alone shows a door where its leaf would hang at a wall and shut at a wall's end, and where no line
lies in more than the last part of that way; the round of a corner shower has walls along both its radii."""
ONE_CENTRE_MM, ROUND_WALL_MM = 30.0, (45.0, 650.0)
"""The other face of a round wall lies about the same centre, so far away."""


def _bare(lines: Lines, arcs: Floats, rows: Ints, centre: NDArray[np.complex128], radius: Floats) -> list[bool]:
    """For each of these arcs whether it shows a door though no leaf is drawn with it."""
    straight = np.flatnonzero((lines.arc < 0) & ~lines.hatch & ~lines.dashed)
    if not len(rows) or not len(straight):
        return [False] * len(rows)
    drawn = shapely.linestrings(lines.xy[straight].reshape(-1, 2, 2))
    tree = shapely.STRtree(drawn)
    ends = shapely.STRtree(shapely.points(lines.xy[straight].reshape(-1, 2)))
    found = []
    for row in rows.tolist():
        sweep = np.degrees(4 * np.arctan(abs(arcs[row, 4])))
        apart = np.abs(radius - radius[row])
        round_wall = (np.abs(centre - centre[row]) <= ONE_CENTRE_MM) & (apart >= ROUND_WALL_MM[0])
        round_wall &= apart <= ROUND_WALL_MM[1]
        hinge = np.array([centre[row].real, centre[row].imag])
        hung = len(tree.query(shapely.Point(hinge), predicate="dwithin", distance=BARE_TOUCH_MM)) > 0
        if not BARE_DEG[0] <= sweep <= BARE_DEG[1] or round_wall.any() or not hung:
            found.append(False)
            continue
        shut = [
            len(ends.query(shapely.Point(tip), predicate="dwithin", distance=BARE_TOUCH_MM)) > 0
            and _lined(drawn, tree, hinge, tip) <= BARE_CLEAR
            for tip in (arcs[row, :2], arcs[row, 2:4])
        ]
        found.append(sum(shut) == 1)
    return found


def _lined(drawn: NDArray[np.object_], tree: shapely.STRtree, start: Floats, end: Floats) -> float:
    """The longest part of the way between two points that one line lies along."""
    way = shapely.LineString([start, end])
    zone = way.buffer(BARE_TOUCH_MM, cap_style="flat")
    pieces = shapely.intersection(drawn[tree.query(zone, predicate="intersects")], zone)
    return float(shapely.length(pieces).max(initial=0.0)) / max(float(way.length), 1e-9)


BY_HAND_DEG, AT_TIP_MM, OFF_CENTRE, OFF_LENGTH = (60.0, 115.0), 15.0, 0.35, 0.15
"""A swing drawn through three points, or by a curve that is no circle, is no exact quarter: its centre lies off the
hinge by more than a leaf is thick, and so much of its radius at most; the leaf is as long as the way is wide, but for
so much of it."""


def _hung_by_hand(lines: Lines, arcs: Floats, rows: list[int]) -> dict[int, tuple[Floats, int]]:
    """(hinge, the line that draws the leaf) for those arcs that are swings about another point than their centre: a
    straight line runs from one of the arc's ends to it, as long as it is from there to the other end."""
    found: dict[int, tuple[Floats, int]] = {}
    straight = np.flatnonzero((lines.arc < 0) & ~is_role(lines, "wall", "column") & ~lines.hatch & ~lines.dashed)
    if not rows or not len(straight):
        return found
    ends = lines.xy[straight].reshape(-1, 2)
    tree = shapely.STRtree(shapely.points(ends))
    centre = arc_centres(arcs)
    for k in rows:
        c = np.array([centre[k].real, centre[k].imag])
        radius = float(np.hypot(*(arcs[k, :2] - c)))
        if not BY_HAND_DEG[0] <= np.degrees(4 * np.arctan(abs(arcs[k, 4]))) <= BY_HAND_DEG[1]:
            continue
        for tip, shut in ((arcs[k, :2], arcs[k, 2:4]), (arcs[k, 2:4], arcs[k, :2])):
            for at in tree.query(shapely.Point(tip), predicate="dwithin", distance=AT_TIP_MM).tolist():
                hinge = ends[at ^ 1]
                long, wide = float(np.hypot(*(hinge - ends[at]))), float(np.hypot(*(hinge - shut)))
                off = float(np.hypot(*(hinge - c)))
                fits = LEAF_MM[0] <= long <= LEAF_MM[1] and LEAF_SLACK_MM < off <= OFF_CENTRE * radius
                if fits and abs(wide - long) <= OFF_LENGTH * long:
                    found.setdefault(k, (hinge, int(straight[at // 2])))
    return found


def with_doors(lines: Lines) -> Lines:
    """The lines, with those of door swings on layers of glazing given the role of doors: many drawings have one
    layer for all that stands in openings."""
    found, leaf = swings(lines, bare_too=False)
    glass = leaf & is_role(lines, "glazing")
    # Beside a leaf of another layer a short line is a side of the mullion that it hangs on.
    long = np.hypot(*(lines.xy[:, 2:] - lines.xy[:, :2]).T) >= LEAF_SLACK_MM
    glass &= np.isin(lines.layer, lines.layer[glass & long])
    if not glass.any():
        return lines
    role, arc_role = lines.role.copy(), lines.arc_role.copy()
    role[glass] = "door"
    arc_role[found.arc[arc_role[found.arc] == "glazing"]] = "door"
    return lines._replace(role=role, arc_role=arc_role)


def _leaves(lines: Lines, arcs: Floats, rows: Ints, centre: NDArray[np.complex128], radius: Floats) -> list[Ints]:
    """For each arc the lines that draw its leaf: near the line from its centre to an end, and
    along it or across its thickness; on wall layers only lines as long as the leaf are."""
    straight = np.flatnonzero(lines.arc < 0)
    of_wall = is_role(lines, "wall", "column")
    if not len(rows) or not len(straight):
        return [np.zeros(0, np.int64) for _ in rows]
    found: list[Ints] = []
    tree = shapely.STRtree(shapely.linestrings(lines.xy[straight].reshape(-1, 2, 2)))
    for row in rows:
        c = np.array([centre[row].real, centre[row].imag])
        best, most = np.zeros(0, np.int64), (0, 0)
        for end in (arcs[row, :2], arcs[row, 2:4]):
            corridor = shapely.buffer(shapely.linestrings([c, end]), LEAF_SLACK_MM)
            near = straight[tree.query(corridor, predicate="contains")]
            d = lines.xy[near, 2:] - lines.xy[near, :2]
            length = np.hypot(d[:, 0], d[:, 1])
            along = np.abs(d @ (end - c)) / radius[row]
            fits = np.where(of_wall[near], length > 0.8 * radius[row], length < LEAF_SLACK_MM)
            fits |= (along > 0.97 * length) & ~of_wall[near]
            near, length = near[fits], length[fits]
            if len(near) and np.abs(length - radius[row]).min() <= LEAF_EXACT * radius[row]:
                near = near[~_of_wall_behind(lines.xy[near], c, radius[row], tree, corridor)]
                length = np.hypot(*(lines.xy[near, 2:] - lines.xy[near, :2]).T)
            # Two long lines are a leaf's faces, beside the one of a threshold, whatever else is drawn there.
            long = int((length > 0.8 * radius[row]).sum())
            if long and (long, len(near)) > most:
                best, most = near, (long, len(near))
        found.append(best)
    return found


LEAF_EXACT, WALL_BEHIND = 0.03, (0.5, 0.95)
"""A leaf that is as long as its swing is wide is drawn; a line beside it that is so much shorter, and runs on into
another one, is the face of the wall that it stands open against."""


def _of_wall_behind(
    xy: Floats, hinge: Floats, radius: float, tree: shapely.STRtree, corridor: shapely.Polygon
) -> Bools:
    """Which of the lines along a leaf are faces of the wall behind it."""
    length = np.hypot(*(xy[:, 2:] - xy[:, :2]).T)
    turned = np.hypot(*(xy[:, :2] - hinge).T) > np.hypot(*(xy[:, 2:] - hinge).T)
    far = np.where(turned[:, None], xy[:, :2], xy[:, 2:])
    found = (length >= WALL_BEHIND[0] * radius) & (length <= WALL_BEHIND[1] * radius)
    for k in np.flatnonzero(found).tolist():
        met = tree.geometries[tree.query(shapely.Point(far[k]), predicate="dwithin", distance=TOUCH_MM)]
        found[k] = bool((~shapely.within(met, corridor)).any())
    return np.asarray(found)


def gather(drawing: Drawing, lines: Lines, found: Swings) -> Evidence:
    """All that speaks for doors and windows in the drawing."""
    door = is_role(lines, "door")
    glass = is_role(lines, "glazing")
    for_all = np.array([_is_for_all(layer.name) for layer in drawing.layers] or [False])
    either = door & for_all[lines.layer] & (lines.arc < 0)
    boxes, kinds, rows = [], [], []
    x, y = lines.origin
    # Blocks within blocks give hundreds of thousands of symbols of a few names.
    said = {name: by_name(name)[0] for name in {symbol.name for symbol in drawing.symbols}}
    of_layer = [by_name(layer.name)[0] for layer in drawing.layers]
    for row, symbol in enumerate(drawing.symbols):
        role = said[symbol.name]
        if role not in ("door", "glazing"):
            role = of_layer[symbol.layer] if of_layer else "unknown"
        if role in ("door", "glazing") and symbol.box is not None:
            x0, y0, x1, y1 = symbol.box
            boxes.append((x0 - x, y0 - y, x1 - x, y1 - y))
            kinds.append("door" if role == "door" else "window")
            rows.append(row)
    return Evidence(
        found,
        lines.xy[door & ~either],
        lines.xy[glass],
        np.array(boxes, float).reshape(-1, 4),
        tuple(kinds),
        tuple(rows),
        lines.xy[door & (lines.arc < 0)],
        lines.xy[either],
        drawn_flights(lines),
    )


_FOR_ALL = frozenset(
    {"opening", "openings", "öffnung", "öffnungen", "oeffnung", "oeffnungen", "ouverture", "ouvertures"}
)
_FOR_ALL |= {"baie", "baies", "abertura", "aberturas", "apertura", "aperture", "vano", "vanos", "vani", "infissi"}
_FOR_ALL |= {"ouvertures", "serramenti", "carpinteria", "otwory", "проем", "проемы", "проёмы"}
"""What layers are called that hold whatever stands in openings, doors and windows alike."""


def _is_for_all(layer: str) -> bool:
    return any(word in _FOR_ALL for word in re.split(r"[^\w]+|_", layer.lower()))


PANE_MM = (300.0, 6000.0)
END_MM = (60.0, 650.0)
"""Between these lies the thickness of a wall that a window sits in."""
TOUCH_MM = 3.0
OPPOSITE_MM = 15.0
"""Wall ends that face each other are off by less."""
SQUARE_COS = 0.05
FACE_MM = 2.0
"""A line this near to the corners of both wall ends is the wall's face, drawn across."""
WALL_SHARE = 0.6
"""Two lines alone that are so much of the ends' width apart are a thinner wall between piers."""
PARTITION_MM, WIDE_PANE_MM = 90.0, 3000.0
"""So are those that are as far apart as the faces of a partition and longer than windows without a mullion are,
wherever they lie between broader columns (common practice, no source)."""


APART_MM = (5.0, 350.0)
"""Panes and frames of one window lie this far apart."""
FEWEST_FREE, MOST_FREE = 3, 40
"""Fewer lines side by side are no window, and more of them a hatch or a grille."""
JAMB_MM, DEEP_MM = 30.0, 500.0
"""Where no line is drawn across a wall's end, its faces stop this near to the panes' ends, and within
so much of them across."""


class _Spans(NamedTuple):
    """Lines that run from one short line to another: their row, those two, and how far their ends lie
    from the nearest corner of each."""

    row: Ints
    ends: Ints
    corner: Floats


def with_windows(lines: Lines) -> Lines:
    """The lines, with those that draw windows given the role of glazing; a drawing whose layers say what
    walls or glazing is stays as it is."""
    if is_role(lines, "wall", "glazing").any():
        return lines
    usable = np.flatnonzero(is_role(lines, "unknown") & ~lines.dashed & ~lines.hatch & ~lines.hidden & (lines.arc < 0))
    xy = lines.xy[usable]
    panes = usable[np.union1d(_panes(xy), _free_panes(xy))] if len(usable) else usable
    if not len(panes):
        return lines
    role = lines.role.copy()
    role[panes] = "glazing"
    return lines._replace(role=role)


def _panes(xy: Floats) -> Ints:
    """Rows of the lines that run from wall end to wall end where no two faces do."""
    found = _spans(xy)
    panes: list[int] = []
    pair = found.ends.min(axis=1) * (len(xy) + 1) + found.ends.max(axis=1)
    for key in np.unique(pair):
        own = np.flatnonzero(pair == key)
        faces = found.corner[own] <= FACE_MM
        if (
            (~faces).any()
            and faces.sum() < 2
            and _facing(xy, found.ends[own[0]])
            and not _wall(xy[found.row[own]], xy[found.ends[own[0], 0]])
        ):
            panes += found.row[own].tolist()
    return np.array(sorted(panes), np.int64)


def _spans(xy: Floats) -> _Spans:
    d = xy[:, 2:] - xy[:, :2]
    length = np.hypot(d[:, 0], d[:, 1])
    unit = d / np.maximum(length, 1e-9)[:, None]
    ends = np.flatnonzero((length >= END_MM[0]) & (length <= END_MM[1]))
    rows = np.flatnonzero((length >= PANE_MM[0]) & (length <= PANE_MM[1]))
    none = _Spans(np.zeros(0, np.int64), np.zeros((0, 2), np.int64), np.zeros(0))
    if not len(ends) or not len(rows):
        return none
    tree = shapely.STRtree(shapely.linestrings(xy[ends].reshape(-1, 2, 2)))
    met: list[dict[int, int]] = []
    for side in (slice(0, 2), slice(2, 4)):
        at, k = tree.query(shapely.points(xy[rows][:, side]), predicate="dwithin", distance=TOUCH_MM)
        square = np.abs((unit[rows[at]] * unit[ends[k]]).sum(axis=1)) <= SQUARE_COS
        met.append(dict(zip(at[square].tolist(), ends[k[square]].tolist(), strict=True)))
    both = sorted(set(met[0]) & set(met[1]))
    if not both:
        return none
    pairs = np.array([(met[0][i], met[1][i]) for i in both], np.int64)
    row = rows[both]
    corner = np.maximum(_to_corner(xy[row, :2], xy[pairs[:, 0]]), _to_corner(xy[row, 2:], xy[pairs[:, 1]]))
    return _Spans(row, pairs, corner)


def _to_corner(point: Floats, line: Floats) -> Floats:
    first, second = point - line[:, :2], point - line[:, 2:]
    return np.asarray(np.minimum(np.hypot(first[:, 0], first[:, 1]), np.hypot(second[:, 0], second[:, 1])))


def _wall(lines: Floats, end: Floats) -> bool:
    """Whether two lines from pier to pier are the faces of a wall."""
    if len(lines) != 2:
        return False
    d = end[2:] - end[:2]
    width = float(np.hypot(*d))
    across = (lines[:, :2] - end[:2]) @ d / width
    apart = abs(across[1] - across[0])
    long = float(np.hypot(*(lines[:, 2:] - lines[:, :2]).T).min()) >= WIDE_PANE_MM
    return bool(apart >= WALL_SHARE * width or (long and apart >= PARTITION_MM))


def _facing(xy: Floats, ends: Ints) -> bool:
    """Whether two short lines lie opposite each other and are of one length."""
    a, b = xy[ends[0]].reshape(2, 2), xy[ends[1]].reshape(2, 2)
    d = a[1] - a[0]
    u = d / np.hypot(*d)
    spans = [np.sort((line - a[0]) @ u) for line in (a, b)]
    return bool(np.abs(spans[0] - spans[1]).max() <= OPPOSITE_MM)


def _free_panes(xy: Floats) -> Ints:
    """Rows of three or more like lines side by side between faces of walls that stop at their ends; none where lines
    lie in heaps."""
    d = xy[:, 2:] - xy[:, :2]
    turned = (d[:, 0] < 0) | ((d[:, 0] == 0) & (d[:, 1] < 0))
    ends = np.where(turned[:, None], np.roll(xy, 2, axis=1), xy)
    length = np.hypot(d[:, 0], d[:, 1])
    rows = np.flatnonzero((length >= PANE_MM[0]) & (length <= PANE_MM[1]))
    if len(rows) < FEWEST_FREE:
        return np.zeros(0, np.int64)
    own = ends[rows]
    pairs = pairs_within((own[:, :2] + own[:, 2:]) / 2.0, APART_MM[1])
    if pairs is None:
        return np.zeros(0, np.int64)
    a, b = pairs
    unit = (own[:, 2:] - own[:, :2]) / length[rows][:, None]
    first, last = own[b, :2] - own[a, :2], own[b, 2:] - own[a, 2:]
    aside = np.abs(first[:, 0] * unit[a, 1] - first[:, 1] * unit[a, 0])
    alike = (a != b) & (np.abs((first * unit[a]).sum(axis=1)) <= OPPOSITE_MM)
    alike &= (np.abs((last * unit[a]).sum(axis=1)) <= OPPOSITE_MM) & (aside >= APART_MM[0])
    mates: dict[int, list[int]] = {}
    for i, j in zip(a[alike].tolist(), b[alike].tolist(), strict=True):
        mates.setdefault(i, []).append(j)
    tips = shapely.STRtree(shapely.points(np.concatenate([ends[:, :2], ends[:, 2:]])))
    found: set[int] = set()
    for i, others in mates.items():
        group = [i, *others]
        if (
            _abreast(own[group], unit[i]) >= FEWEST_FREE
            and len(group) <= MOST_FREE
            and all(_stops(ends, tips, own[group], unit[i], rows[group], side) for side in (0, 1))
        ):
            found |= set(rows[group].tolist())
    return np.array(sorted(found), np.int64)


def _abreast(group: Floats, along: Floats) -> int:
    """How many different places lines side by side lie in; one that is drawn twice lies in one."""
    offs = np.sort(group[:, :2] @ np.array([-along[1], along[0]]))
    return 1 + int((np.diff(offs) >= APART_MM[0]).sum())


def _stops(ends: Floats, tips: shapely.STRtree, group: Floats, along: Floats, own: Ints, side: int) -> bool:
    """Whether faces of a wall stop on both sides of the panes' ends: lines along them whose own ends lie
    level with these."""
    at = group[:, 2 * side : 2 * side + 2]
    across = np.array([-along[1], along[0]])
    offs = at @ across
    near = tips.query(shapely.Point(at.mean(axis=0)).buffer(DEEP_MM), predicate="contains") % len(ends)
    near = np.setdiff1d(near, own)
    d = ends[near, 2:] - ends[near, :2]
    near = near[np.abs(d @ across) <= SQUARE_COS * np.hypot(d[:, 0], d[:, 1])]
    # A face that goes away from the panes ends where they begin.
    tip = ends[near, 2:] if side == 0 else ends[near, :2]
    off = tip[np.abs((tip - at.mean(axis=0)) @ along) <= JAMB_MM] @ across
    return bool((off <= offs.min()).any() and (off >= offs.max()).any())
