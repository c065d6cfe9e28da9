"""What the layers of a drawing are for: guessed, remembered from the same office, or said by the user."""

from __future__ import annotations

from pathlib import Path

import msgspec

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, Where
from takeoff.recognise.settings import Settings
from takeoff.recognise.walls.layers import CHOSEN, LayerGuess, Role, guess
from takeoff.recognise.walls.parting import Part, Way, parted, parts
from takeoff.recognise.walls.profile import Profile, best_profile, layer_profile
from takeoff.recognise.walls.roles import TO_CHOOSE, WORDS, role_named, said_of
from takeoff.storage import layer_profiles

__all__ = ["TO_CHOOSE", "WORDS", "parted", "role_named"]

REMEMBERED = "as you said of an earlier drawing"
LISTED = 5

Said = tuple[tuple[str, str], ...]
"""(layer, line type or colour; what it is for), as a user says it."""


class LayerRow(msgspec.Struct, frozen=True):
    """A row of the layer table: what a layer is taken for and why, how many lines and words it has.
    ``asks``: nobody can tell from the drawing whether its walls stand."""

    name: str
    role: Role
    words: str
    why: str
    lines: int
    chosen: bool = False
    asks: bool = False


class WallQuestion(msgspec.Struct, frozen=True):
    """Whether walls that are drawn in some way come down: asked once for all layers that have it."""

    way: str
    layers: tuple[str, ...]
    metres: float
    x_mm: float
    y_mm: float
    text: str
    taken: str


def with_roles(
    drawing: Drawing, settings: Settings, said: Said = (), profiles: tuple[Profile, ...] = (),
) -> tuple[Settings, tuple[Finding, ...]]:
    """(settings with what each layer is for, a finding on what was remembered). What is said now goes
    before what was remembered. Raises InputError for a layer that is not there or a role that is none."""
    guesses = guess(drawing, settings.layers)
    own = said_of((*settings.layer_roles, *said), drawing, parts(drawing, guesses))
    found = best_profile(profiles, guesses)
    if found is None:
        return msgspec.structs.replace(settings, layer_roles=own), ()
    names = {g.name.casefold(): g for g in guesses}
    spoken = {name for name, _ in own}
    remembered = tuple((names[layer].name, role) for layer, role in found.roles
                       if layer in names and names[layer].name not in spoken)
    settings = msgspec.structs.replace(settings, layer_roles=(*remembered, *own))
    return settings, (_told(drawing.name, remembered),) if remembered else ()


def _told(name: str, roles: tuple[tuple[str, Role], ...]) -> Finding:
    listed = ", ".join(f"“{layer}” for {WORDS[role]}" for layer, role in roles[:LISTED])
    more = f" and {len(roles) - LISTED} more" if len(roles) > LISTED else ""
    return Finding("layers-remembered", "check", (
        f"{name} has the layers of a drawing that you sorted before, so {listed}{more} were taken as you "
        "said then; say otherwise on the page of the drawing, or with --layer."), Where(layer=roles[0][0]))


def remember(folder: Path, drawing: Drawing, roles: Said) -> None:
    """Keep what the user chose for the layers of this drawing, for the next of the same office. Raises
    OutputError where it cannot be written."""
    plain = guess(drawing)
    asked = {part.layer for part in parts(drawing, plain)}
    # An answer to a question is kept even where it is what was guessed meanwhile.
    open_rows = tuple(msgspec.structs.replace(g, role="unknown") if g.name in asked else g for g in plain)
    choices = {layer: role_named(role) for layer, role in roles}
    layer_profiles.remember(folder, layer_profile(open_rows, choices))


def table(drawing: Drawing, guesses: tuple[LayerGuess, ...]) -> tuple[LayerRow, ...]:
    """A row per layer that has anything on it, in the drawing's order. ``guesses``: of recognition;
    where it gave none, what the names say."""
    rows = guesses if len(guesses) == len(drawing.layers) else guess(drawing)
    asked = {part.layer for part in parts(drawing, guess(drawing))}
    counts = _counts(drawing)
    return tuple(
        LayerRow(g.name, g.role, WORDS[g.role], _why(g), counts[k], g.why == CHOSEN,
                 g.name in asked and g.why != CHOSEN)
        for k, g in enumerate(rows) if counts[k])


def _why(row: LayerGuess) -> str:
    if row.why:
        return row.why if row.why != CHOSEN else "you said so"
    return "nothing says what it is for" if row.role == "unknown" else ""


def _counts(drawing: Drawing) -> list[int]:
    counts = [0] * len(drawing.layers)
    for array in (drawing.lines.segment_layer, drawing.lines.arc_layer):
        for layer in array.tolist():
            counts[layer] += 1
    for item in (*drawing.labels, *drawing.symbols, *drawing.dimensions):
        if 0 <= item.layer < len(counts):
            counts[item.layer] += 1
    return counts


def questions(drawing: Drawing, roles: Said) -> tuple[WallQuestion, ...]:
    """What only the user can say of walls: one question for each line type or colour not answered yet."""
    said = {layer.casefold() for layer, _ in roles}
    ways: dict[Way, list[Part]] = {}
    for part in parts(drawing, guess(drawing)):
        if part.layer.casefold() not in said:
            ways.setdefault(part.way, []).append(part)
    return tuple(_question(way, found) for way, found in ways.items())


def _question(way: Way, found: list[Part]) -> WallQuestion:
    drawn = {"dashed": f"dashed (“{way.words}”)", "colour": way.words}.get(
        way.how, f"in the line type “{way.words}”")
    metres = sum(part.length_mm for part in found) / 1000.0
    names = ", ".join(f"“{part.layer}”" for part in found[:LISTED])
    taken = "left out" if way.how == "dashed" else "counted as standing"
    return WallQuestion(
        way.words, tuple(part.layer for part in found), metres, found[0].x_mm, found[0].y_mm,
        f"{metres:.0f} m of lines of walls are drawn {drawn}: are these walls to come down?",
        f"On {names}. Until you say, they are {taken}.")
