"""The outline of a room from its readings, and what of them does not fit.

A first figure (the walk with the turns as typed, closed evenly) is adjusted to all readings; the one
that is wrong is looked for by leaving readings out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import count
from typing import Literal

import msgspec
import numpy as np

from takeoff.errors import Finding
from takeoff.findings import noticed
from takeoff.geometry.adjustment import NO_CONTROL, Adjusted, Distance, Observation, Point, Turn, adjust
from takeoff.geometry.rings import ring_area
from takeoff.language import mark, tr, tr_as
from takeoff.plan.model import Readings, ReadSide, SideId
from takeoff.units.printing import shown, whole

SHORTEST_START_MM = 100.0
"""A side that nobody measured starts at least this long."""

_USUAL_MM = 3000.0
"""A side that nobody measured starts near this length, where nothing else says it."""


def length_of(side: ReadSide) -> float | None:
    """What was read of its length: the side itself, else the end of its running dimensions."""
    return side.length_mm if side.length_mm is not None else side.run_mm


def side_ids(sides: tuple[ReadSide, ...]) -> tuple[SideId, ...]:
    """The ids of the room's sides as walked: each its own, else the first s1, s2 … that is unused."""
    taken = {side.id for side in sides if side.id}
    free = (f"s{number}" for number in count(1) if f"s{number}" not in taken)
    return tuple(SideId(side.id or next(free)) for side in sides)


def way_round(sides: tuple[ReadSide, ...]) -> int:
    """+1 walked anticlockwise (more turns to the left), −1 clockwise."""
    return 1 if sum(side.turn_deg for side in sides) > 0 else -1


def turned_deg(sides: tuple[ReadSide, ...]) -> float:
    """What the typed turns add up to; ±360 for a walk that comes back to its start."""
    return sum(side.turn_deg for side in sides)


def closing_gap(sides: tuple[ReadSide, ...]) -> tuple[float, float] | None:
    """(x, y) in mm by which the walk with lengths and turns as typed misses its start; None where a
    length was not read or a turn is left to the other readings."""
    lengths = [length_of(side) for side in sides]
    if any(length is None for length in lengths) or any(side.turn == "free" for side in sides):
        return None
    x, y = _walk(sides, [length or 0.0 for length in lengths], 0.0)[-1]
    return x, y


def walked(sides: tuple[ReadSide, ...]) -> tuple[Point, ...]:
    """Corners of a walk that is not closed yet, up to the first side without a length."""
    lengths: list[float] = []
    for side in sides:
        length = length_of(side)
        if length is None:
            break
        lengths.append(length)
    return tuple(_walk(sides, lengths, 0.0))


def first_figure(sides: tuple[ReadSide, ...]) -> tuple[Point, ...]:
    """A closed figure near the readings, corner 0 at the origin and the first side along x.

    Turns that do not add up to a whole turn are mended evenly, sides without a length get the one
    that closes best, and what is left open is spread over the sides by their lengths.
    """
    spread = (360.0 * way_round(sides) - turned_deg(sides)) / len(sides)
    known = [length_of(side) for side in sides]
    lengths = _with_missing(sides, known, spread)
    corners = _walk(sides, lengths, spread)
    gap_x, gap_y = corners[-1]
    whole, done, figure = sum(lengths), 0.0, [(0.0, 0.0)]
    for (x, y), length in zip(corners[1:-1], lengths, strict=False):
        done += length
        figure.append((x - gap_x * done / whole, y - gap_y * done / whole))
    return tuple(figure)


def _walk(sides: tuple[ReadSide, ...], lengths: list[float], spread_deg: float) -> list[Point]:
    corners, heading, x, y = [(0.0, 0.0)], 0.0, 0.0, 0.0
    for side, length in zip(sides, lengths, strict=False):
        x, y = x + length * math.cos(heading), y + length * math.sin(heading)
        corners.append((x, y))
        heading += math.radians(side.turn_deg + spread_deg)
    return corners


