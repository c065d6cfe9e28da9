"""Walls of one layer that are drawn in several ways: dashed, in a line type or a colour of their own.

Such lines may be walls that come down, walls that are new, or what lies above. Nobody can tell from
the drawing alone, so that they become layers of their own, called by their layer and their way
("A-WALL (DASHED)"), which the user is asked about once and can answer for like for any layer. What is
left out of the walls is said once per layer or line type, so that nothing is left out in silence."""

from __future__ import annotations

import colorsys
import re
from typing import Any, Literal, NamedTuple

import msgspec
import numpy as np
from numpy.typing import NDArray

from takeoff.drawing.hues import hue_word
from takeoff.drawing.model import Drawing, LineSource, Linework, Loop
from takeoff.errors import Finding, InputError, Where
from takeoff.findings import noticed
from takeoff.language import quoted, tr, tr_count
from takeoff.language.lists import some_of
from takeoff.recognise.units.unit_evidence import WALL_MM, wall_distance
from takeoff.recognise.walls.bounding_lines import is_dashed
from takeoff.recognise.walls.layer_roles import CHOSEN, LayerGuess, Role, guess, role_named, whole_of
from takeoff.recognise.walls.layers_told_apart import lengths_by_way, on_layers
from takeoff.recognise.walls.pens_apart import pens_apart
from takeoff.units.printing import shown, whole

Ints = NDArray[np.int64]
How = Literal["dashed", "line type", "colour"]

LEAST_MM = 2000.0
"""Less linework drawn otherwise on layers of walls is a symbol."""
MOST_WAYS = 4
"""A drawing with more colours or line types among its walls has given them for other reasons."""
WHOLLY = 0.99
MOST_PART = 0.5
"""What most lines of a layer look like is how it is drawn, whatever its colour."""
SOLID = frozenset({"CONTINUOUS", "BYLAYER", "BYBLOCK", ""})
YELLOW, YELLOW_NUMBER = "yellow", 2
"""The colour of walls to come down in several countries (common practice, no source), and its number
as a layer has it."""
_WALLS: tuple[Role, ...] = ("wall", "column")


class Way(NamedTuple):
    """A way of drawing: the line type's or colour's name, and which of the two it is."""

    words: str
    how: How


class Part(NamedTuple):
    """A layer of walls that is drawn in one such way: its name, how much of it there is, and the
    middle of its first line."""

    layer: str
    way: Way
    length_mm: float
    x_mm: float
    y_mm: float


def parted(drawing: Drawing, walls: tuple[str, ...] = ()) -> Drawing:
    """The drawing in mm, with lines of layers of walls that are drawn otherwise than the rest of
    their layer on layers of their own. Parted again it stays as it is.

    Of layers whose names say nothing, which may turn out to be walls, dashed lines are told apart.
    ``walls``: layers that the user says are walls.
    """
    drawing = pens_apart(drawing)
    ways = _ways(drawing.sources)
    if all(way is None for way in ways):
        return drawing
    names = sorted({w for w in ways if w is not None})
    number = {way: k for k, way in enumerate(names, 1)}
    of_source = np.array([number.get(w, 0) if w else 0 for w in ways] or [0], np.int64)
    work = drawing.lines
    lengths = lengths_by_way(drawing, of_source, len(names) + 1)
    layers, moved = list(drawing.layers), {}
    taken = {layer.name.casefold() for layer in layers}
    said = {name.casefold() for name in walls}
    for layer, row in enumerate(guess(drawing)):
        of_walls = row.role in _WALLS or row.name.casefold() in said
        for way in _told_apart(lengths[layer], names) if of_walls or row.role == "unknown" else ():
            if not of_walls and names[way - 1].how != "dashed":
                continue
            name = f"{drawing.layers[layer].name} ({names[way - 1].words})"
            if name.casefold() not in taken:
                moved[layer, way] = len(layers)
                layers.append(msgspec.structs.replace(drawing.layers[layer], name=name))
    if not moved:
        return drawing
    table = np.arange(len(drawing.layers))[:, None].repeat(len(names) + 1, axis=1)
    for (layer, way), new in moved.items():
        table[layer, way] = new
    lines = on_layers(
        work,
        _new(table, work.segment_layer, of_source, work.segment_source),
        _new(table, work.arc_layer, of_source, work.arc_source),
    )
    return msgspec.structs.replace(drawing, layers=tuple(layers), lines=lines, loops=_loops(drawing, table, of_source))


