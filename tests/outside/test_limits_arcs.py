"""Arcs against the same rooms with many chords: the closed forms must be what the chords tend to.

The error of chords falls with the square of their number, so two counts give the limit to the
fourth order (Richardson's extrapolation).
"""

from __future__ import annotations

import math
from random import Random

import pytest

from takeoff.measure import measure
from takeoff.measure.takeoff import RoomTakeoff
from takeoff.plan.model import (
    Field,
    Job,
    Opening,
    OpeningId,
    Plane,
    Region,
    RegionId,
    Reveal,
    Ring,
    Room,
    RoomId,
    Side,
    SideId,
    Storey,
    StoreyId,
    Strip,
    Vertex,
)

CHORDS = 96
TOLERANCE = 2e-8
"""Relative; the fourth-order rest at 96 and 192 chords of up to a half turn is below 1e-9."""

FLAT = Field(planes=(Plane(z_mm=2400),))
MONO = Field(planes=(Plane(z_mm=1800, slope_x=0.25, slope_y=0.15),))
RIDGE = Field(planes=(Plane(z_mm=2900, slope_x=0.5, at_x_mm=2000), Plane(z_mm=2900, slope_x=-0.5, at_x_mm=2000)))
"""Its ridge runs over the middle of the arcs on the level sides, so that it meets a chord's end."""


def chords(start: Vertex, end: Vertex, count: int) -> list[Vertex]:
    """Points on the arc from start to end, without the end."""
    (x0, y0, bulge), (x1, y1, _) = start, end
    if bulge == 0:
        return [start]
    half = 2 * math.atan(bulge)
    chord = math.dist((x0, y0), (x1, y1))
    across = chord / 2 / math.tan(half)
    cx = (x0 + x1) / 2 - (y1 - y0) / chord * across
    cy = (y0 + y1) / 2 + (x1 - x0) / chord * across
    made = []
    for i in range(count):
        turn = 2 * half * i / count
        dx, dy = x0 - cx, y0 - cy
        made.append(
            (cx + dx * math.cos(turn) - dy * math.sin(turn), cy + dx * math.sin(turn) + dy * math.cos(turn), 0.0)
        )
    return made


def in_chords(ring: Ring, count: int) -> Ring:
    return tuple(p for a, b in zip(ring, ring[1:] + ring[:1], strict=True) for p in chords(a, b, count))


def room_of(outline: Ring, ceiling: Field, inner: tuple[Ring, ...] = ()) -> Room:
    def sides(ring: Ring, name: str) -> tuple[Side, ...]:
        return tuple(Side(id=SideId(f"{name}{i}"), x_mm=x, y_mm=y, bulge=b) for i, (x, y, b) in enumerate(ring))

    return Room(
        id=RoomId("r"),
        outline=sides(outline, "s"),
        inner=tuple(sides(ring, f"p{k}") for k, ring in enumerate(inner)),
        ceiling=ceiling,
    )


def measured(room: Room, openings: tuple[Opening, ...] = ()) -> RoomTakeoff:
    return measure(Job(storeys=(Storey(id=StoreyId("g"), rooms=(room,), openings=openings),))).rooms[0]


def figures(room: RoomTakeoff) -> dict[str, float]:
    names = (
        "floor_m2", "perimeter_m", "ceiling_m2", "wall_gross_m2", "wall_net_m2", "drop_m2", "coated_m2",
        "external_corner_m", "floor_edge_m",
    )  # fmt: skip
    made: dict[str, float] = {name: getattr(room, name) for name in names}
    return made | {f"internal.{kind}": length for kind, length in room.internal_corner_m.items()}


def limit(coarse: dict[str, float], fine: dict[str, float]) -> dict[str, float]:
    """What chords tend to, from a count and its double."""
    return {name: (4 * fine[name] - coarse[name]) / 3 for name in fine}


def chord_ceiling(ceiling: Field, count: int) -> Field:
    regions = tuple(
        Region(id=r.id, op=r.op, outline=in_chords(r.outline, count), planes=r.planes) for r in ceiling.regions
    )
    return Field(planes=ceiling.planes, regions=regions)


def assert_is_the_limit(outline: Ring, ceiling: Field, inner: tuple[Ring, ...] = ()) -> None:
    coarse, fine = (
        figures(
            measured(
                room_of(
                    in_chords(outline, count),
                    chord_ceiling(ceiling, count),
                    tuple(in_chords(ring, count) for ring in inner),
                )
            )
        )
        for count in (CHORDS, 2 * CHORDS)
    )
    found = figures(measured(room_of(outline, ceiling, inner)))
    expected = limit(coarse, fine)
    differ = {
        name: (found[name], value)
        for name, value in expected.items()
        if abs(found[name] - value) > TOLERANCE * max(1.0, abs(value))
    }
    assert not differ


def bowed(bulge: float) -> Ring:
    """4000 × 3000 with the first level side an arc; positive bulges lie outside."""
    return ((0.0, 0.0, bulge), (4000.0, 0.0, 0.0), (4000.0, 3000.0, 0.0), (0.0, 3000.0, 0.0))


BULGES = [0.25, 1.0, 0.6, -0.2, -0.35]


@pytest.mark.parametrize("bulge", BULGES)
def test_bow_under_a_flat_ceiling_is_the_limit_of_chords(bulge: float) -> None:
    assert_is_the_limit(bowed(bulge), FLAT)


@pytest.mark.parametrize("bulge", BULGES)
def test_bow_under_a_sloped_ceiling_is_the_limit_of_chords(bulge: float) -> None:
    assert_is_the_limit(bowed(bulge), MONO)


