"""Overlapping exclusions on the walls and ceilings of random rooms, cut from the faces of their solids.

The wall faces and ceiling pieces come off the mesh of the void; shapely takes the exclusions from them.
"""

from __future__ import annotations

from random import Random

import msgspec
import numpy as np
import pytest
from shapely.geometry import Polygon, box
from shapely.ops import unary_union
from solids_outlines import grid
from solids_reading import Reading, read_void
from solids_rooms import STOREY_HEIGHT_MM, Case, random_case
from solids_void import frames_of, sides_of, with_openings

from takeoff.measure import measure
from takeoff.plan.model import CeilingTreatment, Exclusion, Job, Room, WallTreatment

ROOMS = 60
BLOCK = 10
TOLERANCE = 1e-6

Bounds = tuple[float, float, float, float]


def random_exclusions(rng: Random, name: str, bounds: tuple[float, float, float, float]) -> tuple[Exclusion, ...]:
    """Up to three rectangles that overlap each other, openings and the border of their surface."""
    x0, y0, x1, y1 = bounds
    made = []
    for i in range(rng.randint(0, 3)):
        x, y = grid(rng, x0 - 200, x1), grid(rng, y0 - 200, y1)
        a, b = x + grid(rng, 150, 1500), y + grid(rng, 150, 1500)
        ring = ((x, y, 0.0), (a, y, 0.0), (a, b, 0.0), (x, b, 0.0))
        made.append(Exclusion(id=f"{name}e{i}", outline=ring))
    return tuple(made)


def with_exclusions(case: Case) -> Job:
    """The job of a case with exclusions on its walls and its ceiling."""
    rng = Random(-1 - case.number)
    room = case.room
    lengths = {side.id: frame[4] for side, frame in zip(sides_of(room), frames_of(room), strict=True)}

    def treated(ring: tuple[object, ...]) -> tuple[object, ...]:
        return tuple(
            msgspec.structs.replace(
                side,
                treatment=WallTreatment(exclusions=random_exclusions(rng, side.id, (0, 0, lengths[side.id], 2500))),
            )
            for side in ring
        )

    plan = Polygon([(s.x_mm, s.y_mm) for s in room.outline])
    changed = msgspec.structs.replace(
        room,
        outline=treated(room.outline),
        inner=tuple(treated(ring) for ring in room.inner),
        ceiling_treatment=CeilingTreatment(exclusions=random_exclusions(rng, "c", plan.bounds)),
    )
    storey = msgspec.structs.replace(case.job.storeys[0], rooms=(changed,))
    return Job(storeys=(storey,))


def excluded(exclusions: tuple[Exclusion, ...]) -> Polygon:
    return unary_union([box(e.outline[0][0], e.outline[0][1], e.outline[2][0], e.outline[2][1]) for e in exclusions])


def wall_areas(room: Room, reading: Reading) -> tuple[float, float]:
    """Excluded and net area of all walls, m², triangle by triangle in the developed face."""
    off = net = 0.0
    frames = {side.id: (side, f) for side, f in zip(sides_of(room), frames_of(room), strict=True)}
    shapes = {i: excluded(side.treatment.exclusions) for i, (side, _) in frames.items() if side.treatment}
    for surface, corners in reading.triangles:
        if surface.kind != "wall":
            continue
        x, y, dx, dy, _ = frames[surface.owner][1]
        triangle = Polygon([((p[0] - x) * dx + (p[1] - y) * dy, p[2]) for p in corners])
        taken = triangle.intersection(shapes[surface.owner]).area
        off, net = off + taken * 1e-6, net + (triangle.area - taken) * 1e-6
    return off, net


def ceiling_area(room: Room, reading: Reading) -> float:
    """Net area of the ceiling on its slopes, m²."""
    shape, net = excluded(room.ceiling_treatment.exclusions), 0.0
    for surface, corners in reading.triangles:
        if surface.kind != "ceiling" or not surface.coated:
            continue
        plan = Polygon([(p[0], p[1]) for p in corners])
        if plan.area < 1e-3:
            continue
        sloped = float(np.linalg.norm(np.cross(corners[1] - corners[0], corners[2] - corners[0]))) / 2
        net += sloped * plan.difference(shape).area / plan.area * 1e-6
    return net


@pytest.mark.parametrize("block", range(0, ROOMS, BLOCK))
def test_overlapping_exclusions_are_taken_off_once(block: int) -> None:
    wrong = []
    for case in map(random_case, range(block, block + BLOCK)):
        job = with_exclusions(case)
        room, found = job.storeys[0].rooms[0], measure(job).rooms[0]
        reading = read_void(with_openings(case.bare, room, case.recesses), room, case.recesses, STOREY_HEIGHT_MM)
        off, net = wall_areas(room, reading)
        pairs = {
            "excluded_m2": (found.excluded_m2, off),
            "wall_net_m2": (found.wall_net_m2, net),
            "ceiling_m2": (found.ceiling_m2, ceiling_area(room, reading)),
            "sum": (found.wall_gross_m2, found.openings_m2 + off + net),
        }
        wrong += [
            f"room {case.number}: {name}: engine {a:.9f}, solid {b:.9f}"
            for name, (a, b) in pairs.items()
            if abs(a - b) > TOLERANCE * max(1.0, b)
        ]
    assert not wrong, "\n".join(wrong)
