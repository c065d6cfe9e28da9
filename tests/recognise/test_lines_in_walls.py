"""Windows drawn as lines between the faces of their wall, windows behind a ledge, and bays of one window."""

from __future__ import annotations

import pytest
from drawn import Sheet
from test_rooms_found import area_m2, rooms

from takeoff.plan.model import Opening
from takeoff.recognise import propose


def shell() -> Sheet:
    """A room of 6000 × 4000 in walls of 200."""
    return Sheet().box(-200, -200, 6200, 4200).box(0, 0, 6000, 4000).word("Living", 3000, 2000)


def windows(sheet: Sheet) -> list[Opening]:
    job = propose(sheet.drawing())[0]
    assert [round(area_m2(r), 1) for r in rooms(job)] == [24.0]
    return [o for s in job.storeys for o in s.openings if o.kind == "window"]


def round_corner(ends: tuple[float, ...]) -> Sheet:
    """Two lines in the lower and the right wall, round their corner, with a jamb line at both ends: 2000 of the lower
    wall and 1500 of the right one, as seen in the room."""
    sheet = shell().line(4000, -200, 4000, 0).line(6000, 1500, 6200, 1500)
    for off in ends:
        sheet.line(4000, -off, 6000 + off, -off).line(6000 + off, -off, 6000 + off, 1500)
    return sheet


def test_a_window_round_a_corner_is_one_in_each_wall() -> None:
    found = windows(round_corner((70.0, 130.0)))
    # its lines run to the corner of the walls, the room's sides to its own: each window ends with its side
    assert sorted(round(o.width_mm) for o in found) == [1500, 2000]
    assert {o.confidence for o in found} == {"check"}


def test_one_line_round_a_corner_is_a_lining() -> None:
    assert not windows(round_corner((100.0,)))


def test_lines_all_along_a_hollow_wall_are_no_window() -> None:
    assert not windows(shell().box(-70, -70, 6070, 4070).box(-130, -130, 6130, 4130))


@pytest.mark.parametrize("offs", [(100.0,), (70.0, 130.0)])
def test_lines_of_a_partition_between_two_walls_are_no_window(offs: tuple[float, ...]) -> None:
    sheet = Sheet().box(-200, -200, 6400, 4200).box(0, 0, 3000, 4000).box(3200, 0, 6200, 4000)
    for off in offs:
        sheet.line(3000 + off, 0, 3000 + off, 4000)
    sheet.line(3000, 0, 3200, 0).line(3000, 4000, 3200, 4000).word("Living", 1500, 2000).word("Bedroom", 4700, 2000)
    assert not [o for s in propose(sheet.drawing())[0].storeys for o in s.openings if o.kind == "window"]


def with_lights(post: float, second: float = 1500.0) -> Sheet:
    """Windows of 1500 and of ``second`` between jamb lines in the lower wall, so far apart, with two lines each."""
    sheet = shell()
    for start, width in ((1000.0, 1500.0), (2500.0 + post, second)):
        sheet.line(start, -200, start, 0).line(start + width, -200, start + width, 0)
        for y in (-130.0, -70.0):
            sheet.line(start, y, start + width, y)
    return sheet


def test_windows_with_a_post_between_them_are_one_and_with_a_pier_two() -> None:
    # 1500 + 100 + 1500
    assert [round(o.width_mm) for o in windows(with_lights(100.0))] == [3100]
    assert [round(o.width_mm) for o in windows(with_lights(240.0))] == [1500, 1500]


@pytest.mark.parametrize("strokes", [0, 4])
def test_a_gap_behind_a_ledge_is_a_window_of_the_room_and_one_behind_hatching_is_none(strokes: int) -> None:
    # the wall of 200 has a gap of 1500; 100 before it the line of a ledge closes the room
    sheet = Sheet().box(0, 0, 6000, 4000)
    sheet.ring(
        *((-200, -300), (2000, -300), (2000, -100), (0, -100), (0, 0), (0, 4000), (6000, 4000), (6000, 0)),
        *((6000, -100), (3500, -100), (3500, -300), (6200, -300), (6200, 4200), (-200, 4200)),
    )
    for k in range(strokes):
        sheet.line(2200 + 300 * k, -100, 2300 + 300 * k, 0, "A-HATCH")
    found = windows(sheet.word("Living", 3000, 2000))
    assert [(round(o.width_mm), round(o.offset_mm)) for o in found] == ([] if strokes else [(1500, 2000)])


def test_a_frame_that_stands_a_slit_off_its_jambs_is_a_window_from_jamb_to_jamb() -> None:
    """A wall of 300 with a niche of 1200 behind the line of its inner face; in the niche two posts of 80 × 80, 40 off
    the jambs, and two panes from the one to the other between the faces of the frame."""
    sheet = Sheet().box(0, 0, 6000, 4000).word("Living", 3000, 2000)
    sheet.ring(
        *((-300, -300), (2000, -300), (2000, 0), (0, 0), (0, 4000), (6000, 4000), (6000, 0)),
        *((3200, 0), (3200, -300), (6300, -300), (6300, 4300), (-300, 4300)),
    )
    sheet.box(2040, -300, 2120, -220).box(3080, -300, 3160, -220)
    for y in (-300, -273, -247, -220):
        sheet.line(2120, y, 3080, y)
    assert [round(o.width_mm) for o in windows(sheet)] == [1200]


def test_unlike_windows_with_a_post_between_them_stay_two() -> None:
    assert sorted(round(o.width_mm) for o in windows(with_lights(100.0, 800.0))) == [800, 1500]


def test_glass_over_a_corner_of_walls_that_run_through_is_a_window_in_each() -> None:
    # two panes in the middle of the walls, 600 and 1300 long: 500 and 1200 of the room's sides
    sheet = shell()
    for off in (94.0, 106.0):
        sheet.line(5500, -off, 6000 + off, -off, "A-GLAZ").line(6000 + off, -off, 6000 + off, 1200, "A-GLAZ")
    assert sorted(round(o.width_mm) for o in windows(sheet)) == [500, 1200]
