"""Walls of which nobody knows what lies behind them, and what follows from an answer."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import msgspec

from takeoff.measure.takeoff import BehindStretch, Face
from takeoff.plan import edits
from takeoff.plan.model import BehindClass, Job, RoomId, SideId
from takeoff.sheets.wall_names import wall_names
from takeoff.views.board import State
from takeoff.views.cards import labels
from takeoff.views.coats import OUTSIDE, outside_sides, rule_of

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
