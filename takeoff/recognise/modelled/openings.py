"""Openings of a model on the sides of its rooms, and windows in roofs over them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal, NamedTuple

import shapely

from takeoff.plan.model import Confidence, Opening, OpeningId, Reveal, Rooflight, Room, Side, Strip
from takeoff.recognise.modelled.claims import Hole, Light, Model
from takeoff.recognise.modelled.reveals import Depths, depths_of, reveal_of
from takeoff.recognise.modelled.seats import Seat, SideIndex, hosts_of, seats_of
from takeoff.recognise.modelled.sides import Outline
from takeoff.recognise.settings import Settings

THRESHOLD_MM = 60.0
"""A hole that begins this little below the finished floor begins at it: thresholds, screeds."""
SAME_MM = 1.0
FULL = 0.995
"""A hole with so much of its box is a rectangle."""

Kind = Literal["window", "door", "open"]


class Placed(NamedTuple):
    """The openings and rooflights by storey, holes that lie in no room, how many window reveals had
    to be assumed, the rooms that an opening lies in on either face, and how wide the windows of each
    room are together."""

    openings: list[list[Opening]]
    rooflights: list[list[Rooflight]]
    homeless: list[Hole]
    assumed: int
    reached: frozenset[str]
    glazed_mm: dict[str, float]


def place_openings(
    model: Model,
    outlines: Sequence[Outline],
    sides: Sequence[Sequence[tuple[Side, ...]]],
    rooms: Sequence[Room],
    settings: Settings,
) -> Placed:
    """Every hole on the room whose side it lies in, hosted once; holes in no room's side apart."""
    index = SideIndex(outlines, sides)
    openings: list[list[Opening]] = [[] for _ in model.levels]
    homeless: list[Hole] = []
    assumed = 0
    reached: set[str] = set()
    glazed: dict[str, float] = {}
    for hole in model.holes:
        seats = seats_of(hole, index, outlines, model)
        if not seats:
            homeless.append(hole)
            continue
        depths = depths_of(hole, settings)
        for seat in seats:
            room = rooms[seat.outline].id
            reached.add(room)
            if hole.kind == "window":
                glazed[room] = glazed.get(room, 0.0) + seat.width
        hosted = hosts_of(seats, outlines)
        assumed += hole.kind == "window" and depths.source == "assumed"
        for seat in hosted:
            storey = outlines[seat.outline].space.storey
            openings[storey].append(_opening(hole, seat, seats, depths, outlines, rooms, model))
    for n, outline in enumerate(outlines):
        ways = _ways(outline, sides[n], rooms[n])
        openings[outline.space.storey] += ways
        reached |= {way.room for way in ways}
    lights: list[list[Rooflight]] = [[] for _ in model.levels]
    for light in model.lights:
        found = _rooflight(light, outlines, rooms, model)
        if found is not None:
            lights[found[0]].append(found[1])
    return Placed(_numbered(openings), _renamed(lights), homeless, assumed, frozenset(reached), glazed)


def _ways(outline: Outline, sides: Sequence[tuple[Side, ...]], room: Room) -> list[Opening]:
    """The ways from a stairwell to the storeys that it passes, one above the other in one wall; what
    lies between them is the edge of a floor."""
    bare = Strip(coat=False)
    return [
        Opening(
            id=OpeningId(""),
            kind="open",
            room=room.id,
            side=side.id,
            offset_mm=0.0,
            width_mm=edge.length,
            sill_mm=low,
            head_mm=high,
            reveal=Reveal(start=bare, end=bare, head=bare, sill=bare),
            width_source="drawn",
            sill_source="drawn",
            head_source="drawn",
            evidence=("the spaces of two storeys meet here without a wall",),
        )
        for edges, ring in zip(outline.rings, sides, strict=True)
        for edge, side in zip(edges, ring, strict=True)
        for low, high in edge.ways
    ]


