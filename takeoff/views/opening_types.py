"""What the window says of openings: the job's own types, and an opening with its place and figures."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Literal

import msgspec

from takeoff.geometry.curves import Curve
from takeoff.language import mark, tr, tr_count
from takeoff.measure.takeoff import Takeoff
from takeoff.plan import edits
from takeoff.plan.model import Job, Opening, Reveal, Room, RoomId, SideId, Storey, Strip
from takeoff.plan.opening_groups import OpeningGroup, opening_groups
from takeoff.plan.reasons import all_spoken
from takeoff.plan.surface_ids import reveal_of, strip_of
from takeoff.plan.usual_sizes import WINDOW_REVEAL_MM
from takeoff.sheets.sheet_values import Cell, Table
from takeoff.sheets.wall_names import opening_names, wall_letters
from takeoff.units.printing import fmt2, printed, shown
from takeoff.views.board import State
from takeoff.views.naming import labels, storey_name, texts

Kind = Literal["window", "door", "open"]
Shape = Literal["flat", "segmental", "semicircular", "round"]


class OpeningType(msgspec.Struct, frozen=True):
    """A kind of opening to place. ``count``: how many the job has; 0 for a usual one."""

    kind: Kind
    width_mm: float
    height_mm: float
    sill_mm: float
    shape: Shape = "flat"
    rise_mm: float = 0.0
    reveal: Reveal = Reveal()
    mark: str = ""
    count: int = 0

    @property
    def words(self) -> str:
        """ "Window 1.80 × 1.20", as it stands in a list."""
        kind = texts().opening_kinds.get(self.kind, self.kind)
        name = kind[:1].upper() + kind[1:]
        mark = f" {self.mark}" if self.mark else ""
        return f"{name}{mark}  {fmt2(self.width_mm / 1000.0)} × {fmt2(self.height_mm / 1000.0)}"


_USUAL: tuple[tuple[Kind, float, float, float], ...] = (
    ("window", 1200.0, 1200.0, 900.0),
    ("window", 600.0, 600.0, 1500.0),
    ("window", 1800.0, 1200.0, 900.0),
    ("door", 800.0, 2040.0, 0.0),
    ("door", 900.0, 2040.0, 0.0),
    ("door", 1800.0, 2100.0, 0.0),
    ("open", 1000.0, 2100.0, 0.0),
)
"""kind, width, height, sill, mm: sizes that most jobs have (common practice, no source)."""


def opening_types(job: Job) -> tuple[OpeningType, ...]:
    """The types that the job has, the most frequent first, then usual ones that it has not."""
    groups: dict[tuple[object, ...], list[Opening]] = {}
    for opening in (o for storey in job.storeys for o in storey.openings if o.head_mm > o.sill_mm):
        groups.setdefault(_form(opening), []).append(opening)
    own = [_type_of(group) for group in groups.values()]
    own.sort(key=lambda one: -one.count)
    known = {(one.kind, one.width_mm, one.height_mm) for one in own}
    usual = (
        OpeningType(kind, width, height, sill, reveal=_usual_reveal(job, kind))
        for kind, width, height, sill in _USUAL
        if (kind, width, height) not in known
    )
    return (*own, *usual)


def _form(opening: Opening) -> tuple[object, ...]:
    """Openings of one form to the mm are of one type."""
    sizes = (opening.width_mm, opening.sill_mm, opening.head_mm, opening.rise_mm)
    return (opening.kind, opening.shape, *(round(size) for size in sizes))


def _type_of(group: Sequence[Opening]) -> OpeningType:
    first = group[0]
    marks = {opening.mark for opening in group}
    return OpeningType(
        first.kind,
        first.width_mm,
        first.head_mm - first.sill_mm,
        first.sill_mm,
        first.shape,
        first.rise_mm,
        first.reveal,
        first.mark if len(marks) == 1 else "",
        len(group),
    )


def openings_like(job: Job, opening: Opening) -> tuple[Opening, ...]:
    """Every opening of the job of the same kind, form and size, to the mm; that one too."""
    return tuple(o for storey in job.storeys for o in storey.openings if _form(o) == _form(opening))


def type_of(job: Job, opening: Opening) -> OpeningType:
    """The type that an opening is of, as the job has it now."""
    kind = _type_of(openings_like(job, opening) or [opening])
    return msgspec.structs.replace(kind, reveal=opening.reveal)


def _usual_reveal(job: Job, kind: Kind) -> Reveal:
    """Windows as deep as the job's others, jambs and head coated; lined door frames have none; the
    strips of a doorway span its wall."""
    if kind != "window":
        return Reveal()
    depths = [o.reveal.start for s in job.storeys for o in s.openings if o.kind == "window"]
    strip = next(
        (Strip(depth_mm=one.depth_mm, depth_source=one.depth_source) for one in depths),
        Strip(depth_mm=WINDOW_REVEAL_MM, depth_source="assumed"),
    )
    return Reveal(start=strip, end=strip, head=strip, sill=msgspec.structs.replace(strip, coat=False))


def new_opening(job: Job, kind: OpeningType, room: RoomId, side: SideId, offset_mm: float) -> Opening:
    """An opening of a type at a place, with an id that is free. A mark that stands for the type stays."""
    return Opening(
        id=edits.new_opening_id(job, kind.kind),
        kind=kind.kind,
        room=room,
        side=side,
        offset_mm=offset_mm,
        width_mm=kind.width_mm,
        sill_mm=kind.sill_mm,
        head_mm=kind.sill_mm + kind.height_mm,
        shape=kind.shape,
        rise_mm=kind.rise_mm,
        reveal=kind.reveal,
        mark=kind.mark if kind.count > 1 else "",
    )


class OpeningView(msgspec.Struct, frozen=True):
    """What is said of an opening. Left and right as one stands before it in its room."""

    opening: Opening
    title: str
    place: str
    """ "Wall A, through to G1 Hall"."""
    to_left_mm: float
    to_right_mm: float
    takes: str
    """ "2.16 m² deducted from the wall, 0.63 m² of reveal coated"."""
    question: str
    """Why it is asked about, and what it changes; "" for one that is sure."""
    beyond: str
    """The room on the wall's other side; "" where none is known."""


