"""Which figures of a table are worked out from others: a workbook keeps these live.

A sum, a product or a chain is told only where the printed figures give the printed result to its last digit, so that a
workbook shows at once what is printed and follows when a figure in it is changed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from decimal import Decimal
from itertools import chain

import msgspec

from takeoff.language.regions import decimal_mark
from takeoff.sheets.sheet_values import Cell, Table
from takeoff.units.printing import printed

At = tuple[int, int]
"""Row and column of a cell; the row of the totals follows the last row."""


class Sum(msgspec.Struct, frozen=True):
    """The sum of cells of one column, each times the cell of the ``times`` column in its row, if there is one."""

    column: int
    rows: tuple[int, ...]
    times: int | None = None


class Chain(msgspec.Struct, frozen=True):
    """Cells added and taken off: (sign, cell)."""

    terms: tuple[tuple[int, At], ...]


class Product(msgspec.Struct, frozen=True):
    """Cells multiplied, and divided by 100 for a percentage."""

    cells: tuple[At, ...]
    percent: bool = False


class Figures(msgspec.Struct, frozen=True):
    """Numbers multiplied as they stand in the text beside the result."""

    factors: tuple[str, ...]


Live = Sum | Chain | Product | Figures


def live(table: Table) -> dict[At, Live]:
    """What is worked out in a table, by cell; what no rule gives to the last digit is left out."""
    rows: list[tuple[Cell, ...]] = [*table.rows, *((table.total,) if table.total is not None else ())]
    kinds = [table.kind_of(k) for k in range(len(table.rows))] + (["total"] if table.total is not None else [])
    found: dict[At, Live] = {}
    said = {(one.row, one.column): one for one in table.sums}
    for r, cells in enumerate(rows):
        for c, cell in enumerate(cells):
            if not isinstance(cell, Decimal):
                continue
            own = said.get((r, c))
            candidates: list[Iterator[Live]] = [_of_text(rows, r, c, kinds)]
            candidates.append(_sums(rows, kinds, r, c, table) if kinds[r] == "total" else _products(table, cells, r, c))
            if own is not None:
                candidates.insert(0, iter((Sum(own.of_column, own.rows),)))
            for one in chain.from_iterable(candidates):
                if value(one, rows, _places(cell)) == cell:
                    found[r, c] = one
                    break
    return found


def value(of: Live, rows: Sequence[tuple[Cell, ...]], places: int) -> Decimal | None:
    """What it comes to with the cells of a table, rounded half up; None where a cell is no number."""
    if isinstance(of, Figures):
        return printed(_times([Decimal(factor) for factor in of.factors]), places)
    if isinstance(of, Product):
        cells = [_number(rows, at) for at in of.cells]
        known = [cell for cell in cells if cell is not None]
        if len(known) < len(cells):
            return None
        return printed(_times(known) / (100 if of.percent else 1), places)
    if isinstance(of, Chain):
        terms = [(sign, _number(rows, at)) for sign, at in of.terms]
    else:
        terms = [(_weight(rows, row, of.times), _number(rows, (row, of.column))) for row in of.rows]
    return _added(terms, places)


def _added(terms: Sequence[tuple[int, Decimal | None]], places: int) -> Decimal | None:
    total = Decimal(0)
    for factor, number in terms:
        if number is None:
            return None
        total += factor * number
    return printed(total, places)


def formula(of: Live, places: int, name: Callable[[At], str]) -> str:
    """The formula of a workbook, whose cells are called by ``name``: "=ROUND(SUM(C3:C9),2)"."""
    return f"=ROUND({_inner(of, name)},{places})"


def _inner(of: Live, name: Callable[[At], str]) -> str:
    if isinstance(of, Figures):
        return "*".join(of.factors)
    if isinstance(of, Product):
        return "*".join(name(at) for at in of.cells) + ("/100" if of.percent else "")
    if isinstance(of, Chain):
        text = "".join(f"{'+' if sign > 0 else '-'}{name(at)}" for sign, at in of.terms)
        return text.removeprefix("+")
    spans = list(_spans(of.rows))

    def span(column: int, first: int, last: int) -> str:
        return name((first, column)) if first == last else f"{name((first, column))}:{name((last, column))}"

    if of.times is None:
        return f"SUM({','.join(span(of.column, a, b) for a, b in spans)})"
    return "+".join(f"SUMPRODUCT({span(of.times, a, b)},{span(of.column, a, b)})" for a, b in spans)


def _spans(rows: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Rows that follow one another as (first, last)."""
    start = last = rows[0]
    for row in rows[1:]:
        if row != last + 1:
            yield start, last
            start = row
        last = row
    yield start, last


