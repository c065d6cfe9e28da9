"""Open plans: where their parts likely end, in words, and never a wall."""

from __future__ import annotations

import pytest
import shapely
from drawn import Sheet
from test_rooms_found import rooms

from takeoff.recognise import propose
from takeoff.recognise.rooms.making import likely_cuts


def dumbbell() -> Sheet:
    """Two parts of 4000 × 3000 that nibs of 500 and 100 part, 2400 apart."""
    sheet = Sheet().box(-300, -300, 8400, 3300)
    sheet.ring(
        (0, 0),
        (4000, 0),
        (4000, 500),
        (4100, 500),
        (4100, 0),
        (8100, 0),
        (8100, 3000),
        (4100, 3000),
        (4100, 2900),
        (4000, 2900),
        (4000, 3000),
        (0, 3000),
    )
    return sheet.word("Living", 2000, 1500).word("Kitchen", 6000, 1500)


def test_two_nibs_show_where_an_open_plan_parts_and_it_stays_one_room() -> None:
    job, findings = propose(dumbbell().drawing())
    (room,) = rooms(job)
    assert all(s.kind == "wall" for s in room.outline)
    (finding,) = [f for f in findings if f.code == "open-plan-parts"]
    assert "likely parts along 2.40 m" in f"{finding.text} {finding.evidence}"
    assert "(parts of" in f"{finding.text} {finding.evidence}"
    assert finding.where.room == room.id


@pytest.mark.parametrize(("one", "other", "sure"), [(12.0, 11.5, True), (12.0, 13.0, False)])
def test_parts_whose_printed_areas_are_more_than_the_outline_do_not_prove_it(
    one: float, other: float, sure: bool
) -> None:
    """The outline has 12 + 12 + 0.1 × 2.4 = 24.24 m²: 23.5 leave out what lies between, 25 are 3 % more."""
    sheet = dumbbell().word(f"{one} m2", 2000, 1000).word(f"{other} m2", 6000, 1000)
    (room,) = rooms(propose(sheet.drawing())[0])
    assert (room.confidence == "sure") is sure


def test_three_labels_are_parted_by_two_lines() -> None:
    # three squares of 3000 in a row, with openings of 2000 between nibs of 500
    ring = [
        (0, 0),
        (3000, 0),
        (3000, 500),
        (3100, 500),
        (3100, 0),
        (6100, 0),
        (6100, 500),
        (6200, 500),
        (6200, 0),
        (9200, 0),
        (9200, 3000),
        (6200, 3000),
        (6200, 2500),
        (6100, 2500),
        (6100, 3000),
        (3100, 3000),
        (3100, 2500),
        (3000, 2500),
        (3000, 3000),
        (0, 3000),
    ]
    cuts = likely_cuts(shapely.Polygon(ring), [(1500, 1500), (4500, 1500), (7500, 1500)])
    assert [round(abs(c.line[3] - c.line[1])) for c in cuts] == [2000, 2000]
    assert min(min(c.areas_m2) for c in cuts) == pytest.approx(9.0, abs=0.3)


def test_an_l_shaped_room_parts_along_its_shorter_leg() -> None:
    ring = [(0, 0), (6000, 0), (6000, 2500), (3000, 2500), (3000, 7000), (0, 7000)]
    (cut,) = likely_cuts(shapely.Polygon(ring), [(5000, 1000), (1500, 6000)])
    assert cut.areas_m2 in (pytest.approx((7.5, 21.0)), pytest.approx((21.0, 7.5)))


def test_a_plain_rectangle_shows_no_line() -> None:
    assert likely_cuts(shapely.box(0, 0, 8000, 3000), [(2000, 1500), (6000, 1500)]) == []
