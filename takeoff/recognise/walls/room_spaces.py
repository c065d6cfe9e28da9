"""Spaces joined where nothing parts them, and told apart from frames and furniture."""

from __future__ import annotations

import itertools
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.runs import components, straight_runs
from takeoff.plan.reasons import because
from takeoff.recognise.walls.believed_gaps import DOORWAY_MM, FIRST_TREAD, Gap
from takeoff.recognise.walls.drawn_stairs import RAIL_MM, Flight, beside_each_other, outline_of
from takeoff.recognise.walls.enclosed_faces import BRIDGED, Faces

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

SMALLEST_M2 = 0.4
"""A smaller space is a shaft or a casing and no room (common practice, no source)."""
NICHE_M2 = 3.0
"""An unnamed part behind a plain gap is a niche of its neighbour up to this size."""
NAMED_SHARE = 0.3
"""Where this part of the rooms is named, a part without a name belongs to one with a name."""
PASSAGE_DOORS = 2
"""With so many doors of its own it is a passage, however small."""
PANE = 0.8
"""The border of a pane or a mullion is glazing in this part, the rest joints."""
WALLED = 0.5
"""Where this part of the spaces' borders lies along wall bodies, walls are drawn with two lines."""


class Space(NamedTuple):
    """One space: its polygon near the origin (holes are piers and walls that stand free), the
    faces it is made of, how much of its border is wall, gap or glass (0 to 1), the unconfirmed
    gaps that close it, what was decided on the way, how much of its border is bare glass, how many doors
    that are drawn lead into it, and which gaps they are."""

    polygon: shapely.Polygon
    faces: tuple[int, ...]
    support: float
    doubtful_gaps: tuple[int, ...]
    joined: tuple[str, ...]
    words: tuple[int, ...]
    glazed: float
    doors: int = 0
    ways: tuple[int, ...] = ()


class _Groups:
    """Union–find over faces, with the reasons why faces were joined."""

    def __init__(self, count: int) -> None:
        self.parent = list(range(count))
        self.members = [[k] for k in range(count)]
        self.reasons: dict[int, list[str]] = {}

    def find(self, i: int) -> int:
        while self.parent[i] != i:
            self.parent[i] = self.parent[self.parent[i]]
            i = self.parent[i]
        return i

    def join(self, i: int, j: int, reason: str) -> None:
        a, b = self.find(i), self.find(j)
        notes = [*self.reasons.pop(a, []), *([] if a == b else self.reasons.pop(b, [])), reason]
        self.reasons[a] = notes
        if a != b:
            self.parent[b] = a
            self.members[a] += self.members[b]


def edge_lengths(faces: Faces) -> Floats:
    xy, e = faces.graph.xy, faces.graph.edges
    return np.asarray(np.hypot(*(xy[e[:, 1]] - xy[e[:, 0]]).T))


def run_lengths(faces: Faces) -> Floats:
    """For each edge the length of the straight run it is part of; inf for a run without ends."""
    runs = straight_runs(faces.graph.xy, faces.graph.edges)
    span = faces.graph.xy[runs.ends[:, 1]] - faces.graph.xy[runs.ends[:, 0]]
    length = np.hypot(span[:, 0], span[:, 1])
    length[(runs.ends < 0).any(axis=1)] = np.inf
    return np.asarray(length[runs.of_edge])


def panes(faces: Faces, glass: Bools, share: float = PANE) -> Bools:
    """Bodies that are panes and mullions: this share of their border is glazing."""
    length = edge_lengths(faces)
    glazing = np.zeros(len(faces.polygons) + 1)
    for own in (faces.left, faces.right):
        np.add.at(glazing, own[glass], length[glass])
    return np.asarray(faces.body & (glazing[:-1] > share * faces.perimeter))


def supports(faces: Faces, glass: Bools, group: Ints | None = None, without: Bools | None = None) -> Floats:
    """For each face, or each group of faces, the part of its border along wall bodies (but those
    left out), gaps in walls, or glass."""
    length = edge_lengths(faces)
    group = np.arange(len(faces.polygons)) if group is None else group
    group = np.append(group, -1)
    solid = np.append(faces.body | (faces.gap >= 0), False)
    if without is not None:
        solid[:-1] &= ~without
    held_mm, border_mm = np.zeros(len(group)), np.zeros(len(group))
    for own, other in ((faces.left, faces.right), (faces.right, faces.left)):
        rim = group[own] != group[other]
        held = rim & (solid[other] | glass | (faces.graph.source >= BRIDGED))
        np.add.at(held_mm, group[own[held]], length[held])
        np.add.at(border_mm, group[own[rim]], length[rim])
    return np.asarray(held_mm[:-1] / np.maximum(border_mm[:-1], 1e-9))


