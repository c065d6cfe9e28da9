"""Treatments, open ranges and what is behind, where they do not fit their face."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any

from shapely import Polygon, box

from takeoff.errors import Finding
from takeoff.findings import noticed
from takeoff.geometry.curves import Curve
from takeoff.language import tr
from takeoff.plan.model import Band, Behind, Exclusion, Side, WallTreatment
from takeoff.plan.room_faults import SAME_MM, Laid, ring_fault
from takeoff.plan.said import m2, mm, spot
from takeoff.plan.shape import ceiling_height, floor_height, ring_polygon
from takeoff.plan.wall_letters import wall_letter

LONGEST_RETURN_MM = 1500.0
"""Returns are no longer (common practice, no source): one that is, on a shorter wall, is a slip."""


def unsound_treatments(laid: Laid) -> list[Finding]:
    """Errors and checks of the treatments of a room's walls and ceiling; none when all fit."""
    found: list[Finding] = []
    for side in laid.room.sides:
        curve = laid.sides[side.id]
        if side.treatment is not None:
            found += _wall(laid, side.treatment, [curve], side.id)
            found += _returns(laid, side.treatment, curve, side.id)
            found += _parts(laid, side.treatment, curve, side.id)
        found += _open_range(laid, side, curve)
        found += _behind(laid, side.behind, curve, side.id)
    if laid.room.walls.bands or laid.room.walls.exclusions:
        # The room's own treatment holds for every side without one, so it need fit only the longest.
        plain = [laid.sides[s.id] for s in laid.room.outline if s.treatment is None and s.kind == "wall"]
        found += _wall(laid, laid.room.walls, plain or laid.curves, None)
    for exclusion in laid.room.ceiling_treatment.exclusions:
        found += _exclusion(laid, exclusion, laid.polygon, "ceiling")
    return found


def _wall(laid: Laid, treatment: WallTreatment, curves: Sequence[Curve], side: str | None) -> Iterator[Finding]:
    longest = max(curves, key=lambda curve: curve.length)
    ends = [point for curve in curves for point in ((curve.x0, curve.y0), curve.at(curve.length / 2.0))]
    ends += [(curve.x1, curve.y1) for curve in curves]
    floor = min(floor_height(laid.room, x, y) for x, y in ends)
    ceiling = max(ceiling_height(laid.storey, laid.room, x, y) for x, y in ends)
    yield from _bands(laid, treatment.bands, ceiling - floor, longest, side)
    face = box(0.0, floor, longest.length, max(ceiling, floor))
    for exclusion in treatment.exclusions:
        yield from _exclusion(laid, exclusion, face, side)


def _wall_words(laid: Laid, side: str | None) -> str:
    """ "wall C of Hall"; "a wall of Hall" for what is said of all of them."""
    if side is None:
        return tr("a wall of {room}", room=laid.room.title)
    return tr("wall {letter} of {room}", letter=wall_letter(laid.room, side), room=laid.room.title)


def _bands(laid: Laid, bands: Sequence[Band], height: float, curve: Curve, side: str | None) -> Iterator[Finding]:
    wall = _wall_words(laid, side)
    where = spot(laid.storey, laid.room, curve.x0, curve.y0, side)
    strips = []
    for band in bands:
        if band.to_mm == band.from_mm == 0:
            # it says that here nothing stays on
            continue
        if band.to_mm <= band.from_mm:
            yield noticed("band-empty", where, band=band.what, wall=wall, to=mm(band.to_mm))
            continue
        if band.to_mm > height + SAME_MM:
            yield noticed(
                "band-taller-than-wall", where, band=band.what, wall=wall, to=mm(band.to_mm), height=mm(height)
            )
        low, high = (
            (band.from_mm, band.to_mm) if band.edge == "bottom" else (height - band.to_mm, height - band.from_mm)
        )
        strips.append((low, high, band.what))
    strips.sort()
    for (_, high, what), (low, _, other) in pairwise(strips):
        if low < high - SAME_MM:
            yield noticed("bands-overlap", where, one=what, other=other, wall=wall, by=mm(high - low))


