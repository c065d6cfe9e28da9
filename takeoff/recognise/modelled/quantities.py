"""The file's own quantities of its spaces against their solids."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.errors import Finding
from takeoff.recognise.modelled.claims import Quantity, Space

AGREES = 0.005
"""Figures this near (relative) agree."""
AREA_NAMES = ("NetFloorArea", "GrossFloorArea", "NetArea", "GrossArea", "Area")
PERIMETER_NAMES = ("NetPerimeter", "GrossPerimeter", "Perimeter")
OTHER_AREAS = ("wall", "ceiling", "window", "door", "opening", "surface", "side")
"""Areas with these words in their names are not of the floor."""


def floor_area_m2(space: Space) -> float | None:
    """The floor area that the file writes for a space; None where it writes none."""
    found = _first(space.quantities, AREA_NAMES, "m2")
    if found is None:
        rest = [
            q
            for q in space.quantities
            if q.unit == "m2" and "area" in q.name.lower() and not any(w in q.name.lower() for w in OTHER_AREAS)
        ]
        found = rest[0] if len(rest) == 1 else None
    return None if found is None or not 0.0 <= found.value < 1e5 else found.value


def _first(quantities: Sequence[Quantity], names: tuple[str, ...], unit: str) -> Quantity | None:
    by_name = {q.name: q for q in reversed(quantities) if q.unit == unit}
    return next((by_name[n] for n in names if n in by_name), None)


def quantity_findings(spaces: Sequence[Space]) -> tuple[Finding, ...]:
    """One finding for all areas, and one for all perimeters, that differ from the solids."""
    areas = [(s, a, s.plan.area / 1e6) for s in spaces if (a := floor_area_m2(s)) is not None]
    rounds = [
        (s, q.value, s.plan.length / 1e3)
        for s in spaces
        if (q := _first(s.quantities, PERIMETER_NAMES, "m")) is not None
    ]
    return (*_differ(areas, "area", "m²"), *_differ(rounds, "perimeter", "m"))


def _differ(rows: list[tuple[Space, float, float]], what: str, unit: str) -> list[Finding]:
    off = [(said / ours - 1.0, space, said, ours) for space, said, ours in rows if abs(said - ours) > AGREES * ours]
    if not off:
        return []
    share, space, said, ours = max(off, key=lambda r: abs(r[0]))
    text = (
        f"The model's own {what}s of {len(off)} of {len(rows)} spaces differ from their solids, most for "
        f"“{space.title}”: {said:.2f} {unit} written, {ours:.2f} {unit} in the solid ({share:+.1%}); the "
        "solids are measured."
    )
    return [Finding("quantity-differs", "check", text)]
