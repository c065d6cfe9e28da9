"""Measuring a whole job, remembering between edits what has not changed."""

from __future__ import annotations

from collections import ChainMap
from collections.abc import Sequence
from typing import NamedTuple

import msgspec
import numpy as np

from takeoff.geometry.runs import components
from takeoff.measure.around import WALL_DISTANCE_MM, Around, SideIndex, SideKey, around, is_set_down
from takeoff.measure.engine import group_figures, hosts_of
from takeoff.measure.takeoff import FAMILIES, OpeningEffect, RoomTakeoff, Takeoff
from takeoff.plan.model import Job, Opening, Rooflight, Room, RoomId, SideId, Storey, WallType

NUMERIC = (
    "floor_m2",
    "perimeter_m",
    "ceiling_m2",
    "wall_gross_m2",
    "openings_m2",
    "excluded_m2",
    "not_coated_m2",
    "wall_net_m2",
    "drop_m2",
    "reveal_m2",
    "coated_m2",
    "external_corner_m",
    "coat_edge_m",
    "floor_edge_m",
    "frame_joint_m",
    "bead_m",
)


def numbers(r: RoomTakeoff) -> dict[str, float]:
    """Every numeric figure of a room by its key; nested ones as "internal_corner_m.drop"."""
    out: dict[str, float] = {key: getattr(r, key) for key in NUMERIC}
    for family in FAMILIES:
        out |= {f"{family}.{kind}": value for kind, value in getattr(r, family).items()}
    return out


KEYS = (*NUMERIC, *(f"{name}.{kind}" for name, family in FAMILIES.items() for kind in family.kinds))


def measure(job: Job, memory: Memory | None = None) -> Takeoff:
    """Measure a job. A job without rooms gives empty figures and totals of 0.

    With a memory, rooms that have not changed since it was last used (and around which nothing
    has) are not measured again; the result is the same.
    """
    return (memory or Memory()).measure(job)


FEW_SIDES = 8
"""Up to this many sides are looked through one by one; more are gathered in one pass."""


class Memory:
    """Measured rooms of the job last seen, storey by storey. Not to be shared between threads."""

    def __init__(self) -> None:
        self._storeys: dict[str, _StoreyMemory] = {}
        self._ground: tuple[object, ...] = ()

    def measure(self, job: Job) -> Takeoff:
        """As the function measure(), remembering what it found."""
        ground: tuple[object, ...] = (
            job.wall_types,
            job.bead_default,
            job.coat_edge_default,
            msgspec.structs.replace(job.customs, bead_said=False),
        )
        ground += (job.wall_substrate, job.ceiling_substrate)
        if ground != self._ground:
            self._storeys, self._ground = {}, ground
        kept = {}
        rooms: list[RoomTakeoff] = []
        unsure: list[OpeningEffect] = []
        sums = np.zeros(len(KEYS))
        for storey in job.storeys:
            known = self._storeys.get(storey.id)
            if known is None or not known.still_holds(storey):
                known = _StoreyMemory(storey, job.wall_types)
            known.update(job, storey)
            kept[str(storey.id)] = known
            rooms += [known.taken[r.id] for r in storey.rooms]
            unsure += known.unsure
            sums += known.sums()
        self._storeys = kept
        findings = tuple(f for r in rooms if r.findings for f in r.findings)
        return Takeoff(tuple(rooms), dict(zip(KEYS, sums.tolist(), strict=True)), tuple(unsure), findings)


class _Effect(NamedTuple):
    """What an opening that is not sure would change, and the rooms that this was worked out from."""

    sees: frozenset[str]
    told: OpeningEffect


