"""Random storeys of square rooms side by side as plan types, each from a number.

Openings that two rooms share, doorways, linings, steps before openings, skirting and coving, returns, tiles,
ceiling parts in any order, borders wider than the room, rooms and storeys that stand several times. Families of
their own: doorways between levels, and doorways of which a step hides a part of the foot.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random
from typing import Literal

from msgspec.structs import replace

from takeoff.plan.model import (
    Band,
    Border,
    CeilingTreatment,
    Exclusion,
    Field,
    Job,
    Opening,
    OpeningId,
    Plane,
    Region,
    RegionId,
    Reveal,
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

Box = tuple[float, float, float, float]
"""x from, y from, x to, y to, mm"""
STEP_MM = 50
Doorways = Literal["level", "between levels", "partly hidden"]
"""What a storey's doorways stand on: one floor in both rooms, floors of two heights, a step over a part of them."""
SIDES = ("s0", "s1", "s2", "s3")
"""Below, right, above and left, as they run anticlockwise."""
OPPOSITE = {"s0": "s2", "s1": "s3", "s2": "s0", "s3": "s1"}


@dataclass
class Plot:
    """A room as it was thrown: its drawn box, its linings by side, and what is nearest beyond each side."""

    name: str
    drawn: Box
    finish: tuple[float, float, float, float]
    beyond: dict[str, tuple[str, float]] = field(default_factory=dict)
    """By side: the room behind it and how thick the wall is drawn."""

    @property
    def finished(self) -> Box:
        x0, y0, x1, y1 = self.drawn
        below, right, above, left = self.finish
        return x0 + left, y0 + below, x1 - right, y1 - above


@dataclass
class Thrown:
    """A storey to compare: the job, and the plots of its rooms by name."""

    number: int
    job: Job
    plots: dict[str, Plot]

    @property
    def storey(self) -> Storey:
        return self.job.storeys[0]


