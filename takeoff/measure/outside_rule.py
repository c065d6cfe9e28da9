"""Outside walls coated by one rule: which walls are outside, and the rule that a coat keeps to."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

import msgspec

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.language import tr, tr_count
from takeoff.measure.memory import measure
from takeoff.measure.outline_runs import Run, listed, open_runs
from takeoff.measure.takeoff import BehindStretch, Face, RoomTakeoff, Takeoff
from takeoff.plan import edits
from takeoff.plan.model import Job, Part, Room, RoomId, SideId, Storey, WallTreatment
from takeoff.units.printing import fmt2, shown

OUTSIDE = ("outside", "unheated")

CROSS_WALL_MM = 450.0
"""A stretch of which nothing is known, no longer than this between two rooms behind, or between one and
the wall's end, is the end of a wall between them (common practice, no source)."""

END_MM = 1.0
"""A stretch that comes this near to the end of its wall reaches it."""

Outside = Mapping[RoomId, Mapping[SideId, tuple[Part, ...]]]
"""Outside walls by room and side, each with the stretches of it that are; () where all of it is."""


class OutsideRule(msgspec.Struct, frozen=True):
    """ "Outside walls, returns of …, a ceiling band of …". ``band_mm``: None leaves ceilings whole, 0
    leaves them bare. ``whole_walls``: a wall that is outside over a part is coated over all its length."""

    return_mm: float
    band_mm: float | None = None
    whole_walls: bool = False

    @property
    def words(self) -> str:
        """ "outside walls, returns 0.60 m, ceiling band 0.60 m"."""
        returns = tr("returns {length} m", length=fmt2(self.return_mm / 1000.0))
        said = [tr("outside walls"), returns if self.return_mm else tr("no returns")]
        if self.band_mm:
            said.append(tr("ceiling band {length} m", length=fmt2(self.band_mm / 1000.0)))
        if self.band_mm is None:
            said.append(tr("ceilings"))
        if self.whole_walls:
            said.append(tr("walls partly outside coated whole"))
        return ", ".join(said)


def run_together(behind: Sequence[BehindStretch]) -> list[BehindStretch]:
    """Neighbouring stretches of one class as one."""
    out: list[BehindStretch] = []
    for stretch in behind:
        if out and out[-1].cls == stretch.cls and abs(out[-1].to_mm - stretch.from_mm) <= END_MM:
            out[-1] = msgspec.structs.replace(out[-1], to_mm=stretch.to_mm)
        else:
            out.append(stretch)
    return out


def outside_parts(face: Face) -> tuple[Part, ...] | None:
    """The stretches of a face that are outside or beside an unheated space; () for all of it, None for
    none. The end of a cross wall beside such a stretch goes with it."""
    kinds = run_together(face.behind)
    out: list[tuple[float, float]] = []
    for number, stretch in enumerate(kinds):
        beside = {kinds[k].cls for k in (number - 1, number + 1) if 0 <= k < len(kinds)}
        end_of_wall = stretch.cls == "unknown" and stretch.to_mm - stretch.from_mm <= CROSS_WALL_MM
        if stretch.cheek or (stretch.cls not in OUTSIDE and not (end_of_wall and beside & set(OUTSIDE))):
            continue
        if out and stretch.from_mm - out[-1][1] <= END_MM:
            out[-1] = (out[-1][0], stretch.to_mm)
        else:
            out.append((stretch.from_mm, stretch.to_mm))
    if not out:
        return None
    length = face.length_m * 1000.0
    parts = tuple((0.0 if a <= END_MM else a, None if b >= length - END_MM else b) for a, b in out)
    return () if parts == ((0.0, None),) else parts


def outside_walls(taken: Iterable[RoomTakeoff], rooms: Collection[str] | None = None) -> Outside:
    """The walls of each room (of these only) that are outside or beside an unheated space, as measuring
    found them; a room without any has no walls in it."""
    return {
        RoomId(room.room): {SideId(face.id): parts for face in room.faces if (parts := outside_parts(face)) is not None}
        for room in taken
        if rooms is None or room.room in rooms
    }


def coat_by(job: Job, rule: OutsideRule, outside: Outside) -> Job:
    """The job with these outside walls coated by a rule, and the other walls of their rooms by it. Raises
    InputError for a length that is none."""
    parts = {} if rule.whole_walls else outside
    return edits.coat_outside_walls(job, rule.return_mm, rule.band_mm, outside, list(outside), parts)


def recoated(job: Job, rule: OutsideRule, rooms: Collection[str]) -> Job:
    """The job with these rooms coated by a rule anew, after it was said what lies behind their walls."""
    storeys = tuple(storey for storey in job.storeys if any(room.id in rooms for room in storey.rooms))
    taken = measure(msgspec.structs.replace(job, storeys=storeys)).rooms
    return coat_by(job, rule, outside_walls(taken, rooms))


