"""Walls and corners moved with what other rooms have on them."""

from __future__ import annotations

import math

import msgspec

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve
from takeoff.geometry.tolerances import SNAP_MM
from takeoff.language import tr
from takeoff.plan.edits.corner_edits import delete_corner, move_corner, move_side
from takeoff.plan.edits.facing_sides import partners
from takeoff.plan.edits.lookup import finite, fresh_id, ring_of, room_of, room_place, side_place, with_ring, with_room
from takeoff.plan.model import Job, Room, RoomId, Side, SideId
from takeoff.plan.room_faults import SAME_MM, unsound_outlines
from takeoff.plan.shape import curves_of

replace = msgspec.structs.replace


_WHOLE_MM = 5.0
"""A side of another room that sticks out by more than this beyond the wall that moves stays."""


_TRIAL_MM = 100.0


_STRAIGHT_ON = math.sin(math.radians(1.0))
"""Sides within a degree of each other run on: their lines cross far away, or nowhere."""


def move_wall(job: Job, room_id: RoomId, side_id: SideId, outward_mm: float, with_far_face: bool = False) -> Job:
    """A straight side moved parallel, out of its room when positive, with what other rooms have on it.

    Where the outline runs straight on at an end of it, a short square side comes between: so a
    stretch between two new corners becomes a breast or a recess. ``with_far_face``: the whole wall
    moves, with the sides of other rooms at its far face; those that run on beyond it stay. Raises
    InputError where a room would cross itself or vanish.
    """
    finite(outward_mm=outward_mm)
    room = room_of(job, room_id)
    number, index = side_place(room, side_id)
    length = curves_of(ring_of(room, number))[index].length
    if outward_mm == 0:
        return job
    moved = _moved(job, room_id, side_id, outward_mm)
    touched = {room_id}
    for other, f in partners(job, room_id, side_id):
        theirs = dict(zip((s.id for s in other.outline), curves_of(other.outline), strict=True))[f.other]
        same = f.apart <= SAME_MM and abs(theirs.length - length) <= SAME_MM
        within = f.other_to - f.other_from >= theirs.length - max(_WHOLE_MM, 2.0 * f.apart)
        if not theirs.bulge and (same or (with_far_face and within)):
            moved = _moved(moved, other.id, f.other, -outward_mm)
            touched.add(other.id)
    return keep_sound(job, moved, touched)


def _moved(job: Job, room_id: RoomId, side_id: SideId, outward_mm: float) -> Job:
    """The side moved, with short sides where the outline ran straight on and without any of no length."""
    job = move_side(with_room(job, room_id, lambda room: _with_steps(room, side_id)), room_id, side_id, outward_mm)
    room = room_of(job, room_id)
    number, _ = side_place(room, side_id)
    ring = ring_of(room, number)
    for side, before, curve in zip(ring, (ring[-1], *ring), curves_of(ring), strict=False):
        left = len(ring_of(room_of(job, room_id), number))
        if curve.length <= SNAP_MM and not before.bulge and left > 3:
            job = delete_corner(job, room_id, side.id)
    return job


def _with_steps(room: Room, side_id: SideId) -> Room:
    """The room with a side of no length at each end of a side where its neighbour runs straight on."""
    number, index = side_place(room, side_id)
    ring = ring_of(room, number)
    curves = curves_of(ring)
    here, after = curves[index], (index + 1) % len(ring)
    taken = [side.id for side in room.sides]
    new = list(ring)
    if _runs_on(curves[after], here):
        step = Side(id=SideId(fresh_id(taken, side_id)), x_mm=ring[after].x_mm, y_mm=ring[after].y_mm)
        taken.append(step.id)
        new.insert(index + 1, step)
    if _runs_on(curves[index - 1], here):
        step = Side(id=SideId(fresh_id(taken, side_id)), x_mm=ring[index].x_mm, y_mm=ring[index].y_mm)
        new.insert(index, step)
    return room if len(new) == len(ring) else with_ring(room, number, tuple(new))


def _runs_on(neighbour: Curve, side: Curve) -> bool:
    if neighbour.bulge or side.bulge or neighbour.length <= SNAP_MM:
        return False
    return abs(neighbour.dx * side.dy - neighbour.dy * side.dx) < _STRAIGHT_ON


def move_corners(job: Job, room_id: RoomId, side_id: SideId, x_mm: float, y_mm: float) -> Job:
    """The corner at the start of a side at another place, with the corners of other rooms on it.

    Raises InputError where a room would cross itself.
    """
    finite(x_mm=x_mm, y_mm=y_mm)
    room = room_of(job, room_id)
    number, index = side_place(room, side_id)
    here = ring_of(room, number)[index]
    moved = move_corner(job, room_id, side_id, x_mm, y_mm)
    if moved is job:
        return job
    touched = {room_id}
    s, _ = room_place(job, room_id)
    for other in job.storeys[s].rooms:
        if other.id == room_id:
            continue
        for ring in other.rings:
            for side in ring:
                if math.dist((side.x_mm, side.y_mm), (here.x_mm, here.y_mm)) <= SAME_MM:
                    moved = move_corner(moved, other.id, side.id, x_mm, y_mm)
                    touched.add(other.id)
    return keep_sound(job, moved, touched)


def outward_for_length(job: Job, room_id: RoomId, side_id: SideId, neighbour: SideId, length_mm: float) -> float:
    """How far out a side must move so that a neighbour of it becomes so long, mm.

    Raises InputError where the neighbour's length does not hang on the side's place.
    """
    finite(length_mm=length_mm)
    if length_mm <= 0:
        raise InputError(tr("Length must be more than 0."))

    def length_at(outward: float) -> float:
        room = room_of(move_side(job, room_id, side_id, outward), room_id)
        number, index = side_place(room, neighbour)
        curve = curves_of(ring_of(room, number))[index]
        return curve.length

    before, after = length_at(0.0), length_at(_TRIAL_MM)
    back = length_at(-_TRIAL_MM)
    # a neighbour's own line is kept, so that its length changes evenly until it is used up
    grows = (after - before) / _TRIAL_MM
    if abs(grows) < 1e-3 or abs((before - back) / _TRIAL_MM - grows) > 1e-6:
        raise InputError(tr("The length of the next wall does not follow: drag the wall, or type how far it moves."))
    return (length_mm - before) / grows


def keep_sound(before: Job, after: Job, rooms: set[RoomId]) -> Job:
    """The job after an edit, if none of these rooms that was sound is crossed or turned now.

    Raises InputError else.
    """
    for room_id in sorted(rooms):
        old, new = room_of(before, room_id), room_of(after, room_id)
        if not _errors(before, old) and _errors(after, new):
            raise InputError(tr("“{room}” would cross itself or vanish: move it less far.", room=new.title))
    return after


def _errors(job: Job, room: Room) -> bool:
    s, _ = room_place(job, room.id)
    return any(found.severity == "error" for found in unsound_outlines(job.storeys[s], room))
