"""What the site asks for besides the coat, as lines and tables: preparation, counted items, walls that stay bare."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal

from takeoff.language import listed, mark, number, tr, tr_count
from takeoff.measure.outside_rule import outside_parts
from takeoff.measure.takeoff import Face, RoomTakeoff, Takeoff
from takeoff.plan.counted_items import CountedItem, Handling, ItemKind, Who
from takeoff.plan.model import Job, Room, Side
from takeoff.plan.wall_letters import wall_letters
from takeoff.sheets.line_words import part_words
from takeoff.sheets.sheet_values import EVERYBODY, Cell, Column, Line, Table
from takeoff.sitecheck.preparation import Preparing, cause_words, preparations
from takeoff.sitecheck.usual_limits import usual

KIND_NAMES: dict[ItemKind, str] = {
    "radiators": mark("Radiators"),
    "sockets": mark("Sockets and switches"),
    "vents": mark("Vents"),
    "poles": mark("Curtain poles"),
    "hatches": mark("Hatches"),
}
DONE_NAMES: dict[Handling, str] = {
    "off-and-on": mark("off before the coat, on again after it"),
    "stays": mark("stays where it is"),
    "kept-open": mark("kept open"),
}
WHO_NAMES: dict[Who, str] = {
    "us": mark("us"),
    "client": mark("client"),
    "electrician": mark("electrician"),
    "plumber": mark("plumber"),
}
_MOST_NAMED = 6
"""More rooms than these are counted and not named."""


def site_lines(job: Job, takeoff: Takeoff) -> tuple[Line, ...]:
    """What the first page says of preparation and of what stays cold; () where there is nothing to say."""
    lines = []
    if prepared := preparation_text(job, takeoff):
        lines.append(Line(tr("Preparation"), prepared))
    for reader in EVERYBODY:
        if bare := bare_lines(job, takeoff, lettered=reader == "team"):
            # rooms that are alike on several storeys say the same once
            lines.append(Line(tr("Stays cold"), " ".join(dict.fromkeys(bare)), audience=(reader,)))
    return tuple(lines)


def site_tables(job: Job, takeoff: Takeoff) -> tuple[Table, ...]:
    """Tables of preparation and of counted items, where there are any."""
    tables = (preparation_table(job, takeoff), counted_table(job))
    return tuple(table for table in tables if table.rows)


def preparation_text(job: Job, takeoff: Takeoff) -> str:
    """ "Strip linings … back to what holds: 23.40 m² in Kitchen."; "" where nothing is asked for."""
    found = preparations(job, takeoff)
    names, copies = _names(job), _copies(job)
    parts = []
    for kind in usual().preparations:
        own = [one for one in found if one.kind == kind.id]
        if own:
            total = sum((one.quantity * copies[one.storey, one.room] for one in own), Decimal(0))
            rooms = [names[one.storey, one.room] for one in own]
            where = (
                listed(rooms) if len(rooms) <= _MOST_NAMED else tr_count("{count} room", "{count} rooms", len(rooms))
            )
            facts = {"work": tr(kind.what_to_do), "rooms": where, "count": number(total)}
            parts.append(
                tr("{work}: {count} m² in {rooms}.", **facts)
                if kind.unit == "m²"
                else tr("{work}: {count} in {rooms}.", **facts)
            )
    return " ".join(parts)


def preparation_table(job: Job, takeoff: Takeoff) -> Table:
    """Room by room what has to be done first, with why and how much; with a total of nothing, since units differ."""
    found = preparations(job, takeoff)
    names, copies = _names(job), _copies(job)
    kinds = {kind.id: kind for kind in usual().preparations}
    rows: list[tuple[Cell, ...]] = [
        (
            names[one.storey, one.room],
            tr(kinds[one.kind].what_to_do),
            listed(cause_words(one)),
            _quantity(one, copies),
            tr(kinds[one.kind].unit) if kinds[one.kind].unit != "m²" else "m²",
        )
        for one in found
    ]
    return Table(
        id="preparation",
        title=tr("Preparation"),
        columns=(
            Column(tr("Room"), share=1.2),
            Column(tr("Work"), share=2.6),
            Column(tr("Because of"), share=1.6),
            Column(tr("Quantity"), kind="figure", share=0.8),
            Column(tr("Unit"), share=0.6),
        ),
        rows=tuple(rows),
        note=tr("By the site check. The figures stand in the price where it is set."),
        empty=tr("Nothing has to be prepared by the site check."),
        audience=EVERYBODY,
    )


def _quantity(one: Preparing, copies: Mapping[tuple[str, str], int]) -> Decimal:
    return one.quantity * copies[one.storey, one.room]


def counted_table(job: Job) -> Table:
    """Every counted item room by room: how many, what is done, who does it; of all copies of a room."""
    names, copies = _names(job), _copies(job)
    rows: list[tuple[Cell, ...]] = []
    for storey in job.storeys:
        for room in storey.rooms:
            key = (str(storey.id), str(room.id))
            rows += [(names[key], *_item_cells(room, item, copies[key])) for item in room.counted]
    return Table(
        id="counted",
        title=tr("Counted items"),
        columns=(
            Column(tr("Room"), share=1.4),
            Column(tr("Item"), share=1.8),
            Column(tr("Count"), kind="count", share=0.7),
            Column(tr("What is done"), share=2.2),
            Column(tr("By whom"), share=1.0),
        ),
        rows=tuple(rows),
        empty=tr("Nothing is counted yet."),
        audience=EVERYBODY,
    )


def item_words(room: Room, item: CountedItem) -> str:
    """ "Radiators, wall B"."""
    letter = wall_letters(room).get(item.side, "") if item.side else ""
    name = tr(KIND_NAMES[item.kind])
    return tr("{item}, wall {letter}", item=name, letter=letter) if letter else name


def _item_cells(room: Room, item: CountedItem, copies: int) -> tuple[Cell, ...]:
    return item_words(room, item), item.count * copies, tr(DONE_NAMES[item.done]), tr(WHO_NAMES[item.who])


def bare_lines(job: Job, takeoff: Takeoff, lettered: bool = True) -> tuple[str, ...]:
    """A sentence for each outside wall of a coated room that stays bare behind units, tiles or a radiator that stays.
    Empty where none does; whether a wall is outside is what measuring found. ``lettered``: walls by the letters that
    stand on the team's plan alone."""
    measured = {(room.storey, room.room): room for room in takeoff.rooms}
    found: list[str] = []
    for storey in job.storeys:
        for room in storey.rooms:
            taken = measured.get((str(storey.id), str(room.id)))
            if taken is not None and taken.coated_m2 > 0:
                found += _bare_in(room, taken, lettered)
    return tuple(found)