@pytest.mark.parametrize("bulge", BULGES)
def test_bow_under_a_ridge_is_the_limit_of_chords(bulge: float) -> None:
    assert_is_the_limit(bowed(bulge), RIDGE)


ROUND_ROOM: Ring = ((0.0, 0.0, 1.0), (4000.0, 0.0, 1.0))


def round_pier(off_mm: float) -> Ring:
    return ((1700.0, off_mm, -1.0), (2300.0, off_mm, -1.0))


@pytest.mark.parametrize("ceiling", [FLAT, MONO, RIDGE], ids=["flat", "mono", "ridge"])
def test_round_room_with_a_round_pier_is_the_limit_of_chords(ceiling: Field) -> None:
    assert_is_the_limit(ROUND_ROOM, ceiling, (round_pier(250.0),))


@pytest.mark.parametrize("ceiling", [FLAT, MONO], ids=["flat", "mono"])
def test_round_pier_in_the_middle_of_a_round_room_is_the_limit_of_chords(ceiling: Field) -> None:
    assert_is_the_limit(ROUND_ROOM, ceiling, (round_pier(0.0),))


@pytest.mark.parametrize("root", [FLAT, MONO], ids=["flat", "mono"])
@pytest.mark.parametrize("op", ["lower", "raise"])
def test_round_part_of_a_ceiling_is_the_limit_of_chords(root: Field, op: str) -> None:
    disc: Ring = ((1200.0, 1500.0, 1.0), (2800.0, 1500.0, 1.0))
    z = 1750.0 if op == "lower" else 3600.0
    region = Region(id=RegionId("d"), op=op, outline=disc, planes=(Plane(z_mm=z),))  # type: ignore[arg-type]
    assert_is_the_limit(bowed(0.3), Field(planes=root.planes, regions=(region,)))


MANY_CHORDS = 400
NEAR_LIMIT = 2e-4
"""Relative; what 400 chords a half turn leave. Walls cut them anywhere, so that no limit can be formed, and
nearly along a chord, where the error falls with their number only."""


@pytest.mark.parametrize("number", range(16))
def test_round_part_of_a_ceiling_cut_by_walls_is_near_its_many_chords(number: int) -> None:
    """A disc anywhere, lower, higher or set, level or sloped, across straight and curved walls."""
    rng = Random(number)
    x, y, radius = rng.uniform(300, 3700), rng.uniform(300, 2700), rng.uniform(300, 900)
    plane = Plane(z_mm=rng.choice((1700.0, 2300.0, 3300.0)), slope_x=rng.choice((0.0, 0.3)))
    disc: Ring = ((x - radius, y, 1.0), (x + radius, y, 1.0))
    op = rng.choice(("lower", "raise", "set"))
    region = Region(id=RegionId("d"), op=op, outline=disc, planes=(plane,))  # type: ignore[arg-type]
    ceiling = Field(planes=rng.choice((FLAT, MONO, RIDGE)).planes, regions=(region,))
    outline = bowed(rng.choice((0.0, 0.3, -0.2, 0.8)))
    found = figures(measured(room_of(outline, ceiling)))
    near = figures(measured(room_of(in_chords(outline, MANY_CHORDS), chord_ceiling(ceiling, MANY_CHORDS))))
    assert found == pytest.approx(near, rel=NEAR_LIMIT, abs=NEAR_LIMIT)


def test_bow_by_hand() -> None:
    """Sagitta 500 on a chord of 4000: r = 4250, sweep 56.145°, arc 4164.6 mm."""
    radius, sweep = 4.25, 2 * math.asin(2 / 4.25)
    room = measured(room_of(bowed(0.25), FLAT))
    assert room.perimeter_m == pytest.approx(10 + radius * sweep, rel=1e-12)
    assert room.wall_net_m2 == pytest.approx((10 + radius * sweep) * 2.4, rel=1e-12)
    assert room.floor_m2 == pytest.approx(12 + radius**2 / 2 * (sweep - math.sin(sweep)), rel=1e-12)


@pytest.mark.parametrize("bulge", [0.25, -0.25])
def test_window_in_a_curved_wall_has_radial_jambs_and_ring_shaped_head(bulge: float) -> None:
    """Jambs depth × height; head and sill sectors of a ring: arc × depth × (1 ± depth / 2r)."""
    radius, depth, wide, high = 4.25, 0.2, 1.5, 1.2
    strip = Strip(depth_mm=200)
    window = Opening(
        id=OpeningId("w"), kind="window", room=RoomId("r"), side=SideId("s0"), offset_mm=900, width_mm=1500,
        sill_mm=900, head_mm=2100, reveal=Reveal(start=strip, end=strip, head=strip, sill=strip),
    )  # fmt: skip
    room = measured(room_of(bowed(bulge), FLAT), (window,))
    frame_arc = wide * (1 + math.copysign(depth / radius, bulge))
    assert room.openings_m2 == pytest.approx(wide * high, rel=1e-12)
    assert room.reveal_m2 == pytest.approx(2 * depth * high + 2 * depth * (wide + frame_arc) / 2, rel=1e-12)
    assert room.frame_joint_m == pytest.approx(2 * high + 2 * frame_arc, rel=1e-12)
    assert room.external_corner_by_kind_m["opening"] == pytest.approx(2 * (wide + high), rel=1e-12)
    assert room.internal_corner_m["reveal"] == pytest.approx(4 * depth, rel=1e-12)
