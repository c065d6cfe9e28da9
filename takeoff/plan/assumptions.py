"""Every assumed value of a job one by one, so that each can be confirmed or corrected by itself."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

import msgspec

from takeoff.plan.model import Field, Job, Opening, Room, Storey

Kind = Literal[
    "storey-height",
    "ceiling",
    "floor",
    "window-sill",
    "window-head",
    "window-width",
    "window-reveal",
    "door-sill",
    "door-head",
    "door-width",
    "door-reveal",
    "open-sill",
    "open-head",
    "open-width",
    "open-reveal",
]


class Assumed(msgspec.Struct, frozen=True):
    """A value that nobody gave. ``thing``: the room or opening whose it is ("" for a storey's height),
    ``room`` the room to look at; ``code`` as the check's finding for all of its kind."""

    kind: Kind
    storey: str
    value_mm: float
    thing: str = ""
    room: str = ""

    @property
    def code(self) -> str:
        """The code under which the check sums up values of this kind."""
        return f"assumed-{self.kind}"


def assumptions(job: Job) -> tuple[Assumed, ...]:
    """Every assumed height, sill, head, width and reveal depth, storey by storey; () where all was given.

    The same values that the check sums up: a storey's height only where a room has no ceiling of its
    own, sills on the floor of windows only, depths of coated strips only.
    """
    return tuple(assumed for storey in job.storeys for assumed in assumed_on(storey))


def assumed_on(storey: Storey) -> Iterator[Assumed]:
    """Those of one storey."""
    name = str(storey.id)
    if storey.height_source == "assumed" and any(room.ceiling is None for room in storey.rooms):
        yield Assumed("storey-height", name, storey.height_mm)
    for room in storey.rooms:
        yield from _of_room(name, room)
    for opening in storey.openings:
        yield from _of_opening(name, opening)


def _of_room(storey: str, room: Room) -> Iterator[Assumed]:
    for field, kind in ((room.ceiling, "ceiling"), (room.floor, "floor")):
        if field is not None and field.source == "assumed" and field.planes:
            height = field.planes[0].z_mm
            yield Assumed("ceiling" if kind == "ceiling" else "floor", storey, height, room.id, room.id)


def _of_opening(storey: str, opening: Opening) -> Iterator[Assumed]:
    # A door that stands on the floor is what a door is; only other sills are worth a word.
    sill_counts = opening.kind == "window" or opening.sill_mm != 0
    values: list[tuple[str, float]] = []
    if opening.sill_source == "assumed" and sill_counts:
        values.append(("sill", opening.sill_mm))
    if opening.head_source == "assumed":
        values.append(("head", opening.head_mm))
    if opening.width_source == "assumed":
        values.append(("width", opening.width_mm))
    depth = assumed_depth_mm(opening)
    if depth is not None:
        values.append(("reveal", depth))
    for part, value in values:
        kind: Kind = f"{opening.kind}-{part}"  # type: ignore[assignment]
        yield Assumed(kind, storey, value, str(opening.id), str(opening.room))


def assumed_depth_mm(opening: Opening) -> float | None:
    """The deepest coated strip whose depth is assumed; None where none is."""
    reveals = [reveal for reveal in (opening.reveal, opening.reveal_beyond) if reveal is not None]
    depths = [
        strip.depth_mm
        for reveal in reveals
        for strip in (reveal.start, reveal.end, reveal.head, reveal.sill)
        if strip.coat and strip.depth_source == "assumed" and strip.depth_mm > 0
    ]
    return max(depths, default=None)


def field_of(room: Room, kind: str) -> Field | None:
    """The ceiling or the floor that an assumption of that kind speaks of."""
    return room.ceiling if kind == "ceiling" else room.floor
