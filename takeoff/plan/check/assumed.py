"""What nobody gave or what is not certain, summed up per storey."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.plan.assumptions import assumed_on
from takeoff.plan.model import Room, Storey
from takeoff.plan.read_on_site import BUDGET
from takeoff.plan.said import counted, mm

_MOST_VALUES = 4
"""Different assumed values that a sentence lists; more are given as a range."""

_OPENINGS = {"window": ("window", "windows"), "door": ("door", "doors"), "open": ("open way", "open ways")}


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
        rooms = counted(sum(room.ceiling is None for room in storey.rooms), "room")
        yield noticed("assumed-storey-height", where, storey=name, height=mm(storey.height_mm), rooms=rooms)
    for what in ("ceiling", "floor"):
        if values := by_kind[what]:
            rooms = counted(len(values), "room")
            yield noticed(f"assumed-{what}", where, rooms=rooms, storey=name, values=_values(values))
    for kind, (one, many) in _OPENINGS.items():
        for part in ("sill", "head", "width", "reveal"):
            if values := by_kind[f"{kind}-{part}"]:
                single = len(values) == 1
                sizes = ("reveal depth" if part == "reveal" else part) + ("" if single else "s")
                are, them = ("is", "it") if single else ("are", "them")
                yield noticed(
                    f"assumed-{kind}-{part}",
                    where,
                    storey=name,
                    are=are,
                    them=them,
                    sizes=sizes,
                    openings=counted(len(values), one, many),
                    values=_values(values),
                )


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
            are = "is" if count == 1 else "are"
            yield noticed(f"assumed-{what}", where, things=counted(count, what), storey=name, are=are)
    if count := [b.source for s in sides for b in s.behind].count("assumed"):
        things = counted(count, "stretch of wall", "stretches of wall")
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
    return f" ({'; '.join(part.rstrip('.') for part in room.evidence)})" if room.evidence else ""


def _values(values: Iterable[float]) -> str:
    different = sorted(set(values))
    if len(different) > _MOST_VALUES:
        return f"{mm(different[0])} to {mm(different[-1])}"
    return ", ".join(mm(value) for value in different)
