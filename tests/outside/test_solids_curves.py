"""Arched and round openings, round parts left out and borders on slopes, against chords cut with shapely.

A curve is some thousand chords there, so that figures agree to a hundred-thousandth; lengths and areas are taken
from the shapes alone. 120 rooms of each kind in the normal run; TAKEOFF_CURVES=2000 for the long one.
"""

from __future__ import annotations

import math
import os
from random import Random

import pytest
from shapely import Polygon, box
from shapely.geometry import LineString, MultiLineString
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union
from test_part_coated import measured, room_with

from takeoff.plan.model import (
    Band,
    Border,
    CeilingTreatment,
    Exclusion,
    Field,
    Opening,
    OpeningId,
    Plane,
    Reveal,
    RoomId,
    SideId,
    Strip,
    WallTreatment,
)

ROOMS = int(os.environ.get("TAKEOFF_CURVES", "120"))
CHORDS = 4000
NEAR = 2e-5
LONG_MM, WIDE_MM, HIGH_MM = 5000.0, 4000.0, 2400.0
BESIDE_MM = 1e-5
"""A border is beside what comes so close to it."""


def near(value: float) -> object:
    return pytest.approx(value, rel=NEAR, abs=NEAR)


def arc(x: float, z: float, radius: float, from_rad: float, to_rad: float) -> list[tuple[float, float]]:
    turns = [from_rad + (to_rad - from_rad) * k / CHORDS for k in range(CHORDS + 1)]
    return [(x + radius * math.cos(t), z + radius * math.sin(t)) for t in turns]


def hole(o: Opening) -> Polygon:
    """An opening's outline in its face."""
    u0, u1, middle, half = o.offset_mm, o.offset_mm + o.width_mm, o.offset_mm + o.width_mm / 2, o.width_mm / 2
    if o.shape == "round":
        return Polygon(arc(middle, (o.sill_mm + o.head_mm) / 2, half, 0.0, 2 * math.pi)[:-1])
    if o.shape == "flat":
        return box(u0, o.sill_mm, u1, o.head_mm)
    rise = half if o.shape == "semicircular" else o.rise_mm
    radius = (half * half + rise * rise) / (2 * rise)
    turn = math.asin(min(1.0, half / radius))
    top = arc(middle, o.head_mm - radius, radius, math.pi / 2 - turn, math.pi / 2 + turn)
    return Polygon([(u0, o.sill_mm), (u1, o.sill_mm), *top])


def random_opening(rng: Random, sill: float) -> Opening:
    strip = Strip(depth_mm=rng.choice((80.0, 150.0)))
    width = rng.choice((700.0, 900.0, 1100.0))
    shape = rng.choice(("round", "semicircular", "segmental", "flat"))
    head = sill + width if shape == "round" else min(2300.0, sill + rng.choice((1200.0, 1900.0)))
    return Opening(
        id=OpeningId("o"), kind="window", room=RoomId("r"), side=SideId("s0"), shape=shape,  # type: ignore[arg-type]
        offset_mm=rng.choice((1300.0, 2000.0, 2650.0)), width_mm=width, sill_mm=sill, head_mm=head,
        rise_mm=rng.choice((100.0, 250.0)), reveal=Reveal(start=strip, end=strip, head=strip, sill=strip),
    )  # fmt: skip


def random_parts(rng: Random) -> tuple[WallTreatment, BaseGeometry]:
    """What is left out of a wall, as the plan says it and as a shape."""
    bands, shapes, left_out = [], [], []
    if rng.random() < 0.5:
        bands.append(Band(edge="bottom", to_mm=120.0))
        shapes.append(box(-1, -1, LONG_MM + 1, 120))
    if rng.random() < 0.6:
        z = rng.choice((900.0, 1333.0, 1500.0, 1777.0))
        u0, u1 = rng.choice(((-10.0, LONG_MM + 10), (400.0, 2345.0), (1750.0, 4000.0)))
        left_out.append(Exclusion(id="t", outline=((u0, 0, 0), (u1, 0, 0), (u1, z, 0), (u0, z, 0))))
        shapes.append(box(u0, -1, u1, z))
    for k in range(rng.randint(0, 2)):
        u, z, r = rng.uniform(300, 4700), rng.uniform(300, 2100), rng.uniform(150, 700)
        left_out.append(Exclusion(id=f"c{k}", outline=((u - r, z, 1.0), (u + r, z, 1.0))))
        shapes.append(Polygon(arc(u, z, r, 0.0, 2 * math.pi)[:-1]))
    return WallTreatment(bands=tuple(bands), exclusions=tuple(left_out)), unary_union(shapes)


