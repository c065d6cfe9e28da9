"""Stepping through what was proposed, doubtful things first, by mouse and by keyboard."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest
from PySide6.QtCore import Qt

from takeoff.plan.model import Job
from takeoff.storage import jobs
from takeoff.ui.panels.proposals_page import ProposalsPage
from takeoff.views.drawing_asks import counts, proposals

CHECKOUT = Path(__file__).parents[2]
LEFT = Qt.MouseButton.LeftButton
replace = msgspec.structs.replace


def doubtful() -> Job:
    """The sample job with the hall in question, the kitchen to check, and one window in question."""
    job = jobs.load((CHECKOUT / "sample_plans" / "terrace.job.json").read_bytes(), "terrace")
    ground = job.storeys[0]
    levels = {"Hall": "question", "Kitchen": "check"}
    rooms = tuple(
        replace(room, confidence=levels.get(room.name, "sure"), evidence=(f"because of the {room.name}",))
        for room in ground.rooms
    )
    first = replace(ground.openings[0], confidence="question", evidence=("two lines across the wall",))
    storey = replace(ground, rooms=rooms, openings=(first, *ground.openings[1:]))
    return replace(job, storeys=(storey, *job.storeys[1:]))


@pytest.fixture
def stepping(window, tmp_path):
    path = tmp_path / "doubtful.json"
    path.write_bytes(jobs.dump(doubtful()))
    window.files.open(path)
    window.acts.do("check-proposals")
    return window


def page_of(window) -> ProposalsPage:
    page = window.sides.page("proposals")
    assert isinstance(page, ProposalsPage)
    return page


def test_open_questions_come_first_and_what_is_sure_last() -> None:
    found = proposals(doubtful())
    assert [(p.kind, p.confidence) for p in found] == [("room", "question"), ("opening", "question"), ("room", "check")]
    every = proposals(doubtful(), sure_too=True)
    assert every[:3] == found
    assert {p.confidence for p in every[3:]} == {"sure"}
    assert counts(doubtful()) == (2, 1)


def test_steps_at_the_left_say_how_many_are_to_check(stepping) -> None:
    rooms = len([r for s in stepping.document.job.storeys for r in s.rooms])
    assert stepping.steps.button("rooms").accessibleName() == f"Rooms: {rooms}, 2 to check"
    assert stepping.steps.button("openings").accessibleName().endswith(", 1 to check")


def test_first_is_shown_with_its_reasons_and_on_the_plan(stepping) -> None:
    page = page_of(stepping)
    assert stepping.sides.current == "proposals"
    assert page.count.text() == "1 of 3"
    assert page.title.text().endswith("Hall")
    assert page.state.text() == "Uncertain"
    words = [page._evidence.itemAt(k).widget().text() for k in range(page._evidence.count())]
    assert words == ["• because of the Hall"]
    (ref,) = stepping.document.choice
    assert stepping.document.job.storeys[0].rooms[0].name == "Hall"
    assert ref.id == stepping.document.job.storeys[0].rooms[0].id


def test_right_makes_it_sure_and_goes_on(stepping, qtbot) -> None:
    page = page_of(stepping)
    qtbot.mouseClick(page.right, LEFT)
    assert stepping.document.job.storeys[0].rooms[0].confidence == "sure"
    assert page.count.text() == "1 of 2"
    assert page.current.kind == "opening"
    assert stepping.document.choice[0].kind == "opening"


def test_no_opening_takes_it_away_and_undo_brings_it_back(stepping, qtbot) -> None:
    page = page_of(stepping)
    page.next()
    name, before = page.current.id, len(stepping.document.storey.openings)
    assert page.refuse.text() == "No opening"
    qtbot.mouseClick(page.refuse, LEFT)
    assert len(stepping.document.storey.openings) == before - 1
    stepping.acts.do("undo")
    assert stepping.document.storey.openings[0].id == name
    assert len(page.rows()) == 3


def test_skipped_ones_come_last(stepping, qtbot) -> None:
    page = page_of(stepping)
    first = page.current.id
    qtbot.mouseClick(page.skip, LEFT)
    assert page.current.id != first
    assert [p.id for p in page.rows()][-1] == first
    assert page.count.text() == "1 of 3"


def test_keyboard_does_it_all(stepping, qtbot) -> None:
    page = page_of(stepping)
    page.setFocus()
    qtbot.keyClick(page, Qt.Key.Key_Right)
    assert page.count.text() == "2 of 3"
    qtbot.keyClick(page, Qt.Key.Key_Left)
    qtbot.keyClick(page, Qt.Key.Key_Left)
    assert page.count.text() == "3 of 3"
    qtbot.keyClick(page, Qt.Key.Key_Return)
    assert counts(stepping.document.job) == (1, 1)
    stepping.acts.do("proposal-next")
    stepping.acts.do("proposal-right")
    stepping.acts.do("proposal-none")
    assert counts(stepping.document.job) == (0, 0)
    assert page.count.text().startswith("Nothing is left to check")


def test_nothing_left_offers_no_button_and_the_action_rests(stepping) -> None:
    page = page_of(stepping)
    for _ in range(3):
        page.accept()
    assert page.current is None
    assert not page.right.isVisibleTo(page)
    assert not stepping.acts.q("check-proposals").isEnabled()


def test_sure_ones_are_shown_on_demand(stepping, qtbot) -> None:
    page = page_of(stepping)
    page.sure_too.click()
    assert len(page.rows()) > 3
    page.previous()
    assert page.current.confidence == "sure"
    assert not page.right.isEnabled()


def test_pages_of_rooms_and_openings_lead_here(stepping, qtbot) -> None:
    stepping.space.show_step("rooms")
    button = next(
        b
        for b in stepping.sides.page("rooms").findChildren(type(page_of(stepping).right))
        if b.text() == "Check 2 rooms one by one"
    )
    qtbot.mouseClick(button, LEFT)
    assert stepping.sides.current == "proposals"


def test_another_job_starts_anew(stepping) -> None:
    stepping.document.stack.setClean()
    stepping.files.open_sample()
    assert page_of(stepping).current is None or page_of(stepping).current.confidence != "sure"
