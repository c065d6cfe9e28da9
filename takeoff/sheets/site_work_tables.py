"""What the site asks for besides the coat, as lines and tables: preparation, counted items, walls that stay bare."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal

from takeoff.language import listed, mark, number, tr, tr_count
from takeoff.measure.outside_rule import outside_parts
from takeoff.measure.takeoff import Face, RoomTakeoff, Takeoff
from takeoff.plan.counted_items import CountedItem, Handling, ItemKind, Who
from takeoff.plan.model import Job, Room, Side
from takeoff.plan.wall_letters import wall_letters
from takeoff.sheets.line_words import part_words
from takeoff.sheets.sheet_values import EVERYBODY, Cell, Column, Line, Table
from takeoff.sitecheck.holds import Hold
from takeoff.sitecheck.preparation import Preparing, cause_words, preparations
from takeoff.sitecheck.usual_limits import Preparation, PreparationKind, usual

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
_MOST_NAMED, _MOST_IN_A_CELL = 6, 8
"""More rooms than these are counted and not named: in a sentence, and in a cell of a table."""


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
    tables = (
        preparation_table(job, takeoff),
        preparation_by_room(job, takeoff),
        counted_table(job),
        counted_by_room(job),
    )
    return tuple(table for table in tables if table.rows)


def card_site_lines(job: Job, takeoff: Takeoff, found: Sequence[Hold]) -> dict[str, tuple[Line, ...]]:
    """What the card of each room says of its site check, by room id: what holds it (the remedy
    stands in the list of holds), what is prepared first, what is
    counted in it. Nothing for a room of which nothing is known."""
    lines: dict[str, list[Line]] = {}
    for hold in found:
        if hold.state == "hold" and hold.room:
            lines.setdefault(hold.room, []).append(Line(tr("HOLD"), hold.reason, urgent=True))
    kinds = {kind.id: kind for kind in usual().preparations}
    for one in preparations(job, takeoff):
        work, unit = tr(kinds[one.kind].what_to_do), kinds[one.kind].unit
        text = f"{work}: {number(one.quantity)} m²." if unit == "m²" else f"{work}."
        lines.setdefault(one.room, []).append(Line(tr("Preparation"), text))
    for (_, name), room in _rooms(job):
        for item in room.counted:
            text = f"{item_words(room, item)} {item.count}: {tr(DONE_NAMES[item.done])} ({tr(WHO_NAMES[item.who])})."
            lines.setdefault(name, []).append(Line(tr("Counted items"), text))
    return {room: _together(own) for room, own in lines.items()}


def _together(lines: Sequence[Line]) -> tuple[Line, ...]:
    """One line for each label, in the order in which they come."""
    texts: dict[str, list[str]] = {}
    for line in lines:
        texts.setdefault(line.label, []).append(line.text)
    urgent = {line.label for line in lines if line.urgent}
    return tuple(Line(label, " ".join(dict.fromkeys(said)), urgent=label in urgent) for label, said in texts.items())


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
    """What has to be done first, with why, where and how much; with a total of nothing, since units differ."""
    names, copies, kinds = _names(job), _copies(job), {kind.id: kind for kind in usual().preparations}
    works: dict[tuple[Preparation, str], list[Preparing]] = {}
    for one in preparations(job, takeoff):
        works.setdefault((one.kind, listed(cause_words(one))), []).append(one)
    order = list(kinds)
    rows: list[tuple[Cell, ...]] = [
        (
            tr(kinds[kind].what_to_do),
            because,
            where_words([names[one.storey, one.room] for one in own], len(names)),
            sum((_quantity(one, copies) for one in own), Decimal(0)),
            _unit(kinds[kind]),
        )
        for (kind, because), own in sorted(works.items(), key=lambda item: order.index(item[0][0]))
    ]
    return Table(
        id="preparation",
        title=tr("Preparation"),
        columns=(*_work_columns(), Column(tr("Where"), share=1.6), *_quantity_columns()),
        rows=tuple(rows),
        note=tr("By the site check. The figures stand in the price where it is set."),
        empty=tr("Nothing has to be prepared by the site check."),
        audience=EVERYBODY,
    )


def preparation_by_room(job: Job, takeoff: Takeoff) -> Table:
    """The same room by room, for the workbook and the tables; on paper each room's card has its own."""
    names, copies = _names(job), _copies(job)
    kinds = {kind.id: kind for kind in usual().preparations}
    rows: list[tuple[Cell, ...]] = [
        (
            names[one.storey, one.room],
            tr(kinds[one.kind].what_to_do),
            listed(cause_words(one)),
            _quantity(one, copies),
            _unit(kinds[one.kind]),
        )
        for one in preparations(job, takeoff)
    ]
    return Table(
        id="preparation-by-room",
        title=tr("Preparation room by room"),
        columns=(Column(tr("Room"), share=1.2), *_work_columns(), *_quantity_columns()),
        rows=tuple(rows),
        empty=tr("Nothing has to be prepared by the site check."),
        audience=EVERYBODY,
        papers=(),
    )