def _opening(
    hole: Hole,
    seat: Seat,
    seats: list[Seat],
    depths: Depths,
    outlines: Sequence[Outline],
    rooms: Sequence[Room],
    model: Model,
) -> Opening:
    space = outlines[seat.outline].space
    up = model.levels[hole.storey].level_mm - model.levels[space.storey].level_mm
    sill, head = hole.values["sill_mm"] + up, hole.values["head_mm"] + up
    beyond = [s for s in seats if s.turn != seat.turn]
    evidence = ["the model's opening"]
    floors = [
        space.floor_mm,
        *(outlines[s.outline].space.floor_mm for s in beyond if outlines[s.outline].space.storey == space.storey),
    ]
    if 0.0 < min(floors) - sill <= THRESHOLD_MM:
        evidence.append(f"it begins {min(floors) - sill:.0f} mm below the finished floor")
        sill = min(floors)
    if hole.kind != "door":
        cut = max(sill, space.floor_mm), min(head, space.top_mm)
        if cut[0] - sill > SAME_MM or head - cut[1] > SAME_MM:
            evidence.append(f"of its {head - sill:.0f} mm of height {cut[1] - cut[0]:.0f} lie in this room")
        sill, head = cut
    shape, doubt = _shape(hole)
    confidence: Confidence = "check" if doubt else "sure"
    evidence += doubt
    full = math.dist(hole.ring[0], hole.ring[1])
    if full - seat.width > SAME_MM:
        evidence.append(f"{seat.width:.0f} of its {full:.0f} mm lie in this side")
    kind: Kind = "door" if hole.kind == "door" else "window" if hole.kind == "window" else "open"
    own = reveal_of(kind, depths, seat.turn, seat.across, not beyond)
    other = None if kind == "open" or not beyond else reveal_of(kind, depths, -seat.turn, beyond[0].across, False)
    return Opening(
        id=OpeningId(""),
        kind=kind,
        room=rooms[seat.outline].id,
        side=seat.side.id,
        offset_mm=seat.offset,
        width_mm=seat.width,
        sill_mm=sill,
        head_mm=head,
        shape=shape,
        reveal=own,
        reveal_beyond=other,
        mark=hole.mark,
        width_source="drawn",
        sill_source="drawn",
        head_source="drawn",
        confidence=confidence,
        evidence=tuple(evidence),
    )


def _shape(hole: Hole) -> tuple[Literal["flat", "semicircular", "round"], list[str]]:
    """The shape that the hole's area says, and a doubt where it is none that is known."""
    width, height = hole.values["width_mm"], hole.values["head_mm"] - hole.values["sill_mm"]
    face = hole.values.get("face_mm2", width * height)
    if face >= FULL * width * height:
        return "flat", []
    circle = math.pi * width * width / 4.0
    if abs(width - height) < SAME_MM and abs(face / circle - 1.0) < 1.0 - FULL:
        return "round", []
    arched = width * (height - width / 2.0) + circle / 2.0
    if height > width / 2.0 and abs(face / arched - 1.0) < 1.0 - FULL:
        return "semicircular", []
    return "flat", [f"its hole fills only {face / (width * height):.0%} of its width and height"]


def _rooflight(
    light: Light, outlines: Sequence[Outline], rooms: Sequence[Room], model: Model
) -> tuple[int, Rooflight] | None:
    """The rooflight over the room that lies highest under it; None where it is over none."""
    plan = shapely.Polygon(light.ring)
    best: tuple[float, int] | None = None
    for n, outline in enumerate(outlines):
        up = model.levels[light.storey].level_mm - model.levels[outline.space.storey].level_mm
        top = outline.space.top_mm
        if (
            top < light.values["top_mm"] + up
            and plan.intersection(outline.plan).area > plan.area / 2.0
            and (best is None or top - up > best[0])
        ):
            best = top - up, n
    if best is None:
        return None
    top, n = best
    # Above the frame's foot nothing is coated; the hole itself often reaches through the whole roof.
    depth = max(0.0, light.values.get("frame_mm", light.values["top_mm"]) - top)
    inside = plan.intersection(outlines[n].plan).area > FULL * plan.area
    ring = light.ring if shapely.LinearRing(light.ring).is_ccw else light.ring[::-1]
    ox, oy = model.origin
    return outlines[n].space.storey, Rooflight(
        id=OpeningId(""),
        room=rooms[n].id,
        outline=tuple((x + ox, y + oy, 0.0) for x, y in ring.tolist()),
        depth_mm=depth,
        mark=light.mark,
        source="drawn",
        confidence="sure" if inside else "check",
        evidence=("the model's window in the roof", *(() if inside else ("it lies partly outside the room",))),
    )


def _numbered(openings: list[list[Opening]]) -> list[list[Opening]]:
    from msgspec.structs import replace

    number = 0
    found = []
    for own in openings:
        named = []
        for opening in own:
            number += 1
            named.append(replace(opening, id=OpeningId(f"o{number}")))
        found.append(named)
    return found


def _renamed(lights: list[list[Rooflight]]) -> list[list[Rooflight]]:
    from msgspec.structs import replace

    number = 0
    found = []
    for own in lights:
        named = []
        for light in own:
            number += 1
            named.append(replace(light, id=OpeningId(f"l{number}")))
        found.append(named)
    return found
