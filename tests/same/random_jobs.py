"""Random jobs, each from a number: houses of several storeys, hard rooms, rooms read on site, quick parts.

They are written as job files once and measured by two trees; so nothing here has to give the same
twice but on the same tree.
"""

from __future__ import annotations

import importlib
import math
import sys
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import Any

import msgspec

from takeoff.errors import TakeoffError
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
    Region,
    RegionId,
    Reveal,
    Rooflight,
    Room,
    RoomId,
    Side,
    SideId,
    Storey,
    StoreyId,
    Strip,
    WallTreatment,
    WallType,
    WallTypeId,
)
from takeoff.storage import jobs

HERE = Path(__file__).resolve().parent
CONVENTIONS = ("net", "net", "uk-nrm2", "de-vob", "at-b2210", "uk-smm7", "us-half-deduct", "us-seven-square-yards")
SYSTEMS = ("demo-lime-foam", "demo-lime-foam", "demo-coat-b")
SEED = 20310520

replace = msgspec.structs.replace


def write_jobs(folder: Path, count: int) -> None:
    """Write job files random-0001.json … up to ``count`` into the folder, but for those that are there."""
    makers: tuple[Callable[[Random, int], Job], ...] = (house, house, hard_room, house, read_on_site, house, with_parts)
    for number in range(1, count + 1):
        if (folder / f"random-{number:04}.json").exists():
            continue
        rng = Random(SEED + number)
        try:
            job = makers[number % len(makers)](rng, number)
        except TakeoffError:
            job = house(rng, number)
        (folder / f"random-{number:04}.json").write_bytes(jobs.dump(with_paperwork(rng, job, number)))


def with_paperwork(rng: Random, job: Job, number: int) -> Job:
    """The job with a name, prices now and then, a system and a convention of its own."""
    details = job.details
    if rng.random() < 0.4:
        details = replace(details, client="A client", currency="XTS", price_coat_m2="41.5", price_bead_m="7.25")
    return replace(
        job,
        name=f"House {number}",
        details=details,
        system=rng.choice(SYSTEMS),
        convention=rng.choice(CONVENTIONS),
        bead_default=rng.choice(("new", "new", "existing", "none")),
        coat_edge_default=rng.choice(("feather", "trim", "stop")),
    )


def house(rng: Random, number: int) -> Job:
    """One to three storeys, each a grid of rooms with what belongs into them."""
    types = (WallType(id=WallTypeId("board"), name="Board", finish_a_mm=12.5, finish_b_mm=rng.choice((0.0, 20.0))),)
    names = ("ground", "first", "attic")[: rng.choice((1, 1, 2, 3))]
    storeys = tuple(_storey(rng, name, 2700.0 * i) for i, name in enumerate(names))
    job = Job(storeys=storeys, wall_types=types if rng.random() < 0.5 else ())
    if not job.wall_types:
        return job
    return replace(job, storeys=tuple(_with_finish(rng, storey) for storey in storeys))


def _with_finish(rng: Random, storey: Storey) -> Storey:
    def side(one: Side) -> Side:
        return replace(one, wall_type=WallTypeId("board"), wall_face=rng.choice("ab")) if rng.random() < 0.1 else one

    rooms = tuple(replace(room, outline=tuple(side(s) for s in room.outline)) for room in storey.rooms)
    return replace(storey, rooms=rooms)


def _storey(rng: Random, name: str, level_mm: float) -> Storey:
    across, deep = rng.randint(1, 3), rng.randint(1, 3)
    widths = [_step(rng, 1500, 5500) for _ in range(across)]
    depths = [_step(rng, 1500, 4500) for _ in range(deep)]
    gaps_x = [rng.choice((0.0, 100.0, 100.0, 240.0)) for _ in range(across)]
    gaps_y = [rng.choice((0.0, 100.0, 100.0, 240.0)) for _ in range(deep)]
    cells = [(i, j) for i in range(across) for j in range(deep)]
    if len(cells) > 2 and rng.random() < 0.4:
        cells.remove(rng.choice(cells))
    made: dict[tuple[int, int], Room] = {}
    for i, j in cells:
        x = sum(widths[:i]) + sum(gaps_x[:i])
        y = sum(depths[:j]) + sum(gaps_y[:j])
        made[i, j] = _room(rng, f"{name[0]}{i}{j}", x, y, widths[i], depths[j], (i, j), cells)
    made = _opened(rng, made, gaps_x, gaps_y)
    openings = [o for cell, room in made.items() for o in _openings(rng, room, cell, made, gaps_x, gaps_y)]
    lights = [light for room in made.values() if rng.random() < 0.25 for light in _rooflights(rng, room)]
    building = _building(rng, widths, depths, gaps_x, gaps_y)
    return Storey(
        id=StoreyId(name),
        name=name.capitalize(),
        level_mm=level_mm,
        height_mm=rng.choice((2400.0, 2450.0, 2700.0, 3000.0)),
        height_source=rng.choice(("typed", "assumed", "site")),
        times=rng.choice((1, 1, 1, 2)),
        rooms=tuple(made.values()),
        openings=tuple(openings),
        rooflights=tuple(lights),
        building=building,
    )


