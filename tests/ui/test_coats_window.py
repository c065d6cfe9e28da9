"""The coat in the window: outside walls by one rule, rooms, faces, corners; on page, plan and wall strip."""

from __future__ import annotations

from decimal import Decimal

import pytest
from by_command import assert_as_command
from hands import empty_field, pick, type_into
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest

from takeoff.plan import edits
from takeoff.plan.model import OpeningId, RoomId, SideId
from takeoff.ui.document import Ref
from takeoff.ui.panels.coat_editors import CornerEditor, FaceEditor
from takeoff.ui.panels.wall_strip import tick_box

LIVING, KITCHEN = RoomId("G2"), RoomId("G5")
SHIFT = Qt.KeyboardModifier.ShiftModifier
LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def page(sample):
    QTest.mouseClick(sample.steps.button("coat"), LEFT)
    assert sample.sides.current == "coat"
    return sample.sides.page("coat")


def side_of(doc, room: str, side: str):
    return edits.side_curve(doc.job, RoomId(room), SideId(side))[0]


def coat_of(doc, room: str, side: str):
    return side_of(doc, room, side).treatment or edits.room_of(doc.job, RoomId(room)).walls


def nets(doc, room: str) -> dict[str, float]:
    return {face.id: face.net_m2 for face in doc.state.room(room).taken.faces}


def click(widget) -> None:
    QTest.mouseClick(widget, LEFT)


def step_says(window) -> str:
    return window.steps.button("coat")._says.text()


# -- the page of the step


def test_outside_walls_with_returns_and_ceiling_band_in_one_action(sample, doc, page, tmp_path) -> None:
    assert step_says(sample) == "room by room"
    type_into(page.returns, "0.60")
    type_into(page.band, "500 mm")
    click(page.outside)
    assert doc.stack.count() == 1
    assert step_says(sample) == "outside walls, returns 0.60 m, ceiling band 0.50 m"
    # the living room: wall A is outside, the wall behind the chimney breast too
    assert coat_of(doc, "G2", "G2-1").coat
    assert coat_of(doc, "G2", "G2-8").end_mm == 600.0
    assert not coat_of(doc, "G2", "G2-7").coat
    band = edits.room_of(doc.job, LIVING).ceiling_treatment.only
    assert [(b.width_mm, b.sides) for b in band] == [(500.0, ("G2-1", "G2-4"))]
    assert page.says.text() == "Now: outside walls, returns 0.60 m, ceiling band 0.50 m."
    assert_as_command(sample, tmp_path)
    sample.acts.do("undo")
    assert step_says(sample) == "room by room"


def test_empty_ceiling_band_leaves_ceilings_as_they_are(sample, doc, page) -> None:
    before = doc.state.totals["ceiling_m2"]
    empty_field(page.band)
    click(page.outside)
    assert doc.state.totals["ceiling_m2"] == before
    assert step_says(sample) == "outside walls, returns 0.60 m, ceilings"


def test_outside_walls_of_the_chosen_rooms_only(sample, doc, page) -> None:
    doc.choose((Ref("room", "G5"),))
    assert sample.sides.current == "coat"
    living = nets(doc, "G2")
    pick(page.scope, "rooms")
    click(page.outside)
    assert nets(doc, "G2") == living
    # kitchen: C is the outside wall at the back, D is the party wall
    assert coat_of(doc, "G5", "G5-3").coat


def test_no_chosen_room_is_told(sample, page, hands) -> None:
    pick(page.scope, "rooms")
    click(page.outside)
    assert hands.foot == "No room is selected: click one, or coat the whole job."


def test_everything_is_coated_again(sample, doc, page) -> None:
    click(page.outside)
    click(page.everything)
    assert step_says(sample) == "walls and ceilings"


