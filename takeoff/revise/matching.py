"""What of a new storey is what of the job's: storeys, rooms, walls and openings paired one to one, with evidence.

The new storey lies over the old one already. Pairs are chosen together so that all of them fit best (assignment), by
ground shared, by direction and place, by name and mark.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, Literal, NamedTuple

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.curves import Curve, Point
from takeoff.language import listed, percent, tr
from takeoff.plan.model import Opening, Room, RoomId, Side, SideId, Storey
from takeoff.plan.shape import curves_by_id, outer_polygon
from takeoff.revise.difference import along, is_piece, piece_of
from takeoff.revise.placement import FITS_IOU, same_name

Floats = NDArray[np.float64]
Key = tuple[RoomId, SideId]

SAME_MM = 1.0
"""Corners within this are where they were: drawings in metres or inches are rounded."""
MOST_OF = 0.6
"""A room of which so much lies in another is a part of it (common practice, no source)."""
LEAST_SHARED = 0.25
"""Rooms that share less of their ground are one only by name."""
LEAST_NAMED = 0.05
SAME_SIZE = 0.5
"""Rooms of one name and no common ground are one, to be looked at, where neither is less than so much of the other."""
NAME_WORTH = 0.4
DIRECTION_COS = math.cos(math.radians(10.0))
FAR_MM = 1000.0
"""By such a distance beside its old place a wall is worth less and less for being the same."""
OPENING_FAR_MM = 400.0
MARKED_FAR_MM = 4000.0
"""An opening moved further is another one; one with its mark may have moved this far."""

Kind = Literal["kept", "added", "omitted", "split", "joined"]


class RoomPair(NamedTuple):
    """What became of a room. ``new`` None: omitted; ``old`` None: added. *split*: ``old`` was cut and this is one part
    (``main``: the one that goes on under its id), ``beside`` it the others; *joined*: ``others`` became a part of it,
    or it (``new`` None) became a part of another. ``doubt``: why somebody is to look at it, "" where it is plain."""

    old: Room | None
    new: Room | None
    kind: Kind
    evidence: tuple[str, ...] = ()
    main: bool = True
    others: tuple[Room, ...] = ()
    doubt: str = ""
    beside: tuple[Room, ...] = ()


def assigned(worth: Floats, least: float) -> list[tuple[int, int]]:
    """Rows and columns paired so that their worth is greatest; pairs worth less than ``least`` are left out."""
    from scipy.optimize import linear_sum_assignment  # takes long to load

    if not worth.size:
        return []
    rows, columns = linear_sum_assignment(worth, maximize=True)
    return [(int(r), int(c)) for r, c in zip(rows, columns, strict=True) if worth[r, c] >= least]


# Rooms ---------------------------------------------------------------------------------------------------


def rooms_paired(old: Storey, new: Storey) -> list[RoomPair]:
    """Every room of both storeys once, in the order of the new one, omitted ones last."""
    ground = _Ground(old.rooms, new.rooms)
    pairs = dict(_kept(ground))
    free_old = [i for i in range(len(old.rooms)) if i not in pairs]
    free_new = [j for j in range(len(new.rooms)) if j not in pairs.values()]
    for i, j in _by_name_alone(ground, free_old, free_new):
        pairs[i] = j
        free_old.remove(i)
        free_new.remove(j)
    of_new = {j: i for i, j in pairs.items()}
    parts = _within(ground.part_of_new, free_new, pairs)
    swallowed = _within(ground.part_of_old.T, free_old, of_new)
    cut = {i: [j for j, of in parts.items() if of == i] for i in parts.values()}

    def beside(i: int, j: int) -> tuple[Room, ...]:
        return tuple(new.rooms[k] for k in (pairs[i], *cut.get(i, ())) if k != j)

    found: list[RoomPair] = []
    for j, room in enumerate(new.rooms):
        if j in of_new:
            others = tuple(old.rooms[i] for i, into in swallowed.items() if into == j)
            pair = _pair(ground, of_new[j], j, others, of_new[j] in cut)
            found.append(pair._replace(beside=beside(of_new[j], j)))
        elif j in parts:
            i = parts[j]
            evidence = (_of_part(ground.part_of_new[i, j], old.rooms[i]),)
            found.append(RoomPair(old.rooms[i], room, "split", evidence, False, beside=beside(i, j)))
        else:
            found.append(RoomPair(None, room, "added", (tr("no room of the job lies there"),)))
    for i in free_old:
        if i in swallowed:
            into = new.rooms[swallowed[i]]
            found.append(RoomPair(old.rooms[i], None, "joined", (tr("it is a part of {room} now", room=into.title),)))
        else:
            found.append(RoomPair(old.rooms[i], None, "omitted", (tr("no room of the new drawing lies there"),)))
    return found


class _Ground:
    """How much ground rooms share: intersection over union, and as a part of the new room and of the old one."""

    def __init__(self, old: Sequence[Room], new: Sequence[Room]) -> None:
        self.old, self.new = old, new
        mine = [outer_polygon(room) for room in old]
        theirs = [outer_polygon(room) for room in new]
        self.areas = [p.area for p in mine], [p.area for p in theirs]
        shape = (len(old), len(new))
        self.iou, self.part_of_new, self.part_of_old = (np.zeros(shape) for _ in range(3))
        tree = shapely.STRtree(mine) if mine else None
        for j, polygon in enumerate(theirs):
            for i in tree.query(polygon).tolist() if tree is not None else ():
                shared = polygon.intersection(mine[i]).area
                if shared > 0.0:
                    self.iou[i, j] = shared / (polygon.area + mine[i].area - shared)
                    self.part_of_new[i, j] = shared / polygon.area
                    self.part_of_old[i, j] = shared / mine[i].area

    def named(self, i: int, j: int) -> bool:
        return same_name(self.old[i], self.new[j])


def _kept(ground: _Ground) -> list[tuple[int, int]]:
    worth = ground.iou.copy()
    for i, j in np.argwhere(ground.iou >= LEAST_NAMED).tolist():
        worth[i, j] += NAME_WORTH * ground.named(i, j)
    # a part of a room is less than the room: only with its name, or with a fair share of the ground, is it the room
    worth[(ground.iou < LEAST_SHARED) & (worth < NAME_WORTH)] = 0.0
    return assigned(worth, LEAST_NAMED)


def _by_name_alone(ground: _Ground, free_old: list[int], free_new: list[int]) -> list[tuple[int, int]]:
    """Rooms of one name, the only ones of it on both sides, that lie elsewhere now."""
    found = []
    for i in list(free_old):
        alike = [j for j in free_new if ground.named(i, j)]
        again = [k for k in free_old for j in alike if ground.named(k, j)]
        if len(alike) == 1 and len(again) == 1:
            sizes = sorted((ground.areas[0][i], ground.areas[1][alike[0]]))
            inside = max(ground.part_of_new[:, alike[0]], default=0.0) >= MOST_OF
            if sizes[0] >= SAME_SIZE * sizes[1] and not inside:
                found.append((i, alike[0]))
    return found


def _within(part: Floats, free: list[int], paired: dict[int, int]) -> dict[int, int]:
    """Free rooms (columns) that lie for the most part in a room (row) that goes on: by column the row."""
    found = {}
    for k in free:
        if part.shape[0]:
            row = int(part[:, k].argmax())
            if part[row, k] >= MOST_OF and row in paired:
                found[k] = row
    return found


def _pair(ground: _Ground, i: int, j: int, others: tuple[Room, ...], parted: bool) -> RoomPair:
    one, other, iou = ground.old[i], ground.new[j], float(ground.iou[i, j])
    evidence = [tr("{share} of its ground is the same", share=percent(round(100.0 * iou)))]
    if ground.named(i, j):
        evidence.append(tr("it has the same name"))
    doubt = ""
    if iou < FITS_IOU and not others and not parted:
        alone = iou < LEAST_NAMED
        doubt = tr("only its name says so") if alone else listed(evidence)
    if others:
        evidence.append(tr("{rooms} became a part of it", rooms=listed([room.title for room in others])))
    if parted:
        evidence.append(tr("a part of it is a room of its own now"))
    kind: Kind = "joined" if others else "split" if parted else "kept"
    return RoomPair(one, other, kind, tuple(evidence), True, others, doubt)


def _of_part(part: float, parent: Room) -> str:
    return tr("{share} of it lay in {room}", share=percent(round(100.0 * part)), room=parent.title)


# The same room ------------------------------------------------------------------------------------------


def same_rings(old: Room, new: Room) -> Room | None:
    """The new room walked from where the old one is, where both have the same outline; else None."""
    if len(old.inner) != len(new.inner):
        return None
    outline = turned_ring(old.outline, new.outline)
    if outline is None:
        return None
    inner = []
    for ring in old.inner:
        same = next((t for other in new.inner if (t := turned_ring(ring, other)) is not None), None)
        if same is None:
            return None
        inner.append(same)
    return msgspec.structs.replace(new, outline=outline, inner=tuple(inner))


def turned_ring(old: Sequence[Side], new: Sequence[Side]) -> tuple[Side, ...] | None:
    """A ring walked from where another one of the same corners is begun; None where they are not the same."""
    count = len(old)
    if count != len(new):
        return None
    for first in range(count):
        walked = (*new[first:], *new[:first])
        if all(_same_corner(a, b) for a, b in zip(old, walked, strict=True)):
            return walked
    return None


def _same_corner(a: Side, b: Side) -> bool:
    near = abs(a.x_mm - b.x_mm) <= SAME_MM and abs(a.y_mm - b.y_mm) <= SAME_MM
    return near and abs(a.bulge - b.bulge) <= 1e-3 * max(1.0, abs(a.bulge))


# Walls ---------------------------------------------------------------------------------------------------


class SidePair(NamedTuple):
    """A side of a room of the job that a new side is, or is a piece of (``piece``: the job's goes on elsewhere)."""

    room: RoomId
    side: SideId
    piece: bool


def sides_paired(rooms: Sequence[Room], new: Room, beside: Sequence[Room] = ()) -> dict[SideId, SidePair]:
    """By side of the new room, which side of the job's rooms it is; those that are none are left out. ``rooms``: the
    room that goes on, then those that became a part of it; ``beside``: what else the room is now, which may have its
    walls."""
    old = [(room.id, side, curve) for room in rooms for side, curve in curves_by_id(room).items()]
    now = list(curves_by_id(new).items())
    worth = np.array([[_alike(a, b) for _, b in now] for _, _, a in old]).reshape(len(old), len(now))
    away = _in_other_parts([wall for _, _, wall in old], [curve for _, curve in now], beside)
    worth[away] = 0.0
    found = {now[j][0]: SidePair(old[i][0], old[i][1], False) for i, j in assigned(worth, 0.05)}
    elsewhere = {(old[i][1], now[j][0]) for i, j in np.argwhere(away).tolist()}
    found |= {own: p for own, p in _between(rooms, new, found).items() if (p.side, own) not in elsewhere}
    for j, (side, curve) in enumerate(now):
        if side not in found and len(old):
            piece = _piece([wall for i, wall in enumerate(old) if not away[i, j]], curve)
            if piece is not None:
                found[side] = SidePair(*piece, True)
    return found


def _in_other_parts(walls: Sequence[Curve], curves: Sequence[Curve], beside: Sequence[Room]) -> NDArray[np.bool_]:
    """Which sides (columns) are not which walls (rows), since another part of the room has a side that is nearer."""
    others = [curve for room in beside for curve in curves_by_id(room).values()]
    found = np.zeros((len(walls), len(curves)), dtype=bool)
    for i, wall in enumerate(walls if others else ()):
        nearest = min((off for curve in others if (off := _off(wall, curve)) is not None), default=math.inf)
        for j, curve in enumerate(curves):
            off = _off(wall, curve)
            found[i, j] = off is not None and off > nearest + SAME_MM
    return found


def shared_walls(walls: Mapping[Key, Curve], beside: Sequence[Room]) -> set[Key]:
    """The walls of a room along which another part of it has a side too: these were cut."""
    others = [curve for room in beside for curve in curves_by_id(room).values()]
    found = set()
    for key, wall in walls.items() if others else ():
        runs = [(curve, along(wall, curve)) for curve in others]
        if any(run is not None and is_piece(curve, run) for curve, run in runs):
            found.add(key)
    return found


def goes_into(wall: Curve, sides: Mapping[SideId, Curve]) -> SideId | None:
    """The side of now along which most of a wall runs that is no side of its own any more."""
    return piece_of(wall, sides, SAME_MM)


def _off(wall: Curve, curve: Curve) -> float | None:
    """How far beside a wall a side runs that runs along it; None where it does not."""
    beside = along(wall, curve)
    if beside is None or beside[1] - beside[0] < 0.5 * min(wall.length, curve.length):
        return None
    return beside[2]


def _alike(old: Curve, new: Curve) -> float:
    """How much a new side is an old one, 0 (not at all) to 1.5."""
    ends = [math.hypot(old.x0 - new.x0, old.y0 - new.y0), math.hypot(old.x1 - new.x1, old.y1 - new.y1)]
    same_ends = 0.25 * sum(end <= SAME_MM for end in ends)
    if old.bulge or new.bulge:
        if not (old.bulge and new.bulge and (old.bulge > 0) == (new.bulge > 0)):
            return 0.0
        return max(0.0, 1.0 - sum(ends) / (2.0 * FAR_MM)) + same_ends
    dx, dy = old.direction(0.0)
    ex, ey = new.direction(0.0)
    if dx * ex + dy * ey < DIRECTION_COS or not old.length or not new.length:
        return 0.0
    beside = along(old, new)
    if beside is None:  # it leans a little
        start = (new.x0 - old.x0) * dx + (new.y0 - old.y0) * dy
        end = (new.x1 - old.x0) * dx + (new.y1 - old.y0) * dy
        far = (ends[0] + ends[1]) / 2.0
        beside = (max(0.0, start), min(old.length, end), far)
    shared = max(0.0, beside[1] - beside[0]) / max(old.length, new.length)
    if shared <= 0.0:
        return same_ends
    return shared * math.exp(-beside[2] / FAR_MM) + 0.2 * (beside[2] <= SAME_MM) + same_ends


def _between(rooms: Sequence[Room], new: Room, found: dict[SideId, SidePair]) -> dict[SideId, SidePair]:
    """Sides that lie, both before and now, alone between two neighbours that are paired: the walls that turned."""
    more: dict[SideId, SidePair] = {}
    before = {(room.id, side.id) for room in rooms[:1] for side in room.sides}
    before -= {(pair.room, pair.side) for pair in found.values()}
    room = rooms[0]
    for ring in new.rings:
        for k, side in enumerate(ring):
            first, last = found.get(ring[k - 1].id), found.get(ring[(k + 1) % len(ring)].id)
            if side.id in found or first is None or last is None:
                continue
            for own in room.rings:
                ids = [one.id for one in own]
                for n, name in enumerate(ids):
                    beside = ids[n - 1] == first.side and ids[(n + 1) % len(ids)] == last.side
                    if beside and first.room == last.room == room.id and (room.id, name) in before:
                        more[side.id] = SidePair(room.id, name, False)
    return more


def _piece(old: Sequence[tuple[RoomId, SideId, Curve]], piece: Curve) -> tuple[RoomId, SideId] | None:
    """The wall along which most of a piece runs, the nearest one."""
    best, nearest = None, FAR_MM
    for room, side, wall in old:
        beside = along(wall, piece)
        if beside is not None and is_piece(piece, beside) and beside[2] <= nearest:
            best, nearest = (room, side), beside[2]
    return best


# Openings ------------------------------------------------------------------------------------------------


class Placed(NamedTuple):
    """An opening where it is in plan: its jambs, as its host side runs."""

    opening: Opening
    start: Point
    end: Point

    @property
    def middle(self) -> Point:
        """Halfway between its jambs."""
        return (self.start[0] + self.end[0]) / 2.0, (self.start[1] + self.end[1]) / 2.0


def placed_openings(storey: Storey) -> list[Placed]:
    """The openings of a storey in plan; those on no side are left out."""
    curves = {(room.id, side): curve for room in storey.rooms for side, curve in curves_by_id(room).items()}
    found = []
    for opening in storey.openings:
        curve = curves.get((opening.room, opening.side))
        if curve is not None:
            start, end = curve.at(opening.offset_mm), curve.at(opening.offset_mm + opening.width_mm)
            found.append(Placed(opening, start, end))
    return found


def openings_paired(
    old: Sequence[Placed], new: Sequence[Placed], moved: Sequence[Placed | None]
) -> list[tuple[int, int]]:
    """Openings of the job and of the new drawing that are one. ``moved``: where those of the job are if they went with
    their walls, None for walls that stand where they stood."""
    if not old or not new:
        return []
    b = np.array([one.middle for one in new])
    worth = np.zeros((len(old), len(new)))
    for places in (list(enumerate(old)), [(i, one) for i, one in enumerate(moved) if one is not None]):
        if not places:
            continue
        a = np.array([one.middle for _, one in places])
        apart = np.hypot(a[:, None, 0] - b[None, :, 0], a[:, None, 1] - b[None, :, 1])
        for k, j in np.argwhere(apart <= MARKED_FAR_MM).tolist():
            i, one = places[k]
            worth[i, j] = max(worth[i, j], _one_opening(one, new[j], float(apart[k, j])))
    return assigned(worth, 0.3)


def _one_opening(old: Placed, new: Placed, apart: float) -> float:
    turn = abs(
        (old.end[0] - old.start[0]) * (new.end[1] - new.start[1])
        - (old.end[1] - old.start[1]) * (new.end[0] - new.start[0])
    )
    lengths = old.opening.width_mm * new.opening.width_mm
    if lengths <= 0.0 or turn > 0.5 * lengths:
        return 0.0
    marked = bool(old.opening.mark) and old.opening.mark == new.opening.mark
    alike = old.opening.kind == new.opening.kind
    if apart > (MARKED_FAR_MM if marked and alike else OPENING_FAR_MM + abs(_wider(old, new)) / 2.0):
        return 0.0
    width = 1.0 - min(1.0, abs(_wider(old, new)) / max(old.opening.width_mm, new.opening.width_mm))
    return 0.3 + math.exp(-apart / OPENING_FAR_MM) + 0.5 * marked + 0.3 * alike + 0.2 * width


def _wider(old: Placed, new: Placed) -> float:
    return new.opening.width_mm - old.opening.width_mm


def replaced(value: Any, **fields: Any) -> Any:
    """The record with these fields."""
    return msgspec.structs.replace(value, **fields)
