"""What a user chose for the layers of one office's drawings, to be used again on its next drawing.

Values and pure functions only; keeping profiles between runs is the caller's task.
"""

from __future__ import annotations

import msgspec

from takeoff.recognise.walls.layers import LayerGuess, Role

ALIKE = 0.6
"""Two drawings that have this part of their layers in common come from one office (common practice,
no source)."""
EVERYWHERE = frozenset({"0", "defpoints"})
"""Layers that every drawing has say nothing of whose it is."""


class Profile(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """``layers``: the names of a drawing's layers, sorted, without regard to capitals: the key.
    ``roles``: (layer, role) for each layer whose role the user chose, sorted."""

    layers: tuple[str, ...]
    roles: tuple[tuple[str, Role], ...]


def layer_profile(guesses: tuple[LayerGuess, ...], choices: dict[str, Role]) -> Profile:
    """The profile of a drawing with these layers and the user's choices for some of them; choices that
    are what was guessed anyway, or for layers it does not have, are not kept."""
    guessed = {g.name.casefold(): g.role for g in guesses}
    chosen = {name.casefold(): role for name, role in choices.items()}
    roles = tuple(sorted((n, r) for n, r in chosen.items() if n in guessed and guessed[n] != r))
    return Profile(tuple(sorted(set(guessed) - EVERYWHERE)), roles)


def alike(profile: Profile, guesses: tuple[LayerGuess, ...]) -> float:
    """Which part of the layers of both, taken together, a profile and a drawing share; 0 to 1."""
    own = {g.name.casefold() for g in guesses} - EVERYWHERE
    both = own | set(profile.layers)
    return len(own & set(profile.layers)) / len(both) if both else 0.0


def best_profile(profiles: tuple[Profile, ...], guesses: tuple[LayerGuess, ...]) -> Profile | None:
    """The profile whose drawing is most like this one, or None where none is alike enough; of two that
    are equally alike the later."""
    ranked = sorted(enumerate(profiles), key=lambda p: (alike(p[1], guesses), p[0]))
    return ranked[-1][1] if ranked and alike(ranked[-1][1], guesses) >= ALIKE else None
