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
    assert [(s.name, len(s.rooms), len(s.openings)) for s in job.storeys] == [
        ("Erdgeschoss", 2, 1), ("1. OG", 2, 1)]
    assert codes(findings) == ["several-plans"]
    assert len({r.id for s in job.storeys for r in s.rooms}) == 4


def test_two_plans_without_titles_are_told_apart_and_said_to_have_none() -> None:
    job, findings = propose(beside(12000, titles=False).drawing())
    assert [len(s.rooms) for s in job.storeys] == [2, 2]
    assert "without a title" in findings[0].text


def test_a_house_and_its_near_garage_are_one_storey() -> None:
    sheet = two_rooms().box(8000, 0, 11000, 6000).box(8200, 200, 10800, 5800).word("Garage", 9500, 3000)
    job, _ = propose(sheet.drawing())
    assert [sorted(r.name for r in s.rooms) for s in job.storeys] == [["Garage", "Hall", "Kitchen"]]
