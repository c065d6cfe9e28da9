"""What a measured job costs and how many days it takes: the price, the programme and the holds, as its terms say."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import cast

import msgspec

from takeoff.errors import InputError
from takeoff.language import date_text, tr
from takeoff.plan.model import Job
from takeoff.plan.price_terms import ExtraLine, PricedItem, PriceTerms, RateOf
from takeoff.plan.programme_terms import TEAM, ProgrammeTerms
from takeoff.plan.typed_days import typed_day
from takeoff.price.offer import ITEM_NAMES, Built, Offer, OfferLine, Quantities, built_up, by_rates, shared_lines, worth
from takeoff.programme.activities import RoomWork, activities, crew_of, hours_by_work, people_of, room_work, usual_work
from takeoff.programme.held import HeldRoom, held_rooms, stopped_work
from takeoff.programme.list_schedule import Programme, schedule
from takeoff.programme.room_days import RoomDays, room_days
from takeoff.programme.water import WaterOut, water_out
from takeoff.programme.work_calendar import WorkCalendar, made, public_holidays
from takeoff.services.measured.job_result import Measured
from takeoff.services.offered.priced_quantities import RoomQuantities, copies_of, room_quantities, summed
from takeoff.services.offered.site_work import rated_besides_hours
from takeoff.sheets.room_rows import room_labels
from takeoff.sheets.texts import load as load_texts
from takeoff.supply.systems import of_job
from takeoff.units.printing import printed, shown

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
    start = typed_day(terms.start) if terms.start else NO_DATE
    calendar = calendar_of(terms, start.year)
    stopped = stopped_work(job, listed, now or noon(job.details.date))
    if terms.holds_until and terms.start:
        cleared = datetime.combine(typed_day(terms.holds_until), calendar.begins)
        listed = tuple(one._replace(earliest=cleared) if one.id in stopped else one for one in listed)
    people, by = people_of(terms), by_together(terms)
    listed = tuple(one._replace(hours=one.hours / by[one.crew]) for one in listed)
    groups = {crew: count // by[crew] for crew, count in people.items()}
    planned = schedule(listed, groups, calendar, datetime.combine(start, calendar.begins))
    lived_in = frozenset(one.chain for one in listed if one.room_id in terms.lived_in)
    rooms = room_days(planned, calendar, system.drying.before_paint_h, lived_in)
    return Planned(planned, work, bool(terms.start), calendar, rooms, held_rooms(planned, stopped))


def calendar_of(terms: ProgrammeTerms, year: int) -> WorkCalendar:
    """Working hours, days and days off, with the public holidays of the year and the two that follow."""
    off = {typed_day(day) for day in terms.off}
    if terms.country:
        off |= public_holidays(terms.country, range(year, year + 3), terms.part)
    usual = usual_work()
    calendar = made(_hour(terms.begins), _hour(terms.ends), terms.days, off)
    return calendar._replace(night=_hour(usual.night_from), morning=_hour(usual.night_to))


def water_of(measured: Measured) -> WaterOut | None:
    """The water that dries out of the job's coat; None where its system does not say how much it holds."""
    return water_out(measured.takeoff, measured.order, of_job(measured.job), measured.job.programme)


def by_together(terms: ProgrammeTerms) -> dict[str, int]:
    """How many of each crew share one activity: as the terms say, and no more than the crew has. Who is left over of a
    crew that does not divide so waits."""
    return {crew: max(1, min(terms.together, count)) for crew, count in people_of(terms).items()}


def most_together(terms: ProgrammeTerms) -> int:
    """How many people can coat a face together: the crew that coats."""
    return people_of(terms)[crew_of(terms).get("coat", TEAM)]


def noon(date: str) -> datetime:
    """Noon of that day, of today where it is none."""
    try:
        day = typed_day(date)
    except InputError:
        day = datetime.now().date()
    return datetime.combine(day, time(12))


def offer_of(measured: Measured) -> Offer:
    """The price of the job by its terms; rates from the details of older jobs where the terms have none.

    Quantities are printed totals, by what the job's measuring convention bills. The same sum is shared out by room, and
    a price that is built up by item too, for what the client sees.
    """
    job = measured.job
    terms = with_hire(priced_by(job), water_of(measured))
    rooms = room_quantities(measured, terms)
    if terms.way == "rates":
        terms, quantities = _with_narrow_areas(job, terms, rooms)
        offer = by_rates(terms, quantities)
        return msgspec.structs.replace(offer, by_room=_by_room(job, offer, rooms, [worth(terms, r.all) for r in rooms]))
    work = room_work(job, measured.takeoff, of_job(job))
    copies = copies_of(job)
    by_id = {room: count for (_, room), count in copies.items()}
    visits = programme_of(measured).programme.visits
    rated = rated_besides_hours(summed(rooms).items.items())
    offer = built_up(terms, Built(hours_by_work(work, by_id), visits, measured.order.cost, rated))
    hours = {(w.storey, w.room): printed(sum(h for _, h in w.hours), 4) * copies[w.storey, w.room] for w in work}
    weights = [hours.get((room.storey, room.room), Decimal(0)) for room in rooms]
    return msgspec.structs.replace(
        offer, by_room=_by_room(job, offer, rooms, weights), by_item=_by_item(terms, offer, summed(rooms))
    )


