"""A coating system as rows that can be read and typed into: what each figure is, its value, its unit."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator
from decimal import Decimal
from typing import Any

import msgspec

from takeoff.errors import InputError
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
    "name": ("Name", ""),
    "demo": ("Figures are invented (yes or no)", ""),
    "currency": ("Currency", ""),
    "note": ("Note", ""),
    "fallback_substrate": ("Substrate where none is said (id)", ""),
    "kerf_mm": ("Lost in each cut of a bar", "mm"),
    "thickness_mm": ("Thickness when dry", "mm"),
    "layers": ("Layers", ""),
    "pack_l_per_l": ("Litres out of the pack for one litre in place", ""),
    "loss_percent": ("Loss", "%"),
    "edge_feather_mm": ("Width that an open edge is feathered over", "mm"),
    "rule": ("Where the figures come from", ""),
    "per_m2": ("Use for each m²", ""),
    "after_base_h": ("After the base coat", "h"),
    "between_layers_h": ("Between layers", "h"),
    "before_paint_h": ("Before decoration", "h"),
    "size": ("Size", ""),
    "price": ("Price", ""),
    "length_mm": ("Length", "mm"),
    "angle_from_deg": ("For corners from", "°"),
    "angle_to_deg": ("For corners to", "°"),
    "coil": ("In coil, for curves (yes or no)", ""),
    "proud_mm": ("Nose stands off the substrate by", "mm"),
    "feather_mm": ("Feathered out over", "mm"),
    "base_coats": ("Base coats", ""),
    "unevenness_mm": ("Taken by unevenness", "mm"),
    "porous": ("Porous (yes or no)", ""),
    "id": ("Id", ""),
    "unit": ("Sold by", ""),
    "wall_wall": ("Corner of two walls, per m", ""),
    "wall_ceiling": ("Corner of wall and ceiling, per m", ""),
    "ceiling": ("Edge of a ceiling, per m", ""),
    "drop": ("Edge of a drop, per m", ""),
    "reveal": ("Corner in a reveal, per m", ""),
    "new_bead": ("New bead, per m", ""),
    "coat_edge": ("Edge of coat, per m", ""),
    "corner_end": ("Coat that ends in a corner, per m", ""),
    "floor_edge": ("Edge at the floor, per m", ""),
    "frame_joint": ("Joint with a window frame, per m", ""),
    "lining_joint": ("Joint with a door lining, per m", ""),
}
"""What each field is called, and its unit."""
_HEADS = {
    "coat": "Coat",
    "base": "Base coat",
    "drying": "Drying at 20 °C and 50 %",
    "substrates": "Substrate",
    "beads": "Bead",
    "by_edge": "Used by the metre",
    "by_area": "Used by the square metre",
    "packs": "Pack",
    "stock": "Stock length",
}
_ORDER = ("name", "demo", "currency", "coat", "base", "drying", "beads", "kerf_mm", "by_edge", "by_area")
_ORDER_LAST = ("fallback_substrate", "substrates", "note")


def system_rows(system: CoatingSystem) -> tuple[SystemRow, ...]:
    """Everything that a system's file says, in the order in which a contractor looks for it."""
    tree = as_copy(system)
    rows: list[SystemRow] = []
    for key in (*_ORDER, *_ORDER_LAST):
        rows += _of(tree[key], (key,))
    return tuple(rows)


def _of(value: Any, path: Path) -> Iterator[SystemRow]:
    key = str(path[-1])
    if isinstance(value, dict):
        if key in _HEADS:
            yield SystemRow(path, _HEADS[key], heading=True)
        for name, inner in value.items():
            yield from _of(inner, (*path, name))
    elif isinstance(value, list):
        for number, item in enumerate(value):
            at = (*path, number)
            product = item.get("product", item)
            called = product.get("name", item.get("id", ""))
            yield SystemRow(at, f"{_HEADS[key]}: {called}", heading=True, can_grow=True)
            for name, inner in item.items():
                yield from _of(inner, (*at, name))
    else:
        words, unit = _WORDS.get(key, (key, ""))
        yield SystemRow(path, words, _text(value), unit)


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.15g}" if isinstance(value, float) else str(value)


