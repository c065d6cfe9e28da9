"""Openings on the sides of rooms: which side of which room an opening lies in and how far along it,
curved sides along their arc, and each opening hosted once."""

from __future__ import annotations

import cmath
import math
from typing import Literal, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.plan.model import Confidence, Opening, OpeningId, Reveal, Room, Side, Strip
from takeoff.recognise.presets import Settings
from takeoff.recognise.walls.believed_gaps import SLID_PAST

Floats = NDArray[np.float64]
Faces = tuple[Floats, float]
"""An opening's faces as lines (k, 4) near the origin, and how far from them a side may lie, mm."""

OFF_FACE_MM = 12.0
"""An opening's line this near to a room's side lies in that side."""
NEARER_MM = 0.1
HELD = 0.7
"""An opening lies in a side with at least this part of its width."""
OUT_OF_ROUND = 0.25
"""A chord is this part of its length off its arc at most, up to a quarter of a circle."""


class Place(NamedTuple):
    """A room (its number), a side of it, and where on it."""

    room: int
    side: Side
    offset_mm: float
    width_mm: float


class _Arc(NamedTuple):
    """A curved side: its centre and start as complex numbers, and its signed sweep."""

    centre: complex
    start: complex
    sweep: float


class SideIndex:
    """Finds the sides of rooms that a line lies in."""

    def __init__(self, rooms: list[Room], origin: tuple[float, float]) -> None:
        self.rows: list[tuple[int, Side]] = []
        ends: list[tuple[float, float, float, float]] = []
        for number, room in enumerate(rooms):
            for ring in room.rings:
                for side, after in zip(ring, (*ring[1:], ring[0]), strict=True):
                    self.rows.append((number, side))
                    ends.append((side.x_mm, side.y_mm, after.x_mm, after.y_mm))
        self.ends = np.array(ends, float).reshape(-1, 4) - np.array([*origin, *origin])
        shapes = shapely.linestrings(self.ends.reshape(-1, 2, 2))
        self.arcs = {row: _arc(self.ends[row], side.bulge) for row, (_, side) in enumerate(self.rows) if side.bulge}
        for row, arc in self.arcs.items():
            shapes[row] = _drawn(arc)
        self.tree = shapely.STRtree(shapes)

    def places(self, candidates: list[Faces]) -> list[list[Place]]:
        """For each candidate the nearest side of each room that one of its lines runs along."""
        if not candidates:
            return []
        lines = np.concatenate([own for own, _ in candidates])
        owner = np.repeat(np.arange(len(candidates)), [len(own) for own, _ in candidates])
        reach = np.array([far for _, far in candidates])[owner]
        wide = np.hypot(lines[:, 2] - lines[:, 0], lines[:, 3] - lines[:, 1])
        middle = shapely.points((lines[:, :2] + lines[:, 2:]) / 2)
        allowed = reach + (OUT_OF_ROUND * wide if self.arcs else 0.0)
        at, row = self.tree.query(middle, predicate="dwithin", distance=allowed)
        far = shapely.distance(middle[at], self.tree.geometries[row])
        found: list[dict[int, tuple[float, Place]]] = [{} for _ in candidates]
        for line, r, off in zip(at.tolist(), row.tolist(), far.tolist(), strict=True):
            if r in self.arcs:
                place, off = self._on_arc(r, lines[line].tolist(), float(reach[line]))
            else:
                place = self._on_line(r, *lines[line].tolist()) if off <= reach[line] else None
            own = found[owner[line]]
            if place is not None and (place.room not in own or off < own[place.room][0] - NEARER_MM):
                own[place.room] = (off, place)
        return [[place for _, place in own.values()] for own in found]

    def _on_line(self, row: int, x0: float, y0: float, x1: float, y1: float) -> Place | None:
        px, py, qx, qy = self.ends[row].tolist()
        room, side = self.rows[row]
        length = math.hypot(qx - px, qy - py)
        if length <= 0:
            return None
        ux, uy = (qx - px) / length, (qy - py) / length
        wide = math.hypot(x1 - x0, y1 - y0)
        if abs((x1 - x0) * uy - (y1 - y0) * ux) > 0.1 * wide:
            return None
        a = (x0 - px) * ux + (y0 - py) * uy
        b = (x1 - px) * ux + (y1 - py) * uy
        lo, hi = max(min(a, b), 0.0), min(max(a, b), length)
        if hi - lo < HELD * wide:
            return None
        return Place(room, side, lo, hi - lo)

    def _on_arc(self, row: int, line: list[float], reach_mm: float) -> tuple[Place | None, float]:
        """(where on the arc both ends of a line lie, how far they are from it at most)"""
        centre, start, sweep = self.arcs[row]
        room, side = self.rows[row]
        radius = abs(start - centre)
        ends = complex(line[0], line[1]), complex(line[2], line[3])
        off = max(abs(abs(end - centre) - radius) for end in ends)
        if off > reach_mm or radius <= 0:
            return None, off
        turn = math.copysign(1.0, sweep)
        middle = start * cmath.exp(0.5j * sweep) + centre * (1 - cmath.exp(0.5j * sweep))
        # Angles from the middle of the side, so that neither end lies at the jump of a full turn.
        angles = sorted(turn * cmath.phase((end - centre) / (middle - centre)) for end in ends)
        half = abs(sweep) / 2
        lo, hi = max(angles[0], -half), min(angles[1], half)
        if hi - lo < HELD * (angles[1] - angles[0]) or hi <= lo:
            return None, off
        return Place(room, side, (lo + half) * radius, (hi - lo) * radius), off


