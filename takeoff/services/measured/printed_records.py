"""Printed figures in the result as JSON: decimal text, as the sheets print them and never a binary number."""

from __future__ import annotations

import msgspec


class PrintedRoom(msgspec.Struct, frozen=True):
    """The printed figures of one room, for one; it stands ``times`` in the job."""

    storey: str
    room: str
    times: int
    figures: dict[str, str]


class PrintedTax(msgspec.Struct, frozen=True):
    """The lines of one tax rate (per cent): their sum and the tax on it."""

    rate: str
    net: str
    tax: str


class PrintedPrice(msgspec.Struct, frozen=True):
    """A price. ``net`` and ``gross`` null while a line has no price (``unknown`` names it)."""

    net: str | None
    gross: str | None
    taxes: tuple[PrintedTax, ...]
    unknown: tuple[str, ...]


class PrintedOption(msgspec.Struct, frozen=True):
    """An option; ``chosen``: the job is coated so."""

    name: str
    chosen: bool
    coated_m2: str
    days: int | None
    visits: int | None
    price: PrintedPrice


class PrintedLot(msgspec.Struct, frozen=True):
    """What a lot costs, carriage in it; null where a price is missing."""

    name: str
    date: str
    cost: str | None
    carriage: str | None


class Printed(msgspec.Struct, frozen=True):
    """Everything that the sheets total. Areas m², lengths m by the names of the totals; ``order``: cost of the order,
    ``carriage`` in it, in ``order_currency``; ``price`` null for a job without a price, in ``currency``."""

    totals: dict[str, str]
    rooms: tuple[PrintedRoom, ...]
    order: str | None
    carriage: str | None
    order_currency: str
    currency: str
    price: PrintedPrice | None
    options: tuple[PrintedOption, ...]
    lots: tuple[PrintedLot, ...]
