"""The error tree and findings.

Bad input is a value: a stage returns ``(result, findings)``. An exception means
that we cannot go on, and its text is one sentence a user can act on.
"""

from __future__ import annotations

from typing import Literal

import msgspec

Severity = Literal["error", "check", "assumed", "note"]
"""error: the result is wrong or incomplete until it is fixed; check: look at it;
assumed: a value that was not given; note: worth knowing (evidence, a repair)."""


class Where(msgspec.Struct, frozen=True, omit_defaults=True, forbid_unknown_fields=True):
    """The place a finding speaks of; every part may be absent.

    ``x_mm`` and ``y_mm`` are in the drawing's coordinates times its unit.
    """

    storey: str | None = None
    room: str | None = None
    surface: str | None = None
    opening: str | None = None
    x_mm: float | None = None
    y_mm: float | None = None
    layer: str | None = None
    handle: str | None = None
    page: int | None = None


class Facts(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What a finding says, without its words: its key in the ledger ("code" or "code/way"), and its facts by name
    as they were told."""

    key: str
    named: tuple[tuple[str, str], ...] = ()


class Finding(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What was noticed, where, and what to do about it.

    ``code`` is stable kebab-case ("printed-area-differs"); ``text`` is a whole sentence; ``evidence`` says why the
    program thinks so, for whoever wants to know ("" where the sentence is all there is to say). ``facts``: by which it
    is known again, whatever its words; none for one that was kept before facts were.
    """

    code: str
    severity: Severity
    text: str
    where: Where = Where()
    facts: Facts | msgspec.UnsetType = msgspec.UNSET
    evidence: str = ""


class TakeoffError(Exception):
    """Root of every error that is ours; its text is for the user."""


class InputError(TakeoffError):
    """A file or a value that we cannot read: names what, where and what to do."""


class OutputError(TakeoffError):
    """A result that could not be written; nothing half-written is left behind."""


class Cancelled(TakeoffError):
    """The user stopped a long piece of work."""
