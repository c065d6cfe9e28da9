"""What a takeoff takes of each item: areas and lengths times the rates of a coating system.

1 mm over 1 m² is 1 litre in place. Every rate comes from the system's data; what is decided here
is only which quantity it multiplies, and each such rule says so at its function. Lengths in m,
areas in m², all times ``RoomTakeoff.times``.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal

import msgspec

from takeoff.language import mark, tr, tr_count
from takeoff.measure.takeoff import RoomTakeoff, Takeoff
from takeoff.supply.order import Working
from takeoff.supply.systems import BeadProfile, CoatingSystem, EdgeUse, PerMetre, Substrate, unit_words
from takeoff.units.printing import printed

EDGE_WORDS = {
    "wall_wall": mark("internal corners, wall to wall"),
    "wall_ceiling": mark("internal corners, wall to ceiling"),
    "ceiling": mark("internal corners between ceiling planes"),
    "drop": mark("internal corners at bulkheads and boxing"),
    "reveal": mark("internal corners in reveals"),
    "new_bead": mark("new corner bead"),
    "coat_edge": mark("stop edges"),
    "corner_end": mark("stop edges in corners"),
    "floor_edge": mark("floor line (to mask)"),
    "frame_joint": mark("seal round frames"),
    "lining_joint": mark("seal round door linings"),
}

FEATHERED = ("", "feather")
"""Finishes of an open end that take a feathered strip; nothing chosen counts as feathered."""


class Quantities(msgspec.Struct, frozen=True):
    """What is multiplied: net area by substrate, length by kind of edge, feathered open ends."""

    area_m2: dict[str, float]
    length_m: dict[str, float]
    feather_m: float


def quantities(takeoff: Takeoff) -> Quantities:
    """The takeoff's net areas by substrate and lengths by edge, room figures times ``times``.

    ``RoomTakeoff.times`` already is room × storey times. Rooms come in as they are: openings that
    are not sure have not been deducted from them. No rooms give empty mappings.
    """
    area: dict[str, float] = {}
    length = dict.fromkeys(EDGE_WORDS, 0.0)
    feather = 0.0
    for room in takeoff.rooms:
        for surface in room.surfaces:
            if surface.net_m2 > 0:
                area[surface.substrate] = area.get(surface.substrate, 0.0) + room.times * surface.net_m2
        for key, metres in _edges(room):
            length[key] += room.times * metres
        feather += room.times * _feathered(room)
    return Quantities(area, length, feather)


def _edges(room: RoomTakeoff) -> Iterator[tuple[str, float]]:
    for kind, metres in room.internal_corner_m.items():
        if kind in EDGE_WORDS:
            yield kind, metres
    yield "new_bead", room.bead_m
    yield "coat_edge", room.coat_edge_m
    yield "corner_end", room.coat_edge_by_kind_m["corner"]
    yield "floor_edge", room.floor_edge_m
    yield "frame_joint", room.frame_joint_by_kind_m["frame"]
    yield "lining_joint", room.frame_joint_by_kind_m["lining"]


def _feathered(room: RoomTakeoff) -> float:
    """The room's open ends of coat less those that are trimmed or stopped by choice."""
    hard = sum(e.length_m for e in room.edges if e.ends == "open" and e.finish not in FEATHERED)
    return max(0.0, room.coat_edge_by_kind_m["open"] - hard)


def substrate_of(system: CoatingSystem, substrate: str) -> Substrate:
    """The substrate of that id; the system's fallback where it does not know it."""
    table = {one.id: one for one in system.substrates}
    return table.get(substrate, table[system.fallback_substrate])


def coat_workings(system: CoatingSystem, found: Quantities, bead_m: Mapping[str, float]) -> Iterator[Working]:
    """Litres of coat out of the pack, a line per substrate, then the strips feathered out.

    Area × (coat + unevenness of the substrate) × (1 + loss) × litres of pack per litre in place.
    """
    coat = system.coat
    factors = ((1 + coat.loss_percent / 100, ""), (coat.pack_l_per_l, ""))
    for substrate, area in found.area_m2.items():
        table = substrate_of(system, substrate)
        thick = coat.thickness_mm + table.unevenness_mm
        text = f"=({number(coat.thickness_mm)} + {number(table.unevenness_mm)}) mm"
        yield _line("coat", table.name, ((area, "m²"), (thick, text), *factors), "L", coat.rule)
    for what, metres, litres_per_m in _strips(system, found, bead_m):
        if metres * litres_per_m > 0:
            rule = tr("common practice, no source: a wedge over the width of the strip")
            yield _line("coat", what, ((metres, "m"), (litres_per_m, "L/m"), *factors), "L", rule)


