"""Openings of a storey with the new drawing in it: known again by their place in plan, under their ids, with sizes and
reveals that were set; what is new is taken over as drawn."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import msgspec

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.geometry.curves import Curve
from takeoff.language import tr
from takeoff.plan.model import Opening, Room, RoomId, SideId, Storey
from takeoff.plan.said import mm
from takeoff.plan.shape import curves_by_id
from takeoff.revise.as_before import AsBefore
from takeoff.revise.carried_rooms import Home, Ids, Walls
from takeoff.revise.lost import Lost, of_opening, opening_lost
from takeoff.revise.matching import Placed, openings_paired, placed_openings
from takeoff.revise.mirrored import turned_reveal

replace = msgspec.structs.replace

SAME_MM = 1.0
TYPED_OFF_MM = 60.0
"""A width that was typed and a drawn one that differ by less are of one opening (common practice, no source)."""
THROUGH_MM = 1000.0
"""An opening lies this near to its host side: on the other face of its wall at most."""


class OpeningsCarried(NamedTuple):
    """The openings, what of them was lost, and what is to be looked at."""

    openings: tuple[Opening, ...]
    lost: list[Lost]
    findings: list[Finding]


class _Now(NamedTuple):
    """The rooms as they are now: curves by (room, side); the rooms by id."""

    storey: Storey
    curves: dict[tuple[RoomId, SideId], Curve]
    rooms: dict[RoomId, Room]


def openings_carried(
    old: Storey, new: Storey, homes: Sequence[Home], drawn: Mapping[RoomId, Home], walls: Walls, ids: Ids,
    before: AsBefore | None = None,
) -> OpeningsCarried:  # fmt: skip
    """The openings of a storey. ``homes``: its rooms as they are now; ``drawn``: those that the new drawing has, by
    its ids; ``walls``: what became of the job's sides; ``before``: what is as the job's own drawing has it."""
    rooms = {home.room.id: home.room for home in homes}
    curves = {(name, side): curve for name, room in rooms.items() for side, curve in curves_by_id(room).items()}
    now = _Now(old, curves, rooms)
    placed, after = placed_openings(old), placed_openings(new)
    pairs = dict(openings_paired(placed, after, _with_their_walls(old, placed, walls, now)))
    held = {home.room.id for home in homes if home.drawn is None}
    done = OpeningsCarried((), [], [])
    found: list[Opening] = []
    settled: set[int] = set()
    olds = {room.id: room for room in old.rooms}
    for i, one in enumerate(placed):
        mine = one.opening
        match = after[pairs[i]] if i in pairs else None
        if mine.room in held:  # its room stays as it was
            found.append(mine)
            settled.add(pairs.get(i, -1))
        elif match is not None:
            made = None
            if before is not None and match.opening.id in before.openings:  # it is where somebody put it
                made = _where_it_was(mine, one, walls, now)
            made = made or _again(mine, one, match, walls, now, drawn, done)
            if made is not None:
                found.append(made)
                settled.add(pairs[i])
            else:
                done.lost.extend(opening_lost(olds.get(mine.room), mine))
        elif _put_in(mine, one, before) and (stays := _where_it_was(mine, one, walls, now)) is not None:
            found.append(stays)
            told = noticed("revision-opening-kept", _where(old, stays), place=of_opening(rooms[stays.room], stays))
            done.findings.append(told)
        else:
            done.lost.extend(opening_lost(olds.get(mine.room), mine))
    for j, one in enumerate(after):
        home = drawn.get(one.opening.room)
        if j not in settled and home is not None and before is not None and one.opening.id in before.openings:
            place = of_opening(home.room, one.opening)
            done.findings.append(noticed("revision-left-out", Where(storey=old.id), place=place))
        elif j not in settled and home is not None:
            made = _on_side(one.opening, one, home.room, list(curves_by_id(home.room)), now)
            if made is not None:
                found.append(replace(made, id=ids.opening()))
    return done._replace(openings=tuple(found))


def _with_their_walls(old: Storey, before: Sequence[Placed], walls: Walls, now: _Now) -> list[Placed | None]:
    """Where openings would stand had they gone across with their walls; None where no wall of theirs has moved."""
    was = {(room.id, side): curve for room in old.rooms for side, curve in curves_by_id(room).items()}
    found: list[Placed | None] = []
    for one in before:
        key = (one.opening.room, one.opening.side)
        curves = [now.curves[name] for name in walls.get(key, []) if name in now.curves]
        found.append(_gone_across(one, was[key], curves[0]) if curves else None)
    return found


def _gone_across(one: Placed, was: Curve, curve: Curve) -> Placed | None:
    if was.bulge or curve.bulge or not was.length:
        return None
    dx, dy = was.direction(0.0)
    across = -(curve.x0 - was.x0) * dy + (curve.y0 - was.y0) * dx
    if abs(across) <= SAME_MM:
        return None
    (x0, y0), (x1, y1) = one.start, one.end
    by = -dy * across, dx * across
    return Placed(one.opening, (x0 + by[0], y0 + by[1]), (x1 + by[0], y1 + by[1]))


def _by_hand(opening: Opening) -> bool:
    """Whether somebody put it in by hand: nothing in a drawing spoke for it."""
    return not opening.evidence and opening.width_source in ("typed", "site")


def _put_in(opening: Opening, one: Placed, before: AsBefore | None) -> bool:
    """Whether no drawing of the job's has it: somebody put it in, or put it elsewhere."""
    return _by_hand(opening) or (before is not None and not before.has_opening(one))


