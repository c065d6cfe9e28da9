"""A room of length × width × height with a list of openings, to be measured before it is read on site."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import msgspec

from takeoff.errors import InputError
from takeoff.plan.edits.lookup import all_rooms, finite
from takeoff.plan.edits.room_edits import add_room
from takeoff.plan.model import Field, Job, Opening, OpeningId, Plane, Room, RoomId, SideId, StoreyId
from takeoff.plan.read_on_site import BUDGET, ReadOpening
from takeoff.plan.readings.room import (
    WINDOW_HEAD_MM,
    add_openings,
    opening_of_reading,
    place,
    right_of,
    ring,
    with_some_storey,
)

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
    for what, value in (("length", length_mm), ("width", width_mm), ("height", height_mm)):
        if value <= 0.0:
            raise InputError(f"The {what} of a room is more than nothing: type it.")
    job, storey = with_some_storey(job, storey_id)
    if any(room.id == room_id for room in all_rooms(job)):
        raise InputError(f"The id “{room_id}” names a room already: choose another.")
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
                f"The walls have no place for an opening {opening.width_mm / 1000:.2f} m wide "
                "beside the others: look at the numbers and the widths."
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
        raise InputError("An opening has a number, a width and a height above nothing: type all three.")
    if opening.height_mm > height_mm:
        raise InputError(
            f"An opening {opening.height_mm / 1000:.2f} m high is higher than its room "
            f"({height_mm / 1000:.2f} m): look at both."
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
