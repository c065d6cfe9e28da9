"""The first start: the sample opens, a tour points at the real widgets; an empty window says what next."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QRect, Qt

from takeoff.plan.model import Job
from takeoff.services.opened.opening import open_file
from takeoff.ui.app import Shell, Start
from takeoff.ui.panels.first_steps import EmptyPlan
from takeoff.ui.settings import Settings
from takeoff.ui.window.tour_part import Tour
from takeoff.views.job_steps import STOPS

SAMPLES = Path(__file__).parents[2] / "sample_plans"


@pytest.fixture
def tour(sample) -> Tour:
    sample.acts.do("tour")
    return sample.findChild(Tour)


def seen(window, widget) -> QRect:
    return QRect(widget.mapTo(window, QPoint(0, 0)), widget.size())


def test_first_start_opens_the_sample_and_begins_the_tour_once(qtbot, qapp, told, tmp_path) -> None:
    first = Start(Shell(Settings(tmp_path / "window.json")), None)
    qtbot.addWidget(first.shell)
    first.shell.show()
    first.furnish()
    tour = first.shell.main.findChild(Tour)
    qtbot.waitUntil(lambda: tour.is_on, timeout=3000)
    assert first.shell.main.document.job.name == "Terrace house, invented example"
    qtbot.keyClick(tour.bubble, Qt.Key.Key_Escape)
    assert not tour.is_on
    assert Settings(tmp_path / "window.json").value.tour_seen
    assert first.shell.close()
    first.end()
    again = Start(Shell(Settings(tmp_path / "window.json")), None)
    qtbot.addWidget(again.shell)
    again.shell.show()
    again.furnish()
    qtbot.wait(600)
    assert not again.shell.main.findChild(Tour).is_on
    again.end()


def test_tour_goes_through_every_stop_with_the_keyboard_alone(sample, tour, qtbot) -> None:
    told = []
    for _ in STOPS:
        told.append(tour.bubble.title.text())
        assert sample.focusWidget() is tour.bubble.buttons["next"]
        qtbot.keyClick(tour.bubble, Qt.Key.Key_Return)
    assert told == [stop.title for stop in STOPS]
    assert 6 <= len(STOPS) <= 8
    assert not tour.is_on
    assert sample.focusWidget() is sample.plan.view


def test_bubble_stands_in_the_window_beside_the_widget_that_it_frames(sample, tour, qtbot) -> None:
    for _ in STOPS:
        bubble, frame = seen(sample, tour.bubble), seen(sample, tour.bubble.frame)
        assert sample.rect().contains(bubble)
        if tour.bubble.title.text() != "The plan":
            assert not bubble.intersects(frame)
        qtbot.mouseClick(tour.bubble.buttons["next"], Qt.MouseButton.LeftButton)


def test_tour_goes_back_and_follows_the_window(sample, tour, qtbot) -> None:
    qtbot.mouseClick(tour.bubble.buttons["next"], Qt.MouseButton.LeftButton)
    qtbot.keyClick(tour.bubble, Qt.Key.Key_Right)
    assert tour.bubble.count.text() == f"3 of {len(STOPS)}"
    qtbot.keyClick(tour.bubble, Qt.Key.Key_Left)
    assert tour.bubble.count.text() == f"2 of {len(STOPS)}"
    sample.resize(1700, 1000)
    assert seen(sample, tour.bubble.frame).width() >= sample.plan.view.width() - 4


def test_tour_changes_nothing_of_the_job(sample, tour, qtbot) -> None:
    job = sample.document.job
    for _ in STOPS:
        qtbot.keyClick(tour.bubble, Qt.Key.Key_Return)
    assert sample.document.job is job
    assert not sample.document.stack.canUndo()


def test_empty_window_says_what_to_do_next_and_does_it(window, told, qtbot) -> None:
    empty = window.findChild(EmptyPlan)
    assert empty.isVisible()
    assert "Open a drawing" in empty.text.text()
    told.paths.append(SAMPLES / "terrace_ground.dxf")
    qtbot.mouseClick(empty.buttons[0], Qt.MouseButton.LeftButton)
    assert len(window.document.job.storeys[0].rooms) == 5
    assert not empty.isVisible()


def test_words_make_way_for_a_tool_and_come_back(window, qtbot) -> None:
    empty = window.findChild(EmptyPlan)
    qtbot.mouseClick(empty.buttons[1], Qt.MouseButton.LeftButton)
    assert window.plan.view.tool is not window.choose
    assert not empty.isVisible()
    window.space.back_to_choosing()
    assert empty.isVisible()


def test_drawing_without_rooms_leads_to_its_layers(window, qtbot) -> None:
    opened = open_file(SAMPLES / "loft.dxf")
    window.document.open(Job(drawings=opened.job.drawings), opened.drawings)
    empty = window.findChild(EmptyPlan)
    assert empty.title.text() == "No room was found in this drawing"
    qtbot.mouseClick(empty.buttons[0], Qt.MouseButton.LeftButton)
    assert window.sides.current == "drawing"


def test_nothing_chosen_says_how_to_choose(sample, window) -> None:
    assert sample.card.title.text() == "Nothing selected"
    assert "Click a room on the plan" in sample.card.about.text()


def test_tour_brings_the_plan_back_from_behind_the_sheets(sample, qtbot) -> None:
    sample.acts.do("sheets")
    assert not sample.plan.view.isVisible()
    sample.acts.do("tour")
    qtbot.keyClick(sample.findChild(Tour).bubble, Qt.Key.Key_Return)
    assert sample.plan.view.isVisible()
    frame = seen(sample, sample.findChild(Tour).bubble.frame)
    assert frame.width() > 300
