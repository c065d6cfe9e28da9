"""Damaged files of every kind through the whole program: a job, or one sentence, soon and in little memory.

TAKEOFF_MUTANTS=2000 makes the campaign longer; the figures are printed.
"""

from __future__ import annotations

import os
import random
import sys
import zlib
from collections import Counter
from collections.abc import Callable
from functools import cache
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

sys.path.insert(0, str(Path(__file__).parents[1] / "readers"))

import test_dxf_mutants
import test_ifc_mutants
import test_pdf_mutants
import test_picture_mutants
from cpu import cpu_s

from takeoff.errors import InputError
from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import Answers, open_file, open_for_window, silent

resource = pytest.importorskip("resource", reason="this system tells no memory of processes")
HOW_MANY = int(os.environ.get("TAKEOFF_MUTANTS", "6"))
LONGEST_S = 90.0
"""The readers in processes of their own are patient for 60 s before they give a file up."""
MOST_KB = 2_000_000_000 // 1024
Made = Callable[[random.Random, Path], bytes]


plans = cache(test_dxf_mutants.plans)
models = cache(test_ifc_mutants.originals)
sheets = cache(test_pdf_mutants.everything)


def dxf(rng: random.Random, folder: Path) -> bytes:
    return test_dxf_mutants.mutant(rng.choice(plans()), rng)


def ifc(rng: random.Random, folder: Path) -> bytes:
    return test_ifc_mutants.mutant(rng.choice(models()), rng)


def pdf(rng: random.Random, folder: Path) -> bytes:
    return test_pdf_mutants.mutant(rng.choice(sheets(folder)), rng)


def png(rng: random.Random, folder: Path) -> bytes:
    return picture("PNG", rng)


def jpeg(rng: random.Random, folder: Path) -> bytes:
    return picture("JPEG", rng)


def picture(kind: str, rng: random.Random) -> bytes:
    noise = Image.fromarray(np.random.default_rng(3).integers(0, 255, (40, 60, 3), np.uint8))
    stream = BytesIO()
    noise.convert(rng.choice(["RGB", "L"])).save(stream, kind)
    data = test_picture_mutants.mutant(stream.getvalue(), rng)
    return checksums_mended(data) if kind == "PNG" and rng.random() < 0.7 else data


def checksums_mended(data: bytes) -> bytes:
    """A PNG whose chunks have the checksums of their changed content, so that it is read further."""
    made, at = data[:8], 8
    while at + 12 <= len(data):
        size = int.from_bytes(data[at : at + 4], "big")
        if at + 12 + size > len(data):
            break
        body = data[at + 4 : at + 8 + size]
        made += data[at : at + 4] + body + zlib.crc32(body).to_bytes(4, "big")
        at += 12 + size
    return made + data[at:]


def outcome(path: Path, traced: bool) -> str:
    """What comes of a file: a sentence, or what it was measured to; pictures are refused for want of
    lines, and opened to be traced instead."""
    try:
        if traced:
            open_for_window(path, Answers(), silent)
            return "to trace"
        measured = measure_job(open_file(path))
    except InputError as error:
        sentence = str(error)
        assert path.name in sentence
        assert "\n" not in sentence
        assert ".py" not in sentence
        return "a sentence"
    return "with errors" if measured.has_errors else "measured"


@pytest.mark.parametrize("made", [dxf, ifc, pdf, png, jpeg])
def test_damaged_file_gives_a_job_or_a_sentence(made: Made, tmp_path: Path) -> None:
    found: Counter[str] = Counter()
    slowest = 0.0
    path = tmp_path / f"mutant.{made.__name__}"
    for number in range(HOW_MANY):
        path.write_bytes(made(random.Random(number), tmp_path))
        began = cpu_s()
        try:
            found[outcome(path, made in (png, jpeg))] += 1
        except Exception as error:
            raise AssertionError(f"mutant {number}") from error
        slowest = max(slowest, cpu_s() - began)
    most = max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    print(f"{made.__name__}: {dict(found)}, slowest {slowest:.1f} s, most memory {most / 1024:.0f} MiB")
    assert slowest < LONGEST_S
    assert most < MOST_KB


@pytest.mark.parametrize("device", ["/dev/zero", "/dev/null", "/dev/urandom"])
def test_a_device_is_refused_at_once(device: str) -> None:
    if not Path(device).exists():
        pytest.skip("this system has no such device")
    with pytest.raises(InputError, match="is not an ordinary file"):
        open_file(Path(device))


def test_a_pipe_that_nobody_writes_to_is_refused_at_once(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "plan.dxf")
    with pytest.raises(InputError, match="is not an ordinary file"):
        open_file(tmp_path / "plan.dxf")


def test_a_file_is_known_by_its_content_whatever_its_name(tmp_path: Path) -> None:
    path = tmp_path / "plan.dxf"
    path.write_bytes(sheets(tmp_path)[0])
    assert rooms_found(path) == 2
    path = tmp_path / "plan.pdf"
    path.write_bytes(plans()[-1])
    assert rooms_found(path) > 2


def rooms_found(path: Path) -> int:
    return sum(len(storey.rooms) for storey in open_file(path).job.storeys)
