"""A drawing more in the window: its storeys come into the job, with their own lines under them."""

from __future__ import annotations

from pathlib import Path

from hands import Hands

from takeoff.measure import measure
from takeoff.services.opened.opening import open_file
from takeoff.services.opened.several_drawings import all_in_one
from takeoff.storage import jobfile

SAMPLES = Path(__file__).parents[2] / "sample_plans"
GROUND, UPPER = SAMPLES / "terrace_ground.dxf", SAMPLES / "terrace_first.dxf"


def with_upper(window, told):
    window.files.open(GROUND)
    told.paths.append(UPPER)
    window.acts.do("add-drawing")


def test_drawing_is_added_as_a_storey_and_undone_and_made_again(window, told) -> None:
    with_upper(window, told)
    document = window.document
    assert [storey.drawing for storey in document.job.storeys] == ["d1", "d2"]
    assert document.storey is document.job.storeys[1]
    assert document.drawing is document.drawings["d2"]
    expected = all_in_one(open_file(GROUND), [open_file(UPPER)]).job
    assert measure(document.job).totals == measure(expected).totals
    assert any(f.code == "storey-laid-over" for f in document.findings)
    document.stack.undo()
    assert [ref.id for ref in document.job.drawings] == ["d1"]
    assert document.drawing is document.drawings["d1"]
    document.stack.redo()
    assert [ref.id for ref in document.job.drawings] == ["d1", "d2"]


def test_each_storey_shows_the_lines_of_its_own_drawing(window, told) -> None:
    with_upper(window, told)
    upper = window.plan.linework.count
    window.document.show_storey(str(window.document.job.storeys[0].id))
    ground = window.plan.linework.count
    assert ground != upper
    window.document.show_storey(str(window.document.job.storeys[1].id))
    assert window.plan.linework.count == upper


def test_saved_job_keeps_both_drawings(window, told, tmp_path) -> None:
    with_upper(window, told)
    path = tmp_path / "both.takeoff"
    told.paths.append(path)
    assert window.files.save_as()
    content = jobfile.load(path)
    assert sorted(content.drawings) == ["d1", "d2"]
    window.files.open(path)
    assert sorted(window.document.drawings) == ["d1", "d2"]
    # an added drawing that was undone does not go into the file
    window.files.open(GROUND)
    told.paths.append(UPPER)
    window.acts.do("add-drawing")
    window.document.stack.undo()
    told.paths.append(tmp_path / "one.takeoff")
    assert window.files.save_as()
    assert sorted(jobfile.load(tmp_path / "one.takeoff").drawings) == ["d1"]


def test_layers_of_the_second_drawing_are_sorted_without_touching_the_first(window, told, qtbot) -> None:
    with_upper(window, told)
    document, before = window.document, window.document.job
    reading = window.findChild(object, "importing").reading
    reading.layers.say_of_layer(
        "A-FURN" if any(la.name == "A-FURN" for la in document.drawing.layers) else "0", "unused"
    )
    assert document.job.drawings[0].layer_roles == before.drawings[0].layer_roles
    assert document.job.drawings[1].layer_roles != ()
    assert document.job.storeys[0].rooms[0] is before.storeys[0].rooms[0]
    assert len(document.job.storeys) == 2


def test_what_cannot_be_added_is_said_in_one_sentence_and_nothing_changes(window, told, tmp_path) -> None:
    window.files.open(GROUND)
    before = window.document.job
    job = tmp_path / "job.takeoff"
    told.paths.append(job)
    assert window.files.save_as()
    for path, sentence in (
        (job, "job.takeoff is not a drawing with lines"),
        (GROUND, "This job has terrace_ground.dxf already"),
        (tmp_path / "gone.dxf", "does not exist"),
    ):
        told.paths.append(path)
        window.acts.do("add-drawing")
        assert sentence in told.sentences[-1]
        assert window.document.job is before


def test_two_places_on_each_storey_lay_them_over_and_undo_takes_it_back(window, told) -> None:
    hands = Hands(window)
    with_upper(window, told)
    document = window.document
    ground, upper = document.job.storeys
    moved = document.job.drawings[1].laid
    assert not window.acts.q("storey-below").isChecked()
    window.acts.do("storey-below")
    laying = window.findChild(object, "laying")
    assert not laying._item.is_empty
    before = [(s.x_mm, s.y_mm) for s in upper.rooms[0].outline]
    window.acts.do("lay-over")
    # two corners of a room upstairs are said to lie a metre to the right of where they lie
    a, b = (before[0], before[2])
    hands.click(a, b)
    assert document.storey is document.job.storeys[0]
    hands.click((a[0] + 1000.0, a[1]), (b[0] + 1000.0, b[1]))
    assert document.storey.id == upper.id
    now = [(s.x_mm, s.y_mm) for s in document.storey.rooms[0].outline]
    for (x, y), (u, v) in zip(before, now, strict=True):
        assert abs(u - x - 1000.0) < 200.0
        assert abs(v - y) < 200.0
    assert document.job.drawings[1].laid != moved
    assert "of its walls lie over walls now" in window.totals.note.text()
    document.stack.undo()
    assert document.job.drawings[1].laid == moved
    assert ground is document.job.storeys[0]


def test_lines_follow_a_drawing_that_is_laid_otherwise_and_layers_can_be_said_still(window, told, tmp_path) -> None:
    from takeoff.plan.model import Laid
    from takeoff.services.opened.several_drawings import laid_anew

    with_upper(window, told)
    document = window.document
    low = document.drawing.lines.segments[:, 0].min()
    at = document.job.drawings[1].laid
    assert document.apply("Move", lambda job: laid_anew(job, "d2", Laid(dx_mm=at.dx_mm + 500.0, dy_mm=at.dy_mm)))
    assert abs(document.drawing.lines.segments[:, 0].min() - low - 500.0) < 1e-6
    rooms = [room.id for room in document.storey.rooms]
    window.findChild(object, "importing").reading.layers.say_of_layer(document.drawing.layers[0].name, "unused")
    assert [room.id for room in document.storey.rooms if room.id in rooms]
    document.stack.undo()
    document.stack.undo()
    assert abs(document.drawing.lines.segments[:, 0].min() - low) < 1e-6
