"""What was set of a random plan, and what of it goes on in the plan as it was changed: worked out from what is known of
the change, by the rules as a person would say them."""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from typing import Any

import msgspec
from random_designs import Cell, Design, Hole, Line, Row, Spot, along

from takeoff.plan.counted_items import CountedItem
from takeoff.plan.model import (
    Band,
    Behind,
    Border,
    CeilingTreatment,
    CornerPick,
    Exclusion,
    Field,
    Job,
    Opening,
    OpeningId,
    Plane,
    Reveal,
    Room,
    RoomId,
    Side,
    SideId,
    Storey,
    StoreyId,
    Strip,
    WallTreatment,
)

replace = msgspec.structs.replace


@dataclass
class Said:
    """By the key of a room, the number of a wall or of an opening: fields that were set. ``picks``: by the numbers of
    the walls that meet. Walls in fields of rooms are given by number."""

    rooms: dict[str, dict[str, Any]] = field(default_factory=dict)
    walls: dict[int, dict[str, Any]] = field(default_factory=dict)
    holes: dict[int, dict[str, Any]] = field(default_factory=dict)
    picks: dict[tuple[int, int], str] = field(default_factory=dict)


def few_settings(design: Design, rng: random.Random) -> Said:
    """What solids can show: heights, faces left bare, tiles, depths of reveals."""
    said = Said()
    for row, cell in design.cells:
        if rng.random() < 0.4:
            said.rooms[cell.key] = {"ceiling": rng.choice((2300.0, 2450.0, 2700.0))}
        for number, _ in design.ring(row, cell):
            draw = rng.random()
            if draw < 0.15:
                said.walls[number] = {"treatment": WallTreatment(coat=False)}
            elif draw < 0.3 and cell.walls["S"] == number:
                said.walls[number] = {"treatment": WallTreatment(exclusions=(tiles(600.0, 750.0),))}
    for hole in design.holes:
        if hole.kind == "window" and rng.random() < 0.4:
            said.holes[hole.key] = {"depth": rng.choice((90.0, 220.0))}
    return said


def all_settings(design: Design, rng: random.Random) -> Said:
    """Settings of all kinds, on about half of what may have them."""
    said = Said()
    for row, cell in design.cells:
        ring = [number for number, _ in design.ring(row, cell)]
        if rng.random() < 0.6:
            said.rooms[cell.key] = _of_room(rng, ring)
        lines = design.lines()
        for number in ring:
            start, end = along(lines[number][1])
            if rng.random() < 0.5:
                said.walls[number] = _of_wall(rng, abs(end - start))
        for k, number in enumerate(ring):
            said_of = [said.walls.get(n, {}) for n in (ring[k - 1], number)]
            if rng.random() < 0.2 and all("treatment" not in one for one in said_of):
                said.picks[ring[k - 1], number] = rng.choice(("existing", "none"))
    for hole in design.holes:
        if rng.random() < 0.5:
            said.holes[hole.key] = _of_hole(rng, hole)
    return said


def _of_room(rng: random.Random, ring: list[int]) -> dict[str, Any]:
    every: dict[str, Any] = {
        "ceiling": rng.choice((2300.0, 2450.0, 2700.0)),
        "walls": rng.choice(
            (WallTreatment(substrate="lime-plaster"), WallTreatment(bands=(Band(edge="bottom", to_mm=90.0),)))
        ),
        "ceiling_coat": False,
        "left_on": (100.0, rng.choice(ring)),
        "floor_build_up_mm": 20.0,
        "ceiling_build_up_mm": 12.5,
        "above": rng.choice(("roof", "heated")),
        "times": 2,
        "counted": (rng.choice(("radiators", "poles")), rng.choice((None, *ring))),
    }
    return {name: every[name] for name in rng.sample(list(every), rng.randint(1, 4))}


