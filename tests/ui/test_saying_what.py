"""What menus, foot, title and the find field say: the edit by its name, walls by letter, the file by the job."""

from __future__ import annotations

from pathlib import Path

from hands import Hands
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from test_keeping import killed

from takeoff.plan import edits
from takeoff.plan.model import Job, RoomId
from takeoff.ui.document import Ref
from takeoff.ui.panels.finder import find
from takeoff.ui.settings import Settings
from takeoff.ui.window.main_window import MainWindow

SAMPLES = Path(__file__).parents[2] / "sample_plans"
CONTROL = Qt.KeyboardModifier.ControlModifier


def room(window: MainWindow, word: str):
    return next(r for s in window.document.job.storeys for r in s.rooms if word in r.name)


def test_undo_and_redo_name_the_edit_in_the_menu(sample: MainWindow) -> None:
    undo, redo = sample.acts.q("undo"), sample.acts.q("redo")
    assert (undo.text(), redo.text()) == ("Undo", "Redo")
    kitchen = RoomId(room(sample, "Kitchen").id)
    sample.document.apply("Rename a room", lambda job: edits.rename_room(job, kitchen, "Galley"))
    assert undo in sample.acts.menu("Edit").actions()
    assert undo.text() == "Undo: Rename a room"
    undo.trigger()
    assert (undo.text(), redo.text()) == ("Undo", "Redo: Rename a room")


def test_find_lists_walls_and_choosing_one_chooses_it(sample: MainWindow) -> None:
    sample.activateWindow()
    sample.top.field.setFocus()
    QTest.keyClicks(sample.top.field, "wall b kitchen")
    QTest.keyClick(sample.top.field, Qt.Key.Key_Return)
    (ref,) = sample.document.choice
    kitchen = room(sample, "Kitchen")
    assert ref == Ref("side", str(kitchen.sides[1].id), str(kitchen.id))


def test_find_knows_rename_before_a_room_is_chosen_and_says_what_is_missing(sample: MainWindow) -> None:
    (found,) = [f for f in find("rename", sample.document, sample.acts) if f.action == "rename-room"]
    assert found.words == "Edit: Rename the room (not now)"
    sample.take_found(found)
    assert sample.totals.note.text() == "This is not possible now. Select something first."
    sample.document.choose((Ref("room", str(room(sample, "Kitchen").id)),))
    (found,) = [f for f in find("rename", sample.document, sample.acts) if f.action == "rename-room"]
    assert found.words == "Edit: Rename the room"


def test_a_wall_is_chosen_by_keyboard_one_after_another(sample: MainWindow) -> None:
    hands = Hands(sample)
    kitchen = room(sample, "Kitchen")
    sample.document.choose((Ref("room", str(kitchen.id)),))
    sides = [str(side.id) for side in kitchen.sides]
    for wanted in (sides[0], sides[1], sides[2]):
        hands.key(Qt.Key.Key_Down, CONTROL)
        assert sample.document.choice == (Ref("side", wanted, str(kitchen.id)),)
    hands.key(Qt.Key.Key_Up, CONTROL)
    assert sample.document.choice == (Ref("side", sides[1], str(kitchen.id)),)
    for _ in range(2):
        hands.key(Qt.Key.Key_Up, CONTROL)
    assert sample.document.choice == (Ref("side", sides[-1], str(kitchen.id)),)


def test_the_first_tab_shows_where_the_keys_are(sample: MainWindow) -> None:
    Hands(sample)
    QApplication.processEvents()
    before = sample.grab().toImage()
    QTest.keyClick(sample.plan.view, Qt.Key.Key_Tab)
    QApplication.processEvents()
    focused = QApplication.focusWidget()
    assert focused is not None
    assert focused is not sample.plan.view
    after = sample.grab().toImage()
    corner = focused.mapTo(sample, focused.rect().topLeft())
    seen = [
        (x, y)
        for x in range(max(0, corner.x()), min(corner.x() + focused.width(), sample.width()))
        for y in range(max(0, corner.y()), min(corner.y() + focused.height(), sample.height()))
        if before.pixel(x, y) != after.pixel(x, y)
    ]
    assert len(seen) > 20, focused


def test_what_the_foot_says_belongs_to_the_open_file(sample: MainWindow) -> None:
    sample.space.say("Copied 1 room: Ctrl+V places it.")
    sample.files.open(SAMPLES / "loft.dxf")
    assert sample.totals.note.text() == ""


