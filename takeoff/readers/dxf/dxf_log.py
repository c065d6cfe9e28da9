"""What was noticed while reading, collected by kind and told in one sentence per kind."""

from __future__ import annotations

from collections import Counter
from typing import Any, NamedTuple

from ezdxf.lldxf.const import DXFError

from takeoff.errors import Finding, InputError, Severity, Where
from takeoff.files.from_outside import LONGEST_NAME, clean, undecodable
from takeoff.findings import noticed
from takeoff.language import number, tr
from takeoff.language.lists import some_of

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

MOST_DRAWN = 1_000_000
"""Sides and points that the entities of a drawing may come to, those of its blocks once each. A sheet of a
whole tower with its hatches has some 300,000."""
NAMES_SHOWN = 6
LAYERS_TOLD = 12
"""What was lost on more layers than this is told together."""
LONGEST_FAULT = 120
WORDED = frozenset({"TEXT", "MTEXT", "ATTDEF", "ATTRIB", "DIMENSION", "MULTILEADER", "MLEADER"})
"""Kinds that carry words: without one of them no wall is missing."""


FILLS = frozenset({"HATCH", "MPOLYGON", "SOLID", "TRACE", "3DFACE"})
"""Kinds that fill what other lines bound."""


class Lost(NamedTuple):
    """Pieces of one layer that are missing: how many of each kind, why, and the handle of the first."""

    kinds: Counter[str]
    reasons: dict[str, str]
    handle: str


