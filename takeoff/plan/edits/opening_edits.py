"""Openings in walls and ceilings: placed, moved along, their sizes, kinds, marks and reveals."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from typing import Literal, NamedTuple

import msgspec

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve, Point
from takeoff.geometry.tolerances import ANGLE_RAD, TOUCH_MM
from takeoff.language import tr
from takeoff.plan.edits.coat_edits import without_picks_of
from takeoff.plan.edits.lookup import (
    all_openings,
    changed,
    changed_storey,
    finite,
    opening_of,
    rooflight_of,
    room_of,
    room_place,
    side_curve,
    side_place,
    unused,
    with_opening,
    with_rooflight,
)
from takeoff.plan.model import (
    Confidence,
    Job,
    Opening,
    OpeningId,
    Reveal,
    Ring,
    Rooflight,
    Room,
    RoomId,
    SideId,
    Source,
    Strip,
)
from takeoff.plan.shape import ceiling_plane, curves_of, polygon, ring_polygon
from takeoff.plan.usual_sizes import Kind, of_kind
from takeoff.units.printing import shown

replace = msgspec.structs.replace


def add_opening(job: Job, opening: Opening) -> Job:
    """The job with an opening more, on the storey of its room; its id must be new."""
    unused(all_openings(job), opening.id, "opening")
    finite(offset_mm=opening.offset_mm, width_mm=opening.width_mm, sill_mm=opening.sill_mm, head_mm=opening.head_mm)
    side_place(room_of(job, opening.room), opening.side)
    s, _ = room_place(job, opening.room)
    storey = job.storeys[s]
    return changed_storey(job, s, replace(storey, openings=(*storey.openings, opening)))


def add_rooflight(job: Job, rooflight: Rooflight) -> Job:
    """The job with a rooflight more, on the storey of its room; its id must be new."""
    unused(all_openings(job), rooflight.id, "opening")
    s, _ = room_place(job, rooflight.room)
    storey = job.storeys[s]
    return changed_storey(job, s, replace(storey, rooflights=(*storey.rooflights, rooflight)))


def remove_opening(job: Job, opening_id: OpeningId) -> Job:
    """The job without that opening or rooflight, and without picks of corners at it: also how one that
    was proposed is refused."""
    for s, storey in enumerate(job.storeys):
        openings = tuple(o for o in storey.openings if o.id != opening_id)
        lights = tuple(o for o in storey.rooflights if o.id != opening_id)
        if len(openings) < len(storey.openings):
            rooms = tuple(without_picks_of(room, opening_id) for room in storey.rooms)
            if all(a is b for a, b in zip(rooms, storey.rooms, strict=True)):
                rooms = storey.rooms
            return changed_storey(job, s, replace(storey, openings=openings, rooms=rooms))
        if len(lights) < len(storey.rooflights):
            return changed_storey(job, s, replace(storey, rooflights=lights))
    raise InputError(tr("The job has no opening “{name}”: select one that it has.", name=opening_id))


def _is_rooflight(job: Job, opening_id: OpeningId) -> bool:
    return any(light.id == opening_id for storey in job.storeys for light in storey.rooflights)


def set_opening_mark(job: Job, opening_id: OpeningId, mark: str) -> Job:
    """The mark that the opening or rooflight has on the drawing ("W3")."""
    if _is_rooflight(job, opening_id):
        return with_rooflight(job, opening_id, lambda light: changed(light, mark=mark))
    return with_opening(job, opening_id, lambda opening: changed(opening, mark=mark))


def set_opening_confidence(job: Job, opening_id: OpeningId, confidence: Confidence) -> Job:
    """Accept an opening or a rooflight (*sure*: it is measured) or leave it open."""
    if _is_rooflight(job, opening_id):
        return with_rooflight(job, opening_id, lambda light: changed(light, confidence=confidence))
    return with_opening(job, opening_id, lambda opening: changed(opening, confidence=confidence))


Part = Literal["start", "end", "head", "sill"]
PARTS: tuple[Part, ...] = ("start", "end", "head", "sill")

WALL_MM = 700.0
"""What lies further behind a face than this is not in the same wall; as measuring takes it."""

_LETTERS = {"window": "w", "door": "d", "open": "o", "rooflight": "r"}


def new_opening_id(job: Job, kind: Literal["window", "door", "open", "rooflight"]) -> OpeningId:
    """An id that no opening of the job has: "w1", "d2"…"""
    taken = {str(opening.id) for opening in all_openings(job)}
    number = 1
    while f"{_LETTERS[kind]}{number}" in taken:
        number += 1
    return OpeningId(f"{_LETTERS[kind]}{number}")


def place_opening(job: Job, opening: Opening) -> Job:
    """The job with an opening more, kept within its wall and off the openings that are in it.

    Raises InputError where the wall is too short, is none, or holds another opening there.
    """
    at = fitted(job, opening.room, opening.side, opening.offset_mm, opening.width_mm)
    _upright(opening)
    return add_opening(job, replace(opening, offset_mm=at))


def slide_opening(
    job: Job, opening_id: OpeningId, offset_mm: float, sill_mm: float | None = None,
    side: tuple[RoomId, SideId] | None = None,
) -> Job:  # fmt: skip
    """The opening along its wall, and up or down with its size kept where ``sill_mm`` is given.

    It stays within the wall and off other openings. ``side``: into another wall of the same storey.
    """
    opening = opening_of(job, opening_id)
    room, host = side or (opening.room, opening.side)
    if room_place(job, room)[0] != room_place(job, opening.room)[0]:
        raise InputError(tr("That wall is on another storey: place a new opening there."))
    finite(offset_mm=offset_mm, sill_mm=sill_mm)
    at = fitted(job, room, host, offset_mm, opening.width_mm, opening_id)
    up = 0.0 if sill_mm is None else sill_mm - opening.sill_mm
    moved = changed(opening, room=room, side=host, offset_mm=at)
    if up:
        moved = changed(
            moved, sill_mm=opening.sill_mm + up, head_mm=opening.head_mm + up, sill_source="typed", head_source="typed"
        )
    return with_opening(job, opening_id, lambda _: moved)


def fitted(
    job: Job, room_id: RoomId, side_id: SideId, offset_mm: float, width_mm: float, without: OpeningId | None = None
) -> float:
    """The offset nearest to a wished one at which an opening of this width fits into a wall, mm.

    Raises InputError where it fits nowhere near: the wall is too short or open, or another opening
    is in the way (one that comes through from the other side too).
    """
    finite(offset_mm=offset_mm, width_mm=width_mm)
    side, curve = side_curve(job, room_id, side_id)
    if side.kind == "open" and side.open_from_mm is None and side.open_to_mm is None:
        raise InputError(tr("There is no wall here, the room is open: make the side a wall first."))
    if width_mm > curve.length + TOUCH_MM:
        raise InputError(
            tr(
                "The opening is {width} m wide and the wall {length} m long: make it narrower or use another wall.",
                width=shown(width_mm / 1000.0),
                length=shown(curve.length / 1000.0),
            )
        )
    at = min(max(offset_mm, 0.0), max(curve.length - width_mm, 0.0))
    for name, u0, u1 in in_wall(job, room_id, side_id, without):
        if at < u1 - TOUCH_MM and at + width_mm > u0 + TOUCH_MM:
            raise InputError(
                tr(
                    "{opening} is there already, {start} to {end} m along the wall: put this one beside it.",
                    opening=name,
                    start=shown(u0 / 1000.0),
                    end=shown(u1 / 1000.0),
                )
            )
    return at


def in_wall(
    job: Job, room_id: RoomId, side_id: SideId, without: OpeningId | None = None
) -> tuple[tuple[str, float, float], ...]:
    """(mark or id, from, to in mm along the side) of every opening in a wall, in order along it, those
    hosted by the room on its other side too."""
    s, _ = room_place(job, room_id)
    _, curve = side_curve(job, room_id, side_id)
    storey = job.storeys[s]
    rooms = {room.id: room for room in storey.rooms}
    found = []
    for opening in storey.openings:
        if opening.id == without:
            continue
        if (opening.room, opening.side) == (room_id, side_id):
            stretch: tuple[float, float] | None = opening.offset_mm, opening.offset_mm + opening.width_mm
        else:
            other = _side_near(rooms.get(opening.room), opening.side, curve)
            stretch = _through(curve, other, opening) if other is not None else None
        if stretch is not None:
            found.append((opening.mark or str(opening.id), *stretch))
    return tuple(sorted(found, key=lambda one: one[1]))


def _side_near(room: Room | None, side_id: SideId, curve: Curve) -> Curve | None:
    """The course of a side that may lie in the same wall as a curve; None for one that is far off."""
    for ring in room.rings if room is not None else ():
        for index, side in enumerate(ring):
            if side.id == side_id:
                after = ring[(index + 1) % len(ring)]
                # an arc lies within its chord's length of its ends
                far = WALL_MM + (abs(after.x_mm - side.x_mm) + abs(after.y_mm - side.y_mm) if side.bulge else 0.0)
                left, low, right, high = curve.box
                if (
                    min(side.x_mm, after.x_mm) > right + far
                    or max(side.x_mm, after.x_mm) < left - far
                    or min(side.y_mm, after.y_mm) > high + far
                    or max(side.y_mm, after.y_mm) < low - far
                ):
                    return None
                return Curve(side.x_mm, side.y_mm, after.x_mm, after.y_mm, side.bulge)
    return None


def _through(here: Curve, other: Curve, opening: Opening) -> tuple[float, float] | None:
    """Where an opening of another side comes through this one; None where it does not."""
    if other.length <= 0.0 or here.length <= 0.0 or bool(here.bulge) != bool(other.bulge):
        return None
    us = []
    for at in (opening.offset_mm, opening.offset_mm + opening.width_mm):
        x, y = other.at(min(max(at, 0.0), other.length))
        u, off = here.where(x, y)
        clamped = min(max(u, 0.0), here.length)
        (px, py), (dx, dy) = here.at(clamped), here.direction(clamped)
        # rooms lie to the left of their sides: what is behind lies to the right
        if off > WALL_MM or (x - px) * dy - (y - py) * dx < -TOUCH_MM:
            return None
        us.append(u)
    low, high = min(us), max(us)
    crosswise = high - low < 0.5 * opening.width_mm
    return None if crosswise or high <= 0.0 or low >= here.length else (low, high)


def set_opening_kind(job: Job, opening_id: OpeningId, kind: Kind) -> Job:
    """A window, a door, or an open way. Sizes and depths that nobody gave take the usual ones of that kind and
    are assumed; those that were typed, read on site, figured or drawn stay."""
    return with_opening(job, opening_id, lambda opening: of_kind(opening, kind))


Answer = Literal["window", "door", "open", "nothing"]


def answer_openings(job: Job, opening_ids: Collection[OpeningId], answer: Answer) -> Job:
    """These openings are all of that kind and sure from now on, or are none and go."""
    for opening_id in opening_ids:
        if answer == "nothing":
            job = remove_opening(job, opening_id)
        else:
            job = set_opening_confidence(set_opening_kind(job, opening_id, answer), opening_id, "sure")
    return job


def set_opening_shape(
    job: Job, opening_id: OpeningId, shape: Literal["flat", "segmental", "semicircular", "round"],
    rise_mm: float = 0.0,
) -> Job:  # fmt: skip
    """The form of the head; a round one becomes as high as it is wide, its sill stays."""
    finite(rise_mm=rise_mm)

    def shaped(opening: Opening) -> Opening:
        opening = changed(opening, shape=shape, rise_mm=rise_mm if shape == "segmental" else 0.0)
        if shape == "round" and opening.head_mm - opening.sill_mm != opening.width_mm:
            opening = changed(opening, head_mm=opening.sill_mm + opening.width_mm)
        return opening

    return with_opening(job, opening_id, shaped)


def set_opening_size(
    job: Job, opening_id: OpeningId, width_mm: float | None = None, height_mm: float | None = None,
    sill_mm: float | None = None, head_mm: float | None = None, source: Source = "typed",
) -> Job:  # fmt: skip
    """Width, height, sill and head, each where given. A height keeps the sill of what stands on one and
    moves the head; the middle of the width stays put as far as the wall allows."""
    finite(width_mm=width_mm, height_mm=height_mm, sill_mm=sill_mm, head_mm=head_mm)
    opening = opening_of(job, opening_id)
    new = opening
    if width_mm is not None:
        if width_mm <= 0:
            raise InputError(tr("The width of an opening must be more than 0."))
        wish = opening.offset_mm + (opening.width_mm - width_mm) / 2.0
        at = fitted(job, opening.room, opening.side, wish, width_mm, opening_id)
        new = changed(new, width_mm=width_mm, offset_mm=at, width_source=source)
    if sill_mm is not None:
        new = changed(new, sill_mm=sill_mm, sill_source=source)
    if height_mm is not None:
        head_mm = new.sill_mm + height_mm
    if head_mm is not None:
        new = changed(new, head_mm=head_mm, head_source=source)
    _upright(new)
    return with_opening(job, opening_id, lambda _: new)


def _upright(opening: Opening) -> None:
    if opening.width_mm <= 0:
        raise InputError(tr("The width of an opening must be more than 0."))
    if opening.head_mm <= opening.sill_mm:
        raise InputError(
            tr(
                "The head must be above the sill ({sill} m): type a larger height.",
                sill=shown(opening.sill_mm / 1000.0),
            )
        )


def set_strips(
    job: Job, opening_id: OpeningId, parts: Sequence[Part] = PARTS, depth_mm: float | None = None,
    coat: bool | None = None, beyond: bool = False,
) -> Job:  # fmt: skip
    """Depth and coat of some strips of a reveal, each where given; ``beyond``: on the wall's other side."""
    finite(depth_mm=depth_mm)
    if depth_mm is not None and depth_mm < 0:
        raise InputError(tr("The depth of a reveal must be 0 or more."))

    def set_one(strip: Strip) -> Strip:
        if depth_mm is not None:
            strip = changed(strip, depth_mm=depth_mm, depth_source="typed")
        return strip if coat is None else changed(strip, coat=coat)

    def revealed(opening: Opening) -> Opening:
        old = (opening.reveal_beyond or Reveal()) if beyond else opening.reveal
        new = changed(old, **{part: set_one(getattr(old, part)) for part in parts})
        if beyond:
            return changed(
                opening,
                reveal_beyond=opening.reveal_beyond if new == Reveal() and opening.reveal_beyond is None else new,
            )
        return changed(opening, reveal=new)

    return with_opening(job, opening_id, revealed)


