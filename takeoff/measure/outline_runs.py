"""The straight runs of a building's outline, the walls that look at each, and what was said to stand there.

An outline taken from linework shows where the drawing ends. Whether open air, an unheated space or a
neighbour lies beyond is asked run by run; the answer is written to the walls.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence

import msgspec
from shapely import MultiLineString

from takeoff.geometry.curves import Curve
from takeoff.geometry.rings import ring_curves
from takeoff.language import listed as names_listed
from takeoff.language import mark, tr, tr_count
from takeoff.measure.around import (
    ALONG_MM,
    Outside,
    SideIndex,
    WallSide,
    behind_of,
    facing,
    free_of,
    is_set_down,
    look_out,
)
from takeoff.plan.model import BehindClass, Job, Ring, RoomId, SideId, Storey
from takeoff.plan.said import bearing
from takeoff.units.printing import fmt2

BEND_DEG = 15.0
"""Sides of an outline that turn by less belong to one run: a bent or round front is one question (common
practice, no source)."""
JOG_MM = 50.0
"""Pieces of a front that stand no further before each other are one run (common practice, no source)."""
GAP_MM = 1500.0
"""A recess in a front that is no wider does not part its run (common practice, no source)."""
OVER_MM, OVER_SHARE = 500.0, 0.5
"""Runs of two storeys lie over one another where one stands no further before the other along so much of the shorter
(common practice, no source)."""
MOST_NAMED = 4

Course = tuple[tuple[float, float], ...]


class RunWall(msgspec.Struct, frozen=True):
    """A stretch of a wall that looks at a run, and what lies behind it; ``claimed``: only as drawn."""

    room: RoomId
    side: SideId
    from_mm: float
    to_mm: float
    cls: BehindClass
    claimed: bool

    @property
    def length_mm(self) -> float:
        """Along the wall."""
        return self.to_mm - self.from_mm


class Run(msgspec.Struct, frozen=True):
    """A straight stretch of a storey's outline as seen from outside, and the walls behind it.

    ``name``: "left", "left 2", by the side of the plan on which it lies. ``courses`` are its pieces in
    plan mm.
    """

    storey: str
    name: str
    length_mm: float
    beside: tuple[str, ...]
    walls: tuple[RunWall, ...]
    courses: tuple[Course, ...]

    @property
    def is_open(self) -> bool:
        """Whether somebody must still say what stands there."""
        return any(wall.claimed for wall in self.walls)

    @property
    def claimed_mm(self) -> float:
        """Length of wall that is outside only as drawn."""
        return sum(wall.length_mm for wall in self.walls if wall.claimed)

    @property
    def answer(self) -> BehindClass | None:
        """What was said of most of its walls; None while it is open."""
        if self.is_open:
            return None
        lengths: Counter[BehindClass] = Counter()
        for wall in self.walls:
            lengths[wall.cls] += wall.length_mm  # type: ignore[assignment]
        return max(lengths, key=lambda cls: lengths[cls])

    def words(self, beside: Sequence[str] = ()) -> str:
        """ "Lower run, 8.40 m, beside Kitchen and Hall", "Upper run 2, …". ``beside``: its rooms as they are
        called there."""
        said = tr(
            "{side} run, {length} m, beside {rooms}",
            side=self.called,
            length=fmt2(self.length_mm / 1000.0),
            rooms=listed(beside or self.beside),
        )
        return said[:1].upper() + said[1:]

    @property
    def called(self) -> str:
        """Its name in the user's language: "lower", "upper 2"."""
        side, _, number = self.name.rpartition(" ") if self.name[-1].isdigit() else (self.name, "", "")
        return f"{tr(side)} {number}".strip()

    def stretches(self) -> Stretches:
        """The stretches of walls that an answer is written to."""
        return _stretches(self.walls)

    def claims(self) -> Stretches:
        """Those of them of which nobody has said anything."""
        return _stretches([wall for wall in self.walls if wall.claimed])


Stretches = dict[tuple[RoomId, SideId], tuple[tuple[float, float], ...]]
"""By room and side, mm from the side's start."""


