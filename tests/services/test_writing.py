"""What a measured job gives is written for client and team."""

from __future__ import annotations

from pathlib import Path

from takeoff.plan.model import Job, Room, Side, Storey
from takeoff.services import writing
from takeoff.services.job_result import measure_job
from takeoff.services.opening import Opened
from takeoff.services.writing import write_everything

CORNERS = ((0.0, 0.0), (3000.0, 0.0), (3000.0, 2000.0), (0.0, 2000.0))
ROOM = Room(id="r", name="Store", outline=tuple(Side(id=f"s{k}", x_mm=x, y_mm=y) for k, (x, y) in enumerate(CORNERS)))


def test_client_and_team_get_a_pdf_each_and_no_other_name_is_lost(tmp_path: Path) -> None:
    job = Job(name="Mill house", storeys=(Storey(id="s0", rooms=(ROOM,)),))
    measured = measure_job(Opened(Path("mill.job.json"), "job", job, ()))
    written = write_everything(measured, writing.document(measured, "2031-05-20"), tmp_path)
    assert [path.name for path in written[:3]] == ["scope.pdf", "team.pdf", "takeoff.xlsx"]
    assert all(path.is_file() for path in written)
    assert (tmp_path / "scope.pdf").read_bytes() != (tmp_path / "team.pdf").read_bytes()
