"""Stairs that are drawn in rooms: where their treads lie, and which rooms of two storeys are one well."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from msgspec.structs import replace
from numpy.typing import NDArray

from takeoff.geometry.rings import ring_curves
from takeoff.plan.model import Job, Ring, Room, Stair, Storey
from takeoff.plan.shape import sound_polygon
from takeoff.plan.storeys_above import next_above, stair_of, stair_over
from takeoff.recognise.walls.bounding_lines import Lines, is_role, tangled
from takeoff.recognise.walls.drawn_stairs import flights
from takeoff.recognise.walls.layer_roles import Role

Floats = NDArray[np.float64]

AT_WALL_MM = 60.0
"""Treads reach the walls, and a little into them."""
UNSAID: tuple[Role, ...] = ("unknown", "ceiling", "floor")
WIDE_MM, MOST_WIDE_MM, FEWEST = 600.0, 1600.0, 6
"""On a layer that does not say so, treads are as wide as flights of dwellings, and at least so many: tiles
and boards are drawn alike (common practice, no source)."""
LEAST_M2 = 0.8
"""A stair takes at least so much ground."""


def with_stairs(job: Job, lines: Lines) -> Job:
    """The job whose rooms know the stairs drawn in them. A ceiling over which a room with a stair lies too is
    not coated; the last storey of a well says nothing of its ceiling, which its stair does not pass."""
    told, unsaid = _treads(lines, True), _treads(lines, False)
    if not len(told) and not len(unsaid):
        return as_wells(job)
    storeys = []
    for storey in job.storeys:
        rooms = tuple(_with_stair(room, told, unsaid) for room in storey.rooms)
        storeys.append(replace(storey, rooms=rooms))
    return as_wells(replace(job, storeys=tuple(storeys)))


def as_wells(job: Job) -> Job:
    """The job in which rooms with stairs that lie over one another are wells: what is below is not coated."""
    over = {
        (storey.id, room.id): above.id
        for storey in job.storeys
        for room in storey.rooms
        if (above := stair_over(job, storey, room)) is not None
    }
    reached = set(over.values())

    def settled(storey: Storey, room: Room) -> Room:
        stair = stair_of(room)
        if stair is None or stair.answer:
            return room
        if (storey.id, room.id) in over:
            bare = replace(room.ceiling_treatment, coat=False)
            made = replace(room, stair=replace(stair, well=True), ceiling_treatment=bare)
            return room if made == room else made
        if room.id in reached and next_above(job, storey) is None:
            return replace(room, stair=None)
        return room

    def in_storey(storey: Storey) -> Storey:
        rooms = tuple(settled(storey, room) for room in storey.rooms)
        same = all(a is b for a, b in zip(rooms, storey.rooms, strict=True))
        return storey if same else replace(storey, rooms=rooms)

    return replace(job, storeys=tuple(in_storey(storey) for storey in job.storeys))


def _treads(lines: Lines, said: bool) -> Floats:
    """The lines (n, 4) on layers of stairs, or on those that say nothing, in the drawing's own place."""
    chosen = ~lines.hidden & ~lines.hatch & (lines.arc < 0)
    chosen &= is_role(lines, "stair") if said else is_role(lines, *UNSAID)
    xy = lines.xy[chosen]
    if not said:
        length = np.hypot(*(xy[:, 2:] - xy[:, :2]).T)
        xy = xy[(length >= WIDE_MM) & (length <= MOST_WIDE_MM)]
    x, y = lines.origin
    return np.asarray(xy + np.array([x, y, x, y]))


def _with_stair(room: Room, told: Floats, unsaid: Floats) -> Room:
    shape = sound_polygon(room)
    for xy, fewest in ((told, 0), (unsaid, FEWEST)):
        outline = _stair_in(shape, xy, fewest)
        if outline:
            return replace(room, stair=Stair(outline=outline))
    return room


def _stair_in(shape: shapely.Polygon, xy: Floats, fewest: int) -> Ring:
    """The outline of the flights in a room, clipped to it; () without any."""
    if not len(xy) or not shape.area:
        return ()
    drawn = shapely.linestrings(xy.reshape(-1, 2, 2))
    own = xy[shapely.covered_by(drawn, shape.buffer(AT_WALL_MM, join_style="mitre"))]
    if not len(own) or tangled(own):
        return ()
    parts = [part.intersection(shape) for part in _flights_of(own, fewest)]
    whole = shapely.union_all(parts) if parts else shapely.Polygon()
    if whole.geom_type != "Polygon":
        whole = whole.convex_hull.intersection(shape)
    if whole.geom_type != "Polygon" or whole.area < LEAST_M2 * 1e6:
        return ()
    ring = shapely.orient_polygons(shapely.Polygon(whole.simplify(1.0).exterior))
    outline = tuple((float(x), float(y), 0.0) for x, y in shapely.get_coordinates(ring)[:-1])
    return outline if ring_curves(outline) else ()


def _flights_of(xy: Floats, fewest: int) -> Iterator[shapely.Polygon]:
    flight = flights(xy)
    for number in np.unique(flight[flight >= 0]).tolist():
        own = xy[flight == number]
        if len(np.unique(np.round(own), axis=0)) >= fewest:
            yield shapely.MultiLineString(list(own.reshape(-1, 2, 2))).minimum_rotated_rectangle
