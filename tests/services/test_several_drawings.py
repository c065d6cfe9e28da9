"""Several drawings in one job: laid over one another, named, levelled, re-read; the figures are those of each."""

from __future__ import annotations

import re
from pathlib import Path

import ezdxf
import pytest
from msgspec.structs import replace

from takeoff.drawing.laying import laid
from takeoff.errors import InputError
from takeoff.measure import measure
from takeoff.plan import edits
from takeoff.plan.check import check
from takeoff.plan.edits.drawing_edits import pose_of
from takeoff.plan.model import DrawingId, Job, Laid
from takeoff.plan.settled import unsettled_findings
from takeoff.services.measured.job_result import job_json, measure_job
from takeoff.services.opened.opening import Opened, open_file
from takeoff.services.opened.room_proposals import merged, propose_with
from takeoff.services.opened.several_drawings import all_in_one, laid_anew, read_otherwise, with_drawing_of
from takeoff.storage import jobfile, jobs
from takeoff.storage.content import Content

SAMPLES = Path(__file__).parents[2] / "sample_plans"
GROUND, FIRST_FLOOR = SAMPLES / "terrace_ground.dxf", SAMPLES / "terrace_first.dxf"
OF_THE_CEILING = {"internal_corner_m.wall_ceiling", "coat_edge_m", "coat_edge_by_kind_m.corner"}
D2 = DrawingId("d2")


@pytest.fixture(scope="module")
def ground() -> Opened:
    return open_file(GROUND)


@pytest.fixture(scope="module")
def first() -> Opened:
    return open_file(FIRST_FLOOR)


def turned(path: Path, folder: Path, degrees: float, shift: tuple[float, float]) -> Path:
    """The drawing turned and moved, as another person may have set it down."""
    document = ezdxf.readfile(path)
    from ezdxf.transform import translate, z_rotate

    z_rotate(document.modelspace(), degrees * 3.141592653589793 / 180.0)
    translate(document.modelspace(), (*shift, 0.0))
    there = folder / path.name
    document.saveas(there)
    return there


def test_two_drawings_are_the_storeys_of_one_job_with_the_figures_of_each(ground: Opened, first: Opened) -> None:
    both = all_in_one(ground, [first])
    one, other, together = measure(ground.job), measure(first.job), measure(both.job)
    # the hall and the landing have a stair each: laid over one another they are one well
    (well,) = [r for s in both.job.storeys for r in s.rooms if r.stair is not None and r.stair.well]
    ceiling = next(r.floor_m2 for r in one.rooms if r.room == well.id)
    for key, value in together.totals.items():
        less = ceiling if key in ("ceiling_m2", "coated_m2") else 0.0
        if key not in OF_THE_CEILING:
            assert value == pytest.approx(one.totals[key] + other.totals[key] - less, rel=1e-12, abs=1e-9), key
    assert [ref.name for ref in both.job.drawings] == ["terrace_ground.dxf", "terrace_first.dxf"]
    assert [s.drawing for s in both.job.storeys] == ["d1", "d2"]
    assert both.job.storeys[1].level_mm == 2400.0 + 300.0
    assert [f.code for f in both.findings].count("storey-laid-over") == 1
    assert not [f for f in check(both.job) if f.severity == "error"]


def test_ids_of_both_are_apart_and_the_job_reads_back(ground: Opened, first: Opened, tmp_path: Path) -> None:
    both = all_in_one(ground, [first]).job
    rooms = [room.id for storey in both.storeys for room in storey.rooms]
    assert len(set(rooms)) == len(rooms)
    assert jobs.load(job_json(both), "both.json") == both
    path = tmp_path / "both.takeoff"
    opened = all_in_one(ground, [first])
    jobfile.save(path, Content(opened.job, opened.drawings, opened.findings))
    back = jobfile.load(path)
    assert back.job == both
    assert {key: len(drawing.lines) for key, drawing in back.drawings.items()} == {
        key: len(drawing.lines) for key, drawing in opened.drawings.items()
    }


def test_storeys_are_called_after_their_files_where_the_drawings_do_not_say(
    ground: Opened, first: Opened, tmp_path: Path
) -> None:
    names = [storey.name for storey in all_in_one(ground, [first]).job.storeys]
    assert len(set(names)) == 2
    assert all(names)


