"""What layers are for is said on the page, the rooms follow, and the next drawing of the office knows."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest
from hands import pick
from PySide6.QtCore import Qt

from takeoff.files.paths import state_folder
from takeoff.plan import edits
from takeoff.storage import layer_profiles
from takeoff.ui.panels.drawing_page import DrawingPage

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture(autouse=True)
def own_state(monkeypatch, tmp_path) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))


def plan(path: Path, colour: int = 256, linetype: str = "BYLAYER") -> Path:
    """A kitchen of 4 × 3 m and a hall of 3 × 3 m; a wall at x = 2000 on “Equipment” would part the kitchen,
    or one on A-WALL in a colour or line type of its own."""
    doc = ezdxf.new(units=4)
    doc.linetypes.add("DASHED", [0.75, 0.5, -0.25])
    space = doc.modelspace()
    own = colour != 256 or linetype != "BYLAYER"
    outer = [(-300, -300), (7400, -300), (7400, 3300), (-300, 3300)]
    inner = [
        (0, 0),
        (4000, 0),
        (4000, 1000),
        (4100, 1000),
        (4100, 0),
        (7100, 0),
        (7100, 3000),
        (4100, 3000),
        (4100, 1900),
        (4000, 1900),
        (4000, 3000),
        (0, 3000),
    ]
    for ring in (outer, inner):
        space.add_lwpolyline(ring, close=True, dxfattribs={"layer": "A-WALL"})
    look = {"layer": "A-WALL" if own else "Equipment", "color": colour, "linetype": linetype}
    space.add_lwpolyline([(2000, 0), (2100, 0), (2100, 3000), (2000, 3000)], close=True, dxfattribs=look)
    space.add_line((4000, 1000), (3100, 1000), dxfattribs={"layer": "A-DOOR"})
    space.add_arc((4000, 1000), 900, 90, 180, dxfattribs={"layer": "A-DOOR"})
    for text, x in (("Kitchen", 1200), ("Hall", 5500)):
        space.add_text(text, height=150, dxfattribs={"layer": "Text"}).set_placement((x, 1500))
    doc.saveas(path)
    return path


def page_of(window) -> DrawingPage:
    page = window.sides.page("drawing")
    assert isinstance(page, DrawingPage)
    return page


def floors(window) -> list[float]:
    return sorted(round(room.floor_m2, 2) for room in window.document.state.takeoff.rooms)


def test_each_layer_says_what_it_is_taken_for_and_why(window, tmp_path) -> None:
    window.files.open(plan(tmp_path / "a.dxf"))
    window.space.show_step("drawing")
    roles = page_of(window).layers.roles
    assert {name: box.currentText() for name, box in roles.items()} == {
        "A-WALL": "walls",
        "Equipment": "furniture",
        "A-DOOR": "doors",
        "Text": "text",
    }
    assert floors(window) == [9.0, 12.0]


def test_overruled_layer_proposes_the_rooms_again_and_undo_takes_it_back(window, tmp_path) -> None:
    window.files.open(plan(tmp_path / "a.dxf"))
    page = page_of(window)
    pick(page.layers.roles["Equipment"], "wall")
    assert floors(window) == [5.7, 6.0, 9.0]
    assert window.document.job.drawings[0].layer_roles == (("Equipment", "wall"),)
    assert window.acts.q("undo").isEnabled()
    window.acts.do("undo")
    assert floors(window) == [9.0, 12.0]
    assert page.layers.roles["Equipment"].currentText() == "furniture"
    window.acts.do("redo")
    assert floors(window) == [5.7, 6.0, 9.0]
    assert page.layers.roles["Equipment"].currentText() == "walls"


def test_what_was_set_is_kept_or_the_page_says_what_is_lost(window, tmp_path) -> None:
    window.files.open(plan(tmp_path / "a.dxf"))
    rooms = {room.name: room for room in window.document.storey.rooms}
    hall, kitchen = rooms["Hall"].id, rooms["Kitchen"].id
    window.document.apply("Height", lambda job: edits.set_flat_ceiling(job, hall, 2700.0))
    corner = f"{kitchen}/any"
    window.document.apply("Corner", lambda job: edits.pick_corners(job, {kitchen: [corner]}, bead="none"))
    page = page_of(window)
    pick(page.layers.roles["Equipment"], "wall")
    kept = {room.name: room for room in window.document.storey.rooms}["Hall"]
    assert kept.ceiling.planes[0].z_mm == 2700.0
    assert "Lost: the choices at its corners." in page.notice.text()
    assert page.undo_button.isVisibleTo(page)
    page.undo_button.click()
    assert floors(window) == [9.0, 12.0]
    assert page.notice.text() == ""


def test_next_drawing_of_the_office_is_sorted_as_the_last_one_was(window, tmp_path) -> None:
    window.files.open(plan(tmp_path / "a.dxf"))
    pick(page_of(window).layers.roles["Equipment"], "wall")
    assert len(layer_profiles.load(state_folder())[0]) == 1
    window.document.stack.setClean()
    window.files.open(plan(tmp_path / "b.dxf"))
    assert floors(window) == [5.7, 6.0, 9.0]
    found = [f for f in window.document.findings if f.code == "layers-remembered"]
    assert len(found) == 1
    assert found[0].evidence == "Equipment = walls."
    assert page_of(window).notice.text().endswith("for an earlier drawing: Equipment = walls.")


def test_what_was_remembered_can_be_forgotten(window, tmp_path, qtbot) -> None:
    window.files.open(plan(tmp_path / "a.dxf"))
    pick(page_of(window).layers.roles["Equipment"], "wall")
    window.document.stack.setClean()
    window.files.open(plan(tmp_path / "b.dxf"))
    window.space.show_step("drawing")
    qtbot.mouseClick(page_of(window).layers.forget, LEFT)
    assert floors(window) == [9.0, 12.0]
    assert layer_profiles.load(state_folder()) == ((), ())


@pytest.mark.parametrize(("colour", "linetype", "way"), [(2, "BYLAYER", "yellow"), (256, "DASHED", "DASHED")])
def test_walls_drawn_otherwise_are_asked_about_once_and_answered_there(
    window, tmp_path, qtbot, colour, linetype, way
) -> None:
    window.files.open(plan(tmp_path / "a.dxf", colour, linetype))
    assert window.sides.current == "drawing"
    page = page_of(window)
    assert list(page.walls.buttons) == [way]
    down, stand, look = page.walls.buttons[way]
    before = window.plan.view.px_per_mm
    qtbot.mouseClick(look, LEFT)
    assert window.plan.view.px_per_mm != before
    qtbot.mouseClick(down, LEFT)
    assert floors(window) == [9.0, 12.0]
    assert page.walls.buttons == {}
    window.acts.do("undo")
    down, stand, look = page.walls.buttons[way]
    qtbot.mouseClick(stand, LEFT)
    assert floors(window) == [5.7, 6.0, 9.0]
    codes = {f.code for f in window.document.findings}
    assert not codes & {"walls-drawn-otherwise", "dashed-walls-left-out", "demolished-left-out"}


def test_answer_on_walls_is_remembered_for_the_office(window, tmp_path, qtbot) -> None:
    window.files.open(plan(tmp_path / "a.dxf", linetype="DASHED"))
    qtbot.mouseClick(page_of(window).walls.buttons["DASHED"][1], LEFT)
    window.document.stack.setClean()
    window.files.open(plan(tmp_path / "b.dxf", linetype="DASHED"))
    assert floors(window) == [5.7, 6.0, 9.0]
    assert page_of(window).walls.buttons == {}


def test_job_from_its_file_is_sorted_again_with_what_was_set(window, tmp_path, told) -> None:
    window.files.open(plan(tmp_path / "a.dxf"))
    hall = next(room.id for room in window.document.storey.rooms if room.name == "Hall")
    window.document.apply("Rename", lambda job: edits.rename_room(job, hall, "Lobby"))
    told.paths = [tmp_path / "mine.takeoff"]
    window.acts.do("save-as")
    window.files.open(tmp_path / "mine.takeoff")
    page = page_of(window)
    window.space.show_step("drawing")
    pick(page.layers.roles["Equipment"], "wall")
    assert floors(window) == [5.7, 6.0, 9.0]
    assert "Lobby" in {room.name for room in window.document.storey.rooms}


def test_same_figures_at_the_command_with_the_same_roles(window, tmp_path) -> None:
    from takeoff.services.measured.job_result import measure_job
    from takeoff.services.opened.opening import open_file

    path = plan(tmp_path / "a.dxf")
    window.files.open(path)
    pick(page_of(window).layers.roles["Equipment"], "wall")
    measured = measure_job(open_file(path, said=(("Equipment", "walls"),)))
    assert measured.takeoff.totals == window.document.state.takeoff.totals
