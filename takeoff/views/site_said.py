"""What is said of readings on site: whether they close, what each became, what a cell wants; and budget rooms."""

from __future__ import annotations

from typing import Literal

import msgspec

from takeoff.errors import InputError
from takeoff.plan.model import Job, Room, RoomId, StoreyId
from takeoff.plan.readings import keyed
from takeoff.plan.readings.put_rooms import BudgetOpening, is_budget, put_budget_room
from takeoff.plan.readings.walked_outline import Line, Outline, outline_of
from takeoff.plan.readings.walked_room import ceiling_proposed, stands_as_read
from takeoff.plan.usual_sizes import DOOR_HEAD_MM, WINDOW_HEAD_MM, WINDOW_REVEAL_MM, WINDOW_SILL_MM
from takeoff.units.lengths import LENGTH, OPENING_SIZE, STOREY_HEIGHT, Size
from takeoff.units.printing import dim3, fmt2, printed
from takeoff.views.site_sheet import USUAL_KIND, Cells, Fault, Read, Sheet, kind_of

_READINGS = {"length": "Side", "running": "Running", "turn": "Corner", "diagonal": "Diagonal"}

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
    what = f"{_READINGS[line.kind]} {line.what}"
    if line.kind == "turn":
        # the angle between the two walls: 180° less what is turned
        was = "not read" if line.assumed else f"{printed(180.0 - abs(line.read), 1)}°"
        now = printed(180.0 - abs(line.adjusted), 1)
        off = "" if line.assumed else f"{_signed(abs(line.read) - abs(line.adjusted), 1)}°"
        return Difference(what, was, f"{now}°", off, line.suspect)
    return Difference(
        what, dim3(line.read / 1000.0), dim3(line.adjusted / 1000.0), f"{_signed(line.off_mm, 0)} mm", line.suspect
    )


def _signed(value: float, places: int) -> str:
    number = printed(value, places)
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


class OpeningLine(msgspec.Struct, frozen=True):
    """So many openings of one size, as keyed."""

    count: str = ""
    kind: str = ""
    width: str = ""
    height: str = ""
    reveal: str = ""

    @property
    def is_empty(self) -> bool:
        """Whether nothing was keyed of it but, perhaps, a kind."""
        return not (self.count or self.width or self.height or self.reveal)


class BudgetSheet(msgspec.Struct, frozen=True):
    """All cells of a budget room."""

    name: str = ""
    length: str = ""
    width: str = ""
    height: str = ""
    openings: tuple[OpeningLine, ...] = (OpeningLine(),)


class Budget(msgspec.Struct, frozen=True):
    """What the cells give; ``faults`` name those that are missing or cannot be read."""

    length_mm: float
    width_mm: float
    height_mm: float
    openings: tuple[BudgetOpening, ...]
    faults: tuple[Fault, ...]


def offered(sheet: BudgetSheet) -> BudgetSheet:
    """The sheet with one empty line of openings to go on with."""
    kept = tuple(line for line in sheet.openings if not line.is_empty)
    return msgspec.structs.replace(sheet, openings=(*kept, OpeningLine()))


def read_budget(sheet: BudgetSheet) -> Budget:
    """The sizes and openings that the cells hold."""
    cells = Cells()
    take = cells.take
    sizes = [
        take(part, 0.0, _budget_length, getattr(sheet, part), f"the {part} of the room", size)
        for part, size in (("length", LENGTH), ("width", LENGTH), ("height", STOREY_HEIGHT))
    ]
    openings = tuple(
        BudgetOpening(
            count=take(f"count:{n}", 1, _count, line.count),
            width_mm=take(f"wide:{n}", 0.0, _budget_length, line.width, "the width of the opening", OPENING_SIZE),
            height_mm=take(f"tall:{n}", 0.0, _budget_length, line.height, "the height of the opening", OPENING_SIZE),
            kind=take(f"kind:{n}", USUAL_KIND, kind_of, line.kind),
            reveal_mm=take(f"reveal:{n}", None, keyed.depth, line.reveal),
        )
        for n, line in enumerate(sheet.openings)
        if not line.is_empty
    )
    return Budget(sizes[0], sizes[1], sizes[2], openings, tuple(cells.faults))


def _budget_length(text: str, what: str, size: Size) -> float:
    value = keyed.length(text, size=size)
    if value is None:
        raise InputError(f"Type {what}.")
    return value


def _count(text: str) -> int:
    if not text:
        raise InputError("Type how many openings of this size there are.")
    if not text.isdecimal() or not 1 <= int(text) <= 99:
        raise InputError(f"“{text}” is no number of openings: type 1, 2, 3 …")
    return int(text)


def put_budget(job: Job, storey: str, sheet: BudgetSheet, room_id: RoomId) -> Job:
    """The job with that room. Raises InputError with the first fault."""
    budget = read_budget(sheet)
    if budget.faults:
        raise InputError(budget.faults[0].text)
    return put_budget_room(
        job,
        StoreyId(storey) if storey else None,
        room_id,
        sheet.name.strip(),
        budget.length_mm,
        budget.width_mm,
        budget.height_mm,
        budget.openings,
    )