def find_spaces(
    faces: Faces,
    gaps: list[Gap],
    words: Floats,
    glass: Bools,
    wall_layers: bool,
    naming: Bools,
    called: Bools,
    stairs: tuple[Flight, ...] = (),
) -> tuple[list[Space], bool]:
    """(spaces, whether walls are drawn with two lines).

    ``words`` (w, 2): room words; ``glass`` (edges,): glazing that bounds; ``wall_layers``: lines
    are known to be walls by their layer, so that a single line parts two rooms; ``naming`` (w,): which
    words name a room; ``called`` (w,): those that are no number, as a door's mark has one too; ``stairs``: flights
    that are drawn.
    """
    count = len(faces.polygons)
    if not count:
        return [], False
    space = ~faces.body & (faces.gap < 0)
    support = supports(faces, glass)
    inside = _words_inside(faces, words)
    margins = _margins(faces, space, support, inside)
    large = space & (faces.area > 3e6) & ~margins
    double = _walled(support[large])
    named = np.array([any(naming[w] for w in inside.get(f, ())) for f in np.flatnonzero(large).tolist()] or [False])
    labelled = bool(named.any()) and float(named.mean()) >= NAMED_SHARE
    groups = _Groups(count)
    frame = _frames(faces, space, support) | margins
    led = _led_through(faces, gaps) if double and not wall_layers else set()
    _join_over_lines(faces, groups, space & ~frame, inside, double and not wall_layers, led)
    _join_tiers(faces, groups, space & ~frame, inside)
    if double:
        _join_over_stairs(faces, groups, space & ~frame, gaps, stairs)
    leafless = not wall_layers and without_leaves(gaps)
    _join_over_gaps(faces, groups, space & ~frame, inside, gaps, labelled, leafless)
    _join_over_screens(faces, groups, space & ~frame, {f for f, own in inside.items() if called[own].any()}, gaps)
    if double:
        _join_cubicles(faces, groups, space & ~frame, inside, gaps)
    group = np.array([groups.find(f) for f in range(count)])
    support = supports(faces, glass, group)
    glazed = support - supports(faces, np.zeros_like(glass), group, panes(faces, glass))
    return _collect(faces, groups, space & ~frame, inside, (support, glazed), gaps), double


def _words_inside(faces: Faces, words: Floats) -> dict[int, list[int]]:
    inside: dict[int, list[int]] = {}
    if len(words):
        tree = shapely.STRtree(faces.polygons)
        at, face = tree.query(shapely.points(words), predicate="within")
        for word, f in zip(at.tolist(), face.tolist(), strict=True):
            inside.setdefault(f, []).append(word)
    return inside


def _frames(faces: Faces, space: Bools, support: Floats) -> Bools:
    """Spaces that only surround the plan: sheet frames, plots. Nothing lies beyond most of their
    border, and other spaces lie within."""
    length = edge_lengths(faces)
    free = np.zeros(len(faces.polygons) + 1)
    for own, other in ((faces.left, faces.right), (faces.right, faces.left)):
        np.add.at(free, own[other < 0], length[other < 0])
    outer = shapely.length(shapely.get_exterior_ring(faces.polygons))
    lonely = space & (free[:-1] > 0.8 * outer) & (shapely.get_num_interior_rings(faces.polygons) > 0)
    frame = np.zeros(len(faces.polygons), bool)
    for f in np.flatnonzero(lonely):
        hull = shapely.Polygon(shapely.get_exterior_ring(faces.polygons[f])).area
        frame[f] = hull - faces.area[f] > 4e6
    return frame


MARGIN_M2, BESIDE_SHEET, ROUND_ALL, HARDLY, ALL_ROUND = 4.0, 0.2, 0.6, 0.1, 0.9
"""A strip of the sheet's margin is no smaller; nothing lies beyond so much of its border; what it goes round is at
least this part of all that is drawn (common practice, no source)."""


def _walled(support: Floats) -> bool:
    """Whether the borders of most of these spaces lie along wall bodies."""
    return bool(len(support)) and float(np.median(support)) > WALLED


