"""Commands of the site: readings and answers are entered, holds are told and cleared, items of rooms are counted."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

import click

from takeoff.language import tr
from takeoff.plan.counted_items import HANDLED, ITEM_KINDS, USUAL_WHO, WHO
from takeoff.plan.site_check import FACES, LOOKED, QUANTITIES, STAGES

if TYPE_CHECKING:
    from collections.abc import Iterable

    from takeoff.plan.model import Job, Room

FILE = click.Path(path_type=Path)


@click.command(
    help=tr(
        "Say what holds a job up at its stage: readings that fail, are missing or too old, and what was seen. "
        "Readings, answers and limits that are given are saved in the job file first."
    )
)
@click.argument("file", type=FILE)
@click.option(
    "--stage", type=click.Choice(STAGES), help=tr("What is about to be done; the job's own stage without it.")
)
@click.option("--now", metavar="2031-05-20T08:00", help=tr("The moment to judge by; now without it."))
@click.option(
    "--read", "read", multiple=True, metavar="WHAT=VALUE", help=tr("A reading: {known}.", known=", ".join(QUANTITIES))
)
@click.option(
    "--look", "look", multiple=True, metavar="WHAT=yes|no", help=tr("What was seen: {known}.", known=", ".join(LOOKED))
)
@click.option("--room", metavar="NAME", help=tr("Which room it is of; the whole job without it."))
@click.option("--face", type=click.Choice(FACES[1:]), help=tr("What was seen is on these surfaces alone."))
@click.option("--place", default="", metavar="TEXT", help=tr("Where in the room: the coldest reveal or corner."))
@click.option("--instrument", default="", metavar="TEXT", help=tr("What it was measured with."))
@click.option("--scale", default="", metavar="TEXT", help=tr("Scale of the moisture meter."))
@click.option("--person", default="", metavar="NAME", help=tr("Who measured or looked, and who clears a hold."))
@click.option("--at", metavar="2031-05-20T07:40", help=tr("When; now without it."))
@click.option(
    "--clear", "clear", multiple=True, metavar="WHAT", help=tr("Clear the holds of that by name: dew, textured, gap …")
)
@click.option("--because", default="", metavar="TEXT", help=tr("What was done about a hold that is cleared."))
@click.option(
    "--limit", "limits", multiple=True, metavar="WHAT=LOW:HIGH", help=tr("A limit of this job: surface=12:, gap=:3.")
)
@click.option(
    "--moisture-limit", "moisture", multiple=True, metavar="SCALE=MOST", help=tr("Highest moisture on a scale.")
)
def holds(file: Path, stage: str | None, now: str | None, **given: Any) -> int:
    """What holds a job up. Ends with 1 while anything does."""
    from takeoff.cli.summary import print_holds
    from takeoff.services.measured.job_result import measure_job
    from takeoff.services.opened.job_store import change_job
    from takeoff.services.opened.opening import open_file
    from takeoff.sheets.offer_tables import hold_table
    from takeoff.sitecheck.holds import holds as found_in

    when = _moment(now) if now else datetime.datetime.now().replace(second=0, microsecond=0)
    entered = any(given[name] for name in ("read", "look", "clear", "limits", "moisture"))
    if entered:
        job = change_job(file, lambda old: _entered(old, when, stage, given))
        click.echo(tr("Saved: {file}", file=file))
    else:
        job = _at_stage(measure_job(open_file(file)).job, stage)
    found = found_in(job, when)
    names = {str(room.id): room.title for storey in job.storeys for room in storey.rooms}
    print_holds(hold_table(found, names))
    return 1 if any(hold.state == "hold" for hold in found) else 0


def _at_stage(job: Job, stage: str | None) -> Job:
    from takeoff.plan.edits import set_stage

    return set_stage(job, stage) if stage else job  # type: ignore[arg-type]


def _entered(job: Job, now: datetime.datetime, stage: str | None, given: dict[str, Any]) -> Job:
    """The job with what was typed: its stage, limits, readings, answers and holds that are cleared."""
    from takeoff.plan import edits
    from takeoff.plan.site_check import ConditionReading, Quantity, Tick

    job = _at_stage(job, stage)
    room = str(_room(job, given["room"]).id) if given["room"] else None
    at = given["at"] or now.isoformat(timespec="minutes")
    for what, text in _pairs(given["limits"]):
        low, _, high = text.partition(":")
        job = edits.set_limit(job, what, _figure(low), _figure(high))
    for scale, text in _pairs(given["moisture"]):
        job = edits.set_moisture_limit(job, scale, _figure(text))
    common: dict[str, Any] = {
        "stage": job.site_check.stage, "at": at, "room": room, "place": given["place"], "person": given["person"],
    }  # fmt: skip
    for what, text in _pairs(given["read"]):
        value = _figure(text)
        if value is None:
            raise _refused(tr("“{text}” is not a reading: type a number such as 14.5.", text=text))
        scale = given["scale"] if what == "moisture" else ""
        reading = ConditionReading(
            quantity=cast(Quantity, what), value=value, instrument=given["instrument"], scale=scale, **common
        )
        job = edits.add_reading(job, reading, now)
    for what, text in _pairs(given["look"]):
        if text not in ("yes", "no"):
            raise _refused(tr("“{text}” is no answer: use yes or no.", text=text))
        tick = Tick(what=what, answer=text, face=given["face"] or "", **common)  # type: ignore[arg-type]
        job = edits.answer_look(job, tick, now)
    return _with_cleared(job, now, room, given)


def _with_cleared(job: Job, now: datetime.datetime, room: str | None, given: dict[str, Any]) -> Job:
    from takeoff.plan.edits import clear_hold
    from takeoff.sitecheck.holds import holds as found_in

    for what in given["clear"]:
        meant = [
            hold
            for hold in found_in(job, now)
            if what in hold.code.partition("-")[2] and room in (None, hold.room) and hold.state != "cleared"
        ]
        if not meant:
            raise _refused(tr("Nothing is held for “{what}” there.", what=what))
        for hold in meant:
            job = clear_hold(job, hold.id, given["person"], now.date().isoformat(), given["because"])
    return job


@click.command(help=tr("Count what is in the rooms besides the coat, and say who sees to it. Saved in the job file."))
@click.argument("file", type=FILE)
@click.option("--room", metavar="NAME", help=tr("Which room."))
@click.option(
    "--add",
    "add",
    multiple=True,
    metavar="WHAT=COUNT",
    help=tr("So many of a kind, 0 for none: {known}.", known=", ".join(ITEM_KINDS)),
)
@click.option("--who", type=click.Choice(WHO), help=tr("Who sees to it; who usually does without it."))
@click.option(
    "--done",
    type=click.Choice(("off-and-on", "stays", "kept-open")),
    help=tr("What is done: off before the coat and on again after it, left where it is, kept open."),
)
@click.option("--wall", metavar="LETTER", help=tr("On which wall of the room, by its letter."))
def items(
    file: Path, room: str | None, add: tuple[str, ...], who: str | None, done: str | None, wall: str | None
) -> int:
    """Count what is in the rooms besides the coat."""
    from takeoff.cli.summary import print_tables
    from takeoff.services.measured.job_result import measure_job
    from takeoff.services.opened.job_store import change_job
    from takeoff.services.opened.opening import open_file
    from takeoff.sheets.site_work_tables import bare_lines, counted_table

    def edit(job: Job) -> Job:
        for what, text in _pairs(add):
            job = _counted(job, room or "", what, text, who, done, wall)
        return job

    if add:
        if not room:
            raise click.UsageError(tr("Say which room: --room NAME."))
        change_job(file, edit)
        click.echo(tr("Saved: {file}", file=file))
    measured = measure_job(open_file(file))
    print_tables(counted_table(measured.job))
    for line in bare_lines(measured.job, measured.takeoff):
        click.echo(f"\n{line}")
    return 0


def _counted(job: Job, room: str, what: str, text: str, who: str | None, done: str | None, wall: str | None) -> Job:
    from takeoff.plan.counted_items import CountedItem
    from takeoff.plan.edits import count_items
    from takeoff.plan.wall_letters import wall_letters

    found = _room(job, room)
    kind = next((one for one in ITEM_KINDS if one in (what, f"{what}s", f"{what}es")), None)
    if kind is None:
        raise _refused(tr("“{what}” are not counted: use {known}.", what=what, known=", ".join(ITEM_KINDS)))
    if not text.isdecimal():
        raise _refused(tr("“{text}” is not a number of pieces: type one such as 2.", text=text))
    side = None
    if wall:
        side = next((str(key) for key, letter in wall_letters(found).items() if letter == wall.upper()), None)
        if side is None:
            raise _refused(tr("{room} has no wall {letter}.", room=found.title, letter=wall.upper()))
    item = CountedItem(
        kind=kind,
        count=int(text),
        done=done or HANDLED[kind][0],  # type: ignore[arg-type]
        who=who or USUAL_WHO[kind],  # type: ignore[arg-type]
        side=side,
    )
    return count_items(job, found.id, item)


def _pairs(typed: Iterable[str]) -> list[tuple[str, str]]:
    """ "surface=14.0" as its two parts. Raises InputError for what has no "="."""
    found = []
    for text in typed:
        name, equals, value = (part.strip() for part in text.partition("="))
        if not name or not equals:
            raise _refused(tr("“{text}” is not complete: type it as WHAT=VALUE.", text=text))
        found.append((name, value))
    return found


def _figure(text: str) -> float | None:
    if not text.strip():
        return None
    try:
        return float(text.strip().replace(",", "."))
    except ValueError:
        raise _refused(tr("“{text}” is not a reading: type a number such as 14.5.", text=text)) from None


def _moment(text: str) -> datetime.datetime:
    from takeoff.sitecheck.holds import moment

    try:
        return moment(text)
    except ValueError:
        raise click.UsageError(
            tr("“{now}” is not a date with a time: write it as 2031-05-20T08:00.", now=text)
        ) from None


def _room(job: Job, name: str) -> Room:
    """The room of that name, number, or both. Raises InputError where none or several are called so."""
    wanted = name.strip().casefold()
    rooms = [room for storey in job.storeys for room in storey.rooms]
    meant = [room for room in rooms if wanted in (room.title.casefold(), room.name.casefold(), room.number.casefold())]
    if len(meant) == 1:
        return meant[0]
    names = ", ".join(room.title for room in rooms)
    if meant:
        raise _refused(tr("Several rooms are called “{room}”: use {names}.", room=name, names=names))
    raise _refused(tr("No room is called “{room}”: use {names}.", room=name, names=names))


def _refused(sentence: str) -> Exception:
    from takeoff.errors import InputError

    return InputError(sentence)


SITE_COMMANDS = (holds, items)
