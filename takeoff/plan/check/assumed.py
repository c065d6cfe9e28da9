"""What nobody gave or what is not certain, summed up per storey."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from takeoff.errors import Finding, Where
from takeoff.plan.model import Opening, Room, Storey
from takeoff.plan.read_on_site import BUDGET
from takeoff.plan.said import finding, mm

_MOST_VALUES = 4
"""Different assumed values that a sentence lists; more are given as a range."""


def assumed_values(storey: Storey) -> list[Finding]:
    """One *assumed* finding for each kind of value that was assumed on a storey, with how many,
    and a *check* for each room that is not sure. Openings that are not sure are counted elsewhere."""
    where = Where(storey=storey.id)
    found = [
        finding(code, "assumed", text, where)
        for code, text in (*_heights(storey), *_openings(storey), *_outlines(storey))
    ]
    return found + list(_rooms_not_sure(storey))


def _heights(storey: Storey) -> Iterator[tuple[str, str]]:
    name = storey.title
    flat = [room for room in storey.rooms if room.ceiling is None]
    if storey.height_source == "assumed" and flat:
        text = f"the height of {name}, {mm(storey.height_mm)}, is assumed for {_count(len(flat), 'room')}: "
        text += "measure it."
        yield "assumed-storey-height", text
    for what, fields in (("ceiling", [r.ceiling for r in storey.rooms]), ("floor", [r.floor for r in storey.rooms])):
        heights = [p.z_mm for f in fields if f is not None and f.source == "assumed" for p in f.planes[:1]]
        if heights:
            rooms = _count(len(heights), "room")
            text = f"the {what} of {rooms} on {name} is assumed ({_values(heights)}): measure it."
            yield f"assumed-{what}", text


def _openings(storey: Storey) -> Iterator[tuple[str, str]]:
    name = storey.title
    for kind, plural in (("window", "windows"), ("door", "doors"), ("open", "open ways")):
        group = [o for o in storey.openings if o.kind == kind]
        sills = [o.sill_mm for o in group if o.sill_source == "assumed"]
        # A door that stands on the floor is what a door is; only other sills are worth a word.
        if kind != "window":
            sills = [sill for sill in sills if sill != 0]
        for part, values in (
            ("sill", sills),
            ("head", [o.head_mm for o in group if o.head_source == "assumed"]),
            ("width", [o.width_mm for o in group if o.width_source == "assumed"]),
            ("reveal", list(_assumed_depths(group))),
        ):
            if values:
                one = len(values) == 1
                what = ("reveal depth" if part == "reveal" else part) + ("" if one else "s")
                counted = _count(len(values), kind if kind != "open" else "open way", plural)
                text = f"the {what} of {counted} on {name} {'is' if one else 'are'} assumed "
                text += f"({_values(values)}): measure {'it' if one else 'them'}."
                yield f"assumed-{kind}-{part}", text


def _assumed_depths(openings: Sequence[Opening]) -> Iterator[float]:
    for opening in openings:
        reveals = [r for r in (opening.reveal, opening.reveal_beyond) if r is not None]
        strips = [s for r in reveals for s in (r.start, r.end, r.head, r.sill)]
        depths = [s.depth_mm for s in strips if s.coat and s.depth_source == "assumed" and s.depth_mm > 0]
        if depths:
            yield max(depths)


def _outlines(storey: Storey) -> Iterator[tuple[str, str]]:
    name = storey.title
    sides = [s for r in storey.rooms for s in r.sides]
    fields = [f for r in storey.rooms for f in (r.ceiling, r.floor) if f is not None]
    treatments = [t for r in storey.rooms for t in (r.walls, r.ceiling_treatment)]
    side_treatments = [s.treatment for s in sides if s.treatment is not None]
    for what, sources in (
        ("side", [s.source for s in sides]),
        ("region", [region.source for f in fields for region in f.regions]),
        ("exclusion", [e.source for t in (*treatments, *side_treatments) for e in t.exclusions]),
        ("rooflight", [light.source for light in storey.rooflights]),
        ("stretch", [b.source for s in sides for b in s.behind]),
    ):
        count = sources.count("assumed")
        if not count:
            continue
        if what == "stretch":
            counted = _count(count, "stretch of wall", "stretches of wall")
            yield "assumed-behind", f"what is behind {counted} on {name} is assumed: decide it."
        else:
            verb = "is" if count == 1 else "are"
            yield f"assumed-{what}", f"{_count(count, what)} on {name} {verb} assumed: measure or draw again."


def _rooms_not_sure(storey: Storey) -> Iterator[Finding]:
    for room in storey.rooms:
        where = Where(storey=storey.id, room=room.id, x_mm=_first_x(room), y_mm=_first_y(room))
        if BUDGET in room.evidence:
            text = f"{room.title} is a budget room, of length, width and height alone: read it on site "
            yield finding("budget-room", "check", text + "before anything is ordered.", where)
            continue
        if room.confidence == "sure":
            continue
        said = "an open question" if room.confidence == "question" else "to be checked"
        text = f"{room.title} is {said}{_because(room)}: look at its outline and accept or refuse it."
        yield finding(f"room-{room.confidence}", "check", text, where)


def _because(room: Room) -> str:
    return f" ({'; '.join(part.rstrip('.') for part in room.evidence)})" if room.evidence else ""


def _first_x(room: Room) -> float | None:
    return room.outline[0].x_mm if room.outline else None


def _first_y(room: Room) -> float | None:
    return room.outline[0].y_mm if room.outline else None


def _count(count: int, one: str, many: str | None = None) -> str:
    return f"{count} {one if count == 1 else many or one + 's'}"


def _values(values: Iterable[float]) -> str:
    different = sorted(set(values))
    if len(different) > _MOST_VALUES:
        return f"{mm(different[0])} to {mm(different[-1])}"
    return ", ".join(mm(value) for value in different)
