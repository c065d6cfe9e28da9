"""Openings of a model on the sides of its rooms, and windows in roofs over them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal, NamedTuple

import numpy as np
import shapely

from takeoff.plan.model import Confidence, Opening, OpeningId, Rooflight, Room, Side
from takeoff.recognise.modelled_claims import Floats, Hole, Light, Model
from takeoff.recognise.modelled_reveals import Depths, depths_of, reveal_of
from takeoff.recognise.modelled_sides import Edge, Outline
from takeoff.recognise.settings import Settings

REACH_MM = 250.0
"""A room's side may stand this far off the wall's face: linings, furrings (common practice)."""
MIDDLE_MM = 60.0
"""Sides up to this far beyond the middle of a wall still belong to its near face."""
THROUGH_MM = 700.0
"""Faces nearer than this are the two of one wall: the opening on one is seen from the other."""
PARALLEL = 0.02
NARROWEST_MM = 100.0
"""Less of an opening than this in a side is its reveal and no opening of that room."""
THRESHOLD_MM = 60.0
"""A hole that begins this little below the finished floor begins at it: thresholds, screeds."""
SAME_MM = 1.0
FULL = 0.995
"""A hole with so much of its box is a rectangle."""

Kind = Literal["window", "door", "open"]


class Seat(NamedTuple):
    """An opening on one room's side: which outline and side, from where, how wide, on which side of
    the wall (−1 near the hole's first face, 1 beyond), and how far that side is along the wall's
    depth from the first face."""

    outline: int
    side: Side
    offset: float
    width: float
    turn: int
    across: float


class Placed(NamedTuple):
    """The openings and rooflights by storey, holes that lie in no room, how many window reveals had
    to be assumed, the rooms that an opening lies in on either face, and how wide the windows of each
    room are together."""

    openings: list[list[Opening]]
    rooflights: list[list[Rooflight]]
    homeless: list[Hole]
    assumed: int
    reached: frozenset[str]
    glazed_mm: dict[str, float]


class SideIndex:
    """Straight sides of all rooms by place."""

    def __init__(self, outlines: Sequence[Outline], sides: Sequence[Sequence[tuple[Side, ...]]]) -> None:
        self.rows: list[tuple[int, Side, Edge]] = []
        for n, outline in enumerate(outlines):
            for ring, own in zip(outline.rings, sides[n], strict=True):
                self.rows += [
                    (n, s, e) for s, e in zip(own, ring, strict=True) if not e.bulge and e.length > 0
                ]
        self.tree = shapely.STRtree([shapely.LineString([(e.x0, e.y0), (e.x1, e.y1)]) for *_, e in self.rows])

    def near(self, ring: Floats, reach_mm: float) -> list[tuple[int, Side, Edge]]:
        """The sides that come within reach of a ring."""
        hits = self.tree.query(shapely.Polygon(ring), predicate="dwithin", distance=reach_mm)
        return [self.rows[k] for k in sorted(hits.tolist())]


def place_openings(
    model: Model,
    outlines: Sequence[Outline],
    sides: Sequence[Sequence[tuple[Side, ...]]],
    rooms: Sequence[Room],
    settings: Settings,
) -> Placed:
    """Every hole on the room whose side it lies in, hosted once; holes in no room's side apart."""
    index = SideIndex(outlines, sides)
    openings: list[list[Opening]] = [[] for _ in model.levels]
    homeless: list[Hole] = []
    assumed = 0
    reached: set[str] = set()
    glazed: dict[str, float] = {}
    for hole in model.holes:
        seats = _seats(hole, index, outlines, model)
        if not seats:
            homeless.append(hole)
            continue
        depths = depths_of(hole, settings)
        for seat in seats:
            room = rooms[seat.outline].id
            reached.add(room)
            if hole.kind == "window":
                glazed[room] = glazed.get(room, 0.0) + seat.width
        hosted = _hosts(seats, outlines)
        assumed += hole.kind == "window" and depths.source == "assumed"
        for seat in hosted:
            storey = outlines[seat.outline].space.storey
            openings[storey].append(_opening(hole, seat, seats, depths, outlines, rooms, model))
    lights: list[list[Rooflight]] = [[] for _ in model.levels]
    for light in model.lights:
        found = _rooflight(light, outlines, rooms, model)
        if found is not None:
            lights[found[0]].append(found[1])
    return Placed(_numbered(openings), _renamed(lights), homeless, assumed, frozenset(reached), glazed)


def _seats(hole: Hole, index: SideIndex, outlines: Sequence[Outline], model: Model) -> list[Seat]:
    """Where a hole lies in sides of rooms, nearest faces first, each stretch on each face once."""
    origin = hole.ring[0]
    width, depth = math.dist(hole.ring[0], hole.ring[1]), math.dist(hole.ring[0], hole.ring[3])
    if width < NARROWEST_MM or depth <= 0.0:
        return []
    u, v = (hole.ring[1] - origin) / width, (hole.ring[3] - origin) / depth
    found: list[tuple[float, float, float, Seat]] = []
    for n, side, edge in index.near(hole.ring, REACH_MM):
        tx, ty = (edge.x1 - edge.x0) / edge.length, (edge.y1 - edge.y0) / edge.length
        if (
            abs(tx * u[1] - ty * u[0]) > PARALLEL
            or side.kind == "open"
            or not _at_height(hole, outlines[n], model)
        ):
            continue
        start = np.array((edge.x0, edge.y0)) - origin
        across = float(start @ v)
        turn = 1 if -ty * v[0] + tx * v[1] > 0 else -1
        if (across - depth / 2.0) * turn < -MIDDLE_MM:
            continue
        a, b = edge.along(*hole.ring[0].tolist()), edge.along(*hole.ring[1].tolist())
        lo, hi = max(0.0, min(a, b)), min(edge.length, max(a, b))
        if hi - lo >= NARROWEST_MM:
            first = float((np.array((edge.x0 + tx * lo, edge.y0 + ty * lo)) - origin) @ u)
            last = float((np.array((edge.x0 + tx * hi, edge.y0 + ty * hi)) - origin) @ u)
            off = abs(across - (depth if turn > 0 else 0.0))
            found.append((off, min(first, last), max(first, last), Seat(n, side, lo, hi - lo, turn, across)))
    return _each_once(found)


def _each_once(found: list[tuple[float, float, float, Seat]]) -> list[Seat]:
    """Nearest faces first; a stretch of the hole that a nearer face of its side has is not given twice."""
    taken: dict[int, list[tuple[float, float]]] = {-1: [], 1: []}
    seats = []
    for _, lo, hi, seat in sorted(found, key=lambda f: f[0]):
        if any(min(hi, b) - max(lo, a) > NARROWEST_MM for a, b in taken[seat.turn]):
            continue
        taken[seat.turn].append((lo, hi))
        seats.append(seat)
    return seats


def _at_height(hole: Hole, outline: Outline, model: Model) -> bool:
    """Whether a hole and a room share a third of the hole's height."""
    up = model.levels[hole.storey].level_mm - model.levels[outline.space.storey].level_mm
    low, high = hole.values["sill_mm"] + up, hole.values["head_mm"] + up
    common = min(high, outline.space.top_mm) - max(low, outline.space.floor_mm)
    return common > (high - low) / 3.0


def _hosts(seats: list[Seat], outlines: Sequence[Outline]) -> list[Seat]:
    """The seats that host: those of the face that has more of the hole, else of the lower floor; and
    the other face too where the two are no pair that is measured together."""
    faces = {t: [s for s in seats if s.turn == t] for t in (-1, 1)}
    if not faces[-1] or not faces[1]:
        return seats

    def rank(turn: int) -> tuple[float, float, int]:
        own = faces[turn]
        return (
            -round(sum(s.width for s in own), 0),
            min(outlines[s.outline].space.floor_mm for s in own),
            min(s.outline for s in own),
        )

    lead = min((-1, 1), key=rank)
    apart = abs(faces[1][0].across - faces[-1][0].across) > THROUGH_MM
    storeys = {outlines[s.outline].space.storey for s in faces[lead]}
    extra = [s for s in faces[-lead] if apart or outlines[s.outline].space.storey not in storeys]
    return faces[lead] + extra


def _opening(
    hole: Hole,
    seat: Seat,
    seats: list[Seat],
    depths: Depths,
    outlines: Sequence[Outline],
    rooms: Sequence[Room],
    model: Model,
) -> Opening:
    space = outlines[seat.outline].space
    up = model.levels[hole.storey].level_mm - model.levels[space.storey].level_mm
    sill, head = hole.values["sill_mm"] + up, hole.values["head_mm"] + up
    beyond = [s for s in seats if s.turn != seat.turn]
    evidence = ["the model's opening"]
    floors = [
        space.floor_mm,
        *(
            outlines[s.outline].space.floor_mm
            for s in beyond
            if outlines[s.outline].space.storey == space.storey
        ),
    ]
    if 0.0 < min(floors) - sill <= THRESHOLD_MM:
        evidence.append(f"it begins {min(floors) - sill:.0f} mm below the finished floor")
        sill = min(floors)
    shape, doubt = _shape(hole)
    confidence: Confidence = "check" if doubt else "sure"
    evidence += doubt
    full = math.dist(hole.ring[0], hole.ring[1])
    if full - seat.width > SAME_MM:
        evidence.append(f"{seat.width:.0f} of its {full:.0f} mm lie in this side")
    kind: Kind = "door" if hole.kind == "door" else "window" if hole.kind == "window" else "open"
    own = reveal_of(kind, depths, seat.turn, seat.across, not beyond)
    other = (
        None if kind == "open" or not beyond else reveal_of(kind, depths, -seat.turn, beyond[0].across, False)
    )
    return Opening(
        id=OpeningId(""),
        kind=kind,
        room=rooms[seat.outline].id,
        side=seat.side.id,
        offset_mm=seat.offset,
        width_mm=seat.width,
        sill_mm=sill,
        head_mm=head,
        shape=shape,
        reveal=own,
        reveal_beyond=other,
        mark=hole.mark,
        width_source="drawn",
        sill_source="drawn",
        head_source="drawn",
        confidence=confidence,
        evidence=tuple(evidence),
    )


def _shape(hole: Hole) -> tuple[Literal["flat", "semicircular", "round"], list[str]]:
    """The shape that the hole's area says, and a doubt where it is none that is known."""
    width, height = hole.values["width_mm"], hole.values["head_mm"] - hole.values["sill_mm"]
    face = hole.values.get("face_mm2", width * height)
    if face >= FULL * width * height:
        return "flat", []
    circle = math.pi * width * width / 4.0
    if abs(width - height) < SAME_MM and abs(face / circle - 1.0) < 1.0 - FULL:
        return "round", []
    arched = width * (height - width / 2.0) + circle / 2.0
    if height > width / 2.0 and abs(face / arched - 1.0) < 1.0 - FULL:
        return "semicircular", []
    return "flat", [f"its hole fills only {face / (width * height):.0%} of its width and height"]


def _rooflight(
    light: Light,
    outlines: Sequence[Outline],
    rooms: Sequence[Room],
    model: Model,
) -> tuple[int, Rooflight] | None:
    """The rooflight over the room that lies highest under it; None where it is over none."""
    plan = shapely.Polygon(light.ring)
    best: tuple[float, int] | None = None
    for n, outline in enumerate(outlines):
        up = model.levels[light.storey].level_mm - model.levels[outline.space.storey].level_mm
        top = outline.space.top_mm
        if (
            top < light.values["top_mm"] + up
            and plan.intersection(outline.plan).area > plan.area / 2.0
            and (best is None or top - up > best[0])
        ):
            best = top - up, n
    if best is None:
        return None
    top, n = best
    # Above the frame's foot nothing is coated; the hole itself often reaches through the whole roof.
    depth = max(0.0, light.values.get("frame_mm", light.values["top_mm"]) - top)
    inside = plan.intersection(outlines[n].plan).area > FULL * plan.area
    ring = light.ring if shapely.LinearRing(light.ring).is_ccw else light.ring[::-1]
    ox, oy = model.origin
    return outlines[n].space.storey, Rooflight(
        id=OpeningId(""),
        room=rooms[n].id,
        outline=tuple((x + ox, y + oy, 0.0) for x, y in ring.tolist()),
        depth_mm=depth,
        mark=light.mark,
        source="drawn",
        confidence="sure" if inside else "check",
        evidence=(
            "the model's window in the roof",
            *(() if inside else ("it lies partly outside the room",)),
        ),
    )


def _numbered(openings: list[list[Opening]]) -> list[list[Opening]]:
    from msgspec.structs import replace

    number = 0
    found = []
    for own in openings:
        named = []
        for opening in own:
            number += 1
            named.append(replace(opening, id=OpeningId(f"o{number}")))
        found.append(named)
    return found


def _renamed(lights: list[list[Rooflight]]) -> list[list[Rooflight]]:
    from msgspec.structs import replace

    number = 0
    found = []
    for own in lights:
        named = []
        for light in own:
            number += 1
            named.append(replace(light, id=OpeningId(f"l{number}")))
        found.append(named)
    return found
