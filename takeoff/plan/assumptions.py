"""What nobody gave: every assumed value of a job one by one, so that each can be confirmed or corrected by itself,
and what is assumed or not certain on a storey summed up as findings.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from typing import Literal

import msgspec

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.language import tr, tr_count
from takeoff.plan.model import BUDGET, Field, Job, Opening, Room, Storey
from takeoff.plan.reasons import all_spoken
from takeoff.plan.said import mm

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


_MOST_VALUES = 4
"""Different assumed values that a sentence lists; more are given as a range."""

_OPENINGS: dict[str, Callable[[int], str]] = {
    "window": lambda count: tr_count("{count} window", "{count} windows", count),
    "door": lambda count: tr_count("{count} door", "{count} doors", count),
    "open": lambda count: tr_count("{count} doorway", "{count} doorways", count),
}

_DRAWN: dict[str, Callable[[int], str]] = {
    "side": lambda count: tr_count("{count} wall", "{count} walls", count),
    "region": lambda count: tr_count(
        "{count} part of a floor or ceiling", "{count} parts of floors or ceilings", count
    ),
    "exclusion": lambda count: tr_count("{count} masked part", "{count} masked parts", count),
    "rooflight": lambda count: tr_count("{count} rooflight", "{count} rooflights", count),
}


def assumed_values(storey: Storey) -> list[Finding]:
    """One *assumed* finding for each kind of value that was assumed on a storey, with how many,
    and a *check* for each room that is not sure. Openings that are not sure are counted elsewhere."""
    return [*_lengths(storey), *_outlines(storey), *_rooms_not_sure(storey)]


def _lengths(storey: Storey) -> Iterator[Finding]:
    where, name = Where(storey=storey.id), storey.title
    by_kind: dict[str, list[float]] = defaultdict(list)
    for value in assumed_on(storey):
        by_kind[value.kind].append(value.value_mm)
    if "storey-height" in by_kind:
        rooms = _rooms(sum(room.ceiling is None for room in storey.rooms))
        yield noticed("assumed-storey-height", where, storey=name, height=mm(storey.height_mm), rooms=rooms)
    for what in ("ceiling", "floor"):
        if values := by_kind[what]:
            rooms = _rooms(len(values))
            yield noticed(f"assumed-{what}", where, rooms=rooms, storey=name, values=_values(values))
    for kind, counted in _OPENINGS.items():
        for part in ("sill", "head", "width", "reveal"):
            if values := by_kind[f"{kind}-{part}"]:
                openings = counted(len(values))
                yield noticed(f"assumed-{kind}-{part}", where, storey=name, openings=openings, values=_values(values))


def _outlines(storey: Storey) -> Iterator[Finding]:
    where, name = Where(storey=storey.id), storey.title
    sides = [s for r in storey.rooms for s in r.sides]
    fields = [f for r in storey.rooms for f in (r.ceiling, r.floor) if f is not None]
    treatments = [t for r in storey.rooms for t in (r.walls, r.ceiling_treatment)]
    side_treatments = [s.treatment for s in sides if s.treatment is not None]
    for what, sources in (
        ("side", [s.source for s in sides]),
        ("region", [region.source for f in fields for region in f.regions]),
        ("exclusion", [e.source for t in (*treatments, *side_treatments) for e in t.exclusions]),
        ("rooflight", [light.source for light in storey.rooflights]),
    ):
        if count := sources.count("assumed"):
            yield noticed(f"assumed-{what}", where, things=_DRAWN[what](count), storey=name)
    if count := [b.source for s in sides for b in s.behind].count("assumed"):
        things = tr_count("{count} stretch of wall", "{count} stretches of wall", count)
        yield noticed("assumed-behind", where, things=things, storey=name)


def _rooms_not_sure(storey: Storey) -> Iterator[Finding]:
    for room in storey.rooms:
        x, y = (room.outline[0].x_mm, room.outline[0].y_mm) if room.outline else (None, None)
        where = Where(storey=storey.id, room=room.id, x_mm=x, y_mm=y)
        if BUDGET in room.evidence:
            yield noticed("budget-room", where, room=room.title)
        elif room.confidence != "sure":
            yield noticed(f"room-{room.confidence}", where, room=room.title, because=_because(room))


def _because(room: Room) -> str:
    return "; ".join(part.rstrip(".") for part in all_spoken(room.evidence)) + "." if room.evidence else ""


def _rooms(count: int) -> str:
    return tr_count("{count} room", "{count} rooms", count)


def _values(values: Iterable[float]) -> str:
    different = sorted(set(values))
    if len(different) > _MOST_VALUES:
        return tr("{least} to {most}", least=mm(different[0]), most=mm(different[-1]))
    return ", ".join(mm(value) for value in different)