def _of_wall(rng: random.Random, long: float) -> dict[str, Any]:
    outside = Behind(cls=rng.choice(("outside", "unheated", "neighbour")), thickness_mm=300.0)
    every = (
        {"behind": (outside,)},
        {"behind": (replace(outside, to_mm=700.0), Behind(cls="heated", from_mm=700.0))},
        {"treatment": WallTreatment(coat=False)},
        {"treatment": WallTreatment(start_mm=600.0, end_mm=500.0)},
        {"treatment": WallTreatment(parts_mm=((400.0, 1100.0),))},
        {"treatment": WallTreatment(parts_mm=((0.0, 800.0), (1200.0, None)))},
        {"treatment": WallTreatment(substrate="gypsum-plaster", exclusions=(tiles(300.0, 900.0),))},
        {"treatment": WallTreatment(bands=(Band(edge="bottom", to_mm=120.0),)), "behind": (outside,)},
    )  # fmt: skip
    return dict(rng.choice(every if long >= 1600.0 else (every[0], every[2], every[7])))


def _of_hole(rng: random.Random, hole: Hole) -> dict[str, Any]:
    every: dict[str, Any] = {"depth": rng.choice((90.0, 220.0)), "head": hole.head - 60.0, "mark": f"K{hole.key}"}
    if hole.kind == "window":
        every |= {"sill": hole.sill + 40.0, "bare": True}
    return {name: every[name] for name in rng.sample(list(every), rng.randint(1, 2))}


def tiles(u0: float, u1: float) -> Exclusion:
    """Tiles from u0 to u1 along a wall, from 1000 to 1500 high."""
    ring = ((u0, 1000.0, 0.0), (u1, 1000.0, 0.0), (u1, 1500.0, 0.0), (u0, 1500.0, 0.0))
    return Exclusion(id="tiles", what="tiles", outline=ring)


# As a storey ---------------------------------------------------------------------------------------------


def job_of(design: Design, said: Said) -> Job:
    """The design as a job of one storey, with what was set of it."""
    return Job(name="Grid", storeys=(storey_of(design, said),))


def storey_of(design: Design, said: Said) -> Storey:
    """As a drawing gives it, and what was set. Rooms are r1, r2 …, sides s1, s2 … from the lower left corner."""
    names = {
        number: SideId(f"s{k}") for row, cell in design.cells for k, (number, _) in enumerate(design.ring(row, cell), 1)
    }
    rooms = tuple(
        _room(design, row, cell, said, names, RoomId(f"r{k}")) for k, (row, cell) in enumerate(design.cells, 1)
    )
    ids = {cell.key: room.id for (_, cell), room in zip(design.cells, rooms, strict=True)}
    lines = design.lines()
    openings = tuple(
        _opening(hole, lines[hole.wall][1], ids[hole.room], names[hole.wall], said.holes.get(hole.key, {}))
        for hole in design.holes
    )
    return Storey(
        id=StoreyId("s"),
        name="Storey",
        height_mm=design.height,
        height_source="figured",
        rooms=rooms,
        openings=openings,
    )


def _room(design: Design, row: Row, cell: Cell, said: Said, names: dict[int, SideId], room: RoomId) -> Room:
    own = dict(said.rooms.get(cell.key, {}))
    ring = design.ring(row, cell)
    sides = tuple(Side(id=names[n], x_mm=x, y_mm=y, source="drawn", **said.walls.get(n, {})) for n, (x, y) in ring)
    ceiling = Field(planes=(Plane(z_mm=own["ceiling"]),), source="site") if "ceiling" in own else None
    if ceiling is None and cell.height is not None:
        ceiling = Field(planes=(Plane(z_mm=cell.height),), source="figured")
    treatment = CeilingTreatment(coat=own.get("ceiling_coat", True))
    if "left_on" in own:
        width, *numbers = own["left_on"]
        treatment = replace(treatment, left_on=(Border(width_mm=width, sides=tuple(names[n] for n in numbers)),))
    picks = tuple(
        CornerPick(corner="|".join(sorted((names[a], names[b]))), bead=bead)
        for (a, b), bead in said.picks.items()
        if a in dict(ring) and b in dict(ring)
    )
    plain = {
        name: own[name]
        for name in ("walls", "floor_build_up_mm", "ceiling_build_up_mm", "above", "times")
        if name in own
    }
    counted = tuple(
        CountedItem(kind=kind, side=names.get(number))
        for kind, number in own.get("items", (own["counted"],) if "counted" in own else ())
    )
    return Room(
        id=room, name=cell.key, outline=sides, ceiling=ceiling, ceiling_treatment=treatment, corners=picks,
        counted=counted, evidence=("walls on all sides",), **plain,
    )  # fmt: skip