def coat_reveals(job: Job, strips: Collection[tuple[OpeningId, bool]], coat: bool) -> Job:
    """Jambs and heads of reveals coated, or no strip of them; (opening, whether beyond the wall).

    Sills stay as they are where the rest is coated: most have a board (common practice, no source).
    """
    parts: tuple[Part, ...] = ("start", "end", "head") if coat else PARTS
    for opening_id, beyond in strips:
        job = set_strips(job, opening_id, parts, coat=coat, beyond=beyond)
    return job


# Rooflights: openings in ceilings -----------------------------------------------------------------


class LightSize(NamedTuple):
    """How wide a rooflight is across the slope and how long up it, as measured in the ceiling, mm."""

    width_mm: float
    length_mm: float


def place_rooflight(
    job: Job, room_id: RoomId, at: Point, width_mm: float, length_mm: float, depth_mm: float = 0.0
) -> Job:
    """The job with a rooflight more, its middle over a point. Its length runs up the slope, in a level ceiling
    square to the room's longest wall; sizes as measured in the ceiling.

    Raises InputError where it would leave its room or lie over another one.
    """
    _sound_sizes(width_mm, length_mm, depth_mm)
    s, r = room_place(job, room_id)
    storey, room = job.storeys[s], job.storeys[s].rooms[r]
    plane = ceiling_plane(storey, room, *at)
    steep = math.hypot(plane.slope_x, plane.slope_y)
    if steep:
        up = plane.slope_x / steep, plane.slope_y / steep
    else:
        longest = max(curves_of(room.outline), key=lambda curve: curve.length)
        across = longest.direction(longest.length / 2.0)
        up = -across[1], across[0]
    box = _Box(at, (up[1], -up[0]), up, width_mm / 2.0, length_mm / math.hypot(1.0, steep) / 2.0)
    light = Rooflight(
        id=new_opening_id(job, "rooflight"), room=room_id, outline=box.ring, depth_mm=depth_mm, source="typed"
    )
    _stands_in_its_ceiling(job, light)
    return add_rooflight(job, light)


