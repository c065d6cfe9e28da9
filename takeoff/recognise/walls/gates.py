"""Gates of garages, halls and kilns that nothing is drawn in: wide gaps between two piers, or a pier and a wall, that
alone leave what lies behind open to the outside.

A gap as wide as a gate is no proof by itself: porches and yards have such mouths. It is closed where what it shuts is
as deep as a vehicle is long, has walls on all its other sides, and is a room by what is written in it; in a plan that
names no rooms, by a door that is drawn in its walls (common practice, no source)."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.noding import Graph
from takeoff.geometry.runs import straight_runs
from takeoff.plan.reasons import because
from takeoff.recognise.names.outdoor_names import outdoors
from takeoff.recognise.names.placed_words import NAMING, Placed
from takeoff.recognise.walls.believed_gaps import Gap, quad_of, uncrossed
from takeoff.recognise.walls.enclosed_faces import BRIDGED, Faces, enclose, with_bridges
from takeoff.recognise.walls.gap_closures import THINNEST_MM, Bridge, drawn_caps, wall_bridges
from takeoff.recognise.walls.room_spaces import NAMED_SHARE, Space

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

GATE_MM = (2000.0, 6500.0)
"""A gate is so wide, for one vehicle or for two (common practice, no source)."""
DEEP_MM = 4500.0
"""What is behind it is as deep as a vehicle is long (common practice, no source)."""
ROOM_M2 = (11.0, 300.0)
MOUTH = 0.35
"""Gates are no more than this part of what is all round a room."""
TOUCH_MM = 5.0


def gate_gaps(faces: Faces, glass: Bools, gaps: list[Gap], spaces: list[Space], words: list[Placed]) -> list[Gap]:
    """The gaps that close such rooms. ``glass``: which edges of the faces' graph are glazing; ``gaps``: those that are
    closed already; ``words``: what is written of rooms, by which ``spaces`` name theirs."""
    found = _wide_gaps(faces, glass)
    if not found:
        return []
    closed = with_bridges(faces.graph, found, len(gaps))
    polygons, left, right = enclose(closed)
    named = sum(any(words[w].words.kind in NAMING for w in s.words) for s in spaces)
    labelled = bool(named) and named >= NAMED_SHARE * len(spaces)
    strip = shapely.STRtree(polygons)
    behind: dict[int, list[int]] = {}
    for k, gap in enumerate(found):
        own = closed.source == BRIDGED + len(gaps) + k
        beside = np.unique(np.concatenate([left[own], right[own]]))
        within = strip.query(gap.quad.centroid, predicate="intersects")
        rooms = [f for f in beside.tolist() if f >= 0 and f not in within]
        if len(rooms) == 1 and (beside < 0).any():
            behind.setdefault(rooms[0], []).append(k)
    doors = shapely.STRtree([g.quad for g in gaps if g.kind == "door" and g.confirmed])
    kept: list[Gap] = []
    for face, own_gates in behind.items():
        gates = [found[k] for k in own_gates]
        if _shut_by(polygons[face], gates) and _is_room(polygons[face], words, doors, labelled):
            kept += gates
    return kept


def _wide_gaps(faces: Faces, glass: Bools) -> list[Gap]:
    """What ends of walls look at across a gate's width, where nothing is enclosed so far."""
    graph = faces.graph
    own = (graph.source < BRIDGED) & ~glass
    walls = Graph(graph.xy, graph.edges[own], graph.source[own])
    if not len(walls.edges):
        return []
    runs = straight_runs(walls.xy, walls.edges)
    caps = drawn_caps(walls.xy, walls.edges, runs, THINNEST_MM)
    wide = [b for b in wall_bridges(walls, runs, caps, GATE_MM[1]) if b.width_mm >= GATE_MM[0] and _of_walls(b)]
    within = shapely.STRtree(faces.polygons)
    open_yet = [b for b in wide if not len(within.query(quad_of(b).centroid, predicate="intersects"))]
    why = (because("gate"),)
    return uncrossed([Gap(b, "door", False, why, -1, quad_of(b)) for b in open_yet])


def _of_walls(bridge: Bridge) -> bool:
    return bridge.thickness_mm > 0 and not bridge.strewn and not bridge.pier


def _shut_by(room: shapely.Polygon, gates: list[Gap]) -> bool:
    """Whether gates alone shut what is as large as a room, and as deep behind each of them as a vehicle is long."""
    if not ROOM_M2[0] * 1e6 <= room.area <= ROOM_M2[1] * 1e6:
        return False
    if sum(g.bridge.width_mm for g in gates) > MOUTH * room.length:
        return False
    corners = shapely.get_coordinates(room.exterior)
    for gate in gates:
        way = gate.bridge.lines[0, 2:] - gate.bridge.lines[0, :2]
        across = np.array([-way[1], way[0]]) / np.hypot(*way)
        if np.ptp(corners @ across) < DEEP_MM:
            return False
    return True


def _is_room(room: shapely.Polygon, words: list[Placed], doors: shapely.STRtree, labelled: bool) -> bool:
    said = [w.words for w in words if room.contains(shapely.Point(w.x, w.y)) and w.words.kind in NAMING]
    if any(outdoors(word.text) for word in said):
        return False
    return bool(said) or (not labelled and len(doors.query(room, predicate="dwithin", distance=TOUCH_MM)) > 0)