def _sums(rows: Sequence[tuple[Cell, ...]], kinds: Sequence[str], r: int, c: int, table: Table) -> Iterator[Live]:
    """Sums that a row of totals may hold: of the lines since the last total, of that total and what follows, of all
    lines or all totals, and of the lines right above. Most hold the first, which looks no farther up than that total:
    a table of thousands of rooms has as many of them."""
    counts = [k for k, column in enumerate(table.columns) if column.kind == "count"]
    last = next((row for row in range(r - 1, -1, -1) if kinds[row] == "total"), -1)

    def figures(first: int, *of: str) -> tuple[int, ...]:
        return tuple(row for row in range(max(first, 0), r) if kinds[row] in of and isinstance(rows[row][c], Decimal))

    def of_group(group: tuple[int, ...]) -> Iterator[Live]:
        if group:
            yield Sum(c, group)
            yield from (Sum(c, group, k) for k in counts if k != c)

    since = figures(last + 1, "line")
    yield from of_group(since)
    yield from of_group(figures(last, "line", "total"))
    yield from of_group(figures(0, "line"))
    yield from of_group(figures(0, "total"))
    for length in range(2, len(since)):
        yield Sum(c, since[-length:])


def _products(table: Table, cells: Sequence[Cell], r: int, c: int) -> Iterator[Live]:
    """Quantity × price of a line, or a percentage of a sum."""
    if table.columns[c].kind != "money":
        return
    before = [k for k in range(c) if isinstance(cells[k], Decimal)]
    for k, first in enumerate(before):
        for second in before[k + 1 :]:
            yield Product(((r, first), (r, second)), percent="%" in cells[first + 1 : second])


_FACTOR = re.compile(r"[−-]?\d+(?:\.\d+)?")
_CHAIN = re.compile(r"[+−]|[^\s+−]+")


def _of_text(rows: Sequence[tuple[Cell, ...]], r: int, c: int, kinds: Sequence[str]) -> Iterator[Live]:
    """What the text before the figure says: "2 × 3.450 × 2.400 =", or a chain of totals above, "43.20 − 3.28 ="."""
    text = rows[r][c - 1] if c else None
    if not isinstance(text, str) or not text.endswith(" ="):
        return
    said = text.removesuffix(" =").replace(decimal_mark(), ".")
    factors = [factor.strip() for factor in said.split("×")]
    if all(_FACTOR.fullmatch(factor) for factor in factors):
        yield Figures(tuple(factor.replace("−", "-") for factor in factors))
        if len(factors) > 1:
            return
    terms: list[tuple[int, At]] = []
    sign = 1
    for part in _CHAIN.findall(said):
        if part in "+−":
            sign = 1 if part == "+" else -1
            continue
        at = _total_above(rows, kinds, r, c, part, terms)
        if at is None:
            return
        terms.append((sign, at))
        sign = 1
    if terms:
        yield Chain(tuple(terms))


def _total_above(
    rows: Sequence[tuple[Cell, ...]], kinds: Sequence[str], r: int, c: int, text: str, taken: Sequence[tuple[int, At]]
) -> At | None:
    """The next total above that prints so, of those of the same subject, that the chain has not got yet."""
    used = {at for _, at in taken}
    first = next((row for row in range(r, -1, -1) if rows[row][0] != rows[r][0]), -1) + 1 if len(rows[r]) > 4 else 0
    for row in range(r - 1, first - 1, -1):
        cell = rows[row][c]
        if kinds[row] == "total" and isinstance(cell, Decimal) and f"{cell:f}" == text and (row, c) not in used:
            return row, c
    return None


def _number(rows: Sequence[tuple[Cell, ...]], at: At) -> Decimal | None:
    cell = rows[at[0]][at[1]]
    return cell if isinstance(cell, Decimal) else Decimal(cell) if isinstance(cell, int) else None


def _weight(rows: Sequence[tuple[Cell, ...]], row: int, times: int | None) -> int:
    """How often a row counts; a row that says nothing of it makes no sum, which 0 shows."""
    if times is None:
        return 1
    cell = rows[row][times]
    return cell if isinstance(cell, int) else 0


def _times(numbers: Sequence[Decimal]) -> Decimal:
    result = Decimal(1)
    for number in numbers:
        result *= number
    return result


def _places(cell: Decimal) -> int:
    return max(0, -int(cell.as_tuple().exponent))


def unexplained(table: Table, found: Mapping[At, Live]) -> list[At]:
    """Totals in figures that no rule gives: a workbook would hold them as mere numbers."""
    rows: list[tuple[Cell, ...]] = [*table.rows, *((table.total,) if table.total is not None else ())]
    totals = [k for k in range(len(table.rows)) if table.kind_of(k) == "total"]
    totals += [len(table.rows)] if table.total is not None else []
    return [
        (r, c) for r in totals for c, cell in enumerate(rows[r]) if isinstance(cell, Decimal) and (r, c) not in found
    ]
