"""What the window says in words and figures: the job's steps, a room's card, the running totals.

Pure: every figure is one that the sheets print, every working can be typed into a calculator.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from functools import cache

import msgspec

from takeoff.errors import Finding
from takeoff.plan.model import Job, Opening, Room, Storey
from takeoff.sheets.document import room_labels
from takeoff.sheets.figures import Group, Working, room_groups
from takeoff.sheets.texts import Texts, load
from takeoff.sheets.wall_names import opening_names, place_words
from takeoff.units.printing import fmt2, printed
from takeoff.views.board import Considered, State
from takeoff.views.coats import coat_words

_DEDUCTIONS = (("openings_m2", "openings"), ("excluded_m2", "left on"), ("not_coated_m2", "not to be coated"))

_AREAS = (("ceiling_m2", "Ceiling"), ("drop_m2", "Drops"), ("reveal_m2", "Reveals"))
_LENGTHS = (
    ("bead_m", "Bead"),
    ("internal_corner_m", "Inner corners"),
    ("coat_edge_m", "Coat edge"),
    ("floor_edge_m", "Floor edge"),
    ("frame_joint_m", "Frame joints"),
)


class FigureLine(msgspec.Struct, frozen=True):
    """A figure with its unit; ``working`` in short, ``lines`` the whole dims with where they are."""

    key: str
    name: str
    figure: str
    unit: str
    working: str
    lines: tuple[Working, ...]


class Card(msgspec.Struct, frozen=True):
    """What is said of a chosen room."""

    title: str
    total: str
    about: str
    lines: tuple[FigureLine, ...]
    to_settle: tuple[Finding, ...]


class Step(msgspec.Struct, frozen=True):
    """One of the job's steps and what it says now."""

    id: str
    title: str
    says: str
    urgent: bool = False


@cache
def texts() -> Texts:
    """The words of the sheets, so that screen and paper say the same."""
    return load()


def labels(job: Job) -> dict[tuple[str, str], str]:
    """A name for every room by (storey, room), as on the sheets."""
    return room_labels(job, texts())


def storey_name(storey: Storey) -> str:
    """The storey's name as on the sheets, never empty."""
    return storey.name or texts().words["unnamed_storey"]


def place_of(job: Job, room_id: str) -> tuple[Storey, Room] | None:
    """The storey and the room of that id; None where the job has no such room."""
    return next(((s, r) for s in job.storeys for r in s.rooms if r.id == room_id), None)


def to_coat(figure: Decimal) -> str:
    """ "41.3 m² to coat": what a room's label says under its name."""
    return f"{printed(figure, 1)} m² {texts().words['to_coat']}"


def room_card(state: State, room_id: str, findings: Sequence[Finding]) -> Card | None:
    """The card of a room; None where it was not measured. ``findings``: all of the job."""
    place, board = place_of(state.job, room_id), state.room(room_id)
    if place is None or board is None:
        return None
    storey, room = place
    names = labels(state.job)
    own = {name: label for (at, name), label in names.items() if at == storey.id}
    called = opening_names(storey.openings, storey.rooms)
    words = place_words(room, storey.openings, storey.rooflights, own, called)
    groups = room_groups(board.taken, words)
    return Card(
        title=names[str(storey.id), room_id],
        total=f"{board.figures['coated_m2']} m²",
        about=_about(storey, room, state),
        lines=card_lines(groups, board.figures["wall_net_m2"]),
        to_settle=findings_about(findings, room, storey.openings),
    )


def card_lines(groups: dict[str, Group], net: Decimal) -> tuple[FigureLine, ...]:
    """The lines of a card, those of nothing left out. ``net``: the printed net area of the walls."""
    lines = [_walls(groups, net)]
    lines += [single_line(groups[key], name, "m²") for key, name in _AREAS]
    for key, name in _LENGTHS:
        lines.append(single_line(groups[key], name, "m") if key in groups else _family(groups, key, name))
    return tuple(line for line in lines if line.lines)


def findings_about(findings: Sequence[Finding], room: Room, openings: Sequence[Opening]) -> tuple[Finding, ...]:
    """Those findings that speak of a room, its sides or its openings."""
    own = {str(opening.id) for opening in openings if opening.room == room.id}
    return tuple(f for f in findings if f.where.room == room.id or (f.where.opening or "") in own)


