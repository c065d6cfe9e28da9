"""A passage as wide as a leaf that a hall's wall lets through, with a closet along it behind a row of folding doors."""

from __future__ import annotations

from drawn import Sheet
from test_folding_doors import leaves
from test_rooms_found import area_m2, rooms

from takeoff.recognise import propose

QUARTER = 0.41421356237


def passage(wide: float, pairs: int) -> Sheet:
    """A hall of 3 × 7 m, and beside it from below a bath of 3 × 1.9 m, a passage of 3 m × ``wide``, a closet 0.72 m
    deep that is open to it all along, and a study of 3 × 3.2 m, with walls of 0.1 m between them. Bath and passage,
    study and hall, and hall and outside have doors with leaves; ``pairs`` of folding leaves stand before the closet,
    each as wide as a quarter of it."""
    top = wide + 720
    sheet = Sheet().line(-300, -2300, 6400, -2300).line(-300, -2300, -300, top + 3600)
    sheet.line(-300, top + 3600, 6400, top + 3600)
    sheet.line(0, -2000, 3000, -2000).line(0, -2000, 0, -100).line(3000, -2000, 3000, -100)
    sheet.line(0, -100, 1000, -100).line(1000, -100, 1000, 0).line(1000, 0, 0, 0)
    sheet.line(3000, -100, 1800, -100).line(1800, -100, 1800, 0).line(1800, 0, 3100, 0)
    sheet.line(1000, 0, 1000, 800, "A-DOOR")
    sheet.arcs.append((1800, 0, 1000, 800, QUARTER, "A-DOOR"))
    sheet.line(0, 0, 0, top).line(0, top, 3000, top).line(3000, top, 3000, wide).line(3000, wide, 3100, wide)
    low, high = top + 1000, top + 1900
    sheet.line(0, top + 100, 3000, top + 100).line(0, top + 100, 0, top + 3300).line(0, top + 3300, 3000, top + 3300)
    sheet.line(3000, top + 100, 3000, low).line(3000, low, 3100, low).line(3100, low, 3100, wide)
    sheet.line(3000, top + 3300, 3000, high).line(3000, high, 3100, high).line(3100, high, 3100, top + 3300)
    sheet.line(3000, low, 2100, low, "A-DOOR")
    sheet.arcs.append((3000, high, 2100, low, QUARTER, "A-DOOR"))
    sheet.line(3100, 0, 3100, -2000).line(3100, -2000, 6100, -2000).line(3100, top + 3300, 6100, top + 3300)
    for x in (6100, 6400):
        sheet.line(x, -2000 if x == 6100 else -2300, x, low).line(x, high, x, top + (3300 if x == 6100 else 3600))
    sheet.line(6100, low, 6400, low).line(6100, high, 6400, high).line(6100, low, 5200, low, "A-DOOR")
    sheet.arcs.append((6100, high, 5200, low, QUARTER, "A-DOOR"))
    sheet.word("Bath", 1500, -1200).word("Study", 1500, top + 2500).word("Hall", 4500, 500)
    for k in range(pairs):
        leaves(sheet, 750.0 * k, wide, 750)
    return sheet


def found(sheet: Sheet) -> dict[str, list[float]]:
    areas: dict[str, list[float]] = {}
    for room in rooms(propose(sheet.drawing())[0]):
        areas.setdefault(room.name, []).append(round(area_m2(room), 2))
    return {name: sorted(own) for name, own in areas.items()}


def test_a_row_of_folding_doors_closes_a_closet_and_the_passage_stays_a_room() -> None:
    """Passage 3 × 0.98, closet 3 × 0.72, study 3 × 3.2, hall 3 × (2 + 0.98 + 0.72 + 3.3)."""
    assert found(passage(980, 4)) == {"Bath": [5.7], "": [2.16, 2.94], "Study": [9.6], "Hall": [21.0]}


def test_a_front_is_one_door_whichever_side_of_its_leaves_tells_it() -> None:
    """The leaves' other sides have their feet beside the front's line, at 40 mm and more."""
    job = propose(passage(980, 4).drawing())[0]
    told = [o.width_mm for o in job.storeys[0].openings if any("fold" in why for why in map(str, o.evidence))]
    assert told == [3000]


def test_what_is_wider_than_a_leaf_is_the_mouth_of_a_passage() -> None:
    """Hall 3 × (2 + 1.2 + 0.72 + 3.3), passage 3 × 1.2, and 0.1 × 1.2 between them."""
    assert found(passage(1200, 4)) == {"Bath": [5.7], "": [2.16], "Study": [9.6], "Hall": [25.38]}


def test_two_pairs_before_a_front_twice_as_wide_close_it_not() -> None:
    """Passage and closet are one of 3 × 1.7."""
    assert found(passage(980, 2))[""] == [5.1]
