"""The dimension sheet: per room, every quantity with lines that can be typed into a calculator."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from takeoff.sheets.figures import Figures, Group, room_groups
from takeoff.sheets.model import Cell, Column, RowKind, Table
from takeoff.sheets.room_tables import RoomRow
from takeoff.sheets.texts import Texts

_DEDUCTIONS = ("openings_m2", "excluded_m2", "not_coated_m2")
_COATED = ("wall_net_m2", "ceiling_m2", "drop_m2", "reveal_m2")
_SINGLES = ("coat_edge_m", "floor_edge_m", "frame_joint_m", "bead_m")

Lines = list[tuple[RowKind, tuple[Cell, ...]]]


def dims_table(row: RoomRow, texts: Texts, title: str, subject: str) -> Table:
    """The workings of one room. Every quantity ends with the sum of its printed lines.

    A quantity of one line is its own total. Walls end with gross less deductions, areas with
    what there is to coat. Quantities of nought are left out.
    """
    groups = room_groups(row.room, row.places)
    lines: Lines = []
    for key in ("floor_m2", "perimeter_m", "wall_gross_m2", *_DEDUCTIONS):
        _add_group(lines, groups[key], texts)
    _add_result(lines, "wall_net_m2", row.figures, ("wall_gross_m2",), _DEDUCTIONS, texts)
    for key in ("ceiling_m2", "drop_m2", "reveal_m2"):
        _add_group(lines, groups[key], texts)
    _add_result(lines, "coated_m2", row.figures, _COATED, (), texts)
    for key, group in groups.items():
        if "." in key:
            _add_group(lines, group, texts)
    for key in _SINGLES:
        _add_group(lines, groups[key], texts)
    return Table(
        id=f"dims-{row.room.storey}-{row.room.room}",
        title=title,
        subject=subject,
        ditto=1,
        columns=(
            Column(texts.heads["quantity"], share=2.8),
            Column(texts.heads["working"], share=2.2),
            Column(texts.heads["result"], kind="figure", share=0.8),
            Column(texts.heads["what"], share=2.9),
        ),
        rows=tuple(cells for _, cells in lines),
        kinds=tuple(kind for kind, _ in lines),
    )


def _add_group(lines: Lines, group: Group, texts: Texts) -> None:
    title = _title(group.quantity, texts)
    if len(group.lines) == 1:
        only = group.lines[0]
        lines.append(("total", (title, f"{only.text} =", only.result, only.what)))
        return
    for line in group.lines:
        lines.append(("line", (title, f"{line.text} =", line.result, line.what)))
    if group.lines:
        lines.append(("total", (title, None, group.total, None)))


def _add_result(
    lines: Lines, key: str, figures: Figures, plus: Sequence[str], minus: Sequence[str], texts: Texts
) -> None:
    terms = [(1, figures[name]) for name in plus] + [(-1, figures[name]) for name in minus]
    result = sum((sign * value for sign, value in terms), Decimal("0.00"))
    chain = _chain([(sign, value) for sign, value in terms if value])
    lines.append(("total", (_title(key, texts), f"{chain} =", result, None)))


def _chain(terms: Sequence[tuple[int, Decimal]]) -> str:
    """ "43.20 − 3.28"; "0.00" for no terms."""
    text = "".join(f" {'+' if sign > 0 else '−'} {value}" for sign, value in terms)
    return text.removeprefix(" + ").strip() or "0.00"


def _title(quantity: str, texts: Texts) -> str:
    """ "Internal corners wall to wall m": the quantity with its kind and unit."""
    family, _, kind = quantity.partition(".")
    unit = "m²" if family.endswith("_m2") else "m"
    if not kind:
        return f"{texts.quantities[family]} {unit}"
    internal = family == "internal_corner_m"
    kinds = texts.internal_kinds if internal else texts.external_kinds
    name = texts.quantities["internal_corner_m" if internal else "external_corner_m"]
    return f"{name} {kinds.get(kind, kind)} {unit}"
