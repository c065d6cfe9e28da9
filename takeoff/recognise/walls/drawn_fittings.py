"""Worktops, desks, beds, baths, and showers drawn along walls, told from walls by what lies beside them.

A wall parts two rooms, or a room from what is outside. What one room alone lies round, deeper than the plan's walls
and longer than a pier, with the face of the wall drawn on behind it, stands in that room: the plaster goes on behind
it, or ends at it, which nobody can tell from the lines, so that such a room is to be checked (common practice of
drawing, no source)."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.runs import components
from takeoff.plan.reasons import because
from takeoff.recognise.walls.bounding_lines import is_role
from takeoff.recognise.walls.enclosed_faces import BRIDGED, Faces
from takeoff.recognise.walls.room_spaces import Space, edge_lengths
from takeoff.recognise.walls.wall_reading import Reading

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

DEEP_MM, LONG_MM = 500.0, 1000.0
"""A worktop, a shower or a bed is so deep and so long; a pier is shorter, a casing less deep."""
DEEPER = 1.5
"""So many times as deep as the plan's walls are thick."""
LARGEST_MM2 = 8.0e6
TOUCH_MM = 20.0
"""What shares less of its border with a space does not lie beside it."""
IN_ROOM = 0.2
"""So much of its border lies along its room."""
AT_WALL = 0.04
"""So much of its border lies along walls; what stands free is told by other means."""
COLUMN_PART = 0.5
FULL, LONGEST_MM = 0.75, 4000.0
"""So much of it is that deep; what is no thicker than a wall and longer is one."""
FREE, WALL = -1, -2
WALL_MM, SLENDER, RECTANGLE = (60.0, 250.0), 2.5, 0.9
"""What is so thick and so slender is a short wall."""
CORE_MM, LEAF_MM = (150.0, 5000.0), 600.0
"""What is on average no thicker and longer round is the core of a wall; what is thinner than a wall and so long its
lining."""
SHELF_MM = (300.0, 800.0)
"""A shelf or a wardrobe from wall to wall is so deep (common practice, no source)."""
THING_MM, BESIDE = 700.0, 0.4
"""On average a worktop or a machine is no deeper, and so much of its border lies along its room (common practice, no
source)."""
WITHIN, ROUNDS = 0.6, 3
"""What has so much of its border beside a fitting is a part of it: a sink, a rim, a hob."""
WARE_MM2, BASIN_MM2, OUT_IN_ROOM = (0.08e6, 1.0e6), 2.5e6, 0.5
SHORT_MM, FEWEST_SHORT = 60.0, 8
"""A bent outline has so many lines that short."""
ROOM_MM2 = 6.0e6
AGREED = 0.005
FITTINGS = because("fittings")


class Fittings(NamedTuple):
    """``lines`` (n,): which of the reading's own lines draw fittings and nothing else; ``places``: a point in each of
    the fittings."""

    lines: Bools
    places: list[shapely.Point]


def fittings(reading: Reading) -> Fittings:
    """What stands along the walls of a reading's rooms; nothing where it has no rooms."""
    none = Fittings(np.zeros(len(reading.lines.xy), bool), [])
    of_space = _of_space(reading.faces, reading.spaces)
    between = reading.faces.body | (reading.faces.gap >= 0)
    if not reading.spaces or not (between.any() or any(s.polygon.area <= BASIN_MM2 for s in reading.spaces)):
        return none
    beside, curved = _beside(reading.faces), _curved(reading.faces)
    basins = [k for k, space in enumerate(reading.spaces) if _is_basin(space, beside, curved)]
    basins += [k for k, space in enumerate(reading.spaces) if _is_shelf(k, space, reading.faces, of_space, beside)]
    basin = np.isin(of_space[:-1], basins)
    things = [k for k, space in enumerate(reading.spaces) if _is_thing(k, space, of_space, beside)]
    closed = basin | np.isin(of_space[:-1], things)
    of_space[:-1][closed] = -1
    faces = reading.faces._replace(body=reading.faces.body | closed | _plain_gaps(reading))
    alone = _in_one_room(faces, of_space, beside)
    alone[_of_columns(reading)] = WALL
    if reading.wall_layers:
        # What layers say is wall, and looks like one, is one: what lies behind it is a duct.
        alone[[f for f in np.flatnonzero(alone != WALL).tolist() if _slender(faces.polygons[f])]] = WALL
    deep_mm = max(DEEP_MM, DEEPER * _thickness(reading))
    found = np.full(len(faces.polygons), -1)
    places = []
    for piece in _pieces(faces, alone):
        room = int(alone[piece].max())
        space = reading.spaces[room]
        if _printed(reading, space) or not _grows(space, float(faces.area[piece].sum())):
            continue
        if not basin[piece].any() and not _is_box(_shape(faces, piece, room, of_space, beside), deep_mm):
            piece = [f for f in piece if not _slender(faces.polygons[f])]
            if not piece or not _is_ware(_shape(faces, piece, room, of_space, beside), curved[piece]):
                continue
        found[piece] = room
        places += shapely.point_on_surface(faces.polygons[piece]).tolist()
    if not places:
        return none
    _with_parts(faces, found, of_space, beside)
    return Fittings(_lines_of(reading, found, of_space), places)


