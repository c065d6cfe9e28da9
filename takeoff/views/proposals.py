"""What recognition proposed, in the order in which a person should look at it: open questions, what is to
check, then what is sure."""

from __future__ import annotations

from typing import Literal

import msgspec

from takeoff.plan.model import Confidence, Job, Opening, Room, Storey
from takeoff.units.printing import fmt2
from takeoff.views.cards import labels, storey_name

CONFIDENCE_WORDS: dict[Confidence, str] = {"question": "open question", "check": "to check", "sure": "sure"}
_ORDER: dict[Confidence, int] = {"question": 0, "check": 1, "sure": 2}
_KINDS = {"window": "Window", "door": "Door", "open": "Open way"}


class Proposal(msgspec.Struct, frozen=True):
    """A room or an opening with what speaks for and against it. ``effect``: what saying "right" changes."""

    kind: Literal["room", "opening", "rooflight"]
    id: str
    room: str
    storey: str
    title: str
    place: str
    confidence: Confidence
    evidence: tuple[str, ...]
    effect: str

    @property
    def refusal(self) -> str:
        """What its second button says."""
        return {"room": "Not a room", "opening": "No opening", "rooflight": "No rooflight"}[self.kind]


def proposals(job: Job, sure_too: bool = False) -> tuple[Proposal, ...]:
    """Every proposal that is not sure, open questions first, rooms before openings, storey by storey;
    ``sure_too``: after them those that are. What was drawn by hand carries no evidence and is not asked
    about."""
    names = labels(job)
    found = [p for storey in job.storeys for p in _of_storey(job, storey, names)]
    kept = [p for p in found if p.confidence != "sure" or (sure_too and p.evidence)]
    return tuple(sorted(kept, key=lambda p: _ORDER[p.confidence]))


def _of_storey(job: Job, storey: Storey, names: dict[tuple[str, str], str]) -> list[Proposal]:
    place = storey_name(storey) if len(job.storeys) > 1 else ""
    key = str(storey.id)
    rooms = [_room(room, key, names[key, str(room.id)], place) for room in storey.rooms]
    openings = [_opening(o, key, names.get((key, str(o.room)), str(o.room)), place) for o in storey.openings]
    lights = [
        Proposal(
            "rooflight",
            str(o.id),
            str(o.room),
            key,
            f"Rooflight {o.mark}".strip(),
            _in(names.get((key, str(o.room)), str(o.room)), place),
            o.confidence,
            o.evidence,
            "It is cut out of the ceiling once it is right.",
        )
        for o in storey.rooflights
    ]
    return [*rooms, *openings, *lights]


def _room(room: Room, storey: str, name: str, place: str) -> Proposal:
    return Proposal(
        "room",
        str(room.id),
        str(room.id),
        storey,
        name,
        place,
        room.confidence,
        room.evidence,
        "It is measured as it stands." if room.confidence != "sure" else "",
    )


def _opening(opening: Opening, storey: str, room: str, place: str) -> Proposal:
    size = f"{fmt2(opening.width_mm / 1000.0)} m wide"
    title = " ".join(part for part in (_KINDS[opening.kind], opening.mark) if part) + f", {size}"
    effect = "It is not measured until you say that it is right." if opening.confidence != "sure" else ""
    return Proposal(
        "opening",
        str(opening.id),
        str(opening.room),
        storey,
        title,
        _in(room, place),
        opening.confidence,
        opening.evidence,
        effect,
    )


def _in(room: str, place: str) -> str:
    return f"in {room}" + (f", {place}" if place else "")


def counts(job: Job) -> tuple[int, int]:
    """(rooms, openings and rooflights) that are not sure."""
    rooms = sum(room.confidence != "sure" for storey in job.storeys for room in storey.rooms)
    ways = sum(o.confidence != "sure" for storey in job.storeys for o in storey.openings)
    ways += sum(o.confidence != "sure" for storey in job.storeys for o in storey.rooflights)
    return rooms, ways
