"""Openings that nobody is sure of, put together where one answer does for several: of one proposed kind, in
walls of one sort, and of about one width."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal

import msgspec
from shapely import LineString, Point, Polygon, STRtree, union_all

from takeoff.geometry.curves import Curve
from takeoff.language import tr, tr_count
from takeoff.plan.model import Confidence, Job, Opening, OpeningId, Ring, Room, RoomId, SideId, Storey
from takeoff.plan.reasons import spoken
from takeoff.plan.shape import curves_by_id, ring_polygon, sound_polygon
from takeoff.plan.usual_sizes import Kind
from takeoff.units.printing import fmt2

WallSort = Literal["outside", "inside", ""]
"""In the building's outer border, between two rooms, or neither is known."""

WALL_MM = 700.0
"""What lies further behind a face than this is not in the same wall; as measuring takes it."""
OFF_FACE_MM = 1.0
STEP = 1.08
SPREAD = 1.15
"""In a group each width is at most so many times the next smaller one, and the widest so many times the
narrowest (common practice, no source)."""


class OpeningGroup(msgspec.Struct, frozen=True):
    """Openings of one storey that are alike and wait for an answer, the narrowest first."""

    storey: str
    kind: Kind
    wall: WallSort
    confidence: Confidence
    openings: tuple[Opening, ...]

    @property
    def ids(self) -> tuple[OpeningId, ...]:
        """The ids of its openings."""
        return tuple(opening.id for opening in self.openings)

    @property
    def words(self) -> str:
        """ "7 openings, 1.18 to 1.21 m wide, in outside walls"."""
        count = len(self.openings)
        parts = (tr_count("{count} opening", "{count} openings", count), self.widths, self.walls)
        return ", ".join(part for part in parts if part)

    @property
    def widths(self) -> str:
        """ "1.18 to 1.21 m wide"."""
        least, most = (fmt2(o.width_mm / 1000.0) for o in (self.openings[0], self.openings[-1]))
        return (
            tr("{least} m wide", least=least)
            if least == most
            else tr("{least} to {most} m wide", least=least, most=most)
        )

    @property
    def walls(self) -> str:
        """ "in outside walls"; "" where nothing is known of them."""
        if not self.wall:
            return ""
        several = len(self.openings) > 1
        if self.wall == "outside":
            return tr("in outside walls") if several else tr("in an outside wall")
        return tr("in inside walls") if several else tr("in an inside wall")

    @property
    def reasons(self) -> tuple[str, ...]:
        """What speaks for and against them, each sentence once."""
        return tuple(dict.fromkeys(spoken(reason) for opening in self.openings for reason in opening.evidence))


def opening_groups(job: Job) -> tuple[OpeningGroup, ...]:
    """The openings that are not sure in groups, storey by storey, open questions first; () where all are sure."""
    return tuple(group for storey in job.storeys for group in _of_storey(storey))


def _of_storey(storey: Storey) -> list[OpeningGroup]:
    unsure = [opening for opening in storey.openings if opening.confidence != "sure"]
    walls = wall_sorts(unsure, storey.rooms, storey.building)
    sorted_out: dict[tuple[Confidence, Kind, WallSort], list[Opening]] = {}
    for opening in unsure:
        sorted_out.setdefault((opening.confidence, opening.kind, walls[opening.id]), []).append(opening)
    groups = [
        OpeningGroup(str(storey.id), kind, wall, confidence, tuple(alike))
        for (confidence, kind, wall), openings in sorted_out.items()
        for alike in _by_width(openings)
    ]
    return sorted(groups, key=lambda group: group.confidence != "question")


def _by_width(openings: Iterable[Opening]) -> list[list[Opening]]:
    groups: list[list[Opening]] = []
    for opening in sorted(openings, key=lambda o: o.width_mm):
        last = groups[-1] if groups else None
        if last and opening.width_mm <= min(STEP * last[-1].width_mm, SPREAD * last[0].width_mm):
            last.append(opening)
        else:
            groups.append([opening])
    return groups


def wall_sorts(
    openings: Sequence[Opening], rooms: Sequence[Room], building: Iterable[Ring]
) -> dict[OpeningId, WallSort]:
    """For each opening the sort of wall it is in, by what lies behind its middle within a wall's thickness: another
    face of a room, or the outside of the building's outline. ``building``: no ring where it is not known."""
    if not openings:
        return {}
    spaces = STRtree([sound_polygon(room) for room in rooms])
    outline = union_all([ring_polygon(ring) for ring in building if len(ring) > 1])
    curves: dict[RoomId, dict[SideId, Curve]] = {room.id: curves_by_id(room) for room in rooms}
    found: dict[OpeningId, WallSort] = {}
    for opening in openings:
        curve = curves.get(opening.room, {}).get(opening.side)
        found[opening.id] = "" if curve is None or curve.length <= 0 else _sort(opening, curve, spaces, outline)
    return found


def _sort(opening: Opening, curve: Curve, spaces: STRtree, outline: Polygon) -> WallSort:
    at = min(max(opening.offset_mm + opening.width_mm / 2.0, 0.0), curve.length)
    (x, y), (dx, dy) = curve.at(at), curve.direction(at)
    # rooms lie to the left of their sides: what is behind lies to the right
    near, far = ((x + dy * off, y - dx * off) for off in (OFF_FACE_MM, WALL_MM))
    if len(spaces.query(LineString([near, far]), predicate="intersects")):
        return "inside"
    return "outside" if not outline.is_empty and not outline.contains(Point(far)) else ""
