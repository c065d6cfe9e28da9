"""From a measured job to what its sheets say: the one place where wording and rounding are decided."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from decimal import Decimal
from pathlib import PurePath

import msgspec

from takeoff.errors import Finding
from takeoff.language import date_text, region, tr
from takeoff.measure.takeoff import Takeoff
from takeoff.plan.job_drawings import north_of
from takeoff.plan.model import Job, Storey
from takeoff.plan.shape import in_question
from takeoff.sheets.feet import in_feet
from takeoff.sheets.finding_tables import Places, finding_tables
from takeoff.sheets.first_lines import (
    coat_words,
    first_page_lines,
    not_coated_text,
    questions_to_confirm,
    to_confirm_text,
)
from takeoff.sheets.measured_from import origin_text, reference_text, source_text, storey_source
from takeoff.sheets.order_tables import order_tables, packs_headline
from takeoff.sheets.plans import plan_of
from takeoff.sheets.printed_figures import room_figures, together
from takeoff.sheets.room_rows import room_labels, room_rows, storey_name
from takeoff.sheets.sheet_tables import (
    RoomRow,
    bill_tables,
    dims_table,
    price_tables,
    schedule,
    substrate_tables,
    summary,
    totals_tables,
)
from takeoff.sheets.sheet_values import PAPERS, Document, Headline, Line, Notes, Paper, StoreySheet, Table
from takeoff.sheets.texts import Texts, load
from takeoff.sheets.wall_names import edge_words
from takeoff.supply.order import At, Order
from takeoff.supply.systems import in_words, of_job
from takeoff.units.printing import feet_inches, shown, square_feet

NOUGHT = Decimal("0.00")
_MEASURED: tuple[Paper, ...] = ("scope", "site", "dimensions")
"""The papers that say what there is to coat; a supplier is asked for packs."""


def build(
    job: Job,
    takeoff: Takeoff,
    order: Order | None = None,
    findings: Sequence[Finding] = (),
    *,
    date: str = "",
    firm: str = "",
    reference: str = "",
    height_effect_m2: float | None = None,
    draft: str = "",
    if_taken_in: Takeoff | None = None,
) -> Document:
    """Everything that the sheets of a job say, ready to be written in any format.

    ``findings`` are all that are still open, of measuring and ordering too. ``date``: an ISO date is printed in words,
    anything else as it is. ``draft``: why the sheets are one, "" for sheets that hold; a draft is not signed.
    ``if_taken_in``: the job measured with every uncertain opening deducted. A job without rooms gives sheets that say
    so. Raises OutputError when a figure is not a number.
    """
    texts = load()
    labels = room_labels(job, texts)
    rows = room_rows(job, takeoff, labels, texts)
    found = tuple(findings)
    places = Places(job, labels, texts)
    totals = together((row.factor, row.figures) for row in rows)
    other = _if_taken_in(job, if_taken_in)
    about_plan = [finding for finding in found if not order or finding not in order.findings]
    asked = (takeoff, about_plan, labels, places.of_opening, other is not None)
    said = (not_coated_text(job, takeoff, labels), to_confirm_text(*asked), _two_totals(job, totals, other, texts))
    return Document(
        title=texts.words["title"],
        team_title=texts.words["team_title"],
        job=_job_name(job, texts),
        reference=reference or job.details.reference or reference_text(job, texts),
        date=_in_words(date),
        day=date,
        source=f"{source_text(job, labels, texts)} {coat_words(job) if takeoff.rooms else ''}".strip(),
        origin=origin_text(job, texts),
        addressed=_addressed(job, texts),
        headlines=_headlines(totals, order, texts, _square_feet(rows) if in_feet(job) else None),
        lines=(*first_page_lines(job, takeoff, found, height_effect_m2, *said), *_paper_lines(job, texts)),
        storeys=_storey_sheets(job, rows, labels, texts),
        summary=_summary(job, rows, texts),
        totals=_totals(job, rows, texts),
        order=order_tables(order, texts, _piece_places(rows, len(job.storeys) > 1), in_feet(job)),
        dims=tuple(_dims(job, row, texts) for row in rows),
        findings=finding_tables(found, takeoff, places, texts),
        cautions_title=texts.cautions_title,
        cautions=_cautions(texts),
        notes=_terms(job, texts),
        firm=firm or job.details.contractor,
        foot=texts.words["foot"],
        agree="" if draft else texts.words["agree"],
        words=_words(texts, in_feet(job)),
        feet=in_feet(job),
        conditions=texts.conditions,
        sign=() if draft else texts.sign,
        draft=draft,
        questions=questions_to_confirm(*asked),
    )


def _totals(job: Job, rows: Sequence[RoomRow], texts: Texts) -> tuple[Table, ...]:
    """What is priced, billed and measured in all, and on what it is put."""
    substrates = {one.id: one.name for one in in_words(of_job(job)).substrates}
    return (
        *price_tables(job, rows, texts),
        *bill_tables(job, rows, texts),
        *totals_tables(rows, texts),
        *substrate_tables(rows, substrates, texts),
    )


def _paper_lines(job: Job, texts: Texts) -> tuple[Line, ...]:
    """What single papers say on their first page: where to deliver, how to read a line, what to be careful of."""
    words, papers = texts.words, tuple(paper for paper in PAPERS if paper != "site")
    lines = [
        Line(words["deliver_to"], job.details.site or words["deliver_unknown"], papers=("order",)),
        Line(words["reading_dims"], words["reading_dims_text"], papers=("dimensions",)),
        Line(words["caution"], words["caution_text"], papers=papers),
        Line(words["caution"], words["caution_packs"], papers=("order",)),
    ]
    return tuple(lines)


def _terms(job: Job, texts: Texts) -> tuple[Notes, ...]:
    """The contractor's own terms; () where he has none."""
    if not job.details.terms:
        return ()
    return (Notes("terms", texts.words["terms"], (Line("", job.details.terms),), ("scope",)),)


