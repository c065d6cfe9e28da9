"""What is counted in a room beside what is coated, and who sees to it: radiators, sockets, vents, poles, hatches.

Part of the job file.
"""

from __future__ import annotations

from typing import Literal, get_args

from takeoff.plan.values import Value

ItemKind = Literal["radiators", "sockets", "vents", "poles", "hatches"]
"""Radiators; sockets and switches; vents; curtain poles and rails; access hatches."""

ITEM_KINDS: tuple[ItemKind, ...] = get_args(ItemKind)

Handling = Literal["stays", "off-and-on", "kept-open"]
"""Stays where it is and nobody coats behind it; taken off before the coat and put on again after it; kept open."""

Who = Literal["us", "client", "electrician", "plumber"]

WHO: tuple[Who, ...] = get_args(Who)

HANDLED: dict[ItemKind, tuple[Handling, ...]] = {
    "radiators": ("off-and-on", "stays"),
    "sockets": ("off-and-on", "stays"),
    "vents": ("kept-open",),
    "poles": ("off-and-on", "stays"),
    "hatches": ("kept-open", "stays"),
}
"""What may be done with each, the usual first: a vent is never covered."""

USUAL_WHO: dict[ItemKind, Who] = {
    "radiators": "plumber",
    "sockets": "electrician",
    "vents": "us",
    "poles": "client",
    "hatches": "us",
}


class CountedItem(Value, frozen=True):
    """So many of one kind in a room. ``side``: the wall they are on, by its id, None where it is not given; it matters
    where something stays, since the wall behind it stays bare."""

    kind: ItemKind
    count: int = 1
    done: Handling = "off-and-on"
    who: Who = "us"
    side: str | None = None

    @property
    def priced(self) -> bool:
        """Whether it is work of ours."""
        return self.who == "us" and self.done != "stays"
