"""What the coat goes on: a wall's or a ceiling's own word goes before the room's, the room's before the job's."""

from __future__ import annotations

import msgspec

from takeoff.plan.model import Job, Room, Side, WallTreatment

replace = msgspec.structs.replace

USUAL_WALL = "plaster"
USUAL_CEILING = "plasterboard"
"""What walls and ceilings are taken for as long as nobody says (common practice, no source)."""


def wall_substrate(job: Job, room: Room, treatment: WallTreatment) -> str:
    """What the coat on a wall of that treatment goes on; "" where nobody has said."""
    return treatment.substrate or room.walls.substrate or job.wall_substrate


def ceiling_substrate(job: Job, room: Room) -> str:
    """What the coat on a room's ceiling goes on; "" where nobody has said."""
    return room.ceiling_treatment.substrate or job.ceiling_substrate


def on_substrates(job: Job, room: Room) -> Room:
    """The room as it is measured: every wall and its ceiling on what was said of them, else on what is usual."""

    def on(treatment: WallTreatment) -> WallTreatment:
        return replace(treatment, substrate=wall_substrate(job, room, treatment) or USUAL_WALL)

    def side_on(side: Side) -> Side:
        return side if side.treatment is None else replace(side, treatment=on(side.treatment))

    ceiling = replace(room.ceiling_treatment, substrate=ceiling_substrate(job, room) or USUAL_CEILING)
    return replace(
        room,
        walls=on(room.walls),
        outline=tuple(side_on(side) for side in room.outline),
        inner=tuple(tuple(side_on(side) for side in ring) for ring in room.inner),
        ceiling_treatment=ceiling,
    )
