"""North on the plan: out of the drawing, turned as it is laid, an arrow beside the scale bar; nothing where unknown."""

from __future__ import annotations

import math
import shutil
from pathlib import Path

import ezdxf
import msgspec
import pytest

from takeoff.plan.job_drawings import north_of
from takeoff.plan.model import Laid
from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import open_file
from takeoff.services.written.writing import document
from takeoff.sheets.drawn import scale_bar
from takeoff.sheets.north import with_north
from takeoff.sheets.paper_pages import lay_out
from takeoff.sheets.pdf import Typeface
from takeoff.storage import jobs

PLAN = Path(__file__).parents[2] / "sample_plans" / "terrace_ground.dxf"


def placed(tmp_path: Path, north: tuple[float, float]) -> Path:
    """The sample plan placed on the Earth, with north that way in it."""
    path = Path(shutil.copy(PLAN, tmp_path / "plan.dxf"))
    drawn = ezdxf.readfile(path)
    drawn.dxfversion = "R2010"
    drawn.modelspace().new_geodata({"north_direction": north})
    drawn.saveas(path)
    return path


def test_north_of_the_drawing_stands_in_the_job_and_turns_with_it(tmp_path: Path) -> None:
    job = open_file(placed(tmp_path, (1.0, 1.0))).job  # north-east of the page: 45° from its right
    storey = job.storeys[0]
    assert north_of(job, storey) == pytest.approx(45.0)
    assert jobs.load(jobs.dump(job), "a.job.json") == job
    turned = msgspec.structs.replace(job.drawings[0], laid=Laid(turn_deg=90.0))
    turned_job = msgspec.structs.replace(job, drawings=(turned,))
    assert north_of(turned_job, storey) == pytest.approx(135.0)


def test_a_drawing_that_does_not_say_has_no_arrow() -> None:
    opened = open_file(PLAN)
    assert north_of(opened.job, opened.job.storeys[0]) is None
    assert "N" not in letters_beside_bars(opened)


def letters_beside_bars(opened) -> set[str]:
    scope = document(measure_job(opened), "2031-05-20").for_paper("scope")
    pages = lay_out(scope, "A4", Typeface().measure)
    return {caption.text for page in pages for _, _, picture in page.pictures for caption in picture.captions}


def test_the_arrow_stands_on_the_plan_of_the_scope(tmp_path: Path) -> None:
    assert "N" in letters_beside_bars(open_file(placed(tmp_path, (0.0, 1.0))))


@pytest.mark.parametrize("north", [0.0, 30.0, 90.0, 180.0, 225.0])
def test_the_arrow_points_to_north_and_keeps_to_its_picture(north: float) -> None:
    face = Typeface()
    bar = scale_bar(100, face.measure)
    made = with_north(bar, north, face.measure)
    ring, dark, _ = made.shapes[-3:]
    xs = [x for x, _, _ in ring.paths[0]]
    middle = ((min(xs) + max(xs)) / 2, made.height_mm / 2)
    tip = max(dark.paths[0], key=lambda v: math.dist(v[:2], middle))
    turn = math.degrees(math.atan2(tip[1] - middle[1], tip[0] - middle[0])) % 360
    assert turn == pytest.approx(north)
    letter = made.captions[-1]
    assert letter.x_mm >= 0
    assert letter.x_mm + face.measure("N", letter.style, letter.size_pt) <= made.width_mm
    assert 0 <= letter.y_mm <= made.height_mm - 1.8
    assert with_north(bar, None, face.measure) is bar