class _StoreyMemory:
    def __init__(self, storey: Storey, wall_types: Sequence[WallType]) -> None:
        self.storey = msgspec.structs.replace(storey, rooms=(), openings=())
        self.index = SideIndex(wall_types)
        self.taken: dict[str, RoomTakeoff] = {}
        self.effects: dict[str, _Effect] = {}
        self.unsure: list[OpeningEffect] = []
        self.rows: dict[str, int] = {}
        self.rooms: dict[str, Room] = {}
        self.order: dict[str, int] = {}
        self.figures = np.zeros((0, len(KEYS)))
        self.groups: dict[str, list[str]] = {}
        self.views: dict[str, Around] = {}
        self.hosts: dict[tuple[str, str], list[Opening]] = {}

    def still_holds(self, storey: Storey) -> bool:
        """Whether nothing that every room depends on has changed."""
        old = self.storey
        return (
            old.height_mm == storey.height_mm
            and old.times == storey.times
            and (old.building, old.building_source) == (storey.building, storey.building_source)
            and old.drawing == storey.drawing
            and old.rooflights == storey.rooflights
        )

    def update(self, job: Job, storey: Storey) -> None:
        """Measure again what has changed, and what lies around it."""
        old = self.rooms
        if storey.rooms is self.storey.rooms:
            changed, gone = [], set[str]()
        else:
            self.rooms = {str(r.id): r for r in storey.rooms}
            self.order = {name: k for k, name in enumerate(self.rooms)}
            changed = [r for r in storey.rooms if old.get(r.id) is not r]
            gone = old.keys() - self.rooms.keys()
        gone_openings, new_openings = _differing(self.storey.openings, storey.openings)
        hosts = {str(o.room) for o in (*gone_openings, *new_openings)}
        # Only a moved outline, another treatment or floor (of the strips of an open way) or a changed opening
        # can be seen from the rooms beside.
        moved = hosts | {str(i) for i in gone} | {str(r.id) for r in changed if not _looks_the_same(old.get(r.id), r)}
        beside = self._beside(moved)
        for r in changed:
            if str(r.id) in moved:
                self.index.put(r)
        for i in gone:
            self.index.drop(i)
            self.taken.pop(i, None)
            self.views.pop(i, None)
        if changed or gone:
            beside |= self._beside(moved)
        self._host(storey.openings, {(o.room, o.side) for o in (*gone_openings, *new_openings)})
        dirty = moved | {str(r.id) for r in changed}
        if [n for n in old if n in self.rooms] != [n for n in self.rooms if n in old]:
            # What two rooms of a group share goes to the one that stands first.
            dirty |= self.groups.keys()
        self.storey = storey
        self._measure(job, storey, dirty, beside)

    def _host(self, openings: Sequence[Opening], sides: set[tuple[RoomId, SideId]]) -> None:
        """Bring the openings of some sides up to date."""
        if len(sides) > FEW_SIDES:
            self.hosts = hosts_of(openings)
            return
        for room, side in sides:
            self.hosts[(room, side)] = [
                o for o in openings if o.room == room and o.side == side and o.confidence == "sure"
            ]

    def _beside(self, names: set[str]) -> set[str]:
        """The rooms with a side near to one of these rooms' sides, other than them or among them."""
        if self.index.rooms.keys() <= names:
            return set()  # there is no other
        return {
            x.key[0]
            for name in names
            for w in self.index.rooms.get(name, ())
            for x in self.index.near(w.curve, WALL_DISTANCE_MM)
        }

    def _measure(self, job: Job, storey: Storey, dirty: set[str], beside: set[str]) -> None:
        """Measure the rooms that are dirty, and those beside them for which it makes a change."""
        if not dirty:
            return
        lights = lights_of(storey)
        rooms = self.rooms
        joined = groups_of(storey, self.index, dirty | beside, self.groups)
        dirty = {n for n in dirty if n in rooms} | {n for g in joined for n in g}
        views = self.views
        for n in (dirty | beside) & rooms.keys():
            view = around(rooms[n], storey, self.index, self.hosts)
            if views.get(n) != view:
                views[n] = view
                dirty.add(n)
        done: set[str] = set()
        for name in sorted(dirty, key=self._place):
            group = self.groups.get(name, [name])
            if name in done:
                continue
            done.update(group)
            for taken in group_figures(job, storey, self.index, [rooms[n] for n in group], views, lights):
                self._keep(taken)
        self._unsure(job, storey, lights, done)

    def _place(self, name: str) -> int:
        """Rooms in the order in which they were first measured, new ones last, by name."""
        return self.rows.get(name, len(self.rows))

    def _keep(self, taken: RoomTakeoff) -> None:
        self.taken[taken.room] = taken
        row = self.rows.setdefault(taken.room, len(self.rows))
        if row >= len(self.figures):
            more = np.zeros((max(16, len(self.figures)), len(KEYS)))
            self.figures = np.concatenate([self.figures, more])
        found = numbers(taken)
        self.figures[row] = [found[k] * taken.times for k in KEYS]

    def sums(self) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
        """Σ room × times of every figure, in the order of KEYS."""
        # In the order of the storey, so that the last digit is the same in every run.
        order = [self.rows[r.id] for r in self.storey.rooms]
        total: np.ndarray[tuple[int], np.dtype[np.float64]] = self.figures[order].sum(axis=0)
        return total

    def _that_see(self, o: Opening) -> frozenset[str]:
        """The host of an opening and the rooms from which its side is seen through the wall."""
        side = (o.room, o.side)
        wall = next((w for w in self.index.rooms.get(o.room, ()) if w.key == side), None)
        near = {x.key[0] for x in self.index.near(wall.curve, WALL_DISTANCE_MM)} if wall is not None else set()
        through = {
            n for n in near if any(f.other.key == side for sight in self.index.seen.get(n, ()) for f in sight.views)
        }
        return frozenset((through | {str(o.room)}) & self.rooms.keys())

    def _unsure(self, job: Job, storey: Storey, lights: dict[str, list[Rooflight]], done: set[str]) -> None:
        kept = {}
        # Nearness goes both ways: what was measured again can touch no other opening than these.
        near = done | self._beside(done)
        for o in storey.openings:
            if o.confidence == "sure":
                continue
            known = self.effects.get(o.id)
            if known is None or o.room in near:
                sees = self._that_see(o)
                if known is None or known.sees != sees or not done.isdisjoint(sees):
                    known = _Effect(sees, self._effect(job, storey, o, sees, lights))
            kept[str(o.id)] = known
        self.effects = kept
        self.unsure = [known.told for known in kept.values()]

    def _effect(
        self, job: Job, storey: Storey, o: Opening, sees: frozenset[str], lights: dict[str, list[Rooflight]]
    ) -> OpeningEffect:
        """What an opening that is not sure would change, if it were taken in."""
        side = (o.room, o.side)
        taken_in = [*self.hosts.get(side, ()), msgspec.structs.replace(o, confidence="sure")]
        hosts = ChainMap[SideKey, list[Opening]]({side: taken_in}, self.hosts)
        change: dict[str, float] = {}
        names = {n for room in sees for n in self.groups.get(room, [room])}
        for group in dict.fromkeys(tuple(self.groups.get(n, [n])) for n in sorted(names, key=self.order.__getitem__)):
            views = {n: around(self.rooms[n], storey, self.index, hosts) for n in group}
            for new in group_figures(job, storey, self.index, [self.rooms[n] for n in group], views, lights):
                was = numbers(self.taken[new.room])
                for key, value in numbers(new).items():
                    change[key] = change.get(key, 0.0) + (value - was[key]) * new.times
        return OpeningEffect(o.id, o.room, o.confidence, o.evidence, {k: v for k, v in change.items() if abs(v) > 1e-9})


