"""Openings that nobody is sure of are answered in groups on the page of proposals, by one key each."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from takeoff.plan.model import Job, Opening, Reveal, Room, Side, Storey, Strip
from takeoff.storage import jobs
from takeoff.ui.panels.proposals_page import ProposalsPage

WIDTHS = {"a": 1210.0, "b": 1180.0, "c": 1200.0}


def asked_job() -> Job:
    """4 × 3 × 2.4 m within walls of 500: three ways of about 1.20 m in question, one of 0.70 m."""
    strip = Strip(depth_mm=500.0, depth_source="drawn")

    def way(name: str, width: float, side: str, offset: float) -> Opening:
        return Opening(
            id=name, kind="open", room="r1", side=side, offset_mm=offset, width_mm=width, sill_mm=0.0, head_mm=2040.0,
            reveal=Reveal(start=strip, end=strip, head=strip), width_source="drawn", sill_source="drawn",
            head_source="assumed", confidence="question", evidence=("two lines across the wall",),
        )  # fmt: skip

    corners = ((0.0, 0.0), (4000.0, 0.0), (4000.0, 3000.0), (0.0, 3000.0))
    outline = tuple(Side(id=f"s{k}", x_mm=x, y_mm=y) for k, (x, y) in enumerate(corners))
    building = ((-500.0, -500.0, 0.0), (4500.0, -500.0, 0.0), (4500.0, 3500.0, 0.0), (-500.0, 3500.0, 0.0))
    openings = (
        way("a", 1210.0, "s0", 300.0), way("b", 1180.0, "s0", 2400.0),
        way("c", 1200.0, "s2", 300.0), way("d", 700.0, "s1", 800.0),
    )  # fmt: skip
    room = Room(id="r1", name="Bed", outline=outline)
    return Job(storeys=(Storey(id="g", height_source="typed", rooms=(room,), openings=openings, building=(building,)),))


@pytest.fixture
def asking(window, tmp_path):
    path = tmp_path / "asked.json"
    path.write_bytes(jobs.dump(asked_job()))
    window.files.open(path)
    window.activateWindow()
    window.acts.do("check-proposals")
    return window


def page_of(window) -> ProposalsPage:
    page = window.sides.page("proposals")
    assert isinstance(page, ProposalsPage)
    return page


def group_shown(window) -> ProposalsPage:
    """The page with the group of three."""
    page = page_of(window)
    while len(page.current.members) != 3:
        page.next()
    return page


def openings(window) -> dict[str, Opening]:
    return {str(o.id): o for o in window.document.storey.openings}


def test_alike_openings_are_one_step_and_lit_up_together(asking) -> None:
    page = group_shown(asking)
    assert page.count.text().endswith("of 2")
    assert page.title.text() == "3 doorways, 1.18 to 1.21 m wide"
    assert page.place.text() == "in outside walls"
    assert {ref.id for ref in asking.document.choice} == {"a", "b", "c"}
    assert set(asking.plan.lit.traced.sought) == {"a", "b", "c"}
    assert len(asking.plan.lit) == 6  # an outline and a ring about each
    assert all(button.isVisibleTo(page) for button in page.answers.values())


@pytest.mark.parametrize(
    ("key", "kind"), [(Qt.Key.Key_W, "window"), (Qt.Key.Key_D, "door"), (Qt.Key.Key_O, "open"), (Qt.Key.Key_N, None)]
)
def test_one_key_answers_the_group_and_undo_is_one_step(asking, qtbot, key, kind) -> None:
    page, tool = group_shown(asking), asking.plan.view.tool
    qtbot.waitUntil(page.hasFocus, timeout=2000)
    qtbot.keyClick(QApplication.focusWidget(), key)
    found = openings(asking)
    if kind is None:
        assert set(found) == {"d"}
    else:
        assert {(found[name].kind, found[name].confidence) for name in WIDTHS} == {(kind, "sure")}
    assert found["d"].confidence == "question"
    assert asking.plan.view.tool is tool
    assert page.current.id == "d"
    asking.acts.do("undo")
    assert openings(asking) == {str(o.id): o for o in asked_job().storeys[0].openings}


def test_a_window_takes_the_usual_sizes_and_they_are_to_settle(asking, qtbot) -> None:
    """12 + 33.6 m² less 3.59 × 1.20 of windows and with 0.15 × (3 × 2.4 + 3.59) of reveals."""
    page = group_shown(asking)
    qtbot.mouseClick(page.answers["window"], Qt.MouseButton.LeftButton)
    totals = asking.document.state.takeoff.totals
    assert totals["coated_m2"] == pytest.approx(45.6 - 3.59 * 1.2 + 0.15 * (3 * 2.4 + 3.59))
    assert totals["bead_m"] == pytest.approx(3 * 2.4 + 3.59)
    asking.document.consider_now()
    codes = {finding.code for finding in asking.document.findings}
    assert {"assumed-window-sill", "assumed-window-head", "assumed-window-reveal"} <= codes


def test_tab_goes_to_the_next_group_and_round(asking, qtbot) -> None:
    page = page_of(asking)
    first = page.current.id
    qtbot.keyClick(page, Qt.Key.Key_Tab)
    assert page.current.id != first
    assert page.hasFocus()
    qtbot.keyClick(page, Qt.Key.Key_Tab)
    assert page.current.id == first


def test_right_and_no_openings_speak_of_the_whole_group(asking, qtbot) -> None:
    page = group_shown(asking)
    assert page.refuse.text() == "No openings"
    qtbot.mouseClick(page.right, Qt.MouseButton.LeftButton)
    found = openings(asking)
    assert {(found[name].kind, found[name].confidence) for name in WIDTHS} == {("open", "sure")}
    asking.acts.do("undo")
    page = group_shown(asking)
    qtbot.mouseClick(page.refuse, Qt.MouseButton.LeftButton)
    assert set(openings(asking)) == {"d"}


def test_light_goes_out_with_the_page(asking) -> None:
    group_shown(asking)
    asking.space.show_step("rooms")
    assert len(asking.plan.lit) == 0


def test_letters_do_what_they_do_elsewhere_where_no_opening_is_shown(asking, qtbot) -> None:
    page = page_of(asking)
    page.accept()
    page.accept()
    assert page.current is None
    qtbot.keyClick(page, Qt.Key.Key_W)
    assert set(openings(asking)) == {"a", "b", "c", "d"}