def _margins(faces: Faces, space: Bools, support: Floats, inside: dict[int, list[int]]) -> Bools:
    """The strips between the two lines of a sheet's frame, and the sheet itself: what no wall bounds and nothing lies
    beyond, without words of a room or a gap, and what these go round, where that is most of what is drawn."""
    none = np.zeros(len(faces.polygons), bool)
    length = edge_lengths(faces)
    outside = np.append(none, True)
    free = np.zeros(len(none) + 1)
    for own, other in ((faces.left, faces.right), (faces.right, faces.left)):
        np.add.at(free, own[other < 0], length[other < 0])
    strips = (
        space & (support <= HARDLY) & (faces.area >= MARGIN_M2 * 1e6) & (free[:-1] >= BESIDE_SHEET * faces.perimeter)
    )
    strips &= ~np.isin(np.arange(len(none)), list(inside))
    if not _walled(support[space & (faces.area > 3e6)]):
        # where walls are single lines, rooms have as little of it, but a way in
        bridged = faces.graph.source >= BRIDGED
        for side in (faces.left[bridged], faces.right[bridged]):
            strips[side[side >= 0]] = False
    if not strips.any():
        return none
    outside[:-1] = strips
    far = np.zeros(len(none) + 1)
    for own, other in ((faces.left, faces.right), (faces.right, faces.left)):
        np.add.at(far, own[outside[other]], length[outside[other]])
    rings = shapely.get_exterior_ring(faces.polygons)
    held = space & ~strips & (shapely.get_num_interior_rings(faces.polygons) > 0)
    held &= far[:-1] >= ALL_ROUND * shapely.length(rings)
    sheets = np.flatnonzero(held)
    hulls = shapely.area(shapely.polygons(rings[sheets]))
    box = shapely.box(*shapely.total_bounds(faces.polygons))
    sheets = sheets[hulls >= ROUND_ALL * box.area]
    if not len(sheets):
        return none
    none[sheets] = True
    return none | strips


def _join_over_lines(
    faces: Faces,
    groups: _Groups,
    space: Bools,
    inside: dict[int, list[int]],
    plain_lines: bool,
    led: set[tuple[int, int]],
) -> None:
    """Furniture and other closed lines inside a room are the room's; where walls have two lines,
    a plain line between two spaces is no wall unless both are named or a door leads through it (``led``)."""
    left, right = faces.left, faces.right
    between = (left >= 0) & (right >= 0) & (left != right) & (faces.graph.source < BRIDGED)
    between &= space[left] & space[right]
    length = edge_lengths(faces)
    shared: dict[tuple[int, int], float] = {}
    for a, b, d in zip(left[between].tolist(), right[between].tolist(), length[between].tolist(), strict=True):
        key = (min(a, b), max(a, b))
        shared[key] = shared.get(key, 0.0) + d
    outer = shapely.length(shapely.get_exterior_ring(faces.polygons))
    for (a, b), d in shared.items():
        small, big = (a, b) if faces.area[a] < faces.area[b] else (b, a)
        island = d > 0.99 * outer[small] and small not in inside
        if island:
            groups.join(big, small, "")
        elif plain_lines and not (a in inside and b in inside) and (a, b) not in led:
            groups.join(big, small, because("line-no-wall"))


TIER_MM, TIER_LONG_MM, TIER_PART, FEWEST_TIERS = (500.0, 1400.0), 3500.0, 0.8, 5
"""The steps that rows of seats stand on are so deep and at least so long; each meets the next along most of its length
(common practice, no source)."""


