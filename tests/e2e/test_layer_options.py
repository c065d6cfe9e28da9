"""What layers are for: listed, said at the command, remembered for the next drawing of the office."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import ezdxf
import pytest

Takeoff = Callable[..., subprocess.CompletedProcess[str]]


def odd_plan(path: Path, dashed: str = "") -> Path:
    """Walls on a layer called like equipment: 4 × 3 m within walls of 300, parted by a wall at 2 m on a
    layer of its own, or by dashed lines on the same."""
    doc = ezdxf.new(units=4)
    doc.linetypes.add("DASHED", [0.75, 0.5, -0.25])
    for name in ("Equipment", "Partitions-1", "Text"):
        doc.layers.add(name)
    space = doc.modelspace()
    for low, x, y in ((-300, 4300, 3300), (0, 4000, 3000)):
        space.add_lwpolyline([(low, low), (x, low), (x, y), (low, y)], close=True, dxfattribs={"layer": "Equipment"})
    look = {"layer": "Equipment" if dashed else "Partitions-1", "linetype": dashed or "BYLAYER"}
    space.add_lwpolyline([(2000, 0), (2100, 0), (2100, 3000), (2000, 3000)], close=True, dxfattribs=look)
    for text, x in (("Kitchen", 800), ("Hall", 3000)):
        space.add_text(text, height=150, dxfattribs={"layer": "Text"}).set_placement((x, 1500))
    doc.saveas(path)
    return path


def areas(takeoff: Takeoff, plan: Path, *options: str, state: Path) -> list[float]:
    done = takeoff("measure", plan, "--json", "-", *options, XDG_STATE_HOME=str(state))
    assert done.returncode in (0, 1), done.stderr
    rooms = json.loads(done.stdout)["rooms"]
    return sorted(round(room["floor_m2"], 2) for room in rooms)


def test_check_lists_what_each_layer_is_taken_for(takeoff: Takeoff, tmp_path: Path) -> None:
    done = takeoff("check", odd_plan(tmp_path / "a.dxf"), XDG_STATE_HOME=str(tmp_path))
    assert "Equipment" in done.stdout
    assert "furniture" in done.stdout
    assert "its name has “equipment”" in done.stdout


def test_what_is_said_of_a_layer_counts_and_is_remembered_for_the_next_drawing(
    takeoff: Takeoff, tmp_path: Path
) -> None:
    said = ("--layer", "Equipment=walls")
    assert areas(takeoff, odd_plan(tmp_path / "a.dxf"), *said, state=tmp_path) == [5.7, 6.0]
    again = odd_plan(tmp_path / "b.dxf")
    done = takeoff("check", again, XDG_STATE_HOME=str(tmp_path))
    assert "Layers of b.dxf are set as you set them for an earlier drawing" in " ".join(done.stdout.split())
    assert areas(takeoff, again, state=tmp_path) == [5.7, 6.0]


def test_anew_neither_looks_nor_remembers(takeoff: Takeoff, tmp_path: Path) -> None:
    areas(takeoff, odd_plan(tmp_path / "a.dxf"), "--layer", "Equipment=walls", "--anew", state=tmp_path)
    assert not (tmp_path / "takeoff").exists()


def test_dashed_walls_stand_or_come_down_as_is_said(takeoff: Takeoff, tmp_path: Path) -> None:
    plan = odd_plan(tmp_path / "a.dxf", "DASHED")
    walls = ("--layer", "Equipment=walls", "--anew")
    assert areas(takeoff, plan, *walls, "--layer", "Equipment (DASHED)=demolished", state=tmp_path) == [12.0]
    assert areas(takeoff, plan, *walls, "--layer", "Equipment (DASHED)=walls", state=tmp_path) == [5.7, 6.0]


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("WALLS=walls", "has no layer, line type or colour of walls called “WALLS”"),
        ("Equipment=cupboards", "is not a layer use"),
        ("Equipment", "does not name a layer and its use"),
    ],
)
def test_what_cannot_be_meant_is_refused_in_a_sentence(takeoff: Takeoff, tmp_path: Path, said: str, words: str) -> None:
    done = takeoff("check", odd_plan(tmp_path / "a.dxf"), "--layer", said, XDG_STATE_HOME=str(tmp_path))
    assert done.returncode == 2
    assert words in done.stderr
    assert done.stderr.count("\n") == 1
