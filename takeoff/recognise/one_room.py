"""The one room round a point of a drawing, looked for in no more of the drawing than it needs."""

from __future__ import annotations

from typing import NamedTuple

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing, Linework
from takeoff.geometry.noding import node
from takeoff.plan.model import Opening, Room, RoomId
from takeoff.plan.reasons import because
from takeoff.plan.shape import holds
from takeoff.recognise.openings.glazed_fronts import fronts
from takeoff.recognise.openings.opening_hosts import host_openings
from takeoff.recognise.openings.opening_marks import marked
from takeoff.recognise.presets import Settings
from takeoff.recognise.propose import look
from takeoff.recognise.rooms.assemble import assemble, candidates
from takeoff.recognise.rooms.borders import Border, rings_of, sides_of
from takeoff.recognise.walls.bounding_lines import is_role, prepare, tangled
from takeoff.recognise.walls.enclosed_faces import enclose
from takeoff.recognise.walls.layer_roles import guess

Bools = NDArray[np.bool_]

FIRST_MM, WIDEST_MM = 8_000.0, 64_000.0
"""Half the window that is looked at first and last: it is doubled until the room lies well within."""

MARGIN_MM = 1_500.0
"""The window reaches so far beyond the room, so that its walls and the doors in them are whole."""

DEFAULTS = Settings()


class FoundRoom(NamedTuple):
    """A room and the openings in its own sides, whichever room's they would be in a whole plan."""

    room: Room
    openings: tuple[Opening, ...]


def room_at(drawing: Drawing, x_mm: float, y_mm: float, settings: Settings = DEFAULTS) -> FoundRoom | None:
    """The room that the linework round a point encloses; None where nothing closed is round it.

    The drawing is in mm. Recognition goes first; where it sees no room, whatever the lines enclose
    is taken, marked *check*.
    """
    half = FIRST_MM
    while True:
        part = within(drawing, x_mm - half, y_mm - half, x_mm + half, y_mm + half)
        found = _recognised(part, x_mm, y_mm, settings)
        whole = len(part.lines) == len(drawing.lines) or half >= WIDEST_MM
        if found is not None and (whole or _lies_within(found.room, x_mm, y_mm, half - MARGIN_MM)):
            return found
        if whole:
            return found or _enclosed(part, x_mm, y_mm, settings)
        half *= 2.0


def within(drawing: Drawing, x0: float, y0: float, x1: float, y1: float) -> Drawing:
    """The drawing with only what lies in, or reaches into, a box: lines, words, symbols, dimensions."""
    lines = drawing.lines
    seg, arc = (_reaching(a, x0, y0, x1, y1) for a in (lines.segments, lines.arcs))
    kept = Linework(
        lines.segments[seg],
        lines.segment_layer[seg],
        lines.segment_source[seg],
        lines.arcs[arc],
        lines.arc_layer[arc],
        lines.arc_source[arc],
    )

    def holds(x: float, y: float) -> bool:
        return x0 <= x <= x1 and y0 <= y <= y1

    return msgspec.structs.replace(
        drawing,
        lines=kept,
        loops=tuple(loop for loop in drawing.loops if any(holds(x, y) for x, y, _ in loop.vertices)),
        labels=tuple(label for label in drawing.labels if holds(label.x, label.y)),
        symbols=tuple(symbol for symbol in drawing.symbols if holds(symbol.x, symbol.y)),
        dimensions=tuple(d for d in drawing.dimensions if holds(d.x0, d.y0) or holds(d.x1, d.y1)),
    )


def _reaching(rows: NDArray[np.float64], x0: float, y0: float, x1: float, y1: float) -> Bools:
    """Which lines have a box that meets this one; an arc's may stand out by its rise."""
    if not len(rows):
        return np.zeros(0, bool)
    out = np.zeros(len(rows))
    if rows.shape[1] == 5:
        out = np.abs(rows[:, 4]) * np.hypot(*(rows[:, 2:4] - rows[:, :2]).T)
    low, high = np.minimum(rows[:, :2], rows[:, 2:4]), np.maximum(rows[:, :2], rows[:, 2:4])
    return np.asarray(
        (low[:, 0] - out <= x1) & (high[:, 0] + out >= x0) & (low[:, 1] - out <= y1) & (high[:, 1] + out >= y0)
    )


def _lies_within(room: Room, x: float, y: float, half: float) -> bool:
    return all(max(abs(s.x_mm - x), abs(s.y_mm - y)) <= half for s in room.outline)


def _recognised(part: Drawing, x: float, y: float, settings: Settings) -> FoundRoom | None:
    seen = look(part, settings)
    reading = seen.reading
    if reading is None:
        return None
    job, _ = assemble(part, settings, reading, seen.evidence, seen.words, seen.sheet)
    rooms = [room for storey in job.storeys for room in storey.rooms if holds(room, x, y)]
    if not rooms:
        return None
    room = min(rooms, key=_box_mm2)
    # by itself it gets the doors, too, that in a whole plan are its neighbours'
    proposed = candidates(reading, seen.evidence, fronts(reading))
    origin = reading.lines.origin
    openings = host_openings(proposed, [room], origin, settings).openings
    return FoundRoom(room, tuple(marked(openings, [room], seen.words, origin)))


def _box_mm2(room: Room) -> float:
    xs, ys = [s.x_mm for s in room.outline], [s.y_mm for s in room.outline]
    return (max(xs) - min(xs)) * (max(ys) - min(ys))


def _enclosed(part: Drawing, x: float, y: float, settings: Settings) -> FoundRoom | None:
    """The smallest area round a point that any shown lines enclose, but for walls that come down."""
    lines = prepare(part, guess(part, chosen=settings.layer_roles))
    lines = lines.pick(~lines.hidden & ~lines.hatch & ~is_role(lines, "demolished"))
    if tangled(lines.xy):
        return None
    graph = node(lines.xy)
    polygons, _, _ = enclose(graph)
    point = shapely.points(x - lines.origin[0], y - lines.origin[1])
    around = [polygon for polygon in polygons if polygon.contains(point)]
    if not around:
        return None
    border = Border(graph, lines.arc, lines.arcs)
    smallest = min(around, key=lambda polygon: float(polygon.area))
    sides = sides_of(rings_of(border, smallest), lines.origin)
    room = Room(
        id=RoomId("r1"), outline=sides[0], inner=tuple(sides[1:]), confidence="check", evidence=(because("by-hand"),)
    )
    return FoundRoom(room, ())
