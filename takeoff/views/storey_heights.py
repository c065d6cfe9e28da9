"""Storeys and heights as their pages show them: what stands in the fields, and what is said of each."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise

import msgspec

from takeoff.errors import InputError
from takeoff.geometry.curves import Point
from takeoff.language import listed, mark, number, tr, tr_count
from takeoff.plan import edits
from takeoff.plan.edits.height_edits import Form, Others
from takeoff.plan.model import Job, Plane, Room, RoomId, SideId, Storey
from takeoff.plan.shape import curves_by_id, curves_of
from takeoff.sheets.wall_names import wall_letters
from takeoff.units.printing import fmt2, printed, shown, whole
from takeoff.views.board import State
from takeoff.views.naming import labels, place_of, storey_name


class StoreyLine(msgspec.Struct, frozen=True):
    """A storey in the list: its name, and under it its level, rooms and openings."""

    id: str
    name: str
    says: str


def storey_lines(job: Job) -> tuple[StoreyLine, ...]:
    """The storeys as a house has them, the highest first."""
    return tuple(StoreyLine(str(s.id), storey_name(s), _says(s)) for s in reversed(job.storeys))


def _says(storey: Storey) -> str:
    rooms = len(storey.rooms)
    parts = [
        tr("{length} m", length=_signed(storey.level_mm)),
        tr("{height} m high", height=shown(storey.height_mm / 1000.0)),
        tr_count("{count} room", "{count} rooms", rooms) if rooms else tr("no room"),
    ]
    if storey.times > 1:
        parts.append(tr("repeated × {times}", times=storey.times))
    return ", ".join(parts)


def _signed(level_mm: float) -> str:
    """A level as plans have it: "±0.00", "+2.70", "-2.60"."""
    text = fmt2(level_mm / 1000.0)
    if text == "0.00":
        return "±0.00"
    return text if level_mm < 0 else f"+{text}"


_SOURCES = {
    "assumed": mark("Assumed"),
    "typed": mark("Typed"),
    "site": mark("Measured on site"),
    "drawn": mark("As drawn"),
    "figured": mark("As written on the drawing"),
}
_LEVEL = math.tan(math.radians(0.05))
"""Less steep than this is level."""


_SQUARE = math.cos(math.radians(0.1))
"""A slope rises square from a wall within this."""


class CornerView(msgspec.Struct, frozen=True):
    """A corner of a room's outline: the side that starts there, the letters of the walls that meet, where
    it is, and how high the drawn ceiling is there above the floor's datum."""

    side: str
    name: str
    at: Point
    height_mm: float


class WallView(msgspec.Struct, frozen=True):
    """A straight wall from which slopes may rise."""

    side: str
    letter: str
    length_mm: float


class SlopesView(msgspec.Struct, frozen=True):
    """Slopes as one would type them: from which wall, how high at its eaves, how steep, cut off where."""

    form: Form
    side: str
    eaves_mm: float
    pitch_deg: float
    flat_mm: float | None
    other_eaves_mm: float | None


class StoreyView(msgspec.Struct, frozen=True):
    """A storey's usual height and who follows it."""

    id: str
    title: str
    height_mm: float
    says: str


class RoomView(msgspec.Struct, frozen=True):
    """A room's heights. ``own_mm``: a level ceiling of its own; ``follows``: it has no
    ceiling of its own; ``says``: what its ceiling is like; ``finished``: what is left of it when build-ups
    are on; ``slopes``: those that rise from its walls; None where there are none."""

    id: str
    title: str
    own_mm: float | None
    follows: bool
    says: str
    finished: str
    floor_mm: float
    floor_build_up_mm: float
    ceiling_build_up_mm: float
    corners: tuple[CornerView, ...]
    walls: tuple[WallView, ...]
    slopes: SlopesView | None = None


def storey_view(storey: Storey) -> StoreyView:
    """The usual height of a storey."""
    own = sum(room.ceiling is not None for room in storey.rooms)
    follow = len(storey.rooms) - own
    follows = (
        tr_count("{count} room follows it", "{count} rooms follow it", follow) if follow else tr("no room follows it")
    )
    parts = [tr(_SOURCES[storey.height_source]), follows]
    if own:
        parts.append(tr_count("{count} room has a ceiling of its own", "{count} rooms have ceilings of their own", own))
    return StoreyView(str(storey.id), storey_name(storey), storey.height_mm, ", ".join(parts) + ".")


def room_view(state: State, room_id: str) -> RoomView | None:
    """The heights of a room; None where there is no such room."""
    place, board = place_of(state.job, room_id), state.room(room_id)
    if place is None:
        return None
    storey, room = place
    field = room.ceiling
    planes = field.planes if field is not None else ()
    own = planes[0].z_mm if len(planes) == 1 and _is_level(planes[0]) else None
    words = ceiling_words(
        storey, room, *((board.taken.height_min_mm, board.taken.height_max_mm) if board is not None else (0.0, 0.0))
    )
    finished = ""
    if board is not None and (room.floor_build_up_mm or room.ceiling_build_up_mm):
        low, high = (fmt2(mm / 1000.0) for mm in (board.taken.height_min_mm, board.taken.height_max_mm))
        finished = (
            tr("Finished: {height} m from floor to ceiling.", height=low)
            if low == high
            else tr("Finished: {low} to {high} m from floor to ceiling.", low=low, high=high)
        )
    return RoomView(
        room_id,
        labels(state.job)[str(storey.id), room_id],
        own,
        field is None,
        words,
        finished,
        room.floor.planes[0].z_mm if room.floor is not None and room.floor.planes else 0.0,
        room.floor_build_up_mm,
        room.ceiling_build_up_mm,
        tuple(_corners(state.job, room)),
        tuple(_walls(room)),
        slopes_of(room),
    )


