"""Openings that do not fit their wall, or that stand twice, once in each of the rooms they join."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import islice
from typing import NamedTuple

from shapely import Point, STRtree

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.geometry.curves import Curve
from takeoff.language import tr_count
from takeoff.plan.model import Opening, Rooflight, RoomId, Side, Storey
from takeoff.plan.room_faults import SAME_MM, Laid
from takeoff.plan.said import mm
from takeoff.plan.shape import ceiling_height, floor_height
from takeoff.plan.wall_letters import wall_letter

_INWARD_MM = 0.5
"""How far inside the room its heights are taken: on the side itself a region may end."""

_MOST_PAIRS = 50
"""Openings of one wall that lie over one another are told up to so many pairs: a thousand in one place
make half a million."""


def unsound_openings(storey: Storey, rooms: Sequence[Laid]) -> list[Finding]:
    """Errors and checks of a storey's openings. Those whose room or side is unknown, or whose
    room's outline is unsound, are passed over: that is a finding already."""
    laid_by_room = {laid.room.id: laid for laid in rooms}
    sides = {laid.room.id: {s.id: s for s in laid.room.sides} for laid in rooms}
    found: list[Finding] = []
    on_side: dict[tuple[RoomId, str], list[Opening]] = defaultdict(list)
    for opening in storey.openings:
        found += _by_itself(storey, opening)
        laid = laid_by_room.get(opening.room)
        if laid is None or opening.side not in laid.sides:
            continue
        found += _in_wall(laid, opening, laid.sides[opening.side], sides[opening.room][opening.side])
        on_side[opening.room, opening.side].append(opening)
    for (name, _), neighbours in on_side.items():
        found += _over_each_other(laid_by_room[name], neighbours)
    found += _not_sure(storey)
    return found


def _by_itself(storey: Storey, opening: Opening) -> Iterator[Finding]:
    name, height = opening.title, opening.head_mm - opening.sill_mm
    if height <= 0:
        where = _where(storey, opening)
        yield noticed(
            "opening-head-below-sill", where, opening=name, head=mm(opening.head_mm), sill=mm(opening.sill_mm)
        )
        return
    where, width, rise = _where(storey, opening), mm(opening.width_mm), mm(opening.rise_mm)
    if opening.shape == "round" and abs(opening.width_mm - height) > SAME_MM:
        yield noticed("opening-shape/round", where, opening=name, width=width, height=mm(height))
    elif opening.shape == "semicircular" and opening.width_mm / 2.0 > height + SAME_MM:
        half = mm(opening.width_mm / 2.0)
        yield noticed("opening-shape/semicircular", where, opening=name, rise=half, height=mm(height))
    elif opening.shape == "segmental" and not 0 < opening.rise_mm <= opening.width_mm / 2.0 + SAME_MM:
        yield noticed("opening-shape/steep", where, opening=name, rise=rise, width=width)
    elif opening.shape == "segmental" and opening.rise_mm > height + SAME_MM:
        yield noticed("opening-shape/segmental", where, opening=name, rise=rise, height=mm(height))


def _in_wall(laid: Laid, opening: Opening, curve: Curve, side: Side) -> Iterator[Finding]:
    name, room = opening.title, laid.room.title
    start, end = opening.offset_mm, opening.offset_mm + opening.width_mm
    x, y = curve.at(min(max((start + end) / 2.0, 0.0), curve.length))
    where = _where(laid.storey, opening, x, y)
    if side.kind == "open" and side.open_from_mm is None and side.open_to_mm is None:
        yield noticed("opening-in-open-side", where, opening=name, side=wall_letter(laid.room, side.id), room=room)
    if end <= SAME_MM or start >= curve.length - SAME_MM:
        yield noticed("opening-outside-wall", where, opening=name, room=room, length=mm(curve.length))
        return
    if opening.width_mm > curve.length + SAME_MM:
        yield noticed(
            "opening-wider-than-wall",
            where,
            opening=name,
            width=mm(opening.width_mm),
            room=room,
            length=mm(curve.length),
        )
    elif start < -SAME_MM or end > curve.length + SAME_MM:
        out = max(-start, end - curve.length)
        yield noticed("opening-outside-wall/sticks-out", where, opening=name, room=room, by=mm(out))
    yield from _between_floor_and_ceiling(laid, opening, curve, where)


def _between_floor_and_ceiling(laid: Laid, opening: Opening, curve: Curve, where: Where) -> Iterator[Finding]:
    name, room = opening.title, laid.room.title
    places = [_inside_of(curve, share, opening) for share in (0.0, 0.5, 1.0)]
    tops = [ceiling_height(laid.storey, laid.room, x, y) for x, y in places]
    feet = [floor_height(laid.room, x, y) for x, y in places]
    if opening.sill_mm >= max(tops) - SAME_MM or opening.head_mm <= min(feet) + SAME_MM:
        yield noticed("opening-outside-wall/height", where, opening=name, room=room)
        return
    above = opening.head_mm - min(tops)
    if above > SAME_MM:
        yield noticed("opening-above-ceiling", where, opening=name, by=mm(above), room=room)
    below = max(feet) - opening.sill_mm
    if below > SAME_MM:
        yield noticed("opening-below-floor", where, opening=name, by=mm(below), room=room)


