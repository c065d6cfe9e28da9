"""Rooms cut, copied, pasted, duplicated and chosen many at once; storeys copied and put in order; history."""

from __future__ import annotations

import json

import pytest
from hands import PLAIN, Hands, sizes
from PySide6.QtCore import QModelIndex, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest

from takeoff.measure import measure
from takeoff.plan import edits
from takeoff.ui.document import Ref
from takeoff.ui.panels.step_pages import HistoryPage
from takeoff.ui.panels.storeys_page import StoreysPage

SHIFT, CONTROL = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.ControlModifier
KITCHEN = "G5"


def choose(window, *rooms: str) -> None:
    window.document.choose(tuple(Ref("room", room) for room in rooms))


def measured(window, room_id: str):
    return next(room for room in measure(window.document.job).rooms if room.room == room_id)


def middle(hands: Hands, name: str) -> tuple[float, float]:
    pieces = hands.window.plan.items.pieces.values()
    return next(p.words.at for p in pieces if p.words is not None and p.words.name.endswith(name))


# -- copy, cut, paste, duplicate


def test_copied_kitchen_is_pasted_at_a_click_with_all_its_figures(hands, sample) -> None:
    choose(sample, KITCHEN)
    hands.key(Qt.Key.Key_C, CONTROL)
    hands.key(Qt.Key.Key_V, CONTROL)
    hands.click((30_000.0, 2_000.0))
    (made,) = sample.document.choice
    assert made.id != KITCHEN
    one, other = measured(sample, KITCHEN), measured(sample, made.id)
    assert other.wall_gross_m2 == pytest.approx(one.wall_gross_m2)
    assert other.openings_m2 == pytest.approx(one.openings_m2)
    assert other.wall_net_m2 == pytest.approx(one.wall_net_m2)
    room = edits.room_of(sample.document.job, made.id)
    assert min(side.x_mm for side in room.outline) == pytest.approx(30_000.0, abs=30.0)
    assert min(side.y_mm for side in room.outline) == pytest.approx(2_000.0, abs=30.0)
    assert sample.document.stack.undoText() == "Paste 1 room"
    assert sample.plan.view.tool is sample.choose


def test_what_is_on_the_clipboard_is_the_jobs_own_json(hands, sample) -> None:
    choose(sample, KITCHEN)
    hands.key(Qt.Key.Key_C, CONTROL)
    tree = json.loads(QGuiApplication.clipboard().text())
    assert tree["schema"] == "takeoff-job/2"
    assert [room["name"] for room in tree["storeys"][0]["rooms"]] == ["Kitchen"]
    hosts = {o["room"] for o in tree["storeys"][0]["openings"]}
    assert hosts == {KITCHEN}


def test_copy_shows_at_the_pointer_and_hangs_by_its_corner(hands, sample) -> None:
    choose(sample, KITCHEN)
    sample.acts.do("copy")
    sample.acts.do("paste")
    hands.move((30_000.0, 2_000.0))
    assert "to the right" in hands.read
    assert "1 room" in hands.read
    rooms = hands.room_count()
    hands.key(Qt.Key.Key_Escape)
    assert hands.room_count() == rooms
    assert sample.plan.view.tool is sample.choose


def test_copy_is_placed_by_typed_lengths_from_where_it_was(hands, sample) -> None:
    before = edits.room_of(sample.document.job, KITCHEN).outline[0]
    choose(sample, KITCHEN)
    sample.acts.do("copy")
    sample.acts.do("paste")
    hands.type("20 x 1.5")
    after = edits.room_of(sample.document.job, sample.document.choice[0].id).outline[0]
    assert (after.x_mm - before.x_mm, after.y_mm - before.y_mm) == (20_000.0, 1_500.0)


def test_shift_keeps_the_copy_in_the_hand(hands, sample) -> None:
    count = hands.room_count()
    choose(sample, KITCHEN)
    sample.acts.do("copy")
    sample.acts.do("paste")
    hands.click((30_000.0, 2_000.0), (40_000.0, 2_000.0), keys=SHIFT)
    hands.click((50_000.0, 2_000.0))
    assert hands.room_count() == count + 3


