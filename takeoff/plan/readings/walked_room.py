"""A room, its ceiling and its openings from readings, and which opening of the storey one that was read is."""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec

from takeoff.errors import InputError
from takeoff.geometry.adjustment import Point
from takeoff.geometry.planes import Height, Through, planes_through
from takeoff.language import tr
from takeoff.plan.edits.lookup import all_openings, fresh_id, room_place
from takeoff.plan.edits.storey_edits import add_storey
from takeoff.plan.job_drawings import drawing_to_trace
from takeoff.plan.model import (
    Field,
    Job,
    Join,
    Opening,
    OpeningId,
    Readings,
    ReadOpening,
    Reveal,
    Room,
    RoomId,
    Side,
    SideId,
    Source,
    Storey,
    StoreyId,
    Strip,
)
from takeoff.plan.readings.walked_outline import Outline, length_of, side_ids, way_round
from takeoff.plan.usual_sizes import DOOR_HEAD_MM, WINDOW_HEAD_MM, WINDOW_REVEAL_MM, WINDOW_SILL_MM

replace = msgspec.structs.replace

APART_MM = 1000.0
"""A new room is put down this far to the right of all others."""


def with_some_storey(job: Job, storey_id: StoreyId | None) -> tuple[Job, Storey]:
    """The storey of that id; without an id the first, made where the job has none."""
    if storey_id is None and not job.storeys:
        job = add_storey(job, Storey(id=StoreyId("ground"), name=tr("Ground floor"), drawing=drawing_to_trace(job)))
    for storey in job.storeys:
        if storey_id is None or storey.id == storey_id:
            return job, storey
    raise InputError(tr("The job has no storey “{name}”: select one that it has.", name=storey_id))


def add_openings(job: Job, room_id: RoomId, openings: Sequence[Opening]) -> Job:
    """The job with these openings on the storey of that room; ids that are taken get a number."""
    s, _ = room_place(job, room_id)
    taken = [str(opening.id) for opening in all_openings(job)]
    made = []
    for opening in openings:
        name = str(opening.id) if opening.id not in taken else fresh_id(taken, str(opening.id))
        taken.append(name)
        made.append(replace(opening, id=OpeningId(name)))
    storey = replace(job.storeys[s], openings=(*job.storeys[s].openings, *made))
    return replace(job, storeys=(*job.storeys[:s], storey, *job.storeys[s + 1 :]))


def room_of_points(room_id: RoomId, name: str, readings: Readings, points: Sequence[Point], outline: Outline) -> Room:
    """The room of readings whose corners stand at ``points``, anticlockwise whichever way it was walked."""
    sources: list[Source] = [
        "site" if length_of(side) is not None or not outline.rest_on_about else "assumed" for side in readings.sides
    ]
    return Room(
        id=room_id,
        name=name,
        outline=ring(points, sources, way_round(readings.sides), side_ids(readings.sides)),
        ceiling=ceiling_of(readings, points),
        readings=readings,
    )


def ring(points: Sequence[Point], sources: Sequence[Source], way: int, names: Sequence[SideId]) -> tuple[Side, ...]:
    """Sides in the order walked, as a ring anticlockwise."""
    count = len(points)
    if way > 0:
        return tuple(Side(id=names[k], x_mm=x, y_mm=y, source=sources[k]) for k, (x, y) in enumerate(points))
    # walked clockwise, side k of the walk starts, in the ring, where it ended in the walk
    order = range(count - 1, -1, -1)
    return tuple(
        Side(id=names[k], x_mm=points[(k + 1) % count][0], y_mm=points[(k + 1) % count][1], source=sources[k])
        for k in order
    )


class CeilingProposal(msgspec.Struct, frozen=True):
    """Planes for the heights (the lowest counts). ``off_mm``: the largest difference to a reading;
    ``words`` says what was made of them; ``sure``: nothing else fits as well."""

    field: Field
    off_mm: float
    words: str
    sure: bool = True

    @property
    def is_flat(self) -> bool:
        """Whether it is one level plane."""
        return len(self.field.planes) == 1 and not self.field.planes[0].slope_x and not self.field.planes[0].slope_y


def ceiling_from_heights(corners: Sequence[Height], middle: Height | None = None) -> CeilingProposal | None:
    """The ceiling of the fewest planes through the heights, as ``planes_through`` finds it; to be looked at where
    it misses one by more than 10 mm, and where another ceiling would do as well. None for no heights.

    ``corners`` in the order of the outline.
    """
    if not corners and middle is None:
        return None
    through = planes_through(corners, middle)
    return CeilingProposal(
        Field(planes=through.planes, source="site"),
        through.worst_mm,
        _ceiling_words(through),
        through.only and through.fits,
    )


