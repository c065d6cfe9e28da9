"""Which holds stand: what fails its limit, is missing or too old at its stage, or was seen and has to go first.

A hold says why and what to do; it stands on every sheet until a person clears it by name and date. In a quote what
is missing or fails is *to confirm*, but for what nobody may disturb unsurveyed. Nothing here calls a site safe.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from datetime import datetime, timedelta
from functools import cache
from typing import Literal

import msgspec

from takeoff.files.paths import resource
from takeoff.language import mark, tr
from takeoff.plan.model import Job, Room
from takeoff.plan.site_check import ConditionReading, Looked, Quantity, SiteCheck, Stage, Tick
from takeoff.sitecheck.moist_air import dew_point_c, humidity_for
from takeoff.units.printing import shown, shown_short

Preparation = Literal["", "strip", "treat", "skim", "second-base", "specialist"]


class Limit(msgspec.Struct, frozen=True):
    """What a reading must not go under or over, in ``unit``, and where that comes from."""

    id: str
    unit: str
    source: str
    low: float | None = None
    high: float | None = None


class Look(msgspec.Struct, frozen=True):
    """What is looked at, at which stages, which answer holds, what it asks for; ``always``: in a quote too."""

    what: Looked
    stages: tuple[Stage, ...]
    holds_on: Literal["yes", "no"]
    preparation: Preparation
    always: bool


class Usual(msgspec.Struct, frozen=True):
    """The usual limits (``resources/sitecheck/usual.json``); hours for which a reading is good by stage."""

    limits: tuple[Limit, ...]
    moisture: dict[str, float]
    fresh_hours: dict[Stage, float]
    needs: dict[Stage, tuple[Quantity, ...]]
    looks: tuple[Look, ...]


class Hold(msgspec.Struct, frozen=True):
    """One hold. ``id`` is stable while its cause is; ``room`` "" for the whole job.

    ``state``: *hold*, *confirm* (a quote, to be confirmed on site) or *cleared*. ``preparation``: what it adds to the
    work, "" for nothing.
    """

    id: str
    code: str
    room: str
    reason: str
    remedy: str
    state: Literal["hold", "confirm", "cleared"]
    preparation: Preparation = ""
    cleared_by: str = ""
    cleared_on: str = ""


QUANTITY_NAMES: dict[Quantity, str] = {
    "moisture": mark("moisture of the surface"),
    "surface": mark("surface temperature"),
    "air": mark("air temperature"),
    "humidity": mark("air humidity"),
    "gap": mark("gap under the straightedge"),
}

_SEEN: dict[Looked, tuple[str, str]] = {
    "lining": (mark("There is a lining or paper on the surface."), mark("Strip it and look again.")),
    "loose-paint": (mark("Paint is loose."), mark("Scrape and strip it back to what holds.")),
    "old-paint": (
        mark("The paint may be old enough to hold lead."),
        mark("Do not sand or scrape. Have it surveyed by a competent person first."),
    ),
    "textured": (
        mark("There is a textured coating, which may hold asbestos."),
        mark("Do not disturb it. Have it surveyed by a competent person first."),
    ),
    "mould": (mark("There is mould."), mark("Find and remove the cause, then have the mould removed.")),
    "damp": (mark("There is damp."), mark("Have the cause found and put right, and let it dry.")),
    "water-ingress": (mark("Water comes in."), mark("Have the leak put right, and let it dry.")),
    "porous": (mark("A drop of water soaks in at once."), mark("Allow a second base coat.")),
    "base-dry": (mark("The base coat is not dry."), mark("Wait until it is dry right through.")),
    "vents-free": (mark("A vent is covered or blocked."), mark("Uncover it: never coat over a vent, flue or alarm.")),
}
_UNSEEN: dict[Looked, str] = {
    "lining": mark("Nobody has looked for linings or paper."),
    "loose-paint": mark("Nobody has looked for loose paint."),
    "old-paint": mark("Nobody has said whether there is old paint."),
    "textured": mark("Nobody has said whether there is a textured coating."),
    "mould": mark("Nobody has looked for mould."),
    "damp": mark("Nobody has looked for damp."),
    "water-ingress": mark("Nobody has looked whether water comes in."),
    "porous": mark("Nobody has tried a drop of water on the surface."),
    "base-dry": mark("Nobody has said that the base coat is dry."),
    "vents-free": mark("Nobody has said that all vents are free."),
}


@cache
def usual() -> Usual:
    """The usual limits."""
    return msgspec.json.decode(resource("sitecheck/usual.json").read_bytes(), type=Usual)


def holds(job: Job, now: datetime) -> tuple[Hold, ...]:
    """Every hold of the job at its stage, room by room, those that were cleared among them. ``now``: in the site's own
    time; a reading that is older than its stage allows is as none. Empty for a job without rooms."""
    rooms = [room for storey in job.storeys for room in storey.rooms]
    found: list[Hold] = []
    for room in rooms:
        found += _of_room(job.site_check, room, now)
    return tuple(_cleared(hold, job.site_check) for hold in found)


def open_holds(found: Iterable[Hold]) -> tuple[Hold, ...]:
    """Those that nobody cleared."""
    return tuple(hold for hold in found if hold.state != "cleared")


def limit(check: SiteCheck, which: str) -> Limit:
    """The limit of that id: the job's own, else the usual one."""
    found = next(one for one in usual().limits if one.id == which)
    own = check.limits
    low, high = dict(own.low).get(which, found.low), dict(own.high).get(which, found.high)
    return msgspec.structs.replace(found, low=low, high=high)


