"""What is keyed of a budget room: length × width × height and a list of openings."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

import msgspec

from takeoff.errors import InputError
from takeoff.plan.model import Job, RoomId, StoreyId
from takeoff.plan.readings import keyed
from takeoff.plan.readings.put_rooms import BudgetOpening, put_budget_room
from takeoff.views.site_reading import Fault, kind_of

T = TypeVar("T")


class OpeningLine(msgspec.Struct, frozen=True):
    """So many openings of one size, as keyed."""

    count: str = ""
    kind: str = ""
    width: str = ""
    height: str = ""
    reveal: str = ""

    @property
    def is_empty(self) -> bool:
        """Whether nothing was keyed of it but, perhaps, a kind."""
        return not (self.count or self.width or self.height or self.reveal)


class BudgetSheet(msgspec.Struct, frozen=True):
    """All cells of a budget room."""

    name: str = ""
    length: str = ""
    width: str = ""
    height: str = ""
    openings: tuple[OpeningLine, ...] = (OpeningLine(),)


class Budget(msgspec.Struct, frozen=True):
    """What the cells give; ``faults`` name those that are missing or cannot be read."""

    length_mm: float
    width_mm: float
    height_mm: float
    openings: tuple[BudgetOpening, ...]
    faults: tuple[Fault, ...]


def offered(sheet: BudgetSheet) -> BudgetSheet:
    """The sheet with one empty line of openings to go on with."""
    kept = tuple(line for line in sheet.openings if not line.is_empty)
    return msgspec.structs.replace(sheet, openings=(*kept, OpeningLine()))


def read_budget(sheet: BudgetSheet) -> Budget:
    """The sizes and openings that the cells hold."""
    faults: list[Fault] = []

    def take(cell: str, otherwise: T, parse: Callable[..., T], *given: object) -> T:
        try:
            return parse(*given)
        except InputError as error:
            faults.append(Fault(cell, str(error)))
            return otherwise

    sizes = [
        take(part, 0.0, _length, getattr(sheet, part), f"the {part} of the room")
        for part in ("length", "width", "height")
    ]
    openings = tuple(
        BudgetOpening(
            count=take(f"count:{n}", 1, _count, line.count),
            width_mm=take(f"wide:{n}", 0.0, _length, line.width, "the width of the opening"),
            height_mm=take(f"tall:{n}", 0.0, _length, line.height, "the height of the opening"),
            kind=take(f"kind:{n}", "window", kind_of, line.kind),
            reveal_mm=take(f"reveal:{n}", None, keyed.small_length, line.reveal),
        )
        for n, line in enumerate(sheet.openings)
        if not line.is_empty
    )
    return Budget(sizes[0], sizes[1], sizes[2], openings, tuple(faults))


def _length(text: str, what: str) -> float:
    value = keyed.length(text)
    if value is None:
        raise InputError(f"Type {what}.")
    return value


def _count(text: str) -> int:
    if not text:
        raise InputError("Type how many openings of this size there are.")
    if not text.isdecimal() or not 1 <= int(text) <= 99:
        raise InputError(f"“{text}” is no number of openings: type 1, 2, 3 …")
    return int(text)


def put_budget(job: Job, storey: str, sheet: BudgetSheet, room_id: RoomId) -> Job:
    """The job with that room. Raises InputError with the first fault."""
    budget = read_budget(sheet)
    if budget.faults:
        raise InputError(budget.faults[0].text)
    return put_budget_room(
        job,
        StoreyId(storey) if storey else None,
        room_id,
        sheet.name.strip(),
        budget.length_mm,
        budget.width_mm,
        budget.height_mm,
        budget.openings,
    )
