"""Days on site as they are typed: tubs opened, gauge readings, who, hours."""

from __future__ import annotations

from collections.abc import Iterable

from takeoff.account.bought import there
from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan import edits
from takeoff.plan.edits.supply_edits import counted
from takeoff.plan.model import Job
from takeoff.plan.work_records import DayRecord, GaugeReading, OpenedTub
from takeoff.services.after_order.supply_books import pack_called
from takeoff.supply.systems import of_job


def day_typed(
    job: Job,
    room: str,
    on: str,
    who: str = "",
    hours: float = 0.0,
    opened: Iterable[str] = (),
    batch: str = "",
    gauge: Iterable[str] = (),
) -> Job:
    """The job with a day of a room: ``opened`` as "22 L demo bucket=3", ``gauge`` as "left of the window=1.4". Raises
    InputError for what cannot be, and for more tubs opened than there are once deliveries are entered."""
    tubs = tuple(_tub(job, text, batch) for text in opened)
    readings = tuple(gauge_typed(text) for text in gauge)
    if not (tubs or readings or hours):
        raise InputError(tr("Nothing was entered: give tubs, readings or hours."))
    record = DayRecord(room=room, on=on, who=who, hours=hours, opened=tubs, readings=readings)
    done = edits.add_day(job, record)
    for tub in tubs:
        opened_so_far, held = counted(done.work, "opened", tub.item, tub.pack), there(done.work, tub.item, tub.pack)
        if job.work.movements and opened_so_far > held:
            raise InputError(
                tr(
                    "{count} × {pack} would be open, and {there} were supplied: enter the delivery first.",
                    count=opened_so_far,
                    pack=tub.pack,
                    there=held,
                )
            )
    return done


def gauge_typed(text: str) -> GaugeReading:
    """A reading as typed, with its place before an equals sign or without. Raises InputError for no number."""
    place, _, value = text.rpartition("=")
    try:
        mm = float(value.strip().removesuffix("mm").strip().replace(",", "."))
    except ValueError:
        raise InputError(tr("“{text}” is not a reading: type a number such as 14.5.", text=value)) from None
    return GaugeReading(place=place.strip(), mm=mm)


def _tub(job: Job, text: str, batch: str) -> OpenedTub:
    name, equals, count = text.rpartition("=")
    if not equals or not count.strip().isdecimal() or not int(count):
        raise InputError(tr("“{text}” gives no number: write it as PACK=3.", text=text))
    pack = pack_called(of_job(job), name)
    return OpenedTub(item=pack.item, pack=pack.pack, count=int(count), batch=batch)
