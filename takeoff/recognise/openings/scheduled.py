"""Heights of openings from schedules and from the attributes of their blocks."""

from __future__ import annotations

import msgspec
import shapely

from takeoff.errors import Finding, Where
from takeoff.plan.model import Opening, Room
from takeoff.recognise.names.schedule import Schedule, Size, key_of
from takeoff.recognise.openings.marks import NEAR_MM, middle_of, same_width
from takeoff.units.printing import fmt2


def scheduled(openings: list[Opening], rooms: list[Room], known: Schedule) -> tuple[list[Opening], list[Finding]]:
    """(the openings with the heights that are written for their marks or in their blocks, a finding for
    each whose written width is not the drawn one: it stays as it is)"""
    if not openings or not (known.by_mark or known.placed):
        return openings, []
    by_id: dict[str, Room] = {r.id: r for r in rooms}
    at = [middle_of(o, by_id) for o in openings]
    own: dict[int, tuple[Size, str]] = {}
    tree = shapely.STRtree(shapely.points(at))
    for x, y, size in known.placed:
        near = tree.query_nearest(shapely.Point(x, y), max_distance=NEAR_MM)
        if len(near):
            own.setdefault(int(near[0]), (size, "written in its block"))
    for k, opening in enumerate(openings):
        told = known.by_mark.get(key_of(opening.mark)) if opening.mark else None
        if told is not None:
            own[k] = (told, f"the schedule's size for {opening.mark}")
    found = list(openings)
    findings: list[Finding] = []
    for k, (size, why) in own.items():
        if size.width_mm is not None and not same_width(size.width_mm, openings[k].width_mm):
            findings.append(_differs(openings[k], size, at[k]))
        else:
            found[k] = _sized(openings[k], size, why)
    return found, findings


def _sized(opening: Opening, size: Size, why: str) -> Opening:
    sill, sill_source = opening.sill_mm, opening.sill_source
    head, head_source = opening.head_mm, opening.head_source
    if size.sill_mm is not None and opening.kind == "window":
        sill, sill_source = size.sill_mm, "figured"
    if size.head_mm is not None:
        head, head_source = size.head_mm, "figured"
        if size.height_mm is not None and size.sill_mm is None and opening.kind == "window":
            sill, sill_source = max(head - size.height_mm, 0.0), "figured"
    elif size.height_mm is not None:
        # A window's height says where its head is only once its sill is known; an assumed sill keeps
        # the head assumed too, but the height, and with it the area, is the written one.
        head = sill + size.height_mm
        head_source = "figured" if opening.kind != "window" or size.sill_mm is not None else head_source
    if head <= sill:
        return opening
    return msgspec.structs.replace(
        opening,
        sill_mm=sill,
        head_mm=head,
        sill_source=sill_source,
        head_source=head_source,
        evidence=(*opening.evidence, why),
    )


def _differs(opening: Opening, size: Size, at: tuple[float, float]) -> Finding:
    width = size.width_mm or 0.0
    name = f"{opening.kind} {opening.mark}".strip()
    return Finding(
        "schedule-differs",
        "check",
        (
            f"The {name} at {at[0]:.0f}, {at[1]:.0f} is {fmt2(width)} mm wide by its schedule, but drawn "
            f"{fmt2(opening.width_mm)} mm wide: its written height is not taken over; find out which is right."
        ),
        Where(room=opening.room, opening=opening.id, x_mm=at[0], y_mm=at[1]),
    )
