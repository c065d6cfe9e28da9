"""The order as it goes out: a table for each supplier, lot by lot, and by when it is to be sent."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import NamedTuple, TypeVar

import msgspec

from takeoff.errors import InputError
from takeoff.language import date_text, tr, tr_count
from takeoff.plan.model import Job
from takeoff.plan.typed_days import typed_day
from takeoff.programme.order_by import order_by
from takeoff.programme.work_calendar import public_holidays
from takeoff.services.measured.job_result import Measured
from takeoff.services.offered.offering import programme_of
from takeoff.sheets.lot_tables import lot_name, part_table
from takeoff.sheets.order_tables import materials_table
from takeoff.sheets.sheet_values import Document, Line, Table
from takeoff.sheets.texts import load
from takeoff.supply.lots import LotLine, order_by_lots
from takeoff.supply.order import OrderLine
from takeoff.supply.systems import Source, of_job, sources_by_line

_COAT = "coat"
_WHOLE_ORDER = ("materials",)


class Part(NamedTuple):
    """What one supplier delivers for one lot. ``lead_days``: of what takes him longest, 0: nobody has said."""

    supplier: str
    lead_days: int
    lines: tuple[str, ...]


def with_suppliers(sheets: Document, measured: Measured, day: str) -> Document:
    """The sheets with an order that goes out: by supplier where any is named, by lot where there are lots, each with
    its latest day. ``day``: of the sheets, after which a latest day is not past."""
    job = measured.job
    if not measured.order.lines:
        return sheets
    sources = sources_by_line(of_job(job))
    if job.lots:
        tables, lines = _by_lots(measured, sources, day)
    else:
        tables, lines = _of_all(measured, sources, day)
    kept = sheets.order
    if tables:
        kept = tuple(msgspec.structs.replace(t, papers=()) if t.id in _WHOLE_ORDER else t for t in kept)
        kept = tuple(t for t in kept if not (t.id.startswith("lot-") and t.papers == ("order",)))
    return msgspec.structs.replace(
        sheets,
        order=(*tables, *kept),
        lines=_before_delivery(sheets.lines, lines),
        order_prices=job.details.order_prices,
    )


def _before_delivery(lines: tuple[Line, ...], own: tuple[Line, ...]) -> tuple[Line, ...]:
    """The lines with the order's own where its paper begins to speak of itself: what is on hold stays first."""
    at = next((k for k, line in enumerate(lines) if line.papers == ("order",)), len(lines))
    return (*lines[:at], *own, *lines[at:])


def _of_all(measured: Measured, sources: dict[str, Source], day: str) -> tuple[tuple[Table, ...], tuple[Line, ...]]:
    """The whole order by supplier: (tables, what is to be known first); no tables where no supplier is named."""
    order, texts = measured.order, load()
    needed = first_day(measured)
    parts = parts_of([line.id for line in order.lines], sources)
    lines = tuple(_latest(measured.job, part, needed, "", day) for part in parts)
    if not any(part.supplier for part in parts):
        return (), _said(lines)
    tables = tuple(
        materials_table(
            order,
            texts,
            _lines_of(order.lines, part),
            f"materials-{k}",
            _supplier(part),
            order.carriage_note if _COAT in part.lines else "",
            _COAT in part.lines,
        )
        for k, part in enumerate(parts, 1)
    )
    return tables, _said(lines)


def _by_lots(measured: Measured, sources: dict[str, Source], day: str) -> tuple[tuple[Table, ...], tuple[Line, ...]]:
    """The same lot by lot."""
    job = measured.job
    done = order_by_lots(job, measured.takeoff, of_job(job))
    tables: list[tuple[str, Table]] = []
    lines: list[tuple[str, Line | None]] = []
    for order in done.lots:
        parts = parts_of([line.id for line in order.lines if line.packs], sources)
        needed = typed_day(order.lot.date) if order.lot.date else None
        name = lot_name(order, {})
        named = any(one.supplier for one in sources.values())
        for k, part in enumerate(parts or (Part("", 0, ()),), 1):
            title = tr("{supplier}: {lot}", lot=name, supplier=_supplier(part)) if named else name
            suffix = f"-{k}" if len(parts) > 1 else ""
            own = _lines_of(order.lines, part)
            carried = _COAT in part.lines or len(parts) == 1
            table = part_table(order, own, measured.order.currency, f"lot-{order.lot.id}{suffix}", title, "", carried)
            tables.append((part.supplier, table))
            lines.append((part.supplier, _latest(job, part, needed, name, day) if part.lines else None))
    by = [*dict.fromkeys(name for name, _ in tables if name), ""]
    tables.sort(key=lambda one: by.index(one[0]))
    lines.sort(key=lambda one: by.index(one[0]))
    return tuple(table for _, table in tables), _said([line for _, line in lines])


def parts_of(ids: Sequence[str], sources: dict[str, Source]) -> tuple[Part, ...]:
    """The lines of an order by supplier, in the order in which suppliers first come; those without one last."""
    found: dict[str, list[str]] = {}
    for one in ids:
        found.setdefault(sources.get(one, Source("", 0)).supplier, []).append(one)
    named = sorted(found.items(), key=lambda item: not item[0])
    return tuple(
        Part(name, max(sources[one].lead_days if one in sources else 0 for one in own), tuple(own))
        for name, own in named
    )


def first_day(measured: Measured) -> date | None:
    """The first day on which the job is worked; None without a programme that has dates."""
    if not measured.job.programme.start or not measured.takeoff.rooms:
        return None
    try:
        return programme_of(measured).programme.begins.date()
    except InputError:
        return typed_day(measured.job.programme.start)


Line_ = TypeVar("Line_", OrderLine, LotLine)


def _lines_of(lines: Sequence[Line_], part: Part) -> tuple[Line_, ...]:
    return tuple(line for line in lines if line.id in part.lines)


def _supplier(part: Part) -> str:
    return part.supplier or tr("Supplier not named")


def _latest(job: Job, part: Part, needed: date | None, lot: str, day: str) -> Line | None:
    """By when a supplier's part is to be ordered; None where nobody has said how long he takes."""
    if not part.lead_days:
        return None
    named = [name for name in (lot if needed is not None else "", part.supplier) if name]
    who = f"{', '.join(named)}: " if named else ""
    takes = tr_count("{count} working day", "{count} working days", part.lead_days)
    if needed is None:
        text = tr("{who}{days} before the goods are needed.", who=who, days=takes)
        return Line(tr("Order by"), text, papers=("order",))
    holidays = _holidays(job, needed)
    latest = order_by(needed, part.lead_days, holidays)
    text = tr(
        "{who}{latest}. Delivery takes {days}, and work begins on {first}.",
        who=who,
        latest=date_text(latest),
        days=takes,
        first=date_text(needed),
    )
    past = latest.isoformat() < day[:10] and _is_day(day)
    if past:
        text = f"{text} {tr('That day is past: ask for a shorter delivery, or begin later.')}"
    return Line(tr("Order by"), text, urgent=past, papers=("order",))


def _holidays(job: Job, needed: date) -> frozenset[date]:
    terms = job.programme
    if not terms.country:
        return frozenset()
    years = {needed.year, (needed - timedelta(days=366)).year}
    return public_holidays(terms.country, sorted(years), terms.part)


def _is_day(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


def _said(lines: Sequence[Line | None]) -> tuple[Line, ...]:
    """The lines that say something, each once, the label on the first alone."""
    said = list(dict.fromkeys(line for line in lines if line is not None))
    return tuple(line if not k else msgspec.structs.replace(line, label="") for k, line in enumerate(said))
