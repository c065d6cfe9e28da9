"""What is said of readings on site: whether they close, what each became, what a cell wants; and budget rooms."""

from __future__ import annotations

from typing import Literal

import msgspec

from takeoff.errors import InputError
from takeoff.language import mark, tr
from takeoff.plan.model import Job, Room, RoomId, StoreyId
from takeoff.plan.readings import keyed
from takeoff.plan.readings.put_rooms import BudgetOpening, is_budget, put_budget_room
from takeoff.plan.readings.walked_outline import Line, Outline, outline_of
from takeoff.plan.readings.walked_room import ceiling_proposed, stands_as_read
from takeoff.plan.usual_sizes import DOOR_HEAD_MM, WINDOW_HEAD_MM, WINDOW_REVEAL_MM, WINDOW_SILL_MM
from takeoff.units.lengths import LENGTH, OPENING_SIZE, STOREY_HEIGHT, Size
from takeoff.units.printing import dim3, printed, shown, whole
from takeoff.views.site_sheet import USUAL_KIND, Cells, Fault, OpeningKind, Read, Sheet, kind_of

_READINGS = {
    "length": mark("Side {name}"),
    "running": mark("Running {name}"),
    "turn": mark("Corner {name}"),
    "diagonal": mark("Diagonal {name}"),
}

Mood = Literal["plain", "good", "urgent"]