def test_walls_that_nobody_knows_are_listed_and_answered(sample, doc, page, tmp_path) -> None:
    asked = page.asked
    click(page.outside)
    assert asked.heading.text() == "Not known: 4 walls"
    assert [row.cells[:2] for row in asked.table.rows.rows[:2]] == [
        ("G2 Living room", "C upper"),
        ("G2 Living room", "E lower"),
    ]
    before = nets(doc, "G2")
    box = asked.table.visualRect(asked.table.rows.index(0, 0))
    QTest.mouseClick(asked.table.viewport(), LEFT, pos=box.center())
    assert doc.choice == (Ref("side", "G2-3", "G2"),)
    assert sample.sides.current == "coat"
    click(asked.buttons["outside"])
    assert asked.heading.text() == "Not known: 3 walls"
    # it was a return of 0.35 m, and is an outside wall now: its neighbour B gets a return
    assert coat_of(doc, "G2", "G2-2").end_mm == 600.0
    assert nets(doc, "G2")["G2-2"] > before["G2-2"]
    assert doc.stack.undoText() == "Behind wall C upper: Outside"
    # the next one is marked and shown
    assert doc.choice == (Ref("side", "G2-5", "G2"),)
    click(asked.buttons["heated"])
    assert asked.heading.text() == "Not known: 2 walls"
    assert side_of(doc, "G2", "G2-5").behind[0].cls == "heated"
    assert_as_command(sample, tmp_path)


def test_several_walls_are_answered_at_once(sample, doc, page) -> None:
    asked = page.asked
    asked.table.selectAll()
    assert len(asked.marked()) == 4
    click(asked.buttons["neighbour"])
    assert asked.heading.text() == "Every wall is known"
    assert not asked.table.isVisible()
    assert doc.stack.undoText() == "Behind 4 walls: Neighbour"


def test_answer_without_a_marked_wall_is_told(page, hands) -> None:
    page.asked.table.clearSelection()
    click(page.asked.buttons["outside"])
    assert hands.foot.startswith("Select a wall in the list first")


def test_room_is_left_out_and_coated_part_by_part(sample, doc, page, tmp_path) -> None:
    doc.choose((Ref("room", "G2"),))
    rooms = page.rooms
    assert rooms.title.text() == "G2 Living room"
    assert rooms.walls.isChecked()
    click(rooms.walls)
    assert doc.state.room("G2").taken.wall_net_m2 == 0
    # strips of a wall that is not coated are not measured, but what was said of them stays
    assert rooms.reveals.isChecked()
    click(rooms.reveals)
    assert doc.state.room("G2").taken.reveal_m2 == 0
    click(rooms.ceiling)
    assert doc.state.room("G2").taken.coated_m2 == 0
    for box in (rooms.walls, rooms.ceiling, rooms.reveals):
        assert not box.isChecked()
        click(box)
    # the coving that stays on round the ceiling is as it was
    assert str(doc.state.room("G2").figures["reveal_m2"]) == "0.63"
    assert str(doc.state.room("G2").figures["coated_m2"]) == "38.98"
    assert_as_command(sample, tmp_path)


def test_skirting_coving_and_ceiling_band_of_a_room_are_typed(sample, doc, page, tmp_path) -> None:
    doc.choose((Ref("room", "G5"),))
    rooms = page.rooms
    before = nets(doc, "G5")["G5-4"]
    type_into(rooms.skirting, "0.10")
    # wall D is 3.30 m long and has no opening
    assert nets(doc, "G5")["G5-4"] == pytest.approx(before - 3.3 * 0.1)
    type_into(rooms.band, "0.5")
    assert edits.room_of(doc.job, KITCHEN).ceiling_treatment.only[0].width_mm == 500.0
    empty_field(rooms.band)
    assert edits.room_of(doc.job, KITCHEN).ceiling_treatment.only == ()
    empty_field(rooms.skirting)
    assert nets(doc, "G5")["G5-4"] == pytest.approx(before)
    assert_as_command(sample, tmp_path)


def test_job_says_what_corners_get_that_were_not_picked(sample, doc, page) -> None:
    pick(page.bead, "existing")
    assert doc.state.totals["bead_m"] == 0
    pick(page.bead, "new")
    assert doc.state.totals["bead_m"] > 20
    doc.choose((Ref("room", "G2"),))
    type_into(page.rooms.band, "0.5")
    pick(page.finish, "stop")
    edges = [e for e in doc.state.room("G2").taken.edges if e.cls == "coat_edge"]
    # the ceiling band ends open and is stopped; along coving and board of the sill there is nothing to choose
    assert {(e.ends, e.finish) for e in edges} == {("open", "stop"), ("against", "")}