def test_a_refusal_in_the_foot_is_forgotten_once_something_else_is_done(sample: MainWindow) -> None:
    kitchen = room(sample, "Kitchen")
    sample.document.refused.emit("The wall is too short.")
    assert sample.totals.note.text() == "The wall is too short."
    sample.document.choose((Ref("room", str(kitchen.id)),))
    assert sample.totals.note.text() == ""
    sample.document.refused.emit("The wall is too short.")
    name = RoomId(kitchen.id)
    sample.document.apply("Rename a room", lambda job: edits.rename_room(job, name, "Galley"))
    assert sample.totals.note.text() == ""


def test_a_job_of_a_drawing_is_saved_under_the_name_of_the_job(sample: MainWindow, told, monkeypatch) -> None:
    names = []
    monkeypatch.setattr(told, "file_to_save", lambda parent, title, kinds, name: names.append(name))
    for name in ("ground.dxf", "Mill Lane 3/4", "Rev. B", ""):
        sample.document.open(Job(name=name))
        assert sample.files.save_as() is False
    assert names == ["ground.takeoff", "Mill Lane 3 4.takeoff", "Rev. B.takeoff", "job.takeoff"]


def test_letters_of_walls_labels_and_question_marks_lie_over_nothing_else(sample: MainWindow) -> None:
    storey = sample.document.storey
    assert storey is not None
    view = sample.plan.view
    for zoom in (1.0, 0.6, 2.5):
        view.zoom(zoom)
        for shown in storey.rooms:
            sample.document.choose((Ref("room", str(shown.id)),))
            half = 15.0 / 2 / view.px_per_mm
            boxes = [(x - half, y - half, x + half, y + half) for x, y in sample.plan.letters.values()]
            written = sample.plan.items.taken_boxes()
            for k, one in enumerate(boxes):
                for other in (*boxes[k + 1 :], *written):
                    apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
                    assert apart, (zoom, shown.name)
    view.zoom(1.0 / 1.5)
    sample.plan.fit()
    hall = room(sample, "Hall")
    sample.document.choose((Ref("room", str(hall.id)),))
    assert len(sample.plan.letters) == len(hall.sides)


def test_a_drawing_that_nobody_touched_is_not_unsaved_after_a_recovery(window: MainWindow, told, qtbot) -> None:
    """A crash leaves a copy of one job; after it was taken back, drawings that are only looked at ask nothing."""
    window.files.open(SAMPLES / "terrace.job.json")
    kitchen = RoomId(room(window, "Kitchen").id)
    window.document.apply("Rename a room", lambda job: edits.rename_room(job, kitchen, "Galley"))
    assert window.files.rescue() is not None
    killed(window.settings.path.parent)
    again = MainWindow(Settings(window.settings.path), in_order=True)
    qtbot.addWidget(again, before_close_func=lambda _: told.answers.append("discard"))
    held = set(window.settings.path.parent.glob("recovery/*"))
    told.answers.append("take")
    again.files.start_with(None)
    assert room(again, "Galley")
    assert again.top.saved.text() == "Not saved"
    told.answers.append("discard")
    asked = len(told.questions)
    again.files.open(SAMPLES / "loft.dxf")
    assert len(told.questions) == asked + 1
    assert again.top.saved.text() == ""
    assert again.document.stack.isClean()
    assert again.files.rescue() is None
    asked = len(told.questions)
    again.files.open(SAMPLES / "stairwell.dxf")
    assert len(told.questions) == asked
    # nothing of them is offered at the next start
    kept = list(window.settings.path.parent.glob("recovery/*/copy.takeoff"))
    assert [path for path in kept if path.parent not in held] == []
    third = MainWindow(Settings(window.settings.path), in_order=True)
    qtbot.addWidget(third, before_close_func=lambda _: told.answers.append("discard"))
    told.answers.clear()
    third.files.start_with(SAMPLES / "loft.dxf")
    assert third.top.saved.text() == ""


def test_an_untouched_drawing_taken_back_is_as_clean_as_before(window: MainWindow, told, qtbot) -> None:
    """What was undone before the crash is no work: the copy says nothing that the drawing does not."""
    window.files.open(SAMPLES / "loft.dxf")
    name = RoomId(window.document.storey.rooms[0].id)
    window.document.apply("Rename a room", lambda job: edits.rename_room(job, name, "Galley"))
    window.document.stack.undo()
    window.files.keeping.flush()
    kept = list(window.settings.path.parent.glob("recovery/*/copy.takeoff"))
    assert kept == []
    again = MainWindow(Settings(window.settings.path), in_order=True)
    qtbot.addWidget(again, before_close_func=lambda _: told.answers.append("discard"))
    asked = len(told.questions)
    again.files.start_with(SAMPLES / "loft.dxf")
    assert len(told.questions) == asked
    assert again.document.stack.isClean()
