"""The fast path and the general engine give the same answer, line by line, on plain rooms."""

from __future__ import annotations

import math
import random

import pytest

from takeoff.measure.around import SideIndex, around
from takeoff.measure.engine import hosts_of, measured
from takeoff.measure.memory import numbers
from takeoff.measure.plain import plain_room
from takeoff.measure.takeoff import RoomTakeoff
from takeoff.plan.model import (
    CeilingTreatment,
    Field,
    Job,
    Opening,
    Plane,
    Region,
    Reveal,
    Room,
    Side,
    Storey,
    Strip,
    WallTreatment,
)


def random_plain_room(rng: random.Random) -> tuple[Room, tuple[Opening, ...]]:
    n = rng.randint(3, 9)
    turns = sorted(rng.uniform(0.0, 2 * math.pi) for _ in range(n))
    while min((b - a) % (2 * math.pi) for a, b in zip(turns, turns[1:] + turns[:1], strict=True)) < 0.2:
        turns = sorted(rng.uniform(0.0, 2 * math.pi) for _ in range(n))
    if max((b - a) % (2 * math.pi) for a, b in zip(turns, turns[1:] + turns[:1], strict=True)) > 3:
        return random_plain_room(rng)
    points = []
    for t in turns:  # a star round one centre: never crosses itself
        reach = rng.uniform(2500, 6000)
        points.append((reach * math.cos(t) + 4e4, reach * math.sin(t)))
    left = WallTreatment(coat=False)
    sides = tuple(
        Side(id=f"s{i}", x_mm=x, y_mm=y, treatment=left if rng.random() < 0.2 else None)
        for i, (x, y) in enumerate(points)
    )
    room = Room(
        id="R",
        outline=sides,
        floor_build_up_mm=rng.choice([0, 60]),
        ceiling_treatment=CeilingTreatment(coat=rng.random() < 0.7),
    )
    openings = []
    for i, (x, y) in enumerate(points):
        x2, y2 = points[(i + 1) % n]
        place, length = 100.0, math.dist((x, y), (x2, y2))
        while place + 900 < length and rng.random() < 0.7:
            width = rng.uniform(300, 700)
            openings.append(_opening(rng, f"o{len(openings)}", f"s{i}", place, width))
            place += width + rng.uniform(50, 800)
    return room, tuple(openings)


def _opening(rng: random.Random, name: str, side: str, offset: float, width: float) -> Opening:
    def strip() -> Strip:
        return Strip(depth_mm=rng.choice([0, 100, 150, 200]), coat=rng.random() < 0.8)

    kind = rng.choice(["window", "door", "open"])
    return Opening(
        id=name,
        kind=kind,
        room="R",
        side=side,
        offset_mm=offset,
        width_mm=width,
        sill_mm=rng.uniform(300, 900) if kind == "window" else 0,
        head_mm=rng.uniform(1900, 2200),
        reveal=Reveal(start=strip(), end=strip(), head=strip(), sill=strip()),
    )


def both_ways(room: Room, openings: tuple[Opening, ...]) -> tuple[RoomTakeoff, RoomTakeoff]:
    storey = Storey(id="g", rooms=(room,), openings=openings)
    job, index = Job(storeys=(storey,)), SideIndex()
    index.put(room)
    view = around(room, storey, index, hosts_of(openings))
    fast = plain_room(job, storey, room, index.rooms[room.id], view)
    assert fast is not None
    (full,) = measured(job, storey, [room], {room.id: view}, {})
    return fast, full


@pytest.mark.parametrize("seed", range(60))
def test_plain_room_measured_both_ways(seed: int) -> None:
    fast, full = both_ways(*random_plain_room(random.Random(seed)))
    mine, theirs = numbers(fast), numbers(full)
    for key, value in theirs.items():
        assert mine[key] == pytest.approx(value, rel=1e-9, abs=1e-9), key
    edges = [
        sorted((e.cls, e.kind, e.surfaces, round(e.length_m, 6), e.bead, e.profile, e.finish) for e in r.edges)
        for r in (fast, full)
    ]
    assert edges[0] == edges[1]
    lines = [
        sorted((e.id, sorted(tuple(round(v, 3) for v in p) for p in e.line)) for e in r.edges if e.line)
        for r in (fast, full)
    ]
    assert [line for _, line in lines[0]] == [line for _, line in lines[1]]
    holes = [sorted((h.face, h.opening, h.strips, round(h.area_m2, 9)) for h in r.holes) for r in (fast, full)]
    assert holes[0] == holes[1]
    surfaces = [
        sorted(
            (s.id, s.kind, s.substrate, round(s.gross_m2, 6), round(s.net_m2, 6), round(s.not_coated_m2, 6))
            for s in r.surfaces
        )
        for r in (fast, full)
    ]
    assert surfaces[0] == surfaces[1]
    for r in (fast, full):
        sums: dict[str, float] = {}
        for d in r.dims:
            sums[d.quantity] = sums.get(d.quantity, 0.0) + d.product
        for key in (
            "wall_gross_m2",
            "wall_net_m2",
            "not_coated_m2",
            "reveal_m2",
            "ceiling_m2",
            "external_corner_m",
            "coat_edge_m",
        ):
            assert sums.get(key, 0.0) == pytest.approx(getattr(r, key), abs=1e-9), key


def test_room_that_is_not_plain_is_left_to_the_general_engine() -> None:
    sides = tuple(
        Side(id=f"s{i}", x_mm=x, y_mm=y) for i, (x, y) in enumerate([(0, 0), (4000, 0), (4000, 3000), (0, 3000)])
    )
    beam = Region(
        id="b", op="lower", planes=(Plane(z_mm=2000),), outline=((0, 0, 0), (500, 0, 0), (500, 3000, 0), (0, 3000, 0))
    )
    slope = Field(planes=(Plane(z_mm=2000, slope_x=0.1),))
    for field in (slope, Field(planes=(Plane(z_mm=2400),), regions=(beam,))):
        room = Room(id="R", outline=sides, ceiling=field)
        storey = Storey(id="g", rooms=(room,))
        index = SideIndex()
        index.put(room)
        view = around(room, storey, index, {})
        assert plain_room(Job(storeys=(storey,)), storey, room, index.rooms["R"], view) is None
