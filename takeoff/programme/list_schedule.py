"""A list schedule: activities in an order of priority, each as early as crew, calendar and waiting times allow.

The result states a bound that no programme can beat: the longest chain of work and waiting, and the work of each
crew shared among its people. Where the two meet, the programme is the best there is; else the bound is said. Orders
are tried by a fixed count, so that the same job gives the same days on any computer.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from functools import cache, lru_cache
from itertools import permutations
from typing import NamedTuple

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.programme.work_calendar import WorkCalendar

SMALL = 5
"""So many chains are tried in every order (120 of them); more by rules and by swaps of neighbours."""

MOST_PLACED = 12_000
"""So many activities are placed in all while orders are tried: counted, not timed."""


class Activity(NamedTuple):
    """A piece of work. ``after``: ids of what must be done before it, with the hours to wait from its end.

    ``chain``: what it belongs to (a room): orders are orders of chains. ``crew``: who does it. ``wet_h``: for how
    long its room cannot be used after it; ``dry_by_night``: it is begun so that this is over by night, where any
    beginning would do that. ``earliest``: not before that moment. ``item``: what kind of work it is, in the room
    ``room_id``.
    """

    id: str
    what: str
    hours: float
    after: tuple[tuple[str, float], ...] = ()
    chain: str = ""
    crew: str = "team"
    room: str = ""
    wet_h: float = 0.0
    dry_by_night: bool = False
    earliest: datetime | None = None
    item: str = ""
    room_id: str = ""


class Planned(NamedTuple):
    """When an activity is done. ``parts``: (from, to) of each day that it takes."""

    activity: Activity
    parts: tuple[tuple[datetime, datetime], ...]

    @property
    def start(self) -> datetime:
        """When it begins."""
        return self.parts[0][0]

    @property
    def end(self) -> datetime:
        """When it is done."""
        return self.parts[-1][1]


class Programme(NamedTuple):
    """All activities by start. ``bound``: the earliest end that any order could have; ``chain`` of activities that
    it comes from, empty where the crew's work does. ``visits``: days on which anybody is there."""

    planned: tuple[Planned, ...]
    begins: datetime
    ends: datetime
    bound: datetime
    visits: int

    @property
    def proved(self) -> bool:
        """Whether no other order ends earlier."""
        return self.ends <= self.bound


def schedule(
    activities: Sequence[Activity], crews: Mapping[str, int], calendar: WorkCalendar, begins: datetime
) -> Programme:
    """The programme that ends first, and among those has the fewest visits, of the orders that are tried.

    Nothing to do: it ends where it begins. Raises InputError for a crew without people, for work before which its
    own end must come, and for a calendar without days.
    """
    return _schedule(tuple(activities), tuple(sorted(crews.items())), calendar, begins)


@lru_cache(maxsize=8)
def _schedule(
    activities: tuple[Activity, ...], people: tuple[tuple[str, int], ...], calendar: WorkCalendar, begins: datetime
) -> Programme:
    """As ``schedule``; a window asks for the same programme again and again."""
    crews = dict(people)
    for activity in activities:
        if crews.get(activity.crew, 0) < 1:
            raise InputError(tr("Nobody is in the crew “{crew}”: say how many people work.", crew=activity.crew))
    _ordered(activities)
    first = calendar.opening(begins)
    if not activities:
        return Programme((), begins, begins, begins, 0)
    bound = _bound(activities, crews, calendar, first)
    best: tuple[tuple[datetime, int], list[Planned]] | None = None
    tried: set[tuple[str, ...]] = set()

    def attempt(order: tuple[str, ...]) -> bool:
        nonlocal best
        if order in tried or (best is not None and len(tried) * len(activities) > MOST_PLACED):
            return False
        tried.add(order)
        planned = _placed(activities, order, crews, calendar, first)
        value = (max(one.end for one in planned), visits(planned))
        if best is None or value < best[0]:
            best = (value, planned)
            return True
        return False

    chains = tuple(dict.fromkeys(activity.chain for activity in activities))
    if len(chains) <= SMALL:
        for order in permutations(chains):
            attempt(order)
            if best is not None and best[0][0] <= bound and best[0][1] <= 1:
                break
    else:
        _by_rules(activities, chains, attempt)
    assert best is not None
    planned = tuple(sorted(best[1], key=lambda one: (one.start, one.activity.id)))
    return Programme(planned, planned[0].start, best[0][0], bound, best[0][1])


