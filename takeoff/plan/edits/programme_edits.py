"""Edits of the terms of a programme, from what is typed."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from datetime import time

import msgspec

from takeoff.errors import InputError
from takeoff.language import listed, tr
from takeoff.plan.model import Job
from takeoff.plan.price_terms import WORK_ITEMS, WorkItem
from takeoff.plan.programme_terms import TEAM, Airing, Crew, ProgrammeTerms
from takeoff.plan.typed_days import typed_day

MOST_PEOPLE = 50
"""A larger crew than that coats no house (common practice, no source)."""


def with_programme(job: Job, typed: Mapping[str, str]) -> Job:
    """The job with those of its programme's terms as typed; the job itself where they are what it has.

    "start", "people", "together", "begins", "ends", "country", "holds_until", "rate" (m² an hour), "working" (minutes),
    "inside" and "outside" ("20/60": °C and per cent), "changes" an hour, "dryer" (litres a day). Raises InputError for
    a day, an hour or a number that is none; whether a country is known, the programme says.
    """
    terms = job.programme
    for name, text in typed.items():
        terms = msgspec.structs.replace(terms, **_fields(name, text.strip(), terms))
    return _with(job, terms)


def set_crews(job: Job, crews: Sequence[Crew]) -> Job:
    """The crews beside the team. Raises InputError for one without a name, people or work, for two of one name, and
    for work that two do."""
    taken: dict[WorkItem, str] = {}
    names: set[str] = {TEAM}
    for crew in crews:
        if not crew.name.strip():
            raise InputError(tr("A crew needs a name."))
        if crew.name in names:
            raise InputError(tr("Two crews are called “{crew}”: give each a name of its own.", crew=crew.name))
        names.add(crew.name)
        if not 1 <= crew.people <= MOST_PEOPLE:
            raise InputError(tr("A crew has 1 to {most} people.", most=MOST_PEOPLE))
        if not crew.works:
            raise InputError(tr("“{crew}” does nothing: say what work is theirs.", crew=crew.name))
        for item in crew.works:
            if item in taken:
                text = tr(
                    "“{work}” is done by {first} and by {second}: take it out of one.",
                    work=item,
                    first=taken[item],
                    second=crew.name,
                )
                raise InputError(text)
            taken[item] = crew.name
    return _with(job, msgspec.structs.replace(job.programme, crews=tuple(crews)))


def add_crew(job: Job, name: str, people: str, works: Sequence[WorkItem]) -> Job:
    """The job with one more crew beside the team, the job itself where that very crew is there; ``people`` as typed.
    Raises InputError as ``set_crews`` does, and for a number that is none."""
    if not people.isdecimal():
        raise InputError(tr("A crew has 1 to {most} people.", most=MOST_PEOPLE))
    crew = Crew(name=name.strip(), people=int(people), works=tuple(works))
    return job if crew in job.programme.crews else set_crews(job, (*job.programme.crews, crew))


def set_crews_typed(job: Job, typed: Sequence[str]) -> Job:
    """Crews as typed, "Sanders:2=sand,finish" each; "" for none. Raises InputError for what cannot be read so."""
    return set_crews(job, [_crew(text) for text in typed if text.strip()])


def set_lived_in(job: Job, rooms: Collection[str]) -> Job:
    """The rooms that people live in, by id, and that are given back by night. Raises InputError for a room that the
    job does not have."""
    known = [str(room.id) for storey in job.storeys for room in storey.rooms]
    if any(room not in known for room in rooms):
        raise InputError(tr("That room is not there any more."))
    return _with(job, msgspec.structs.replace(job.programme, lived_in=tuple(one for one in known if one in rooms)))


def set_lived_in_named(job: Job, names: Sequence[str]) -> Job:
    """As ``set_lived_in``, by what rooms are called or their ids; rooms of one name together."""
    rooms = [room for storey in job.storeys for room in storey.rooms]
    titles = {str(room.id): room.title for room in rooms}
    called = {str(room.id): {str(room.id), room.title, room.name, room.number} for room in rooms}
    found: list[str] = []
    for name in names:
        fitting = [one for one, own in called.items() if name.strip().casefold() in {text.casefold() for text in own}]
        if not fitting:
            known = listed(list(dict.fromkeys(titles.values())))
            raise InputError(tr("No room is called “{name}”: use {rooms}.", name=name, rooms=known))
        found += fitting
    return set_lived_in(job, found)


def air_text(degrees: float, percent: float) -> str:
    """Air as it is typed: "20/60"."""
    return f"{degrees:g}/{percent:g}"


def _with(job: Job, terms: ProgrammeTerms) -> Job:
    return job if terms == job.programme else msgspec.structs.replace(job, programme=terms)


def _crew(text: str) -> Crew:
    name, sign, works = text.partition("=")
    name, _, people = name.partition(":")
    items = [word.strip() for word in works.split(",") if word.strip()]
    found = [item for item in WORK_ITEMS if item in items]
    wrong = next((item for item in items if item not in WORK_ITEMS), "")
    if wrong:
        known = ", ".join(WORK_ITEMS)
        raise InputError(tr("“{work}” is no work of a programme: use {known}.", work=wrong, known=known))
    if not sign or (people.strip() and not people.strip().isdecimal()):
        example = "Sanders:2=sand,finish"
        raise InputError(tr("“{text}” is no crew: write it as {example}.", text=text, example=example))
    return Crew(name=name.strip(), people=int(people.strip() or 1), works=tuple(found))


def _fields(name: str, text: str, terms: ProgrammeTerms) -> dict[str, object]:
    if name in ("start", "holds_until"):
        if text:
            typed_day(text)
        return {name: text}
    if name in ("begins", "ends"):
        return _hours(name, text, terms)
    if name in ("people", "together"):
        if text.isdecimal() and not int(text):
            raise InputError(tr("Nobody is in the crew: a crew has 1 to {most} people.", most=MOST_PEOPLE))
        if not text.isdecimal() or int(text) > MOST_PEOPLE:
            raise InputError(tr("A crew has 1 to {most} people.", most=MOST_PEOPLE))
        return {name: int(text)}
    if name == "country":
        country, _, part = text.upper().partition("-")
        return {"country": country, "part": part}
    if name in _AMOUNTS:
        field, most = _AMOUNTS[name]
        return {field: _amount(text, most)}
    return {"airing": _aired(name, text, terms.airing)}


_AMOUNTS = {"rate": ("rate_m2_h", 1000.0), "working": ("working_min", 10_000.0), "dryer": ("dryer_l_day", 10_000.0)}
"""Fields that are a number, and the most that it can be; nothing typed is 0: as usual, or none."""


def _hours(name: str, text: str, terms: ProgrammeTerms) -> dict[str, object]:
    if not _is_hour(text):
        raise InputError(tr("“{text}” is not an hour: write it as 08:00.", text=text))
    hours = {"begins": terms.begins, "ends": terms.ends, name: text}
    if time.fromisoformat(hours["begins"]) >= time.fromisoformat(hours["ends"]):
        raise InputError(tr("A working day ends after it begins: set its hours."))
    return {name: text}


def _amount(text: str, most: float) -> float:
    value = _number(text) if text else 0.0
    if value is None or not 0 <= value <= most:
        raise InputError(tr("“{text}” is not a number from 0 to {most}.", text=text, most=f"{most:g}"))
    return value


def _aired(name: str, text: str, airing: Airing) -> Airing:
    if name == "changes":
        return msgspec.structs.replace(airing, changes_h=_amount(text, 100.0) if text else Airing().changes_h)
    if not text:
        usual = Airing()
        own = {f"{name}_c": getattr(usual, f"{name}_c"), f"{name}_percent": getattr(usual, f"{name}_percent")}
        return msgspec.structs.replace(airing, **own)
    degrees, _, percent = text.partition("/")
    warm, damp = _number(degrees.strip().removesuffix("°C")), _number(percent.strip().removesuffix("%"))
    if warm is None or damp is None or not -50 <= warm <= 60 or not 0 < damp <= 100:
        raise InputError(tr("“{text}” is not air: write °C and per cent as 20/60.", text=text))
    return msgspec.structs.replace(airing, **{f"{name}_c": warm, f"{name}_percent": damp})


def _number(text: str) -> float | None:
    try:
        value = float(text.strip().replace(",", "."))
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def _is_hour(text: str) -> bool:
    try:
        time.fromisoformat(text)
    except ValueError:
        return False
    return True