def _building(
    rng: Random, widths: list[float], depths: list[float], gaps_x: list[float], gaps_y: list[float]
) -> tuple[Any, ...]:
    if rng.random() < 0.5:
        return ()
    x, y = sum(widths) + sum(gaps_x[:-1]) + 300, sum(depths) + sum(gaps_y[:-1]) + 300
    return (((-300.0, -300.0, 0.0), (x, -300.0, 0.0), (x, y, 0.0), (-300.0, y, 0.0)),)


def _step(rng: Random, least: float, most: float, step: float = 50.0) -> float:
    return step * rng.randint(math.ceil(least / step), max(math.ceil(least / step), math.floor(most / step)))


def _room(
    rng: Random, name: str, x: float, y: float, w: float, d: float, cell: tuple[int, int], cells: list[tuple[int, int]]
) -> Room:
    free_east = not any(i > cell[0] for i, _ in cells)
    points = [(x, y), (x + w, y), (x + w, y + d), (x, y + d)]
    bulges = [0.0] * 4
    shape = rng.random()
    if free_east and shape < 0.25:
        bulges[1] = rng.choice((0.1, 0.25, 0.4142, -0.1))
    elif shape < 0.4 and w > 2500 and d > 2500:
        cut_x, cut_y = _step(rng, 600, w / 2 - 100), _step(rng, 600, d / 2 - 100)
        points = [
            *points[:2],
            (x + w, y + d - cut_y),
            (x + w - cut_x, y + d - cut_y),
            (x + w - cut_x, y + d),
            points[3],
        ]
        bulges = [0.0] * 6
    elif shape < 0.5:
        cut = _step(rng, 300, min(w, d) / 3)
        points = [*points[:2], (x + w, y + d - cut), (x + w - cut, y + d), points[3]]
        bulges = [0.0] * 5
    outline = tuple(
        Side(
            id=SideId(f"s{k}"), x_mm=px, y_mm=py, bulge=b, treatment=_treatment(rng), behind=_behind(rng),
            source=rng.choice(("drawn", "typed")),
        )
        for k, ((px, py), b) in enumerate(zip(points, bulges, strict=True))
    )  # fmt: skip
    inner = ()
    if w > 3000 and d > 3000 and rng.random() < 0.25:
        a, b = x + w / 2 - 300, y + d / 3
        thick, long = rng.choice((200.0, 300.0, 450.0)), rng.choice((300.0, 600.0))
        ring = [(a, b), (a, b + thick), (a + long, b + thick), (a + long, b)]
        inner = (tuple(Side(id=SideId(f"p{k}"), x_mm=px, y_mm=py) for k, (px, py) in enumerate(ring)),)
    return Room(
        id=RoomId(name),
        name=f"Room {name}",
        number=name[1:],
        outline=outline,
        inner=inner,
        times=rng.choice((1, 1, 1, 1, 2, 3)),
        ceiling=_ceiling(rng, x, y, w, d),
        floor=_floor(rng, x, y, w, d),
        floor_build_up_mm=rng.choice((0.0, 0.0, 0.0, 70.0)),
        ceiling_build_up_mm=rng.choice((0.0, 0.0, 0.0, 40.0)),
        walls=_walls(rng),
        ceiling_treatment=_ceiling_treatment(rng, x, y),
        corners=_picks(rng),
        printed_area_m2=round(w * d / 1e6, 1) if rng.random() < 0.15 else None,
        confidence="check" if rng.random() < 0.05 else "sure",
        evidence=("printed area",) if rng.random() < 0.1 else (),
    )


def _picks(rng: Random) -> tuple[CornerPick, ...]:
    if rng.random() > 0.1:
        return ()
    return (CornerPick(corner=f"corner/s{rng.randint(0, 3)}", bead=rng.choice(("existing", "none"))),)


def _behind(rng: Random) -> tuple[Behind, ...]:
    if rng.random() > 0.06:
        return ()
    cls = rng.choice(("outside", "unheated", "neighbour", "same"))
    return (Behind(cls=cls, to_mm=rng.choice((None, 800.0)), thickness_mm=rng.choice((None, 200.0))),)


