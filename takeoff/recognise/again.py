"""Rooms proposed anew from the same drawing: what a user had set is kept, or it is said what is lost.

Three jobs: the one proposed before, the user's as it stands, and the one proposed now. What the user
left as it was proposed follows the new proposal; what he set or drew stays.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, NamedTuple

import msgspec
import shapely

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.language import tr
from takeoff.language.lists import some_of
from takeoff.plan.model import Job, Opening, OpeningId, Room, RoomId, Storey
from takeoff.plan.shape import outer_polygon, vertices

replace = msgspec.structs.replace

SAME = 0.995
"""Outlines that overlap by so much (intersection over union) are one."""
ALIKE = 0.5
"""A room whose outline moved by less is still that room."""
IN_THE_WAY = 0.05
"""A proposed room of which more lies in a room of the user's is left out."""
LISTED = 6
_ROOM_VALUES = (
    "name",
    "number",
    "times",
    "ceiling",
    "floor",
    "floor_build_up_mm",
    "ceiling_build_up_mm",
    "above",
    "above_source",
    "walls",
    "ceiling_treatment",
    "stair",
)
_STOREY_VALUES = ("name", "level_mm", "height_mm", "height_source", "times", "rooflights", "set_together")
_JOB_VALUES = ("name", "wall_types", "system", "system_copy", "convention", "bead_default", "coat_edge_default")


class Home(NamedTuple):
    """A room with its openings and its polygon."""

    room: Room
    openings: tuple[Opening, ...]
    polygon: shapely.Polygon


class Settled(NamedTuple):
    """A storey put together, with the names of rooms that were kept and sentences on what is lost."""

    storey: Storey
    kept: list[str]
    lost: list[Finding]


def again(before: Job, mine: Job, new: Job) -> tuple[Job, tuple[Finding, ...]]:
    """The new proposal with what the user set in ``mine`` since ``before``, and findings: a note that
    names the rooms that were kept, a check for each that lost something. With nothing set it is the new
    proposal under the ids of the rooms that it has in common with the old."""
    fields = _changed(_JOB_VALUES, mine, before)
    storeys: list[Storey] = []
    kept: list[str] = []
    lost: list[Finding] = []
    taken = {str(r.id) for s in (*new.storeys, *mine.storeys) for r in s.rooms}
    old = {s.id: s for s in before.storeys}
    current = {s.id: s for s in mine.storeys}
    for storey in new.storeys:
        own = current.pop(storey.id, None)
        if own is None:
            storeys.append(storey)
            continue
        settled = _storey(old.get(storey.id, Storey(id=storey.id)), own, storey, taken)
        storeys.append(settled.storey)
        kept += settled.kept
        lost += settled.lost
    for own in current.values():
        rest = _touched(own, old.get(own.id, Storey(id=own.id)))
        if rest:
            storeys.append(
                replace(own, rooms=tuple(h.room for h in rest), openings=tuple(o for h in rest for o in h.openings))
            )
            kept += [_name(h.room) for h in rest]
    job = replace(new, storeys=_own_ids(tuple(storeys)), **fields)
    return job, (*_told(kept), *lost)


def _storey(before: Storey, mine: Storey, new: Storey, taken: set[str]) -> Settled:
    homes, old = _homes(new), {h.room.id: h for h in _homes(before)}
    kept: list[str] = []
    lost: list[Finding] = []
    stay: list[Home] = []
    gone: set[RoomId] = set()
    for own in _touched(mine, before):
        match, was = _best(own, homes, gone), old.get(own.room.id)
        as_drawn = was is None or vertices(was.room.outline) != vertices(own.room.outline)
        moved = match is not None and ALIKE <= _overlap(own, match) < SAME
        if match is None or was is None or as_drawn or not moved:
            stay.append(own)
            kept.append(_name(own.room))
        else:
            made, parts = _moved(own, match, was)
            stay.append(made)
            lost += _lost(new, own.room, parts)
        if match is not None and _overlap(stay[-1], match) >= SAME:
            gone.add(match.room.id)
    refused = [was for name, was in old.items() if all(r.id != name for r in mine.rooms)]
    fresh = [h for h in homes if h.room.id not in gone and all(_overlap(h, r) < SAME for r in refused)]
    out = [h for h in fresh if any(_part_in(h, s) > IN_THE_WAY for s in stay)]
    lost += [_in_the_way(new, h) for h in out]
    fresh = _with_old_ids([h for h in fresh if h not in out], _homes(mine), {h.room.id for h in stay}, taken)
    every = [*fresh, *stay]
    storey = replace(
        new,
        rooms=tuple(h.room for h in every),
        openings=tuple(o for h in every for o in h.openings),
        **_changed(_STOREY_VALUES, mine, before),
    )
    return Settled(storey, kept, lost)


