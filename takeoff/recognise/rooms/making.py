"""Rooms from spaces: names, numbers, printed areas, heights, confidence and its evidence."""

from __future__ import annotations

from typing import NamedTuple

import shapely

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.plan.model import Confidence, Field, Plane, Room, RoomId, Side
from takeoff.recognise.names.placed_words import Placed
from takeoff.recognise.names.plan_words import Named, names_among
from takeoff.recognise.walls.believed_gaps import Gap
from takeoff.recognise.walls.room_spaces import Space

CLOSED = 0.9
"""A space is walled in when this part of its border is wall body, glass or a gap in a wall."""
BARE_GLASS = 0.1
"""An unnamed space with more bare glass than this in its border may be a court or a terrace."""
NEARLY = 0.005
"""A printed area that is off by less than this part is reported, but the outline is not doubted."""
PARTS_AGREE = 0.1
"""Printed areas of the parts of an open plan leave out thresholds between them."""


PRINT_DIFFERS = "the printed area is"
_NO_DOUBTS = ("walls on all sides", "closed by lines on layers", "named by the text", "ceiling height written")


class Written(NamedTuple):
    """What is written in a room."""

    names: tuple[str, ...]
    numbers: tuple[str, ...]
    areas: tuple[Placed, ...]
    heights: tuple[Placed, ...]


def written_in(words: list[Placed]) -> Written:
    """The words of one room sorted by what they say, without repeats, top to bottom; remarks name
    no room."""
    words = sorted(words, key=lambda w: (-w.y, w.x))

    def texts(kind: str) -> tuple[str, ...]:
        return tuple(dict.fromkeys(w.words.text for w in words if w.words.kind == kind))

    areas = tuple(w for w in words if w.words.kind == "area")
    names = names_among(
        [Named(w.words.text, w.on_notes, w.height) for w in words if w.words.kind == "name"], len(areas)
    )
    return Written(names, texts("number"), areas, tuple(w for w in words if w.words.kind == "height"))


def rounding_of(area: Placed) -> float:
    """Half a unit of the last printed place, m², and the noise of floats."""
    return area.words.rounding * (1 + 1e-9) + 1e-6


def area_agrees(area: Placed, area_m2: float) -> bool:
    """Whether a printed area and an outline's are the same figure."""
    return abs(area.words.value - area_m2) <= rounding_of(area)


def make_room(
    number: int,
    sides: list[tuple[Side, ...]],
    area_m2: float,
    written: Written,
    space: Space,
    gaps: list[Gap],
    double: bool,
    labelled: bool,
    wall_layers: bool,
) -> Room:
    """The room, with its confidence: *sure* only when it is closed by what is drawn, something
    in it names it where rooms are named at all, and no printed area contradicts."""
    confidence, evidence = _confidence(space, gaps, written, area_m2, double, labelled, wall_layers)
    names = " / ".join(written.names)
    printed = sum(a.words.value for a in written.areas) if written.areas else None
    height = {round(w.words.value, 1) for w in written.heights}
    ceiling = None
    if len(height) == 1:
        ceiling = Field(planes=(Plane(z_mm=height.pop()),), source="figured")
        evidence = (*evidence, f"ceiling height written: {written.heights[0].words.text}")
    return Room(
        id=RoomId(f"r{number}"),
        outline=sides[0],
        inner=tuple(sides[1:]),
        name=names,
        number=" / ".join(written.numbers),
        ceiling=ceiling,
        printed_area_m2=printed,
        confidence=confidence,
        evidence=evidence,
    )


