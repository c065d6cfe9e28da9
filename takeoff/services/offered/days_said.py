"""What the programme of a measured job says: its tables, lines and bar chart, for command, sheets and window alike."""

from __future__ import annotations

from datetime import datetime

import msgspec

from takeoff.language import listed, tr
from takeoff.plan.model import SideId
from takeoff.plan.programme_terms import ProgrammeTerms
from takeoff.plan.wall_letters import wall_letters
from takeoff.programme.closing import pace_of, rooms_closed
from takeoff.services.measured.job_result import Measured
from takeoff.services.offered.offering import Planned, most_together, programme_of, water_of
from takeoff.sheets.bar_chart import programme_chart
from takeoff.sheets.days_tables import (
    closing_table,
    closing_words,
    days_table,
    held_lines,
    room_days_table,
    water_lines,
)
from takeoff.sheets.sheet_values import BarChart, Line, Table


class DaysSaid(msgspec.Struct, frozen=True):
    """``rooms`` and ``chart`` are for everybody, ``days`` and ``closing`` for the team; ``lines``: what waits for a
    hold, urgent, and the water that dries out."""

    planned: Planned
    days: Table
    rooms: Table
    closing: Table
    lines: tuple[Line, ...]
    chart: BarChart


def days_said(measured: Measured, now: datetime | None = None, reasons: bool = True) -> DaysSaid:
    """All of it; ``reasons``: of holds too, for readers who have no list of them. Raises InputError for terms by which
    nobody can work."""
    planned = programme_of(measured, now)
    programme, dated = planned.programme, planned.dated
    return DaysSaid(
        planned,
        days_table(programme, dated),
        room_days_table(planned.rooms, programme, dated),
        closing_said(measured),
        (*held_lines(planned.held, programme, dated, reasons), *water_lines(water_of(measured), _hired(measured))),
        programme_chart(planned.rooms, programme, planned.calendar, dated),
    )


def closing_said(measured: Measured) -> Table:
    """What one person and the crew that coats close in one go."""
    job = measured.job
    pace = pace_of(job.programme)
    rooms = [room for storey in job.storeys for room in storey.rooms]
    letters = {(str(room.id), side): letter for room in rooms for side, letter in wall_letters(room).items()}
    names = {str(room.id): room.title for room in rooms}
    return closing_table(rooms_closed(measured.takeoff, pace), pace, most_together(job.programme), names, letters)


def card_closing(measured: Measured) -> dict[str, Line]:
    """What the crew closes in one go in each room, by room id: wall by wall where walls are too wide for it, else what
    one person closes. Nothing for a job whose crew and pace nobody has set."""
    job = measured.job
    if job.programme == ProgrammeTerms():
        return {}
    people = most_together(job.programme)
    letters = {str(r.id): wall_letters(r) for storey in job.storeys for r in storey.rooms}
    found = {}
    for room in rooms_closed(measured.takeoff, pace_of(job.programme)):
        said: dict[str, list[str]] = {}
        for face in room.too_wide(people):
            said.setdefault(closing_words(face, people), []).append(
                letters[room.room].get(SideId(face.face), face.face)
            )
        parts = [f"{listed(walls)}: {words}" for words, walls in said.items()]
        text = " ".join(parts) or closing_words(room.faces[0], people)
        found[room.room] = Line(tr("In one go"), text)
    return found


def _hired(measured: Measured) -> tuple[str, ...]:
    """What the price hires by the day, in the contractor's own words."""
    return tuple(extra.what for extra in measured.job.price.extras if extra.unit in _BY_THE_DAY)


_BY_THE_DAY = ("day", "days", "d", "Tag", "Tage")
