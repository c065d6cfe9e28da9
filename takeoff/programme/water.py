"""The water that dries out of a job's coat: how much, how long airing takes, how long a dehumidifier."""

from __future__ import annotations

import math

import msgspec

from takeoff.measure.takeoff import Takeoff
from takeoff.plan.programme_terms import Airing, ProgrammeTerms
from takeoff.programme.at_once import DAY_H, DryingOut, drying_out
from takeoff.supply.order import Order
from takeoff.supply.systems import CoatingSystem


class WaterOut(msgspec.Struct, frozen=True):
    """``litres`` of water in the coat that is needed; ``volume_m3`` of the rooms that are coated. ``dryer_days``: days
    of hire of the dehumidifier that was named, 0 where none was. ``rule``: where the water's share comes from."""

    litres: float
    coat_l: float
    volume_m3: float
    airing: Airing
    out: DryingOut
    dryer_days: int
    rule: str


def water_out(takeoff: Takeoff, order: Order, system: CoatingSystem, terms: ProgrammeTerms) -> WaterOut | None:
    """The water of the whole job; None where the system does not say how much its coat holds or nothing is coated."""
    need = next((line.need for line in order.lines if line.id == "coat"), 0.0)
    litres = need * system.coat.water.per_l
    if litres <= 0:
        return None
    airing = terms.airing
    volume = volume_m3(takeoff)
    inside, outside = (airing.inside_c, airing.inside_percent), (airing.outside_c, airing.outside_percent)
    out = drying_out(litres, inside, outside, volume, airing.changes_h)
    return WaterOut(litres, need, volume, airing, out, hire_days(litres, terms.dryer_l_day), system.coat.water.rule)


def hire_days(litres: float, dryer_l_day: float) -> int:
    """Whole days that a dehumidifier of so many litres a day is hired for; 0 for none: 40 L at 18 L a day take 3."""
    return math.ceil(litres / dryer_l_day - 1e-9) if dryer_l_day > 0 and litres > 0 else 0


def airing_days(out: DryingOut) -> float:
    """Days by the clock; infinite where airing carries nothing out."""
    return out.hours / DAY_H


def volume_m3(takeoff: Takeoff) -> float:
    """Air in the rooms that are coated, each by its floor and the middle of its heights, as often as it stands."""
    return math.fsum(
        room.times * room.floor_m2 * (room.height_min_mm + room.height_max_mm) / 2000.0
        for room in takeoff.rooms
        if room.coated_m2 > 0
    )
