"""What a job holds besides its plan: who it is for and from, prices, and photos pinned to its parts."""

from __future__ import annotations

from typing import Annotated

import msgspec

from takeoff.plan.base import OpeningId, RoomId, SideId, Value

Price = Annotated[str, msgspec.Meta(pattern=r"^(\d{1,7}(\.\d{1,4})?)?$")]
"""An amount of money as decimal text, "" for none: money is never a binary number."""


class Details(Value, frozen=True):
    """What the sheets say besides what is measured, as typed; empty means that they say nothing.

    ``date`` empty: the day on which they are written. Prices are per m² and per m, in ``currency``.
    """

    client: str = ""
    site: str = ""
    contractor: str = ""
    reference: str = ""
    date: str = ""
    currency: str = ""
    price_coat_m2: Price = ""
    price_bead_m: Price = ""


class Photo(Value, frozen=True):
    """A photo pinned to a room, to one of its faces, or to an opening of it.

    The picture itself is kept in the job's file under its digest; ``name`` is what its file was called.
    """

    id: str
    sha256: str
    room: RoomId
    side: SideId | None = None
    opening: OpeningId | None = None
    name: str = ""
    note: str = ""
