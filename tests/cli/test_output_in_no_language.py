"""What the command prints in a language that nobody speaks, every message in brackets and two fifths longer: outside
brackets stand names, figures and what is typed alone."""

from __future__ import annotations

import calendar
import json
import os
import re
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

from tests.language.pseudo import bare_of

SAMPLES = Path(__file__).parents[2] / "sample_plans"

SCRIPT = """
import io, json, sys
from contextlib import redirect_stderr, redirect_stdout
from takeoff.cli.click_words import speak_through
from takeoff.language.catalogue import use_catalogue
from tests.language.pseudo import Bracketed
speak_through()
use_catalogue("xx", Bracketed())
from takeoff.cli import main
told = []
for line in json.loads(sys.argv[1]):
    out = io.StringIO()
    with redirect_stdout(out), redirect_stderr(out):
        try:
            code = main._invoke(line)
        except Exception as error:
            code = -1
            print(repr(error))
    told.append((code, out.getvalue()))
print(json.dumps(told))
"""

PLAN, JOB = str(SAMPLES / "terrace_ground.dxf"), "JOB.takeoff"
RATES = [f"--rate={one}" for one in ("walls=31.20", "ceilings=33", "reveals=48", "drops=40", "bead=6.75")]
LINES = (
    ["measure", PLAN],
    ["measure", PLAN, "-o", "out", "--date", "2031-05-20"],
    ["check", PLAN, "--details"],
    ["check", str(SAMPLES / "flat_feet.dxf"), "--details"],
    ["job", PLAN, "-o", "JOB"],
    ["price", "JOB", *RATES, "--tax", "20", "--extra", "Skip hire=1 each 120", "-o", "JOB"],
    ["options", "JOB", "--add", "walls", "--add", "outside 600", "-o", "JOB2"],
    ["days", "JOB", "--start", "2031-05-19", "--people", "2"],
    ["lots", "JOB", "--by", "storey"],
    ["items", "JOB2", "--room", "Kitchen", "--add", "radiator=2", "--who", "plumber"],
    ["holds", "JOB2", "--room", "Kitchen", "--read", "surface=14", "--look", "damp=yes", "--person", "Ann"],
    ["systems"],
    ["form", "-o", "FORM.pdf"],
    ["compare", "JOB", str(SAMPLES / "terrace_ground_rev_b.dxf"), "-o", "new"],
    ["send", "JOB", "--to", "Client", "--by", "Ann", "--date", "2031-05-20"],
    ["states", JOB, "--accept", "1"],
    ["states", JOB],
    ["states", JOB, "--compare", "1", "now"],
    ["supply", JOB, "--whole-order", "--bars-cut"],
    ["stage", JOB, "Kitchen", "coat"],
    ["day", JOB, "Kitchen", "--opened", "22 L demo bucket=3", "--gauge", "window=0.5", "--hours", "6"],
    ["change", JOB, "--place", "Hall", "--what", "Plaster off", "--hours", "3.5", "--price", "42"],
    ["change", JOB, "--set", "1", "agreed"],
    ["account", JOB, "--keep", "5", "--bill"],
    ["handover", JOB, "-o", "over.pdf"],
    ["consumption", JOB],
)  # fmt: skip

NAMES = frozenset(
    [
        "Kitchen",
        "Hall",
        "WC",
        "Store",
        "Living",
        "room",
        "GROUND",
        "FLOOR",
        "FLAT",
        "SECOND",
        "Invented",
        "example",
        "no",
        "real",
        "building",
        "TH",
        "FF",
        "terrace",
        "ground",
        "flat",
        "feet",
        "rev",
        "dxf",
        "json",
        "pdf",
        "xlsx",
        "csv",
        "takeoff",
        "scope",
        "order",
        "site",
        "dimensions",
        "result",
        "job",
        "JOB",
        "FORM",
        "over",
        "new",
        "out",
        "csv",
        "Client",
        "Ann",
        "Skip",
        "hire",
        "each",
        "Plaster",
        "off",
        "window",
        "XTS",
        "Demo",
        "walls",
        "ceilings",
        "takeoff",
        "variation",
        "INSUNITS",
    ]
)
"""What people of the job and its drawing call something, files, and what is typed in the lines above."""

UNITS = frozenset(["mm", "ml", "kg", "ft", "sq", "m²", "EUR", *calendar.month_name])


IDS = frozenset(("demo", "lime", "foam", "coat"))
"""Words of ids of coating systems."""


@cache
def told() -> tuple[tuple[int, str], ...]:
    """Exit code and output of each line, one process for all."""
    import tempfile

    root = Path(__file__).parents[2]
    with tempfile.TemporaryDirectory() as folder:
        env = os.environ | {
            "PYTHONPATH": str(root),
            "XDG_STATE_HOME": folder,
            "XDG_DATA_HOME": folder,
            "COLUMNS": "200",
        }
        run = subprocess.run(
            [sys.executable, "-c", SCRIPT, json.dumps(LINES)], capture_output=True, text=True, cwd=folder, env=env
        )
    assert run.returncode == 0, run.stderr[-2000:]
    return tuple(tuple(one) for one in json.loads(run.stdout))


@pytest.mark.parametrize("number", range(len(LINES)), ids=lambda number: " ".join(LINES[number][:2]).replace("/", "|"))
def test_output_is_out_of_the_catalogue_and_whole(number: int) -> None:
    code, text = told()[number]
    assert code in (0, 1), text
    text = re.sub(r"⟦[^⟦⟧…]*…", " ", text)  # a cell that a narrow terminal cuts
    words = re.findall(r"[^\W\d_]{2,}", re.sub(r"\S*/\S*|--[a-z-]+", " ", bare_of(text)))
    said = {word for word in words if not word.isupper()}  # layers and drawings are named in capitals
    assert said - NAMES - UNITS - IDS == set()