def opening_view(state: State, opening_id: str) -> OpeningView | None:
    """What is said of an opening; None where the job has none of that id, or its wall is gone."""
    found = next(((s, o) for s in state.job.storeys for o in s.openings if o.id == opening_id), None)
    if found is None:
        return None
    storey, opening = found
    room = next((room for room in storey.rooms if room.id == opening.room), None)
    if room is None or all(s.id != opening.side for s in room.sides):
        return None
    _, curve = edits.side_curve(state.job, opening.room, opening.side)
    names = labels(state.job)
    behind = _room_behind(state, storey, room, opening)
    beyond = names.get((str(storey.id), behind), "") if behind else ""
    letter = wall_letters(room).get(str(opening.side), "")
    called = opening_names(storey.openings, storey.rooms)[opening.id].text
    return OpeningView(
        opening,
        called[:1].upper() + called[1:],
        tr("Wall {letter}, through to {room}", letter=letter, room=beyond)
        if beyond
        else tr("Wall {letter}", letter=letter),
        *ends(curve, opening.offset_mm, opening.width_mm),
        _takes(state, storey, opening),
        _question(state, opening),
        beyond,
    )


def ends(curve: Curve, offset_mm: float, width_mm: float) -> tuple[float, float]:
    """(to the left, to the right end of the wall) as seen from the room: its sides start at the right."""
    return curve.length - offset_mm - width_mm, offset_mm


def _room_behind(state: State, storey: Storey, room: Room, opening: Opening) -> str:
    """The room behind the middle of an opening, by what measuring found there."""
    board = state.rooms.get((str(storey.id), str(room.id)))
    face = next((f for f in board.taken.faces if f.id == opening.side), None) if board else None
    middle = opening.offset_mm + opening.width_mm / 2.0
    for stretch in face.behind if face else ():
        if stretch.from_mm <= middle <= stretch.to_mm and stretch.room:
            return stretch.room
    return ""


