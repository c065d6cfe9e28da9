"""One batch to a face: which faces are coated whole out of what is left of older batches."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from takeoff.measure.takeoff import Takeoff
from takeoff.supply.needs import substrate_of
from takeoff.supply.systems import CoatingSystem

LEAST_L = 1e-6


class Batch(msgspec.Struct, frozen=True):
    """What is left of a batch. ``of``: the lot that bought it, "" for what was in the van."""

    of: str
    litres: float


class FromBatch(msgspec.Struct, frozen=True):
    """Faces that are coated whole out of an older batch, as (storey, room, surface), and what they take."""

    of: str
    litres: float
    faces: tuple[tuple[str, str, str], ...]


def from_older(
    part: Takeoff, need: float, system: CoatingSystem, batches: Sequence[Batch]
) -> tuple[tuple[FromBatch, ...], tuple[Batch, ...]]:
    """(what older batches serve, what is left of them). ``need``: litres of coat of the part, which its faces share by
    their area and thickness. The largest face first, each out of the smallest batch that holds all of it."""
    left = [batch.litres for batch in batches]
    used: dict[int, list[tuple[float, tuple[str, str, str]]]] = {}
    for litres, face in sorted(_faces(part, need, system), key=lambda one: (-one[0], one[1])):
        fitting = [k for k, rest in enumerate(left) if rest >= litres > LEAST_L]
        if fitting:
            k = min(fitting, key=lambda at: (left[at], at))
            left[k] -= litres
            used.setdefault(k, []).append((litres, face))
    served = tuple(
        FromBatch(batches[k].of, sum(litres for litres, _ in own), tuple(face for _, face in own))
        for k, own in sorted(used.items())
    )
    kept = (Batch(batch.of, rest) for batch, rest in zip(batches, left, strict=True))
    return served, tuple(batch for batch in kept if batch.litres > LEAST_L)


def _faces(part: Takeoff, need: float, system: CoatingSystem) -> list[tuple[float, tuple[str, str, str]]]:
    """(litres, face) of every coated face, copies by themselves."""
    weighed = []
    for room in part.rooms:
        for surface in room.surfaces:
            if surface.net_m2 > 0:
                thick = system.coat.thickness_mm + substrate_of(system, surface.substrate).unevenness_mm
                face = (str(room.storey), str(room.room), str(surface.id))
                weighed += [(surface.net_m2 * thick, face)] * room.times
    whole = sum(weight for weight, _ in weighed)
    return [(need * weight / whole, face) for weight, face in weighed] if whole else []