def test_paste_on_another_storey_at_once_puts_it_in_its_own_place_or_beside(hands, sample) -> None:
    choose(sample, KITCHEN)
    sample.acts.do("copy")
    sample.acts.do("add-storey")
    assert sample.document.storey.rooms == ()
    sample.acts.do("paste-beside")
    (room,) = sample.document.storey.rooms
    old = edits.room_of(sample.document.job, KITCHEN)
    assert [(s.x_mm, s.y_mm) for s in room.outline] == [(s.x_mm, s.y_mm) for s in old.outline]
    sample.acts.do("paste-beside")
    one, other = sample.document.storey.rooms
    assert min(s.x_mm for s in other.outline) == pytest.approx(max(s.x_mm for s in one.outline) + 1_000.0)
    assert sizes(one) == sizes(other)


def test_cut_rooms_are_gone_and_come_back_elsewhere(hands, sample) -> None:
    before = measured(sample, KITCHEN).wall_net_m2
    choose(sample, KITCHEN)
    hands.key(Qt.Key.Key_X, CONTROL)
    assert all(room.id != KITCHEN for room in sample.document.storey.rooms)
    assert sample.document.stack.undoText() == "Cut 1 room"
    sample.acts.do("paste-beside")
    assert measured(sample, sample.document.choice[0].id).room == KITCHEN
    assert measured(sample, KITCHEN).wall_net_m2 == pytest.approx(before)
    for _ in range(2):
        sample.acts.do("undo")
    assert measured(sample, KITCHEN).wall_net_m2 == pytest.approx(before)


def test_duplicated_rooms_keep_their_doors_to_each_other(hands, sample) -> None:
    storey = sample.document.storey
    every = tuple(str(room.id) for room in storey.rooms)
    choose(sample, *every)
    sample.acts.do("duplicate")
    new = [ref.id for ref in sample.document.choice]
    assert len(new) == len(every)
    assert len(sample.document.storey.openings) == 2 * len(storey.openings)
    by_name = {room.name: room for room in measure(sample.document.job).rooms if room.room in every}
    for room in measure(sample.document.job).rooms:
        if room.room in new:
            assert room.wall_net_m2 == pytest.approx(by_name[room.name].wall_net_m2), room.name
            assert room.reveal_m2 == pytest.approx(by_name[room.name].reveal_m2), room.name


def test_something_else_on_the_clipboard_is_refused_in_a_sentence(hands, sample) -> None:
    QGuiApplication.clipboard().setText("a shopping list")
    sample.acts.do("paste")
    assert "no rooms on the clipboard" in hands.foot
    QGuiApplication.clipboard().setText('{"schema": "takeoff-job/2", "storeys": [{"id": 7}]}')
    sample.acts.do("paste")
    assert "What is on the clipboard: storeys[0].id" in hands.foot
    assert sample.plan.view.tool is sample.choose


def test_paste_while_the_sheets_are_shown_brings_the_plan_back(hands, sample) -> None:
    choose(sample, KITCHEN)
    sample.acts.do("copy")
    sample.acts.do("sheets")
    sample.acts.do("paste")
    assert sample.plan.view.isVisible()


# -- many at once


def test_shift_click_adds_rooms_and_takes_them_out_again(hands, sample) -> None:
    hands.click(middle(hands, "Kitchen"))
    hands.click(middle(hands, "Living room"), keys=SHIFT)
    assert {ref.id for ref in sample.document.choice} == {KITCHEN, "G2"}
    hands.click(middle(hands, "Kitchen"), keys=SHIFT)
    assert [ref.id for ref in sample.document.choice] == ["G2"]


def test_box_round_the_house_takes_all_its_rooms(hands, sample) -> None:
    rooms = sample.document.storey.rooms
    xs = [side.x_mm for room in rooms for side in room.outline]
    ys = [side.y_mm for room in rooms for side in room.outline]
    low, high = (min(xs) - 600.0, min(ys) - 600.0), (max(xs) + 600.0, max(ys) + 600.0)
    hands.drag(low, ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2), high)
    assert {ref.id for ref in sample.document.choice} == {str(room.id) for room in rooms}
    hands.key(Qt.Key.Key_Delete)
    assert sample.document.storey.rooms == ()
    assert sample.document.stack.undoText() == f"Delete {len(rooms)} rooms"


# -- storeys


def page(window) -> StoreysPage:
    window.acts.do("storeys")
    found = window.sides.page("storeys")
    assert isinstance(found, StoreysPage)
    return found