_DUST = 2
"""Where the caution about dust stands; the limits of a country are added to it in that country alone."""


def _cautions(texts: Texts) -> tuple[Line, ...]:
    """The cautions, with the limits of dust where they hold."""
    if region() != "GB":
        return texts.cautions
    lines = list(texts.cautions)
    dust = lines[_DUST]
    lines[_DUST] = msgspec.structs.replace(dust, text=f"{dust.text} {texts.words['dust_limits']}")
    return tuple(lines)


def _words(texts: Texts, feet: bool) -> dict[str, str]:
    """The words of pages and keys; of lengths on a plan in feet as these are written."""
    words = texts.words | texts.key | {"conditions": texts.conditions_title, "length_sample": shown(Decimal("0.6"))}
    return words | {"length": words["length_feet"], "length_sample": feet_inches(609.6)} if feet else words


def _in_words(date: str) -> str:
    """ "20 May 2031" for 2031-05-20; what is no such date stays as it was given."""
    try:
        return date_text(datetime.date.fromisoformat(date))
    except ValueError:
        return date


def _job_name(job: Job, texts: Texts) -> str:
    """The job's name; one that is only its drawing's file name is made readable."""
    drawing = job.drawings[0].name if job.drawings else ""
    if job.name and job.name in (drawing, PurePath(drawing).stem):
        name = PurePath(drawing).stem.replace("_", " ").strip()
        return name[:1].upper() + name[1:]
    return job.name or texts.words["unnamed_job"]


def _addressed(job: Job, texts: Texts) -> str:
    """ "For Client Example. Site: 3 Sample Street."; "" where nobody said."""
    parts = []
    if job.details.client:
        parts.append(texts.words["for_client"].format(client=job.details.client.rstrip(".")))
    if job.details.site:
        parts.append(texts.words["at_site"].format(site=job.details.site.rstrip(".")))
    return " ".join(parts)


def _piece_places(rows: Sequence[RoomRow], several: bool) -> Callable[[At], str]:
    """Words for the edges of bead: room, edge, and which of several alike rooms."""
    known = {(row.room.storey, row.room.room): row for row in rows}

    def words(at: At) -> str:
        row = known[at.storey, at.room]
        parts = [row.storey] if several else []
        parts.append(f"{row.label} ({at.copy})" if at.copy else row.label)
        parts.append(edge_words(at.kind, row.places(at.edge)))
        return ", ".join(part for part in parts if part)

    return words


