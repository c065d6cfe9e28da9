"""What a job can hold: the range of every number, how many of a thing, and what may not be empty.

Looked at once where a job is read, and by the check.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from datetime import datetime, time
from typing import Any, NamedTuple

import msgspec

from takeoff.errors import Finding, InputError, Where
from takeoff.findings import RULES, noticed
from takeoff.language import number, tr, tr_count
from takeoff.plan.counted_items import CountedItem
from takeoff.plan.customs import TALLEST_SKIRTING_MM, WIDEST_ARCHITRAVE_MM, WIDEST_COVING_MM
from takeoff.plan.lot_records import InVan, Lot
from takeoff.plan.model import (
    Band,
    Behind,
    Border,
    CeilingTreatment,
    CrossCheck,
    Customs,
    Details,
    DrawingRef,
    Exclusion,
    Field,
    Job,
    Join,
    Laid,
    Logo,
    Opening,
    PlacedPicture,
    Plane,
    ReadDiagonal,
    Readings,
    ReadOpening,
    ReadSide,
    Region,
    Reveal,
    Ring,
    Rooflight,
    Room,
    SetTogether,
    Side,
    Storey,
    Strip,
    Swing,
    WallTreatment,
    WallType,
)
from takeoff.plan.option_records import CoatOption, KeptBand, KeptRoom, KeptSide
from takeoff.plan.price_terms import FactorOf, HoursOf, PriceTerms, WidthRate
from takeoff.plan.programme_terms import Airing, Crew, ProgrammeTerms
from takeoff.plan.site_check import Cleared, ConditionReading, SiteCheck, Tick
from takeoff.plan.typed_days import YEARS
from takeoff.plan.work_records import (
    Bill,
    Contract,
    DayRecord,
    Defect,
    GaugeReading,
    Movement,
    OpenedTub,
    Payment,
    RoomStage,
    SiteChange,
    WorkRecords,
)


class Limit(NamedTuple):
    """The range that a number may have; ``over``: it must be more than the lower end."""

    low: float
    high: float
    over: bool = False


# Far outside any building, so that nothing real is refused (common practice, no source).
# 10,000 km from the origin, mm: national grids and world zones put buildings up to so far out
_PLACE = Limit(-1e10, 1e10)
_HEIGHT = Limit(-50_000.0, 50_000.0)  # mm
_LEVEL = Limit(-1e7, 1e7)  # mm; models give levels above the sea
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
    Band: {"from_mm": _SIZE, "to_mm": _SIZE},
    Customs: {
        "skirting_mm": Limit(0.0, TALLEST_SKIRTING_MM), "coving_mm": Limit(0.0, WIDEST_COVING_MM),
        "architrave_mm": Limit(0.0, WIDEST_ARCHITRAVE_MM),
    },
    WallTreatment: {"start_mm": _LENGTH, "end_mm": _LENGTH},
    Border: {"width_mm": _SIZE},
    Behind: {"from_mm": _LENGTH, "to_mm": _LENGTH, "thickness_mm": _SIZE},
    Side: {"x_mm": _PLACE, "y_mm": _PLACE, "bulge": _BULGE, "open_from_mm": _HEIGHT, "open_to_mm": _HEIGHT},
    Room: {
        "times": _TIMES, "floor_build_up_mm": _FINISH, "ceiling_build_up_mm": _FINISH,
        "printed_area_m2": Limit(0.0, 1e9),
    },
    Strip: {"depth_mm": _SIZE},
    Swing: {"leaf_mm": _SIZE},
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
    DrawingRef: {
        "unit_mm": Limit(0.0, 1e7, over=True), "page": Limit(1, 1e6), "north_deg": Limit(-360.0, 360.0),
    },
    Logo: {"width_px": Limit(1, 1e4), "height_px": Limit(1, 1e4)},
    Laid: {"turn_deg": Limit(-360.0, 360.0), "dx_mm": _PLACE, "dy_mm": _PLACE},
    PlacedPicture: {
        "mm_per_px": Limit(0.0, 1e6, over=True), "width_px": Limit(1, 1e6), "height_px": Limit(1, 1e6),
    },
}  # fmt: skip

LIMITS |= {
    ConditionReading: {"value": Limit(-1000.0, 10_000.0)},
    HoursOf: {"hours": Limit(0.0, 1000.0)},
    FactorOf: {"factor": Limit(0.1, 10.0)},
    CoatOption: {"return_mm": Limit(0.0, 5000.0), "band_mm": Limit(0.0, 5000.0)},
    KeptSide: {"start_mm": _LENGTH, "end_mm": _LENGTH},
    KeptBand: {"width_mm": _LENGTH},
    WidthRate: {"up_to_mm": Limit(1.0, 5000.0)},
    PriceTerms: {"valid_days": Limit(1, 3650)},
    ProgrammeTerms: {
        "people": Limit(0, 1000), "together": Limit(1, 1000),
        "rate_m2_h": Limit(0.0, 1000.0), "working_min": Limit(0.0, 10_000.0), "dryer_l_day": Limit(0.0, 10_000.0),
    },
    Crew: {"people": Limit(0, 1000)},
    Airing: {
        "inside_c": Limit(-50.0, 60.0), "inside_percent": Limit(0.0, 100.0, over=True),
        "outside_c": Limit(-50.0, 60.0), "outside_percent": Limit(0.0, 100.0, over=True),
        "changes_h": Limit(0.0, 100.0),
    },
    InVan: {"quantity": Limit(0.0, 1e6)},
    Movement: {"count": Limit(1, 100_000)},
    OpenedTub: {"count": Limit(1, 10_000)},
    GaugeReading: {"mm": Limit(0.0, 20.0)},
    DayRecord: {"hours": Limit(0.0, 1_000.0)},
    SiteChange: {"number": Limit(1, 10_000), "days": Limit(-1_000.0, 1_000.0)},
    CountedItem: {"count": Limit(1, 10_000)},
}  # fmt: skip

_RINGS: dict[type, str] = {Region: "outline", Exclusion: "outline", Rooflight: "outline"}

MOST: dict[type, dict[str, int]] = {
    SiteCheck: {"readings": 100_000, "ticks": 100_000, "cleared": 100_000},
    PriceTerms: {"rates": 100, "hours": 100, "extras": 10_000, "by_width": 100, "difficulty": 100},
    Lot: {"rooms": 100_000},
    ProgrammeTerms: {"days": 7, "off": 10_000, "crews": 100, "lived_in": 100_000},
    WorkRecords: {
        "movements": 100_000, "stages": 100_000, "days": 100_000, "changes": 10_000, "bills": 1_000,
        "payments": 10_000,
    },
    DayRecord: {"opened": 1_000, "readings": 10_000},
    SiteChange: {"lines": 1_000},
    CoatOption: {"rooms": 100_000},
    KeptRoom: {"sides": 25_000, "only": 1_000},
    KeptSide: {"parts_mm": 1_000},
    KeptBand: {"sides": 25_000},
    Job: {
        "lots": 10_000, "in_van": 1_000, "options": 4,
        "drawings": 200, "storeys": 200, "wall_types": 10_000, "photos": 20_000, "settled": 100_000,
        "unsettled": 10_000,
    },
    Storey: {"rooms": 10_000, "openings": 20_000, "rooflights": 5_000, "building": 1_000},
    Room: {"outline": 5_000, "inner": 1_000, "corners": 50_000, "counted": 1_000},
    Field: {"planes": 200, "regions": 300},
    Region: {"planes": 200, "outline": 5_000},
    Side: {"behind": 1_000},
    WallTreatment: {"bands": 100, "exclusions": 1_000, "parts_mm": 1_000},
    CeilingTreatment: {"left_on": 1_000, "only": 1_000, "exclusions": 1_000},
    Exclusion: {"outline": 5_000},
    Rooflight: {"outline": 5_000},
    Readings: {"sides": 500, "diagonals": 2_000},
    ReadSide: {"openings": 200},
    SetTogether: {"joins": 5_000, "checks": 5_000},
}  # fmt: skip
"""So many of a thing is more than any building has, and more than can be measured in a day
(common practice, no source)."""

_DAYS: dict[type, tuple[str, ...]] = {
    Lot: ("date",), ProgrammeTerms: ("start", "holds_until"), Movement: ("on",), RoomStage: ("on",),
    DayRecord: ("on",), Contract: ("on",), Bill: ("on",), Payment: ("on",), Defect: ("on", "mended_on"),
    SiteChange: ("proposed_on", "instructed_on", "agreed_on", "refused_on", "done_on"),
}  # fmt: skip
_MOMENTS: dict[type, tuple[str, ...]] = {ConditionReading: ("at",), Tick: ("at",), Cleared: ("on",)}
_HOURS: dict[type, tuple[str, ...]] = {ProgrammeTerms: ("begins", "ends")}
"""Which fields hold a day, a day with its time, an hour, all as ISO 8601 writes them; empty where nobody gave one."""


def _day(text: str) -> None:
    if datetime.fromisoformat(text).year not in YEARS or len(text) > len("2031-05-20"):
        raise ValueError


def _moment(text: str) -> None:
    if datetime.fromisoformat(text).year not in YEARS:
        raise ValueError


_TIMED: tuple[tuple[dict[type, tuple[str, ...]], str, Callable[[str], object]], ...] = (
    (_DAYS, "not-a-day", _day),
    (_MOMENTS, "not-a-day", _moment),
    (_HOURS, "not-an-hour", time.fromisoformat),
)
_SHOWN_LETTERS = 40

_NAMED: dict[type, tuple[str, ...]] = {Job: ("name",), Storey: ("name",), Room: ("name", "number")}
MOST_LETTERS = 100_000
"""No name has so many letters, and every sheet would set them all."""

MOST_TIMES = 10_000
"""One room may be built so often, its storey's repeats counted."""