def _treatment(rng: Random) -> WallTreatment | None:
    kind = rng.random()
    if kind < 0.06:
        return WallTreatment(coat=False)
    if kind < 0.10:
        return WallTreatment(start_mm=600.0, end_mm=rng.choice((None, 300.0)))
    if kind < 0.16:
        u, z = _step(rng, 0, 800), rng.choice((0.0, 850.0))
        ring = ((u, z, 0.0), (u + 700, z, 0.0), (u + 700, z + 600, 0.0), (u, z + 600, 0.0))
        return WallTreatment(exclusions=(Exclusion(id="t", outline=ring, what="tiles"),))
    if kind < 0.19:
        return WallTreatment(bands=(Band(edge="bottom", from_mm=900, to_mm=980, what="dado"),), substrate="brick")
    return None


def _walls(rng: Random) -> WallTreatment:
    kind = rng.random()
    if kind < 0.2:
        bands = (Band(edge="bottom", to_mm=120.0, into_reveals=rng.random() < 0.5),)
        coving = (Band(edge="top", to_mm=100.0, what="coving"),) if rng.random() < 0.5 else ()
        return WallTreatment(bands=(*bands, *coving))
    return WallTreatment(coat=False) if kind < 0.24 else WallTreatment()


def _ceiling_treatment(rng: Random, x: float, y: float) -> CeilingTreatment:
    kind = rng.random()
    if kind < 0.1:
        return CeilingTreatment(left_on=(Border(width_mm=100.0),))
    if kind < 0.16:
        return CeilingTreatment(only=(Border(width_mm=600.0, sides=(SideId("s0"), SideId("s1"))),))
    if kind < 0.2:
        return CeilingTreatment(coat=False)
    if kind < 0.26:
        ring = ((x + 200, y + 200, 0.0), (x + 900, y + 200, 0.0), (x + 900, y + 700, 0.0), (x + 200, y + 700, 0.0))
        return CeilingTreatment(exclusions=(Exclusion(id="c", outline=ring, what="hatch"),))
    return CeilingTreatment()


def _ceiling(rng: Random, x: float, y: float, w: float, d: float) -> Field | None:
    kind = rng.random()
    if kind < 0.45:
        return None
    if kind < 0.55:
        return Field(planes=(Plane(z_mm=_step(rng, 2200, 3000)),))
    if kind < 0.65:
        return Field(planes=(Plane(z_mm=1500.0, slope_x=rng.choice((0.3, 0.5)), at_x_mm=x),))
    if kind < 0.8:
        tilt, cap = rng.choice((0.6, 1.0)), (Plane(z_mm=2500.0),)
        slopes = (Plane(z_mm=1300.0, slope_y=tilt, at_y_mm=y), Plane(z_mm=1300.0, slope_y=-tilt, at_y_mm=y + d))
        return Field(planes=(*slopes, *(cap if rng.random() < 0.6 else ())), regions=_dormer(rng, x, y, w, d))
    root = Plane(z_mm=2500.0)
    op, z = rng.choice((("lower", 2200.0), ("raise", 2650.0), ("set", 2300.0)))
    outlines = (_rect(x, y, w, 500.0), _rect(x + 400, y + 400, 700, 500), _rect(x + w - 400, y, 400, d))
    region = Region(
        id=RegionId("b"), op=op, outline=rng.choice(outlines), planes=(Plane(z_mm=z),), what="boxing",
        coat_sides=rng.choice((None, None, True, False)), coat_face=rng.choice((None, None, True, False)),
    )  # fmt: skip
    return Field(planes=(root,), regions=(region,))


def _dormer(rng: Random, x: float, y: float, w: float, d: float) -> tuple[Region, ...]:
    if rng.random() < 0.5:
        return ()
    return (Region(id=RegionId("d"), op="raise", outline=_rect(x + 300, y, 1000, 900), planes=(Plane(z_mm=2300.0),)),)


def _floor(rng: Random, x: float, y: float, w: float, d: float) -> Field | None:
    kind = rng.random()
    if kind < 0.85:
        return None
    coats = rng.choice(((True, True), (False, False), (True, None), (None, None)))
    z = rng.choice((450.0, 900.0, -300.0))
    region = Region(
        id=RegionId("f"), op="raise" if z > 0 else "lower", outline=_rect(x + 300, y + 300, 800, 300),
        planes=(Plane(z_mm=z),), coat_sides=coats[0], coat_face=coats[1],
    )  # fmt: skip
    return Field(planes=(Plane(z_mm=0.0),), regions=(region,))


