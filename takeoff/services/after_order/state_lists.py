"""The lists of what was sent and bought, for the command and the window."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

import msgspec

from takeoff.errors import InputError
from takeoff.language import mark, tr
from takeoff.plan.model import Job
from takeoff.services.after_order.sent_states import SentState, Why, job_of, measured_of, state_numbered, states_of
from takeoff.services.after_order.supply_books import to_buy, to_buy_by_lot
from takeoff.services.changed.comparing import printed_between
from takeoff.services.measured.job_result import Measured, result
from takeoff.services.offered.offering import offer_of
from takeoff.sheets.sheet_values import Table
from takeoff.sheets.work_tables import Compared, StateRow, buy_table, ledger_table, lots_to_buy_table, sawn_table
from takeoff.storage.content import Content
from takeoff.supply.systems import in_words, of_job, products_by_line
from takeoff.units.printing import printed

NOW = "now"
"""The job as it stands, where a state is named."""

WHY_WORDS: dict[Why, str] = {"sent": mark("sent"), "kept": mark("kept"), "back": mark("gone back")}

_FIGURES = {
    "wall_net_m2": (mark("Walls"), "m²"),
    "ceiling_m2": (mark("Ceilings"), "m²"),
    "drop_m2": (mark("Bulkheads and boxing"), "m²"),
    "reveal_m2": (mark("Reveals"), "m²"),
    "coated_m2": (mark("To coat"), "m²"),
    "bead_m": (mark("New corner bead"), "m"),
}
NOUGHT = Decimal(0)


def state_rows(content: Content) -> tuple[StateRow, ...]:
    """A row for each state, oldest first."""
    contract = content.job.work.contract
    rows = []
    for state in states_of(content):
        drawings = [" ".join(part for part in (one.number or one.name, one.revision) if part) for one in state.drawings]
        accepted = contract is not None and contract.state == state.number
        why = state.note if state.why != "sent" else tr(WHY_WORDS[state.why])
        rows.append(
            StateRow(
                state.number,
                tr("{why}, the contract", why=why) if accepted else why,
                state.on,
                state.to,
                state.by,
                ", ".join(drawings),
                state.price.gross if state.price is not None else None,
                len(state.sheets),
                accepted,
            )
        )
    return tuple(rows)


def compared(content: Content, old: str, new: str) -> tuple[Compared, ...]:
    """What differs between two states, by number, or "now": room by room, known again by their ids, the whole job last.
    What is added and what is omitted stand apart. Raises InputError for a state that is not there."""
    before, after = _figures(content, old), _figures(content, new)
    titles = {**before.titles, **after.titles}
    apart = _apart(_job_of(content, old), _job_of(content, new))
    totals: dict[str, tuple[Decimal, Decimal]] = {}
    rows, last = [], []
    for room, title in titles.items():
        was, now = before.rooms.get(room, {}), after.rooms.get(room, {})
        said = before.titles.get(room, title)
        label = title if said == title else tr("{room}, was called {name}", room=title, name=said)
        for key, (word, unit) in _FIGURES.items():
            a, b = was.get(key, NOUGHT), now.get(key, NOUGHT)
            added, omitted = _parts(apart.get((room, key)), b - a)
            more, less = totals.get(key, (NOUGHT, NOUGHT))
            totals[key] = more + added, less + omitted
            if a != b or added:
                rows.append(Compared(label, tr(word), unit, a, b, added, omitted))
    for key, (word, unit) in _FIGURES.items():
        a, b = (sum((room.get(key, NOUGHT) for room in one.rooms.values()), NOUGHT) for one in (before, after))
        added, omitted = totals.get(key, (NOUGHT, NOUGHT))
        if a != b or added:
            last.append(Compared("", tr(word), unit, a, b, added, omitted))
    for word in dict.fromkeys((*before.money, *after.money)):
        a, b = before.money.get(word, NOUGHT), after.money.get(word, NOUGHT)
        if a != b:
            last.append(Compared("", word, "", a, b, *_parts(None, b - a)))
    return (*rows, *last)


def _parts(apart: tuple[Decimal, Decimal] | None, change: Decimal) -> tuple[Decimal, Decimal]:
    """(added, omitted): surface by surface where that gives what the two states printed, else by the sum alone."""
    if apart is not None and apart[0] - apart[1] == change:
        return apart
    return max(change, NOUGHT), max(-change, NOUGHT)


def _apart(old: Job, new: Job) -> dict[tuple[str, str], tuple[Decimal, Decimal]]:
    """What was added and what was omitted, surface by surface, by room and figure, of all the room's copies."""
    found = {}
    for room in printed_between(old, new).changed:
        if room.times_old == room.times_new:
            for key, quantity in room.printed.items():
                found[room.room, key] = quantity.added * room.times_new, quantity.omitted * room.times_new
    return found


