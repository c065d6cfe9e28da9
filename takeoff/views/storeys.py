"""What the list of storeys says of each."""

from __future__ import annotations

import msgspec

from takeoff.plan.model import Job, Storey
from takeoff.units.printing import fmt2
from takeoff.views.cards import storey_name


class StoreyLine(msgspec.Struct, frozen=True):
    """A storey in the list: its name, and under it its level, rooms and openings."""

    id: str
    name: str
    says: str


def storey_lines(job: Job) -> tuple[StoreyLine, ...]:
    """The storeys as a house has them, the highest first."""
    return tuple(StoreyLine(str(s.id), storey_name(s), _says(s)) for s in reversed(job.storeys))


def _says(storey: Storey) -> str:
    parts = [
        f"{_signed(storey.level_mm)} m",
        f"{fmt2(storey.height_mm / 1000.0)} m high",
        _count(len(storey.rooms), "room"),
    ]
    if storey.times > 1:
        parts.append(f"built {storey.times} times")
    return ", ".join(parts)


def _signed(level_mm: float) -> str:
    """A level as plans have it: "±0.00", "+2.70", "-2.60"."""
    text = fmt2(level_mm / 1000.0)
    if text == "0.00":
        return "±0.00"
    return text if level_mm < 0 else f"+{text}"


def _count(count: int, what: str) -> str:
    return f"no {what}" if not count else f"{count} {what}{'s' if count != 1 else ''}"