def _changed(names: tuple[str, ...], mine: msgspec.Struct, before: msgspec.Struct) -> dict[str, Any]:
    """The fields that the user set, as he set them."""
    return {name: getattr(mine, name) for name in names if getattr(mine, name) != getattr(before, name)}


def _in_the_way(storey: Storey, home: Home) -> Finding:
    middle = home.polygon.centroid
    where = Where(storey=str(storey.id), x_mm=middle.x, y_mm=middle.y)
    return noticed("room-in-the-way", where, called=_name(home.room))


def _touched(mine: Storey, before: Storey) -> list[Home]:
    """The rooms that the user drew, or that differ from what was proposed, with their openings."""
    proposed = {h.room.id: h for h in _homes(before)}
    return [
        own
        for own in _homes(mine)
        if own.room.id not in proposed
        or own.room != proposed[own.room.id].room
        or own.openings != proposed[own.room.id].openings
    ]


def _moved(own: Home, match: Home, was: Home) -> tuple[Home, list[str]]:
    """The new outline with the values that the user set, and in words what of his it cannot carry."""
    lost = []
    sides, were = ({side.id: side for side in room.sides} for room in (own.room, was.room))
    if any(sides[name].treatment != were[name].treatment for name in sides.keys() & were.keys()):
        lost.append(tr("what is coated on single walls"))
    if any(sides[name].behind != were[name].behind for name in sides.keys() & were.keys()):
        lost.append(tr("what is behind its walls"))
    if own.room.corners != was.room.corners:
        lost.append(tr("the choices at its corners"))
    if own.openings != was.openings:
        lost.append(tr("what you set of its openings"))
    room = replace(match.room, id=own.room.id, **_changed(_ROOM_VALUES, own.room, was.room))
    return Home(room, tuple(replace(o, room=room.id) for o in match.openings), match.polygon), lost


def _lost(storey: Storey, room: Room, parts: list[str]) -> list[Finding]:
    where = Where(storey=str(storey.id), room=str(room.id))
    if not parts:
        return [noticed("outline-changed", where, called=_name(room))]
    return [noticed("set-values-lost", where, called=_name(room), lost=", ".join(parts))]


def _with_old_ids(fresh: list[Home], mine: list[Home], kept: set[RoomId], taken: set[str]) -> list[Home]:
    """Rooms that are where rooms were keep their ids; others never take one that is in use."""
    made, used = [], {str(name) for name in kept}
    for home in fresh:
        match = _best(home, mine, kept | {RoomId(name) for name in used})
        same = match is not None and _overlap(home, match) >= SAME
        name = str(match.room.id) if match is not None and same else str(home.room.id)
        if name in used or (not same and any(name == str(m.room.id) for m in mine)):
            name = _fresh(taken | used)
        used.add(name)
        room = home.room if home.room.id == name else replace(home.room, id=RoomId(name))
        openings = tuple(o if o.room == room.id else replace(o, room=room.id) for o in home.openings)
        made.append(Home(room, openings, home.polygon))
    return made


def _fresh(taken: set[str]) -> str:
    number = 1
    while f"r{number}" in taken:
        number += 1
    return f"r{number}"


def _own_ids(storeys: tuple[Storey, ...]) -> tuple[Storey, ...]:
    """Openings get ids that no other has, over all storeys."""
    used = {str(light.id) for s in storeys for light in s.rooflights}
    made = []
    for storey in storeys:
        openings = []
        for opening in storey.openings:
            name, number = str(opening.id), 1
            while name in used:
                number += 1
                name = f"{opening.id}.{number}"
            used.add(name)
            openings.append(opening if name == opening.id else replace(opening, id=OpeningId(name)))
        made.append(replace(storey, openings=tuple(openings)))
    return tuple(made)


def _homes(storey: Storey) -> list[Home]:
    return [
        Home(room, tuple(o for o in storey.openings if o.room == room.id), outer_polygon(room)) for room in storey.rooms
    ]


def _best(own: Home, homes: Iterable[Home], gone: set[RoomId]) -> Home | None:
    free = [h for h in homes if h.room.id not in gone]
    return max(free, key=lambda h: _overlap(own, h), default=None)


def _overlap(a: Home, b: Home) -> float:
    """Intersection over union; 0 for rooms apart."""
    if not a.polygon.intersects(b.polygon):
        return 0.0
    union = a.polygon.union(b.polygon).area
    return float(a.polygon.intersection(b.polygon).area / union) if union > 0.0 else 0.0


def _part_in(home: Home, other: Home) -> float:
    area = home.polygon.area
    return float(home.polygon.intersection(other.polygon).area / area) if area > 0.0 else 0.0


def _name(room: Room) -> str:
    return " ".join(part for part in (room.number, room.name) if part) or room.title


def _told(kept: list[str]) -> tuple[Finding, ...]:
    if not kept:
        return ()
    return (noticed("rooms-kept", rooms=some_of(kept, LISTED)),)
