"""Which holds stand: what fails its limit, is missing or too old at its stage, or was seen and has to go first.

A hold says why and what to do; it stands on every sheet until a person clears it by name and date. In a quote what
is missing or fails is *to confirm*, but for what nobody may disturb unsurveyed. Nothing here calls a site safe.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta
from typing import Literal

import msgspec

from takeoff.language import mark, tr
from takeoff.plan.model import Job, Room
from takeoff.plan.site_check import POSSIBLE, QUANTITIES, ConditionReading, Face, Quantity, SiteCheck, Stage, Tick
from takeoff.sitecheck.moist_air import dew_point_c, humidity_for
from takeoff.sitecheck.usual_limits import Limit, Look, Preparation, usual
from takeoff.units.printing import shown, shown_short


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
    for quantity in QUANTITIES:
        latest[quantity] = latest_reading(check, quantity, str(room.id), check.stage)
    for quantity in usual().needs[check.stage]:
        reading = latest[quantity]
        if reading is None:
            yield made.lacking(quantity)
        elif _ahead(reading.at, now):
            yield made.ahead(quantity, reading)
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
    read = {q: r for q, r in latest.items() if r is not None}
    yield from (made.impossible(q, r) for q, r in read.items() if not _possible(r))
    good = {q: r for q, r in read.items() if _possible(r) and _fresh(r.at, check.stage, now)}
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

    def ahead(self, quantity: Quantity, reading: ConditionReading) -> Hold:
        reason = tr("Dated ahead of today: {what} of {when}.", what=tr(QUANTITY_NAMES[quantity]), when=reading.at)
        return self.hold(f"ahead-{quantity}", reading.at, reason, tr("Correct the date, or measure it again."))

    def impossible(self, quantity: Quantity, reading: ConditionReading) -> Hold:
        value = shown_short(reading.value, 1) if math.isfinite(reading.value) else "?"
        reason = tr(
            "It cannot be: {what} {value} {unit}.",
            what=tr(QUANTITY_NAMES[quantity]),
            value=value,
            unit=POSSIBLE[quantity][2],
        )
        return self.hold(f"absurd-{quantity}", reading.at, reason, tr("Measure it again."))

    def beyond(self, quantity: Quantity, reading: ConditionReading, allowed: Limit) -> Iterator[Hold]:
        name = tr(QUANTITY_NAMES[quantity])
        facts = {"what": name, "value": shown_short(reading.value, 1), "unit": allowed.unit}
        if allowed.low is not None and reading.value < allowed.low:
            text = tr(
                "Too low: {what} {value} {unit}, at least {low} {unit}.", low=shown_short(allowed.low, 1), **facts
            )
            yield self.hold(f"low-{quantity}", reading.at, _at(text, reading.place), tr(allowed.low_remedy))
        if allowed.high is not None and reading.value > allowed.high:
            text = tr(
                "Too high: {what} {value} {unit}, at most {high} {unit}.", high=shown_short(allowed.high, 1), **facts
            )
            remedy = tr(allowed.high_remedy)
            yield self.hold(f"high-{quantity}", reading.at, _at(text, reading.place), remedy, allowed.preparation)

    def moist(self, reading: ConditionReading, check: SiteCheck) -> Iterator[Hold]:
        """Moisture is held against the limit of its own scale alone."""
        most = {**usual().moisture, **dict(check.limits.moisture)}.get(reading.scale)
        value = shown_short(reading.value, 1)
        if most is None:
            scale = reading.scale or tr("no scale named")
            reason = tr("Moisture {value} ({scale}): no limit is known for that scale.", value=value, scale=scale)
            yield self.hold(
                "moisture-unjudged", reading.at, reason, tr("Enter the manufacturer's limit for the scale.")
            )
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


def _at(reason: str, place: str) -> str:
    """A reason with where in the room that is, where somebody said."""
    return tr("{reason} Place: {place}.", reason=reason, place=place.rstrip(".")) if place else reason


def latest_reading(check: SiteCheck, quantity: Quantity, room: str, stage: Stage) -> ConditionReading | None:
    """The reading of a stage that counts in a room: the last, of several at one moment the worst (the coldest surface);
    one of the whole job does for every room. None where nothing was read."""
    fitting = [r for r in check.readings if r.quantity == quantity and r.stage == stage and r.room in (None, room)]
    if not fitting:
        return None
    last = max(reading.at for reading in fitting)
    worst = min if quantity == "surface" else max
    return worst((reading for reading in fitting if reading.at == last), key=lambda reading: reading.value)


def _fresh(at: str, stage: Stage, now: datetime) -> bool:
    if not at:
        return stage == "quote"
    when = _moment_of(at)
    return when is not None and not _ahead(at, now) and now - when <= timedelta(hours=usual().fresh_hours[stage])


def _ahead(at: str, now: datetime) -> bool:
    """Whether a reading is of a later day: sheets are judged at noon, and one of that afternoon is good."""
    when = _moment_of(at)
    return when is not None and when.date() > now.date()


def _possible(reading: ConditionReading) -> bool:
    low, high, _ = POSSIBLE[reading.quantity]
    return low <= reading.value <= high


def moment(at: str) -> datetime:
    """The moment that ISO text says, without a zone. Raises ValueError for what is none."""
    return datetime.fromisoformat(at).replace(tzinfo=None)


def _moment_of(at: str) -> datetime | None:
    """The same; None for what is none."""
    try:
        return moment(at)
    except ValueError:
        return None


def answers(check: SiteCheck, look: Look, room: str, stage: Stage) -> dict[Face, Tick]:
    """The last answer of a stage for each face of a room (walls, ceiling) that somebody gave one for. What was said of
    the room itself goes before what was said of every room, what was said of a face before what was said of all."""
    found: dict[Face, Tick] = {}
    fitting = [t for t in check.ticks if t.what == look.what and t.stage == stage and t.room in (None, room)]
    fitting.sort(key=lambda tick: (tick.room is not None, tick.face != "", tick.at))
    for tick in fitting:
        faces: tuple[Face, ...] = (tick.face,) if tick.face else ("walls", "ceiling")
        found |= dict.fromkeys(faces, tick)
    return found


def _looked(check: SiteCheck, look: Look, room: str, made: _Maker) -> Iterator[Hold]:
    given = answers(check, look, room, check.stage)
    held = {face: tick for face, tick in given.items() if tick.answer == look.holds_on}
    if held:
        where = list(dict.fromkeys(text for tick in held.values() for text in (tick.place, tick.note) if text))
        reason = tr(look.reason)
        if len(held) == 1:
            reason = tr(_ON_FACE[next(iter(held))], reason=reason)
        last = max(tick.at for tick in held.values())
        remedy = tr(look.remedy)
        yield made.hold(f"seen-{look.what}", last, _at(reason, "; ".join(where)), remedy, look.preparation, look.always)
    elif len(given) < len(_ON_FACE):
        yield made.hold(f"unseen-{look.what}", "", tr(look.unseen), tr("Look on site and answer it."))


_ON_FACE: dict[Face, str] = {"walls": mark("On the walls: {reason}"), "ceiling": mark("On the ceiling: {reason}")}


def _cleared(hold: Hold, check: SiteCheck) -> Hold:
    for one in check.cleared:
        if one.hold == hold.id:
            return msgspec.structs.replace(hold, state="cleared", cleared_by=one.person, cleared_on=one.on)
    return hold
