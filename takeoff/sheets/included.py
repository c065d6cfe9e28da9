"""What the client has to know beside the figures: what is left uncoated, and what is to be confirmed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from takeoff.errors import Finding
from takeoff.measure.takeoff import RoomTakeoff, Takeoff
from takeoff.plan.model import Job, Room, WallTreatment
from takeoff.sheets.notes import counted, signed
from takeoff.units.printing import fmt2, printed

_LEAST_M2 = 0.005
"""Less than this prints as nothing."""

_MOST_NAMED = 4
"""More rooms or openings than this are counted and not named."""

_ALWAYS = "floors, doors, window frames and glass"
"""What no coat of a room side covers (common practice, no source)."""

Labels = Mapping[tuple[str, str], str]


def not_coated_text(job: Job, takeoff: Takeoff, labels: Labels) -> str:
    """What is not in the figures: rooms, walls, ceilings, what stays on them, sills; never empty.

    "Not G4 Store; ceiling of G3 WC; 4.38 m² behind skirting, tiles; window sills; floors, …"
    """
    bare = [room for room in takeoff.rooms if room.coated_m2 < _LEAST_M2]
    rest = [room for room in takeoff.rooms if room.coated_m2 >= _LEAST_M2]
    parts = [_named("", bare, labels)] if bare else []
    walls = sum(room.not_coated_m2 * room.times for room in rest)
    if walls >= _LEAST_M2:
        parts.append(f"{fmt2(walls)} m² of wall without a band on the plan")
    ceilings = [room for room in rest if room.ceiling_m2 < _LEAST_M2]
    if ceilings:
        parts.append(_named("ceiling of " if len(ceilings) == 1 else "ceilings of ", ceilings, labels))
    left_on = sum(room.excluded_m2 * room.times for room in rest)
    if left_on >= _LEAST_M2:
        what = ", ".join(_left_on(job)) or "what is left on the walls"
        parts.append(f"{fmt2(left_on)} m² behind {what}")
    if any(o.kind == "window" and not o.reveal.sill.coat for s in job.storeys for o in s.openings):
        parts.append("window sills")
    text = "; ".join([*parts, _ALWAYS])
    return text[0].upper() + text[1:] + "."


def to_confirm_text(
    takeoff: Takeoff, findings: Sequence[Finding], labels: Labels, opening: Callable[[str, str], str]
) -> str:
    """The open questions in words a client can answer; "" if there are none.

    ``findings`` are those about the plan and its measuring; ``opening`` names an opening by room
    and id.
    """
    parts = []
    errors = sum(1 for finding in findings if finding.severity == "error")
    if errors:
        parts.append(f"{counted(errors, 'point')} to settle before these figures hold")
    unsure = [room for room in takeoff.rooms if room.confidence != "sure"]
    if unsure:
        parts.append(f"{counted(len(unsure), 'room')} to confirm (marked ?){_listed(unsure, labels)}")
    if takeoff.unsure:
        change = sum((printed(e.change.get("coated_m2", 0.0)) for e in takeoff.unsure), printed(0.0))
        names = [opening(effect.room, effect.opening) for effect in takeoff.unsure]
        named = f": {', '.join(names)}" if len(names) <= _MOST_NAMED else ""
        one = len(takeoff.unsure) == 1
        parts.append(
            f"{counted(len(names), 'opening')} to confirm (marked ?){named}; a change of "
            f"{signed(change)} m² if {'it is one' if one else 'all of them are'}"
        )
    checks = sum(1 for finding in findings if finding.severity == "check")
    if checks:
        parts.append(f"{counted(checks, 'point')} of the measuring still to be looked at")
    text = "; ".join(parts)
    return text[0].upper() + text[1:] + "." if text else ""


def _named(words: str, rooms: Sequence[RoomTakeoff], labels: Labels) -> str:
    if len(rooms) > _MOST_NAMED:
        return f"{words}{len(rooms)} rooms"
    return words + ", ".join(labels[room.storey, room.room] for room in rooms)


def _listed(rooms: Sequence[RoomTakeoff], labels: Labels) -> str:
    return f": {_named('', rooms, labels)}" if len(rooms) <= _MOST_NAMED else ""


def _left_on(job: Job) -> list[str]:
    """What stays on walls and ceilings, in the job's own words, each once."""
    found: dict[str, None] = {}
    for storey in job.storeys:
        for room in storey.rooms:
            for treatment in _treatments(room):
                found |= {band.what: None for band in treatment.bands if band.what}
                found |= {tiles.what: None for tiles in treatment.exclusions if tiles.what}
    return list(found)


def _treatments(room: Room) -> list[WallTreatment]:
    sides = room.sides
    own = [side.treatment for side in sides if side.treatment]
    return [room.walls, *own]