def _opening(hole: Hole, line: Line, room: RoomId, side: SideId, own: dict[str, Any]) -> Opening:
    start, end = along(line)
    offset = hole.at - start if end > start else start - hole.at - hole.width
    source = "typed" if "depth" in own else "assumed"
    depth = own.get("depth", 150.0 if hole.kind == "window" else 0.0)
    strip = Strip(depth_mm=depth, depth_source=source, coat=not own.get("bare"))  # type: ignore[arg-type]
    return Opening(
        id=OpeningId(f"o{hole.key}"), kind=hole.kind, room=room, side=side, offset_mm=offset,  # type: ignore[arg-type]
        width_mm=hole.width, sill_mm=own.get("sill", hole.sill), head_mm=own.get("head", hole.head),
        reveal=Reveal(start=strip, end=strip, head=strip, sill=replace(strip, coat=False)), mark=own.get("mark", ""),
        width_source="drawn", sill_source="typed" if "sill" in own else "assumed",
        head_source="typed" if "head" in own else "assumed",
        evidence=(f"{hole.kind} drawn along the gap",),
    )  # fmt: skip


# What goes on --------------------------------------------------------------------------------------------


@dataclass
class Followed:
    """What was set as it is to be in the new design; ``gone``: (room that it was set in, what), which is to be told."""

    said: Said
    gone: list[tuple[str, str]]


def followed(said: Said, old: Design, new: Design) -> Followed:
    """What was set of the old design, in the new one."""
    done = Followed(Said(), [])
    cells = {cell.key: cell for _, cell in new.cells}
    was, now = old.lines(), new.lines()
    for key, own in said.rooms.items():
        _rooms_go_on(key, own, cells, new, done)
    for number, own in said.walls.items():
        room, line = was[number]
        pieces = _pieces(number, new)
        if not pieces:
            into = said.walls.get(new.gone_into.get(number, 0), {})
            done.gone += [(room, name) for name in own if own[name] != into.get(name)]
        for piece, at_start, at_end in _anchored(line, {p: now[p][1] for p in pieces}):
            done.said.walls[piece] = {
                name: _stretched(name, value, line, now[piece][1], at_start, at_end) for name, value in own.items()
            }
        _stretches_gone(room, own, [done.said.walls[p] for p in pieces], done)
    holes = {hole.key for hole in new.holes}
    for key, own in said.holes.items():
        if key in holes:
            done.said.holes[key] = own
        else:
            room = next(hole.room for hole in old.holes if hole.key == key)
            done.gone += [(room, name) for name in own if name != "mark"]
    _picks_go_on(said, was, new, done)
    return done


def _rooms_go_on(key: str, own: dict[str, Any], cells: dict[str, Cell], new: Design, done: Followed) -> None:
    if key not in cells:
        done.gone += [(key, name) for name in own if name != "counted"]
        if "counted" in own and new.joined.get(key) not in cells:
            done.gone.append((key, "counted"))
    homes = [key] if key in cells else []
    homes += [part for part, cell in cells.items() if cell.cut_from == key and key in cells]
    mine = {home: set(cells[home].walls.values()) for home in cells}
    for home in homes:
        fields = {name: value for name, value in own.items() if name not in ("left_on", "counted")}
        done.said.rooms.setdefault(home, {}).update(fields)
        if "left_on" in own:
            width, number = own["left_on"]
            here = [piece for piece in _pieces(number, new) if piece in mine[home]]
            if here:
                done.said.rooms[home]["left_on"] = (width, *here)
    if "left_on" in own and homes and not any("left_on" in done.said.rooms[home] for home in homes):
        done.gone.append((key, "left_on"))
    if "counted" in own:
        kind, number = own["counted"]
        home = next((name for name, numbers in mine.items() if number in numbers), None)
        if number is None or home is None:
            home = next((name for name in (key, new.joined.get(key)) if name in cells), None)
            if number is not None and home is not None:
                number = new.gone_into.get(number)
                number = number if number in mine[home] else None
        if home is not None:
            done.said.rooms.setdefault(home, {}).setdefault("items", []).append((kind, number))


def _pieces(number: int, new: Design) -> list[int]:
    """What a wall is now: itself and the pieces that were cut off it."""
    there = new.lines()
    return [n for n in (number, *(p for p, of in new.piece_of.items() if of == number)) if n in there]