def visits(planned: Sequence[Planned]) -> int:
    """Days on which work is done."""
    return len({start.date() for one in planned for start, _ in one.parts})


def _by_rules(activities: Sequence[Activity], chains: tuple[str, ...], attempt: object) -> None:
    """As listed, the longest chain first, the least work first and Johnson's order of two machines; then swaps of
    neighbours while one helps."""
    assert callable(attempt)
    work = {chain: sum(a.hours for a in activities if a.chain == chain) for chain in chains}
    tails = _tails(activities)
    length = {chain: max(tails[a.id] for a in activities if a.chain == chain) for chain in chains}
    ends = {chain: [a.hours for a in activities if a.chain == chain] for chain in chains}
    early = [chain for chain in chains if ends[chain][0] <= ends[chain][-1]]
    late = [chain for chain in chains if chain not in set(early)]
    orders = [
        chains,
        tuple(sorted(chains, key=lambda chain: -length[chain])),
        tuple(sorted(chains, key=lambda chain: work[chain])),
        (*sorted(early, key=lambda c: ends[c][0]), *sorted(late, key=lambda c: -ends[c][-1])),
    ]
    current = chains
    for order in orders:
        if attempt(order):
            current = order
    better = True
    while better:
        better = False
        for index in range(len(current) - 1):
            swapped = (*current[:index], current[index + 1], current[index], *current[index + 2 :])
            if attempt(swapped):
                current, better = swapped, True


def _placed(
    activities: Sequence[Activity],
    order: tuple[str, ...],
    crews: Mapping[str, int],
    calendar: WorkCalendar,
    first: datetime,
) -> list[Planned]:
    """Always the activity that can begin first, by the order of chains where several can."""
    rank = {chain: index for index, chain in enumerate(order)}
    free: dict[str, list[datetime]] = {crew: [first] * people for crew, people in crews.items()}
    done: dict[str, Planned] = {}
    lacking = {activity.id: len(activity.after) for activity in activities}
    following: dict[str, list[Activity]] = {activity.id: [] for activity in activities}
    for activity in activities:
        for name, _ in activity.after:
            following[name].append(activity)
    ready = {activity.id: (activity, _not_before(activity, first)) for activity in activities if not activity.after}
    while ready:
        fits = []
        for activity, earliest in ready.values():
            soonest = min(free[activity.crew])
            parts = _begun(max(earliest, soonest), activity, calendar)
            fits.append((parts[0][0], rank[activity.chain], activity.id, parts))
        _, _, name, parts = min(fits, key=lambda fit: fit[:3])
        activity, _ = ready.pop(name)
        done[name] = Planned(activity, parts)
        people = free[activity.crew]
        people[people.index(min(people))] = parts[-1][1]
        for later in following[name]:
            lacking[later.id] -= 1
            if not lacking[later.id]:
                earliest = max(
                    [_not_before(later, first), *(done[n].end + timedelta(hours=wait) for n, wait in later.after)]
                )
                ready[later.id] = (later, earliest)
    return list(done.values())


def _not_before(activity: Activity, first: datetime) -> datetime:
    """The moment before which it cannot begin, whatever goes before it."""
    return first if activity.earliest is None else max(first, activity.earliest)


def _begun(earliest: datetime, activity: Activity, calendar: WorkCalendar) -> tuple[tuple[datetime, datetime], ...]:
    """When it is done. Where its room is given back by night and it would stand wet, on the next morning if it is
    dry by night then: as late as that on any day, so an earlier moment never ends later."""
    parts = _worked(earliest, activity.hours, calendar)
    if not activity.dry_by_night or _dry_by_night(parts, activity, calendar):
        return parts
    morning = calendar.opening(calendar.closing(parts[0][0]))
    later = _worked(morning, activity.hours, calendar)
    return later if _dry_by_night(later, activity, calendar) else parts


