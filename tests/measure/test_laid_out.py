"""Ceiling pieces, drops and raised tops are found where they are."""

from __future__ import annotations

import shapely

from takeoff.measure import measure
from takeoff.measure.elevations import laid_out
from takeoff.plan.model import Field, Job, Plane, Region, RegionId, Room, RoomId, Side, SideId, Storey, StoreyId

CORNERS = ((1000.0, 1000.0), (5000.0, 1000.0), (5000.0, 4000.0), (1000.0, 4000.0))


def job_with(ceiling: Field | None = None, floor: Field | None = None) -> Job:
    sides = tuple(Side(id=SideId(f"s{k}"), x_mm=x, y_mm=y) for k, (x, y) in enumerate(CORNERS))
    room = Room(id=RoomId("r"), outline=sides, ceiling=ceiling, floor=floor)
    return Job(storeys=(Storey(id=StoreyId("g"), height_mm=2400.0, rooms=(room,)),))


def boxing(op: str, top_mm: float, coat_face: bool | None = None) -> Region:
    """600 wide along the lower wall."""
    ring = ((1000.0, 1000.0, 0.0), (5000.0, 1000.0, 0.0), (5000.0, 1600.0, 0.0), (1000.0, 1600.0, 0.0))
    return Region(id=RegionId("b"), op=op, outline=ring, planes=(Plane(z_mm=top_mm),), coat_face=coat_face)


def area(rings) -> float:
    return shapely.polygons([(x, y) for x, y in rings[0]]).area / 1e6


def test_boxing_parts_the_ceiling_into_two_pieces_with_a_drop_between() -> None:
    job = job_with(ceiling=Field(planes=(Plane(z_mm=2400.0),), regions=(boxing("lower", 2100.0),)))
    found = laid_out(job, job.storeys[0], job.storeys[0].rooms[0])
    assert area(found.areas["ceiling"]) == 4.0 * 2.4
    assert area(found.areas["b.face"]) == 4.0 * 0.6
    (course,) = found.courses.values()
    assert {point[1] for point in course} == {1600.0}


def test_names_are_those_of_the_measured_surfaces() -> None:
    slopes = (Plane(z_mm=2400.0), Plane(z_mm=1200.0, slope_y=1.0, at_y_mm=1000.0))
    job = job_with(ceiling=Field(planes=slopes))
    found = laid_out(job, job.storeys[0], job.storeys[0].rooms[0])
    measured = measure(job).rooms[0]
    assert set(found.areas) == {s.id for s in measured.surfaces if s.kind == "ceiling"}
    assert sorted(round(area(rings), 9) for rings in found.areas.values()) == [4.0 * 1.2, 4.0 * 1.8]


def test_coated_top_of_a_window_seat_is_found() -> None:
    seat = boxing("raise", 450.0, coat_face=True)
    job = job_with(floor=Field(planes=(Plane(z_mm=0.0),), regions=(seat,)))
    found = laid_out(job, job.storeys[0], job.storeys[0].rooms[0])
    assert area(found.areas["b.top"]) == 4.0 * 0.6
