"""Plans side by side on one sheet."""

from __future__ import annotations

from drawn import Sheet, two_rooms
from test_rooms_found import codes

from takeoff.recognise import propose


def beside(far: float, titles: bool = True) -> Sheet:
    """Two plans of two rooms, the second shifted to the right, with their titles below."""
    sheet, other = two_rooms(), two_rooms()
    sheet.segments += [(a + far, b, c + far, d, n) for a, b, c, d, n in other.segments]
    sheet.arcs += [(a + far, b, c + far, d, e, n) for a, b, c, d, e, n in other.arcs]
    sheet.words += [(text, x + far, y, n) for text, x, y, n in other.words]
    if titles:
        sheet.word("Erdgeschoss", 3500, -1200).word("1. OG", 3500 + far, -1200)
    return sheet


def test_two_plans_far_apart_are_two_storeys_with_their_titles() -> None:
    job, findings = propose(beside(12000).drawing())
    assert [(s.name, len(s.rooms), len(s.openings)) for s in job.storeys] == [("Erdgeschoss", 2, 1), ("1. OG", 2, 1)]
    assert codes(findings) == ["several-plans"]
    assert len({r.id for s in job.storeys for r in s.rooms}) == 4


def test_two_plans_without_titles_are_told_apart_and_said_to_have_none() -> None:
    job, findings = propose(beside(12000, titles=False).drawing())
    assert [len(s.rooms) for s in job.storeys] == [2, 2]
    assert "without a title" in f"{findings[0].text} {findings[0].evidence}"


def test_a_house_and_its_near_garage_are_one_storey() -> None:
    sheet = two_rooms().box(8000, 0, 11000, 6000).box(8200, 200, 10800, 5800).word("Garage", 9500, 3000)
    job, _ = propose(sheet.drawing())
    assert [sorted(r.name for r in s.rooms) for s in job.storeys] == [["Garage", "Hall", "Kitchen"]]


def test_levels_written_in_the_plans_are_those_of_their_storeys() -> None:
    sheet = beside(12000).word("±0.00", 1500, 500).word("FFL +2.80", 13500, 500).word("+2.80", 17500, 500)
    job, findings = propose(sheet.word("-0.15", 9500, 500).drawing())
    assert [s.level_mm for s in job.storeys] == [0.0, 2800.0]
    assert "“1. OG” at +2.80 m" in f"{findings[0].text} {findings[0].evidence}"


def test_a_level_in_a_title_counts_where_none_is_in_the_plan() -> None:
    sheet = two_rooms().word("1. Obergeschoss +3,10", 3500, -1200)
    assert propose(sheet.drawing())[0].storeys[0].level_mm == 3100


def test_a_sheets_title_names_the_storey_of_a_lone_plan() -> None:
    sheet = two_rooms()
    block = ("Project: Invented barn", "Title: First floor plan", "Drawing No: A-2", "Rev: A")
    for k, text in enumerate(block):
        sheet.word(text, 12000, -6000 - 300 * k, "0")
    assert [s.name for s in propose(sheet.drawing())[0].storeys] == ["First floor plan"]