HINTS = {
    "name": mark("What the room is called."),
    "middle": mark("Floor to ceiling. Where the ceiling is not level, the height in the middle of the room."),
    "length": mark("The side from corner to corner: 3.6, 3600 or 11'10\". Leave blank what you did not measure."),
    "along": mark(
        "From the side's first corner to each jamb, running: 0.85 2.05 is one opening. "
        "A last figure alone is the wall's end."
    ),
    "turn": mark(
        "The corner at the side's end. Blank: square, not checked. R or L: turns right or left. "
        "L sq: square, checked. R 45: turns by 45°. 135: the corner's own angle. "
        "R ?: from the diagonals."
    ),
    "height": mark("The height at the side's first corner, where the ceiling is not level."),
    "kind": mark("w for a window, d for a door, o for a doorway without a door."),
    "sill": mark("From the floor to the sill; blank: the usual one is assumed."),
    "head": mark("From the floor to the head; blank: the usual one is assumed."),
    "reveal": mark("From the wall's face to the frame; blank: the usual one is assumed."),
    "corners": mark("The two corners that the diagonal joins, like AC."),
    "diagonal": mark("Corner to corner through the room. One tells whether the room is square."),
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
    return tr("{number} m²", number=shown(read.outline.area_mm2 / 1e6)) if read.outline.closed else ""


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
    if proposal is None or (proposal.is_flat and proposal.off_mm < 1.0):
        return []
    off = printed(proposal.off_mm, 0)
    fits = [tr("It is up to {off} mm off the measured heights.", off=whole(off))] if off else []
    if proposal.sure:
        return [(" ".join((tr("Ceiling: {form}.", form=proposal.words), *fits)), "plain")]
    said = tr("Ceiling: taken as {form}, but the heights allow others.", form=proposal.words)
    asked = tr("Measure more heights, or set the slopes afterwards.")
    return [(" ".join((said, *fits, asked)), "urgent")]


def _closes(outline: Outline, told: bool) -> str:
    """``told``: by how much the walk misses its start was said already."""
    if outline.closing_mm is None:
        return tr("The outline is closed; a side or corner that was not measured follows from the others.")
    closing, largest = printed(outline.closing_mm, 0), printed(outline.largest_mm, 0)
    if not closing:
        return tr("The sides close.")
    adjusted = (
        tr("No length was changed by more than {largest} mm to close them.", largest=whole(largest))
        if largest
        else tr("The corners took that up; no length was changed.")
    )
    return adjusted if told else f"{tr('The sides do not close by {gap} mm.', gap=whole(closing))} {adjusted}"


def differences(read: Read) -> tuple[Difference, ...]:
    """Every reading that others check, and what became of it; corners that nobody measured too."""
    return tuple(_difference(line) for line in read.outline.lines if line.checked)


def _difference(line: Line) -> Difference:
    what = tr(_READINGS[line.kind], name=line.what)
    if line.kind == "turn":
        # the angle between the two walls: 180° less what is turned
        was = tr("not measured") if line.assumed else f"{shown(180.0 - abs(line.read), 1)}°"
        now = shown(180.0 - abs(line.adjusted), 1)
        off = "" if line.assumed else f"{_signed(abs(line.read) - abs(line.adjusted), 1)}°"
        return Difference(what, was, f"{now}°", off, line.suspect)
    return Difference(
        what,
        dim3(line.read / 1000.0),
        dim3(line.adjusted / 1000.0),
        tr("{number} mm", number=_signed(line.off_mm, 0)),
        line.suspect,
    )


def _signed(value: float, places: int) -> str:
    rounded = printed(value, places)
    text = shown(abs(rounded), places)
    return f"+{text}" if rounded > 0 else f"−{text}" if rounded < 0 else "0"


def assumed_text(kind: OpeningKind, part: Literal["sill", "head", "reveal"], feet: bool) -> str:
    """What is assumed of an opening where nothing is keyed, for the empty cell: "0.90"."""
    window = kind == "window"
    mm = {
        "sill": WINDOW_SILL_MM if window else 0.0,
        "head": WINDOW_HEAD_MM if window else DOOR_HEAD_MM,
        "reveal": WINDOW_REVEAL_MM if window else 0.0,
    }[part]
    return tr("{length} m", length=shown(mm / 1000.0)) if feet else shown(mm / 1000.0)


def put_words(sheet: Sheet) -> str:
    """What the main button says."""
    return tr("Use the new measurements") if sheet.room else tr("Put the room into the job")


def edit_name(sheet: Sheet) -> str:
    """The edit's name in the undo list."""
    name = sheet.name.strip() or tr("a room")
    return tr("Measure {room} again", room=name) if sheet.room else tr("Put {room} in from the survey", room=name)


def site_rooms(job: Job) -> tuple[SiteRoom, ...]:
    """The rooms that were read on site or set for a budget, in the order of the job."""
    rooms = (room for storey in job.storeys for room in storey.rooms)
    return tuple(
        SiteRoom(str(room.id), room.title, _says(room))
        for room in rooms
        if room.readings is not None or is_budget(room)
    )


def _says(room: Room) -> str:
    if room.readings is None:
        return tr("estimate, not measured yet")
    outline = outline_of(room.readings)
    if not stands_as_read(room, outline):
        return tr("outline changed since")
    if any(finding.code == "reading-gross" for finding in outline.findings):
        return tr("a measurement does not fit")
    if outline.rest_on_about:
        return tr("corners not measured")
    if outline.closing_mm is not None:
        return tr("misclosure {gap} mm", gap=whole(outline.closing_mm))
    return tr("closed")


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
        take(part, 0.0, _budget_length, getattr(sheet, part), asked, size)
        for part, asked, size in (
            ("length", mark("Type the length of the room."), LENGTH),
            ("width", mark("Type the width of the room."), LENGTH),
            ("height", mark("Type the height of the room."), STOREY_HEIGHT),
        )
    ]
    openings = tuple(
        BudgetOpening(
            count=take(f"count:{n}", 1, _count, line.count),
            width_mm=take(
                f"wide:{n}", 0.0, _budget_length, line.width, mark("Type the width of the opening."), OPENING_SIZE
            ),
            height_mm=take(
                f"tall:{n}", 0.0, _budget_length, line.height, mark("Type the height of the opening."), OPENING_SIZE
            ),
            kind=take(f"kind:{n}", USUAL_KIND, kind_of, line.kind),
            reveal_mm=take(f"reveal:{n}", None, keyed.depth, line.reveal),
        )
        for n, line in enumerate(sheet.openings)
        if not line.is_empty
    )
    return Budget(sizes[0], sizes[1], sizes[2], openings, tuple(cells.faults))


def _budget_length(text: str, asked: str, size: Size) -> float:
    value = keyed.length(text, size=size)
    if value is None:
        raise InputError(tr(asked))
    return value


def _count(text: str) -> int:
    if not text:
        raise InputError(tr("Type how many openings of this size there are."))
    if not text.isdecimal() or not 1 <= int(text) <= 99:
        raise InputError(tr("“{text}” is not a number of openings: type 1, 2, 3 …", text=text))
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
