"""Names by which a person finds a wall: its letter in walking order and the side of the plan it lies on."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence

from takeoff.plan.model import Opening, Room, Side

_TOKEN = re.compile(r"[^|,;# ]+")

_DROP = re.compile(r"^drop\w+$")
"""The takeoff numbers the sides of a region; nobody can find them by number."""

_ALONG = ("right", "upper right", "upper", "upper left", "left", "lower left", "lower", "lower right")
"""Sides of the plan by eighths of a turn from the right, anticlockwise."""


def wall_names(room: Room) -> dict[str, str]:
    """ "A lower", "B right": every side of a room, lettered from its first corner, outer ring first."""
    names: dict[str, str] = {}
    for ring in (room.outline, *room.inner):
        for side, after in zip(ring, (*ring[1:], *ring[:1]), strict=True):
            names[str(side.id)] = f"{_letters(len(names))} {_bearing(side, after)}"
    return names


def place_words(room: Room, openings: Sequence[Opening]) -> Callable[[str], str]:
    """A function that puts names of the takeoff ("r1.a|r1.b") into words ("A lower | B right").

    What it does not know stays as it is.
    """
    words = wall_names(room)
    marks = {str(o.id): o.mark or str(o.id) for o in openings}
    for field in (room.ceiling, room.floor):
        marks |= {str(r.id): r.what or str(r.id) for r in (field.regions if field else ())}

    def put(match: re.Match[str]) -> str:
        token = match.group(0)
        if token in words:
            return words[token]
        head, dot, tail = token.partition(".")
        return f"{marks[head]}{dot and ' '}{_DROP.sub('side', tail)}" if head in marks else token

    def worded(where: str) -> str:
        # "#2" only tells the takeoff's pieces of one edge apart.
        text = _TOKEN.sub(put, re.sub(r"#\d+", "", where))
        return ", ".join(dict.fromkeys(text.replace("|", " / ").split(", ")))

    return worded


def _letters(number: int) -> str:
    """A to Z, then AA, AB…"""
    first, last = divmod(number, 26)
    return (_letters(first - 1) if first else "") + chr(ord("A") + last)


def _bearing(side: Side, after: Side) -> str:
    """On which side of the room the wall lies: to the right of a side that runs anticlockwise."""
    angle = math.atan2(-(after.x_mm - side.x_mm), after.y_mm - side.y_mm)
    return _ALONG[round(angle / (math.pi / 4)) % 8]
