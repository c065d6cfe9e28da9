"""A coating system as rows that can be read and typed into: what each figure is, its value, its unit."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator
from decimal import Decimal
from typing import Any

import msgspec

from takeoff.errors import InputError
from takeoff.language import mark, number, tr
from takeoff.language.regions import decimal_mark
from takeoff.supply.systems import CoatingSystem, as_copy, read

Path = tuple[str | int, ...]
"""Where a value stands in the system's file."""


class SystemRow(msgspec.Struct, frozen=True):
    """A row. ``heading``: it names what follows and has no value; ``can_grow``: one more like it can be added,
    and it can be taken away where it is not the last."""

    path: Path
    words: str
    value: str = ""
    unit: str = ""
    heading: bool = False
    can_grow: bool = False


_WORDS: dict[str, tuple[str, str]] = {
    "name": (mark("Name"), ""),
    "demo": (mark("Figures are invented (yes or no)"), ""),
    "currency": (mark("Currency"), ""),
    "note": (mark("Note"), ""),
    "fallback_substrate": (mark("Substrate where none is said (id)"), ""),
    "kerf_mm": (mark("Lost in each cut of a bar"), "mm"),
    "thickness_mm": (mark("Thickness when dry"), "mm"),
    "layers": (mark("Layers"), ""),
    "pack_l_per_l": (mark("Litres out of the pack for one litre in place"), ""),
    "loss_percent": (mark("Loss"), "%"),
    "edge_feather_mm": (mark("Width that an open edge is feathered over"), "mm"),
    "rule": (mark("Where the figures come from"), ""),
    "mixing": (mark("How it is made ready"), ""),
    "mixing_rule": (mark("Where the mixing comes from"), ""),
    "supplier": (mark("Supplier"), ""),
    "lead_days": (mark("Delivered after"), mark("working days")),
    "per_m2": (mark("Use for each m²"), ""),
    "per_l": (mark("Water for each litre out of the pack"), "L"),
    "one_batch": (mark("Each face out of one batch (yes or no)"), ""),
    "after_base_h": (mark("After the base coat"), "h"),
    "between_layers_h": (mark("Between layers"), "h"),
    "before_paint_h": (mark("Before decoration"), "h"),
    "size": (mark("Size"), ""),
    "price": (mark("Price"), ""),
    "length_mm": (mark("Length"), "mm"),
    "angle_from_deg": (mark("For corners from"), "°"),
    "angle_to_deg": (mark("For corners to"), "°"),
    "coil": (mark("In coil, for curves (yes or no)"), ""),
    "proud_mm": (mark("Nose stands off the substrate by"), "mm"),
    "feather_mm": (mark("Feathered over"), "mm"),
    "base_coats": (mark("Base coats"), ""),
    "unevenness_mm": (mark("Taken by unevenness"), "mm"),
    "porous": (mark("Porous (yes or no)"), ""),
    "id": (mark("Id"), ""),
    "unit": (mark("Sold by"), ""),
    "wall_wall": (mark("Corner of two walls, per m"), ""),
    "wall_ceiling": (mark("Corner of wall and ceiling, per m"), ""),
    "ceiling": (mark("Edge of a ceiling, per m"), ""),
    "drop": (mark("Edge of a bulkhead or boxing, per m"), ""),
    "reveal": (mark("Corner in a reveal, per m"), ""),
    "new_bead": (mark("New bead, per m"), ""),
    "coat_edge": (mark("Stop edge, per m"), ""),
    "corner_end": (mark("Coat that ends in a corner, per m"), ""),
    "floor_edge": (mark("Edge at the floor, per m"), ""),
    "frame_joint": (mark("Joint with a window frame, per m"), ""),
    "lining_joint": (mark("Joint with a door lining, per m"), ""),
    "minimum_order": (mark("Least order"), ""),
    "order_from": (mark("From goods of"), ""),
    "charge": (mark("Carriage costs"), ""),
}
"""What each field is called, and its unit."""
_UNITS_SAID = ("working days",)
"""Units that are words."""
_HEADS = {
    "coat": mark("Coat"),
    "base": mark("Base coat"),
    "water": mark("Water that dries out"),
    "drying": mark("Drying at 20 °C and 50 %"),
    "substrates": mark("Substrate"),
    "beads": mark("Bead"),
    "by_edge": mark("Used by the metre"),
    "by_area": mark("Used by the square metre"),
    "packs": mark("Pack"),
    "stock": mark("Stock length"),
    "carriage": mark("Delivery"),
    "steps": mark("Carriage"),
}
_ORDER = ("name", "demo", "currency", "coat", "base", "drying", "beads", "kerf_mm", "by_edge", "by_area", "carriage")
_ORDER_LAST = ("fallback_substrate", "substrates", "note")


def system_rows(system: CoatingSystem) -> tuple[SystemRow, ...]:
    """Everything that a system's file says, in the order in which a contractor looks for it."""
    tree = _whole(as_copy(system))
    rows: list[SystemRow] = []
    for key in (*_ORDER, *_ORDER_LAST):
        rows += _of(tree[key], (key,))
    return tuple(rows)


_LEFT_OUT: dict[str, Any] = {"supplier": "", "lead_days": 0, "mixing": "", "mixing_rule": ""}
"""What a product's file leaves out where nothing is said; above its packs, so that it stands under its name."""


def _whole(value: Any) -> Any:
    """A system as in its file, with a place for everything that can be said of a product."""
    if isinstance(value, list):
        return [_whole(inner) for inner in value]
    if not isinstance(value, dict):
        return value
    if "packs" not in value:
        return {key: _whole(inner) for key, inner in value.items()}
    head = {key: inner for key, inner in value.items() if key not in _LEFT_OUT and key != "packs"}
    return head | {key: value.get(key, empty) for key, empty in _LEFT_OUT.items()} | {"packs": value["packs"]}