MOST_ROOMS = 4_000
"""Outlines of rooms in one job, all storeys together: rooms and storeys that are alike stand once, with how often."""

MOST_IN_A_WALL = 500
"""Openings of one wall."""

MOST_VERTICES = 5_000
"""Of one ring, and sides of one ring of a room."""


# Which fields of a record hold other records.
_HOLDS: dict[type, tuple[str, ...]] = {
    WorkRecords: ("movements", "stages", "days", "changes", "contract", "bills", "payments", "defects"),
    DayRecord: ("opened", "readings"),
    Job: (
        "drawings",
        "storeys",
        "wall_types",
        "customs",
        "site_check",
        "price",
        "programme",
        "in_van",
        "options",
        "work",
        "details",
        "lots",
    ),
    Details: ("logo",),
    CoatOption: ("rooms",),
    KeptRoom: ("sides", "only"),
    SiteCheck: ("readings", "ticks", "cleared"),
    ProgrammeTerms: ("crews", "airing"),
    PriceTerms: ("hours", "by_width", "difficulty"),
    DrawingRef: ("picture", "laid"),
    Storey: ("rooms", "openings", "rooflights", "set_together"),
    Room: ("outline", "inner", "ceiling", "floor", "walls", "ceiling_treatment", "readings", "counted"),
    Readings: ("sides", "diagonals"),
    ReadSide: ("openings",),
    SetTogether: ("joins", "checks"),
    Field: ("planes", "regions"),
    Region: ("planes",),
    Side: ("treatment", "behind"),
    WallTreatment: ("bands", "exclusions"),
    CeilingTreatment: ("left_on", "only", "exclusions"),
    Opening: ("reveal", "reveal_beyond", "swings"),
    Reveal: ("start", "end", "head", "sill"),
}


