"""Rooms and piers drawn on the plan: clicks that are drawn to what is there, typed lengths and angles."""

from __future__ import annotations

import math

import pytest
from hands import Hands, corners, sizes
from PySide6.QtCore import Qt

from takeoff.ui.document import Ref


@pytest.fixture
def hands(window) -> Hands:
    return Hands(window)


def test_every_tool_stands_above_the_plan_with_its_word_and_shortcut(window) -> None:
    row = window.tool_row
    assert row.isVisible()
    assert row.geometry().bottom() <= window.middle.geometry().top()
    assert row.width() == window.middle.width()
    for action_id, button in row.buttons.items():
        assert button.text()
        assert window.acts.q(action_id).shortcut().toString() in button.toolTip()
        assert button.accessibleName()
    assert [b.text() for b in row.buttons.values()][:4] == ["Select", "Room", "Rectangle", "Fill"]


def test_tool_in_hand_is_marked_and_escape_lays_it_down(window, hands) -> None:
    buttons = window.tool_row.buttons
    hands.tool("Room")
    assert buttons["draw-room"].isChecked()
    assert not buttons["choose-tool"].isChecked()
    assert hands.foot.startswith("Click the first corner of the room")
    hands.key(Qt.Key.Key_Escape)
    assert buttons["choose-tool"].isChecked()
    assert not buttons["draw-room"].isChecked()
    assert hands.foot == ""


def test_narrow_window_keeps_tools_that_do_not_fit_under_more(window, hands, qtbot) -> None:
    row = window.tool_row
    window.resize(760, 700)
    qtbot.waitUntil(lambda: row.width() < 420)
    assert row.buttons["draw-room"].isVisible()
    assert not row.buttons["draw-odd-pier"].isVisible()
    assert row.more.isVisible()
    assert row.more.geometry().right() <= row.width()
    hands.tool("Pier by corners")
    assert row.more.isChecked()


def test_first_room_of_an_empty_job_by_typed_lengths_only(window, hands) -> None:
    hands.key(Qt.Key.Key_R)
    for length in ("3.45", "4200 mm", "3450"):
        hands.type(length)
    hands.key(Qt.Key.Key_Return)
    assert len(window.document.job.storeys) == 1
    assert corners(hands.room) == [(0, 0), (3450, 0), (3450, 4200), (0, 4200)]
    assert [side.source for side in hands.room.outline] == ["typed", "typed", "typed", "drawn"]
    assert window.document.choice == (Ref("room", str(hands.room.id)),)
    assert window.card.figures()["Ceiling"] == "14.49 m²"
    assert window.document.stack.count() == 1


def test_feet_and_inches_and_a_length_with_an_angle(hands) -> None:
    hands.tool("Room")
    hands.type("11'4 1/2\"")
    hands.type("2<60")
    hands.type("1.5", enter=False)
    hands.key(Qt.Key.Key_Tab)
    hands.type("120")
    hands.key(Qt.Key.Key_Return)
    first, second, third = sizes(hands.room)[:3]
    assert (first, second, third) == (3467.1, 2000.0, 1500.0)
    ring = corners(hands.room)
    assert ring[2] == pytest.approx((3467.1 + 2000 * 0.5, 2000 * math.sqrt(3) / 2), abs=0.01)
    # 60 and 120 to the left: the third side runs back
    assert ring[3] == pytest.approx((ring[2][0] - 1500.0, ring[2][1]), abs=0.01)


def test_typed_length_goes_where_the_mouse_points_and_square(hands) -> None:
    hands.tool("Room")
    hands.click((0, 0))
    hands.move((2500, 300))
    hands.type("3")
    hands.move((2900, -900))
    hands.type("2", enter=False)
    assert "2" in hands.read
    assert "90° right" in hands.read
    hands.key(Qt.Key.Key_Return)
    hands.move((1500, -2300))
    hands.type("3")
    hands.key(Qt.Key.Key_Return)
    assert sorted(corners(hands.room)) == [(0, -2000), (0, 0), (3000, -2000), (3000, 0)]


def test_corners_by_clicks_run_square_and_close_on_the_first(hands) -> None:
    hands.tool("Room")
    hands.click((0, 0))
    hands.move((3000, 40))
    assert "straight on" in hands.read
    hands.click((3000, 40))
    hands.move((3030, 2000))
    assert "at a right angle" in hands.read
    hands.click((3030, 2000))
    hands.move((60, 2030))
    assert "in line with the first corner" in hands.read
    hands.click((60, 2030))
    hands.move((30, 30))
    assert "click to close" in hands.read
    hands.click((30, 30))
    assert corners(hands.room) == [(0, 0), (3000, 0), (3000, 2000), (0, 2000)]
    assert [side.source for side in hands.room.outline] == ["drawn"] * 4


