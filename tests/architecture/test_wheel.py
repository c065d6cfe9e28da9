"""The wheel carries the program's data, and finds it where there is no checkout."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

wheels = pytest.importorskip("hatchling.builders.wheel", reason="the test extra is not installed")

CHECKOUT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    wheel = next(iter(wheels.WheelBuilder(str(CHECKOUT)).build(directory=str(folder), versions=["standard"])))
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder / "site")
    return folder / "site"


def test_wheel_carries_every_resource(unpacked: Path) -> None:
    resources = CHECKOUT / "resources"
    wanted = {p.relative_to(resources) for p in resources.rglob("*") if p.is_file()}
    assert wanted
    inside = unpacked / "takeoff" / "resources"
    sample = Path("samples") / "terrace.job.json"
    assert {p.relative_to(inside) for p in inside.rglob("*") if p.is_file()} == {*wanted, sample}
    assert (inside / sample).read_bytes() == (CHECKOUT / "sample_plans" / sample.name).read_bytes()


def test_installed_program_finds_its_resources_without_a_checkout(unpacked: Path) -> None:
    program = (
        "from takeoff.files import paths; from takeoff.supply.systems import available, load; "
        "import pathlib, takeoff; print(pathlib.Path(takeoff.__file__).parents[1]); "
        "print([load(one).id for one in available()])"
    )
    done = subprocess.run(
        [sys.executable, "-c", program],
        cwd=unpacked,
        capture_output=True,
        text=True,
        timeout=300,
        check=True,
        env={"PYTHONPATH": str(unpacked), "PATH": ""},
    )
    where, systems = done.stdout.splitlines()
    assert Path(where) == unpacked
    assert systems != "[]"


def test_checkout_finds_its_resources_beside_the_package() -> None:
    program = "from takeoff.supply.systems import available; print(available())"
    done = subprocess.run(
        [sys.executable, "-c", program],
        cwd=CHECKOUT,
        capture_output=True,
        text=True,
        timeout=300,
        check=True,
        env={"PYTHONPATH": str(CHECKOUT), "PATH": ""},
    )
    assert done.stdout.strip() != "()"


def test_wheel_has_the_command_and_no_tests(unpacked: Path) -> None:
    entry_points = next(unpacked.glob("takeoff-*.dist-info/entry_points.txt")).read_text()
    assert "takeoff = takeoff.cli.main:main" in entry_points
    assert not (unpacked / "tests").exists()