def _of_room(check: SiteCheck, room: Room, now: datetime) -> Iterator[Hold]:
    made = _Maker(check.stage, str(room.id))
    latest: dict[Quantity, ConditionReading | None] = {}
    for quantity in ("moisture", "surface", "air", "humidity", "gap"):
        latest[quantity] = _latest(check, quantity, str(room.id))
    for quantity in usual().needs[check.stage]:
        reading = latest[quantity]
        if reading is None:
            yield made.lacking(quantity)
        elif not _fresh(reading.at, check.stage, now):
            yield made.stale(quantity, reading)
    yield from _off_limits(check, latest, made, now)
    for look in usual().looks:
        if check.stage in look.stages:
            yield from _looked(check, look, str(room.id), made)


def _off_limits(
    check: SiteCheck, latest: dict[Quantity, ConditionReading | None], made: _Maker, now: datetime
) -> Iterator[Hold]:
    """What a reading of this stage says against; those that are too old have been told of."""
    good = {q: r for q, r in latest.items() if r is not None and _fresh(r.at, check.stage, now)}
    for quantity in ("surface", "air", "humidity", "gap"):
        if quantity in good:
            yield from made.beyond(quantity, good[quantity], limit(check, quantity))
    if "moisture" in good:
        yield from made.moist(good["moisture"], check)
    if {"surface", "air", "humidity"} <= good.keys():
        yield from made.near_dew(good["surface"], good["air"], good["humidity"], limit(check, "margin"))


class _Maker:
    """Makes the holds of one room at one stage."""

    def __init__(self, stage: Stage, room: str) -> None:
        self.stage, self.room = stage, room

    def hold(
        self, code: str, cause: str, reason: str, remedy: str, preparation: Preparation = "", always: bool = False
    ) -> Hold:
        state: Literal["hold", "confirm"] = "hold" if always or self.stage != "quote" else "confirm"
        key = f"{code}:{self.room}:{self.stage}:{cause}"
        return Hold(key, code, self.room, reason, remedy, state, preparation)

    def lacking(self, quantity: Quantity) -> Hold:
        reason = tr("Not measured yet: {what}.", what=tr(QUANTITY_NAMES[quantity]))
        return self.hold(f"lacking-{quantity}", "", reason, tr("Measure it on site and enter it."))

    def stale(self, quantity: Quantity, reading: ConditionReading) -> Hold:
        when = reading.at or tr("an unknown day")
        reason = tr("Too old for this stage: {what} of {when}.", what=tr(QUANTITY_NAMES[quantity]), when=when)
        return self.hold(f"stale-{quantity}", reading.at, reason, tr("Measure it again."))

    def beyond(self, quantity: Quantity, reading: ConditionReading, allowed: Limit) -> Iterator[Hold]:
        name = tr(QUANTITY_NAMES[quantity])
        facts = {"what": name, "value": shown_short(reading.value, 1), "unit": allowed.unit, "place": reading.place}
        if allowed.low is not None and reading.value < allowed.low:
            text = tr(
                "Too low: {what} {value} {unit}, at least {low} {unit}.", low=shown_short(allowed.low, 1), **facts
            )
            yield self.hold(f"low-{quantity}", reading.at, text, _warmer(quantity))
        if allowed.high is not None and reading.value > allowed.high:
            text = tr(
                "Too high: {what} {value} {unit}, at most {high} {unit}.", high=shown_short(allowed.high, 1), **facts
            )
            skim: Preparation = "skim" if quantity == "gap" else ""
            yield self.hold(f"high-{quantity}", reading.at, text, _lower(quantity), skim)

    def moist(self, reading: ConditionReading, check: SiteCheck) -> Iterator[Hold]:
        """Moisture is held against the limit of its own scale alone."""
        most = {**usual().moisture, **dict(check.limits.moisture)}.get(reading.scale)
        value = shown_short(reading.value, 1)
        if most is None:
            scale = reading.scale or tr("no scale named")
            reason = tr("Moisture {value} ({scale}): no limit is known for that scale.", value=value, scale=scale)
            yield self.hold("moisture-unjudged", reading.at, reason, tr("Enter the maker's limit for the scale."))
        elif reading.value > most:
            reason = tr(
                "Too moist: {value} on the scale “{scale}”, at most {most}.",
                value=value,
                scale=reading.scale,
                most=shown_short(most, 1),
            )
            yield self.hold("high-moisture", reading.at, reason, tr("Find the cause, let it dry and measure again."))

    def near_dew(
        self, surface: ConditionReading, air: ConditionReading, humidity: ConditionReading, allowed: Limit
    ) -> Iterator[Hold]:
        """The surface must be clear of the dew point; margins are judged to a tenth, as they are read and printed."""
        least = allowed.low or 0.0
        dew = dew_point_c(air.value, humidity.value)
        margin = round(surface.value - dew, 1)
        if margin >= least:
            return
        would_do = math.floor(humidity_for(air.value, surface.value - least))
        reason = tr(
            "Too near the dew point: surface {surface} °C, dew point {dew} °C, margin {margin} K, at least {least} K.",
            surface=shown(surface.value, 1),
            dew=shown(dew, 1),
            margin=shown(margin, 1),
            least=shown_short(least, 1),
        )
        remedy = tr(
            "{humidity} % air humidity or a surface of {warmer} °C would do.",
            humidity=shown(would_do, 0),
            warmer=shown(dew + least, 1),
        )
        yield self.hold("near-dew", max(surface.at, air.at, humidity.at), reason, remedy)