def test_control_keeps_a_click_where_it_is(hands) -> None:
    hands.tool("Room")
    hands.click((0, 0))
    hands.click((3000, 40), keys=Qt.KeyboardModifier.ControlModifier)
    hands.click((3000, 2000), (0, 2000))
    hands.key(Qt.Key.Key_Return)
    assert (3000, 40) in corners(hands.room)


def test_double_click_sets_the_last_corner_and_closes(hands) -> None:
    hands.tool("Room")
    hands.click((0, 0), (3000, 0))
    hands.double_click((3000, 2500))
    assert len(hands.room.outline) == 3


def test_backspace_takes_back_characters_then_corners_and_escape_all(window, hands) -> None:
    hands.tool("Room")
    hands.click((0, 0), (3000, 0), (3000, 2000))
    hands.type("1.25", enter=False)
    for _ in range(4):
        hands.key(Qt.Key.Key_Backspace)
    tool = window.plan.view.tool
    assert len(tool.corners) == 3
    hands.key(Qt.Key.Key_Backspace)
    assert len(tool.corners) == 2
    hands.type("7", enter=False)
    hands.key(Qt.Key.Key_Escape)
    assert len(tool.corners) == 2
    assert not tool.entry.begun
    hands.key(Qt.Key.Key_Escape)
    assert not tool.corners
    assert window.plan.view.tool is tool
    hands.key(Qt.Key.Key_Escape)
    assert window.plan.view.tool is window.choose
    assert window.document.stack.count() == 0


def test_what_cannot_be_read_is_said_beside_the_cursor(hands) -> None:
    hands.tool("Room")
    hands.click((0, 0))
    hands.type("3..4")
    assert "cannot be read" in hands.read
    assert hands.room_count() == 0


def test_outline_that_crosses_itself_is_refused_and_can_be_mended(window, hands) -> None:
    hands.tool("Room")
    hands.click((0, 0), (3000, 0), (0, 2000), (3000, 2000))
    hands.key(Qt.Key.Key_Return)
    assert hands.room_count() == 0
    assert "crosses or touches itself" in hands.read
    assert "crosses or touches itself" in hands.foot
    hands.key(Qt.Key.Key_Backspace)
    hands.key(Qt.Key.Key_Backspace)
    hands.click((3000, 2000), (0, 2000))
    hands.key(Qt.Key.Key_Return)
    assert sizes(hands.room) == [3000, 2000, 3000, 2000]


def test_undo_takes_the_whole_room_away_and_redo_brings_it_back(window, hands) -> None:
    hands.tool("Rectangle")
    hands.type("3.45 x 4.2")
    room = hands.room
    assert window.document.stack.undoText() == "Draw a room"
    window.acts.do("undo")
    assert window.document.job.storeys == ()
    window.acts.do("redo")
    assert hands.room == room


def test_rectangle_by_typed_sizes_lies_at_the_pointer_on_a_corner_there(hands) -> None:
    hands.tool("Rectangle")
    hands.type("3.45x4.2")
    assert corners(hands.room) == [(0, 0), (3450, 0), (3450, 4200), (0, 4200)]
    hands.move((3460, 10))
    assert "end" in hands.read
    hands.type("2000", enter=False)
    hands.key(Qt.Key.Key_Tab)
    hands.type("1.8")
    assert corners(hands.room) == [(3450, 0), (5450, 0), (5450, 1800), (3450, 1800)]
    assert {side.source for side in hands.room.outline} == {"typed"}


def test_rectangle_typed_without_a_place_stands_beside_the_others(hands) -> None:
    hands.tool("Rectangle")
    hands.type("3x2")
    hands.window.space.back_to_choosing()
    hands.tool("Rectangle")
    hands.type("4x2")
    assert corners(hands.room)[0] == (4000, 0)
    port = hands.view.viewport().rect()
    assert all(port.contains(hands.view.spot(corner)) for corner in corners(hands.room))


def test_rectangle_by_two_clicks_and_by_a_drag(hands) -> None:
    hands.tool("Rectangle")
    hands.click((0, 0), (3000, 2000))
    assert sizes(hands.room) == [3000, 2000, 3000, 2000]
    hands.drag((5000, 0), (5600, 300), (6000, 1500))
    assert corners(hands.room) == [(5000, 0), (6000, 0), (6000, 1500), (5000, 1500)]
    assert hands.room_count() == 2


