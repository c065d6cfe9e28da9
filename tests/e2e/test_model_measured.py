"""A building model through the command, from the file to the sheets."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

READERS = Path(__file__).parents[1] / "readers"
Takeoff = Callable[..., subprocess.CompletedProcess[str]]


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """The invented house of the reader's tests."""
    path = tmp_path / "house.ifc"
    program = "import sys; from ifc_making import house; open(sys.argv[1], 'w').write(house().text())"
    subprocess.run([sys.executable, "-c", program, str(path)], cwd=READERS, check=True, timeout=300)
    return path


def test_model_is_measured_to_sheets(takeoff: Takeoff, house: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    done = takeoff("measure", house, "-o", out)
    assert done.returncode == 0, done.stderr
    assert "Traceback" not in done.stderr
    assert list(out.glob("*.pdf"))
    done = takeoff("measure", house, "--json", "-")
    rooms = {room["name"]: room for room in json.loads(done.stdout)["rooms"]}
    assert {name: room["floor_m2"] for name, room in rooms.items()} == pytest.approx(
        {"Kitchen": 17.6, "Hall": 14.52, "Studio": 17.6, "Gallery": 14.96}
    )


def test_damaged_model_is_one_sentence(takeoff: Takeoff, house: Path) -> None:
    house.write_bytes(house.read_bytes()[:2000])
    done = takeoff("measure", house)
    assert done.returncode == 2
    assert "is cut off" in done.stderr
    assert "Traceback" not in done.stderr
