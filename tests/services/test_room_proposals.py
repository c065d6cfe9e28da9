"""A click inside a drawing's linework gives the room that opening the whole drawing would propose."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from takeoff.drawing.model import Drawing, Layer, Linework
from takeoff.errors import InputError
from takeoff.geometry.rings import ring_area
from takeoff.plan.job_drawings import FIRST, drawing_shown
from takeoff.plan.model import DrawingRef, Job, StoreyId
from takeoff.plan.shape import holds
from takeoff.services.opened.opening import open_file
from takeoff.services.opened.room_proposals import fillings, ground_to_fill, with_filling

PLAN = Path(__file__).parents[2] / "sample_plans" / "terrace_ground.dxf"


def fill_room(job: Job, drawing: Drawing, storey_id: StoreyId | None, x_mm: float, y_mm: float) -> Job:
    """The job with the likeliest room round a point of the drawing. Layers are for
    what the user said of them."""
    storey = next((s for s in job.storeys if s.id == storey_id), None)
    ref = drawing_shown(job, storey)
    ground = ground_to_fill(drawing, ref.layer_roles if ref else ())
    return with_filling(job, storey_id, fillings(job, ground, storey_id, x_mm, y_mm)[0], (x_mm, y_mm))


def area_m2(room) -> float:
    rings = [[(s.x_mm, s.y_mm, s.bulge) for s in sides] for sides in (room.outline, *room.inner)]
    return sum(ring_area(ring) for ring in rings) / 1e6


def middle_of(room):
    import shapely

    point = shapely.Polygon([(s.x_mm, s.y_mm) for s in room.outline]).representative_point()
    return point.x, point.y


def lines(*corners, layer="0") -> Drawing:
    rows = np.array([(*a, *b) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)], float)
    return Drawing(name="p.dxf", layers=(Layer(layer),), lines=Linework(rows), unit="mm")


def test_every_room_of_the_sample_plan_is_filled_as_it_is_proposed() -> None:
    opened = open_file(PLAN)
    (storey,) = opened.job.storeys
    job, ground = Job(), ground_to_fill(opened.drawing, ())
    for room in storey.rooms:
        home = job.storeys[0].id if job.storeys else None
        job = with_filling(job, home, fillings(job, ground, home, *middle_of(room))[0])
    (filled,) = job.storeys
    assert [r.name for r in filled.rooms] == [r.name for r in storey.rooms]
    assert [area_m2(r) for r in filled.rooms] == pytest.approx([area_m2(r) for r in storey.rooms])
    widths = sorted((o.kind, round(o.width_mm)) for o in filled.openings)
    assert widths == sorted((o.kind, round(o.width_mm)) for o in storey.openings)


def test_room_that_is_there_is_not_filled_twice() -> None:
    opened = open_file(PLAN)
    room = opened.job.storeys[0].rooms[0]
    assert holds(room, *middle_of(room))
    with pytest.raises(InputError, match="there already"):
        fill_room(opened.job, opened.drawing, opened.job.storeys[0].id, *middle_of(room))


def test_click_beside_every_line_is_refused_in_words() -> None:
    with pytest.raises(InputError, match="No closed outline"):
        fill_room(Job(), lines((0, 0), (4000, 0), (4000, 3000), (0, 3000)), None, 9000.0, 9000.0)


def test_four_bare_lines_are_a_room() -> None:
    job = fill_room(Job(), lines((0, 0), (4000, 0), (4000, 3000), (0, 3000)), None, 1000.0, 1000.0)
    assert area_m2(job.storeys[0].rooms[0]) == pytest.approx(12.0)


def test_hall_wider_than_the_first_look_is_filled_whole() -> None:
    job = fill_room(Job(), lines((0, 0), (40_000, 0), (40_000, 25_000), (0, 25_000)), None, 2000.0, 2000.0)
    assert area_m2(job.storeys[0].rooms[0]) == pytest.approx(1000.0)


def test_walls_that_come_down_bound_no_room_that_is_filled() -> None:
    wall = lines((0, 0), (4000, 0), (4000, 3000), (0, 3000), layer="A-WALL")
    rows = np.array([(2000.0, 0.0, 2000.0, 3000.0)])
    both = type(wall.lines)(np.concatenate([wall.lines.segments, rows]), np.array([0, 0, 0, 0, 1], np.int32))
    drawing = Drawing(name="p.dxf", layers=(Layer("A-WALL"), Layer("A-WALL-2")), lines=both, unit="mm")
    job = Job(drawings=(DrawingRef(id=FIRST, name="p.dxf", layer_roles=(("A-WALL-2", "demolished"),)),))
    filled = fill_room(job, drawing, None, 1000.0, 1500.0)
    assert area_m2(filled.storeys[0].rooms[0]) == pytest.approx(12.0)
    untold = fill_room(Job(), drawing, None, 1000.0, 1500.0)
    assert area_m2(untold.storeys[0].rooms[0]) == pytest.approx(6.0)
