"""Rooms read on site set against each other through shared walls and openings, with checks across."""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec

from takeoff.errors import InputError
from takeoff.geometry.adjustment import Point
from takeoff.geometry.poses import Apart, Meet, Pose, Tie, put, set_out
from takeoff.language import tr
from takeoff.plan.edits.lookup import fresh_id, index_of, room_place, storey_of
from takeoff.plan.model import Job, Join, Opening, OpeningId, Room, RoomId, SetTogether, SideId, Storey, StoreyId
from takeoff.plan.moved import STILL, moved_light, moved_room
from takeoff.plan.readings.walked_outline import LENGTH_MM, corner_name
from takeoff.plan.readings.walked_room import (
    from_to,
    host_opening,
    label,
    opening_read,
    openings_of,
    side_line,
    turned,
    walked_corners,
)

replace = msgspec.structs.replace

JAMB_MM = 5.0
"""Standard deviation with which the two jambs of an opening are one (common practice, no source)."""

PARALLEL_MM = 10.0
"""Standard deviation with which two faces of a wall, read to be joined by a door in it, lie that wall's
thickness apart at its ends: without it a door would be a hinge (common practice, no source)."""


class Placing(msgspec.Struct, frozen=True):
    """What setting together leaves: ``lines`` of (what, mm off), the largest first as they are typed;
    ``joined``: rooms that were moved."""

    lines: tuple[tuple[str, float], ...]
    largest_mm: float
    joined: tuple[RoomId, ...]


def set_together(job: Job, storey_id: StoreyId, joined: SetTogether) -> Job:
    """The job with the rooms of a storey moved to where their joins and checks put them.

    The first room of the first join stays. An opening seen from both sides becomes one, the host's,
    with the other's reveal beyond it; where a join is given up, both rooms have their own again, and
    without any join all rooms stay where they stand. Raises InputError for a join that names what is not
    there, or joins that leave a room free to move.
    """
    storey = parted_openings(storey_of(job, storey_id), joined)
    poses = place_together(storey, joined)[0] if joined.joins else {}
    rooms = tuple(moved_room(room, poses.get(room.id, STILL)) for room in storey.rooms)
    lights = tuple(moved_light(light, poses.get(light.room, STILL)) for light in storey.rooflights)
    new = replace(
        storey,
        rooms=rooms,
        rooflights=lights,
        openings=joined_openings(storey, joined),
        set_together=joined if joined.joins else None,
    )
    index = index_of(job.storeys, storey_id, "storey")
    return replace(job, storeys=(*job.storeys[:index], new, *job.storeys[index + 1 :]))


def set_together_again(job: Job, room_id: RoomId) -> Job:
    """The job with the rooms that are set together with this one where its outline now puts them; as it
    was where its joins name what is gone, or leave a room free to move."""
    storey = job.storeys[room_place(job, room_id)[0]]
    joined = storey.set_together
    if joined is None or all(room_id not in (join.room, join.beyond) for join in joined.joins):
        return job
    return job if fault_of(storey, joined) else set_together(job, storey.id, joined)


def fault_of(storey: Storey, joined: SetTogether) -> str:
    """Why the rooms cannot be set together so; "" where they can."""
    try:
        place_together(storey, joined)
    except InputError as error:
        return str(error)
    return ""


def place_together(storey: Storey, joined: SetTogether) -> tuple[dict[RoomId, Pose], Placing]:
    """Where each joined room goes: a pose that moves it from where it stands; and what does not fit.

    Raises InputError as ``set_together`` does.
    """
    if not joined.joins:
        raise InputError(tr("Nothing joins the rooms yet: select a wall or a door that two rooms share."))
    rooms = {room.id: room for room in storey.rooms}
    _known(storey, joined)
    order = _in_order(joined.joins)
    at = {name: k for k, name in enumerate(order)}
    ties: list[Tie] = []
    names: list[str] = []
    for join in joined.joins:
        for tie in _join_ties(storey, join, at):
            ties.append(tie)
            names.append(_join_name(rooms, join))
    for check in joined.checks:
        if check.room not in at or check.beyond not in at:
            raise InputError(tr("A check runs between rooms that are joined: join them first."))
        ties.append(
            Apart(
                at[check.room],
                corner_point(rooms[check.room], check.corner),
                at[check.beyond],
                corner_point(rooms[check.beyond], check.beyond_corner),
                check.length_mm,
                LENGTH_MM,
            )
        )
        names.append(
            tr(
                "check {room} {corner} to {other} {other_corner}",
                room=label(rooms[check.room]),
                corner=corner_name(check.corner),
                other=label(rooms[check.beyond]),
                other_corner=corner_name(check.beyond_corner),
            )
        )
    found = set_out(_first_poses(storey, joined.joins, order, at), ties)
    if found.loose:
        which = ", ".join(label(rooms[order[k]]) for k in found.loose)
        raise InputError(
            tr(
                "{rooms} can still slide along the shared wall: type a diagonal across both rooms, or join an opening.",
                rooms=which,
            )
        )
    largest: dict[str, float] = {}
    for name, off in zip(names, found.off_mm, strict=True):
        largest[name] = max(off, largest.get(name, 0.0))
    lines = tuple(largest.items())
    poses = {name: found.poses[at[name]] for name in order}
    return poses, Placing(lines, max(off for _, off in lines), tuple(order[1:]))


