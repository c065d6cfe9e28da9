"""Changes on site as they are typed, and those that follow from a drawing that has changed since a state was sent."""

from __future__ import annotations

from decimal import Decimal

import msgspec

from takeoff.account.change_price import PricedChange, priced
from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.measure.conventions import NET
from takeoff.plan import edits
from takeoff.plan.edits.price_edits import amount, percent
from takeoff.plan.model import Job
from takeoff.plan.price_terms import PRICED_ITEMS
from takeoff.plan.work_records import ChangeLine, SiteChange
from takeoff.price.offer import ITEM_NAMES
from takeoff.services.changed.comparing import printed_between
from takeoff.services.changed.variation_papers import KEYS
from takeoff.services.measured.job_result import Measured
from takeoff.services.offered.offering import priced_by
from takeoff.services.offered.priced_quantities import room_quantities
from takeoff.units.lengths import parse_length
from takeoff.units.printing import printed, shown

NOUGHT = Decimal("0.00")


class TypedChange(msgspec.Struct, frozen=True):
    """A change as it is typed. ``size``: dimensions in m, "2 × 3.60 × 1.20", or "" where ``hours`` or ``pieces`` are
    given; ``item`` of the contract, "" for none."""

    place: str
    what: str
    item: str = ""
    size: str = ""
    hours: str = ""
    pieces: str = ""
    price: str = ""
    tax: str = ""
    omitted: bool = False
    by: str = ""
    days: str = ""
    photo: str = ""
    materials: str = ""


def change_typed(job: Job, typed: TypedChange, on: str) -> Job:
    """The job with the change as the next number. Raises InputError for whatever of it cannot be."""
    line = _line(typed)
    lines = [line] if line is not None else []
    if typed.materials.strip():
        cost = amount(typed.materials)
        lines.append(ChangeLine(what=tr("Materials"), quantity="1", unit=tr("sum"), price=cost, tax=percent(typed.tax)))
    change = SiteChange(
        number=1,
        place=typed.place.strip(),
        what=typed.what.strip(),
        lines=tuple(lines),
        photo=_photo(job, typed.photo),
        instructed_by=typed.by.strip(),
        proposed_on=on,
        days=_days(typed.days),
    )
    return edits.propose_change(job, change)


def _photo(job: Job, text: str) -> str:
    """The photo that is meant by its id, its name or its note; "" for none. Raises InputError where there is none."""
    wanted = text.strip().casefold()
    if not wanted:
        return ""
    found = [one.id for one in job.photos if wanted in (one.id.casefold(), one.name.casefold(), one.note.casefold())]
    if not found:
        raise InputError(tr("The job has no photo “{name}”: add it on the page Photos first.", name=text))
    return found[0]


def _line(typed: TypedChange) -> ChangeLine | None:
    item = typed.item.strip().casefold()
    if item and item not in PRICED_ITEMS:
        raise InputError(tr("“{name}” has no rate: use {items}.", name=typed.item, items=", ".join(PRICED_ITEMS)))
    price, tax, omitted = amount(typed.price), percent(typed.tax), typed.omitted
    if typed.hours.strip():
        return ChangeLine(
            what=typed.what, quantity=amount(typed.hours), unit="h", price=price, tax=tax, omitted=omitted
        )
    if typed.size.strip():
        quantity, count = _multiplied(typed.size)
        unit = ITEM_NAMES[item][1] if item else ("m²" if count > 1 else "m")
        return ChangeLine(
            what=typed.what,
            quantity=f"{quantity:f}",
            unit=unit,
            item=item if item else "",
            price=price,
            tax=tax,
            dims=typed.size.strip(),
            omitted=omitted,
        )
    if typed.pieces.strip():
        return ChangeLine(
            what=typed.what, quantity=amount(typed.pieces), unit=tr("each"), price=price, tax=tax, omitted=omitted
        )
    return None


