"""Choosing by click, with Shift, by a box, from a table and in the wall strip; panning and zooming."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication

from takeoff.ui.document import Ref

SAMPLES = Path(__file__).parents[2] / "sample_plans"


def spot_of(window, name: str) -> QPoint:
    pieces = window.plan.items.pieces.values()
    at = next(p.words.at for p in pieces if p.words is not None and p.words.name.endswith(name))
    return window.plan.view.spot(at)


def test_shift_adds_a_room_and_takes_it_away_again(sample, qtbot) -> None:
    port, shift = sample.plan.view.viewport(), Qt.KeyboardModifier.ShiftModifier
    qtbot.mouseClick(port, Qt.MouseButton.LeftButton, pos=spot_of(sample, "Hall"))
    qtbot.mouseClick(port, Qt.MouseButton.LeftButton, shift, spot_of(sample, "Kitchen"))
    assert sample.document.choice == (Ref("room", "G1"), Ref("room", "G5"))
    qtbot.mouseClick(port, Qt.MouseButton.LeftButton, shift, spot_of(sample, "Hall"))
    assert sample.document.choice == (Ref("room", "G5"),)


def test_box_takes_the_rooms_that_lie_in_it(sample, qtbot) -> None:
    port = sample.plan.view.viewport()
    qtbot.mousePress(port, Qt.MouseButton.LeftButton, pos=QPoint(3, 3))
    qtbot.mouseMove(port, QPoint(50, 60))
    sample.plan.view.mouseMoveEvent(_move(QPointF(port.width() - 3, port.height() - 3)))
    qtbot.mouseRelease(port, Qt.MouseButton.LeftButton, pos=QPoint(port.width() - 3, port.height() - 3))
    assert {ref.id for ref in sample.document.choice} == {"G1", "G2", "G3", "G4", "G5"}


def _move(at: QPointF):
    from PySide6.QtCore import QEvent
    from PySide6.QtGui import QMouseEvent

    return QMouseEvent(
        QEvent.Type.MouseMove,
        at,
        at,
        Qt.MouseButton.NoButton,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )


def test_click_on_the_band_takes_the_wall_and_on_a_window_the_window(sample, qtbot) -> None:
    port, view = sample.plan.view.viewport(), sample.plan.view
    storey = sample.document.storey
    living = next(r for r in storey.rooms if r.name == "Living room")
    first, after = living.outline[0], living.outline[1]
    near_start = (first.x_mm + 200.0, first.y_mm + 60.0)
    assert after.y_mm == first.y_mm
    qtbot.mouseClick(port, Qt.MouseButton.LeftButton, pos=view.spot(near_start))
    assert sample.document.choice == (Ref("side", str(first.id), "G2"),)
    window_of = next(o for o in storey.openings if o.side == first.id)
    middle = (first.x_mm + window_of.offset_mm + window_of.width_mm / 2, first.y_mm - 60.0)
    qtbot.mouseClick(port, Qt.MouseButton.LeftButton, pos=view.spot(middle))
    assert sample.document.choice == (Ref("opening", str(window_of.id), "G2"),)
    assert sample.card.title.text() == "G2 Living room, window W1"


def test_escape_chooses_nothing(sample, qtbot) -> None:
    sample.document.choose((Ref("room", "G1"),))
    qtbot.keyClick(sample.plan.view, Qt.Key.Key_Escape)
    assert sample.document.choice == ()


def test_row_of_the_rooms_table_shows_its_room_on_the_plan(sample, qtbot) -> None:
    qtbot.mouseClick(sample.steps.button("rooms"), Qt.MouseButton.LeftButton)
    page = sample.sides.page("rooms")
    assert sample.sides.current == "rooms"
    number = next(k for k, row in enumerate(page.table.rows.rows) if row.cells[0] == "A1 Attic room")
    box = page.table.visualRect(page.table.rows.index(number, 0))
    qtbot.mouseClick(page.table.viewport(), Qt.MouseButton.LeftButton, pos=box.center())
    assert sample.document.choice == (Ref("room", "A1"),)
    assert sample.document.storey.id == "attic"
    assert sample.sides.current == "rooms"


def test_rooms_table_ends_with_the_totals_of_the_foot(sample) -> None:
    sample.space.show_step("rooms")
    last = sample.sides.page("rooms").table.rows.rows[-1]
    assert last.cells[0] == "Total"
    assert last.cells[3] == str(sample.document.state.totals["coated_m2"])


def test_strip_shows_every_wall_and_a_click_takes_it(sample, qtbot) -> None:
    sample.document.choose((Ref("room", "G2"),))
    faces = sample.strip.faces
    boxes = faces.boxes()
    assert [face.letter for face, _ in boxes] == ["A", "B", "C", "D", "E", "F", "G", "H"]
    last, box = boxes[-1]
    beside_the_door = QPointF(box.right() - 6, box.center().y()).toPoint()
    qtbot.mouseClick(faces, Qt.MouseButton.LeftButton, pos=beside_the_door)
    assert sample.document.choice == (Ref("side", last.elevation.side, "G2"),)
    first, box = boxes[0]
    opening = first.elevation.openings[0][0]
    qtbot.mouseClick(faces, Qt.MouseButton.LeftButton, pos=box.center().toPoint())
    assert sample.document.choice == (Ref("opening", opening, "G2"),)


def test_wheel_zooms_to_the_cursor(sample) -> None:
    view = sample.plan.view
    spot = QPointF(200.0, 150.0)
    before, scale = view.plan_point(spot), view.px_per_mm
    view.wheelEvent(
        QWheelEvent(
            spot,
            spot,
            QPoint(),
            QPoint(0, 360),
            Qt.MouseButton.NoButton,
            Qt.KeyboardModifier.NoModifier,
            Qt.ScrollPhase.NoScrollPhase,
            False,
        )
    )
    assert view.px_per_mm == pytest.approx(scale * 1.2**3)
    after = view.plan_point(spot)
    px_mm = 1.0 / view.px_per_mm
    assert abs(after[0] - before[0]) <= 1.5 * px_mm
    assert abs(after[1] - before[1]) <= 1.5 * px_mm


def test_middle_drag_pans_and_home_fits_again(sample, qtbot) -> None:
    view = sample.plan.view
    start = view.plan_point(QPointF(100, 100))
    qtbot.mousePress(view.viewport(), Qt.MouseButton.MiddleButton, pos=QPoint(100, 100))
    view.mouseMoveEvent(_move(QPointF(160, 130)))
    qtbot.mouseRelease(view.viewport(), Qt.MouseButton.MiddleButton, pos=QPoint(160, 130))
    moved = view.plan_point(QPointF(160, 130))
    assert moved == pytest.approx(start, abs=1.0 / view.px_per_mm)
    sample.acts.do("fit")
    assert view.plan_point(QPointF(100, 100)) == pytest.approx(start, abs=1.0 / view.px_per_mm)
    QApplication.processEvents()


def test_plan_stays_fitted_when_the_window_grows(sample, qtbot) -> None:
    scale = sample.plan.view.px_per_mm
    sample.resize(1800, 1100)
    QApplication.processEvents()
    assert sample.plan.view.px_per_mm > scale * 1.1


def test_clicked_figure_shows_every_line_of_its_dims(sample, qtbot) -> None:
    sample.document.choose((Ref("room", "G5"),))
    row = next(row for row in sample.card.rows if row.texts[0] == "Walls")
    qtbot.mouseClick(row, Qt.MouseButton.LeftButton)
    lines = row.lines()
    assert len(lines) > 3
    assert f"{sum(result for _, result in lines)} m²" == sample.card.figures()["Walls"]


def test_layers_of_a_drawing_are_left_out_and_shown_again(window, qtbot) -> None:
    window.files.open(SAMPLES / "terrace_ground.dxf")
    window.space.show_step("drawing")
    page = window.sides.page("drawing")
    before = window.plan.linework.box()
    for box in page.boxes.values():
        box.setCurrentIndex(box.findData("off"))
        box.activated.emit(box.currentIndex())
    assert window.plan.linework.box() is None
    for box in page.boxes.values():
        box.setCurrentIndex(box.findData("on"))
        box.activated.emit(box.currentIndex())
    assert window.plan.linework.box() == before


def test_room_that_is_gone_cannot_be_chosen(sample) -> None:
    from takeoff.errors import Finding, Where

    sample.space.go_to(Finding("gone", "error", "A room that was removed.", Where(room="nowhere")))
    assert sample.document.choice == ()
    sample.document.choose((Ref("room", "G1"), Ref("side", "gone", "G1")))
    assert sample.document.choice == (Ref("room", "G1"),)
