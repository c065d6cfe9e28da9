"""Openings that do not fit their wall."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from takeoff.errors import Finding, Where
from takeoff.geometry.curves import Curve
from takeoff.plan.model import Opening, Rooflight, Side, Storey
from takeoff.plan.room_faults import SAME_MM, Laid
from takeoff.plan.said import finding, mm
from takeoff.plan.shape import ceiling_height, floor_height

_INWARD_MM = 0.5
"""How far inside the room its heights are taken: on the side itself a region may end."""


def unsound_openings(storey: Storey, rooms: Sequence[Laid]) -> list[Finding]:
    """Errors and checks of a storey's openings. Those whose room or side is unknown, or whose
    room's outline is unsound, are passed over: that is a finding already."""
    laid_by_room = {laid.room.id: laid for laid in rooms}
    sides = {laid.room.id: {s.id: s for s in laid.room.sides} for laid in rooms}
    found: list[Finding] = []
    on_side: dict[tuple[str, str], list[Opening]] = defaultdict(list)
    for opening in storey.openings:
        found += _by_itself(storey, opening)
        laid = laid_by_room.get(opening.room)
        if laid is None or opening.side not in laid.sides:
            continue
        found += _in_wall(laid, opening, laid.sides[opening.side], sides[opening.room][opening.side])
        on_side[opening.room, opening.side].append(opening)
    for neighbours in on_side.values():
        found += _over_each_other(storey, neighbours)
    found += _not_sure(storey)
    return found


def _by_itself(storey: Storey, opening: Opening) -> Iterator[Finding]:
    name, height = opening.title, opening.head_mm - opening.sill_mm
    if height <= 0:
        text = f"the head of {name} ({mm(opening.head_mm)}) is not above its sill ({mm(opening.sill_mm)}): "
        yield finding("opening-head-below-sill", "error", text + "mend one of them.", _where(storey, opening))
        return
    fault = None
    if opening.shape == "round" and abs(opening.width_mm - height) > SAME_MM:
        fault = f"is round, but {mm(opening.width_mm)} wide and {mm(height)} high"
    elif opening.shape == "semicircular" and opening.width_mm / 2.0 > height + SAME_MM:
        fault = f"has a semicircular head {mm(opening.width_mm / 2.0)} high, but is {mm(height)} high in all"
    elif opening.shape == "segmental" and not 0 < opening.rise_mm <= opening.width_mm / 2.0 + SAME_MM:
        fault = f"has a segmental head that rises {mm(opening.rise_mm)} over {mm(opening.width_mm)}"
    elif opening.shape == "segmental" and opening.rise_mm > height + SAME_MM:
        fault = f"has a segmental head that rises {mm(opening.rise_mm)}, but is {mm(height)} high in all"
    if fault is not None:
        yield finding("opening-shape", "error", f"{name} {fault}: mend its sizes.", _where(storey, opening))


def _in_wall(laid: Laid, opening: Opening, curve: Curve, side: Side) -> Iterator[Finding]:
    name, room = opening.title, laid.room.title
    start, end = opening.offset_mm, opening.offset_mm + opening.width_mm
    x, y = curve.at(min(max((start + end) / 2.0, 0.0), curve.length))
    where = _where(laid.storey, opening, x, y)
    if side.kind == "open" and side.open_from_mm is None and side.open_to_mm is None:
        text = f"{name} stands in side {side.id} of {room}, which is open: make the side a wall or take it out."
        yield finding("opening-in-open-side", "error", text, where)
    if end <= SAME_MM or start >= curve.length - SAME_MM:
        text = f"{name} lies outside its wall in {room}, which is {mm(curve.length)} long: move it."
        yield finding("opening-outside-wall", "error", text, where)
        return
    if opening.width_mm > curve.length + SAME_MM:
        text = f"{name} is {mm(opening.width_mm)} wide, but its wall in {room} is {mm(curve.length)} long: "
        yield finding("opening-wider-than-wall", "error", text + "what sticks out is cut off; mend its width.", where)
    elif start < -SAME_MM or end > curve.length + SAME_MM:
        out = max(-start, end - curve.length)
        text = f"{name} sticks out of its wall in {room} by {mm(out)}: that is cut off; move it."
        yield finding("opening-outside-wall", "error", text, where)
    yield from _between_floor_and_ceiling(laid, opening, curve, where)