def test_drawing_that_is_turned_and_moved_is_laid_back(ground: Opened, first: Opened, tmp_path: Path) -> None:
    elsewhere = open_file(turned(FIRST_FLOOR, tmp_path, 90.0, (123456.0, -7000.0)))
    added = with_drawing_of(ground.job, elsewhere)
    straight = with_drawing_of(ground.job, first)
    assert added.job.drawings[1].laid.turn_deg == -90.0
    assert added.share == pytest.approx(straight.share, abs=0.02)
    at = {tuple(sorted((round(s.x_mm), round(s.y_mm)) for s in room.outline)) for room in added.job.storeys[1].rooms}
    there = {
        tuple(sorted((round(s.x_mm), round(s.y_mm)) for s in room.outline)) for room in straight.job.storeys[1].rooms
    }
    assert at == there
    assert added.drawing is not None
    assert straight.drawing is not None
    assert added.drawing.lines.segments.min() == pytest.approx(straight.drawing.lines.segments.min(), abs=1.0)
    taken, as_drawn = measure(added.job).totals, measure(straight.job).totals
    for key, value in as_drawn.items():
        assert taken[key] == pytest.approx(value, rel=1e-9, abs=1e-6), key


def test_linework_found_again_in_place_gives_the_same_rooms_under_the_same_names(ground: Opened, first: Opened) -> None:
    added = with_drawing_of(ground.job, first)
    assert added.drawing is not None
    assert added.proposed is not None
    now = propose_with(added.drawing, (), added.of)
    again, _ = merged(added.proposed, added.job, now)
    assert [r.id for s in again.storeys for r in s.rooms] == [r.id for s in added.job.storeys for r in s.rooms]
    assert measure(again).totals == pytest.approx(measure(added.job).totals)
    assert again.storeys[0] is added.job.storeys[0]


def test_same_file_twice_is_refused_and_a_copy_of_it_is_told(ground: Opened, tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"This job has terrace_ground\.dxf already"):
        all_in_one(ground, [ground])
    copy = tmp_path / "copy.dxf"
    copy.write_text(GROUND.read_text().replace("TH-01", "TH-09"))
    told = [f for f in all_in_one(ground, [open_file(copy)]).findings if f.code == "storey-drawn-twice"]
    assert len(told) == 1
    assert "shows the same rooms as" in told[0].text


def test_drawing_of_another_building_is_told_and_stays_as_drawn(ground: Opened) -> None:
    added = with_drawing_of(ground.job, open_file(SAMPLES / "loft.dxf"))
    assert added.job.drawings[1].laid == Laid()
    (told,) = [f for f in added.findings if f.code == "storey-does-not-fit"]
    assert told.text.startswith("loft.dxf does not fit the storeys of this job")
    assert re.search(r"Only \d+% of its walls lie over walls of another storey", told.evidence)


def test_unit_that_is_wrong_in_one_of_two_is_told(ground: Opened) -> None:
    small = open_file(FIRST_FLOOR, unit="cm")
    (told,) = [f for f in with_drawing_of(ground.job, small).findings if f.code == "storey-does-not-fit"]
    assert "does not fit the storeys of this job, but 10 times smaller it would" in told.text


def test_drawing_in_feet_lies_over_one_in_mm(ground: Opened) -> None:
    feet = open_file(SAMPLES / "flat_feet.dxf")
    added = with_drawing_of(ground.job, feet)
    assert [ref.unit for ref in added.job.drawings] == ["mm", "in"]
    rooms = {s.drawing: len(s.rooms) for s in added.job.storeys}
    assert rooms[D2] == sum(len(s.rooms) for s in feet.job.storeys)


def test_job_after_the_first_is_refused_and_a_job_first_takes_drawings(
    ground: Opened, first: Opened, tmp_path: Path
) -> None:
    path = tmp_path / "ground.json"
    path.write_bytes(job_json(edits.rename_job(ground.job, "Terrace")))
    with pytest.raises(InputError, match=r"ground\.json is a job, not a drawing"):
        all_in_one(first, [open_file(path)])
    both = all_in_one(open_file(path), [first])
    assert both.job.name == "Terrace"
    assert len(both.job.storeys) == 2
    assert measure_job(both).source == "ground.json, terrace_first.dxf"


def test_drawing_without_rooms_adds_nothing(ground: Opened, tmp_path: Path) -> None:
    document = ezdxf.new()
    document.modelspace().add_line((0, 0), (1000, 0))
    document.saveas(tmp_path / "bare.dxf")
    with pytest.raises(InputError, match=r"No room was found in bare\.dxf, so nothing was added"):
        all_in_one(ground, [open_file(tmp_path / "bare.dxf")])


