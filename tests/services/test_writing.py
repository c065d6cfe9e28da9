"""What a measured job gives is written for client and team."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pypdfium2

from takeoff.plan.model import Job, Room, Side, Storey
from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import Opened
from takeoff.services.written import writing
from takeoff.services.written.writing import write_everything

CORNERS = ((0.0, 0.0), (3000.0, 0.0), (3000.0, 2000.0), (0.0, 2000.0))
ROOM = Room(id="r", name="Store", outline=tuple(Side(id=f"s{k}", x_mm=x, y_mm=y) for k, (x, y) in enumerate(CORNERS)))


def test_client_and_team_get_a_pdf_each_and_no_other_name_is_lost(tmp_path: Path) -> None:
    job = Job(name="Mill house", storeys=(Storey(id="s0", rooms=(ROOM,)),))
    measured = measure_job(Opened(Path("mill.job.json"), "job", job, ()))
    written = write_everything(measured, writing.document(measured, "2031-05-20"), tmp_path)
    assert [path.name for path in written[:5]] == [
        "scope.pdf",
        "order.pdf",
        "site.pdf",
        "dimensions.pdf",
        "takeoff.xlsx",
    ]
    assert all(path.is_file() for path in written)
    assert (tmp_path / "scope.pdf").read_bytes() != (tmp_path / "site.pdf").read_bytes()


def test_what_an_older_version_wrote_for_the_team_does_not_go_stale_beside_the_new_papers(tmp_path: Path) -> None:
    (tmp_path / "team.pdf").write_bytes(b"older")
    (tmp_path / "photo.jpg").write_bytes(b"mine")
    job = Job(name="Mill house", storeys=(Storey(id="s0", rooms=(ROOM,)),))
    measured = measure_job(Opened(Path("mill.job.json"), "job", job, ()))
    write_everything(measured, writing.document(measured, "2031-05-20"), tmp_path)
    assert not (tmp_path / "team.pdf").exists()
    assert (tmp_path / "photo.jpg").read_bytes() == b"mine"


def test_fingerprint_on_every_page_is_that_of_the_job_file_beside_it(tmp_path: Path) -> None:
    job = Job(name="Mill house", storeys=(Storey(id="s0", rooms=(ROOM,)),))
    measured = measure_job(Opened(Path("mill.job.json"), "job", job, ()))
    write_everything(measured, writing.document(measured, "2031-05-20"), tmp_path)
    digest = hashlib.sha256((tmp_path / "job.json").read_bytes()).hexdigest()[:8]
    for name in writing.PAPER_NAMES.values():
        for page in pypdfium2.PdfDocument(tmp_path / name):
            assert f"job {digest} · Page" in page.get_textpage().get_text_range()