def parts(drawing: Drawing, guesses: tuple[LayerGuess, ...]) -> tuple[Part, ...]:
    """Layers of walls that are wholly drawn in a way that may mean that they go; in the layers' order.
    ``guesses``: what each layer is taken for, as its name says and not as the user chose."""
    guesses = by_whole(guesses)
    ways = _ways(drawing.sources)
    names = sorted({w for w in ways if w is not None})
    number = {way: k for k, way in enumerate(names, 1)}
    of_source = np.array([number.get(w, 0) if w else 0 for w in ways] or [0], np.int64)
    lengths = lengths_by_way(drawing, of_source, len(names) + 1)
    walls = [k for k, row in enumerate(guesses) if row.role in _WALLS and lengths[k].sum() >= LEAST_MM]
    yellow = _yellow_layers(drawing, walls)
    if not any(row.role in _WALLS for row in guesses):
        walls = [
            k
            for k, row in enumerate(guesses)
            if row.role == "unknown" and lengths[k].sum() >= LEAST_MM and _drawn_as_walls(drawing, k)
        ]
    found = []
    for k in walls:
        total, most = float(lengths[k].sum()), int(lengths[k].argmax())
        way = names[most - 1] if most and lengths[k][most] >= WHOLLY * total else None
        apart = way is not None and drawing.layers[k].name.endswith(f"({way.words})")
        if way is None or (way.how != "dashed" and not apart):
            way = Way(YELLOW, "colour") if k in yellow else None
        if way is not None:
            found.append(Part(guesses[k].name, way, total, *_first(drawing, k)))
    return tuple(found)


def by_whole(guesses: tuple[LayerGuess, ...]) -> tuple[LayerGuess, ...]:
    """The guesses, with layers that were told apart taken for what the rest of their layer is, unless
    the user says, or their names do, what they are."""
    roles = {row.name: row.role for row in guesses}
    made = []
    for row in guesses:
        whole = whole_of(row.name)
        own = row.why == CHOSEN or row.role == "demolished" or whole not in roles
        made.append(row if own else msgspec.structs.replace(row, role=roles[whole]))
    return tuple(made)


def standing(drawing: Drawing, chosen: tuple[tuple[str, str], ...]) -> Drawing:
    """The drawing with unbroken lines on layers that the user says are walls, columns, doors or glass:
    what stands is there, however it is drawn."""
    said = {name.casefold() for name, role in chosen if role in ("wall", "column", "door", "glazing")}
    stands = np.array([layer.name.casefold() in said for layer in drawing.layers] or [False])
    dashed = np.array([is_dashed(s.linetype) for s in drawing.sources] or [False])
    work = drawing.lines
    rows = stands[work.segment_layer] & dashed[work.segment_source]
    bows = stands[work.arc_layer] & dashed[work.arc_source]
    used = np.unique(np.concatenate([work.segment_source[rows], work.arc_source[bows]]))
    if not len(used):
        return drawing
    n = len(drawing.sources)
    table = np.arange(n)
    table[used] = n + np.arange(len(used))
    solid = tuple(msgspec.structs.replace(drawing.sources[s], linetype="CONTINUOUS") for s in used.tolist())
    seg, arc = work.segment_source.copy(), work.arc_source.copy()
    seg[rows], arc[bows] = table[seg[rows]], table[arc[bows]]
    lines = Linework(work.segments, work.segment_layer, seg, work.arcs, work.arc_layer, arc)
    return msgspec.structs.replace(drawing, lines=lines, sources=(*drawing.sources, *solid))


def colour_word(rgb: int) -> str:
    """A plain word for a colour 0xRRGGBB.

    >>> colour_word(0xFFFF00), colour_word(0x101010), colour_word(0x808080)
    ('yellow', 'black', 'grey')
    """
    r, g, b = (rgb >> 16 & 255) / 255.0, (rgb >> 8 & 255) / 255.0, (rgb & 255) / 255.0
    _, saturation, value = colorsys.rgb_to_hsv(r, g, b)
    if value < 0.25:
        return "black"
    if saturation < 0.15:
        return "white" if value > 0.9 else "grey"
    return hue_word(r, g, b)


def _ways(sources: tuple[LineSource, ...]) -> list[Way | None]:
    known: dict[tuple[str, int], Way | None] = {}
    made = []
    for s in sources:
        key = (s.linetype, s.colour)
        if key not in known:
            known[key] = _way(*key)
        made.append(known[key])
    return made


def _way(linetype: str, colour: int) -> Way | None:
    if is_dashed(linetype):
        return Way(linetype, "dashed")
    if linetype.upper() not in SOLID:
        return Way(linetype, "line type")
    if colour >= 0 and (word := colour_word(colour)) not in ("black", "white", "grey"):
        return Way(word, "colour")
    return None


