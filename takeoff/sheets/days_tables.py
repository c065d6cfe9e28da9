"""What the programme of a job says, as tables that every writer shares: its days, what they mean for each room, what a
crew closes in one go, and the water that dries out.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import NamedTuple

from takeoff.language import date_text, listed, tr, tr_count
from takeoff.programme.closing import FaceClosed, Pace, RoomClosed, widest_m
from takeoff.programme.held import HeldRoom
from takeoff.programme.list_schedule import Programme
from takeoff.programme.room_days import RoomDays
from takeoff.programme.water import WaterOut
from takeoff.sheets.sheet_values import EVERYBODY, Cell, Column, Line, RowKind, Table
from takeoff.units.printing import printed, shown, shown_short

_LONGEST_H = 24 * 365
"""Airing that would take longer than a year carries nothing out that anybody could wait for."""


def days_table(programme: Programme, dated: bool) -> Table:
    """Every day with what is done in which room from when to when, and the bound that no other order beats; who does
    it, where there are several crews. What follows on in one room without a break stands in one row, two by two."""
    rows: list[tuple[Cell, ...]] = []
    kinds: list[RowKind] = []
    crews = len({planned.activity.crew for planned in programme.planned}) > 1
    day = None
    for start, end, room, work, crew in _runs(programme):
        if start.date() != day:
            day = start.date()
            rows.append((day_words(day, programme, dated), *([""] * (4 if crews else 3))))
            kinds.append("group")
        rows.append((room, "; ".join(work), f"{start:%H:%M}", f"{end:%H:%M}", *([crew] if crews else [])))
        kinds.append("line")
    return Table(
        id="days",
        title=tr("Programme"),
        columns=(
            Column(tr("Room"), share=1.6),
            Column(tr("Work"), share=2.6),
            Column(tr("From"), kind="text", share=0.7),
            Column(tr("To"), kind="text", share=0.7),
            *([Column(tr("Crew"), share=1.0)] if crews else []),
        ),
        rows=tuple(rows),
        kinds=tuple(kinds),
        note=_bound_note(programme, dated),
        empty=tr("There is nothing to do."),
    )


class _Run(NamedTuple):
    """What one crew does in one room without a break."""

    start: datetime
    end: datetime
    room: str
    work: tuple[str, ...]
    crew: str


_MOST_TOGETHER = 2
"""So many works stand in one row: more would not fit beside the hours."""


def _runs(programme: Programme) -> list[_Run]:
    """The work of each day in the order in which it begins; pieces that follow on in one room are one run."""
    pieces = [(start, end, planned.activity) for planned in programme.planned for start, end in planned.parts]
    open_runs: dict[tuple[str, str, datetime], int] = {}
    runs: list[_Run] = []
    for start, end, activity in sorted(pieces, key=lambda piece: (piece[0], piece[2].id)):
        before = open_runs.pop((activity.chain, activity.crew, start), None)
        if before is None or len(runs[before].work) == _MOST_TOGETHER:
            before = len(runs)
            runs.append(_Run(start, end, activity.room, (activity.what,), activity.crew))
        else:
            run = runs[before]
            runs[before] = run._replace(end=end, work=(*run.work, activity.what))
        open_runs[activity.chain, activity.crew, end] = before
    return runs


def day_words(day: date, programme: Programme, dated: bool) -> str:
    """ "20 May 2031", or "Day 3" of a programme without dates."""
    if dated:
        return date_text(day)
    return tr("Day {number}", number=(day - programme.begins.date()).days + 1)


def moment_words(moment: datetime, programme: Programme, dated: bool) -> str:
    """ "20 May 2031, 11:30"."""
    return f"{day_words(moment.date(), programme, dated)}, {moment:%H:%M}"


def _bound_note(programme: Programme, dated: bool) -> str:
    if not programme.planned:
        return ""
    visits = tr_count("{count} visit", "{count} visits", programme.visits)
    if programme.proved:
        return tr("{visits}; no other order of the rooms ends earlier.", visits=visits)
    if not dated:
        day = (programme.bound.date() - programme.begins.date()).days + 1
        return tr("{visits}; no order of the rooms can end before day {day}.", visits=visits, day=day)
    when = f"{date_text(programme.bound.date())}, {programme.bound:%H:%M}"
    return tr("{visits}; no order of the rooms can end before {when}.", visits=visits, when=when)


def room_days_table(rooms: Sequence[RoomDays], programme: Programme, dated: bool) -> Table:
    """When each room is begun, given back and may be decorated; in which nights a lived-in room is out of use. On
    paper the bars say so with a column at the end of each row."""
    lived = any(room.lived_in for room in rooms)
    rows = tuple(
        (
            room.room,
            day_words(room.begins.date(), programme, dated),
            moment_words(room.given_back, programme, dated),
            day_words(first_whole_day(room.decorate), programme, dated),
            *([_nights(room, programme, dated)] if lived else []),
        )
        for room in rooms
    )
    return Table(
        id="room-days",
        title=tr("Room by room"),
        columns=(
            Column(tr("Room"), share=1.6),
            Column(tr("Begun"), share=1.2),
            Column(tr("Given back"), share=1.6),
            Column(tr("Decorate from"), share=1.2),
            *([Column(tr("Nights out of use"), share=1.8)] if lived else []),
        ),
        rows=rows,
        note=days_note(rooms),
        empty=tr("There is nothing to do."),
        audience=EVERYBODY,
        papers=(),
    )


def days_note(rooms: Sequence[RoomDays]) -> str:
    """By what air the drying is reckoned, and what a room that is lived in cannot be used for."""
    note = tr("Drying by the clock at 20 °C and 50 %; colder or damper air takes longer.")
    if not any(room.lived_in for room in rooms):
        return note
    night = tr("A room that is lived in is out of use in the nights in which it stands wet.")
    return f"{note} {night}"


def first_whole_day(moment: datetime) -> date:
    """The first whole working morning at or after a moment: the day itself, or the next where it is past eight."""
    return moment.date() if moment.hour < 8 else date.fromordinal(moment.toordinal() + 1)


def _nights(room: RoomDays, programme: Programme, dated: bool) -> str:
    if not room.lived_in:
        return tr("not lived in")
    return listed([day_words(night, programme, dated) for night in room.nights]) or tr("none")


def held_lines(held: Sequence[HeldRoom], programme: Programme, dated: bool, reasons: bool = True) -> tuple[Line, ...]:
    """One line for each work that waits for holds: of which rooms, and by when the holds must be cleared. Of many rooms
    the first stands for all: its day is the one to keep. ``reasons``: they are said too, where nothing else does."""
    together: dict[tuple[str, tuple[str, ...]], list[HeldRoom]] = {}
    for one in sorted(held, key=lambda one: one.before):
        why = tuple(dict.fromkeys(one.reasons))[:_MOST_REASONS] if reasons else ()
        together.setdefault((one.what, why), []).append(one)
    return tuple(
        Line(tr("Waits for a hold"), f"{_waiting(own, programme, dated)} {' '.join(why)}".strip(), urgent=True)
        for (_, why), own in together.items()
    )


def _waiting(own: Sequence[HeldRoom], programme: Programme, dated: bool) -> str:
    first, rooms = own[0], list(dict.fromkeys(one.room for one in own))
    facts = {"work": first.what, "when": moment_words(first.before, programme, dated)}
    if len(rooms) > _MOST_NAMED:
        return tr(
            "{count} rooms, {first} first: {work} waits until the holds are cleared, by {when} for these days to "
            "stand.",
            count=len(rooms),
            first=rooms[0],
            **facts,
        )
    return tr(
        "{rooms}: {work} waits until its holds are cleared, by {when} for these days to stand.",
        rooms=listed(rooms),
        **facts,
    )


_MOST_NAMED = 4
"""More rooms than these are counted and not named."""
_MOST_REASONS = 2


def closing_table(
    rooms: Sequence[RoomClosed],
    pace: Pace,
    people: int,
    names: Mapping[str, str],
    letters: Mapping[tuple[str, str], str],
) -> Table:
    """What one person and the crew close in one go, room by room, and the walls that are too wide for that with the
    people they take. ``letters``: walls by (room, side)."""

    def walls(faces: Sequence[FaceClosed]) -> str:
        texts = [
            tr(
                "{wall} {width} m: {people}",
                wall=letters.get((face.room, face.face), face.face),
                width=shown(face.width_m),
                people=face.people,
            )
            for face in faces
        ]
        return "; ".join(texts) or tr("none")

    rows = tuple(
        (
            names.get(room.room, room.room),
            printed(max(face.height_m for face in room.faces)),
            printed(widest_m(room.faces, 1)),
            printed(widest_m(room.faces, people)),
            walls(room.too_wide(people)),
        )
        for room in rooms
    )
    return Table(
        id="closing",
        title=tr("What is closed in one go"),
        columns=(
            Column(tr("Room"), share=1.4),
            Column(tr("Height"), "m", "figure"),
            Column(tr("One person"), "m", "figure"),
            Column(tr("The crew"), "m", "figure"),
            Column(tr("Walls too wide, with the people they take"), share=3.0),
        ),
        rows=rows,
        note=_closing_note(rooms, pace, people),
        empty=tr("No wall is coated."),
    )


def _closing_note(rooms: Sequence[RoomClosed], pace: Pace, people: int) -> str:
    facts = {"rate": shown_short(pace.rate_m2_h), "minutes": shown_short(pace.working_min, 0)}
    said = tr("{rate} m²/h for {minutes} minutes.", **facts)
    if pace.usual:
        said = tr("{rate} m²/h for {minutes} minutes, as usual: set your own.", **facts)
    stop = tr("Stop the day only in a corner or at an edge of coat.")
    wide = sum(len(room.too_wide(people)) for room in rooms)
    if not wide:
        return f"{said} {stop}"
    of = tr_count(
        "{count} wall is too wide for the crew: bring the people it takes, or plan an edge of coat in it.",
        "{count} walls are too wide for the crew: bring the people they take, or plan an edge of coat in them.",
        wide,
    )
    return f"{said} {of} {stop}"


def closing_words(face: FaceClosed, people: int) -> str:
    """What a crew closes of one wall, as its card says it."""
    one = shown(face.one_m)
    if face.people <= people:
        return tr_count(
            "{count} person closes it in one go; one closes {one} m.",
            "{count} people close it in one go; one closes {one} m.",
            face.people,
            one=one,
        )
    return tr(
        "Too wide for a crew of {crew}: it takes {people}; one closes {one} m. Plan an edge of coat in it.",
        crew=people,
        people=face.people,
        one=one,
    )


def water_lines(water: WaterOut | None, hire: Sequence[str] = ()) -> tuple[Line, ...]:
    """The water that dries out, by airing and by a dehumidifier; ``hire``: what the price hires, in words. Nothing
    where the system does not say how much its coat holds."""
    if water is None:
        return ()
    litres = tr("Some {litres} L of water dry out of {coat} L of coat.", **_litres(water))
    return (Line(label=tr("Water to dry out"), text=f"{litres} {_airing(water)} {_dryer(water, hire)}".strip()),)


def _litres(water: WaterOut) -> dict[str, str]:
    return {"litres": shown(water.litres, 0), "coat": shown(water.coat_l, 0)}


def _airing(water: WaterOut) -> str:
    air = water.airing
    facts = {
        "inside": f"{shown_short(air.inside_c, 1)} °C/{shown_short(air.inside_percent, 0)} %",
        "outside": f"{shown_short(air.outside_c, 1)} °C/{shown_short(air.outside_percent, 0)} %",
    }
    if not math.isfinite(water.out.hours) or water.out.hours > _LONGEST_H:
        return tr("At {inside} inside and {outside} outside airing carries none of it out.", **facts)
    return tr(
        "At {inside} inside and {outside} outside, airing {volume} m³ {changes} times an hour carries {litres} L/h: "
        "some {hours} h.",
        volume=shown(water.volume_m3, 0),
        changes=shown_short(air.changes_h),
        litres=shown(water.out.litres_h),
        hours=shown(water.out.hours, 0),
        **facts,
    )


def _dryer(water: WaterOut, hire: Sequence[str]) -> str:
    said = ""
    if water.dryer_days:
        said = tr_count(
            "The dehumidifier is hired for {count} day.",
            "The dehumidifier is hired for {count} days.",
            water.dryer_days,
        )
    if hire:
        priced = tr("Hire in the price: {lines}.", lines=listed(list(hire)))
        return f"{said} {priced}".strip()
    return said