def _multiplied(text: str) -> tuple[Decimal, int]:
    """The printed product of dimensions in m, and how many are lengths: a whole number before them is a count."""
    parts = [part.strip() for part in text.casefold().replace("×", "x").replace("*", "x").split("x")]
    product, lengths = 1.0, 0
    for k, part in enumerate(parts):
        if k == 0 and len(parts) > 2 and part.isdecimal():
            product *= int(part)
        else:
            product *= parse_length(part) / 1000
            lengths += 1
    return printed(product), lengths


def _days(text: str) -> float:
    try:
        return float(text.strip().replace(",", ".") or 0)
    except ValueError:
        raise InputError(tr("Give the effect on the days as a number.")) from None


def all_priced(job: Job) -> tuple[PricedChange, ...]:
    """Every change of the job with what it comes to."""
    return tuple(priced(job, change) for change in job.work.changes)


def from_drawing(job: Job, old: Measured, new: Measured, on: str, number: int) -> Job:
    """The job with a proposed change for each room that differs from a sent state. Additions and omissions are lines of
    their own. Of a room whose work has begun nothing comes off: it was done already, and making good is proposed as a
    change by itself. Raises InputError where nothing differs, or an item has no price."""
    terms = priced_by(job)
    before = {room.room: room.all.items for room in room_quantities(old, terms)}
    after = {room.room: room.all.items for room in room_quantities(new, terms)}
    names = {str(r.id): r.title for one in (old.job, new.job) for s in one.storeys for r in s.rooms}
    first, parts = job, _added_and_omitted(old.job, new.job)
    for room in dict.fromkeys((*before, *after)):
        begun = edits.stage_of(job, room) != "not-begun"
        lines, redone = [], []
        for item in PRICED_ITEMS:
            was, now = before.get(room, {}).get(item, NOUGHT), after.get(room, {}).get(item, NOUGHT)
            for quantity, omitted in parts.get((room, item), _netted(now - was)):
                line = ChangeLine(
                    what=tr(ITEM_NAMES[item][0]),
                    quantity=f"{quantity:f}",
                    unit=ITEM_NAMES[item][1],
                    item=item,
                    dims=_from_to(was, now),
                    omitted=omitted,
                )
                if begun and omitted:
                    redone.append(msgspec.structs.replace(line, omitted=False))
                else:
                    lines.append(line)
                    redone += [line] if begun else []
        what = tr("As the drawing has changed since state {number}", number=number)
        if lines:
            job = _proposed(job, names[room], what, lines, on, begun)
        if redone:
            job = _proposed(job, names[room], tr("Making good where work was done already"), redone, on, True)
    if job is first:
        raise InputError(tr("Nothing differs from state {number}.", number=number))
    return job


def _netted(change: Decimal) -> list[tuple[Decimal, bool]]:
    return [(abs(change), change < 0)] if change else []


def _added_and_omitted(old: Job, new: Job) -> dict[tuple[str, str], list[tuple[Decimal, bool]]]:
    """What was added to, and what was omitted from, each item of each room, apart. Empty for a job that is billed by
    more than its net figures: there only the difference of what is billed is known."""
    if (old.convention, new.convention) != (NET, NET):
        return {}
    found: dict[tuple[str, str], list[tuple[Decimal, bool]]] = {}
    for room in printed_between(old, new).changed:
        if room.times_old != room.times_new and room.times_old and room.times_new:
            continue
        times = max(room.times_old, room.times_new)
        for item, key in KEYS.items():
            quantity = room.printed[key]
            parts = ((quantity.added * times, False), (quantity.omitted * times, True))
            found[room.room, item] = [part for part in parts if part[0]]
    return found


def _proposed(job: Job, place: str, what: str, lines: list[ChangeLine], on: str, done_already: bool) -> Job:
    return edits.propose_change(
        job, SiteChange(number=1, place=place, what=what, lines=tuple(lines), proposed_on=on, done_already=done_already)
    )


def _from_to(old: Decimal, new: Decimal) -> str:
    return tr("{old} becomes {new}", old=shown(old), new=shown(new))