def _bare_in(room: Room, taken: RoomTakeoff, lettered: bool) -> Iterator[str]:
    letters = wall_letters(room)
    outside = {face.id: face for face in taken.faces if outside_parts(face) is not None}
    for side in room.sides:
        face = outside.get(str(side.id))
        if face is None:
            continue
        what = [*_covered(room, side, face), *_radiators(room, side)]
        covered = listed(list(dict.fromkeys(what)))
        if what and lettered:
            letter = letters.get(str(side.id), "")
            yield tr(
                "{room}, wall {letter}: behind {what} this outside wall stays bare and as cold as it was.",
                room=room.title,
                letter=letter,
                what=covered,
            )
        elif what:
            yield tr(
                "{room}: behind {what} an outside wall stays bare and as cold as it was.", room=room.title, what=covered
            )
    somewhere = [i for i in room.counted if i.kind == "radiators" and i.done == "stays" and i.side is None]
    if somewhere and outside:
        yield tr(
            "{room}: behind radiators that stay on an outside wall it stays bare and as cold as it was.",
            room=room.title,
        )


def _covered(room: Room, side: Side, face: Face) -> Iterator[str]:
    """What is fixed over an outside part of a wall that is otherwise coated."""
    treatment = side.treatment or room.walls
    length = face.length_m * 1000.0
    parts = [(a, length if b is None else b) for a, b in outside_parts(face) or ()] or [(0.0, length)]
    if not treatment.coat:
        return
    for covered in treatment.exclusions:
        low, high = min(v[0] for v in covered.outline), max(v[0] for v in covered.outline)
        if any(low < b and a < high for a, b in parts):
            yield part_words(covered.what) if covered.what else tr("what is fixed there")


def _radiators(room: Room, side: Side) -> Iterator[str]:
    if any(i.kind == "radiators" and i.done == "stays" and i.side == str(side.id) for i in room.counted):
        yield tr("the radiator")


def _names(job: Job) -> dict[tuple[str, str], str]:
    return {(str(storey.id), str(room.id)): room.title for storey in job.storeys for room in storey.rooms}


def _copies(job: Job) -> Mapping[tuple[str, str], int]:
    return {
        (str(storey.id), str(room.id)): storey.times * room.times for storey in job.storeys for room in storey.rooms
    }
