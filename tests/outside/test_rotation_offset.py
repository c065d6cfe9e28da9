"""A room turned by any angle and laid 4000 km away in mm measures the same to nine digits."""

from __future__ import annotations

import math
from random import Random

import pytest
from manifold3d import Manifold
from msgspec.structs import replace
from solids_rooms import Case, random_case

from takeoff.measure import measure
from takeoff.measure.takeoff import RoomTakeoff
from takeoff.plan.model import Field, Job, Plane, Region, RegionId, Room, RoomId, Side, SideId, Storey, StoreyId

FAR_MM = 4.0e6
TOLERANCE = 1e-9
ROOMS = 60


class Move:
    """A turn about the origin and then an offset."""

    def __init__(self, angle_deg: float, by_mm: tuple[float, float]) -> None:
        self.cos, self.sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
        self.by_mm = by_mm

    def turned(self, x: float, y: float) -> tuple[float, float]:
        return self.cos * x - self.sin * y, self.sin * x + self.cos * y

    def point(self, x: float, y: float) -> tuple[float, float]:
        a, b = self.turned(x, y)
        return a + self.by_mm[0], b + self.by_mm[1]

    def plane(self, plane: Plane) -> Plane:
        slope_x, slope_y = self.turned(plane.slope_x, plane.slope_y)
        x, y = self.point(plane.at_x_mm, plane.at_y_mm)
        return Plane(z_mm=plane.z_mm, slope_x=slope_x, slope_y=slope_y, at_x_mm=x, at_y_mm=y)

    def region(self, region: Region) -> Region:
        outline = tuple((*self.point(x, y), b) for x, y, b in region.outline)
        return replace(region, outline=outline, planes=tuple(map(self.plane, region.planes)))

    def field(self, field: Field | None) -> Field | None:
        if field is None:
            return None
        planes, regions = tuple(map(self.plane, field.planes)), tuple(map(self.region, field.regions))
        return replace(field, planes=planes, regions=regions)

    def side(self, side: Side) -> Side:
        x, y = self.point(side.x_mm, side.y_mm)
        return replace(side, x_mm=x, y_mm=y)

    def job(self, case: Case) -> Job:
        room, storey = case.room, case.job.storeys[0]
        moved = replace(
            room,
            outline=tuple(map(self.side, room.outline)),
            inner=tuple(tuple(map(self.side, ring)) for ring in room.inner),
            ceiling=self.field(room.ceiling),
            floor=self.field(room.floor),
        )
        return Job(storeys=(replace(storey, rooms=(moved,)),))


def numbers(room: RoomTakeoff) -> dict[str, float]:
    """Every numeric figure of a room."""
    made: dict[str, float] = {}
    for name in room.__struct_fields__:
        value = getattr(room, name)
        if isinstance(value, float):
            made[name] = value
        elif isinstance(value, dict):
            made |= {f"{name}.{kind}": length for kind, length in value.items()}
    return made


def changes(case: Case, move: Move) -> dict[str, tuple[float, float]]:
    before, after = numbers(measure(case.job).rooms[0]), numbers(measure(move.job(case)).rooms[0])
    assert len(before) > 20
    return {
        name: (before.get(name, 0.0), after.get(name, 0.0))
        for name in before | after
        if not math.isclose(before.get(name, 0.0), after.get(name, 0.0), rel_tol=TOLERANCE, abs_tol=TOLERANCE)
    }


@pytest.mark.parametrize("block", range(0, ROOMS, 10))
def test_a_turned_room_measures_the_same(block: int) -> None:
    rng = Random(block)
    cases = [random_case(number) for number in range(block, block + 10)]
    assert not {c.number: d for c in cases if (d := changes(c, Move(rng.uniform(0, 360), (0.0, 0.0))))}


@pytest.mark.parametrize("block", range(0, ROOMS, 10))
def test_a_room_far_from_the_origin_measures_the_same(block: int) -> None:
    cases = [random_case(number) for number in range(block, block + 10)]
    assert not {c.number: d for c in cases if (d := changes(c, Move(0.0, (FAR_MM, -FAR_MM))))}


@pytest.mark.parametrize("block", range(0, ROOMS, 10))
def test_a_turned_room_far_from_the_origin_measures_the_same(block: int) -> None:
    rng = Random(block)
    cases = [random_case(number) for number in range(block, block + 10)]
    assert not {c.number: d for c in cases if (d := changes(c, Move(rng.uniform(0, 360), (-FAR_MM, FAR_MM))))}


def dormer_with_a_box_in_it() -> Case:
    """4000 × 3000 with a raised part of 1000 × 700 at a wall, and a lower one inside it at the same wall."""

    def part(name: str, op: str, x0: float, x1: float, y1: float, z: float) -> Region:
        outline = ((x0, 0.0, 0.0), (x1, 0.0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0))
        return Region(id=RegionId(name), op=op, outline=outline, planes=(Plane(z_mm=z),))  # type: ignore[arg-type]

    parts = (part("a", "raise", 1000, 2000, 700, 3000), part("b", "lower", 1200, 1500, 300, 1900))
    corners = ((0.0, 0.0), (4000.0, 0.0), (4000.0, 3000.0), (0.0, 3000.0))
    room = Room(
        id=RoomId("r"),
        outline=tuple(Side(id=SideId(f"s{i}"), x_mm=x, y_mm=y) for i, (x, y) in enumerate(corners)),
        ceiling=Field(planes=(Plane(z_mm=2700),), regions=parts),
    )
    return Case(0, "stepped", Job(storeys=(Storey(id=StoreyId("g"), rooms=(room,)),)), Manifold())


def test_parts_of_a_ceiling_along_one_wall_are_kept_far_from_the_origin_at_any_angle() -> None:
    rng = Random(5)
    case = dormer_with_a_box_in_it()
    moves = [Move(rng.uniform(0, 360), (FAR_MM, -FAR_MM)) for _ in range(40)]
    assert not [d for move in moves if (d := changes(case, move))]