def _join_tiers(faces: Faces, groups: _Groups, space: Bools, inside: dict[int, list[int]]) -> None:
    """Long narrow strips side by side, parted by nothing but lines, are the steps of one hall, and so is what lies
    before the first and behind the last of them."""
    outer = shapely.length(shapely.get_exterior_ring(faces.polygons)) / 2
    # of a rectangle: long + deep = half its border, long * deep = its area
    root = np.sqrt(np.maximum(outer**2 - 4 * faces.area, 0.0))
    long, deep = (outer + root) / 2, (outer - root) / 2
    strip = space & (deep >= TIER_MM[0]) & (deep <= TIER_MM[1]) & (long >= TIER_LONG_MM)
    left, right = faces.left, faces.right
    between = (left >= 0) & (right >= 0) & (left != right) & (faces.graph.source < BRIDGED)
    between &= (strip[left] & space[right]) | (strip[right] & space[left])
    one, other = np.minimum(left, right)[between], np.maximum(left, right)[between]
    pairs, pair = np.unique(np.stack([one, other]), axis=1, return_inverse=True)
    met = np.bincount(pair.reshape(-1), edge_lengths(faces)[between], minlength=pairs.shape[1])
    beside = pairs[:, met >= TIER_PART * np.where(strip, long, np.inf)[pairs].min(axis=0)]
    of_tiers = beside[:, strip[beside].all(axis=0)]
    label = components(len(space), of_tiers[0], of_tiers[1])
    for first in np.flatnonzero(np.bincount(label) >= FEWEST_TIERS).tolist():
        tiers = np.flatnonzero(label == first)
        ends = np.setdiff1d(beside[:, np.isin(beside, tiers).any(axis=0)], tiers)
        hall = [*tiers.tolist(), *ends.tolist()]
        hall = hall if sum(f in inside for f in hall) <= 1 else tiers.tolist()
        if sum(f in inside for f in hall) <= 1:
            for f in hall[1:]:
                groups.join(hall[0], f, because("line-no-wall"))


STAIR_PART, STAIR_MM, STAIR_MM2, LANDING_MM, WELL_PART = 0.8, 60.0, 0.5e6, 1300.0, 0.6
"""What parts two pieces of a stair runs along its flights in this part, or so near to them; pieces of a stair lie for
the most part on its flights and landings, and on both sides of a wall between two flights each holds so much of one."""


def _join_over_stairs(faces: Faces, groups: _Groups, space: Bools, gaps: list[Gap], stairs: tuple[Flight, ...]) -> None:
    """The strings and rails of flights part no rooms, nor does what would shut the landing between two flights side
    by side: one goes up the first, and on up the second, where an arrow's bow may look like a door's swing."""
    if not stairs:
        return
    well = shapely.union_all([outline_of(flight, LANDING_MM) for flight in stairs])
    of_well = np.zeros(len(faces.polygons), bool)
    near_well = shapely.STRtree(faces.polygons).query(well)
    of_well[near_well] = _area_on(faces, near_well, well) >= WELL_PART * faces.area[near_well]
    _join_along_flights(faces, groups, space & of_well, stairs)
    outlines = np.array([outline_of(flight) for flight in stairs])
    one, other = shapely.STRtree(outlines).query(outlines, predicate="dwithin", distance=RAIL_MM[1])
    both = zip(one.tolist(), other.tolist(), strict=True)
    pairs = [(a, b) for a, b in both if a != b and beside_each_other(stairs[a], stairs[b])]
    if not pairs or not gaps:
        return
    rows = np.array(pairs)
    of_pair = shapely.STRtree(shapely.union(outlines[rows[:, 0]], outlines[rows[:, 1]]))
    at, pair = of_pair.query([gap.quad for gap in gaps], predicate="dwithin", distance=LANDING_MM)
    edges = _edges_of_gaps(faces, gaps)
    for k in np.unique(at).tolist():
        if gaps[k].kind == "window":
            continue
        near = sorted({groups.find(f) for beside in edges.get(k, ()) for f in beside.faces if f >= 0 and space[f]})
        parts = [f for group in near for f in groups.members[group]]
        if len(near) != 2 or not of_well[parts].all():
            continue
        if any(_holds(faces, groups, near, outlines[rows[n]]) for n in pair[at == k].tolist()):
            for f in (*near, *np.flatnonzero(faces.gap == k).tolist()):
                groups.join(near[0], f, because("one-stair"))


def _join_along_flights(faces: Faces, groups: _Groups, pieces: Bools, stairs: tuple[Flight, ...]) -> None:
    """Joins pieces of a stair that only its strings and rails part."""
    left, right = faces.left, faces.right
    between = (left >= 0) & (right >= 0) & (left != right) & (faces.graph.source < BRIDGED)
    between &= pieces[left] & pieces[right]
    on_stair = shapely.union_all([outline_of(flight, STAIR_MM) for flight in stairs])
    drawn = shapely.linestrings(faces.graph.xy[faces.graph.edges[between]])
    length, along = shapely.length(drawn), shapely.length(shapely.intersection(drawn, on_stair))
    shared: dict[tuple[int, int], Floats] = {}
    for a, b, *mm in zip(left[between].tolist(), right[between].tolist(), along.tolist(), length.tolist(), strict=True):
        key = (min(a, b), max(a, b))
        shared[key] = shared.get(key, np.zeros(2)) + mm
    for (a, b), (on, whole) in shared.items():
        if on >= STAIR_PART * whole:
            groups.join(a, b, because("one-stair"))


