"""Damaged models: each gives a job that can be saved or one sentence, soon, and never a traceback.

TAKEOFF_MUTANTS=500 makes the campaign longer.
"""

from __future__ import annotations

import os
import random
from pathlib import Path

import numpy as np
import pytest
from cpu import cpu_s
from ifc_making import house

from takeoff.errors import InputError
from takeoff.plan.check import check
from takeoff.readers.ifc import read
from takeoff.recognise.modelled import propose_modelled
from takeoff.storage.jobs import dump

HOW_MANY = int(os.environ.get("TAKEOFF_MUTANTS", "10"))
LONGEST_S = 60.0
VALUES = [
    "$",
    "*",
    "nan",
    "1.E300",
    "-1.",
    "0.",
    "#1",
    "#999999",
    "()",
    "''",
    ".T.",
    "'x'",
    "1.E400",
    "(#1)",
    "-0.",
    "1.E-9",
]
DUPLEX = Path(__file__).parents[2] / ".." / "shared" / "plans" / "duplex" / "duplex.ifc"


def originals() -> list[str]:
    texts = [house("IFC2X3", "m").text(), house("IFC4").text(), house("IFC4X3_ADD2", spaces=False).text()]
    if DUPLEX.exists() and HOW_MANY > 50:
        texts.append(DUPLEX.read_text())
    return texts


def mutant(text: str, rng: random.Random) -> bytes:
    """One to six faults in the data, the end mark kept so that the file passes for whole."""
    lines = text.split("\n")
    first = lines.index("DATA;") + 1
    for _ in range(rng.randint(1, 6)):
        k = rng.randrange(first, len(lines) - 4)
        kind = rng.choice(["argument", "argument", "argument", "drop", "swap", "byte", "class", "double"])
        if kind == "drop":
            del lines[k]
        elif kind == "double":
            lines.insert(k, lines[rng.randrange(first, len(lines) - 4)])
        elif kind == "swap":
            j = rng.randrange(first, len(lines) - 4)
            lines[k], lines[j] = lines[j], lines[k]
        elif kind == "byte" and lines[k]:
            at = rng.randrange(len(lines[k]))
            lines[k] = lines[k][:at] + chr(rng.randrange(1, 256)) + lines[k][at + 1 :]
        elif kind == "class":
            j = rng.randrange(first, len(lines) - 4)
            if "=" in lines[k] and "=" in lines[j] and "(" in lines[k] and "(" in lines[j]:
                head, rest = lines[k].split("=", 1)
                lines[k] = head + "=" + lines[j].split("=", 1)[1].split("(", 1)[0] + "(" + rest.split("(", 1)[1]
        else:
            lines[k] = with_argument(lines[k], rng)
    return "\n".join(lines).encode("utf-8", errors="replace")


def with_argument(line: str, rng: random.Random) -> str:
    """The entity with one argument changed for another value."""
    if "(" not in line:
        return line
    head, rest = line.split("(", 1)
    parts = rest.split(",")
    k = rng.randrange(len(parts))
    tail = parts[k][len(parts[k].rstrip(");")) :]
    parts[k] = rng.choice(VALUES) + tail
    return head + "(" + ",".join(parts)


@pytest.mark.parametrize("number", range(HOW_MANY))
def test_mutated_model_gives_drawings_or_a_sentence(tmp_path: Path, number: int) -> None:
    rng = random.Random(number)
    path = tmp_path / "mutant.ifc"
    path.write_bytes(mutant(rng.choice(originals()), rng))
    began = cpu_s()
    try:
        drawings, _ = read(path)
    except InputError as error:
        assert path.name in str(error)  # noqa: PT017
        assert "\n" not in str(error)  # noqa: PT017
        assert ".py:" not in str(error), "a fault of our own reading"  # noqa: PT017
    else:
        for drawing in drawings:
            assert np.isfinite(drawing.lines.segments).all()
            assert all(np.isfinite(v) for c in drawing.claims for _, v in c.values)
            assert all(np.isfinite(v) for c in drawing.claims for p in c.ring for v in p)
        job, _ = propose_modelled(drawings)
        check(job)
        dump(job)
    assert cpu_s() - began < LONGEST_S
