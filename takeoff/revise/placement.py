"""How the storey of a new drawing lies over one of the job's: turned, shifted, mirrored, and how many rooms fit then.

Walls propose how it may lie (``recognise.laid_over``); corners that lie over corners set it down to the mm; rooms that
lie over rooms, their names and openings decide among the ways, since a plan of right angles lies over itself in many.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.curves import Point
from takeoff.geometry.poses import Pose
from takeoff.plan.edits.drawing_edits import moved_storey, pose_of
from takeoff.plan.model import Laid, Room, Storey
from takeoff.plan.shape import curves_by_id, outer_polygon
from takeoff.recognise.laid_over import laid_by_points, share_as_laid, ways_to_lie
from takeoff.revise.mirrored import mirrored

Floats = NDArray[np.float64]

NEAR_BEST = 0.8
"""Ways to lie that lay so much of the best one's walls over walls are looked at."""
LOOKED_AT = 8
VERY_SAME = 0.97
"""A drawing that lies so nearly where the job does, by rooms, names, openings and walls, is not turned about."""
REACHES_MM = (150.0, 60.0, 20.0, 5.0, 2.0)
"""Corners over corners are sought within these, one after another: what was moved on purpose falls out."""
CLICKED_MM = (30.0, 5.0, 2.0)
"""The same where somebody has shown two places: no farther than a click goes astray."""
FITS_IOU = 0.5
"""A room fits where it shares so much of its ground with one of the job's (intersection over union)."""
UNNAMED_IOU = 0.9
"""Rooms of other names fit only where they are the same room."""
STRAIGHT_DEG = 1e-5
STILL_MM = 0.01
OPENING_MM = 100.0
NAME_WORTH, OPENING_WORTH, WALLS_WORTH, AS_DRAWN_WORTH, UNMIRRORED_WORTH = 0.3, 0.3, 1.0, 0.01, 0.02


class Placement(NamedTuple):
    """How a new storey lies over one of the job's: mirrored first (``mirror``), then laid. ``walls``: which part of
    the walls lie over walls; ``rooms``: which part of the job's rooms are there again; ``worth``: by which the best
    is chosen. ``storey``: the new storey as it lies then."""

    laid: Laid
    mirror: bool
    walls: float
    rooms: float
    worth: float
    storey: Storey


def place(old: Storey, new: Storey) -> Placement | None:
    """The best way in which a new storey lies over one of the job's; None where either has no walls."""
    against = _Against(old)
    near = _set_down(_corners(old.rooms), _corners(new.rooms), Laid())
    as_drawn = against.placed(near, False, 1.0, new)
    if as_drawn.rooms >= VERY_SAME and as_drawn.worth >= VERY_SAME * against.most:
        return as_drawn._replace(walls=share_as_laid((old,), (as_drawn.storey,)))
    ways = []
    for mirror in (False, True):
        drawn = mirrored(new) if mirror else new
        ways += [(fit, mirror, drawn) for fit in ways_to_lie(old, drawn)]
    if not ways:
        return None
    best = max(fit.share for fit, _, _ in ways)
    ways = sorted((way for way in ways if way[0].share >= NEAR_BEST * best), key=lambda way: -way[0].share)
    corners = _corners(old.rooms)
    found: list[Placement] = []
    for fit, mirror, drawn in ways[: 2 * LOOKED_AT]:
        laid = _set_down(corners, _corners(drawn.rooms), fit.laid)
        if any(p.mirror == mirror and _alike(p.laid, laid) for p in found):
            continue
        found.append(against.placed(laid, mirror, fit.share, drawn))
    return max(found, key=lambda placement: placement.worth)


def place_as(old: Storey, new: Storey, laid: Laid, mirror: bool = False) -> Placement:
    """A new storey that lies as somebody has shown."""
    drawn = mirrored(new) if mirror else new
    return _Against(old).placed(laid, mirror, 1.0, drawn)


def place_by_points(old: Storey, new: Storey, here: tuple[Point, Point], there: tuple[Point, Point]) -> Placement:
    """A new storey with two places ``here``, in its own mm, on two places ``there`` of the job's; mirrored where it
    fits better so. Raises InputError where the two lie too near to each other, or not as far apart on both."""
    against, corners = _Against(old), _corners(old.rooms)
    ways = []
    for mirror in (False, True):
        drawn = mirrored(new) if mirror else new
        (ax, ay), (bx, by) = ((-x if mirror else x, y) for x, y in here)
        laid = laid_by_points(((ax, ay), (bx, by)), there)
        ways.append(against.placed(_set_down(corners, _corners(drawn.rooms), laid, CLICKED_MM), mirror, 1.0, drawn))
    best = max(ways, key=lambda way: way.worth)
    return best._replace(walls=share_as_laid((old,), (best.storey,)))


def own_place(laid: Laid, mirror: bool, at: Point) -> Point:
    """The place in a storey's own mm that lies at a place of the job."""
    turn = math.radians(laid.turn_deg)
    x, y = at[0] - laid.dx_mm, at[1] - laid.dy_mm
    own = x * math.cos(turn) + y * math.sin(turn), y * math.cos(turn) - x * math.sin(turn)
    return (-own[0], own[1]) if mirror else own


def fits(mine: Room, theirs: Room, iou: float) -> bool:
    """Whether two rooms that share so much of their ground are one: in the same place by the same name, or the very
    same place."""
    if iou < FITS_IOU:
        return False
    return iou >= UNNAMED_IOU or not mine.name or not theirs.name or same_name(mine, theirs)