def outside_as_drawn(job: Job, takeoff: Takeoff) -> tuple[Finding, ...]:
    """A finding for each storey whose coat rests on walls that are outside only since its drawing ends there,
    with what is coated if all are outside and if none is; none where all is coated whatever lies behind."""
    open_ = open_runs(job) if any(_rests_on_claim(storey, takeoff) for storey in job.storeys) else ()
    rule = rule_of(job, outside_walls(takeoff.rooms)) if open_ else None
    found = []
    for storey in job.storeys:
        runs = [run for run in open_ if run.storey == storey.id]
        if not runs or not _rests_on_claim(storey, takeoff):
            continue
        where = Where(storey=str(storey.id))
        facts: dict[str, Any] = {
            "runs": tr_count("{count} straight run", "{count} straight runs", len(runs)),
            "storey": storey.title,
            "names": listed([run.called for run in runs]),
            "length": shown(math.fsum(run.claimed_mm for run in runs) / 1000.0),
        }
        if rule is None:
            found.append(noticed("outside-as-drawn/by-hand", where, **facts))
            continue
        none = measure(_none_outside(job, storey, runs, rule)).totals["coated_m2"]
        now = math.fsum(r.coated_m2 * r.times for r in takeoff.rooms if r.storey == storey.id) * storey.times
        facts |= {"all": shown(now, 1), "none": shown(none, 1)}
        found.append(noticed("outside-as-drawn", where, **facts))
    return tuple(found)


def _rests_on_claim(storey: Storey, takeoff: Takeoff) -> bool:
    """Whether a wall that is outside only as drawn is coated on a storey of which not all is coated."""
    claimed = any(
        b.claimed and any(a < b.to_mm and b.from_mm < c for a, c in face.coated_mm)
        for room in takeoff.rooms
        if room.storey == storey.id
        for face in room.faces
        for b in face.behind
    )
    return claimed and not all(
        room.ceiling_treatment.coat
        and not room.ceiling_treatment.only
        and all((side.treatment or room.walls).is_whole for side in room.sides if side.has_wall)
        for room in storey.rooms
    )


def _none_outside(job: Job, storey: Storey, runs: Sequence[Run], rule: OutsideRule) -> Job:
    """That storey alone, coated as if a neighbour stood beyond each of these runs."""
    alone = msgspec.structs.replace(job, storeys=(storey,))
    for run in runs:
        for (room, side), stretches in run.claims().items():
            alone = edits.answer_behind(alone, room, side, stretches, "neighbour")
    return recoated(alone, rule, {str(room.id) for room in storey.rooms})


def rule_of(job: Job, outside: Outside) -> OutsideRule | None:
    """The rule by which outside walls are coated everywhere; None where it is not one and the same,
    where a wall inside is coated over its length, and where nothing is outside or nothing inside."""
    rule = _rule(job, outside, False)
    partly = any(parts for walls in outside.values() for parts in walls.values())
    return _rule(job, outside, True) if rule is None and partly else rule


def _rule(job: Job, outside: Outside, whole: bool) -> OutsideRule | None:
    returns: set[float] = set()
    bands: set[float | None] = set()
    inside = False
    for room in (room for storey in job.storeys for room in storey.rooms):
        own = {side: () if whole else parts for side, parts in outside.get(room.id, {}).items()}
        found, band = _returns_in(room, own), _band_of(room, set(own))
        if found is None or (not own and band not in (None, 0.0)):
            return None
        returns |= found
        inside = inside or not own.keys() >= set(edits.all_sides(room)) or any(own.values())
        # a room with nothing outside is bare by any rule with a band
        if own or band is None:
            bands.add(band)
    if not inside or not any(outside.values()) or len(returns) > 1 or len(bands) != 1:
        return None
    band = bands.pop()
    return None if band == _OTHERWISE else OutsideRule(returns.pop() if returns else 0.0, band, whole)


_OTHERWISE = -1.0
"""Stands for the band of a ceiling that is coated in another way."""


def _returns_in(room: Room, outside: Mapping[SideId, tuple[Part, ...]]) -> set[float] | None:
    """The returns in a room (0 where a neighbour of an outside wall is bare); None where the room is not
    coated by any such rule."""
    to_start = {side for side, parts in outside.items() if not parts or any(a <= 0 for a, _ in parts)}
    to_end = {side for side, parts in outside.items() if not parts or any(b is None for _, b in parts)}
    found: set[float] = set()
    for ring in room.rings:
        for index, side in enumerate(ring):
            if not side.has_wall:
                continue
            coat = side.treatment or room.walls
            parts = outside.get(side.id)
            if parts == ():
                if not coat.is_whole:
                    return None
                continue
            if coat.parts_mm != (parts or ()) or (parts and not coat.coat):
                return None
            ends = (
                (coat.start_mm, ring[index - 1].id in to_end),
                (coat.end_mm, ring[(index + 1) % len(ring)].id in to_start),
            )
            told = _returns_at(coat, ends)
            if told is None:
                return None
            found |= told
    return found


def _returns_at(coat: WallTreatment, ends: Sequence[tuple[float | None, bool]]) -> set[float] | None:
    """The returns of one wall, of whose ends it is known whether the wall there is outside."""
    if coat.is_whole:
        return None
    found = set()
    for length, beside in ends:
        given = length if coat.coat and length else 0.0
        if given and not beside:
            return None
        if beside:
            found.add(given)
    return found


def _band_of(room: Room, outside: set[SideId]) -> float | None:
    """Width of the ceiling band along outside walls; 0 for a bare ceiling, None for a whole one."""
    ceiling = room.ceiling_treatment
    if not ceiling.coat:
        return 0.0
    if not ceiling.only:
        return None
    if len(ceiling.only) == 1 and set(ceiling.only[0].sides) == outside:
        return ceiling.only[0].width_mm
    return _OTHERWISE