def _holds(faces: Faces, groups: _Groups, near: list[int], flights: NDArray[np.object_]) -> bool:
    """Whether each of two groups of faces holds a good part of its own of two flights."""
    return all(
        float(_area_on(faces, np.array(groups.members[group]), flight).sum()) >= STAIR_MM2
        for group, flight in zip(near, flights, strict=True)
    )


def _area_on(faces: Faces, rows: Ints, shape: shapely.Geometry) -> Floats:
    """How much of each face lies on a shape: faces may touch themselves, which no overlay takes."""
    return np.asarray(shapely.area(shapely.intersection(shapely.make_valid(faces.polygons[rows]), shape)))


PANEL_MM, CUBICLE_MM2, PAIR_MM, PANEL_PART = 70.0, 3.0e6, 130.0, 0.6
"""Panels are no thicker, the cubicles behind them no larger (common practice, no source). One panel, or two with their
rail between them, lies along its room in this part of its border."""


def _join_cubicles(faces: Faces, groups: _Groups, space: Bools, inside: dict[int, list[int]], gaps: list[Gap]) -> None:
    """Cubicles belong to the washroom that their doors open to: what is small, without a word, and has no door but in
    a panel, which stands clear of ceiling and floor and is no wall to be coated."""
    doors: dict[int, set[int]] = {}
    beside: dict[int, set[int]] = {}
    for k, pairs in _edges_of_gaps(faces, gaps).items():
        if gaps[k].confirmed and gaps[k].kind == "door":
            beside[k] = {f for pair in pairs for f in pair.faces if f >= 0 and space[f]}
            for f in beside[k]:
                doors.setdefault(groups.find(f), set()).add(k)
    panel = {k for k in beside if 0.0 < gaps[k].bridge.thickness_mm <= PANEL_MM}
    joined = False
    for group, own in doors.items():
        members = groups.members[group]
        if not own <= panel or float(faces.area[members].sum()) > CUBICLE_MM2 or any(f in inside for f in members):
            continue
        across = {groups.find(f) for k in own for f in beside[k]} - {groups.find(group)}
        others = [g for g in across if float(faces.area[groups.members[g]].sum()) > CUBICLE_MM2]
        if len(others) == 1:
            for f in (group, *np.flatnonzero(np.isin(faces.gap, list(own))).tolist()):
                groups.join(others[0], f, because("cubicles"))
            joined = True
    if joined:
        _join_panels(faces, groups)


def _join_panels(faces: Faces, groups: _Groups) -> None:
    """Puts the panels between cubicles to the room that these have become parts of."""
    rooms = {root for root, notes in groups.reasons.items() if because("cubicles") in notes}
    length, along = edge_lengths(faces), dict[tuple[int, int], float]()
    for own, other in ((faces.left, faces.right), (faces.right, faces.left)):
        thin = (own >= 0) & (other >= 0)
        for f, g, mm in zip(own[thin].tolist(), other[thin].tolist(), length[thin].tolist(), strict=True):
            if faces.body[f] and 2 * faces.area[f] <= PAIR_MM * faces.perimeter[f] and groups.find(g) in rooms:
                key = (f, groups.find(g))
                along[key] = along.get(key, 0.0) + mm
    for (f, room), mm in along.items():
        if mm >= PANEL_PART * faces.perimeter[f]:
            groups.join(room, f, "")


def _led_through(faces: Faces, gaps: list[Gap]) -> set[tuple[int, int]]:
    """Pairs of faces, the lower number first, that a door which is drawn leads from one to the other."""
    found: set[tuple[int, int]] = set()
    for k, pairs in _edges_of_gaps(faces, gaps).items():
        if gaps[k].confirmed and gaps[k].kind == "door":
            sides = sorted({f for beside in pairs for f in beside.faces if f >= 0 and faces.gap[f] != k})
            found |= set(itertools.combinations(sides, 2))
    return found


