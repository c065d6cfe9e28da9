"""The client's short schedule, the storeys' summary and the totals, as tables."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal

import msgspec

from takeoff.measure.takeoff import EXTERNAL_KINDS, INTERNAL_KINDS, RoomTakeoff
from takeoff.sheets.figures import Figures, sum_of, together
from takeoff.sheets.model import EVERYBODY, Cell, Column, RowKind, Table
from takeoff.sheets.texts import Texts

_CLIENT = (("wall_net_m2", "walls"), ("ceiling_m2", "ceiling"), ("reveal_m2", "reveals"), ("drop_m2", "drops"))
_TEAM = (
    ("bead_m", "bead"),
    ("external_corner_m", "external"),
    ("internal_corner_m", "internal"),
    ("coat_edge_m", "coat_edge"),
    ("floor_edge_m", "floor_edge"),
    ("frame_joint_m", "frame_joint"),
)


class RoomRow(msgspec.Struct, frozen=True):
    """A measured room with its printed figures (for one) and how often it stands in its storey.

    ``places`` puts the takeoff's names of surfaces and corners into words.
    """

    room: RoomTakeoff
    label: str
    figures: Figures
    storey: str
    times: int = 1
    storey_times: int = 1
    places: Callable[[str], str] = str

    @property
    def factor(self) -> int:
        """How often the room stands in the whole job."""
        return self.times * self.storey_times


def schedule(rows: Sequence[RoomRow], every: Sequence[RoomRow], texts: Texts, storey: str, title: str) -> Table:
    """Rooms of one storey: walls, ceiling, reveals, drops if there are any, and what there is to coat.

    Columns are those that any room of ``every`` needs, so that all storeys have the same.
    Figures are for one room; the last row sums them times the rooms' own times, for one storey.
    """
    keys = _client_keys(every)
    times = any(row.times != 1 for row in every)
    columns = (*_name_columns(texts, "room", times), *_figure_columns(keys, texts, "m²"))
    body = tuple(_line(row.label, row.times, row.figures, keys, times) for row in rows)
    totals = together((row.times, row.figures) for row in rows)
    return Table(
        id=f"rooms-{storey}",
        audience=EVERYBODY,
        title=title,
        columns=columns,
        rows=body,
        total=_line(texts.words["together"], None, totals, keys, times) if rows else None,
        note=texts.words["times_note"] if times else "",
        empty=texts.words["no_rooms"],
    )


def summary(storeys: Sequence[tuple[str, int, Sequence[RoomRow]]], texts: Texts) -> Table:
    """One row per storey (name, times, rooms), figures for one storey; the last row is the job."""
    keys = _client_keys([row for _, _, rows in storeys for row in rows])
    times = any(count != 1 for _, count, _ in storeys)
    sums = [(name, count, together((r.times, r.figures) for r in rows)) for name, count, rows in storeys]
    totals = together((count, figures) for _, count, figures in sums)
    return Table(
        id="storeys",
        audience=EVERYBODY,
        title=texts.words["summary"],
        columns=(*_name_columns(texts, "storey", times), *_figure_columns(keys, texts, "m²")),
        rows=tuple(_line(name, count, figures, keys, times) for name, count, figures in sums),
        total=_line(texts.words["together"], None, totals, keys, times),
        note=texts.words["times_note"] if times else "",
        empty=texts.words["no_rooms"],
    )


def totals_tables(rows: Sequence[RoomRow], texts: Texts) -> tuple[Table, ...]:
    """Areas of the whole job, its corners and edges by kind, and the same lengths room by room."""
    totals = together((row.factor, row.figures) for row in rows)
    if not rows:
        return (_areas(totals, texts),)
    return _areas(totals, texts), _corners(totals, texts), _by_room(rows, totals, texts)


def _areas(totals: Figures, texts: Texts) -> Table:
    names = texts.quantities
    rows: list[tuple[str, int, RowKind]] = [("floor_m2", 1, "line"), ("wall_gross_m2", 1, "line")]
    rows += [(key, -1, "line") for key in ("openings_m2", "excluded_m2", "not_coated_m2")]
    rows.append(("wall_net_m2", 1, "total"))
    rows += [(key, 1, "line") for key in ("ceiling_m2", "drop_m2", "reveal_m2")]
    # Adding nought keeps a deduction of nothing from printing as −0.00.
    cells = [(names[key], sign * totals[key] + 0, kind) for key, sign, kind in rows if key in totals]
    return Table(
        id="areas",
        title=texts.tables["areas"],
        columns=_quantity_columns(texts, "area", "m²"),
        rows=tuple((name, value) for name, value, _ in cells),
        kinds=tuple(kind for _, _, kind in cells),
        total=(names["coated_m2"], totals["coated_m2"]) if totals else None,
        empty=texts.tables["no_totals"],
    )


def _corners(totals: Figures, texts: Texts) -> Table:
    families = (
        ("external_corner_by_kind_m", EXTERNAL_KINDS, texts.external_kinds, "external_corner_m"),
        ("internal_corner_m", INTERNAL_KINDS, texts.internal_kinds, "internal_corner_m"),
    )
    cells: list[tuple[str, Decimal, RowKind]] = []
    for family, kinds, words, parent in families:
        name = texts.quantities[parent]
        for kind in kinds:
            cells.append((f"{name} {words[kind]}", totals.get(f"{family}.{kind}", sum_of(())), "line"))
        cells.append((name, totals[parent], "total"))
    singles = ("bead_m", "coat_edge_m", "floor_edge_m", "frame_joint_m", "perimeter_m")
    cells += [(texts.quantities[key], totals[key], "line") for key in singles]
    return Table(
        id="corners",
        title=texts.tables["corners"],
        columns=_quantity_columns(texts, "length", "m"),
        rows=tuple((name, value) for name, value, _ in cells),
        kinds=tuple(kind for _, _, kind in cells),
    )


def _by_room(rows: Sequence[RoomRow], totals: Figures, texts: Texts) -> Table:
    keys = tuple(key for key, _ in _TEAM)
    times = any(row.factor != 1 for row in rows)
    several = len({row.storey for row in rows}) > 1
    figures = tuple(Column(texts.heads[head], "m", "figure") for _, head in _TEAM)
    columns = (*_name_columns(texts, "room", times, 2.9), *figures)
    body = tuple(
        _line(f"{row.storey}, {row.label}" if several else row.label, row.factor, row.figures, keys, times)
        for row in rows
    )
    return Table(
        id="lengths-by-room",
        title=texts.tables["lengths"],
        columns=columns,
        rows=body,
        total=_line(texts.words["together"], None, totals, keys, times),
        note=texts.words["times_note"] if times else "",
    )


def _client_keys(rows: Sequence[RoomRow]) -> tuple[str, ...]:
    keys = [key for key, _ in _CLIENT if key != "drop_m2" or any(row.figures[key] for row in rows)]
    return (*keys, "coated_m2")


def _name_columns(texts: Texts, head: str, times: bool, share: float = 2.6) -> tuple[Column, ...]:
    name = Column(texts.words[head], share=share)
    return (name, Column(texts.words["times"], kind="count", share=0.4)) if times else (name,)


def _figure_columns(keys: Sequence[str], texts: Texts, unit: str) -> tuple[Column, ...]:
    heads = dict(_CLIENT) | {"coated_m2": "to_coat_head"}
    return tuple(Column(texts.words[heads[key]], unit, "figure") for key in keys)


def _quantity_columns(texts: Texts, head: str, unit: str) -> tuple[Column, ...]:
    return Column(texts.heads["quantity"], share=3), Column(texts.heads[head], unit, "figure")


def _line(name: str, count: int | None, figures: Figures, keys: Sequence[str], times: bool) -> tuple[Cell, ...]:
    cells = tuple(figures.get(key, sum_of(())) for key in keys)
    return (name, count, *cells) if times else (name, *cells)