def _with_missing(sides: tuple[ReadSide, ...], known: list[float | None], spread_deg: float) -> list[float]:
    """Lengths, those not read so that the walk closes as well as it can."""
    missing = [k for k, length in enumerate(known) if length is None]
    if not missing:
        return [length or 0.0 for length in known]
    ones = np.array(_walk(sides, [1.0] * len(sides), spread_deg))
    directions = np.diff(ones, axis=0)
    fixed = sum(((length or 0.0) * directions[k] for k, length in enumerate(known)), np.zeros(2))
    # a weak pull to a usual length decides what closing alone leaves open
    pull = 1e-3
    left = np.vstack([directions[missing].T, pull * np.eye(len(missing))])
    right = np.concatenate([-fixed, np.full(len(missing), pull * _USUAL_MM)])
    found = np.linalg.lstsq(left, right, rcond=None)[0]
    lengths = [length or 0.0 for length in known]
    for k, length in zip(missing, found, strict=True):
        lengths[k] = max(float(length), SHORTEST_START_MM)
    return lengths


# Standard deviations of readings: common practice, no source.
LENGTH_MM = 3.0
"""A length by tape or laser."""
SQUARE_DEG = 0.3
"""A corner that was said to be square."""
READ_DEG = 0.5
"""An angle that was read."""
ABOUT_DEG = 2.0
"""A corner of which nobody said more than left or right: walls are seldom further out of square."""

MISCLOSURE_MM = 20.0
"""A walk that misses its start by more is worth a look (common practice, no source)."""

_WHOLE_TURN_SLACK_DEG = 30.0
"""Turns that add up to a whole turn but for this close."""

MOST_CORNERS = 26

Kind = Literal["length", "running", "turn", "diagonal"]


class Line(msgspec.Struct, frozen=True):
    """One reading and what became of it. ``read`` in mm or degrees; ``off_mm``: adjusted − read, for a
    turn over its shorter side. ``checked``: others check it. ``assumed``: nobody measured it."""

    kind: Kind
    what: str
    read: float
    adjusted: float
    off_mm: float
    checked: bool
    assumed: bool
    suspect: bool = False


class Outline(msgspec.Struct, frozen=True):
    """What the readings give. ``points`` in mm, corner A at the origin, the first side along x.

    ``closed``: a figure was found; else the points are the walk so far. ``closing_mm``: by how much
    the walk with the turns as typed misses its start, None where that cannot be said. ``missing``: one
    sentence about what is still needed. ``rest_on_about``: without the corners that nobody measured
    the figure would not be fixed.
    """

    points: tuple[Point, ...]
    closed: bool
    lines: tuple[Line, ...] = ()
    closing_mm: float | None = None
    largest_mm: float = 0.0
    missing: str = ""
    rest_on_about: bool = False
    findings: tuple[Finding, ...] = ()

    @property
    def area_mm2(self) -> float:
        """Floor area; 0 while the figure is not closed."""
        return abs(ring_area([(x, y, 0.0) for x, y in self.points])) if self.closed else 0.0


def corner_name(number: int) -> str:
    """ "A" for corner 0."""
    return chr(ord("A") + number)


def side_name(number: int, count: int) -> str:
    """ "A–B" for side 0."""
    return f"{corner_name(number)}–{corner_name((number + 1) % count)}"


@lru_cache(maxsize=512)
def outline_of(readings: Readings) -> Outline:
    """The adjusted outline, or the walk so far and what it lacks. Never raises for numbers that are
    finite; lengths must be above nought and corners exist (``keyed`` sees to both)."""
    sides = readings.sides
    missing = _not_closed(sides)
    if missing:
        return Outline(walked(sides), False, missing=missing)
    start = first_figure(sides)
    rows = observations(readings)
    adjusted = adjust(start, [o for _, o in rows])
    if adjusted.loose:
        return Outline(walked(sides), False, missing=_loose_words(adjusted, readings))
    gap = closing_gap(sides)
    wrong = suspects(start, [o for _, o in rows], adjusted)
    lines = _lines(readings, rows, adjusted, {index for index, _ in wrong})
    made = Outline(
        points=_along_x(adjusted.points),
        closed=True,
        lines=lines,
        closing_mm=math.hypot(*gap) if gap else None,
        largest_mm=max((abs(line.off_mm) for line in lines if not line.assumed), default=0.0),
        rest_on_about=_rests_on_about(start, rows, sides),
    )
    return msgspec.structs.replace(made, findings=_findings(made, lines, wrong))


