"""What holds add to the work: room by room, from what was seen and read at any stage.

Clearing a hold lifts the stop and not the work: what was found stays in scope and price until the answer or the reading
itself is changed, so that a price does not fall once its preparation is done.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal

import msgspec

from takeoff.language import mark, tr
from takeoff.measure.takeoff import RoomTakeoff, Takeoff
from takeoff.plan.model import Job
from takeoff.plan.site_check import STAGES, Face, SiteCheck
from takeoff.sitecheck.holds import answers, latest_reading, limit
from takeoff.sitecheck.usual_limits import Preparation, PreparationKind, usual
from takeoff.units.printing import printed

FACES: tuple[Face, ...] = ("walls", "ceiling")

CAUSES: dict[str, str] = {
    "lining": mark("lining or paper"),
    "loose-paint": mark("loose paint"),
    "old-paint": mark("old paint"),
    "textured": mark("textured coating"),
    "mould": mark("mould"),
    "damp": mark("damp"),
    "water-ingress": mark("water coming in"),
    "porous": mark("soaking surface"),
    "gap": mark("uneven wall"),
}


class Preparing(msgspec.Struct, frozen=True):
    """Work of one kind in one room, for one of its copies. ``area_m2``: as it is printed, what is worked on, 0 for what
    counts each; ``count``: of these. ``causes``: why, by the words of ``CAUSES``."""

    kind: Preparation
    storey: str
    room: str
    area_m2: Decimal
    count: int
    causes: tuple[str, ...]

    @property
    def quantity(self) -> Decimal:
        """Of one copy of the room: m², or how many."""
        return self.area_m2 if self.area_m2 else Decimal(self.count)


def preparations(job: Job, takeoff: Takeoff) -> tuple[Preparing, ...]:
    """Work room by room, in the takeoff's order; of rooms with something to coat. Empty where nothing was found."""
    found: list[Preparing] = []
    for room in takeoff.rooms:
        if room.coated_m2 > 0:
            found += _of_room(job.site_check, room)
    return tuple(found)


def cause_words(preparing: Preparing) -> tuple[str, ...]:
    """Why, in the user's language."""
    return tuple(tr(CAUSES[cause]) for cause in preparing.causes)


def _of_room(check: SiteCheck, room: RoomTakeoff) -> Iterator[Preparing]:
    asked: dict[Preparation, dict[str, set[Face]]] = {}
    for cause, preparation, faces in _causes(check, room.room):
        asked.setdefault(preparation, {}).setdefault(cause, set()).update(faces)
    for kind in usual().preparations:
        causes = asked.get(kind.id)
        if causes:
            area = _area_m2(room, kind, set().union(*causes.values()))
            if area or kind.unit == "each":
                yield Preparing(kind.id, room.storey, room.room, area, len(causes), tuple(causes))


def _causes(check: SiteCheck, room: str) -> Iterator[tuple[str, Preparation, set[Face]]]:
    for stage in STAGES:
        for look in usual().looks:
            given = answers(check, look, room, stage)
            held: set[Face] = {face for face, tick in given.items() if tick.answer == look.holds_on}
            if held and look.preparation:
                yield look.what, look.preparation, held
        allowed, gap = limit(check, "gap"), latest_reading(check, "gap", room, stage)
        if gap is not None and allowed.preparation and allowed.high is not None and gap.value > allowed.high:
            yield "gap", allowed.preparation, {"walls"}


def _area_m2(room: RoomTakeoff, kind: PreparationKind, faces: set[Face]) -> Decimal:
    """The printed area of the coated faces: a face that two causes ask for is worked on once."""
    if kind.unit == "each":
        return Decimal(0)
    if kind.faces == "walls":
        return printed(room.wall_net_m2)
    parts: Mapping[Face, tuple[float, ...]] = {
        "walls": (room.wall_net_m2, room.drop_m2, room.reveal_m2),
        "ceiling": (room.ceiling_m2,),
    }
    return sum((printed(part) for face in FACES if face in faces for part in parts[face]), Decimal(0))