def _join_over_gaps(
    faces: Faces,
    groups: _Groups,
    space: Bools,
    inside: dict[int, list[int]],
    gaps: list[Gap],
    labelled: bool,
    leafless: bool,
) -> None:
    """Unconfirmed gaps that part nothing, or only a niche, are given up. A niche has no name, and is small or has no
    door of its own, unless the gap is a doorway through its wall; where doors are drawn without their leaves, a gap
    as wide as a door is one."""
    edges = _edges_of_gaps(faces, gaps)
    fill: dict[int, list[int]] = {}
    for f in np.flatnonzero(faces.gap >= 0).tolist():
        fill.setdefault(int(faces.gap[f]), []).append(f)
    doors: dict[int, int] = {}
    for k, pairs in edges.items():
        if gaps[k].confirmed and gaps[k].kind == "door":
            for f in {f for beside in pairs for f in beside.faces}:
                doors[f] = doors.get(f, 0) + 1
    for k, gap in enumerate(gaps):
        if gap.confirmed or gap.kind != "open" or gap.why == (FIRST_TREAD,):
            continue
        around = edges.get(k, [])
        near = {groups.find(f) for beside in around for f in beside.faces if f >= 0 and space[f]}
        own = next(iter(near)) if len(near) == 1 else _along_face(faces, around, k, space, groups)
        if own >= 0 and (
            len(near) > 1
            or _open_both(faces, around, k, own, groups)
            or _before_door(faces, fill.get(k, []), own, groups, gaps)
        ):
            for f in fill.get(k, ()):
                groups.join(own, f, "")
        elif len(near) == 2 and labelled and not (leafless and as_door(gap)):
            parts = sorted(_part(groups, g, faces, inside, doors) for g in near)
            area, named, ways = parts[0][:3] if not parts[0][1] else parts[1][:3]
            lobby = ways > 0 and as_door(gap) and (gap.bridge.in_line or _in_a_wall(faces, groups, near, gap))
            if not named and (ways == 0 or (area <= NICHE_M2 * 1e6 and ways < PASSAGE_DOORS and not lobby)):
                for f in (*near, *fill.get(k, ())):
                    groups.join(min(near), f, because("niche"))


ASIDE_MM, INTO_MM = 60.0, 40.0
"""A wall goes on beside a way where its space is so much wider than the way, so far into the space."""


def walls_beside(gap: Gap, parts: NDArray[np.object_]) -> int | None:
    """On how many sides of a way its wall goes on in a space of these parts, 0 to 2; None where neither face of the
    wall lies in that space."""
    for line in gap.bridge.lines:
        start, end = line[:2], line[2:]
        long = float(np.hypot(*(end - start)))
        if long <= 2 * ASIDE_MM:
            continue
        along = (end - start) / long
        across = np.array([-along[1], along[0]])
        for way in (across, -across):
            if shapely.contains_xy(parts, *((start + end) / 2 + way * INTO_MM)).any():
                tips = start - along * ASIDE_MM + way * INTO_MM, end + along * ASIDE_MM + way * INTO_MM
                return sum(bool(shapely.contains_xy(parts, *tip).any()) for tip in tips)
    return None


def _in_a_wall(faces: Faces, groups: _Groups, near: set[int], gap: Gap) -> bool:
    """Whether the wall of a way goes on beside it on both sides in one of the spaces that it parts."""
    return any(walls_beside(gap, faces.polygons[groups.members[group]]) == 2 for group in near)


SCREEN_THIN_MM, BEHIND_M2, BATH_M2 = 40.0, 2.5, 12.0
"""What is thinner is the glass or the kerb of a shower and no wall; what it parts off is no larger, nor is the room
that it stands in (common practice, no source)."""


def _join_over_screens(faces: Faces, groups: _Groups, space: Bools, named: set[int], gaps: list[Gap]) -> None:
    """A small part without a door or a gap behind two lines that are closer than the faces of a wall is the same room
    as the part with the door before it: nobody can walk in but through the screen. Two parts that are both ``named``
    stay apart."""
    ways, closing = _door_gaps(faces, gaps), _closing_gaps(faces, gaps)
    thin = faces.body & (2 * faces.area < SCREEN_THIN_MM * faces.perimeter)
    beside: dict[int, set[int]] = {}
    for own, other in ((faces.left, faces.right), (faces.right, faces.left)):
        rim = (own >= 0) & (other >= 0) & thin[own] & space[other] & (faces.graph.source < BRIDGED)
        for f, g in zip(own[rim].tolist(), other[rim].tolist(), strict=True):
            beside.setdefault(f, set()).add(groups.find(g))
    for screen, near in beside.items():
        parts = sorted({groups.find(g) for g in near}, key=lambda g: float(faces.area[groups.members[g]].sum()))
        if len(parts) != 2:
            continue
        small, big = (groups.members[g] for g in parts)
        if any(f in ways or f in closing for f in small) or not any(f in ways for f in big):
            continue
        if any(f in named for f in small) and any(f in named for f in big):
            continue
        if faces.area[small].sum() <= BEHIND_M2 * 1e6 and faces.area[big].sum() <= BATH_M2 * 1e6:
            groups.join(parts[1], parts[0], because("line-no-wall"))
            groups.join(parts[1], screen, "")