def with_fitting_doubts(spaces: list[Space], places: list[shapely.Point]) -> list[Space]:
    """The spaces, those to be checked that fittings were found in."""
    if not spaces or not places:
        return spaces
    _, holding = shapely.STRtree([s.polygon for s in spaces]).query(places, predicate="within")
    marked = set(holding.tolist())
    return [s._replace(joined=(*s.joined, FITTINGS)) if k in marked else s for k, s in enumerate(spaces)]


def _of_space(faces: Faces, spaces: list[Space]) -> Ints:
    """For each face the space that it is part of, -1 for none; the last entry is for what is outside."""
    of_space = np.full(len(faces.polygons) + 1, -1)
    for k, space in enumerate(spaces):
        of_space[list(space.faces)] = k
    return of_space


def _beside(faces: Faces) -> dict[int, dict[int, float]]:
    """For each face how long it lies along each other one (-1: outside)."""
    found: dict[int, dict[int, float]] = {}
    for a, b, d in zip(faces.left.tolist(), faces.right.tolist(), edge_lengths(faces).tolist(), strict=True):
        for own, other in ((a, b), (b, a)):
            if own >= 0 and own != other:
                row = found.setdefault(own, {})
                row[other] = row.get(other, 0.0) + d
    return found


def _in_one_room(faces: Faces, of_space: Ints, beside: dict[int, dict[int, float]]) -> Ints:
    """For each body of a wall the one space that lies beside it, ``FREE`` where no space does; ``WALL`` where several
    do or what is outside, or where it is as slender as a wall."""
    alone = np.full(len(faces.polygons), WALL)
    solid = np.append(faces.body | (faces.gap >= 0), False)
    for f in np.flatnonzero(faces.body & (of_space[:-1] < 0)).tolist():
        near = {int(of_space[g]) for g, d in beside.get(f, {}).items() if d >= TOUCH_MM and not solid[g]}
        if len(near) <= 1 and -1 not in near and not _short_wall(faces, f, of_space, beside):
            alone[f] = next(iter(near), FREE)
    return alone


def _short_wall(faces: Faces, f: int, of_space: Ints, beside: dict[int, dict[int, float]]) -> bool:
    """Whether a face is as thick and as slender as a wall, and a door or a window begins at it or it is longer than
    what stands in rooms."""
    thin, long = _sides(faces.polygons[f])
    outer = shapely.Polygon(faces.polygons[f].exterior)
    if float(outer.length) >= CORE_MM[1] and 2 * float(outer.area) <= CORE_MM[0] * float(outer.length):
        return True
    if thin < WALL_MM[0] and long >= LEAF_MM:
        return True
    if long >= LONGEST_MM and thin <= WALL_MM[1]:
        return True
    near = [g for g in beside.get(f, {}) if g >= 0 and of_space[g] < 0]
    return any(faces.gap[g] >= 0 and not faces.body[g] for g in near) and _slender(faces.polygons[f])


def _sides(polygon: shapely.Geometry) -> tuple[float, float]:
    """Short and long side in mm of the rectangle round a shape, 0 and 0 round a line."""
    xy = shapely.get_coordinates(shapely.oriented_envelope(polygon))
    if len(xy) < 5:
        return 0.0, 0.0
    thin, long = sorted(float(np.hypot(*(xy[k + 1] - xy[k]))) for k in (0, 1))
    return thin, long


def _slender(polygon: shapely.Geometry) -> bool:
    """Whether a shape is a rectangle as thick and as slender as a wall."""
    thin, long = _sides(polygon)
    full = float(polygon.area) >= RECTANGLE * thin * long
    return full and WALL_MM[0] <= thin <= WALL_MM[1] and long >= SLENDER * thin