def _of(value: Any, path: Path) -> Iterator[SystemRow]:
    key = str(path[-1])
    if isinstance(value, dict):
        if key in _HEADS:
            yield SystemRow(path, tr(_HEADS[key]), heading=True)
        for name, inner in value.items():
            yield from _of(inner, (*path, name))
    elif isinstance(value, list):
        for number, item in enumerate(value):
            at = (*path, number)
            product = item.get("product", item)
            called = product.get("name", item.get("id", item.get("order_from", "")))
            yield SystemRow(at, f"{tr(_HEADS[key])}: {called}", heading=True, can_grow=True)
            for name, inner in item.items():
                yield from _of(inner, (*at, name))
    else:
        words, unit = _WORDS.get(key, (key, ""))
        yield SystemRow(path, tr(words), _text(value), tr(unit) if unit in _UNITS_SAID else unit)


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return tr("yes") if value else tr("no")
    return f"{value:.15g}".replace(".", decimal_mark()) if isinstance(value, float) else str(value)


def with_value(system: CoatingSystem, path: Path, text: str) -> CoatingSystem:
    """The system with another value there, as it was typed. Raises InputError, naming the field, for one that
    cannot be, for the system's own id and for a place that there is not."""
    tree = _whole(as_copy(system))
    holder = _at(tree, path[:-1])
    key = path[-1]
    if not isinstance(holder, dict) or key not in holder or path == ("id",):
        raise InputError(tr("This cannot be changed: select another row."))
    holder[key] = _typed(holder[key], str(key), text.strip())
    return _sound(tree, tr(_WORDS.get(str(key), (str(key), ""))[0]))


def one_more(system: CoatingSystem, path: Path) -> CoatingSystem:
    """The system with a pack, a bead … more, like the one at that place under a name of its own."""
    tree = as_copy(system)
    items, number = _at(tree, path[:-1]), path[-1]
    if not isinstance(items, list) or not isinstance(number, int):
        raise InputError(tr("Select a pack, a stock length, a bead, a substrate or a material to add one like it."))
    made = msgspec.json.decode(msgspec.json.encode(items[number]))
    for field in ("id", "name"):
        if field in made:
            joint = "-" if field == "id" else " "
            taken = {item.get(field) for item in items}
            count = next(n for n in range(2, len(items) + 3) if f"{made[field]}{joint}{n}" not in taken)
            made[field] = f"{made[field]}{joint}{count}"
    if "order_from" in made:
        made["order_from"] = str(max(Decimal(item["order_from"]) for item in items) + _NEXT_STEP)
    items.insert(number + 1, made)
    return _sound(tree, tr("What is added"))


_NEXT_STEP = 100
"""A step of carriage that is added begins so much above the highest."""


def one_less(system: CoatingSystem, path: Path) -> CoatingSystem:
    """The system without that pack, bead … Raises InputError for the last one that there must be."""
    tree = as_copy(system)
    items, number = _at(tree, path[:-1]), path[-1]
    if not isinstance(items, list) or not isinstance(number, int):
        raise InputError(tr("Select a pack, a stock length, a bead, a substrate or a material to remove it."))
    del items[number]
    return _sound(tree, tr("What is left"))


def copy_under(system: CoatingSystem, name: str, taken: Collection[str]) -> CoatingSystem:
    """The same figures as a system of the user's own, under a name of its own and an id made of that."""
    words = "".join(c if c.isascii() and c.isalnum() else "-" for c in name.lower())
    stem = "-".join(part for part in words.split("-") if part)[:50] or "own"
    number, found = 2, stem
    while found in taken:
        found, number = f"{stem}-{number}", number + 1
    return _sound(as_copy(system) | {"id": found, "name": name.strip()}, tr("The name"))


def _at(tree: Any, path: Path) -> Any:
    for step in path:
        try:
            tree = tree[step]
        except (KeyError, IndexError, TypeError) as error:
            raise InputError(tr("The system does not have this any more: select another row.")) from error
    return tree


def _typed(old: Any, key: str, text: str) -> Any:
    words = tr(_WORDS.get(key, (key, ""))[0])
    if isinstance(old, bool):
        yes, no = tr("yes"), tr("no")
        if text.casefold() not in (yes.casefold(), no.casefold()):
            raise InputError(tr("{field}: type {yes} or {no}.", field=words, yes=yes, no=no))
        return text.casefold() == yes.casefold()
    if key == "price":
        return _price(text) if text else None
    if key in ("minimum_order", "order_from", "charge"):
        return _price(text or "0")
    if isinstance(old, int | float) or key == "lining_joint":
        if not text and key == "lining_joint":
            return None
        value = _number(text)
        if value is None:
            raise InputError(tr("{field}: “{text}” is not a number.", field=words, text=text[:40]))
        return int(value) if isinstance(old, int) and value == int(value) else value
    return text


def _price(text: str) -> str:
    value = _number(text)
    if value is None or not 0 <= value < 1e7:
        raise InputError(
            tr(
                "Price: “{text}” is not a price: type it like {example}.",
                text=text[:40],
                example=number(Decimal("48.50")),
            )
        )
    return str(Decimal(text.replace(",", ".")))


def _sound(tree: dict[str, Any], words: str) -> CoatingSystem:
    try:
        return read(msgspec.json.encode(tree), tr("The system"))
    except InputError as error:
        told = tr("{file} is not a coating system: {why}. Correct that entry.", file=tr("The system"), why="\0")
        raise InputError(f"{words}: {str(error).removeprefix(told.partition(chr(0))[0])}") from error


def _number(text: str) -> float | None:
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        return None
    return value if math.isfinite(value) else None
