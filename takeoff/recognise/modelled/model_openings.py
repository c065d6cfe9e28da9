"""Openings of a model: where its holes lie in the sides of its rooms and which of those host them, how deep
their reveals are, and windows in roofs over rooms."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal, NamedTuple

import shapely

from takeoff.geometry.curves import Curve
from takeoff.plan.model import Confidence, Opening, OpeningId, Reveal, Rooflight, Room, Side, Source, Strip, Swing
from takeoff.plan.reasons import because
from takeoff.recognise.modelled.model_claims import Floats, Hole, Light, Model
from takeoff.recognise.modelled.space_borders import Outline
from takeoff.recognise.presets import Settings

FILLS = 0.9
"""A frame that fills more of its wall than this is drawn in simple form: it says no depth."""


class Depths(NamedTuple):
    """Where the frame stands from the hole's first face, or None; the wall's thickness; the depth to
    take where the frame does not say, with its source."""

    frame: tuple[float, float] | None
    thickness: float
    default: float
    source: Source


def depths_of(hole: Hole, settings: Settings) -> Depths:
    """What a hole says about its reveals; a window that stands in no wall has none."""
    thickness = hole.values["thickness_mm"]
    if not hole.hosted:
        return Depths((0.0, thickness), thickness, 0.0, "drawn")
    first, last = hole.values.get("frame_from_mm"), hole.values.get("frame_to_mm")
    if first is None or last is None or last - first > FILLS * thickness:
        return Depths(None, thickness, settings.reveal_mm, settings.source("reveal_mm"))
    return Depths((max(0.0, first), min(thickness, last)), thickness, 0.0, "drawn")


def reveal_of(kind: str, depths: Depths, turn: int, across: float, outer: bool) -> Reveal:
    """The reveal on one face, ``across`` from the hole's first face, ``turn`` −1 or 1.

    Windows: jambs and head; doors in outer walls likewise where the frame says how deep, other doors
    are lined and have none; open ways span the wall (common practice, no source).
    """
    if kind == "open":
        strip = Strip(depth_mm=depths.thickness, depth_source="drawn")
        return Reveal(strip, strip, strip)
    if kind == "door" and (depths.frame is None or not outer):
        strip = Strip(depth_source="assumed")
        return Reveal(strip, strip, strip)
    if depths.frame is None:
        depth = min(depths.default, depths.thickness)
    else:
        depth = max(0.0, depths.frame[0] - across if turn < 0 else across - depths.frame[1])
    strip = Strip(depth_mm=depth, depth_source=depths.source)
    return Reveal(strip, strip, strip, Strip(depth_mm=depth, coat=False, depth_source=depths.source))


REACH_MM = 250.0
"""A room's side may stand this far off the wall's face: linings, furrings (common practice)."""
MIDDLE_MM = 60.0
"""Sides up to this far beyond the middle of a wall still belong to its near face."""
THROUGH_MM = 700.0
"""Faces nearer than this are the two of one wall: the opening on one is seen from the other."""
PARALLEL, PARALLEL_ROUND = 0.02, 0.2
"""How far off parallel a hole may lie to a straight side, and to a curved one at its middle (sine)."""
NARROWEST_MM = 100.0
"""Less of an opening than this in a side is its reveal and no opening of that room."""
TALL_MM = 1000.0
"""So much of a hole's height within a room is the room's, however tall the hole is."""
ARC_POINTS = 8


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


class SideIndex:
    """Sides of all rooms by place."""

    def __init__(self, outlines: Sequence[Outline], sides: Sequence[Sequence[tuple[Side, ...]]]) -> None:
        self.rows: list[tuple[int, Side, Curve]] = []
        for n, outline in enumerate(outlines):
            for ring, own in zip(outline.rings, sides[n], strict=True):
                for side, e in zip(own, ring, strict=True):
                    if e.length > 0:
                        self.rows.append((n, side, Curve(e.x0, e.y0, e.x1, e.y1, e.bulge)))
        self.tree = shapely.STRtree([_line(curve) for *_, curve in self.rows])

    def near(self, ring: Floats, reach_mm: float) -> list[tuple[int, Side, Curve]]:
        """The sides that come within reach of a ring."""
        hits = self.tree.query(shapely.Polygon(ring), predicate="dwithin", distance=reach_mm)
        return [self.rows[k] for k in sorted(hits.tolist())]


def _line(curve: Curve) -> shapely.LineString:
    count = 1 if curve.bulge == 0.0 else ARC_POINTS
    return shapely.LineString([curve.at(curve.length * k / count) for k in range(count + 1)])


class _Found(NamedTuple):
    """A seat with how far its side is off the hole's face, and its stretch of the hole's width."""

    off: float
    first: float
    last: float
    seat: Seat
    storey: int


def seats_of(hole: Hole, index: SideIndex, outlines: Sequence[Outline], model: Model) -> list[Seat]:
    """Where a hole lies in sides of rooms, nearest faces first, each stretch on each face once."""
    if math.dist(*hole.ring[:2]) < NARROWEST_MM or math.dist(hole.ring[0], hole.ring[3]) <= 0.0:
        return []
    found = []
    for n, side, curve in index.near(hole.ring, REACH_MM):
        if side.kind != "open" and _at_height(hole, outlines[n], model):
            seat = _seat(hole.ring.tolist(), n, side, curve)
            if seat is not None:
                found.append(seat._replace(storey=outlines[n].space.storey))
    return _each_once(found)


def _seat(ring: list[list[float]], outline: int, side: Side, curve: Curve) -> _Found | None:
    """The seat of a hole in one side; None where it does not lie in it."""
    (ox, oy), (px, py), _, (qx, qy) = ring
    width, depth = math.hypot(px - ox, py - oy), math.hypot(qx - ox, qy - oy)
    ux, uy, vx, vy = (px - ox) / width, (py - oy) / width, (qx - ox) / depth, (qy - oy) / depth
    a, b = curve.where(ox, oy)[0], curve.where(px, py)[0]
    lo, hi = max(0.0, min(a, b)), min(curve.length, max(a, b))
    if hi - lo < NARROWEST_MM:
        return None
    middle = (lo + hi) / 2.0
    (mx, my), (tx, ty) = curve.at(middle), curve.direction(middle)
    if abs(tx * uy - ty * ux) > (PARALLEL if curve.bulge == 0.0 else PARALLEL_ROUND):
        return None
    across = (mx - ox) * vx + (my - oy) * vy
    # The room lies to the left of its side: on the far side of the wall, or on the near one.
    turn = 1 if -ty * vx + tx * vy > 0 else -1
    face = depth if turn > 0 else 0.0
    if (across - depth / 2.0) * turn < -MIDDLE_MM or abs(across - face) > max(REACH_MM, depth):
        return None
    ends = [(x - ox) * ux + (y - oy) * uy for x, y in (curve.at(lo), curve.at(hi))]
    return _Found(abs(across - face), min(ends), max(ends), Seat(outline, side, lo, hi - lo, turn, across), 0)


def _each_once(found: list[_Found]) -> list[Seat]:
    """Nearest faces first; a stretch of the hole that a nearer face of its side has, on one storey, is
    not given twice."""
    taken: dict[tuple[int, int], list[tuple[float, float]]] = {}
    seats = []
    for f in sorted(found, key=lambda f: f.off):
        own = taken.setdefault((f.seat.turn, f.storey), [])
        if not any(min(f.last, b) - max(f.first, a) > NARROWEST_MM for a, b in own):
            own.append((f.first, f.last))
            seats.append(f.seat)
    return seats


def _at_height(hole: Hole, outline: Outline, model: Model) -> bool:
    """Whether a hole and a room share a third of the hole's height, or a good part of a tall one."""
    up = model.levels[hole.storey].level_mm - model.levels[outline.space.storey].level_mm
    low, high = hole.values["sill_mm"] + up, hole.values["head_mm"] + up
    common = min(high, outline.space.top_mm) - max(low, outline.space.floor_mm)
    return common > min((high - low) / 3.0, TALL_MM)


