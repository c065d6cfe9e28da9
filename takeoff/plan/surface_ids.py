"""Names of surfaces and of the edges where they meet, as jobs and results hold them: made and read here alone.

A side's face has the side's id, a region's parts begin with the region's, a strip of a reveal with its opening's:
"o1.head", or "o1.beyond.head" on the far side of the wall. An edge is named by its surfaces, in order:
"s1|o1.head". Where these meet in more than one way the kind is added ("s1|s2@opening"), and each stretch but the
first is numbered ("s1|s2#2").
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import NamedTuple, NewType

SurfaceId = NewType("SurfaceId", str)
EdgeId = NewType("EdgeId", str)

_BEYOND = ".beyond"
_END = re.compile(r"[#@]")


class StripName(NamedTuple):
    """What a strip's name says: its opening, whether it is of the reveal beyond the wall, and its part."""

    opening: str
    beyond: bool
    part: str


def reveal_name(opening: str, beyond: bool) -> str:
    """What an opening's reveal is called from the room that hosts it ("o1") or from beyond ("o1.beyond")."""
    return opening + _BEYOND if beyond else opening


def reveal_of(reveal: str) -> tuple[str, bool]:
    """The opening of a reveal, and whether it is the one beyond the wall."""
    opening = reveal.removesuffix(_BEYOND)
    return opening, opening != reveal


def strip_name(reveal: str, part: str) -> SurfaceId:
    """The id of a part (head, sill, start, end, frame) of a reveal."""
    return f"{reveal}.{part}"  # type: ignore[return-value]  # made for every strip measured: a call would show


def strip_of(surface: str) -> StripName:
    """A surface's name read as that of a strip; a name without parts is of no opening ("")."""
    reveal, _, part = surface.rpartition(".")
    return StripName(*reveal_of(reveal), part)


def edge_name(surfaces: Sequence[str], kind: str = "", nth: int = 0) -> EdgeId:
    """The id of an edge between these surfaces, in this order; ``nth`` counts its stretches from 0."""
    name = "|".join(surfaces)
    if kind:
        name += f"@{kind}"
    return f"{name}#{nth + 1}" if nth else name  # type: ignore[return-value]  # as above


def edge_of(one: str, two: str) -> EdgeId:
    """The id of the only edge between two surfaces, in this order."""
    return f"{one}|{two}"  # type: ignore[return-value]  # as above


def surfaces_of(edge: str) -> tuple[SurfaceId, ...]:
    """The surfaces that an edge's id names."""
    return tuple(SurfaceId(name) for name in _END.split(edge, maxsplit=1)[0].split("|"))


def with_surfaces(edge: str, renamed: Callable[[SurfaceId], str]) -> EdgeId:
    """The id of an edge whose surfaces are called otherwise, in the order of their new names."""
    plain = _END.split(edge, maxsplit=1)[0]
    return EdgeId("|".join(sorted(renamed(name) for name in surfaces_of(edge))) + edge[len(plain) :])