def _inside_of(curve: Curve, share: float, opening: Opening) -> tuple[float, float]:
    """A point of the plan just inside the room, at a share of the opening's width."""
    run = opening.offset_mm + opening.width_mm * share
    along = min(max(run, _INWARD_MM), max(curve.length - _INWARD_MM, 0.0))
    # A little inward of the jambs, so that an opening up to the end of a step is not taken to lie under it.
    along = min(max(along + (0.5 - share) * 2.0 * _INWARD_MM, 0.0), curve.length)
    x, y = curve.at(along)
    dx, dy = curve.direction(along)
    return x - dy * _INWARD_MM, y + dx * _INWARD_MM


def _over_each_other(laid: Laid, openings: Sequence[Opening]) -> Iterator[Finding]:
    """The openings of one wall that lie over one another, pair by pair, as many as anybody reads."""
    return islice(_pairs_over_each_other(laid, openings), _MOST_PAIRS)


def _pairs_over_each_other(laid: Laid, openings: Sequence[Opening]) -> Iterator[Finding]:
    ordered = sorted(openings, key=lambda o: (o.offset_mm, o.id))
    for number, opening in enumerate(ordered):
        for other in ordered[number + 1 :]:
            if other.offset_mm >= opening.offset_mm + opening.width_mm - SAME_MM:
                break
            low, high = max(opening.sill_mm, other.sill_mm), min(opening.head_mm, other.head_mm)
            if high - low <= SAME_MM:
                continue
            sure = opening.confidence == other.confidence == "sure"
            yield noticed(
                "openings-overlap",
                _where(laid.storey, other),
                "error" if sure else "check",
                one=opening.title,
                other=other.title,
                side=wall_letter(laid.room, opening.side),
                room=laid.room.title,
            )


def _not_sure(storey: Storey) -> Iterator[Finding]:
    for confidence in ("check", "question"):
        every: tuple[Opening | Rooflight, ...] = (*storey.openings, *storey.rooflights)
        count = sum(o.confidence == confidence for o in every)
        if count:
            openings = (
                tr_count("{count} likely opening", "{count} likely openings", count)
                if confidence == "check"
                else tr_count("{count} uncertain opening", "{count} uncertain openings", count)
            )
            yield noticed(f"openings-{confidence}", Where(storey=storey.id), openings=openings, storey=storey.title)


def _where(storey: Storey, opening: Opening, x: float | None = None, y: float | None = None) -> Where:
    return Where(storey=storey.id, room=opening.room, surface=opening.side, opening=opening.id, x_mm=x, y_mm=y)


WALL_MM = 500.0
"""Faces further apart than this are not the two of one wall (common practice, no source)."""

_OPPOSITE = -0.99
"""Cosine below which two sides run against each other: within 8 degrees."""


class _Placed(NamedTuple):
    opening: Opening
    x: float
    y: float
    dx: float
    dy: float


def openings_drawn_twice(storey: Storey, rooms: Sequence[Laid]) -> Iterator[Finding]:
    """A check for each pair of openings, hosted in two rooms, that go through the same place of one
    wall: one opening is one object and takes its area off both faces, so a pair takes it off twice.
    """
    laid: dict[str, Laid] = {room.room.id: room for room in rooms}
    placed = [p for opening in storey.openings if (p := _place(laid, opening)) is not None]
    if len(placed) < 2:
        return
    points = [Point(p.x, p.y) for p in placed]
    reach = WALL_MM + max(p.opening.width_mm for p in placed) / 2.0
    first, second = STRtree(points).query(points, predicate="dwithin", distance=reach)
    for i, j in sorted((int(i), int(j)) for i, j in zip(first, second, strict=True) if i < j):
        if _through_one_place(placed[i], placed[j]):
            a, b = placed[i].opening, placed[j].opening
            one, other = laid[a.room].room.title, laid[b.room].room.title
            where = Where(
                storey=storey.id, room=b.room, surface=b.side, opening=b.id, x_mm=placed[j].x, y_mm=placed[j].y
            )
            yield noticed("opening-twice", where, one=a.title, room=one, other=b.title, other_room=other)


def _place(laid: dict[str, Laid], opening: Opening) -> _Placed | None:
    """The middle of an opening and the direction of its side there; None where it has no side."""
    room = laid.get(opening.room)
    curve = None if room is None else room.sides.get(opening.side)
    if curve is None:
        return None
    along = min(max(opening.offset_mm + opening.width_mm / 2.0, 0.0), curve.length)
    return _Placed(opening, *curve.at(along), *curve.direction(along))


def _through_one_place(a: _Placed, b: _Placed) -> bool:
    if a.opening.room == b.opening.room or a.dx * b.dx + a.dy * b.dy > _OPPOSITE:
        return False
    along = (b.x - a.x) * a.dx + (b.y - a.y) * a.dy
    # Rooms lie to the left of their sides, so the wall and the room beyond are to the right.
    across = (b.x - a.x) * a.dy - (b.y - a.y) * a.dx
    shared_width = (a.opening.width_mm + b.opening.width_mm) / 2.0 - abs(along)
    low = max(a.opening.sill_mm, b.opening.sill_mm)
    high = min(a.opening.head_mm, b.opening.head_mm)
    return -SAME_MM <= across <= WALL_MM and shared_width > SAME_MM and high - low > SAME_MM
