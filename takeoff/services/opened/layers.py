"""What the layers of a drawing are for: guessed, remembered from the same office, or said by the user."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import msgspec

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.language import mark, quoted, tr, tr_count
from takeoff.plan.reasons import spoken
from takeoff.recognise.presets import Settings
from takeoff.recognise.walls.coloured_lines import coloured
from takeoff.recognise.walls.layer_roles import (
    CHOSEN,
    TO_CHOOSE,
    WORDS,
    LayerGuess,
    Profile,
    Role,
    best_profile,
    guess,
    layer_profile,
    role_named,
)
from takeoff.recognise.walls.line_styles import Part, Way, parted, parts, refuse_absent, said_of
from takeoff.storage import layer_profiles
from takeoff.units.printing import shown

__all__ = ["TO_CHOOSE", "WORDS", "role_named"]

LISTED = 5

Said = tuple[tuple[str, str], ...]
"""(layer, line type or colour; what it is for), as a user says it."""


class LayerRow(msgspec.Struct, frozen=True):
    """A row of the layer table: what a layer is taken for and why, how many things are drawn on it.
    ``asks``: nobody can tell from the drawing whether its walls stand."""

    name: str
    role: Role
    words: str
    why: str
    things: int
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


def sorted_out(
    drawing: Drawing, settings: Settings, said: Said = (), profiles: tuple[Profile, ...] = (), lenient: bool = False
) -> tuple[Drawing, Settings, tuple[Finding, ...]]:
    """(the drawing in mm with its walls told apart by how they are drawn, the settings with what each
    layer is for, a finding on what was remembered).

    What is said now goes before what was remembered. Raises InputError for a role that is none and,
    unless ``lenient``, for a layer that is not there.
    """
    if not lenient:
        refuse_absent(settings.layers, drawing)
    drawing = coloured(parted(drawing))
    said = (*settings.layer_roles, *said)
    found = best_profile(profiles, guess(drawing, settings.layers))
    known = found.roles if found is not None else ()
    drawing = parted(drawing, tuple(name for name, role in (*known, *said) if role_named(role) == "wall"))
    guesses = guess(drawing, settings.layers)
    if lenient:
        there = {g.name.casefold() for g in guesses}
        said = tuple((name, role) for name, role in said if name.casefold() in there)
    own = said_of(said, drawing, parts(drawing, _as_said(guesses, (*known, *said))))
    names = {g.name.casefold(): g.name for g in guesses}
    spoken = {name for name, _ in own}
    remembered = tuple((names[layer], role) for layer, role in known if layer in names and names[layer] not in spoken)
    settings = msgspec.structs.replace(settings, layer_roles=(*remembered, *own))
    if not remembered:
        return drawing, settings, ()
    where = Where(layer=remembered[0][0])
    return drawing, settings, (noticed("layers-remembered", where, file=drawing.name, listed=_listed(remembered)),)


def _as_said(guesses: tuple[LayerGuess, ...], said: Said) -> tuple[LayerGuess, ...]:
    """The guesses with what was said of whole layers, so that what is drawn otherwise on them is known."""
    roles = {name.casefold(): role_named(role) for name, role in said}
    return tuple(
        msgspec.structs.replace(g, role=roles[g.name.casefold()]) if g.name.casefold() in roles else g for g in guesses
    )


def as_said(drawing: Drawing, roles: Said) -> tuple[LayerGuess, ...]:
    """What each layer is for by its name and by what was said of it; what no version knows is passed over."""
    known = get_args(Role)
    return guess(drawing, chosen=tuple((name, role) for name, role in roles if role in known))


def remembered_words(roles: Said) -> str:
    """What the window says above the layers of a drawing that are sorted as those of an earlier one."""
    known = tuple((layer, role_named(role)) for layer, role in roles)
    return tr("Layers set as you set them for an earlier drawing: {layers}.", layers=_listed(known))


def _listed(roles: tuple[tuple[str, Role], ...]) -> str:
    listed = ", ".join(tr("{layer} = {role}", layer=layer, role=tr(WORDS[role])) for layer, role in roles[:LISTED])
    if len(roles) <= LISTED:
        return listed
    return tr_count("{layers} and {count} more", "{layers} and {count} more", len(roles) - LISTED, layers=listed)


def remember(folder: Path, drawing: Drawing, roles: Said) -> None:
    """Keep what the user chose for the layers of this drawing, for the next of the same office. Raises
    OutputError where it cannot be written."""
    plain = guess(drawing)
    asked = _asked(drawing, roles)
    # An answer to a question is kept even where it is what was guessed meanwhile.
    open_rows = tuple(msgspec.structs.replace(g, role="unknown") if g.name in asked else g for g in plain)
    choices = {layer: role_named(role) for layer, role in roles}
    layer_profiles.remember(folder, layer_profile(open_rows, choices))


def _asked(drawing: Drawing, roles: Said) -> set[str]:
    """Layers of walls that are drawn in a way that may mean that they come down, answered for or not."""
    whole = tuple((name, role) for name, role in roles if not name.endswith(")"))
    return {part.layer for part in parts(drawing, _as_said(guess(drawing), whole))}


def table(drawing: Drawing, guesses: tuple[LayerGuess, ...]) -> tuple[LayerRow, ...]:
    """A row per layer that has anything on it, in the drawing's order. ``guesses``: of recognition;
    where it gave none, what the names say."""
    return seen(drawing, guesses)[0]


def questions(drawing: Drawing, guesses: tuple[LayerGuess, ...]) -> tuple[WallQuestion, ...]:
    """What only the user can say of walls: one question for each line type or colour not answered yet."""
    return seen(drawing, guesses)[1]


def seen(drawing: Drawing, guesses: tuple[LayerGuess, ...]) -> tuple[tuple[LayerRow, ...], tuple[WallQuestion, ...]]:
    """(the layer table, the questions on walls), for the price of one of them."""
    rows = guesses if len(guesses) == len(drawing.layers) else guess(drawing)
    found, counts = parts(drawing, rows), _counts(drawing)
    said = {g.name for g in rows if g.why == CHOSEN}
    asked = {part.layer for part in found} - said
    made = tuple(
        LayerRow(g.name, g.role, tr(WORDS[g.role]), _why(g), counts[k], g.name in said, g.name in asked)
        for k, g in enumerate(rows)
        if counts[k]
    )
    ways: dict[Way, list[Part]] = {}
    for part in found:
        if part.layer not in said:
            ways.setdefault(part.way, []).append(part)
    return made, tuple(_question(way, own) for way, own in ways.items())


def _why(row: LayerGuess) -> str:
    if row.why:
        return spoken(row.why) if row.why != CHOSEN else tr("you set it")
    return tr("nothing shows what it is for") if row.role == "unknown" else ""


def _counts(drawing: Drawing) -> list[int]:
    counts = [0] * len(drawing.layers)
    for array in (drawing.lines.segment_layer, drawing.lines.arc_layer):
        for layer in array.tolist():
            counts[layer] += 1
    words = [
        *(v.layer for v in drawing.labels),
        *(v.layer for v in drawing.symbols),
        *(v.layer for v in drawing.dimensions),
    ]
    for layer in words:
        if 0 <= layer < len(counts):
            counts[layer] += 1
    return counts


_DRAWN = {
    "dashed": mark("{length} m of wall lines are dashed (“{words}”): are these walls to be demolished?"),
    "colour": mark("{length} m of wall lines are {words}: are these walls to be demolished?"),
}


def _question(way: Way, found: list[Part]) -> WallQuestion:
    drawn = _DRAWN.get(
        way.how, mark("{length} m of wall lines have the line type “{words}”: are these walls to be demolished?")
    )
    metres = sum(part.length_mm for part in found) / 1000.0
    names = ", ".join(quoted(part.layer) for part in found[:LISTED])
    return WallQuestion(
        way.words,
        tuple(part.layer for part in found),
        metres,
        found[0].x_mm,
        found[0].y_mm,
        tr(drawn, length=shown(metres, 0), words=way.words),
        tr("On {layers}. Until you answer, they do not count.", layers=names)
        if way.how == "dashed"
        else tr("On {layers}. Until you answer, they count as standing.", layers=names),
    )
