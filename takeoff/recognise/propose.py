"""From a drawing in mm to a proposed job: the stages of recognition in their order."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding
from takeoff.geometry.noding import Graph, node
from takeoff.geometry.runs import straight_runs
from takeoff.plan.model import Job
from takeoff.recognise.assemble import Reading, assemble
from takeoff.recognise.bridges import line_bridges, wall_bridges
from takeoff.recognise.caps import drawn_caps, loose_ends, prune, undrawn_caps
from takeoff.recognise.confirm import Gap, judge
from takeoff.recognise.evidence import Evidence, gather, swings
from takeoff.recognise.faces import BRIDGED, classify, with_bridges
from takeoff.recognise.labels import Placed, of_rooms, placed, places
from takeoff.recognise.layers import guess
from takeoff.recognise.linework import Lines, is_role, prepare
from takeoff.recognise.settings import Settings
from takeoff.recognise.spaces import find_spaces

Bools = NDArray[np.bool_]


def propose(drawing: Drawing, settings: Settings = Settings()) -> tuple[Job, tuple[Finding, ...]]:
    """The rooms and openings that a drawing in mm shows, as a job, and what to look at.

    Nothing is invented: what is not closed by drawn lines or confirmed gaps is marked *check* or
    *question*; labels that lie in no room are a finding. A drawing without usable linework gives
    a job without rooms and a finding that says so.
    """
    guesses = guess(drawing, settings.layers)
    lines = prepare(drawing, guesses)
    words = placed(drawing, lines.origin)
    found, leaf = swings(lines)
    evidence = gather(drawing, lines, found)
    reading = _best_reading(drawing, lines, words, evidence, leaf)
    return assemble(drawing, settings, reading, evidence)


def wall_choices(lines: Lines) -> list[tuple[Bools, bool]]:
    """(which lines are walls, whether their layers say so), the likeliest first."""
    usable = ~lines.dashed & ~lines.hatch
    shown = usable & ~lines.hidden if (usable & ~lines.hidden).any() else usable
    named = shown & is_role(lines, "wall", "column")
    unknown = shown & is_role(lines, "unknown")
    rest = shown & ~is_role(lines, "text", "dimension", "frame", "grid", "hatch", "furniture",
                            "demolished", "door", "glazing", "site", "service")
    choices: list[tuple[Bools, bool]] = []
    if named.sum() >= 4:
        choices.append((named, True))
    for chosen in (named | unknown, rest, shown & ~is_role(lines, "text", "dimension")):
        if chosen.sum() >= 4 and not any(np.array_equal(chosen, c) for c, _ in choices):
            choices.append((chosen, False))
    return choices


def _best_reading(
    drawing: Drawing, lines: Lines, words: list[Placed], evidence: Evidence, leaf: Bools,
) -> Reading | None:
    loops = _wall_loops(drawing, lines)
    best: Reading | None = None
    best_score = -1.0
    for walls, by_layer in wall_choices(lines):
        reading = read_walls(lines, walls & ~leaf, by_layer, evidence, words, loops)
        score = _score(reading)
        if score > best_score + 0.05:
            best, best_score = reading, score
        if best_score >= 0.8:
            break
    return best


def _wall_loops(drawing: Drawing, lines: Lines) -> NDArray[np.object_]:
    """The closed polylines on wall and column layers, or on layers that say nothing."""
    roles = [g.role for g in guess(drawing)]
    x, y = lines.origin
    loops = [[(vx - x, vy - y) for vx, vy, _ in loop.vertices] for loop in drawing.loops
             if loop.role == "line" and roles[loop.layer] in ("wall", "column", "unknown")]
    return np.array([shapely.Polygon(ring) for ring in loops if len(ring) > 2] or [], dtype=object)


def _score(reading: Reading) -> float:
    """Which part of the room words lie in spaces; without words, whether there are spaces."""
    if not reading.words:
        return 1.0 if reading.spaces else 0.0
    named = {w for s in reading.spaces for w in s.words}
    return len(named) / len(reading.words)


def read_walls(
    lines: Lines, walls: Bools, by_layer: bool, evidence: Evidence, words: list[Placed],
    loops: NDArray[np.object_],
) -> Reading:
    """What these walls enclose once the gaps in them are closed."""
    glass = is_role(lines, "glazing") & ~lines.dashed & ~lines.hatch & ~lines.hidden & ~walls
    own = np.concatenate([np.flatnonzero(walls), np.flatnonzero(glass)])
    picked = lines.pick(own)
    is_glass = np.arange(len(own)) >= walls.sum()
    graph = node(picked.xy)
    spoken = of_rooms(words)
    graph, gaps = close_gaps(graph, is_glass, evidence, lines.xy[_plain(lines, walls)])
    graph = with_bridges(graph, gaps)
    graph = _without_spare_glass(graph, is_glass, gaps)
    faces = classify(graph, gaps, places(spoken), loops)
    known = (graph.source >= 0) & (graph.source < len(own))
    glass_edge = np.zeros(len(graph.edges), bool)
    glass_edge[known] = is_glass[graph.source[known]]
    spaces, double = find_spaces(faces, gaps, places(spoken), glass_edge, by_layer)
    return Reading(walls, picked, faces, gaps, spaces, double, by_layer, spoken)


def _plain(lines: Lines, walls: Bools) -> Bools:
    return ~walls & is_role(lines, "unknown") & ~lines.dashed & ~lines.hatch


def close_gaps(
    graph: Graph, is_glass: Bools, evidence: Evidence, plain: NDArray[np.float64],
) -> tuple[Graph, list[Gap]]:
    """(the graph with the missing end lines of walls drawn in, the gaps to close)"""
    known = graph.source >= 0
    wall = np.ones(len(graph.edges), bool)
    wall[known] = ~is_glass[graph.source[known]]
    alive = np.flatnonzero(wall)[prune(graph.xy, graph.edges[wall])]
    if not len(alive):
        return graph, []
    edges = graph.edges[alive]
    loose = loose_ends(graph.xy, edges, straight_runs(graph.xy, edges))
    ends, paired = undrawn_caps(graph.xy, loose)
    walls = Graph(graph.xy, np.concatenate([edges, ends]), np.zeros(len(edges) + len(ends), np.int64))
    runs = straight_runs(walls.xy, walls.edges)
    caps = drawn_caps(walls.xy, walls.edges, runs)
    single = loose_ends(walls.xy, walls.edges, runs)
    bridges = wall_bridges(walls, runs, caps) + line_bridges(walls, runs, single)
    whole = Graph(graph.xy, np.concatenate([graph.edges, ends]),
                  np.concatenate([graph.source, np.full(len(ends), -1)]))
    return whole, judge(bridges, evidence, plain, len(caps.a) < len(single.node))


def _without_spare_glass(graph: Graph, is_glass: Bools, gaps: list[Gap]) -> Graph:
    """Glazing inside closed gaps, or drawn along a wall, bounds nothing."""
    known = (graph.source >= 0) & (graph.source < BRIDGED)
    glass = np.zeros(len(graph.edges), bool)
    glass[known] = is_glass[graph.source[known]]
    if not glass.any():
        return graph
    middle = graph.xy[graph.edges[glass]].mean(axis=1)
    drop = np.zeros(len(middle), bool)
    zones = [g.quad.buffer(150, cap_style="flat", join_style="mitre") for g in gaps]
    if zones:
        at, _ = shapely.STRtree(zones).query(shapely.points(middle), predicate="within")
        drop[at] = True
    keep = np.ones(len(graph.edges), bool)
    keep[np.flatnonzero(glass)[drop]] = False
    return Graph(graph.xy, graph.edges[keep], graph.source[keep])
