"""What was set on a room and its openings, kept when new readings replace them."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from takeoff.plan.model import Opening, Reveal, Room, RoomId, Side, Storey, Strip
from takeoff.plan.read_on_site import BUDGET, Join
from takeoff.plan.readings.room import Placed
from takeoff.plan.readings.shared import host_opening, turned

replace = msgspec.structs.replace


def kept_room(old: Room, new: Room) -> Room:
    """The new outline, heights and readings with everything else of the old room.

    Sides keep what was set on the one of the same id. Of a room that was not read on site before, nobody
    can say which wall was which.
    """
    by_id = {side.id: side for side in old.outline} if old.readings is not None else {}
    evidence = tuple(words for words in old.evidence if words != BUDGET)
    was_budget = len(evidence) < len(old.evidence)
    return replace(
        old,
        name=new.name or old.name,
        outline=tuple(_kept_side(by_id.get(side.id), side) for side in new.outline),
        ceiling=new.ceiling if new.ceiling is not None else old.ceiling,
        readings=new.readings,
        evidence=evidence,
        confidence="sure" if was_budget else old.confidence,
    )


def _kept_side(old: Side | None, new: Side) -> Side:
    return new if old is None else replace(old, x_mm=new.x_mm, y_mm=new.y_mm, bulge=0.0, source=new.source)


def kept_openings(
    storey: Storey, room_id: RoomId, new: Sequence[Placed]
) -> tuple[tuple[Opening, ...], tuple[Opening, ...]]:
    """(The room's new openings, all others of the storey) after new readings.

    Each new one has id, mark and coats of the old one that it most likely is: of its own id, else the
    nearest in size of its kind. One that is joined to another room's opening is that room's, and gives
    it the reveal on this side.
    """
    left = [o for o in storey.openings if o.room == room_id]
    others = {o.id: o for o in storey.openings if o.room != room_id}
    found = []
    for placed in new:
        host = _host(storey, room_id, placed)
        if host is not None:
            others[host.id] = _with_beyond(host, turned(placed.opening.reveal))
            continue
        before = _same(placed.opening, left)
        if before is not None:
            left.remove(before)
        found.append(placed.opening if before is None else _with_settings(before, placed.opening))
    return tuple(found), tuple(others.values())


def _host(storey: Storey, room_id: RoomId, placed: Placed) -> Opening | None:
    """The other room's opening that this one is joined to."""
    joins: Sequence[Join] = storey.set_together.joins if storey.set_together else ()
    join = next(
        (j for j in joins if (j.beyond, j.beyond_side, j.beyond_opening) == (room_id, placed.side, placed.number)), None
    )
    return host_opening(storey, join) if join is not None else None


def _with_beyond(host: Opening, reveal: Reveal) -> Opening:
    old = host.reveal_beyond
    return replace(host, reveal_beyond=reveal if old is None else _reveal(old, reveal))


def _same(opening: Opening, left: Sequence[Opening]) -> Opening | None:
    named = next((o for o in left if o.id == opening.id and o.kind == opening.kind), None)
    alike = sorted((o for o in left if o.kind == opening.kind), key=lambda o: _unlike(o, opening))
    return named or (alike[0] if alike else None)


def _unlike(a: Opening, b: Opening) -> float:
    return abs(a.width_mm - b.width_mm) + abs((a.head_mm - a.sill_mm) - (b.head_mm - b.sill_mm))


def _with_settings(old: Opening, new: Opening) -> Opening:
    """Sizes and place of the new one; what it only assumes gives way to what the old one knew."""
    return replace(
        new,
        id=old.id,
        mark=old.mark,
        shape=old.shape,
        rise_mm=old.rise_mm,
        reveal_beyond=old.reveal_beyond,
        sill_mm=_known(old.sill_mm, old.sill_source, new.sill_mm, new.sill_source),
        sill_source=old.sill_source if new.sill_source == "assumed" else new.sill_source,
        head_mm=_known(old.head_mm, old.head_source, new.head_mm, new.head_source),
        head_source=old.head_source if new.head_source == "assumed" else new.head_source,
        reveal=_reveal(old.reveal, new.reveal),
    )


def _reveal(old: Reveal, new: Reveal) -> Reveal:
    return Reveal(
        start=_strip(old.start, new.start),
        end=_strip(old.end, new.end),
        head=_strip(old.head, new.head),
        sill=_strip(old.sill, new.sill),
        splay_deg=old.splay_deg,
    )


def _known(old: float, old_source: str, new: float, new_source: str) -> float:
    return old if new_source == "assumed" and old_source != "assumed" else new


def _strip(old: Strip, new: Strip) -> Strip:
    if new.depth_source == "assumed" and old.depth_source != "assumed":
        return old
    return replace(new, coat=old.coat)