def same_name(one: Room, other: Room) -> bool:
    """Whether two rooms are called the same; those without a name are not."""
    names = {_plain(one.name), _plain(other.name)}
    if len(names) == 1 and "" not in names:
        return True
    return bool(one.number) and one.number == other.number and not all(names)


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())


class _Against:
    """The rooms and openings of the job's storey, ready to be compared with."""

    def __init__(self, old: Storey) -> None:
        self.rooms = old.rooms
        self.polygons = np.array([outer_polygon(room) for room in old.rooms], dtype=object)
        self.tree = shapely.STRtree(self.polygons)
        self.openings = opening_places(old)
        named = sum(bool(room.name) for room in old.rooms) / max(len(old.rooms), 1)
        # of what a storey can be worth that lies over itself; of names and openings no more than it has
        self.most = 1.0 + NAME_WORTH * named + OPENING_WORTH * bool(len(self.openings)) + WALLS_WORTH

    def placed(self, laid: Laid, mirror: bool, walls: float, drawn: Storey) -> Placement:
        pose: Pose = pose_of(laid)
        storey = moved_storey(drawn, pose)
        fitting, worth = self._rooms(storey.rooms)
        worth += OPENING_WORTH * self._openings(storey) + WALLS_WORTH * walls
        worth += AS_DRAWN_WORTH * (laid == Laid()) + UNMIRRORED_WORTH * (not mirror)
        share = fitting / len(self.rooms) if self.rooms else 0.0
        return Placement(laid, mirror, walls, share, worth, storey)

    def _rooms(self, rooms: Iterable[Room]) -> tuple[int, float]:
        """(how many of the job's rooms are there again, how well all lie over them, 0 to 1.3)"""
        fitting: set[int] = set()
        worth = 0.0
        for room in rooms:
            shape = outer_polygon(room)
            best, value = None, 0.0
            for k in self.tree.query(shape).tolist():
                other = self.polygons[k]
                shared = shape.intersection(other).area
                iou = shared / (shape.area + other.area - shared) if shared > 0.0 else 0.0
                own = iou + NAME_WORTH * (iou > 0.0 and same_name(room, self.rooms[k]))
                if own > value:
                    value = own
                    best = k if fits(self.rooms[k], room, iou) else None
            worth += value
            if best is not None:
                fitting.add(best)
        return len(fitting), worth / max(len(self.rooms), 1)

    def _openings(self, storey: Storey) -> float:
        places = opening_places(storey)
        if not len(places) or not len(self.openings):
            return 0.0
        near, _ = _tree(self.openings).query(places, distance_upper_bound=OPENING_MM)
        return float(np.isfinite(near).mean())


def opening_places(storey: Storey) -> Floats:
    """The middles in plan of a storey's openings (n, 2)."""
    curves = {(room.id, side): curve for room in storey.rooms for side, curve in curves_by_id(room).items()}
    found = []
    for opening in storey.openings:
        curve = curves.get((opening.room, opening.side))
        if curve is not None:
            found.append(curve.at(opening.offset_mm + opening.width_mm / 2.0))
    return np.array(found, dtype=float).reshape(-1, 2)


def _corners(rooms: Iterable[Room]) -> Floats:
    found = [(side.x_mm, side.y_mm) for room in rooms for side in room.sides]
    return np.unique(np.array(found, dtype=float).reshape(-1, 2), axis=0)


def _set_down(old: Floats, new: Floats, laid: Laid, reaches: Sequence[float] = REACHES_MM) -> Laid:
    """A way to lie made exact, by the corners that lie over corners; as it was where there are too few."""
    turn = math.radians(laid.turn_deg)
    shift = np.array([laid.dx_mm, laid.dy_mm])
    tree = _tree(old)
    for reach in reaches:
        moved = new @ _matrix(turn).T + shift
        near, index = tree.query(moved, distance_upper_bound=reach)
        hit = np.isfinite(near)
        if hit.sum() < 3:
            continue
        mine, theirs = new[hit], old[index[hit]]
        a, b = mine - mine.mean(axis=0), theirs - theirs.mean(axis=0)
        turn = math.atan2(float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum()), float((a * b).sum()))
        turn = _quarters(turn)
        shift = theirs.mean(axis=0) - mine.mean(axis=0) @ _matrix(turn).T
    found = Laid(turn_deg=math.degrees(turn), dx_mm=float(shift[0]), dy_mm=float(shift[1]))
    return Laid() if _alike(found, Laid()) else found


def _quarters(turn: float) -> float:
    quarter = round(turn / (math.pi / 2.0)) * (math.pi / 2.0)
    return 0.0 + quarter if abs(math.degrees(turn - quarter)) < STRAIGHT_DEG else turn


def _matrix(turn: float) -> Floats:
    cos, sin = math.cos(turn), math.sin(turn)
    return np.array([[cos, -sin], [sin, cos]])


def _alike(one: Laid, other: Laid) -> bool:
    turn = abs((one.turn_deg - other.turn_deg + 180.0) % 360.0 - 180.0)
    return turn < STRAIGHT_DEG and max(abs(one.dx_mm - other.dx_mm), abs(one.dy_mm - other.dy_mm)) < STILL_MM


def _tree(points: Floats) -> Any:
    from scipy.spatial import cKDTree  # takes long to load, and the window stands without it

    return cKDTree(points)
