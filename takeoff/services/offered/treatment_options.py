"""Options of a job side by side: what each treatment coats, how long it takes and what it costs.

Each is measured, ordered, planned and priced as the job itself would be, so that the one that is taken gives the very
figures that stood in the table.
"""

from __future__ import annotations

import msgspec

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.measure.memory import measure
from takeoff.measure.outside_rule import OutsideRule, coat_by, outside_walls
from takeoff.plan import edits
from takeoff.plan.edits.option_edits import MOST_OPTIONS, coat_of, keep_coat, option_of, with_coat
from takeoff.plan.model import Job
from takeoff.plan.option_records import CoatOption
from takeoff.services.measured.job_result import Measured
from takeoff.services.offered.offering import days_taken, offer_of, programme_of
from takeoff.services.offered.priced_quantities import copies_of
from takeoff.sheets.offer_tables import OptionShown
from takeoff.sheets.printed_figures import room_figures, together
from takeoff.supply.lots import order_of
from takeoff.supply.systems import of_job
from takeoff.units.lengths import DEPTH, size_mm


class Compared(msgspec.Struct, frozen=True):
    """One option, and what is shown of it."""

    option: CoatOption
    shown: OptionShown


USUAL_OPTIONS = (
    CoatOption(id="o1", way="outside", return_mm=600.0, band_mm=0.0),
    CoatOption(id="o2", way="walls"),
    CoatOption(id="o3", way="walls-ceilings"),
)
"""What is set side by side in a job that has no options of its own."""


def option_name(option: CoatOption) -> str:
    """What an option is called: its name, else what it coats."""
    if option.name:
        return option.name
    if option.way == "outside":
        words = OutsideRule(option.return_mm, option.band_mm).words
        return words[:1].upper() + words[1:]
    if option.way == "walls":
        return tr("All walls")
    return tr("Walls and ceilings") if option.way == "walls-ceilings" else tr("As it was coated")


def option_typed(text: str) -> CoatOption:
    """The option that is typed: "outside 600", "outside 600 300" with a band of ceiling, "outside 600 ceilings",
    "walls" or "walls and ceilings"; a name before "=". Raises InputError for anything else."""
    name, equals, said = text.rpartition("=")
    if equals and not name.strip():
        raise InputError(_no_option(text))
    words = said.casefold().split()
    if words == ["walls"]:
        return _named(CoatOption(id="", name=name, way="walls"))
    if words in (["walls", "and", "ceilings"], ["walls-ceilings"]):
        return _named(CoatOption(id="", name=name, way="walls-ceilings"))
    if words[:1] == ["outside"] and len(words) <= _MOST_WORDS:
        lengths: list[float | None] = [600.0, 0.0]
        for k, word in enumerate(words[1:]):
            lengths[k] = None if k and word == "ceilings" else size_mm(word, DEPTH)
        return _named(CoatOption(id="", name=name, way="outside", return_mm=lengths[0] or 0.0, band_mm=lengths[1]))
    raise InputError(_no_option(text))


_MOST_WORDS = 3


def _no_option(text: str) -> str:
    return tr("“{text}” is not an option: type outside 600, walls, or walls and ceilings.", text=text.strip())


def _named(option: CoatOption) -> CoatOption:
    return msgspec.structs.replace(option, name=option.name.strip() or option_name(option))


def coated_by_option(job: Job, option: CoatOption) -> Job:
    """The job coated as an option says; everything else stays. The very same job where it is coated so already."""
    if option.way == "kept":
        return with_coat(job, option.rooms)
    rooms = [room for storey in job.storeys for room in storey.rooms]
    ids = [room.id for room in rooms]
    if option.way == "outside":
        new = coat_by(job, OutsideRule(option.return_mm, option.band_mm), outside_walls(measure(job).rooms))
        new = edits.coat_ceilings(new, ids, True) if option.band_mm is None else new
    else:
        new = edits.coat_sides(job, {room.id: edits.all_sides(room) for room in rooms}, True)
        new = edits.coat_ceilings(new, ids, option.way == "walls-ceilings")
    return job if coat_of(new) == coat_of(job) else new


def taken(job: Job, name: str) -> Job:
    """The job coated by that option (its id, number or name). Its coat as it was becomes an option itself, where none
    gives it and there is room for one. Raises InputError where there is no such option."""
    option = option_of(job, name)
    new = coated_by_option(job, option)
    if new is job:
        return job
    now = coat_of(job)
    if len(job.options) < MOST_OPTIONS and all(coat_of(coated_by_option(job, one)) != now for one in job.options):
        before = tr("As it was before")
        new = msgspec.structs.replace(new, options=keep_coat(job, before).options)
    return new


def compared(measured: Measured) -> tuple[Compared, ...]:
    """The job's options with their figures, as listed; none for a job without options.

    Raises InputError where the terms of price or programme are none."""
    for job, found in _KNOWN:
        if job is measured.job:
            return found
    result = tuple(_one(measured, option) for option in measured.job.options)
    _KNOWN.append((measured.job, result))
    del _KNOWN[:-_MOST_KNOWN]
    return result


_MOST_KNOWN = 4
_KNOWN: list[tuple[Job, tuple[Compared, ...]]] = []
"""Jobs compared last: pages and sheets ask for the same one again and again."""


def _one(measured: Measured, option: CoatOption) -> Compared:
    job = coated_by_option(measured.job, option)
    chosen = job is measured.job
    own = measured
    if not chosen:
        takeoff = measure(job)
        own = Measured(job, takeoff, order_of(job, takeoff, of_job(job)), (), measured.source)
    copies = copies_of(job)
    figures = together((copies[room.storey, room.room], room_figures(room)) for room in own.takeoff.rooms)
    planned = programme_of(own)
    shown = OptionShown(
        name=option_name(option),
        figures=figures,
        days=days_taken(planned),
        visits=planned.programme.visits,
        offer=offer_of(own),
        chosen=chosen,
    )
    return Compared(option, shown)