class Fault(NamedTuple):
    """What cannot be in a job: ``path`` of the field, what the ledger calls it and the facts for its sentence."""

    key: str
    where: Where
    facts: dict[str, Any]


def unsound_numbers(job: Job) -> list[Finding]:
    """An error for each number that is not finite or outside its range, and for each list that is longer
    than any building needs; none for a sound job."""
    return [noticed(fault.key, fault.where, **fault.facts) for fault in _walk(job, "", Where())]


def refuse_unsound(job: Job, name: str, known: Job | None = None) -> None:
    """Raises InputError for the first thing in a job, read from the file ``name``, with which nothing can be
    measured: a number that no building has, lists without end, rings and fields that hold nothing, two
    things of one id. Its sentence names the file and the field.

    ``known``: a job that was sound; rooms and openings that both share are not looked at again.
    """
    shared = {id(piece) for storey in known.storeys for piece in (*storey.rooms, *storey.openings)} if known else set()
    for fault in _walk(job, "", Where(), shared):
        raise InputError(f"{name}: {tr(RULES[fault.key].sentence, **fault.facts)}")
    for said in (*_more_rooms(job), *_built_too_often(job), *_crowded_walls(job), *_hollow(job), *_same_ids(job)):
        raise InputError(f"{name}: {said}")