def _takes(state: State, storey: Storey, opening: Opening) -> str:
    """What an opening takes off walls and what its reveals add, of both sides of the wall."""
    area = reveal = 0.0
    cut = 0
    for room in storey.rooms:
        board = state.rooms.get((str(storey.id), str(room.id)))
        holes = [h for h in board.taken.holes if h.opening == opening.id] if board else []
        if board is None or not holes:
            continue
        cut += len(holes)
        area += sum(hole.area_m2 for hole in holes)
        own = {reveal_of(hole.strips) for hole in holes}
        reveal += sum(s.net_m2 for s in board.taken.surfaces if s.kind == "reveal" and strip_of(s.id)[:2] in own)
    if not cut:
        return tr("Nothing is deducted for it yet.")
    taken, coated = shown(area), shown(reveal)
    if cut > 1:
        return tr(
            "{area} m² deducted from both faces of the wall, {reveal} m² of reveal coated.", area=taken, reveal=coated
        )
    return tr("{area} m² deducted from the wall, {reveal} m² of reveal coated.", area=taken, reveal=coated)


def _question(state: State, opening: Opening) -> str:
    if opening.confidence == "sure":
        return ""
    reasons = "; ".join(all_spoken(opening.evidence))
    said = tr("Not measured yet: {reasons}.", reasons=reasons) if reasons else tr("Not measured yet.")
    effect = next((e for e in state.takeoff.unsure if e.opening == opening.id), None)
    change = effect.change.get("coated_m2", 0.0) if effect else 0.0
    return f"{said} {tr('If accepted: {area} m² of coat.', area=signed(change))}" if change else said


def signed(value: float | Decimal, places: int = 2) -> str:
    """The figure with its sign, as the user's region writes it: "+0.12", "−0.40"."""
    text = shown(value, places)
    return f"+{text}" if printed(value, places) > 0 else text


def unsure_openings(state: State) -> tuple[str, ...]:
    """The ids of openings that are to be checked or in question, in the plan's order."""
    return tuple(str(o.id) for s in state.job.storeys for o in s.openings if o.confidence != "sure")


_PLURALS: dict[Kind, str] = {"window": mark("windows"), "door": mark("doors"), "open": mark("doorways")}
_TOGETHER = mark("Similar openings share a row. The table “unsure” of the spreadsheet lists each, with why.")


def unsure_in_groups(table: Table, job: Job, takeoff: Takeoff) -> Table:
    """The table of unsure openings, a row each in the order of ``takeoff.unsure``, with alike ones in one row
    where the first of them stood: how many, how wide, as what, and together what they would change. The same
    table where none are alike."""
    group_of = {str(name): group for group in opening_groups(job) for name in group.ids}
    if all(len(group.openings) == 1 for group in group_of.values()):
        return table
    row_of = {effect.opening: row[:3] for effect, row in zip(takeoff.unsure, table.rows, strict=True)}
    storeys = {str(s.id): f"{storey_name(s)}, " if len(job.storeys) > 1 else "" for s in job.storeys}
    rows: list[tuple[Cell, ...]] = []
    told: set[str] = set()
    for effect in takeoff.unsure:
        group = group_of.get(effect.opening)
        if group is None:
            rows.append(row_of[effect.opening])
        elif effect.opening not in told:
            told |= {str(name) for name in group.ids}
            rows.append(_group_row(group, storeys[group.storey], [row_of[str(name)] for name in group.ids]))
    return msgspec.structs.replace(table, columns=table.columns[:3], rows=tuple(rows), note=tr(_TOGETHER))


def _group_row(group: OpeningGroup, storey: str, rows: Sequence[tuple[Cell, ...]]) -> tuple[Cell, ...]:
    if len(rows) == 1:
        place, doubt, change = rows[0]
        return f"{place}, {group.widths}", f"{texts().opening_kinds[group.kind]}, {doubt}", change
    walls = f", {group.walls}" if group.walls else ""
    change = sum((row[2] for row in rows if isinstance(row[2], Decimal)), Decimal(0))
    return (
        f"{storey}{tr_count('{count} opening', '{count} openings', len(rows))}, {group.widths}{walls}",
        f"{tr(_PLURALS[group.kind])}, {rows[0][1]}",
        change,
    )