def _is_level(plane: Plane) -> bool:
    return math.hypot(plane.slope_x, plane.slope_y) < _LEVEL


def ceiling_words(storey: Storey, room: Room, low_mm: float, high_mm: float) -> str:
    """ "Level at 2.45 m, as the storey.", "One slope of 11.3°, 2.40 to 3.00 m high." The heights are those
    that were measured from floor to ceiling."""
    field = room.ceiling
    if field is None or not field.planes:
        return tr("Level at {height} m, as the storey.", height=shown(storey.height_mm / 1000.0))
    slopes = [plane for plane in field.planes if not _is_level(plane)]
    if not slopes:
        said = [tr("Level at {height} m, its own", height=shown(min(p.z_mm for p in field.planes) / 1000.0))]
    else:
        said = [_slope_words(slopes, len(field.planes) > len(slopes))]
        said.append(tr("{low} to {high} m high", low=shown(low_mm / 1000.0), high=shown(high_mm / 1000.0)))
    if parts := len(field.regions):
        said.append(tr_count("with {count} part lowered or raised", "with {count} parts lowered or raised", parts))
    return f"{', '.join(said)}."


def _slope_words(slopes: list[Plane], has_level: bool) -> str:
    steep = (math.hypot(plane.slope_x, plane.slope_y) for plane in slopes)
    pitches = sorted({printed(math.degrees(math.atan(rise)), 1) for rise in steep})
    named = [f"{number(pitch)}°" for pitch in pitches[:2]]
    pitch = tr("{pitches} and more", pitches=", ".join(named)) if len(pitches) > 2 else listed(named)
    words = tr_count("One slope of {pitch}", "{count} slopes of {pitch}", len(slopes), pitch=pitch)
    return tr("{slopes} and a level piece", slopes=words) if has_level else words


def slopes_of(room: Room) -> SlopesView | None:
    """The slopes of a room that rise square from its walls; None where some do not, or there are none."""
    planes = room.ceiling.planes if room.ceiling is not None else ()
    sloped = [plane for plane in planes if not _is_level(plane)]
    found = [(side, eaves, plane) for plane in sloped for side, eaves in _risen_from(room, plane)[:1]]
    if not found or len(found) < len(sloped) or len({round(_pitch(p), 3) for p in sloped}) > 1:
        return None
    side, eaves, first = found[0]
    other = None
    if len(found) == 2:
        second = found[1][2]
        against = first.slope_x * second.slope_x + first.slope_y * second.slope_y
        if against >= 0.0:
            return None
        other = found[1][1] if abs(found[1][1] - eaves) > 1.0 else None
    level = [plane.z_mm for plane in planes if _is_level(plane)]
    form: Form = "one" if len(found) == 1 else "two" if len(found) == 2 else "all"
    return SlopesView(form, side, eaves, round(_pitch(first), 2), min(level, default=None), other)


def _pitch(plane: Plane) -> float:
    return math.degrees(math.atan(math.hypot(plane.slope_x, plane.slope_y)))


def _risen_from(room: Room, plane: Plane) -> list[tuple[str, float]]:
    """(side, height there) of the straight walls from which a plane rises square into the room, the lowest
    first."""
    steep, found, curves = math.hypot(plane.slope_x, plane.slope_y), [], curves_by_id(room)
    for wall in _walls(room):
        curve = curves[SideId(wall.side)]
        if (plane.slope_y * curve.dx - plane.slope_x * curve.dy) / steep > _SQUARE:
            found.append((wall.side, round(plane.at(curve.x0, curve.y0), 3)))
    return sorted(found, key=lambda pair: pair[1])


def _corners(job: Job, room: Room) -> list[CornerView]:
    letters, heights = wall_letters(room), edits.corner_heights(job, room.id)
    before = (room.outline[-1], *room.outline)
    return [
        CornerView(
            str(side.id), f"{letters[str(last.id)]}–{letters[str(side.id)]}", (side.x_mm, side.y_mm), heights[side.id]
        )
        for last, side in pairwise(before)
    ]


def _walls(room: Room) -> list[WallView]:
    letters, courses = wall_letters(room), zip(room.outline, curves_of(room.outline), strict=True)
    return [
        WallView(str(side.id), letters[str(side.id)], curve.length)
        for side, curve in courses
        if not curve.bulge and curve.length > 0
    ]


def corner_words(job: Job, room_id: str, heights_mm: Mapping[str, float], others: Others) -> tuple[str, bool]:
    """What a ceiling through heights at corners is: "One plane, within 3 mm of the heights."; or why there is
    none, and whether there is one."""
    typed = {SideId(name): mm for name, mm in heights_mm.items()}
    try:
        through, _ = edits.ceiling_through(job, RoomId(room_id), typed, others)
        edits.set_corner_heights(job, RoomId(room_id), typed, others)
    except InputError as error:
        return str(error), False
    count = len(through.planes)
    off = whole(max(math.ceil(through.worst_mm - 1e-6), 0))
    if count == 1:
        return tr("One plane, within {off} mm of the heights.", off=off), True
    return tr(
        "{count} planes that meet in ridges and hips, within {off} mm of the heights.", count=count, off=off
    ), True
