"""Choices for layers, kept by the set of layers that an office draws on."""

from __future__ import annotations

import pytest
from drawn import Sheet
from test_rooms_found import area_m2, rooms

from takeoff.errors import InputError
from takeoff.recognise import Settings, propose
from takeoff.recognise.walls.layer_roles import Profile, alike, best_profile, guess, layer_profile


def oddly_layered() -> Sheet:
    """Walls on a layer called like furniture, cupboards on one called like walls."""
    sheet = Sheet().box(-300, -300, 4300, 3300, layer="Equipment").box(0, 0, 4000, 3000, layer="Equipment")
    return sheet.box(1500, 0, 2500, 600, layer="A-WALL").word("Store", 1000, 2000)


def test_a_chosen_role_overrules_the_name_of_the_layer() -> None:
    settings = Settings(layer_roles=(("EQUIPMENT", "wall"), ("A-WALL", "furniture")))
    (room,) = rooms(propose(oddly_layered().drawing(), settings)[0])
    assert area_m2(room) == pytest.approx(12.0)


def test_a_profile_keeps_only_what_differs_from_the_guess() -> None:
    guesses = guess(oddly_layered().drawing())
    profile = layer_profile(guesses, {"Equipment": "wall", "A-WALL": "wall", "gone": "door"})
    assert profile == Profile(("a-anno-text", "a-wall", "equipment"), (("equipment", "wall"),))
    again = guess(oddly_layered().drawing(), chosen=profile.roles)
    assert {g.name: (g.role, g.why) for g in again}["Equipment"] == ("wall", "chosen by the user")


def test_the_next_drawing_of_an_office_is_known_by_its_layers() -> None:
    guesses = guess(oddly_layered().word("x", 0, 0, "A-NOTE").drawing())
    near = Profile(("a-anno-text", "a-wall", "equipment"), (("equipment", "wall"),))
    other = Profile(("wände", "türen", "a-wall"), ())
    assert alike(near, guesses) == pytest.approx(3 / 4)
    assert best_profile((near, other), guesses) is near
    assert best_profile((other,), guesses) is None
    assert best_profile((), guesses) is None


def test_an_unknown_role_is_refused_in_a_sentence() -> None:
    with pytest.raises(InputError, match="“walls” is not a layer use"):
        guess(oddly_layered().drawing(), chosen=(("A-WALL", "walls"),))