def _walk(value: Any, path: str, where: Where, known: Collection[int] = ()) -> Iterator[Fault]:
    if isinstance(value, tuple):
        for index, item in enumerate(value):
            if isinstance(item, msgspec.Struct | tuple) and id(item) not in known:
                yield from _walk(item, f"{path}[{index}]", where, known)
        return
    kind = type(value)
    where = _place(value, where)
    for name, most in MOST.get(kind, {}).items():
        if (count := len(getattr(value, name))) > most:
            yield _too_many(f"{path}.{name}", count, most, where)
            return
    for name in _NAMED.get(kind, ()):
        if (count := len(getattr(value, name))) > MOST_LETTERS:
            yield _too_long(f"{path}.{name}", count, where)
            return
    for name, limit in LIMITS.get(kind, {}).items():
        number = getattr(value, name)
        if number is not None and not _within(number, limit):
            yield _fault(f"{path}.{name}", number, limit, where)
    yield from _untimely(value, path, where)
    if kind in _RINGS:
        yield from _ring(getattr(value, _RINGS[kind]), f"{path}.{_RINGS[kind]}", where)
    elif kind is Storey:
        for index, ring in enumerate(value.building):
            yield from _ring(ring, f"{path}.building[{index}]", where)
    elif kind is WallTreatment:
        for index, part in enumerate(value.parts_mm):
            for place in part:
                if place is not None and not _within(place, _LENGTH):
                    yield _fault(f"{path}.parts_mm[{index}]", place, _LENGTH, where)
    elif kind is Room:
        for index, sides in enumerate(value.inner):
            if len(sides) > MOST_VERTICES:
                yield _too_many(f"{path}.inner[{index}]", len(sides), MOST_VERTICES, where)
                return
    for name in _HOLDS.get(kind, ()):
        held = getattr(value, name)
        if held is not None:
            yield from _walk(held, f"{path}.{name}", where, known)


def _untimely(value: Any, path: str, where: Where) -> Iterator[Fault]:
    """What stands where a day or an hour should and is none."""
    for fields, key, read in _TIMED:
        for name in fields.get(type(value), ()):
            if (text := getattr(value, name)) and not _reads(read, text):
                yield Fault(key, where, {"path": f"{path}.{name}".removeprefix("."), "text": text[:_SHOWN_LETTERS]})
    if isinstance(value, ProgrammeTerms):
        at = path.removeprefix(".")
        for index, text in enumerate(value.off):
            if not _reads(_day, text):
                yield Fault("not-a-day", where, {"path": f"{at}.off[{index}]", "text": text[:_SHOWN_LETTERS]})
        hours = (value.begins, value.ends)
        if all(_reads(time.fromisoformat, text) for text in hours) and not _in_turn(*hours):
            yield Fault("not-an-hour/turned", where, {"path": at, "begins": value.begins, "ends": value.ends})
        if not value.days or not set(value.days) <= set(range(7)):
            yield Fault("no-working-day", where, {"path": at})


