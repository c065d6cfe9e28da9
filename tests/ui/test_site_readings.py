"""Rooms keyed from site readings as a user does it: keys only, and the job that comes of them."""

from __future__ import annotations

import pytest
from by_command import assert_as_command
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from takeoff.plan import edits
from takeoff.plan.model import WallTreatment
from takeoff.ui.document import Ref
from takeoff.ui.panels.first_steps import EmptyPlan
from takeoff.ui.panels.site_panel import QUIET_MS
from takeoff.ui.window.site_part import SitePart

# Card, Moran and Newell's keystroke-level model (1980, from memory): seconds for a key of somebody who does
# not type well and of codes, and for making up one's mind before each cell
KEY_S, MIND_S = 0.5, 1.35


class Keys:
    """Types on whatever has the focus, and counts."""

    def __init__(self, window) -> None:
        self.window, self.count, self.entries = window, 0, 0
        window.activateWindow()
        QTest.qWaitForWindowActive(window)

    def press(self, key, held=Qt.KeyboardModifier.NoModifier) -> None:
        self.count += 1
        QTest.keyClick(self.focus, key, held)

    def type(self, text: str) -> None:
        """Each line is typed and entered."""
        for line in text.split("\n"):
            for letter in line:
                self.count += 1
                QTest.keyClicks(self.focus, letter)
            self.press(Qt.Key.Key_Return)
            self.entries += 1

    @property
    def focus(self):
        return QApplication.focusWidget() or self.window.plan.view

    @property
    def cell(self) -> str:
        return getattr(self.focus, "key", "")


@pytest.fixture
def keys(window) -> Keys:
    return Keys(window)


@pytest.fixture
def site(window) -> SitePart:
    return window.findChild(SitePart, "site")


@pytest.fixture
def panel(site):
    return site.survey.panel


@pytest.fixture
def doc(window):
    return window.document


def codes(doc) -> list[str]:
    """The kinds of findings, with those that are worked out beside the window."""
    doc.consider_now()
    QApplication.processEvents()
    return [finding.code for finding in doc.findings]


def rooms(doc):
    return [room for storey in doc.job.storeys for room in storey.rooms]


def openings(doc):
    return [opening for storey in doc.job.storeys for opening in storey.openings]


def cell(panel, key: str):
    return panel._cell(key)


def key_in(panel, key: str, text: str) -> None:
    """Go to a cell and type over what stands in it, Enter."""
    field = cell(panel, key)
    field.setFocus()
    QTest.keyClicks(field, text) if text else field.clear()
    QTest.keyClick(field, Qt.Key.Key_Return)


KITCHEN = "Kitchen\n2.4\n3.6\n.85 2.05\n\n2.8\n\n\n\n\n.9\n2.1\n.15\n"
"""Name, height, first side with its window and corner, second side, its openings and corner; the third length
stays empty, since two are enough. Then the window: its kind, sill, head, reveal; no diagonal."""


# -- a room in under a minute


def test_a_room_with_a_window_is_keyed_in_under_a_minute(window, keys, doc, tmp_path) -> None:
    keys.press(Qt.Key.Key_R, Qt.KeyboardModifier.ControlModifier)
    keys.type(KITCHEN)
    keys.press(Qt.Key.Key_Return)
    (room,) = rooms(doc)
    (opening,) = openings(doc)
    assert (room.name, room.ceiling.planes[0].z_mm) == ("Kitchen", 2400.0)
    assert doc.state.room(str(room.id)).taken.floor_m2 == pytest.approx(10.08)
    assert (opening.kind, opening.width_mm, opening.sill_mm, opening.head_mm) == ("window", 1200.0, 900.0, 2100.0)
    assert opening.reveal.start.depth_mm == 150.0
    assert doc.state.room(str(room.id)).taken.wall_net_m2 == pytest.approx(12.8 * 2.4 - 1.44)
    # measured: 50 keys, 14 cells
    assert keys.count <= 55
    assert keys.count * KEY_S + keys.entries * MIND_S < 60.0
    assert_as_command(window, tmp_path)