def rooflight_size(job: Job, light_id: OpeningId) -> LightSize | None:
    """Its size as measured in the ceiling; None where it is no rectangle. Raises InputError for no such one."""
    light = rooflight_of(job, light_id)
    box = _box_of(light)
    if box is None:
        return None
    rises = _rises(job, light, box)
    one, other = 2.0 * box.half * rises[0], 2.0 * box.other_half * rises[1]
    return LightSize(other, one) if _is_turned(job, light, box) else LightSize(one, other)


def set_rooflight(
    job: Job, light_id: OpeningId, width_mm: float | None = None, length_mm: float | None = None,
    depth_mm: float | None = None, coat: bool | None = None,
) -> Job:  # fmt: skip
    """Its width across the slope, its length up it, the depth of its shaft and whether that is coated, each where
    given; its middle stays. Raises InputError where it would not stand in its ceiling, or has no width and length."""
    _sound_sizes(width_mm, length_mm, depth_mm)
    light = new = rooflight_of(job, light_id)
    if width_mm is not None or length_mm is not None:
        box = _box_of(light)
        if box is None:
            raise InputError(
                tr("This rooflight is not a rectangle, so it has no width and length: delete it and place a new one.")
            )
        turned, rises = _is_turned(job, light, box), _rises(job, light, box)
        one, other = (length_mm, width_mm) if turned else (width_mm, length_mm)
        if one is not None:
            box = box._replace(half=one / rises[0] / 2.0)
        if other is not None:
            box = box._replace(other_half=other / rises[1] / 2.0)
        new = changed(new, outline=box.ring, source="typed")
    if depth_mm is not None:
        new = changed(new, depth_mm=depth_mm, source="typed")
    if coat is not None:
        new = changed(new, coat=coat)
    if new is not light:
        _stands_in_its_ceiling(job, new)
    return with_rooflight(job, light_id, lambda _: new)