def hosts_of(seats: list[Seat], outlines: Sequence[Outline]) -> list[Seat]:
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


THRESHOLD_MM = 60.0
"""A hole that begins this little below the finished floor begins at it: thresholds, screeds."""
SAME_MM = 1.0
IN_WALL_COS = math.cos(math.radians(20))
"""A door that stands no further turned out of its wall hangs in it."""
FULL = 0.995
"""A hole with so much of its box is a rectangle."""

Kind = Literal["window", "door", "open"]


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
        seats = seats_of(hole, index, outlines, model)
        if not seats:
            homeless.append(hole)
            continue
        depths = depths_of(hole, settings)
        for seat in seats:
            room = rooms[seat.outline].id
            reached.add(room)
            if hole.kind == "window":
                glazed[room] = glazed.get(room, 0.0) + seat.width
        hosted = hosts_of(seats, outlines)
        assumed += hole.kind == "window" and depths.source == "assumed"
        for seat in hosted:
            storey = outlines[seat.outline].space.storey
            openings[storey].append(_opening(hole, seat, seats, depths, outlines, rooms, model))
    for n, outline in enumerate(outlines):
        ways = _ways(outline, sides[n], rooms[n])
        openings[outline.space.storey] += ways
        reached |= {way.room for way in ways}
    lights: list[list[Rooflight]] = [[] for _ in model.levels]
    for light in model.lights:
        found = _rooflight(light, outlines, rooms, model)
        if found is not None:
            lights[found[0]].append(found[1])
    return Placed(_numbered(openings), _renamed(lights), homeless, assumed, frozenset(reached), glazed)


