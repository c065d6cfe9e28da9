"""Plans at several scales on one sheet: what was read at another scale than it says is asked about.

A sheet is read at one scale. A plan under whose title another one stands comes out too large or too
small in every figure, so none of its rooms is sure, but for those whose printed area agrees."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

import shapely
from msgspec.structs import replace

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.language import number
from takeoff.plan.model import Job, Room
from takeoff.plan.reasons import because
from takeoff.plan.shape import outer_polygon, sound_polygon
from takeoff.recognise.scale.scale_evidence import written_scales
from takeoff.recognise.scale.scale_words import name_of, scales_in

TOGETHER_MM = 8.0
"""On paper: rooms nearer to each other are of one plan."""
BELONGS_MM = 80.0
"""On paper: a plan's title stands no farther from it."""
SAME_SHARE = 0.01
FEWEST_PROVE = 2
"""Rooms of a plan whose printed areas agree prove its scale for all of it."""
AGREES_SHARE = 0.01
"""A printed area this near proves the scale for its room."""


def other_scales(sheet: Drawing, job: Job, ratio: float) -> tuple[Job, tuple[Finding, ...]]:
    """(the job with rooms asked about that were read at another scale than their plan says, one
    finding for each such scale). ``sheet`` is in mm on paper, ``job`` was read at one to ``ratio``;
    a sheet that names one scale, or none, changes nothing."""
    written, _ = written_scales(sheet)
    alone = [w for w in written if len(scales_in(w.label.text)) == 1]
    if not any(abs(w.ratio / ratio - 1.0) > SAME_SHARE for w in written) or len(written) < 2:
        return job, ()
    rooms = [room for storey in job.storeys for room in storey.rooms if room.confidence != "question"]
    plans = _plans(rooms, ratio)
    said: dict[int, float] = {}
    for w in alone:
        point = shapely.Point(w.label.x, w.label.y)
        near = min(range(len(plans)), key=lambda k: plans[k][0].distance(point), default=None)
        if near is not None and plans[near][0].distance(point) <= BELONGS_MM:
            said.setdefault(near, w.ratio)
    doubts: dict[str, str] = {}
    findings = []
    for k, (_, members) in enumerate(plans):
        own = [r for r in members if not _proven(r)]
        if len(members) - len(own) >= FEWEST_PROVE:
            continue
        scale = said.get(k)
        if not own or (scale is not None and abs(scale / ratio - 1.0) <= SAME_SHARE):
            continue
        if scale is not None:
            text = because("plan-at-other-scale", says=name_of(scale), read_at=name_of(ratio))
            findings.append(_finding(sheet.name, scale, ratio, own))
        elif len(plans) > 1 or not alone:
            text = because("scale-not-beside")
        else:
            continue
        doubts |= {room.id: text for room in own}
    return _asked(job, doubts), tuple(findings)


def _plans(rooms: Sequence[Room], ratio: float) -> list[tuple[shapely.Polygon, list[Room]]]:
    """(the box of each plan on paper, its rooms)"""
    shapes = [outer_polygon(room).buffer(TOGETHER_MM / 2.0 * ratio) for room in rooms]
    parts = shapely.get_parts(shapely.union_all(shapes)) if shapes else []
    found = []
    for part in parts:
        own = [room for room, shape in zip(rooms, shapes, strict=True) if part.intersects(shape)]
        x0, y0, x1, y1 = (v / ratio for v in part.bounds)
        found.append((shapely.box(x0, y0, x1, y1), own))
    return found


def _proven(room: Room) -> bool:
    area_m2 = sound_polygon(room).area / 1e6
    return room.printed_area_m2 is not None and abs(room.printed_area_m2 - area_m2) <= AGREES_SHARE * area_m2


def _finding(name: str, scale: float, ratio: float, rooms: Sequence[Room]) -> Finding:
    first = rooms[0].outline[0]
    where = Where(room=rooms[0].id, x_mm=first.x_mm, y_mm=first.y_mm)
    return noticed(
        "plan-at-other-scale",
        where,
        file=name,
        rooms=len(rooms),
        says=name_of(scale),
        read_at=name_of(ratio),
        times=number(Decimal(f"{ratio / scale:.3g}")),
    )


def _asked(job: Job, doubts: dict[str, str]) -> Job:
    if not doubts:
        return job
    storeys = tuple(
        replace(
            storey,
            rooms=tuple(
                replace(room, confidence="question", evidence=(*room.evidence, doubts[room.id]))
                if room.id in doubts
                else room
                for room in storey.rooms
            ),
        )
        for storey in job.storeys
    )
    return replace(job, storeys=storeys)
