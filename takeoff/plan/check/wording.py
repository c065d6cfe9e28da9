"""How a finding names rooms, places and sizes."""

from __future__ import annotations

from takeoff.errors import Finding, Severity, Where
from takeoff.plan.model import Opening, Room, Storey
from takeoff.units.printing import dim3, fmt2, printed


def finding(code: str, severity: Severity, text: str, where: Where) -> Finding:
    """A finding whose sentence starts with a capital and ends in a full stop."""
    return Finding(code=code, severity=severity, text=text[:1].upper() + text[1:], where=where)


def storey_name(storey: Storey) -> str:
    """What a storey is called: its name, else its id."""
    return storey.name or f"storey {storey.id}"


def room_name(room: Room) -> str:
    """What a room is called: number and name, else its id."""
    return " ".join(part for part in (room.number, room.name) if part) or f"room {room.id}"


def opening_name(opening: Opening) -> str:
    """What an opening is called: its kind with its mark, else with its id."""
    kind = "open way" if opening.kind == "open" else opening.kind
    return f"{kind} {opening.mark or opening.id}"


def mm(length_mm: float) -> str:
    """A length in whole mm where it is whole, else to 0.1 mm."""
    text = f"{printed(length_mm, 1):f}"
    return text.removesuffix(".0") + " mm"


def m2(area_mm2: float) -> str:
    """An area given in mm², printed in m²."""
    area = area_mm2 / 1e6
    return (fmt2(area) if area >= 0.1 else dim3(area)) + " m²"


def at(x_mm: float, y_mm: float) -> str:
    """A place in plan, for the end of a sentence."""
    return f"at x {printed(x_mm, 0):f}, y {printed(y_mm, 0):f}"


def spot(storey: Storey, room: Room, x_mm: float, y_mm: float, surface: str | None = None) -> Where:
    """A point in a room."""
    return Where(storey=storey.id, room=room.id, surface=surface, x_mm=x_mm, y_mm=y_mm)
