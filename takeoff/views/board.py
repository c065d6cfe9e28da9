"""A measured job as the window holds it: one frozen state per edit, figures as the sheets print them.

What a state shares with the one before it is the very same object, so that an edit of one room
costs one room, and views can compare with ``is``.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType

import msgspec

from takeoff.errors import Finding
from takeoff.measure import Memory
from takeoff.measure.customs_assumed import customs_assumed
from takeoff.measure.outside_rule import outside_as_drawn
from takeoff.measure.takeoff import RoomTakeoff, Takeoff
from takeoff.plan.model import Job
from takeoff.services.measured.job_result import Measured, if_all_taken_in, still_open, system_findings
from takeoff.sheets.printed_figures import room_figures
from takeoff.supply.order import Order

Key = tuple[str, str]
"""(storey id, room id)"""

Figures = Mapping[str, Decimal]


class RoomBoard(msgspec.Struct, frozen=True):
    """A measured room, its printed figures (for one), and how often it counts in the whole job."""

    taken: RoomTakeoff
    figures: Figures
    factor: int


class State(msgspec.Struct, frozen=True):
    """A job and what was measured of it. ``totals``: Σ factor × printed figure, as on the sheets."""

    job: Job
    takeoff: Takeoff
    rooms: Mapping[Key, RoomBoard]
    totals: Figures

    def room(self, room_id: str) -> RoomBoard | None:
        """The measured room of that id, whichever storey it is in; None where there is none."""
        return next((room for key, room in self.rooms.items() if key[1] == room_id), None)


class Considered(msgspec.Struct, frozen=True):
    """What takes longer than an edit may: the order, and everything that the job's check finds."""

    order: Order | None
    findings: tuple[Finding, ...]
    failure: str = ""


def stand(job: Job, memory: Memory, before: State | None = None) -> State:
    """The state of a job. ``memory`` and ``before`` make an edit cost only what it changed.

    Raises InputError or OutputError where a figure would be no number.
    """
    takeoff = memory.measure(job)
    times = {(str(s.id), str(r.id)): r.times * s.times for s in job.storeys for r in s.rooms}
    known: Mapping[Key, RoomBoard] = before.rooms if before else {}
    rooms: dict[Key, RoomBoard] = {}
    for taken in takeoff.rooms:
        key = (taken.storey, taken.room)
        old = known.get(key)
        factor = times[key]
        if old is not None and old.taken is taken and old.factor == factor:
            rooms[key] = old
        else:
            rooms[key] = RoomBoard(taken, MappingProxyType(room_figures(taken)), factor)
    return State(job, takeoff, MappingProxyType(rooms), _totals(rooms, before))


def _totals(rooms: Mapping[Key, RoomBoard], before: State | None) -> Figures:
    """The sum over rooms; from the last one by what changed, which is exact in decimals."""
    totals: dict[str, Decimal] = dict(before.totals) if before else {}
    known: Mapping[Key, RoomBoard] = before.rooms if before else {}
    for key, room in rooms.items():
        old = known.get(key)
        if old is not room:
            _add(totals, room, room.factor)
            if old is not None:
                _add(totals, old, -old.factor)
    for key in known.keys() - rooms.keys():
        _add(totals, known[key], -known[key].factor)
    return MappingProxyType(totals)


def _add(totals: dict[str, Decimal], room: RoomBoard, times: int) -> None:
    for name, value in room.figures.items():
        totals[name] = totals.get(name, Decimal("0.00")) + times * value


def consider(state: State) -> Considered:
    """Order and check of a state; meant to run beside the window. A job without system says so."""
    from takeoff.errors import TakeoffError
    from takeoff.supply.lots import order_of
    from takeoff.supply.systems import of_job

    findings = _of_job(state)
    try:
        order = order_of(state.job, state.takeoff, of_job(state.job))
    except TakeoffError as error:
        return Considered(None, findings, str(error))
    return Considered(order, (*findings, *system_findings(state.job, state.takeoff)))


def _of_job(state: State) -> tuple[Finding, ...]:
    """What check and measuring say of a job as it stands."""
    from takeoff.plan.check import check

    job, taken = state.job, state.takeoff
    return (*check(job), *outside_as_drawn(job, taken), *customs_assumed(job, taken))


def all_findings(state: State, considered: Considered | None, read: tuple[Finding, ...] = ()) -> tuple[Finding, ...]:
    """Everything to settle that is still open, each once, the grave ones first. ``read``: of reading and
    recognition."""
    checked, order = (considered.findings, considered.order) if considered else ((), None)
    return still_open(state.job, (*read, *checked), state.takeoff, order)


def measured_of(state: State, read: tuple[Finding, ...], source: str) -> Measured:
    """The state as the command's own value, for the sheets. ``read``: of reading and recognition. Raises
    InputError for an unknown system."""
    from takeoff.supply.lots import order_of
    from takeoff.supply.systems import of_job

    order = order_of(state.job, state.takeoff, of_job(state.job))
    told = (*read, *_of_job(state), *system_findings(state.job, state.takeoff))
    found = still_open(state.job, told, state.takeoff, order)
    return Measured(state.job, state.takeoff, order, found, source, if_all_taken_in(state.job))
