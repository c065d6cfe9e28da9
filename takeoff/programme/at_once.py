"""What can be coated in one go, and the water that has to dry out of it.

A face is closed wet in wet: what is put on first must still be workable when the last of it is put on.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.sitecheck.moist_air import vapour_g_m3

DAY_H = 24.0


def closable_width_m(rate_m2_h: float, working_min: float, height_m: float) -> float:
    """How wide a face of that height one person closes within the working time, m: 6 m²/h, 20 min and 2.4 m
    high give 0.83 m. Raises InputError for anything that is not over zero."""
    if min(rate_m2_h, working_min, height_m) <= 0 or not all(map(math.isfinite, (rate_m2_h, working_min, height_m))):
        raise InputError(tr("Speed, working time and height must each be more than 0."))
    return rate_m2_h * working_min / 60.0 / height_m


def people_for(width_m: float, rate_m2_h: float, working_min: float, height_m: float) -> int:
    """How many people close a face of that width without a joint; 1 for no width."""
    return max(1, math.ceil(width_m / closable_width_m(rate_m2_h, working_min, height_m) - 1e-9))


class DryingOut(NamedTuple):
    """``carried_g_m3``: what each cubic metre of air that is changed takes away; ``litres_h`` in all, ``hours`` for
    the water that there is (infinite where the air outside takes nothing away)."""

    carried_g_m3: float
    litres_h: float
    hours: float


def drying_out(
    water_l: float, inside: tuple[float, float], outside: tuple[float, float], volume_m3: float, changes_h: float
) -> DryingOut:
    """How long airing takes to carry the water out: ``inside`` and ``outside`` are (°C, relative humidity in per cent).

    Air that comes in leaves as moist as the room is. An estimate: what walls take up and give back is left out.
    """
    carried = vapour_g_m3(*inside) - vapour_g_m3(*outside)
    litres_h = max(0.0, carried) * volume_m3 * changes_h / 1000.0
    hours = 0.0 if water_l <= 0 else (water_l / litres_h if litres_h > 0 else math.inf)
    return DryingOut(carried, litres_h, hours)
