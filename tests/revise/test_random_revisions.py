"""Random plans, changed at random, laid over themselves: figures against solids, settings kept or told, B to B nothing.

``TAKEOFF_REVISIONS=200`` runs as many; some in the suite.
"""

from __future__ import annotations

import os
import random
from itertools import pairwise

import manifold3d
import msgspec
import pytest
from laid_by_chance import laid

from takeoff.measure import measure
from takeoff.plan.model import (
    Behind,
    Field,
    Job,
    Opening,
    OpeningId,
    Plane,
    Room,
    RoomId,
    Side,
    SideId,
    Storey,
    StoreyId,
)

RUNS = int(os.environ.get("TAKEOFF_REVISIONS", "6"))
WALL = 100.0
HEIGHT = 2400.0
replace = msgspec.structs.replace


class Grid:
    """Rows of rooms between walls: ``rows`` as (y0, y1, [x of the middles of walls])."""

    def __init__(self, rng: random.Random) -> None:
        self.rng = rng
        ys = [0.0]
        for _ in range(rng.randint(1, 3)):
            ys.append(ys[-1] + rng.randrange(25, 45) * 100.0)
        self.width = 12000.0
        self.rows = [(a, b - WALL, self._cuts()) for a, b in pairwise(ys)]
        self.doors = {(r, c): rng.random() < 0.5 for r, row in enumerate(self.rows) for c in range(len(row[2]))}
        self.names = iter(f"Room {k}" for k in range(1, 200))
        self.named = {(r, c): next(self.names) for r, row in enumerate(self.rows) for c in range(len(row[2]) + 1)}

    def _cuts(self) -> list[float]:
        return sorted(self.rng.sample([2500.0, 4700.0, 7100.0, 9300.0], self.rng.randint(1, 3)))

    def change(self) -> str:
        """One change: a wall moved, taken out, put in, or a door put in or taken out."""
        what = self.rng.choice(("move", "move", "join", "split", "door"))
        r = self.rng.randrange(len(self.rows))
        low, high, cuts = self.rows[r]
        if what == "move" and cuts:
            k = self.rng.randrange(len(cuts))
            cuts[k] += self.rng.choice((-450.0, -200.0, 150.0, 300.0, 450.0))
        elif what == "join" and len(cuts) > 1:
            k = self.rng.randrange(len(cuts))
            del cuts[k]
            self._renamed(r, k, -1)
        elif what == "split":
            edges = [0.0, *cuts, self.width]
            k = max(range(len(edges) - 1), key=lambda i: edges[i + 1] - edges[i])
            cuts.insert(k, round((edges[k] + 2.0 * edges[k + 1]) / 3.0))
            self._renamed(r, k, 1)
        else:
            what = "door"
            key = (r, self.rng.randrange(len(cuts)))
            self.doors[key] = not self.doors.get(key, False)
        self.rows[r] = (low, high, cuts)
        return what

    def _renamed(self, row: int, at: int, by: int) -> None:
        """Rooms right of a wall that went or came keep their names, doors their walls."""
        mine = [self.named[row, c] for c in range(30) if (row, c) in self.named]
        doors = [self.doors.get((row, c), False) for c in range(len(mine) - 1)]
        if by < 0:
            del mine[at + 1], doors[at]
        else:
            mine.insert(at + 1, next(self.names))
            doors.insert(at, False)
        for c in range(30):
            self.named.pop((row, c), None)
            self.doors.pop((row, c), None)
        self.named |= {(row, c): name for c, name in enumerate(mine)}
        self.doors |= {(row, c): door for c, door in enumerate(doors)}

    def storey(self) -> Storey:
        rooms, openings = [], []
        for r, (low, high, cuts) in enumerate(self.rows):
            edges = [-WALL / 2.0, *cuts, self.width + WALL / 2.0]
            for c, (a, b) in enumerate(pairwise(edges)):
                x0, x1 = a + WALL / 2.0, b - WALL / 2.0
                ring = [(x0, low), (x1, low), (x1, high), (x0, high)]
                sides = tuple(
                    Side(id=SideId(f"s{k}"), x_mm=x, y_mm=y, source="drawn") for k, (x, y) in enumerate(ring, 1)
                )
                name = RoomId(f"r{len(rooms) + 1}")
                rooms.append(Room(id=name, name=self.named[r, c], outline=sides, evidence=("walls on all sides",)))
                if c < len(cuts) and self.doors.get((r, c)):
                    openings.append(_door(f"o{len(openings) + 1}", name))
        return Storey(id=StoreyId("s"), name="Storey", height_mm=HEIGHT, rooms=tuple(rooms), openings=tuple(openings))