def _dry_by_night(parts: tuple[tuple[datetime, datetime], ...], activity: Activity, calendar: WorkCalendar) -> bool:
    end = parts[-1][1]
    night = datetime.combine(end.date(), calendar.night)
    return len(parts) == 1 and end + timedelta(hours=activity.wet_h) <= night


def _worked(earliest: datetime, hours: float, calendar: WorkCalendar) -> tuple[tuple[datetime, datetime], ...]:
    """From when to when: on one day if it fits into one, else from the start of a day over as many as it takes."""
    start = calendar.opening(earliest)
    length = timedelta(hours=hours)
    if start + length <= calendar.closing(start):
        return ((start, start + length),)
    if start > datetime.combine(start.date(), calendar.begins):
        start = calendar.opening(calendar.closing(start))
        if start + length <= calendar.closing(start):
            return ((start, start + length),)
    parts = []
    while length > timedelta(0):
        end = min(start + length, calendar.closing(start))
        parts.append((start, end))
        length -= end - start
        start = calendar.opening(end) if length > timedelta(0) else end
    return tuple(parts)


def _ordered(activities: Sequence[Activity]) -> None:
    """Raises InputError where an activity waits for one that is not there, or, by way of others, for itself."""
    known = {activity.id: activity for activity in activities}
    state: dict[str, int] = {}

    def visit(name: str) -> None:
        if state.get(name) == 1:
            raise InputError(tr("“{what}” waits for itself: take one of its conditions out.", what=known[name].what))
        if state.get(name) == 2:
            return
        state[name] = 1
        for before, _ in known[name].after:
            if before not in known:
                raise InputError(
                    tr("“{what}” waits for work that is not planned: take that condition out.", what=known[name].what)
                )
            visit(before)
        state[name] = 2

    for activity in activities:
        visit(activity.id)


def _tails(activities: Sequence[Activity]) -> dict[str, float]:
    """Hours of work and waiting from the start of each activity to the end of the longest chain that it begins."""
    following: dict[str, list[tuple[str, float]]] = {activity.id: [] for activity in activities}
    hours = {activity.id: activity.hours for activity in activities}
    for activity in activities:
        for before, wait in activity.after:
            following[before].append((activity.id, wait))

    @cache
    def tail(name: str) -> float:
        return hours[name] + max((wait + tail(later) for later, wait in following[name]), default=0.0)

    return {activity.id: tail(activity.id) for activity in activities}


def _bound(
    activities: Sequence[Activity], crews: Mapping[str, int], calendar: WorkCalendar, first: datetime
) -> datetime:
    """The later of two ends that no order can beat: each chain with people enough, and each crew's work without
    waiting, spread over its people."""
    done: dict[str, datetime] = {}
    waiting = list(activities)
    while waiting:
        for activity in list(waiting):
            if all(name in done for name, _ in activity.after):
                earliest = max(
                    [
                        _not_before(activity, first),
                        *(done[name] + timedelta(hours=wait) for name, wait in activity.after),
                    ]
                )
                done[activity.id] = _begun(earliest, activity, calendar)[-1][1]
                waiting.remove(activity)
    ends = list(done.values())
    for crew, people in crews.items():
        work = [activity for activity in activities if activity.crew == crew]
        if work:
            # before the crew's first work and after its last there is other work that it must wait for
            tails = _tails(activities)
            after = min(tails[activity.id] - activity.hours for activity in work)
            before = min(_head(activity, activities) for activity in work)
            ends.append(_spread(sum(activity.hours for activity in work) / people, before, after, calendar, first))
    return max(ends)


def _head(activity: Activity, activities: Sequence[Activity]) -> float:
    """Hours of work and waiting before it can begin, at least."""
    known = {one.id: one for one in activities}
    return max(
        (known[name].hours + wait + _head(known[name], activities) for name, wait in activity.after), default=0.0
    )


def _spread(hours: float, before: float, after: float, calendar: WorkCalendar, first: datetime) -> datetime:
    """When so many hours of work can be done at the earliest, with ``before`` and ``after`` hours by the clock."""
    moment = calendar.opening(first + timedelta(hours=before))
    left = timedelta(hours=hours)
    while True:
        today = calendar.closing(moment) - moment
        if left <= today:
            return moment + left + timedelta(hours=after)
        left -= today
        moment = calendar.opening(calendar.closing(moment))