FEW_LEAVES = 0.5


def as_door(gap: Gap) -> bool:
    """Whether a gap is as wide as a door."""
    return DOORWAY_MM[0] <= gap.bridge.width_mm <= DOORWAY_MM[1]


def without_leaves(gaps: list[Gap]) -> bool:
    """Whether a plan draws no leaves: of the gaps as wide as a door too few have one."""
    leaves = sum(g.confirmed and g.kind == "door" and as_door(g) for g in gaps)
    plain = sum(not g.confirmed and g.kind == "open" and as_door(g) for g in gaps)
    return leaves < FEW_LEAVES * plain


def _part(
    groups: _Groups, group: int, faces: Faces, inside: dict[int, list[int]], doors: dict[int, int]
) -> tuple[float, bool, int]:
    """(area mm², whether a word lies in it, doors) of a group of faces."""
    own = groups.members[group]
    return (float(faces.area[own].sum()), any(f in inside for f in own), sum(doors.get(f, 0) for f in own))


class _Beside(NamedTuple):
    """The faces (-1: none) on both sides of a piece of a bridge, and whether a line is drawn there."""

    faces: tuple[int, int]
    drawn: bool


def _edges_of_gaps(faces: Faces, gaps: list[Gap]) -> dict[int, list[_Beside]]:
    """For each gap what lies beside each piece of its bridges."""
    found: dict[int, list[_Beside]] = {}
    bridged = np.flatnonzero(faces.graph.source >= BRIDGED)
    number = (faces.graph.source[bridged] - BRIDGED).tolist()
    middle = faces.graph.xy[faces.graph.edges[bridged]].mean(axis=1)
    for k, a, b, at in zip(
        number, faces.left[bridged].tolist(), faces.right[bridged].tolist(), middle.tolist(), strict=True
    ):
        found.setdefault(k, []).append(_Beside((a, b), is_drawn(gaps[k], at)))
    return found


def is_drawn(gap: Gap, at: tuple[float, float]) -> bool:
    """Whether a line is drawn where that one of a gap's two lines is that lies nearest to a place."""
    lines = gap.bridge.lines
    if len(lines) != 2 or not any(gap.bridge.drawn):
        return False
    off = [shapely.LineString(line.reshape(2, 2)).distance(shapely.Point(at)) for line in lines]
    return gap.bridge.drawn[int(off[1] < off[0])]


def _open_both(faces: Faces, around: list[_Beside], k: int, group: int, groups: _Groups) -> bool:
    """Whether the same space lies on every side of a gap, or wall or nothing behind a face that is drawn."""
    for beside in around:
        solid = [f for f in beside.faces if f < 0 or faces.body[f]] if beside.drawn else []
        other = [f for f in beside.faces if f not in solid and (f < 0 or faces.gap[f] != k)]
        if any(f < 0 or groups.find(f) != group for f in other):
            return False
    return True


def _along_face(faces: Faces, around: list[_Beside], k: int, space: Bools, groups: _Groups) -> int:
    """The space (-1: none) along which a gap runs that only the step of a frame or a pier in a wall's face makes: on
    that side lies nothing else, and behind its other line, which is drawn, the wall goes on, whatever stands there."""
    own = {f for beside in around if not beside.drawn for f in beside.faces if f < 0 or faces.gap[f] != k}
    behind = {f for beside in around if beside.drawn for f in beside.faces if f < 0 or faces.gap[f] != k}
    if any(f < 0 or not space[f] for f in own) or len({groups.find(f) for f in own}) != 1:
        return -1
    return groups.find(next(iter(own))) if any(f >= 0 and faces.body[f] for f in behind) else -1