def _rect(x: float, y: float, w: float, d: float) -> tuple[tuple[float, float, float], ...]:
    return ((x, y, 0.0), (x + w, y, 0.0), (x + w, y + d, 0.0), (x, y + d, 0.0))


def _rooflights(rng: Random, room: Room) -> list[Rooflight]:
    xs, ys = [s.x_mm for s in room.outline], [s.y_mm for s in room.outline]
    x, y = min(xs) + 300, min(ys) + 300
    sure = rng.choice(("sure", "sure", "sure", "check"))
    return [
        Rooflight(
            id=OpeningId(f"l-{room.id}"), room=room.id, outline=_rect(x, y, 600, 800), depth_mm=_step(rng, 0, 400),
            coat=rng.random() < 0.8, mark="RL", confidence=sure,
        )
    ]  # fmt: skip


def _opened(
    rng: Random, made: dict[tuple[int, int], Room], gaps_x: list[float], gaps_y: list[float]
) -> dict[tuple[int, int], Room]:
    """Some pairs of rooms without a wall between them run into each other over their whole side."""
    out = dict(made)
    for i, j in made:
        for other, gap, mine, theirs in (((i + 1, j), gaps_x[i], 1, -1), ((i, j + 1), gaps_y[j], -2, 0)):
            if other in made and gap == 0.0 and rng.random() < 0.7:
                lintel = rng.choice((None, 2100.0))
                for cell, k in (((i, j), mine), (other, theirs)):
                    sides = list(out[cell].outline)
                    if sides[k].bulge == 0.0:
                        sides[k] = replace(sides[k], kind="open", open_to_mm=lintel, treatment=None)
                    out[cell] = replace(out[cell], outline=tuple(sides))
    return out


def _openings(
    rng: Random, room: Room, cell: tuple[int, int], made: dict[tuple[int, int], Room],
    gaps_x: list[float], gaps_y: list[float],
) -> list[Opening]:  # fmt: skip
    found = []
    count = len(room.outline)
    for k, side in enumerate(room.outline):
        after = room.outline[(k + 1) % count]
        length = math.dist((side.x_mm, side.y_mm), (after.x_mm, after.y_mm))
        if length < 900 or rng.random() < 0.45:
            continue
        neighbour = {0: (cell[0], cell[1] - 1), 1: (cell[0] + 1, cell[1])}.get(k)
        gap = gaps_x[cell[0]] if k == 1 else gaps_y[max(0, cell[1] - 1)]
        shared = neighbour in made and gap > 0.0
        found.append(_opening(rng, f"o-{room.id}-{k}", room, side, length, shared=shared))
    for ring in room.inner:
        if rng.random() < 0.3:
            found.append(_opening(rng, f"o-{room.id}-pier", room, ring[0], 300.0, shared=False))
    return found


def _opening(rng: Random, name: str, room: Room, side: Side, length: float, *, shared: bool) -> Opening:
    kind = rng.choice(("door", "open", "door", "window")) if shared else rng.choice(("window", "window", "door"))
    width = min(_step(rng, 500, 1500), length - 200)
    sill, head = (0.0, rng.choice((2040.0, 2100.0))) if kind != "window" else (_step(rng, 600, 1100), 2100.0)
    width = max(100.0, width)
    shape = rng.choice(("flat",) * 7 + ("segmental", "semicircular", "round"))
    if shape == "round":
        sill, head = head - width, head
    reveal = _reveal(rng, kind)
    return Opening(
        id=OpeningId(name),
        kind=kind,
        room=room.id,
        side=side.id,
        offset_mm=_step(rng, 50, max(50, length - width - 50)),
        width_mm=width,
        sill_mm=sill,
        head_mm=head,
        shape=shape,
        rise_mm=150.0 if shape == "segmental" else 0.0,
        reveal=reveal,
        reveal_beyond=_reveal(rng, kind) if shared and kind != "open" and rng.random() < 0.7 else None,
        mark=rng.choice(("", "W1", "D2")),
        width_source=rng.choice(("drawn", "figured", "typed")),
        sill_source=rng.choice(("typed", "assumed")),
        head_source=rng.choice(("typed", "assumed")),
        confidence=rng.choice(("sure",) * 8 + ("check", "question")),
        evidence=("gap with a leaf",) if rng.random() < 0.2 else (),
    )