def move_rooflight(job: Job, light_id: OpeningId, by: Point) -> Job:
    """The rooflight so far aside in plan, mm. Raises InputError where it would leave its room or lie over another."""
    finite(x_mm=by[0], y_mm=by[1])
    light = rooflight_of(job, light_id)
    moved = changed(light, outline=tuple((x + by[0], y + by[1], bulge) for x, y, bulge in light.outline))
    _stands_in_its_ceiling(job, moved)
    return with_rooflight(job, light_id, lambda _: moved)


class _Box(NamedTuple):
    """A rectangle in plan: its middle, the directions of its first two sides, half of their lengths, mm."""

    middle: Point
    along: Point
    other: Point
    half: float
    other_half: float

    @property
    def ring(self) -> Ring:
        """Its corners, in the order in which they were drawn."""
        (x, y), (ax, ay), (bx, by), a, b = self
        return tuple(
            (x + ax * a * i + bx * b * j, y + ay * a * i + by * b * j, 0.0)
            for i, j in ((-1, -1), (1, -1), (1, 1), (-1, 1))
        )


def _box_of(light: Rooflight) -> _Box | None:
    """The rectangle that a rooflight is in plan; None where it is another shape."""
    if len(light.outline) != 4 or any(bulge for _, _, bulge in light.outline):
        return None
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = ((x, y) for x, y, _ in light.outline)
    one, other = math.hypot(x1 - x0, y1 - y0), math.hypot(x2 - x1, y2 - y1)
    if min(one, other) <= 0.0 or math.hypot(x0 + x2 - x1 - x3, y0 + y2 - y1 - y3) > TOUCH_MM:
        return None
    along, aside = ((x1 - x0) / one, (y1 - y0) / one), ((x2 - x1) / other, (y2 - y1) / other)
    if abs(along[0] * aside[0] + along[1] * aside[1]) * max(one, other) > TOUCH_MM:
        return None
    return _Box(((x0 + x2) / 2.0, (y0 + y2) / 2.0), along, aside, one / 2.0, other / 2.0)


