"""A drawing whose scale was guessed: nothing for the client without asking for a draft, from its job neither."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

SHEET = Path(__file__).parents[3] / "shared" / "plans" / "house" / "ground_1to10.pdf"
pytestmark = pytest.mark.skipif(not SHEET.exists(), reason="../shared/plans is not beside this checkout")


def test_guessed_scale_gives_no_scope_and_neither_does_its_job(takeoff, tmp_path: Path) -> None:
    for file, folder in ((SHEET, "first"), (tmp_path / "first" / "job.json", "again")):
        done = takeoff("measure", file, "-o", tmp_path / folder)
        assert done.returncode == 1
        assert "Nothing was written for the client: fix what is listed first" in " ".join(done.stdout.split())
        assert "--draft" in done.stdout
        assert (tmp_path / folder / "site.pdf").is_file()
        assert not list((tmp_path / folder).glob("scope*"))
    done = takeoff("measure", tmp_path / "first" / "job.json", "-o", tmp_path / "drafted", "--draft")
    assert done.returncode == 1
    assert "Nothing was written" not in done.stdout
    assert (tmp_path / "drafted" / "scope.pdf").is_file()


def test_older_scope_is_named_and_json_on_standard_output_stays_alone(takeoff, tmp_path: Path) -> None:
    (tmp_path / "scope.pdf").write_bytes(b"older")
    done = takeoff("measure", SHEET, "-o", tmp_path, "--json", "-")
    assert json.loads(done.stdout)["draft"].startswith("ground_1to10.pdf does not show")
    assert "(the scope.pdf there is an older one)" in " ".join(done.stderr.split())
    assert (tmp_path / "scope.pdf").read_bytes() == b"older"


def test_given_scale_gives_everything(takeoff, tmp_path: Path) -> None:
    done = takeoff("measure", SHEET, "--scale", "1:10", "-o", tmp_path / "out")
    assert done.returncode == 0
    assert (tmp_path / "out" / "scope.pdf").is_file()
    assert takeoff("measure", tmp_path / "out" / "job.json").returncode == 0