def _reveal(rng: Random, kind: str) -> Reveal:
    depth = rng.choice((0.0, 50.0, 120.0, 150.0, 240.0))
    strip = Strip(depth_mm=depth, coat=rng.random() < 0.9, depth_source=rng.choice(("typed", "assumed")))
    sill = Strip(depth_mm=depth, coat=kind == "window" and rng.random() < 0.3)
    end = strip if rng.random() < 0.8 else Strip(depth_mm=depth + 40)
    return Reveal(start=strip, end=end, head=strip, sill=sill, splay_deg=rng.choice((0.0,) * 6 + (10.0, 25.0)))


def hard_room(rng: Random, number: int) -> Job:
    """A room of those that are compared with solids, sometimes with much that is left on."""
    sys.path.insert(0, str(HERE.parent / "outside"))
    job: Job = importlib.import_module("solids_rooms").random_case(number).job
    storey = job.storeys[0]
    room = replace(storey.rooms[0], times=rng.choice((1, 2)))
    if rng.random() < 0.5:
        room = replace(room, walls=_walls(rng))
    if rng.random() < 0.3:
        room = replace(room, ceiling_treatment=CeilingTreatment(left_on=(Border(width_mm=80.0),)))
    return replace(job, storeys=(replace(storey, rooms=(room,)),))


def read_on_site(rng: Random, number: int) -> Job:
    """One or two rooms made from readings, some of them off by a few millimetres or a centimetre."""
    model = importlib.import_module("takeoff.plan.model")
    put_room = importlib.import_module("takeoff.plan.readings").put_room
    job = Job()
    for name in ("kitchen", "hall")[: rng.choice((1, 2))]:
        w, d = _step(rng, 2000, 5000), _step(rng, 2000, 4500)
        lengths = [w, d, w, d]
        turns = [-90.0] * 4
        if rng.random() < 0.5:
            a, b = _step(rng, 500, w - 900), _step(rng, 500, d - 900)
            lengths, turns = [w, d - b, a, b, w - a, d], [-90.0, -90.0, 90.0, -90.0, -90.0, -90.0]
        turn = rng.choice(("about", "square"))
        sides = []
        for mm, deg in zip(lengths, turns, strict=True):
            off = rng.choice((0.0, 0.0, 2.0, -3.0, 12.0))
            opening = model.ReadOpening(
                from_mm=300.0, to_mm=1200.0, kind=rng.choice(("window", "door")),
                head_mm=rng.choice((None, 2050.0)), reveal_mm=rng.choice((None, 140.0)),
            )  # fmt: skip
            sides.append(
                model.ReadSide(
                    length_mm=mm + off, turn_deg=deg, turn=turn, height_mm=rng.choice((None, 2400.0, 2405.0)),
                    openings=(opening,) if mm > 1500 and rng.random() < 0.4 else (),
                )
            )  # fmt: skip
        diagonals = ()
        if len(lengths) == 4:
            diagonals = (model.ReadDiagonal(a=0, b=2, length_mm=round(math.hypot(w, d) + rng.choice((0, 4, 30)))),)
        readings = model.Readings(
            sides=tuple(sides),
            diagonals=diagonals,
            middle_mm=rng.choice((2400.0, 2410.0)),
            unit=rng.choice(("m", "ft")),
        )
        job = put_room(job, None, RoomId(name), name.capitalize(), readings)
    return job


def with_parts(rng: Random, number: int) -> Job:
    """A room with quick parts put in: boxings, breasts, stairs, slopes."""
    try:
        parts = importlib.import_module("takeoff.services.quick_parts")
    except ModuleNotFoundError:
        parts = importlib.import_module("takeoff.views.quick_parts")
    shapes = (
        _rect(0, 0, 5000, 4000),
        tuple((x, y, 0.0) for x, y in ((0, 0), (5000, 0), (5000, 2000), (3000, 2000), (3000, 4000), (0, 4000))),
    )
    outline = tuple(Side(id=SideId(f"s{k}"), x_mm=x, y_mm=y) for k, (x, y, _) in enumerate(rng.choice(shapes)))
    job = Job(storeys=(Storey(id=StoreyId("g"), rooms=(Room(id=RoomId("r"), outline=outline),)),))
    done = 0
    for _ in range(30):
        kind = rng.choice(parts.KINDS)
        values = dict(kind.usual)
        for dimension in kind.dimensions:
            if dimension.usual_mm:
                values[dimension.key] = dimension.usual_mm * rng.uniform(0.4, 1.4)
        places = [
            parts.Place("r", (rng.uniform(0, 5000), rng.uniform(0, 4000)), rng.choice(outline).id, rng.uniform(0, 4000))
            for _ in range(2 if kind.where in ("walls", "line") else 1)
        ]
        try:
            job, done = parts.placed(job, kind, values, *places), done + 1
        except TakeoffError:
            continue
        if done == 3:
            break
    return job