def _before_door(faces: Faces, fill: list[int], group: int, groups: _Groups, gaps: list[Gap]) -> bool:
    """Whether a gap lies between a space and the wall that a door hangs in, with nothing but walls and that door round
    the rest of it: a bay beside a casing or a duct, which one walks through to the door."""
    beside = {other for f in fill for other in _neighbours(faces, f)} - set(fill)
    beyond = [f for f in beside if f < 0 or groups.find(f) != group]
    if any(f < 0 or not (faces.body[f] or faces.gap[f] >= 0) for f in beyond):
        return False
    # between the pieces of a casing are slits that nobody walks through
    ways = [gaps[faces.gap[f]] for f in beyond if faces.gap[f] >= 0]
    ways = [way for way in ways if way.confirmed or way.bridge.width_mm >= DOORWAY_MM[0]]
    return bool(ways) and all(way.confirmed and way.kind == "door" for way in ways)


def _neighbours(faces: Faces, face: int) -> list[int]:
    """The faces (-1: none) across the border of one."""
    across = np.concatenate([faces.right[faces.left == face], faces.left[faces.right == face]])
    return [int(f) for f in np.unique(across)]


def _collect(
    faces: Faces,
    groups: _Groups,
    space: Bools,
    inside: dict[int, list[int]],
    shares: tuple[Floats, Floats],
    gaps: list[Gap],
) -> list[Space]:
    members: dict[int, list[int]] = {}
    for f in range(len(space)):
        root = groups.find(f)
        if space[f] or root != f:
            members.setdefault(root, []).append(f)
    closing = _closing_gaps(faces, gaps)
    doors = _door_gaps(faces, gaps)
    support, glazed = shares[0].tolist(), shares[1].tolist()
    spaces = []
    for root, own in members.items():
        alone = len(own) == 1
        polygon = faces.polygons[own[0]] if alone else union_of(faces, own)
        if (faces.area[own[0]] if alone else polygon.area) < SMALLEST_M2 * 1e6:
            continue
        words = tuple(w for f in own for w in inside.get(f, ()))
        reasons = tuple(dict.fromkeys(r for r in groups.reasons.get(root, ()) if r))
        beside = {k for f in own for k in closing.get(f, ())}
        doubtful = tuple(sorted(beside - set(faces.gap[own].tolist()))) if beside else ()
        ways = tuple(sorted({k for f in own for k in doors.get(f, ())}))
        spaces.append(
            Space(polygon, tuple(own), support[root], doubtful, reasons, words, glazed[root], len(ways), ways)
        )
    return spaces


def union_of(faces: Faces, own: list[int]) -> shapely.Polygon:
    """The largest polygon that these faces cover together."""
    parts = shapely.get_parts(shapely.union_all(shapely.make_valid(faces.polygons[own])))
    return max((p for p in parts if p.geom_type == "Polygon"), key=lambda p: float(p.area))


def _closing_gaps(faces: Faces, gaps: list[Gap]) -> dict[int, set[int]]:
    """For each face the unconfirmed gaps whose bridges are in its border where no line is drawn."""
    closing: dict[int, set[int]] = {}
    for e in np.flatnonzero(faces.graph.source >= BRIDGED).tolist():
        k = int(faces.graph.source[e]) - BRIDGED
        if not gaps[k].confirmed and not is_drawn(gaps[k], faces.graph.xy[faces.graph.edges[e]].mean(axis=0).tolist()):
            for f in (int(faces.left[e]), int(faces.right[e])):
                closing.setdefault(f, set()).add(k)
    return closing


def _door_gaps(faces: Faces, gaps: list[Gap]) -> dict[int, set[int]]:
    """For each face the doors that are drawn in its border."""
    found: dict[int, set[int]] = {}
    for e in np.flatnonzero(faces.graph.source >= BRIDGED).tolist():
        k = int(faces.graph.source[e]) - BRIDGED
        if gaps[k].confirmed and gaps[k].kind == "door":
            for f in (int(faces.left[e]), int(faces.right[e])):
                found.setdefault(f, set()).add(k)
    return found


def parted_by_lines(faces: Faces, spaces: list[Space]) -> Bools:
    """(s,): which spaces a drawn line alone parts from another one: it stands for a wall and not for its face."""
    of_face = np.full(len(faces.polygons) + 1, -1)
    for k, space in enumerate(spaces):
        of_face[list(space.faces)] = k
    left, right = of_face[faces.left], of_face[faces.right]
    between = (left >= 0) & (right >= 0) & (left != right) & (faces.graph.source < BRIDGED)
    found = np.zeros(len(spaces), bool)
    found[left[between]] = found[right[between]] = True
    return found