def _looks_the_same(a: Room | None, b: Room) -> bool:
    if a is None or a.outline is not b.outline or a.inner is not b.inner or a.walls != b.walls:
        return False
    # the strips of an open way stand on its host's floor
    floors = a.floor == b.floor and a.floor_build_up_mm == b.floor_build_up_mm
    return floors and is_set_down(a) == is_set_down(b)


def _differing(old: Sequence[Opening], new: Sequence[Opening]) -> tuple[list[Opening], list[Opening]]:
    """The openings that only one of two lists holds, told apart by identity."""
    if old is new:
        return [], []
    if len(old) == len(new):
        # An opening set anew stands where it stood: the common edit, found in one pass.
        pairs = [(a, b) for a, b in zip(old, new, strict=True) if a is not b]
        return [a for a, _ in pairs], [b for _, b in pairs]
    before, after = {id(o) for o in old}, {id(o) for o in new}
    return ([o for o in old if id(o) not in after], [o for o in new if id(o) not in before])


def lights_of(storey: Storey) -> dict[str, list[Rooflight]]:
    lights: dict[str, list[Rooflight]] = {}
    for light in storey.rooflights:
        if light.confidence == "sure":
            lights.setdefault(light.room, []).append(light)
    return lights


def groups_of(storey: Storey, index: SideIndex, dirty: set[str], known: dict[str, list[str]]) -> list[list[str]]:
    """Bring the groups of rooms that run into each other up to date; ``known`` maps each room of
    a group to all of it (rooms by themselves are not in it). Gives the groups that touch what is
    dirty, before and after."""
    opened = any(w.side.kind == "open" for name in dirty for w in index.rooms.get(name, ()))
    touched = [known[n] for n in dirty if n in known]
    if not opened and not touched:
        return []
    names = list(dict.fromkeys(str(r.id) for r in storey.rooms))
    number = {name: k for k, name in enumerate(names)}
    pairs = [
        (number[name], number[other.key[0]])
        for name in names
        for w in index.rooms[name]
        if w.side.kind == "open"
        for other in index.near(w.curve, 1.0)
        if other.side.kind == "open" and other.key[0] != name
    ]
    ends = np.array(pairs, np.int64).reshape(-1, 2)
    groups: dict[int, list[str]] = {}
    for name, label in zip(names, components(len(names), ends[:, 0], ends[:, 1]).tolist(), strict=True):
        groups.setdefault(label, []).append(name)
    known.clear()
    known.update({n: g for g in groups.values() if len(g) > 1 for n in g})
    after = [g for g in groups.values() if dirty & set(g)]
    return after + [[n for n in g if n in number] for g in touched]
