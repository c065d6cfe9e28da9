"""What does not fit among readings on site: within a room, and between rooms that are set together."""

from __future__ import annotations

import math

import msgspec

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.geometry.poses import Pose, put
from takeoff.language import tr
from takeoff.plan.model import Room, Storey
from takeoff.plan.readings.joined_rooms import fault_of, place_together
from takeoff.plan.readings.walked_outline import outline_of
from takeoff.plan.readings.walked_room import CHANGED_MM, ceiling_proposed, stands_as_read, walked_corners
from takeoff.plan.said import mm
from takeoff.units.printing import whole

replace = msgspec.structs.replace

APART_MM = 10.0
"""Rooms set together that fit each other worse are worth a look (common practice, no source)."""


def unsound_readings(storey: Storey) -> list[Finding]:
    """Findings about rooms that were read on site, none for others. What readings say of an outline that
    was changed by hand since is not told, but that it was."""
    found: list[Finding] = []
    for room in storey.rooms:
        if room.readings is not None:
            found += _room(storey, room)
    return found + _together(storey)


def _room(storey: Storey, room: Room) -> list[Finding]:
    if room.readings is None:
        return []
    where = Where(storey=storey.id, room=room.id, x_mm=room.outline[0].x_mm, y_mm=room.outline[0].y_mm)
    outline = outline_of(room.readings)
    if not outline.closed:
        return [noticed("readings-open", where, room=room.title)]
    corners = walked_corners(room)
    if corners is None or not stands_as_read(room, outline):
        return [noticed("readings-overruled", where, room=room.title)]
    title = room.title[:1].upper() + room.title[1:]
    told = [replace(f, text=f"{title}: {f.text}", where=where) for f in outline.findings]
    proposal = ceiling_proposed(room.readings, corners)
    if proposal is not None and not proposal.sure:
        off = tr(", up to {length} off", length=mm(proposal.off_mm)) if proposal.off_mm >= 1.0 else ""
        told.append(noticed("readings-ceiling", where, room=room.title, form=proposal.words, off=off))
    return told


def _together(storey: Storey) -> list[Finding]:
    joined = storey.set_together
    if joined is None:
        return []
    where = Where(storey=storey.id)
    fault = fault_of(storey, joined)
    if fault:
        return [noticed("together-open", where, storey=storey.title, fault=fault)]
    poses, placing = place_together(storey, joined)
    if any(_moved_mm(room, poses[room.id]) > CHANGED_MM for room in storey.rooms if room.id in poses):
        return [noticed("together-moved", where, storey=storey.title)]
    return [noticed("together-misfit", where, join=what, by=whole(by)) for what, by in placing.lines if by > APART_MM]


def _moved_mm(room: Room, pose: Pose) -> float:
    """How far from where its joins put it a room stands."""
    return max(math.dist((s.x_mm, s.y_mm), put(pose, (s.x_mm, s.y_mm))) for s in room.outline)
