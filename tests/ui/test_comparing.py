"""A new drawing compared with the job in the window: changes listed, one refused, the rest put in as one edit."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt

from takeoff.services.opening import open_file

SAMPLES = Path(__file__).parents[2] / "sample_plans"


@pytest.fixture
def compared(window, told):
    """The window with the ground floor in A, and B laid over it."""
    opened = open_file(SAMPLES / "terrace_ground.dxf")
    window.document.open(opened.job, opened.drawings)
    told.paths = [SAMPLES / "terrace_ground_rev_b.dxf"]
    window.acts.do("compare")
    return window


def test_changes_are_listed_and_put_in_as_one_edit(compared, qtbot) -> None:
    page = compared.findChild(object, "comparing").page
    assert page.list.count() == 1
    assert page.list.item(0).text().startswith("GROUND FLOOR, Kitchen: altered")
    assert "Walls −1.08 m²" in page.list.item(0).text()
    job = compared.document.job
    before = compared.document.state.totals["wall_net_m2"]
    qtbot.mouseClick(page.into, Qt.MouseButton.LeftButton)
    assert len(compared.document.job.storeys[0].openings) == len(job.storeys[0].openings) + 1
    assert float(compared.document.state.totals["wall_net_m2"] - before) == pytest.approx(-1.08)
    compared.document.stack.undo()
    assert compared.document.job is job


def test_refused_changes_stay_listed_and_change_nothing(compared, qtbot) -> None:
    page = compared.findChild(object, "comparing").page
    job = compared.document.job
    qtbot.mouseClick(page.none, Qt.MouseButton.LeftButton)
    qtbot.mouseClick(page.into, Qt.MouseButton.LeftButton)
    assert compared.document.job is job
    assert page.list.count() == 1
    assert page.list.item(0).checkState() == Qt.CheckState.Unchecked
    qtbot.mouseClick(page.every, Qt.MouseButton.LeftButton)
    assert page.refused == frozenset()


def test_the_variation_is_written_from_the_page(compared, told, qtbot, tmp_path) -> None:
    page = compared.findChild(object, "comparing").page
    told.paths = [tmp_path / "out"]
    qtbot.mouseClick(page.paper, Qt.MouseButton.LeftButton)
    assert (tmp_path / "out" / "variation.pdf").exists()
