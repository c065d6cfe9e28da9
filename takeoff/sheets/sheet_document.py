"""From a measured job to what its sheets say: the one place where wording and rounding are decided."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from decimal import Decimal
from pathlib import PurePath

import msgspec

from takeoff.errors import Finding, OutputError
from takeoff.language import date_text, listed, region, tr
from takeoff.measure.takeoff import Takeoff
from takeoff.plan.job_drawings import north_of, origin_of
from takeoff.plan.model import DrawingRef, Job, Storey
from takeoff.plan.provenance import room_source
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
from takeoff.sheets.order_tables import order_tables, packs_headline
from takeoff.sheets.plans import plan_of
from takeoff.sheets.printed_figures import room_figures, together
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
from takeoff.sheets.wall_names import edge_words, opening_names, place_words
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

    ``findings`` are all that are still open, of measuring and ordering too. ``date``: an ISO
    date is printed in words, anything else as it is. ``draft``: why the sheets are one, "" for sheets that hold;
    a draft is not signed.
    ``if_taken_in``: the job measured with every uncertain opening deducted. A job without rooms
    gives sheets that say so. Raises OutputError when a figure is not a number.
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
    to_confirm = to_confirm_text(*asked)
    not_coated, two_totals = not_coated_text(job, takeoff, labels), _two_totals(job, totals, other, texts)
    return Document(
        title=texts.words["title"],
        team_title=texts.words["team_title"],
        job=_job_name(job, texts),
        reference=reference or job.details.reference or _reference(job, texts),
        date=_in_words(date),
        day=date,
        source=f"{_source_text(job, labels, texts)} {coat_words(job) if takeoff.rooms else ''}".strip(),
        origin=_origin(job, texts),
        addressed=_addressed(job, texts),
        headlines=_headlines(totals, order, texts, _square_feet(rows) if in_feet(job) else None),
        lines=(
            *first_page_lines(job, takeoff, found, height_effect_m2, not_coated, to_confirm, two_totals),
            *_paper_lines(job, texts),
        ),
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


def _reference(job: Job, texts: Texts) -> str:
    """ "Drawing TH-01, revision A; TH-02"; "" where no drawing has a number."""
    numbered = dict.fromkeys(_revised(ref.number, ref, texts) for ref in job.drawings if ref.number)
    return texts.words["drawing"].format(drawings="; ".join(numbered)) if numbered else ""


def _revised(name: str, drawing: DrawingRef, texts: Texts) -> str:
    """ "TH-01, revision A"."""
    return texts.words["revision"].format(drawing=name, revision=drawing.revision) if drawing.revision else name


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


def room_labels(job: Job, texts: Texts) -> dict[tuple[str, str], str]:
    """A name for every room by (storey, room), never empty and unique within its storey."""
    numbers = {(str(s.id), str(r.id)): r.number for s in job.storeys for r in s.rooms}
    names = {(str(s.id), str(r.id)): r.name for s in job.storeys for r in s.rooms}
    labels: dict[tuple[str, str], str] = {}
    taken: set[tuple[str, str]] = set()
    for key, name in names.items():
        number = numbers.get(key, "")
        first = " ".join(" ".join((number, name)).split()) or _unnamed(key[1], texts)
        label, again = first, 2
        while (key[0], label) in taken:
            label, again = f"{first} ({again})", again + 1
        taken.add((key[0], label))
        labels[key] = label
    return labels


def _unnamed(room: str, texts: Texts) -> str:
    """ "Room 3" for the room that recognition calls r3, in a second drawing d2/r3."""
    number = room.rpartition("/")[2].removeprefix("r")
    return texts.words["numbered_room"].format(number=number if number.isdecimal() else room)


def room_rows(job: Job, takeoff: Takeoff, labels: dict[tuple[str, str], str], texts: Texts) -> tuple[RoomRow, ...]:
    """Times come from the job, where room and storey have them apart."""
    storeys = {str(storey.id): storey for storey in job.storeys}
    rooms = {(str(storey.id), str(room.id)): room for storey in job.storeys for room in storey.rooms}
    names = {storey: opening_names(of.openings, of.rooms) for storey, of in storeys.items()}
    own: dict[str, dict[str, str]] = {storey: {} for storey in storeys}
    for (at, room_id), label in labels.items():
        own[at][room_id] = label
    rows = []
    for found in takeoff.rooms:
        key = (found.storey, found.room)
        if key not in rooms:
            raise OutputError(
                tr(
                    "Room {room} was measured but is not in the job: measure the job again.",
                    room=found.name or found.room,
                )
            )
        room, storey = rooms[key], storeys[found.storey]
        rows.append(
            RoomRow(
                room=found,
                label=labels[key],
                figures=room_figures(found),
                storey=storey_name(storey, texts),
                times=room.times,
                storey_times=storey.times,
                places=place_words(room, storey.openings, storey.rooflights, own[found.storey], names[found.storey]),
            )
        )
    return tuple(rows)


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
            lines = (Line(texts.words["source"], _storey_source(job, storey, labels, texts)),)
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


_MOST_NAMED = 6
"""More rooms than these are counted and not named."""


def _source_text(job: Job, labels: dict[tuple[str, str], str], texts: Texts) -> str:
    """Which drawing was measured, storey by storey where they differ, and what was measured on site."""
    said = [_storey_source(job, storey, labels, texts) for storey in job.storeys]
    if len(set(said)) > 1:
        alike: dict[str, list[str]] = {}
        for storey, text in zip(job.storeys, said, strict=True):
            alike.setdefault(text, []).append(storey_name(storey, texts))
        text = " ".join(f"{_storeys_named(names)}: {text}" for text, names in alike.items())
    else:
        text = said[0] if said else _of_drawing(job.drawings[0] if job.drawings else None, texts)
    return f"{text} {texts.words['assumed_short']}" if _assumes(job) else text


def _storeys_named(names: Sequence[str]) -> str:
    """The storeys by name; many are counted."""
    if len(names) > _MOST_NAMED:
        return tr("{count} storeys", count=len(names))
    return listed(list(names))


def _storey_source(job: Job, storey: Storey, labels: dict[tuple[str, str], str], texts: Texts) -> str:
    """ "Measured from drawing TH-01, revision A (house.dxf), page 2. Measured on site: Hall." of a storey."""
    sources = {str(room.id): room_source(job, storey, room) for room in storey.rooms}
    parts = []
    if not sources or set(sources.values()) & {"drawing", "typed"}:
        parts.append(_of_drawing(origin_of(job, storey), texts))
    for source in ("site", "budget"):
        rooms = [labels[str(storey.id), room] for room, own in sources.items() if own == source]
        if rooms:
            named = len(rooms) <= _MOST_NAMED and len(rooms) < len(sources)
            if named:
                which = listed(rooms)
            elif len(rooms) == len(sources):
                which = texts.words["all_rooms"]
            else:
                which = texts.words["rooms"].format(count=len(rooms))
            parts.append(texts.words[f"source_{source}"].format(rooms=which))
    return " ".join(parts)


def _of_drawing(origin: DrawingRef | None, texts: Texts) -> str:
    words = texts.words
    return words["measured_from"].format(drawing=_drawing_words(origin, texts)) if origin else words["typed"]


def _drawing_words(origin: DrawingRef, texts: Texts) -> str:
    """ "TH-01, revision A (house.dxf), page 2"."""
    named = _revised(origin.number or origin.name, origin, texts)
    if origin.number and origin.name:
        named = f"{named} ({origin.name})"
    return texts.words["on_page"].format(drawing=named, page=origin.page) if origin.page else named


def _origin(job: Job, texts: Texts) -> str:
    """The same in short, for the foot of every sheet: the drawings, and how many rooms were measured on site."""
    found: dict[str, None] = {}
    read = 0
    for storey in job.storeys:
        origin = origin_of(job, storey)
        sources = [room_source(job, storey, room) for room in storey.rooms]
        if origin is not None and ("drawing" in sources or not sources):
            found[_drawing_words(origin, texts)] = None
        elif "typed" in sources or "budget" in sources:
            found[texts.words["typed_short"]] = None
        read += sources.count("site")
    parts = list(found)
    if read:
        parts.append(texts.words["read_short_one" if read == 1 else "read_short_many"].format(count=read))
    return f"{texts.words['source']}: {'; '.join(parts)}." if parts else ""


def _assumes(job: Job) -> bool:
    return any(
        storey.height_source == "assumed"
        or any("assumed" in (o.sill_source, o.head_source, o.width_source) for o in storey.openings)
        for storey in job.storeys
    )


def storey_name(storey: Storey, texts: Texts) -> str:
    return storey.name or texts.words["unnamed_storey"]