def _in_turn(begins: str, ends: str) -> bool:
    return time.fromisoformat(begins).replace(tzinfo=None) < time.fromisoformat(ends).replace(tzinfo=None)


def _reads(read: Callable[[str], object], text: str) -> bool:
    try:
        read(text)
    except ValueError:
        return False
    return True


def _within(number: float, limit: Limit) -> bool:
    # A comparison with NaN is false, so that NaN is never within.
    return (limit.low < number if limit.over else limit.low <= number) and number <= limit.high


def _ring(ring: Ring, path: str, where: Where) -> Iterator[Fault]:
    if len(ring) > MOST_VERTICES:
        yield _too_many(path, len(ring), MOST_VERTICES, where)
        return
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


def _fault(path: str, number: float, limit: Limit, where: Where) -> Fault:
    path = path.removeprefix(".")
    if not math.isfinite(number):
        return Fault("number-not-finite", where, {"path": path})
    low = f"{'more than' if limit.over else 'from'} {limit.low:.15g}"
    high = f"{', at most' if limit.over else ' to'} {limit.high:.15g}"
    return Fault("number-absurd", where, {"path": path, "number": f"{number:.15g}", "range": low + high})


def _too_many(path: str, count: int, most: int, where: Where) -> Fault:
    return Fault("too-many", where, _counted(path, count, most))


def _too_long(path: str, count: int, where: Where) -> Fault:
    return Fault("too-many/letters", where, _counted(path, count, MOST_LETTERS))


def _counted(path: str, count: int, most: int) -> dict[str, str]:
    return {"path": path.removeprefix("."), "count": f"{count:,}", "most": f"{most:,}"}


def _more_rooms(job: Job) -> Iterator[str]:
    """More rooms than ``MOST_ROOMS`` in all storeys together."""
    if (count := sum(len(storey.rooms) for storey in job.storeys)) > MOST_ROOMS:
        yield tr(
            "storeys hold {count} rooms, more than the {most} of one job: keep alike rooms once, with their number, or "
            "make a job for each storey.",
            count=number(count),
            most=number(MOST_ROOMS),
        )


def _built_too_often(job: Job) -> Iterator[str]:
    """Rooms that stand in the building more often than ``MOST_TIMES``, their storey's repeats counted."""
    for s, storey in enumerate(job.storeys):
        for r, room in enumerate(storey.rooms):
            if (times := storey.times * room.times) > MOST_TIMES:
                path = f"storeys[{s}].rooms[{r}].times"
                yield (
                    tr(
                        "{path} is {times}, and its storey repeats × {storey}: {total} such rooms are more "
                        "than {most}, the most that a building may have. Check both.",
                        path=path,
                        times=room.times,
                        storey=storey.times,
                        total=number(times),
                        most=number(MOST_TIMES),
                    )
                )


def _crowded_walls(job: Job) -> Iterator[str]:
    """Walls that hold more openings than ``MOST_IN_A_WALL``: each is compared with every other."""
    for s, storey in enumerate(job.storeys):
        for (room, side), count in Counter((o.room, o.side) for o in storey.openings).items():
            if count > MOST_IN_A_WALL:
                yield (
                    tr(
                        "{path} holds {count} for side {side} of room {room}, and one wall has at most {most}: "
                        "remove those that are drawn twice.",
                        path=f"storeys[{s}].openings",
                        count=number(count),
                        side=side,
                        room=room,
                        most=number(MOST_IN_A_WALL),
                    )
                )