def _door(name: str, room: RoomId) -> Opening:
    """A door in the right wall of a room, 500 from its lower end."""
    return Opening(
        id=OpeningId(name),
        kind="door",
        room=room,
        side=SideId("s2"),
        offset_mm=500.0,
        width_mm=800.0,
        sill_mm=0.0,
        head_mm=2040.0,
        width_source="drawn",
        sill_source="drawn",
        head_source="assumed",
        evidence=("a door's swing at the gap",),
    )


def with_settings(storey: Storey) -> Storey:
    """Every second room with a ceiling height that was read on site, every wall on the street outside."""

    def room(k: int, one: Room) -> Room:
        behind = (Behind(cls="outside", thickness_mm=300.0),)
        low = min(side.y_mm for side in one.outline)
        sides = tuple(replace(s, behind=behind) if s.id == "s1" and low == 0.0 else s for s in one.outline)
        ceiling = Field(planes=(Plane(z_mm=HEIGHT + k),), source="site") if k % 2 else None
        return replace(one, outline=sides, ceiling=ceiling, times=1)

    return replace(storey, rooms=tuple(room(k, one) for k, one in enumerate(storey.rooms)))


def solid_m2(storey: Storey) -> float:
    """What of all rooms' solids is wall or ceiling, holes of doors not taken off: boxes, less their floors."""
    total = 0.0
    for room in storey.rooms:
        xs, ys = [s.x_mm for s in room.outline], [s.y_mm for s in room.outline]
        high = room.ceiling.planes[0].z_mm if room.ceiling is not None else storey.height_mm
        size = ((max(xs) - min(xs)) / 1000.0, (max(ys) - min(ys)) / 1000.0, high / 1000.0)
        box = manifold3d.Manifold.cube(size)
        total += box.surface_area() - size[0] * size[1]
    return total


def settings(storey: Storey) -> list[tuple[str, str]]:
    """(id of the room, what) of all that was set."""
    found = []
    for room in storey.rooms:
        if room.ceiling is not None:
            found.append((str(room.id), f"ceiling {room.ceiling.planes[0].z_mm:g}"))
        found += [(str(room.id), f"behind {b.cls}") for side in room.sides for b in side.behind]
    return found


@pytest.mark.parametrize("seed", range(RUNS))
def test_a_random_revision(seed: int) -> None:
    rng = random.Random(seed)
    grid = Grid(rng)
    job = Job(name="Grid", storeys=(with_settings(grid.storey()),))
    what = [grid.change() for _ in range(rng.randint(1, 3))]
    new = grid.storey()
    done = laid(job, new, rng)
    after = done.job.storeys[0]
    assert done.another_plan == (done.fit < 0.5), what
    # the job with the new drawing has its rooms, as it draws them
    assert sorted(r.name for r in after.rooms if r.name) == sorted(r.name for r in after.rooms)
    assert len(after.rooms) == len(new.rooms)
    # figures: against solids, and closed
    totals = done.difference.totals
    key = ("wall_gross_m2", "ceiling_m2")
    assert sum(float(totals[k].net) for k in key) == pytest.approx(solid_m2(after) - solid_m2(job.storeys[0]), abs=2e-5)
    assert all(q.old + q.added - q.omitted == q.new for q in totals.values())
    fresh = replace(
        job,
        storeys=(
            replace(
                after,
                rooms=tuple(replace(r, id=RoomId(f"n/{r.id}")) for r in after.rooms),
                openings=tuple(replace(o, room=RoomId(f"n/{o.room}")) for o in after.openings),
            ),
        ),
    )
    assert measure(fresh).totals["coated_m2"] == pytest.approx(measure(done.job).totals["coated_m2"], abs=1e-9)
    plain = replace(new, rooms=tuple(replace(r, ceiling=None) for r in new.rooms))
    bare = replace(after, rooms=tuple(replace(r, ceiling=None) for r in after.rooms))
    wanted = measure(Job(storeys=(plain,))).totals
    found = measure(Job(storeys=(bare,))).totals
    for k in ("wall_net_m2", "ceiling_m2", "floor_m2", "external_corner_m"):
        assert found[k] == pytest.approx(wanted[k], abs=1e-4), (what, k)
    # settings: kept in the room, or told with the room that is gone
    kept, told = settings(after), [(one.where, one.what) for one in done.lost]
    gone = {r.room for r in done.difference.rooms if r.change in ("joined", "omitted") and r.new is None}
    for room, said in settings(job.storeys[0]):
        assert (room, said) in kept or room in gone, (what, room, said, told)
    # B to B
    again = laid(done.job, new, rng)
    assert again.difference.changed == ()
    assert again.job.storeys == done.job.storeys
