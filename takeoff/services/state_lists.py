"""The lists of what was sent and bought, for the command and the window."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

import msgspec

from takeoff.errors import InputError
from takeoff.language import mark, tr
from takeoff.plan.model import Job
from takeoff.services.job_result import Measured, result
from takeoff.services.offering import offer_of
from takeoff.services.sent_states import SentState, Why, measured_of, state_numbered, states_of
from takeoff.services.supply_books import to_buy
from takeoff.sheets.sheet_values import Table
from takeoff.sheets.work_tables import Compared, StateRow, buy_table, ledger_table, sawn_table
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
}


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
    """What differs between two states, by number, or "now". Raises InputError for one that is not there."""
    before, after = _figures(content, old), _figures(content, new)
    rows = []
    for key in dict.fromkeys((*before, *after)):
        a, b = before.get(key, Decimal(0)), after.get(key, Decimal(0))
        if a != b:
            room, what, unit = key
            rows.append(Compared(room, what, unit, a, b))
    order = {room: k for k, room in enumerate(dict.fromkeys(row.room for row in rows))}
    return tuple(sorted(rows, key=lambda row: (not row.room, order[row.room])))


def bought_tables(measured: Measured) -> tuple[Table, ...]:
    """The ledger, what is still to buy, and how bead is cut now."""
    job = measured.job
    system, still = in_words(of_job(job)), to_buy(measured)
    names = {key: product.name for key, product in products_by_line(system).items()}
    names |= {f"bead-{one.id}": one.name for one in system.beads}
    currency = job.details.currency or measured.order.currency
    lots = {lot.id: lot.name or lot.id for lot in job.lots}
    sawn = sawn_table(still, names)
    return (ledger_table(job.work, names, lots), buy_table(still, currency), *([sawn] if sawn else []))


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


def _figures(content: Content, which: str) -> dict[tuple[str, str, str], Decimal]:
    """(room, what, unit) → the printed figure, of all the room's copies."""
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
    found = dict(_room_figures(built))
    for word, unit in (*_FIGURES.values(), (mark("New corner bead"), "m")):
        found["", tr(word), unit] = sum((v for (_, what, _), v in found.items() if what == tr(word)), Decimal(0))
    if order is not None:
        found["", tr("Order"), ""] = order
    if price is not None:
        found["", tr("Price with tax"), ""] = price
    return found


def _room_figures(built: Mapping[str, Any]) -> Iterator[tuple[tuple[str, str, str], Decimal]]:
    names: dict[str, int] = {}
    for room in built["rooms"]:
        name = room["name"] or room["id"]
        names[name] = names.get(name, 0) + 1
        label = name if names[name] == 1 else f"{name} ({names[name]})"
        for key, (word, unit) in _FIGURES.items():
            yield (label, tr(word), unit), printed(room[key]) * room["times"]
        bead = sum(piece["length_mm"] for piece in room["bead_pieces"]) / 1000
        yield (label, tr("New corner bead"), "m"), printed(bead) * room["times"]


def _cost(state: SentState) -> Decimal | None:
    cost = msgspec.json.decode(state.order).get("cost")
    return None if cost is None else Decimal(str(cost))
