"""Random quick parts in random rooms: placed soundly or refused, and drawn as they are measured."""

from __future__ import annotations

import math
import random

import pytest

from takeoff.errors import InputError
from takeoff.measure import measure
from takeoff.measure.solid import Facet, solid_of
from takeoff.plan import edits
from takeoff.plan.check import check
from takeoff.plan.model import Job, Room, RoomId, Side, SideId, Storey, StoreyId
from takeoff.views.quick_parts import KINDS, PartKind, Place, placed

R = RoomId("r")
SHAPES = (
    ((0, 0), (5000, 0), (5000, 4000), (0, 4000)),
    ((0, 0), (5000, 0), (5000, 2000), (3000, 2000), (3000, 4000), (0, 4000)),
    ((0, 0), (6000, 0), (6000, 5000), (4000, 5000), (4000, 2000), (2500, 2000), (2500, 4500), (0, 4500)),
    ((0, 0), (4000, 300), (5200, 3000), (300, 3600)),
)


def random_room(rng: random.Random) -> Job:
    """Turned and far from nought now and then, under a level ceiling or slopes."""
    a, off = rng.choice((0.0, rng.uniform(0, 6.28))), rng.choice((0.0, 4e6))
    c, s = math.cos(a), math.sin(a)
    sides = tuple(
        Side(id=SideId(f"s{k}"), x_mm=x * c - y * s + off, y_mm=x * s + y * c - off)
        for k, (x, y) in enumerate(rng.choice(SHAPES))
    )
    room = Room(
        id=R, outline=sides, floor_build_up_mm=rng.choice((0.0, 60.0)), ceiling_build_up_mm=rng.choice((0.0, 40.0))
    )
    job = Job(storeys=(Storey(id=StoreyId("g"), rooms=(room,)),))
    if rng.random() < 0.5:
        try:
            return edits.slope_ceiling(
                job,
                R,
                rng.choice(sides).id,
                rng.choice(("one", "two", "all")),
                rng.uniform(800, 2000),
                pitch_deg=rng.uniform(10, 50),
                flat_mm=rng.choice((None, 2600.0)),
            )
        except InputError:
            return job
    return job


def random_place(rng: random.Random, job: Job) -> Place:
    room = edits.room_of(job, R)
    side = rng.choice(room.outline)
    length = edits.side_curve(job, R, side.id)[1].length
    xs, ys = ([getattr(s, axis) for s in room.outline] for axis in ("x_mm", "y_mm"))
    return Place(
        "r", (rng.uniform(min(xs), max(xs)), rng.uniform(min(ys), max(ys))), str(side.id), rng.uniform(0, length)
    )


def random_values(rng: random.Random, kind: PartKind) -> dict[str, float | None]:
    values = dict(kind.usual)
    for dimension in kind.dimensions:
        usual = dimension.usual_mm
        if usual is None:
            values[dimension.key] = rng.choice((None, rng.uniform(300, 1500)))
        else:
            values[dimension.key] = usual * rng.uniform(0.3, 1.6) if usual else rng.choice((0.0, 400.0))
    if kind.choice is not None:
        values[kind.choice.key] = float(rng.random() < 0.5)
    return values


def area_m2(facet: Facet) -> float:
    x = y = z = 0.0
    for p, q in zip(facet.points, (*facet.points[1:], facet.points[0]), strict=True):
        a, b = ([u - w for u, w in zip(point, facet.points[0], strict=True)] for point in (p, q))
        x += a[1] * b[2] - a[2] * b[1]
        y += a[2] * b[0] - a[0] * b[2]
        z += a[0] * b[1] - a[1] * b[0]
    return math.sqrt(x * x + y * y + z * z) / 2e6


def errors(job: Job) -> int:
    return sum(finding.severity == "error" for finding in check(job))


@pytest.mark.parametrize("seed", range(6))
def test_parts_are_placed_soundly_or_refused(seed: int) -> None:
    rng, done = random.Random(seed), 0
    while done < 25:
        job = random_room(rng)
        for _ in range(4):
            kind = rng.choice(KINDS)
            places = [random_place(rng, job) for _ in range(2 if kind.where in ("walls", "line") else 1)]
            try:
                after = placed(job, kind, random_values(rng, kind), *places)
            except InputError:
                continue
            assert errors(after) <= errors(job), (seed, done, kind.id)
            job, done = after, done + 1
            taken = measure(job).rooms[0]
            solid = solid_of(job, job.storeys[0], job.storeys[0].rooms[0])
            drawn = sum(area_m2(facet) for facet in solid.facets if facet.state == "coat")
            assert drawn == pytest.approx(taken.coated_m2, rel=2e-6), (seed, done, kind.id)