def corner_point(room: Room, corner: int) -> Point:
    """Where a corner, counted as the room was walked, stands now. Raises InputError without one."""
    ring = walked_corners(room) or tuple((side.x_mm, side.y_mm) for side in room.outline)
    if not 0 <= corner < len(ring):
        raise InputError(
            tr("{room} has no corner {corner}: select one that it has.", room=label(room), corner=corner_name(corner))
        )
    return ring[corner]


def joined_openings(storey: Storey, joined: SetTogether) -> tuple[Opening, ...]:
    """The storey's openings, those seen from both sides once: the host's, with the other's reveal."""
    found = {opening.id: opening for opening in storey.openings}
    for join in joined.joins:
        if join.beyond_opening is None:
            continue
        host = host_opening(storey, join)
        other = opening_read(storey, join.beyond, join.beyond_side, join.beyond_opening)
        if host is not None and other is not None:
            del found[other.id]
            swings = host.swings or tuple(swing.turned for swing in other.swings)
            found[host.id] = replace(host, reveal_beyond=turned(other.reveal), swings=swings)
    return tuple(found.values())


def parted_openings(storey: Storey, joined: SetTogether) -> Storey:
    """The storey in which rooms whose join is not among ``joined`` have an opening each again."""
    before = storey.set_together.joins if storey.set_together else ()
    still = {_both(join) for join in joined.joins}
    for join in before:
        if join.beyond_opening is None or _both(join) in still:
            continue
        host = host_opening(storey, join)
        room = next((room for room in storey.rooms if room.id == join.beyond), None)
        if host is None or room is None or room.readings is None:
            continue
        own = next(
            (
                p.opening
                for p in openings_of(room.id, room.readings, room)
                if (p.side, p.number) == (join.beyond_side, join.beyond_opening)
            ),
            None,
        )
        if own is not None and opening_read(storey, room.id, join.beyond_side, join.beyond_opening) is None:
            taken = [str(o.id) for o in storey.openings]
            name = own.id if own.id not in taken else OpeningId(fresh_id(taken, str(own.id)))
            reveal = turned(host.reveal_beyond) if host.reveal_beyond is not None else own.reveal
            alone = tuple(replace(o, reveal_beyond=None) if o.id == host.id else o for o in storey.openings)
            swings = tuple(swing.turned for swing in host.swings)
            storey = replace(storey, openings=(*alone, replace(own, id=name, reveal=reveal, swings=swings)))
    return storey


def _both(join: Join) -> tuple[object, ...]:
    return (join.room, join.side, join.opening, join.beyond, join.beyond_side, join.beyond_opening)


def _known(storey: Storey, joined: SetTogether) -> None:
    rooms = {room.id: room for room in storey.rooms}
    for join in joined.joins:
        for room_id, side_id in ((join.room, join.side), (join.beyond, join.beyond_side)):
            if room_id not in rooms:
                raise InputError(tr("The storey has no room “{name}”: select one that it has.", name=room_id))
            if not any(side.id == side_id for side in rooms[room_id].outline):
                raise InputError(
                    tr("{room} has no wall {side}: select one that it has.", room=label(rooms[room_id]), side=side_id)
                )
        if join.room == join.beyond:
            raise InputError(tr("A room cannot be joined to itself: select the other one."))
        if not math.isfinite(join.thickness_mm) or join.thickness_mm < 0.0:
            raise InputError(tr("The thickness of the wall between the rooms must be 0 or more, for example 0.1."))
        if (join.opening is None) != (join.beyond_opening is None):
            raise InputError(tr("A joined opening is selected in both rooms: select it in the other too."))


