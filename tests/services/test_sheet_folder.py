"""Papers go into a folder of their job, all or some of them, and never over another job's."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pypdfium2
import pytest

from takeoff.errors import InputError, OutputError
from takeoff.plan.model import Job, Room, Side, Storey
from takeoff.services.measured.job_result import Measured, measure_job
from takeoff.services.opened.opening import Opened
from takeoff.services.written.sheet_folder import PARTS, folder_beside, parts_of, write_parts
from takeoff.services.written.writing import document

CORNERS = ((0.0, 0.0), (3000.0, 0.0), (3000.0, 2000.0), (0.0, 2000.0))
ROOM = Room(id="r", name="Store", outline=tuple(Side(id=f"s{k}", x_mm=x, y_mm=y) for k, (x, y) in enumerate(CORNERS)))


def measured(name: str = "Mill house") -> Measured:
    job = Job(name=name, storeys=(Storey(id="s0", rooms=(ROOM,)),))
    return measure_job(Opened(Path("mill.job.json"), "job", job, ()))


def written(of: Measured, folder: Path, parts: str = "") -> list[str]:
    return [path.name for path in write_parts(of, document(of, "2031-05-20"), folder, parts_of(parts))]


def test_one_paper_alone_is_written_with_the_job_it_is_of(tmp_path: Path) -> None:
    assert written(measured(), tmp_path / "mill", "order") == ["order.pdf", "job.json"]
    assert sorted(path.name for path in (tmp_path / "mill").iterdir()) == ["job.json", "order.pdf"]


def test_another_jobs_papers_are_never_written_over(tmp_path: Path) -> None:
    written(measured(), tmp_path, "scope")
    before = (tmp_path / "scope.pdf").read_bytes()
    with pytest.raises(OutputError, match="holds the sheets of another job, Mill house: choose another folder"):
        written(measured("Quay house"), tmp_path, "scope")
    assert (tmp_path / "scope.pdf").read_bytes() == before
    written(measured(), tmp_path, "scope,site")
    assert (tmp_path / "site.pdf").is_file()


def test_files_that_nobody_can_tell_the_job_of_stay(tmp_path: Path) -> None:
    (tmp_path / "scope.pdf").write_bytes(b"mine")
    with pytest.raises(OutputError, match=r"no job\.json tells of which job"):
        written(measured(), tmp_path, "scope")
    assert (tmp_path / "scope.pdf").read_bytes() == b"mine"
    assert written(measured(), tmp_path, "order") == ["order.pdf", "job.json"]


def test_folder_is_named_after_the_job_file() -> None:
    assert folder_beside(Path("/a/mill house.job.json")) == Path("/a/mill house")
    assert folder_beside(Path("/a/mill.takeoff")) == Path("/a/mill")
    assert folder_beside(Path("/a/mill")) == Path("/a/mill sheets")


def test_a_sheet_that_does_not_exist_is_refused_by_name() -> None:
    with pytest.raises(InputError, match="There is no sheet called “team”: choose among scope, order"):
        parts_of("scope,team")
    assert parts_of("") == PARTS
    assert parts_of(" Site,scope ") == ("scope", "site")


def test_a_calendar_without_dates_is_refused_when_it_is_asked_for(tmp_path: Path) -> None:
    of = measured()
    assert "calendar.ics" not in written(of, tmp_path / "all")
    with pytest.raises(InputError, match="set the first day"):
        write_parts(of, document(of), tmp_path / "asked", parts_of("calendar"), asked=True)
    terms = msgspec.structs.replace(of.job.programme, start="2031-05-19")
    dated = msgspec.structs.replace(of, job=msgspec.structs.replace(of.job, programme=terms))
    assert written(dated, tmp_path / "dated", "calendar") == ["calendar.ics", "job.json"]


def test_pages_have_bookmarks_a_title_a_language_and_the_date_of_the_sheets(tmp_path: Path) -> None:
    written(measured(), tmp_path, "site")
    data = (tmp_path / "site.pdf").read_bytes()
    pdf = pypdfium2.PdfDocument(data)
    titles = [mark.get_title() for mark in pdf.get_toc()]
    assert titles[0] == "Mill house"
    assert {"Before and during the work", "Mixing and drying", "Store"} <= set(titles)
    told = pdf.get_metadata_dict()
    assert told["Title"] == "Site sheets: Mill house"
    assert told["CreationDate"].startswith("D:20310520")
    assert b"/Lang (en)" in data
