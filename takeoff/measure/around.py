"""What is around a room: what lies behind each stretch of wall, and openings seen from the room
on the other side.

A room on the other side within wall distance says *same dwelling* and gives the thickness; the
building's outline says *outside*, which is a claim where it was taken from a drawing's linework; nothing
drawn says *not known*, until the user decides.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve, Point, meet
from takeoff.geometry.offset import offset_ring
from takeoff.geometry.rings import ring_curves
from takeoff.geometry.tolerances import SNAP_MM, TOUCH_MM
from takeoff.language import tr
from takeoff.measure.face import U_MM
from takeoff.measure.takeoff import BehindStretch
from takeoff.plan.model import (
    BUDGET,
    Band,
    BehindClass,
    Opening,
    Reveal,
    Ring,
    Room,
    Side,
    Storey,
    Strip,
    WallTreatment,
    WallType,
)
from takeoff.plan.shape import curves_of, floor_height
from takeoff.units.printing import shown

WALL_DISTANCE_MM = 700.0
"""The thickest wall that two faces can belong to (common practice, no source)."""
OUTER_DISTANCE_MM = 1200.0
"""The thickest outer wall, lining and all (common practice, no source)."""
CHEEK_MM = 900.0
"""The deepest breast or recess whose cheeks go with the wall that it stands at (common practice, no source)."""
ALONG_MM = 1.0
PARALLEL = 0.99619
"""Cosine of 5°: faces that lean so little against each other belong to one wall, as the walls of rooms
read on site do (common practice, no source)."""
MOST_NEAR = 3000
"""Sides in one field of the grid: more are rooms drawn over each other by the hundred."""
GRID_MM = 4000.0
WIDE_CELLS = 4096
"""A side over more cells than this (kilometres long, a slip of the keyboard) is kept apart."""

SideKey = tuple[str, str]
"""room id, side id"""


class WallSide(NamedTuple):
    key: SideKey
    side: Side
    curve: Curve


class Seen(NamedTuple):
    """An opening as one face sees it: u0 to u1 along the drawn side, and its reveal on this side.

    ``owns``: the strips' area is this room's; ``host``: the opening is hosted here. Strips that are another
    room's (an open way is counted once) are coated if ``coat``, less ``bands``, as its wall is; ``feet``: the
    heights of that room's floor on which its start and its end jamb stand, None for one that stands on a sill.
    ``architrave_mm``: how wide an architrave is left on round it on this face.
    """

    opening: Opening
    u0: float
    u1: float
    reveal: Reveal
    owns: bool
    host: bool
    coat: bool = True
    bands: tuple[Band, ...] = ()
    feet: tuple[float | None, float | None] = (None, None)
    architrave_mm: float = 0.0


class Around(NamedTuple):
    """What one room needs to know of its storey; compared by value to tell whether to remeasure."""

    behind: tuple[tuple[str, tuple[BehindStretch, ...]], ...]
    openings: tuple[tuple[str, tuple[Seen, ...]], ...]
    """By side id."""


def wall_sides(room: Room) -> list[WallSide]:
    """The sides of a room as drawn, in storey coordinates."""
    found = []
    for ring in room.rings:
        curves = curves_of(ring)
        found += [WallSide((room.id, s.id), s, c) for s, c in zip(ring, curves, strict=True)]
    return found


class Sight(NamedTuple):
    """A side with the sides behind it and what lies there stretch by stretch."""

    wall: WallSide
    views: list[Facing]
    behind: tuple[BehindStretch, ...]


class SideIndex:
    """Sides of a storey by place; rooms come and go as they are edited. ``wall_types``: the job's."""

    def __init__(self, wall_types: Sequence[WallType] = ()) -> None:
        self.wall_types = {w.id: w for w in wall_types}
        self.treatments: dict[str, WallTreatment] = {}
        """What happens to the walls of each room that have no treatment of their own."""
        self.cells: dict[tuple[int, int], dict[SideKey, WallSide]] = {}
        self.wide: dict[SideKey, WallSide] = {}
        self.rooms: dict[str, list[WallSide]] = {}
        self.plans: dict[str, Room] = {}
        """The rooms themselves, to ask how high their floors lie."""
        self.seen: dict[str, list[Sight]] = {}
        """What each room was last seen to have behind it, until something near it moves."""
        """Whether an outline of unsaid source is that of a drawing."""
        self._building: tuple[Ring, ...] | None = None
        self._outside: Outside | None = None

    def put(self, room: Room) -> None:
        """Add a room, in place of the one with its id. Raises InputError where hundreds lie over each other."""
        self.drop(room.id)
        self.rooms[room.id] = wall_sides(room)
        self.plans[room.id] = room
        self.treatments[room.id] = room.walls
        self._forget(room.id)
        for w in self.rooms[room.id]:
            if _spread(w.curve.box, 0.0) > WIDE_CELLS:
                self.wide[w.key] = w
                continue
            for cell in _cells(w.curve.box, 0.0):
                sides = self.cells.setdefault(cell, {})
                sides[w.key] = w
                if len(sides) > MOST_NEAR:
                    raise InputError(
                        tr(
                            "Around {room}, {count} walls lie within {distance} m: remove rooms drawn over each other.",
                            room=room.name or room.title,
                            count=len(sides),
                            distance=shown(GRID_MM / 1000, 0),
                        )
                    )

    def drop(self, room_id: str) -> None:
        """Take a room out; one that is not there is no error."""
        self._forget(room_id)
        for w in self.rooms.pop(room_id, []):
            if self.wide.pop(w.key, None) is None:
                for cell in _cells(w.curve.box, 0.0):
                    self.cells[cell].pop(w.key, None)

    def finish_mm(self, side: Side) -> float:
        """How far the finished face of a side stands inside its drawn line."""
        kind = self.wall_types.get(side.wall_type) if side.wall_type is not None else None
        return 0.0 if kind is None else finish_of(kind, side)

    def finished(self, w: WallSide) -> Curve:
        """The finished face of a side, in storey coordinates; its drawn line where linings leave no face of it."""
        ring = next(ring for ring in self.plans[w.key[0]].rings if any(side is w.side for side in ring))
        inset = [self.finish_mm(side) for side in ring]
        if not any(inset):
            return w.curve
        moved = offset_ring(curves_of(ring), inset)
        curves = ring_curves([(x, y, bulge) for x, y, bulge, _ in moved])
        mine = (c for c, (*_, k) in zip(curves, moved, strict=True) if k >= 0 and ring[k] is w.side)
        return next(mine, w.curve)

    def treatment(self, w: WallSide) -> WallTreatment:
        """What happens to the face of a side."""
        return w.side.treatment or self.treatments[w.key[0]]

    def outside(self, storey: Storey) -> Outside:
        """The building's outline by place, made once for as long as it stays the same value."""
        if self._building is not storey.building or self._outside is None:
            claimed = (storey.building_source or ("drawn" if storey.drawing is not None else "typed")) == "drawn"
            self._building, self._outside = storey.building, Outside(storey.building, claimed)
        return self._outside

    def _forget(self, room_id: str) -> None:
        if self.seen:
            self.seen.pop(room_id, None)
            for w in self.rooms.get(room_id, ()):
                for other in self.near(w.curve, WALL_DISTANCE_MM):
                    self.seen.pop(other.key[0], None)

    def near(self, curve: Curve, reach_mm: float) -> Iterable[WallSide]:
        """Sides whose box comes within reach of a curve's box."""
        seen: set[SideKey] = set()
        b = curve.box
        for w in self._candidates(b, reach_mm):
            o = w.curve.box
            if w.key not in seen and not (
                o[0] > b[2] + reach_mm or o[2] < b[0] - reach_mm or o[1] > b[3] + reach_mm or o[3] < b[1] - reach_mm
            ):
                seen.add(w.key)
                yield w

    def _candidates(self, box: tuple[float, float, float, float], reach_mm: float) -> Iterable[WallSide]:
        if _spread(box, reach_mm) > WIDE_CELLS:
            for sides in self.rooms.values():
                yield from sides
            return
        for cell in _cells(box, reach_mm):
            yield from self.cells.get(cell, {}).values()
        yield from self.wide.values()