def _stretches(walls: Sequence[RunWall]) -> Stretches:
    """Those that meet as one."""
    found: dict[tuple[RoomId, SideId], list[tuple[float, float]]] = {}
    for wall in walls:
        parts = found.setdefault((wall.room, wall.side), [])
        if parts and wall.from_mm - parts[-1][1] <= ALONG_MM:
            parts[-1] = (parts[-1][0], wall.to_mm)
        else:
            parts.append((wall.from_mm, wall.to_mm))
    return {key: tuple(parts) for key, parts in found.items()}


def listed(names: Sequence[str]) -> str:
    """ "Kitchen", "Kitchen and Hall", "Kitchen, Hall, WC and 2 more"."""
    shown = list(names[:MOST_NAMED])
    if len(names) > MOST_NAMED:
        shown.append(tr_count("{count} more", "{count} more", len(names) - MOST_NAMED))
    return names_listed(shown)


def outline_runs(job: Job) -> tuple[Run, ...]:
    """The runs of every storey's outline at which a wall looks, storey by storey, in walking order.

    None for a storey without an outline, and none for walls of rooms that were measured on site: those
    stand where they were set down.
    """
    return tuple(run for storey in job.storeys for run in _runs(storey))


def open_runs(job: Job) -> tuple[Run, ...]:
    """Those of which nobody has said yet what stands there."""
    return tuple(run for run in outline_runs(job) if run.is_open)


def over_one_another(runs: Sequence[Run]) -> tuple[tuple[Run, ...], ...]:
    """The runs in groups that one answer is likely to fit: those of several storeys that lie over one another and look
    the same way, one of each storey, in the order of their first. Each run is in one group; () for none."""
    lines = [MultiLineString([course for course in run.courses if len(course) > 1]) for run in runs]
    found: list[list[int]] = []
    for k, run in enumerate(runs):
        shares = [(_share_over(runs, lines, group, k), n) for n, group in enumerate(found)]
        best, at = max(shares, default=(0.0, 0), key=lambda one: (one[0], -one[1]))
        if best >= OVER_SHARE and run.storey not in {runs[j].storey for j in found[at]}:
            found[at].append(k)
        else:
            found.append([k])
    return tuple(tuple(runs[k] for k in group) for group in found)


def _share_over(runs: Sequence[Run], lines: Sequence[MultiLineString], group: Sequence[int], k: int) -> float:
    """Which part of the shorter lies over the last of a group; 0 where they look different ways or are of one
    storey."""
    last = group[-1]
    if runs[last].storey == runs[k].storey or _side_of(runs[last]) != _side_of(runs[k]):
        return 0.0
    shorter = min(lines[last].length, lines[k].length)
    near = lines[last].buffer(OVER_MM, cap_style="flat").intersection(lines[k]).length
    return min(near, shorter) / shorter if shorter > 0.0 else 0.0


def _side_of(run: Run) -> str:
    return run.name.rstrip("0123456789 ")


def _runs(storey: Storey) -> list[Run]:
    if not storey.building:
        return []
    index = SideIndex()
    for room in storey.rooms:
        index.put(room)
    outside = index.outside(storey)
    fronts = _fronts(storey.building, outside.curves)
    front_of = {id(curve): number for number, front in enumerate(fronts) for curve in front}
    seen: dict[int, list[RunWall]] = {}
    titles: dict[int, dict[str, None]] = {}
    for room in storey.rooms:
        if is_set_down(room):
            continue
        for wall in index.rooms[room.id]:
            for curve, part in _looks(wall, index, outside):
                number = front_of[id(curve)]
                seen.setdefault(number, []).append(part)
                titles.setdefault(number, {})[room.name or room.title] = None
    names = _names([_bearing(fronts[number]) for number in sorted(seen)])
    return [
        Run(
            str(storey.id),
            name,
            math.fsum(curve.length for curve in fronts[number]),
            tuple(titles[number]),
            tuple(seen[number]),
            tuple(_course(curve) for curve in fronts[number]),
        )
        for name, number in zip(names, sorted(seen), strict=True)
    ]