def beside(lines: BaseGeometry, shape: BaseGeometry) -> float:
    """The length of lines that run along a shape."""
    return lines.intersection(shape.buffer(BESIDE_MM)).length if not shape.is_empty else 0.0


@pytest.mark.parametrize("number", range(ROOMS))
def test_curved_openings_in_part_coated_walls(number: int) -> None:
    rng = Random(number)
    treatment, out = random_parts(rng)
    sill = rng.choice((450.0, 900.0, 1100.0))
    o = random_opening(rng, sill)
    face, gap = box(0, 0, LONG_MM, HIGH_MM), hole(o)
    coat = face.difference(unary_union([gap, out]))
    room = measured(room_with([treatment, *[WallTreatment()] * 3]), (o,))
    depth, girth = o.reveal.head.depth_mm / 1000, gap.exterior.length / 1000
    wall = next(s for s in room.surfaces if s.id == "s0")
    assert wall.net_m2 == near(coat.area / 1e6)
    assert wall.openings_m2 == near(gap.area / 1e6)
    assert room.reveal_m2 == near(girth * depth)
    assert room.frame_joint_m == near(girth)
    arris = beside(gap.exterior, coat) / 1000
    assert room.external_corner_m == near(arris)
    rim = MultiLineString([face.exterior, gap.exterior])
    within = coat.boundary.difference(rim.buffer(BESIDE_MM)).length
    at_corners = sum(LineString([(u, 0), (u, HIGH_MM)]).difference(coat.buffer(BESIDE_MM)).length for u in (0, LONG_MM))
    under_ceiling = LineString([(0, HIGH_MM), (LONG_MM, HIGH_MM)]).difference(coat.buffer(BESIDE_MM)).length
    expected = (girth - arris) + (within + at_corners + under_ceiling) / 1000
    assert room.coat_edge_m == pytest.approx(expected, rel=NEAR, abs=3e-4)


SLOPES = ((0.0, 0.0), (0.4, 0.0), (0.0, -0.7), (0.3, 0.5), (1.0, 0.0))


@pytest.mark.parametrize("number", range(ROOMS))
def test_borders_on_slopes(number: int) -> None:
    """A border is as wide on the slope, square to its wall; one that is wider than the room covers all of it."""
    rng = Random(number)
    gx, gy = rng.choice(SLOPES)
    wide, deep = rng.choice((900.0, 2500.0, 4000.0)), rng.choice((700.0, 1100.0, 3000.0))
    named = [k for k in range(4) if rng.random() < 0.6] or [0, 1, 2, 3]
    width = rng.choice((100.0, 350.0, 600.0, 800.0))
    border = Border(width_mm=width, sides=tuple(SideId(f"s{k}") for k in named) if len(named) < 4 else ())
    left = rng.random() < 0.5
    treatment = CeilingTreatment(left_on=(border,)) if left else CeilingTreatment(only=(border,))
    outline = ((0.0, 0.0), (wide, 0.0), (wide, deep), (0.0, deep))
    field = Field(planes=(Plane(z_mm=5000, slope_x=gx, slope_y=gy),))
    room = measured(room_with([WallTreatment()] * 4, field, treatment, outline))
    x, y = width / math.hypot(1, gx), width / math.hypot(1, gy)
    strips = [box(0, 0, wide, y), box(wide - x, 0, wide, deep), box(0, deep - y, wide, deep), box(0, 0, x, deep)]
    plan = box(0, 0, wide, deep)
    covered = unary_union([strips[k] for k in named]).intersection(plan)
    coat = plan.difference(covered) if left else covered
    assert room.ceiling_m2 == pytest.approx(coat.area / 1e6 * math.sqrt(1 + gx * gx + gy * gy), rel=1e-9, abs=1e-9)

    def on_slope(lines: BaseGeometry) -> float:
        parts = getattr(lines, "geoms", [lines])
        runs = [(a, b) for part in parts if part.length for a, b in zip(part.coords, part.coords[1:], strict=False)]
        return (
            sum(math.hypot(b[0] - a[0], b[1] - a[1], gx * (b[0] - a[0]) + gy * (b[1] - a[1])) for a, b in runs) / 1000
        )

    inner = coat.boundary.difference(plan.exterior.buffer(1e-6))
    bare_rim = plan.exterior.difference(coat.buffer(1e-6)) if not coat.is_empty else plan.exterior
    assert room.coat_edge_m == pytest.approx(on_slope(inner) + on_slope(bare_rim), rel=1e-6, abs=1e-5)
    assert room.internal_corner_m["wall_ceiling"] == pytest.approx(
        on_slope(plan.exterior) - on_slope(bare_rim), rel=1e-6, abs=1e-5
    )
