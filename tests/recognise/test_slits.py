"""Slits between walls and linings that are open to a room are no floor of it."""

from __future__ import annotations

import numpy as np
from drawn import Sheet
from test_rooms_found import area_m2, rooms

from takeoff.geometry.noding import node
from takeoff.recognise import propose
from takeoff.recognise.walls.enclosed_faces import classify
from takeoff.recognise.walls.room_spaces import Space
from takeoff.recognise.walls.slits import without_slits


def areas(sheet: Sheet) -> list[float]:
    return sorted(round(area_m2(r), 2) for r in rooms(propose(sheet.drawing())[0]))


def corridor(slit: float) -> Sheet:
    """A corridor of 6.0 × 2.0 m whose left end only the lining closes that goes round the house, ``slit`` beside its
    walls of 0.2 m; above it a room of 5.8 × 3.0 m with a door of 0.9 m."""
    sheet = (
        Sheet().box(-slit, -200 - slit, 6200 + slit, 5400 + slit).word("Corridor", 3000, 1000).word("Hall", 3000, 4000)
    )
    sheet.line(0, 0, 6000, 0).line(6000, 0, 6000, 2000).line(0, -200, 0, 0).line(0, -200, 6200, -200)
    sheet.line(0, 2000, 1000, 2000).line(1000, 2000, 1000, 2200).line(1900, 2000, 1900, 2200).line(
        1900, 2000, 6000, 2000
    )
    sheet.line(200, 2200, 1000, 2200).line(1900, 2200, 6000, 2200).line(200, 2200, 200, 5200).line(
        200, 5200, 6000, 5200
    )
    sheet.line(6000, 2200, 6000, 5200).line(6200, -200, 6200, 5400).line(0, 5400, 6200, 5400).line(0, 2000, 0, 5400)
    sheet.line(1000, 2200, 1000, 3100, "A-DOOR")
    sheet.arcs.append((1900, 2200, 1000, 3100, 0.41421356237, "A-DOOR"))
    return sheet


def test_the_slit_behind_a_lining_that_closes_a_corridor_is_none_of_it() -> None:
    """6.07 × 2.0 m, where the slit of 70 mm goes on for 22 m, or 1.6 m², round the house."""
    assert areas(corridor(70)) == [12.14, 17.4]


def test_what_one_can_walk_through_is_no_slit() -> None:
    """700 mm wide it goes round the house: 7.6 × 7.0 m in all, less the walls and rooms between."""
    assert areas(corridor(700))[-1] > 20.0


def test_rooms_that_hang_together_by_a_slit_are_two() -> None:
    """Rooms of 3.0 × 3.0 m and 2.0 × 3.0 m with a slit of 1.5 × 0.09 m between them, and their words."""
    outline = [(0, 0), (3000, 0), (3000, 2910), (4500, 2910), (4500, 0), (6500, 0), (6500, 3000), (0, 3000)]
    ends = np.array([(*a, *b) for a, b in zip(outline, outline[1:] + outline[:1], strict=True)], float)
    words = np.array([(1500.0, 1500.0), (5500.0, 1500.0)])
    faces = classify(node(ends), [], words)
    whole = Space(faces.polygons[0], (0,), 1.0, (), (), (0, 1), 0.0)
    found = without_slits([whole], faces, words)
    assert sorted((round(float(s.polygon.area) / 1e6, 2), s.words) for s in found) == [(6.0, (1,)), (9.0, (0,))]
