"""What changes, as tables: room by room with figures before and now, the working of each, the price of the change."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal

from takeoff.language import mark, tr
from takeoff.plan.model import Job
from takeoff.plan.price_terms import PRICED_ITEMS, PricedItem, PriceTerms
from takeoff.price.offer import ITEM_NAMES
from takeoff.revise.difference import Difference, RoomDifference
from takeoff.revise.lost import Lost
from takeoff.sheets.printed_figures import room_groups
from takeoff.sheets.sheet_values import Column, RowKind, Table
from takeoff.sheets.wall_names import place_words
from takeoff.units.printing import money

CHANGES = {
    "same": mark("the same"),
    "altered": mark("altered"),
    "added": mark("added"),
    "omitted": mark("omitted"),
    "split": mark("split"),
    "joined": mark("joined"),
    "renamed": mark("renamed"),
}
SHOWN: tuple[tuple[str, str, str], ...] = (
    ("wall_net_m2", mark("Walls"), "m²"),
    ("ceiling_m2", mark("Ceiling"), "m²"),
    ("drop_m2", mark("Bulkheads and boxing"), "m²"),
    ("reveal_m2", mark("Reveals"), "m²"),
    ("coated_m2", mark("Coat in all"), "m²"),
    ("bead_m", mark("New corner bead"), "m"),
)
WORKED = (
    "wall_gross_m2",
    "openings_m2",
    "excluded_m2",
    "not_coated_m2",
    "ceiling_m2",
    "drop_m2",
    "reveal_m2",
    "bead_m",
)
_WORKED_NAMES = {
    "wall_gross_m2": mark("walls, gross"),
    "openings_m2": mark("openings, deducted"),
    "excluded_m2": mark("kept or masked, deducted"),
    "not_coated_m2": mark("not coated, deducted"),
    "ceiling_m2": mark("ceiling"),
    "drop_m2": mark("bulkheads and boxing"),
    "reveal_m2": mark("reveals"),
    "bead_m": mark("corner bead"),
}


def numbered(difference: Difference) -> dict[str, int]:
    """Changed rooms by id, counted from 1."""
    return {room.room: k for k, room in enumerate(difference.changed, 1)}


def changes_table(difference: Difference) -> Table:
    """Every changed room with its figures before and now; totals of the job below."""
    rows: list[tuple[str | int | Decimal | None, ...]] = []
    kinds: list[RowKind] = []
    for number, room in enumerate(difference.changed, 1):
        rows.append((f"{number}  {room_said(room)}", None, None, None, None, None))
        kinds.append("group")
        for key, name, unit in SHOWN:
            q = room.printed[key]
            if q.changed:
                rows.append((tr(name), unit, q.old, q.new, q.added, q.omitted))
                kinds.append("line")
    if difference.changed:
        rows.append((tr("The whole job"), None, None, None, None, None))
        kinds.append("group")
    for key, name, unit in SHOWN if difference.changed else ():
        q = difference.printed_totals[key]
        if q.old or q.new:
            rows.append((tr(name), unit, q.old, q.new, q.added, q.omitted))
            kinds.append("line")
    return Table(
        id="changes",
        title=tr("What changes"),
        columns=(
            Column(tr("Room and quantity"), share=3.0),
            Column(tr("Unit"), share=0.6),
            Column(tr("Before"), kind="figure", share=1.0),
            Column(tr("Now"), kind="figure", share=1.0),
            Column(tr("Added"), kind="figure", share=1.0),
            Column(tr("Omitted"), kind="figure", share=1.0),
        ),
        rows=tuple(rows),
        kinds=tuple(kinds),
        empty=tr("Nothing changes."),
        note=tr(
            "Before + added − omitted = now. Added and omitted are counted surface by surface and not set off against "
            "each other within a room; the job counts every room as often as it is built."
        ),
    )


def room_said(room: RoomDifference) -> str:
    """ "Ground floor, Kitchen: altered"."""
    said = tr(CHANGES[room.change])
    if room.was_called and room.was_called != room.name:
        said = tr("{change}, was called {name}", change=said, name=room.was_called)
    return f"{room.storey_title}, {room.name}: {said}"


def workings_table(difference: Difference, old: Job, new: Job) -> Table:
    """The lines of every changed room that one state alone has: what is gone and what is new, as on a calculator."""
    words = _places(old), _places(new)
    rows: list[tuple[str | int | Decimal | None, ...]] = []
    kinds: list[RowKind] = []
    for number, room in enumerate(difference.changed, 1):
        was = _lines(room, "old", words[0].get(room.room, str))
        now = _lines(room, "new", words[1].get(room.room, str))
        gone, come = was - now, now - was
        if not gone and not come:
            continue
        rows.append((f"{number}  {room_said(room)}", None, None, None))
        kinds.append("group")
        for lines, said in ((gone, tr("was")), (come, tr("is"))):
            for (key, what, text, result), count in lines.items():
                for _ in range(count):
                    label = (
                        tr(_WORKED_NAMES[key])
                        if what in ("", tr(_WORKED_NAMES[key]))
                        else f"{tr(_WORKED_NAMES[key])}, {what}"
                    )
                    rows.append((label, said, text, result))
                    kinds.append("line")
    return Table(
        id="workings",
        title=tr("Working"),
        columns=(
            Column(tr("Where"), share=3.4),
            Column("", share=0.5),
            Column(tr("Sizes in m"), share=2.0),
            Column(tr("m² or m"), kind="figure", share=0.9),
        ),
        rows=tuple(rows),
        kinds=tuple(kinds),
        empty=tr("No line has changed."),
    )


Line = tuple[str, str, str, Decimal]


def _lines(room: RoomDifference, state: str, words: Callable[[str], str]) -> Counter[Line]:
    takeoff = room.old if state == "old" else room.new
    found: Counter[Line] = Counter()
    if takeoff is not None:
        groups = room_groups(takeoff, words)
        for key in WORKED:
            for line in groups[key].lines:
                found[key, line.what, line.text, line.result] += 1
    return found


def _places(job: Job) -> dict[str, Callable[[str], str]]:
    return {
        str(room.id): place_words(room, storey.openings, storey.rooflights, {str(r.id): r.title for r in storey.rooms})
        for storey in job.storeys
        for room in storey.rooms
    }


Parts = Mapping[PricedItem, tuple[Decimal, Decimal]]
"""What comes to each item and what comes off it, (added, omitted), never set off against each other."""


Sums = tuple[Decimal, Decimal, Decimal]
"""What is added comes to, what is omitted, and both together."""


def price_table(parts: Parts, terms: PriceTerms, currency: str) -> tuple[Table, Sums | None]:
    """The change at the job's rates, additions and omissions apart, and its sums without tax; None where a rate is not
    known."""
    rates = {rate.item: rate for rate in terms.rates}
    rows: list[tuple[str | int | Decimal | None, ...]] = []
    sums: list[Decimal | None] = [Decimal("0.00")] * 3
    unknown = tr("not known")
    for item in PRICED_ITEMS:
        added, omitted = parts.get(item, (Decimal(0), Decimal(0)))
        if item not in ITEM_NAMES or not (added or omitted):
            continue
        name, unit = ITEM_NAMES[item]
        rate = rates.get(item)
        each = Decimal(rate.price) if rate is not None and rate.price else None
        amounts: list[Decimal | None] = [None] * 3
        if each is not None:
            more, less = money(added * each), money(omitted * each)
            amounts = [more, less, more - less]
        sums = [None if a is None or b is None else a + b for a, b in zip(sums, amounts, strict=True)]
        said = [unknown if one is None else one for one in (each, *amounts)]
        rows.append((tr(name), unit, added, omitted, *said))
    table = Table(
        id="price-of-change",
        title=tr("Price of the change"),
        columns=(
            Column(tr("Item"), share=1.9),
            Column(tr("Unit"), share=0.65),
            Column(tr("Added"), kind="figure", share=0.9),
            Column(tr("Omitted"), kind="figure", share=0.95),
            Column(tr("Rate"), currency, kind="money", share=1.2),
            Column(tr("Sum added"), currency, kind="money", share=1.2),
            Column(tr("Sum omitted"), currency, kind="money", share=1.25),
            Column(tr("Sum"), currency, kind="money", share=1.2),
        ),
        rows=tuple(rows),
        total=(tr("Without tax"), None, None, None, None, *sums) if rows and sums[2] is not None else None,
        note=tr("Without what is bought or done already.") if rows else "",
        empty=tr("The change has no item with a rate."),
    )
    added_sum, omitted_sum, together = sums
    if added_sum is None or omitted_sum is None or together is None:
        return table, None
    return table, (added_sum, omitted_sum, together)


def refused_table(refused: Sequence[RoomDifference]) -> Table | None:
    """What the new drawing has and was refused, so that it stays as it was; None for nothing."""
    rows: list[tuple[str | int | Decimal | None, ...]] = []
    kinds: list[RowKind] = []
    for room in refused:
        rows.append((room_said(room), None, None, None))
        kinds.append("group")
        for key, name, unit in SHOWN:
            q = room.printed[key]
            if q.changed:
                rows.append((tr(name), unit, q.added, q.omitted))
                kinds.append("line")
    if not rows:
        return None
    return Table(
        id="refused",
        title=tr("Refused, left as it was"),
        columns=(
            Column(tr("Room and quantity"), share=3.0),
            Column(tr("Unit"), share=0.6),
            Column(tr("Would be added"), kind="figure", share=1.0),
            Column(tr("Would be omitted"), kind="figure", share=1.0),
        ),
        rows=tuple(rows),
        kinds=tuple(kinds),
    )


def lost_table(lost: Sequence[Lost]) -> Table | None:
    """What was set and has no place any more; None where nothing is lost."""
    if not lost:
        return None
    return Table(
        id="lost",
        title=tr("Set before, without a place now"),
        columns=(Column(tr("What"), share=1.4), Column(tr("Where"), share=1.8), Column(tr("It was"), share=1.8)),
        rows=tuple((one.what, one.where, one.was) for one in lost),
    )
