"""From a measured room to what a measuring convention bills of it."""

from __future__ import annotations

from collections.abc import Mapping

from takeoff.measure.conventions import (
    BandLeft,
    Billed,
    BillOpening,
    BillRoom,
    Convention,
    Item,
    NarrowPart,
    RevealGirth,
    bill,
    by_length,
)
from takeoff.measure.takeoff import CoatedPart, RoomTakeoff

NET = "net"
"""The convention that bills what is ordered: every opening deducted."""

_ITEMS: Mapping[str, Item] = {"wall": "walls", "ceiling": "ceilings", "drop": "drops", "top": "drops"}

_WIDTH_PLACES = 6
"""Decimals of a metre to which narrow parts are of one width."""


def bill_room(convention: Convention, room: RoomTakeoff) -> Billed:
    """What a convention bills of one room, for one room.

    Stretches of wall that are not coated are no part of the bill, nor are openings in them; of an
    opening that reaches into one, the part beside the coat counts. Ceilings, drops and tops are billed as
    coated, so that a rooflight is taken off in full, and its shaft is billed apart.
    """
    girths: dict[str, list[RevealGirth]] = {}
    for d in room.dims:
        if d.quantity == "reveal_m2" and len(d.dims) == 2:
            girths.setdefault(d.where, []).append(RevealGirth(d.dims[1], d.times * d.dims[0]))
    narrow, wide = [], []
    for part in (p for p in room.coated_parts if p.area_m2 > 0.0 and p.width_m > 0.0):
        openings = tuple(BillOpening(h.opening, h.area_m2, tuple(girths.pop(h.strips, ()))) for h in part.holes)
        bands = tuple(BandLeft("left on", width, area) for width, area in part.left_on)
        if by_length(convention, part.width_m):
            width = round(part.width_m, _WIDTH_PLACES) or part.width_m
            narrow.append(NarrowPart(_ITEMS[part.kind], width, part.area_m2, openings, bands))
        else:
            wide.append((part, openings, bands))
    walls = [(openings, bands) for part, openings, bands in wide if part.kind == "wall"]
    parts = [part for part, _, _ in wide]
    return bill(
        convention,
        BillRoom(
            wall_gross_m2=_area(parts, "walls"),
            openings=tuple(o for openings, _ in walls for o in openings),
            bands=tuple(b for _, bands in walls for b in bands),
            narrow=tuple(narrow),
            ceiling_m2=_area(parts, "ceilings"),
            drop_m2=_area(parts, "drops"),
            apart=tuple(BillOpening(name, 0.0, tuple(of)) for name, of in girths.items()),
        ),
    )


def _area(parts: list[CoatedPart], item: Item) -> float:
    return sum(part.area_m2 for part in parts if _ITEMS[part.kind] == item)
