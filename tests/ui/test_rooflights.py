"""Rooflights in the window: placed by a click on a ceiling, set on the card, dragged, deleted."""

from __future__ import annotations

import pytest
from hands import type_into
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from takeoff.plan import edits
from takeoff.plan.model import OpeningId
from takeoff.ui.document import Ref
from takeoff.ui.panels.opening_editor import RooflightEditor

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def doc(sample):
    sample.document.show_storey("attic")
    return sample.document


def lights(doc) -> tuple[str, ...]:
    return tuple(str(light.id) for light in doc.storey.rooflights)


def light(doc, name: str = "RL1"):
    return edits.rooflight_of(doc.job, OpeningId(name))


def figure(doc, name: str) -> float:
    return getattr(doc.state.room("A1").taken, name)


def editor(sample) -> RooflightEditor:
    return sample.card.editors.of("rooflight")


def test_rooflight_is_placed_in_a_slope_by_typed_sizes_and_one_click(sample, doc, hands) -> None:
    sample.acts.do("part-rooflight")
    page = sample.sides.page("parts")
    form = page.forms["rooflight"]
    type_into(form.fields["width"], "0.5")
    type_into(form.fields["length"], "0.7")
    type_into(form.fields["depth"], "0.2")
    ceiling, reveals = figure(doc, "ceiling_m2"), figure(doc, "reveal_m2")
    hands.click((3800, 1900))
    assert doc.stack.undoText() == "Place a rooflight"
    assert lights(doc) == ("RL1", "r1")
    # 0.5 × 0.7 m in the slope, its shaft 2 × (0.5 + 0.7) × 0.2
    assert figure(doc, "ceiling_m2") == pytest.approx(ceiling - 0.35)
    assert figure(doc, "reveal_m2") == pytest.approx(reveals + 0.48)
    doc.stack.undo()
    assert lights(doc) == ("RL1",)


def test_rooflight_that_would_leave_its_room_says_so_and_changes_nothing(sample, doc, hands) -> None:
    sample.acts.do("part-rooflight")
    hands.click((4700, 1900))
    assert "would leave its room" in hands.read
    assert doc.stack.count() == 0


def test_chosen_rooflight_shows_its_sizes_in_the_slope_and_takes_others(sample, doc, hands) -> None:
    hands.click((2200, 1900))
    assert doc.choice == (Ref("rooflight", "RL1", "A1"),)
    form = editor(sample)
    assert form.isVisible()
    # 0.8 in plan at 45°
    assert (form.width_field.text(), form.length_field.text(), form.shaft.text()) == ("0.80", "1.131", "0.25")
    type_into(form.shaft, "0.4")
    assert light(doc).depth_mm == 400.0
    assert doc.stack.undoText() == "Set the shaft of a rooflight"
    type_into(form.width_field, "1.0")
    assert edits.rooflight_size(doc.job, OpeningId("RL1"))[0] == pytest.approx(1000.0)
    type_into(form.mark, "RL9")
    assert light(doc).mark == "RL9"
    reveals = figure(doc, "reveal_m2")
    QTest.mouseClick(form.coat, LEFT, pos=form.coat.rect().topLeft() + form.coat.rect().center() / 8)
    assert not light(doc).coat
    assert figure(doc, "reveal_m2") < reveals
    type_into(form.length_field, "9")
    assert "would leave its room" in hands.foot
    assert form.length_field.text() == "9"
    assert form.length_field.refusal == hands.foot


def test_rooflight_is_dragged_with_one_undo_and_not_out_of_its_room(sample, doc, hands) -> None:
    before = light(doc).outline
    hands.drag((2200, 1900), (2600, 1900), (3203, 1899))
    assert doc.stack.undoText() == "Move a rooflight"
    assert [(x - a, y - b) for (x, y, _), (a, b, _) in zip(light(doc).outline, before, strict=True)] == [(1000, 0)] * 4
    assert doc.choice == (Ref("rooflight", "RL1", "A1"),)
    hands.drag((3200, 1900), (3600, 1900), (4600, 1900))
    assert "would leave its room" in hands.foot
    assert doc.stack.count() == 1


def test_rooflight_is_deleted_by_its_button_and_by_del(sample, doc, hands) -> None:
    hands.click((2200, 1900))
    QTest.mouseClick(editor(sample).remove, LEFT)
    assert lights(doc) == ()
    assert doc.stack.undoText() == "Delete a rooflight"
    doc.stack.undo()
    hands.click((2200, 1900))
    hands.key(Qt.Key.Key_Delete)
    assert lights(doc) == ()


def test_rooflight_that_is_asked_about_is_taken_in_on_its_card(sample, doc, hands) -> None:
    doc.apply("Doubt it", lambda job: edits.set_opening_confidence(job, OpeningId("RL1"), "check"))
    hands.click((2200, 1900))
    form = editor(sample)
    assert form.asked.isVisible()
    QTest.mouseClick(form.accept, LEFT)
    assert light(doc).confidence == "sure"
    assert not form.asked.isVisible()
