"""Rooms put into the job: from readings, in place of what was there with what was set on it kept, and from
length × width × height with a list of openings, to be measured before it is read on site.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import msgspec

from takeoff.errors import InputError
from takeoff.language import mark, tr
from takeoff.plan.edits.lookup import all_rooms, finite, room_place
from takeoff.plan.edits.room_edits import add_room
from takeoff.plan.model import (
    BUDGET,
    Field,
    Job,
    Join,
    Opening,
    OpeningId,
    Plane,
    Readings,
    ReadOpening,
    Reveal,
    Room,
    RoomId,
    Side,
    SideId,
    Storey,
    StoreyId,
    Strip,
)
from takeoff.plan.readings.joined_rooms import set_together_again
from takeoff.plan.readings.walked_outline import Outline, outline_of, side_ids
from takeoff.plan.readings.walked_room import (
    Placed,
    add_openings,
    host_opening,
    opening_of_reading,
    openings_of,
    place,
    right_of,
    ring,
    room_of_points,
    standing,
    stands_as_read,
    turned,
    with_some_storey,
)
from takeoff.plan.usual_sizes import WINDOW_HEAD_MM
from takeoff.units.printing import shown

CLEAR_MM = 50.0
"""Openings of a budget room stand at least this far from corners and from each other, so that no
corner loses its length by a place that nobody chose (common practice, no source)."""


class BudgetOpening(msgspec.Struct, frozen=True):
    """So many openings of one size. ``reveal_mm`` None: a usual depth is assumed."""

    count: int
    width_mm: float
    height_mm: float
    kind: Literal["window", "door", "open"] = "window"
    reveal_mm: float | None = None


def put_budget_room(
    job: Job, storey_id: StoreyId | None, room_id: RoomId, name: str, length_mm: float, width_mm: float,
    height_mm: float, openings: Sequence[BudgetOpening] = (),
) -> Job:  # fmt: skip
    """The job with a rectangular room, to be checked, whose openings are spread over its walls.

    Only areas and lengths are meant; no opening's place is. Windows hang below the usual head or the
    ceiling, doors stand on the floor. Raises InputError for a size that is none, an opening higher
    than the room, and where the walls have no place for all openings.
    """
    finite(length=length_mm, width=width_mm, height=height_mm)
    for what, value in (
        (mark("The length of a room must be more than 0."), length_mm),
        (mark("The width of a room must be more than 0."), width_mm),
        (mark("The height of a room must be more than 0."), height_mm),
    ):
        if value <= 0.0:
            raise InputError(tr(what))
    job, storey = with_some_storey(job, storey_id)
    if any(room.id == room_id for room in all_rooms(job)):
        raise InputError(tr("The id “{name}” names a room already: use another.", name=room_id))
    corners = ((0.0, 0.0), (length_mm, 0.0), (length_mm, width_mm), (0.0, width_mm))
    points = place(corners, *right_of(storey, corners), 0.0)
    room = Room(
        id=room_id, name=name, outline=ring(points, ("typed",) * 4, 1, _SIDES), confidence="check",
        ceiling=Field(planes=(Plane(z_mm=height_mm),), source="typed"), evidence=(BUDGET,),
    )  # fmt: skip
    placed = _spread(room_id, openings, (length_mm, width_mm, length_mm, width_mm), height_mm)
    return add_openings(add_room(job, storey.id, room), room_id, placed)


_SIDES = tuple(SideId(f"s{k}") for k in range(1, 5))


def is_budget(room: Room) -> bool:
    """Whether the room still rests on length × width × height alone."""
    return BUDGET in room.evidence


def _spread(
    room_id: RoomId, openings: Sequence[BudgetOpening], walls: Sequence[float], height_mm: float
) -> tuple[Opening, ...]:
    """The widest first, each in the wall with most left; then evenly apart within each wall."""
    single = [o for o in openings for _ in range(_sound(o, height_mm))]
    inside: list[list[BudgetOpening]] = [[] for _ in walls]
    for opening in sorted(single, key=lambda o: -o.width_mm):
        left = [
            wall - CLEAR_MM - sum(o.width_mm + CLEAR_MM for o in there)
            for wall, there in zip(walls, inside, strict=True)
        ]
        best = max(range(len(walls)), key=lambda k: left[k])
        if left[best] < opening.width_mm + CLEAR_MM:
            raise InputError(
                tr(
                    "The walls have no place for an opening {width} m wide beside the others: check them.",
                    width=shown(opening.width_mm / 1000, 2),
                )
            )
        inside[best].append(opening)
    made: list[Opening] = []
    for k, (wall, there) in enumerate(zip(walls, inside, strict=True)):
        gap, at = (wall - sum(o.width_mm for o in there)) / (len(there) + 1), 0.0
        for opening in there:
            at += gap
            made.append(_made(room_id, len(made) + 1, SideId(f"s{k + 1}"), at, opening, height_mm))
            at += opening.width_mm
    return tuple(made)


def _sound(opening: BudgetOpening, height_mm: float) -> int:
    finite(width=opening.width_mm, height=opening.height_mm, reveal=opening.reveal_mm)
    if opening.count < 1 or opening.width_mm <= 0.0 or opening.height_mm <= 0.0:
        raise InputError(tr("Number, width and height of an opening must be more than 0: type all three."))
    if opening.height_mm > height_mm:
        raise InputError(
            tr(
                "An opening {height} m high is higher than its room ({room} m): check both.",
                height=shown(opening.height_mm / 1000, 2),
                room=shown(height_mm / 1000, 2),
            )
        )
    return opening.count


def _made(
    room_id: RoomId, number: int, side: SideId, at_mm: float, opening: BudgetOpening, height_mm: float
) -> Opening:
    if opening.kind == "window":
        head = min(max(WINDOW_HEAD_MM, opening.height_mm), height_mm)
        sill = head - opening.height_mm
    else:
        sill, head = 0.0, opening.height_mm
    read = ReadOpening(
        from_mm=at_mm,
        to_mm=at_mm + opening.width_mm,
        kind=opening.kind,
        sill_mm=sill,
        head_mm=head,
        reveal_mm=opening.reveal_mm,
    )
    made = opening_of_reading(OpeningId(f"{room_id}-b{number}"), room_id, side, at_mm, read, "typed")
    # only the height was given: where a window hangs is assumed
    assumed = "assumed" if opening.kind == "window" else "typed"
    return msgspec.structs.replace(made, sill_source=assumed, head_source=assumed, evidence=(BUDGET,))


def put_room(job: Job, storey_id: StoreyId | None, room_id: RoomId, name: str, readings: Readings) -> Job:
    """The job with the room that the readings give.

    A room of that id is replaced where it stands: corner A and the first side keep place and
    direction, and what was set on room, sides and openings stays; rooms that are set together with it
    are moved to fit it again (where that cannot be done any more they stay, and the check says so). A
    new one stands to the right of the others of its storey (None: the first, made where there is none).
    Raises InputError where the readings do not give a closed outline, or it crosses itself.
    """
    outline = outline_of(readings)
    if not outline.closed:
        raise InputError(outline.missing)
    faults = [finding.text for finding in outline.findings if finding.severity == "error"]
    if faults:
        raise InputError(faults[0])
    readings = _named(readings)
    old = next((room for room in all_rooms(job) if room.id == room_id), None)
    if old is not None:
        same = old.readings == readings and name in ("", old.name) and stands_as_read(old, outline)
        return job if same else _in_place(job, room_id, name, readings, outline)
    job, storey = with_some_storey(job, storey_id)
    points = place(outline.points, *right_of(storey, outline.points), 0.0)
    room = room_of_points(room_id, name, readings, points, outline)
    made = tuple(read.opening for read in openings_of(room_id, readings, room))
    return add_openings(add_room(job, storey.id, room), room_id, made)


def _named(readings: Readings) -> Readings:
    """The readings with the ids of their sides written out, so that they stay when sides come and go."""
    named = zip(side_ids(readings.sides), readings.sides, strict=True)
    return replace(readings, sides=tuple(replace(side, id=str(name)) for name, side in named))


def _in_place(job: Job, room_id: RoomId, name: str, readings: Readings, outline: Outline) -> Job:
    s, r = room_place(job, room_id)
    storey = job.storeys[s]
    old = storey.rooms[r]
    new = room_of_points(room_id, name, readings, standing(old, outline.points), outline)
    own, others = kept_openings(storey, room_id, openings_of(room_id, readings, new))
    rooms = (*storey.rooms[:r], kept_room(old, new), *storey.rooms[r + 1 :])
    bare = replace(storey, rooms=rooms, openings=others)
    job = replace(job, storeys=(*job.storeys[:s], bare, *job.storeys[s + 1 :]))
    return set_together_again(add_openings(job, room_id, own), room_id)


replace = msgspec.structs.replace


def kept_room(old: Room, new: Room) -> Room:
    """The new outline, heights and readings with everything else of the old room.

    Sides keep what was set on the one of the same id. Of a room that was not read on site before, nobody
    can say which wall was which.
    """
    by_id = {side.id: side for side in old.outline} if old.readings is not None else {}
    evidence = tuple(words for words in old.evidence if words != BUDGET)
    was_budget = len(evidence) < len(old.evidence)
    return replace(
        old,
        name=new.name or old.name,
        outline=tuple(_kept_side(by_id.get(side.id), side) for side in new.outline),
        ceiling=new.ceiling if new.ceiling is not None else old.ceiling,
        readings=new.readings,
        evidence=evidence,
        confidence="sure" if was_budget else old.confidence,
    )


def _kept_side(old: Side | None, new: Side) -> Side:
    return new if old is None else replace(old, x_mm=new.x_mm, y_mm=new.y_mm, bulge=0.0, source=new.source)


def kept_openings(
    storey: Storey, room_id: RoomId, new: Sequence[Placed]
) -> tuple[tuple[Opening, ...], tuple[Opening, ...]]:
    """(The room's new openings, all others of the storey) after new readings.

    Each new one has id, mark and coats of the old one that it most likely is: of its own id, else the
    nearest in size of its kind. One that is joined to another room's opening is that room's, and gives
    it the reveal on this side.
    """
    left = [o for o in storey.openings if o.room == room_id]
    others = {o.id: o for o in storey.openings if o.room != room_id}
    found = []
    for placed in new:
        host = _host(storey, room_id, placed)
        if host is not None:
            others[host.id] = _with_beyond(host, turned(placed.opening.reveal))
            continue
        before = _same(placed.opening, left)
        if before is not None:
            left.remove(before)
        found.append(placed.opening if before is None else _with_settings(before, placed.opening))
    return tuple(found), tuple(others.values())


def _host(storey: Storey, room_id: RoomId, placed: Placed) -> Opening | None:
    """The other room's opening that this one is joined to."""
    joins: Sequence[Join] = storey.set_together.joins if storey.set_together else ()
    join = next(
        (j for j in joins if (j.beyond, j.beyond_side, j.beyond_opening) == (room_id, placed.side, placed.number)), None
    )
    return host_opening(storey, join) if join is not None else None


def _with_beyond(host: Opening, reveal: Reveal) -> Opening:
    old = host.reveal_beyond
    return replace(host, reveal_beyond=reveal if old is None else _reveal(old, reveal))


def _same(opening: Opening, left: Sequence[Opening]) -> Opening | None:
    named = next((o for o in left if o.id == opening.id and o.kind == opening.kind), None)
    alike = sorted((o for o in left if o.kind == opening.kind), key=lambda o: _unlike(o, opening))
    return named or (alike[0] if alike else None)


def _unlike(a: Opening, b: Opening) -> float:
    return abs(a.width_mm - b.width_mm) + abs((a.head_mm - a.sill_mm) - (b.head_mm - b.sill_mm))


def _with_settings(old: Opening, new: Opening) -> Opening:
    """Sizes and place of the new one; what it only assumes gives way to what the old one knew."""
    return replace(
        new,
        id=old.id,
        mark=old.mark,
        shape=old.shape,
        rise_mm=old.rise_mm,
        reveal_beyond=old.reveal_beyond,
        sill_mm=_known(old.sill_mm, old.sill_source, new.sill_mm, new.sill_source),
        sill_source=old.sill_source if new.sill_source == "assumed" else new.sill_source,
        head_mm=_known(old.head_mm, old.head_source, new.head_mm, new.head_source),
        head_source=old.head_source if new.head_source == "assumed" else new.head_source,
        reveal=_reveal(old.reveal, new.reveal),
        swings=old.swings,
    )


def _reveal(old: Reveal, new: Reveal) -> Reveal:
    return Reveal(
        start=_strip(old.start, new.start),
        end=_strip(old.end, new.end),
        head=_strip(old.head, new.head),
        sill=_strip(old.sill, new.sill),
        splay_deg=old.splay_deg,
    )


def _known(old: float, old_source: str, new: float, new_source: str) -> float:
    return old if new_source == "assumed" and old_source != "assumed" else new


def _strip(old: Strip, new: Strip) -> Strip:
    if new.depth_source == "assumed" and old.depth_source != "assumed":
        return old
    return replace(new, coat=old.coat)
