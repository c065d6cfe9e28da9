"""Tables of the window as plain rows: rooms, openings, order. Figures are printed ones."""

from __future__ import annotations

import msgspec

from takeoff.plan.model import Opening, Rooflight, Storey
from takeoff.units.printing import dim3, printed
from takeoff.views.board import Considered, State
from takeoff.views.cards import labels, storey_name, texts


class Line(msgspec.Struct, frozen=True):
    """A line: ``id`` names what it speaks of ("" for totals), ``room`` whose it is."""

    id: str
    cells: tuple[str, ...]
    room: str = ""
    strong: bool = False


def room_lines(state: State) -> tuple[Line, ...]:
    """Room, walls, ceiling, all there is to coat (m²); storeys as groups where there are several."""
    names = labels(state.job)
    lines: list[Line] = []
    for storey in state.job.storeys:
        if len(state.job.storeys) > 1:
            lines.append(Line("", (storey_name(storey), "", "", ""), strong=True))
        for room in storey.rooms:
            board = state.rooms.get((str(storey.id), str(room.id)))
            if board is None:
                continue
            name = names[str(storey.id), str(room.id)] + (f" × {board.factor}" if board.factor > 1 else "")
            keys = ("wall_net_m2", "ceiling_m2", "coated_m2")
            lines.append(Line(str(room.id), (name, *(f"{board.figures[key]}" for key in keys))))
    if lines:
        totals = (f"{state.totals.get(key, 0)}" for key in ("wall_net_m2", "ceiling_m2", "coated_m2"))
        lines.append(Line("", ("Together", *totals), strong=True))
    return tuple(lines)


def opening_lines(state: State) -> tuple[Line, ...]:
    """Mark, kind, width × height (m), room, of every opening and rooflight."""
    lines = []
    names = labels(state.job)
    for storey in state.job.storeys:
        for opening in storey.openings:
            name = names.get((str(storey.id), str(opening.room)), str(opening.room))
            unsure = "" if opening.confidence == "sure" else " ?"
            cells = (_mark(opening) + unsure, _kind(opening), _size(opening), name)
            lines.append(Line(str(opening.id), cells, str(opening.room)))
        for light in storey.rooflights:
            name = names.get((str(storey.id), str(light.room)), str(light.room))
            lines.append(Line(str(light.id), (_mark(light), "rooflight", "", name), str(light.room)))
    return tuple(lines)


def order_lines(considered: Considered | None) -> tuple[Line, ...]:
    """Item, need with its unit, packs; none while nothing is known."""
    if considered is None or considered.order is None:
        return ()
    return tuple(
        Line(line.id, (line.item, f"{printed(line.need, 1)} {line.unit}", line.pack)) for line in considered.order.lines
    )


def of_storey(storey: Storey, opening_id: str) -> Opening | Rooflight | None:
    """The opening or rooflight of that id on a storey; None where there is none."""
    every: tuple[Opening | Rooflight, ...] = (*storey.openings, *storey.rooflights)
    return next((o for o in every if o.id == opening_id), None)


def _mark(opening: Opening | Rooflight) -> str:
    return opening.mark or str(opening.id)


def _kind(opening: Opening) -> str:
    return texts().opening_kinds.get(opening.kind, opening.kind)


def _size(opening: Opening) -> str:
    """ "0.90 × 2.04", "0.885 × 2.04": to the mm only where it is wanted."""
    width, height = (dim3(mm / 1000.0) for mm in (opening.width_mm, opening.head_mm - opening.sill_mm))
    return " × ".join(text[:-1] if text.endswith("0") else text for text in (width, height))
