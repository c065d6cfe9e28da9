"""An opening dragged in its wall as one sees it from inside: along, and up where it has a sill."""

from __future__ import annotations

from takeoff.measure.elevations import FlatRing
from takeoff.ui.tools.in_wall import STEP_MM, stepped
from takeoff.units.printing import dim3
from takeoff.views.strip import FaceDrawing, OpeningInFace

UP_FROM_MM = 60.0
"""A drag must go up or down so far before the sill moves: most drags mean the place along the wall."""


class StripDrag:
    """Where the opening would be. ``to`` follows the mouse in mm of the face."""

    def __init__(self, face: FaceDrawing, opening: OpeningInFace, u_mm: float, z_mm: float) -> None:
        self.face, self.opening = face, opening
        self._from_u, self._from_z = u_mm, z_mm
        self.along_mm = 0.0
        """How far it would move along this face, from its start."""
        self.up_mm = 0.0
        self.said = ""

    def to(self, u_mm: float, z_mm: float, reach_mm: float, free: bool = False) -> None:
        """The mouse is there now; ``free``: without steps."""
        opening, length = self.opening, self.face.elevation.length_mm
        wish = opening.from_mm + u_mm - self._from_u
        at, self.said = stepped(length, opening.to_mm - opening.from_mm, wish, reach_mm, free)
        self.along_mm = at - opening.from_mm
        up = z_mm - self._from_z
        self.up_mm = self._stepped_up(up, free) if opening.rises and abs(up) >= UP_FROM_MM else 0.0

    def _stepped_up(self, up_mm: float, free: bool) -> float:
        """Sills go by steps too, and stay between floor and ceiling."""
        opening, e = self.opening, self.face.elevation
        highest = max(e.high_mm - (opening.head_mm - opening.sill_mm), e.low_mm)
        sill = min(max(opening.sill_mm + up_mm, e.low_mm), highest)
        return (sill if free else round(sill / STEP_MM) * STEP_MM) - opening.sill_mm

    @property
    def has_moved(self) -> bool:
        """Whether it would be anywhere else."""
        return abs(self.along_mm) > 1e-6 or abs(self.up_mm) > 1e-6

    @property
    def host_mm(self) -> float:
        """How far it would move along its own wall, from that wall's start."""
        return self.along_mm if self.opening.is_host else -self.along_mm

    @property
    def sill_mm(self) -> float | None:
        """The new sill; None where it stays."""
        return self.opening.sill_mm + self.up_mm if self.up_mm else None

    def rings(self) -> tuple[FlatRing, ...]:
        """Its outline where it would be."""
        found: tuple[FlatRing, ...] = next(
            (rings for name, rings in self.face.elevation.openings if name == self.opening.id), ()
        )
        return tuple(tuple((u + self.along_mm, z + self.up_mm) for u, z in ring) for ring in found)

    def lengths(self) -> tuple[tuple[float, float, str], ...]:
        """(u, z, words): what is left to both corners and below, in the middle of each stretch."""
        opening, e = self.opening, self.face.elevation
        start, end = opening.from_mm + self.along_mm, opening.to_mm + self.along_mm
        sill, head = opening.sill_mm + self.up_mm, opening.head_mm + self.up_mm
        middle = (max(sill, e.low_mm) + min(head, e.high_mm)) / 2.0
        said = [
            (start / 2.0, middle, dim3(start / 1000.0)),
            ((end + e.length_mm) / 2.0, middle, dim3((e.length_mm - end) / 1000.0)),
        ]
        if opening.rises:
            said.append(((start + end) / 2.0, (e.low_mm + sill) / 2.0, dim3(sill / 1000.0)))
        return tuple(said)
