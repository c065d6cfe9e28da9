"""What the command says of the coat: what stands beyond the outline and above ceilings, and what is coated."""

from __future__ import annotations

from typing import Literal, TypeVar, get_args

import msgspec

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.measure import measure
from takeoff.measure.outline_runs import Run, outline_runs
from takeoff.measure.outside_rule import OutsideRule, coat_by, outside_walls, recoated, rule_of
from takeoff.plan import edits
from takeoff.plan.check import check
from takeoff.plan.edits.coat_edits import Bead
from takeoff.plan.edits.custom_edits import Custom
from takeoff.plan.model import AboveClass, BehindClass, Job, RoomId, StairAnswer
from takeoff.plan.option_records import CoatOption, OptionWay
from takeoff.plan.storeys_above import stair_of
from takeoff.services.offered.treatment_options import coated_by_option
from takeoff.services.opened.opening import Opened
from takeoff.supply.systems import of_job

BEYOND: tuple[BehindClass, ...] = ("outside", "unheated", "heated", "neighbour")
ABOVE: tuple[AboveClass, ...] = tuple(cls for cls in get_args(AboveClass) if cls != "unknown")
STAIRS: tuple[StairAnswer, ...] = get_args(StairAnswer)

T = TypeVar("T", bound=str)

Answers = tuple[tuple[str, str], ...]
"""(what it is said of, the answer)"""


class CoatSaid(msgspec.Struct, frozen=True):
    """``beyond``: runs of outlines, "left" or "Ground floor: left"; ``above``: storeys or rooms, "" for all.
    ``stairs``: rooms with a stair, and what their ceilings do above it. ``rule``: coat outside walls
    by it; ``under_roof``: of the ceilings only those under a roof. ``customs``: what stays on everywhere and how high
    or wide, 0 for off; ``arrises``: what they get.
    ``substrates``: of "walls", "ceilings", or the walls of a storey or room. ``whole``: coat all *walls*, no ceiling,
    or *all* of both."""

    beyond: Answers = ()
    above: Answers = ()
    stairs: Answers = ()
    rule: OutsideRule | None = None
    under_roof: bool = False
    customs: tuple[tuple[Custom, float], ...] = ()
    arrises: Bead | None = None
    substrates: Answers = ()
    whole: Literal["", "walls", "all"] = ""


def coated_as_said(opened: Opened, said: CoatSaid) -> Opened:
    """The opened job with what was said, and its check made anew. Where outside walls are coated by a rule
    already, what is said of runs changes the coat. Raises InputError for a run, storey or room that is not
    there, and for an answer that is none."""
    if said == CoatSaid():
        return opened
    before = job = opened.job
    known = rule_of(job, outside_walls(measure(job).rooms)) if said.beyond and said.rule is None else None
    for name, answer in said.beyond:
        for run in _runs_called(job, name):
            job = edits.answer_walls(job, run.stretches(), _one_of(BEYOND, answer))
    for name, answer in said.above:
        job = edits.answer_above(job, _rooms_called(job, name), _one_of(ABOVE, answer))
    for name, answer in said.stairs:
        for room in _stairs_called(job, name):
            job = edits.answer_stair(job, room, _one_of(STAIRS, answer))
    for custom, mm in said.customs:
        job = edits.set_custom(job, custom, mm)
    if said.arrises is not None:
        job = edits.set_bead_default(job, said.arrises)
    for name, substrate in said.substrates:
        job = _on_substrate(job, name, substrate)
    if said.whole:
        way: OptionWay = "walls" if said.whole == "walls" else "walls-ceilings"
        job = coated_by_option(job, CoatOption(id="", way=way))
    if said.rule is not None:
        job = coat_by(job, said.rule, outside_walls(measure(job).rooms))
    elif known is not None:
        job = recoated(job, known, {str(room.id) for storey in job.storeys for room in storey.rooms})
    if said.under_roof:
        job = edits.coat_ceilings_under_roof(job)
    gone = set(check(before))
    kept = tuple(finding for finding in opened.findings if finding not in gone)
    return msgspec.structs.replace(opened, job=job, findings=(*kept, *check(job)))


def _on_substrate(job: Job, name: str, said: str) -> Job:
    """The job with what walls, ceilings, or the walls of a storey or room are of. Raises InputError for a substrate
    that its coating system does not know."""
    known = {_plain(word): one.id for one in of_job(job).substrates for word in (one.id, one.name)}
    key = known.get(_plain(said))
    if key is None:
        there = ", ".join(one.id for one in of_job(job).substrates)
        raise InputError(
            tr("The coating system knows no substrate “{text}”: use one of {known}.", text=said, known=there)
        )
    if _plain(name) in ("walls", ""):
        return edits.set_job_substrates(job, walls=key)
    if _plain(name) == "ceilings":
        return edits.set_job_substrates(job, ceilings=key)
    return edits.set_room_substrates(job, _rooms_called(job, name), walls=key)


def _runs_called(job: Job, name: str) -> list[Run]:
    """The runs of that name, on every storey that has one, or on the one that is named before a colon."""
    wanted = _plain(name)
    titles = {str(storey.id): _plain(storey.title) for storey in job.storeys}
    runs = outline_runs(job)
    found = [
        run
        for run in runs
        if wanted in {run.name, run.called, f"{titles[run.storey]}: {run.name}", f"{titles[run.storey]}: {run.called}"}
    ]
    if not found:
        names = ", ".join(dict.fromkeys(run.name for run in runs))
        if not names:
            raise InputError(tr("No wall is on an outline, so “{name}” changed nothing.", name=name))
        raise InputError(
            tr("The outline has no run “{name}”, so nothing was changed: use {runs}.", name=name, runs=names)
        )
    return found


def _rooms_called(job: Job, name: str) -> list[RoomId]:
    """The rooms of that name, or all of the storey of that name; every room for ""."""
    wanted = _plain(name)
    found = [
        room.id
        for storey in job.storeys
        for room in storey.rooms
        if wanted in ("", _plain(storey.title), _plain(room.title), _plain(room.name), _plain(room.number))
    ]
    if not found:
        raise InputError(tr("The job has no storey and no room “{name}”: use one that it has.", name=name))
    return found


def _stairs_called(job: Job, name: str) -> list[RoomId]:
    """The rooms of that name, or of the storey of that name, that have a stair; all of them for ""."""
    called = _rooms_called(job, name)
    with_stair = {room.id for storey in job.storeys for room in storey.rooms if stair_of(room) is not None}
    found = [room for room in called if room in with_stair]
    if not found:
        raise InputError(tr("No stair was seen in “{name}”, so nothing was changed.", name=name))
    return found


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())


def _one_of(known: tuple[T, ...], answer: str) -> T:
    wanted = _plain(answer)
    for one in known:
        if one == wanted:
            return one
    raise InputError(tr("“{answer}” is not an answer: use one of {known}.", answer=answer, known=", ".join(known)))
