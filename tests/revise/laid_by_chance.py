"""A new storey set down by chance, as another drawing of the same house lies."""

from __future__ import annotations

import math
import random

from takeoff.plan.edits.drawing_edits import moved_storey
from takeoff.plan.model import Job, Storey
from takeoff.revise.comparison import Compared, Drawn, compared
from takeoff.revise.mirrored import mirrored


def laid(job: Job, new: Storey, rng: random.Random) -> Compared:
    """The new storey turned, shifted and perhaps mirrored, laid over the job."""
    drawn = mirrored(new) if rng.random() < 0.5 else new
    pose = (rng.uniform(-1e5, 1e5), rng.uniform(-1e5, 1e5), math.radians(rng.choice((0.0, 90.0, 33.3))))
    written = {storey.id: {room.name for room in storey.rooms} for storey in job.storeys}
    return compared(job, [Drawn("b.dxf", (moved_storey(drawn, pose),))], names=written)
