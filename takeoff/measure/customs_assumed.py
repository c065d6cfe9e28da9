"""What is assumed of a job's customs as long as nobody says, each with what the other answer would change."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Literal

import msgspec

from takeoff.errors import Finding
from takeoff.findings import noticed
from takeoff.measure.takeoff import Edge, RoomTakeoff, Takeoff
from takeoff.plan.customs import USUAL_ARCHITRAVE_MM, USUAL_COVING_MM, USUAL_SKIRTING_MM
from takeoff.plan.model import Job, Room
from takeoff.units.printing import shown

M = 1000.0
LEAST = 0.05
"""Less, in m² or m, prints as nothing."""

Asked = Literal["skirting", "coving", "architraves", "arrises"]


class Effect(msgspec.Struct, frozen=True):
    """What the other answer would change: m² less to coat, of arrises m of new bead less."""

    of: Asked
    amount: float

    @property
    def words(self) -> str:
        """ "4.2 m²", "31.0 m"."""
        return f"{shown(self.amount, 1)} {'m' if self.of == 'arrises' else 'm²'}"


def custom_effects(job: Job, takeoff: Takeoff) -> tuple[Effect, ...]:
    """The customs that nobody has spoken of and that make a difference in this job, with that difference.

    Worked out from the edges that were measured: a strip as high as skirting along every floor edge of a wall, as
    wide as coving on both sides of every corner of wall and ceiling (less what is counted twice in its corners),
    as wide as an architrave round every joint of a wall with a lining. () for a job without rooms.
    """
    said = job.customs
    rooms = {(str(s.id), str(r.id)): r for s in job.storeys for r in s.rooms}
    taken = [(room, rooms[room.storey, room.room]) for room in takeoff.rooms]
    found = []
    if said.skirting_mm is None:
        found.append(Effect("skirting", _sum(taken, _skirting_m2)))
    if said.coving_mm is None:
        found.append(Effect("coving", _sum(taken, _coving_m2)))
    if said.architrave_mm is None:
        found.append(Effect("architraves", _sum(taken, _architraves_m2)))
    if not said.bead_said and job.bead_default == "new":
        found.append(Effect("arrises", _sum(taken, _new_bead_m)))
    return tuple(effect for effect in found if effect.amount >= LEAST)


def customs_assumed(job: Job, takeoff: Takeoff) -> tuple[Finding, ...]:
    """An *assumed* finding for each custom that nobody has spoken of, with what the other answer would change."""
    return tuple(
        noticed("custom-assumed/arrises", amount=effect.words)
        if effect.of == "arrises"
        else noticed(f"custom-assumed/{effect.of}", size=f"{shown(_SIZES[effect.of], 0)} mm", amount=effect.words)
        for effect in custom_effects(job, takeoff)
    )


_SIZES: dict[Asked, float] = {
    "skirting": USUAL_SKIRTING_MM, "coving": USUAL_COVING_MM, "architraves": USUAL_ARCHITRAVE_MM,
}  # fmt: skip


def _sum(taken: Iterable[tuple[RoomTakeoff, Room]], of: object) -> float:
    return math.fsum(of(found, room) * found.times for found, room in taken)  # type: ignore[operator]


def _skirting_m2(found: RoomTakeoff, room: Room) -> float:
    walls = _walls_that_say_nothing(found, room, "skirting")
    along = math.fsum(e.length_m for e in found.edges if e.cls == "floor_edge" and walls.intersection(e.surfaces))
    return along * USUAL_SKIRTING_MM / M


def _walls_that_say_nothing(found: RoomTakeoff, room: Room, what: str) -> set[str]:
    said = {str(s.id) for s in room.sides if any(band.what == what for band in (s.treatment or room.walls).bands)}
    return {face.id for face in found.faces} - said


def _coving_m2(found: RoomTakeoff, room: Room) -> float:
    wide = USUAL_COVING_MM / M
    walls = _walls_that_say_nothing(found, room, "coving")
    # planes of one ceiling go by one name in their edges
    above = {"ceiling", *(s.id for s in found.surfaces if s.kind == "ceiling")}
    area, corners = 0.0, 0.0
    for edge in found.edges:
        on_walls = walls.intersection(edge.surfaces)
        if on_walls and above.intersection(edge.surfaces):
            area += edge.length_m * wide * (2 if edge.cls == "internal" else 1)
        elif len(on_walls) == 2 and edge.cls in ("internal", "external", "coat_edge") and _is_corner(edge):
            corners += wide * wide / math.tan(math.radians(_mitred(edge.angle_deg)) / 2.0)
    return area - (corners if found.ceiling_m2 > 0 else 0.0)


SHARPEST_MITRE_DEG = 30.0
"""Sharper turns, such as the end of a thin wall, are not mitred to their tip (common practice, no source)."""


def _mitred(angle_deg: float) -> float:
    return min(max(angle_deg, SHARPEST_MITRE_DEG), 360.0 - SHARPEST_MITRE_DEG)


def _is_corner(edge: Edge) -> bool:
    """Whether an edge between two walls is a turn of the outline, rather than an end of coat in one plane."""
    return abs(edge.angle_deg - 180.0) > 1.0


def _architraves_m2(found: RoomTakeoff, room: Room) -> float:
    del room
    wide = USUAL_ARCHITRAVE_MM / M
    walls = {face.id for face in found.faces}
    joints = [
        e for e in found.edges if e.cls == "frame_joint" and e.ends == "lining" and walls.intersection(e.surfaces)
    ]
    heads = sum(1 for joint in joints if _is_level(joint))
    return math.fsum(joint.length_m for joint in joints) * wide + heads * 2 * wide * wide


def _is_level(edge: Edge) -> bool:
    heights = {round(z, 3) for _, _, z in edge.line}
    return len(heights) == 1


def _new_bead_m(found: RoomTakeoff, room: Room) -> float:
    picked = {pick.corner for pick in room.corners if pick.bead is not None}
    return math.fsum(e.length_m for e in _external(found) if e.bead == "new" and e.id not in picked)


def _external(found: RoomTakeoff) -> Iterator[Edge]:
    return (edge for edge in found.edges if edge.cls == "external")