def _ceiling_words(through: Through) -> str:
    count = len(through.planes)
    if count > 1:
        return tr("two slopes") if count == 2 else tr("{count} slopes", count=count)
    plane = through.planes[0]
    return tr("one slope") if plane.slope_x or plane.slope_y else tr("flat")


def ceiling_of(readings: Readings, points: Sequence[Point]) -> Field | None:
    """The ceiling that the heights propose; None where none was read."""
    found = ceiling_proposed(readings, points)
    return found.field if found else None


def ceiling_proposed(readings: Readings, points: Sequence[Point]) -> CeilingProposal | None:
    """What the heights make of the ceiling over these corners, in the order walked; None for no heights.
    The height in the middle is that over the mean of all corners."""
    corners = [
        Height(*points[k], side.height_mm) for k, side in enumerate(readings.sides) if side.height_mm is not None
    ]
    middle = (sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points))
    return ceiling_from_heights(
        corners, Height(*middle, readings.middle_mm) if readings.middle_mm is not None else None
    )


class Placed(msgspec.Struct, frozen=True):
    """An opening that was read, and which one of which side it is, from 0."""

    side: SideId
    number: int
    opening: Opening


def openings_of(room_id: RoomId, readings: Readings, room: Room) -> tuple[Placed, ...]:
    """The openings that were read, on the sides of the room's ring."""
    way, found = way_round(readings.sides), []
    lengths = {
        side.id: math.dist((side.x_mm, side.y_mm), (after.x_mm, after.y_mm))
        for side, after in zip(room.outline, (*room.outline[1:], room.outline[0]), strict=True)
    }
    for side_id, side in zip(side_ids(readings.sides), readings.sides, strict=True):
        for number, read in enumerate(side.openings):
            offset = read.from_mm if way > 0 else lengths[side_id] - read.to_mm
            name = OpeningId(f"{room_id}-{side_id.removeprefix('s')}.{number + 1}")
            found.append(Placed(side_id, number, opening_of_reading(name, room_id, side_id, offset, read)))
    return tuple(found)


def opening_of_reading(
    opening_id: OpeningId, room_id: RoomId, side_id: SideId, offset_mm: float, read: ReadOpening,
    source: Source = "site",
) -> Opening:  # fmt: skip
    """The opening; what was not read is assumed and says so."""
    window = read.kind == "window"
    sill = read.sill_mm if read.sill_mm is not None else WINDOW_SILL_MM if window else 0.0
    head = read.head_mm if read.head_mm is not None else WINDOW_HEAD_MM if window else DOOR_HEAD_MM
    depth = read.reveal_mm if read.reveal_mm is not None else WINDOW_REVEAL_MM if window else 0.0
    strip = Strip(depth_mm=depth, depth_source=source if read.reveal_mm is not None else "assumed")
    return Opening(
        id=opening_id, kind=read.kind, room=room_id, side=side_id, offset_mm=offset_mm,
        width_mm=read.to_mm - read.from_mm, sill_mm=sill, head_mm=head,
        reveal=Reveal(start=strip, end=strip, head=strip, sill=replace(strip, coat=False)),
        width_source=source, sill_source=source if read.sill_mm is not None else "assumed",
        head_source=source if read.head_mm is not None else "assumed",
    )  # fmt: skip


def place(points: Sequence[Point], x: float, y: float, deg: float) -> tuple[Point, ...]:
    """The points turned about the first one, which goes to (x, y)."""
    cos, sin = math.cos(math.radians(deg)), math.sin(math.radians(deg))
    return tuple((x + px * cos - py * sin, y + px * sin + py * cos) for px, py in points)


def right_of(storey: Storey, points: Sequence[Point]) -> tuple[float, float]:
    """Where the first point goes so that all stand to the right of the storey's rooms."""
    left, low = min(x for x, _ in points), min(y for _, y in points)
    corners = [(side.x_mm, side.y_mm) for room in storey.rooms for side in room.outline]
    if not corners:
        return -left, -low
    return max(x for x, _ in corners) + APART_MM - left, min(y for _, y in corners) - low


def standing(old: Room, points: Sequence[Point]) -> tuple[Point, ...]:
    """The points where the old room stands: along its first side as it was read, else at the lower
    left of its outline."""
    where = walked_start(old)
    if where is None:
        left, low = min(s.x_mm for s in old.outline), min(s.y_mm for s in old.outline)
        shift = min(x for x, _ in points), min(y for _, y in points)
        return place(points, left - shift[0], low - shift[1], 0.0)
    return place(points, *where)


