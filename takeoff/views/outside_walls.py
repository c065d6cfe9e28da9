"""Which walls are outside and coated by a rule, those of which nobody knows, and a job's coat in a few words."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import msgspec

from takeoff.language import mark, tr
from takeoff.measure.outline_runs import Run
from takeoff.measure.outside_rule import (
    CROSS_WALL_MM,
    Outside,
    OutsideRule,
    coat_by,
    outside_walls,
    recoated,
    run_together,
)
from takeoff.measure.outside_rule import rule_of as by_rule
from takeoff.measure.takeoff import Face
from takeoff.plan import edits
from takeoff.plan.model import BehindClass, Job, Room, RoomId, SideId
from takeoff.sheets.wall_names import wall_names
from takeoff.views.board import State
from takeoff.views.naming import labels


def outside_sides(state: State, rooms: Collection[str] | None = None) -> Outside:
    """The walls of each room (of these only) that are outside or beside an unheated space, as measuring
    found them."""
    return outside_walls((board.taken for board in state.rooms.values()), rooms)


def coat_outside(state: State, job: Job, rule: OutsideRule, rooms: Collection[str] | None = None) -> Job:
    """The job with outside walls coated by a rule, in these rooms or all; walls that nobody knows of are
    none. ``state``: what was measured of that job. Raises InputError for a length that is none."""
    return coat_by(job, rule, outside_sides(state, rooms))


def rule_of(state: State) -> OutsideRule | None:
    """The rule by which outside walls are coated everywhere; None where there is none."""
    return by_rule(state.job, outside_sides(state))


def coat_words(state: State) -> str:
    """ "outside walls, returns 0.60 m", "walls and ceilings", "room by room": what is coated over the job."""
    rooms = [room for storey in state.job.storeys for room in storey.rooms]
    if not rooms:
        return tr("nothing yet")
    told = {_coated(room) for room in rooms}
    alike = told.pop() if len(told) == 1 else None
    if alike in _WHOLE:
        return tr(_COATED[alike])
    rule = rule_of(state)
    if rule is not None:
        return rule.words
    return tr("room by room") if alike is None else tr(_COATED[alike])


Coated = tuple[str, str]
"""How much of walls and of ceilings is coated: "whole", "part" or "none" of each."""

_COATED: dict[Coated, str] = {
    ("whole", "whole"): mark("walls and ceilings"),
    ("whole", "part"): mark("walls and part of the ceilings"),
    ("whole", "none"): mark("walls"),
    ("part", "whole"): mark("part of the walls and ceilings"),
    ("part", "part"): mark("part of the walls and part of the ceilings"),
    ("part", "none"): mark("part of the walls"),
    ("none", "whole"): mark("ceilings"),
    ("none", "part"): mark("part of the ceilings"),
    ("none", "none"): mark("nothing"),
}
_WHOLE = frozenset(coated for coated in _COATED if "part" not in coated)


def _coated(room: Room) -> Coated:
    treatments = [side.treatment or room.walls for side in room.sides if side.has_wall]
    walls = [t.coat for t in treatments]
    whole, ceiling = all(t.is_whole for t in treatments), room.ceiling_treatment
    over = ("part" if ceiling.only else "whole") if ceiling.coat else "none"
    return ("whole" if whole else "part") if any(walls) else "none", over


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
    behind = run_together(face.behind)
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


def answered(state: State, job: Job, walls: Sequence[Unknown], cls: BehindClass) -> Job:
    """The job with what lies behind these walls said; where outside walls are coated by a rule, those walls
    are coated by it anew."""
    for wall in walls:
        job = edits.answer_behind(job, wall.room, wall.side, wall.stretches, cls)
    rule = rule_of(state)
    return job if rule is None else recoated(job, rule, {str(wall.room) for wall in walls})


def run_answered(state: State, job: Job, run: Run, cls: BehindClass) -> Job:
    """The job with what stands beyond a run of the outline said, and the coat after it as in ``answered``.
    Raises InputError where the walls that look at it are gone."""
    job = edits.answer_walls(job, run.stretches(), cls)
    rule = rule_of(state)
    return job if rule is None else recoated(job, rule, {str(wall.room) for wall in run.walls})
