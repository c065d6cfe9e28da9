"""Quick parts in the window: dimensions typed on their page, a click on the plan, one undo each."""

from __future__ import annotations

import pytest
from by_command import assert_as_command
from hands import pick, type_into
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from takeoff.plan import edits
from takeoff.plan.model import RoomId
from takeoff.ui.document import Ref
from takeoff.views.quick_parts import KINDS

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def page(sample):
    sample.acts.do("parts")
    assert sample.sides.current == "parts"
    return sample.sides.page("parts")


def figure(doc, room: str, name: str) -> float:
    return getattr(doc.state.room(room).taken, name)


def room_of(doc, room: str):
    return edits.room_of(doc.job, RoomId(room))


def choose(page, kind: str) -> None:
    QTest.mouseClick(page.chips[kind], LEFT)


def test_boxing_with_typed_dimensions_by_one_click_in_a_corner(sample, doc, page, hands, tmp_path) -> None:
    floor, walls = figure(doc, "G1", "floor_m2"), figure(doc, "G1", "external_corner_m")
    choose(page, "boxing")
    form = page.forms["boxing"]
    type_into(form.fields["along"], "400 mm")
    type_into(form.fields["deep"], "0.25")
    # the lower left corner of the hall
    hands.click((60, 60))
    assert doc.stack.count() == 1
    assert doc.stack.undoText() == "Place boxing in a corner"
    assert figure(doc, "G1", "floor_m2") == pytest.approx(floor - 0.1)
    assert figure(doc, "G1", "external_corner_m") > walls
    # the next is placed from the same page
    assert sample.sides.current == "parts"
    assert doc.choice == (Ref("room", "G1"),)
    assert_as_command(sample, tmp_path)
    sample.acts.do("undo")
    assert figure(doc, "G1", "floor_m2") == pytest.approx(floor)


def test_it_is_shown_as_it_would_stand_before_it_is_placed(sample, doc, page, hands) -> None:
    choose(page, "bulkhead")
    hands.move((2400, 8380))
    tool = sample.plan.view.tool
    # a strip along the kitchen's back wall, which the boxing there crosses
    assert "would cross what is there (boxing)" in hands.read
    hands.move((60, 7000))
    assert tool.preview.words == ["3.300", "0.300"]
    assert doc.stack.count() == 0
    type_into(page.forms["bulkhead"].fields["out"], "0.5")
    assert tool.preview.words == ["3.300", "0.500"]


def test_bulkhead_along_a_wall(doc, page, hands) -> None:
    choose(page, "bulkhead")
    drop = figure(doc, "G5", "drop_m2")
    hands.click((60, 7000))
    # 0.25 down along 3.30
    assert figure(doc, "G5", "drop_m2") == pytest.approx(drop + 3.3 * 0.25)
    assert [line.text() for line in page.parts.lines][0:2] == ["×  boxing, 0.40 × 3.30 m", "×  bulkhead, 0.30 × 3.30 m"]
    QTest.mouseClick(page.parts.lines[1], LEFT)
    assert figure(doc, "G5", "drop_m2") == pytest.approx(drop)
    assert doc.stack.undoText() == "Remove a part: bulkhead"


def test_chimney_breast_where_it_is_clicked_and_by_a_typed_alcove(doc, page, hands) -> None:
    choose(page, "breast")
    hands.click((20, 2500))
    sides = {s.id: (s.x_mm, s.y_mm) for s in room_of(doc, "G1").outline}
    # 1.40 wide about y 2500, 0.35 out from x = 0
    assert (350.0, 3200.0) in sides.values()
    assert (350.0, 1800.0) in sides.values()
    doc.stack.undo()
    type_into(page.forms["breast"].fields["left"], "1.00")
    hands.click((20, 2500))
    places = {(round(s.x_mm), round(s.y_mm)) for s in room_of(doc, "G1").outline}
    # as one stands before the wall at x = 0, left is where y is small
    assert {(350, 1000), (350, 2400)} <= places


def test_units_from_here_to_there_round_a_corner(doc, page, hands) -> None:
    choose(page, "units")
    net = figure(doc, "G5", "wall_net_m2")
    hands.click((30, 7000))
    assert "Click where it ends" in hands.foot
    hands.click((30, 6000))
    assert doc.stack.count() == 1
    assert figure(doc, "G5", "wall_net_m2") == pytest.approx(net - 1.0 * 0.9)
    hands.click((30, 5600), (400, 5120))
    assert figure(doc, "G5", "wall_net_m2") == pytest.approx(net - 0.9 - 0.9 * (0.5 + 0.4))


