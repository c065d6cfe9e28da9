"""Rooms changed on the plan: sides and corners moved, walls put in and taken out, arcs, open sides."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hands import Hands, corners, sizes
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from takeoff.ui.document import Ref

SAMPLES = Path(__file__).parents[2] / "sample_plans"
SHIFT = Qt.KeyboardModifier.ShiftModifier


@pytest.fixture
def hands(window) -> Hands:
    """A job with one typed room of 4 × 3 m."""
    made = Hands(window)
    made.tool("Rectangle")
    made.type("4x3")
    return made


@pytest.fixture
def pair(hands) -> Hands:
    """The room, and another of 3 × 3 m behind a wall of 100."""
    hands.move((4200, 0))
    hands.key(Qt.Key.Key_Escape)
    hands.tool("Rectangle")
    hands.move((4100, 2))
    hands.click((4100, 2))
    hands.type("3x3")
    first, second = hands.storey.rooms
    assert corners(first)[1] == (4000, 0)
    assert corners(second)[0][0] == pytest.approx(4100, abs=1)
    return hands


def test_side_is_dragged_with_its_length_live(window, hands) -> None:
    hands.tool("Move")
    hands.move((4000, 1300))
    assert "side B 3.000 m" in hands.read
    hands.press((4000, 1300))
    hands.move((4300, 1300), (4500, 1300), held=Qt.MouseButton.LeftButton)
    assert "side A 4.500 m" in hands.read
    assert "moves 0.500 m out" in hands.read
    assert "4.500" in window.plan.view.tool.preview.words
    assert sizes(hands.room) == [4000, 3000, 4000, 3000]
    hands.release((4500, 1300))
    assert sizes(hands.room) == [4500, 3000, 4500, 3000]
    assert window.document.stack.undoText() == "Move a side"
    assert window.document.stack.count() == 2


def test_side_picked_up_by_a_click_goes_to_a_typed_length(window, hands) -> None:
    hands.tool("Move")
    hands.click((4000, 1000))
    assert "the new length of side A" in hands.foot
    hands.type("3.45")
    assert sizes(hands.room) == [3450, 3000, 3450, 3000]
    hands.move((3450, 1000))
    hands.type("3,6")
    assert sizes(hands.room) == [3600, 3000, 3600, 3000]


def test_side_moves_by_a_typed_distance_out_or_in_as_the_mouse_says(hands) -> None:
    hands.tool("Move")
    hands.click((4000, 1000))
    hands.key(Qt.Key.Key_Tab)
    hands.type("120 mm")
    assert sizes(hands.room)[0] == 4120
    hands.click((4120, 1000))
    hands.move((3900, 1000))
    hands.key(Qt.Key.Key_Tab)
    hands.type("0.02")
    assert sizes(hands.room)[0] == 4100


def test_click_and_click_again_moves_too_and_escape_puts_it_back(window, hands) -> None:
    hands.tool("Move")
    hands.click((2000, 3000))
    hands.move((2000, 3400))
    hands.key(Qt.Key.Key_Escape)
    assert sizes(hands.room)[1] == 3000
    assert window.plan.view.tool.held is None
    hands.click((2000, 3000))
    hands.click((2000, 3200))
    assert sizes(hands.room)[1] == pytest.approx(3200, abs=1)


def test_corner_is_dragged_square_to_its_neighbours(hands) -> None:
    hands.tool("Move")
    hands.drag((4000, 3000), (4300, 3200), (4500, 3030))
    assert corners(hands.room)[2][1] == 3000
    assert corners(hands.room)[2][0] == pytest.approx(4500, abs=10)


def test_corner_is_fixed_by_two_tape_lengths(hands) -> None:
    hands.tool("Move")
    hands.click((4000, 3000))
    assert "side B" in hands.read
    assert "side C" in hands.read
    hands.type("3", enter=False)
    hands.key(Qt.Key.Key_Tab)
    # from (4000, 0) 3 m up, from (0, 3000) 5 m: 5² is no more 4² + 0²
    hands.type("4.2")
    x, y = corners(hands.room)[2]
    assert math.dist((x, y), (4000, 0)) == pytest.approx(3000, abs=0.1)
    assert math.dist((x, y), (0, 3000)) == pytest.approx(4200, abs=0.1)


def test_lengths_that_do_not_meet_are_said_and_nothing_is_done(window, hands) -> None:
    hands.tool("Move")
    hands.click((4000, 3000))
    hands.type("1", enter=False)
    hands.key(Qt.Key.Key_Tab)
    hands.type("1", enter=False)
    assert "do not meet" in hands.read
    hands.key(Qt.Key.Key_Return)
    assert sizes(hands.room) == [4000, 3000, 4000, 3000]
    assert "do not meet" in hands.foot
    assert window.document.stack.count() == 1


def test_side_moved_beyond_the_other_is_refused(window, hands) -> None:
    hands.tool("Move")
    hands.drag((4000, 1000), (2000, 1000), (-500, 1000))
    assert "would cross itself" in hands.read
    assert sizes(hands.room) == [4000, 3000, 4000, 3000]
    hands.key(Qt.Key.Key_Escape)
    assert "would cross" not in hands.read


def test_whole_wall_is_dragged_with_shift(pair) -> None:
    pair.tool("Move")
    before = corners(pair.storey.rooms[1])
    pair.drag((4000, 1200), (4100, 1200), (4250, 1200), keys=SHIFT)
    first, second = pair.storey.rooms
    by = corners(first)[1][0] - 4000
    assert by == pytest.approx(250, abs=1)
    assert corners(second)[0][0] == pytest.approx(before[0][0] + by)
    assert pair.window.document.stack.undoText() == "Move a wall"


def test_undo_while_a_side_is_held_lets_go_of_it(window, hands) -> None:
    hands.tool("Move")
    hands.click((4000, 1000))
    window.acts.do("undo")
    assert hands.room_count() == 0
    assert window.plan.view.tool.held is None
    hands.move((4000, 1000), (4200, 1000))
    assert window.plan.view.tool.preview.words == []


def test_corners_put_in_make_a_breast_and_are_taken_out_again(window, hands) -> None:
    hands.tool("Add corner")
    hands.move((3100, 3005))
    assert "from the end" in hands.read
    hands.type("1")
    assert (3000, 3000) in corners(hands.room)
    hands.move((1700, 3005))
    hands.type("1500 mm")
    assert (1500, 3000) in corners(hands.room)
    hands.tool("Move")
    hands.click((2200, 3000))
    hands.move((2200, 2800))
    hands.key(Qt.Key.Key_Tab)
    hands.type("0.35")
    assert corners(hands.room)[3:7] == [(3000, 3000), (3000, 2650), (1500, 2650), (1500, 3000)]
    hands.tool("Remove corner")
    hands.move((3000, 2650))
    assert "removes the corner" in hands.read
    hands.click((3000, 2650))
    hands.click((1500, 2650))
    assert len(hands.room.outline) == 6
    assert window.document.stack.undoText() == "Remove a corner"


def test_corner_beyond_the_side_is_said_beside_the_cursor(hands) -> None:
    hands.tool("Add corner")
    hands.move((3100, 3005))
    hands.type("4.5", enter=False)
    assert "beyond the ends" in hands.read
    hands.key(Qt.Key.Key_Return)
    assert "lies beyond the ends of the wall" in hands.foot
    assert len(hands.room.outline) == 4


def test_side_is_bent_by_a_typed_rise_and_made_straight_again(window, hands) -> None:
    hands.tool("Arc")
    hands.click((2000, 3000))
    hands.move((2000, 3400))
    hands.type("0.5")
    bent = hands.room.outline[2]
    assert bent.bulge == pytest.approx(0.25)
    assert window.document.stack.undoText() == "Bend a side"
    hands.click((2000, 3500))
    hands.type("0")
    assert hands.room.outline[2].bulge == 0.0
    hands.click((2000, 3000))
    hands.move((2000, 2800))
    hands.type("300")
    assert hands.room.outline[2].bulge == pytest.approx(-0.15)


def test_arc_is_dragged_and_runs_through_the_pointer(hands) -> None:
    hands.tool("Arc")
    hands.drag((2000, 3000), (1500, 3200), (1000, 3600))
    bulge = hands.room.outline[2].bulge
    centre_below = 2000 * (1 - bulge**2) / (2 * bulge)
    radius = 2000 * (1 + bulge**2) / (2 * bulge)
    centre = 2000, 3000 - centre_below
    assert math.dist(centre, (1000, 3600)) == pytest.approx(radius, abs=2)


def test_room_is_split_by_a_wall_at_a_typed_distance_from_its_end(window, hands) -> None:
    hands.tool("Split")
    hands.move((1500, 0))
    assert "side" not in hands.read
    hands.type("1.2")
    assert "square across" in hands.foot
    hands.key(Qt.Key.Key_Return)
    rooms = sorted(sorted(corners(room)) for room in hands.storey.rooms)
    assert rooms == [[(0, 0), (0, 3000), (1200, 0), (1200, 3000)], [(1300, 0), (1300, 3000), (4000, 0), (4000, 3000)]]
    assert {room.name for room in hands.storey.rooms} == {"Room 1", "Room 2"}
    assert window.document.stack.undoText() == "Split a room"
    assert window.document.stack.count() == 2


def test_thickness_typed_for_a_wall_holds_for_the_next(hands) -> None:
    hands.tool("Split")
    hands.click((2000, 0))
    hands.type("140")
    assert hands.room_count() == 2
    assert hands.window.plan.view.tool.thickness_mm == 140.0
    xs = sorted({x for room in hands.storey.rooms for x, _ in corners(room)})
    assert xs == [0, 1930, 2070, 4000]


def test_split_runs_where_the_second_click_says(hands) -> None:
    hands.tool("Split open")
    hands.click((2000, 0))
    hands.click((3000, 3000))
    assert hands.room_count() == 2
    opened = [s for room in hands.storey.rooms for s in room.outline if s.kind == "open"]
    assert len(opened) == 2
    assert {(round(s.x_mm), round(s.y_mm)) for s in opened} == {(2000, 0), (3000, 3000)}


def test_split_that_parts_nothing_is_refused_and_begun_anew(window, hands) -> None:
    hands.tool("Split")
    hands.click((1000, 0))
    hands.click((1500, -10))
    assert window.document.stack.count() == 1
    assert window.plan.view.tool.held is not None
    hands.key(Qt.Key.Key_Escape)
    assert window.plan.view.tool.held is None


def test_two_rooms_are_joined_by_clicks_with_the_wall_between(pair) -> None:
    pair.tool("Join")
    pair.click((2000, 1500))
    assert "the room beside it" in pair.foot
    pair.move((5500, 1500))
    assert "become one room" in pair.read
    pair.click((5500, 1500))
    assert pair.room_count() == 1
    assert pair.window.document.stack.undoText() == "Join two rooms"


def test_two_chosen_rooms_are_joined_by_enter(pair) -> None:
    document = pair.window.document
    document.choose(tuple(Ref("room", str(room.id)) for room in pair.storey.rooms))
    pair.tool("Join")
    assert "Press Enter" in pair.foot
    pair.key(Qt.Key.Key_Return)
    assert pair.room_count() == 1


def test_rooms_apart_are_not_joined(pair) -> None:
    pair.tool("Rectangle")
    pair.move((2000, 6000))
    pair.type("2x2")
    pair.tool("Join")
    pair.click((500, 500))
    pair.click((3000, 7000))
    assert "are not side by side" in pair.read
    assert pair.room_count() == 3


def test_open_side_is_closed_and_opened_by_clicks(window, hands) -> None:
    hands.tool("Split open")
    hands.click((2000, 0))
    hands.key(Qt.Key.Key_Return)
    hands.tool("Open side")
    hands.move((1995, 1500))
    assert "click to make it a wall" in hands.read
    hands.click((1995, 1500))
    assert {s.kind for room in hands.storey.rooms for s in room.outline} == {"wall"}
    assert window.document.stack.undoText() == "Close a side"
    hands.click((1995, 1500))
    assert [s.kind for room in hands.storey.rooms for s in room.outline].count("open") == 2
    assert window.document.stack.undoText() == "Open a side"


def test_wall_between_rooms_does_not_open(pair) -> None:
    pair.tool("Open side")
    pair.click((4000, 1500))
    assert "stands between" in pair.read
    assert pair.window.document.stack.undoText() == "Draw a room"


def test_room_deleted_from_a_drawing_is_filled_again_by_a_click(window) -> None:
    window.files.open(SAMPLES / "terrace_ground.dxf")
    hands = Hands(window)
    rooms = window.document.storey.rooms
    gone = max(rooms, key=lambda r: window.document.state.room(str(r.id)).taken.floor_m2)
    before = window.document.state.room(str(gone.id)).taken.floor_m2
    xs, ys = [s.x_mm for s in gone.outline], [s.y_mm for s in gone.outline]
    inside = (min(xs) + 400.0, min(ys) + 400.0)
    window.document.choose((Ref("room", str(gone.id)),))
    hands.key(Qt.Key.Key_Delete)
    assert len(window.document.storey.rooms) == len(rooms) - 1
    hands.tool("Fill")
    hands.click(inside)
    assert len(window.document.storey.rooms) == len(rooms)
    assert window.document.state.room(str(hands.room.id)).taken.floor_m2 == pytest.approx(before)
    assert window.document.stack.undoText() == "Fill a room"
    assert "Kitchen is filled" in hands.read
    hands.click(inside)
    assert "“Kitchen” is there already" in hands.read
    assert len(window.document.storey.rooms) == len(rooms)


def test_fill_without_a_drawing_says_so(hands) -> None:
    hands.tool("Fill")
    hands.click((9000, 9000))
    assert "There is no drawing to fill from" in hands.foot
    assert hands.room_count() == 1


def test_corners_are_drawn_to_the_drawing_itself(window) -> None:
    window.files.open(SAMPLES / "terrace_ground.dxf")
    hands = Hands(window)
    lines = window.document.drawing.lines.segments
    x, y = float(lines[0][0]), float(lines[0][1])
    px = 1.0 / window.plan.view.px_per_mm
    hands.tool("Room")
    hands.click((x + 3 * px, y - 3 * px))
    tool = window.plan.view.tool
    assert any(
        tool.corners[0] == (float(a), float(b)) for row in lines for a, b in ((row[0], row[1]), (row[2], row[3]))
    )
    window.plan.linework.show_layers(dict.fromkeys(window.plan.linework.shows, "off"))
    hands.key(Qt.Key.Key_Escape)
    window.acts.do("choose-all")
    hands.key(Qt.Key.Key_Delete)
    hands.click((x + 3 * px, y - 3 * px))
    assert tool.corners[0] == pytest.approx((x + 3 * px, y - 3 * px), abs=1e-6)


def test_every_drawing_tool_is_taken_by_its_shortcut(window, hands) -> None:
    from takeoff.ui.window.drawing_part import OFFERS

    for offer in OFFERS:
        window.space.back_to_choosing()
        keys = offer.keys.split("+")
        held = Qt.KeyboardModifier.NoModifier
        for name in keys[:-1]:
            held |= {"Shift": SHIFT, "Ctrl": Qt.KeyboardModifier.ControlModifier}[name]
        QTest.keyClick(window.plan.view, getattr(Qt.Key, f"Key_{keys[-1]}"), held)
        assert window.acts.q(offer.id).isChecked(), offer
        assert window.tool_row.buttons[offer.id].text() == offer.word
        assert hands.foot, offer