def _between_floor_and_ceiling(laid: Laid, opening: Opening, curve: Curve, where: Where) -> Iterator[Finding]:
    name, room = opening.title, laid.room.title
    places = [_inside_of(curve, share, opening) for share in (0.0, 0.5, 1.0)]
    tops = [ceiling_height(laid.storey, laid.room, x, y) for x, y in places]
    feet = [floor_height(laid.room, x, y) for x, y in places]
    if opening.sill_mm >= max(tops) - SAME_MM or opening.head_mm <= min(feet) + SAME_MM:
        text = f"{name} lies wholly above the ceiling or below the floor of {room}: mend its sill and head."
        yield finding("opening-outside-wall", "error", text, where)
        return
    above = opening.head_mm - min(tops)
    if above > SAME_MM:
        text = f"the head of {name} stands {mm(above)} above the ceiling of {room} there: it is cut at the "
        yield finding("opening-above-ceiling", "check", text + "ceiling; check its head and the ceiling.", where)
    below = max(feet) - opening.sill_mm
    if below > SAME_MM:
        text = f"the sill of {name} lies {mm(below)} below the floor of {room} there: it is cut at the floor; "
        yield finding("opening-below-floor", "check", text + "check its sill and the floor.", where)


def _inside_of(curve: Curve, share: float, opening: Opening) -> tuple[float, float]:
    """A point of the plan just inside the room, at a share of the opening's width."""
    run = opening.offset_mm + opening.width_mm * share
    along = min(max(run, _INWARD_MM), max(curve.length - _INWARD_MM, 0.0))
    # A little inward of the jambs, so that an opening up to the end of a step is not taken to lie under it.
    along = min(max(along + (0.5 - share) * 2.0 * _INWARD_MM, 0.0), curve.length)
    x, y = curve.at(along)
    dx, dy = curve.direction(along)
    return x - dy * _INWARD_MM, y + dx * _INWARD_MM


def _over_each_other(storey: Storey, openings: Sequence[Opening]) -> Iterator[Finding]:
    ordered = sorted(openings, key=lambda o: (o.offset_mm, o.id))
    for number, opening in enumerate(ordered):
        for other in ordered[number + 1 :]:
            if other.offset_mm >= opening.offset_mm + opening.width_mm - SAME_MM:
                break
            low, high = max(opening.sill_mm, other.sill_mm), min(opening.head_mm, other.head_mm)
            if high - low <= SAME_MM:
                continue
            sure = opening.confidence == other.confidence == "sure"
            text = f"{opening.title} and {other.title} overlap in side {opening.side} of "
            text += f"{opening.room}: the wall loses that area once; take one out or move it."
            yield finding("openings-overlap", "error" if sure else "check", text, _where(storey, other))


def _not_sure(storey: Storey) -> Iterator[Finding]:
    for confidence, words in (("check", "to be checked"), ("question", "in question")):
        every: tuple[Opening | Rooflight, ...] = (*storey.openings, *storey.rooflights)
        count = sum(o.confidence == confidence for o in every)
        if count:
            what = "opening is" if count == 1 else "openings are"
            text = f"{count} {what} {words} on {storey.title} and not measured: accept or refuse each."
            yield finding(f"openings-{confidence}", "check", text, Where(storey=storey.id))


def _where(storey: Storey, opening: Opening, x: float | None = None, y: float | None = None) -> Where:
    return Where(storey=storey.id, room=opening.room, surface=opening.side, opening=opening.id, x_mm=x, y_mm=y)
