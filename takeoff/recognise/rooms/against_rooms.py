"""What a drawing itself says against a room that is else sure: that it is larger than the outline found, that its walls
are those of a porch or a balcony, that its name is a shaft's, and that only what is open leads to it."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.drawing.model import Layer
from takeoff.plan.model import Room
from takeoff.plan.reasons import because, says
from takeoff.recognise.names.outdoor_names import outdoors
from takeoff.recognise.names.placed_words import Placed, places
from takeoff.recognise.names.shaft_names import is_shaft
from takeoff.recognise.names.sizes_of_rooms import size_in
from takeoff.recognise.rooms.making import CLOSED, polygon_area_m2
from takeoff.recognise.walls.enclosed_faces import BRIDGED
from takeoff.recognise.walls.room_spaces import Space, edge_lengths
from takeoff.recognise.walls.wall_reading import Reading

LEAST_OF_WRITTEN = 0.9
"""A room has this part of the size written in it at least: some write it with the plaster or half of the walls."""
OUTDOOR_SHARE = 0.3
"""A porch has one side along the house, and its own lines on the others (common practice, no source)."""


def doubted(
    rooms: list[Room],
    polygons: Sequence[shapely.Polygon],
    reading: Reading,
    words: list[Placed],
    layers: tuple[Layer, ...],
) -> list[Room]:
    """The rooms, those to check that the drawing speaks against, with why; a printed area that agrees outweighs it, but
    for shafts and lifts: their areas are printed as those of rooms are, and hardly anybody plasters them.
    ``polygons``: of the reading's spaces, one for each room; ``layers``: the drawing's."""
    more = _more_written(polygons, words)
    outdoor = np.array([outdoors(layer.name.replace("_", " ")) for layer in layers] or [False])
    found = []
    by_open = _through_open(reading.spaces)
    for k, (room, space) in enumerate(zip(rooms, reading.spaces, strict=True)):
        why = []
        if k in by_open and not (room.name or room.number):
            why.append(because("through-open"))
        if k in more:
            why.append(because("less-than-written", words=more[k], area_m2=f"{polygon_area_m2(polygons[k]):.2f}"))
        if (layer := _outdoor_layer(reading, space, outdoor)) is not None:
            why.append(because("lines-of-outdoors", layer=layers[layer].name))
        if any(says(reason, "print-agrees") for reason in room.evidence):
            why = []
        if is_shaft(room.name):
            why = [because("shaft"), *why]
        found.append(_with_doubts(room, why))
    return found


def _through_open(spaces: Sequence[Space]) -> set[int]:
    """The spaces whose doors lead to others, none of which is walled in: what lies behind a terrace may be a part of
    it."""
    behind: dict[int, list[int]] = {}
    for k, space in enumerate(spaces):
        for way in space.ways:
            behind.setdefault(way, []).append(k)
    found = set()
    for k, space in enumerate(spaces):
        others = {other for way in space.ways for other in behind[way]} - {k}
        if others and all(spaces[other].support < CLOSED for other in others):
            found.add(k)
    return found


def _with_doubts(room: Room, why: list[str]) -> Room:
    if not why:
        return room
    confidence = "check" if room.confidence == "sure" else room.confidence
    return msgspec.structs.replace(room, confidence=confidence, evidence=(*room.evidence, *why))


def _more_written(polygons: Sequence[shapely.Polygon], words: list[Placed]) -> dict[int, str]:
    """The rooms that are too small for a size written in them, with its words."""
    sized = [w for w in words if w.words.kind == "room-size"]
    if not sized:
        return {}
    at, room = shapely.STRtree(list(polygons)).query(shapely.points(places(sized)), predicate="within")
    found: dict[int, str] = {}
    for word, k in zip(at.tolist(), room.tolist(), strict=True):
        size = size_in(sized[word].words.text)
        if size is not None and polygon_area_m2(polygons[k]) < LEAST_OF_WRITTEN * size[0] * size[1] / 1e6:
            found[k] = sized[word].words.text
    return found


def _outdoor_layer(reading: Reading, space: Space, outdoor: NDArray[np.bool_]) -> int | None:
    """The layer named as a place outdoors whose lines make up a good part of a space's border."""
    if not outdoor.any():
        return None
    faces = reading.faces
    inside = np.zeros(len(faces.polygons) + 1, bool)
    inside[list(space.faces)] = True
    rim = inside[faces.left] != inside[faces.right]
    length, source = edge_lengths(faces), faces.graph.source
    drawn = rim & (source >= 0) & (source < BRIDGED)
    layer = reading.lines.layer[source[drawn]]
    of_outdoors = np.bincount(layer, weights=length[drawn], minlength=len(outdoor)) * outdoor
    most = int(of_outdoors.argmax())
    return most if of_outdoors.sum() >= OUTDOOR_SHARE * length[rim].sum() else None
