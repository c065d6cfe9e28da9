"""Openings placed by click and by typing, dragged, set on the card, settled and deleted."""

from __future__ import annotations

from decimal import Decimal

import pytest
from by_command import assert_as_command
from hands import type_into
from PySide6.QtCore import Qt
from PySide6.QtGui import QTextDocument
from PySide6.QtTest import QTest

from takeoff.plan import edits
from takeoff.plan.model import OpeningId, RoomId, SideId
from takeoff.ui.document import Ref
from takeoff.ui.panels.editor import tab_stops
from takeoff.ui.tools.tool_preview import Readout

W1 = OpeningId("W1")
UPPER = (3350.0, 3960.0)
"""On wall G of the living room, 2.90 m long, from x 4800 to 1900 at y 4000; behind it WC and stairs."""


def opening(window, name: str = "W1"):
    return edits.opening_of(window.document.job, OpeningId(name))


def face(window, room: str, side: str) -> float:
    board = window.document.state.room(room)
    return next(f.net_m2 for f in board.taken.faces if f.id == side)


def editor(window):

    return window.card.editors.of("opening")


def readout(window) -> str:
    shown = [r for r in window.plan.view.findChildren(Readout) if r.isVisible()]
    if not shown:
        return ""
    made = QTextDocument()
    made.setHtml(shown[0].text())
    return made.toPlainText().replace("\u00a0", " ")


# -- placing


def test_window_is_placed_on_a_wall_by_one_click(sample, hands, tmp_path) -> None:
    before = face(sample, "G2", "G2-7")
    hands.key(Qt.Key.Key_W)
    hands.click(UPPER)
    placed = opening(sample, "w1")
    assert (placed.kind, placed.side, placed.width_mm, placed.head_mm) == ("window", "G2-7", 1800.0, 2100.0)
    assert face(sample, "G2", "G2-7") == pytest.approx(before - 1.8 * 1.2)
    assert sample.document.choice == (Ref("opening", "w1", "G2"),)
    assert sample.document.stack.undoText() == "Place a window"
    assert editor(sample).isVisible()
    assert_as_command(sample, tmp_path)


def test_door_between_two_rooms_cuts_both_faces(sample, hands, tmp_path) -> None:
    hall, living = face(sample, "G1", "G1-2"), face(sample, "G2", "G2-8")
    hands.key(Qt.Key.Key_D)
    hands.click((1940.0, 3000.0))
    placed = opening(sample, "d1")
    assert placed.room == "G2"
    # the usual door of the job is 0.90 × 2.04; 0.12 of skirting is on in the living room only
    assert face(sample, "G2", "G2-8") == pytest.approx(living - 0.9 * (2.04 - 0.12))
    assert face(sample, "G1", "G1-2") < hall
    assert "through to G1 Hall" in editor(sample).place.text()
    assert_as_command(sample, tmp_path)


def test_typed_distance_from_the_nearer_corner_places_the_window(sample, hands) -> None:
    hands.key(Qt.Key.Key_W)
    hands.move((4400.0, 3960.0))
    hands.type("0.35")
    # side G runs from the right corner to the left one
    assert opening(sample, "w1").offset_mm == pytest.approx(350.0)
    hands.window.acts.do("undo")
    hands.move((4400.0, 3960.0))
    hands.key(Qt.Key.Key_Tab)
    hands.type("150 mm")
    assert opening(sample, "w1").offset_mm == pytest.approx(2900.0 - 1800.0 - 150.0)


def test_lengths_to_both_corners_stand_beside_the_wall_while_pointing(sample, hands) -> None:
    hands.key(Qt.Key.Key_W)
    hands.move((3800.0, 3960.0))
    assert readout(sample).startswith("from this corner 0.100 m   from the other corner 1.000 m")
    tool = sample.plan.view.tool
    assert tool.preview.words == ["0.100", "1.000"]


def test_window_that_is_too_wide_says_why_and_is_not_placed(sample, hands) -> None:
    count = len(sample.document.storey.openings)
    hands.key(Qt.Key.Key_W)
    hands.move((4620.0, 1340.0))
    assert "0.35 m long" in readout(sample)
    hands.click((4620.0, 1340.0))
    assert len(sample.document.storey.openings) == count
    assert "0.35 m long" in readout(sample)


def test_one_opening_is_not_placed_over_another(sample, hands) -> None:
    hands.key(Qt.Key.Key_W)
    hands.click((3350.0, 40.0))
    assert len(sample.document.storey.openings) == 8
    assert "W1 is there already" in readout(sample)


