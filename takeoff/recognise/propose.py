"""From a drawing in mm to a proposed job: the stages of recognition in their order."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, Where
from takeoff.geometry.noding import Graph, node
from takeoff.geometry.runs import straight_runs
from takeoff.plan.model import DrawingRef, Job, Storey, StoreyId
from takeoff.recognise.bridges import line_bridges, wall_bridges
from takeoff.recognise.caps import Caps, drawn_caps, loose_ends, prune, undrawn_caps
from takeoff.recognise.confirm import Gap, judge
from takeoff.recognise.evidence import Evidence, gather, swings
from takeoff.recognise.faces import BRIDGED, Faces, classify, with_bridges
from takeoff.recognise.labels import Placed, of_rooms, placed, places
from takeoff.recognise.layers import LayerGuess, guess
from takeoff.recognise.linework import Lines, is_role, prepare
from takeoff.recognise.outlines import Border, rings_of, sides_of
from takeoff.recognise.rooms import area_findings, make_room, polygon_area_m2, written_in
from takeoff.recognise.settings import Settings
from takeoff.recognise.spaces import Space, find_spaces

Bools = NDArray[np.bool_]


class Reading(NamedTuple):
    """One way to read the linework: which lines are walls, and what they enclose."""

    walls: Bools
    lines: Lines
    faces: Faces
    gaps: list[Gap]
    spaces: list[Space]
    double: bool
    wall_layers: bool
    words: list[Placed]


def propose(drawing: Drawing, settings: Settings = Settings()) -> tuple[Job, tuple[Finding, ...]]:
    """The rooms and openings that a drawing in mm shows, as a job, and what to look at.

    Nothing is invented: what is not closed by drawn lines or confirmed gaps is marked *check* or
    *question*; labels that lie in no room are a finding. A drawing without usable linework gives
    a job without rooms and a finding that says so.
    """
    guesses = guess(drawing, settings.layers)
    lines = prepare(drawing, guesses)
    words = placed(drawing, lines.origin)
    reading = _best_reading(drawing, lines, words)
    job, findings = _job(drawing, settings, reading)
    return job, tuple(findings)


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


def _best_reading(drawing: Drawing, lines: Lines, words: list[Placed]) -> Reading | None:
    found, leaf = swings(lines)
    evidence = gather(drawing, lines, found)
    best: Reading | None = None
    best_score = -1.0
    for walls, by_layer in wall_choices(lines):
        reading = read_walls(lines, walls & ~leaf, by_layer, evidence, words)
        score = _score(reading)
        if score > best_score + 0.05:
            best, best_score = reading, score
        if best_score >= 0.8:
            break
    return best


def _score(reading: Reading) -> float:
    """Which part of the room words lie in spaces; without words, whether there are spaces."""
    if not reading.words:
        return 1.0 if reading.spaces else 0.0
    named = {w for s in reading.spaces for w in s.words}
    return len(named) / len(reading.words)


def read_walls(
    lines: Lines, walls: Bools, by_layer: bool, evidence: Evidence, words: list[Placed],
) -> Reading:
    """What these walls enclose once the gaps in them are closed."""
    glass = is_role(lines, "glazing") & ~lines.dashed & ~lines.hatch & ~lines.hidden & ~walls
    own = np.concatenate([np.flatnonzero(walls), np.flatnonzero(glass)])
    picked = lines.pick(own)
    is_glass = np.arange(len(own)) >= walls.sum()
    graph = node(picked.xy)
    spoken = of_rooms(words)
    gaps = _gaps(graph, is_glass, evidence, lines.xy[_plain(lines, walls)])
    graph = with_bridges(graph, gaps)
    graph = _without_spare_glass(graph, is_glass, gaps)
    faces = classify(graph, gaps, places(spoken))
    known = (graph.source >= 0) & (graph.source < len(own))
    glass_edge = np.zeros(len(graph.edges), bool)
    glass_edge[known] = is_glass[graph.source[known]]
    spaces, double = find_spaces(faces, gaps, places(spoken), glass_edge, by_layer)
    return Reading(walls, picked, faces, gaps, spaces, double, by_layer, spoken)


def _plain(lines: Lines, walls: Bools) -> Bools:
    return ~walls & is_role(lines, "unknown") & ~lines.dashed & ~lines.hatch


def _gaps(graph: Graph, is_glass: Bools, evidence: Evidence, plain: NDArray[np.float64]) -> list[Gap]:
    known = graph.source >= 0
    wall = np.ones(len(graph.edges), bool)
    wall[known] = ~is_glass[graph.source[known]]
    kept = graph.edges[wall]
    kept_source = graph.source[wall]
    alive = prune(graph.xy, kept)
    walls = Graph(graph.xy, kept[alive], kept_source[alive])
    if not len(walls.edges):
        return []
    runs = straight_runs(walls.xy, walls.edges)
    loose = loose_ends(walls.xy, walls.edges, runs)
    open_caps, paired = undrawn_caps(walls.xy, loose)
    caps = drawn_caps(walls.xy, walls.edges, runs)
    caps = Caps(*(np.concatenate([getattr(caps, f), getattr(open_caps, f)]) for f in Caps._fields))
    single = type(loose)(loose.node[~paired], loose.out[~paired], loose.run[~paired])
    bridges = wall_bridges(walls, runs, caps) + line_bridges(walls, runs, single)
    single_lines = len(caps.a) < len(single.node)
    return judge(bridges, evidence, plain, single_lines)


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


def _job(drawing: Drawing, settings: Settings, reading: Reading | None) -> tuple[Job, list[Finding]]:
    ref = DrawingRef(name=drawing.name, sha256=drawing.sha256, unit=drawing.unit, unit_mm=drawing.unit_mm)
    if reading is None or not reading.spaces:
        text = ("No closed room was found in this drawing: choose the layers of the walls, or draw "
                "the rooms by hand.")
        return Job(name=drawing.name, drawing=ref), [Finding("no-room-found", "error", text)]
    findings: list[Finding] = []
    origin = reading.lines.origin
    border = Border(reading.faces.graph, reading.lines.arc, reading.lines.arcs)
    labelled = bool(reading.words)
    rooms = []
    storey = StoreyId("1")
    order = sorted(reading.spaces, key=lambda s: (-s.polygon.bounds[3], s.polygon.bounds[0]))
    for number, space in enumerate(order, 1):
        written = written_in([reading.words[w] for w in space.words])
        sides = sides_of(rings_of(border, space.polygon), origin)
        area = polygon_area_m2(space.polygon)
        room = make_room(number, sides, area, written, space, reading.gaps, reading.double, labelled,
                         reading.wall_layers)
        rooms.append(room)
        findings += area_findings(room, written, area, storey, origin)
    findings += _lost_labels(reading, storey)
    level = Storey(id=storey, height_mm=settings.storey_height_mm,
                   height_source=settings.source("storey_height_mm"), rooms=tuple(rooms))
    return Job(name=drawing.name, drawing=ref, storeys=(level,)), findings


def _lost_labels(reading: Reading, storey: str) -> list[Finding]:
    named = {w for s in reading.spaces for w in s.words}
    lost = [w for k, w in enumerate(reading.words) if k not in named]
    if not lost:
        return []
    x, y = reading.lines.origin
    listed = "; ".join(f"“{w.words.text}” at {w.x + x:.0f}, {w.y + y:.0f}" for w in lost)
    count = "1 label lies" if len(lost) == 1 else f"{len(lost)} labels lie"
    where = Where(storey=storey, x_mm=lost[0].x + x, y_mm=lost[0].y + y)
    return [Finding("label-in-no-room", "check", f"{count} in no closed room: {listed}.", where)]


__all__ = ["LayerGuess", "propose"]
