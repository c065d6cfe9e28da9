"""A job says which drawing each storey came from and which rooms were read on site, on every sheet."""

from __future__ import annotations

import json
from pathlib import Path

from pdf_texts import pages

from takeoff.plan import edits
from takeoff.plan.job_drawings import FIRST, origin_of
from takeoff.plan.model import (
    DrawingId,
    DrawingRef,
    Job,
    Readings,
    ReadSide,
    Room,
    RoomId,
    Side,
    SideId,
    Storey,
    StoreyId,
)
from takeoff.plan.provenance import room_source
from takeoff.services.measured.job_result import job_json, measure_job
from takeoff.services.measured.printed_totals import result_json
from takeoff.services.opened.opening import Opened, open_file
from takeoff.services.written.writing import document, write_everything

SAMPLES = Path(__file__).parents[2] / "sample_plans"
CORNERS = ((0.0, 0.0), (4000.0, 0.0), (4000.0, 3000.0), (0.0, 3000.0))
READ = Readings(sides=tuple(ReadSide(id=SideId(f"s{k}")) for k in range(4)))


def room(name: str, readings: Readings | None = None) -> Room:
    sides = tuple(Side(id=SideId(f"s{k}"), x_mm=x, y_mm=y) for k, (x, y) in enumerate(CORNERS))
    return Room(id=RoomId(name.lower()), name=name, outline=sides, readings=readings)


def three_storeys() -> Job:
    """A storey of the job's drawing, one of another page, and one that was read on site but for a room."""
    house = DrawingRef(id=FIRST, name="house.pdf", page=1, number="TH-01", revision="B")
    upper = DrawingRef(id=DrawingId("d2"), name="upper.dxf", number="TH-02", revision="A")
    return Job(
        name="House",
        drawings=(house, upper),
        storeys=(
            Storey(id=StoreyId("g"), name="Ground", rooms=(room("Hall"), room("Snug", READ)), drawing=house.id),
            Storey(id=StoreyId("f"), name="First", rooms=(room("Bed"),), drawing=upper.id),
            Storey(id=StoreyId("a"), name="Attic", rooms=(room("Den", READ), room("Loft"))),
        ),
    )


def test_storeys_found_in_a_drawing_say_so_and_keep_it_in_the_job(tmp_path: Path) -> None:
    job = open_file(SAMPLES / "terrace_ground.dxf").job
    (ref,) = job.drawings
    assert (ref.name, ref.number, ref.revision) == ("terrace_ground.dxf", "TH-01", "A")
    assert {storey.drawing for storey in job.storeys} == {ref.id}
    path = tmp_path / "kept.json"
    path.write_bytes(job_json(job))
    assert open_file(path).job.storeys == job.storeys


def test_number_typed_later_is_the_storeys_too() -> None:
    job = edits.set_drawing_number(open_file(SAMPLES / "terrace_ground.dxf").job, "X-9", "C")
    origin = origin_of(job, job.storeys[0])
    assert origin is not None
    assert (origin.number, origin.revision) == ("X-9", "C")


def test_storeys_added_by_hand_are_of_no_drawing() -> None:
    job = three_storeys()
    assert origin_of(job, job.storeys[2]) is None
    assert [room_source(job, s, r) for s in job.storeys for r in s.rooms] == [
        "drawing",
        "site",
        "drawing",
        "site",
        "typed",
    ]


def test_every_sheet_says_where_its_figures_are_from(tmp_path: Path) -> None:
    job = three_storeys()
    measured = measure_job(Opened(Path("house.job.json"), "job", job, ()))
    sheets = document(measured, "2031-05-20")
    write_everything(measured, sheets, tmp_path, draft=True)
    foot = (
        "Source: TH-01, revision B (house.pdf), page 1; TH-02, revision A (upper.dxf); typed dimensions; "
        "2 rooms measured on site."
    )
    for name in ("scope.pdf", "site.pdf"):
        assert all(foot in page for page in pages(tmp_path / name))
    first = pages(tmp_path / "scope.pdf")[0]
    assert (
        "Ground: Measured from drawing TH-01, revision B (house.pdf), page 1. Measured on site: Snug. First: Measured "
        "from drawing TH-02, revision A (upper.dxf). Attic: Measured from typed dimensions. Measured on site: Den."
    ) in first
    own = "Measured from drawing TH-02, revision A (upper.dxf)."
    assert any(own in page for page in pages(tmp_path / "site.pdf")[1:])


def test_rooms_that_were_all_read_on_site_are_measured_from_no_drawing() -> None:
    job = Job(storeys=(Storey(id=StoreyId("g"), rooms=(room("Hall", READ), room("Snug", READ))),))
    sheets = document(measure_job(Opened(Path("h.job.json"), "job", job, ())), "2031-05-20")
    assert sheets.source.startswith("Measured on site: all rooms.")
    assert sheets.origin == "Source: 2 rooms measured on site."


def test_result_says_it_too() -> None:
    told = json.loads(result_json(measure_job(Opened(Path("house.job.json"), "job", three_storeys(), ()))))
    assert [one["source"] for one in told["rooms"]] == ["drawing", "site", "drawing", "site", "typed"]
    assert told["sources"][0] == {
        "storey": "g",
        "name": "Ground",
        "drawing": "house.pdf",
        "number": "TH-01",
        "revision": "B",
        "page": 1,
        "read_on_site": ["snug"],
    }
    assert [one["drawing"] for one in told["sources"]] == ["house.pdf", "upper.dxf", ""]


def test_duplicated_storey_is_of_the_same_drawing() -> None:
    job = open_file(SAMPLES / "terrace_ground.dxf").job
    twice = edits.duplicate_storey(job, job.storeys[0].id, StoreyId("up"), "Upper", 2700.0)
    assert [storey.drawing for storey in twice.storeys] == [FIRST, FIRST]