def _again(
    mine: Opening, was: Placed, drawn: Placed, walls: Walls, now: _Now, homes: Mapping[RoomId, Home],
    done: OpeningsCarried,
) -> Opening | None:  # fmt: skip
    """An opening of the job where the new drawing has it; None where its wall is gone and no other holds it."""
    sides = walls.get((mine.room, mine.side), [])
    placed = _on_one_of(mine, drawn, sides, now)
    if placed is None:
        placed = _from_beyond(mine, drawn, now, homes)
    if placed is None:
        return None
    if _unmoved(mine, was, drawn, placed):
        placed = mine
    return _sized(mine, drawn.opening, placed, now, done)


def _unmoved(mine: Opening, was: Placed, drawn: Placed, placed: Opening) -> bool:
    """Whether it stands where it stood, in the same side, as wide as it was."""
    same = (placed.room, placed.side) == (mine.room, mine.side) and abs(placed.offset_mm - mine.offset_mm) <= SAME_MM
    ends = [was.start, was.end], [drawn.start, drawn.end]
    straight = all(math.dist(a, b) <= SAME_MM for a, b in zip(*ends, strict=True))
    turned = all(math.dist(a, b) <= SAME_MM for a, b in zip(ends[0], ends[1][::-1], strict=True))
    return same and (straight or turned or abs(mine.width_mm - drawn.opening.width_mm) <= SAME_MM)


def _on_one_of(mine: Opening, drawn: Placed, sides: Sequence[tuple[RoomId, SideId]], now: _Now) -> Opening | None:
    """The opening on the nearest of these sides on which it lies."""
    best, nearest = None, THROUGH_MM
    for key in sides:
        curve = now.curves.get(key)
        if curve is None:
            continue
        found = _along(curve, drawn)
        if found is not None and found[2] <= nearest:
            start, end, nearest = found
            best = replace(mine, room=key[0], side=key[1], offset_mm=start, width_mm=end - start)
    return best


def _along(curve: Curve, drawn: Placed) -> tuple[float, float, float] | None:
    """From where to where an opening goes along a side, and how far beside it; None where it is not on it."""
    (t0, d0), (t1, d1) = (curve.where(*place) for place in (drawn.start, drawn.end))
    start, end = sorted((t0, t1))
    width = drawn.opening.width_mm
    inside = min(end, curve.length) - max(start, 0.0)
    if inside < 0.5 * width or abs((end - start) - width) > 0.1 * width + SAME_MM:
        return None
    return start, end, max(abs(d0), abs(d1))


def _from_beyond(mine: Opening, drawn: Placed, now: _Now, homes: Mapping[RoomId, Home]) -> Opening | None:
    """Where its own side is gone, the opening in the side that the new drawing puts it in: seen from beyond, if that
    is the room on the other side."""
    home = homes.get(drawn.opening.room)
    if home is None:
        return None
    sides = [(home.room.id, side) for side in curves_by_id(home.room)]
    placed = _on_one_of(mine, drawn, sides, now)
    if placed is None or home.room.id == mine.room or mine.reveal_beyond is None:
        return placed
    return replace(
        placed,
        reveal=turned_reveal(mine.reveal_beyond),
        reveal_beyond=turned_reveal(mine.reveal),
        swings=tuple(swing.turned for swing in mine.swings),
    )


def _where_it_was(mine: Opening, was: Placed, walls: Walls, now: _Now) -> Opening | None:
    """An opening that was put in by hand, in its wall as it is now; None where the wall is gone."""
    placed = _on_one_of(mine, was, walls.get((mine.room, mine.side), []), now)
    if placed is None:
        return None
    same = (placed.room, placed.side) == (mine.room, mine.side) and abs(placed.offset_mm - mine.offset_mm) <= SAME_MM
    return mine if same else placed


