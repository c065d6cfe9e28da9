"""Lists of names in sentences, cut where nobody reads on."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.language.catalogue import tr


def some_of(names: Sequence[str], most: int, between: str = ", ") -> str:
    """ "A, B and 4 more": so many of the names at most; all of them where there are no more, "" for none."""
    told = between.join(names[:most])
    return tr("{names} and {count} more", names=told, count=len(names) - most) if len(names) > most else told
