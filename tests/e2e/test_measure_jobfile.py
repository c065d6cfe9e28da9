"""``takeoff measure`` takes the window's job file, whole or damaged, and says the same as of its JSON."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from msgspec.structs import replace

from takeoff.drawing.model import Drawing, Layer, Linework
from takeoff.plan.job_drawings import FIRST
from takeoff.plan.moved import moved_light, moved_room
from takeoff.storage import jobfile, jobs
from takeoff.storage.content import Content


@pytest.fixture
def stored(samples: Path, tmp_path: Path) -> Path:
    job = jobs.load((samples / "terrace.job.json").read_bytes(), "terrace.job.json")
    path = tmp_path / "terrace.takeoff"
    jobfile.save(path, Content(job, {FIRST: Drawing("terrace.dxf", (Layer("0"),), Linework())}))
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
    assert "was damaged and the drawing as it was read (open it again) is lost" in " ".join(
        (done.stdout + done.stderr).split()
    )


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


def test_a_house_on_the_national_grid_measures_as_it_does_at_the_origin(
    takeoff: Callable, samples: Path, tmp_path: Path
) -> None:
    """530 km east and 180 km north: no number of it is absurd, and no figure moves."""
    job = jobs.load((samples / "terrace.job.json").read_bytes(), "terrace.job.json")
    east, north = 530e6, 180e6
    storeys = [
        replace(
            storey,
            rooms=tuple(moved_room(room, (east, north, 0.0)) for room in storey.rooms),
            rooflights=tuple(moved_light(light, (east, north, 0.0)) for light in storey.rooflights),
            building=tuple(tuple((x + east, y + north, b) for x, y, b in ring) for ring in storey.building),
        )
        for storey in job.storeys
    ]
    far = replace(job, storeys=tuple(storeys))
    path = tmp_path / "far.job.json"
    path.write_bytes(jobs.dump(far))
    here = takeoff("measure", samples / "terrace.job.json", "--json", "-")
    there = takeoff("measure", path, "--json", "-")
    assert (here.returncode, there.returncode) == (0, 0), there.stderr
    before, after = json.loads(here.stdout), json.loads(there.stdout)
    assert [f["code"] for f in after["findings"]] == [f["code"] for f in before["findings"]]
    assert "number-absurd" not in there.stdout
    for key, value in before["totals"].items():
        assert after["totals"][key] == pytest.approx(value, rel=1e-9), key
