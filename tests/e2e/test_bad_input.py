"""Whatever is thrown at the command: one sentence with the file and the reason, exit 2, nothing written."""

from __future__ import annotations

import json
import re
import subprocess
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest

Takeoff = Callable[..., subprocess.CompletedProcess[str]]

DXF = "  0\nSECTION\n  2\nENTITIES\n{entities}  0\nENDSEC\n  0\nEOF\n"
LINE = "  0\nLINE\n  8\n0\n 10\n{x}\n 20\n0.0\n 11\n4000.0\n 21\n0.0\n"


def refuse(done: subprocess.CompletedProcess[str], folder: Path, *words: str) -> None:
    """The run ended as a refusal must."""
    assert done.returncode == 2, done.stdout + done.stderr
    assert done.stdout == ""
    sentence = done.stderr.strip()
    assert sentence.startswith("takeoff: ")
    assert sentence.endswith((".", "?"))
    assert "\n" not in sentence
    assert "Traceback" not in sentence
    assert "the program itself has failed" not in sentence
    for word in words:
        assert re.search(word, sentence, re.IGNORECASE), sentence
    assert not folder.exists()


def room(x0: str = "0.0") -> str:
    corners = [(x0, "0"), ("4000", "0"), ("4000", "3000"), (x0, "3000"), (x0, "0")]
    return "".join(
        f"  0\nLINE\n  8\nWALL\n 10\n{a[0]}\n 20\n{a[1]}\n 11\n{b[0]}\n 21\n{b[1]}\n" for a, b in pairwise(corners)
    )


CONTENTS: dict[str, tuple[bytes, tuple[str, ...]]] = {
    "empty": (b"", ("empty",)),
    "blank": (b"\n \n", ("blank",)),
    "binary": (bytes(range(256)) * 40, ("binary",)),
    "dwg": (b"AC1032\0\0\0\0" + bytes(500), ("DWG", "DXF")),
    "words": (b"Dear Sir, please find attached the plan.\n" * 50, ("DXF",)),
    "no-linework": (DXF.format(entities="").encode(), ("line",)),
    "half-a-job": (b'{"schema": "takeoff-job/2", "storeys": [', ("JSON",)),
    "list": (b"[1, 2, 3]", ("job",)),
    "deep": (b"[" * 100_000, ("job|JSON|nested",)),
}


@pytest.mark.parametrize("name", sorted(CONTENTS))
@pytest.mark.parametrize("command", ["measure", "check"])
def test_content_that_is_no_plan(takeoff: Takeoff, tmp_path: Path, name: str, command: str) -> None:
    content, words = CONTENTS[name]
    path, out = tmp_path / f"{name}.dxf", tmp_path / "out"
    path.write_bytes(content)
    arguments = ("-o", out) if command == "measure" else ()
    refuse(takeoff(command, path, *arguments), out, f"{name}.dxf", *words)


def test_missing_file_and_folder(takeoff: Takeoff, tmp_path: Path) -> None:
    out = tmp_path / "out"
    refuse(takeoff("measure", tmp_path / "none.dxf", "-o", out), out, "none.dxf", "not exist")
    refuse(takeoff("measure", tmp_path, "-o", out), out, "folder")
    refuse(takeoff("measure", "", "-o", out), out)
    refuse(takeoff("measure", "-o", out), out, "FILE")


@pytest.mark.parametrize("number", ["nan", "1e300", "-1e300", "inf", "1e9999"])
def test_coordinates_that_no_building_has_never_become_figures(takeoff: Takeoff, tmp_path: Path, number: str) -> None:
    path, out = tmp_path / "far.dxf", tmp_path / "out"
    path.write_text(DXF.format(entities=room(number)))
    refuse(takeoff("measure", path, "-o", out), out, "far.dxf")


@pytest.mark.parametrize("number", ["nan", "1e300"])
def test_one_line_that_lost_its_place_could_be_a_wall_and_is_refused(
    takeoff: Takeoff, tmp_path: Path, number: str
) -> None:
    path, out = tmp_path / "plan.dxf", tmp_path / "out"
    path.write_text(DXF.format(entities=room() + LINE.format(x="1000.0")))
    assert takeoff("measure", path, "--unit", "mm").returncode == 0
    path.write_text(DXF.format(entities=room() + LINE.format(x=number)))
    refuse(takeoff("measure", path, "--unit", "mm", "-o", out), out, "plan.dxf", "LINE", "layer 0")


@pytest.mark.parametrize("part", [0.02, 0.3, 0.6, 0.9, 0.999])
def test_truncated_drawing_is_refused(takeoff: Takeoff, samples: Path, tmp_path: Path, part: float) -> None:
    whole = (samples / "terrace_ground.dxf").read_bytes()
    path, out = tmp_path / "cut.dxf", tmp_path / "out"
    path.write_bytes(whole[: int(len(whole) * part)])
    refuse(takeoff("measure", path, "-o", out), out, "cut.dxf", "cut off|no DXF|no readable")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"storeys": [{"id": "g", "height_mm": "high"}]}, (r"storeys\[0\]\.height_mm", "number", "text")),
        ({"storeys": [{"id": "g", "rooms": [{"id": "r"}]}]}, (r"storeys\[0\]\.rooms\[0\]", "outline")),
        ({"storey": []}, ("storey", "storeys")),
        ({"schema": "takeoff-job/99"}, ("newer",)),
        ({"system": "no-such-system"}, ("no-such-system",)),
    ],
)
def test_job_with_a_wrong_field_names_its_path(
    takeoff: Takeoff, tmp_path: Path, change: dict[str, object], words: tuple[str, ...]
) -> None:
    path, out = tmp_path / "my.job.json", tmp_path / "out"
    path.write_text(json.dumps({"schema": "takeoff-job/2"} | change))
    refuse(takeoff("measure", path, "-o", out), out, *words)


