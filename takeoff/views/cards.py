"""The card of what is chosen: a room, a wall face or an opening, its figures with their dims, what is behind it.

Pure: every figure is one that the sheets print, every working can be typed into a calculator. A face or an
opening is the room's own takeoff, narrowed to one surface.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from decimal import Decimal

import msgspec

from takeoff.errors import Finding
from takeoff.language import listed, mark, number, tr, tr_count
from takeoff.measure.dims import KIND_WORDS, edge_lines
from takeoff.measure.figures import by_kind
from takeoff.measure.outside_rule import outside_parts
from takeoff.measure.takeoff import Face, RoomTakeoff
from takeoff.plan.model import Opening, Room, Storey
from takeoff.sheets.printed_figures import AREAS, LENGTHS, Group, Working, room_figures, room_groups
from takeoff.sheets.wall_names import opening_names, place_words, wall_letters
from takeoff.units.printing import fmt2, shown
from takeoff.views.board import State
from takeoff.views.naming import labels, place_of

_DEDUCTIONS = (
    ("openings_m2", mark("openings")),
    ("excluded_m2", mark("kept or masked")),
    ("not_coated_m2", mark("not coated")),
)

_AREAS = (("ceiling_m2", mark("Ceiling")), ("drop_m2", mark("Bulkheads and boxing")), ("reveal_m2", mark("Reveals")))
_LENGTHS = (
    ("bead_m", mark("New corner bead")),
    ("internal_corner_m", mark("Internal corners")),
    ("coat_edge_by_kind_m.open", mark("Stop edges, open")),
    ("coat_edge_by_kind_m.against", mark("Stop edges, against what is kept")),
    ("coat_edge_by_kind_m.corner", mark("Stop edges, in corners")),
    ("floor_edge_m", mark("Floor line (to mask)")),
    ("frame_joint_by_kind_m", mark("Seal round frames")),
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
        total=f"{number(board.figures['coated_m2'])} m²",
        about=_about(storey, room, state),
        lines=card_lines(groups, board.figures["wall_net_m2"]),
        to_settle=findings_about(findings, room, storey.openings),
    )


def card_lines(groups: dict[str, Group], net: Decimal) -> tuple[FigureLine, ...]:
    """The lines of a card, those of nothing left out. ``net``: the printed net area of the walls."""
    lines = [_walls(groups, net)]
    lines += [single_line(groups[key], tr(name), "m²") for key, name in _AREAS]
    for key, name in _LENGTHS:
        said = tr(name)
        lines.append(single_line(groups[key], said, "m") if key in groups else _family(groups, key, said))
    return tuple(line for line in lines if line.lines)


def findings_about(findings: Sequence[Finding], room: Room, openings: Sequence[Opening]) -> tuple[Finding, ...]:
    """Those findings that speak of a room, its sides or its openings."""
    own = {str(opening.id) for opening in openings if opening.room == room.id}
    return tuple(f for f in findings if f.where.room == room.id or (f.where.opening or "") in own)


def _walls(groups: dict[str, Group], net: Decimal) -> FigureLine:
    """Gross less openings, what stays on and what is not to be coated: a chain of printed sums."""
    gross = groups["wall_gross_m2"]
    lines, chain = list(gross.lines), number(gross.total)
    for key, words in _DEDUCTIONS:
        group = groups[key]
        lines += [Working(f"− {w.text}", -w.result, w.what or tr(words), w.of) for w in group.lines]
        if group.total:
            chain += f" − {number(group.total)} {tr(words)}"
    working = chain if chain != number(gross.total) else _short(gross)
    return FigureLine("wall_net_m2", tr("Walls"), number(net), "m²", working, tuple(lines))


def single_line(group: Group, name: str, unit: str) -> FigureLine:
    """A quantity as a line of a card."""
    return FigureLine(group.quantity, name, number(group.total), unit, _short(group), group.lines)


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
    return " + ".join(number(line.result) for line in lines)


def _about(storey: Storey, room: Room, state: State) -> str:
    """ "2.45 m high, assumed": what governs the figures of a room."""
    board = state.room(str(room.id))
    if board is None:
        return ""
    low, high = (fmt2(mm / 1000.0) for mm in (board.taken.height_min_mm, board.taken.height_max_mm))
    source = room.ceiling.source if room.ceiling else storey.height_source
    if low == high:
        height = tr("{low} m high (assumed)", low=low) if source == "assumed" else tr("{low} m high", low=low)
    elif source == "assumed":
        height = tr("{low} to {high} m high (assumed)", low=low, high=high)
    else:
        height = tr("{low} to {high} m high", low=low, high=high)
    parts = [tr("{floor} m² of floor", floor=shown(board.taken.floor_m2)), height]
    if board.factor > 1:
        parts.append(tr_count("counts {count} time", "counts {count} times", board.factor))
    return ", ".join(parts)


_BEHIND = {
    "outside": mark("outside"),
    "unheated": mark("an unheated room"),
    "heated": mark("a heated space"),
    "neighbour": mark("the neighbour's"),
    "same": mark("the same dwelling"),
    "unknown": mark("not known"),
}

_END_MM = 1.0
"""A stretch that ends this near to the end of its wall reaches it."""


def side_card(state: State, room_id: str, side_id: str, findings: Sequence[Finding]) -> Card | None:
    """The card of one wall face; None where its room was not measured or has no such face."""
    place, board = place_of(state.job, room_id), state.room(room_id)
    face = next((f for f in board.taken.faces if f.id == side_id), None) if board else None
    if place is None or board is None or face is None:
        return None
    part = _narrowed(board.taken, lambda name: name == side_id)
    about = tr(
        "{length} m long. Behind it: {behind_words}.",
        length=shown(face.length_m),
        behind_words=behind_words(state, place[0], face),
    )
    if partly := partly_words(face):
        about += f" {partly}"
    letter = wall_letters(place[1]).get(side_id, "")
    own = [f for f in findings if f.where.surface == side_id]
    return _part_card(state, place, part, tr("wall {letter}", letter=letter), about, own)


def opening_card(state: State, opening_id: str, findings: Sequence[Finding]) -> Card | None:
    """The card of an opening: what it takes off its wall, its reveals and the edges round it."""
    storey, opening = next(((s, o) for s in state.job.storeys for o in s.openings if o.id == opening_id), (None, None))
    if storey is None or opening is None:
        return None
    place, board = place_of(state.job, str(opening.room)), state.room(str(opening.room))
    if place is None or board is None:
        return None
    hole = f"{KIND_WORDS[opening.kind]} {opening.mark or opening.id}"
    part = _narrowed(board.taken, lambda name: _belongs(name, opening_id), (hole,))
    name = opening_names(storey.openings, storey.rooms)[opening.id].text
    own = [f for f in findings if f.where.opening == opening_id]
    return _part_card(state, place, part, name, f"{opening_words(opening)}.", own)


def partly_words(face: Face) -> str:
    """How a wall that is outside over a part is coated: "Partly outside: coated from 2.00 to 5.00 m."; ""
    for any other."""
    if not outside_parts(face):
        return ""
    ends = [tr("{start} to {end} m", start=shown(a / 1000.0), end=shown(b / 1000.0)) for a, b in face.coated_mm]
    if not ends:
        return tr("Partly outside: not coated.")
    whole = len(ends) == 1 and face.coated_mm[0][1] - face.coated_mm[0][0] >= face.length_m * 1000.0 - _END_MM
    if whole:
        return tr("Partly outside: coated whole.")
    return tr("Partly outside: coated from {stretches}.", stretches=listed(ends))


def behind_words(state: State, storey: Storey, face: Face) -> str:
    """What lies behind a face, stretch by stretch: "outside", "0.00 to 2.10 m Kitchen, the rest outside"."""
    names = labels(state.job)
    said: list[tuple[float, float, str]] = []
    for b in face.behind:
        words = names.get((str(storey.id), b.room or ""), "") or tr(_BEHIND[b.cls])
        if b.claimed:
            words = tr("{what}, to check", what=words)
        if b.thickness_mm:
            words = tr("{what} ({thickness} mm of wall)", what=words, thickness=shown(b.thickness_mm, 0))
        if said and said[-1][2] == words:
            said[-1] = (said[-1][0], b.to_mm, words)
        else:
            said.append((b.from_mm, b.to_mm, words))
    if not said:
        return tr(_BEHIND["unknown"])
    if len(said) == 1 and said[0][1] - said[0][0] >= face.length_m * 1000.0 - _END_MM:
        return said[0][2]
    return "; ".join(
        tr("{start} to {end} m {what}", start=shown(a / 1000.0), end=shown(b / 1000.0), what=words)
        for a, b, words in said
    )


def opening_words(opening: Opening) -> str:
    """ "1.80 × 1.20 m, sill 0.90 m, head 2.10 m (assumed)": the size of an opening and what is assumed."""

    def said(mm: float, source: str) -> str:
        length = shown(mm / 1000.0)
        return tr("{length} (assumed)", length=length) if source == "assumed" else length

    height = (opening.head_mm - opening.sill_mm) / 1000.0
    parts = [f"{said(opening.width_mm, opening.width_source)} × {shown(height)} m"]
    # a sill on the floor is what a door is: nobody need be told
    if opening.sill_mm or opening.kind == "window":
        parts.append(tr("sill {height}", height=said(opening.sill_mm, opening.sill_source)))
    parts.append(tr("head {height}", height=said(opening.head_mm, opening.head_source)))
    strips = (opening.reveal.start, opening.reveal.end, opening.reveal.head)
    depths = {s.depth_mm: s.depth_source for s in strips if s.coat and s.depth_mm}
    if depths:
        deepest = max(depths)
        parts.append(tr("reveal {depth}", depth=said(deepest, depths[deepest])))
    words = ", ".join(parts)
    return words if opening.confidence == "sure" else tr("{words}. To check: not measured yet", words=words)


def _part_card(
    state: State, place: tuple[Storey, Room], part: RoomTakeoff, name: str, about: str, to_settle: Sequence[Finding]
) -> Card:
    """A card of the narrowed takeoff ``part``: of an opening where that has no wall."""
    storey, room = place
    names = labels(state.job)
    own = {room_id: label for (at, room_id), label in names.items() if at == storey.id}
    words = place_words(room, storey.openings, storey.rooflights, own, opening_names(storey.openings, storey.rooms))
    groups, figures = room_groups(part, words), room_figures(part)
    lines = card_lines(groups, figures["wall_net_m2"])
    total = figures["wall_net_m2"]
    if not part.wall_gross_m2:
        total = figures["reveal_m2"]
        hole = single_line(groups["openings_m2"], tr("Deducted from the wall"), "m²")
        lines = (hole, *(line for line in lines if line.key != "wall_net_m2"))
    return Card(
        f"{names[str(storey.id), str(room.id)]}, {name}",
        f"{number(total)} m²",
        about,
        tuple(line for line in lines if line.lines),
        tuple(to_settle),
    )


def _narrowed(taken: RoomTakeoff, own: Callable[[str], bool], holes: Iterable[str] = ()) -> RoomTakeoff:
    """A room's takeoff with only the surfaces whose names are ``own``, the edges at these, and what the
    openings called ``holes`` take off a wall."""
    edges = tuple(e for e in taken.edges if any(own(name) for name in e.surfaces))
    ids = {e.id for e in edges}
    called = set(holes)
    dims = [d for d in taken.dims if d.quantity in AREAS and (own(d.where) or d.what in called)]
    dims += edge_lines(edges)
    pieces = tuple(p for p in taken.bead_pieces if p.where in ids)
    values = {key: math.fsum(d.product for d in dims if d.quantity == key) for key in (*AREAS, *LENGTHS)}
    values["bead_m"] = math.fsum(p.length_mm for p in pieces) / 1000.0
    kinds = by_kind(edges)
    return msgspec.structs.replace(
        taken, edges=edges, dims=tuple(dims), bead_pieces=pieces, floor_m2=0.0, **values, **kinds
    )


def _belongs(name: str, opening_id: str) -> bool:
    """Whether a surface is of an opening: "W1", "W1.head", "W1.beyond.start"."""
    return name == opening_id or name.startswith(f"{opening_id}.")
