"""The difference of two states of a job, room by room and quantity by quantity, by the ids that both have.

The grain is the surface and the edge: a wall face, the ceiling of a room or a part of it, a strip of a reveal, an
opening's hole in a wall that is coated throughout, an edge between two surfaces. What a surface gains is added,
what it loses is omitted; the two are never set off against each other within a room. Pieces of a wall that was cut
in two count together, as do walls that became one, so that a corner more in a wall adds the corner and nothing else.
What passes from one room to another is omitted there and added here.

Figures are counted in millionths (of m² or m) and as they are printed, both as whole numbers, so that
old + added − omitted = new for each room, and the sums of rooms are the totals, exactly.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal
from typing import Literal, get_args

import msgspec

from takeoff.geometry.curves import Curve
from takeoff.measure import measure
from takeoff.measure.memory import KEYS, numbers
from takeoff.measure.takeoff import FAMILIES, RoomTakeoff, Surface, Takeoff
from takeoff.plan.model import Job, Room, SideId, Storey
from takeoff.plan.shape import curves_by_id
from takeoff.plan.surface_ids import strip_of, surfaces_of
from takeoff.units.printing import printed

What = Literal["same", "altered", "added", "omitted", "split", "joined", "renamed"]
WHATS: tuple[What, ...] = get_args(What)

MICRO = Decimal(1_000_000)
TURNED_DEG = 5.0
"""A piece of a wall runs as the wall does, within this."""
BESIDE_MM = 1000.0
"""A piece of a wall lies so near to where the wall was (common practice, no source)."""
MOST_OF = 0.5
"""More than this part of a piece lies along the wall that it is a piece of."""
END_MM = 50.0
NOTHING = 1e-6

Printed = Callable[[RoomTakeoff], Mapping[str, Decimal]]
"""The figures of a room as sheets print them."""


class Quantity(msgspec.Struct, frozen=True):
    """One figure: as it was, as it is, what was added and what omitted; new = old + added − omitted, exactly."""

    old: Decimal
    new: Decimal
    added: Decimal
    omitted: Decimal

    @property
    def net(self) -> Decimal:
        """By how much it is more."""
        return self.new - self.old

    @property
    def changed(self) -> bool:
        """Whether anything came or went."""
        return bool(self.added or self.omitted)


class RoomDifference(msgspec.Struct, frozen=True):
    """What became of one room. Figures are for one such room; ``times_old`` and ``times_new``: how often it is
    built (0: not at all). ``old``, ``new``: the takeoffs; ``quantities`` in millionths, ``printed`` as sheets
    print them (both by the keys of a job's totals)."""

    room: str
    name: str
    storey: str
    storey_title: str
    change: What
    times_old: int
    times_new: int
    quantities: dict[str, Quantity]
    printed: dict[str, Quantity]
    evidence: tuple[str, ...] = ()
    was_called: str = ""
    old: RoomTakeoff | None = None
    new: RoomTakeoff | None = None

    @property
    def measures_otherwise(self) -> bool:
        """Whether any figure of it came or went, or it is built more or less often."""
        return self.times_old != self.times_new or any(q.changed for q in self.quantities.values())


class Difference(msgspec.Struct, frozen=True):
    """Rooms in the order of the new state, omitted ones after those of their storey; totals count every room as
    often as it is built."""

    rooms: tuple[RoomDifference, ...]
    totals: dict[str, Quantity]
    printed_totals: dict[str, Quantity]

    @property
    def changed(self) -> tuple[RoomDifference, ...]:
        """The rooms of which anything is otherwise."""
        return tuple(room for room in self.rooms if room.change != "same")


class Became(msgspec.Struct, frozen=True):
    """What a room became, where more is known than ids tell: why, and what it was called."""

    change: What
    evidence: tuple[str, ...] = ()
    was_called: str = ""


def between(
    old: Job,
    new: Job,
    became: Mapping[str, Became] | None = None,
    printing: Printed | None = None,
    taken: tuple[Takeoff, Takeoff] | None = None,
) -> Difference:
    """The difference of two states of one job, rooms and sides known again by their ids.

    ``became``: of rooms by id, where laying a drawing over the job told more. ``printing``: the figures of a room as
    sheets print them (``sheets.printed_figures.room_figures``); without it they are the unrounded ones rounded to
    0.01. ``taken``: both states measured, to spare it. Raises InputError where a room cannot be measured.
    """
    was, now = taken or (measure(old), measure(new))
    told = became or {}
    figures = printing or _rounded
    takeoffs = {(t.storey, t.room): t for t in was.rooms}, {(t.storey, t.room): t for t in now.rooms}
    homes = _homes(old), _homes(new)
    rooms = []
    for room, storey_id in _in_order(old, new):
        old_home, new_home = homes[0].get(room), homes[1].get(room)
        one = _Both(
            old_home and (old_home[1], takeoffs[0][str(old_home[0].id), room]),
            new_home and (new_home[1], takeoffs[1][str(new_home[0].id), room]),
        )
        storey = (new_home or old_home or _nowhere(room))[0]
        rooms.append(_room(one, storey, storey_id, told.get(room), figures))
    return Difference(tuple(rooms), _totals(rooms, "quantities"), _totals(rooms, "printed"))


class _Both(msgspec.Struct, frozen=True):
    """A room in both states, each with its takeoff; None where it is not there."""

    old: tuple[Room, RoomTakeoff] | None
    new: tuple[Room, RoomTakeoff] | None


def _nowhere(room: str) -> tuple[Storey, Room]:
    raise KeyError(room)


def _homes(job: Job) -> dict[str, tuple[Storey, Room]]:
    return {str(room.id): (storey, room) for storey in job.storeys for room in storey.rooms}


def _in_order(old: Job, new: Job) -> list[tuple[str, str]]:
    """Ids of all rooms with their storeys: those of the new state, those that are gone after those of their storey."""
    kept = {str(room.id) for storey in new.storeys for room in storey.rooms}
    gone = {
        str(storey.id): [(str(r.id), str(storey.id)) for r in storey.rooms if str(r.id) not in kept]
        for storey in old.storeys
    }
    found: list[tuple[str, str]] = []
    for storey in new.storeys:
        found += [(str(room.id), str(storey.id)) for room in storey.rooms]
        found += gone.pop(str(storey.id), [])
    for rest in gone.values():
        found += rest
    return found


def _room(both: _Both, storey: Storey, storey_id: str, became: Became | None, printing: Printed) -> RoomDifference:
    quantities, prints = _quantities(both, printing)
    room = (both.new or both.old or _nowhere(storey_id))[0]
    altered = any(q.changed for q in quantities.values())
    change: What
    was_called = became.was_called if became else ""
    if became is not None and became.change in ("split", "joined"):
        change = became.change
    elif both.old is None:
        change = "added"
    elif both.new is None:
        change = "omitted"
    else:
        was_called = was_called or (both.old[0].title if both.old[0].title != both.new[0].title else "")
        times = both.old[1].times != both.new[1].times
        change = "altered" if altered or times else "renamed" if was_called else "same"
        if change == "same" and became is not None:
            change = became.change
    return RoomDifference(
        room=str(room.id),
        name=room.title,
        storey=storey_id,
        storey_title=storey.title,
        change=change,
        times_old=both.old[1].times if both.old else 0,
        times_new=both.new[1].times if both.new else 0,
        quantities=quantities,
        printed=prints,
        evidence=became.evidence if became else (),
        was_called=was_called,
        old=both.old[1] if both.old else None,
        new=both.new[1] if both.new else None,
    )


def _quantities(both: _Both, printing: Printed) -> tuple[dict[str, Quantity], dict[str, Quantity]]:
    old = numbers(both.old[1]) if both.old else dict.fromkeys(KEYS, 0.0)
    new = numbers(both.new[1]) if both.new else dict.fromkeys(KEYS, 0.0)
    same = bool(both.old and both.new and _measure_alike(both.old[1], both.new[1]))
    moved = {} if same else _moved(both)
    prints_old = _printed(both.old, printing)
    prints_new = prints_old if same else _printed(both.new, printing)
    exact, prints = {}, {}
    for key in KEYS:
        added, omitted = moved.get(key, (0.0, 0.0))
        exact[key] = _closed(_micro(old[key]), _micro(old[key] if same else new[key]), added, omitted, 6)
        prints[key] = _closed(prints_old[key], prints_new[key], added, omitted, 2)
    return exact, prints


def _printed(one: tuple[Room, RoomTakeoff] | None, printing: Printed) -> dict[str, Decimal]:
    if one is None:
        return dict.fromkeys(KEYS, Decimal("0.00"))
    figures = printing(one[1])
    return {key: figures[key] if key in figures else printed(numbers(one[1])[key]) for key in KEYS}


def _rounded(room: RoomTakeoff) -> dict[str, Decimal]:
    return {key: printed(value) for key, value in numbers(room).items()}


def _micro(value: float) -> Decimal:
    return printed(value, 6)


def _closed(old: Decimal, new: Decimal, added: float, omitted: float, places: int) -> Quantity:
    """Added and omitted as printed, so that they close between old and new: the omitted as it was worked out, the
    added by what is left, unless nothing was added."""
    net, nothing = new - old, Decimal(0).scaleb(-places)
    if omitted <= NOTHING:
        out = nothing if net >= 0 else -net
    elif added <= NOTHING:
        out = -net if net <= 0 else nothing
    else:
        out = max(printed(omitted, places), nothing, -net)
    return Quantity(old, new, net + out, out)


def _totals(rooms: Iterable[RoomDifference], which: Literal["quantities", "printed"]) -> dict[str, Quantity]:
    """Σ over rooms, each as often as it is built; what is built more often is added as a whole."""
    sums = {key: [Decimal(0)] * 4 for key in KEYS}
    for room in rooms:
        often = min(room.times_old, room.times_new)
        more, fewer = room.times_new - often, room.times_old - often
        for key, q in (room.quantities if which == "quantities" else room.printed).items():
            row = sums[key]
            row[0] += room.times_old * q.old
            row[1] += room.times_new * q.new
            row[2] += often * q.added + more * q.new
            row[3] += often * q.omitted + fewer * q.old
    return {key: Quantity(*row) for key, row in sums.items()}


# What came and went, surface by surface ------------------------------------------------------------------

Item = tuple[object, ...]
Items = dict[str, dict[Item, float]]


def _measure_alike(old: RoomTakeoff, new: RoomTakeoff) -> bool:
    """Whether every figure is the same, but for the noise of arithmetic."""
    a, b = numbers(old), numbers(new)
    if any(abs(a[key] - b[key]) > NOTHING for key in KEYS):
        return False
    if [s.id for s in old.surfaces] != [s.id for s in new.surfaces]:
        return False
    return all(abs(x.net_m2 - y.net_m2) < NOTHING for x, y in zip(old.surfaces, new.surfaces, strict=True))


def _moved(both: _Both) -> dict[str, tuple[float, float]]:
    """By figure: what was added and what was omitted of it, unrounded."""
    called = pieces_together(both.old[0] if both.old else None, both.new[0] if both.new else None)
    whole = _whole_faces(both, called)
    old = _items(both.old[1], called[0], whole) if both.old else {}
    new = _items(both.new[1], called[1], whole) if both.new else {}
    found = {}
    for key in KEYS:
        was, now = old.get(key, {}), new.get(key, {})
        by = [now.get(item, 0.0) - was.get(item, 0.0) for item in dict.fromkeys((*was, *now))]
        found[key] = (
            math.fsum(b for b in by if b > NOTHING / 1000.0),
            math.fsum(-b for b in by if b < -NOTHING / 1000.0),
        )
    return found


Called = Mapping[str, str]


def _whole_faces(both: _Both, called: tuple[Called, Called]) -> set[str]:
    """The walls that both states have and that are coated throughout in both: in these a hole is a thing of its own.
    In one that is coated in part, or was, only the coat counts."""
    found: list[dict[str, bool]] = [{}, {}]
    for state, one, names in zip(found, (both.old, both.new), called, strict=True):
        for surface in one[1].surfaces if one else ():
            if surface.kind == "wall":
                name = names.get(surface.id, surface.id)
                state[name] = state.get(name, True) and surface.not_coated_m2 <= NOTHING
    return {name for name, throughout in found[0].items() if throughout and found[1].get(name)}


def _items(room: RoomTakeoff, called: Called, whole: set[str]) -> Items:
    """Every figure of a room as what it consists of."""
    items: Items = {key: {} for key in KEYS}

    def put(key: str, item: Item, value: float) -> None:
        items[key][item] = items[key].get(item, 0.0) + value

    put("floor_m2", (), room.floor_m2)
    for face in room.faces:
        put("perimeter_m", (called.get(face.id, face.id),), face.length_m)
    rest = room.perimeter_m - math.fsum(items["perimeter_m"].values())
    put("perimeter_m", ("rest",), rest)
    for surface in room.surfaces:
        _of_surface(surface, called, whole, put)
    for hole in room.holes:
        name = called.get(hole.face, hole.face)
        put("openings_m2", (hole.opening, name), hole.area_m2)
        if name in whole:
            for key in ("wall_net_m2", "coated_m2"):
                put(key, ("hole", hole.opening, name), -hole.area_m2)
    for key in ("openings_m2", "wall_net_m2", "coated_m2"):  # what no surface and no hole accounts for
        put(key, ("rest",), getattr(room, key) - math.fsum(items[key].values()))
    for edge in room.edges:
        item = (edge.family_kind, *sorted(called.get(s, s) for s in surfaces_of(edge.id)))
        for name, family in FAMILIES.items():
            if edge.cls == family.cls:
                put(f"{name}.{edge.family_kind}", item, edge.length_m)
                if family.whole in items:
                    put(family.whole, item, edge.length_m)
        if edge.cls == "floor_edge":
            put("floor_edge_m", item, edge.length_m)
        if edge.cls == "external" and edge.bead == "new":
            put("bead_m", item, edge.length_m)
    return items


def _of_surface(surface: Surface, called: Called, whole: set[str], put: Callable[[str, Item, float], None]) -> None:
    name = called.get(surface.id, surface.id)
    item: Item
    if surface.kind == "wall":
        put("wall_gross_m2", (name,), surface.gross_m2)
        put("excluded_m2", (name,), surface.excluded_m2)
        put("not_coated_m2", (name,), surface.not_coated_m2)
        key, item = "wall_net_m2", ("wall", name)
        net = surface.net_m2 + (surface.openings_m2 if name in whole else 0.0)
    elif surface.kind == "ceiling":
        key, item, net = "ceiling_m2", ("ceiling", name), surface.net_m2
    elif surface.kind == "reveal":
        key, item, net = "reveal_m2", ("reveal", strip_of(surface.id)), surface.net_m2
    else:
        key, item, net = "drop_m2", ("drop", name), surface.net_m2
    put(key, item, net)
    put("coated_m2", item, net)


# Walls that were cut, and walls that became one ----------------------------------------------------------


def pieces_together(old: Room | None, new: Room | None) -> tuple[dict[str, str], dict[str, str]]:
    """What each side of a room counts as, in the old state and in the new: pieces of one wall under one name.

    A side that only one state has is a piece of the wall of the other along which most of it runs.
    """
    if old is None or new is None:
        return {}, {}
    was, now = curves_by_id(old), curves_by_id(new)
    together = {str(name): str(name) for name in (*was, *now)}

    def first(name: str) -> str:
        while together[name] != name:
            name = together[name]
        return name

    for mine, theirs in ((now, was), (was, now)):
        for side, curve in mine.items():
            wall = None if side in theirs else piece_of(curve, theirs)
            if wall is not None:
                together[first(str(side))] = first(str(wall))
    together = {name: first(name) for name in together}
    return together, together


def piece_of(curve: Curve, walls: Mapping[SideId, Curve], within_mm: float = BESIDE_MM) -> SideId | None:
    """The wall along which most of a straight piece runs, the nearest one; None where none is that near."""
    best, nearest = None, within_mm
    for name, wall in walls.items():
        beside = along(wall, curve)
        if beside is not None and is_piece(curve, beside) and beside[2] <= nearest:
            best, nearest = name, beside[2]
    return best


def is_piece(curve: Curve, beside: tuple[float, float, float]) -> bool:
    """Whether most of a side runs along a wall. What stands further off it than it is wide is the end of a stub of wall
    and no piece of it."""
    return beside[1] - beside[0] >= MOST_OF * curve.length and beside[2] <= max(curve.length, END_MM)


def along(wall: Curve, piece: Curve) -> tuple[float, float, float] | None:
    """Where a piece runs along a straight wall, as far as the wall goes: from, to (mm from its start), and how far
    beside it; None where it runs otherwise, or one of them is curved."""
    if wall.bulge or piece.bulge or wall.length <= 0.0 or piece.length <= 0.0:
        return None
    dx, dy = wall.direction(0.0)
    ex, ey = piece.direction(0.0)
    if dx * ex + dy * ey < math.cos(math.radians(TURNED_DEG)):
        return None
    start = (piece.x0 - wall.x0) * dx + (piece.y0 - wall.y0) * dy
    end = (piece.x1 - wall.x0) * dx + (piece.y1 - wall.y0) * dy
    mx, my = (piece.x0 + piece.x1) / 2.0 - wall.x0, (piece.y0 + piece.y1) / 2.0 - wall.y0
    return max(0.0, start), min(wall.length, end), abs(mx * dy - my * dx)