def finish_of(kind: WallType, side: Side) -> float:
    """What stands on a side of this wall type between its drawn line and its finished face, mm."""
    return kind.finish_a_mm if side.wall_face == "a" else kind.finish_b_mm


def _spread(box: tuple[float, float, float, float], reach: float) -> float:
    """About how many cells a box covers."""
    return ((box[2] - box[0] + 2.0 * reach) / GRID_MM + 1.0) * ((box[3] - box[1] + 2.0 * reach) / GRID_MM + 1.0)


def _cells(box: tuple[float, float, float, float], reach: float) -> Iterable[tuple[int, int]]:
    x0, y0 = math.floor((box[0] - reach) / GRID_MM), math.floor((box[1] - reach) / GRID_MM)
    x1, y1 = math.floor((box[2] + reach) / GRID_MM), math.floor((box[3] + reach) / GRID_MM)
    for i in range(x0, x1 + 1):
        for j in range(y0, y1 + 1):
            yield i, j


class Facing(NamedTuple):
    """A stretch of this side (u0 to u1) that looks at another side through a wall.

    ``distance``: in its middle; faces that lean against each other come ``lean`` mm apart for each mm from
    ``at`` on.
    """

    u0: float
    u1: float
    distance: float
    other: WallSide
    lean: float = 0.0
    at: float = 0.0

    def gap(self, u: float) -> float:
        """How thick the wall is at a place along this side, mm between the drawn lines."""
        return self.distance + self.lean * (u - self.at) if self.lean else self.distance


