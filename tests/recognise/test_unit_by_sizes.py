"""The unit told by the sizes that are written in rooms, and by the treads of stairs."""

from __future__ import annotations

import msgspec
from drawn import Sheet

from takeoff.recognise.units import decide
from takeoff.recognise.units.unit_evidence import gather, units_for


def test_sizes_written_in_rooms_tell_the_unit() -> None:
    sheet = Sheet().box(0, 0, 432, 376).box(442, 0, 808, 241).box(442, 251, 808, 527)
    sheet.word("14'2'' x 12'4''", 216, 188).word("12'0'' x 7'11''", 625, 120).word("12'0'' x 9'1''", 625, 390)
    drawing = msgspec.structs.replace(sheet.drawing(), unit="unknown", unit_mm=1.0)
    decided, findings = decide(drawing)
    assert decided.unit == "cm"
    assert "3 of 3 rooms are as wide as is written in them" in findings[0].evidence
    assert [f.code for f in findings] == ["unit-decided"]


def test_the_treads_of_a_stair_tell_the_unit() -> None:
    sheet = Sheet()
    for k in range(9):
        sheet.line(0, 27 * k, 110, 27 * k, "stair")
    drawing = msgspec.structs.replace(sheet.drawing(), unit="unknown", unit_mm=1.0)
    evidence = {e.kind: e for e in gather(drawing, units_for(""))}["treads"]
    assert {unit for unit, score in evidence.scores.items() if score > 0} == {"cm"}
    assert evidence.tells(10.0) == "what looks like stairs has treads of 270 mm"
    # Boards of 4 m lie as far apart and are no flight: they are too long.
    sheet = Sheet()
    for k in range(9):
        sheet.line(0, 27 * k, 400, 27 * k, "floor")
    drawing = msgspec.structs.replace(sheet.drawing(), unit="unknown", unit_mm=1.0)
    assert "treads" not in {e.kind for e in gather(drawing, units_for(""))}
