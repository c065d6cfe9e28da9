"""A newcomer opens a job or a drawing, clicks a room, edits and takes it back."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent

from takeoff.measure import measure
from takeoff.plan import edits
from takeoff.sheets.printed_figures import room_figures
from takeoff.ui.document import Ref

CHECKOUT = Path(__file__).parents[2]
SAMPLES = CHECKOUT / "sample_plans"


def click_on(window, qtbot, point, modifier=Qt.KeyboardModifier.NoModifier) -> None:
    view = window.plan.view
    qtbot.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, modifier, view.spot(point))


def middle_of(window, name: str) -> tuple[float, float]:
    """The plan point of a room's label."""
    pieces = window.plan.items.pieces.values()
    return next(p.words.at for p in pieces if p.words is not None and p.words.name.endswith(name))


def test_clicked_room_shows_the_figures_that_the_sheets_print(sample, qtbot) -> None:
    click_on(sample, qtbot, middle_of(sample, "Kitchen"))
    room = next(r for r in measure(sample.document.job).rooms if r.name == "Kitchen")
    printed = room_figures(room)
    shown = sample.card.figures()
    assert sample.card.title.text() == "G5 Kitchen"
    assert sample.card.total.text() == f"{printed['coated_m2']} m²"
    assert shown["Walls"] == f"{printed['wall_net_m2']} m²"
    assert shown["Ceiling"] == f"{printed['ceiling_m2']} m²"
    assert shown["New corner bead"] == f"{printed['bead_m']} m"
    assert shown["Internal corners"] == f"{printed['internal_corner_m']} m"


def test_click_beside_the_house_chooses_nothing(sample, qtbot) -> None:
    click_on(sample, qtbot, middle_of(sample, "Kitchen"))
    qtbot.mouseClick(sample.plan.view.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(5, 5))
    assert sample.document.choice == ()
    assert sample.card.title.text() == "Nothing selected"


def test_higher_room_moves_every_figure_and_undo_takes_it_back(sample, qtbot) -> None:
    click_on(sample, qtbot, middle_of(sample, "Kitchen"))
    walls, foot = sample.card.figures()["Walls"], sample.totals.figures[0].text()
    kitchen = sample.document.choice[0].id
    assert sample.document.apply("Set height", lambda job: edits.set_flat_ceiling(job, kitchen, 3000.0))
    assert sample.card.figures()["Walls"] != walls
    assert sample.totals.figures[0].text() != foot
    again = measure(sample.document.job)
    assert sample.document.state.takeoff.totals == again.totals
    sample.acts.do("undo")
    assert sample.card.figures()["Walls"] == walls
    assert sample.totals.figures[0].text() == foot
    sample.acts.do("redo")
    assert sample.card.figures()["Walls"] != walls


def test_edit_of_one_room_changes_only_its_own_pieces(sample) -> None:
    before, count = sample.plan.items.pieces, sample.plan.items.updates
    kitchen = next(r.id for r in sample.document.storey.rooms if r.name == "Kitchen")
    sample.document.apply("Set height", lambda job: edits.set_flat_ceiling(job, kitchen, 2600.0))
    after = sample.plan.items.pieces
    assert {name for name in before if before[name] is not after[name] and before[name] != after[name]} == {
        f"room:{kitchen}"
    }
    assert sample.plan.items.updates - count == 1


def test_edit_that_is_refused_says_why_and_leaves_no_trace(sample) -> None:
    sample.document.apply("Set height", lambda job: edits.set_flat_ceiling(job, "no-such-room", 2600.0))
    assert "no room “no-such-room”" in sample.totals.note.text()
    assert not sample.document.stack.canUndo()


def test_dropped_drawing_opens_with_its_rooms(window, qtbot) -> None:
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(SAMPLES / "terrace_ground.dxf"))])
    spot = QPointF(window.rect().center())
    window.dropEvent(
        QDropEvent(spot, Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier)
    )
    assert [room.name for room in window.document.storey.rooms] != []
    lines = window.document.drawing.lines
    assert window.plan.linework.count == len(lines.segments) + 16 * len(lines.arcs)
    assert len(lines.segments) > 200
    assert window.steps.button("rooms").accessibleName().startswith("Rooms: ")
    assert window.settings.value.recent == (str((SAMPLES / "terrace_ground.dxf").resolve()),)


def test_file_that_is_no_drawing_is_told_in_one_sentence(window, told, tmp_path) -> None:
    wrong = tmp_path / "plan.dxf"
    wrong.write_bytes(b"AC1027 and so on")
    window.files.open(wrong)
    assert len(told.sentences) == 1
    assert "is a DWG" in told.sentences[0]
    assert window.document.job.storeys == ()


def test_dark_theme_is_remembered_and_changes_the_ground(sample) -> None:
    light = sample.plan.view.backgroundBrush().color().name()
    sample.acts.do("dark")
    assert sample.theme.is_dark
    assert sample.plan.view.backgroundBrush().color().name() != light
    assert sample.settings.value.theme == "dark"
    sample.acts.do("dark")
    assert sample.plan.view.backgroundBrush().color().name() == light


def test_other_storey_shows_its_rooms(sample) -> None:
    sample.acts.do("storey-up")
    assert sample.document.storey.name == "Room in the roof"
    assert sample.top.storeys.currentText() == "Room in the roof"
    assert any(p.words and p.words.name.endswith("Attic room") for p in sample.plan.items.pieces.values())


def test_choosing_a_room_of_another_storey_shows_that_storey(sample) -> None:
    sample.document.choose((Ref("room", "A1"),))
    assert sample.document.storey.name == "Room in the roof"
    assert sample.card.title.text().endswith("Attic room")


def test_job_that_is_not_saved_is_asked_about(sample, told) -> None:
    sample.document.apply("Rename", lambda job: edits.rename_room(job, "G1", "Passage"))
    told.answers = ["stay"]
    sample.files.open(SAMPLES / "terrace_ground.dxf")
    assert told.questions == ["Save the changes to “Terrace house, invented example”?"]
    assert sample.document.job.storeys[0].rooms[0].name == "Passage"


def test_saved_job_opens_again_equal(sample, told, tmp_path) -> None:
    sample.document.apply("Rename", lambda job: edits.rename_room(job, "G1", "Passage"))
    told.paths = [tmp_path / "mine.job.json"]
    sample.acts.do("save-as")
    job = sample.document.job
    assert sample.top.saved.text() == "Saved"
    sample.files.open(SAMPLES / "terrace.job.json")
    sample.files.open(tmp_path / "mine.job.json")
    assert sample.document.job == job


def test_every_action_can_be_found_by_its_words(window) -> None:
    rows = window.acts.find("")
    assert len(rows) == len({row.id for row in rows})
    assert [row.id for row in window.acts.find("dark theme")] == ["dark"]
    assert window.acts.find("no such thing") == ()
