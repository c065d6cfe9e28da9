"""A cross from corner to corner marks a shower, a shaft or a void, and parts nothing; walls that cross stay walls."""

from __future__ import annotations

from drawn import Sheet, two_rooms

from takeoff.plan.shape import sound_polygon
from takeoff.recognise.presets import Settings
from takeoff.recognise.propose import prepared, propose
from takeoff.recognise.rooms.making import polygon_area_m2


def areas_of(sheet: Sheet) -> list[float]:
    """m², the largest first, of the rooms proposed."""
    job, _ = propose(sheet.drawing())
    return sorted((round(polygon_area_m2(sound_polygon(r)), 2) for s in job.storeys for r in s.rooms), reverse=True)


def hatched(sheet: Sheet) -> int:
    return int((prepared(sheet.drawing(), Settings()).layered.role == "hatch").sum())


def test_a_crossed_room_is_one_room() -> None:
    """4 × 3 m beside 3 × 3 m, whose cross would part it into four triangles of 2.25 m²."""
    crossed = two_rooms().line(4100, 0, 7100, 3000).line(4100, 3000, 7100, 0)
    assert areas_of(crossed) == areas_of(two_rooms()) == [12.0, 9.0]


def test_partitions_that_cross_square_are_no_cross() -> None:
    """They end in the middles of the walls, so that no wall runs from end to end of them."""
    quarters = two_rooms().line(5600, 0, 5600, 3000).line(4100, 1500, 7100, 1500)
    assert hatched(quarters) == 0


def test_a_tray_that_stands_in_a_room_keeps_its_cross() -> None:
    """1000 × 1200 mm in the corner of the right room: its two free sides are lines of their own, behind which no face
    of a wall is."""
    tray = two_rooms().line(6100, 1800, 7100, 1800).line(6100, 1800, 6100, 3000)
    assert hatched(tray.line(6100, 1800, 7100, 3000).line(6100, 3000, 7100, 1800)) == 0


def test_a_dashed_side_that_runs_on_closes_what_is_crossed() -> None:
    """The edge of a floor, dashed from wall to wall and into them, 1 m from the right wall: 1 × 3 m of 3 × 3 m."""
    sheet = two_rooms().line(6100, -300, 6100, 3300, "EDGE").line(6100, 0, 7100, 3000).line(6100, 3000, 7100, 0)
    sheet.linetypes["EDGE"] = "DASHED"
    lines = prepared(sheet.drawing(), Settings()).layered
    assert lines.dashed.sum() == 0
    assert hatched(sheet) == 2
