"""What is assumed of substrates as long as nobody says, with what the thirstiest one would take more."""

from __future__ import annotations

from collections.abc import Iterator

from takeoff.errors import Finding
from takeoff.findings import noticed
from takeoff.language import tr
from takeoff.measure.takeoff import RoomTakeoff, Takeoff
from takeoff.plan.model import Job, Room
from takeoff.plan.substrates import USUAL_CEILING, USUAL_WALL, ceiling_substrate, wall_substrate
from takeoff.supply.needs import substrate_of
from takeoff.supply.systems import CoatingSystem, Substrate
from takeoff.units.printing import shown

LEAST_M2 = 0.005
"""Less than this prints as nothing."""


def unsaid_m2(job: Job, takeoff: Takeoff) -> tuple[float, float]:
    """Net m² of coat on walls, with their reveals, and on ceilings, of which nobody has said what they are."""
    rooms = {(str(s.id), str(r.id)): r for s in job.storeys for r in s.rooms}
    walls = ceilings = 0.0
    for taken in takeoff.rooms:
        room = rooms[taken.storey, taken.room]
        on_walls, on_ceilings = _of_room(job, room, taken)
        walls += on_walls * taken.times
        ceilings += on_ceilings * taken.times
    return walls, ceilings


def _of_room(job: Job, room: Room, taken: RoomTakeoff) -> tuple[float, float]:
    unsaid = {str(s.id) for s in room.sides if not wall_substrate(job, room, s.treatment or room.walls)}
    room_unsaid = not wall_substrate(job, room, room.walls)
    walls = ceilings = 0.0
    for surface in taken.surfaces:
        if surface.kind == "wall":
            walls += surface.net_m2 if surface.id in unsaid else 0.0
        elif surface.kind == "reveal" and surface.what != "rooflight shaft":
            walls += surface.net_m2 if room_unsaid else 0.0
        elif not ceiling_substrate(job, room):
            ceilings += surface.net_m2
    return walls, ceilings


def substrates_assumed(job: Job, takeoff: Takeoff, system: CoatingSystem) -> Iterator[Finding]:
    """An *assumed* finding for walls and one for ceilings, where nobody has said what some of them are."""
    walls, ceilings = unsaid_m2(job, takeoff)
    for what, area, usual in ((tr("walls"), walls, USUAL_WALL), (tr("ceilings"), ceilings, USUAL_CEILING)):
        if area < LEAST_M2:
            continue
        taken = substrate_of(system, usual)
        most = max(system.substrates, key=lambda one: (one.base_coats, one.unevenness_mm))
        more = area * (base_per_m2(system, most) - base_per_m2(system, taken))
        named = f"{shown(area, 1)} m²"
        if more > 0:
            amount = f"{shown(more, 1)} {system.base.product.unit}"
            yield noticed(
                "substrate-assumed", area=named, what=what, taken=tr(taken.name), most=tr(most.name), more=amount
            )
        else:
            yield noticed("substrate-assumed/no-more", area=named, what=what, taken=tr(taken.name))


def base_per_m2(system: CoatingSystem, substrate: Substrate) -> float:
    """What a square metre of a substrate takes of the base coat, loss and all."""
    return substrate.base_coats * system.base.per_m2 * (1 + system.base.loss_percent / 100)