def facing(w: WallSide, index: SideIndex) -> list[Facing]:
    """The sides that lie behind a side within wall distance, nearest first where they overlap."""
    found = []
    for other in index.near(w.curve, WALL_DISTANCE_MM):
        if other.key != w.key:
            pair = _straight(w, other) if w.curve.bulge == 0.0 else _round(w, other)
            if pair is not None:
                found.append(pair)
    # by name where they are equally near (rooms drawn over each other): what is found must not
    # depend on the order in which they were drawn
    found.sort(key=lambda f: (f.distance, f.other.key))
    out: list[Facing] = []
    for f in found:
        free = [(f.u0, f.u1)]
        for taken in out:
            free = [piece for a, b in free for piece in _without(a, b, taken.u0, taken.u1)]
        out += [f._replace(u0=a, u1=b) for a, b in free]
    return sorted(out, key=lambda f: f.u0)


def _without(a: float, b: float, c: float, d: float) -> list[tuple[float, float]]:
    pieces = [(a, min(b, c)), (max(a, d), b)]
    return [(p, q) for p, q in pieces if q - p > ALONG_MM]


def _straight(w: WallSide, other: WallSide) -> Facing | None:
    c, o = w.curve, other.curve
    if o.bulge or c.dx * o.dx + c.dy * o.dy > -PARALLEL:
        return None
    # Outwards is to the right, since a room lies to the left of its sides.
    nx, ny = c.dy, -c.dx
    gap = (o.x0 - c.x0) * nx + (o.y0 - c.y0) * ny
    ua = (o.x1 - c.x0) * c.dx + (o.y1 - c.y0) * c.dy
    ub = (o.x0 - c.x0) * c.dx + (o.y0 - c.y0) * c.dy
    u0, u1 = max(0.0, ua), min(c.length, ub)
    if u1 - u0 <= ALONG_MM:
        return None
    far = (o.x1 - c.x0) * nx + (o.y1 - c.y0) * ny
    if abs(far - gap) <= SNAP_MM:
        return Facing(u0, u1, gap, other) if 0.0 < gap <= WALL_DISTANCE_MM else None
    # Leaning faces are one wall where they are one wall's thickness apart.
    lean = (gap - far) / (ub - ua)
    ends = sorted(ub + (g - gap) / lean for g in (0.0, WALL_DISTANCE_MM))
    u0, u1 = max(u0, ends[0]), min(u1, ends[1])
    middle = (u0 + u1) / 2.0
    return Facing(u0, u1, gap + lean * (middle - ub), other, lean, middle) if u1 - u0 > ALONG_MM else None


def _round(w: WallSide, other: WallSide) -> Facing | None:
    c, o = w.curve, other.curve
    if not o.bulge or math.dist((c.cx, c.cy), (o.cx, o.cy)) > ALONG_MM or c.turn == o.turn:
        return None
    gap = (o.radius - c.radius) * c.turn
    if not 0.0 < gap <= WALL_DISTANCE_MM:
        return None
    ua, _ = c.where(o.x1, o.y1)
    ub, _ = c.where(o.x0, o.y0)
    u0, u1 = max(0.0, ua), min(c.length, ub)
    return Facing(u0, u1, gap, other) if u1 - u0 > ALONG_MM else None


