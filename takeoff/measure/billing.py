"""From a measured room to what a measuring convention bills of it."""

from __future__ import annotations

from takeoff.measure.conventions import BandLeft, Billed, BillOpening, BillRoom, Convention, RevealGirth, bill
from takeoff.measure.takeoff import RoomTakeoff

NET = "net"
"""The convention that bills what is ordered: every opening deducted."""


def bill_room(convention: Convention, room: RoomTakeoff) -> Billed:
    """What a convention bills of one room's walls and reveals, for one room.

    Walls that are not coated are no part of the bill; openings in them are not deducted again.
    """
    bare = {s.id: s for s in room.surfaces if s.kind == "wall" and s.net_m2 <= 0.0}
    gross = sum(s.gross_m2 for s in room.surfaces if s.kind == "wall" and s.id not in bare)
    left = sum(s.not_coated_m2 for s in room.surfaces if s.kind == "wall" and s.id not in bare)
    girths: dict[str, list[RevealGirth]] = {}
    for d in room.dims:
        if d.quantity == "reveal_m2" and len(d.dims) == 2:
            girths.setdefault(d.where, []).append(RevealGirth(d.dims[1], d.times * d.dims[0]))
    openings = tuple(
        BillOpening(h.opening, h.area_m2, tuple(girths.get(h.strips, ()))) for h in room.holes if h.face not in bare
    )
    bands = tuple(
        BandLeft(d.what, min(d.dims), d.product)
        for d in room.dims
        if d.quantity == "excluded_m2" and len(d.dims) == 2 and d.where not in bare
    )
    return bill(convention, BillRoom(gross, openings, bands, left))