# -- faces


@pytest.fixture
def faces(sample) -> FaceEditor:
    return sample.card.editors.of("side")


def test_face_is_chosen_by_a_click_near_its_wall_and_set_on_the_card(sample, doc, hands, faces, tmp_path) -> None:
    hands.click((2100.0, 60.0))
    assert doc.choice == (Ref("side", "G2-1", "G2"),)
    assert faces.isVisible()
    pick(faces.coat, "none")
    assert nets(doc, "G2")["G2-1"] == 0
    pick(faces.coat, "part")
    assert (faces.left.text(), faces.right.text()) == ("0.60", "0.60")
    type_into(faces.left, "0.40")
    empty_field(faces.right)
    # left of who stands before it is the end of the side; 2.45 m less 0.12 skirting and 0.10 coving
    assert coat_of(doc, "G2", "G2-1").end_mm == 400.0
    assert coat_of(doc, "G2", "G2-1").start_mm is None
    assert nets(doc, "G2")["G2-1"] == pytest.approx(0.4 * 2.23)
    pick(faces.coat, "whole")
    assert nets(doc, "G2")["G2-1"] == pytest.approx(2.9 * 2.23 - 2.16)
    assert_as_command(sample, tmp_path)


def test_bands_that_stay_on_are_typed_for_several_walls(sample, doc, faces) -> None:
    doc.choose((Ref("side", "G5-2", "G5"), Ref("side", "G5-4", "G5")))
    assert faces.title.text() == "2 walls"
    before = nets(doc, "G5")
    type_into(faces.skirting, "0.15")
    type_into(faces.dado_from, "0.90")
    type_into(faces.dado_to, "1.00")
    after = nets(doc, "G5")
    for side in ("G5-2", "G5-4"):
        assert after[side] == pytest.approx(before[side] - 3.3 * (0.15 + 0.10))
    assert after["G5-3"] == before["G5-3"]
    empty_field(faces.dado_to)
    assert nets(doc, "G5")["G5-4"] == pytest.approx(before["G5-4"] - 3.3 * 0.15)


def test_tiles_are_left_out_and_coated_again(sample, doc, faces, tmp_path) -> None:
    doc.choose((Ref("side", "G5-4", "G5"),))
    before = nets(doc, "G5")["G5-4"]
    click(faces.adding.begin)
    faces.adding.what.setText("tiles")
    for field, text in zip(faces.adding.fields, ("0.5", "1.20", "0.9", "0.60"), strict=True):
        type_into(field, text)
    click(faces.adding.wanted)
    assert nets(doc, "G5")["G5-4"] == pytest.approx(before - 1.2 * 0.6)
    lines = [faces.outlines.itemAt(k).widget() for k in range(faces.outlines.count())]
    assert [line.text() for line in lines] == ["×  tiles 1.20 × 0.60, 0.50 from the left, 0.90 up"]
    assert_as_command(sample, tmp_path)
    click(lines[0])
    assert nets(doc, "G5")["G5-4"] == pytest.approx(before)


def test_what_is_behind_a_wall_is_said_on_its_card(sample, doc, faces) -> None:
    doc.choose((Ref("side", "G2-3", "G2"),))
    pick(faces.behind, "outside")
    face = next(f for f in doc.state.room("G2").taken.faces if f.id == "G2-3")
    assert [b.cls for b in face.behind] == ["outside"]
    pick(faces.behind, "")
    assert side_of(doc, "G2", "G2-3").behind == ()


def test_walls_are_coated_and_left_out_by_clicks_on_the_plan(sample, doc, hands) -> None:
    hands.key(Qt.Key.Key_C)
    hands.click((2100.0, 60.0), (4600.0, 3900.0))
    assert not coat_of(doc, "G2", "G2-1").coat
    assert not coat_of(doc, "G2", "G2-7").coat
    hands.click((2100.0, 60.0))
    assert coat_of(doc, "G2", "G2-1").coat
    assert doc.stack.undoText() == "Coat 1 wall"
    hands.key(Qt.Key.Key_Escape)
    assert sample.plan.view.tool is sample.choose