def test_type_is_chosen_and_its_size_typed_on_the_page(sample, hands) -> None:
    hands.key(Qt.Key.Key_O)
    page = sample.sides.page("openings")
    assert sample.sides.current == "openings"
    words = [page.types.itemText(k) for k in range(page.types.count())]
    assert words[0] == "Door  0.90 × 2.04  (2)"
    assert "Window  0.60 × 0.60" in words
    index = words.index("Window W1  1.80 × 1.20  (1)")
    page.types.setCurrentIndex(index)
    page.types.activated.emit(index)
    type_into(page.size_field, "1.05 x 0.90")
    type_into(page.sill, "1200 mm")
    QTest.mouseClick(page.button, Qt.MouseButton.LeftButton)
    hands.click(UPPER)
    placed = opening(sample, "w1")
    assert (placed.width_mm, placed.sill_mm, placed.head_mm) == (1050.0, 1200.0, 2100.0)
    assert placed.reveal.start.depth_mm == 150.0


def test_unreadable_size_is_told_and_changes_nothing(sample, hands) -> None:
    hands.key(Qt.Key.Key_O)
    page = sample.sides.page("openings")
    type_into(page.size_field, "wide")
    assert "is no width and height" in hands.foot
    assert page.size_field.text() == "0.90 × 2.04"


def test_escape_lays_the_tool_down(sample, hands) -> None:
    hands.key(Qt.Key.Key_W)
    hands.move(UPPER)
    hands.key(Qt.Key.Key_Escape)
    assert sample.plan.view.tool is sample.choose
    assert readout(sample) == ""


# -- dragging


def test_window_is_dragged_along_its_wall_in_one_edit(sample, hands, tmp_path) -> None:
    middle = (3350.0, -40.0)
    hands.move(middle)
    hands.press(middle)
    hands.move((3400.0, -40.0), (3550.0, -40.0), held=Qt.MouseButton.LeftButton)
    assert readout(sample).startswith("from this corner 0.350 m   from the other corner 0.750 m")
    assert opening(sample).offset_mm == 550.0
    hands.release((3550.0, -40.0))
    assert opening(sample).offset_mm == pytest.approx(750.0)
    assert sample.document.stack.undoText() == "Move an opening"
    assert sample.document.stack.count() == 1
    assert readout(sample) == ""
    assert_as_command(sample, tmp_path)


def test_dragged_window_stops_at_the_corner_and_escape_leaves_it(sample, hands) -> None:
    hands.drag((3350.0, -40.0), (3800.0, -40.0), (6000.0, -40.0))
    assert opening(sample).offset_mm == pytest.approx(2900.0 - 1800.0)
    sample.acts.do("undo")
    hands.press((3350.0, -40.0))
    hands.move((3700.0, -40.0), held=Qt.MouseButton.LeftButton)
    hands.key(Qt.Key.Key_Escape)
    hands.release((3700.0, -40.0))
    assert opening(sample).offset_mm == 550.0


def test_distance_typed_during_a_drag_holds(sample, hands) -> None:
    hands.press((3350.0, -40.0))
    hands.move((3700.0, -40.0), held=Qt.MouseButton.LeftButton)
    hands.type("200mm", enter=False)
    hands.release((3700.0, -40.0))
    # the right corner on the plan is the wall's end: 0.20 from there
    assert opening(sample).offset_mm == pytest.approx(2900.0 - 1800.0 - 200.0)


def test_click_without_a_drag_only_chooses(sample, hands) -> None:
    hands.click((3350.0, -40.0))
    assert sample.document.choice == (Ref("opening", "W1", "G2"),)
    assert sample.document.stack.count() == 0


# -- the card


def test_sizes_are_typed_on_the_card_and_the_figures_follow(sample, doc, tmp_path) -> None:
    doc.choose((Ref("opening", "W1", "G2"),))
    form = editor(sample)
    before = doc.state.totals["reveal_m2"]
    type_into(form.width_field, "1.60")
    type_into(form.height_field, "1300 mm")
    type_into(form.sill, "0.85")
    one = opening(sample)
    assert (one.width_mm, one.sill_mm, one.head_mm, one.offset_mm) == (1600.0, 850.0, 2150.0, 650.0)
    # 1.60 + 2 × 1.30 by 0.15, where there were 1.80 + 2 × 1.20
    assert doc.state.totals["reveal_m2"] - before == pytest.approx(Decimal(0), abs=Decimal("0.011"))
    assert form.takes.text().startswith("2.08 m² deducted from the wall, 0.63 m² of reveal coated.")
    assert_as_command(sample, tmp_path)


def test_height_that_was_typed_stays_when_the_sill_is_typed_after_it(sample, doc) -> None:
    doc.apply("Lower it", lambda job: edits.set_opening_size(job, W1, sill_mm=0.0, head_mm=2100.0))
    doc.choose((Ref("opening", "W1", "G2"),))
    form = editor(sample)
    type_into(form.height_field, "1.3")
    type_into(form.sill, "0.9")
    # with the head left at 1.30 it would be 0.40 high
    assert (opening(sample).sill_mm, opening(sample).head_mm) == (900.0, 2200.0)
    # a head that is typed stays then
    type_into(form.head, "2.10")
    type_into(form.sill, "800")
    assert (opening(sample).sill_mm, opening(sample).head_mm) == (800.0, 2100.0)