def _work_columns() -> tuple[Column, Column]:
    return Column(tr("Work"), share=2.6), Column(tr("Because of"), share=1.6)


def _quantity_columns() -> tuple[Column, Column]:
    return Column(tr("Quantity"), kind="figure", share=0.8), Column(tr("Unit"), share=0.6)


def _unit(kind: PreparationKind) -> str:
    return kind.unit if kind.unit == "m²" else tr(kind.unit)


def where_words(where: Sequence[str], rooms: int) -> str:
    """Rooms by name where they are few: "Hall, Kitchen"; else "every room", or how many of so many rooms."""
    if len(where) == rooms and rooms > 1:
        return tr("every room")
    if len(where) > _MOST_IN_A_CELL:
        return tr("{count} of {all} rooms", count=len(where), all=rooms)
    return ", ".join(where)


def _quantity(one: Preparing, copies: Mapping[tuple[str, str], int]) -> Decimal:
    return one.quantity * copies[one.storey, one.room]


def counted_table(job: Job) -> Table:
    """The counted items of all rooms and of all their copies: what, how many, what is done, who does it, and where."""
    names, copies = _names(job), _copies(job)
    alike: dict[tuple[ItemKind, Handling, Who], list[tuple[tuple[str, str], int]]] = {}
    for key, room in _rooms(job):
        for item in room.counted:
            alike.setdefault((item.kind, item.done, item.who), []).append((key, item.count * copies[key]))
    rows: list[tuple[Cell, ...]] = []
    for (kind, done, who), own in alike.items():
        where = where_words(list(dict.fromkeys(names[key] for key, _ in own)), len(names))
        total = sum(count for _, count in own)
        rows.append((tr(KIND_NAMES[kind]), total, tr(DONE_NAMES[done]), tr(WHO_NAMES[who]), where))
    return Table(
        id="counted",
        title=tr("Counted items"),
        columns=(
            Column(tr("Item"), share=1.6),
            Column(tr("Count"), kind="count", share=0.6),
            Column(tr("What is done"), share=2.6),
            Column(tr("By whom"), share=0.9),
            Column(tr("Where"), share=1.7),
        ),
        rows=tuple(rows),
        empty=tr("Nothing is counted yet."),
        audience=EVERYBODY,
    )


def counted_by_room(job: Job) -> Table:
    """The same room by room with the walls, for the workbook and the tables; on paper each room's card has its own."""
    names, copies = _names(job), _copies(job)
    return Table(
        id="counted-by-room",
        title=tr("Counted items room by room"),
        columns=(
            Column(tr("Room"), share=1.4),
            Column(tr("Item"), share=1.8),
            Column(tr("Count"), kind="count", share=0.7),
            Column(tr("What is done"), share=2.2),
            Column(tr("By whom"), share=1.0),
        ),
        rows=tuple(
            (names[key], *_item_cells(room, item, copies[key])) for key, room in _rooms(job) for item in room.counted
        ),
        empty=tr("Nothing is counted yet."),
        audience=EVERYBODY,
        papers=(),
    )


def _rooms(job: Job) -> Iterator[tuple[tuple[str, str], Room]]:
    for storey in job.storeys:
        for room in storey.rooms:
            yield (str(storey.id), str(room.id)), room


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