def test_typed_length_of_units_and_of_a_dwarf_wall(doc, page, hands) -> None:
    choose(page, "units")
    net = figure(doc, "G5", "wall_net_m2")
    hands.click((30, 7000))
    hands.move((30, 6500))
    hands.type("1.25")
    assert figure(doc, "G5", "wall_net_m2") == pytest.approx(net - 1.25 * 0.9)
    choose(page, "dwarf")
    pick(page.forms["dwarf"].choice, "1")
    hands.click((1500, 6000))
    hands.move((2500, 6010))
    hands.type("2")
    (region,) = room_of(doc, "G5").floor.regions
    assert (region.coat_sides, region.coat_face) == (True, False)
    xs, ys = ([round(v[k]) for v in region.outline] for k in (0, 1))
    assert (min(xs), max(xs), min(ys), max(ys)) == (1500, 3500, 5950, 6050)


def test_tiles_on_a_wall_and_round_the_room(doc, page, hands) -> None:
    choose(page, "tiles")
    hands.click((2000, 4600))
    assert doc.stack.count() == 1
    type_into(page.forms["tiles"].fields["height"], "2.0")
    pick(page.forms["tiles"].choice, "1")
    hands.click((2000, 4600))
    excluded = [
        e for s in room_of(doc, "G3").outline if s.treatment for e in s.treatment.exclusions if e.what == "tiles"
    ]
    assert len(excluded) == 4
    assert {e.outline[2][1] for e in excluded} == {2000.0}


def test_dormer_in_the_slope_of_the_attic_and_none_under_a_level_ceiling(sample, doc, page, hands) -> None:
    choose(page, "dormer")
    hands.click((900, 2500))
    assert "level here" in hands.read
    doc.show_storey("attic")
    type_into(page.forms["dormer"].fields["height"], "2.0")
    drop = figure(doc, "A1", "drop_m2")
    hands.click((1000, 6000))
    # its front is the eaves wall: two cheeks of ½ × 0.8 × 0.8
    assert figure(doc, "A1", "drop_m2") == pytest.approx(drop + 0.64)


def test_stair_soffit_rises_the_way_that_is_chosen(doc, page, hands) -> None:
    choose(page, "soffit")
    form = page.forms["soffit"]
    type_into(form.fields["run"], "2.5")
    hands.click((20, 4000))
    (region,) = room_of(doc, "G1").ceiling.regions
    # before the wall at x = 0 left is where y is small: it rises downwards on the plan
    assert region.planes[0].slope_y == pytest.approx(-2450.0 / 2500.0)
    doc.stack.undo()
    pick(form.choice, "1")
    hands.click((20, 1000))
    (region,) = room_of(doc, "G1").ceiling.regions
    assert region.planes[0].slope_y == pytest.approx(2450.0 / 2500.0)


def test_part_that_cannot_stand_there_says_why_and_changes_nothing(doc, page, hands) -> None:
    choose(page, "breast")
    type_into(page.forms["breast"].fields["width"], "3.5")
    hands.click((2000, 4600))
    assert "make it narrower" in hands.read
    assert doc.stack.count() == 0


def test_escape_lets_go_of_the_first_end_and_then_of_the_tool(sample, doc, page, hands) -> None:
    choose(page, "dwarf")
    hands.click((1500, 6000))
    assert sample.plan.view.tool.begun
    hands.key(Qt.Key.Key_Escape)
    assert not sample.plan.view.tool.begun
    assert sample.plan.view.tool is not sample.choose
    hands.key(Qt.Key.Key_Escape)
    assert sample.plan.view.tool is sample.choose


def test_undo_takes_the_first_end_back_first(sample, doc, page, hands) -> None:
    choose(page, "dwarf")
    hands.click((1500, 6000), (2500, 6000))
    hands.click((1500, 7000))
    QTest.keyClick(hands.view, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert doc.stack.count() == 1
    assert not sample.plan.view.tool.begun


def test_every_part_is_found_by_its_name(sample, doc) -> None:
    for kind in KINDS:
        sample.acts.do(f"part-{kind.id}")
        assert sample.plan.view.tool.kind is kind
        assert sample.sides.page("parts").title.text() == kind.name
        assert sample.acts.q(f"part-{kind.id}").isChecked()


def test_wrong_length_is_told_beside_what_was_typed_and_the_old_one_counts(sample, page, hands) -> None:
    choose(page, "bulkhead")
    field = page.forms["bulkhead"].fields["out"]
    type_into(field, "wide")
    assert field.text() == "wide"
    assert field.refusal
    assert page.forms["bulkhead"].values["out"] == 300.0
    assert "wide" in hands.foot or "wide" in hands.read