def test_height_tab_sill_with_keys_alone_leaves_the_height_that_was_typed(sample, doc, qtbot) -> None:
    doc.apply("Lower it", lambda job: edits.set_opening_size(job, W1, sill_mm=0.0, head_mm=2100.0))
    doc.choose((Ref("opening", "W1", "G2"),))
    form = editor(sample)
    form.height_field.setFocus()
    for text in ("1.3", "0.9"):
        field = sample.focusWidget()
        qtbot.keyClick(field, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
        qtbot.keyClicks(field, text)
        qtbot.keyClick(field, Qt.Key.Key_Tab)
    assert sample.focusWidget() is form.head
    assert (opening(sample).sill_mm, opening(sample).head_mm) == (900.0, 2200.0)
    assert (form.height_field.text(), form.sill.text(), form.head.text()) == ("1.30", "0.90", "2.20")


def test_by_tab_the_fields_of_an_opening_come_before_its_figures(sample, doc) -> None:
    doc.choose((Ref("room", "G2"),))  # its figures are there before the first opening is chosen
    doc.choose((Ref("opening", "W1", "G2"),))
    stops, form = tab_stops(sample.card), editor(sample)
    figures = [stops.index(row) for row in sample.card.rows if row in stops]
    assert figures
    assert stops.index(form.width_field) < stops.index(form.height_field) < stops.index(form.sill) < min(figures)


def test_sill_alone_leaves_the_head(sample, doc) -> None:
    doc.choose((Ref("opening", "W1", "G2"),))
    head = opening(sample).head_mm
    type_into(editor(sample).sill, "0.8")
    assert (opening(sample).sill_mm, opening(sample).head_mm) == (800.0, head)


def test_typed_distances_to_left_and_right(sample, doc) -> None:
    doc.choose((Ref("opening", "W1", "G2"),))
    form = editor(sample)
    type_into(form.left, "0.30")
    # the side starts at the right of who stands before it
    assert opening(sample).offset_mm == pytest.approx(2900.0 - 1800.0 - 300.0)
    assert form.right.text() == "0.80"
    type_into(form.right, "0.40")
    assert opening(sample).offset_mm == pytest.approx(400.0)


def test_reveals_are_deepened_and_coated_strip_by_strip(sample, doc, tmp_path) -> None:
    doc.choose((Ref("opening", "W1", "G2"),))
    reveals = editor(sample).reveals
    type_into(reveals.all, "200 mm")
    assert {getattr(opening(sample).reveal, p).depth_mm for p in ("start", "end", "head", "sill")} == {200.0}
    QTest.mouseClick(reveals.rows["sill"].coat, Qt.MouseButton.LeftButton)
    assert opening(sample).reveal.sill.coat
    strips = {s.id: s.net_m2 for s in doc.state.room("G2").taken.surfaces if s.kind == "reveal"}
    assert sum(strips.values()) == pytest.approx((1.8 + 1.2 + 1.2 + 1.8) * 0.2)
    QTest.mouseClick(reveals.rows["start"].coat, Qt.MouseButton.LeftButton)
    assert not opening(sample).reveal.start.coat
    assert sample.document.stack.undoText() == "Do not coat a reveal"
    assert_as_command(sample, tmp_path)


def test_reveal_on_the_other_side_of_the_wall_is_set_too(sample, doc) -> None:
    doc.choose((Ref("opening", "D2", "G1"),))
    reveals = editor(sample).reveals
    assert [reveals.side.itemText(k) for k in range(2)] == ["In this room", "In G2 Living room"]
    reveals.side.setCurrentIndex(1)
    reveals.side.activated.emit(1)
    type_into(reveals.rows["head"].depth, "0.08")
    assert opening(sample, "D2").reveal_beyond.head.depth_mm == 80.0
    assert opening(sample, "D2").reveal.head.depth_mm == 0.0


def test_kind_form_and_mark_are_changed(sample, doc) -> None:
    doc.choose((Ref("opening", "W1", "G2"),))
    form = editor(sample)
    for field, key in ((form.what, "door"), (form.shape, "segmental")):
        index = field.findData(key)
        field.setCurrentIndex(index)
        field.activated.emit(index)
    one = opening(sample)
    assert (one.kind, one.shape, one.rise_mm) == ("door", "segmental", 180.0)
    assert form.rise.isVisible()
    type_into(form.rise, "0.25")
    assert opening(sample).rise_mm == 250.0
    type_into(form.mark, "D9")
    assert opening(sample).mark == "D9"


def test_size_that_cannot_be_is_refused_and_stays_as_typed_with_the_reason(sample, doc, hands) -> None:
    doc.choose((Ref("opening", "W1", "G2"),))
    form = editor(sample)
    type_into(form.width_field, "3.40")
    assert "3.40 m wide and the wall 2.90 m long" in hands.foot
    assert form.width_field.text() == "3.40"
    assert form.width_field.refusal == hands.foot
    type_into(form.width_field, "twelve")
    assert "twelve" in hands.foot
    assert form.width_field.text() == "twelve"
    assert form.width_field.refusal == hands.foot
    assert doc.stack.count() == 0


def test_several_openings_are_set_together(sample, doc) -> None:
    doc.choose((Ref("opening", "W1", "G2"), Ref("opening", "W2", "G5")))
    form = editor(sample)
    assert form.width_field.text() == ""
    assert form.sill.text() == "0.90"
    type_into(form.sill, "1.00")
    assert {opening(sample, name).sill_mm for name in ("W1", "W2")} == {1000.0}
    assert doc.stack.undoText() == "Set the sill of 2 openings"
    sample.acts.do("undo")
    assert {opening(sample, name).sill_mm for name in ("W1", "W2")} == {900.0}


def test_delete_key_takes_the_opening_out_of_the_wall(sample, doc, hands, tmp_path) -> None:
    before = face(sample, "G2", "G2-1")
    hands.click((3350.0, -40.0))
    hands.key(Qt.Key.Key_Delete)
    assert all(o.id != "W1" for o in doc.storey.openings)
    assert face(sample, "G2", "G2-1") == pytest.approx(before + 1.8 * 1.2)
    assert_as_command(sample, tmp_path)


def test_another_one_of_the_same_type(sample, doc, hands) -> None:
    doc.choose((Ref("opening", "W2", "G5"),))
    QTest.mouseClick(editor(sample).more, Qt.MouseButton.LeftButton)
    hands.click(UPPER)
    assert opening(sample, "w1").width_mm == 1200.0


# -- settling


@pytest.fixture
def asked(sample):
    """Window and garden door of the sample are asked about."""

    def unsure(job):
        for name in ("W1", "D6"):
            job = edits.set_opening_confidence(job, OpeningId(name), "question")
        return job

    sample.document.apply("ask", unsure)
    return sample


def test_openings_that_are_asked_about_are_settled_one_by_one(asked, hands, tmp_path) -> None:
    before = asked.document.state.totals["wall_net_m2"]
    hands.key(Qt.Key.Key_Q)
    form = editor(asked)
    assert asked.document.choice == (Ref("opening", "W1", "G2"),)
    assert "Not measured yet" in form.question.text()
    QTest.mouseClick(form.accept, Qt.MouseButton.LeftButton)
    assert opening(asked).confidence == "sure"
    assert asked.document.state.totals["wall_net_m2"] == before - Decimal("2.16")
    assert not form.question.isVisible()
    QTest.mouseClick(form.next_asked, Qt.MouseButton.LeftButton)
    assert asked.document.choice == (Ref("opening", "D6", "G5"),)
    QTest.mouseClick(form.refuse_it, Qt.MouseButton.LeftButton)
    assert all(o.id != "D6" for o in asked.document.storey.openings)
    assert not asked.acts.q("check-openings").isEnabled()
    assert_as_command(asked, tmp_path)


def test_all_that_are_asked_about_are_taken_in_at_once(asked) -> None:
    asked.acts.do("accept-openings")
    assert {opening(asked, name).confidence for name in ("W1", "D6")} == {"sure"}
    assert not asked.acts.q("accept-openings").isEnabled()


def test_row_of_the_table_chooses_the_opening_and_a_double_click_brings_its_card_up(sample, hands) -> None:
    hands.key(Qt.Key.Key_O)
    page = sample.sides.page("openings")
    box = page.table.visualRect(page.table.rows.index(1, 0))
    QTest.mouseClick(page.table.viewport(), Qt.MouseButton.LeftButton, pos=box.center())
    assert sample.document.choice == (Ref("opening", "W1", "G2"),)
    assert sample.sides.current == "openings"
    QTest.mouseDClick(page.table.viewport(), Qt.MouseButton.LeftButton, pos=box.center())
    assert sample.sides.current == "card"
    assert editor(sample).isVisible()


def test_opening_is_seen_from_the_room_behind_too(sample, doc) -> None:
    doc.choose((Ref("opening", "D2", "G2"),))
    assert sample.strip.faces._strip.room == "G2"
    assert editor(sample).place.text() == "Wall B, through to G2 Living room"
    assert RoomId("G1") == opening(sample, "D2").room
    assert SideId("G1-2") == opening(sample, "D2").side