def test_key_switches_the_coat_of_the_chosen_walls(sample, doc, hands) -> None:
    doc.choose((Ref("side", "G2-1", "G2"), Ref("side", "G2-2", "G2")))
    hands.key(Qt.Key.Key_K)
    assert not coat_of(doc, "G2", "G2-1").coat
    assert not coat_of(doc, "G2", "G2-2").coat
    assert doc.stack.undoText() == "Do not coat 2 walls"


# -- corners


@pytest.fixture
def corners(sample) -> CornerEditor:
    return sample.card.editors.of("corner")


def test_corner_is_picked_by_a_click_and_gets_no_bead(sample, doc, hands, corners, tmp_path) -> None:
    before = doc.state.totals["bead_m"]
    hands.click((4450.0, 1300.0))
    assert doc.choice == (Ref("corner", "G2-3|G2-4", "G2"),)
    assert corners.title.text() == "External corner of walls"
    assert corners.about.text() == "2.23 m, square profile"
    pick(corners.bead, "none")
    assert doc.state.totals["bead_m"] == before - Decimal("2.23")
    assert doc.stack.undoText() == "No bead: 1 corner"
    assert_as_command(sample, tmp_path)
    click(corners.as_job)
    assert doc.state.totals["bead_m"] == before


def test_shift_picks_more_corners(sample, doc, hands, corners) -> None:
    hands.click((4450.0, 1300.0))
    hands.click((4450.0, 2700.0), keys=SHIFT)
    assert corners.title.text() == "2 × External corner of walls"
    pick(corners.bead, "existing")
    beads = {e.id: e.bead for e in doc.state.room("G2").taken.edges if e.cls == "external"}
    assert beads["G2-3|G2-4"] == beads["G2-4|G2-5"] == "existing"
    assert beads["G2-1|W1.head"] == "new"


def test_box_picks_every_corner_in_it(sample, doc, hands) -> None:
    hands.key(Qt.Key.Key_X)
    hands.drag((4300.0, 1000.0), (4400.0, 1500.0), (4900.0, 3000.0))
    assert {ref.id for ref in doc.choice} == {"G2-2|G2-3", "G2-3|G2-4", "G2-4|G2-5", "G2-5|G2-6"}
    hands.click((2450.0, 0.0))
    assert doc.choice == (Ref("corner", "G2-1|W1.start", "G2"),)


def test_all_external_corners_of_the_room_at_once(sample, doc, hands, corners) -> None:
    doc.choose((Ref("room", "G2"),))
    hands.key(Qt.Key.Key_X, SHIFT)
    assert len(doc.choice) == 5
    assert corners.title.text() == "5 corners"
    pick(corners.bead, "none")
    assert doc.state.room("G2").figures["bead_m"] == 0
    assert len(doc.choice) == 5
    pick(corners.group, "coat_edge")
    click(corners.of_room)
    # all of it lies against the coving or the board of a sill, so nothing is finished
    assert not corners.finish.isVisible()
    assert not corners.bead.isVisible()


def test_open_ends_of_the_room_are_finished_by_hand(sample, doc, corners) -> None:
    doc.apply("Band", lambda job: edits.set_ceiling_band(job, RoomId("G5"), 500.0))
    doc.choose((Ref("room", "G5"),))
    corners.choose_group("external", ("G5",))
    pick(corners.group, "open")
    click(corners.of_room)
    assert corners.finish.isVisible()
    assert not corners.bead.isVisible()
    pick(corners.finish, "trim")
    edges = [e for e in doc.state.room("G5").taken.edges if e.cls == "coat_edge"]
    assert {e.finish for e in edges if e.ends == "open"} == {"trim"}
    assert {e.finish for e in edges if e.ends != "open"} <= {""}


