"""A room turned by any angle and laid 4000 km away in mm measures the same to nine digits."""

from __future__ import annotations

import math
from random import Random

import pytest
from msgspec.structs import replace
from solids_rooms import Case, random_case

from takeoff.measure import measure
from takeoff.measure.takeoff import RoomTakeoff
from takeoff.plan.model import Field, Job, Plane, Region, Side

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
