"""The dimension sheet: per room, every quantity with lines that can be typed into a calculator."""

from __future__ import annotations

from decimal import Decimal

from takeoff.sheets.figures import Group, room_groups
from takeoff.sheets.model import Cell, Column, RowKind, Table
from takeoff.sheets.room_tables import RoomRow
from takeoff.sheets.texts import Texts

_DEDUCTIONS = ("openings_m2", "excluded_m2", "not_coated_m2")

Lines = list[tuple[RowKind, tuple[Cell, ...]]]


def dims_table(row: RoomRow, texts: Texts, title: str) -> Table:
    """The workings of one room. Every quantity ends with the sum of its printed lines.

    Walls end with gross less deductions, and the table with what there is to coat.
    Quantities of nought are left out.
    """
    groups = room_groups(row.room)
    lines: Lines = []
    for key in ("floor_m2", "perimeter_m", "wall_gross_m2", *_DEDUCTIONS):
        _add_group(lines, groups[key], texts)
    _add_result(lines, texts.quantities["wall_net_m2"], row.figures, ("wall_gross_m2",), _DEDUCTIONS, "m²")
    for key in ("ceiling_m2", "drop_m2", "reveal_m2"):
        _add_group(lines, groups[key], texts)
    parts = ("wall_net_m2", "ceiling_m2", "drop_m2", "reveal_m2")
    _add_result(lines, texts.quantities["coated_m2"], row.figures, parts, (), "m²")
    for key, group in groups.items():
        if "." in key or key in ("bead_m", "coat_edge_m", "floor_edge_m", "frame_joint_m"):
            _add_group(lines, group, texts)
    return Table(
        id=f"dims-{row.room.storey}-{row.room.room}",
        title=title,
        columns=(
            Column(texts.heads["working"], share=3),
            Column(texts.heads["result"], kind="figure", share=1),
            Column("", share=0.35),
            Column(texts.heads["what"], share=3.2),
        ),
        rows=tuple(cells for _, cells in lines),
        kinds=tuple(kind for kind, _ in lines),
    )


def _add_group(lines: Lines, group: Group, texts: Texts) -> None:
    if not group.lines:
        return
    title = _title(group.quantity, texts)
    unit = "m²" if group.quantity.endswith("_m2") else "m"
    lines.append(("group", (title, None, None, None)))
    for line in group.lines:
        lines.append(("line", (f"{line.text} =", line.result, unit, line.what)))
    lines.append(("total", (title, group.total, unit, None)))


def _add_result(
    lines: Lines, title: str, figures: object, plus: tuple[str, ...], minus: tuple[str, ...], unit: str
) -> None:
    assert isinstance(figures, dict)
    terms = [(1, figures[key]) for key in plus] + [(-1, figures[key]) for key in minus]
    shown = [(sign, value) for sign, value in terms if value]
    result = sum((sign * value for sign, value in terms), Decimal("0.00"))
    lines.append(("group", (title, None, None, None)))
    lines.append(("total", (f"{_chain(shown)} =", result, unit, None)))


def _chain(terms: list[tuple[int, Decimal]]) -> str:
    """ "43.20 − 3.28"; "0.00" for no terms."""
    text = "".join(f" {'+' if sign > 0 else '−'} {value}" for sign, value in terms)
    return text.removeprefix(" + ").strip() or "0.00"


def _title(quantity: str, texts: Texts) -> str:
    family, _, kind = quantity.partition(".")
    if not kind:
        return texts.quantities[family]
    if family == "internal_corner_m":
        return f"{texts.quantities[family]} {texts.internal_kinds[kind]}"
    return f"{texts.quantities['external_corner_m']} {texts.external_kinds[kind]}"
