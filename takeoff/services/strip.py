"""The wall strip: the faces of a room in the order of their letters, each with what is said under it."""

from __future__ import annotations

import msgspec

from takeoff.measure.elevations import Elevation, elevations
from takeoff.services.board import State
from takeoff.services.cards import labels, place_of
from takeoff.sheets.wall_names import wall_letters
from takeoff.units.printing import fmt2


class FaceDrawing(msgspec.Struct, frozen=True):
    """A wall face with its letter on the plan. ``words``: "A  5.00 m" and "1.44 m²"; ``marks`` of
    its openings."""

    letter: str
    words: tuple[str, ...]
    elevation: Elevation
    marks: tuple[str, ...]


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
    marks = {str(o.id): o.mark for o in storey.openings}
    faces = []
    for drawn in elevations(state.job, storey, room):
        letter = names.get(drawn.side, "")
        face = nets.get(drawn.side)
        words = (f"{letter}  {fmt2(drawn.length_mm / 1000.0)} m",
                 *((f"{fmt2(face.net_m2)} m²",) if face else ()))
        faces.append(FaceDrawing(
            letter, words, drawn, tuple(marks.get(opening, "") for opening, _ in drawn.openings)))
    title = labels(state.job)[str(storey.id), room_id]
    return Strip(room_id, f"{title}, walls in the order of their letters, seen from inside", tuple(faces))
