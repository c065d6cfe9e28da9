"""Demolished and dashed walls bound no room, and it is said once for each layer or line type."""

from __future__ import annotations

from drawn import two_rooms
from test_rooms_found import codes, rooms

from takeoff.recognise import propose


def test_dashed_lines_on_wall_layers_bound_nothing_and_are_told_once_for_each_line_type() -> None:
    sheet = two_rooms()
    sheet.linetypes = {"A-WALL-LOW": "DASHED", "A-WALL-ABOV": "HIDDEN2"}
    for x in (2000, 2100):
        sheet.line(x, 0, x, 3000, "A-WALL-LOW").line(x + 3500, 0, x + 3500, 3000, "A-WALL-ABOV")
    job, findings = propose(sheet.drawing())
    assert sorted(r.name for r in rooms(job)) == ["Hall", "Kitchen"]
    told = [f for f in findings if f.code == "dashed-walls-left-out"]
    assert [f.where.layer for f in told] == ["A-WALL-LOW", "A-WALL-ABOV"]
    assert "6 m of walls" in f"{told[0].text} {told[0].evidence}"
    assert "at 2000, 1500" in f"{told[0].text} {told[0].evidence}"


def test_a_demolished_partition_is_left_out_and_told_once() -> None:
    sheet = two_rooms().box(2000, 0, 2100, 3000, layer="A-21----E-R").word("wall to be removed", 2500, 500)
    job, findings = propose(sheet.drawing())
    assert sorted(r.name for r in rooms(job)) == ["Hall", "Kitchen"]
    assert codes(findings) == ["demolished-left-out"]


def test_notes_of_demolition_without_a_layer_for_it_are_told_with_their_place() -> None:
    sheet = two_rooms().word("Abbruch Trennwand", 1500, 2500, "A-ANNO-NOTE")
    _, findings = propose(sheet.drawing())
    assert codes(findings) == ["demolition-spoken-of"]
    assert (findings[0].where.x_mm, findings[0].where.y_mm) == (1500, 2500)