def _slope_at(job: Job, light: Rooflight, at: Point) -> Point:
    s, r = room_place(job, light.room)
    plane = ceiling_plane(job.storeys[s], job.storeys[s].rooms[r], *at)
    return plane.slope_x, plane.slope_y


def _rises(job: Job, light: Rooflight, box: _Box) -> tuple[float, float]:
    """How much longer each of its sides is in the ceiling than in plan, by the slope in its middle."""
    slope = _slope_at(job, light, box.middle)
    one, other = (math.hypot(1.0, slope[0] * x + slope[1] * y) for x, y in (box.along, box.other))
    return one, other


def _is_turned(job: Job, light: Rooflight, box: _Box) -> bool:
    """Whether its first side is the one that runs up the slope."""
    slope = _slope_at(job, light, box.middle)
    one, other = (abs(slope[0] * x + slope[1] * y) for x, y in (box.along, box.other))
    return one > other + ANGLE_RAD


def _sound_sizes(width_mm: float | None, length_mm: float | None, depth_mm: float | None) -> None:
    finite(width_mm=width_mm, length_mm=length_mm, depth_mm=depth_mm)
    if any(size is not None and size < TOUCH_MM for size in (width_mm, length_mm)) or (depth_mm or 0.0) < 0.0:
        raise InputError(tr("Width and length of a rooflight must be more than 0, the depth of its shaft 0 or more."))


def _stands_in_its_ceiling(job: Job, light: Rooflight) -> None:
    """Raises InputError where a rooflight leaves its room or lies over another."""
    s, r = room_place(job, light.room)
    own = ring_polygon(light.outline)
    if own.difference(polygon(job.storeys[s].rooms[r])).area > own.length * TOUCH_MM / 2.0:
        raise InputError(tr("The rooflight would leave its room: move it further in, or make it smaller."))
    for other in job.storeys[s].rooflights:
        beside = other.room != light.room or other.id == light.id or len(other.outline) < 3
        if not beside and own.intersection(ring_polygon(other.outline)).area > own.length * TOUCH_MM / 2.0:
            raise InputError(tr("There is a rooflight already ({title}): put this one beside it.", title=other.title))