def test_what_is_set_moves_with_a_storey_that_is_laid_anew(ground: Opened, first: Opened) -> None:
    job = with_drawing_of(ground.job, first).job
    room = job.storeys[1].rooms[0]
    named = edits.rename_room(job, room.id, "Nursery")
    moved = laid_anew(named, D2, Laid(turn_deg=90.0, dx_mm=1000.0, dy_mm=0.0))
    assert moved.storeys[0] is named.storeys[0]
    assert moved.storeys[1].rooms[0].name == "Nursery"
    assert measure(moved).totals == pytest.approx(measure(named).totals, rel=1e-9)
    assert laid_anew(moved, D2, moved.drawings[1].laid) is moved
    with pytest.raises(InputError, match="does not have this drawing"):
        laid_anew(job, DrawingId("d7"), Laid())


def test_reading_one_of_several_in_another_unit_leaves_the_others_alone(ground: Opened, first: Opened) -> None:
    wrong = with_drawing_of(ground.job, open_file(FIRST_FLOOR, unit="cm")).job
    right = read_otherwise(wrong, D2, first).job
    assert right.storeys[0].rooms[0] is wrong.storeys[0].rooms[0]
    assert right.storeys[1].name == wrong.storeys[1].name
    assert [ref.id for ref in right.drawings] == ["d1", "d2"]
    assert measure(right).totals == pytest.approx(measure(with_drawing_of(ground.job, first).job).totals)


def test_errors_of_one_drawing_go_when_it_is_read_again_and_those_of_the_other_stay(
    ground: Opened, first: Opened
) -> None:
    from takeoff.findings import noticed

    lost = noticed("block-missing", file="house.dxf", blocks="SINK")
    one = replace(ground, findings=(*ground.findings, lost))
    other = replace(first, findings=(*first.findings, replace(lost, text="The other lacks a block.")))
    from takeoff.plan.settled import with_unsettled

    job = with_drawing_of(with_unsettled(one.job, one.findings), other).job
    assert len(unsettled_findings(job)) == 2
    again = read_otherwise(job, D2, first).job
    assert [f.text for f in unsettled_findings(again)] == [lost.text]


def test_linework_is_turned_and_moved_as_a_whole(ground: Opened) -> None:
    drawing = ground.drawing
    assert drawing is not None
    there = laid(drawing, pose_of(Laid(turn_deg=90.0, dx_mm=100.0, dy_mm=200.0)))
    x, y = drawing.lines.segments[:, 0], drawing.lines.segments[:, 1]
    assert there.lines.segments[:, 0] == pytest.approx(100.0 - y)
    assert there.lines.segments[:, 1] == pytest.approx(200.0 + x)
    assert there.labels[0].rotation_deg == drawing.labels[0].rotation_deg + 90.0
    assert laid(drawing, pose_of(Laid())) is drawing


def test_job_of_before_gives_the_same_figures_as_now() -> None:
    before = jobs.load(
        (SAMPLES.parent / "tests/storage/samples/terrace.v1.job.json").read_bytes(), "terrace.v1.job.json"
    )
    now = jobs.load((SAMPLES / "terrace.job.json").read_bytes(), "terrace.job.json")
    assert [ref.name for ref in before.drawings] == ["terrace_ground.dxf"]
    assert {storey.drawing for storey in before.storeys} == {"d1"}
    assert measure(before) == measure(now)


def test_storeys_and_their_drawings_of_a_job_of_before_are_told_apart() -> None:
    tree = (
        b'{"schema": "takeoff-job/1", "drawing": {"name": "house.pdf", "page": 1}, "storeys": ['
        b'{"id": "g", "came_from": {"name": "house.pdf", "page": 1}},'
        b'{"id": "f", "came_from": {"name": "upper.dxf", "number": "TH-02"}},'
        b'{"id": "s", "came_from": {"name": "upper.dxf", "number": "TH-02"}}, {"id": "a"}]}'
    )
    job: Job = jobs.load(tree, "old.json")
    assert [(ref.id, ref.name, ref.number) for ref in job.drawings] == [
        ("d1", "house.pdf", ""),
        ("d2", "upper.dxf", "TH-02"),
    ]
    assert [storey.drawing for storey in job.storeys] == ["d1", "d2", "d2", None]


def test_each_of_several_drawings_that_has_no_sure_unit_is_asked_about(tmp_path: Path, capsys) -> None:
    from takeoff.cli import main

    document = ezdxf.new()
    for x in (0, 260, 520, 780):
        for y in (0, 250, 500):
            document.modelspace().add_lwpolyline([(x, y), (x + 257, y), (x + 257, y + 247), (x, y + 247)], close=True)
    document.saveas(tmp_path / "scan.dxf")
    assert main.run(["measure", str(GROUND), str(tmp_path / "scan.dxf")]) == 1
    said = capsys.readouterr().out
    assert "scan.dxf" in said
    assert "--unit cm" in said
    assert "Nothing is measured until you give one of them" in said
    assert "m² to coat" not in said
