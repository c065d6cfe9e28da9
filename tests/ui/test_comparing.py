"""A new drawing compared with the job in the window: changes listed, one refused, the rest put in as one edit."""

from __future__ import annotations

from pathlib import Path

import pypdfium2
import pytest
from hands import Hands
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from takeoff.cli.main import run
from takeoff.services.opened.opening import open_file

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


def test_new_and_old_are_seen_over_one_another(compared) -> None:
    """The new drawing lies dashed over the plan; one key shows the drawing before instead, one more nothing."""
    comparing = compared.findChild(object, "comparing")
    over, page = comparing._over, comparing.page
    new = over._item.path().boundingRect()
    assert not over.is_empty
    count = over._item.path().elementCount()
    page.over.setFocus()
    QTest.keyClick(page.over, Qt.Key.Key_Down)
    assert not over.is_empty
    # the new drawing has one window more: a box of four sides
    assert count - over._item.path().elementCount() == 5
    assert over._item.path().boundingRect() == new
    QTest.keyClick(page.over, Qt.Key.Key_Down)
    assert over.is_empty
    QTest.keyClick(page.over, Qt.Key.Key_Up)
    assert not over.is_empty
    compared.space.pages.show_page("card")
    assert over.is_empty


def test_two_pairs_of_places_set_the_new_drawing_down(compared, qtbot) -> None:
    """First wrongly, a bay to the right, so that much is otherwise; then on the same corners, so that little is."""
    comparing = compared.findChild(object, "comparing")
    page, hands = comparing.page, Hands(compared)
    page.set_down.click()
    assert page.list.count() == 1
    hands.click((0.0, 0.0), (0.0, 5000.0))
    hands.click((1900.0, 0.0), (1900.0, 5000.0))
    assert page.list.count() > 1
    assert comparing.done.compared.placed[0].laid.dx_mm == pytest.approx(1900.0, abs=0.01)
    qtbot.mouseClick(page.set_down, Qt.MouseButton.LeftButton)
    hands.click((1900.0, 0.0), (1900.0, 5000.0))
    hands.click((0.0, 0.0), (0.0, 5000.0))
    assert page.list.count() == 1
    assert page.list.item(0).text().startswith("GROUND FLOOR, Kitchen: altered")
    assert "100% of the storey's rooms fit" in page.fit.text()
    job = compared.document.job
    qtbot.mouseClick(page.into, Qt.MouseButton.LeftButton)
    assert len(compared.document.job.storeys[0].openings) == len(job.storeys[0].openings) + 1


def test_places_that_are_not_the_same_are_one_sentence(compared) -> None:
    comparing = compared.findChild(object, "comparing")
    before = comparing.done
    comparing.page.set_down.click()
    Hands(compared).click((0.0, 0.0), (0.0, 5000.0), (0.0, 0.0), (1900.0, 0.0))
    assert comparing.done is before
    assert "choose the same two" in compared.totals.note.text()


def test_all_alike_are_refused_at_once_and_stay_on_the_paper(window, told, qtbot, tmp_path) -> None:
    """Both rooms of the new attic are refused by one click; what is left, and they, stand on the variation."""
    names = ("terrace_ground", "terrace_first")
    house = tmp_path / "house.json"
    assert run(["job", *(str(SAMPLES / f"{name}.dxf") for name in names), "-o", str(house)]) == 0
    window.files.open(house)
    told.paths = [SAMPLES / f"{name}_rev_b.dxf" for name in (*names, "terrace_attic")]
    window.acts.do("compare")
    page = window.findChild(object, "comparing").page
    assert page.list.count() == 5
    row = next(k for k in range(5) if "Attic room" in page.list.item(k).text())
    qtbot.mouseClick(
        page.list.viewport(), Qt.MouseButton.LeftButton, pos=page.list.visualItemRect(page.list.item(row)).center()
    )
    page.list.setCurrentRow(row)
    qtbot.mouseClick(page.unlike, Qt.MouseButton.LeftButton)
    ticked = [page.list.item(k).text() for k in range(5) if page.list.item(k).checkState() == Qt.CheckState.Checked]
    assert len(ticked) == 3
    assert not any("Attic" in text for text in ticked)
    told.paths = [tmp_path / "out"]
    qtbot.mouseClick(page.paper, Qt.MouseButton.LeftButton)
    with pypdfium2.PdfDocument(tmp_path / "out" / "variation.pdf") as paper:
        text = "".join(one.get_textpage().get_text_range() for one in paper)
    assert "Refused, left as it was" in text
    assert "Attic room: added" in text.split("Refused, left as it was")[1]
    qtbot.mouseClick(page.into, Qt.MouseButton.LeftButton)
    assert len(window.document.job.storeys) == 2
    assert page.list.count() == 5
    qtbot.mouseClick(page.like, Qt.MouseButton.LeftButton)
    assert page.refused == frozenset()
