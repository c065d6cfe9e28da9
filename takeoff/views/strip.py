"""The wall strip: the faces of a room in the order of their letters, each with what is said under it."""

from __future__ import annotations

from typing import Literal

import msgspec

from takeoff.measure.elevations import Elevation, elevations
from takeoff.plan.model import Opening, Storey
from takeoff.sheets.wall_names import wall_letters
from takeoff.units.printing import fmt2
from takeoff.views.board import State
from takeoff.views.cards import labels, place_of


class OpeningInFace(msgspec.Struct, frozen=True):
    """An opening as it shows in a face, mm along it from its start and above the datum.

    ``rises``: it stands on a sill and is moved up and down too. ``is_host``: its own place is counted
    along this face, else along the face behind, the other way round.
    """

    id: str
    mark: str
    from_mm: float
    to_mm: float
    sill_mm: float
    head_mm: float
    rises: bool
    is_host: bool


class FaceDrawing(msgspec.Struct, frozen=True):
    """A wall face with its letter on the plan. ``words``: "A  5.00 m" and "1.44 m²"; ``coat``: how much
    of it is coated."""

    letter: str
    words: tuple[str, ...]
    elevation: Elevation
    coat: Literal["whole", "part", "none"]
    openings: tuple[OpeningInFace, ...]


class Strip(msgspec.Struct, frozen=True):
    """All faces of a room, and what is said over them."""

    room: str
    title: str
    faces: tuple[FaceDrawing, ...]


def wall_strip(state: State, room_id: str) -> Strip | None:
    """The strip of a room; None where it was not measured."""
    place, board = place_of(state.job, room_id), state.room(room_id)
    if place is None or board is None:
        return None
    storey, room = place
    names = wall_letters(room)
    nets = {face.id: face for face in board.taken.faces}
    faces = []
    for drawn in elevations(state.job, storey, room):
        letter = names.get(drawn.side, "")
        face = nets.get(drawn.side)
        words = (f"{letter}  {fmt2(drawn.length_mm / 1000.0)} m", *((f"{fmt2(face.net_m2)} m²",) if face else ()))
        faces.append(FaceDrawing(letter, words, drawn, _coat(drawn), _openings(storey, room_id, drawn)))
    title = labels(state.job)[str(storey.id), room_id]
    return Strip(room_id, f"{title}, walls in the order of their letters, seen from inside", tuple(faces))


def _coat(drawn: Elevation) -> Literal["whole", "part", "none"]:
    if not drawn.coat:
        return "none"
    return "part" if drawn.bare else "whole"


def _openings(storey: Storey, room_id: str, drawn: Elevation) -> tuple[OpeningInFace, ...]:
    every = {str(opening.id): opening for opening in storey.openings}
    found = []
    for name, rings in drawn.openings:
        opening = every.get(name)
        if opening is not None:
            us = [u for ring in rings for u, _ in ring]
            is_host = opening.room == room_id and opening.side == drawn.side
            start, end = _along(opening) if is_host else (min(us), max(us))
            found.append(
                OpeningInFace(
                    name, opening.mark, start, end, opening.sill_mm, opening.head_mm, opening.kind == "window", is_host
                )
            )
    return tuple(found)


def _along(opening: Opening) -> tuple[float, float]:
    return opening.offset_mm, opening.offset_mm + opening.width_mm
