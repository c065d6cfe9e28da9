"""What to look at in a job that comes from a model's spaces: borders in walls, stairwells that a model cuts
into one space per storey, and the file's own quantities against the solids."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.plan.model import Room
from takeoff.recognise.modelled.model_claims import Model, Quantity, Space
from takeoff.recognise.modelled.model_openings import Placed
from takeoff.recognise.modelled.space_borders import Opened
from takeoff.recognise.presets import Settings
from takeoff.recognise.walls.layer_roles import by_name

ALIKE = 0.5
"""Two of them that lie over each other on this part of the smaller are one well."""
BETWEEN_MM = 900.0
"""And are parted by no more than a floor of this (common practice, no source)."""


def wells(spaces: Sequence[Space], model: Model) -> dict[str, float]:
    """By GlobalId of each space that another stair or shaft goes on above: the area in m² of its
    ceiling that may not be there. Spaces whose names say neither are left alone."""
    named = [s for s in spaces if by_name(s.name)[0] == "stair" or by_name(s.number)[0] == "stair"]
    found: dict[str, float] = {}
    for low in named:
        top = model.levels[low.storey].level_mm + low.top_mm
        for high in named:
            gap = model.levels[high.storey].level_mm + high.floor_mm - top
            if high.storey <= low.storey or not -BETWEEN_MM <= gap <= BETWEEN_MM:
                continue
            shared = float(low.plan.intersection(high.plan).area)
            if shared >= ALIKE * min(low.plan.area, high.plan.area):
                found[low.guid] = max(found.get(low.guid, 0.0), shared / 1e6)
    return found


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
    return [
        noticed(
            "quantity-differs",
            what=what,
            off=len(off),
            count=len(rows),
            space=space.title,
            written=said,
            solid=ours,
            unit=unit,
            share=share,
        )
    ]


SHOWN = 6


def doubts_about(
    model: Model, opened: Opened, rooms: Sequence[Room], placed: Placed, settings: Settings
) -> list[Finding]:
    """Findings on borders inside walls or between storeys, openings that lie in no room, and
    reveals that the model does not tell. Rooms that are not sure are told when the job is checked."""
    found = _in_walls(opened)
    found += _between_storeys(opened, rooms)
    found += _lost_holes(model, opened, placed)
    if placed.assumed:
        found.append(noticed("reveal-not-modelled", windows=placed.assumed, reveal_mm=settings.reveal_mm))
    return found


def _in_walls(opened: Opened) -> list[Finding]:
    if not opened.in_walls:
        return []
    a, b = opened.in_walls[0]
    return [noticed("space-in-wall", borders=len(opened.in_walls), first=a.title, second=b.title)]


def _between_storeys(opened: Opened, rooms: Sequence[Room]) -> list[Finding]:
    """One finding for rooms that are open to a room of another storey, with the size of the ways."""
    if not opened.between:
        return []
    numbers = sorted(opened.between)
    listed = ", ".join(
        f"“{opened.outlines[n].space.title}” ({opened.between[n] / 1e6:.1f} m²)" for n in numbers[:SHOWN]
    )
    more = f" and {len(numbers) - SHOWN} more" if len(numbers) > SHOWN else ""
    n = numbers[0]
    where = Where(storey=str(opened.outlines[n].space.storey + 1), room=rooms[n].id)
    return [noticed("open-between-storeys", where, listed=listed + more)]


def _lost_holes(model: Model, opened: Opened, placed: Placed) -> list[Finding]:
    """One finding for doors and windows that lie in no room's side, on storeys that have rooms."""
    used = {o.space.storey for o in opened.outlines}
    lost = [h for h in placed.homeless if h.storey in used and h.kind != "open"]
    if not lost:
        return []
    ox, oy = model.origin
    spots = [(h, float(h.ring[0][0]) + ox, float(h.ring[0][1]) + oy) for h in lost]
    listed = "; ".join(f"a {h.kind} {h.values['width_mm']:.0f} wide at {x:.0f}, {y:.0f}" for h, x, y in spots[:SHOWN])
    more = f"; and {len(lost) - SHOWN} more" if len(lost) > SHOWN else ""
    where = Where(storey=str(lost[0].storey + 1), x_mm=spots[0][1], y_mm=spots[0][2])
    count = "1 door or window lies" if len(lost) == 1 else f"{len(lost)} doors and windows lie"
    return [noticed("opening-in-no-room", where, openings=count, listed=listed + more)]