def walked_corners(room: Room) -> tuple[Point, ...] | None:
    """A room's corners as they stand, in the order in which its readings were walked; None for a room
    without readings, and for one whose sides are others by now."""
    if room.readings is None:
        return None
    names = side_ids(room.readings.sides)
    starts = {side.id: k for k, side in enumerate(room.outline)}
    if set(starts) != set(names):
        return None
    back = way_round(room.readings.sides) < 0
    indices = [(starts[name] + (1 if back else 0)) % len(names) for name in names]
    return tuple((room.outline[k].x_mm, room.outline[k].y_mm) for k in indices)


CHANGED_MM = 1.0
"""Corners that are further from each other by more than what readings give were moved since."""


def stands_as_read(room: Room, outline: Outline) -> bool:
    """Whether a room has the outline that its readings give, wherever it stands; not where somebody has
    moved a wall since."""
    corners, points = walked_corners(room), outline.points
    if corners is None or len(corners) != len(points):
        return False
    pairs = ((i, k) for i in range(len(points)) for k in range(i))
    return all(abs(math.dist(corners[i], corners[k]) - math.dist(points[i], points[k])) <= CHANGED_MM for i, k in pairs)


def walked_start(room: Room) -> tuple[float, float, float] | None:
    """(x, y, direction in degrees) of a room's first side as it was walked; None without readings."""
    if room.readings is None:
        return None
    first = side_ids(room.readings.sides)[0]
    index = next((k for k, side in enumerate(room.outline) if side.id == first), None)
    if index is None:
        return None
    here, after = room.outline[index], room.outline[(index + 1) % len(room.outline)]
    if way_round(room.readings.sides) < 0:
        here, after = after, here
    return here.x_mm, here.y_mm, math.degrees(math.atan2(after.y_mm - here.y_mm, after.x_mm - here.x_mm))


SAME_PLACE_MM = 100.0
"""An opening that stands this near to where it was read is the one that was read: it may have been moved
a little since (common practice, no source)."""

SideLine = tuple[Side, Point, Point, Point]


def label(room: Room) -> str:
    """What a room is called: its name, else its id."""
    return room.name or str(room.id)


def side_line(room: Room, side_id: SideId) -> SideLine:
    """(side, start, end, outward direction) of a side as it stands now. Raises InputError without one."""
    index = next((k for k, side in enumerate(room.outline) if side.id == side_id), None)
    if index is None:
        raise InputError(tr("{room} has no wall {side}: select one that it has.", room=label(room), side=side_id))
    side, after = room.outline[index], room.outline[(index + 1) % len(room.outline)]
    start, end = (side.x_mm, side.y_mm), (after.x_mm, after.y_mm)
    length = math.dist(start, end)
    return side, start, end, ((end[1] - start[1]) / length, -(end[0] - start[0]) / length)


def from_to(room: Room, side_id: SideId, number: int, length_mm: float) -> tuple[float, float]:
    """Where an opening was read to begin and end along its side in the ring, mm. Raises InputError where
    none was read."""
    read = _read(room, side_id, number)
    if read is None or room.readings is None:
        raise InputError(
            tr(
                "{room} has no surveyed opening {number} in wall {side}: select one that it has.",
                room=label(room),
                number=number + 1,
                side=side_id,
            )
        )
    if way_round(room.readings.sides) > 0:
        return read.from_mm, read.to_mm
    return length_mm - read.to_mm, length_mm - read.from_mm


def _read(room: Room, side_id: SideId, number: int) -> ReadOpening | None:
    if room.readings is None:
        return None
    sides = dict(zip(side_ids(room.readings.sides), room.readings.sides, strict=True))
    openings = sides[side_id].openings if side_id in sides else ()
    return openings[number] if 0 <= number < len(openings) else None


def opening_read(storey: Storey, room_id: RoomId, side_id: SideId, number: int) -> Opening | None:
    """The room's own opening that stands where one was read; None where none does, or nothing was read."""
    room = next((room for room in storey.rooms if room.id == room_id), None)
    if room is None or _read(room, side_id, number) is None or all(s.id != side_id for s in room.outline):
        return None
    _, start, end, _ = side_line(room, side_id)
    first, last = from_to(room, side_id, number, math.dist(start, end))
    own = [o for o in storey.openings if o.room == room_id and o.side == side_id]
    middle = (first + last) / 2.0
    near = min(own, key=lambda o: abs(o.offset_mm + o.width_mm / 2.0 - middle), default=None)
    if near is None or abs(near.offset_mm + near.width_mm / 2.0 - middle) > SAME_PLACE_MM:
        return None
    return near


def host_opening(storey: Storey, join: Join) -> Opening | None:
    """The opening of a join's first room; None where the join is of walls, or it is gone."""
    return None if join.opening is None else opening_read(storey, join.room, join.side, join.opening)


def turned(reveal: Reveal) -> Reveal:
    """A reveal seen from the other side of the wall, where the first jamb is the last."""
    return msgspec.structs.replace(reveal, start=reveal.end, end=reveal.start)