def test_corner_that_goes_with_its_opening_is_let_go_of(sample, doc, corners, hands) -> None:
    hands.click((2450.0, 0.0))
    assert corners.title.text() == "External corner round an opening"
    pick(corners.bead, "existing")
    doc.apply("delete", lambda job: edits.remove_opening(job, OpeningId("W1")))
    assert corners.title.text() == "This corner is no longer there"
    assert all(f.code != "picked-corner-gone" for f in doc.findings)


def test_arris_without_new_bead_is_marked_otherwise_on_the_plan(sample, doc) -> None:
    def marks() -> list[tuple[str, tuple[float, ...]]]:
        return [(shape.stroke, shape.dash_mm) for shape in sample.plan.items.pieces["marks:G2"].shapes]

    before = marks()
    doc.apply("pick", lambda job: edits.pick_corners(job, {LIVING: ("G2-3|G2-4",)}, bead="existing"))
    assert len(marks()) == len(before) + 1
    assert marks()[-1][1] != ()


# -- the wall strip


def spot_on(strip, letter: str, u_mm: float, z_mm: float):
    face, box = next((f, b) for f, b in strip.boxes() if f.letter == letter)
    return strip._to_px(face, box).map(QPointF(u_mm, z_mm)).toPoint()


@pytest.fixture
def strip(sample, doc):
    doc.choose((Ref("room", "G2"),))
    return sample.strip.faces


def drag(strip, start, *places, keys=Qt.KeyboardModifier.NoModifier) -> None:
    from PySide6.QtCore import QEvent
    from PySide6.QtGui import QMouseEvent
    from PySide6.QtWidgets import QApplication

    QTest.mousePress(strip, LEFT, keys, start)
    for place in places:
        at = QPointF(place)
        everywhere = QPointF(strip.mapToGlobal(place))
        QApplication.sendEvent(
            strip, QMouseEvent(QEvent.Type.MouseMove, at, everywhere, Qt.MouseButton.NoButton, LEFT, keys)
        )


def test_tick_under_a_face_switches_its_coat(sample, doc, strip, tmp_path) -> None:
    face, box = next((f, b) for f, b in strip.boxes() if f.letter == "G")
    QTest.mouseClick(strip, LEFT, pos=tick_box(face, box, strip.height()).center().toPoint())
    assert not coat_of(doc, "G2", "G2-7").coat
    assert next(f for f, _ in strip.boxes() if f.letter == "G").coat == "none"
    assert doc.choice == (Ref("room", "G2"),)
    assert_as_command(sample, tmp_path)
    QTest.mouseClick(strip, LEFT, pos=tick_box(face, box, strip.height()).center().toPoint())
    assert coat_of(doc, "G2", "G2-7").coat


def test_face_that_is_coated_in_part_has_a_dash(doc, strip) -> None:
    doc.apply("part", lambda job: edits.set_returns(job, {LIVING: (SideId("G2-7"),)}, 600.0, None))
    assert {f.letter: f.coat for f, _ in strip.boxes()}["G"] == "part"


def test_window_is_dragged_along_and_up_in_elevation(sample, doc, strip, tmp_path) -> None:
    start = spot_on(strip, "A", 1450.0, 1500.0)
    end = spot_on(strip, "A", 1850.0, 1800.0)
    drag(strip, start, (start + end) / 2, end)
    assert strip.drag is not None
    words = [text for _, _, text in strip.drag.lengths()]
    assert len(words) == 3
    assert not strip.grab().isNull()
    QTest.mouseRelease(strip, LEFT, pos=end)
    moved = edits.opening_of(doc.job, OpeningId("W1"))
    px = 1.0 / strip.scale()
    assert moved.offset_mm == pytest.approx(950.0, abs=px + 10.0)
    assert moved.sill_mm == pytest.approx(1200.0, abs=px + 10.0)
    assert moved.head_mm - moved.sill_mm == 1200.0
    assert float(words[0]) == pytest.approx(moved.offset_mm / 1000.0)
    assert float(words[2]) == pytest.approx(moved.sill_mm / 1000.0)
    assert moved.offset_mm % 10.0 == pytest.approx(0.0, abs=1e-6)
    assert doc.stack.count() == 1
    assert doc.choice == (Ref("opening", "W1", "G2"),)
    assert_as_command(sample, tmp_path)


