"""The totals of a measured job as the sheets print them, for programs that read the result."""

from __future__ import annotations

from decimal import Decimal

import msgspec

from takeoff.plan.model import Job
from takeoff.plan.price_terms import PriceTerms
from takeoff.price.offer import Offer
from takeoff.services.measured.job_result import Measured, encode, refuse_no_number, result
from takeoff.services.measured.printed_records import (
    Printed,
    PrintedLot,
    PrintedOption,
    PrintedPrice,
    PrintedRoom,
    PrintedTax,
)
from takeoff.services.offered.offering import currency_of, offer_of
from takeoff.services.offered.priced_quantities import copies_of
from takeoff.services.offered.treatment_options import compared
from takeoff.sheets.printed_figures import room_figures, together
from takeoff.supply.lots import order_by_lots
from takeoff.supply.systems import of_job
from takeoff.units.printing import money


def printed_totals(measured: Measured) -> Printed:
    """Rooms, totals, order, price, options and lots, each as it is printed. Raises InputError as pricing does."""
    job = measured.job
    copies = copies_of(job)
    rooms = [(room, room_figures(room)) for room in measured.takeoff.rooms]
    totals = together((copies[room.storey, room.room], figures) for room, figures in rooms)
    order = measured.order
    return Printed(
        totals={key: f"{value:f}" for key, value in totals.items()},
        rooms=tuple(
            PrintedRoom(
                str(room.storey),
                str(room.room),
                copies[room.storey, room.room],
                {key: f"{value:f}" for key, value in figures.items()},
            )
            for room, figures in rooms
        ),
        order=_amount(order.cost),
        carriage=_amount(order.carriage),
        order_currency=order.currency,
        currency=currency_of(measured),
        price=_price(offer_of(measured)) if rooms and is_priced(job) else None,
        options=tuple(
            PrintedOption(
                one.shown.name,
                one.shown.chosen,
                f"{one.shown.figures.get('coated_m2', Decimal('0.00')):f}",
                one.shown.days,
                one.shown.visits,
                _price(one.shown.offer),
            )
            for one in (compared(measured) if rooms else ())
        ),
        lots=_lots(measured),
    )


def result_json(measured: Measured) -> bytes:
    """The result of a measured job as JSON, with its totals as printed. Raises OutputError where a figure is no number,
    InputError for terms of a price or programme that nobody can mean."""
    made = result(measured)
    refuse_no_number(msgspec.to_builtins(made), "result")
    return encode(msgspec.structs.replace(made, printed=printed_totals(measured)))


def is_priced(job: Job) -> bool:
    """Whether anything says what the job costs: its price terms, or the details of older jobs."""
    details = job.details
    return job.price != PriceTerms() or any((details.price_coat_m2, details.price_bead_m, details.price_narrow_m))


def _lots(measured: Measured) -> tuple[PrintedLot, ...]:
    job = measured.job
    if not job.lots:
        return ()
    done = order_by_lots(job, measured.takeoff, of_job(job))
    return tuple(PrintedLot(one.lot.name, one.lot.date, _amount(one.cost), _amount(one.carriage)) for one in done.lots)


def _price(offer: Offer) -> PrintedPrice:
    return PrintedPrice(
        net=_amount(offer.net),
        gross=_amount(offer.gross),
        taxes=tuple(PrintedTax(f"{one.rate:f}", f"{money(one.net):f}", f"{one.tax:f}") for one in offer.taxes),
        unknown=offer.unknown,
    )


def _amount(amount: Decimal | None) -> str | None:
    return None if amount is None else f"{money(amount):f}"