def test_rectangle_with_one_size_typed_takes_the_other_from_the_mouse(hands) -> None:
    hands.tool("Rectangle")
    hands.click((0, 0))
    hands.move((2000, -1500))
    hands.type("2.75")
    assert sizes(hands.room) == [1500, 2750, 1500, 2750]
    assert {side.source for side in hands.room.outline} == {"typed", "drawn"}


def test_pier_square_and_round_and_by_corners(window, hands) -> None:
    hands.tool("Rectangle")
    hands.type("6x4")
    hands.tool("Pier")
    hands.move((1000, 1000))
    hands.type("0.35 x 0.35", enter=False)
    hands.click((1000, 1000))
    hands.tool("Round pier")
    hands.type("400", enter=False)
    hands.click((3000, 2000))
    hands.tool("Pier by corners")
    hands.click((4000, 1000), (4500, 1000), (4500, 1500))
    hands.key(Qt.Key.Key_Return)
    assert [len(ring) for ring in hands.room.inner] == [4, 2, 3]
    assert window.document.stack.undoText() == "Draw a pier"
    floor = 24.0 - 0.35**2 - math.pi * 0.2**2 - 0.125
    assert window.document.state.rooms[("1", str(hands.room.id))].taken.floor_m2 == pytest.approx(floor)


def test_pier_outside_every_room_is_refused(hands) -> None:
    hands.tool("Rectangle")
    hands.type("6x4")
    hands.tool("Pier")
    hands.click((9000, 1000), (9300, 1300))
    assert "no room here" in hands.read
    assert hands.room.inner == ()


def test_chosen_room_and_pier_are_deleted_in_one_step_each(window, hands) -> None:
    hands.tool("Rectangle")
    hands.type("6x4")
    hands.tool("Pier")
    hands.click((1000, 1000), (1500, 1500))
    pier = hands.room.inner[0][0]
    window.document.choose((Ref("side", str(pier.id), str(hands.room.id)),))
    hands.key(Qt.Key.Key_Delete)
    assert hands.room.inner == ()
    assert window.document.stack.undoText() == "Delete a pier"
    window.document.choose((Ref("room", str(hands.room.id)),))
    hands.key(Qt.Key.Key_Delete)
    assert hands.room_count() == 0
    assert window.document.stack.undoText() == "Delete 1 room"
    window.acts.do("undo")
    assert hands.room_count() == 1


def test_new_job_begins_with_an_empty_plan_and_asks_about_work_that_is_not_saved(sample, told) -> None:
    hands = Hands(sample)
    sample.acts.do("new")
    assert sample.document.job.storeys == ()
    assert sample.tool_row.buttons["draw-rectangle"].isChecked()
    hands.type("3x2")
    told.answers.append("stay")
    sample.acts.do("new")
    assert hands.room_count() == 1
    told.answers.append("discard")
    sample.acts.do("new")
    assert hands.room_count() == 0
    assert sample.document.drawing is None
    assert sample.plan.view.viewport().rect().contains(sample.plan.view.spot((6000.0, 4000.0)))


def test_windows_and_doors_stand_before_tools_that_are_seldom_wanted(window) -> None:
    row = window.tool_row
    ordered = sorted(row.buttons.values(), key=lambda b: b.x() if b.isVisible() else 9999)
    words = [button.text() for button in ordered if button.isVisible()]
    assert words[:7] == ["Select", "Room", "Rectangle", "Fill", "Move", "Split", "Join"]
    assert "Pier" not in words[:9]


@pytest.mark.parametrize("width", [1366, 1500, 2560])
def test_no_word_of_a_tool_is_cut_off(window, qtbot, width) -> None:
    row = window.tool_row
    before = row.width()
    window.resize(width, 800)
    if width != 1366:
        qtbot.waitUntil(lambda: row.width() != before)
    shown = [button for button in (*row.buttons.values(), row.more) if button.isVisible()]
    assert all(button.width() >= button.sizeHint().width() for button in shown)
    assert max(button.geometry().right() for button in shown) <= row.width()


def test_undo_while_drawing_takes_back_a_corner_and_no_room(window) -> None:
    hands = Hands(window)
    hands.tool("Rectangle")
    hands.type("3x2")
    hands.tool("Room")
    hands.click((5000, 0), (6000, 0))
    tool = window.plan.view.tool
    for left in (1, 0):
        hands.key(Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
        assert len(tool.corners) == left
        assert hands.room_count() == 1
    hands.key(Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert hands.room_count() == 0
