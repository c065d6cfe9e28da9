"""One reading of the linework: given which lines are walls, what they enclose."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.errors import InputError
from takeoff.geometry.noding import Graph, node
from takeoff.geometry.runs import straight_runs
from takeoff.language import number, tr
from takeoff.recognise.names.placed_words import NAMING, Placed, of_rooms, places
from takeoff.recognise.walls.believed_gaps import Gap, front_gaps, judge, wall_to_front_gaps
from takeoff.recognise.walls.bounding_lines import Lines, is_role
from takeoff.recognise.walls.enclosed_faces import BRIDGED, Faces, classify, with_bridges
from takeoff.recognise.walls.folding_doors import LEAF_PART, WIDTH_MM, closet_fronts, with_folded, with_folding_doors
from takeoff.recognise.walls.furniture import with_fittings, without_ways
from takeoff.recognise.walls.gap_closures import (
    THINNEST_MM,
    Bridge,
    Caps,
    drawn_caps,
    flush_bridges,
    line_bridges,
    loose_ends,
    prune,
    round_bridges,
    undrawn_caps,
    wall_bridges,
)
from takeoff.recognise.walls.gates import gate_gaps
from takeoff.recognise.walls.necks import neck_gaps
from takeoff.recognise.walls.open_cores import with_closed_cores
from takeoff.recognise.walls.open_ways import join_open_ways
from takeoff.recognise.walls.opening_evidence import Evidence
from takeoff.recognise.walls.pocket_doors import with_pocket_doors
from takeoff.recognise.walls.printed_joins import join_behind_by_print, join_by_print
from takeoff.recognise.walls.printed_necks import printed_gaps
from takeoff.recognise.walls.room_outlines import as_outlined, between_outlines
from takeoff.recognise.walls.room_spaces import Space, find_spaces
from takeoff.recognise.walls.slits import without_slits
from takeoff.recognise.walls.stair_mouths import stair_gaps
from takeoff.recognise.walls.standing_free import settle
from takeoff.recognise.walls.swing_closures import swing_gaps
from takeoff.recognise.walls.whole_fronts import whole_fronts

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

BESIDE_GAP_MM = 150.0
"""Frames and sills of a window stand out of the wall by less than this."""
THINNEST_GLASS_MM = 4.0


MOST_FREE_ENDS = 50_000
"""Lines of a building's walls end freely in no more places: each is compared with all that end beside it, and each wall
end with all that it looks at (common practice, no source)."""


class Reading(NamedTuple):
    """One way to read the linework: which lines are walls, and what they enclose. ``glass``: the
    edges of the faces' graph that are glazing; ``drawn``: the lines that ``walls`` tells apart; ``out``: which of them
    were left out as furniture, None where none was looked for; ``outlined``: whether closed outlines say what is a
    room."""

    walls: Bools
    lines: Lines
    faces: Faces
    gaps: list[Gap]
    spaces: list[Space]
    double: bool
    wall_layers: bool
    words: list[Placed]
    glass: Bools
    drawn: Lines
    out: Bools | None = None
    outlined: bool = False


NONE = np.zeros(0, object)


def read_walls(
    lines: Lines,
    walls: Bools,
    by_layer: bool,
    evidence: Evidence,
    words: list[Placed],
    loops: NDArray[np.object_],
    necks: tuple[Gap, ...] = (),
    outlines: NDArray[np.object_] = NONE,
) -> Reading:
    """What these walls enclose once the gaps in them are closed; glazing bounds a space where no
    wall or closed gap does. ``necks``: what an earlier reading of the same walls leaves to be closed besides;
    ``outlines``: closed ones of rooms among them."""
    glass = is_role(lines, "glazing") & ~lines.dashed & ~lines.hatch & ~lines.hidden & ~walls
    own = np.concatenate([np.flatnonzero(walls), np.flatnonzero(glass)])
    picked = lines.pick(own)
    is_glass = np.arange(len(own)) >= walls.sum()
    graph = node(picked.xy)
    spoken = of_rooms(words)
    plain = lines.xy[_plain(lines, walls)]
    graph, gaps = close_gaps(graph, picked, is_glass, evidence, plain, by_layer, _thin(lines, walls))
    gaps = between_outlines(gaps, outlines)
    graph = _without_spare_glass(with_bridges(graph, gaps), is_glass, gaps)
    graph, gaps = _close_glass(graph, is_glass, gaps, evidence)
    if is_glass.any():
        beside_glass = swing_gaps(graph, evidence.swings, gaps)
        graph, gaps = with_bridges(graph, beside_glass, len(gaps)), gaps + beside_glass
    if necks:
        graph, gaps = with_bridges(graph, list(necks), len(gaps)), [*gaps, *necks]
    faces = classify(graph, gaps, places(spoken), loops)
    # Where no layer says what is wall, any two lines side by side would be one.
    if by_layer and not len(outlines) and (closed := with_closed_cores(faces)) is not graph:
        faces = classify(closed, gaps, places(spoken), loops)
    faces = as_outlined(faces, outlines)
    glazing = _glass_edges(faces.graph, is_glass)
    naming = np.array([w.words.kind in NAMING for w in spoken], bool)
    called = np.array([w.words.kind in ("name", "area") for w in spoken], bool)
    spaces, double = find_spaces(faces, gaps, places(spoken), glazing, by_layer, naming, called, evidence.flights)
    spaces = join_by_print(spaces, faces, _areas(spoken))
    spaces = join_behind_by_print(spaces, faces, _areas(spoken))
    spaces = join_open_ways(spaces, faces, gaps, set(np.flatnonzero(called).tolist()))
    spaces = without_slits(spaces, faces, places(spoken))
    spaces = settle(spaces, faces, places(spoken), by_layer)
    if double and not by_layer:
        spaces = with_fittings(spaces, faces, spoken)
    if not double and not by_layer:
        spaces = without_ways(spaces, faces, evidence.swings)
    found = Reading(walls, picked, faces, gaps, _from_the_top(spaces), double, by_layer, spoken, glazing, lines)
    return found._replace(outlined=bool(len(outlines)))


def _from_the_top(spaces: list[Space]) -> list[Space]:
    """The spaces as one reads them: by row from the top, each from the left."""
    if not spaces:
        return spaces
    left, _, _, top = shapely.bounds([s.polygon for s in spaces]).T
    return [spaces[k] for k in np.lexsort((left, -top)).tolist()]


def _areas(spoken: list[Placed]) -> dict[int, tuple[float, float]]:
    """(m², rounding) of those words that are areas, by their row."""
    return {k: (w.words.value, w.words.rounding + 1e-6) for k, w in enumerate(spoken) if w.words.kind == "area"}


def necks_of(reading: Reading, evidence: Evidence, words: list[Placed]) -> tuple[Gap, ...]:
    """The ways between rooms that a reading left open, where walls have two lines. They say nothing of which lines
    are walls: furniture has necks as well. ``words``: all that is written, sizes of rooms among it."""
    if not reading.double:
        return ()
    hung = neck_gaps(reading.spaces, evidence.swings, reading.gaps, evidence.flights, reading.words)
    ways = shapely.STRtree([g.quad for g in hung])
    told = printed_gaps(reading.spaces, words) + _stairs(reading, evidence, words)
    told += gate_gaps(reading.faces, reading.glass, reading.gaps, reading.spaces, reading.words)
    return (*hung, *(g for g in told if not len(ways.query(g.quad, predicate="intersects"))))


def _stairs(reading: Reading, evidence: Evidence, words: list[Placed]) -> list[Gap]:
    drawn = reading.drawn.xy[~reading.drawn.dashed & ~reading.drawn.hatch]
    return stair_gaps(reading.spaces, words, evidence.flights, drawn)


def _plain(lines: Lines, walls: Bools) -> Bools:
    return ~walls & is_role(lines, "unknown") & ~lines.dashed & ~lines.hatch


def _thin(lines: Lines, walls: Bools) -> Floats:
    """Lines that are no walls and as long as a leaf that folds: some offices have their blocks of doors on the layer
    of furniture."""
    own = ~walls & ~lines.dashed & ~lines.hatch & (lines.arc < 0) & ~is_role(lines, "wall", "column", "text")
    length = np.hypot(*(lines.xy[:, 2:] - lines.xy[:, :2]).T)
    own &= (length >= LEAF_PART[0] * WIDTH_MM[0]) & (length <= LEAF_PART[1] * WIDTH_MM[1])
    return lines.xy[own]


def _glass_edges(graph: Graph, is_glass: Bools) -> Bools:
    """Which edges are glazing; a stub is where it does not join wall to wall."""
    known = (graph.source >= 0) & (graph.source < BRIDGED)
    glass = np.zeros(len(graph.edges), bool)
    glass[known] = is_glass[graph.source[known]]
    stub = graph.source < 0
    if glass.any() and stub.any():
        of_wall = np.zeros(len(graph.xy), bool)
        of_wall[graph.edges[~glass & ~stub]] = True
        glass |= stub & ~of_wall[graph.edges].all(axis=1)
    return glass


def close_gaps(
    graph: Graph, lines: Lines, is_glass: Bools, evidence: Evidence, plain: Floats, by_layer: bool, leaves: Floats
) -> tuple[Graph, list[Gap]]:
    """(the graph of these lines with the missing end lines of walls drawn in, the gaps to close). ``leaves``: lines
    of any layer that may be leaves which fold."""
    wall = ~_glass_edges(graph, is_glass)
    alive = np.flatnonzero(wall)[prune(graph.xy, graph.edges[wall])]
    if not len(alive):
        return graph, []
    edges = graph.edges[alive]
    loose = loose_ends(graph.xy, edges, straight_runs(graph.xy, edges))
    _refuse_beyond_counting(len(loose.node))
    ends, _ = undrawn_caps(graph.xy, loose)
    source = np.concatenate([graph.source[alive], np.full(len(ends), -1)])
    walls = Graph(graph.xy, np.concatenate([edges, ends]), source)
    runs = straight_runs(walls.xy, walls.edges)
    caps = drawn_caps(walls.xy, walls.edges, runs, THINNEST_MM)
    single = loose_ends(walls.xy, walls.edges, runs)
    columns = (source >= 0) & is_role(lines, "column")[np.maximum(source, 0)]
    bridges = wall_bridges(walls, runs, caps, of_column=columns)
    bridges += flush_bridges(walls, runs, caps, THINNEST_MM)
    bridges += line_bridges(walls, runs, single, corners=True)
    bridges += round_bridges(walls, caps, lines)
    whole = Graph(graph.xy, np.concatenate([graph.edges, ends]), np.concatenate([graph.source, np.full(len(ends), -1)]))
    gaps = judge(bridges, evidence, plain, by_layer or len(caps.a) < len(single.node))
    gaps = with_pocket_doors(with_folded(gaps, leaves), leaves)
    gaps += swing_gaps(walls, evidence.swings, gaps)
    gaps += closet_fronts(walls, runs, caps, leaves, gaps)
    gaps += whole_fronts(walls, runs, plain, gaps)
    return whole, with_folding_doors(walls, leaves, gaps)


def _refuse_beyond_counting(count: int) -> None:
    """Raises InputError for more free ends of lines than ``MOST_FREE_ENDS``."""
    if count > MOST_FREE_ENDS:
        raise InputError(
            tr(
                "The drawing's lines end freely in {count} places, more than {most}, so that no walls can be told "
                "among them: leave out the layers that hold no walls.",
                count=number(count),
                most=number(MOST_FREE_ENDS),
            )
        )


def _without_spare_glass(graph: Graph, is_glass: Bools, gaps: list[Gap]) -> Graph:
    """Glazing inside closed gaps, or drawn along a wall, bounds nothing; stubs stay, since one may
    lead from a partition to the bridge along which the glass is drawn."""
    glass = _glass_edges(graph, is_glass) & (graph.source >= 0)
    if not glass.any():
        return graph
    middle = shapely.points(graph.xy[graph.edges[glass]].mean(axis=1))
    drop = np.zeros(len(middle), bool)
    zones = [g.quad.buffer(BESIDE_GAP_MM, cap_style="flat", join_style="mitre") for g in gaps if g.kind != "open"]
    if zones:
        at, _ = shapely.STRtree(zones).query(middle, predicate="within")
        drop[at] = True
    keep = np.ones(len(graph.edges), bool)
    keep[np.flatnonzero(glass)[drop]] = False
    return Graph(graph.xy, graph.edges[keep], graph.source[keep])


def _close_glass(graph: Graph, is_glass: Bools, gaps: list[Gap], evidence: Evidence) -> tuple[Graph, list[Gap]]:
    """Gaps between panes and mullions closed as well, then those from wall ends to the front."""
    glass = _glass_edges(graph, is_glass)
    if not glass.any():
        return graph, gaps
    front = front_gaps(_looking(graph, glass, THINNEST_GLASS_MM) + _mullions_looking(graph, glass), evidence)
    graph = with_bridges(graph, front, len(gaps))
    glass = _glass_edges(graph, is_glass) | (graph.source >= BRIDGED + len(gaps))
    gaps = gaps + front
    walls = _looking(graph, ~glass, THINNEST_MM)
    if not walls:
        return graph, gaps
    tree = shapely.STRtree(shapely.linestrings(graph.xy[graph.edges[glass]]))
    ends = shapely.points([b.lines[0, 2:] for b in walls])
    at, _ = tree.query(ends, predicate="dwithin", distance=1.0)
    short = wall_to_front_gaps([walls[k] for k in np.unique(at).tolist()])
    return with_bridges(graph, short, len(gaps)), gaps + short


def _mullions_looking(graph: Graph, glass: Bools) -> list[Bridge]:
    """What mullions look at that stand against a wall, so that one line is drawn for both."""
    runs = straight_runs(graph.xy, graph.edges)
    caps = drawn_caps(graph.xy, graph.edges, runs, THINNEST_MM)
    of_glass = np.zeros(len(runs.ends), bool)
    of_glass[runs.of_edge[glass]] = True
    chosen = of_glass[caps.run]
    of_front = Caps(caps.a[chosen], caps.b[chosen], caps.out[chosen], caps.run[chosen])
    return wall_bridges(graph, runs, of_front)


def _looking(graph: Graph, own: Bools, thinnest_mm: float) -> list[Bridge]:
    """What the ends of some of the linework look at among all of it."""
    edges = graph.edges[own]
    runs = straight_runs(graph.xy, edges)
    of_run = np.full(len(graph.edges), -1)
    of_run[own] = runs.of_edge
    known = runs._replace(of_edge=of_run)
    caps = drawn_caps(graph.xy, edges, runs, thinnest_mm)
    return wall_bridges(graph, known, caps) + line_bridges(graph, known, loose_ends(graph.xy, edges, runs))