def observations(readings: Readings) -> list[tuple[tuple[Kind, str], Observation]]:
    """Every reading as the adjustment takes it, with its kind and name."""
    count = len(readings.sides)
    rows: list[tuple[tuple[Kind, str], Observation]] = []
    for k, side in enumerate(readings.sides):
        ends = k, (k + 1) % count
        if side.length_mm is not None:
            rows.append((("length", side_name(k, count)), Distance(*ends, side.length_mm, LENGTH_MM)))
        if side.run_mm is not None:
            rows.append((("running", side_name(k, count)), Distance(*ends, side.run_mm, LENGTH_MM)))
        sigma = {"about": ABOUT_DEG, "square": SQUARE_DEG, "read": READ_DEG}.get(side.turn)
        if sigma is not None:
            turn = Turn(*ends, (k + 2) % count, math.radians(side.turn_deg), math.radians(sigma))
            rows.append((("turn", corner_name(ends[1])), turn))
    for d in readings.diagonals:
        name = f"{corner_name(d.a)}–{corner_name(d.b)}"
        rows.append((("diagonal", name), Distance(d.a, d.b, d.length_mm, LENGTH_MM)))
    return rows


def _not_closed(sides: tuple[ReadSide, ...]) -> str:
    """What keeps the walk from being closed, "" where nothing does."""
    if len(sides) < 3:
        return tr("Type three sides or more.")
    if all(length_of(side) is None for side in sides):
        return tr("Type the lengths of the sides.")
    around = turned_deg(sides)
    # turns that follow from other readings may add up to anything
    slack = _WHOLE_TURN_SLACK_DEG + sum(90.0 for side in sides if side.turn == "free")
    if abs(abs(around) - 360.0) <= slack:
        return ""
    turned = whole(abs(around))
    if abs(around) < 360.0:
        return tr(
            "The turns add up to {turned}°, and a room needs 360°: add the missing sides, or check left and right.",
            turned=turned,
        )
    return tr("The turns add up to {turned}°, and a room needs 360°: at least one goes the other way.", turned=turned)


def _alternatives(names: Sequence[str]) -> str:
    """ "A–B, B–C or C–D"."""
    *first, last = names
    return tr("{names} or {last}", names=", ".join(first), last=last) if first else last


def _loose_words(adjusted: Adjusted, readings: Readings) -> str:
    sides, count = readings.sides, len(readings.sides)
    open_sides = [side_name(k, count) for k, side in enumerate(sides) if length_of(side) is None]
    corners = ", ".join(corner_name(k) for k in adjusted.loose)
    if not open_sides:
        return tr("Corners {corners} are not fixed yet: type a diagonal.", corners=corners)
    return tr(
        "Corners {corners} are not fixed yet: type the length of {sides}, or a diagonal.",
        corners=corners,
        sides=_alternatives(open_sides[:3]),
    )


def _rests_on_about(
    start: tuple[Point, ...], rows: list[tuple[tuple[Kind, str], Observation]], sides: tuple[ReadSide, ...]
) -> bool:
    about = {corner_name((k + 1) % len(sides)) for k, side in enumerate(sides) if side.turn == "about"}
    kept = [o for (kind, what), o in rows if kind != "turn" or what not in about]
    return bool(about) and (not kept or bool(adjust(start, kept).loose))


def _lines(
    readings: Readings, rows: list[tuple[tuple[Kind, str], Observation]], adjusted: Adjusted, wrong: set[int]
) -> tuple[Line, ...]:
    lines = []
    turns = {corner_name((k + 1) % len(readings.sides)): s.turn for k, s in enumerate(readings.sides)}
    for index, ((kind, what), o) in enumerate(rows):
        off = adjusted.differences[index]
        if isinstance(o, Turn):
            read, now = math.degrees(o.rad), math.degrees(o.rad + off)
            reach = min(
                math.dist(adjusted.points[o.a], adjusted.points[o.b]),
                math.dist(adjusted.points[o.b], adjusted.points[o.c]),
            )
            off *= reach
        else:
            read, now = o.mm, o.mm + off
        lines.append(
            Line(
                kind,
                what,
                read,
                now,
                off,
                adjusted.control[index] > NO_CONTROL,
                kind == "turn" and turns[what] == "about",
                index in wrong,
            )
        )
    return tuple(lines)


def _findings(outline: Outline, lines: tuple[Line, ...], wrong: tuple[tuple[int, float], ...]) -> tuple[Finding, ...]:
    found = []
    more = tr("another diagonal") if any(line.kind == "diagonal" for line in lines) else tr("a diagonal")
    if _crosses(outline.points):
        found.append(noticed("readings-cross"))
    if wrong:
        found.append(_gross(lines, wrong))
    elif outline.closing_mm is not None and outline.closing_mm > MISCLOSURE_MM:
        gap = whole(outline.closing_mm)
        found.append(
            noticed("readings-misclose/about", gap=gap, more=more)
            if outline.rest_on_about
            else noticed("readings-misclose", gap=gap)
        )
    if outline.rest_on_about:
        found.append(noticed("readings-square-assumed", more=more))
    return tuple(found)


