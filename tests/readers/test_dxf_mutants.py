"""Damaged files by the dozen: each gives a drawing or one sentence, soon, and never a traceback.

TAKEOFF_MUTANTS=2000 makes the campaign longer.
"""

from __future__ import annotations

import os
import random
from io import StringIO
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from cpu import cpu_s

from takeoff.errors import InputError
from takeoff.readers.dxf import read
from takeoff.recognise.units import decide

HOW_MANY = int(os.environ.get("TAKEOFF_MUTANTS", "40"))
BATCHES = 8
LONGEST_S = 20.0
VALUES = [b"nan", b"1e300", b"-1", b"0", b"99999999", b"inf", b"", b"\xff\xfe", b"LINE", b"%%c", b"*U1"]


def everything(version: str) -> bytes:
    """A small drawing with one of nearly everything."""
    doc = ezdxf.new(version, setup=True)
    m = doc.modelspace()
    door = doc.blocks.new("DOOR", base_point=(1, 1))
    door.add_line((0, 0), (900, 0))
    door.add_arc((0, 0), 900, 0, 90)
    door.add_attdef("MARK", (0, 0), "D?")
    pair = doc.blocks.new("PAIR")
    pair.add_blockref("DOOR", (0, 0))
    pair.add_blockref("DOOR", (1800, 0), dxfattribs={"xscale": -1})
    m.add_blockref("PAIR", (0, 0), dxfattribs={"row_count": 2, "row_spacing": 3000, "xscale": 1.5})
    m.add_blockref("DOOR", (0, 0)).add_attrib("MARK", "D01", (0, 0))
    m.add_circle((0, 0), 300)
    m.add_polyline2d([(0, 0), (1000, 0), (1000, 1000)], close=True)
    m.add_polyline3d([(0, 0, 0), (0, 2000, 1), (500, 2000, 2)])
    m.add_text("12.3 m2", height=200)
    m.add_solid([(0, 0), (100, 0), (0, 50), (100, 50)])
    m.add_linear_dim(base=(0, 500), p1=(0, 0), p2=(3000, 0)).render()
    if version != "R12":
        m.add_lwpolyline([(0, 0, 0.4), (5000, 0, 0), (5000, 4000, 0)], format="xyb", close=True)
        m.add_ellipse((0, 0), (2000, 0), 0.5)
        m.add_open_spline([(0, 0), (10, 5), (20, -5), (30, 0)])
        m.add_mtext("{\\fArial;KITCHEN}\\P10,5 m\\S2^ ;")
        m.add_hatch().paths.add_polyline_path([(0, 0), (300, 0), (300, 100)], is_closed=True)
        edges = m.add_hatch().paths.add_edge_path()
        edges.add_arc((0, 0), 500, 0, 180)
        edges.add_line((-500, 0), (500, 0))
        m.add_mline([(0, 0), (5000, 0), (5000, 900)])
    stream = StringIO()
    doc.write(stream)
    return stream.getvalue().encode()


def plans() -> list[bytes]:
    samples = Path(__file__).parents[2] / "sample_plans"
    return [everything("R12"), everything("R2010"), *(p.read_bytes() for p in sorted(samples.glob("*.dxf")))]


def mutant(data: bytes, rng: random.Random) -> bytes:
    """One to eight faults, most of them where the drawing is and not in its tables."""
    start = data.rfind(rng.choice([b"ENTITIES", b"ENTITIES", b"ENTITIES", b"BLOCKS", b"HEADER"]))
    for _ in range(rng.randint(1, 8)):
        kind = rng.choice(["byte", "bytes", "cut", "line", "value", "swap", "double"])
        at = rng.randrange(max(0, start), len(data))
        if kind == "byte":
            data = data[:at] + bytes([rng.randrange(256)]) + data[at + 1 :]
        elif kind == "bytes":
            data = data[:at] + rng.randbytes(rng.randint(1, 40)) + data[at + rng.randint(0, 60) :]
        elif kind == "cut":
            data = data[:at] + (b"  0\nENDSEC\n  0\nEOF\n" if rng.random() < 0.7 else b"")
            start = min(start, max(0, len(data) - 1))
        else:
            data = on_lines(data, at, kind, rng)
        if not data:
            return b"0"
    return data


def on_lines(data: bytes, at: int, kind: str, rng: random.Random) -> bytes:
    lines = data.split(b"\n")
    i = min(data[:at].count(b"\n"), len(lines) - 1)
    if kind == "line":
        del lines[i]
    elif kind == "value":
        lines[i] = rng.choice(VALUES)
    elif kind == "swap":
        j = rng.randrange(len(lines))
        lines[i], lines[j] = lines[j], lines[i]
    else:
        lines[i:i] = lines[i : i + rng.randint(1, 30)]
    return b"\n".join(lines)


@pytest.fixture(scope="module")
def originals() -> list[bytes]:
    return plans()


@pytest.mark.parametrize("batch", range(BATCHES))
def test_mutated_files_give_a_drawing_or_a_sentence(tmp_path: Path, originals: list[bytes], batch: int) -> None:
    path = tmp_path / "mutant.dxf"
    outcomes = {"drawing": 0, "sentence": 0}
    for number in range(batch, HOW_MANY, BATCHES):
        rng = random.Random(number)
        path.write_bytes(mutant(rng.choice(originals), rng))
        began = cpu_s()
        try:
            drawing, _ = read(path)
            drawing, _ = decide(drawing)
        except InputError as error:
            sentence = str(error)
            outcomes["sentence"] += 1
        else:
            sentence = path.name
            assert np.isfinite(drawing.lines.segments).all(), f"mutant {number}"
            assert np.isfinite(drawing.lines.arcs).all(), f"mutant {number}"
            assert len(drawing.lines), f"mutant {number}"
            outcomes["drawing"] += 1
        assert path.name in sentence, f"mutant {number}"
        assert cpu_s() - began < LONGEST_S, f"mutant {number}"
    assert sum(outcomes.values()) == len(range(batch, HOW_MANY, BATCHES))
    print(f"batch {batch}: {outcomes}")
