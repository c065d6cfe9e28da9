"""What the rooms that a drawing's walls enclose say of its unit: how large they are, and how wide the ways
between them. A drawing without figures, areas and door swings shows its size in nothing else."""

from __future__ import annotations

from collections.abc import Callable
from statistics import fmean, median
from typing import NamedTuple

from takeoff.language import tr
from takeoff.plan.model import Job
from takeoff.plan.shape import sound_polygon
from takeoff.recognise.units.unit_evidence import Evidence
from takeoff.units.printing import shown, whole

ROOM_M2 = (4.0, 35.0)
"""The middle one of a plan's rooms has an area within these (common practice, no source), …"""
ROOM_AT_ALL_M2 = (2.0, 150.0)
"""… or, in a plan of closets or of halls, within these."""
WAY_MM = (600.0, 1300.0)
"""A quarter of its doors, ways and windows are no wider: doors are the narrower ones."""
LIKELY_M2 = (6.0, 40.0)
LIKELY_MM = (700.0, 1200.0)
"""Where rooms and ways both are within these, no other unit is tried."""
FEWEST_ROOMS, FEWEST_WAYS = 2, 2
MOST_SEGMENTS = 30_000
"""Of a drawing with more lines rooms are sought once, when its unit is known."""
MOST_TRIED = 3
MOST_SOUGHT = 60_000
"""So many lines are looked through in all: with many, fewer units are tried."""
CLOSET_PART = 0.25
"""What has less than this part of the mean area is a closet: a flat may have more of them than rooms."""
FAR = 5.0
"""Units that all other evidence puts so far behind are not tried."""


class RoomSizes(NamedTuple):
    """How many rooms were found in one unit that are no closets, the middle one's area in m², and the width in mm that
    a quarter of the openings do not exceed (0 for what is not there)."""

    rooms: int
    area_m2: float
    way_mm: float

    @property
    def likely(self) -> bool:
        """Whether rooms and ways both are as large as they are built."""
        return self.rooms >= FEWEST_ROOMS and _within(self.area_m2, LIKELY_M2) and _within(self.way_mm, LIKELY_MM)


def room_sizes(job: Job) -> RoomSizes:
    """Those of a proposed job."""
    areas = [sound_polygon(room).area / 1e6 for storey in job.storeys for room in storey.rooms]
    areas = [area for area in areas if area >= CLOSET_PART * fmean(areas)]
    ways = sorted(o.width_mm for storey in job.storeys for o in storey.openings)
    return RoomSizes(
        len(areas), median(areas) if areas else 0.0, ways[len(ways) // 4] if len(ways) >= FEWEST_WAYS else 0.0
    )


def by_rooms(
    job_in: Callable[[str], Job], lines: int, units: dict[str, float], totals: dict[str, float]
) -> Evidence | None:
    """The vote of the rooms of a drawing of so many ``lines``. They are sought in the unit that all else speaks for,
    and where that gives none of a usual size, in its rivals, or where there are none at all in every unit; in the
    others they would be as much larger. ``job_in`` gives what is proposed in a unit. None where no unit gives any."""
    ranked = sorted(units, key=lambda u: -totals[u])
    first = ranked[0]
    tries = MOST_SOUGHT // max(lines, 1)
    found = {first: room_sizes(job_in(first))}
    if not found[first].likely:
        rivals = [
            u for u in ranked[1:] if totals[u] > totals[first] - FAR and abs(units[u] / units[first] - 1.0) > 0.01
        ]
        found |= {u: room_sizes(job_in(u)) for u in rivals[: min(MOST_TRIED, tries)]}
    for unit in ranked:
        if len(found) < tries and unit not in found and not any(sizes.rooms for sizes in found.values()):
            found[unit] = room_sizes(job_in(unit))
    most = max(sizes.rooms for sizes in found.values())
    if not most:
        return None
    best = max(found, key=lambda u: (found[u].likely, found[u].rooms))

    def sizes_in(unit: str) -> RoomSizes:
        if unit in found:
            return found[unit]
        k = units[unit] / units[best]
        return RoomSizes(0, found[best].area_m2 * k * k, found[best].way_mm * k)

    def tells(mm: float) -> str:
        sizes = sizes_in(min(units, key=lambda u: abs(units[u] - mm)))
        area = shown(sizes.area_m2, 1)
        if sizes.way_mm:
            return tr("its rooms have some {area} m², and openings from {way} mm", area=area, way=whole(sizes.way_mm))
        return tr("its rooms have some {area} m²", area=area)

    # One room may be a hall or a shed: its size is a hint.
    several = most >= FEWEST_ROOMS
    return Evidence("rooms", {u: _score(sizes_in(u), most) for u in units}, tells, several)


def _score(sizes: RoomSizes, most: int) -> float:
    if not sizes.area_m2:
        return -2.0 if most >= FEWEST_ROOMS else -0.5
    if most < FEWEST_ROOMS:
        return 0.5 if _within(sizes.area_m2, ROOM_AT_ALL_M2) else -1.5
    area = 1.5 if _within(sizes.area_m2, ROOM_M2) else 0.0 if _within(sizes.area_m2, ROOM_AT_ALL_M2) else -3.0
    way = 0.0 if not sizes.way_mm else 1.5 if _within(sizes.way_mm, WAY_MM) else -2.0
    # bare outlines are found in one unit as well as in another; walls with openings in them are not
    return area + way + (2.0 if sizes.way_mm else 1.0) * sizes.rooms / most


def _within(value: float, limits: tuple[float, float]) -> bool:
    return limits[0] <= value <= limits[1]
