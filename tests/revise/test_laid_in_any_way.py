"""A drawing against itself, however it was moved, turned, mirrored, sorted into other layers or written in another
unit: nothing has changed, and the job stays the very same."""

from __future__ import annotations

import math
import random
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from ezdxf.math import Matrix44

from takeoff.services.changed.comparing import Comparison, compare_files, laid_over, read_as
from takeoff.services.opened.opening import Opened, open_file
from takeoff.services.opened.several_drawings import all_in_one
from takeoff.storage import jobs

SAMPLES = Path(__file__).parents[2] / "sample_plans"
STOREYS = ("ground", "first")


@pytest.fixture(scope="module")
def house() -> Opened:
    first, second = (open_file(SAMPLES / f"terrace_{name}.dxf") for name in STOREYS)
    return all_in_one(first, [second])


def redrawn(source: Path, target: Path, matrix: Matrix44, unit: int | None = None, otherwise: str = "") -> Path:
    """A drawing moved by a matrix; its layers renamed or its entities shuffled."""
    document = ezdxf.readfile(source)
    space = document.modelspace()
    for entity in list(space):
        entity.transform(matrix)
    if unit is not None:
        document.header["$INSUNITS"] = unit
    if otherwise == "layers":
        for layer in list(document.layers):
            if layer.dxf.name not in ("0", "Defpoints"):
                layer.rename(f"X-{layer.dxf.name}")
    if otherwise == "shuffled":
        entities = list(space)
        random.Random(7).shuffle(entities)
        for entity in entities:
            space.unlink_entity(entity)
        for entity in entities:
            space.add_entity(entity)
    document.saveas(target)
    return target


def against(house: Opened, folder: Path, matrix: Matrix44, **how: Any) -> Comparison:
    news = []
    for name in STOREYS:
        path = redrawn(SAMPLES / f"terrace_{name}.dxf", folder / f"{name}.dxf", matrix, **how)
        news.append(read_as(house.job, path))
    return laid_over(house, news)


def turned(degrees: float) -> Matrix44:
    return Matrix44.z_rotate(math.radians(degrees))


WAYS: dict[str, tuple[Matrix44, dict[str, Any]]] = {
    "shifted": (Matrix44.translate(12345.6, -999.3, 0), {}),
    "turned": (turned(37.3) @ Matrix44.translate(1000, 0, 0), {}),
    "a quarter turned": (turned(90), {}),
    "far away": (turned(10) @ Matrix44.translate(4e6, 5e6, 0), {}),
    "mirrored": (Matrix44.scale(-1, 1, 1), {}),
    "mirrored and turned": (Matrix44.scale(-1, 1, 1) @ turned(123.4), {}),
    "in metres": (Matrix44.scale(0.001), {"unit": 6}),
    "in inches": (Matrix44.scale(1 / 25.4), {"unit": 1}),
    "other layers": (Matrix44(), {"otherwise": "layers"}),
    "shuffled": (Matrix44(), {"otherwise": "shuffled"}),
}


@pytest.mark.parametrize("way", WAYS)
def test_a_drawing_against_itself(house: Opened, tmp_path: Path, way: str) -> None:
    matrix, how = WAYS[way]
    done = against(house, tmp_path, matrix, **how)
    assert done.compared.difference.changed == ()
    assert done.compared.job.storeys == house.job.storeys
    assert done.compared.fit == 1.0
    assert done.compared.lost == ()
    assert all(one.mirror == way.startswith("mirrored") for one in done.compared.placed)


def test_metres_that_are_not_said_are_told(house: Opened, tmp_path: Path) -> None:
    """Written in metres, declared as millimetres: it fits, or it is told what would make it fit; never figures of a
    house a thousand times smaller without a word."""
    job = tmp_path / "house.json"
    job.write_bytes(jobs.dump(house.job))
    path = redrawn(SAMPLES / "terrace_ground.dxf", tmp_path / "new.dxf", Matrix44.scale(0.001), unit=4)
    done = compare_files(job, [path])
    assert done.compared.fit == 1.0 or done.another_plan