class Outside:
    """The building's outline by place, to look out at from a wall. ``claimed``: nobody has confirmed yet
    that what lies beyond it is outside."""

    def __init__(self, building: Sequence[Ring], claimed: bool = False) -> None:
        self.claimed = claimed
        self.curves = [e for ring in building for e in ring_curves(ring)]
        self.cells: dict[tuple[int, int], list[int]] = {}
        for k, e in enumerate(self.curves):
            if _spread(e.box, 0.0) <= WIDE_CELLS:
                for cell in _cells(e.box, 0.0):
                    self.cells.setdefault(cell, []).append(k)
        self.wide = [k for k, e in enumerate(self.curves) if _spread(e.box, 0.0) > WIDE_CELLS]

    def near(self, curve: Curve) -> list[Curve]:
        """The sides of the outline within the thickest outer wall of a curve's box, in order."""
        if _spread(curve.box, OUTER_DISTANCE_MM) > WIDE_CELLS:
            return self.curves
        found = {k for cell in _cells(curve.box, OUTER_DISTANCE_MM) for k in self.cells.get(cell, ())}
        return [self.curves[k] for k in sorted(found.union(self.wide))]


def behind_of(w: WallSide, views: Sequence[Facing], building: Outside) -> tuple[BehindStretch, ...]:
    """What lies behind a side, stretch by stretch; the user's word goes first."""
    if w.side.kind == "open":
        return ()
    length = w.curve.length
    out: list[BehindStretch] = []
    free = [(0.0, length)]
    for b in w.side.behind:
        to = length if b.to_mm is None else min(b.to_mm, length)
        out.append(BehindStretch(b.from_mm, to, b.cls, b.thickness_mm))
        free = [p for x, y in free for p in _without(x, y, b.from_mm, to)]
    for f in views:
        for a, b_ in free:
            u0, u1 = max(a, f.u0), min(b_, f.u1)
            if u1 - u0 > ALONG_MM:
                out.append(BehindStretch(u0, u1, "same", f.distance, *f.other.key))
        free = [p for x, y in free for p in _without(x, y, f.u0, f.u1)]
    for a, b_ in free:
        out += _outer(w.curve, a, b_, building)
    return tuple(sorted(out, key=lambda s: s.from_mm))


def free_of(length_mm: float, views: Sequence[Facing]) -> list[tuple[float, float]]:
    """The stretches of a wall of that length that look at no other room."""
    free = [(0.0, length_mm)]
    for f in views:
        free = [piece for a, b in free for piece in _without(a, b, f.u0, f.u1)]
    return free


class LookOut(NamedTuple):
    """A stretch of a wall (u0 to u1), how far out the building's outline lies and which side of it; None
    where it lies nowhere."""

    u0: float
    u1: float
    gap: float | None
    outline: Curve | None


def look_out(c: Curve, a: float, b: float, building: Outside) -> list[LookOut]:
    """A stretch of a wall by what of the building's outline it looks at, square to its face."""
    walls = building.near(c)
    if not walls:
        return [LookOut(a, b, None, None)]
    # Looked at in the middle of every stretch between the building's own corners.
    cuts = sorted({a, b, *(u for e in walls for u in _feet(c, e) if a < u < b)})
    return [LookOut(u0, u1, *_out_at(c, (u0 + u1) / 2.0, walls)) for u0, u1 in pairwise(cuts)]


def _outer(c: Curve, a: float, b: float, building: Outside) -> list[BehindStretch]:
    out: list[BehindStretch] = []
    for u0, u1, gap, _ in look_out(c, a, b, building):
        cls: BehindClass = "unknown" if gap is None else "outside"
        last = out[-1] if out else None
        same_gap = last is not None and (
            last.thickness_mm is gap
            or (last.thickness_mm is not None and gap is not None and abs(last.thickness_mm - gap) <= ALONG_MM)
        )
        if last is not None and last.cls == cls and same_gap:
            out[-1] = BehindStretch(last.from_mm, u1, last.cls, last.thickness_mm, claimed=last.claimed)
        else:
            out.append(BehindStretch(u0, u1, cls, gap, claimed=building.claimed and gap is not None))
    return out


def _feet(c: Curve, e: Curve) -> list[float]:
    if c.bulge:
        return [u for u, off in (c.where(e.x0, e.y0),) if off <= OUTER_DISTANCE_MM]
    u = (e.x0 - c.x0) * c.dx + (e.y0 - c.y0) * c.dy
    off = (e.x0 - c.x0) * c.dy - (e.y0 - c.y0) * c.dx
    return [u] if -ALONG_MM <= off <= OUTER_DISTANCE_MM else []