def _told_apart(lengths: NDArray[np.float64], names: list[Way]) -> list[int]:
    """Which ways of a layer get a layer of their own, by how much is drawn in each."""
    total = float(lengths.sum())
    ways = [k for k in range(1, len(lengths)) if LEAST_MM <= lengths[k] < WHOLLY * total]
    otherwise = [k for k in ways if names[k - 1].how != "dashed"]
    if len(otherwise) > MOST_WAYS or sum(lengths[k] for k in otherwise) > MOST_PART * total:
        otherwise = [k for k in otherwise if names[k - 1].words == YELLOW]
    return [k for k in ways if names[k - 1].how == "dashed" or k in otherwise]


def _new(table: Ints, layer: NDArray[np.int32], of_source: Ints, source: NDArray[np.int32]) -> NDArray[np.int32]:
    if not len(layer):
        return layer
    return table[layer, of_source[source]].astype(np.int32)


def _loops(drawing: Drawing, table: Ints, of_source: Ints) -> tuple[Loop, ...]:
    handles = {s.handle: int(of_source[k]) for k, s in enumerate(drawing.sources) if s.handle and not s.block}
    return tuple(
        msgspec.structs.replace(loop, layer=int(table[loop.layer, handles.get(loop.handle, 0)]))
        if handles.get(loop.handle, 0)
        else loop
        for loop in drawing.loops
    )


def _yellow_layers(drawing: Drawing, walls: list[int]) -> set[int]:
    """Layers of walls that are yellow as a whole, where others are not."""
    found = {k for k in walls if drawing.layers[k].colour == YELLOW_NUMBER}
    return found if len(found) < len(walls) else set()


def _drawn_as_walls(drawing: Drawing, layer: int) -> bool:
    """Whether dashed lines of a layer whose name says nothing run in pairs at a wall's distance."""
    work = drawing.lines
    own = work.segment_layer == layer
    if (
        not own.any()
        or not drawing.sources
        or not is_dashed(drawing.sources[int(work.segment_source[own][0])].linetype)
    ):
        return False
    rows = work.segments[own]
    distance = wall_distance(rows, float(np.ptp(rows.reshape(-1, 2), axis=0).max()))
    return distance is not None and WALL_MM[0] <= distance <= WALL_MM[1]


def _first(drawing: Drawing, layer: int) -> tuple[float, float]:
    work = drawing.lines
    for rows, of in ((work.segments, work.segment_layer), (work.arcs, work.arc_layer)):
        own = rows[of == layer]
        if len(own):
            x0, y0, x1, y1 = own[0, :4].tolist()
            return (x0 + x1) / 2.0, (y0 + y1) / 2.0
    return 0.0, 0.0


LAYERS_LISTED = 5
LEAST_DASHED_MM = 2000.0
"""Less dashed linework on layers of walls is a symbol."""
_TO_GO = re.compile(
    r"\b(?:demolish(?:ed)?|demolition|to\s+be\s+removed|strip\s+out|removals?|abbruch|abzubrechen|r[üu]ckbau|"
    r"abriss|[àa]\s+d[ée]molir|d[ée]moli[er]?|d[ée]molition|demolire|demolizion[ei]|demoler|demolici[óo]n|"
    r"te\s+slopen|slopen|sloop|rivs|rivning|do\s+rozbi[óo]rki|rozbi[óo]rka|wyburzeni[ae]|puret(?:aan|tava))\b|"
    r"демонтаж|снос\b",
    re.I,
)


def left_out(drawing: Drawing, guesses: tuple[LayerGuess, ...]) -> tuple[Finding, ...]:
    """Findings on demolished layers, on dashed lines of wall layers, one for each line type, on walls
    in a colour or line type that may say that they come down, and where the drawing speaks of
    demolition but no layer or line shows which walls go."""
    demolished, dashed = _demolished(drawing, guesses), _dashed(drawing, guesses)
    otherwise = _otherwise(drawing, guesses)
    clear = demolished or dashed or otherwise
    return (*demolished, *dashed, *otherwise, *(() if clear else _spoken_of(drawing)))


def _demolished(drawing: Drawing, guesses: tuple[LayerGuess, ...]) -> tuple[Finding, ...]:
    drawn = set(drawing.lines.segment_layer.tolist()) | set(drawing.lines.arc_layer.tolist())
    names = [g.name for k, g in enumerate(guesses) if g.role == "demolished" and k in drawn and g.why != CHOSEN]
    if not names:
        return ()
    return (noticed("demolished-left-out", Where(layer=names[0]), layers=_listed_layers(names)),)