def _warmer(quantity: Quantity) -> str:
    if quantity == "surface":
        return tr("Heat the room until the surface is warm enough.")
    return tr("Heat the room and measure again.")


def _lower(quantity: Quantity) -> str:
    remedies: dict[Quantity, Callable[[], str]] = {
        "humidity": lambda: tr("Air or dry the room and measure again."),
        "gap": lambda: tr("Skim the wall level first."),
        "air": lambda: tr("Let the room cool and measure again."),
    }
    return remedies.get(quantity, lambda: tr("Measure again."))()


def _latest(check: SiteCheck, quantity: Quantity, room: str) -> ConditionReading | None:
    """The last reading at this stage, of the room; of the whole job for its air. The worst of those at one moment."""
    whole = quantity in ("air", "humidity")
    fitting = [
        reading
        for reading in check.readings
        if reading.quantity == quantity
        and reading.stage == check.stage
        and (reading.room == room or (reading.room is None and whole))
    ]
    if not fitting:
        return None
    last = max(reading.at for reading in fitting)
    worst = min if quantity == "surface" else max
    return worst((reading for reading in fitting if reading.at == last), key=lambda reading: reading.value)


def _fresh(at: str, stage: Stage, now: datetime) -> bool:
    if not at:
        return stage == "quote"
    return now - moment(at) <= timedelta(hours=usual().fresh_hours[stage])


def moment(at: str) -> datetime:
    """The moment that ISO text says, without a zone. Raises ValueError for what is none."""
    return datetime.fromisoformat(at).replace(tzinfo=None)


def _looked(check: SiteCheck, look: Look, room: str, made: _Maker) -> Iterator[Hold]:
    fitting: list[Tick] = [
        tick
        for tick in check.ticks
        if tick.what == look.what and tick.room in (None, room) and tick.stage == check.stage
    ]
    if not fitting:
        reason = tr(_UNSEEN[look.what])
        yield made.hold(f"unseen-{look.what}", "", reason, tr("Look on site and answer it."))
        return
    last = max(fitting, key=lambda tick: (tick.room is not None, tick.at))
    if last.answer == look.holds_on:
        reason, remedy = _SEEN[look.what]
        yield made.hold(f"seen-{look.what}", last.at, tr(reason), tr(remedy), look.preparation, look.always)


def _cleared(hold: Hold, check: SiteCheck) -> Hold:
    for one in check.cleared:
        if one.hold == hold.id:
            return msgspec.structs.replace(hold, state="cleared", cleared_by=one.person, cleared_on=one.on)
    return hold
