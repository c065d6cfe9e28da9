"""What is written of openings: marks and sizes beside them, heights from schedules and from the
attributes of their blocks."""

from __future__ import annotations

import math
import re

import msgspec
import numpy as np
import shapely

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.language import mark, tr
from takeoff.plan.model import Opening, Room
from takeoff.plan.reasons import because
from takeoff.recognise.names.placed_words import Placed
from takeoff.recognise.names.schedule import Schedule, Size, key_of
from takeoff.units.printing import shown, whole

NEAR_MM = 900.0
"""A mark stands within this of the middle of its opening."""
WIDTH_SLACK_MM, WIDTH_SLACK = 60.0, 0.06
"""A written size is this opening's when its width is within either of the drawn one."""
HEIGHT_MM = (300.0, 6000.0)


def marked(
    openings: list[Opening], rooms: list[Room], words: list[Placed], origin: tuple[float, float]
) -> list[Opening]:
    """The openings with the marks and heights that are written beside them; a written width that
    is not the drawn one leaves the opening as it is."""
    spoken = [w for w in words if w.words.kind in ("mark", "size")]
    if not spoken or not openings:
        return openings
    by_id: dict[str, Room] = {r.id: r for r in rooms}
    tree = shapely.STRtree(shapely.points([middle_of(o, by_id) for o in openings]))
    found = list(openings)
    for word in spoken:
        place = shapely.Point(word.x + origin[0], word.y + origin[1])
        near = tree.query_nearest(place, max_distance=NEAR_MM)
        if len(near):
            k = int(near[0])
            found[k] = _told(found[k], word)
    return found


def middle_of(opening: Opening, rooms: dict[str, Room]) -> tuple[float, float]:
    """The middle of an opening in its room's side, in the drawing's coordinates."""
    room = rooms[opening.room]
    for ring in room.rings:
        for side, after in zip(ring, (*ring[1:], ring[0]), strict=True):
            if side.id == opening.side:
                d = np.array([after.x_mm - side.x_mm, after.y_mm - side.y_mm])
                t = (opening.offset_mm + opening.width_mm / 2) / max(math.hypot(*d), 1e-9)
                return side.x_mm + float(d[0]) * t, side.y_mm + float(d[1]) * t
    return math.inf, math.inf


def _told(opening: Opening, word: Placed) -> Opening:
    if word.words.kind == "mark":
        return opening if opening.mark else msgspec.structs.replace(opening, mark=word.words.text)
    size = size_mm(word.words.text)
    if size is None:
        return opening
    width, height = size
    if not same_width(width, opening.width_mm):
        return opening
    return msgspec.structs.replace(
        opening,
        head_mm=opening.sill_mm + height,
        head_source="figured",
        evidence=(*opening.evidence, because("written-beside", words=word.words.text)),
    )


def same_width(written_mm: float, drawn_mm: float) -> bool:
    """Whether a written width can be that of what is drawn: leaves, frames and rough openings differ."""
    return abs(written_mm - drawn_mm) <= max(WIDTH_SLACK_MM, WIDTH_SLACK * written_mm)


def size_mm(text: str) -> tuple[float, float] | None:
    """(width, height) in mm of a written size: 900x2100, 90/210, 0.90 x 2.10, .90x2.10."""
    match = re.match(r"\s*(\d+(?:[.,]\d+)?|[.,]\d+)\s*[x×х*/]\s*(\d+(?:[.,]\d+)?)", text, re.I)
    if match is None:
        return None
    width, height = (float(v.replace(",", ".")) for v in match.groups())
    scale = 1.0 if height >= 400 else 10.0 if height >= 30 else 1000.0
    width, height = width * scale, height * scale
    return (width, height) if HEIGHT_MM[0] <= height <= HEIGHT_MM[1] else None


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
            own.setdefault(int(near[0]), (size, because("written-in-block")))
    for k, opening in enumerate(openings):
        told = known.by_mark.get(key_of(opening.mark)) if opening.mark else None
        if told is not None:
            own[k] = (told, because("by-schedule", mark=opening.mark))
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


_KINDS = {"window": mark("window"), "door": mark("door"), "open": mark("doorway")}


def _differs(opening: Opening, size: Size, at: tuple[float, float]) -> Finding:
    width = size.width_mm or 0.0
    name = f"{tr(_KINDS[opening.kind])} {opening.mark}".strip()
    x, y = at
    where = Where(room=opening.room, opening=opening.id, x_mm=x, y_mm=y)
    return noticed(
        "schedule-differs",
        where,
        opening=name,
        x=whole(x),
        y=whole(y),
        written_mm=shown(width),
        drawn_mm=shown(opening.width_mm),
    )