def _anchored(line: Line, pieces: dict[int, Line]) -> list[tuple[int, bool, bool]]:
    """Each piece, whether it begins where the wall did, whether it ends where the wall did."""
    if len(pieces) == 1:
        return [(number, True, True) for number in pieces]
    start, end = along(line)
    way = 1.0 if end > start else -1.0
    ordered = sorted(pieces, key=lambda n: way * along(pieces[n])[0])
    return [(n, n == ordered[0], n == ordered[-1]) for n in ordered]


def _stretched(name: str, value: Any, old: Line, new: Line, at_start: bool, at_end: bool) -> Any:
    a, b = along(old)
    c, _ = along(new)
    way = 1.0 if b > a else -1.0
    size, now, by = abs(b - a), abs(along(new)[1] - c), way * (c - a)

    def place(u: float) -> float:
        return min(max(u - by, 0.0), now)

    def stretch(u0: float, u1: float | None) -> tuple[float, float | None] | None:
        start = 0.0 if at_start and u0 <= 1.0 else place(u0)
        to_end = u1 is None or u1 >= size - 1.0
        end = None if to_end and (at_end or size - by >= now - 1.0) else place(size if u1 is None else u1)
        end = None if end is not None and end >= now and not at_end else end
        return None if (now if end is None else end) - start < 1.0 else (start, end)

    if name == "behind":
        found = [(one, stretch(one.from_mm, one.to_mm)) for one in value]
        return tuple(replace(one, from_mm=s[0], to_mm=s[1]) for one, s in found if s is not None)
    parts = [s for part in value.parts_mm if (s := stretch(*part)) is not None]
    start = value.start_mm if at_start or value.start_mm is None else _positive(value.start_mm - by)
    end = value.end_mm if at_end or value.end_mm is None else _positive(by + now - (size - value.end_mm))
    bare = value.coat and not value.is_whole and start is None and end is None and not parts
    masks = [m for one in value.exclusions if (m := _mask(one, size, now, by, at_start, at_end)) is not None]
    return replace(
        value, coat=value.coat and not bare, start_mm=start, end_mm=end, parts_mm=tuple(parts), exclusions=tuple(masks)
    )


def _positive(value: float) -> float | None:
    return value if value >= 1.0 else None


def _mask(one: Exclusion, size: float, now: float, by: float, at_start: bool, at_end: bool) -> Exclusion | None:
    us = [u for u, _, _ in one.outline]
    shift = now - size if at_end and max(us) >= size - 1.0 else -by
    if max(us) + shift < 1.0 or min(us) + shift > now - 1.0:
        return None
    return replace(one, outline=tuple((u + shift, z, bulge) for u, z, bulge in one.outline))


def _stretches_gone(room: str, own: dict[str, Any], now: list[dict[str, Any]], done: Followed) -> None:
    """Stretches that lie on no piece of their wall any more."""
    if not now:
        return
    if "behind" in own:
        kept = {one.cls for piece in now for one in piece["behind"]}
        done.gone += [(room, "behind") for one in own["behind"] if one.cls not in kept]
    if "treatment" in own:
        was, kept = own["treatment"], [piece["treatment"] for piece in now]
        if was.exclusions and not any(one.exclusions for one in kept):
            done.gone.append((room, "tiles"))
        if len(was.parts_mm) > sum(len(one.parts_mm) for one in kept):
            done.gone.append((room, "parts"))


def _picks_go_on(said: Said, was: dict[int, tuple[str, Line]], new: Design, done: Followed) -> None:
    now = new.lines()
    corners = {}
    for row, cell in new.cells:
        ring = [number for number, _ in new.ring(row, cell)]
        corners |= {(ring[k - 1], number): number for k, number in enumerate(ring)}
    for (a, b), bead in said.picks.items():
        here = [_pieces(n, new) or [m for m in (new.gone_into.get(n),) if m is not None] for n in (a, b)]
        met = [(p, q) for p in here[0] for q in here[1] if (p, q) in corners and now[p][0] == now[q][0]]
        if met:
            done.said.picks[met[0]] = bead
        else:
            done.gone.append((was[a][0], "pick"))


def spots(design: Design, key: str) -> dict[int, Spot]:
    """Where the walls of a room start, by number."""
    row, cell = next(one for one in design.cells if one[1].key == key)
    return dict(design.ring(row, cell))