@pytest.mark.parametrize("where", ["a-file/out", "a-file"])
def test_output_folder_that_cannot_be_made(takeoff: Takeoff, samples: Path, tmp_path: Path, where: str) -> None:
    (tmp_path / "a-file").write_text("mine")
    done = takeoff("measure", samples / "terrace_ground.dxf", "-o", tmp_path / where)
    refuse(done, tmp_path / "out", "a-file")
    assert (tmp_path / "a-file").read_text() == "mine"
    assert [p.name for p in tmp_path.iterdir()] == ["a-file"]


def test_output_below_a_folder_that_the_system_forbids(takeoff: Takeoff, samples: Path) -> None:
    done = takeoff("measure", samples / "terrace_ground.dxf", "-o", "/proc/takeoff")
    refuse(done, Path("/proc/takeoff"), "/proc/takeoff")


def test_a_folder_in_the_way_of_one_file_leaves_everything_as_it_was(
    takeoff: Takeoff, samples: Path, tmp_path: Path
) -> None:
    (tmp_path / "result.json").mkdir()
    (tmp_path / "scope.pdf").write_text("the old one")
    done = takeoff("measure", samples / "terrace_ground.dxf", "-o", tmp_path)
    assert done.returncode == 2
    assert "result.json" in done.stderr
    assert sorted(p.name for p in tmp_path.iterdir()) == ["result.json", "scope.pdf"]
    assert (tmp_path / "scope.pdf").read_text() == "the old one"


def test_json_that_cannot_be_written_leaves_no_folder(takeoff: Takeoff, samples: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    done = takeoff("measure", samples / "terrace_ground.dxf", "-o", out, "--json", tmp_path / "no" / "r.json")
    refuse(done, out, "r.json")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--storey-height", "tall"), ("tall",)),
        (("--storey-height", "0"), ("storey-height",)),
        (("--storey-height", "nan"), ("nan",)),
        (("--storey-height", "2400 m"), ("2400 m",)),
        (("--unit", "cubit"), ("cubit",)),
        (("--window-sill", "2200"), ("window head", "sill")),
        (("--date", "2031-02-30"), ("2031-02-30",)),
        (("--page", "A0"), ("A0",)),
        (("--layers", ","), ("layer",)),
        (("--wrong",), ("--wrong",)),
    ],
)
def test_options_that_cannot_be(
    takeoff: Takeoff, samples: Path, tmp_path: Path, arguments: tuple[str, ...], words: tuple[str, ...]
) -> None:
    out = tmp_path / "out"
    refuse(takeoff("measure", samples / "terrace_ground.dxf", *arguments, "-o", out), out, *words)


@pytest.mark.parametrize(
    ("option", "text", "meant"),
    [
        ("--storey-height", "24000", "2.4 m"),
        ("--storey-height", "2.4 mm", "2.4 m"),
        ("--door-head", "20400", "2.04 m"),
        ("--window-sill", "90000", "900 mm"),
        ("--reveal", "15500", "155 mm"),
    ],
)
def test_length_that_cannot_be_is_answered_with_what_is_meant(
    takeoff: Takeoff, samples: Path, tmp_path: Path, option: str, text: str, meant: str
) -> None:
    out = tmp_path / "out"
    done = takeoff("measure", samples / "terrace_ground.dxf", option, text, "-o", out)
    refuse(done, out, f"“{text}” would be .*: did you mean {meant}")


def test_bare_height_in_metres_is_the_same_as_in_millimetres(takeoff: Takeoff, samples: Path, tmp_path: Path) -> None:
    said = []
    for number, height in enumerate(("2.4", "2400", "2.4 m")):
        file = tmp_path / f"{number}.json"
        takeoff("measure", samples / "terrace_ground.dxf", "--storey-height", height, "--json", file)
        said.append(json.loads(file.read_text(encoding="utf-8"))["totals"])
    assert said[0] == said[1] == said[2]
    assert said[0]["wall_gross_m2"] > 100.0


def test_layer_and_kind_that_do_not_exist_are_named(takeoff: Takeoff, samples: Path, tmp_path: Path) -> None:
    out, plan = tmp_path / "out", samples / "terrace_ground.dxf"
    refuse(takeoff("measure", plan, "--layers", "NOWHERE", "-o", out), out, "NOWHERE")
    refuse(takeoff("measure", plan, "--layer", "NOWHERE=walls", "--anew", "-o", out), out, "NOWHERE")
    text = (samples / "terrace.job.json").read_text(encoding="utf-8")
    path = tmp_path / "hatch.job.json"
    path.write_text(re.sub(r'"kind": ?"window"', '"kind": "hatchway"', text), encoding="utf-8")
    refuse(takeoff("measure", path, "-o", out), out, "hatch.job.json", "hatchway")
