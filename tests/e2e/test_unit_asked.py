"""A drawing that does not show its unit is asked about before anything is measured."""

from __future__ import annotations

import json
from pathlib import Path

import ezdxf
import pytest


@pytest.fixture
def box(tmp_path: Path) -> Path:
    """A room of 4 m × 3 m in centimetres that nothing says so of."""
    doc = ezdxf.new("R2010")
    doc.header["$INSUNITS"] = 0
    for x, y, w, h in ((0, 0, 400, 300), (-20, -20, 440, 340)):
        doc.modelspace().add_lwpolyline([(x, y), (x + w, y), (x + w, y + h), (x, y + h)], close=True)
    path = tmp_path / "box.dxf"
    doc.saveas(path)
    return path


def test_the_command_asks_with_what_each_unit_would_give_and_measures_nothing(takeoff, box: Path) -> None:
    done = takeoff("measure", box, "-o", box.parent / "out")
    assert done.returncode == 1
    assert done.stdout.startswith("In which unit is it drawn?")
    assert "--unit cm  4.4 × 3.4 m in all; largest room 12 m²" in done.stdout
    assert "--unit m   440 × 340 m in all" in done.stdout
    assert "Nothing is measured until you give one of them" in done.stdout
    assert not (box.parent / "out").exists()


def test_the_answer_measures_and_a_draft_says_that_it_is_one(takeoff, box: Path) -> None:
    done = takeoff("measure", box, "--unit", "cm", "--json", "-")
    assert json.loads(done.stdout)["totals"]["floor_m2"] == pytest.approx(12.0)
    draft = takeoff("measure", box, "--draft", "-o", box.parent / "out")
    assert draft.returncode == 1
    assert (box.parent / "out" / "scope.pdf").is_file()