def _of_columns(reading: Reading) -> Bools:
    """The faces that lines which layers say are columns' run round for the most part."""
    faces = reading.faces
    source = faces.graph.source
    known = (source >= 0) & (source < BRIDGED)
    column = np.zeros(len(source), bool)
    column[known] = is_role(reading.lines, "column")[source[known]]
    length, around = edge_lengths(faces), np.zeros(len(faces.polygons) + 1)
    for own in (faces.left, faces.right):
        np.add.at(around, own[column], length[column])
    return np.asarray(around[:-1] > COLUMN_PART * faces.perimeter)


def _plain_gaps(reading: Reading) -> Bools:
    """The faces of gaps that neither a door nor a window is drawn in: between two rims of one thing there are such."""
    plain = np.array([gap.kind == "open" for gap in reading.gaps] + [False])
    return np.asarray(plain[reading.faces.gap])


def _thickness(reading: Reading) -> float:
    """The middle thickness in mm of the walls that gaps were found in, 0 without any."""
    thick = [g.bridge.thickness_mm for g in reading.gaps if g.bridge.thickness_mm > 0 and g.kind != "open"]
    return float(np.median(thick)) if thick else 0.0


def _pieces(faces: Faces, alone: Ints) -> list[list[int]]:
    """The faces with the same one room beside them, put together where they touch, each with those that lie between
    them."""
    left, right = faces.left, faces.right
    both = (left >= 0) & (right >= 0)
    one, other = np.where(both, alone[left], WALL), np.where(both, alone[right], WALL)
    same = (one != WALL) & (other != WALL) & ((one == other) | (one == FREE) | (other == FREE))
    group = components(len(alone), left[same], right[same])
    own = np.flatnonzero(alone != WALL)
    pieces = [own[group[own] == g] for g in np.unique(group[own]).tolist()]
    return [p.tolist() for p in pieces if len(np.unique(alone[p][alone[p] >= 0])) == 1]


class _Shape(NamedTuple):
    """What faces cover together, and which parts of their border (0 to 1) lie along their room and along walls."""

    whole: shapely.Geometry
    room: float
    wall: float


def _shape(faces: Faces, piece: list[int], room: int, of_space: Ints, beside: dict[int, dict[int, float]]) -> _Shape:
    own = set(piece)
    rim = room_mm = wall_mm = 0.0
    for f in piece:
        for g, d in beside[f].items():
            if g not in own:
                rim += d
                room_mm += d if g >= 0 and of_space[g] == room else 0.0
                wall_mm += d if g >= 0 and of_space[g] < 0 else 0.0
    return _Shape(
        shapely.union_all(shapely.make_valid(faces.polygons[piece])), room_mm / max(rim, 1.0), wall_mm / max(rim, 1.0)
    )


def _is_box(shape: _Shape, deep_mm: float) -> bool:
    """Whether a shape is nearly everywhere as deep as a worktop or a bed, as long, and stands at a wall."""
    whole, area = shape.whole, float(shape.whole.area)
    if area > LARGEST_MM2 or shape.room < IN_ROOM or shape.wall < AT_WALL:
        return False
    _, long = _sides(whole)
    inner = shapely.buffer(whole, -deep_mm / 2 + 1.0, join_style="mitre")
    deep = shapely.buffer(inner, deep_mm / 2, join_style="mitre").intersection(whole)
    return long >= LONG_MM and float(deep.area) >= FULL * area


def _is_ware(shape: _Shape, short: Ints) -> bool:
    """Whether a shape is small and bent and stands out into its room, as a closet or a basin does."""
    area = float(shape.whole.area)
    return (
        WARE_MM2[0] <= area <= WARE_MM2[1]
        and int(short.sum()) >= FEWEST_SHORT
        and shape.room >= OUT_IN_ROOM
        and shape.wall > 0.0
    )


def _curved(faces: Faces) -> Ints:
    """For each face how many of the lines round it are as short as those of bent outlines; the last entry is for
    what is outside."""
    short = edge_lengths(faces) < SHORT_MM
    count = np.zeros(len(faces.polygons) + 1, np.int64)
    for own in (faces.left, faces.right):
        np.add.at(count, own[short], 1)
    return count


def _is_basin(space: Space, beside: dict[int, dict[int, float]], curved: Ints) -> bool:
    """Whether a space is the inside of a bath: small and bent, with its rim all round it and nothing written in it."""
    if space.words or space.doors or space.doubtful_gaps or float(space.polygon.area) > BASIN_MM2:
        return False
    own = set(space.faces)
    around = {g for f in own for g in beside[f] if g not in own}
    return len(around - {-1}) >= 1 and -1 not in around and int(curved[list(own)].sum()) >= FEWEST_SHORT


