"""From a drawing to the sheets, as a user runs it."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest

Takeoff = Callable[..., subprocess.CompletedProcess[str]]

AREA_TOLERANCE = 1e-3
"""A tenth of a percent, as a room must be found on a clean drawing."""


def result_of(takeoff: Takeoff, *arguments: object) -> dict[str, Any]:
    done = takeoff("measure", *arguments, "--json", "-")
    assert done.returncode in (0, 1), done.stderr
    decoded: dict[str, Any] = json.loads(done.stdout)
    return decoded


@pytest.mark.parametrize(
    "name",
    [
        "terrace_ground",
        "terrace_first",
        "terrace_ground_rev_b",
        "terrace_first_rev_b",
        "terrace_attic_rev_b",
        "loft",
        "flat_feet",
        "stairwell",
    ],
)
def test_every_sample_plan_is_measured_as_it_was_drawn(takeoff: Takeoff, samples: Path, name: str) -> None:
    truth = json.loads((samples / f"{name}.truth.json").read_text(encoding="utf-8"))
    result = result_of(takeoff, samples / f"{name}.dxf")
    assert result["unit"] == truth["unit"]
    found = {room["name"]: room for room in result["rooms"]}
    assert sorted(found) == sorted(room["name"] for room in truth["rooms"])
    for room in truth["rooms"]:
        assert found[room["name"]]["floor_m2"] == pytest.approx(room["area_m2"], rel=AREA_TOLERANCE)
        assert found[room["name"]]["perimeter_m"] == pytest.approx(room["perimeter_m"], rel=AREA_TOLERANCE)
    assert not [f for f in result["findings"] if f["severity"] == "error"]


@pytest.mark.parametrize("name", ["terrace_ground", "terrace_first", "flat_feet"])
def test_doors_and_windows_are_found_with_their_widths(takeoff: Takeoff, samples: Path, name: str) -> None:
    truth = json.loads((samples / f"{name}.truth.json").read_text(encoding="utf-8"))
    result = result_of(takeoff, samples / f"{name}.dxf")
    found = sorted(
        (o["kind"], round(o["width_mm"]))
        for room in result["rooms"]
        for o in room["openings"]
        if o["confidence"] == "sure"
    )
    assert found == sorted((o["kind"], round(o["width_mm"])) for o in truth["openings"])


def test_figures_of_a_room_close(takeoff: Takeoff, samples: Path) -> None:
    for file in ("terrace_ground.dxf", "terrace.job.json"):
        result = result_of(takeoff, samples / file)
        for room in result["rooms"]:
            parts = room["openings_m2"] + room["excluded_m2"] + room["not_coated_m2"] + room["wall_net_m2"]
            assert room["wall_gross_m2"] == pytest.approx(parts, rel=1e-9)
            coated = room["wall_net_m2"] + room["ceiling_m2"] + room["drop_m2"] + room["reveal_m2"]
            assert room["coated_m2"] == pytest.approx(coated, rel=1e-9)
        total = sum(room["coated_m2"] * room["times"] for room in result["rooms"])
        assert result["totals"]["coated_m2"] == pytest.approx(total, rel=1e-9)


def test_result_follows_its_published_schema(takeoff: Takeoff, samples: Path) -> None:
    published = json.loads(takeoff("schema", "result").stdout)
    result = result_of(takeoff, samples / "terrace.job.json")
    assert list(jsonschema.Draft202012Validator(published).iter_errors(result)) == []


def test_sample_job_follows_its_published_schema(takeoff: Takeoff, samples: Path) -> None:
    published = json.loads(takeoff("schema", "job").stdout)
    job = json.loads((samples / "terrace.job.json").read_text(encoding="utf-8"))
    assert list(jsonschema.Draft202012Validator(published).iter_errors(job)) == []
    job["storeys"][0]["height_mm"] = "high"
    assert list(jsonschema.Draft202012Validator(published).iter_errors(job))


def test_everything_is_written_and_the_summary_names_it(
    takeoff_process: Takeoff, samples: Path, tmp_path: Path
) -> None:
    out = tmp_path / "new" / "out"
    done = takeoff_process("measure", samples / "terrace_ground.dxf", "-o", out, "--date", "2031-05-20")
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    names = {p.name for p in out.rglob("*")}
    assert {"scope.pdf", "order.pdf", "site.pdf", "dimensions.pdf", "takeoff.xlsx", "result.json", "job.json"} <= names
    assert any(name.endswith(".csv") for name in names)
    assert not [name for name in names if name.startswith(".")]
    tables = sum(name.endswith(".csv") for name in names)
    assert f"{tables} CSV tables" in done.stdout
    told = " ".join(done.stdout.split())
    said = (str(out), "scope.pdf", "order.pdf", "site.pdf", "dimensions.pdf", "takeoff.xlsx", "result.json", "job.json")
    assert all(word in told for word in said)
    for word in ("Living room", "Kitchen", "WC", "Store", "Hall"):
        assert word in done.stdout


def test_same_input_and_date_give_the_same_files(takeoff: Takeoff, samples: Path, tmp_path: Path) -> None:
    for out in ("one", "two"):
        done = takeoff("measure", samples / "terrace_first.dxf", "-o", tmp_path / out, "--date", "2031-05-20")
        assert (tmp_path / out / "scope.pdf").stat().st_size > 1000, done.stderr
    for path in (tmp_path / "one").rglob("*.*"):
        other = tmp_path / "two" / path.relative_to(tmp_path / "one")
        assert path.read_bytes() == other.read_bytes(), path.name


def test_job_saved_from_a_drawing_measures_as_the_drawing_did(takeoff: Takeoff, samples: Path, tmp_path: Path) -> None:
    path = tmp_path / "mine.job.json"
    assert takeoff("job", samples / "terrace_ground.dxf", "-o", path).returncode == 0
    from_drawing, from_job = result_of(takeoff, samples / "terrace_ground.dxf"), result_of(takeoff, path)
    assert from_job["rooms"] == from_drawing["rooms"]
    assert from_job["totals"] == from_drawing["totals"]
    assert from_job["materials"] == from_drawing["materials"]


def test_heights_given_are_no_longer_assumed(takeoff: Takeoff, samples: Path) -> None:
    path = samples / "loft.dxf"
    assumed = result_of(takeoff, path)
    given = result_of(
        takeoff,
        path,
        "--storey-height",
        "2.5 m",
        "--door-head",
        "2040",
        "--window-sill",
        "900",
        "--window-head",
        "2100",
        "--reveal",
        "150",
    )
    assert [f for f in assumed["findings"] if f["severity"] == "assumed"]
    assert not [f for f in given["findings"] if f["code"].startswith("assumed-")]
    assert {room["height_max_mm"] for room in assumed["rooms"]} == {2400}
    assert {room["height_max_mm"] for room in given["rooms"]} == {2500}


def test_options_for_drawings_have_no_effect_on_a_job_and_that_is_said(takeoff: Takeoff, samples: Path) -> None:
    result = result_of(takeoff, samples / "terrace.job.json", "--storey-height", "3000", "--unit", "m")
    assert result["totals"] == result_of(takeoff, samples / "terrace.job.json")["totals"]
    said = [f["text"] for f in result["findings"] if f["code"] == "option-without-effect"]
    assert len(said) == 1
    assert "--storey-height" in said[0]
    assert "--unit" in said[0]


def test_unit_can_be_overruled(takeoff: Takeoff, samples: Path) -> None:
    as_cm = result_of(takeoff, samples / "terrace_ground.dxf", "--unit", "cm")
    as_mm = result_of(takeoff, samples / "terrace_ground.dxf")
    assert as_cm["unit"] == "cm"
    assert {f["code"] for f in as_cm["findings"]} != {f["code"] for f in as_mm["findings"]}


def test_job_with_an_impossible_opening_is_done_with_errors(takeoff: Takeoff, samples: Path, tmp_path: Path) -> None:
    job = json.loads((samples / "terrace.job.json").read_text(encoding="utf-8"))
    job["storeys"][0]["openings"][0]["offset_mm"] = 90000.0
    path = tmp_path / "wrong.job.json"
    path.write_text(json.dumps(job))
    done = takeoff("measure", path, "-o", tmp_path / "out")
    assert done.returncode == 1
    assert "To fix" in done.stdout
    # nothing goes to a client while an error is open, unless as a draft
    assert not (tmp_path / "out" / "scope.pdf").exists()
    assert (tmp_path / "out" / "site.pdf").exists()
    assert takeoff("measure", path, "-o", tmp_path / "draft", "--draft").returncode == 1
    assert (tmp_path / "draft" / "scope.pdf").exists()
    assert takeoff("check", path).returncode == 1


def test_job_without_rooms_says_so(takeoff: Takeoff, tmp_path: Path) -> None:
    path = tmp_path / "bare.json"
    path.write_text('{"schema": "takeoff-job/2"}')
    done = takeoff("measure", path)
    assert done.returncode == 1
    assert "no room" in done.stdout


def test_check_lists_findings_only(takeoff: Takeoff, samples: Path) -> None:
    done = takeoff("check", samples / "terrace_ground.dxf")
    assert done.returncode == 0
    assert "Assumed" in done.stdout
    assert "Kitchen  " not in done.stdout


def test_piped_output_holds_no_control_characters(takeoff_process: Takeoff, samples: Path) -> None:
    done = takeoff_process("measure", samples / "terrace_ground.dxf", FORCE_COLOR="", TERM="xterm-256color")
    assert "\x1b" not in done.stdout
    assert done.stderr == ""


def test_a_terminal_without_the_signs_still_gets_its_summary(takeoff_process: Takeoff, samples: Path) -> None:
    done = takeoff_process("measure", samples / "terrace_ground.dxf", PYTHONIOENCODING="ascii")
    assert done.returncode == 0
    assert "Kitchen" in done.stdout


def test_a_reader_that_stops_early_is_no_failure(samples: Path) -> None:
    command = [sys.executable, "-m", "takeoff.cli.main", "measure", str(samples / "terrace_ground.dxf")]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        complaint = process.stderr.read()
        process.wait(timeout=300)
    assert complaint == b""
    assert process.returncode == 0


def test_interrupted_run_ends_with_a_sentence_and_leaves_nothing(samples: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    program = (
        "import sys, time, takeoff.services.opened.opening as m; "
        "m.open_file = lambda *a: (print('busy', flush=True), time.sleep(60)); "
        "from takeoff.cli.main import main; main(sys.argv[1:])"
    )
    command = [sys.executable, "-c", program, "measure", str(samples / "terrace_ground.dxf"), "-o", str(out)]
    with subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        assert process.stdout.readline() == b"busy\n"
        time.sleep(0.1)
        os.kill(process.pid, signal.SIGINT)
        complaint = process.stderr.read()
        process.wait(timeout=300)
    assert process.returncode == 130
    assert complaint == b"takeoff: stopped before it was done; no file was left half written.\n"
    assert not out.exists()


def test_help_and_version(takeoff: Takeoff) -> None:
    assert "0.1.0" in takeoff("--version").stdout
    help_text = takeoff("measure", "--help").stdout
    for option in (
        "--storey-height",
        "--unit",
        "--door-head",
        "--window-sill",
        "--window-head",
        "--reveal",
        "--layers",
        "--output",
        "--json",
        "--page",
        "--date",
    ):
        assert option in help_text
