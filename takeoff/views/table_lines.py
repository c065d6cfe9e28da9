"""Tables of the window as plain rows: rooms, openings, order, and the table of figures with its totals.

Every figure is one that the sheets print; a storey's total counts each room as often as it stands.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from decimal import Decimal
from typing import Literal

import msgspec

from takeoff.language import mark, number, tr, tr_count
from takeoff.plan.model import Opening, Rooflight, Storey
from takeoff.sheets.wall_names import opening_names
from takeoff.units.printing import dim3, money_text, shown
from takeoff.views.board import Considered, RoomBoard, State
from takeoff.views.naming import labels, storey_name, texts


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
            lines.append(Line(str(room.id), (name, *(number(board.figures[key]) for key in keys))))
    if lines:
        totals = (number(state.totals.get(key, ZERO)) for key in ("wall_net_m2", "ceiling_m2", "coated_m2"))
        lines.append(Line("", (tr("Total"), *totals), strong=True))
    return tuple(lines)


def opening_lines(state: State) -> tuple[Line, ...]:
    """Mark, kind, width × height (m), room, of every opening and rooflight."""
    lines = []
    names = labels(state.job)
    for storey in state.job.storeys:
        called = opening_names(storey.openings, storey.rooms)
        for opening in storey.openings:
            name = names.get((str(storey.id), str(opening.room)), str(opening.room))
            unsure = "" if opening.confidence == "sure" else " ?"
            cells = (called[opening.id].label + unsure, _kind(opening), _size(opening), name)
            lines.append(Line(str(opening.id), cells, str(opening.room)))
        for light in storey.rooflights:
            name = names.get((str(storey.id), str(light.room)), str(light.room))
            lines.append(Line(str(light.id), (light.mark or "–", tr("rooflight"), "", name), str(light.room)))
    return tuple(lines)


def order_lines(considered: Considered | None) -> tuple[Line, ...]:
    """Item with its packs under it, need with its unit, cost where prices are known; none while nothing is known."""
    if considered is None or considered.order is None:
        return ()
    order = considered.order
    lines = [
        Line(
            line.id,
            (f"{line.item}\n{packs_text(line.packs)}", f"{shown(line.need, 1)} {tr(line.unit)}", _paid(line.cost)),
        )
        for line in order.lines
    ]
    if order.carriage is not None and lines:
        lines.append(Line("", (tr("Carriage"), "", money_text(order.carriage))))
    if order.cost is not None and lines:
        lines.append(
            Line("", (tr("Total, {currency}", currency=order.currency), "", money_text(order.cost)), strong=True)
        )
    return tuple(lines)


_PACK_SIZE = re.compile(r"\d+(?:[.,]\d+)?\s*(?:ml|kg|mm|m²|pieces|piece|L|l|g|m)\b")


def packs_text(packs: Sequence[tuple[str, int]]) -> str:
    """ "4 × 13 L + 17 × 22 L": packs by their sizes, by their names where these have none; a count and its size
    stay on one line.

    >>> packs_text((("13 L demo tub", 4), ("22 L demo bucket", 17), ("roll", 2))).replace(chr(0xA0), " ")
    '4 × 13 L + 17 × 22 L + 2 × roll'
    """
    sizes = ((_PACK_SIZE.search(name), name, count) for name, count in packs)
    return " + ".join(
        f"{count}\u00a0×\u00a0{size[0].replace(' ', chr(0xA0)) if size else name}" for size, name, count in sizes
    )


def _paid(cost: Decimal | None) -> str:
    return "" if cost is None else money_text(cost)


def of_storey(storey: Storey, opening_id: str) -> Opening | Rooflight | None:
    """The opening or rooflight of that id on a storey; None where there is none."""
    every: tuple[Opening | Rooflight, ...] = (*storey.openings, *storey.rooflights)
    return next((o for o in every if o.id == opening_id), None)


def _kind(opening: Opening) -> str:
    return texts().opening_kinds.get(opening.kind, opening.kind)


def _size(opening: Opening) -> str:
    """ "0.90 × 2.04", "0.885 × 2.04": to the mm only where it is wanted."""
    width, height = (dim3(mm / 1000.0) for mm in (opening.width_mm, opening.head_mm - opening.sill_mm))
    return " × ".join(text[:-1] if text.endswith("0") else text for text in (width, height))


ZERO = Decimal("0.00")


class Item(msgspec.Struct, frozen=True):
    """A column: the figure's key, its name, its unit, and what it is in a sentence."""

    key: str
    name: str
    unit: str
    tip: str

    @property
    def head(self) -> str:
        """Name and unit in two lines, so that every column has room."""
        first, _, rest = tr(self.name).rpartition(" ")
        return f"{first}\n{rest}, {self.unit}" if first else f"{rest}\n{self.unit}"