def _walls(groups: dict[str, Group], net: Decimal) -> FigureLine:
    """Gross less openings, what stays on and what is not to be coated: a chain of printed sums."""
    gross = groups["wall_gross_m2"]
    lines, chain = list(gross.lines), f"{gross.total}"
    for key, words in _DEDUCTIONS:
        group = groups[key]
        lines += [Working(f"− {w.text}", -w.result, w.what or words, w.of) for w in group.lines]
        if group.total:
            chain += f" − {group.total} {words}"
    working = chain if chain != f"{gross.total}" else _short(gross)
    return FigureLine("wall_net_m2", "Walls", f"{net}", "m²", working, tuple(lines))


def single_line(group: Group, name: str, unit: str) -> FigureLine:
    """A quantity as a line of a card."""
    return FigureLine(group.quantity, name, f"{group.total}", unit, _short(group), group.lines)


def _family(groups: dict[str, Group], key: str, name: str) -> FigureLine:
    """A quantity that is kept by kind ("internal_corner_m.drop")."""
    family = [group for kind, group in groups.items() if kind.startswith(key + ".")]
    lines = tuple(line for group in family for line in group.lines)
    total = sum((group.total for group in family), Decimal("0.00"))
    return single_line(Group(key, lines, total), name, "m")


def _short(group: Group) -> str:
    """One or two workings as they stand; of more only the printed results, as a sum."""
    lines = group.lines
    if len(lines) <= 2:
        return " + ".join(line.text for line in lines)
    return " + ".join(str(line.result) for line in lines)


def _about(storey: Storey, room: Room, state: State) -> str:
    """ "2.45 m high, assumed": what governs the figures of a room."""
    board = state.room(str(room.id))
    if board is None:
        return ""
    low, high = (fmt2(mm / 1000.0) for mm in (board.taken.height_min_mm, board.taken.height_max_mm))
    source = room.ceiling.source if room.ceiling else storey.height_source
    height = f"{low} m high" if low == high else f"{low} to {high} m high"
    height += " (assumed)" if source == "assumed" else ""
    parts = [f"{fmt2(board.taken.floor_m2)} m² of floor", height]
    if board.factor > 1:
        parts.append(f"counts {board.factor} times")
    return ", ".join(parts)


def running_totals(state: State, considered: Considered | None) -> tuple[str, ...]:
    """What stands at the foot: what there is to coat, bead, inner corners, packs."""
    nought = Decimal("0.00")
    said = [
        to_coat(state.totals.get("coated_m2", nought)),
        f"{printed(state.totals.get('bead_m', nought), 1)} m bead",
        f"{printed(state.totals.get('internal_corner_m', nought), 1)} m inner corners",
    ]
    packs = packs_words(considered)
    return (*said, packs) if packs else tuple(said)


def packs_words(considered: Considered | None) -> str:
    """ "14 packs to order"; "" while nothing is known or nothing is to be ordered."""
    if considered is None or considered.order is None:
        return ""
    count = sum(line.count for line in considered.order.lines)
    return f"{count} {'pack' if count == 1 else 'packs'}" if count else ""


def steps(state: State, considered: Considered | None, findings: Sequence[Finding], source: str) -> tuple[Step, ...]:
    """The job's steps in their order, each with what it says now. ``source``: the drawing's name."""
    job = state.job
    rooms = [room for storey in job.storeys for room in storey.rooms]
    openings = [o.confidence for storey in job.storeys for o in storey.openings]
    openings += [o.confidence for storey in job.storeys for o in storey.rooflights]
    unsure_rooms = sum(room.confidence != "sure" for room in rooms)
    unsure = sum(confidence != "sure" for confidence in openings)
    grave = sum(finding.severity == "error" for finding in findings)
    checks = sum(finding.severity == "check" for finding in findings)
    assumed = sum(finding.severity == "assumed" for finding in findings)
    return (
        Step("drawing", "Drawing", source or "none yet"),
        Step("rooms", "Rooms", _counted(len(rooms), unsure_rooms)),
        Step("openings", "Openings", _counted(len(openings), unsure)),
        Step("coat", "Coat", coat_words(state)),
        Step("settle", "To settle", _settle_words(grave, checks, assumed), grave > 0),
        Step("order", "Order", packs_words(considered) or _no_packs(considered)),
        Step("sheets", "Sheets", job.details.client or "look, print, write"),
    )


def _no_packs(considered: Considered | None) -> str:
    return "nothing yet" if considered else "working it out"


def _counted(count: int, unsure: int) -> str:
    if not count:
        return "none yet"
    return f"{count}, {unsure} to check" if unsure else f"{count}"


def _settle_words(errors: int, checks: int, assumed: int) -> str:
    parts = [
        f"{errors} to mend" if errors else "",
        f"{checks} to check" if checks else "",
        f"{assumed} assumed" if assumed else "",
    ]
    return ", ".join(part for part in parts if part) or "nothing"
