"""What a drawing leaves open, and what each choice would mean, in lengths that a builder knows."""

from __future__ import annotations

import sys
from pathlib import Path

import msgspec
import pytest

from takeoff.drawing.model import Claim
from takeoff.errors import InputError
from takeoff.services.opened.opening import Answers, answered, open_file
from takeoff.views.drawing_asks import (
    Sizes,
    is_model,
    is_sheet,
    meaning,
    pages_of,
    question,
    scale_by_length,
    unit_by_length,
)

sys.path.insert(0, str(Path(__file__).parents[1] / "readers"))

from pdf_making import Sheet, flat

CHECKOUT = Path(__file__).parents[2]
PLAN = CHECKOUT / "sample_plans" / "terrace_ground.dxf"


@pytest.fixture(scope="module")
def terrace():
    return open_file(PLAN)


@pytest.fixture
def sheet(tmp_path: Path):
    drawn = Sheet(tmp_path / "flat.pdf", 50.0, corner_mm=(120.0, 100.0))
    flat(drawn, figures=False, areas=True)
    return open_file(drawn.done())


def test_a_clear_drawing_has_a_question_without_doubt(terrace) -> None:
    asked = question(terrace.drawing, terrace.job, terrace.findings)
    assert asked is not None
    assert (asked.kind, asked.doubtful) == ("unit", False)
    assert [c.key for c in asked.choices] == ["mm", "cm", "dm", "m", "in", "ft"]
    (taken,) = [c for c in asked.choices if c.taken]
    assert taken.key == terrace.drawing.unit


def test_choices_say_how_large_doors_and_rooms_would_be() -> None:
    shown = Sizes(10_800.0, 15_900.0, 900.0, "doors {width} m", 24_300_000.0)
    assert meaning(shown, 1.0) == "10.8 × 15.9 m in all; doors 0.90 m; largest room 24 m²"
    assert meaning(shown, 10.0) == "108 × 159 m in all; doors 9.00 m; largest room 2,430 m²"
    tiny = "under 0.1 × under 0.1 m in all; doors under 0.01 m; largest room under 0.1 m²"
    assert meaning(shown, 0.001) == tiny
    assert meaning(Sizes(1000.0, 2000.0), 1.0) == "1.0 × 2.0 m in all"


def test_a_sheet_is_asked_for_its_scale(sheet) -> None:
    asked = question(sheet.drawing, sheet.job, sheet.findings)
    assert asked is not None
    assert asked.kind == "scale"
    assert {"50", "100"} <= {c.key for c in asked.choices}
    assert is_sheet(sheet.drawing)
    assert pages_of(sheet.drawing) == 1


def test_drawings_cut_from_a_model_are_told_by_their_claims(terrace, sheet) -> None:
    cut = msgspec.structs.replace(terrace.drawing, claims=(Claim("storey", "IfcBuildingStorey"),))
    assert is_model(cut)
    assert question(cut, terrace.job, ()) is None
    assert not is_model(terrace.drawing)
    assert not is_model(sheet.drawing)


def test_a_known_length_gives_scale_or_unit(sheet, terrace) -> None:
    assert scale_by_length(sheet.drawing, 4000.0, 8000.0) == 2.0 * sheet.drawing.unit_mm
    assert unit_by_length(terrace.drawing, 1000.0, 1000.0) == terrace.drawing.unit
    for drawn, said in ((0.0, 1000.0), (1000.0, 0.0), (1000.0, float("nan")), (1000.0, float("inf"))):
        with pytest.raises(InputError):
            scale_by_length(sheet.drawing, drawn, said)
    with pytest.raises(InputError, match="which no unit is"):
        unit_by_length(terrace.drawing, 1000.0, 3000.0)


def test_another_answer_needs_no_second_reading_and_gives_what_the_command_gives(terrace) -> None:
    assert answered(terrace, Answers(unit="cm")).job == open_file(PLAN, unit="cm").job
    assert answered(terrace, Answers()).job == terrace.job


def test_a_job_is_not_answered_for_without_its_drawing() -> None:
    job = open_file(CHECKOUT / "sample_plans" / "terrace.job.json")
    with pytest.raises(InputError, match=r"Open terrace\.job\.json again"):
        answered(job, Answers(unit="cm"))
