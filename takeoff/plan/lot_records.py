"""Lots: which rooms are worked together, and what stands in the van already. Part of the job file."""

from __future__ import annotations

from takeoff.plan.values import Value


class LotRoom(Value, frozen=True):
    """A room of a storey; ``copies``: which of those that are built alike, from 1 on, () for all of them."""

    storey: str
    room: str
    copies: tuple[int, ...] = ()


class Lot(Value, frozen=True):
    """Rooms that are worked and delivered together; ``date`` "" where it is not set."""

    id: str
    name: str = ""
    date: str = ""
    rooms: tuple[LotRoom, ...] = ()


class InVan(Value, frozen=True):
    """What is there already of an item of the order, in the item's own unit."""

    item: str
    quantity: float
