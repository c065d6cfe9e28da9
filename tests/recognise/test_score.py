"""The counting of what is found: outlines, points of openings, the unit."""

from __future__ import annotations

from pathlib import Path

import invented
import score
from drawn import two_rooms
from invented_sheets import HANDS, write
from msgspec.structs import replace

from takeoff.findings import noticed
from takeoff.recognise import propose

KITCHEN = {"name": "Kitchen", "outline_mm": [[0, 0], [4000, 0], [4000, 3000], [0, 3000]]}


def test_a_room_with_an_outline_is_found_where_one_overlaps_it_and_all_others_are_wrong() -> None:
    rooms = [r for s in propose(two_rooms().drawing())[0].storeys for r in s.rooms]
    matched = score.match_rooms([KITCHEN], rooms)
    assert [(r.name if r else "", ok) for r, _, ok in matched] == [("Kitchen", True)]
    hole = {**KITCHEN, "holes_mm": [[[1000, 1000], [2000, 1000], [2000, 2000], [1000, 2000]]]}
    assert [ok for _, _, ok in score.match_rooms([hole], rooms)] == [False]
    away = {"outline_mm": [[x + 2000, y] for x, y in KITCHEN["outline_mm"]]}
    assert [ok for _, _, ok in score.match_rooms([away], rooms)] == [False]


def test_an_opening_counts_once_at_its_point_and_only_as_what_it_is() -> None:
    job, _ = propose(two_rooms().drawing())
    door = {"kind": "door", "point_mm": [4050, 1450], "width_mm": 900}
    assert score.match_openings([door], job) == (1, 0)
    assert score.match_openings([door, door], job) == (1, 0)
    assert score.match_openings([{**door, "kind": "window"}], job) == (0, 0)
    assert score.match_openings([{**door, "point_mm": [4050, 2400]}], job) == (0, 1)


def test_a_unit_is_right_or_asked_or_wrong() -> None:
    drawing = replace(two_rooms().drawing(), unit="cm", unit_mm=10.0)
    facts = {"file": "a", "header": "b", "unit": "cm", "shown": "c"}
    assert score.unit_said({"unit_mm": 10.0}, drawing, ()) == "right"
    assert score.unit_said({"unit_mm": 1.0}, drawing, ()) == "WRONG"
    assert score.unit_said({"unit_mm": 1.0}, drawing, (noticed("unit-undecided", **facts),)) == "WRONG, asked"
    assert score.unit_said({}, drawing, ()) == "-"


def test_a_space_that_one_may_call_a_room_or_not_is_neither_right_nor_wrong() -> None:
    rooms = [r for s in propose(two_rooms().drawing())[0].storeys for r in s.rooms]
    balcony = {"name": "Balcony", "outline_mm": [[4100, 0], [7100, 0], [7100, 3000], [4100, 3000]]}
    assert score.doubted({"doubtful": [balcony]}, rooms) == 1
    assert score.doubted({"doubtful": [balcony, KITCHEN]}, rooms) == 2
    assert score.doubted({}, rooms) == 0


def test_a_page_is_read_at_its_scale_and_judged_by_it(tmp_path: Path) -> None:
    rooms = write(invented.plan(100, "bodies"), HANDS[0], tmp_path / "plan.pdf")
    truth = {"page": 1, "scale": 100.0, "rooms": [{"outline_mm": list(r.exterior.coords)} for r in rooms]}
    job, drawing, findings = score.proposed_of(tmp_path / "plan.pdf", truth)
    matched = score.match_rooms(truth["rooms"], [r for s in job.storeys for r in s.rooms])
    assert all(ok for _, _, ok in matched)
    assert score.unit_said(truth, drawing, findings) == "right"
    assert score.unit_said({"scale": 102.0}, drawing, findings) == "WRONG"
    asked = (noticed("scale-undecided", file="a", scale="b", shown="c", others="d"),)
    assert score.unit_said({"scale": 50.0}, drawing, asked) == "WRONG, asked"
    assert score.unit_said({"unit_mm": 1.0}, drawing, asked) == "-"
