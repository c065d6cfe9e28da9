"""What was noticed while reading, collected by kind and told in one sentence per kind."""

from __future__ import annotations

from collections import Counter
from typing import Any

from ezdxf.lldxf.const import DXFError

from takeoff.errors import Finding, Severity, Where

PARSER_FAULTS = (
    DXFError,
    ValueError,
    LookupError,
    TypeError,
    AttributeError,
    ArithmeticError,
    RecursionError,
    AssertionError,
)
"""What ezdxf raises on damaged data: its own family, and the plain errors that escape from its
number and structure parsing (struct.error is a ValueError's cousin and is met when loading)."""

NAMES_SHOWN = 6


class Log:
    """Collects what happened; ``findings`` tells it once everything was read."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.repairs: list[Finding] = []
        self.unread: Counter[str] = Counter()
        self.unread_at: str | None = None
        self.faults: dict[str, str] = {}
        self.not_lines: Counter[str] = Counter()
        self.chords: Counter[str] = Counter()
        self.dropped = 0
        self.dropped_of: Counter[str] = Counter()
        self.dropped_at: Where | None = None
        self.missing: Counter[str] = Counter()
        self.cycles: set[str] = set()
        self.too_deep: set[str] = set()
        self.too_many: dict[str, int] = {}
        self.xrefs: dict[str, tuple[str, Where]] = {}
        self.tilted: Counter[str] = Counter()
        self.recoded = 0
        self.invisible = 0
        self.wide = 0

    def fault(self, kind: str, handle: str, error: BaseException) -> None:
        """An entity that cannot be read because of what ``error`` says."""
        self.unread[kind] += 1
        self.faults.setdefault(kind, f"{type(error).__name__}: {error}"[:120])
        self.unread_at = self.unread_at or handle

    def drop(self, count: int, kind: str, handle: str, layer: str) -> None:
        """Pieces with coordinates that are no places."""
        self.dropped += count
        self.dropped_of[kind] += count
        if self.dropped_at is None:
            self.dropped_at = Where(layer=layer or None, handle=handle or None)

    def findings(self) -> list[Finding]:
        """All that was noticed, repairs first; an empty list if nothing was."""
        return [*self.repairs, *self._lost(), *self._blocks(), *self._notes()]

    def _lost(self) -> list[Finding]:
        found = []
        if self.unread:
            reasons = "; ".join(self.faults.values())
            found.append(
                finding(
                    "entity-not-read",
                    "error",
                    f"{self.name}: {listed(self.unread)} could not be read ({reasons}): "
                    "save the drawing again in its program and open it again.",
                    Where(handle=self.unread_at),
                )
            )
        if self.dropped and self.dropped_at is not None:
            place = " ".join(
                p
                for p in (
                    f"layer {self.dropped_at.layer}" if self.dropped_at.layer else "",
                    f"handle {self.dropped_at.handle}" if self.dropped_at.handle else "",
                )
                if p
            )
            found.append(
                finding(
                    "coordinates-dropped",
                    "error",
                    f"{self.name}: {listed(self.dropped_of)} with coordinates that are no numbers or beyond the "
                    f"Earth left out, the first on {place or 'an unnamed layer'}: mend or erase them.",
                    self.dropped_at,
                )
            )
        return found

    def _blocks(self) -> list[Finding]:
        found = [
            finding(
                "xref-not-read",
                "check",
                f'{self.name}: what the drawing takes from "{path or name}" (external reference {name}) is in '
                "that file and was not read: bind it, or open that file too.",
                where,
            )
            for name, (path, where) in self.xrefs.items()
        ]
        if self.missing:
            found.append(
                finding(
                    "block-missing",
                    "error",
                    f"{self.name}: blocks are inserted that the file does not contain: {listed(self.missing)}.",
                )
            )
        if self.cycles:
            found.append(
                finding(
                    "block-cycle",
                    "check",
                    f"{self.name}: blocks contain themselves ({names(self.cycles)}): each was placed once.",
                )
            )
        if self.too_deep:
            found.append(
                finding(
                    "block-depth",
                    "error",
                    f"{self.name}: blocks are nested too deep to follow ({names(self.too_deep)} left out): "
                    "explode them in the drawing's program.",
                )
            )
        if self.too_many:
            most = max(self.too_many.values())
            found.append(
                finding(
                    "block-limit",
                    "error",
                    f"{self.name}: inserts of {names(self.too_many)} would make {most:,} pieces, more than this "
                    "program places: they are left out. Erase what is no plan and open it again.",
                )
            )
        return found

    def _notes(self) -> list[Finding]:
        found = []
        if self.not_lines:
            found.append(
                finding(
                    "content-not-read",
                    "check",
                    f"{self.name} also holds {listed(self.not_lines)}, which carry no readable linework: if "
                    "walls are among them, explode them in the drawing's program.",
                )
            )
        if self.chords:
            found.append(
                finding(
                    "curve-by-chords",
                    "note",
                    f"{listed(self.chords)} measured by chords of at most 1.5 degrees (lengths at most 0.02 % short).",
                )
            )
        if self.tilted:
            found.append(
                finding(
                    "not-in-plan",
                    "check",
                    f"{listed(self.tilted)} stand out of the plan's plane and were projected on it.",
                )
            )
        if self.recoded:
            found.append(
                finding(
                    "text-encoding",
                    "note",
                    f"{self.recoded} words were not in the encoding the file names; read as Western European.",
                )
            )
        if self.wide:
            found.append(
                finding(
                    "wide-lines",
                    "note",
                    f"{self.wide} polylines are drawn with a width: as thick as a wall, and so all along, one "
                    "is taken for a wall with two faces; others are lines along their middle.",
                )
            )
        if self.invisible:
            found.append(
                finding("invisible", "note", f"{self.invisible} entities are marked invisible and were left out.")
            )
        return found


def finding(code: str, severity: Severity, text: str, where: Where | None = None) -> Finding:
    return Finding(code, severity, text, where or Where())


def listed(counts: Counter[str]) -> str:
    """Counts as words: ``3 ELLIPSE, 1 SPLINE``, the most frequent first, shortened."""
    parts = [f"{n} {name}" for name, n in counts.most_common(NAMES_SHOWN)]
    more = len(counts) - len(parts)
    return ", ".join(parts) + (f" and {more} other kinds" if more > 0 else "")


def names(of: Any) -> str:
    """Some names in order, shortened."""
    all_names = sorted(of)
    more = len(all_names) - NAMES_SHOWN
    return ", ".join(all_names[:NAMES_SHOWN]) + (f" and {more} more" if more > 0 else "")
