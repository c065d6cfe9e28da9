"""The base of every record of the job file."""

from __future__ import annotations

import msgspec


class Value(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Base of every saved record: frozen, strict, compared by value."""
