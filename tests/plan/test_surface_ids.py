"""Names of surfaces and edges are made and read in one place, and read back as they were made."""

from __future__ import annotations

import pytest

from takeoff.plan.surface_ids import edge_name, reveal_name, reveal_of, strip_name, strip_of, surfaces_of, with_surfaces


@pytest.mark.parametrize("beyond", [False, True])
@pytest.mark.parametrize("opening", ["o1", "kitchen-1.2"])
def test_strip_is_read_as_it_was_made(opening: str, beyond: bool) -> None:
    reveal = reveal_name(opening, beyond)
    assert reveal_of(reveal) == (opening, beyond)
    assert strip_of(strip_name(reveal, "head")) == (opening, beyond, "head")


def test_names_stand_in_jobs_as_they_always_did() -> None:
    assert strip_name(reveal_name("o1", True), "start") == "o1.beyond.start"
    assert edge_name(("s1", "o1.head")) == "s1|o1.head"
    assert edge_name(("s1", "s2"), "opening", 1) == "s1|s2@opening#2"
    assert strip_of("s1") == ("", False, "s1")


@pytest.mark.parametrize(("kind", "nth"), [("", 0), ("", 1), ("room", 0), ("external-room", 2)])
def test_surfaces_of_an_edge_are_those_it_was_made_of(kind: str, nth: int) -> None:
    edge = edge_name(("a.face", "o1.beyond.end"), kind, nth)
    assert surfaces_of(edge) == ("a.face", "o1.beyond.end")
    renamed = with_surfaces(edge, lambda name: name.replace("a.", "z."))
    assert renamed == edge_name(("o1.beyond.end", "z.face"), kind, nth)
