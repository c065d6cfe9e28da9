"""Rooms filled by a click: another outline by a key, a line that rooms end at, the next name that lies in no room."""

from __future__ import annotations

import ezdxf
import pytest
from PySide6.QtCore import Qt

from takeoff.plan import edits
from tests.ui.hands import Hands

SHIFT = Qt.KeyboardModifier.ShiftModifier


@pytest.fixture
def plan(window, tmp_path) -> Hands:
    """Two rooms of 12.0 and 9.0 m² with a way of 2.0 m through the wall of 100 mm between them."""
    drawn = ezdxf.new()
    drawn.units = ezdxf.units.MM
    space = drawn.modelspace()
    for layer in ("A-WALL", "A-TEXT"):
        drawn.layers.add(layer)

    def course(*points, close=False) -> None:
        space.add_lwpolyline(points, close=close, dxfattribs={"layer": "A-WALL"})

    course((-200, -200), (7300, -200), (7300, 3200), (-200, 3200), close=True)
    course((0, 0), (7100, 0), (7100, 3000), (4100, 3000), (4100, 2000), (4000, 2000), (4000, 3000), (0, 3000), (0, 0))
    for text, at in (("Living", (1500, 1500)), ("Kitchen", (5500, 1500))):
        space.add_text(text, height=150, dxfattribs={"layer": "A-TEXT", "insert": at})
    path = tmp_path / "way.dxf"
    drawn.saveas(path)
    window.files.open(path)
    hands = Hands(window)
    for room in window.document.storey.rooms:
        window.document.apply("Delete a room", lambda job, room=room: edits.remove_room(job, room.id))
    assert hands.room_count() == 0
    hands.tool("Fill")
    return hands


def area_m2(hands: Hands) -> float:
    return round(hands.window.document.state.room(str(hands.room.id)).taken.floor_m2, 1)


def test_keys_go_from_an_outline_to_the_next_and_one_undo_takes_it_away(plan) -> None:
    plan.click((1500, 1000))
    first = area_m2(plan)
    assert "press + for a larger one" in plan.foot
    plan.type("-" if first > 15 else "+", enter=False)
    assert {first, area_m2(plan)} == {12.0, 21.2}
    assert plan.room_count() == 1
    plan.key(Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert plan.room_count() == 0


def test_no_larger_outline_is_said(plan) -> None:
    plan.click((1500, 1000))
    for _ in range(6):
        plan.type("+", enter=False)
    assert "There is no larger outline" in plan.read
    assert plan.room_count() == 1


def test_shift_and_two_clicks_draw_a_line_that_the_room_ends_at(plan) -> None:
    plan.click((2500, 0), (2500, 3000), keys=SHIFT)
    plan.click((1000, 1000))
    assert area_m2(plan) == 7.5
    plan.key(Qt.Key.Key_Backspace)
    assert plan.window.plan.view.tool.bounds == []


def test_enter_fills_the_room_of_the_next_name_that_lies_in_none(plan) -> None:
    plan.click((2500, 0), (2500, 3000), keys=SHIFT)
    plan.click((1000, 1000))
    assert plan.room.name == "Living"
    plan.key(Qt.Key.Key_Return)
    assert "Kitchen" in plan.room.name
    assert plan.room_count() == 2
    plan.key(Qt.Key.Key_Return)
    assert "No name is left" in plan.read


def test_click_in_a_room_that_was_filled_in_doubt_gives_it_another_outline(plan) -> None:
    plan.click((1500, 1000))
    first = area_m2(plan)
    if plan.room.confidence == "sure":
        plan.key(Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
        plan.click((2500, 0), (2500, 3000), keys=SHIFT)
        plan.click((1000, 1000))
        plan.key(Qt.Key.Key_Backspace)
        first = area_m2(plan)
    plan.click((1200, 1000))
    assert plan.room_count() == 1
    assert area_m2(plan) != first
    assert "Taken out because in doubt: “Living”." in plan.foot
    assert plan.window.document.choice[0].id == str(plan.room.id)
