"""What a layer can be for, in the trade's words, and what a user says of layers by name."""

from __future__ import annotations

from typing import get_args

from takeoff.drawing.model import Drawing
from takeoff.errors import InputError
from takeoff.recognise.walls.layers import Role, as_role
from takeoff.recognise.walls.parting import Part

WORDS: dict[Role, str] = {
    "wall": "walls",
    "column": "columns and piers",
    "door": "doors",
    "glazing": "windows and glass",
    "area": "outlines of rooms",
    "text": "text",
    "dimension": "dimensions",
    "furniture": "furniture",
    "stair": "stairs",
    "ceiling": "what lies above",
    "floor": "floor finishes",
    "hatch": "hatching",
    "grid": "grid lines",
    "service": "services",
    "site": "outside the house",
    "demolished": "walls to come down",
    "frame": "not used",
    "unknown": "not clear",
}
"""What a table says a layer is taken for."""

TO_CHOOSE: tuple[Role, ...] = (
    "wall",
    "column",
    "door",
    "glazing",
    "area",
    "demolished",
    "text",
    "furniture",
    "stair",
    "ceiling",
    "hatch",
    "frame",
)
"""What a user chooses from; the others change nothing that is proposed."""

_SAID: dict[str, Role] = {
    "walls": "wall",
    "columns": "column",
    "doors": "door",
    "window": "glazing",
    "windows": "glazing",
    "glass": "glazing",
    "rooms": "area",
    "room": "area",
    "texts": "text",
    "dimensions": "dimension",
    "stairs": "stair",
    "above": "ceiling",
    "hatching": "hatch",
    "unused": "frame",
    "none": "frame",
    "not used": "frame",
    "ignore": "frame",
    "demolish": "demolished",
    "comes down": "demolished",
    "existing": "wall",
    "new": "wall",
    "stands": "wall",
}


def role_named(text: str) -> Role:
    """The role of that name, or of a usual word for it ("walls", "windows", "unused"). Raises
    InputError with the names that exist."""
    plain = " ".join(text.strip().casefold().split())
    if plain in _SAID or plain in get_args(Role):
        return _SAID.get(plain) or as_role(plain)
    raise InputError(f"“{text}” is nothing that a layer can be for: use one of {', '.join(TO_CHOOSE[:-1])} or unused.")


def said_of(
    said: tuple[tuple[str, str], ...], drawing: Drawing, parts: tuple[Part, ...]
) -> tuple[tuple[str, Role], ...]:
    """(layer, role) for what a user says of layers, or of a line type or colour of walls, by name: the
    last word on a layer counts. Raises InputError for a name that the drawing does not have."""
    named = {layer.name.casefold(): layer.name for layer in drawing.layers}
    chosen: dict[str, Role] = {}
    for name, text in said:
        role = role_named(text)
        plain = name.strip().casefold()
        own = [named[plain]] if plain in named else [part.layer for part in parts if part.way.words.casefold() == plain]
        if not own:
            raise InputError(
                f"{drawing.name} has no layer “{name}”, and no walls drawn in a line type or "
                f"colour of that name: it has {_listed(list(named.values()))}."
            )
        chosen.update(dict.fromkeys(own, role))
    return tuple(chosen.items())


LISTED = 12


def _listed(names: list[str]) -> str:
    more = f" and {len(names) - LISTED} more" if len(names) > LISTED else ""
    return ", ".join(f"“{name}”" for name in names[:LISTED]) + more
