"""What the tables of quantities say: rooms and totals, dims, the bill, prices."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal

import msgspec

from takeoff.language import listed, tr
from takeoff.measure.conventions import NET, Convention, NarrowWork, bill_room, of_job
from takeoff.measure.takeoff import FAMILIES, RoomTakeoff
from takeoff.plan.model import Job
from takeoff.sheets.printed_figures import Figures, Group, room_groups, sum_of, together
from takeoff.sheets.sheet_values import EVERYBODY, Cell, Column, RowKind, Table
from takeoff.sheets.texts import Texts
from takeoff.units.printing import in_figures, money, printed, square_feet

_CLIENT = (("wall_net_m2", "walls"), ("ceiling_m2", "ceiling"), ("reveal_m2", "reveals"), ("drop_m2", "drops"))
_TEAM = (
    ("bead_m", "bead"),
    ("external_corner_m", "external"),
    ("internal_corner_m", "internal"),
    ("coat_edge_m", "coat_edge"),
    ("coat_edge_by_kind_m.open", "open_end"),
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


def schedule(
    rows: Sequence[RoomRow], every: Sequence[RoomRow], texts: Texts, storey: str, title: str, feet: bool = False
) -> Table:
    """Rooms of one storey: walls, ceiling, reveals, drops if there are any, and what there is to coat.

    Columns are those that any room of ``every`` needs, so that all storeys have the same.
    Figures are for one room; the last row sums them times the rooms' own times, for one storey.
    """
    keys = _client_keys(every)
    times = any(row.times != 1 for row in every)
    columns = (*_name_columns(texts, "room", times), *_figure_columns(keys, texts, "m²"), *_feet_columns(texts, feet))
    body = tuple(
        (*_line(row.label, row.times, row.figures, keys, times), *_feet_cells([(1, row.figures)], feet)) for row in rows
    )
    counted = [(row.times, row.figures) for row in rows]
    totals = together(counted)
    return Table(
        id=f"rooms-{storey}",
        audience=EVERYBODY,
        title=title,
        columns=columns,
        rows=body,
        total=(*_line(texts.words["together"], None, totals, keys, times), *_feet_cells(counted, feet))
        if rows
        else None,
        note=texts.words["times_note"] if times else "",
        empty=texts.words["no_rooms"],
    )


def summary(storeys: Sequence[tuple[str, int, Sequence[RoomRow]]], texts: Texts, feet: bool = False) -> Table:
    """One row per storey (name, times, rooms), figures for one storey; the last row is the job."""
    keys = _client_keys([row for _, _, rows in storeys for row in rows])
    times = any(count != 1 for _, count, _ in storeys)
    sums = [(name, count, together((r.times, r.figures) for r in rows)) for name, count, rows in storeys]
    totals = together((count, figures) for _, count, figures in sums)
    return Table(
        id="storeys",
        audience=EVERYBODY,
        title=texts.words["summary"],
        columns=(
            *_name_columns(texts, "storey", times),
            *_figure_columns(keys, texts, "m²"),
            *_feet_columns(texts, feet),
        ),
        rows=tuple(
            (*_line(name, count, figures, keys, times), *_feet_cells([(1, figures)], feet))
            for name, count, figures in sums
        ),
        total=(
            *_line(texts.words["together"], None, totals, keys, times),
            *_feet_cells([(count, figures) for _, count, figures in sums], feet),
        ),
        note=texts.words["times_note"] if times else "",
        empty=texts.words["no_rooms"],
    )


def _feet_columns(texts: Texts, feet: bool) -> tuple[Column, ...]:
    """What there is to coat in square feet, for a plan in feet."""
    return (Column(texts.words["to_coat_head"], tr("sq ft"), "figure", places=1),) if feet else ()


def _feet_cells(counted: Sequence[tuple[int, Figures]], feet: bool) -> tuple[Cell, ...]:
    """The square feet of so many times these figures, each printed before it is counted."""
    if not feet:
        return ()
    return (sum((times * square_feet(figures["coated_m2"]) for times, figures in counted), Decimal("0.0")),)


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
        papers=("dimensions",),
        title=texts.tables["areas"],
        columns=_quantity_columns(texts, "area", "m²"),
        rows=tuple((name, value) for name, value, _ in cells),
        kinds=tuple(kind for _, _, kind in cells),
        total=(names["coated_m2"], totals["coated_m2"]) if totals else None,
        empty=texts.tables["no_totals"],
    )


def substrate_tables(rows: Sequence[RoomRow], names: Mapping[str, str], texts: Texts) -> tuple[Table, ...]:
    """What there is to coat by what it is put on, m², a row for each substrate; no table without rooms.

    ``names`` puts substrates into words. Columns add up to the printed totals: a room of several substrates
    prints each of them rounded, and the largest takes what rounding leaves.
    """
    if not rows:
        return ()
    keys = _client_keys(rows)
    found: dict[str, dict[str, Decimal]] = {}
    for row in rows:
        for key in keys[:-1]:
            for substrate, area in _by_substrate(row, key):
                sums = found.setdefault(substrate, dict.fromkeys(keys, sum_of(())))
                sums[key] += row.factor * area
                sums["coated_m2"] += row.factor * area
    body = [(names.get(one, one), figures) for one, figures in found.items() if any(figures.values())]
    total = together((1, figures) for _, figures in body)
    table = Table(
        id="substrates",
        papers=("dimensions",),
        title=tr("Areas by substrate"),
        columns=(Column(tr("Substrate"), share=2.6), *_figure_columns(keys, texts, "m²")),
        rows=tuple(_line(name, None, figures, keys, False) for name, figures in body),
        total=_line(texts.words["together"], None, total, keys, False),
        empty=texts.tables["no_totals"],
    )
    return (table,)


_KINDS = {"wall_net_m2": ("wall",), "ceiling_m2": ("ceiling",), "drop_m2": ("drop", "top"), "reveal_m2": ("reveal",)}
"""Which surfaces add up to a figure."""


def _by_substrate(row: RoomRow, key: str) -> list[tuple[str, Decimal]]:
    """The printed figure of one room, shared among its substrates; the largest comes first and takes the rest."""
    shares: dict[str, float] = {}
    for surface in row.room.surfaces:
        counts = surface.kind in _KINDS[key]
        shares[surface.substrate] = shares.get(surface.substrate, 0.0) + (surface.net_m2 if counts else 0.0)
    largest, *others = sorted(shares, key=lambda one: -shares[one]) or [""]
    smaller = [(one, printed(shares[one])) for one in others]
    return [(largest, row.figures[key] - sum_of(area for _, area in smaller)), *smaller]


def _corners(totals: Figures, texts: Texts) -> Table:
    cells: list[tuple[str, Decimal, RowKind]] = []
    for key, family in FAMILIES.items():
        name, words = texts.quantities[family.whole], texts.kinds[key]
        for kind in family.kinds:
            cells.append((_of_kind(name, words[kind]), totals.get(f"{key}.{kind}", sum_of(())), "line"))
        cells.append((name, totals[family.whole], "total"))
    cells += [(texts.quantities[key], totals[key], "line") for key in ("bead_m", "floor_edge_m", "perimeter_m")]
    return Table(
        id="corners",
        papers=("dimensions",),
        title=texts.tables["corners"],
        columns=_quantity_columns(texts, "length", "m"),
        rows=tuple((name, value) for name, value, _ in cells),
        kinds=tuple(kind for _, _, kind in cells),
    )


def _of_kind(quantity: str, kind: str) -> str:
    """ "Internal corners wall to wall"."""
    return tr("{quantity} {kind}", quantity=quantity, kind=kind)


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
        papers=("dimensions",),
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


_DEDUCTIONS = ("openings_m2", "excluded_m2", "not_coated_m2")
_COATED = ("wall_net_m2", "ceiling_m2", "drop_m2", "reveal_m2")
_SINGLES = ("floor_edge_m", "bead_m")

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
        papers=("dimensions",),
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
    return in_figures(text.removeprefix(" + ").strip() or "0.00")


def _title(quantity: str, texts: Texts) -> str:
    """ "Internal corners wall to wall m": the quantity with its kind and unit."""
    family, _, kind = quantity.partition(".")
    unit = "m²" if family.endswith("_m2") else "m"
    if not kind:
        return f"{texts.quantities[family]} {unit}"
    return f"{_of_kind(texts.quantities[FAMILIES[family].whole], texts.kinds[family].get(kind, kind))} {unit}"


def bill_tables(job: Job, rows: Sequence[RoomRow], texts: Texts) -> tuple[Table, ...]:
    """The table of the job's convention, and of what it counts by length, if anything; none where the job
    is billed net, as it is ordered.

    Figures are for all alike rooms together. What is from memory is said to the team alone. Raises
    InputError for a convention that is not known.
    """
    if job.convention == NET or not rows:
        return ()
    convention = of_job(job)
    bills = _bills(convention, rows)
    keys = _bill_keys(bills)
    recalled = listed(convention.from_memory)
    bill = Table(
        id="bill",
        title=texts.tables["bill"].format(name=tr(convention.name)),
        columns=(Column(texts.words["room"], share=2.4), *(_bill_column(key, texts) for key in keys)),
        rows=tuple((of.name, *(of.figures[key] for key in keys)) for of in bills),
        total=(texts.words["together"], *(_sum_of_bills(bills, key) for key in keys)),
        note=_note(convention, texts),
        team_note=texts.words["bill_from_memory"].format(what=recalled, source=tr(convention.source))
        if recalled
        else "",
        audience=EVERYBODY,
    )
    return (bill, *_narrow_tables(bills, texts))


class _Bill(msgspec.Struct, frozen=True):
    """What is billed of a row of alike rooms: its printed figures, and what counts by length."""

    name: str
    factor: int
    figures: dict[str, Decimal]
    narrow: tuple[tuple[NarrowWork, Decimal, Decimal], ...]


_BY_AREA = ("walls", "ceilings", "drops", "reveals")


def _bills(convention: Convention, rows: Sequence[RoomRow]) -> tuple[_Bill, ...]:
    """Each room printed, then times how often it stands."""
    several = len({row.storey for row in rows}) > 1
    found = []
    for row in rows:
        name = f"{row.storey}, {row.label}" if several else row.label
        billed, factor = bill_room(convention, row.room), row.factor
        narrow = tuple((n, printed(n.length_m) * factor, printed(n.area_m2) * factor) for n in billed.narrow)
        amounts = {
            "walls": billed.wall_m2,
            "off": billed.deducted_m2,
            "ceilings": billed.ceiling_m2,
            "drops": billed.drop_m2,
            "reveals": billed.reveal_m2,
        }
        figures = {key: printed(amount) * factor for key, amount in amounts.items()}
        figures |= {"narrow_m": sum_of(m for _, m, _ in narrow), "narrow_m2": sum_of(m2 for _, _, m2 in narrow)}
        found.append(_Bill(f"{name} × {factor}" if factor != 1 else name, factor, figures, narrow))
    return tuple(found)


def _bill_keys(bills: Sequence[_Bill]) -> tuple[str, ...]:
    """The columns of a bill: walls and what is taken off them always, others where any room has them."""
    keys = ("walls", "off", "ceilings", "drops", "reveals", "narrow_m", "narrow_m2")
    return tuple(key for key in keys if key in ("walls", "off") or any(of.figures[key] for of in bills))


def _bill_column(key: str, texts: Texts) -> Column:
    return Column(texts.heads[f"billed_{key}"], "m" if key == "narrow_m" else "m²", "figure", share=1.2)


def _sum_of_bills(bills: Sequence[_Bill], key: str) -> Decimal:
    return sum_of(of.figures[key] for of in bills)


def _narrow_tables(bills: Sequence[_Bill], texts: Texts) -> tuple[Table, ...]:
    """What counts by length, room by room; none where nothing does."""
    rows = tuple(
        (of.name, texts.billed[work.item], printed(work.width_m, 3), length, area)
        for of in bills
        for work, length, area in of.narrow
    )
    if not rows:
        return ()
    heads = texts.heads
    total = (texts.words["together"], None, None, *(_sum_of_bills(bills, key) for key in ("narrow_m", "narrow_m2")))
    return (
        Table(
            id="bill-narrow",
            title=texts.tables["bill_narrow"],
            columns=(
                Column(texts.words["room"], share=2.4),
                Column(heads["item"], share=1.4),
                Column(heads["width"], "m", "figure", places=3),
                Column(heads["length"], "m", "figure"),
                Column(heads["area"], "m²", "figure"),
            ),
            rows=rows,
            total=total,
            audience=EVERYBODY,
        ),
    )


def _note(convention: Convention, texts: Texts) -> str:
    year = f", {tr(convention.year)}" if convention.year else ""
    return texts.words["bill_note"].format(rule=f"{tr(convention.name)}{year}")


def price_tables(job: Job, rows: Sequence[RoomRow], texts: Texts) -> tuple[Table, ...]:
    """The table of prices; none where the job has no price or no room.

    Coat is priced by what the job's convention bills, each quantity the total of a column of the bill. What
    it counts by length has a price per metre, or until that is set its area at the price of the coat. What is there
    and has no price stands open, and no total is printed over it.
    Raises InputError for a convention that is not known.
    """
    details = job.details
    if not rows or not (details.price_coat_m2 or details.price_bead_m or details.price_narrow_m):
        return ()
    totals = together((row.factor, row.figures) for row in rows)
    by_bill = job.convention != NET
    bills = _bills(of_job(job), rows) if by_bill else ()
    words, lines = texts.words, []
    coat = sum_of(_sum_of_bills(bills, key) for key in _BY_AREA) if by_bill else totals["coated_m2"]
    lines.append((words["price_coat"], coat, "m²", details.price_coat_m2))
    narrow = _sum_of_bills(bills, "narrow_m")
    if details.price_narrow_m or not details.price_coat_m2:
        lines.append((words["price_narrow"], narrow, "m", details.price_narrow_m))
    else:
        area = _sum_of_bills(bills, "narrow_m2")
        lines.append((words["price_narrow_area"], area, "m²", details.price_coat_m2))
    lines.append((words["price_bead"], totals["bead_m"], "m", details.price_bead_m))
    asked = [line for line in lines if line[1] or line[3]]
    unset = [what for what, quantity, _, price in asked if quantity and not price]
    rows_of = [_price_line(*line) for line in asked if line[1] or line is lines[0]]
    amounts = [line[-1] for line in rows_of if isinstance(line[-1], Decimal)]
    total: tuple[Cell, ...] = (words["together"], None, None, None, sum(amounts, Decimal(0)))
    note = words["price_note"] if by_bill else ""
    if unset:
        note = " ".join((note, tr("Not known yet, so there is no total: {items}.", items=", ".join(unset)))).strip()
    return (
        Table(
            id="price",
            title=texts.tables["price"],
            columns=_price_columns(texts, details.currency),
            rows=tuple(rows_of),
            total=None if unset else total,
            note=note,
            audience=("client",),
        ),
    )


def _price_line(what: str, quantity: Decimal, unit: str, price: str) -> tuple[Cell, ...]:
    """What has no price stands open."""
    if not price:
        return what, quantity, unit, NOT_KNOWN, NOT_KNOWN
    each = Decimal(price)
    places = max(2, len(price.partition(".")[2]))
    return what, quantity, unit, money(each, places), money(quantity * each)


NOT_KNOWN = "?"
"""Stands where a price or an amount is not known."""


def _price_columns(texts: Texts, currency: str) -> tuple[Column, ...]:
    heads = texts.heads
    return (
        Column(heads["item"], share=2.6),
        Column(heads["quantity"], "", "figure", share=1.0),
        Column(heads["unit"], share=0.6),
        Column(heads["price"], currency, "figure", share=1.1),
        Column(heads["amount"], currency, "money", share=1.2),
    )
