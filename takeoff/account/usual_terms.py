"""What an account goes by where nobody said otherwise, as data with its sources."""

from __future__ import annotations

from functools import cache

import msgspec

from takeoff.files.paths import resource


class StageParts(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Per cent of a room's price that is earned at each stage."""

    percent: dict[str, int]
    source: str


class QuantityLimit(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """By how many per cent an item's quantity may change before its rate may be looked at again. ``known``: whether
    the source was read, or is recalled ("memory")."""

    percent: int
    source: str
    known: str = ""


class LeadDays(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Days from an order to the delivery."""

    days: int
    source: str


class ThinPart(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Under which part of the thickness a reading is told."""

    part: float
    source: str


class UsualTerms(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """All of it."""

    stages: StageParts
    quantity_limit: QuantityLimit
    lead_days: LeadDays
    thin: ThinPart


@cache
def usual() -> UsualTerms:
    """What ``resources/account/usual.json`` says."""
    return msgspec.json.decode(resource("account/usual.json").read_bytes(), type=UsualTerms)