def _on_side(opening: Opening, one: Placed, room: Room, sides: Sequence[SideId], now: _Now) -> Opening | None:
    """An opening of the new drawing, on the side of its room that it lies in."""
    placed = _on_one_of(opening, one, [(room.id, side) for side in sides], now)
    return placed and replace(placed, width_mm=opening.width_mm)


# Sizes and kinds -----------------------------------------------------------------------------------------


def _sized(mine: Opening, drawn: Opening, placed: Opening, now: _Now, done: OpeningsCarried) -> Opening:
    """With the sizes that were set; else as the new drawing has them."""
    made = _wide(mine, drawn, placed, now, done)
    for part in ("sill", "head"):
        made = _high(made, mine, drawn, part, now, done)
    if mine.kind != drawn.kind:
        # what speaks for its kind is the same as before: somebody set it otherwise
        if mine.evidence == drawn.evidence or _by_hand(mine):
            if mine.confidence != "sure" and drawn.confidence != "sure":
                return made
            where = _where(now.storey, made)
            told = noticed("revision-kind-kept", where, place=of_opening(now.rooms.get(made.room), made))
            done.findings.append(told)
        else:
            room = now.rooms.get(made.room)
            done.lost.extend(opening_lost(room, mine, width=False))
            made = _of_kind(made, drawn)
    if mine.confidence != "sure" and drawn.confidence == "sure":
        made = replace(made, confidence="sure", evidence=drawn.evidence)
    if not mine.mark and drawn.mark:
        made = replace(made, mark=drawn.mark)
    return made


def _of_kind(made: Opening, drawn: Opening) -> Opening:
    """An opening that the drawing shows as another kind now: sizes as drawn, its place and mark its own."""
    return replace(
        made,
        kind=drawn.kind,
        sill_mm=drawn.sill_mm,
        head_mm=drawn.head_mm,
        sill_source=drawn.sill_source,
        head_source=drawn.head_source,
        reveal=drawn.reveal,
        reveal_beyond=drawn.reveal_beyond,
        swings=drawn.swings,
        evidence=drawn.evidence,
        confidence=drawn.confidence,
    )


def _wide(mine: Opening, drawn: Opening, placed: Opening, now: _Now, done: OpeningsCarried) -> Opening:
    off = abs(mine.width_mm - drawn.width_mm)
    if off <= SAME_MM:
        return placed if placed is mine else replace(placed, width_mm=mine.width_mm)
    set_by_hand = mine.width_source == "site" or (mine.width_source == "typed" and off <= TYPED_OFF_MM)
    where = of_opening(now.rooms.get(placed.room), mine)
    if not set_by_hand:
        if mine.width_source == "typed":
            done.lost.append(Lost(tr("width"), where, mm(mine.width_mm), str(mine.room)))
        return replace(placed, width_mm=drawn.width_mm, width_source=drawn.width_source)
    at = _where(now.storey, placed)
    width = mm(drawn.width_mm)
    if mine.width_source == "site":
        done.findings.append(noticed("revision-site-length", at, site=mm(mine.width_mm), place=where, drawn=width))
    else:
        told = noticed("revision-size-kept", at, what=tr("width"), set=mm(mine.width_mm), place=where, drawn=width)
        done.findings.append(told)
    middle = placed.offset_mm + placed.width_mm / 2.0
    return replace(placed, offset_mm=max(0.0, middle - mine.width_mm / 2.0), width_mm=mine.width_mm)


def _high(made: Opening, mine: Opening, drawn: Opening, part: str, now: _Now, done: OpeningsCarried) -> Opening:
    """Sill or head: what was typed or read stays, what was assumed gives way to what is drawn."""
    value, source = f"{part}_mm", f"{part}_source"
    own, theirs = getattr(mine, source), getattr(drawn, source)
    if theirs == "assumed" or getattr(mine, value) == getattr(drawn, value):
        return made
    if own in ("assumed", "drawn", "figured"):
        return replace(made, **{value: getattr(drawn, value), source: theirs})
    where, what = of_opening(now.rooms.get(made.room), mine), tr("sill") if part == "sill" else tr("head")
    height = mm(getattr(drawn, value))
    at = _where(now.storey, made)
    if own == "site":
        done.findings.append(
            noticed("revision-site-length", at, site=mm(getattr(mine, value)), place=where, drawn=height)
        )
    elif not (part == "sill" and mine.kind != "window"):
        done.findings.append(
            noticed("revision-size-kept", at, what=what, set=mm(getattr(mine, value)), place=where, drawn=height)
        )
    return made


def _where(storey: Storey, opening: Opening) -> Where:
    return Where(storey=storey.id, room=opening.room, opening=opening.id)