def with_value(system: CoatingSystem, path: Path, text: str) -> CoatingSystem:
    """The system with another value there, as it was typed. Raises InputError, naming the field, for one that
    cannot be, for the system's own id and for a place that there is not."""
    tree = as_copy(system)
    holder = _at(tree, path[:-1])
    key = path[-1]
    if not isinstance(holder, dict) or key not in holder or path == ("id",):
        raise InputError("This cannot be changed: choose another row.")
    holder[key] = _typed(holder[key], str(key), text.strip())
    return _sound(tree, _WORDS.get(str(key), (str(key), ""))[0])


def one_more(system: CoatingSystem, path: Path) -> CoatingSystem:
    """The system with a pack, a bead … more, like the one at that place under a name of its own."""
    tree = as_copy(system)
    items, number = _at(tree, path[:-1]), path[-1]
    if not isinstance(items, list) or not isinstance(number, int):
        raise InputError("Choose a pack, a stock length, a bead, a substrate or a material to add one like it.")
    made = msgspec.json.decode(msgspec.json.encode(items[number]))
    for field in ("id", "name"):
        if field in made:
            joint = "-" if field == "id" else " "
            taken = {item.get(field) for item in items}
            count = next(n for n in range(2, len(items) + 3) if f"{made[field]}{joint}{n}" not in taken)
            made[field] = f"{made[field]}{joint}{count}"
    items.insert(number + 1, made)
    return _sound(tree, "What is added")


def one_less(system: CoatingSystem, path: Path) -> CoatingSystem:
    """The system without that pack, bead … Raises InputError for the last one that there must be."""
    tree = as_copy(system)
    items, number = _at(tree, path[:-1]), path[-1]
    if not isinstance(items, list) or not isinstance(number, int):
        raise InputError("Choose a pack, a stock length, a bead, a substrate or a material to take it away.")
    del items[number]
    return _sound(tree, "What is left")


def copy_under(system: CoatingSystem, name: str, taken: Collection[str]) -> CoatingSystem:
    """The same figures as a system of the user's own, under a name of its own and an id made of that."""
    words = "".join(c if c.isascii() and c.isalnum() else "-" for c in name.lower())
    stem = "-".join(part for part in words.split("-") if part)[:50] or "own"
    number, found = 2, stem
    while found in taken:
        found, number = f"{stem}-{number}", number + 1
    return _sound(as_copy(system) | {"id": found, "name": name.strip()}, "The name")


def _at(tree: Any, path: Path) -> Any:
    for step in path:
        try:
            tree = tree[step]
        except (KeyError, IndexError, TypeError) as error:
            raise InputError("The system does not have this any more: choose another row.") from error
    return tree


def _typed(old: Any, key: str, text: str) -> Any:
    words = _WORDS.get(key, (key, ""))[0]
    if isinstance(old, bool):
        if text.lower() not in ("yes", "no"):
            raise InputError(f"{words}: type yes or no.")
        return text.lower() == "yes"
    if key == "price":
        return _price(text) if text else None
    if isinstance(old, int | float) or key == "lining_joint":
        if not text and key == "lining_joint":
            return None
        number = _number(text)
        if number is None:
            raise InputError(f"{words}: “{text:.40}” is no number.")
        return int(number) if isinstance(old, int) and number == int(number) else number
    return text


def _price(text: str) -> str:
    number = _number(text)
    if number is None or not 0 <= number < 1e7:
        raise InputError(f"Price: “{text:.40}” is no price: type it like 48.50.")
    return str(Decimal(text.replace(",", ".")))


def _sound(tree: dict[str, Any], words: str) -> CoatingSystem:
    try:
        return read(msgspec.json.encode(tree), "The system")
    except InputError as error:
        raise InputError(f"{words}: {str(error).removeprefix('The system is not a coating system: ')}") from error


def _number(text: str) -> float | None:
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        return None
    return number if math.isfinite(number) else None
