"""Price, days and site check on the sheets of a job: tables where their terms are set, a line where they are not."""

from __future__ import annotations

import msgspec

from takeoff.language import money_shown, tr, tr_count
from takeoff.plan.price_terms import PriceTerms
from takeoff.plan.programme_terms import ProgrammeTerms
from takeoff.plan.site_check import SiteCheck
from takeoff.price.offer import Offer
from takeoff.services.measured.job_result import Measured
from takeoff.services.measured.lots_said import lots_said
from takeoff.services.offered.days_said import card_closing, days_said
from takeoff.services.offered.offering import currency_of, noon, offer_of, valid_until
from takeoff.services.offered.treatment_options import compared
from takeoff.sheets.offer_tables import hold_table, offer_tables, options_table
from takeoff.sheets.sheet_values import PAPERS, Document, Headline, Line, StoreySheet, Table
from takeoff.sheets.site_work_tables import card_site_lines, site_lines, site_tables
from takeoff.sitecheck.holds import Hold, holds

_OLDER_PRICE = "price"
"""The table of rates of a job's details, which the price by its terms replaces."""


def with_terms(sheets: Document, measured: Measured, date: str) -> Document:
    """The sheets with the job's price and programme where their terms are set, and its holds; a job without rooms
    as it is. ``date``: the day of the sheets, by which readings are judged; as typed where it is no day."""
    if not measured.takeoff.rooms:
        return sheets
    job = measured.job
    tables: list[Table] = []
    lines: tuple[Line, ...] = ()
    if job.price != PriceTerms():
        offer = offer_of(measured)
        tables += offer_tables(offer, job.price, currency_of(measured), valid_until(job.price, date))
        sheets = msgspec.structs.replace(
            sheets,
            totals=tuple(t for t in sheets.totals if t.id != _OLDER_PRICE),
            headlines=(*sheets.headlines, *_price_headline(offer, currency_of(measured))),
        )
    if job.options:
        tables.append(options_table([one.shown for one in compared(measured)], currency_of(measured)))
    if job.programme != ProgrammeTerms():
        said = days_said(measured, noon(date), reasons=False)
        tables += [said.rooms, said.days, said.closing]
        lines = said.lines
        sheets = msgspec.structs.replace(sheets, charts=(said.chart,))
    if job.lots:
        lots = lots_said(measured)
        lines = (*lines, *lots.lines)
        # what all rooms together would cut stands on no paper: each lot cuts its own
        ordered = tuple(_on_no_paper(table) if table.id.startswith("patterns-") else table for table in sheets.order)
        sheets = msgspec.structs.replace(sheets, order=(*ordered, *lots.lots, *lots.cuts))
    tables += site_tables(job, measured.takeoff)
    found = holds(job, noon(date))
    if job.site_check != SiteCheck():
        names = {str(room.id): room.title for storey in job.storeys for room in storey.rooms}
        tables.append(hold_table(found, names))
    return msgspec.structs.replace(
        sheets,
        totals=(*tables, *sheets.totals),
        lines=_with_site((*lines, *sheets.lines), found, measured),
        storeys=tuple(_marked(sheet, found) for sheet in sheets.storeys),
    )


def card_lines(measured: Measured, date: str) -> dict[str, tuple[Line, ...]]:
    """What the card of each room says beside its sizes, by room id: holds, preparation, what is closed in one
    go. ``date``: as for ``with_terms``."""
    found = holds(measured.job, noon(date)) if measured.job.site_check != SiteCheck() else ()
    site, closing = card_site_lines(measured.job, measured.takeoff, found), card_closing(measured)
    rooms = dict.fromkeys((*site, *closing))
    return {room: (*site.get(room, ()), *([closing[room]] if room in closing else [])) for room in rooms}


def _on_no_paper(table: Table) -> Table:
    return msgspec.structs.replace(table, papers=())


def _price_headline(offer: Offer, currency: str) -> tuple[Headline, ...]:
    """What it costs, for whoever reads the first page alone; none while a line of it is not known."""
    if offer.gross is None or offer.net is None:
        return ()
    tax = offer.gross - offer.net
    words = tr("price, {tax} of it tax", tax=money_shown(tax, currency)) if tax else tr("price, without tax")
    return (Headline(money_shown(offer.gross, currency), words, ("client",), ("scope",)),)


def _with_site(lines: tuple[Line, ...], found: tuple[Hold, ...], measured: Measured) -> tuple[Line, ...]:
    """The lines of the first page with what the site asks for: holds first, preparation after what is not coated."""
    job = measured.job
    at = next((k for k, line in enumerate(lines) if line.label == tr("Not coated")), -1) + 1
    return (
        *_site_lines(found, job.site_check), *lines[:at], *site_lines(job, measured.takeoff), *lines[at:],
    )  # fmt: skip


def _marked(sheet: StoreySheet, found: tuple[Hold, ...]) -> StoreySheet:
    """The sheet with its held rooms marked on the plan; the very same one where none is."""
    held = {hold.room for hold in found if hold.state == "hold"}
    if not held.intersection(room.id for room in sheet.plan.rooms):
        return sheet
    rooms = tuple(
        msgspec.structs.replace(room, held=tr("HOLD")) if room.id in held else room for room in sheet.plan.rooms
    )
    return msgspec.structs.replace(sheet, plan=msgspec.structs.replace(sheet.plan, rooms=rooms))


def _site_lines(found: tuple[Hold, ...], check: SiteCheck) -> tuple[Line, ...]:
    """What the first page says of the site: holds first, urgent; else what is still to be looked at there."""
    held = {(hold.code, hold.room) for hold in found if hold.state == "hold"}
    if held:
        reasons = list(dict.fromkeys(hold.reason for hold in found if hold.state == "hold"))
        count = tr_count("{count} hold", "{count} holds", len(held))
        more = tr(" More: see the site check.") if len(reasons) > _MOST_REASONS else ""
        text = tr("{count}: {reasons}{more}", count=count, reasons=" ".join(reasons[:_MOST_REASONS]), more=more)
        return (Line(label=tr("On hold"), text=text, urgent=True, papers=PAPERS),)
    if check == SiteCheck():
        text = tr(
            "Not checked yet. Moisture, temperatures, humidity, flatness, linings, old coatings, mould and damp are "
            "checked before work starts; what fails holds the work and may change scope and price."
        )
        return (Line(label=tr("Site"), text=text),)
    return ()


_MOST_REASONS = 3
