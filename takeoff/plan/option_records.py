"""Options of a job: treatments of one plan that are set side by side. Part of the job file."""

from __future__ import annotations

from typing import Literal

from takeoff.plan.values import Value

OptionWay = Literal["outside", "walls", "walls-ceilings", "kept"]
"""*outside*: outside walls with returns; *walls*: all walls; *walls-ceilings*: these and all ceilings; *kept*: as some
day's coat was."""


class KeptSide(Value, frozen=True):
    """What of a wall is coated, as its treatment has it."""

    side: str
    coat: bool = True
    start_mm: float | None = None
    end_mm: float | None = None
    parts_mm: tuple[tuple[float, float | None], ...] = ()


class KeptBand(Value, frozen=True):
    """A band of ceiling that is coated."""

    width_mm: float
    sides: tuple[str, ...] = ()
    what: str = "band"
    along_parts: bool = False


class KeptRoom(Value, frozen=True):
    """What is coated in a room: walls by side, and its ceiling, whole or in bands."""

    room: str
    sides: tuple[KeptSide, ...] = ()
    ceiling: bool = True
    only: tuple[KeptBand, ...] = ()


class CoatOption(Value, frozen=True):
    """A treatment by name. Only what is coated is part of it: bands that stay, tiles, substrates and corners are the
    job's in every option. ``return_mm``, ``band_mm`` (0 leaves ceilings bare, None coats them whole) are of *outside*,
    ``rooms`` of *kept*."""

    id: str
    name: str = ""
    way: OptionWay = "walls-ceilings"
    return_mm: float = 600.0
    band_mm: float | None = 0.0
    rooms: tuple[KeptRoom, ...] = ()