def _out_at(c: Curve, u: float, walls: Sequence[Curve]) -> tuple[float | None, Curve | None]:
    """How far out the building's outline lies, looking square to the face, and which side of it."""
    x, y = c.at(u)
    dx, dy = c.direction(u)
    ray = Curve(x, y, x + dy * OUTER_DISTANCE_MM, y - dx * OUTER_DISTANCE_MM)
    hits = [(t, k) for k, e in enumerate(walls) for t, _ in meet(ray, e)]
    if not hits:
        return None, None
    gap, number = min(hits)
    return gap, walls[number]


NOWHERE = Outside(())
"""Nothing is known of what lies around."""


def is_set_down(room: Room) -> bool:
    """Whether a room was measured on site or typed by its sizes: it stands where it was set down, which says
    nothing of what lies outside its walls."""
    return room.readings is not None or BUDGET in room.evidence or any(side.source == "site" for side in room.sides)


def around(room: Room, storey: Storey, index: SideIndex, by_side: Mapping[SideKey, list[Opening]]) -> Around:
    """What a room needs to know of its storey. ``by_side``: the openings hosted by each side."""
    sights = index.seen.get(room.id)
    if sights is None:
        sights = []
        outside = NOWHERE if is_set_down(room) else index.outside(storey)
        for w in index.rooms[room.id]:
            views = facing(w, index)
            sights.append(Sight(w, views, behind_of(w, views, outside)))
        index.seen[room.id] = sights = _with_cheeks(room, sights)
    openings = []
    for w, views, _ in sights:
        seen = [_hosted(o, w, views, index) for o in by_side.get(w.key, ())]
        for f in views:
            for o in by_side.get(f.other.key, ()):
                through = _through(o, w, f, index)
                if through is not None:
                    seen.append(through)
        if seen:
            openings.append((w.side.id, tuple(seen)))
    behind = [(s.wall.side.id, s.behind) for s in sights if s.behind]
    return Around(tuple(behind), tuple(openings))


def _with_cheeks(room: Room, sights: Sequence[Sight]) -> list[Sight]:
    """The sights of a room with the cheeks of its breasts and recesses: a short side of which nothing is known, between
    two walls behind which the same lies, belongs to their wall."""
    out, first = list(sights), 0
    for ring in room.rings:
        count = len(ring)
        for k in range(count):
            wall, _, behind = sight = sights[first + k]
            before = sights[first + (k - 1) % count].behind[-1:]
            after = sights[first + (k + 1) % count].behind[:1]
            if not (0.0 < wall.curve.length <= CHEEK_MM and before and after) or any(
                b.cls != "unknown" for b in behind
            ):
                continue
            cls = before[0].cls
            if behind and cls == after[0].cls and cls not in ("unknown", "same"):
                claimed = before[0].claimed or after[0].claimed
                both = (BehindStretch(0.0, wall.curve.length, cls, claimed=claimed, cheek=True),)
                out[first + k] = sight._replace(behind=both)
        first += count
    return out


def _hosted(o: Opening, w: WallSide, views: Sequence[Facing], index: SideIndex) -> Seen:
    u0, u1 = o.offset_mm, o.offset_mm + o.width_mm
    if o.kind != "open":
        return Seen(o, u0, u1, o.reveal, True, True)
    middle = (u0 + u1) / 2.0
    f = next((f for f in views if f.u0 <= middle <= f.u1), None)
    wall = None if f is None else f.gap(middle) + _finishes(w, f, index)
    return Seen(o, u0, u1, _spanning(o.reveal, wall), True, True)


def _finishes(w: WallSide, f: Facing, index: SideIndex) -> float:
    """By how much a wall is thicker, finished on both faces, than it is drawn, mm."""
    return index.finish_mm(w.side) + index.finish_mm(f.other.side)


def _spanning(reveal: Reveal, wall_mm: float | None) -> Reveal:
    """The strips of an open way: through the wall's whole thickness unless a depth is given."""

    def through(s: Strip) -> Strip:
        if s.depth_mm > 0.0 or wall_mm is None:
            return s
        return Strip(depth_mm=wall_mm, coat=s.coat, depth_source="drawn")

    return Reveal(
        start=through(reveal.start),
        end=through(reveal.end),
        head=through(reveal.head),
        sill=through(reveal.sill),
        splay_deg=reveal.splay_deg,
    )