def _in_order(joins: Sequence[Join]) -> list[RoomId]:
    """Joined rooms, each reached from one before it. Raises InputError for rooms in two groups."""
    order, waiting = [joins[0].room], list(joins)
    while waiting:
        reached = next((j for j in waiting if j.room in order or j.beyond in order), None)
        if reached is None:
            raise InputError(tr("The joined rooms fall into two groups: join one of each."))
        waiting.remove(reached)
        order += [name for name in (reached.room, reached.beyond) if name not in order]
    return order


def _join_ties(storey: Storey, join: Join, at: dict[RoomId, int]) -> list[Tie]:
    rooms = {room.id: room for room in storey.rooms}
    _, start, end, out = side_line(rooms[join.room], join.side)
    a, b = at[join.room], at[join.beyond]
    _, beyond_start, beyond_end, _ = side_line(rooms[join.beyond], join.beyond_side)
    if join.opening is not None and join.beyond_opening is not None:
        jambs = _jambs(storey, join.room, join.side, join.opening)
        others = _jambs(storey, join.beyond, join.beyond_side, join.beyond_opening)
        far = [(x + out[0] * join.thickness_mm, y + out[1] * join.thickness_mm) for x, y in jambs]
        jamb_ties = [Meet(a, far[0], b, others[1], JAMB_MM), Meet(a, far[1], b, others[0], JAMB_MM)]
    else:
        jamb_ties = []
    shift = (out[0] * join.thickness_mm, out[1] * join.thickness_mm)
    on_line = (start[0] + shift[0], start[1] + shift[1]), (end[0] + shift[0], end[1] + shift[1])
    sigma = PARALLEL_MM if jamb_ties else LENGTH_MM
    return [
        *jamb_ties,
        Meet(a, on_line[0], b, beyond_end, sigma, out),
        Meet(a, on_line[1], b, beyond_start, sigma, out),
    ]


def _jambs(storey: Storey, room_id: RoomId, side_id: SideId, number: int) -> tuple[Point, Point]:
    """Both jambs of an opening as it was read, on the line of its side."""
    room = next(room for room in storey.rooms if room.id == room_id)
    _, start, end, _ = side_line(room, side_id)
    length = math.dist(start, end)
    first, last = from_to(room, side_id, number, length)
    way = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    return (
        (start[0] + way[0] * first, start[1] + way[1] * first),
        (start[0] + way[0] * last, start[1] + way[1] * last),
    )


def _first_poses(storey: Storey, joins: Sequence[Join], order: Sequence[RoomId], at: dict[RoomId, int]) -> list[Pose]:
    """Poses that already put each room's wall against the one it is joined to."""
    poses: dict[int, Pose] = {0: (0.0, 0.0, 0.0)}
    while len(poses) < len(order):
        for join in joins:
            for one in (join, _other(join)):
                if at[one.room] in poses and at[one.beyond] not in poses:
                    poses[at[one.beyond]] = _against(storey, one, poses[at[one.room]])
    return [poses[k] for k in range(len(order))]


def _other(join: Join) -> Join:
    return replace(
        join,
        room=join.beyond,
        side=join.beyond_side,
        beyond=join.room,
        beyond_side=join.side,
        opening=join.beyond_opening,
        beyond_opening=join.opening,
    )


def _against(storey: Storey, join: Join, host: Pose) -> Pose:
    rooms = {room.id: room for room in storey.rooms}
    _, start, end, out = side_line(rooms[join.room], join.side)
    _, other_start, other_end, _ = side_line(rooms[join.beyond], join.beyond_side)
    if join.opening is not None and join.beyond_opening is not None:
        start, end = _jambs(storey, join.room, join.side, join.opening)
        other_start, other_end = _jambs(storey, join.beyond, join.beyond_side, join.beyond_opening)
    mid = put(
        host,
        (
            (start[0] + end[0]) / 2.0 + out[0] * join.thickness_mm,
            (start[1] + end[1]) / 2.0 + out[1] * join.thickness_mm,
        ),
    )
    heading = host[2] + math.atan2(end[1] - start[1], end[0] - start[0])
    own = math.atan2(other_start[1] - other_end[1], other_start[0] - other_end[0])
    turn = math.remainder(heading - own, math.tau)
    other_mid = (other_start[0] + other_end[0]) / 2.0, (other_start[1] + other_end[1]) / 2.0
    turned = put((0.0, 0.0, turn), other_mid)
    return mid[0] - turned[0], mid[1] - turned[1], turn


def _join_name(rooms: dict[RoomId, Room], join: Join) -> str:
    one, other = label(rooms[join.room]), label(rooms[join.beyond])
    if join.opening is None:
        return tr("wall between {room} and {other}", room=one, other=other)
    return tr("opening between {room} and {other}", room=one, other=other)
