"""What to look at in a job that comes from a model's spaces."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.errors import Finding, Where
from takeoff.plan.model import Room
from takeoff.recognise.modelled.claims import Model
from takeoff.recognise.modelled.openings import Placed
from takeoff.recognise.modelled.sides import Opened
from takeoff.recognise.settings import Settings

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
        text = f"The model does not tell where the frames of {placed.assumed} windows stand in their walls: "
        text += f"their reveals are taken as {settings.reveal_mm:.0f} mm deep."
        found.append(Finding("reveal-not-modelled", "note", text))
    return found


def _in_walls(opened: Opened) -> list[Finding]:
    if not opened.in_walls:
        return []
    a, b = opened.in_walls[0]
    text = (
        f"{len(opened.in_walls)} borders between spaces run in the middle of a wall (first “{a.title}” and "
        f"“{b.title}”): areas are too large by half the walls; have spaces end at the faces of walls."
    )
    return [Finding("space-in-wall", "check", text)]


def _between_storeys(opened: Opened, rooms: Sequence[Room]) -> list[Finding]:
    """One finding for rooms that are open to a room of another storey, with the size of the ways."""
    if not opened.between:
        return []
    numbers = sorted(opened.between)
    listed = ", ".join(
        f"“{opened.outlines[n].space.title}” ({opened.between[n] / 1e6:.1f} m²)" for n in numbers[:SHOWN]
    )
    more = f" and {len(numbers) - SHOWN} more" if len(numbers) > SHOWN else ""
    text = (
        f"Rooms are open to rooms of another storey: {listed}{more}; these ways are taken out of their "
        "walls, and the edges of floors between count as wall."
    )
    n = numbers[0]
    where = Where(storey=str(opened.outlines[n].space.storey + 1), room=rooms[n].id)
    return [Finding("open-between-storeys", "note", text, where)]


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
    text = f"{count} in no room's wall: {listed}{more}; check whether a room is missing there."
    return [Finding("opening-in-no-room", "check", text, where)]