def _confidence(
    space: Space, gaps: list[Gap], written: Written, area_m2: float, double: bool, labelled: bool, wall_layers: bool
) -> tuple[Confidence, tuple[str, ...]]:
    evidence: list[str] = []
    doubts: list[str] = []
    level = 0
    if space.support >= CLOSED:
        evidence.append("walls on all sides")
    elif not double and wall_layers:
        evidence.append("closed by lines on layers, or in pens, of walls or room outlines")
    elif not double:
        level = _single_lines(written, area_m2, evidence, doubts)
    else:
        doubts.append(f"only {space.support:.0%} of its border is wall")
        level = max(level, 1 if space.support > 0.6 and (written.names or written.areas) else 2)
    for k in space.doubtful_gaps:
        doubts.append(f"closed across {gaps[k].why[0]}, {gaps[k].bridge.width_mm:.0f} mm wide")
        level = max(level, 1)
    proven = _proven(written, area_m2)
    for reason in space.joined:
        (evidence if proven else doubts).append(reason)
        level = max(level, 0 if proven else 1)
    if space.glazed > BARE_GLASS and not (written.names or written.areas):
        doubts.append(f"{space.glazed:.0%} of its border is nothing but glass")
        level = max(level, 1)
    if len(written.names) > 1:
        evidence.append("one open plan with several names: " + ", ".join(written.names))
        level = max(level, 0 if written.areas and wall_layers else 1)
    elif len(written.numbers) > 1:
        doubts.append("several numbers in it: " + ", ".join(written.numbers))
        level = max(level, 1)
    if written.names or written.numbers:
        evidence.append("named by the text in it")
    elif labelled and not written.areas:
        doubts.append("nothing in it names it, while other rooms are named")
        level = max(level, 1)
    elif not labelled and not wall_layers and not written.areas:
        doubts.append("no layer, pen or word tells walls from other lines")
        level = max(level, 1)
    level = max(level, _area_doubt(written, area_m2, evidence, doubts))
    words: tuple[Confidence, ...] = ("sure", "check", "question")
    return words[level], tuple(evidence + doubts)


def _single_lines(written: Written, area_m2: float, evidence: list[str], doubts: list[str]) -> int:
    """Where walls are single lines and no layer or pen tells them, furniture along them looks the same:
    only a printed area makes such a room sure."""
    if _proven(written, area_m2):
        evidence.append("closed by single lines")
        return 0
    doubts.append("closed by single lines that could be furniture as well as walls")
    return 1 if written.areas or written.names else 2


def _proven(written: Written, area_m2: float) -> bool:
    """Whether one printed area, exact enough to tell a room from what is beside it, is the outline's."""
    return (
        len(written.areas) == 1
        and area_agrees(written.areas[0], area_m2)
        and written.areas[0].words.rounding <= NEARLY * area_m2
    )


def _area_doubt(written: Written, area_m2: float, evidence: list[str], doubts: list[str]) -> int:
    if not written.areas:
        return 0
    if len(written.areas) == 1:
        text = written.areas[0].words.text
        if area_agrees(written.areas[0], area_m2):
            evidence.append(f"the printed area agrees ({text})")
            return 0
        doubts.append(f"{PRINT_DIFFERS} {text}, the outline has {area_m2:.3f} m²")
        return 0 if abs(written.areas[0].words.value - area_m2) <= NEARLY * area_m2 else 1
    total = sum(a.words.value for a in written.areas)
    evidence.append(f"printed areas of its parts add up to {total:.2f} m²")
    return 0 if abs(total - area_m2) <= PARTS_AGREE * area_m2 else 1


def doubted_by_print_only(evidence: tuple[str, ...]) -> bool:
    """Whether a room's only doubt is that the area printed in it is not its outline's."""
    rest = [text for text in evidence if not text.startswith(_NO_DOUBTS)]
    return len(rest) == 1 and rest[0].startswith(PRINT_DIFFERS)


def area_findings(
    room: Room, written: Written, area_m2: float, storey: str, origin: tuple[float, float]
) -> list[Finding]:
    """A finding where a printed area and the outline differ by more than the print's rounding."""
    name = f"“{room.name}”" if room.name else f"room {room.id}"
    if len(written.areas) == 1:
        area = written.areas[0]
        if area_agrees(area, area_m2):
            return []
        where = Where(storey=storey, room=room.id, x_mm=area.x + origin[0], y_mm=area.y + origin[1])
        return [noticed("printed-area-differs", where, printed=area.words.text, room=name, area_m2=area_m2)]
    total = sum(a.words.value for a in written.areas)
    if written.areas and abs(total - area_m2) > PARTS_AGREE * area_m2:
        first = written.areas[0]
        where = Where(storey=storey, room=room.id, x_mm=first.x + origin[0], y_mm=first.y + origin[1])
        return [noticed("printed-areas-differ", where, room=name, printed_m2=total, area_m2=area_m2)]
    return []


def polygon_area_m2(polygon: shapely.Polygon) -> float:
    return float(polygon.area) / 1e6
