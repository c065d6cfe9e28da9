"""One invented flat, its walls drawn in every way that offices draw them: the rooms are the same."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import open_file

BODIES = (
    (0, 0, 2000, 300),
    (3000, 0, 10000, 300),
    (0, 7700, 1500, 8000),
    (2700, 7700, 6000, 8000),
    (7500, 7700, 10000, 8000),
    (0, 300, 300, 7700),
    (9700, 300, 10000, 7700),
    (4000, 300, 4100, 1000),
    (4000, 1900, 4100, 7700),
    (4100, 4000, 5000, 4100),
    (5800, 4000, 9700, 4100),
)
MIDDLES = (
    ((0, 150), (2000, 150), 300),
    ((3000, 150), (10000, 150), 300),
    ((0, 7850), (1500, 7850), 300),
    ((2700, 7850), (6000, 7850), 300),
    ((7500, 7850), (10000, 7850), 300),
    ((150, 0), (150, 8000), 300),
    ((9850, 0), (9850, 8000), 300),
    ((4050, 300), (4050, 1000), 100),
    ((4050, 1900), (4050, 7700), 100),
    ((4100, 4050), (5000, 4050), 100),
    ((5800, 4050), (9700, 4050), 100),
)
ROOMS_M2 = {"Living": 3.7 * 7.4, "Kitchen": 5.6 * 3.6, "Bath": 5.6 * 3.7}


def outlines(space: Any) -> None:
    for x0, y0, x1, y1 in BODIES:
        space.add_lwpolyline([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], close=True, dxfattribs={"layer": "WALLS"})


def hatches(space: Any) -> None:
    for x0, y0, x1, y1 in BODIES:
        body = space.add_hatch(color=8, dxfattribs={"layer": "WALLS"})
        body.paths.add_polyline_path([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], is_closed=True)


def solids(space: Any) -> None:
    for x0, y0, x1, y1 in BODIES:
        space.add_solid([(x0, y0), (x1, y0), (x0, y1), (x1, y1)], dxfattribs={"layer": "WALLS"})


def thick_lines(space: Any) -> None:
    for a, b, width in MIDDLES:
        space.add_lwpolyline([a, b], dxfattribs={"layer": "WALLS", "const_width": width})


def old_thick_lines(space: Any) -> None:
    for a, b, width in MIDDLES:
        line = space.add_polyline2d([a, b], dxfattribs={"layer": "WALLS"})
        line.dxf.default_start_width = line.dxf.default_end_width = width


def multilines(space: Any) -> None:
    for a, b, width in MIDDLES:
        space.add_mline([a, b], dxfattribs={"layer": "WALLS", "scale_factor": width, "justification": 1}, close=False)


def drawing(path: Path, walls: Callable[[Any], None]) -> Path:
    document = ezdxf.new("R2010", units=4)
    space = document.modelspace()
    walls(space)
    for x, y, width, turn in ((2000, 0, 1000, 90), (4000, 1000, 900, 180), (5000, 4000, 800, 90)):
        a = math.radians(turn)
        space.add_line((x, y), (x + width * math.cos(a), y + width * math.sin(a)), dxfattribs={"layer": "DOORS"})
        space.add_arc((x, y), width, turn - 90, turn, dxfattribs={"layer": "DOORS"})
    for x0, x1 in ((1500, 2700), (6000, 7500)):
        for y in (7700, 7850, 8000):
            space.add_line((x0, y), (x1, y), dxfattribs={"layer": "WINDOWS"})
    for name, place in (("Living", (2000, 4000)), ("Kitchen", (7000, 6000)), ("Bath", (7000, 2000))):
        space.add_text(name, height=200, dxfattribs={"layer": "NAMES"}).set_placement(place)
    document.saveas(path)
    return path


@pytest.mark.parametrize("walls", [outlines, hatches, solids, thick_lines, old_thick_lines, multilines])
def test_rooms_are_the_same_however_the_walls_are_drawn(tmp_path: Path, walls: Callable[[Any], None]) -> None:
    measured = measure_job(open_file(drawing(tmp_path / "flat.dxf", walls)))
    found = {r.name: r.floor_m2 for r in measured.takeoff.rooms}
    assert found == pytest.approx(ROOMS_M2, rel=1e-4)
    kinds = sorted(o.kind for o in measured.job.storeys[0].openings if o.confidence == "sure")
    assert kinds == ["door", "door", "door", "window", "window"]


def test_line_drawn_thick_for_the_print_is_no_wall(tmp_path: Path) -> None:
    document = ezdxf.new("R2010", units=4)
    space = document.modelspace()
    space.add_lwpolyline(
        [(0, 0), (4000, 0), (4000, 3000), (0, 3000)], close=True, dxfattribs={"layer": "WALLS", "const_width": 20}
    )
    document.saveas(tmp_path / "thin.dxf")
    rooms = measure_job(open_file(tmp_path / "thin.dxf")).takeoff.rooms
    assert [r.floor_m2 for r in rooms] == pytest.approx([12.0])


@pytest.mark.parametrize("layer", ["A-WALL-DEMO", "ABBRUCH", "Mur démolition"])
def test_demolished_wall_bounds_no_room_and_is_told(tmp_path: Path, layer: str) -> None:
    def walls(space: Any) -> None:
        outlines(space)
        space.add_lwpolyline(
            [(300, 3000), (4000, 3000), (4000, 3100), (300, 3100)], close=True, dxfattribs={"layer": layer}
        )

    measured = measure_job(open_file(drawing(tmp_path / "flat.dxf", walls)))
    assert {r.name: r.floor_m2 for r in measured.takeoff.rooms} == pytest.approx(ROOMS_M2, rel=1e-4)
    (told,) = [f for f in measured.findings if f.code == "demolished-left-out"]
    assert layer in told.text


def test_wall_that_stays_bounds_rooms_whatever_its_layer_says_of_its_age(tmp_path: Path) -> None:
    def walls(space: Any) -> None:
        outlines(space)
        space.add_lwpolyline(
            [(300, 3000), (4000, 3000), (4000, 3100), (300, 3100)], close=True, dxfattribs={"layer": "A-WALL-EXST"}
        )

    areas = [r.floor_m2 for r in measure_job(open_file(drawing(tmp_path / "flat.dxf", walls))).takeoff.rooms]
    assert sorted(areas) == pytest.approx(sorted([3.7 * 2.7, 3.7 * 4.6, 5.6 * 3.6, 5.6 * 3.7]), rel=1e-4)
