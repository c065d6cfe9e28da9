"""The usual limits of a site, what is looked at there, and what each cause asks for, as data with sources
(``resources/sitecheck/usual.json``).
"""

from __future__ import annotations

from functools import cache
from typing import Literal

import msgspec

from takeoff.errors import InputError
from takeoff.files.paths import resource
from takeoff.language import tr
from takeoff.plan.site_check import Looked, Quantity, Stage

Preparation = Literal["", "strip", "treat", "skim", "second-base", "specialist"]
"""What a hold adds to the work, "" for nothing."""

FILE = "sitecheck/usual.json"


class Limit(msgspec.Struct, frozen=True):
    """What a reading must not go under or over, in ``unit``, and where that comes from; what to do about it, and what
    too much asks for."""

    id: str
    unit: str
    source: str
    low: float | None = None
    high: float | None = None
    low_remedy: str = ""
    high_remedy: str = ""
    preparation: Preparation = ""


class Look(msgspec.Struct, frozen=True):
    """What is looked at, at which stages, which answer holds, why, what to do, what it asks for; ``unseen``: said where
    nobody looked; ``always``: holds in a quote too."""

    what: Looked
    stages: tuple[Stage, ...]
    holds_on: Literal["yes", "no"]
    preparation: Preparation
    always: bool
    reason: str
    remedy: str
    unseen: str


class PreparationKind(msgspec.Struct, frozen=True):
    """Work that a cause asks for: of which faces it takes the coated area, or one *each* for room and cause."""

    id: Preparation
    what_to_do: str
    unit: Literal["m²", "each"]
    faces: Literal["all", "walls"]
    source: str


class Usual(msgspec.Struct, frozen=True):
    """The usual limits; hours for which a reading is good, and what must be read, by stage."""

    limits: tuple[Limit, ...]
    moisture: dict[str, float]
    fresh_hours: dict[Stage, float]
    needs: dict[Stage, tuple[Quantity, ...]]
    looks: tuple[Look, ...]
    preparations: tuple[PreparationKind, ...]


@cache
def usual() -> Usual:
    """The usual limits."""
    return read_usual(resource(FILE).read_bytes(), FILE)


def read_usual(data: bytes, name: str) -> Usual:
    """Limits from the bytes of a file called ``name``. Raises InputError in one sentence for what cannot be read, a
    limit or a look that says not what to do, and work that is not in the file."""
    try:
        found = msgspec.json.decode(data, type=Usual)
    except msgspec.DecodeError as error:
        raise InputError(tr("{file} cannot be read as limits of the site: {error}.", file=name, error=error)) from None
    known = {"", *(one.id for one in found.preparations)}
    for limit in found.limits:
        if (limit.low is not None and not limit.low_remedy) or (limit.high is not None and not limit.high_remedy):
            raise InputError(tr("{file}: the hold of “{what}” says not what to do: add it.", file=name, what=limit.id))
    for look in found.looks:
        if not look.remedy:
            raise InputError(tr("{file}: the hold of “{what}” says not what to do: add it.", file=name, what=look.what))
    asked = [one.preparation for one in found.limits] + [one.preparation for one in found.looks]
    for preparation in asked:
        if preparation not in known:
            raise InputError(tr("{file}: “{what}” is no work of this file: add it.", file=name, what=preparation))
    return found
