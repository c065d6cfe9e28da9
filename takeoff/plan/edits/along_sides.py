"""What stands along a side, when the side's start moves and when the side is parted in two."""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec

from takeoff.geometry.curves import Curve
from takeoff.plan.edits.lookup import changed, with_parts
from takeoff.plan.model import Behind, Exclusion, Part, Side, SideId, WallTreatment

replace = msgspec.structs.replace


def moved_along(side: Side, by: float) -> Side:
    """The side with what stands along it that much further from its start, mm; what began at the start still does."""
    behind = tuple(_shifted_stretch(b, by) for b in side.behind)
    treatment = with_parts(side.treatment, lambda u: u + by)
    if treatment is not None and treatment.exclusions:
        moved = tuple(_shifted_outline(e, by) for e in treatment.exclusions)
        treatment = changed(treatment, exclusions=moved)
    return changed(side, behind=behind, treatment=treatment)


def _shifted_stretch(stretch: Behind, by: float) -> Behind:
    # A stretch from the very start still begins there.
    start = 0.0 if stretch.from_mm == 0 else max(0.0, stretch.from_mm + by)
    return changed(stretch, from_mm=start, to_mm=None if stretch.to_mm is None else max(0.0, stretch.to_mm + by))


def _shifted_outline(exclusion: Exclusion, by: float) -> Exclusion:
    return replace(exclusion, outline=tuple((u + by, z, bulge) for u, z, bulge in exclusion.outline))


def parted_in_two(side: Side, curve: Curve, cut: float, name: SideId, x: float, y: float) -> tuple[Side, Side]:
    """The side parted ``cut`` mm from its start at the corner (x, y), the second part called ``name``: each with its
    part of the arc, of what is behind and of the coat."""
    one, two = side.bulge, side.bulge
    if curve.bulge:
        quarter = math.atan(side.bulge)
        one, two = math.tan(quarter * cut / curve.length), math.tan(quarter * (1 - cut / curve.length))
    before, after = _parted_behind(side.behind, cut)
    own = side.treatment
    coats = (None, None) if own is None else _parted_treatment(own, curve.length, cut)
    first = replace(side, bulge=one, behind=before, treatment=coats[0])
    second = replace(side, id=name, x_mm=x, y_mm=y, bulge=two, behind=after, treatment=coats[1])
    return first, second


def _parted_behind(behind: tuple[Behind, ...], cut: float) -> tuple[tuple[Behind, ...], tuple[Behind, ...]]:
    before = tuple(
        replace(b, to_mm=cut if b.to_mm is not None and b.to_mm > cut else b.to_mm) for b in behind if b.from_mm < cut
    )
    after = tuple(
        replace(b, from_mm=max(0.0, b.from_mm - cut), to_mm=None if b.to_mm is None else b.to_mm - cut)
        for b in behind
        if b.to_mm is None or b.to_mm > cut
    )
    return before, after


def _parted_treatment(whole: WallTreatment, length: float, cut: float) -> tuple[WallTreatment, WallTreatment]:
    """Coated stretches and exclusions parted at ``cut``; an exclusion goes with the part that holds its start."""
    near = tuple(e for e in whole.exclusions if min(v[0] for v in e.outline) < cut)
    far = tuple(_shifted_outline(e, -cut) for e in whole.exclusions if e not in near)
    first, second = replace(whole, exclusions=near), replace(whole, exclusions=far)
    if whole.is_whole:
        return first, second
    start, end = whole.start_mm or 0.0, whole.end_mm or 0.0
    parts = [(a, length if b is None else b) for a, b in whole.parts_mm]
    before = [(a, min(b, cut)) for a, b in parts if a < cut]
    after = [
        (max(a, cut) - cut, None if to is None else b - cut)
        for (a, b), (_, to) in zip(parts, whole.parts_mm, strict=True)
        if b > cut
    ]
    return (
        _stretches(first, cut, min(start, cut), end - (length - cut), before),
        _stretches(second, length - cut, start - cut, min(end, length - cut), after),
    )


def _stretches(
    treatment: WallTreatment, length: float, start: float, end: float, parts: Sequence[Part]
) -> WallTreatment:
    """A treatment coated over these returns and stretches of a side; over all of it where they reach that far."""
    start_mm, end_mm = (mm if mm > 0 else None for mm in (start, end))
    if any(a <= 0.0 and (b is None or b >= length) for a, b in parts):
        return replace(treatment, start_mm=None, end_mm=None, parts_mm=())
    coat = treatment.coat and (start_mm is not None or end_mm is not None or bool(parts))
    return replace(treatment, coat=coat, start_mm=start_mm, end_mm=end_mm, parts_mm=tuple(parts))
