"""Numbers that are none, or that no building has, found in one walk over the job."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, NamedTuple

import msgspec

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.plan.model import (
    Band,
    Behind,
    Border,
    CeilingTreatment,
    DrawingRef,
    Exclusion,
    Field,
    Job,
    Opening,
    PlacedPicture,
    Plane,
    Region,
    Reveal,
    Rooflight,
    Room,
    Side,
    Storey,
    Strip,
    WallTreatment,
    WallType,
)
from takeoff.plan.read_on_site import CrossCheck, Join, ReadDiagonal, Readings, ReadOpening, ReadSide, SetTogether


class Limit(NamedTuple):
    """The range that a number may have; ``over``: it must be more than the lower end."""

    low: float
    high: float
    over: bool = False


# Far outside any building, so that nothing real is refused (common practice, no source).
_PLACE = Limit(-1e8, 1e8)  # 100 km from the drawing's origin, mm
_HEIGHT = Limit(-50_000.0, 50_000.0)  # mm
_LEVEL = Limit(-1e6, 1e6)  # mm
_LENGTH = Limit(0.0, 1e6)  # mm
_SIZE = Limit(0.0, 50_000.0)  # mm
_SOME = Limit(0.0, 50_000.0, over=True)  # mm
_SLOPE = Limit(-100.0, 100.0)  # rise over run: 89.4°
_BULGE = Limit(-1000.0, 1000.0)  # nearly a whole circle
_TIMES = Limit(1, 10_000)
_FINISH = Limit(-1000.0, 1000.0)  # mm
_READ = Limit(0.0, 1e6, over=True)  # mm
_NUMBER = Limit(0, 1000)

LIMITS: dict[type, dict[str, Limit]] = {
    Plane: {"z_mm": _HEIGHT, "slope_x": _SLOPE, "slope_y": _SLOPE, "at_x_mm": _PLACE, "at_y_mm": _PLACE},
    Band: {"from_mm": _SIZE, "to_mm": _SOME},
    WallTreatment: {"start_mm": _LENGTH, "end_mm": _LENGTH},
    Border: {"width_mm": _SOME},
    Behind: {"from_mm": _LENGTH, "to_mm": _LENGTH, "thickness_mm": _SIZE},
    Side: {"x_mm": _PLACE, "y_mm": _PLACE, "bulge": _BULGE, "open_from_mm": _HEIGHT, "open_to_mm": _HEIGHT},
    Room: {
        "times": _TIMES, "floor_build_up_mm": _FINISH, "ceiling_build_up_mm": _FINISH,
        "printed_area_m2": Limit(0.0, 1e5),
    },
    Strip: {"depth_mm": _SIZE},
    Reveal: {"splay_deg": Limit(0.0, 85.0)},
    Opening: {
        "offset_mm": Limit(-1e6, 1e6), "width_mm": _SOME, "sill_mm": _HEIGHT, "head_mm": _HEIGHT,
        "rise_mm": _SIZE,
    },
    Rooflight: {"depth_mm": _SIZE},
    WallType: {"finish_a_mm": _FINISH, "finish_b_mm": _FINISH},
    ReadOpening: {
        "from_mm": _LENGTH, "to_mm": _READ, "sill_mm": _HEIGHT, "head_mm": _HEIGHT, "reveal_mm": _SIZE,
    },
    ReadSide: {"length_mm": _READ, "run_mm": _READ, "turn_deg": Limit(-180.0, 180.0), "height_mm": _SOME},
    ReadDiagonal: {"a": _NUMBER, "b": _NUMBER, "length_mm": _READ},
    Readings: {"middle_mm": _SOME},
    Join: {"thickness_mm": _SIZE, "opening": _NUMBER, "beyond_opening": _NUMBER},
    CrossCheck: {"corner": _NUMBER, "beyond_corner": _NUMBER, "length_mm": _READ},
    Storey: {"level_mm": _LEVEL, "height_mm": _SOME, "times": _TIMES},
    DrawingRef: {"unit_mm": Limit(0.0, 1e7, over=True), "page": Limit(1, 1e6)},
    PlacedPicture: {
        "mm_per_px": Limit(0.0, 1e6, over=True), "width_px": Limit(1, 1e6), "height_px": Limit(1, 1e6),
    },
}  # fmt: skip

_RINGS: dict[type, str] = {Region: "outline", Exclusion: "outline", Rooflight: "outline"}


# Which fields of a record hold other records.
_HOLDS: dict[type, tuple[str, ...]] = {
    Job: ("drawing", "storeys", "wall_types"),
    DrawingRef: ("picture",),
    Storey: ("rooms", "openings", "rooflights", "set_together"),
    Room: ("outline", "inner", "ceiling", "floor", "walls", "ceiling_treatment", "readings"),
    Readings: ("sides", "diagonals"),
    ReadSide: ("openings",),
    SetTogether: ("joins", "checks"),
    Field: ("planes", "regions"),
    Region: ("planes",),
    Side: ("treatment", "behind"),
    WallTreatment: ("bands", "exclusions"),
    CeilingTreatment: ("left_on", "only", "exclusions"),
    Opening: ("reveal", "reveal_beyond"),
    Reveal: ("start", "end", "head", "sill"),
}


def unsound_numbers(job: Job) -> list[Finding]:
    """An error for each number that is not finite or outside its range; none for a sound job."""
    return list(_walk(job, "", Where()))


def _walk(value: Any, path: str, where: Where) -> Iterator[Finding]:
    if isinstance(value, tuple):
        for index, item in enumerate(value):
            if isinstance(item, msgspec.Struct | tuple):
                yield from _walk(item, f"{path}[{index}]", where)
        return
    kind = type(value)
    where = _place(value, where)
    for name, limit in LIMITS.get(kind, {}).items():
        number = getattr(value, name)
        if number is not None and not _within(number, limit):
            yield _fault(f"{path}.{name}", number, limit, where)
    if kind in _RINGS:
        yield from _ring(getattr(value, _RINGS[kind]), f"{path}.{_RINGS[kind]}", where)
    if kind is Storey:
        for index, ring in enumerate(value.building):
            yield from _ring(ring, f"{path}.building[{index}]", where)
    for name in _HOLDS.get(kind, ()):
        held = getattr(value, name)
        if held is not None:
            yield from _walk(held, f"{path}.{name}", where)


def _within(number: float, limit: Limit) -> bool:
    # A comparison with NaN is false, so that NaN is never within.
    return (limit.low < number if limit.over else limit.low <= number) and number <= limit.high


def _ring(ring: tuple[tuple[float, float, float], ...], path: str, where: Where) -> Iterator[Finding]:
    for index, vertex in enumerate(ring):
        for part, limit in zip(range(3), (_PLACE, _PLACE, _BULGE), strict=True):
            if not _within(vertex[part], limit):
                yield _fault(f"{path}[{index}][{part}]", vertex[part], limit, where)


def _place(value: Any, where: Where) -> Where:
    if isinstance(value, Storey):
        return Where(storey=value.id)
    if isinstance(value, Room):
        return Where(storey=where.storey, room=value.id)
    if isinstance(value, Opening | Rooflight):
        return Where(storey=where.storey, room=value.room, opening=value.id)
    if isinstance(value, Side | Region):
        return Where(storey=where.storey, room=where.room, surface=value.id)
    return where


def _fault(path: str, number: float, limit: Limit, where: Where) -> Finding:
    path = path.removeprefix(".")
    if not math.isfinite(number):
        return noticed("number-not-finite", where, path=path)
    low = f"{'more than' if limit.over else 'from'} {limit.low:.15g}"
    high = f"{', at most' if limit.over else ' to'} {limit.high:.15g}"
    return noticed("number-absurd", where, path=path, number=f"{number:.15g}", range=low + high)