def test_level_drag_leaves_the_sill_where_it_is(doc, strip) -> None:
    start, end = spot_on(strip, "A", 1450.0, 1500.0), spot_on(strip, "A", 1750.0, 1520.0)
    drag(strip, start, end)
    QTest.mouseRelease(strip, LEFT, pos=end)
    moved = edits.opening_of(doc.job, OpeningId("W1"))
    assert moved.offset_mm != 550.0
    assert moved.sill_mm == 900.0


def test_door_seen_from_the_other_room_is_dragged_there(sample, doc, strip, tmp_path) -> None:
    # D2 belongs to the hall and shows in wall H of the living room, 2.50 to 3.30 m along it
    start, end = spot_on(strip, "H", 2900.0, 1200.0), spot_on(strip, "H", 2600.0, 1200.0)
    drag(strip, start, end)
    QTest.mouseRelease(strip, LEFT, pos=end)
    moved = edits.opening_of(doc.job, OpeningId("D2"))
    assert moved.room == "G1"
    assert moved.offset_mm > 900.0
    face = next(f for f, _ in strip.boxes() if f.letter == "H")
    assert face.openings[0].from_mm < 2300.0
    assert moved.sill_mm == 0.0
    assert_as_command(sample, tmp_path)


def test_escape_leaves_a_dragged_opening_where_it_was(doc, strip) -> None:
    start, end = spot_on(strip, "A", 1450.0, 1500.0), spot_on(strip, "A", 1750.0, 1500.0)
    drag(strip, start, end)
    QTest.keyClick(strip, Qt.Key.Key_Escape)
    QTest.mouseRelease(strip, LEFT, pos=end)
    assert edits.opening_of(doc.job, OpeningId("W1")).offset_mm == 550.0
    assert doc.stack.count() == 0


def test_arrow_keys_move_a_chosen_opening_and_space_switches_a_face(doc, strip) -> None:
    doc.choose((Ref("opening", "W1", "G2"),))
    strip.setFocus()
    QTest.keyClick(strip, Qt.Key.Key_Left)
    assert edits.opening_of(doc.job, OpeningId("W1")).offset_mm == 560.0
    QTest.keyClick(strip, Qt.Key.Key_Right, SHIFT)
    assert edits.opening_of(doc.job, OpeningId("W1")).offset_mm == 460.0
    QTest.keyClick(strip, Qt.Key.Key_Up)
    assert edits.opening_of(doc.job, OpeningId("W1")).sill_mm == 910.0
    doc.choose((Ref("side", "G2-1", "G2"),))
    QTest.keyClick(strip, Qt.Key.Key_Space)
    assert not coat_of(doc, "G2", "G2-1").coat


def test_part_of_a_ceiling_is_left_out_by_two_clicks_and_coated_again(sample, doc, hands, page, tmp_path) -> None:
    before = doc.state.room("G2").taken.ceiling_m2
    sample.acts.do("leave-ceiling-out")
    hands.click((2600.0, 2000.0), (3600.0, 2600.0))
    gone = before - doc.state.room("G2").taken.ceiling_m2
    px_m = 1.0 / sample.plan.view.px_per_mm / 1000.0
    assert gone == pytest.approx(1.0 * 0.6, abs=4 * px_m)
    assert sample.sides.current == "coat"
    line = page.rooms.outlines.itemAt(0).widget()
    assert line.text().startswith("×  ceiling, masked 1.0")
    assert_as_command(sample, tmp_path)
    click(line)
    assert doc.state.room("G2").taken.ceiling_m2 == pytest.approx(before)


def test_corner_under_the_pointer_is_named(sample, hands) -> None:
    from takeoff.ui.tools.tool_preview import Readout

    hands.key(Qt.Key.Key_X)
    hands.move((4450.0, 1300.0))
    shown = next(r for r in sample.plan.view.findChildren(Readout) if r.isVisible())
    assert "External corner of walls" in shown.text().replace("&nbsp;", " ")
    assert "2.23 m, square profile, new bead" in shown.text()
    hands.move((3000.0, 2000.0))
    assert not shown.isVisible()