def _storey_sheets(
    job: Job, rows: Sequence[RoomRow], labels: dict[tuple[str, str], str], texts: Texts
) -> tuple[StoreySheet, ...]:
    sheets = []
    for storey in job.storeys:
        own = [row for row in rows if row.room.storey == storey.id]
        title = storey_name(storey, texts)
        figures = {row.room.room: _area_text(row.figures["coated_m2"], texts) for row in own}
        plan = plan_of(
            storey,
            {row.room.room: row.room for row in own},
            {room: label for (at, room), label in labels.items() if at == storey.id},
            figures,
            title,
            in_feet(job),
            north_of(job, storey),
        )
        lines: tuple[Line, ...] = ()
        if len(job.storeys) > 1:
            lines = (Line(texts.words["source"], storey_source(job, storey, labels, texts)),)
        sheets.append(StoreySheet(title, plan, _schedule(own, rows, texts, storey, in_feet(job)), lines))
    return tuple(sheets)


def _area_text(area_m2: Decimal, texts: Texts) -> str:
    """ "41.3 m² to coat"."""
    return texts.words["to_coat"].format(area=shown(area_m2, 1))


def _schedule(own: Sequence[RoomRow], rows: Sequence[RoomRow], texts: Texts, storey: Storey, feet: bool) -> Table:
    title = texts.words["schedule"] + (f": {storey.name}" if storey.name else "")
    return schedule(own, rows, texts, str(storey.id), title, feet)


def _dims(job: Job, row: RoomRow, texts: Texts) -> Table:
    subject = f"{row.storey}, {row.label}" if len(job.storeys) > 1 else row.label
    return dims_table(row, texts, f"{texts.tables['dims']}: {subject}", subject)


def _summary(job: Job, rows: Sequence[RoomRow], texts: Texts) -> Table | None:
    if len(job.storeys) < 2 and all(storey.times == 1 for storey in job.storeys):
        return None
    return summary(
        [(storey_name(s, texts), s.times, [row for row in rows if row.room.storey == s.id]) for s in job.storeys],
        texts,
        in_feet(job),
    )


def _headlines(
    totals: dict[str, Decimal], order: Order | None, texts: Texts, square_ft: Decimal | None
) -> tuple[Headline, ...]:
    """What there is to coat, new bead, packs; with ``square_ft`` in square feet and in feet and inches too."""
    words = texts.words
    coated, bead = totals.get("coated_m2", NOUGHT), totals.get("bead_m", NOUGHT)
    also = ("", "")
    if square_ft is not None:
        also = (tr("{area} sq ft", area=shown(square_ft, 0)) + "; ", feet_inches(float(bead) * 1000) + "; ")
    heads = [
        Headline(_area_text(coated, texts), also[0] + words["walls_ceilings_reveals"], papers=_MEASURED),
        Headline(f"{shown(bead, 1)} m", also[1] + words["bead"], papers=_MEASURED),
    ]
    packs = packs_headline(order)
    return (*heads, packs) if packs else tuple(heads)


def _square_feet(rows: Sequence[RoomRow]) -> Decimal:
    """What there is to coat in square feet, the sum of what the schedule prints."""
    return sum((row.factor * square_feet(row.figures["coated_m2"]) for row in rows), NOUGHT)


def _if_taken_in(job: Job, if_taken_in: Takeoff | None) -> dict[str, Decimal] | None:
    """The printed totals with every uncertain opening deducted; None where none is."""
    if if_taken_in is None:
        return None
    times = {(str(s.id), str(r.id)): r.times * s.times for s in job.storeys for r in s.rooms}
    return together((times[room.storey, room.room], room_figures(room)) for room in if_taken_in.rooms)


def _two_totals(
    job: Job, totals: dict[str, Decimal], other: dict[str, Decimal] | None, texts: Texts
) -> tuple[Line, ...]:
    """What there is to coat as measured, and with every uncertain opening deducted; () without one."""
    if other is None:
        return ()
    said = {
        f"{name}_{key}": shown(of.get(f"{key}_{unit}", NOUGHT), 1)
        for name, of in (("now", totals), ("then", other))
        for key, unit in (("coated", "m2"), ("bead", "m"))
    }
    count = len(in_question(job))
    words = texts.words["two_totals_one" if count == 1 else "two_totals_many"].format(count=count, **said)
    return (Line(texts.words["two_totals"], words, urgent=True),)