def _arc(ends: Floats, bulge: float) -> _Arc:
    p, q = complex(ends[0], ends[1]), complex(ends[2], ends[3])
    centre = (p + q) / 2 + 1j * (q - p) * (1 - bulge * bulge) / (4 * bulge)
    return _Arc(centre, p, 4 * math.atan(bulge))


def _drawn(arc: _Arc, pieces: int = 32) -> shapely.LineString:
    """The arc by chords, to find what is near it."""
    turn = [cmath.exp(1j * arc.sweep * k / pieces) for k in range(pieces + 1)]
    points = [arc.centre + (arc.start - arc.centre) * t for t in turn]
    return shapely.LineString([(z.real, z.imag) for z in points])


NARROWEST_MM = 300.0
"""Narrower gaps are shadow gaps and casings, no openings (common practice, no source)."""


class Candidate(NamedTuple):
    """An opening before it has a room: its two faces as lines (k, 4) near the origin, kind,
    confidence, the wall's thickness, why, a mark and heights that are written (mm or None), and how
    far from its lines the faces may lie."""

    lines: Floats
    kind: Literal["window", "door", "open"]
    confidence: Confidence
    thickness_mm: float
    why: tuple[str, ...]
    mark: str = ""
    sill_mm: float | None = None
    head_mm: float | None = None
    reach_mm: float = OFF_FACE_MM


class Hosted(NamedTuple):
    """Openings on their host rooms, candidates that lie in no room's side, the rooms with a way in, and those with
    any opening that is not in question."""

    openings: list[Opening]
    homeless: list[Candidate]
    entered: set[str]
    opened: set[str]


def host_openings(
    candidates: list[Candidate], rooms: list[Room], origin: tuple[float, float], settings: Settings, first_id: int = 1
) -> Hosted:
    """The openings on the sides of rooms.

    An opening between two rooms is hosted once: by the surer, then by the larger room.
    """
    index = SideIndex(rooms, origin)
    openings: list[Opening] = []
    homeless: list[Candidate] = []
    entered: set[str] = set()
    opened: set[str] = set()
    taken: dict[tuple[str, str], list[tuple[float, float]]] = {}
    order = {"sure": 0, "check": 1, "question": 2}
    ranked = sorted(candidates, key=lambda c: order[c.confidence])
    faces = [(c.lines, c.reach_mm) for c in ranked]
    for candidate, places in zip(ranked, index.places(faces), strict=True):
        if not places:
            homeless.append(candidate)
            continue
        if SLID_PAST in candidate.why and len(places) > 1:
            # Windows slide as well, but between two rooms stand doors.
            candidate = candidate._replace(kind="door")
        place = min(places, key=lambda p: (order[rooms[p.room].confidence], not rooms[p.room].name, p.room))
        spans = [taken.setdefault((rooms[p.room].id, p.side.id), []) for p in places]
        if any(_overlap(p, span) for p, span in zip(places, spans, strict=True)):
            continue
        for p, span in zip(places, spans, strict=True):
            span.append((p.offset_mm, p.offset_mm + p.width_mm))
            if candidate.confidence != "question":
                opened.add(rooms[p.room].id)
                if candidate.kind != "window":
                    entered.add(rooms[p.room].id)
        openings.append(_opening(candidate, place, rooms, settings, first_id + len(openings)))
    return Hosted(openings, homeless, entered, opened)


def _overlap(place: Place, spans: list[tuple[float, float]]) -> bool:
    lo, hi = place.offset_mm, place.offset_mm + place.width_mm
    return any(min(hi, b) - max(lo, a) > 0.2 * min(hi - lo, b - a) for a, b in spans)


def _opening(candidate: Candidate, place: Place, rooms: list[Room], settings: Settings, number: int) -> Opening:
    window = candidate.kind == "window"
    sill, sill_source = (settings.window_sill_mm, "window_sill_mm") if window else (0.0, "")
    head = settings.window_head_mm if window else settings.door_head_mm
    head_name = "window_head_mm" if window else "door_head_mm"
    sill = sill if candidate.sill_mm is None else candidate.sill_mm
    head = head if candidate.head_mm is None else candidate.head_mm
    return Opening(
        id=OpeningId(f"o{number}"),
        kind=candidate.kind,
        room=rooms[place.room].id,
        side=place.side.id,
        offset_mm=float(place.offset_mm),
        width_mm=float(place.width_mm),
        sill_mm=sill,
        head_mm=head,
        reveal=_reveal(candidate, settings),
        mark=candidate.mark,
        width_source="drawn",
        sill_source="drawn"
        if not window
        else "figured"
        if candidate.sill_mm is not None
        else settings.source(sill_source),
        head_source="figured" if candidate.head_mm is not None else settings.source(head_name),
        confidence=candidate.confidence,
        evidence=candidate.why,
    )


def _reveal(candidate: Candidate, settings: Settings) -> Reveal:
    """Windows: the depth set for the job; lined door frames none; open ways span the wall
    (common practice, no source)."""
    if candidate.kind == "window":
        strip = Strip(depth_mm=settings.reveal_mm, depth_source=settings.source("reveal_mm"))
        return Reveal(strip, strip, strip, Strip(strip.depth_mm, coat=False, depth_source=strip.depth_source))
    if candidate.kind == "open":
        strip = Strip(depth_mm=candidate.thickness_mm, depth_source="drawn")
        return Reveal(strip, strip, strip)
    strip = Strip(depth_source="assumed")
    return Reveal(strip, strip, strip)
