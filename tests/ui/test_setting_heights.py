"""Heights in the window: storey, room, corner, slopes, build-ups; on their page and on the plan."""

from __future__ import annotations

import math

import pytest
from by_command import assert_as_command
from hands import empty_field, pick, type_into
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from takeoff.plan import edits
from takeoff.plan.model import RoomId
from takeoff.ui.document import Ref

LEFT = Qt.MouseButton.LeftButton
G1 = RoomId("G1")


@pytest.fixture
def page(sample):
    sample.acts.do("heights")
    sample.document.choose((Ref("room", "G1"),))
    assert sample.sides.current == "heights"
    return sample.sides.page("heights")


@pytest.fixture
def figures(sample):
    """The heights that are written on the plan."""
    return sample.findChild(object, "heights").figures.words


def taken(doc, room: str = "G1"):
    return doc.state.room(room).taken


def test_storey_height_moves_the_rooms_that_follow_it(sample, doc, page, tmp_path) -> None:
    kitchen = taken(doc, "G5").wall_gross_m2
    type_into(page.storey_height, "2.60")
    # the hall is 1.80 by 5.00
    assert taken(doc).wall_gross_m2 == pytest.approx(13.6 * 2.6)
    assert taken(doc, "G5").wall_gross_m2 == kitchen
    assert page.storey_says.text().startswith("Typed, 4 rooms follow it")
    assert doc.stack.undoText() == "Storey 2.60 m high"
    assert_as_command(sample, tmp_path)


def test_room_height_and_back_to_the_storeys(doc, page) -> None:
    assert page.room_height.text() == ""
    assert page.room_height.placeholderText() == "storey"
    type_into(page.room_height, "2700")
    assert taken(doc).wall_gross_m2 == pytest.approx(13.6 * 2.7)
    assert page.says.text() == "Level at 2.70 m, its own."
    assert page.room_height.text() == "2.70"
    empty_field(page.room_height)
    assert taken(doc).wall_gross_m2 == pytest.approx(13.6 * 2.45)
    assert edits.room_of(doc.job, G1).ceiling is None


def test_kitchen_keeps_its_boxing_when_it_is_as_high_as_its_storey_again(doc, page) -> None:
    doc.choose((Ref("room", "G5"),))
    type_into(page.room_height, "2.60")
    empty_field(page.room_height)
    ceiling = edits.room_of(doc.job, RoomId("G5")).ceiling
    assert ceiling.planes[0].z_mm == 2450.0
    assert [region.what for region in ceiling.regions] == ["boxing"]


def test_build_ups_of_a_room_and_of_all_rooms(doc, page) -> None:
    type_into(page.screed, "65")
    type_into(page.lining, "12.5 mm")
    assert taken(doc).wall_gross_m2 == pytest.approx(13.6 * (2.45 - 0.0775))
    assert page.finished.text() == "Finished: 2.37 m from floor to ceiling."
    QTest.mouseClick(page.everywhere, LEFT)
    assert doc.stack.undoText() == "Set build-ups of the storey"
    rooms = doc.job.storeys[0].rooms
    assert {(r.floor_build_up_mm, r.ceiling_build_up_mm) for r in rooms} == {(65.0, 12.5)}
    # the attic is another storey
    assert {r.floor_build_up_mm for r in doc.job.storeys[1].rooms} == {0.0}


def test_sunken_floor(doc, page) -> None:
    type_into(page.floor, "-0.30")
    assert taken(doc).wall_gross_m2 == pytest.approx(13.6 * 2.75)


def test_slopes_by_eaves_and_pitch_then_by_the_ridge(doc, page) -> None:
    form = page.slopes
    pick(form.form, "two")
    pick(form.wall, "G1-2")
    type_into(form.eaves, "2.0")
    type_into(form.pitch, "45")
    QTest.mouseClick(form.set_button, LEFT)
    # 1.80 wide: two slopes of 0.9 · √2
    assert taken(doc).ceiling_m2 == pytest.approx(2 * 0.9 * math.sqrt(2) * 5.0)
    assert taken(doc).height_max_mm == pytest.approx(2900.0)
    assert doc.stack.undoText() == "Set the slopes"
    type_into(form.top, "3.2")
    # the one that is typed last counts
    assert form.pitch.text() == ""
    QTest.mouseClick(form.set_button, LEFT)
    assert taken(doc).height_max_mm == pytest.approx(3200.0)
    assert taken(doc).ceiling_m2 == pytest.approx(2 * 1.5 * 5.0)
    # and is shown as a pitch: 1.2 up over 0.9
    assert form.pitch.degrees == pytest.approx(53.13)


def test_level_piece_and_one_slope(doc, page) -> None:
    form = page.slopes
    pick(form.form, "one")
    assert not form.other.isVisible()
    pick(form.wall, "G1-4")
    type_into(form.eaves, "2.0")
    type_into(form.pitch, "45")
    type_into(form.flat, "2.9")
    QTest.mouseClick(form.set_button, LEFT)
    assert taken(doc).ceiling_m2 == pytest.approx((0.9 * math.sqrt(2) + 0.9) * 5.0)
    assert page.says.text() == "One slope of 45.0° and a level piece, 2.00 to 2.90 m high."


