"""Moist air, by psychrolib (ASHRAE's equations of 2017): dew point, and what would do to keep clear of it."""

from __future__ import annotations

import psychrolib

psychrolib.SetUnitSystem(psychrolib.SI)


def dew_point_c(air_c: float, humidity_percent: float) -> float:
    """The temperature, °C, at which air of that temperature and relative humidity (per cent, over 0) is saturated."""
    return float(psychrolib.GetTDewPointFromRelHum(air_c, humidity_percent / 100.0))


def humidity_for(air_c: float, dew_c: float) -> float:
    """The relative humidity, per cent, at which air of ``air_c`` has the dew point ``dew_c``; 100 at most."""
    if dew_c >= air_c:
        return 100.0
    return 100.0 * float(psychrolib.GetRelHumFromTDewPoint(air_c, dew_c))


def vapour_g_m3(air_c: float, humidity_percent: float) -> float:
    """Water vapour in a cubic metre of air, grams: by the gas law from its vapour pressure."""
    pressure_pa = float(psychrolib.GetVapPresFromRelHum(air_c, humidity_percent / 100.0))
    return pressure_pa / (461.5 * (air_c + 273.15)) * 1000.0  # 461.5 J/(kg K): gas constant of water vapour