def test_afterwards_the_room_is_chosen_and_the_plan_is_back(window, keys, doc, panel) -> None:
    window.acts.do("site-room")
    keys.type(KITCHEN)
    keys.press(Qt.Key.Key_Return)
    assert [ref.kind for ref in doc.choice] == ["room"]
    assert not panel.isVisible()
    assert window.plan.view.isVisible()
    assert window.sides.current == "card"
    assert doc.stack.undoText() == "Put Kitchen in from the survey"
    doc.stack.undo()
    assert rooms(doc) == []


def test_ctrl_enter_takes_the_room_from_any_cell(window, keys, doc) -> None:
    window.acts.do("site-room")
    keys.type("Hall\n\n4\n\n\n3")
    assert keys.cell == "along:1"
    keys.press(Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert [room.name for room in rooms(doc)] == ["Hall"]


def test_the_next_room_starts_with_the_same_height(window, keys, doc, panel) -> None:
    both = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    window.acts.do("site-room")
    keys.type("Hall\n2.55\n4\n\n\n3")
    keys.press(Qt.Key.Key_Return, both)
    assert (keys.cell, panel.head.middle.text()) == ("name", "2.55")
    keys.type("WC\n\n1.2\n\n\n1.8")
    keys.press(Qt.Key.Key_Return, both)
    assert [room.name for room in rooms(doc)] == ["Hall", "WC"]
    assert rooms(doc)[1].ceiling.planes[0].z_mm == 2550.0
    assert panel.isVisible()


# -- where Enter goes


def test_enter_goes_in_the_order_of_the_form(window, keys) -> None:
    window.acts.do("site-room")
    seen = []
    for text in ("Bath", "", "2", "0.5 1.1", "", "2", "", "", "2", "", "", "2", "", "", "", "", "", "", "2.83"):
        seen.append(keys.cell)
        keys.type(text)
    assert seen == [
        "name",
        "middle",
        *(f"{part}:{k}" for k in range(4) for part in ("length", "along", "turn")),
        "kind:0:0",
        "sill:0:0",
        "head:0:0",
        "reveal:0:0",
        "diagonal:0",
    ]
    assert keys.cell == "diagonal:1"


def test_enter_goes_on_from_cells_at_which_it_does_not_stop(window, keys, panel) -> None:
    window.acts.do("site-room")
    keys.type("Living\n2.4\n5\n\n\n4\n\n\n2\n\n\n2\n\nl\n3\n\n\n2\n\n")
    cell(panel, "corners:0").setFocus()
    keys.type("AC")
    assert keys.cell == "diagonal:0"
    keys.type("6.40")
    assert keys.cell == "corners:1"
    cell(panel, "height:1").setFocus()
    keys.type("")
    assert keys.cell == "length:2"


def test_tab_stops_at_every_cell(window, keys) -> None:
    window.acts.do("site-room")
    keys.type("Bath\n2.4")
    seen = []
    for _ in range(8):
        seen.append(keys.cell)
        keys.press(Qt.Key.Key_Tab)
    assert seen == [f"{part}:{k}" for k in (0, 1) for part in ("length", "along", "turn", "height")]


def test_arrows_go_along_a_column(window, keys) -> None:
    window.acts.do("site-room")
    keys.type("Bath\n2.4")
    keys.press(Qt.Key.Key_Down)
    keys.press(Qt.Key.Key_Down)
    assert keys.cell == "length:2"
    keys.press(Qt.Key.Key_Up)
    assert keys.cell == "length:1"


def test_plain_letters_are_no_tools_while_a_room_is_keyed(window, keys, panel) -> None:
    window.acts.do("site-room")
    keys.type("Bath\n2.4\n2\n\n\n2")
    panel.put_button.setFocus()
    QTest.keyClick(panel.put_button, Qt.Key.Key_W)
    assert window.plan.view.tool is window.choose
    panel.head.way.setFocus()
    QTest.keyClicks(panel.head.way, "a")
    assert panel.head.way.currentData() == "anticlockwise"


def test_escape_takes_back_a_cell_then_goes_to_the_plan_and_keeps_what_was_keyed(window, keys, panel) -> None:
    window.acts.do("site-room")
    keys.type("Bath\n2.4\n2")
    cell(panel, "length:0").setFocus()
    QTest.keyClicks(cell(panel, "length:0"), "7")
    keys.press(Qt.Key.Key_Escape)
    assert cell(panel, "length:0").text() == "2"
    keys.press(Qt.Key.Key_Escape)
    assert not panel.isVisible()
    window.acts.do("site-room")
    assert (panel.head.name.text(), cell(panel, "length:0").text()) == ("Bath", "2")


# -- what is shown while it is keyed


def page(window):
    return window.sides.page("readings")


def test_the_outline_comes_about_while_it_is_typed(window, keys, panel, qtbot) -> None:
    window.acts.do("site-room")
    keys.type("Bath\n2.4\n2\n\n")
    QTest.keyClicks(keys.focus, "3")
    qtbot.waitUntil(lambda: page(window).area.text() == "6.00 m²", timeout=10 * QUIET_MS)
    assert len(panel.sketch.corners_px) == 4
    assert panel.put_button.isEnabled()


def test_misclosure_is_shown_in_mm_and_nothing_is_forced_square(window, keys, panel, doc) -> None:
    window.acts.do("site-room")
    keys.type("Bath\n2.4\n4\n\n\n3\n\n\n4.03\n\n\n3.04")
    assert any("do not close by 50 mm" in line for line in page(window).said)
    panel._put()
    (room,) = rooms(doc)
    xs = sorted(round(side.x_mm, 1) for side in room.outline)
    assert xs[0] != xs[1] or xs[2] != xs[3]
    assert "readings-misclose" in codes(doc)


def test_a_slip_is_named_while_the_tape_is_still_at_hand(window, keys, panel) -> None:
    window.acts.do("site-room")
    keys.type("Bath\n2.4\n4\n\n\n3\n\n\n4.1\n\n\n3\n\n\n5\n5")
    assert any(line.startswith("One measurement does not fit") for line in page(window).said)


def test_a_left_turn_brings_more_sides_and_the_room_is_an_l(window, keys, panel, doc) -> None:
    window.acts.do("site-room")
    keys.type("Living\n2.4\n5\n\n\n4\n\n\n2\n\n\n2\n\nl\n3\n\n\n2\n\n")
    assert "length:5" in panel.grid.order
    assert "length:6" not in panel.grid.order
    panel._put()
    assert doc.state.room(str(rooms(doc)[0].id)).taken.floor_m2 == pytest.approx(14.0)


def test_a_cell_that_cannot_be_read_is_marked_once_it_is_left(window, keys, panel) -> None:
    window.acts.do("site-room")
    keys.type("Bath\n2.4\nwall")
    wrong = cell(panel, "length:0")
    assert wrong.property("part") == "cell-wrong"
    assert "cannot be read" in wrong.toolTip()
    assert not panel.put_button.isEnabled()
    keys.press(Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert keys.cell == "length:0"
    assert "cannot be read" in panel.hint.text()
    key_in(panel, "length:0", "2")
    assert wrong.property("part") == "cell"


def test_what_is_missing_is_said_when_a_room_is_taken_too_early(window, keys, panel, doc) -> None:
    window.acts.do("site-room")
    keys.type("Bath\n2.4\n2")
    keys.press(Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert "not fixed yet" in panel.hint.text()
    assert rooms(doc) == []


def test_every_cell_has_a_name_to_be_spoken_and_a_hint(window, keys, panel) -> None:
    window.acts.do("site-room")
    keys.type("Bath\n2.4\n2\n.5 1.1")
    for key in ("name", "middle", *panel.grid.order):
        assert cell(panel, key).accessibleName(), key
        assert cell(panel, key).accessibleDescription(), key
    assert cell(panel, "length:0").accessibleName() == "Length of side A–B"
    assert panel.hint.text().startswith("The corner at the side's end")


def test_feet_and_inches(window, keys, panel, doc) -> None:
    window.acts.do("site-room")
    panel.head.unit.setCurrentIndex(1)
    panel.head.unit.picked.emit("ft")
    keys.type("Den\n8\n10\n2'6\"; 5'\n\n12'6\"")
    panel._put()
    (room,) = rooms(doc)
    assert doc.state.room(str(room.id)).taken.floor_m2 == pytest.approx(10 * 12.5 * 0.3048**2)
    assert openings(doc)[0].width_mm == pytest.approx(2.5 * 304.8)


def test_rows_come_and_go_by_keys(window, keys, panel) -> None:
    window.acts.do("site-room")
    keys.type("Bath\n2.4\n4\n\n\n3")
    cell(panel, "length:1").setFocus()
    keys.press(Qt.Key.Key_Insert, Qt.KeyboardModifier.ControlModifier)
    assert [cell(panel, f"length:{k}").text() for k in range(5)] == ["4", "", "3", "", ""]
    assert keys.cell == "length:1"
    keys.press(Qt.Key.Key_Delete, Qt.KeyboardModifier.ControlModifier)
    assert [cell(panel, f"length:{k}").text() for k in range(4)] == ["4", "3", "", ""]


# -- changed later


@pytest.fixture
def kitchen(window, keys, doc):
    """The kitchen in the job, renamed, a face not coated, its window marked."""
    window.acts.do("site-room")
    keys.type(KITCHEN)
    keys.press(Qt.Key.Key_Return)
    room = rooms(doc)[0]
    doc.apply("Rename", lambda job: edits.rename_room(job, room.id, "Kitchen-diner"))
    doc.apply(
        "Leave a face",
        lambda job: edits.set_wall_treatment(job, room.id, WallTreatment(coat=False), room.outline[0].id),
    )
    doc.apply("No head", lambda job: edits.coat_reveals(job, ((openings(doc)[0].id, False),), False))
    return str(room.id)


def test_readings_changed_later_keep_name_coats_and_openings(window, keys, panel, doc, kitchen) -> None:
    bare = rooms(doc)[0].outline[0].id
    doc.choose((Ref("room", kitchen),))
    window.acts.do("site-anew")
    assert (panel.head.name.text(), cell(panel, "along:0").text()) == ("Kitchen-diner", "0.85  2.05")
    key_in(panel, "length:1", "3")
    keys.press(Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    (room,) = rooms(doc)
    (opening,) = openings(doc)
    assert (str(room.id), room.name) == (kitchen, "Kitchen-diner")
    assert doc.state.room(kitchen).taken.floor_m2 == pytest.approx(10.8)
    assert next(side for side in room.outline if side.id == bare).treatment == WallTreatment(coat=False)
    assert not opening.reveal.start.coat
    assert doc.stack.undoText() == "Measure Kitchen-diner again"


def test_taking_the_same_readings_again_changes_nothing(window, panel, doc, kitchen) -> None:
    doc.choose((Ref("room", kitchen),))
    before, steps = doc.job, doc.stack.count()
    window.acts.do("site-anew")
    panel._put()
    assert doc.job is before
    assert doc.stack.count() == steps
    assert not panel.isVisible()


def test_a_room_begun_comes_back_after_another_was_changed(window, keys, panel, doc, kitchen) -> None:
    window.acts.do("site-room")
    keys.type("Half a room\n2.5\n3")
    doc.choose((Ref("room", kitchen),))
    window.acts.do("site-anew")
    panel._put()
    window.acts.do("site-room")
    assert (panel.head.name.text(), cell(panel, "length:0").text()) == ("Half a room", "3")


def test_rooms_from_site_are_listed_and_opened(window, panel, doc, kitchen) -> None:
    window.acts.do("site-rooms")
    site_page = window.sides.page("site")
    assert [row.cells for row in site_page.table.rows.rows] == [("Kitchen-diner", "corners not measured")]
    doc.choose(())
    site_page.table.picked.emit(Ref("room", kitchen))
    assert window.sides.current == "site"
    QTest.mouseClick(site_page.buttons["site-anew"], Qt.MouseButton.LeftButton)
    assert panel.isVisible()
    assert panel.sheet.room == kitchen


def test_another_job_begins_with_empty_cells(window, keys, panel) -> None:
    window.acts.do("site-room")
    keys.type("Half a room\n2.5\n3")
    window.files.open_sample()
    assert not panel.isVisible()
    assert panel.head.name.text() == ""


def test_a_drawn_room_has_no_readings_to_change(sample) -> None:
    sample.document.choose((Ref("room", str(sample.document.storey.rooms[0].id)),))
    assert not sample.acts.q("site-anew").isEnabled()


# -- budget rooms


BED = "Bed 2\n4\n3\n2.4\n2\n\n1.2\n1.2\n.15\n1\nd\n.8\n2.04\n"


def test_a_budget_room_is_keyed_measured_and_marked(window, keys, doc, tmp_path) -> None:
    window.acts.do("budget-room")
    keys.type(BED)
    keys.type("")
    assert QApplication.focusWidget() is window.sides.page("budget").button
    keys.press(Qt.Key.Key_Return)
    (room,) = rooms(doc)
    taken = doc.state.room(str(room.id)).taken
    assert taken.floor_m2 == pytest.approx(12.0)
    assert taken.wall_net_m2 == pytest.approx(14 * 2.4 - 2 * 1.44 - 0.8 * 2.04)
    assert "budget-room" in codes(doc)
    assert keys.cell == "name"
    assert_as_command(window, tmp_path)


def test_what_a_budget_room_lacks_is_said(window, keys, doc) -> None:
    window.acts.do("budget-room")
    keys.type("Bed\n4")
    keys.press(Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert window.sides.page("budget").fault.text() == "Type the width of the room."
    assert keys.cell == "width"
    assert rooms(doc) == []


def test_openings_that_have_no_place_are_said_where_they_are_keyed(window, keys, doc) -> None:
    window.acts.do("budget-room")
    keys.type("Bed\n2\n2\n2.4\n9\n\n1.8\n1.2")
    keys.press(Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert "no place" in window.sides.page("budget").fault.text()
    assert rooms(doc) == []


def test_the_real_outline_takes_the_place_of_the_budget(window, keys, doc, panel) -> None:
    window.acts.do("budget-room")
    keys.type(BED)
    keys.press(Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    budget = rooms(doc)[0].id
    doc.choose((Ref("room", str(budget)),))
    window.acts.do("site-anew")
    assert panel.head.name.text() == "Bed 2"
    keys.type("2.42\n4.05\n1 2.2\n\n2.95")
    keys.press(Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    (room,) = rooms(doc)
    assert (room.id, room.name, room.confidence) == (budget, "Bed 2", "sure")
    assert len(openings(doc)) == 1
    assert "budget-room" not in codes(doc)


# -- set together


@pytest.fixture
def two(window, keys, doc):
    window.acts.do("site-room")
    keys.type("Kitchen\n2.4\n4\n\n\n3\n1 1.8\n\n\nd")
    keys.press(Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    window.acts.do("site-room")
    keys.type("Hall\n2.4\n5\n.6 1.4\n\n2\n\n\n\nd")
    keys.press(Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    window.acts.do("set-together")
    return window.sides.page("together")


def test_two_rooms_are_set_together_through_their_door(window, doc, two, tmp_path) -> None:
    assert two.rooms[0].currentText() == "Kitchen"
    assert two.rooms[1].currentText() == "Hall"
    assert two.places[0].currentText() == "Door in B–C, 0.80"
    QTest.keyClicks(two.thickness, "0.1")
    QTest.keyClick(two.thickness, Qt.Key.Key_Return)
    assert len(two.joined.joins) == 1
    QTest.mouseClick(two.put_button, Qt.MouseButton.LeftButton)
    assert len(openings(doc)) == 1
    assert openings(doc)[0].reveal_beyond is not None
    assert doc.stack.undoText() == "Assemble surveyed rooms"
    kitchen, hall = rooms(doc)
    gap = min(s.x_mm for s in hall.outline) - max(s.x_mm for s in kitchen.outline)
    assert gap == pytest.approx(100.0, abs=0.1)
    assert_as_command(window, tmp_path)


def test_a_wall_alone_asks_for_a_check_dimension(window, doc, two) -> None:
    two.places[0].show_key("s2")
    two.places[0].picked.emit("s2")
    two.places[1].show_key("s1")
    QTest.keyClicks(two.thickness, "100")
    QTest.mouseClick(two.join_button, Qt.MouseButton.LeftButton)
    assert "can still slide" in two.says.text()
    assert not two.put_button.isEnabled()
    for field, text in ((two.corners[0], "A"), (two.corners[1], "A"), (two.across, "4.751")):
        QTest.keyClicks(field, text)
    QTest.mouseClick(two.check_button, Qt.MouseButton.LeftButton)
    assert two.put_button.isEnabled()
    QTest.mouseClick(two.put_button, Qt.MouseButton.LeftButton)
    assert doc.job.storeys[0].set_together.checks[0].length_mm == 4751.0


def test_a_thickness_that_is_missing_is_asked_for(two) -> None:
    QTest.mouseClick(two.join_button, Qt.MouseButton.LeftButton)
    assert "thickness" in two.says.text()
    assert two.joined.joins == ()


def test_rooms_are_taken_apart_again(window, doc, two) -> None:
    QTest.keyClicks(two.thickness, "0.1")
    QTest.keyClick(two.thickness, Qt.Key.Key_Return)
    QTest.mouseClick(two.put_button, Qt.MouseButton.LeftButton)
    from PySide6.QtWidgets import QPushButton

    remove = next(b for b in two.findChildren(QPushButton) if b.text() == "Remove")
    QTest.mouseClick(remove, Qt.MouseButton.LeftButton)
    assert two.put_button.text() == "Take them apart"
    QTest.mouseClick(two.put_button, Qt.MouseButton.LeftButton)
    assert doc.job.storeys[0].set_together is None
    assert len(openings(doc)) == 2


def test_undo_brings_the_joins_of_before_back(window, doc, two) -> None:
    QTest.keyClicks(two.thickness, "0.1")
    QTest.keyClick(two.thickness, Qt.Key.Key_Return)
    QTest.mouseClick(two.put_button, Qt.MouseButton.LeftButton)
    doc.stack.undo()
    assert two.joined.joins == ()
    doc.stack.redo()
    assert len(two.joined.joins) == 1


# -- the form, and the start


def test_the_blank_form_is_written_where_the_user_says(window, told, tmp_path) -> None:
    told.paths.append(tmp_path / "form.pdf")
    window.acts.do("site-form")
    assert (tmp_path / "form.pdf").read_bytes().startswith(b"%PDF")


def test_a_form_that_cannot_be_written_is_told(window, told, tmp_path) -> None:
    told.paths.append(tmp_path / "no folder" / "form.pdf")
    window.acts.do("site-form")
    assert len(told.sentences) == 1


def test_an_empty_job_starts_with_readings(window, keys, panel) -> None:
    empty = window.findChild(EmptyPlan)
    button = next(one for one in empty.buttons if one.text() == "Enter a site survey")
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    assert panel.isVisible()
    assert keys.cell == "name"


def test_other_pages_bring_the_plan_back(window, panel, keys) -> None:
    window.acts.do("site-room")
    assert not window.plan.view.isVisible()
    window.space.show_step("rooms")
    assert window.plan.view.isVisible()
    assert not panel.isVisible()
