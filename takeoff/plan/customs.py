"""What is done everywhere in a job unless a wall or a room says otherwise: what stays on of skirting and coving."""

from __future__ import annotations

import math

import msgspec

from takeoff.plan.model import Band, Border, Customs, Opening, Reveal, Ring, Room, Side, WallTreatment

replace = msgspec.structs.replace

USUAL_SKIRTING_MM = 120.0
USUAL_COVING_MM = 100.0
USUAL_ARCHITRAVE_MM = 70.0
"""Sizes by which it is told what leaving them on would change (common practice, no source)."""

TALLEST_SKIRTING_MM = 1000.0
WIDEST_COVING_MM = 1000.0
WIDEST_ARCHITRAVE_MM = 400.0
"""More is a slip of the keys (common practice, no source)."""


def keeps_bands(customs: Customs) -> bool:
    """Whether skirting or coving stays on everywhere."""
    return bool(customs.skirting_mm or customs.coving_mm)


def by_customs(customs: Customs, room: Room) -> Room:
    """The room as it is measured: with the skirting and the coving that stay on everywhere, where neither a wall
    nor the room says anything of them. A strip of no height says that there is none, and goes.

    The room itself where that changes nothing.
    """
    walls = _with_bands(customs, room.walls)
    outline = tuple(_side(customs, side) for side in room.outline)
    inner = tuple(tuple(_side(customs, side) for side in ring) for ring in room.inner)
    ceiling = room.ceiling_treatment
    left_on = tuple(border for border in ceiling.left_on if border.width_mm > 0)
    if customs.coving_mm and all(border.what != "coving" for border in ceiling.left_on):
        left_on = (*left_on, Border(width_mm=customs.coving_mm, what="coving"))
    if left_on != ceiling.left_on:
        ceiling = replace(ceiling, left_on=left_on)
    same = walls is room.walls and ceiling is room.ceiling_treatment
    same = same and all(a is b for a, b in zip(outline, room.outline, strict=True))
    same = same and all(
        a is b for new, old in zip(inner, room.inner, strict=True) for a, b in zip(new, old, strict=True)
    )
    return room if same else replace(room, walls=walls, outline=outline, inner=inner, ceiling_treatment=ceiling)


def _side(customs: Customs, side: Side) -> Side:
    if side.treatment is None:
        return side
    treatment = _with_bands(customs, side.treatment)
    return side if treatment is side.treatment else replace(side, treatment=treatment)


def _with_bands(customs: Customs, treatment: WallTreatment) -> WallTreatment:
    said = {(band.edge, band.what) for band in treatment.bands}
    bands = tuple(band for band in treatment.bands if band.to_mm > 0)
    if customs.skirting_mm and ("bottom", "skirting") not in said:
        bands = (*bands, Band(edge="bottom", to_mm=customs.skirting_mm, what="skirting"))
    if customs.coving_mm and ("top", "coving") not in said:
        bands = (*bands, Band(edge="top", to_mm=customs.coving_mm, what="coving"))
    return treatment if bands == treatment.bands else replace(treatment, bands=bands)


def has_architrave(opening: Opening, reveal: Reveal) -> bool:
    """Whether a frame with an architrave stands at this face of an opening: of a door whose reveal on this side is
    not coated, since its lining comes up to the face (common practice, no source)."""
    if opening.kind != "door" or opening.shape == "round":
        return False
    return not any(strip.coat and strip.depth_mm > 0 for strip in (reveal.start, reveal.end, reveal.head))


def architrave_ring(opening: Opening, start_mm: float, end_mm: float, wide_mm: float) -> Ring:
    """The outside of an architrave so wide round an opening that goes from ``start_mm`` to ``end_mm`` along a face,
    as a ring (u, z, bulge) anticlockwise; its legs stand on the sill, over an arch it is one too."""
    a, b, foot = start_mm - wide_mm, end_mm + wide_mm, opening.sill_mm
    half = (end_mm - start_mm) / 2.0
    rise = {"semicircular": half, "segmental": opening.rise_mm}.get(opening.shape, 0.0)
    if rise <= 0:
        top = opening.head_mm + wide_mm
        return ((a, foot, 0.0), (b, foot, 0.0), (b, top, 0.0), (a, top, 0.0))
    radius = (half * half + rise * rise) / (2.0 * rise)
    outer, reach = radius + wide_mm, half + wide_mm
    drop = math.sqrt(max(0.0, outer * outer - reach * reach))
    # an arch that is more than half a round cannot be given: its rise is half its width at most
    spring = opening.head_mm - radius + drop
    bulge = math.tan(math.asin(min(1.0, reach / outer)) / 2.0)
    return ((a, foot, 0.0), (b, foot, 0.0), (b, spring, bulge), (a, spring, 0.0))
