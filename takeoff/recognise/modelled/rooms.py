"""Storeys with rooms and openings from the spaces of a model, given or enclosed by its walls."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from statistics import median

from msgspec.structs import replace

from takeoff.errors import Finding
from takeoff.plan.model import Confidence, Room, RoomId, Side, Storey, StoreyId
from takeoff.recognise.modelled.around import building_of, with_behind
from takeoff.recognise.modelled.claims import Model, Space
from takeoff.recognise.modelled.doubts import doubts_about
from takeoff.recognise.modelled.fields import ceiling_of, floor_of
from takeoff.recognise.modelled.openings import Placed, place_openings
from takeoff.recognise.modelled.quantities import floor_area_m2
from takeoff.recognise.modelled.sides import Outline, outlines_of, sides_of, with_open_sides
from takeoff.recognise.modelled.stairwells import wells
from takeoff.recognise.settings import Settings

OVERHANG_M2 = 0.05
"""Ceilings that lie over each other by more than this are told."""
GLASS_SHARE = 1.0 / 3.0
"""More of its border than this is glass, and what is enclosed may be outside (common practice)."""
ENCLOSED = "enclosed by walls"
"""How a space was made that no space of the model says."""


def storeys_of(model: Model, spaces: Sequence[Space], settings: Settings) -> tuple[tuple[Storey, ...], list[Finding]]:
    """(the storeys that have rooms, what to look at)"""
    opened = with_open_sides(outlines_of(spaces), model)
    outlines = opened.outlines
    sides = with_behind(outlines, [sides_of(o, model.origin) for o in outlines], model)
    rooms = _rooms(outlines, sides, model, {s.guid for pair in opened.in_walls for s in pair})
    placed = place_openings(model, outlines, sides, rooms, settings)
    rooms = [_questioned(r, o, placed) if o.space.made == ENCLOSED else r for r, o in zip(rooms, outlines, strict=True)]
    return _storeys(model, outlines, rooms, placed), doubts_about(model, opened, rooms, placed, settings)


def _questioned(room: Room, outline: Outline, placed: Placed) -> Room:
    """What walls enclose without a door may be a shaft, and what glass encloses a court or a loggia:
    whether it is a room is asked."""
    doubts = [] if room.id in placed.reached else ["no opening leads into it"]
    share = placed.glazed_mm.get(room.id, 0.0) / float(outline.plan.length)
    if share > GLASS_SHARE:
        doubts.append(f"{share:.0%} of its border is glass")
    if not doubts:
        return room
    return replace(room, confidence="question", evidence=(*room.evidence, *doubts))


def _rooms(
    outlines: Sequence[Outline], sides: Sequence[list[tuple[Side, ...]]], model: Model, in_walls: set[str]
) -> list[Room]:
    pieces = Counter(id(o.space) for o in outlines)
    rooms = []
    going_on = wells([o.space for o in outlines], model)
    for number, (outline, rings) in enumerate(zip(outlines, sides, strict=True), 1):
        space = outline.space
        doubts = _doubts(space, in_walls, going_on)
        pieced = () if pieces[id(space)] == 1 else ("a space in pieces",)
        enclosed = space.made == ENCLOSED
        confidence: Confidence = "check" if doubts or enclosed else "sure"
        source = "enclosed by the model's walls" if enclosed else "the model's space solid"
        rooms.append(
            Room(
                id=RoomId(f"r{number}"),
                outline=rings[0],
                inner=tuple(rings[1:]),
                name=space.name or space.number,
                number=space.number if space.name else "",
                ceiling=None if enclosed else ceiling_of(space.ceiling, model.origin, space.top_mm),
                floor=floor_of(space.floor, model.origin, space.floor_mm),
                printed_area_m2=None if pieced else floor_area_m2(space),
                confidence=confidence,
                evidence=(source, *pieced, *doubts),
            )
        )
    return rooms


def _doubts(space: Space, in_walls: set[str], going_on: dict[str, float]) -> list[str]:
    doubts = ["no space of the model says that it is a room"] if space.made == ENCLOSED else []
    if space.overhang_m2 > OVERHANG_M2:
        doubts.append(f"ceilings of {space.overhang_m2:.2f} m² lie above one another: only one is measured")
    if space.guid in going_on:
        doubts.append(
            f"the stairwell or shaft goes on above it: {going_on[space.guid]:.1f} m² of its ceiling, and the "
            "floor above, may not be there"
        )
    if space.guid in in_walls:
        doubts.append("its outline runs in the middle of walls, not at their faces")
    return doubts


def _storeys(model: Model, outlines: Sequence[Outline], rooms: Sequence[Room], placed: Placed) -> tuple[Storey, ...]:
    """The storeys that have rooms."""
    found = []
    for k, level in enumerate(model.levels):
        own = [n for n, o in enumerate(outlines) if o.space.storey == k]
        if not own:
            continue
        holes = [h.ring for h in model.holes if h.storey == k]
        found.append(
            Storey(
                id=StoreyId(str(k + 1)),
                name=level.name,
                level_mm=level.level_mm,
                height_mm=median(outlines[n].space.top_mm for n in own),
                height_source="drawn",
                rooms=tuple(rooms[n] for n in own),
                openings=tuple(placed.openings[k]),
                rooflights=tuple(placed.rooflights[k]),
                building=building_of([outlines[n] for n in own], model.walls[k], holes, model.origin),
            )
        )
    return tuple(found)
