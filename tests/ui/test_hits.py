"""What a click on the plan hits: question marks where they are drawn, openings and walls from a few pixels beside."""

from __future__ import annotations

from pathlib import Path

import pytest
from hands import Hands
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDragMoveEvent, QDropEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from takeoff.plan import edits
from takeoff.plan.model import Confidence, OpeningId, RoomId
from takeoff.ui.document import Ref
from takeoff.ui.window.main_window import MainWindow

SAMPLES = Path(__file__).parents[2] / "sample_plans"


def unsure(window: MainWindow, confidence: Confidence = "check") -> None:
    """Every opening and room of the storey is asked about."""
    storey = window.document.storey
    assert storey is not None
    for opening in storey.openings:
        name = OpeningId(opening.id)
        window.document.apply("", lambda job, name=name: edits.set_opening_confidence(job, name, confidence))
    for room in storey.rooms:
        room_name = RoomId(room.id)
        window.document.apply("", lambda job, name=room_name: edits.set_room_confidence(job, name, confidence))


@pytest.mark.parametrize("zoom", [1.0, 0.45, 3.0])
def test_every_question_mark_is_hit_where_it_is_drawn(sample: MainWindow, zoom: float) -> None:
    unsure(sample)
    plan = sample.plan
    plan.view.zoom(zoom)
    marks = [
        (
            tuple(name.split(":", 1)),
            plan.view.mapFromScene(item.scenePos()) + item.childItems()[0].boundingRect().center().toPoint(),
        )
        for name, shown in plan.items._shown.items()
        for item in shown.asks
    ]
    assert len(marks) > 8
    seen = set()
    for (kind, name), spot in marks:
        if not plan.view.viewport().rect().contains(spot):
            continue
        for dx, dy in ((0, 0), (6, 0), (0, -6), (-3, 3)):
            sample.document.choose(())
            QTest.mouseClick(plan.view.viewport(), Qt.MouseButton.LeftButton, pos=spot + type(spot)(dx, dy))
            (chosen,) = sample.document.choice
            hit = (chosen.kind, chosen.id)
            drawn_there = {
                other for other, at in marks if other != (kind, name) and (at - spot).manhattanLength() <= 20
            }
            assert hit == (kind, name) or hit in drawn_there, (zoom, kind, name, hit)
        seen.add(kind)
    assert seen == {"room", "opening"}


@pytest.mark.parametrize("px_per_mm", [0.02, 0.05, 0.3])
def test_openings_are_hit_in_the_middle_of_their_wall_and_a_few_pixels_beside(
    sample: MainWindow, px_per_mm: float
) -> None:
    plan, view = sample.plan, sample.plan.view
    view.zoom(px_per_mm / view.px_per_mm)
    storey = sample.document.storey
    assert storey is not None
    tried = 0
    for name, drawn in plan._board.openings.items():
        face = tuple((drawn.face[0][k] + drawn.face[1][k]) / 2 for k in (0, 1))
        far = tuple((drawn.far[0][k] + drawn.far[1][k]) / 2 for k in (0, 1))
        middle = (face[0] + far[0]) / 2, (face[1] + far[1]) / 2
        view.centerOn(QPointF(middle[0] - view.origin[0], middle[1] - view.origin[1]))
        beyond = tuple(f + (f - m) / max(abs(f - m), 1.0) * 3.0 / px_per_mm for f, m in zip(far, middle, strict=True))
        for at in (middle, far, beyond):
            sample.document.choose(())
            Hands(sample).click(at)
            assert [(ref.kind, ref.id) for ref in sample.document.choice] == [("opening", name)], at
            tried += 1
    assert tried >= 15


def test_walls_are_hit_from_a_few_pixels_beside_at_any_zoom_and_rooms_stay_hit(sample: MainWindow) -> None:
    view = sample.plan.view
    storey = sample.document.storey
    assert storey is not None
    kitchen = next(room for room in storey.rooms if "Kitchen" in room.name)
    left = min(side.x_mm for side in kitchen.outline)
    low, high = min(side.y_mm for side in kitchen.outline), max(side.y_mm for side in kitchen.outline)
    at_y = low + 0.41 * (high - low)
    for px_per_mm in (0.015, 0.03, 0.1, 0.5):
        view.zoom(px_per_mm / view.px_per_mm)
        view.centerOn(QPointF(left - view.origin[0], at_y - view.origin[1]))
        for off_px in (-3.0, 1.0, 3.0):
            sample.document.choose(())
            Hands(sample).click((left + off_px / px_per_mm, at_y))
            (ref,) = sample.document.choice
            assert (ref.kind, ref.room) == ("side", str(kitchen.id)), (px_per_mm, off_px)
        Hands(sample).click((left + 1500.0, at_y))
        assert sample.document.choice == (Ref("room", str(kitchen.id)),)