def _through(o: Opening, w: WallSide, f: Facing, index: SideIndex) -> Seen | None:
    """An opening hosted by the side behind, as this side sees it."""
    other = f.other.curve
    from_mm, to_mm = (min(max(u, 0.0), other.length) for u in (o.offset_mm, o.offset_mm + o.width_mm))
    a, b = (w.curve.where(*other.at(u))[0] for u in (from_mm, to_mm))
    u0, u1 = min(a, b), max(a, b)
    middle = (u0 + u1) / 2.0
    if not f.u0 <= middle <= f.u1:
        return None
    if f.lean:
        # It is as wide on this face, round where its middle comes through.
        u0, u1 = middle - (to_mm - from_mm) / 2.0, middle + (to_mm - from_mm) / 2.0
    if o.kind != "open":
        return Seen(o, u0, u1, o.reveal_beyond or Reveal(), True, False)
    r = _spanning(o.reveal, f.gap(middle) + _finishes(w, f, index))
    turned = Reveal(start=r.end, end=r.start, head=r.head, sill=r.sill)
    treatment = index.treatment(f.other)
    coat = _coated_there(treatment, f.other, o, index)
    end, start = (_foot(o, f.other, u, index) for u in (from_mm + ALONG_MM, to_mm - ALONG_MM))
    return Seen(o, u0, u1, turned, False, False, coat, returning(treatment), (start, end))


def _foot(o: Opening, w: WallSide, u: float, index: SideIndex) -> float | None:
    """The height of the floor just before a wall, u along its drawn side, if an opening there stands on it."""
    (x, y), (dx, dy) = w.curve.at(u), w.curve.direction(u)
    off = index.finish_mm(w.side) + ALONG_MM
    floor = floor_height(index.plans[w.key[0]], x - dy * off, y + dx * off)
    return floor if floor >= o.sill_mm - TOUCH_MM else None


def returning(t: WallTreatment) -> tuple[Band, ...]:
    """The bands at the foot of a wall that return into the openings that stand there."""
    return tuple(b for b in t.bands if b.edge == "bottom" and b.into_reveals)


def coated_spans(
    t: WallTreatment, length: float, shift: float = 0.0, scale: float = 1.0
) -> tuple[tuple[float, float], ...]:
    """The stretches of a finished face that are coated: all of it, its returns (from its own corners), parts (from
    the drawn side's start, which lies at ``shift``), or none."""
    if not t.coat:
        return ()
    if t.is_whole:
        return ((0.0, length),)
    a, b = min(t.start_mm or 0.0, length), max(0.0, length - (t.end_mm or 0.0))
    parts = [
        (max(0.0, p * scale + shift), length if q is None else min(q * scale + shift, length)) for p, q in t.parts_mm
    ]
    return _united(((0.0, a), *parts, (b, length)))


def _united(stretches: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Stretches in order, those that meet or overlap as one; what has no length is left away."""
    out: list[tuple[float, float]] = []
    for a, b in sorted(s for s in stretches if s[1] - s[0] > U_MM):
        if out and a <= out[-1][1] + U_MM:
            out[-1] = (out[-1][0], max(b, out[-1][1]))
        else:
            out.append((a, b))
    return tuple(out)


def _coated_there(t: WallTreatment, host: WallSide, o: Opening, index: SideIndex) -> bool:
    """Whether a face is coated anywhere along an opening that it hosts; strips of one in bare wall stay bare with it.
    The opening is placed from the drawn corner, returns run from the finished one."""
    face, origin = index.finished(host), (0.0, 0.0)
    shift, scale = from_drawn(host.side, origin, face)
    u0, u1 = (u * scale + shift for u in (o.offset_mm, o.offset_mm + o.width_mm))
    return any(a < u1 - U_MM and b > u0 + U_MM for a, b in coated_spans(t, face.length, shift, scale))


def from_drawn(side: Side, origin: Point, finished: Curve) -> tuple[float, float]:
    """Where the drawn side's start lies along the finished side, and how lengths scale to it: what is placed on
    a face (openings, what is left out) is measured along the drawn side from its drawn start."""
    x, y = side.x_mm - origin[0], side.y_mm - origin[1]
    t, off = finished.where(x, y)
    if finished.bulge == 0.0 or off == 0.0:
        return t, 1.0
    return t, finished.radius / math.hypot(x - finished.cx, y - finished.cy)
