"""What was sent is kept: a line of states in the job file, each frozen with its figures, order, price and sheets.

A state is bytes that never change: they are known by their digest. Any two can be compared, one can be accepted as the
contract, and going back to one makes a new one. There is no tree of versions beside that line.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from decimal import Decimal
from pathlib import Path
from typing import Literal

import msgspec

from takeoff.errors import InputError, TakeoffError
from takeoff.files.from_outside import newer_field
from takeoff.language import tr
from takeoff.plan import edits
from takeoff.plan.edits.work_dates import day_of
from takeoff.plan.model import Job
from takeoff.plan.price_terms import PriceTerms
from takeoff.plan.work_records import Contract, ContractItem, ContractRoom, ContractTax
from takeoff.price.offer import Offer, worth
from takeoff.services.measured.job_result import Measured, measure_job, result, with_copies
from takeoff.services.offered.offering import offer_of, priced_by
from takeoff.services.offered.priced_quantities import room_quantities, summed
from takeoff.services.opened.opening import Opened
from takeoff.services.written.writing import Page, document, write_everything
from takeoff.storage import jobs
from takeoff.storage.content import Content, KeptState, kept_state
from takeoff.supply.order import Order
from takeoff.units.printing import printed

Why = Literal["sent", "kept", "back"]
"""*sent* to somebody; *kept* before something took its place; *back*: made of an earlier one."""

MOST_STATES = 9_999


class SentDrawing(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A drawing that the state was measured from."""

    name: str
    number: str
    revision: str
    sha256: str