def _looks(wall: WallSide, index: SideIndex, outside: Outside) -> Iterator[tuple[Curve, RunWall]]:
    """The sides of the outline at which a wall looks, each with the stretch that does, by what lies behind."""
    views = facing(wall, index)
    behind = behind_of(wall, views, outside)
    for a, b in free_of(wall.curve.length, views):
        for look in look_out(wall.curve, a, b, outside):
            if look.outline is None:
                continue
            for said in behind:
                u0, u1 = max(look.u0, said.from_mm), min(look.u1, said.to_mm)
                if u1 - u0 > ALONG_MM:
                    part = RunWall(RoomId(wall.key[0]), wall.side.id, u0, u1, said.cls, said.claimed)
                    yield look.outline, part


# Welding -------------------------------------------------------------------------------------


def _fronts(building: Sequence[Ring], curves: Sequence[Curve]) -> list[list[Curve]]:
    """The sides of an outline by the run that they are of, in walking order."""
    chains: list[list[Curve]] = []
    first = 0
    for ring in building:
        count = len(ring_curves(ring))
        chains += _chains(curves[first : first + count])
        first += count
    fronts: list[list[Curve]] = []
    for chain in chains:
        home = next((front for front in fronts if _in_line(front, chain)), None)
        if home is None:
            fronts.append(chain)
        else:
            home += chain
    return fronts


def _chains(ring: Sequence[Curve]) -> list[list[Curve]]:
    """A ring parted at its corners; sides that run on into each other stay together."""
    sides = [curve for curve in ring if curve.length > 0.0]
    corners = [k for k, curve in enumerate(sides) if _turn_deg(sides[k - 1], curve) > BEND_DEG]
    if not corners:
        return [sides] if sides else []
    turned = [*sides[corners[0] :], *sides[: corners[0]]]
    chains: list[list[Curve]] = []
    for k, curve in enumerate(turned):
        if k == 0 or _turn_deg(turned[k - 1], curve) > BEND_DEG:
            chains.append([])
        chains[-1].append(curve)
    return chains


def _turn_deg(before: Curve, after: Curve) -> float:
    ax, ay = before.direction(before.length)
    bx, by = after.direction(0.0)
    return abs(math.degrees(math.atan2(ax * by - ay * bx, ax * bx + ay * by)))


def _in_line(front: Sequence[Curve], chain: Sequence[Curve]) -> bool:
    """Whether two straight fronts look the same way, stand on one line and lie near each other."""
    if any(curve.bulge for curve in (*front, *chain)):
        return False
    for a in front:
        for b in chain:
            if a.dx * b.dx + a.dy * b.dy < math.cos(math.radians(1.0)):
                continue
            ends = [((x - a.x0) * a.dx + (y - a.y0) * a.dy, abs((x - a.x0) * a.dy - (y - a.y0) * a.dx))
                    for x, y in ((b.x0, b.y0), (b.x1, b.y1))]  # fmt: skip
            gap = max(min(u for u, _ in ends) - a.length, -max(u for u, _ in ends))
            if gap <= GAP_MM and max(off for _, off in ends) <= JOG_MM:
                return True
    return False


def _bearing(front: Sequence[Curve]) -> str:
    """The side of the plan on which a run lies, by the way its outer face looks."""
    dx = math.fsum(curve.x1 - curve.x0 for curve in front)
    dy = math.fsum(curve.y1 - curve.y0 for curve in front)
    return bearing(dy, -dx) if math.hypot(dx, dy) > ALONG_MM else mark("round")


def _names(bearings: Sequence[str]) -> list[str]:
    """Each by its side of the plan, numbered where several lie on one."""
    counts, told = Counter(bearings), Counter[str]()
    names = []
    for word in bearings:
        told[word] += 1
        names.append(f"{word} {told[word]}" if counts[word] > 1 else word)
    return names


def _course(curve: Curve) -> Course:
    steps = 8 if curve.bulge else 1
    return tuple(curve.at(curve.length * k / steps) for k in range(steps + 1))