def _strips(
    system: CoatingSystem, found: Quantities, bead_m: Mapping[str, float]
) -> Iterator[tuple[str, float, float]]:
    """Strips feathered out: what, metres, litres in place per metre.

    Common practice, no source: a wedge, so half of height × width. At a bead that stands proud
    of the coat there is one on each face; at an open end one that runs out from the full coat.
    """
    for profile in system.beads:
        yield (
            tr("feathered to {bead}", bead=profile.name),
            bead_m.get(profile.id, 0.0),
            bead_strip_l_per_m(system, profile),
        )
    edge = system.coat.thickness_mm * system.coat.edge_feather_mm / 2 / 1000
    yield tr("feathered at open ends of the coat"), found.feather_m, edge


def bead_strip_l_per_m(system: CoatingSystem, profile: BeadProfile) -> float:
    """Litres in place per metre of bead, beyond the coat: both faces' wedges, 0 where not proud."""
    proud_mm = max(0.0, profile.proud_mm - system.coat.thickness_mm)
    return 2 * proud_mm * profile.feather_mm / 2 / 1000


def base_workings(system: CoatingSystem, found: Quantities) -> Iterator[Working]:
    """The base coat, a line per substrate: area × coats × rate × (1 + loss)."""
    base = system.base
    unit = base.product.unit
    for substrate, area in found.area_m2.items():
        table = substrate_of(system, substrate)
        parts = (
            (area, "m²"),
            (table.base_coats, "=" + tr_count("{count} coat", "{count} coats", table.base_coats)),
            (base.per_m2, f"{unit_words(unit)}/m²"),
            (1 + base.loss_percent / 100, ""),
        )
        if table.base_coats * base.per_m2 > 0:
            yield _line("base", table.name, parts, unit, base.rule)


def edge_workings(use: EdgeUse, found: Quantities) -> Iterator[Working]:
    """A consumable by the metre, a line per kind of edge: length × rate × (1 + loss)."""
    rates: PerMetre = use.per_m
    unit = use.product.unit
    for key, words in EDGE_WORDS.items():
        given = getattr(rates, key)
        metres, rate = found.length_m[key], float(rates.frame_joint if given is None else given)
        if metres * rate > 0:
            parts = ((metres, "m"), (rate, f"{unit_words(unit)}/m"), (1 + use.loss_percent / 100, ""))
            yield _line(use.id, tr(words), parts, unit, use.rule)


def area_workings(system: CoatingSystem, found: Quantities) -> Iterator[Working]:
    """Consumables by the square metre of coat, all substrates together."""
    area = sum(found.area_m2.values())
    for use in system.by_area:
        parts = ((area, "m²"), (use.per_m2, f"{unit_words(use.product.unit)}/m²"), (1 + use.loss_percent / 100, ""))
        if area * use.per_m2 > 0:
            yield _line(use.id, tr("all coated surfaces"), parts, use.product.unit, use.rule)


def number(value: float) -> str:
    """A rate or a factor with up to six decimals and no idle noughts, with a point everywhere: "1.1", "0.0375"."""
    text = f"{printed(value, 6):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


_MOST_PLACES = 8
"""Places of a measured figure beyond which no line needs more."""


def _line(item: str, what: str, parts: Iterable[tuple[float, str]], unit: str, rule: str) -> Working:
    """times × factors = product. A part's words stand after its figure, or in its place where
    they start with "="; factors of exactly 1 are left out. A measured figure has three places, and more where
    the printed product would not come out of them."""
    given = [(value, words) for value, words in parts if words or value != 1.0]
    product = math.prod((value for value, _ in given), start=1.0)
    for places in range(3, _MOST_PLACES + 1):
        figures = [printed(value, places if words in ("m", "m²") else 6) for value, words in given]
        if printed(math.prod(figures, start=Decimal(1))) == printed(product):
            break
    else:
        places = 3
    texts = []
    for value, words in given:
        if words.startswith("="):
            texts.append(words[1:])
        else:
            figure = f"{printed(value, places):f}" if words in ("m", "m²") else number(value)
            texts.append(f"{figure} {words}".strip())
    return Working(item, what, " × ".join(texts), product, unit, rule)
