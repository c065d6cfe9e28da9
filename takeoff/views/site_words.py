"""What is said of readings on site: whether they close, what each became, what a cell wants."""

from __future__ import annotations

from typing import Literal

import msgspec

from takeoff.plan.model import Job, Room
from takeoff.plan.readings.put_rooms import is_budget
from takeoff.plan.readings.walked_outline import Line, Outline, outline_of
from takeoff.plan.readings.walked_room import (
    DOOR_HEAD_MM,
    WINDOW_HEAD_MM,
    WINDOW_REVEAL_MM,
    WINDOW_SILL_MM,
    ceiling_proposed,
    stands_as_read,
)
from takeoff.units.printing import dim3, fmt2, printed
from takeoff.views.site_reading import Read
from takeoff.views.site_sheet import Sheet

_KINDS = {"length": "Side", "running": "Running", "turn": "Corner", "diagonal": "Diagonal"}

Mood = Literal["plain", "good", "urgent"]

HINTS = {
    "name": "What the room is called.",
    "middle": "Floor to ceiling. Where the ceiling is not level, the height in the middle of the room.",
    "length": "The side from corner to corner: 3.6, 3600 or 11'10\". What was not read stays empty.",
    "along": "From the side's first corner to each jamb, running: 0.85 2.05 is one opening. "
    "A last figure alone is the wall's end.",
    "turn": "The corner at the side's end. Empty: a usual one, not measured. R or L: to the right or left. "
    "L sq: said to be square. R 45: turns by 45°. 135: the corner's own angle. "
    "R ?: follows from the diagonals.",
    "height": "The height at the side's first corner, where the ceiling is not level.",
    "kind": "w for a window, d for a door, o for an open way.",
    "sill": "From the floor to the sill; empty: a usual one is assumed.",
    "head": "From the floor to the head; empty: a usual one is assumed.",
    "reveal": "From the wall's face to the frame; empty: a usual one is assumed.",
    "corners": "The two corners that the diagonal joins, like AC.",
    "diagonal": "Corner to corner through the room. One tells whether the room is square.",
}
"""What a cell wants, by the first part of its key."""


class Difference(msgspec.Struct, frozen=True):
    """A reading, what it became, and by how much that differs, as shown. ``marked``: it does not fit."""

    what: str
    read: str
    became: str
    off: str
    marked: bool


class SiteRoom(msgspec.Struct, frozen=True):
    """A room that was read on site or set for a budget, and what is said of it."""

    id: str
    name: str
    says: str


def headline(read: Read) -> str:
    """ "10.08 m²", the floor; "" while the outline is open."""
    return f"{fmt2(read.outline.area_mm2 / 1e6)} m²" if read.outline.closed else ""


def closing_words(read: Read) -> tuple[tuple[str, Mood], ...]:
    """Sentences about the outline as it stands, the most urgent first."""
    outline = read.outline
    said: list[tuple[str, Mood]] = [(fault.text, "urgent") for fault in read.faults[:1]]
    if not outline.closed:
        return (*said, (outline.missing, "plain"))
    said += [(f.text, "urgent" if f.severity in ("error", "check") else "plain") for f in outline.findings]
    said += _ceiling(read)
    said.append((_closes(outline, any(f.code == "readings-misclose" for f in outline.findings)), "good"))
    return tuple(said)


def _ceiling(read: Read) -> list[tuple[str, Mood]]:
    """What the heights make of the ceiling, where it is more than one height."""
    proposal = ceiling_proposed(read.readings, read.outline.points)
    if proposal is None or (proposal.words == "flat" and proposal.off_mm < 1.0):
        return []
    off = printed(proposal.off_mm, 0)
    fits = f", up to {off} mm off what was read" if off else ""
    if proposal.sure:
        return [(f"Ceiling: {proposal.words}{fits}.", "plain")]
    return [
        (
            f"Ceiling: taken as {proposal.words}{fits}, which the heights leave open: read more of them, "
            "or set the slopes afterwards.",
            "urgent",
        )
    ]


def _closes(outline: Outline, told: bool) -> str:
    """``told``: by how much the walk misses its start was said already."""
    if outline.closing_mm is None:
        return "The outline is closed; a side or a corner that was not read follows from the others."
    closing, largest = printed(outline.closing_mm, 0), printed(outline.largest_mm, 0)
    if not closing:
        return "The walk as typed closes."
    walk = "" if told else f"The walk as typed misses its start by {closing} mm. "
    if not largest:
        return walk + "Its corners took that up; no length was changed."
    return walk + f"No reading was changed by more than {largest} mm to close it."


def differences(read: Read) -> tuple[Difference, ...]:
    """Every reading that others check, and what became of it; corners that nobody measured too."""
    return tuple(_difference(line) for line in read.outline.lines if line.checked)


def _difference(line: Line) -> Difference:
    what = f"{_KINDS[line.kind]} {line.what}"
    if line.kind == "turn":
        # the angle between the two walls: 180° less what is turned
        was = "not read" if line.assumed else f"{printed(180.0 - abs(line.read), 1)}°"
        now = printed(180.0 - abs(line.adjusted), 1)
        off = "" if line.assumed else f"{_signed(abs(line.read) - abs(line.adjusted))}°"
        return Difference(what, was, f"{now}°", off, line.suspect)
    return Difference(
        what, dim3(line.read / 1000.0), dim3(line.adjusted / 1000.0), f"{_signed_mm(line.off_mm)} mm", line.suspect
    )


def _signed(value: float) -> str:
    number = printed(value, 1)
    return f"+{number}" if number > 0 else f"−{-number}" if number < 0 else "0"


def _signed_mm(value: float) -> str:
    number = printed(value, 0)
    return f"+{number}" if number > 0 else f"−{-number}" if number < 0 else "0"


def assumed_text(kind: str, part: Literal["sill", "head", "reveal"], feet: bool) -> str:
    """What is assumed of an opening where nothing is keyed, for the empty cell: "0.90"."""
    window = kind == "window"
    mm = {
        "sill": WINDOW_SILL_MM if window else 0.0,
        "head": WINDOW_HEAD_MM if window else DOOR_HEAD_MM,
        "reveal": WINDOW_REVEAL_MM if window else 0.0,
    }[part]
    return f"{fmt2(mm / 1000.0)} m" if feet else fmt2(mm / 1000.0)


def put_words(sheet: Sheet) -> str:
    """What the main button says."""
    return "Take the new readings" if sheet.room else "Put the room into the job"


def edit_name(sheet: Sheet) -> str:
    """The edit's name in the undo list."""
    name = sheet.name.strip() or "a room"
    return f"Read {name} anew" if sheet.room else f"Put {name} in from site readings"


def site_rooms(job: Job) -> tuple[SiteRoom, ...]:
    """The rooms that were read on site or set for a budget, in the order of the job."""
    rooms = (room for storey in job.storeys for room in storey.rooms)
    return tuple(
        SiteRoom(str(room.id), room.name or str(room.id), _says(room))
        for room in rooms
        if room.readings is not None or is_budget(room)
    )


def _says(room: Room) -> str:
    if room.readings is None:
        return "budget, not read yet"
    outline = outline_of(room.readings)
    if not stands_as_read(room, outline):
        return "outline changed since"
    if any(finding.code == "reading-gross" for finding in outline.findings):
        return "a reading does not fit"
    if outline.rest_on_about:
        return "corners not measured"
    if outline.closing_mm is not None:
        return f"misses by {printed(outline.closing_mm, 0)} mm"
    return "closed"
