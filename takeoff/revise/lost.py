"""What was set and has no place any more: what, where and what it was, in words. Nothing goes without a line."""

from __future__ import annotations

from collections.abc import Callable

import msgspec

from takeoff.language import listed, mark, tr, tr_count
from takeoff.plan.counted_items import CountedItem, ItemKind
from takeoff.plan.model import AboveClass, Behind, Opening, Room, Side, StairAnswer, WallTreatment
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


ABOVE: dict[AboveClass, str] = {
    "roof": mark("Roof, cold loft"),
    "heated": mark("heated"),
    "neighbour": mark("neighbour"),
    "same": mark("same dwelling"),
    "unknown": mark("not known"),
}
STAIRS: dict[StairAnswer, str] = {
    "goes-on": mark("It goes on"),
    "well": mark("Part is the well"),
    "none": mark("No ceiling here"),
}
ITEMS: dict[ItemKind, str] = {
    "radiators": mark("Radiator"),
    "sockets": mark("Socket"),
    "vents": mark("Vent"),
    "poles": mark("Pole"),
    "hatches": mark("Hatch"),
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
    if side.open_from_mm is not None or side.open_to_mm is not None:
        low, high = ("–" if z is None else mm(z) for z in (side.open_from_mm, side.open_to_mm))
        found.append(Lost(tr("how far the wall is open"), where, f"{low} … {high}", str(room.id)))
    return found


def room_lost(room: Room, counted: bool = True) -> list[Lost]:
    """What was said of a room as a whole, which is gone. ``counted``: what is counted in it is gone with it."""
    found: list[Lost] = []
    plain = Room(id=room.id, outline=room.outline)

    def lose(what: str, was: str) -> None:
        found.append(Lost(what, room.title, was, str(room.id)))

    if room.walls != plain.walls:
        lose(tr("coat of its walls"), treatment_said(room.walls))
    for what, field in ((tr("height of its ceiling"), room.ceiling), (tr("height of its floor"), room.floor)):
        if field is not None and field.source in ("typed", "site"):
            lose(what, mm(field.planes[0].z_mm) if field.planes else "")
    _ceiling_lost(room, lose)
    builds = (
        (tr("build-up of its floor"), room.floor_build_up_mm),
        (tr("build-up of its ceiling"), room.ceiling_build_up_mm),
    )
    for what, build_up in builds:
        if build_up:
            lose(what, mm(build_up))
    if room.above != plain.above and room.above_source in ("typed", "site"):
        lose(tr("what is above its ceiling"), tr(ABOVE[room.above]))
    if room.times != 1:
        lose(tr("how often it is built"), str(room.times))
    if room.stair is not None and room.stair.answer:
        lose(tr("answer about its stair"), tr(STAIRS[room.stair.answer]))
    if room.readings is not None:
        lose(tr("what was measured in it"), tr_count("{count} wall", "{count} walls", len(room.readings.sides)))
    for item in room.counted if counted else ():
        lose(tr("what is counted"), counted_said(item))
    return found


def _ceiling_lost(room: Room, lose: Callable[[str, str], None]) -> None:
    treatment = room.ceiling_treatment
    if not treatment.coat and room.stair is None:
        lose(tr("coat of its ceiling"), tr("not coated"))
    elif treatment.substrate:
        lose(tr("coat of its ceiling"), tr("on {substrate}", substrate=treatment.substrate))
    for border in (*treatment.left_on, *treatment.only):
        lose(tr("strip of the ceiling"), border.what)
    for one in treatment.exclusions:
        lose(tr("masked part of the ceiling"), one.what or tr("masked part"))
    for field in (room.ceiling, room.floor):
        for region in field.regions if field is not None else ():
            if region.source in ("typed", "site"):
                lose(region.what or tr("part of the ceiling or floor"), mm(region.planes[0].z_mm))


def counted_said(item: CountedItem) -> str:
    """So many of a kind, in words."""
    return f"{item.count} × {tr(ITEMS[item.kind])}"


def opening_lost(room: Room | None, opening: Opening, width: bool = True) -> list[Lost]:
    """All that was typed or read of an opening that is gone, or (without ``width``) of one that is of another kind
    now."""
    found = []
    sizes = [
        (tr("sill height"), opening.sill_mm, opening.sill_source),
        (tr("head height"), opening.head_mm, opening.head_source),
    ]
    if width:
        sizes.insert(0, (tr("width"), opening.width_mm, opening.width_source))
    room_id = str(opening.room)
    where = of_opening(room, opening)
    for what, value, source in sizes:
        if source in ("typed", "site") and not (source == "typed" and value == 0.0):
            found.append(Lost(what, where, mm(value), room_id))
    strips = (opening.reveal.start, opening.reveal.end, opening.reveal.head)
    depths = [s.depth_mm for s in strips if s.depth_source in ("typed", "site") and s.depth_mm]
    if depths:
        found.append(Lost(tr("depth of the reveal"), where, mm(max(depths)), room_id))
    if any(strip.depth_mm and not strip.coat for strip in strips):
        found.append(Lost(tr("coat of the reveal"), where, tr("not coated"), room_id))
    return found
