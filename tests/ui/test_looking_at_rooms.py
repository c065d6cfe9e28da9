"""The look at a room in the window: brought up, turned, clicked, and true after every edit."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor, QImage
from PySide6.QtTest import QTest

from takeoff.plan import edits
from takeoff.plan.model import RoomId
from takeoff.ui.document import Ref
from takeoff.ui.panels.room_picture import RoomLook

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def panel(sample) -> RoomLook:
    sample.document.choose((Ref("room", "G2"),))
    sample.acts.do("room-look")
    return sample.findChild(RoomLook)


def middle_of(panel: RoomLook) -> QPoint:
    return panel.picture.rect().center()


def pixels(panel: RoomLook, colour: QColor) -> int:
    """How many px of the picture have nearly that colour."""
    image = panel.picture.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
    found = 0
    for x in range(0, image.width(), 2):
        for y in range(0, image.height() - 24, 2):
            here = image.pixelColor(x, y)
            found += (
                abs(here.red() - colour.red()) + abs(here.green() - colour.green()) + abs(here.blue() - colour.blue())
                < 60
            )
    return found


def test_look_comes_up_beside_the_strip_and_leaves_the_plan_as_it_was(sample, panel) -> None:
    assert panel.isVisible()
    assert panel.heading.text() == "G2 Living room"
    assert panel.width() >= 300
    assert panel.height() >= 220
    assert sample.strip.isVisible()
    before = sample.plan.view.height()
    QTest.mouseClick(panel.close_button, LEFT)
    assert not panel.isVisible()
    assert sample.plan.view.height() > before
    assert sample.plan.view.hasFocus()


def test_it_shows_hatched_coat_in_the_colours_of_the_theme(sample, panel) -> None:
    light = pixels(panel, sample.theme.colour("hatch"))
    assert light > 200
    sample.acts.do("dark")
    assert pixels(panel, sample.theme.colour("hatch")) > 200
    assert panel.picture.grab().toImage().pixelColor(2, 2).name() == sample.theme.colour("paper").name()
    sample.acts.do("dark")
    room = RoomId("G2")
    sample.document.apply(
        "Do not coat the walls",
        lambda job: edits.coat_sides(job, {room: edits.all_sides(edits.room_of(job, room))}, False),
    )
    # only its bead and the swatch of its key are left
    assert pixels(panel, sample.theme.colour("hatch")) < light / 4


def test_it_is_turned_by_dragging_and_by_arrow_keys(panel) -> None:
    first = panel.picture.view
    at = middle_of(panel)
    QTest.mousePress(panel.picture, LEFT, pos=at)
    QTest.mouseMove(panel.picture, at + QPoint(60, 20))
    QTest.mouseRelease(panel.picture, LEFT, pos=at + QPoint(60, 20))
    dragged = panel.picture.view
    assert (dragged.round_deg, dragged.up_deg) == (first.round_deg - 30.0, first.up_deg + 10.0)
    QTest.keyClick(panel.picture, Qt.Key.Key_Left)
    QTest.keyClick(panel.picture, Qt.Key.Key_Down)
    turned = panel.picture.view
    assert (turned.round_deg, turned.up_deg) == (dragged.round_deg - 15.0, dragged.up_deg - 15.0)
    QTest.keyClick(panel.picture, Qt.Key.Key_Home)
    assert panel.picture.view == first


def test_from_below_the_ceiling_is_seen(panel) -> None:
    surfaces = {getattr(s, "surface", "") for s in panel.picture.shapes() if hasattr(s, "fill")}
    assert "ceiling" not in surfaces
    QTest.mouseClick(panel.below, LEFT)
    surfaces = {getattr(s, "surface", "") for s in panel.picture.shapes() if hasattr(s, "fill")}
    assert "ceiling" in surfaces


def test_click_on_a_wall_or_a_window_chooses_it(sample, panel) -> None:
    spot = panel.picture.spot_of("G2-8")
    QTest.mouseClick(panel.picture, LEFT, pos=spot.toPoint())
    assert sample.document.choice == (Ref("side", "G2-8", "G2"),)
    for _ in range(6):
        QTest.keyClick(panel.picture, Qt.Key.Key_Right)
    spot = panel.picture.spot_of("W1")
    QTest.mouseClick(panel.picture, LEFT, pos=spot.toPoint())
    assert sample.document.choice == (Ref("opening", "W1", "G2"),)


def test_click_on_the_floor_chooses_the_room_and_beside_it_nothing_changes(sample, panel) -> None:
    sample.document.choose((Ref("side", "G2-8", "G2"),))
    QTest.mouseClick(panel.picture, LEFT, pos=panel.picture.spot_of("floor").toPoint())
    assert sample.document.choice == (Ref("room", "G2"),)
    QTest.mouseClick(panel.picture, LEFT, pos=QPoint(3, 3))
    assert sample.document.choice == (Ref("room", "G2"),)


def test_it_follows_the_chosen_room_and_every_edit(sample, panel) -> None:
    def fills() -> set[str]:
        return {s.fill for s in panel.picture.shapes() if hasattr(s, "fill") and s.surface.startswith("G2")}

    assert "coat" in fills()
    room = RoomId("G2")
    sample.document.apply(
        "Do not coat the walls",
        lambda job: edits.coat_sides(job, {room: edits.all_sides(edits.room_of(job, room))}, False),
    )
    # the skirting still stays on
    assert "coat" not in fills()
    sample.acts.do("undo")
    assert "coat" in fills()
    sample.document.choose((Ref("room", "A1"),))
    assert panel.heading.text() == "A1 Attic room"
    sample.document.choose(())
    assert panel.picture.look is None
    assert panel.heading.text() == "No room selected"


def test_nothing_is_worked_out_while_it_is_hidden(sample, panel) -> None:
    shown = panel.picture.look
    sample.acts.do("room-look")
    sample.document.choose((Ref("room", "G5"),))
    assert panel.picture.look is shown
    sample.acts.do("room-look")
    assert panel.picture.look.room == "G5"
