"""What stands in the entities of a model: texts and numbers read with care, places, containers.

The library hands out whatever a damaged file holds, so nothing here trusts a type.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, NamedTuple

from takeoff.drawing.model import Claim
from takeoff.files.from_outside import clean

LONGEST_TEXT = 2000
"""Letters of a name or a remark: more than any sheet shows."""
ENTITY_FAULTS = (RuntimeError, AttributeError, TypeError, ValueError, IndexError, KeyError, OverflowError)
"""What the library and the reading of its values raise on entities that are broken."""

DEEPEST = 25
"""Longer chains of containers are loops of a damaged file."""
LENGTH_PREFIX_M = {
    "EXA": 1e18,
    "PETA": 1e15,
    "TERA": 1e12,
    "GIGA": 1e9,
    "MEGA": 1e6,
    "KILO": 1e3,
    "HECTO": 1e2,
    "DECA": 10.0,
    "DECI": 0.1,
    "CENTI": 0.01,
    "MILLI": 1e-3,
    "MICRO": 1e-6,
    "NANO": 1e-9,
    "PICO": 1e-12,
    "FEMTO": 1e-15,
    "ATTO": 1e-18,
}
POWERS = {"LENGTHUNIT": 1, "AREAUNIT": 2, "VOLUMEUNIT": 3}
UNIT_NAMES = {1.0: "m", 0.01: "cm", 0.001: "mm", 0.1: "dm", 0.3048: "ft", 0.0254: "in"}


def text(entity: Any, name: str) -> str:
    """A text attribute, stripped; "" where it is absent or no text."""
    value = getattr(entity, name, None)
    if not isinstance(value, str):
        return ""
    return clean(value, LONGEST_TEXT).replace("\n", " ").strip()


def number(entity: Any, name: str) -> float | None:
    """A number attribute; None where it is absent, no number or not finite."""
    return finite(getattr(entity, name, None))


def finite(value: Any) -> float | None:
    """The value as a float, None for anything that is no finite number."""
    value = getattr(value, "wrappedValue", value)
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        return None
    return float(value)


def many(entity: Any, name: str) -> tuple[Any, ...]:
    """A list attribute; () where it is absent."""
    value = getattr(entity, name, None)
    return tuple(v for v in value if v is not None) if isinstance(value, tuple | list) else ()


def related(entity: Any, name: str) -> Any:
    """An attribute that is an entity; None where it is absent or anything else."""
    value = getattr(entity, name, None)
    return value if hasattr(value, "is_a") and hasattr(value, "id") else None


def members(entity: Any, name: str) -> list[Any]:
    """A list attribute's entities; what is none is left out."""
    return [v for v in many(entity, name) if hasattr(v, "is_a") and hasattr(v, "id")]


def of_class(model: Any, *names: str) -> list[Any]:
    """Entities of classes and their subclasses, each once, in the order of the file; classes that a
    schema lacks have none."""
    found: dict[int, Any] = {}
    for name in names:
        try:
            found.update((e.id(), e) for e in model.by_type(name))
        except RuntimeError:
            continue  # The schema of this file does not know the class.
    return [found[k] for k in sorted(found)]


class Units(NamedTuple):
    """The file's length unit by name and in mm, and its length, area and volume units in m, m², m³."""

    name: str
    mm: float
    scale: dict[str, float]


def units(model: Any) -> Units | None:
    """The units of the file; None where it declares no length unit that can be read.

    Areas and volumes without a unit of their own are in squares and cubes of the length.
    """
    found: dict[str, tuple[Any, float]] = {}
    for project in of_class(model, "IfcProject", "IfcContext"):
        for unit in members(related(project, "UnitsInContext"), "Units"):
            power = POWERS.get(str(getattr(unit, "UnitType", "")))
            size = None if power is None else _si_size(unit, power)
            if size is not None and size > 0:
                found.setdefault(unit.UnitType, (unit, size))
    if "LENGTHUNIT" not in found:
        return None
    unit, metres = found["LENGTHUNIT"]
    scale = {"m": metres, "m2": metres**2, "m3": metres**3}
    for kind, key in (("AREAUNIT", "m2"), ("VOLUMEUNIT", "m3")):
        if kind in found:
            scale[key] = found[kind][1]
    return Units(_unit_name(unit, metres), metres * 1000.0, scale)


