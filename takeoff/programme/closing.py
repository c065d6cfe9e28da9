"""How wide a face is that a crew closes wet in wet, face by face: where more people are needed, or a coat edge.

A face is coated between two ends, corners or edges of coat; between them it is closed in one go. What is put on first
must still be workable when the last of it is put on.
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from takeoff.measure.takeoff import Face, RoomTakeoff, Takeoff
from takeoff.plan.programme_terms import ProgrammeTerms
from takeoff.programme.activities import usual_work
from takeoff.programme.at_once import closable_width_m, people_for

LEAST_COATED_MM = 1.0


class Pace(msgspec.Struct, frozen=True):
    """How fast one person coats and how long the coat can be worked; ``usual``: nobody has set them."""

    rate_m2_h: float
    working_min: float
    usual: bool


class FaceClosed(msgspec.Struct, frozen=True):
    """A wall's face. ``width_m``: of its widest stretch of coat; ``height_m``: its mean height; ``one_m``: the width
    that one person closes; ``people``: how many it takes."""

    storey: str
    room: str
    face: str
    width_m: float
    height_m: float
    one_m: float
    people: int


class RoomClosed(msgspec.Struct, frozen=True):
    """The faces of one room, the widest first."""

    storey: str
    room: str
    faces: tuple[FaceClosed, ...]

    def too_wide(self, people: int) -> tuple[FaceClosed, ...]:
        """Those that so many people do not close."""
        return tuple(face for face in self.faces if face.people > people)


def pace_of(terms: ProgrammeTerms) -> Pace:
    """The contractor's own pace, else the usual one."""
    usual = usual_work()
    return Pace(
        terms.rate_m2_h or usual.rate_m2_h,
        terms.working_min or usual.working_min,
        not (terms.rate_m2_h and terms.working_min),
    )


def rooms_closed(takeoff: Takeoff, pace: Pace) -> tuple[RoomClosed, ...]:
    """Every room with a coated wall, in the takeoff's order."""
    found = []
    for room in takeoff.rooms:
        faces = [one for face in room.faces if (one := _closed(room, face, pace)) is not None]
        if faces:
            faces.sort(key=lambda one: -one.width_m)
            found.append(RoomClosed(str(room.storey), str(room.room), tuple(faces)))
    return tuple(found)


def widest_m(faces: Sequence[FaceClosed], people: int) -> float:
    """The width that so many people close at the tallest of these faces, m; 0 for none."""
    return min((face.one_m for face in faces), default=0.0) * people


def _closed(room: RoomTakeoff, face: Face, pace: Pace) -> FaceClosed | None:
    widest = max((end - start for start, end in face.coated_mm), default=0.0) / 1000.0
    if widest * 1000.0 < LEAST_COATED_MM or face.net_m2 <= 0 or face.length_m <= 0:
        return None
    height = face.gross_m2 / face.length_m
    return FaceClosed(
        str(room.storey),
        str(room.room),
        str(face.id),
        widest,
        height,
        closable_width_m(pace.rate_m2_h, pace.working_min, height),
        people_for(widest, pace.rate_m2_h, pace.working_min, height),
    )
