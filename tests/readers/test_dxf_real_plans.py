"""Real drawings: as many pieces as the library itself counts, none lost and none made up."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import ezdxf
import pytest

from takeoff.readers.dxf import read

PLANS = Path(__file__).parents[3] / "shared" / "plans"
FILES = ("house/ground.dxf", "house/upper.dxf", "duplex/duplex_L1.dxf", "duplex/duplex_L2.dxf", "pavilion/plan.dxf")

pytestmark = pytest.mark.skipif(not PLANS.is_dir(), reason="../shared/plans is not beside this checkout")


@pytest.mark.parametrize("file", FILES)
def test_counts_are_those_of_the_library(file: str) -> None:
    drawing, found = read(PLANS / file)
    m = ezdxf.readfile(PLANS / file).modelspace()
    kinds = Counter(e.dxftype() for e in m)
    sides = sum(len(p) - (not p.closed) for p in m.query("LWPOLYLINE"))
    sides += sum(len(p) - (not p.is_closed) for p in m.query("POLYLINE"))
    in_facets = sum(int(dict(f.facts.named)["sides"].replace(",", "")) for f in found if f.code == "facets-as-arc")
    no_length = sum(1 for e in m.query("LINE") if e.dxf.start.vec2 == e.dxf.end.vec2)
    assert len(drawing.lines.segments) + in_facets + no_length == kinds["LINE"] + sides
    assert len(drawing.labels) == kinds["TEXT"] + kinds["MTEXT"]
    assert len(drawing.dimensions) == kinds["DIMENSION"]
    if not in_facets:
        assert len(drawing.lines.arcs) == kinds["ARC"] + 2 * kinds["CIRCLE"]
    assert {f.severity for f in found} <= {"note"}
