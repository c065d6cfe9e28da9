"""Quantities that an offer prices, room by room: the figures that the schedule, or the bill, prints of each room."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from decimal import Decimal

import msgspec

from takeoff.measure.conventions import NET, Convention, bill_room, of_job
from takeoff.measure.takeoff import RoomTakeoff
from takeoff.plan.model import Job
from takeoff.plan.price_terms import PricedItem, PriceTerms
from takeoff.price.offer import Quantities, step_of
from takeoff.services.measured.job_result import Measured
from takeoff.services.offered.site_work import site_quantities
from takeoff.sheets.printed_figures import room_figures, room_groups
from takeoff.units.printing import printed

StepOf = Callable[[float], float | None]


class RoomQuantities(msgspec.Struct, frozen=True):
    """What is priced of one room, for one, and how often it stands in the job. ``narrow_m2``: the area of what counts
    by length and has no step by width."""

    storey: str
    room: str
    copies: int
    of_one: Quantities
    narrow_m2: Decimal = Decimal("0.00")

    @property
    def all(self) -> Quantities:
        """Of all its copies."""
        return Quantities(
            {item: value * self.copies for item, value in self.of_one.items.items()},
            {step: value * self.copies for step, value in self.of_one.by_width.items()},
        )


def room_quantities(measured: Measured, terms: PriceTerms) -> tuple[RoomQuantities, ...]:
    """Of every measured room, in the takeoff's order, as the job's convention bills it."""
    job = measured.job
    convention = None if job.convention == NET else of_job(job)
    copies = copies_of(job)

    def step(width_m: float) -> float | None:
        found = step_of(terms, width_m * 1000.0)
        return found.up_to_mm if found else None

    site = site_quantities(job, measured.takeoff)
    rooms = []
    for room in measured.takeoff.rooms:
        narrow_m2 = Decimal("0.00")
        if convention is None:
            of_one = _as_ordered(room, step)
        else:
            of_one, narrow_m2 = _as_billed(convention, room, step)
        if also := site.get((room.storey, room.room)):
            of_one = msgspec.structs.replace(of_one, items={**of_one.items, **also})
        rooms.append(
            RoomQuantities(str(room.storey), str(room.room), copies[room.storey, room.room], of_one, narrow_m2)
        )
    return tuple(rooms)


def copies_of(job: Job) -> dict[tuple[str, str], int]:
    """How often each room stands in the job, by (storey, room)."""
    return {(str(s.id), str(room.id)): room.times * s.times for s in job.storeys for room in s.rooms}


def summed(rooms: Iterable[RoomQuantities]) -> Quantities:
    """Of the whole job; what is nought is left out."""
    items: dict[PricedItem, Decimal] = {}
    steps: dict[float, Decimal] = {}
    for room in rooms:
        for item, value in room.all.items.items():
            items[item] = items.get(item, Decimal(0)) + value
        for step, value in room.all.by_width.items():
            steps[step] = steps.get(step, Decimal(0)) + value
    return Quantities({k: v for k, v in items.items() if v}, {k: v for k, v in steps.items() if v})


def _as_ordered(room: RoomTakeoff, step: StepOf) -> Quantities:
    """Net, as the schedule of rooms prints it; lines of reveals that have a step by width count by length."""
    figures = room_figures(room)
    reveals = figures["reveal_m2"]
    steps: dict[float, Decimal] = {}
    for line in room_groups(room)["reveal_m2"].lines:
        of = line.of
        width = step(of.dims[1]) if of is not None and len(of.dims) == 2 else None
        if width is not None and of is not None:
            steps[width] = steps.get(width, Decimal(0)) + printed(of.times * of.dims[0])
            reveals -= line.result
    items: dict[PricedItem, Decimal] = {
        "walls": figures["wall_net_m2"],
        "ceilings": figures["ceiling_m2"],
        "drops": figures["drop_m2"],
        "reveals": reveals,
        "bead": figures["bead_m"],
    }
    return Quantities(items, steps)


def _as_billed(convention: Convention, room: RoomTakeoff, step: StepOf) -> tuple[Quantities, Decimal]:
    """As the bill prints it; what counts by length goes into its step by width, where it has one."""
    bill = bill_room(convention, room)
    narrow, narrow_m2 = Decimal("0.00"), Decimal("0.00")
    steps: dict[float, Decimal] = {}
    for work in bill.narrow:
        width, metres = step(work.width_m), printed(work.length_m)
        if width is None:
            narrow += metres
            narrow_m2 += printed(work.area_m2)
        else:
            steps[width] = steps.get(width, Decimal(0)) + metres
    items: dict[PricedItem, Decimal] = {
        "walls": printed(bill.wall_m2),
        "ceilings": printed(bill.ceiling_m2),
        "drops": printed(bill.drop_m2),
        "reveals": printed(bill.reveal_m2),
        "bead": room_figures(room)["bead_m"],
        "narrow": narrow,
    }
    return Quantities(items, steps), narrow_m2