def _is_shelf(k: int, space: Space, faces: Faces, of_space: Ints, beside: dict[int, dict[int, float]]) -> bool:
    """Whether a space is what a line from wall to wall cuts off at the end of a room, as deep as a shelf or a wardrobe:
    walls round its other sides, no way in and nothing written in it."""
    if space.words or space.doors or space.doubtful_gaps:
        return False
    thin, long = _sides(space.polygon)
    if not SHELF_MM[0] <= thin <= SHELF_MM[1] or float(space.polygon.area) < RECTANGLE * thin * long:
        return False
    along: dict[int, float] = {}
    for f in space.faces:
        for g, d in beside[f].items():
            if g < 0 or (of_space[g] < 0 and not faces.body[g]):
                return False
            if of_space[g] >= 0 and of_space[g] != k:
                along[int(of_space[g])] = along.get(int(of_space[g]), 0.0) + d
    return len(along) == 1 and RECTANGLE * long <= sum(along.values()) <= long / RECTANGLE


def _is_thing(k: int, space: Space, of_space: Ints, beside: dict[int, dict[int, float]]) -> bool:
    """Whether a space may be what stands in the one room that lies beside a good part of its border, drawn deeper than
    walls are: no deeper than a worktop, without a word or a way in."""
    if space.words or space.doors or space.doubtful_gaps or float(space.polygon.area) > LARGEST_MM2:
        return False
    rim = float(space.polygon.length)
    along: dict[int, float] = {}
    for f in space.faces:
        for g, d in beside[f].items():
            if g < 0:
                return False
            if of_space[g] >= 0 and of_space[g] != k:
                along[int(of_space[g])] = along.get(int(of_space[g]), 0.0) + d
    return 2 * float(space.polygon.area) <= THING_MM * rim and len(along) == 1 and sum(along.values()) >= BESIDE * rim


def _grows(space: Space, by_mm2: float) -> bool:
    """Whether a space may grow by so much: one without a word or a way in, and smaller than a room, grows to none by
    what stands beside it."""
    area = float(space.polygon.area)
    proven = bool(space.words or space.doors or space.doubtful_gaps)
    return proven or area >= ROOM_MM2 or area + by_mm2 < ROOM_MM2


def _printed(reading: Reading, space: Space) -> bool:
    """Whether the area that is printed in a space is its own already."""
    area_m2 = float(space.polygon.area) / 1e6
    printed = [reading.words[w].words for w in space.words if reading.words[w].words.kind == "area"]
    return any(abs(p.value - area_m2) <= max(p.rounding, AGREED * area_m2) for p in printed)


def _with_parts(faces: Faces, found: Ints, of_space: Ints, beside: dict[int, dict[int, float]]) -> None:
    """Adds to the fittings what lies within them, in place."""
    for _ in range(ROUNDS):
        more: dict[int, int] = {}
        for f in {g for own in np.flatnonzero(found >= 0).tolist() for g in beside[own] if g >= 0}:
            if found[f] >= 0 or of_space[f] >= 0 or not faces.body[f]:
                continue
            row = beside[f]
            rim = sum(row.values())
            rooms = [int(found[g]) for g in row if g >= 0 and found[g] >= 0]
            inner = sum(d for g, d in row.items() if g >= 0 and found[g] >= 0)
            strange = sum(d for g, d in row.items() if g < 0 or (of_space[g] >= 0 and of_space[g] != rooms[0]))
            if inner >= WITHIN * rim and strange < TOUCH_MM:
                more[f] = rooms[0]
        for f, room in more.items():
            found[f] = room


def _lines_of(reading: Reading, found: Ints, of_space: Ints) -> Bools:
    """The reading's lines all of whose pieces lie between a fitting and its room or within fittings."""
    faces = reading.faces
    source = faces.graph.source
    drawn = (source >= 0) & (source < BRIDGED)
    fitted = np.append(found, -1)
    room = np.where(fitted >= 0, fitted, of_space)
    left, right = faces.left, faces.right
    inner = (room[left] >= 0) & (room[left] == room[right])
    rim = inner & ((fitted[left] >= 0) | (fitted[right] >= 0))
    count = len(reading.lines.xy)
    all_of, own, rims = (np.bincount(source[drawn & k], minlength=count) for k in (np.ones_like(inner), inner, rim))
    return np.asarray((rims > 0) & (own == all_of))