ITEMS: tuple[Item, ...] = (
    Item("coated_m2", mark("To coat"), "m²", mark("Walls, ceilings, bulkheads, boxing and reveals, net")),
    Item(
        "wall_net_m2", mark("Walls"), "m²", mark("Walls less openings, what is kept or masked and what is not coated")
    ),
    Item("ceiling_m2", mark("Ceiling"), "m²", mark("Coated ceiling, on the slope")),
    Item(
        "drop_m2",
        mark("Bulkheads"),
        "m²",
        mark("Sides and undersides of bulkheads and boxing; sides and tops of dwarf walls"),
    ),
    Item("reveal_m2", mark("Reveals"), "m²", mark("Coated jambs, heads, sills and shafts")),
    Item("bead_m", mark("New bead"), "m", mark("New corner bead on external corners")),
    Item("internal_corner_m", mark("Internal corners"), "m", mark("Corners to be filled or caulked smooth")),
    Item("coat_edge_m", mark("Stop edges"), "m", mark("Where the coat ends on or beside a surface not coated")),
    Item(
        "coat_edge_by_kind_m.open",
        mark("Open ends"),
        "m",
        mark("Coat that ends on a surface that goes on: feathered or stopped"),
    ),
    Item("floor_edge_m", mark("Floor line"), "m", mark("Coat down to the floor, to be masked")),
    Item("frame_joint_m", mark("Frame seal"), "m", mark("Coat against frames, to be sealed")),
    Item("floor_m2", mark("Floor"), "m²", mark("Floor area, never coated")),
)

Kind = Literal["storey", "room"]


class FigureLine(msgspec.Struct, frozen=True):
    """A line: ``id`` of its room or storey, its figures in the order of ``ITEMS``."""

    kind: Kind
    id: str
    name: str
    figures: tuple[Decimal, ...]

    @property
    def cells(self) -> tuple[str, ...]:
        """Name and figures as they are shown; nothing of an item is shown as a dash."""
        return (self.name, *(number(figure) if figure else "–" for figure in self.figures))


class Sorting(msgspec.Struct, frozen=True):
    """By which column rooms stand within their storey; −1: as they are in the job."""

    column: int = -1
    falling: bool = False


UNSORTED = Sorting()


def figure_lines(state: State, sorting: Sorting = UNSORTED) -> tuple[FigureLine, ...]:
    """Each storey with its total, then its rooms; none for a job without measured rooms.

    A job of one storey has no line for it, since that would repeat the total.
    """
    names = labels(state.job)
    lines: list[FigureLine] = []
    several = len(state.job.storeys) > 1
    for storey in state.job.storeys:
        boards = [(str(room.id), state.rooms.get((str(storey.id), str(room.id)))) for room in storey.rooms]
        rooms = [_room_line(name, names[str(storey.id), name], board) for name, board in boards if board]
        if several and rooms:
            lines.append(
                FigureLine(
                    "storey",
                    str(storey.id),
                    storey_name(storey),
                    storey_figures([board for _, board in boards if board]),
                )
            )
        lines += sorted(rooms, key=_order(sorting), reverse=sorting.falling) if sorting.column >= 0 else rooms
    return tuple(lines)


def storey_figures(boards: Sequence[RoomBoard]) -> tuple[Decimal, ...]:
    """Σ factor × printed figure of some rooms."""
    return tuple(sum((board.factor * board.figures[item.key] for board in boards), ZERO) for item in ITEMS)


def total_figures(state: State) -> tuple[Decimal, ...]:
    """The job's totals in the order of ``ITEMS``, as at the foot and on the sheets."""
    return tuple(state.totals.get(item.key, ZERO) for item in ITEMS)


def order_sentence(considered: Considered | None) -> str:
    """ "To order: 5 packs of Demo base coat, …"; what it says while nothing is known or to be ordered."""
    if considered is None:
        return tr("The order is being worked out.")
    if considered.order is None:
        return considered.failure
    if not considered.order.lines:
        return tr("Nothing to order: nothing is coated yet.")
    lines = [
        tr_count("{count} pack of {item}", "{count} packs of {item}", line.count, item=line.item)
        for line in sorted(considered.order.lines, key=lambda line: -line.count)
    ]
    return tr("To order: {packs}", packs=", ".join(lines))


def _room_line(room: str, name: str, board: RoomBoard) -> FigureLine:
    times = f" × {board.factor}" if board.factor > 1 else ""
    return FigureLine("room", room, name + times, tuple(board.figures[item.key] for item in ITEMS))


def _order(sorting: Sorting) -> Callable[[FigureLine], tuple[object, ...]]:
    def key(line: FigureLine) -> tuple[object, ...]:
        if sorting.column == 0:
            return (line.name.casefold(),)
        return (line.figures[sorting.column - 1], line.name.casefold())

    return key