def _dashed(drawing: Drawing, guesses: tuple[LayerGuess, ...]) -> tuple[Finding, ...]:
    rows = by_whole(guesses)
    asked = {part.layer for part in parts(drawing, guesses) if part.way.how == "dashed"}
    walls = np.array([(g.role in ("wall", "column") or g.name in asked) and g.why != CHOSEN for g in rows] or [False])
    work = drawing.lines
    of_walls = np.flatnonzero(walls[work.segment_layer]) if len(work.segments) else np.zeros(0, np.int64)
    kinds: dict[str, tuple[float, int]] = {}
    dashed = [is_dashed(s.linetype) for s in drawing.sources]
    for row in of_walls.tolist():
        source = int(work.segment_source[row])
        if source < len(dashed) and dashed[source]:
            x0, y0, x1, y1 = work.segments[row].tolist()
            length, first = kinds.get(drawing.sources[source].linetype, (0.0, row))
            kinds[drawing.sources[source].linetype] = (length + float(np.hypot(x1 - x0, y1 - y0)), first)
    found = []
    for linetype, (length, row) in sorted(kinds.items()):
        if length < LEAST_DASHED_MM:
            continue
        x0, y0, x1, y1 = work.segments[row].tolist()
        layer = drawing.layers[int(work.segment_layer[row])].name
        x, y = (x0 + x1) / 2, (y0 + y1) / 2
        facts: dict[str, Any] = {"length_m": shown(length / 1000, 0), "linetype": linetype, "layer": layer}
        found.append(
            noticed("dashed-walls-left-out", Where(x_mm=x, y_mm=y, layer=layer), x=whole(x), y=whole(y), **facts)
        )
    return tuple(found)


def _otherwise(drawing: Drawing, guesses: tuple[LayerGuess, ...]) -> tuple[Finding, ...]:
    """Walls that count although their colour or line type may say that they come down, one finding for
    each."""
    ways: dict[Way, list[Part]] = {}
    said = {g.name for g in guesses if g.why == CHOSEN}
    for part in parts(drawing, guesses):
        if part.way.how != "dashed" and part.layer not in said:
            ways.setdefault(part.way, []).append(part)
    return tuple(_asked(way, found) for way, found in ways.items())


def _asked(way: Way, found: list[Part]) -> Finding:
    drawn = way.words if way.how == "colour" else tr("the line type “{name}”", name=way.words)
    first = found[0]
    return noticed(
        "walls-drawn-otherwise",
        Where(x_mm=first.x_mm, y_mm=first.y_mm, layer=first.layer),
        length_m=shown(sum(p.length_mm for p in found) / 1000, 0),
        layers=_listed_layers([p.layer for p in found]),
        drawn=drawn,
        x=whole(first.x_mm),
        y=whole(first.y_mm),
    )


def _spoken_of(drawing: Drawing) -> tuple[Finding, ...]:
    said = [label for label in drawing.labels if _TO_GO.search(label.text)]
    if not said:
        return ()
    first = said[0]
    more = tr_count(", and {count} more such note", ", and {count} more such notes", len(said) - 1)
    said_there = " ".join(first.text.split())[:60]
    where = Where(x_mm=first.x, y_mm=first.y)
    return (
        noticed(
            "demolition-spoken-of",
            where,
            said=said_there,
            x=whole(first.x),
            y=whole(first.y),
            more=more if len(said) > 1 else "",
        ),
    )


def _listed_layers(names: list[str]) -> str:
    return some_of([quoted(name) for name in names], LAYERS_LISTED)


def refuse_absent(layers: tuple[str, ...], drawing: Drawing) -> None:
    """Raises InputError for the first of these layers that the drawing does not have."""
    there = {layer.name.casefold() for layer in drawing.layers}
    for name in layers:
        if name.casefold() not in there:
            names = [layer.name for layer in drawing.layers]
            raise InputError(
                tr("{file} has no layer “{name}”: it has {names}.", file=drawing.name, name=name, names=_listed(names))
            )


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
                tr(
                    "{file} has no layer, line type or colour of walls called “{name}”: it has {names}.",
                    file=drawing.name,
                    name=name,
                    names=_listed(list(named.values())),
                )
            )
        chosen.update(dict.fromkeys(own, role))
    return tuple(chosen.items())


LISTED = 12


def _listed(names: list[str]) -> str:
    return some_of([quoted(name) for name in names], LISTED)