def with_hire(terms: PriceTerms, water: WaterOut | None) -> PriceTerms:
    """The terms with a line for the dehumidifier, beside the water that it takes out; the very same ones where its hire
    has no price or nobody named one."""
    if not terms.dryer_day or water is None or not water.dryer_days:
        return terms
    what = tr("Dehumidifier, for {litres} L of water", litres=shown(water.litres, 0))
    line = ExtraLine(what=what, quantity=str(water.dryer_days), unit=tr("days"), price=terms.dryer_day)
    return msgspec.structs.replace(terms, extras=(*terms.extras, line))


def _by_room(
    job: Job, offer: Offer, rooms: Sequence[RoomQuantities], weights: Sequence[Decimal]
) -> tuple[OfferLine, ...]:
    """The offer room by room; rooms that nothing is asked for are left out."""
    labels = room_labels(job, load_texts())
    titles = {str(storey.id): storey.title for storey in job.storeys}
    asked = [(room, weight) for room, weight in zip(rooms, weights, strict=True) if weight]
    parts = []
    for room, _ in asked:
        name = labels[room.storey, room.room]
        name = f"{titles[room.storey]}, {name}" if len(job.storeys) > 1 else name
        name = f"{name} × {room.copies}" if room.copies != 1 else name
        parts.append(OfferLine(name, Decimal(1), "", None, None, Decimal(0), "work"))
    return shared_lines(offer, parts, [weight for _, weight in asked])


def _by_item(terms: PriceTerms, offer: Offer, quantities: Quantities) -> tuple[OfferLine, ...]:
    """A price that is built up by the areas that are coated, weighed as they are slower to coat."""
    slower = usual_work().difficulty | {one.what: one.factor for one in terms.difficulty}
    factor = {"walls": 1.0, "ceilings": slower["ceiling"], "drops": slower["narrow"], "reveals": slower["narrow"]}
    parts, weights = [], []
    for item, weight in factor.items():
        quantity = quantities.items.get(cast(PricedItem, item))
        if quantity:
            name, unit = ITEM_NAMES[cast(PricedItem, item)]
            parts.append(OfferLine(tr(name), quantity, unit, None, None, Decimal(0), "work"))
            weights.append(quantity * printed(weight, 3))
    return shared_lines(offer, parts, weights)


def _with_narrow_areas(job: Job, terms: PriceTerms, rooms: Sequence[RoomQuantities]) -> tuple[PriceTerms, Quantities]:
    """Of older jobs, which price what counts by length by its area until a metre of it has a price."""
    quantities = summed(rooms)
    details = job.details
    if job.price.rates or details.price_narrow_m or not details.price_coat_m2 or "narrow" not in quantities.items:
        return terms, quantities
    area = sum((room.narrow_m2 * room.copies for room in rooms), Decimal(0))
    name = tr("Narrow widths, length × width")
    line = ExtraLine(what=name, quantity=f"{area:f}", unit="m²", price=details.price_coat_m2)
    items = {item: value for item, value in quantities.items.items() if item != "narrow"}
    terms = msgspec.structs.replace(terms, extras=(line, *terms.extras))
    return terms, msgspec.structs.replace(quantities, items=items)


def priced_by(job: Job) -> PriceTerms:
    """The job's price terms; rates that only its details name (older jobs) among them."""
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


def billed_quantities(measured: Measured) -> Quantities:
    """Printed quantities of the whole job, as its convention bills them: the sum of what each room prints."""
    return summed(room_quantities(measured, measured.job.price))


def valid_until(terms: PriceTerms, day: str) -> str:
    """The last day of an offer of that day (ISO), in words; "" where it is no day."""
    try:
        return date_text(date.fromisoformat(day) + timedelta(days=terms.valid_days))
    except (ValueError, OverflowError):
        return ""


def currency_of(measured: Measured) -> str:
    """What prices are in: the job's own word for it, else the coating system's."""
    return measured.job.details.currency or measured.order.currency


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
