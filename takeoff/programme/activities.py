"""What is to be done in each room, with its hours: from the measured quantities and the coating system's drying times.

Hours per unit are data (``resources/labour/usual.json``: common practice, no source) until the contractor sets his own.
Each room is one chain: protect, strip, prepare, skim, base coat, a second one, a coat for each layer, scrape, sand,
fill internal corners, finish edges, clean; drying stands between them by the clock.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from functools import cache

import msgspec

from takeoff.errors import InputError
from takeoff.files.paths import resource
from takeoff.language import mark, tr
from takeoff.measure.takeoff import RoomTakeoff, Takeoff
from takeoff.plan.model import Job
from takeoff.plan.price_terms import WorkItem
from takeoff.plan.programme_terms import TEAM, ProgrammeTerms
from takeoff.plan.storeys_above import stair_of
from takeoff.programme.list_schedule import Activity
from takeoff.sitecheck.preparation import preparations
from takeoff.supply.needs import substrate_of
from takeoff.supply.systems import CoatingSystem
from takeoff.units.printing import printed


class UnitHours(msgspec.Struct, frozen=True):
    """Hours for one unit: a room, a m² or a m."""

    unit: str
    hours: float


class UsualWork(msgspec.Struct, frozen=True):
    """How long work takes one person, and what makes it slower (factors on the hours)."""

    source: str
    hours: dict[WorkItem, UnitHours]
    difficulty: dict[str, float]
    high_from_m: float
    small_below_m2: float
    rate_m2_h: float
    working_min: float
    before_sand_h: float
    night_from: str
    night_to: str


WORK_NAMES: dict[WorkItem, str] = {
    "protect": mark("Protect the room"),
    "strip": mark("Strip linings and loose paint"),
    "prepare": mark("Prepare the surfaces"),
    "skim": mark("Skim level"),
    "base": mark("Base coat"),
    "second-base": mark("Second base coat"),
    "coat": mark("Coat"),
    "scrape": mark("Scrape level"),
    "sand": mark("Sand"),
    "fill": mark("Fill internal corners"),
    "finish": mark("Finish edges and seal"),
    "clean": mark("Clean and hand back"),
}


class RoomWork(msgspec.Struct, frozen=True):
    """The hours of one room by activity, none with 0; of one of its copies."""

    storey: str
    room: str
    hours: tuple[tuple[WorkItem, float], ...]


@cache
def usual_work() -> UsualWork:
    """Hours as they usually are."""
    return msgspec.json.decode(resource("labour/usual.json").read_bytes(), type=UsualWork)


def room_work(job: Job, takeoff: Takeoff, system: CoatingSystem) -> tuple[RoomWork, ...]:
    """Hours room by room, in the takeoff's order; rooms with nothing to coat are left out. Rooms that stand several
    times are given once."""
    own = {one.item: one.hours for one in job.price.hours}
    slower = usual_work().difficulty | {one.what: one.factor for one in job.price.difficulty}
    stairs = {str(room.id) for storey in job.storeys for room in storey.rooms if stair_of(room) is not None}
    more: dict[tuple[str, str], dict[str, float]] = {}
    for one in preparations(job, takeoff):
        more.setdefault((one.storey, one.room), {})[one.kind] = float(one.area_m2)
    found = []
    for room in takeoff.rooms:
        if room.coated_m2 > 0:
            also = more.get((room.storey, room.room), {})
            hours = _hours(room, system, own, slower, str(room.room) in stairs, also)
            found.append(RoomWork(str(room.storey), str(room.room), tuple((k, h) for k, h in hours.items() if h > 0)))
    return tuple(found)


def hours_by_work(work: Sequence[RoomWork], copies: Mapping[str, int]) -> tuple[tuple[str, Decimal], ...]:
    """Printed hours of each activity over the whole job, by its marked name; ``copies``: how often a room stands."""
    sums: dict[WorkItem, float] = {}
    for room in work:
        for item, hours in room.hours:
            sums[item] = sums.get(item, 0.0) + hours * copies.get(room.room, 1)
    return tuple((WORK_NAMES[item], printed(sums[item])) for item in WORK_NAMES if item in sums)


def crew_of(terms: ProgrammeTerms) -> dict[WorkItem, str]:
    """Who does what, of the work that another crew than the team does. Raises InputError for work that two do."""
    found: dict[WorkItem, str] = {}
    for crew in terms.crews:
        for item in crew.works:
            if item in found:
                raise InputError(
                    tr(
                        "“{work}” is done by {first} and by {second}: take it out of one.",
                        work=tr(WORK_NAMES[item]),
                        first=found[item],
                        second=crew.name,
                    )
                )
            found[item] = crew.name
    return found


def people_of(terms: ProgrammeTerms) -> dict[str, int]:
    """How many people each crew has. Raises InputError for a crew of none, and for two of one name."""
    people = {TEAM: terms.people}
    for crew in terms.crews:
        if crew.name in people:
            raise InputError(tr("Two crews are called “{crew}”: give each a name of its own.", crew=crew.name))
        people[crew.name] = crew.people
    if terms.people < 1 and not terms.crews:
        raise InputError(tr("Nobody is in the crew: say how many people work."))
    return people


def activities(
    work: Sequence[RoomWork], system: CoatingSystem, names: Mapping[str, str], terms: ProgrammeTerms | None = None
) -> tuple[Activity, ...]:
    """The activities of all rooms, each room a chain; ``names``: what rooms are called."""
    terms = terms or ProgrammeTerms()
    crews, lived_in = crew_of(terms), set(terms.lived_in)
    listed: list[Activity] = []
    for room in work:
        before: tuple[tuple[str, float], ...] = ()
        chain = f"{room.storey}/{room.room}"
        for item, hours in room.hours:
            layers = system.coat.layers if item == "coat" else 1
            for layer in range(1, layers + 1):
                what = _called(item, layer, layers)
                name = names.get(room.room, "")
                wait = _wait_h(item, system, last=layer == layers)
                one = Activity(
                    f"{chain}/{item}{layer}",
                    what,
                    hours / layers,
                    before,
                    chain,
                    crews.get(item, TEAM),
                    name,
                    wet_h=wait,
                    dry_by_night=room.room in lived_in and wait > 0,
                    item=item,
                    room_id=room.room,
                )
                listed.append(one)
                before = ((one.id, wait),)
    return tuple(listed)


def _called(item: WorkItem, layer: int, layers: int) -> str:
    name = tr(WORK_NAMES[item])
    if layers == 1:
        return name
    return tr("{work}, layer {layer} of {layers}", work=name, layer=layer, layers=layers)


def _wait_h(item: WorkItem, system: CoatingSystem, last: bool) -> float:
    """Hours to dry before what comes next."""
    if item in ("skim", "base", "second-base"):
        return system.drying.after_base_h
    if item == "coat":
        return usual_work().before_sand_h if last else system.drying.between_layers_h
    return 0.0


def _hours(
    room: RoomTakeoff,
    system: CoatingSystem,
    own: Mapping[WorkItem, float],
    slower: Mapping[str, float],
    stair: bool,
    more_m2: Mapping[str, float],
) -> dict[WorkItem, float]:
    """Hours by activity in the order in which they are done; ``more_m2``: what the site check asks for."""
    usual = usual_work()
    each = {item: own.get(item, unit.hours) for item, unit in usual.hours.items()}
    ease = _room_factor(room, slower, stair)
    weighed = weighed_m2(room, slower) * ease
    base = sum(surface.net_m2 * substrate_of(system, surface.substrate).base_coats for surface in room.surfaces)
    corners = sum(room.internal_corner_m.values()) * ease
    edges = (room.coat_edge_m + room.frame_joint_m) * ease
    return {
        "protect": each["protect"] * ease,
        "strip": each["strip"] * more_m2.get("strip", 0.0) * ease,
        "prepare": each["prepare"] * weighed,
        "skim": each["skim"] * more_m2.get("skim", 0.0) * ease,
        "base": each["base"] * base * ease,
        "second-base": each["second-base"] * more_m2.get("second-base", 0.0) * ease,
        "coat": each["coat"] * weighed,
        "scrape": each["scrape"] * weighed,
        "sand": each["sand"] * weighed,
        "fill": each["fill"] * corners,
        "finish": each["finish"] * edges,
        "clean": each["clean"],
    }


def weighed_m2(room: RoomTakeoff, factor: Mapping[str, float]) -> float:
    """Coated area with ceilings and reveals weighed as they are slower."""
    overhead = room.ceiling_m2 * factor["ceiling"]
    return room.wall_net_m2 + overhead + room.drop_m2 * factor["narrow"] + room.reveal_m2 * factor["narrow"]


def _room_factor(room: RoomTakeoff, slower: Mapping[str, float], stair: bool) -> float:
    usual = usual_work()
    factor = 1.0
    if room.height_max_mm > usual.high_from_m * 1000.0:
        factor *= slower["high"]
    if stair:
        factor *= slower["stair"]
    if room.floor_m2 < usual.small_below_m2:
        factor *= slower["small"]
    return factor