def _gross(lines: tuple[Line, ...], wrong: tuple[tuple[int, float], ...]) -> Finding:
    names = [tr(_KIND_WORDS[lines[index].kind], name=lines[index].what) for index, _ in wrong]
    line, off = lines[wrong[0][0]], wrong[0][1]
    if len(wrong) > 1:
        return noticed("reading-gross/several", reading=names[0], others=", ".join(names[1:]))
    by = f"{shown(abs(math.degrees(off)), 1)}°" if line.kind == "turn" else f"{whole(abs(off))} mm"
    more = tr_as("measurement", "small") if off > 0 else tr_as("measurement", "large")
    return noticed("reading-gross", reading=names[0], by=by, more=more)


_KIND_WORDS = {
    "length": mark("length {name}"),
    "running": mark("running dimension {name}"),
    "turn": mark("the corner {name}"),
    "diagonal": mark("diagonal {name}"),
}


def _along_x(points: tuple[Point, ...]) -> tuple[Point, ...]:
    """Turned about corner A until the first side lies along x, which the closed walk had moved a little."""
    (ax, ay), (bx, by) = points[:2]
    far = math.dist(points[0], points[1])
    cos, sin = (bx - ax) / far, (by - ay) / far
    rest = (((x - ax) * cos + (y - ay) * sin, (y - ay) * cos - (x - ax) * sin) for x, y in points[2:])
    return (0.0, 0.0), (far, 0.0), *rest


def _crosses(points: tuple[Point, ...]) -> bool:
    count = len(points)
    sides = [(points[k], points[(k + 1) % count]) for k in range(count)]
    return any(_cut(sides[i], sides[k]) for i in range(count) for k in range(i + 2, count) if (k + 1) % count != i)


def _cut(first: tuple[Point, Point], second: tuple[Point, Point]) -> bool:
    (a, b), (c, d) = first, second
    return _left_of(a, b, c) * _left_of(a, b, d) < 0.0 and _left_of(c, d, a) * _left_of(c, d, b) < 0.0


def _left_of(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


SUSPECT = 3.29
"""Standard deviations above which a difference is hardly chance: one in a thousand, as is usual in
data snooping (Baarda 1968, from memory)."""

MOST_TRIED = 12
"""So many readings, those that stand out most, are left out in turn: the wrong one is among them, since
without bending leaving one out helps by the square of its own test."""

_ALIKE = 0.9
"""Readings whose removal helps nearly as much as that of the best cannot be told from it."""


def suspects(
    start: Sequence[Point], observations: Sequence[Observation], adjusted: Adjusted
) -> tuple[tuple[int, float], ...]:
    """(index, what the others say − what was read, mm or rad) of the reading whose removal helps most,
    and of those that cannot be told from it; () where all differences may be chance.

    Those that stand out are left out in turn and the figure adjusted again, since with a blunder of a metre
    the first figure is too far off for its own test to be trusted.
    """
    if adjusted.surplus < 1 or max(adjusted.standard) < SUSPECT:
        return ()
    helped = []
    checked = [index for index in range(len(observations)) if adjusted.control[index] >= NO_CONTROL]
    for index in sorted(checked, key=lambda index: -adjusted.standard[index])[:MOST_TRIED]:
        reading = observations[index]
        rest = [*observations[:index], *observations[index + 1 :]]
        without = adjust(start, rest)
        if without.loose:
            continue
        helped.append((adjusted.weighted_sum - without.weighted_sum, index, _said(without, reading)))
    best = max((gain for gain, _, _ in helped), default=0.0)
    if best < SUSPECT**2:
        return ()
    alike = sorted((-gain, index, off) for gain, index, off in helped if gain >= _ALIKE * best)
    return tuple((index, off) for _, index, off in alike)


def _said(without: Adjusted, reading: Observation) -> float:
    """What the other readings give for this one, less what was read."""
    a, b = without.points[reading.a], without.points[reading.b]
    if isinstance(reading, Distance):
        return math.dist(a, b) - reading.mm
    c = without.points[reading.c]
    into, out = math.atan2(b[1] - a[1], b[0] - a[0]), math.atan2(c[1] - b[1], c[0] - b[0])
    return math.remainder(out - into - reading.rad, math.tau)