def test_storeys_stand_as_in_a_house_and_a_click_shows_one(sample, qtbot) -> None:
    shown = page(sample).list
    assert [shown.item(k).text().splitlines()[0] for k in range(2)] == ["Room in the roof", "Ground floor"]
    qtbot.mouseClick(shown.viewport(), Qt.MouseButton.LeftButton, PLAIN, shown.visualItemRect(shown.item(0)).center())
    assert sample.document.storey.name == "Room in the roof"


def test_copied_storey_is_shown_renamed_and_measured(sample, qtbot) -> None:
    before = measure(sample.document.job)
    shown = page(sample)
    sample.acts.do("copy-storey")
    assert sample.document.storey.name == "First floor"
    assert sample.top.storeys.currentText() == "First floor"
    shown.name.setFocus()
    shown.name.selectAll()
    QTest.keyClicks(shown.name, "Mezzanine")
    QTest.keyClick(shown.name, Qt.Key.Key_Return)
    assert sample.document.storey.name == "Mezzanine"
    copied = [r for r in measure(sample.document.job).rooms if r.storey == sample.document.storey.id]
    ground = [r for r in before.rooms if r.storey == sample.document.job.storeys[0].id]
    assert [r.coated_m2 for r in copied] == pytest.approx([r.coated_m2 for r in ground])
    for _ in range(2):
        sample.acts.do("undo")
    assert measure(sample.document.job).totals == before.totals


def test_bare_copy_has_no_openings(sample) -> None:
    sample.acts.do("copy-storey-bare")
    assert sample.document.storey.openings == ()
    assert len(sample.document.storey.rooms) == len(sample.document.job.storeys[0].rooms)


def test_height_level_and_times_are_set_beside_the_list(sample) -> None:
    shown = page(sample)
    for field, text in ((shown.high, "2.65"), (shown.level, "0.15"), (shown.times, "often"), (shown.times, "3")):
        field.setFocus()
        field.selectAll()
        QTest.keyClicks(field, text)
        QTest.keyClick(field, Qt.Key.Key_Return)
    storey = sample.document.storey
    assert (storey.height_mm, storey.level_mm, storey.times) == (2650.0, 150.0, 3)
    assert shown.times.text() == "3"
    assert storey.height_source == "typed"
    assert "+0.15 m, 2.65 m high" in shown.list.currentItem().text()
    assert "repeated × 3" in shown.list.currentItem().text()


def test_storeys_change_places_and_go_but_for_the_last(sample) -> None:
    page(sample)
    sample.acts.do("raise-storey")
    assert [s.name for s in sample.document.job.storeys] == ["Room in the roof", "Ground floor"]
    assert not sample.acts.q("raise-storey").isEnabled()
    sample.acts.do("remove-storey")
    assert [s.name for s in sample.document.job.storeys] == ["Room in the roof"]
    assert sample.document.storey.name == "Room in the roof"
    assert not sample.acts.q("remove-storey").isEnabled()
    sample.acts.do("undo")
    assert len(sample.document.job.storeys) == 2


def test_first_storey_of_an_empty_job_is_the_ground_floor(window) -> None:
    window.acts.do("add-storey")
    assert window.document.storey.name == "Ground floor"


# -- history


def test_history_names_every_edit_and_a_click_goes_back(sample, qtbot) -> None:
    for number in range(40):
        assert sample.document.apply(
            f"Name {number}", lambda job, n=number: edits.rename_room(job, KITCHEN, f"Kitchen {n}")
        )
    sample.acts.do("history")
    shown = sample.sides.page("history")
    assert isinstance(shown, HistoryPage)
    model = shown.view.model()
    assert model.rowCount(QModelIndex()) == 41
    assert model.index(0, 0).data() == "As it was opened"
    assert model.index(40, 0).data() == "Name 39"
    shown.view.scrollTo(model.index(12, 0))
    qtbot.mouseClick(
        shown.view.viewport(), Qt.MouseButton.LeftButton, PLAIN, shown.view.visualRect(model.index(12, 0)).center()
    )
    assert edits.room_of(sample.document.job, KITCHEN).name == "Kitchen 11"
    shown.view.setCurrentIndex(model.index(40, 0))
    assert edits.room_of(sample.document.job, KITCHEN).name == "Kitchen 39"
    while sample.document.stack.canUndo():
        sample.acts.do("undo")
    assert edits.room_of(sample.document.job, KITCHEN).name == "Kitchen"
    assert sample.document.stack.isClean()
