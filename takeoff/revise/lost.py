"""What was set and has no place any more: what, where and what it was, in words. Nothing goes without a line."""

from __future__ import annotations

import msgspec

from takeoff.language import listed, mark, tr, tr_count
from takeoff.plan.model import Behind, Opening, Room, Side, WallTreatment
from takeoff.plan.said import mm
from takeoff.plan.wall_letters import wall_letter
from takeoff.units.printing import shown


class Lost(msgspec.Struct, frozen=True):
    """One thing: ``what`` it was, ``where`` it was said, by name, and what it ``was``. ``room``: its id."""

    what: str
    where: str
    was: str
    room: str = ""


BEHIND = {
    "outside": mark("outside"),
    "unheated": mark("unheated"),
    "heated": mark("heated"),
    "neighbour": mark("neighbour"),
    "same": mark("same dwelling"),
    "unknown": mark("not known"),
}


def of_wall(room: Room, side: str) -> str:
    """Where a wall is, by room and letter."""
    return tr("{room}, wall {letter}", room=room.title, letter=wall_letter(room, side))


def of_opening(room: Room | None, opening: Opening) -> str:
    """Where an opening is, by room and mark."""
    return tr("{room}, {opening}", room=room.title, opening=opening.title) if room is not None else opening.title


def stretch_said(from_mm: float, to_mm: float | None) -> str:
    """A stretch along a wall, in m from its start."""
    start = shown(from_mm / 1000.0, 3)
    if to_mm is None:
        return tr("from {start} m to the end", start=start)
    return tr("from {start} to {end} m", start=start, end=shown(to_mm / 1000.0, 3))


def behind_said(behind: Behind) -> str:
    """What stood behind a stretch."""
    what = tr(BEHIND[behind.cls])
    if behind.from_mm == 0.0 and behind.to_mm is None:
        return what
    return f"{what}, {stretch_said(behind.from_mm, behind.to_mm)}"


def treatment_said(treatment: WallTreatment) -> str:
    """What was to be done with a wall."""
    parts = []
    if not treatment.coat:
        parts.append(tr("not coated"))
    elif treatment.is_whole:
        parts.append(tr("coated over its whole length"))
    if treatment.start_mm is not None:
        parts.append(tr("coated {length} from its start", length=mm(treatment.start_mm)))
    if treatment.end_mm is not None:
        parts.append(tr("coated {length} from its end", length=mm(treatment.end_mm)))
    parts += [tr("coated {stretch}", stretch=stretch_said(a, b)) for a, b in treatment.parts_mm]
    if treatment.substrate:
        parts.append(tr("on {substrate}", substrate=treatment.substrate))
    parts += [tr("{what} {height} high kept", what=band.what, height=mm(band.to_mm)) for band in treatment.bands]
    if treatment.exclusions:
        count = len(treatment.exclusions)
        parts.append(tr_count("{count} masked part", "{count} masked parts", count))
    return listed(parts)


def wall_lost(room: Room, side: Side) -> list[Lost]:
    """All that was said of a wall that is gone."""
    where, found = of_wall(room, side.id), []
    if side.treatment is not None:
        found.append(Lost(tr("coat of the wall"), where, treatment_said(side.treatment), str(room.id)))
    found += [Lost(tr("what is behind the wall"), where, behind_said(b), str(room.id)) for b in side.behind]
    if side.wall_type is not None:
        found.append(Lost(tr("finish of the wall"), where, str(side.wall_type), str(room.id)))
    return found


def opening_lost(room: Room | None, opening: Opening) -> list[Lost]:
    """All that was typed or read of an opening that is gone."""
    found = []
    sizes = (
        (tr("width"), opening.width_mm, opening.width_source),
        (tr("sill height"), opening.sill_mm, opening.sill_source),
        (tr("head height"), opening.head_mm, opening.head_source),
    )
    room_id = str(opening.room)
    where = of_opening(room, opening)
    for what, value, source in sizes:
        if source in ("typed", "site") and not (source == "typed" and value == 0.0):
            found.append(Lost(what, where, mm(value), room_id))
    strips = (opening.reveal.start, opening.reveal.end, opening.reveal.head)
    depths = [s.depth_mm for s in strips if s.depth_source in ("typed", "site") and s.depth_mm]
    if depths:
        found.append(Lost(tr("depth of the reveal"), where, mm(max(depths)), room_id))
    return found
