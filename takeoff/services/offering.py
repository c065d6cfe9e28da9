"""What a measured job costs and how many days it takes: the price, the programme and the holds, as its terms say."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from decimal import Decimal

import msgspec

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.measure.conventions import bill_room, load
from takeoff.plan.model import Job
from takeoff.plan.price_terms import PricedItem, PriceTerms
from takeoff.plan.programme_terms import ProgrammeTerms
from takeoff.price.offer import Built, Offer, built_up, by_rates
from takeoff.programme.activities import RoomWork, activities, hours_by_work, room_work
from takeoff.programme.schedule import Programme, schedule
from takeoff.programme.work_calendar import WorkCalendar, made, public_holidays
from takeoff.services.job_result import Measured
from takeoff.services.site_work import rated_besides_hours, site_quantities
from takeoff.supply.systems import of_job
from takeoff.units.printing import printed

NO_DATE = date(2001, 1, 1)
"""A Monday: the days of a job without a date are counted from it, and its dates are never shown."""


class Planned(msgspec.Struct, frozen=True):
    """The programme of a job, and the hours it stands on. ``dated``: whether its start was set."""

    programme: Programme
    work: tuple[RoomWork, ...]
    dated: bool


def programme_of(measured: Measured) -> Planned:
    """The days that the job takes. Rooms that stand several times are planned as often.

    Raises InputError for terms that nobody can work by.
    """
    job = measured.job
    system = of_job(job)
    terms = job.programme
    work = room_work(job, measured.takeoff, system)
    names = {str(room.id): room.title for storey in job.storeys for room in storey.rooms}
    listed = activities(_copied(job, work), system, names)
    start = _day(terms.start) if terms.start else NO_DATE
    calendar = calendar_of(terms, start.year)
    if terms.people < 1:
        raise InputError(tr("Nobody is in the crew: say how many people work."))
    planned = schedule(listed, {"team": terms.people}, calendar, datetime.combine(start, calendar.begins))
    return Planned(planned, work, bool(terms.start))


def calendar_of(terms: ProgrammeTerms, year: int) -> WorkCalendar:
    """Working hours, days and days off, with the public holidays of the year and the two that follow."""
    off = {_day(day) for day in terms.off}
    if terms.country:
        off |= public_holidays(terms.country, range(year, year + 3), terms.part)
    return made(_hour(terms.begins), _hour(terms.ends), terms.days, off)


def offer_of(measured: Measured) -> Offer:
    """The price of the job by its terms; rates from the details of older jobs where the terms have none.

    Quantities are printed totals, by what the job's measuring convention bills.
    """
    job = measured.job
    terms = priced_by(job)
    if terms.way == "rates":
        return by_rates(terms, billed_quantities(measured))
    system = of_job(job)
    work = room_work(job, measured.takeoff, system)
    visits = programme_of(measured).programme.visits
    rated = rated_besides_hours(billed_quantities(measured).items())
    return built_up(terms, Built(hours_by_work(work, _copies(job)), visits, measured.order.cost, rated))


def priced_by(job: Job) -> PriceTerms:
    """The job's price terms; rates that only its details name (older jobs) among them."""
    from takeoff.plan.price_terms import RateOf

    terms, details = job.price, job.details
    if terms.rates or terms.way != "rates":
        return terms
    rates: list[RateOf] = []
    if details.price_coat_m2:
        coat: tuple[PricedItem, ...] = ("walls", "ceilings", "drops", "reveals")
        rates += [RateOf(item=item, price=details.price_coat_m2) for item in coat]
    if details.price_bead_m:
        rates.append(RateOf(item="bead", price=details.price_bead_m))
    if details.price_narrow_m:
        rates.append(RateOf(item="narrow", price=details.price_narrow_m))
    return msgspec.structs.replace(terms, rates=tuple(rates))


def billed_quantities(measured: Measured) -> dict[PricedItem, Decimal]:
    """Printed quantities of the whole job by item, as its convention bills them: the sum of what each room prints."""
    job = measured.job
    convention = load(job.convention)
    copies = _copies(job)
    sums: dict[PricedItem, Decimal] = {}
    for (_, at), own in site_quantities(job, measured.takeoff).items():
        for item, counted in own.items():
            sums[item] = sums.get(item, Decimal(0)) + counted * copies.get(at, 1)
    for room in measured.takeoff.rooms:
        bill = bill_room(convention, room)
        narrow = sum((line.length_m for line in bill.narrow), 0.0)
        figures: dict[PricedItem, float] = {
            "walls": bill.wall_m2,
            "ceilings": bill.ceiling_m2,
            "drops": bill.drop_m2,
            "reveals": bill.reveal_m2,
            "bead": room.bead_m,
            "narrow": narrow,
        }
        for item, value in figures.items():
            sums[item] = sums.get(item, Decimal(0)) + printed(value) * copies.get(str(room.room), 1)
    return {item: value for item, value in sums.items() if value}


def _copies(job: Job) -> dict[str, int]:
    return {str(room.id): room.times * storey.times for storey in job.storeys for room in storey.rooms}


def _copied(job: Job, work: tuple[RoomWork, ...]) -> tuple[RoomWork, ...]:
    copies = _copies(job)
    listed: list[RoomWork] = []
    for one in work:
        count = copies.get(one.room, 1)
        listed.append(one)
        listed += [msgspec.structs.replace(one, storey=f"{one.storey}#{n}") for n in range(2, count + 1)]
    return tuple(listed)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InputError(tr("“{text}” is not a date: write it as 2031-05-20.", text=text)) from None


def _hour(text: str) -> time:
    try:
        return time.fromisoformat(text)
    except ValueError:
        raise InputError(tr("“{text}” is not an hour: write it as 08:00.", text=text)) from None


def last_day(planned: Planned) -> date:
    """The day on which the work is done."""
    return planned.programme.ends.date()


def days_taken(planned: Planned) -> int:
    """Calendar days from the first to the last, both counted; 0 for nothing to do."""
    programme = planned.programme
    if not programme.planned:
        return 0
    return (programme.ends.date() - programme.begins.date()) // timedelta(days=1) + 1
