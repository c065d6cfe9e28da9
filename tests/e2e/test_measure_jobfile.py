"""``takeoff measure`` takes the window's job file, whole or damaged, and says the same as of its JSON."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from takeoff.drawing.model import Drawing, Layer, Linework
from takeoff.storage import jobfile, jobs
from takeoff.storage.content import Content


@pytest.fixture
def stored(samples: Path, tmp_path: Path) -> Path:
    job = jobs.load((samples / "terrace.job.json").read_bytes(), "terrace.job.json")
    path = tmp_path / "terrace.takeoff"
    jobfile.save(path, Content(job, Drawing("terrace.dxf", (Layer("0"),), Linework())))
    return path


def quantities(text: str) -> dict[str, object]:
    """The result without the name of the file it came from."""
    result = json.loads(text)
    result.pop("source", None)
    return result


def test_the_job_file_measures_as_its_json(takeoff: Callable, samples: Path, stored: Path) -> None:
    of_json = takeoff("measure", samples / "terrace.job.json", "--json", "-")
    of_file = takeoff("measure", stored, "--json", "-")
    assert of_file.returncode == of_json.returncode == 0, of_file.stderr
    assert quantities(of_file.stdout) == quantities(of_json.stdout)
    assert of_file.stderr == of_json.stderr.replace("terrace.job.json", "terrace.takeoff")


def test_a_damaged_job_file_is_measured_and_the_loss_is_said(takeoff: Callable, stored: Path) -> None:
    stored.write_bytes(stored.read_bytes()[:-900])
    done = takeoff("measure", stored)
    assert done.returncode == 0, done.stderr
    assert "was damaged: the drawing as it was read" in " ".join((done.stdout + done.stderr).split())


def test_a_newer_job_file_is_refused_in_one_sentence(
    takeoff: Callable, stored: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    content = jobfile.load(stored)
    monkeypatch.setattr(jobfile, "VERSION", 99)
    jobfile.save(stored, content)
    monkeypatch.undo()
    done = takeoff("measure", stored)
    assert done.returncode != 0
    assert "newer version" in " ".join(done.stderr.split())
    assert "Traceback" not in done.stderr
