"""From the drawings of a building model to one proposed job: its spaces are the rooms."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from statistics import median

from msgspec.structs import replace

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding
from takeoff.plan.model import DrawingRef, Job, Room, RoomId, Side, Storey, StoreyId
from takeoff.recognise.modelled_around import building_of, with_behind
from takeoff.recognise.modelled_choice import rooms_among
from takeoff.recognise.modelled_claims import Model, Space, model_of
from takeoff.recognise.modelled_cut import propose_cut
from takeoff.recognise.modelled_doubts import doubts_about
from takeoff.recognise.modelled_fields import ceiling_of, floor_of
from takeoff.recognise.modelled_openings import Placed, place_openings
from takeoff.recognise.modelled_quantities import floor_area_m2, quantity_findings
from takeoff.recognise.modelled_sides import Outline, outlines_of, sides_of, with_open_sides
from takeoff.recognise.settings import Settings

OVERHANG_M2 = 0.05
"""Ceilings that lie over each other by more than this are told."""


def propose_modelled(
    drawings: tuple[Drawing, ...],
    settings: Settings | None = None,
) -> tuple[Job, tuple[Finding, ...]]:
    """The job that a model's drawings (one per storey, in mm) claim, and what to look at.

    Spaces become rooms with the ceilings and floors of their solids; where no storey has a space,
    rooms are sought in the cuts through the walls, and none of them is sure. No drawings give an
    empty job and a finding.
    """
    settings = settings or Settings()
    model = model_of(drawings)
    name = drawings[0].name if drawings else ""
    if not model.spaces:
        job, findings = propose_cut(drawings, settings)
        return replace(job, name=name), findings
    spaces, left_out = rooms_among(model)
    opened = with_open_sides(outlines_of(spaces), model)
    outlines = opened.outlines
    sides = with_behind(outlines, [sides_of(o, model.origin) for o in outlines], model)
    rooms = _rooms(outlines, sides, model, {s.guid for pair in opened.in_walls for s in pair})
    placed = place_openings(model, outlines, sides, rooms, settings)
    storeys = _storeys(model, outlines, rooms, placed)
    first = drawings[0]
    ref = DrawingRef(name=name, sha256=first.sha256, unit=first.unit, unit_mm=first.unit_mm)
    found = (
        *left_out,
        *doubts_about(model, opened, rooms, placed, settings),
        *quantity_findings(spaces),
    )
    return Job(name=name, drawing=ref, storeys=storeys), found


def _rooms(
    outlines: Sequence[Outline],
    sides: Sequence[list[tuple[Side, ...]]],
    model: Model,
    in_walls: set[str],
) -> list[Room]:
    pieces = Counter(id(o.space) for o in outlines)
    rooms = []
    for number, (outline, rings) in enumerate(zip(outlines, sides, strict=True), 1):
        space = outline.space
        doubts = _doubts(space, in_walls)
        alone = pieces[id(space)] == 1
        rooms.append(
            Room(
                id=RoomId(f"r{number}"),
                outline=rings[0],
                inner=tuple(rings[1:]),
                name=space.name or space.number,
                number=space.number if space.name else "",
                ceiling=ceiling_of(space.ceiling, model.origin, space.top_mm),
                floor=floor_of(space.floor, model.origin, space.floor_mm),
                printed_area_m2=floor_area_m2(space) if alone else None,
                confidence="check" if doubts else "sure",
                evidence=("the model's space solid", *(() if alone else ("a space in pieces",)), *doubts),
            )
        )
    return rooms


def _doubts(space: Space, in_walls: set[str]) -> list[str]:
    doubts = []
    if space.overhang_m2 > OVERHANG_M2:
        doubts.append(f"ceilings of {space.overhang_m2:.2f} m² lie above one another: only one is measured")
    if space.guid in in_walls:
        doubts.append("its outline runs in the middle of walls, not at their faces")
    return doubts


def _storeys(
    model: Model,
    outlines: Sequence[Outline],
    rooms: Sequence[Room],
    placed: Placed,
) -> tuple[Storey, ...]:
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
