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
from takeoff.plan.programme_terms import TEAM, ProgrammeTerms
from takeoff.price.offer import Built, Offer, built_up, by_rates
from takeoff.programme.activities import RoomWork, activities, crew_of, hours_by_work, people_of, room_work, usual_work
from takeoff.programme.held import HeldRoom, held_rooms, stopped_work
from takeoff.programme.room_days import RoomDays, room_days
from takeoff.programme.schedule import Programme, schedule
from takeoff.programme.water import WaterOut, water_out
from takeoff.programme.work_calendar import WorkCalendar, made, public_holidays
from takeoff.services.job_result import Measured
from takeoff.supply.systems import of_job
from takeoff.units.printing import printed

NO_DATE = date(2001, 1, 1)
"""A Monday: the days of a job without a date are counted from it, and its dates are never shown."""


class Planned(msgspec.Struct, frozen=True):
    """The programme of a job, and the hours it stands on. ``dated``: whether its start was set. ``rooms``: what it
    means for each; ``held``: rooms whose work waits for a hold."""

    programme: Programme
    work: tuple[RoomWork, ...]
    dated: bool
    calendar: WorkCalendar
    rooms: tuple[RoomDays, ...]
    held: tuple[HeldRoom, ...]


def programme_of(measured: Measured, now: datetime | None = None) -> Planned:
    """The days that the job takes. Rooms that stand several times are planned as often. ``now``: when holds are
    judged; noon of the job's date, or of today, without it.

    What a hold stops waits for the day by which holds are to be cleared; where nobody said one, the days stand only if
    each hold is cleared before them. Raises InputError for terms that nobody can work by.
    """
    job = measured.job
    system = of_job(job)
    terms = job.programme
    work = room_work(job, measured.takeoff, system)
    names = {str(room.id): room.title for storey in job.storeys for room in storey.rooms}
    listed = activities(_copied(job, work), system, names, terms)
    start = day_of(terms.start) if terms.start else NO_DATE
    calendar = calendar_of(terms, start.year)
    stopped = stopped_work(job, listed, now or noon(job.details.date))
    if terms.holds_until and terms.start:
        cleared = datetime.combine(day_of(terms.holds_until), calendar.begins)
        listed = tuple(one._replace(earliest=cleared) if one.id in stopped else one for one in listed)
    planned = schedule(listed, people_of(terms), calendar, datetime.combine(start, calendar.begins))
    lived_in = frozenset(one.chain for one in listed if one.room_id in terms.lived_in)
    rooms = room_days(planned, calendar, system.drying.before_paint_h, lived_in)
    return Planned(planned, work, bool(terms.start), calendar, rooms, held_rooms(planned, stopped))


def calendar_of(terms: ProgrammeTerms, year: int) -> WorkCalendar:
    """Working hours, days and days off, with the public holidays of the year and the two that follow."""
    off = {day_of(day) for day in terms.off}
    if terms.country:
        off |= public_holidays(terms.country, range(year, year + 3), terms.part)
    usual = usual_work()
    calendar = made(_hour(terms.begins), _hour(terms.ends), terms.days, off)
    return calendar._replace(night=_hour(usual.night_from), morning=_hour(usual.night_to))


def water_of(measured: Measured) -> WaterOut | None:
    """The water that dries out of the job's coat; None where its system does not say how much it holds."""
    return water_out(measured.takeoff, measured.order, of_job(measured.job), measured.job.programme)


def most_together(terms: ProgrammeTerms) -> int:
    """How many people can coat a face together: the crew that coats."""
    return people_of(terms)[crew_of(terms).get("coat", TEAM)]


def noon(date: str) -> datetime:
    """Noon of that day, of today where it is none."""
    try:
        day = day_of(date)
    except InputError:
        day = datetime.now().date()
    return datetime.combine(day, time(12))


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
    return built_up(terms, Built(hours_by_work(work, _copies(job)), visits, measured.order.cost))


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


def day_of(text: str) -> date:
    """The day that ISO text names. Raises InputError for what is none."""
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
