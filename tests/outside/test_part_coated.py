"""Faces coated in part against polygons cut with shapely.

The face of a wall is drawn flat (u along, z up), and bands, returns, exclusions and openings are cut
from it one after the other. The split between excluded and not coated where both overlap is not
looked at: their sum is.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from random import Random

import pytest
from shapely.geometry import Point, Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from takeoff.measure import measure
from takeoff.measure.takeoff import RoomTakeoff, Surface
from takeoff.plan.model import (
    Band,
    Border,
    CeilingTreatment,
    Exclusion,
    Field,
    Job,
    Opening,
    OpeningId,
    Plane,
    Ring,
    Room,
    RoomId,
    Side,
    SideId,
    Storey,
    StoreyId,
    WallTreatment,
)

HEIGHT_MM = 2400.0
LONG_MM, WIDE_MM = 5000.0, 4000.0
CORNERS = ((0.0, 0.0), (LONG_MM, 0.0), (LONG_MM, WIDE_MM), (0.0, WIDE_MM))
GABLE = Field(planes=(Plane(z_mm=1500, slope_x=0.8), Plane(z_mm=1500, slope_x=-0.8, at_x_mm=LONG_MM), Plane(z_mm=2900)))
TOLERANCE = 1e-9


def close(value: float) -> object:
    return pytest.approx(value, rel=TOLERANCE, abs=TOLERANCE)


def room_with(
    treatments: list[WallTreatment],
    ceiling: Field | None = None,
    ceiling_treatment: CeilingTreatment | None = None,
    corners: tuple[tuple[float, float], ...] = CORNERS,
) -> Room:
    sides = tuple(
        Side(id=SideId(f"s{i}"), x_mm=x, y_mm=y, treatment=treatment)
        for i, ((x, y), treatment) in enumerate(zip(corners, treatments, strict=True))
    )
    return Room(
        id=RoomId("r"), outline=sides, ceiling=ceiling, ceiling_treatment=ceiling_treatment or CeilingTreatment()
    )


def measured(room: Room, openings: tuple[Opening, ...] = ()) -> RoomTakeoff:
    storey = Storey(id=StoreyId("g"), height_mm=HEIGHT_MM, rooms=(room,), openings=openings)
    return measure(Job(storeys=(storey,))).rooms[0]


def assert_adds_up(room: RoomTakeoff) -> None:
    """gross = openings + excluded + not coated + net, for every surface and for the walls together."""
    for s in room.surfaces:
        assert s.gross_m2 == close(s.openings_m2 + s.excluded_m2 + s.not_coated_m2 + s.net_m2), s.id
        assert min(s.openings_m2, s.excluded_m2, s.not_coated_m2, s.net_m2) >= 0
    parts = room.openings_m2 + room.excluded_m2 + room.not_coated_m2 + room.wall_net_m2
    assert room.wall_gross_m2 == close(parts)
    nets = {
        kind: sum(s.net_m2 for s in room.surfaces if s.kind == kind)
        for kind in ("wall", "ceiling", "drop", "top", "reveal")
    }
    assert room.wall_net_m2 == close(nets["wall"])
    assert room.ceiling_m2 == close(nets["ceiling"])
    assert room.reveal_m2 == close(nets["reveal"])
    assert room.coated_m2 == close(sum(nets.values()))


def random_ring(rng: Random, across_mm: float, up_mm: float) -> Ring:
    """A rectangle, a triangle or a circle on a face, which may stick out of it."""
    x, y = rng.randint(-5, int(across_mm / 100)) * 100.0, rng.randint(-3, int(up_mm / 100)) * 100.0
    a, b = rng.randint(2, 20) * 100.0, rng.randint(2, 12) * 100.0
    kind = rng.choice(("rectangle", "rectangle", "triangle", "circle"))
    if kind == "circle":
        return ((x, y, 1.0), (x + a, y, 1.0))
    if kind == "triangle":
        return ((x, y, 0.0), (x + a, y, 0.0), (x + 0.5 * a, y + b, 0.0))
    return ((x, y, 0.0), (x + a, y, 0.0), (x + a, y + b, 0.0), (x, y + b, 0.0))


CIRCLE_STEPS = 4096


def shape_of(ring: Ring) -> Polygon:
    """The polygon of a ring; circles as very many chords (relative error below 1e-6)."""
    if ring[0][2]:
        middle, radius = (ring[0][0] + ring[1][0]) / 2, abs(ring[1][0] - ring[0][0]) / 2
        return Point(middle, ring[0][1]).buffer(radius, quad_segs=CIRCLE_STEPS // 4)
    return Polygon([(x, y) for x, y, _ in ring])


@dataclass(frozen=True)
class Cut:
    """What is left of a face and what was taken, m²."""

    gross: float
    openings: float
    left_on: float
    net: float


def gable_face() -> tuple[Polygon, list[tuple[float, float]]]:
    """The face of the first side under the gable, and its top line."""
    rise = (2900 - 1500) / 0.8
    top = [(LONG_MM, 1500.0), (LONG_MM - rise, 2900.0), (rise, 2900.0), (0.0, 1500.0)]
    return Polygon([(0.0, 0.0), (LONG_MM, 0.0), *top]), top[::-1]


def flat_face() -> tuple[Polygon, list[tuple[float, float]]]:
    return box(0, 0, LONG_MM, HEIGHT_MM), [(0.0, HEIGHT_MM), (LONG_MM, HEIGHT_MM)]


def band_shape(face: Polygon, top: list[tuple[float, float]], band: Band) -> BaseGeometry:
    """A band along the level bottom, or hung upright below the top line."""
    if band.edge == "bottom":
        return face.intersection(box(-1, band.from_mm, LONG_MM + 1, band.to_mm))
    deep = band.to_mm - band.from_mm
    pieces = [
        Polygon([a, b, (b[0], b[1] - deep), (a[0], a[1] - deep)])
        for a, b in pairwise((x, z - band.from_mm) for x, z in top)
    ]
    return unary_union(pieces).intersection(face)


def cut(face: Polygon, top: list[tuple[float, float]], treatment: WallTreatment, openings: tuple[Opening, ...]) -> Cut:
    holes = unary_union([box(o.offset_mm, o.sill_mm, o.offset_mm + o.width_mm, o.head_mm) for o in openings])
    taken = [shape_of(e.outline) for e in treatment.exclusions]
    taken += [band_shape(face, top, band) for band in treatment.bands]
    if treatment.start_mm is not None or treatment.end_mm is not None:
        first, last = treatment.start_mm or 0.0, LONG_MM - (treatment.end_mm or 0.0)
        if first < last:
            taken.append(box(first, -1, last, 9000))
    wall = face.difference(holes)
    rest = wall.difference(unary_union(taken)) if treatment.coat else Polygon()
    square = 1e-6
    return Cut(
        face.area * square, face.intersection(holes).area * square, (wall.area - rest.area) * square, rest.area * square
    )


def random_treatment(rng: Random, *, circles: bool) -> WallTreatment:
    bands = []
    if rng.random() < 0.5:
        bands.append(Band(edge="bottom", to_mm=rng.choice((70.0, 120.0, 150.0))))
    if rng.random() < 0.4:
        bands.append(Band(edge="top", to_mm=rng.choice((50.0, 100.0)), what="coving"))
    if rng.random() < 0.3:
        bands.append(Band(edge="bottom", from_mm=850.0, to_mm=900.0, what="dado"))
    if rng.random() < 0.3:
        bands.append(Band(edge="top", from_mm=300.0, to_mm=350.0, what="picture rail"))
    rings = [random_ring(rng, LONG_MM, HEIGHT_MM) for _ in range(rng.randint(0, 4))]
    rings = [ring for ring in rings if circles or not ring[0][2]]
    return WallTreatment(
        start_mm=rng.choice((None, None, 600.0, 3000.0)),
        end_mm=rng.choice((None, None, 450.0, 2500.0)),
        bands=tuple(bands),
        exclusions=tuple(Exclusion(id=f"e{i}", outline=ring) for i, ring in enumerate(rings)),
    )


def random_holes(rng: Random) -> tuple[Opening, ...]:
    """Up to two openings beside each other in the first side, low enough for either face."""
    made = []
    for i, first in enumerate((1200.0, 3000.0)):
        if rng.random() < 0.6:
            sill = rng.choice((0.0, 300.0, 900.0))
            made.append(
                Opening(
                    id=OpeningId(f"o{i}"),
                    kind="window",
                    room=RoomId("r"),
                    side=SideId("s0"),
                    offset_mm=first,
                    width_mm=rng.choice((600.0, 900.0)),
                    sill_mm=sill,
                    head_mm=2000.0,
                )
            )
    return tuple(made)


def face_surface(room: RoomTakeoff) -> Surface:
    """The surface of the first side."""
    return next(s for s in room.surfaces if s.kind == "wall")


@pytest.mark.parametrize("ceiling", ["flat", "gable"])
@pytest.mark.parametrize("number", range(40))
def test_wall_face_coated_in_part_is_what_shapely_leaves_of_it(number: int, ceiling: str) -> None:
    rng = Random(number)
    circles = number % 4 == 0
    treatment, holes = random_treatment(rng, circles=circles), random_holes(rng)
    face, top = flat_face() if ceiling == "flat" else gable_face()
    room = measured(room_with([treatment, *[WallTreatment()] * 3], None if ceiling == "flat" else GABLE), holes)
    expected = cut(face, top, treatment, holes)
    found = face_surface(room)
    near = 2e-6 if circles else TOLERANCE
    assert found.gross_m2 == close(expected.gross)
    assert found.openings_m2 == close(expected.openings)
    assert found.excluded_m2 + found.not_coated_m2 == pytest.approx(expected.left_on, rel=near, abs=near)
    assert found.net_m2 == pytest.approx(expected.net, rel=near, abs=near)
    assert room.faces[0].net_m2 == close(found.net_m2)
    assert_adds_up(room)


def test_two_overlapping_tile_fields_over_a_window_are_deducted_once() -> None:
    """5.0 × 2.4 with a 1.0 × 1.0 window at 1.0/1.0 and tiles 2.0 × 1.5 from 0.5/0 and 1.5 × 1.0 from 2.0/0.5:
    union of the tiles 2.0 × 1.5 + 1.5 × 1.0 − 0.5 × 1.0 = 4.0; over the window 1.0 × 0.5: 3.5 left on."""

    def tiles(name: str, x: float, z: float, wide: float, high: float) -> Exclusion:
        ring = ((x, z, 0.0), (x + wide, z, 0.0), (x + wide, z + high, 0.0), (x, z + high, 0.0))
        return Exclusion(id=name, outline=ring)

    treatment = WallTreatment(exclusions=(tiles("a", 500, 0, 2000, 1500), tiles("b", 2000, 500, 1500, 1000)))
    window = Opening(
        id=OpeningId("w"), kind="window", room=RoomId("r"), side=SideId("s0"), offset_mm=1000, width_mm=1000,
        sill_mm=1000, head_mm=2000,
    )  # fmt: skip
    found = face_surface(measured(room_with([treatment, *[WallTreatment()] * 3]), (window,)))
    assert found.openings_m2 == close(1.0)
    assert found.excluded_m2 == close(3.5)
    assert found.net_m2 == close(12.0 - 1.0 - 3.5)


@pytest.mark.parametrize("number", range(20))
def test_ceiling_with_exclusions_is_what_shapely_leaves_of_it(number: int) -> None:
    rng = Random(number)
    rings = [random_ring(rng, LONG_MM, WIDE_MM) for _ in range(rng.randint(1, 4))]
    rings = [ring for ring in rings if not ring[0][2]]
    treatment = CeilingTreatment(exclusions=tuple(Exclusion(id=f"e{i}", outline=ring) for i, ring in enumerate(rings)))
    tilt = rng.choice((0.0, 0.3, 1.0))
    mono = Field(planes=(Plane(z_mm=2000, slope_x=tilt),))
    room = measured(room_with([WallTreatment()] * 4, mono, treatment))
    plan = box(0, 0, LONG_MM, WIDE_MM).difference(unary_union([shape_of(ring) for ring in rings]))
    assert room.ceiling_m2 == close(plan.area * math.hypot(1, tilt) * 1e-6)
    assert_adds_up(room)


L_SHAPE = ((0.0, 0.0), (5000.0, 0.0), (5000.0, 2000.0), (3000.0, 2000.0), (3000.0, 4000.0), (0.0, 4000.0))


@pytest.mark.parametrize("width", [50.0, 100.0, 600.0])
def test_coving_all_round_an_l_shaped_ceiling_is_mitred(width: float) -> None:
    treatment = CeilingTreatment(left_on=(Border(width_mm=width),))
    room = measured(room_with([WallTreatment()] * 6, None, treatment, L_SHAPE))
    assert room.ceiling_m2 == close(Polygon(L_SHAPE).buffer(-width, join_style="mitre").area * 1e-6)
    assert_adds_up(room)


@pytest.mark.parametrize("sides", [(0,), (0, 1), (1, 3), (0, 1, 2, 3), (3, 0)])
def test_ceiling_band_along_some_walls_is_the_union_of_strips(sides: tuple[int, ...]) -> None:
    width = 600.0
    strips = [
        box(0, 0, LONG_MM, width),
        box(LONG_MM - width, 0, LONG_MM, WIDE_MM),
        box(0, WIDE_MM - width, LONG_MM, WIDE_MM),
        box(0, 0, width, WIDE_MM),
    ]
    names = tuple(SideId(f"s{i}") for i in sides)
    band = measured(
        room_with([WallTreatment()] * 4, None, CeilingTreatment(only=(Border(width_mm=width, sides=names),)))
    )
    left = measured(
        room_with([WallTreatment()] * 4, None, CeilingTreatment(left_on=(Border(width_mm=width, sides=names),)))
    )
    area = unary_union([strips[i] for i in sides]).area * 1e-6
    assert band.ceiling_m2 == close(area)
    assert left.ceiling_m2 == close(LONG_MM * WIDE_MM * 1e-6 - area)
    assert_adds_up(band)
    assert_adds_up(left)


def test_border_on_a_slope_is_measured_on_the_slope() -> None:
    """Mono-pitch of 45° over 5000: the slope is 7071 long, and 100 come off each of its four sides."""
    mono = Field(planes=(Plane(z_mm=2000, slope_x=1.0),))
    treatment = CeilingTreatment(left_on=(Border(width_mm=100),))
    room = measured(room_with([WallTreatment()] * 4, mono, treatment))
    assert room.ceiling_m2 == close((5 * math.sqrt(2) - 0.2) * (4 - 0.2))