class Log:
    """Collects what happened; ``findings`` tells it once everything was read."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.repairs: list[Finding] = []
        self.unread: dict[tuple[str, bool], Lost] = {}
        self.not_lines: Counter[str] = Counter()
        self.chords: Counter[str] = Counter()
        self.dropped: dict[tuple[str, bool], Lost] = {}
        self.sizeless: Counter[str] = Counter()
        self.missing: Counter[str] = Counter()
        self.cycles: set[str] = set()
        self.too_deep: set[str] = set()
        self.too_many: dict[str, int] = {}
        self.xrefs: dict[str, tuple[str, Where]] = {}
        self.tilted: Counter[str] = Counter()
        self.recoded = 0
        self.drawn = 0
        self.filling = False
        self.invisible = 0
        self.wide = 0

    def spend(self, points: int) -> None:
        """Counts what the drawing comes to. Raises InputError where that is more than can be measured, and
        ValueError where what is being read is a fill, which can be left out."""
        self.drawn += points
        if self.drawn > MOST_DRAWN and self.filling:
            self.drawn -= points
            raise ValueError(tr("more than {most} lines with it", most=number(MOST_DRAWN)))
        if self.drawn > MOST_DRAWN:
            raise InputError(
                tr(
                    "{file} has more than {most} lines, too many to measure: erase what is no plan (hatches, terrain, "
                    "solids) and open it again.",
                    file=self.name,
                    most=number(MOST_DRAWN),
                )
            )

    def fault(self, kind: str, handle: str, error: BaseException, layer: str = "") -> None:
        """An entity that cannot be read because of what ``error`` says."""
        reason = clean(f"{type(error).__name__}: {error}", LONGEST_FAULT).replace("\n", " ")
        self._lose(self.unread, kind, handle, layer).reasons.setdefault(kind, reason)

    def drop(self, kind: str, handle: str, layer: str) -> None:
        """A piece with coordinates that are no places."""
        self._lose(self.dropped, kind, handle, layer)

    def _lose(self, of: dict[tuple[str, bool], Lost], kind: str, handle: str, layer: str) -> Lost:
        kind = self.name_in(kind)
        lost = of.setdefault((self.name_in(layer), kind in WORDED), Lost(Counter(), {}, handle))
        lost.kinds[kind] += 1
        return lost

    def name_in(self, text: object) -> str:
        """A name that the file gives, as it is kept and shown."""
        return self.words_in(str(text), LONGEST_NAME)

    def words_in(self, text: str, longest: int) -> str:
        """Words of the file, cleaned; those that were not in the encoding that it names are counted."""
        if undecodable(text):
            self.recoded += 1
        return clean(text, longest)

    def findings(self) -> list[Finding]:
        """All that was noticed, repairs first; an empty list if nothing was."""
        return [*self.repairs, *self._lost(), *self._blocks(), *self._notes()]

    def _lost(self) -> list[Finding]:
        """Layer by layer, so that what each is for can tell whether a wall may be missing."""
        found = []
        for (layer, words), lost in _told_apart(self.unread):
            at = Where(layer=layer or None, handle=lost.handle or None)
            severity: Severity = "check" if words else "error"
            told = {"entities": listed(lost.kinds), "reasons": "; ".join(lost.reasons.values())}
            found.append(noticed("entity-not-read", at, severity, file=self.name, **told))
        for (layer, words), lost in _told_apart(self.dropped):
            at = Where(layer=layer or None, handle=lost.handle or None)
            severity = "check" if words else "error"
            place = _place_words(layer, lost.handle)
            told = {"entities": listed(lost.kinds), "place": place}
            found.append(noticed("coordinates-dropped", at, severity, file=self.name, **told))
        if self.sizeless:
            found.append(noticed("without-size", file=self.name, entities=listed(self.sizeless)))
        return found

    def _blocks(self) -> list[Finding]:
        found = [
            noticed("xref-not-read", where, file=self.name, path=path or name, name=name)
            for name, (path, where) in self.xrefs.items()
        ]
        if self.missing:
            found.append(noticed("block-missing", file=self.name, blocks=listed(self.missing)))
        if self.cycles:
            found.append(noticed("block-cycle", file=self.name, blocks=names(self.cycles)))
        if self.too_deep:
            found.append(noticed("block-depth", file=self.name, blocks=names(self.too_deep)))
        if self.too_many:
            most = max(self.too_many.values())
            found.append(noticed("block-limit", file=self.name, blocks=names(self.too_many), pieces=number(most)))
        return found

    def _notes(self) -> list[Finding]:
        found = []
        if self.not_lines:
            found.append(noticed("content-not-read", file=self.name, entities=listed(self.not_lines)))
        if self.chords:
            found.append(noticed("curve-by-chords", entities=listed(self.chords)))
        if self.tilted:
            found.append(noticed("not-in-plan", entities=listed(self.tilted)))
        if self.recoded:
            found.append(noticed("text-encoding", count=self.recoded))
        if self.wide:
            found.append(noticed("wide-lines", count=self.wide))
        if self.invisible:
            found.append(noticed("invisible", count=self.invisible))
        return found


def _told_apart(of: dict[tuple[str, bool], Lost]) -> list[tuple[tuple[str, bool], Lost]]:
    """What was lost by layer; beyond LAYERS_TOLD together, as of no layer."""
    each = list(of.items())
    rest = each[LAYERS_TOLD:]
    if not rest:
        return each
    kinds: Counter[str] = Counter()
    reasons: dict[str, str] = {}
    for _, lost in rest:
        kinds.update(lost.kinds)
        reasons = {**lost.reasons, **reasons}
    return [*each[:LAYERS_TOLD], (("", all(words for (_, words), _ in rest)), Lost(kinds, reasons, ""))]


def listed(counts: Counter[str]) -> str:
    """Counts as words: ``3 ELLIPSE, 1 SPLINE``, the most frequent first, shortened."""
    parts = [f"{number(n)} {name}" for name, n in counts.most_common()]
    return some_of(parts, NAMES_SHOWN)


def _place_words(layer: str, handle: str) -> str:
    if layer and handle:
        return tr("layer {layer}, handle {handle}", layer=layer, handle=handle)
    if layer or handle:
        return tr("layer {layer}", layer=layer) if layer else tr("handle {handle}", handle=handle)
    return tr("an unnamed layer")


def names(of: Any) -> str:
    """Some names in order, shortened."""
    all_names = sorted(of)
    return some_of(all_names, NAMES_SHOWN)
