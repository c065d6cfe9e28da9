"""Which walls are outside and coated by a rule, those of which nobody knows, and a job's coat in a few words."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import msgspec

from takeoff.measure.takeoff import BehindStretch, Face
from takeoff.plan import edits
from takeoff.plan.model import BehindClass, Job, Room, RoomId, SideId, WallTreatment
from takeoff.sheets.wall_names import wall_names
from takeoff.units.printing import fmt2
from takeoff.views.board import State
from takeoff.views.naming import labels

OUTSIDE = ("outside", "unheated")


def outside_sides(state: State, rooms: Collection[str] | None = None) -> dict[RoomId, tuple[SideId, ...]]:
    """The sides of each room (of these only) that are outside or beside an unheated space, over some
    stretch, as measuring found them."""
    found: dict[RoomId, tuple[SideId, ...]] = {}
    for board in state.rooms.values():
        name = board.taken.room
        if rooms is None or name in rooms:
            found[RoomId(name)] = tuple(
                SideId(face.id) for face in board.taken.faces if any(b.cls in OUTSIDE for b in face.behind)
            )
    return found


class OutsideRule(msgspec.Struct, frozen=True):
    """ "Outside walls, returns of …, a ceiling band of …". ``band_mm``: None leaves ceilings whole, 0
    leaves them bare."""

    return_mm: float
    band_mm: float | None = None

    @property
    def words(self) -> str:
        """ "outside, returns 0.60 m, ceiling band 0.60 m"."""
        said = "outside"
        said += f", returns {fmt2(self.return_mm / 1000.0)} m" if self.return_mm else ", no returns"
        if self.band_mm:
            said += f", ceiling band {fmt2(self.band_mm / 1000.0)} m"
        return said + (", ceilings" if self.band_mm is None else "")


def coat_outside(state: State, job: Job, rule: OutsideRule, rooms: Collection[str] | None = None) -> Job:
    """The job with outside walls coated by a rule, in these rooms or all; walls that nobody knows of are
    none. ``state``: what was measured of that job. Raises InputError for a length that is none."""
    outside = outside_sides(state, rooms)
    return edits.coat_outside_walls(job, rule.return_mm, rule.band_mm, outside, list(outside))


def rule_of(state: State) -> OutsideRule | None:
    """The rule by which outside walls are coated everywhere; None where it is not one and the same,
    where a wall inside is coated over its length, and where nothing is outside or nothing inside."""
    returns: set[float] = set()
    bands: set[float | None] = set()
    inside = False
    outside = outside_sides(state)
    for room in (room for storey in state.job.storeys for room in storey.rooms):
        own = set(outside.get(room.id, ()))
        found, band = _returns_in(room, own), _band_of(room, own)
        if found is None or (not own and band not in (None, 0.0)):
            return None
        returns |= found
        inside = inside or not own >= set(edits.all_sides(room))
        # a room with nothing outside is bare by any rule with a band
        if own or band is None:
            bands.add(band)
    if not inside or not any(outside.values()) or len(returns) > 1 or len(bands) != 1:
        return None
    band = bands.pop()
    return None if band == _OTHERWISE else OutsideRule(returns.pop() if returns else 0.0, band)


_OTHERWISE = -1.0
"""Stands for the band of a ceiling that is coated in another way."""


def _returns_in(room: Room, outside: set[SideId]) -> set[float] | None:
    """The returns in a room (0 where a neighbour of an outside wall is bare); None where the room is not
    coated by any such rule."""
    found: set[float] = set()
    for ring in room.rings:
        for index, side in enumerate(ring):
            if not side.has_wall:
                continue
            coat = side.treatment or room.walls
            if side.id in outside:
                if not _is_whole(coat):
                    return None
                continue
            ends = (
                (coat.start_mm, ring[index - 1].id in outside),
                (coat.end_mm, ring[(index + 1) % len(ring)].id in outside),
            )
            if coat.coat and all(length is None for length, _ in ends):
                return None
            for length, beside in ends:
                given = length if coat.coat and length else 0.0
                if given and not beside:
                    return None
                if beside:
                    found.add(given)
    return found


def _is_whole(coat: WallTreatment) -> bool:
    return coat.coat and coat.start_mm is None and coat.end_mm is None


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


def coat_words(state: State) -> str:
    """ "outside, returns 0.60 m", "walls and ceilings", "room by room": what is coated over the job."""
    rooms = [room for storey in state.job.storeys for room in storey.rooms]
    if not rooms:
        return "nothing yet"
    told = {_coated(room) for room in rooms}
    if told & {"walls and ceilings", "walls", "ceilings", "nothing"} and len(told) == 1:
        return told.pop()
    rule = rule_of(state)
    if rule is not None:
        return rule.words
    return told.pop() if len(told) == 1 else "room by room"


def _coated(room: Room) -> str:
    treatments = [side.treatment or room.walls for side in room.sides if side.has_wall]
    walls = [t.coat for t in treatments]
    whole, ceiling = all(_is_whole(t) for t in treatments), room.ceiling_treatment
    said = ("" if ceiling.coat else "nothing") if not any(walls) else "walls" if whole else "part of the walls"
    if not ceiling.coat:
        return said
    above = "part of the ceilings" if ceiling.only else "ceilings"
    return f"{said} and {above}" if said else above


CROSS_WALL_MM = 450.0
"""A stretch of which nothing is known, no longer than this between two rooms behind, or between one and
the wall's end, is the end of a wall between them (common practice, no source)."""