def test_dragging_from_the_middle_of_a_window_moves_it(sample: MainWindow) -> None:
    plan = sample.plan
    storey = sample.document.storey
    assert storey is not None
    window = next(o for o in storey.openings if o.kind == "window")
    drawn = plan._board.openings[window.id]
    middle = tuple(sum(line[k][axis] for line in (drawn.face, drawn.far) for k in (0, 1)) / 4 for axis in (0, 1))
    along = tuple(drawn.face[1][axis] - drawn.face[0][axis] for axis in (0, 1))
    long = (along[0] ** 2 + along[1] ** 2) ** 0.5
    steps = [(middle[0] + along[0] / long * by, middle[1] + along[1] / long * by) for by in (0.0, 60.0, 130.0, 200.0)]
    Hands(sample).drag(*steps)
    after = next(o for o in sample.document.storey.openings if o.id == window.id)
    assert abs(after.offset_mm - window.offset_mm) == pytest.approx(200.0, abs=30.0)
    assert sample.document.stack.undoText() == "Move an opening"


def drop(window: MainWindow, *paths: Path) -> None:
    """Files let go over the plan, as the desktop tells it."""
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    port = window.plan.view.viewport()
    at = QPointF(port.rect().center())
    copy, left, plain = Qt.DropAction.CopyAction, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    enter = QDragEnterEvent(at.toPoint(), copy, data, left, plain)
    QApplication.sendEvent(port, enter)
    assert enter.isAccepted()
    QApplication.sendEvent(port, QDragMoveEvent(at.toPoint(), copy, data, left, plain))
    QApplication.sendEvent(port, QDropEvent(at, copy, data, left, plain))


def test_a_file_dropped_on_the_plan_is_opened(sample: MainWindow) -> None:
    drop(sample, SAMPLES / "loft.dxf")
    assert sample.document.ref is not None
    assert "loft" in sample.document.ref.name


def test_several_drawings_are_offered_as_storeys_and_what_is_none_is_said_in_one_sentence(
    sample: MainWindow, told, tmp_path: Path
) -> None:
    notes = tmp_path / "notes.txt"
    notes.write_text("call back on Monday")
    broken = tmp_path / "second.dxf"
    broken.write_text("no drawing at all")
    plans = [SAMPLES / "terrace_first.dxf", SAMPLES / "terrace_ground.dxf"]
    told.answers.append("together")
    drop(sample, notes, broken, *plans, SAMPLES / "stairwell.dxf")
    QTest.qWait(100)
    # the lowest storey first, as far as names say so; one without such a name stays low
    assert told.questions == [
        "Not a drawing: notes.txt. "
        "Are terrace_ground.dxf, stairwell.dxf, terrace_first.dxf and second.dxf one building?"
    ]
    (sentence,) = told.sentences
    assert "second.dxf" in sentence
    assert [ref.name for ref in sample.document.job.drawings] == [
        "terrace_ground.dxf",
        "stairwell.dxf",
        "terrace_first.dxf",
    ]
    assert {storey.drawing for storey in sample.document.job.storeys} == {"d1", "d2", "d3"}


def test_where_the_first_cannot_be_read_the_next_begins_the_job(sample: MainWindow, told, tmp_path: Path) -> None:
    broken = tmp_path / "ground.dxf"
    broken.write_text("no drawing at all")
    told.answers.append("together")
    drop(sample, SAMPLES / "terrace_first.dxf", SAMPLES / "loft.dxf", broken)
    QTest.qWait(100)
    assert len(told.sentences) == 1
    assert [ref.name for ref in sample.document.job.drawings] == ["terrace_first.dxf", "loft.dxf"]


def test_only_the_first_or_none_of_several_is_opened_where_the_user_says_so(
    sample: MainWindow, told, tmp_path: Path
) -> None:
    notes = tmp_path / "notes.txt"
    notes.write_text("call back on Monday")
    before = sample.document.job
    told.answers += ["stay", "first"]
    drop(sample, SAMPLES / "terrace_first.dxf", SAMPLES / "terrace_ground.dxf")
    assert sample.document.job is before
    drop(sample, SAMPLES / "terrace_first.dxf", SAMPLES / "terrace_ground.dxf")
    QTest.qWait(50)
    assert [ref.name for ref in sample.document.job.drawings] == ["terrace_ground.dxf"]


def test_of_a_drop_without_drawings_nothing_is_opened(sample: MainWindow, told, tmp_path: Path) -> None:
    notes = tmp_path / "notes.txt"
    notes.write_text("call back on Monday")
    before = sample.document.job
    drop(sample, notes, tmp_path / "gone.dxf")
    assert told.sentences == ["None of the 2 files that were dropped is a drawing or a job: nothing was opened."]
    assert sample.document.job is before
