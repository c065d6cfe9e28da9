"""What is left out of the walls because it is taken for demolished, or for what lies above: said once
per layer or line type, so that nothing is left out in silence."""

from __future__ import annotations

import re

import numpy as np

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, Where
from takeoff.recognise.walls.layers import CHOSEN, LayerGuess
from takeoff.recognise.walls.linework import is_dashed
from takeoff.recognise.walls.parting import Part, Way, by_whole, parts

LISTED = 5
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
    return (
        Finding(
            "demolished-left-out",
            "check",
            (
                f"What is drawn on {_listed(names)} is taken for demolished and bounds no room: name the layers "
                "that count with --layers if it still stands."
            ),
            Where(layer=names[0]),
        ),
    )


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
        found.append(
            Finding(
                "dashed-walls-left-out",
                "check",
                (
                    f"Some {length / 1000:.0f} m of lines on layers of walls have the line type “{linetype}”, the "
                    f"first at {(x0 + x1) / 2:.0f}, {(y0 + y1) / 2:.0f} on “{layer}”: they are taken for demolished "
                    f"or for what lies above, and bound no room; say whether they stand or come down, on the page of "
                    f"the drawing or with --layer {linetype}=walls or =demolished."
                ),
                Where(x_mm=(x0 + x1) / 2, y_mm=(y0 + y1) / 2, layer=layer),
            )
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
    drawn = way.words if way.how == "colour" else f"the line type “{way.words}”"
    first = found[0]
    return Finding(
        "walls-drawn-otherwise",
        "check",
        (
            f"Some {sum(p.length_mm for p in found) / 1000:.0f} m of walls on "
            f"{_listed([p.layer for p in found])} are drawn in {drawn}, unlike other walls, "
            f"the first at {first.x_mm:.0f}, {first.y_mm:.0f}: they bound rooms as if they stood; say "
            "whether they stand or come down, on the page of the drawing or "
            f"with --layer {way.words}=walls or =demolished."
        ),
        Where(x_mm=first.x_mm, y_mm=first.y_mm, layer=first.layer),
    )


def _spoken_of(drawing: Drawing) -> tuple[Finding, ...]:
    said = [label for label in drawing.labels if _TO_GO.search(label.text)]
    if not said:
        return ()
    first = said[0]
    more = f", and {len(said) - 1} more such notes" if len(said) > 1 else ""
    return (
        Finding(
            "demolition-spoken-of",
            "check",
            (
                f"The drawing says “{' '.join(first.text.split())[:60]}” at {first.x:.0f}, {first.y:.0f}{more}, but "
                "no layer or line type shows which walls are meant: check that no room is bounded by what goes."
            ),
            Where(x_mm=first.x, y_mm=first.y),
        ),
    )


def _listed(names: list[str]) -> str:
    return ", ".join(f"“{name}”" for name in names[:LISTED]) + (" and more" if len(names) > LISTED else "")