class Unknown(msgspec.Struct, frozen=True):
    """A wall face of which it is not known what lies behind ``stretches`` (mm from its start)."""

    room: RoomId
    side: SideId
    room_words: str
    wall_words: str
    stretches: tuple[tuple[float, float], ...]

    @property
    def length_mm(self) -> float:
        """Of all stretches together."""
        return sum(end - start for start, end in self.stretches)


def unknown_walls(state: State, rooms: Collection[str] | None = None) -> tuple[Unknown, ...]:
    """The faces (of these rooms only) of which somebody must say what lies behind, in the plan's order.

    Ends of walls between the rooms behind are not asked about.
    """
    names = labels(state.job)
    found = []
    for storey in state.job.storeys:
        for room in storey.rooms:
            board = state.rooms.get((str(storey.id), str(room.id)))
            if board is None or (rooms is not None and room.id not in rooms):
                continue
            called: dict[str, str] = {}
            for face in board.taken.faces:
                stretches = _not_known(face)
                if stretches:
                    called = called or wall_names(room)
                    found.append(
                        Unknown(
                            room.id,
                            SideId(face.id),
                            names[str(storey.id), str(room.id)],
                            called.get(face.id, face.id),
                            stretches,
                        )
                    )
    return tuple(found)


def _not_known(face: Face) -> tuple[tuple[float, float], ...]:
    behind = _run_together(face.behind)
    found = []
    for number, stretch in enumerate(behind):
        if stretch.cls != "unknown":
            continue
        before = behind[number - 1].cls if number else ""
        after = behind[number + 1].cls if number + 1 < len(behind) else ""
        beside = {before, after} - {""}
        if stretch.to_mm - stretch.from_mm <= CROSS_WALL_MM and beside == {"same"}:
            continue
        found.append((stretch.from_mm, stretch.to_mm))
    return tuple(found)


def _run_together(behind: Sequence[BehindStretch]) -> list[BehindStretch]:
    """Neighbouring stretches of one class as one."""
    out: list[BehindStretch] = []
    for stretch in behind:
        if out and out[-1].cls == stretch.cls and abs(out[-1].to_mm - stretch.from_mm) <= 1.0:
            out[-1] = msgspec.structs.replace(out[-1], to_mm=stretch.to_mm)
        else:
            out.append(stretch)
    return out


def answered(state: State, job: Job, walls: Sequence[Unknown], cls: BehindClass) -> Job:
    """The job with what lies behind these walls said; where outside walls are coated by a rule, a wall
    that is outside now is coated by it too."""
    for wall in walls:
        job = edits.answer_behind(job, wall.room, wall.side, wall.stretches, cls)
    rule = rule_of(state)
    if rule is None or cls not in OUTSIDE:
        return job
    outside = outside_sides(state, {str(wall.room) for wall in walls})
    for wall in walls:
        outside[wall.room] = tuple(dict.fromkeys((*outside.get(wall.room, ()), wall.side)))
    return edits.coat_outside_walls(job, rule.return_mm, rule.band_mm, outside, list(outside))
