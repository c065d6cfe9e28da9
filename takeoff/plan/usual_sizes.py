"""Sizes that openings have where nobody said: what a plan does not show, and what a change of kind brings."""

from __future__ import annotations

from typing import Literal

import msgspec

from takeoff.plan.model import Opening, Reveal, Source, Strip

Kind = Literal["window", "door", "open"]

WINDOW_SILL_MM, WINDOW_HEAD_MM, DOOR_HEAD_MM, WINDOW_REVEAL_MM = 900.0, 2100.0, 2040.0, 150.0
"""Usual sizes where nothing was said (common practice, no source)."""

_GIVEN = ("drawn", "figured", "typed", "site")
replace = msgspec.structs.replace


class UsualSizes(msgspec.Struct, frozen=True):
    """Heights and depths in mm for what is not shown, with the names of those that the user *gave*; the
    others are assumed."""

    door_head_mm: float = DOOR_HEAD_MM
    window_sill_mm: float = WINDOW_SILL_MM
    window_head_mm: float = WINDOW_HEAD_MM
    reveal_mm: float = WINDOW_REVEAL_MM
    given: frozenset[str] = frozenset()

    def source(self, name: str) -> Source:
        """*typed* where the user gave the value, else *assumed*"""
        return "typed" if name in self.given else "assumed"


USUAL = UsualSizes()


def of_kind(opening: Opening, kind: Kind, usual: UsualSizes = USUAL) -> Opening:
    """The opening as one of another kind: sizes that nobody gave are the usual ones of the new kind, those that
    were typed, read, figured or drawn stay; the same opening where it is of that kind.

    The floor under a door is no sill that was given, and the thickness of the wall that an open way goes
    through is no depth of a reveal. A round opening keeps its sill and head, which are its width apart.
    """
    if kind == opening.kind:
        return opening
    new = replace(
        opening,
        kind=kind,
        reveal=_revealed(opening.reveal, opening, kind, usual),
        reveal_beyond=None if opening.reveal_beyond is None else _revealed(opening.reveal_beyond, opening, kind, usual),
    )
    return new if opening.shape == "round" else _upright(new, opening, kind, usual)


def _upright(new: Opening, old: Opening, kind: Kind, usual: UsualSizes) -> Opening:
    """With sill and head of the new kind where they were not given, as long as the head stays above the sill."""
    window = kind == "window"
    name = "window_head_mm" if window else "door_head_mm"
    head, head_source = old.head_mm, old.head_source
    if head_source not in _GIVEN:
        head, head_source = getattr(usual, name), usual.source(name)
    sill, sill_source = old.sill_mm, old.sill_source
    if not _sill_given(old):
        sill, sill_source = (usual.window_sill_mm, usual.source("window_sill_mm")) if window else (0.0, "assumed")
    if head <= sill:
        sill, sill_source = old.sill_mm, old.sill_source
    if head <= sill:
        head, head_source = old.head_mm, old.head_source
    return replace(new, sill_mm=sill, sill_source=sill_source, head_mm=head, head_source=head_source)


def _sill_given(opening: Opening) -> bool:
    """A plan "draws" a door on the floor only in that it draws no sill; with a head that is known too, as a
    building model gives it, both are."""
    if opening.kind != "window" and opening.sill_mm == 0 and opening.sill_source == "drawn":
        return opening.head_source in _GIVEN
    return opening.sill_source in _GIVEN


def _revealed(reveal: Reveal, opening: Opening, kind: Kind, usual: UsualSizes) -> Reveal:
    """Windows: the usual depth; lined door frames none; ways span their wall, which measuring finds (common
    practice, no source). What is coated and how it splays stays."""

    def strip(old: Strip) -> Strip:
        through_wall = opening.kind == "open" and old.depth_source == "drawn"
        if old.depth_mm > 0 and old.depth_source in _GIVEN and not through_wall:
            return old
        if kind == "window":
            return replace(old, depth_mm=usual.reveal_mm, depth_source=usual.source("reveal_mm"))
        return replace(old, depth_mm=0.0, depth_source="assumed")

    return replace(
        reveal, start=strip(reveal.start), end=strip(reveal.end), head=strip(reveal.head), sill=strip(reveal.sill)
    )
