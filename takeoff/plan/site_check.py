"""What a job keeps of the site's condition: what was read and looked at there, and which holds somebody cleared.

Part of the job file. Moments are ISO 8601 to the minute, in the site's own time ("2031-05-20T07:40"); "" is not known.
"""

from __future__ import annotations

from typing import Literal, get_args

from takeoff.plan.values import Value

Stage = Literal["quote", "start", "coating", "sanding", "decoration"]
"""What is about to be done when a reading is taken: each day of coating is *coating*."""

STAGES: tuple[Stage, ...] = get_args(Stage)

Quantity = Literal["moisture", "surface", "air", "humidity", "gap"]
"""Moisture of the substrate on the instrument's own scale; temperatures of surface and air, °C; relative humidity,
per cent; the gap under a straightedge, mm."""

Looked = Literal[
    "lining",
    "loose-paint",
    "old-paint",
    "textured",
    "mould",
    "damp",
    "water-ingress",
    "porous",
    "base-dry",
    "vents-free",
]
"""What is looked at: a lining or paper on the wall, loose or old paint, a textured coating, mould, damp, water coming
in, a drop of water that soaks in at once, the base coat dry, every vent free."""


Face = Literal["", "walls", "ceiling"]
"""Which surfaces of a room an answer is of; "" for all of them."""

FACES: tuple[Face, ...] = get_args(Face)

LOOKED: tuple[Looked, ...] = get_args(Looked)

QUANTITIES: tuple[Quantity, ...] = get_args(Quantity)

POSSIBLE: dict[Quantity, tuple[float, float, str]] = {
    "moisture": (0.0, 1000.0, ""),
    "surface": (-40.0, 60.0, "°C"),
    "air": (-40.0, 60.0, "°C"),
    "humidity": (1.0, 100.0, "%"),
    "gap": (0.0, 500.0, "mm"),
}
"""What an instrument can say in a building: from, to, unit (common practice, no source)."""


class ConditionReading(Value, frozen=True):
    """One reading. ``room`` None: of the whole job, which does for air and humidity. ``place``: where in the room,
    in words; surfaces are read at the coldest reveal or corner. ``scale``: of moisture, since readings on
    different scales are never compared."""

    quantity: Quantity
    value: float
    stage: Stage = "quote"
    at: str = ""
    room: str | None = None
    place: str = ""
    person: str = ""
    instrument: str = ""
    scale: str = ""


class Tick(Value, frozen=True):
    """What was looked at, and the answer. ``room`` None: of the whole job. ``face``: on which surfaces; ``place``:
    where in the room, in words."""

    what: Looked
    answer: Literal["yes", "no"]
    stage: Stage = "quote"
    at: str = ""
    room: str | None = None
    person: str = ""
    note: str = ""
    face: Face = ""
    place: str = ""


class Cleared(Value, frozen=True):
    """A hold that a person took off, by name and date; it comes back when something is read or looked at later that
    makes it a new one. ``because``: what was done about it."""

    hold: str
    person: str
    on: str
    because: str = ""


class SiteLimits(Value, frozen=True):
    """Limits of the job's own where they differ from the usual ones, by their ids; ``moisture``: the highest reading
    by scale. Pairs, so that a job stays a value that can be looked up."""

    low: tuple[tuple[str, float], ...] = ()
    high: tuple[tuple[str, float], ...] = ()
    moisture: tuple[tuple[str, float], ...] = ()


class SiteCheck(Value, frozen=True):
    """All of it. ``stage``: what the job is about to do now."""

    stage: Stage = "quote"
    readings: tuple[ConditionReading, ...] = ()
    ticks: tuple[Tick, ...] = ()
    cleared: tuple[Cleared, ...] = ()
    limits: SiteLimits = SiteLimits()