def test_slopes_that_cannot_be_say_why(doc, page, hands) -> None:
    form = page.slopes
    type_into(form.top, "1.0")
    QTest.mouseClick(form.set_button, LEFT)
    assert "not upwards" in hands.foot
    assert doc.stack.count() == 0


def test_chosen_wall_is_taken_for_the_eaves(doc, page) -> None:
    doc.choose((Ref("side", "G1-3", "G1"),))
    assert page.slopes.wall.currentData() == "G1-3"
    assert page.title.text() == "G1 Hall"


def test_one_corner_higher_and_then_another(doc, page, figures) -> None:
    type_into(page.corners["G1-3"], "2.75")
    assert page.told.text() == "2 planes that meet in ridges and hips, within 0 mm of the heights."
    assert taken(doc).wall_gross_m2 == pytest.approx(1.8 * 2.45 + 5 * 2.6 + 1.8 * 2.6 + 5 * 2.45)
    assert sorted(figures) == ["2.45", "2.45", "2.45", "2.75"]
    type_into(page.corners["G1-4"], "2.75")
    assert page.told.text() == "One plane, within 0 mm of the heights."
    assert doc.stack.count() == 2


def test_three_corners_typed_and_the_fourth_follows(doc, page) -> None:
    pick(page.others, "follow")
    type_into(page.corners["G1-1"], "2.40")
    type_into(page.corners["G1-2"], "2.58")
    type_into(page.corners["G1-3"], "3.08")
    # 0.18 across, 0.50 along: the fourth is 2.40 + 0.50
    assert page.corners["G1-4"].text() == "2.90"


def test_heights_that_do_not_fit_are_told_on_the_page_and_nothing_changes(doc, page) -> None:
    doc.choose((Ref("room", "G2"),))
    type_into(page.corners["G2-4"], "2.20")
    assert page.told.text().startswith("The heights disagree: at the corner 4.45, 1.30")
    assert page.told.property("part") == "urgent"
    assert doc.stack.count() == 0
    assert page.corners["G2-4"].text() == "2.20"
    assert page.corners["G2-4"].refusal.startswith("The heights disagree")


def test_corner_is_clicked_on_the_plan_and_its_height_typed(sample, doc, hands, page) -> None:
    sample.acts.do("corner-height")
    hands.click((30, 30))
    assert "2.450 m" in hands.read
    hands.type("2.80")
    assert edits.corner_heights(doc.job, G1)["G1-1"] == pytest.approx(2800.0)
    assert doc.stack.undoText() == "Set the ceiling to 2.800 m at a corner"
    # the tool stays for the next corner
    hands.click((1780, 30))
    hands.type("2800")
    assert edits.corner_heights(doc.job, G1)["G1-2"] == pytest.approx(2800.0)
    assert len(edits.room_of(doc.job, G1).ceiling.planes) == 1


def test_heights_stand_at_the_corners_while_the_page_is_there(sample, doc, page, figures) -> None:
    assert figures == []
    doc.choose((Ref("room", "A2"),))
    assert sorted(figures) == ["0.20", "0.20", "1.10", "1.10"]
    sample.space.set_theme("dark")
    assert len(figures) == 4
    sample.sides.show_page("card")
    assert figures == []


def test_parts_of_a_ceiling_are_taken_out_from_the_page(doc, page) -> None:
    doc.choose((Ref("room", "G5"),))
    (line,) = page.parts.lines
    assert line.text() == "×  boxing, 0.40 × 3.30 m"
    QTest.mouseClick(line, LEFT)
    assert edits.room_of(doc.job, RoomId("G5")).ceiling.regions == ()
    assert not page.parts_title.isVisible()


def test_menu_goes_to_slopes_and_build_ups(sample, doc, page) -> None:
    sample.activateWindow()
    sample.acts.do("slopes")
    assert page.slopes.eaves.selectedText() == "1.20"
    sample.acts.do("build-ups")
    assert page.screed.selectedText() == "0.00"


def test_page_without_a_room_says_what_to_do(doc, page) -> None:
    doc.choose(())
    assert page.hint.isVisible()
    assert not page.title.isVisible()


def test_page_fits_its_column_whatever_the_room(doc, page) -> None:
    for room in ("G1", "G2", "A1"):
        doc.choose((Ref("room", room),))
        inner = page._scroll.widget()
        assert inner.minimumSizeHint().width() <= page._scroll.viewport().width()


@pytest.mark.parametrize("text", ["2.4", "2400", "2,4", "2.4 m"])
def test_height_means_the_same_as_at_the_command(doc, page, text: str) -> None:
    from takeoff.cli.options import size
    from takeoff.units.lengths import STOREY_HEIGHT

    type_into(page.storey_height, "2.75")
    type_into(page.storey_height, text)
    assert doc.storey.height_mm == size(STOREY_HEIGHT)(None, None, text) == 2400.0


@pytest.mark.parametrize("text", ["24000", "24", "240", "2.4 mm"])
def test_height_that_cannot_be_is_refused_with_what_is_meant(doc, page, text: str) -> None:
    told: list[str] = []
    doc.refused.connect(told.append)
    page.storey_height.refused.connect(told.append)
    before = doc.job
    type_into(page.storey_height, text)
    assert doc.job is before
    assert any(f"“{text}” would be " in said and said.endswith("did you mean 2.4 m?") for said in told)
    # what was typed stays, with the reason beside it
    assert page.storey_height.text() == text
    assert page.storey_height.refusal == told[-1]