def grid(rng: Random, low: float, high: float) -> float:
    steps = int(low // STEP_MM), max(int(low // STEP_MM), int(high // STEP_MM))
    return float(STEP_MM * rng.randint(*steps))


def random_storey(number: int) -> Thrown:
    """The storey with this number, its doorways on one level."""
    return _thrown(Random(number), number, "level")


def stepped_storey(number: int, doorways: Doorways) -> Thrown:
    """The storey with this number of a family: one at least of its doorways is such a one."""
    for again in range(1000):
        thrown = _thrown(Random(f"{doorways} {number} {again}"), number, doorways)
        if any(doorways in found for found in standing(thrown).values()):
            return thrown
    raise ValueError(f"no storey {number} with doorways {doorways}")


def standing(thrown: Thrown) -> dict[str, set[Doorways]]:
    """By doorway: what its rooms stand on before it."""
    rooms = {str(r.id): r for r in thrown.storey.rooms}
    found: dict[str, set[Doorways]] = {}
    for o in thrown.storey.openings:
        if o.kind == "open":
            plot, side = thrown.plots[o.room], str(o.side)
            faces = [(plot, side), (thrown.plots[plot.beyond[side][0]], OPPOSITE[side])]
            low, high = sorted(along(plot.drawn, side, u) for u in (o.offset_mm, o.offset_mm + o.width_mm))
            feet = [
                {
                    z if z >= o.sill_mm else None
                    for z in (height_at(rooms[p.name].floor, *at, 0.0, False) for at in places)
                }
                for p, places in ((p, front(p, s, low, high)) for p, s in faces)
            ]
            named: set[Doorways] = set()
            if feet[0] != feet[1]:
                named.add("between levels")
            if any(len(own) > 1 for own in feet):
                named.add("partly hidden")
            found[str(o.id)] = named or {"level"}
    return found


def _thrown(rng: Random, number: int, doorways: Doorways) -> Thrown:
    types = tuple(
        WallType(
            id=WallTypeId(f"w{k}"), finish_a_mm=rng.choice((0.0, 10.0, 15.0, 30.0)),
            finish_b_mm=rng.choice((0.0, 15.0, 25.0)),
        )
        for k in range(2)
    )  # fmt: skip
    height = grid(rng, 2300, 3000)
    plots, walls = _plots(rng, types)
    rooms = {name: _room(rng, plot, walls[name], height) for name, plot in plots.items()}
    openings = _openings(rng, plots, rooms, height, doorways)
    storey = Storey(
        id=StoreyId("g"), height_mm=height, height_source="typed", times=rng.choice((1, 1, 2, 3)),
        rooms=tuple(rooms.values()), openings=openings,
    )  # fmt: skip
    return Thrown(number, Job(storeys=(storey,), wall_types=types), plots)


def _plots(rng: Random, types: tuple[WallType, ...]) -> tuple[dict[str, Plot], dict[str, list[tuple[str | None, str]]]]:
    columns, rows = rng.choice(((1, 1), (2, 1), (2, 1), (3, 1), (2, 2)))
    wide = [grid(rng, 700, 4200) for _ in range(columns)]
    deep = [grid(rng, 700, 4200) for _ in range(rows)]
    between_x = [grid(rng, 100, 300) for _ in range(columns)]
    between_y = [grid(rng, 100, 300) for _ in range(rows)]
    plots, walls = {}, {}
    for i in range(columns):
        for j in range(rows):
            x, y = sum(wide[:i]) + sum(between_x[:i]), sum(deep[:j]) + sum(between_y[:j])
            kinds: list[tuple[str | None, str]] = []
            for _ in SIDES:
                kind = rng.choice((None, *(str(t.id) for t in types)))
                kinds.append((kind, rng.choice("ab")))
            thick = [_thickness(types, kind, face) for kind, face in kinds]
            name = f"r{i}{j}"
            plots[name] = Plot(name, (x, y, x + wide[i], y + deep[j]), (thick[0], thick[1], thick[2], thick[3]))
            walls[name] = kinds
    for i in range(columns):
        for j in range(rows):
            here = plots[f"r{i}{j}"]
            if i + 1 < columns:
                here.beyond["s1"] = (f"r{i + 1}{j}", between_x[i])
                plots[f"r{i + 1}{j}"].beyond["s3"] = (here.name, between_x[i])
            if j + 1 < rows:
                here.beyond["s2"] = (f"r{i}{j + 1}", between_y[j])
                plots[f"r{i}{j + 1}"].beyond["s0"] = (here.name, between_y[j])
    return plots, walls


def _thickness(types: tuple[WallType, ...], kind: str | None, face: str) -> float:
    for t in types:
        if t.id == kind:
            return t.finish_a_mm if face == "a" else t.finish_b_mm
    return 0.0


def _room(rng: Random, plot: Plot, walls: list[tuple[str | None, str]], height: float) -> Room:
    x0, y0, x1, y1 = plot.drawn
    corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    lengths = (x1 - x0, y1 - y0, x1 - x0, y1 - y0)
    sides = tuple(
        Side(
            id=SideId(name), x_mm=x, y_mm=y, wall_type=None if kind is None else WallTypeId(kind),
            wall_face=face,  # type: ignore[arg-type]
            treatment=_treatment(rng, length, height) if rng.random() < 0.35 else None,
        )
        for name, (x, y), (kind, face), length in zip(SIDES, corners, walls, lengths, strict=True)
    )  # fmt: skip
    return Room(
        id=RoomId(plot.name),
        outline=sides,
        times=rng.choice((1, 1, 1, 2)),
        walls=_treatment(rng, 0.0, height),
        ceiling=_ceiling(rng, plot.drawn, height) if rng.random() < 0.4 else None,
        floor=_floor(rng, plot.drawn) if rng.random() < 0.4 else None,
        ceiling_treatment=_overhead(rng, plot.drawn),
    )


def _treatment(rng: Random, length: float, height: float) -> WallTreatment:
    """With a length: for one wall, with returns and tiles."""
    bands = []
    if rng.random() < 0.4:
        bands.append(Band(edge="bottom", to_mm=rng.choice((70.0, 120.0)), into_reveals=rng.random() < 0.5))
    if rng.random() < 0.25:
        bands.append(Band(edge="top", to_mm=rng.choice((60.0, 100.0)), what="coving"))
    if rng.random() < 0.15:
        bands.append(Band(edge="bottom", from_mm=850.0, to_mm=900.0, what="dado"))
    tiles, returns = [], [None, None]
    if length and rng.random() < 0.4:
        u0, u1 = sorted((grid(rng, -100, length), grid(rng, 0, length + 100)))
        z0, z1 = sorted((grid(rng, -100, 1000), grid(rng, 500, height)))
        if u1 - u0 > 20 and z1 - z0 > 20:
            ring = ((u0, z0, 0.0), (u1, z0, 0.0), (u1, z1, 0.0), (u0, z1, 0.0))
            tiles.append(Exclusion(id="t", outline=ring, what="tiles"))
    if length and rng.random() < 0.3:
        returns = [rng.choice((None, grid(rng, 200, 1500))), rng.choice((None, grid(rng, 200, 1500)))]
    return WallTreatment(
        coat=rng.random() < 0.85, bands=tuple(bands), exclusions=tuple(tiles), start_mm=returns[0], end_mm=returns[1]
    )


def _inside(rng: Random, box: Box) -> Box | None:
    x0, y0, x1, y1 = box
    xs, ys = sorted((grid(rng, x0, x1), grid(rng, x0, x1))), sorted((grid(rng, y0, y1), grid(rng, y0, y1)))
    return (xs[0], ys[0], xs[1], ys[1]) if xs[1] - xs[0] >= 150 and ys[1] - ys[0] >= 150 else None


def _ring(box: Box) -> tuple[tuple[float, float, float], ...]:
    x0, y0, x1, y1 = box
    return ((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0))


def _ceiling(rng: Random, drawn: Box, height: float) -> Field:
    """A flat ceiling with a part, sometimes one within it or beside it, listed in any order."""
    regions = []
    outer = _inside(rng, drawn)
    if outer is not None:
        regions.append(_part(rng, "c0", outer, height - grid(rng, -600, 500)))
        inner = _inside(rng, outer)
        if inner is not None and rng.random() < 0.6 and inner != outer:
            regions.append(_part(rng, "c1", inner, height - grid(rng, -800, 600)))
    rng.shuffle(regions)
    return Field(planes=(Plane(z_mm=height),), regions=tuple(regions))


def _part(rng: Random, name: str, box: Box, z: float) -> Region:
    return Region(
        id=RegionId(name), op=rng.choice(("lower", "raise", "set")), outline=_ring(box), planes=(Plane(z_mm=z),)
    )


def _floor(rng: Random, drawn: Box) -> Field:
    """A level floor with a step, a seat or a sunken part, coated or not."""
    box = _inside(rng, drawn)
    if box is None:
        return Field(planes=(Plane(z_mm=0.0),))
    if rng.random() < 0.8:  # against a wall
        k = rng.randrange(4)
        box = tuple(drawn[n] if n == k else v for n, v in enumerate(box))  # type: ignore[assignment]
    z = rng.choice((150.0, 450.0, 900.0, 900.0, -200.0))
    coats = rng.choice(((None, None), (None, None), (True, z > 0.0), (True, False)))
    part = Region(
        id=RegionId("f"), op="set", outline=_ring(box), planes=(Plane(z_mm=z),), coat_sides=coats[0],
        coat_face=coats[1],
    )  # fmt: skip
    return Field(planes=(Plane(z_mm=0.0),), regions=(part,))


def _overhead(rng: Random, drawn: Box) -> CeilingTreatment:
    def border() -> Border:
        named = tuple(SideId(s) for s in SIDES if rng.random() < 0.5) if rng.random() < 0.6 else ()
        return Border(width_mm=grid(rng, 100, 1500), sides=named)

    out = _inside(rng, drawn) if rng.random() < 0.2 else None
    return CeilingTreatment(
        coat=rng.random() < 0.85,
        left_on=(border(),) if rng.random() < 0.2 else (),
        only=(border(),) if rng.random() < 0.25 else (),
        exclusions=() if out is None else (Exclusion(id="x", outline=_ring(out)),),
    )


# Openings --------------------------------------------------------------------------------------------


def along(drawn: Box, side: str, u: float) -> float:
    """The coordinate that runs along a side, at u from its drawn start."""
    x0, y0, x1, y1 = drawn
    return {"s0": x0 + u, "s1": y0 + u, "s2": x1 - u, "s3": y1 - u}[side]


def height_at(whole: Field | None, x: float, y: float, level: float, lowest: bool) -> float:
    """A level field at a place: of the parts round it, the larger first."""
    z = level
    if whole is None:
        return z
    parts = [r for r in whole.regions if _around(r, x, y)]
    for part in sorted(parts, key=lambda r: -_area(r)):
        own = part.planes[0].z_mm
        z = {"set": own, "lower": min(z, own), "raise": max(z, own)}[part.op]
    return z


def _around(part: Region, x: float, y: float) -> bool:
    xs, ys = [p[0] for p in part.outline], [p[1] for p in part.outline]
    return min(xs) < x < max(xs) and min(ys) < y < max(ys)


def _area(part: Region) -> float:
    xs, ys = [p[0] for p in part.outline], [p[1] for p in part.outline]
    return (max(xs) - min(xs)) * (max(ys) - min(ys))


def front(plot: Plot, side: str, low: float, high: float) -> list[tuple[float, float]]:
    """Points of a room just before a stretch of one of its walls, every few mm of the grid."""
    x0, y0, x1, y1 = plot.finished
    count = int((high - low) // 5)
    places = [low + 2.5 + 5 * k for k in range(count)]
    return [{"s0": (a, y0 + 1.0), "s1": (x1 - 1.0, a), "s2": (a, y1 - 1.0), "s3": (x0 + 1.0, a)}[side] for a in places]


def _openings(
    rng: Random, plots: dict[str, Plot], rooms: dict[str, Room], height: float, doorways: Doorways
) -> tuple[Opening, ...]:
    made: list[Opening] = []
    taken: dict[tuple[str, str], list[tuple[float, float]]] = {}
    flush: set[tuple[str, float, float]] = set()
    for _ in range(rng.randint(2, 16)):
        plot = plots[rng.choice(sorted(plots))]
        side = rng.choice((*SIDES, *plot.beyond, *plot.beyond))
        length = plot.drawn[2] - plot.drawn[0] if side in ("s0", "s2") else plot.drawn[3] - plot.drawn[1]
        if length < 500:
            continue
        width = grid(rng, 300, min(1500, length - 100))
        offset = rng.choice((0.0, length - width, grid(rng, 50, length - width), grid(rng, 50, length - width)))
        o = _opening(rng, f"o{len(made)}", plot, side, offset, width, height)
        faces = [(plot, side)]
        if side in plot.beyond:
            faces.append((plots[plot.beyond[side][0]], OPPOSITE[side]))
        low, high = sorted((along(plot.drawn, side, offset), along(plot.drawn, side, offset + width)))
        if any(b > low - 30 and a < high + 30 for p, s in faces for a, b in taken.get((p.name, s), ())):
            continue
        spans = [seen(p, s, (low, high)) for p, s in faces]
        corners = {c for (p, s), span in zip(faces, spans, strict=True) for c in _corners(p, s, span)}
        if (o.kind == "open" and len(set(spans)) != len(spans) - 1) or corners & flush:
            continue
        stepped = doorways != "level"
        if o.kind == "open" and stepped:
            o = _bare_threshold(o, rooms[plot.name], front(plot, side, low, high))
        elif o.kind == "open" and not _same_threshold(o, [(rooms[p.name], p, s) for p, s in faces], (low, high)):
            continue
        if all(_fits(o, rooms[p.name], p, s, (low, high), height, stepped) for p, s in faces):
            made.append(o)
            flush |= corners
            for p, s in faces:
                taken.setdefault((p.name, s), []).append((low, high))
    return tuple(made)


def _same_threshold(o: Opening, faces: list[tuple[Room, Plot, str]], span: tuple[float, float]) -> bool:
    """Whether a doorway stands on the floor of both rooms or of neither: between levels there is a rule for it."""
    return len({
        height_at(room.floor, x, y, 0.0, False) == o.sill_mm
        for room, plot, side in faces for x, y in front(plot, side, *span)
    }) == 1  # fmt: skip


def _bare_threshold(o: Opening, host: Room, places: list[tuple[float, float]]) -> Opening:
    """No coat on a sill that its host walks over."""
    if all(height_at(host.floor, x, y, 0.0, False) < o.sill_mm for x, y in places):
        return o
    sill = Strip(depth_mm=o.reveal.sill.depth_mm, coat=False)
    return replace(o, reveal=replace(o.reveal, sill=sill))


def seen(plot: Plot, side: str, span: tuple[float, float]) -> tuple[float, float]:
    """A stretch along a wall as far as the finished face of that room reaches."""
    x0, y0, x1, y1 = plot.finished
    low, high = (x0, x1) if side in ("s0", "s2") else (y0, y1)
    return max(span[0], low), min(span[1], high)


def _corners(plot: Plot, side: str, span: tuple[float, float]) -> list[tuple[str, float, float]]:
    """The corners of a room that a stretch of its wall reaches: one opening at most lies in each."""
    x0, y0, x1, y1 = plot.finished
    line = {"s0": y0, "s1": x1, "s2": y1, "s3": x0}[side]
    ends = (x0, x1) if side in ("s0", "s2") else (y0, y1)
    return [(plot.name, *((at, line) if side in ("s0", "s2") else (line, at))) for at in span if at in ends]


def _fits(
    o: Opening, room: Room, plot: Plot, side: str, span: tuple[float, float], height: float, stepped: bool
) -> bool:
    """Whether the void stands before an opening up to its head: a step may hide its foot, that of a doorway in a
    ``stepped`` storey only (what it does there is a rule of its own); no sill at a coated top or below it."""
    for x, y in front(plot, side, *span):
        floor = height_at(room.floor, x, y, 0.0, False)
        if floor > (o.sill_mm if o.kind == "open" and not stepped else o.head_mm - 300):
            return False
        if height_at(room.ceiling, x, y, height, True) < o.head_mm:
            return False
        coated = room.floor is not None and any(r.coat_face and _around(r, x, y) for r in room.floor.regions)
        if coated and floor >= o.sill_mm:
            return False
    return True


def _opening(rng: Random, name: str, plot: Plot, side: str, offset: float, width: float, height: float) -> Opening:
    thick = plot.beyond[side][1] if side in plot.beyond else 400.0
    kind = rng.choice(("window", "door", *(("open",) * 2 if side in plot.beyond else ())))
    sill = 0.0 if kind == "door" else rng.choice((0.0, 150.0, 450.0, 900.0, 900.0))
    first, second = grid(rng, 0, thick / 2 - 25), grid(rng, 0, thick / 2 - 25)

    def reveal(depth: float) -> Reveal:
        parts = [Strip(depth_mm=depth, coat=rng.random() < 0.8) for _ in range(4)]
        return Reveal(start=parts[0], end=parts[1], head=parts[2], sill=parts[3])

    return Opening(
        id=OpeningId(name), kind=kind, room=RoomId(plot.name), side=SideId(side), offset_mm=offset, width_mm=width,
        sill_mm=sill, head_mm=sill + grid(rng, 500, max(500, min(2200, height + 200) - sill)),
        reveal=reveal(0.0 if kind == "open" else first), reveal_beyond=reveal(second),
    )  # fmt: skip