def north_claims(model: Any) -> tuple[Claim, ...]:
    """Where true north lies in the model's own coordinates, as a claim of kind "north"; () where it does not say."""
    for project in of_class(model, "IfcProject"):
        for context in members(project, "RepresentationContexts"):
            ratios = many(related(context, "TrueNorth"), "DirectionRatios")
            found = [finite(value) for value in ratios[:2]]
            x, y = (found[0], found[1]) if len(found) == 2 else (None, None)
            if x is not None and y is not None and math.hypot(x, y) > 1e-6:
                return (Claim("north", "IFC true north", values=(("x", x), ("y", y))),)
    return ()


def _si_size(unit: Any, power: int, depth: int = 0) -> float | None:
    if unit.is_a("IfcSIUnit"):
        prefix = unit.Prefix
        # The prefix stands before the metre: a milli square metre is the square of a millimetre.
        factor = 1.0 if prefix is None else LENGTH_PREFIX_M.get(prefix)
        return None if factor is None else factor**power
    if unit.is_a("IfcConversionBasedUnit") and depth < DEEPEST:
        factor = finite(unit.ConversionFactor.ValueComponent)
        inner = _si_size(unit.ConversionFactor.UnitComponent, power, depth + 1)
        return None if factor is None or inner is None else factor * inner
    return None


def _unit_name(unit: Any, metres: float) -> str:
    for size, name in UNIT_NAMES.items():
        if math.isclose(size, metres, rel_tol=1e-9):
            return name
    return text(unit, "Name").lower() or "unit"


class Container(NamedTuple):
    """Ids of the storey, the building and the space an element stands in, 0 for none."""

    storey: int
    building: int
    space: int


def container(entity: Any) -> Container:
    """Where an element stands, found upwards through voids, parts and spaces."""
    storey = building = space = 0
    for step, above in enumerate(_upwards(entity)):
        if above.is_a("IfcBuildingStorey") and not storey:
            storey = above.id()
        elif above.is_a("IfcBuilding") and not building:
            building = above.id()
        elif above.is_a("IfcSpace") and not space and step:
            space = above.id()
    return Container(storey, building, space)


def _upwards(entity: Any) -> Iterator[Any]:
    at = entity
    for _ in range(DEEPEST):
        yield at
        above = _above(at)
        if above is None:
            return
        at = above


def _above(entity: Any) -> Any:
    for relation, attribute in (
        ("ContainedInStructure", "RelatingStructure"),
        ("Decomposes", "RelatingObject"),
        ("FillsVoids", "RelatingOpeningElement"),
        ("VoidsElements", "RelatingBuildingElement"),
    ):
        for rel in many(entity, relation):
            above = related(rel, attribute)
            if above is not None:
                return above
    return None


def parts(entity: Any) -> list[Any]:
    """The elements that an element is made of."""
    return [p for rel in many(entity, "IsDecomposedBy") for p in members(rel, "RelatedObjects")]


def fillings(opening: Any) -> list[Any]:
    """The doors and windows in a hole."""
    found = (related(rel, "RelatedBuildingElement") for rel in many(opening, "HasFillings"))
    return [f for f in found if f is not None]


def property_of(entity: Any, set_name: str, name: str) -> Any:
    """A single property's plain value, of the element or else of its type; None where absent."""
    for found in (*_sets(entity), *_type_sets(entity)):
        if text(found, "Name") == set_name:
            for p in many(found, "HasProperties"):
                if text(p, "Name") == name:
                    return getattr(getattr(p, "NominalValue", None), "wrappedValue", None)
    return None


def _sets(entity: Any) -> Iterator[Any]:
    for rel in many(entity, "IsDefinedBy"):
        found = related(rel, "RelatingPropertyDefinition")
        if found is not None:
            yield found


def _type_sets(entity: Any) -> Iterator[Any]:
    relations = (*many(entity, "IsTypedBy"), *many(entity, "IsDefinedBy"))
    for rel in relations:
        yield from members(related(rel, "RelatingType"), "HasPropertySets")


def quantities(entity: Any) -> Iterator[tuple[str, str, str, float]]:
    """(set, name, m m2 or m3, value in the file's own units) of an element's lengths, areas and volumes."""
    for found in _sets(entity):
        for q in many(found, "Quantities"):
            for attribute, unit in (("LengthValue", "m"), ("AreaValue", "m2"), ("VolumeValue", "m3")):
                value = number(q, attribute)
                if value is not None:
                    yield text(found, "Name"), text(q, "Name"), unit, value
