"""The card of a single wall face or opening: its area, its edges, their dims, what is behind it.

The takeoff's own lines, narrowed to one surface; no figure is worked out here that a sheet would not
print.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence

import msgspec

from takeoff.errors import Finding
from takeoff.measure.dims import KIND_WORDS, edge_lines
from takeoff.measure.takeoff import Face, RoomTakeoff
from takeoff.plan.model import Opening, Room, Storey
from takeoff.sheets.figures import AREAS, LENGTHS, room_figures, room_groups
from takeoff.sheets.wall_names import opening_names, place_words, wall_letters
from takeoff.units.printing import fmt2
from takeoff.views.board import State
from takeoff.views.cards import Card, card_lines, labels, place_of, single_line

_BEHIND = {
    "outside": "outside",
    "unheated": "an unheated room",
    "neighbour": "the neighbour's",
    "same": "the same dwelling",
    "unknown": "not known",
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
    about = f"{fmt2(face.length_m)} m long. Behind it: {behind_words(state, place[0], face)}."
    letter = wall_letters(place[1]).get(side_id, "")
    own = [f for f in findings if f.where.surface == side_id]
    return _card(state, place, part, f"wall {letter}", about, own)


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
    return _card(state, place, part, name, f"{opening_words(opening)}.", own)


def behind_words(state: State, storey: Storey, face: Face) -> str:
    """What lies behind a face, stretch by stretch: "outside", "0.00 to 2.10 m Kitchen, the rest outside"."""
    names = labels(state.job)
    said: list[tuple[float, float, str]] = []
    for b in face.behind:
        words = names.get((str(storey.id), b.room or ""), "") or _BEHIND[b.cls]
        if b.thickness_mm:
            words += f" ({b.thickness_mm:.0f} mm of wall)"
        if said and said[-1][2] == words:
            said[-1] = (said[-1][0], b.to_mm, words)
        else:
            said.append((b.from_mm, b.to_mm, words))
    if not said:
        return _BEHIND["unknown"]
    if len(said) == 1 and said[0][1] - said[0][0] >= face.length_m * 1000.0 - _END_MM:
        return said[0][2]
    return "; ".join(f"{fmt2(a / 1000.0)} to {fmt2(b / 1000.0)} m {words}" for a, b, words in said)


def opening_words(opening: Opening) -> str:
    """ "1.80 × 1.20 m, sill 0.90 m, head 2.10 m (assumed)": the size of an opening and what is assumed."""

    def said(mm: float, source: str) -> str:
        return f"{fmt2(mm / 1000.0)}{' (assumed)' if source == 'assumed' else ''}"

    height = (opening.head_mm - opening.sill_mm) / 1000.0
    words = f"{said(opening.width_mm, opening.width_source)} × {fmt2(height)} m"
    # a sill on the floor is what a door is: nobody need be told
    if opening.sill_mm or opening.kind == "window":
        words += f", sill {said(opening.sill_mm, opening.sill_source)}"
    words += f", head {said(opening.head_mm, opening.head_source)}"
    strips = (opening.reveal.start, opening.reveal.end, opening.reveal.head)
    depths = {s.depth_mm: s.depth_source for s in strips if s.coat and s.depth_mm}
    if depths:
        deepest = max(depths)
        words += f", reveal {said(deepest, depths[deepest])}"
    return words if opening.confidence == "sure" else f"{words}. To be checked: it is not measured yet"


def _card(
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
        hole = single_line(groups["openings_m2"], "Taken off the wall", "m²")
        lines = (hole, *(line for line in lines if line.key != "wall_net_m2"))
    return Card(
        f"{names[str(storey.id), str(room.id)]}, {name}",
        f"{total} m²",
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
    by_kind = {
        family: {
            kind: math.fsum(e.length_m for e in edges if (e.cls, e.kind) == (cls, kind))
            for kind in getattr(taken, family)
        }
        for family, cls in (("external_corner_by_kind_m", "external"), ("internal_corner_m", "internal"))
    }
    return msgspec.structs.replace(
        taken, edges=edges, dims=tuple(dims), bead_pieces=pieces, floor_m2=0.0, **values, **by_kind
    )


def _belongs(name: str, opening_id: str) -> bool:
    """Whether a surface is of an opening: "W1", "W1.head", "W1.beyond.start"."""
    return name == opening_id or name.startswith(f"{opening_id}.")
