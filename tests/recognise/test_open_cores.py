"""Rooms beside a wall whose far face is not drawn, and what is as narrow as a wall but that one walks into."""

from __future__ import annotations

from drawn import Sheet
from test_rooms_found import area_m2, rooms

from takeoff.recognise import propose

QUARTER = 0.41421356237


def door(sheet: Sheet, x: float, y: float, wide: float, layer: str = "A-DOOR") -> Sheet:
    """A leaf hung at the point, drawn open to the left, that shuts upwards."""
    sheet.line(x, y, x - wide, y, layer)
    sheet.arcs.append((x, y + wide, x - wide, y, QUARTER, layer))
    return sheet


def cut_out() -> Sheet:
    """A hall of 4 × 4.3 m with a name, and beside it two rooms of 0.9 × 2.1 m, with walls of 0.1 m between them and
    doors of 0.8 m. To the right of the two nothing is drawn but their own faces."""
    sheet = Sheet().line(5000, 0, 5000, -300).line(5000, -300, -300, -300).line(-300, -300, -300, 4600)
    sheet.line(-300, 4600, 5000, 4600).line(5000, 4600, 5000, 4300)
    sheet.line(0, 0, 4000, 0).line(0, 0, 0, 4300).line(0, 4300, 4000, 4300)
    ends = [0.0]
    for low in (0.0, 2200.0):
        sheet.line(4100, low, 5000, low).line(5000, low, 5000, low + 2100).line(5000, low + 2100, 4100, low + 2100)
        sheet.line(4100, low, 4100, low + 500).line(4100, low + 1300, 4100, low + 2100)
        for y in (low + 500, low + 1300):
            sheet.line(4000, y, 4100, y)
        ends += [low + 500, low + 1300]
        door(sheet, 4000, low + 500, 800)
    for low, high in zip(ends[::2], [*ends[1::2], 4300.0], strict=True):
        sheet.line(4000, low, 4000, high)
    return sheet.word("Hall", 2000, 2000)


def found(sheet: Sheet) -> list[float]:
    return sorted(round(area_m2(room), 2) for room in rooms(propose(sheet.drawing())[0]))


def test_partitions_that_open_to_outside_where_a_far_face_is_missing_are_walls() -> None:
    """Hall 4 × 4.3, and twice 0.9 × 2.1 that are walled on three sides."""
    assert found(cut_out()) == [1.89, 1.89, 17.2]


def test_a_bay_before_a_cupboard_is_its_rooms_however_narrow() -> None:
    """A bath of 2 × 3 m whose lower right corner of 1.1 × 0.7 m is a cupboard of 1 × 0.6 m with a door of 0.45 m on its
    left: 6 - 0.77; and a hall of 4 × 3 m."""
    sheet = Sheet().box(-300, -300, 6400, 3300)
    sheet.line(0, 0, 900, 0).line(900, 0, 900, 50).line(900, 50, 1000, 50).line(1000, 50, 1000, 0).line(
        1000, 0, 2000, 0
    )
    sheet.line(2000, 0, 2000, 600).line(2000, 600, 1000, 600).line(1000, 600, 1000, 500).line(1000, 500, 900, 500)
    sheet.line(900, 500, 900, 700).line(900, 700, 2000, 700).line(2000, 700, 2000, 1500).line(2000, 1500, 2100, 1500)
    sheet.line(2100, 1500, 2100, 0).line(2100, 0, 6100, 0).line(6100, 0, 6100, 3000).line(6100, 3000, 2100, 3000)
    sheet.line(2100, 3000, 2100, 2300).line(2100, 2300, 2000, 2300).line(2000, 2300, 2000, 3000)
    sheet.line(2000, 3000, 0, 3000).line(0, 3000, 0, 0)
    door(door(sheet, 2000, 1500, 800), 900, 50, 450)
    sheet.word("Bath", 600, 2000).word("Hall", 4000, 1500)
    assert found(sheet) == [0.6, 5.23, 12.0]


def closets() -> Sheet:
    """Two rooms of 4 × 3 m whose outlines are closed, in the closed outline of the house, and behind a wall of 0.1 m
    along the first one a closet of 4 × 0.6 m without a word and drawn line by line, with a pair of doors of 0.6 m."""
    sheet = Sheet().box(-300, -300, 8400, 4000).box(4100, 0, 8100, 3000).word("Study", 6100, 1500)
    sheet.line(0, 3100, 0, 3700).line(0, 3700, 4000, 3700).line(4000, 3700, 4000, 3100).word("Bedroom", 2000, 1500)
    sheet.ring((0, 0), (4000, 0), (4000, 3000), (2600, 3000), (2600, 3100), (1400, 3100), (1400, 3000), (0, 3000))
    sheet.line(0, 3100, 1400, 3100).line(2600, 3100, 4000, 3100)
    for x, way in ((1400, 1), (2600, -1)):
        sheet.line(x, 3000, x, 2400, "A-DOOR")
        sheet.arcs.append((x, 2400, x + way * 600, 3000, way * QUARTER, "A-DOOR"))
    return sheet


def test_a_closet_is_a_room_where_a_door_leads_into_it_whatever_outlines_it_lies_in() -> None:
    """It lies in one outline, as the house's walls do, and the rooms in two."""
    assert 2.4 in found(closets())