def _ways(outline: Outline, sides: Sequence[tuple[Side, ...]], room: Room) -> list[Opening]:
    """The ways from a stairwell to the storeys that it passes, one above the other in one wall; what
    lies between them is the edge of a floor."""
    bare = Strip(coat=False)
    return [
        Opening(
            id=OpeningId(""),
            kind="open",
            room=room.id,
            side=side.id,
            offset_mm=0.0,
            width_mm=edge.length,
            sill_mm=low,
            head_mm=high,
            reveal=Reveal(start=bare, end=bare, head=bare, sill=bare),
            width_source="drawn",
            sill_source="drawn",
            head_source="drawn",
            evidence=(because("between-storeys"),),
        )
        for edges, ring in zip(outline.rings, sides, strict=True)
        for edge, side in zip(edges, ring, strict=True)
        for low, high in edge.ways
    ]


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
    evidence = [because("model-opening")]
    floors = [
        space.floor_mm,
        *(outlines[s.outline].space.floor_mm for s in beyond if outlines[s.outline].space.storey == space.storey),
    ]
    if 0.0 < min(floors) - sill <= THRESHOLD_MM:
        evidence.append(because("below-floor", depth_mm=f"{min(floors) - sill:.0f}"))
        sill = min(floors)
    if hole.kind != "door":
        cut = max(sill, space.floor_mm), min(head, space.top_mm)
        if cut[0] - sill > SAME_MM or head - cut[1] > SAME_MM:
            evidence.append(because("part-of-height", whole_mm=f"{head - sill:.0f}", part_mm=f"{cut[1] - cut[0]:.0f}"))
        sill, head = cut
    shape, doubt = _shape(hole)
    confidence: Confidence = "check" if doubt else "sure"
    evidence += doubt
    full = math.dist(hole.ring[0], hole.ring[1])
    if full - seat.width > SAME_MM:
        evidence.append(because("part-of-width", part_mm=f"{seat.width:.0f}", whole_mm=f"{full:.0f}"))
    kind: Kind = "door" if hole.kind == "door" else "window" if hole.kind == "window" else "open"
    own = reveal_of(kind, depths, seat.turn, seat.across, not beyond)
    other = None if kind == "open" or not beyond else reveal_of(kind, depths, -seat.turn, beyond[0].across, False)
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
        swings=swings_of(hole, seat.turn) if full - seat.width <= SAME_MM else (),
    )


_LEAVES: dict[str, tuple[Literal["left", "right"], ...]] = {
    "SINGLE_SWING_LEFT": ("left",),
    "SINGLE_SWING_RIGHT": ("right",),
    "DOUBLE_DOOR_SINGLE_SWING": ("left", "right"),
}
"""On which sides leaves hang as one looks the way they open (IfcDoorTypeOperationEnum); what opens otherwise is
not drawn as a swing."""


def swings_of(hole: Hole, turn: int) -> tuple[Swing, ...]:
    """The leaves of a door as the side that lies on that side of its wall (``turn``) has them: they open along
    the door's own y axis and hang left or right on its own x axis. None where the model does not say."""
    hung = _LEAVES.get(hole.operation, ())
    if hole.kind != "door" or not hung or "axis_x" not in hole.values or "opens_x" not in hole.values:
        return ()
    said = hole.values
    (ox, oy), (px, py), _, (qx, qy) = hole.ring.tolist()
    # a room lies to the left of its side, so that the side's direction follows from where the room is
    way = turn if (px - ox) * (qy - oy) - (py - oy) * (qx - ox) > 0 else -turn
    along = (said["axis_x"] * (px - ox) + said["axis_y"] * (py - oy)) * way
    opens = (said["opens_x"] * (qx - ox) + said["opens_y"] * (qy - oy)) * turn
    if min(abs(along) / math.hypot(px - ox, py - oy), abs(opens) / math.hypot(qx - ox, qy - oy)) < IN_WALL_COS:
        return ()
    into: Literal["host", "beyond"] = "host" if opens > 0 else "beyond"
    found = [Swing(hinge="start" if (side == "left") == (along > 0) else "end", into=into) for side in hung]
    return tuple(sorted(found, key=lambda leaf: leaf.hinge, reverse=True))


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
    return "flat", [because("hole-not-filled", share_percent=f"{face / (width * height):.0%}")]


def _rooflight(
    light: Light, outlines: Sequence[Outline], rooms: Sequence[Room], model: Model
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
        evidence=(because("model-rooflight"), *(() if inside else (because("partly-outside"),))),
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
