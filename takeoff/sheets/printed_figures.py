"""Room figures as they are printed: each is the sum of its printed dims lines.

Everything that a sheet totals is taken from here, so that the room schedule, the totals and the
dimension sheet close on a calculator.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from decimal import Decimal

import msgspec

from takeoff.language import tr
from takeoff.measure.takeoff import FAMILIES, BeadPiece, Dim, RoomTakeoff
from takeoff.sheets.line_words import profiles_said
from takeoff.sheets.wall_names import edge_words
from takeoff.units.printing import in_figures, printed

AREAS = ("wall_gross_m2", "openings_m2", "excluded_m2", "not_coated_m2", "ceiling_m2", "drop_m2", "reveal_m2")
LENGTHS = ("perimeter_m", "floor_edge_m", "bead_m")

_NAMES = {family.whole: name for name, family in FAMILIES.items() if name != family.whole}
"""By which figure the lines of a whole are told apart by kind."""

_PLACE_SAYS_ALL = (
    "floor_m2",
    "perimeter_m",
    "wall_gross_m2",
    "ceiling_m2",
    "drop_m2",
    "floor_edge_m",
    "external_corner_by_kind_m",
    "internal_corner_m",
)
"""Quantities whose lines need no other words than their places."""

_CLOSES = 1e-6
"""Dims lines and figure may differ by this relative to 1 m or m² before the rest is shown as a line."""

_MOST_PLACES = 8
"""Places of a factor beyond which no line needs more: a hundred millionth of a metre."""

_SAME_PLACES = 6
"""Decimals of a mm to which pieces of bead are of one length."""

Figures = Mapping[str, Decimal]


class Working(msgspec.Struct, frozen=True):
    """A printed line: what is typed into a calculator, what it gives, what and where it is.

    ``of``: the takeoff's line that it prints; None for a rest that no line explains.
    """

    text: str
    result: Decimal
    what: str = ""
    of: Dim | None = None


class Group(msgspec.Struct, frozen=True):
    """The workings of one quantity; ``total`` is the sum of their printed results."""

    quantity: str
    lines: tuple[Working, ...]
    total: Decimal


def working_text(dim: Dim) -> str:
    """ "2 × 3.450 × 2.400": times (left out when 1 and there are dims), then each dim to 0.001.

    Where those would not give the printed result on a calculator, every factor has as many places more as it takes.
    """
    result = printed(dim.product)
    texts = (_factors(dim, places) for places in range(3, _MOST_PLACES + 1))
    chosen = next((text for text in texts if printed(_product(text)) == result), None) or _factors(dim, 3)
    return in_figures(" × ".join(chosen).replace("-", "−"))


def _factors(dim: Dim, places: int) -> list[str]:
    """The factors of a line with a point, each dim to so many places."""
    parts = [f"{printed(value, places):f}" for value in dim.dims]
    if dim.times != 1 or not parts:
        times = f"{printed(dim.times, places):f}"
        parts.insert(0, times.rstrip("0").rstrip(".") or "0")
    return parts


def _product(factors: Sequence[str]) -> Decimal:
    return math.prod((Decimal(factor) for factor in factors), start=Decimal(1))


def room_groups(room: RoomTakeoff, places: Callable[[str], str] = str) -> dict[str, Group]:
    """Every quantity of a room with its printed lines; by-kind quantities are keyed "name.kind".

    ``places`` puts the takeoff's names of surfaces and corners into words. A figure that its dims
    do not fully explain gets a last line with the rest, never a silent gap.
    """
    return {key: _group(key, value, dims, places) for key, (value, dims) in _lined(room).items()}


def bead_group(room: RoomTakeoff, places: Callable[[str], str] = str) -> Group:
    """The pieces of bead of a room, as ``room_groups`` has them, without working out all the rest."""
    return _group("bead_m", room.bead_m, _merged(_lines_by_quantity(room)["bead_m"]), places)


def _lined(room: RoomTakeoff) -> dict[str, tuple[float, Sequence[Dim]]]:
    """Every quantity of a room with its lines, those of a size put together."""
    lines = _lines_by_quantity(room)
    return {key: (value, _merged(lines[key]) if key in lines else ()) for key, value in _values(room).items()}


def room_figures(room: RoomTakeoff) -> dict[str, Decimal]:
    """The printed figures of one room, for one: sums of printed lines, and what follows from them."""
    figures = {key: _total(value, dims) for key, (value, dims) in _lined(room).items()}
    figures["wall_net_m2"] = (
        figures["wall_gross_m2"] - figures["openings_m2"] - figures["excluded_m2"] - figures["not_coated_m2"]
    )
    figures["coated_m2"] = figures["wall_net_m2"] + figures["ceiling_m2"] + figures["drop_m2"] + figures["reveal_m2"]
    for name, family in FAMILIES.items():
        figures[family.whole] = sum_of(v for k, v in figures.items() if k.startswith(name + "."))
    return figures


def together(rows: Iterable[tuple[int, Figures]]) -> dict[str, Decimal]:
    """Σ times × printed figure, for every quantity that any row has; empty for no rows."""
    totals: dict[str, Decimal] = {}
    for times, figures in rows:
        for key, value in figures.items():
            totals[key] = totals.get(key, Decimal(0)) + times * value
    return totals


def sum_of(values: Iterable[Decimal]) -> Decimal:
    """The sum with two decimals, "0.00" for nothing."""
    return sum(values, Decimal("0.00"))


def _values(room: RoomTakeoff) -> dict[str, float]:
    values = {key: float(getattr(room, key)) for key in ("floor_m2", *AREAS, *LENGTHS)}
    for family in FAMILIES:
        values |= {f"{family}.{kind}": value for kind, value in getattr(room, family).items()}
    return values


def _lines_by_quantity(room: RoomTakeoff) -> dict[str, list[Dim]]:
    """Dims by the quantity they add to; corners and edges by the kind of those they stand for."""
    kinds = {str(e.id): e.family_kind for e in room.edges}
    lines: dict[str, list[Dim]] = {}
    for dim in room.dims:
        key = dim.quantity
        if key in _NAMES:
            key = f"{_NAMES[key]}.{kinds.get(dim.where.split(', ')[0], '')}"
        lines.setdefault(key, []).append(dim)
    lines.setdefault("bead_m", _bead_dims(room))
    return lines


def _merged(dims: Sequence[Dim]) -> list[Dim]:
    """Lines of the same size and words stand once, with their times and places together."""
    same: dict[tuple[object, ...], list[Dim]] = {}
    for dim in dims:
        sizes = tuple(round(value, _SAME_PLACES + 3) for value in dim.dims)
        same.setdefault((dim.what, dim.times < 0, len(dim.dims) > 0, sizes), []).append(dim)
    return [
        msgspec.structs.replace(
            group[0],
            times=math.fsum(dim.times for dim in group),
            product=math.fsum(dim.product for dim in group),
            where=", ".join(dict.fromkeys(dim.where for dim in group)),
        )
        if len(group) > 1 and key[2]
        else dim
        for key, group in same.items()
        for dim in (group[:1] if key[2] else group)
    ]


def _bead_dims(room: RoomTakeoff) -> list[Dim]:
    """Pieces of bead as lines, gathered as the corners they stand on, so that both print alike."""
    kinds = {str(e.id): e.kind for e in room.edges if e.cls == "external"}
    pieces: dict[tuple[str, float], list[BeadPiece]] = {}
    for piece in room.bead_pieces:
        kind = kinds.get(piece.where, "")
        key = (kind, round(piece.length_mm, _SAME_PLACES))
        pieces.setdefault(key, []).append(piece)
    lines = []
    for same in pieces.values():
        length, count = same[0].length_mm / 1000.0, len(same)
        profiles = profiles_said(list(dict.fromkeys(piece.profile for piece in same)))
        where = ", ".join(piece.where for piece in same)
        lines.append(Dim("bead_m", count, (length,), count * length, profiles, where))
    return lines


def _line_words(key: str, dim: Dim, places: Callable[[str], str]) -> str:
    """What and where a line is, without what its quantity says already or what it would say twice."""
    where, what = places(dim.where), places(dim.what)
    family, _, kind = key.partition(".")
    if where and family in _PLACE_SAYS_ALL:
        return edge_words(kind, where)
    return what if key == "reveal_m2" or not where else f"{what}, {where}" if what else where


def _total(value: float, dims: Sequence[Dim]) -> Decimal:
    """The total of a group of these lines, without their words."""
    results = [printed(dim.product) for dim in dims]
    rest = _rest(value, dims)
    return sum_of(results if rest is None else (*results, printed(rest)))


def _rest(value: float, dims: Sequence[Dim]) -> float | None:
    """What the lines leave unexplained of a figure; None where that is nothing."""
    rest = value - math.fsum(dim.product for dim in dims)
    # Asked this way round, a figure that is no number is printed too, which refuses it.
    return rest if not abs(rest) <= _CLOSES * max(1.0, abs(value)) else None


def _group(key: str, value: float, dims: Sequence[Dim], places: Callable[[str], str]) -> Group:
    lines = []
    for dim in dims:
        lines.append(Working(working_text(dim), printed(dim.product), _line_words(key, dim, places), dim))
    rest = _rest(value, dims)
    if rest is not None:
        lines.append(
            Working(
                working_text(Dim(key, 1.0, (rest,), rest, "")),
                printed(rest),
                tr("rest, not broken down") if dims else "",
            )
        )
    return Group(key, tuple(lines), sum_of(line.result for line in lines))
