"""The pictures of walls hold what was measured of them, to the last mm²."""

from __future__ import annotations

from pathlib import Path

import pytest
from shapely.geometry import Polygon

from takeoff.measure import measure
from takeoff.measure.elevations import FlatRing, elevations, neighbours
from takeoff.plan.model import Job, Room, Side, Storey, WallTreatment
from takeoff.storage import jobs

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"


def area_m2(rings: tuple[FlatRing, ...]) -> float:
    """By even-odd."""
    shape = Polygon()
    for ring in rings:
        shape = shape.symmetric_difference(Polygon(ring))
    return shape.area / 1e6


def sample() -> Job:
    return jobs.load(SAMPLE.read_bytes(), SAMPLE.name)


@pytest.mark.parametrize(("storey", "room"), [(s.id, r.id) for s in sample().storeys for r in s.rooms])
def test_faces_of_a_room_hold_its_walls_openings_and_what_stays(storey: str, room: str) -> None:
    job = sample()
    home = next(s for s in job.storeys if s.id == storey)
    drawn = elevations(job, home, next(r for r in home.rooms if r.id == room))
    figures = next(r for r in measure(job).rooms if r.room == room)
    assert sum(area_m2(e.coat) for e in drawn) == pytest.approx(figures.wall_net_m2, abs=1e-5)
    assert sum(area_m2(e.whole) for e in drawn) == pytest.approx(figures.wall_gross_m2, abs=1e-5)
    assert sum(area_m2(e.left_on) for e in drawn) == pytest.approx(figures.excluded_m2, abs=1e-5)
    openings = sum(area_m2(rings) for e in drawn for _, rings in e.openings)
    assert openings == pytest.approx(figures.openings_m2, abs=1e-5)
    for drawing, face in zip(drawn, (f for f in figures.faces if f.gross_m2 > 0), strict=True):
        assert drawing.side == face.id
        assert area_m2(drawing.coat) == pytest.approx(face.net_m2, abs=1e-5)


def test_return_is_drawn_where_its_wall_ends() -> None:
    corners = ((0, 0), (4000, 0), (4000, 3000), (0, 3000))
    sides = tuple(Side(id=f"s{k}", x_mm=x, y_mm=y) for k, (x, y) in enumerate(corners))
    only_end = Side(id="s0", x_mm=0, y_mm=0, treatment=WallTreatment(end_mm=600.0))
    room = Room(id="r", outline=(only_end, *sides[1:]))
    storey = Storey(id="g", rooms=(room,), height_mm=2500.0)
    first = elevations(Job(storeys=(storey,)), storey, room)[0]
    corners_of_the_return = {(3400.0, 0.0), (4000.0, 0.0), (4000.0, 2500.0), (3400.0, 2500.0)}
    assert [set(ring) for ring in first.coat] == [corners_of_the_return]
    assert (first.length_mm, first.low_mm, first.high_mm) == (4000.0, 0.0, 2500.0)


def test_neighbours_sought_for_all_at_once_are_those_of_each_alone() -> None:
    """Rooms in a row, 1.9 m apart, 2.0 m and 2.1 m: within reach are those no further than 2 m."""

    def box(name: str, x: float) -> Room:
        corners = ((x, 0.0), (x + 1000.0, 0.0), (x + 1000.0, 1000.0), (x, 1000.0))
        return Room(id=name, outline=tuple(Side(id=f"s{k}", x_mm=a, y_mm=b) for k, (a, b) in enumerate(corners)))

    rooms = (box("d", 9000.0), box("a", 0.0), box("b", 2900.0), box("c", 5900.0))
    found = [[room.id for room in near] for near in neighbours(rooms)]
    assert found == [["d"], ["a", "b"], ["a", "b", "c"], ["b", "c"]]
    assert neighbours(()) == []
    for home in sample().storeys:
        for room, near in zip(home.rooms, neighbours(home.rooms), strict=True):
            assert elevations(sample(), home, room, near) == elevations(sample(), home, room)