def _hollow(job: Job) -> Iterator[str]:
    """Rings that bound nothing and fields without a height, each as a sentence with its path."""
    for s, storey in enumerate(job.storeys):
        rings: list[tuple[str, Sequence[object], int]] = [
            (f"building[{k}]", ring, 3) for k, ring in enumerate(storey.building)
        ]
        rings += [(f"rooflights[{k}].outline", light.outline, 2) for k, light in enumerate(storey.rooflights)]
        for r, room in enumerate(storey.rooms):
            rings += [(f"rooms[{r}].{path}", held, least) for path, held, least in _bounding(room)]
        for path, held, least in rings:
            if len(held) < least:
                where = f"storeys[{s}].{path}"
                if path.endswith("planes"):
                    yield tr("{path} holds no planes: give its height.", path=where)
                elif held:
                    yield tr_count(
                        "{path} holds only {count} corner: draw it again.",
                        "{path} holds only {count} corners: draw it again.",
                        len(held),
                        path=where,
                    )
                else:
                    yield tr("{path} holds no corners: draw it again.", path=where)


def _bounding(room: Room) -> Iterator[tuple[str, Sequence[object], int]]:
    """Path, what is held, and how many there must be at least. A curved ring has two corners."""
    yield "outline", room.outline, 2
    for k, ring in enumerate(room.inner):
        yield f"inner[{k}]", ring, 2
    for what, field in (("ceiling", room.ceiling), ("floor", room.floor)):
        if field is not None:
            yield f"{what}.planes", field.planes, 1
            for k, region in enumerate(field.regions):
                yield f"{what}.regions[{k}].planes", region.planes, 1
                yield f"{what}.regions[{k}].outline", region.outline, 2
    held = [("walls", room.walls.exclusions), ("ceiling_treatment", room.ceiling_treatment.exclusions)]
    for r, ring in enumerate(room.rings):
        at = "outline" if r == 0 else f"inner[{r - 1}]"
        held += [
            (f"{at}[{k}].treatment", s.treatment.exclusions) for k, s in enumerate(ring) if s.treatment is not None
        ]
    for path, exclusions in held:
        for k, exclusion in enumerate(exclusions):
            yield f"{path}.exclusions[{k}].outline", exclusion.outline, 2


def _same_ids(job: Job) -> Iterator[str]:
    """Storeys, rooms and openings of the job, and sides of one room, that share an id."""
    storeys = [(f"storeys[{s}]", storey) for s, storey in enumerate(job.storeys)]
    rooms = [(f"{at}.rooms[{r}]", room) for at, storey in storeys for r, room in enumerate(storey.rooms)]
    openings = [
        (f"{at}.openings[{o}]", str(opening.id)) for at, storey in storeys for o, opening in enumerate(storey.openings)
    ]
    openings += [
        (f"{at}.rooflights[{o}]", str(light.id)) for at, storey in storeys for o, light in enumerate(storey.rooflights)
    ]
    yield from _twice((f"drawings[{k}]", ref.id) for k, ref in enumerate(job.drawings))
    yield from _twice((at, storey.id) for at, storey in storeys)
    yield from _twice((at, room.id) for at, room in rooms)
    yield from _twice(openings)
    for at, room in rooms:
        names = ("outline", *(f"inner[{k}]" for k in range(len(room.inner))))
        rings = zip(names, room.rings, strict=True)
        yield from _twice((f"{at}.{name}[{k}]", side.id) for name, ring in rings for k, side in enumerate(ring))


def _twice(named: Iterable[tuple[str, str]]) -> Iterator[str]:
    seen: dict[str, str] = {}
    for path, own in named:
        if own in seen:
            yield tr(
                "{path}.id is “{own}”, as {seen}.id is: give each an id of its own.",
                path=path,
                own=own[:60],
                seen=seen[own],
            )
        seen.setdefault(own, path)
