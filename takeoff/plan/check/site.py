"""What does not fit among readings on site: within a room, and between rooms that are set together."""

from __future__ import annotations

import math

from takeoff.errors import Finding, Where
from takeoff.geometry.poses import Pose, put
from takeoff.plan.model import Room, Storey
from takeoff.plan.readings.ceiling import CeilingProposal
from takeoff.plan.readings.joined_rooms import fault_of, place_together
from takeoff.plan.readings.walked_outline import outline_of
from takeoff.plan.readings.walked_room import CHANGED_MM, ceiling_proposed, stands_as_read, walked_corners
from takeoff.plan.said import finding, mm

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
        text = f"the readings of {room.title} give no closed outline: type what is missing."
        return [finding("readings-open", "check", text, where)]
    corners = walked_corners(room)
    if corners is None or not stands_as_read(room, outline):
        text = f"the outline of {room.title} was changed by hand since it was read on site: "
        text += "its readings no longer govern."
        return [finding("readings-overruled", "note", text, where)]
    told = [finding(f.code, f.severity, f"{room.title}: {f.text}", where) for f in outline.findings]
    proposal = ceiling_proposed(room.readings, corners)
    if proposal is not None and not proposal.sure:
        told.append(finding("readings-ceiling", "check", _ceiling_words(room, proposal), where))
    return told


def _ceiling_words(room: Room, proposal: CeilingProposal) -> str:
    off = f", up to {mm(proposal.off_mm)} off" if proposal.off_mm >= 1.0 else ""
    return (
        f"the heights read in {room.title} leave its ceiling open; it is taken as {proposal.words}"
        f"{off}: read more heights, or set the slopes."
    )


def _together(storey: Storey) -> list[Finding]:
    joined = storey.set_together
    if joined is None:
        return []
    where = Where(storey=storey.id)
    fault = fault_of(storey, joined)
    if fault:
        text = f"rooms of {storey.title} are no longer set together: {fault[:1].lower()}{fault[1:]}"
        return [finding("together-open", "check", text, where)]
    poses, placing = place_together(storey, joined)
    if any(_moved_mm(room, poses[room.id]) > CHANGED_MM for room in storey.rooms if room.id in poses):
        text = f"rooms of {storey.title} were moved since they were set together: set them together "
        return [finding("together-moved", "check", text + "again, or take them apart.", where)]
    return [
        finding(
            "together-misfit", "check", f"the {what} does not fit by {by:.0f} mm: look at what was read there.", where
        )
        for what, by in placing.lines
        if by > APART_MM
    ]


def _moved_mm(room: Room, pose: Pose) -> float:
    """How far from where its joins put it a room stands."""
    return max(math.dist((s.x_mm, s.y_mm), put(pose, (s.x_mm, s.y_mm))) for s in room.outline)