def _job_of(content: Content, which: str) -> Job:
    return content.job if which == NOW else job_of(state_numbered(content, int(which)))


def bought_tables(measured: Measured) -> tuple[Table, ...]:
    """The ledger, what is still to buy, in all and lot by lot where the job has lots, and how bead is cut now."""
    job = measured.job
    system, still = in_words(of_job(job)), to_buy(measured)
    names = {key: product.name for key, product in products_by_line(system).items()}
    names |= {f"bead-{one.id}": one.name for one in system.beads}
    currency = job.details.currency or measured.order.currency
    lots = {lot.id: lot.name or lot.id for lot in job.lots}
    sawn = sawn_table(still, names)
    by_lot = [lots_to_buy_table(to_buy_by_lot(measured), currency)] if job.lots else []
    return (ledger_table(job.work, names, lots), buy_table(still, currency), *by_lot, *([sawn] if sawn else []))


def rooms_called(job: Job, name: str) -> tuple[str, ...]:
    """Ids of the rooms of that name, or of the storey of that name. Raises InputError where there is none."""
    wanted = " ".join(name.casefold().split())
    found = tuple(
        str(room.id)
        for storey in job.storeys
        for room in storey.rooms
        if wanted in {" ".join(one.casefold().split()) for one in (storey.title, room.title, room.name, room.number)}
    )
    if not wanted or not found:
        raise InputError(tr("The job has no storey and no room “{name}”: use one that it has.", name=name))
    return found


class _Figures(msgspec.Struct, frozen=True):
    """A state's printed figures, of all copies of each room: by room and figure; rooms' titles; sums of money."""

    rooms: dict[str, dict[str, Decimal]]
    titles: dict[str, str]
    money: dict[str, Decimal]


def _figures(content: Content, which: str) -> _Figures:
    if which == NOW:
        measured = measured_of(content)
        built = msgspec.to_builtins(result(measured))
        price = offer_of(measured).gross if content.job.price.rates or content.job.price.way != "rates" else None
        order = measured.order.cost
    else:
        if not which.isdecimal():
            raise InputError(tr("“{text}” is no state: give its number, or “now”.", text=which))
        state = state_numbered(content, int(which))
        built = msgspec.json.decode(state.result)
        price = state.price.gross if state.price is not None else None
        order = _cost(state)
    money = {tr("Order"): order, tr("Price with tax"): price}
    return _Figures(
        {room["id"]: dict(_room_figures(room)) for room in built["rooms"]},
        _titles(built),
        {word: value for word, value in money.items() if value is not None},
    )


def _titles(built: Mapping[str, Any]) -> dict[str, str]:
    """Rooms by id as they are called, counted where several are called the same."""
    found: dict[str, str] = {}
    names: dict[str, int] = {}
    for room in built["rooms"]:
        name = room["name"] or room["id"]
        names[name] = names.get(name, 0) + 1
        found[room["id"]] = name if names[name] == 1 else f"{name} ({names[name]})"
    return found


def _room_figures(room: Mapping[str, Any]) -> Iterator[tuple[str, Decimal]]:
    bead = sum(piece["length_mm"] for piece in room["bead_pieces"]) / 1000
    for key in _FIGURES:
        yield key, printed(bead if key == "bead_m" else room[key]) * room["times"]


def _cost(state: SentState) -> Decimal | None:
    cost = msgspec.json.decode(state.order).get("cost")
    return None if cost is None else Decimal(str(cost))