class SentFile(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A sheet as it was sent: its name and fingerprint."""

    name: str
    sha256: str


class SentState(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A state as it is kept. ``price`` None where no price was set; ``result`` as ``takeoff measure --json`` gives it;
    ``job`` as a job file has it."""

    schema: Literal["takeoff-state/1"]
    number: int
    why: Why
    on: str
    to: str
    by: str
    note: str
    drawings: tuple[SentDrawing, ...]
    sheets: tuple[SentFile, ...]
    price: Offer | None
    items: tuple[ContractItem, ...]
    rooms: tuple[ContractRoom, ...]
    order: msgspec.Raw
    result: msgspec.Raw
    job: msgspec.Raw


class Said(msgspec.Struct, frozen=True):
    """Who sent what to whom, and when."""

    on: str
    to: str = ""
    by: str = ""
    note: str = ""


def read_state(kept: KeptState) -> SentState:
    """A kept state as values. Raises InputError where a newer program wrote it."""
    try:
        return msgspec.json.decode(kept.data, type=SentState)
    except msgspec.MsgspecError as error:
        if name := newer_field(error):
            raise InputError(
                tr(
                    "State {number} has the field “{name}” of a newer program, which kept it: look at it there.",
                    number=kept.number,
                    name=name,
                )
            ) from error
        raise InputError(
            tr(
                "State {number} cannot be read ({error}): a newer program may have kept it.",
                number=kept.number,
                error=error,
            )
        ) from error


def states_of(content: Content) -> tuple[SentState, ...]:
    """Every kept state, in order."""
    return tuple(read_state(kept) for kept in content.states)


def state_numbered(content: Content, number: int) -> SentState:
    """The state of that number. Raises InputError where there is none."""
    for kept in content.states:
        if kept.number == number:
            return read_state(kept)
    raise InputError(tr("There is no state {number}: the job keeps {count}.", number=number, count=len(content.states)))


def job_of(state: SentState) -> Job:
    """The job as it was then."""
    return jobs.load(bytes(state.job), tr("State {number}", number=state.number))


def frozen(content: Content, measured: Measured, why: Why, said: Said, sheets: Mapping[str, bytes] = {}) -> Content:
    """The content with one state more, of the measured job. Raises InputError for a day that is none."""
    day_of(said.on)
    number = max((one.number for one in content.states), default=0) + 1
    if number > MOST_STATES:
        raise InputError(tr("The job keeps {most} states already, and no more.", most=MOST_STATES))
    job = with_copies(measured.job)
    state = SentState(
        "takeoff-state/1",
        number,
        why,
        said.on,
        said.to,
        said.by,
        said.note,
        tuple(SentDrawing(ref.name, ref.number, ref.revision, ref.sha256) for ref in job.drawings),
        tuple(SentFile(name, hashlib.sha256(data).hexdigest()) for name, data in sheets.items()),
        _price(measured),
        _items(measured),
        _rooms(measured),
        msgspec.Raw(msgspec.json.encode(measured.order)),
        msgspec.Raw(msgspec.json.encode(result(measured))),
        msgspec.Raw(jobs.encode(job)),
    )
    return msgspec.structs.replace(content, states=(*content.states, kept_state(number, msgspec.json.encode(state))))


def send(
    content: Content, measured: Measured, folder: Path, said: Said, page: Page | None = None
) -> tuple[Content, tuple[Path, ...]]:
    """Writes the sheets into ``folder`` and freezes what they show: (the content with the state, files written). The
    content is still to be saved. Raises InputError where something is to be fixed, or nobody is named; OutputError."""
    if not said.to.strip():
        raise InputError(tr("Name whom the sheets are sent to."))
    day_of(said.on)
    if measured.has_errors:
        raise InputError(
            tr("Something is still to fix, so nothing is sent: {reason}.", reason=measured.draft.rstrip("."))
        )
    files = write_everything(measured, document(measured, said.on), folder, page)
    sheets = {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}
    return frozen(content, measured, "sent", said, sheets), files


def back_to(content: Content, number: int, on: str) -> Content:
    """The content with its job as it was in a state; what happened on site since stays. The job as it stands is kept
    before, unless the last state is the same. Raises InputError where there is no such state."""
    state = state_numbered(content, number)
    job = msgspec.structs.replace(job_of(state), work=content.job.work)
    last = read_state(content.states[-1])
    if _bare(job_of(last)) != _bare(with_copies(content.job)):
        note = tr("before going back to state {number}", number=number)
        content = frozen(content, measured_of(content), "kept", Said(on, note=note))
    content = msgspec.structs.replace(content, job=job)
    return frozen(content, measured_of(content), "back", Said(on, note=tr("back to state {number}", number=number)))


def accept(content: Content, on: str, by: str, number: int | None = None) -> Content:
    """The content with the price of a state, the last that was sent unless a number is given, as its contract. Raises
    InputError where nothing was sent, or no price."""
    sent = [state.number for state in states_of(content) if state.why == "sent"]
    if number is None and not sent:
        raise InputError(tr("Nothing was sent yet: send the sheets first."))
    state = state_numbered(content, sent[-1] if number is None else number)
    return msgspec.structs.replace(content, job=edits.accept_contract(content.job, contract_of(state, on, by)))


def contract_of(state: SentState, on: str, by: str) -> Contract:
    """The contract that a state's price makes."""
    terms = job_of(state).price
    taxes = state.price.taxes if state.price is not None else ()
    return Contract(
        state=state.number,
        on=on,
        by=by,
        taxes=tuple(ContractTax(rate=f"{one.rate:f}", net=f"{one.net:f}") for one in taxes),
        items=state.items,
        rooms=state.rooms,
        hour=terms.hour,
        tax=terms.tax,
    )


def order_of(state: SentState) -> Order:
    """The order as it was then."""
    return msgspec.json.decode(state.order, type=Order)


def measured_of(content: Content, path: Path = Path()) -> Measured:
    """The content's job, measured."""
    from takeoff.plan.check import check

    findings = (*content.findings, *check(content.job))
    return measure_job(Opened(path, "job", content.job, findings, content.drawings, content))


def measured_state(content: Content, number: int) -> Measured:
    """The job as it was in that state, measured. Raises InputError for a state that is not there."""
    return measured_of(msgspec.structs.replace(content, job=job_of(state_numbered(content, number))))


def _bare(job: Job) -> Job:
    """The job without what happened on site."""
    return msgspec.structs.replace(job, work=Job().work)


def _price(measured: Measured) -> Offer | None:
    if priced_by(measured.job) == PriceTerms():
        return None
    try:
        return offer_of(measured)
    except TakeoffError:
        return None


def _items(measured: Measured) -> tuple[ContractItem, ...]:
    terms = priced_by(measured.job)
    rates = {rate.item: rate for rate in terms.rates}
    found = []
    for item, quantity in summed(room_quantities(measured, terms)).items.items():
        rate = rates.get(item)
        price = rate.price if rate is not None and terms.way == "rates" else ""
        tax = rate.tax if rate is not None else ""
        found.append(ContractItem(item=item, quantity=f"{quantity:f}", price=price, tax=tax or terms.tax))
    return tuple(found)


def _rooms(measured: Measured) -> tuple[ContractRoom, ...]:
    """Rooms with their weights: what each comes to at the rates, else its coated area."""
    terms = priced_by(measured.job)
    names = {str(room.id): room.title for storey in measured.job.storeys for room in storey.rooms}
    areas = {(str(room.storey), str(room.room)): printed(room.coated_m2) for room in measured.takeoff.rooms}
    found = []
    for room in room_quantities(measured, terms):
        weight = worth(terms, room.all) if terms.way == "rates" else Decimal(0)
        weight = weight or areas[room.storey, room.room] * room.copies
        found.append(ContractRoom(room=room.room, name=names.get(room.room, ""), weight=f"{printed(weight):f}"))
    return tuple(found)
