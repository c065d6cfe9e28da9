"""``takeoff sheets``: the papers of a job, as a user asks for them."""

from __future__ import annotations

import shutil
from pathlib import Path

import pypdfium2
import pytest
from click.testing import CliRunner

from takeoff.cli import sheet_command
from takeoff.cli.commands import takeoff
from takeoff.errors import TakeoffError
from takeoff.services.written.sheet_folder import PARTS

JOB = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return Path(shutil.copy(JOB, tmp_path / "terrace.job.json"))


def run(*given: object) -> str:
    done = CliRunner().invoke(takeoff, ["sheets", *map(str, given)], catch_exceptions=True, standalone_mode=False)
    if done.exception is not None:
        raise done.exception
    return done.output


def test_all_sheets_go_into_a_folder_named_after_the_job(job: Path) -> None:
    said = run(job, "--date", "2031-05-20")
    names = {path.name for path in (job.parent / "terrace").iterdir()}
    assert {"scope.pdf", "order.pdf", "site.pdf", "dimensions.pdf", "takeoff.xlsx", "rooms.csv", "job.json"} <= names
    assert str(job.parent / "terrace" / "order.pdf") in said


def test_one_sheet_goes_alone_where_it_is_wanted(job: Path, tmp_path: Path) -> None:
    run(job, "-o", tmp_path / "out", "--only", "dimensions", "--page", "A3")
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == ["dimensions.pdf", "job.json"]


def test_a_sheet_nobody_knows_and_a_folder_that_is_a_file_are_refused(job: Path, tmp_path: Path) -> None:
    with pytest.raises(TakeoffError, match="There is no sheet called “plan”"):
        run(job, "--only", "plan")
    (tmp_path / "taken").write_text("a file")
    with pytest.raises(TakeoffError, match="taken"):
        run(job, "-o", tmp_path / "taken")
    assert (tmp_path / "taken").read_text() == "a file"


def test_help_names_what_there_is() -> None:
    assert sheet_command.PARTS == PARTS


def test_own_terms_stand_on_the_scope_and_what_is_no_text_is_refused(job: Path, tmp_path: Path) -> None:
    (tmp_path / "terms.txt").write_text("Payment within 14 days.", encoding="utf-8")
    run(job, "-o", tmp_path / "out", "--only", "scope,order", "--terms", tmp_path / "terms.txt")
    scope, order = (
        " ".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(tmp_path / "out" / name))
        for name in ("scope.pdf", "order.pdf")
    )
    assert "Payment within 14 days." in scope
    assert "Payment" not in order
    for bad, said in ((b"\xff\xfe\x00", "no plain text"), (b"word " * 1000, "longer than a page")):
        (tmp_path / "bad.txt").write_bytes(bad)
        with pytest.raises(TakeoffError, match=said):
            run(job, "-o", tmp_path / "out", "--terms", tmp_path / "bad.txt")
    with pytest.raises(TakeoffError, match="cannot be read"):
        run(job, "-o", tmp_path / "out", "--terms", tmp_path / "none.txt")