def _returns(laid: Laid, treatment: WallTreatment, curve: Curve, side: str) -> Iterator[Finding]:
    where = spot(laid.storey, laid.room, curve.x0, curve.y0, side)
    for length, end in ((treatment.start_mm, tr("start")), (treatment.end_mm, tr("end"))):
        # a wall shorter than a usual return is coated whole by it, which is no slip
        if length is not None and length > max(curve.length + SAME_MM, LONGEST_RETURN_MM):
            yield noticed(
                "return-longer-than-wall",
                where,
                side=wall_letter(laid.room, side),
                room=laid.room.title,
                coated=mm(length),
                end=end,
                length=mm(curve.length),
            )


def _parts(laid: Laid, treatment: WallTreatment, curve: Curve, side: str) -> Iterator[Finding]:
    where = spot(laid.storey, laid.room, curve.x0, curve.y0, side)
    for start, to in treatment.parts_mm:
        end = curve.length if to is None else to
        if end <= start or end > curve.length + SAME_MM:
            ends = {"start": mm(start), "end": mm(end), "length": mm(curve.length)}
            yield noticed("coated-part-outside-side", where, None, room=laid.room.title, **ends)


def _open_range(laid: Laid, side: Side, curve: Curve) -> Iterator[Finding]:
    low, high = side.open_from_mm, side.open_to_mm
    called: dict[str, Any] = {"side": wall_letter(laid.room, side.id), "room": laid.room.title}
    where = spot(laid.storey, laid.room, curve.x0, curve.y0, side.id)
    if side.kind == "wall" and (low is not None or high is not None):
        yield noticed("open-range-on-wall", where, **called)
    elif low is not None and high is not None and high <= low:
        yield noticed("open-range-empty", where, **called, low=mm(low), high=mm(high))


def _behind(laid: Laid, stretches: Sequence[Behind], curve: Curve, side: str) -> Iterator[Finding]:
    where = spot(laid.storey, laid.room, curve.x0, curve.y0, side)
    called: dict[str, Any] = {"side": wall_letter(laid.room, side), "room": laid.room.title}
    reached = 0.0
    for stretch in sorted(stretches, key=lambda s: s.from_mm):
        end = curve.length if stretch.to_mm is None else stretch.to_mm
        if end <= stretch.from_mm or end > curve.length + SAME_MM:
            yield noticed(
                "behind-outside-side", where, **called, start=mm(stretch.from_mm), end=mm(end), length=mm(curve.length)
            )
        elif stretch.from_mm < reached - SAME_MM:
            yield noticed("behind-twice", where, **called, start=mm(stretch.from_mm), end=mm(min(reached, end)))
        reached = max(reached, end)


def _exclusion(laid: Laid, exclusion: Exclusion, face: Polygon, surface: str | None) -> Iterator[Finding]:
    what = exclusion.what or tr("masked part {number}", number=exclusion.id)
    if surface == "ceiling":
        title = tr("{what} on the ceiling of {room}", what=what, room=laid.room.title)
    else:
        title = tr("{what} on {wall}", what=what, wall=_wall_words(laid, surface))
    where = spot(laid.storey, laid.room, laid.curves[0].x0, laid.curves[0].y0, surface)
    fault = ring_fault(exclusion.outline)
    if fault is not None:
        yield noticed("exclusion-unsound", where, exclusion=title, fault=fault[0])
        return
    shape = ring_polygon(exclusion.outline)
    outside = shape.difference(face).area
    if outside > shape.area * 0.999:
        yield noticed("exclusion-outside", where, exclusion=title)
    elif outside > shape.length * SAME_MM / 2.0:
        yield noticed("exclusion-sticks-out", where, exclusion=title, area=m2(outside))
