"""The quantities of a storey of square rooms, from the blocks of space between all planes that anything lies on.

Every block is void or not; between a void block and a solid one there is a face, and where faces meet along an edge
of the grid the void's angle is a quarter, a half or three quarters of a turn. Exact, and written from the meaning
of the quantities alone: it shares nothing with the measuring engine but the plan types.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from solids_reading import Surface, edge_key
from solids_storeys import OPPOSITE, SIDES, Plot, Thrown, along, height_at, seen

from takeoff.plan.model import Border, Opening, Reveal, Room, WallTreatment

DEEP_MM = 3000.0
OUT = {"s0": (1, -1), "s1": (0, 1), "s2": (1, 1), "s3": (0, -1)}
"""By side: the axis that it looks out along, and which way."""

Span = tuple[float, float]

THRESHOLD, FAR_STEP = "threshold", "far step"
"""Floor in a doorway, which its far face ends at as at a bare sill; and the front of a step beyond it, which hides
the foot of its strips from the far face only."""


@dataclass(frozen=True)
class Coded:
    """A face: its surface, the room that it counts for, and whether it is a part of an opening."""

    surface: Surface
    room: str
    strip: bool = False


@dataclass
class Hole:
    """An opening as one face shows it: from ``low`` to ``high`` along the wall; ``deep`` void behind the face."""

    opening: Opening
    plot: Plot
    side: str
    span: Span
    reveal: Reveal
    deep: float
    owner: str
    coat: bool
    bands: tuple[Span, ...]
    """Where skirting returns into it, above the floor that it stands on."""
    frame: bool = True


def treatment_of(room: Room, side: str) -> WallTreatment:
    return next(s for s in room.outline if s.id == side).treatment or room.walls


def from_start(plot: Plot, side: str, at: float, *, drawn: bool) -> float:
    """How far along a side a coordinate lies, from its drawn or its finished start."""
    x0, y0, x1, y1 = plot.drawn if drawn else plot.finished
    return {"s0": at - x0, "s1": at - y0, "s2": x1 - at, "s3": y1 - at}[side]


def length_of(plot: Plot, side: str) -> float:
    x0, y0, x1, y1 = plot.finished
    return x1 - x0 if side in ("s0", "s2") else y1 - y0


def coated_at(t: WallTreatment, length: float, u: float) -> bool:
    """Whether a wall is to be coated at u from its finished start, returns only where there are any."""
    if not t.coat:
        return False
    if t.start_mm is None and t.end_mm is None:
        return True
    return u < (t.start_mm or 0.0) or u > length - (t.end_mm or 0.0)


def holes_of(thrown: Thrown) -> list[Hole]:
    rooms = {r.id: r for r in thrown.storey.rooms}
    found = []
    for o in thrown.storey.openings:
        plot, side = thrown.plots[o.room], str(o.side)
        span = clipped(plot, side, o)
        room = rooms[o.room]
        t = treatment_of(room, side)
        coat = strips_coated(t, plot, side, span)
        bands = returned(t)
        beyond = plot.beyond.get(side)
        other = thrown.plots[beyond[0]] if beyond else None
        if o.kind == "open":
            assert beyond is not None
            assert other is not None
            back = OPPOSITE[side]
            deep = beyond[1] + plot.finish[SIDES.index(side)] + other.finish[SIDES.index(back)]
            found.append(Hole(o, plot, side, span, o.reveal, deep, plot.name, coat, bands, frame=False))
            turned = Reveal(start=o.reveal.end, end=o.reveal.start, head=o.reveal.head, sill=o.reveal.sill)
            found.append(
                Hole(o, other, back, clipped(other, back, o, plot), turned, 0.0, plot.name, coat, bands, False)
            )
            continue
        found.append(Hole(o, plot, side, span, o.reveal, o.reveal.head.depth_mm, plot.name, coat, bands))
        if other is not None:
            back = OPPOSITE[side]
            span = clipped(other, back, o, plot)
            t = treatment_of(rooms[other.name], back)
            reveal = o.reveal_beyond
            assert reveal is not None
            coat = strips_coated(t, other, back, span)
            found.append(Hole(o, other, back, span, reveal, reveal.head.depth_mm, other.name, coat, returned(t)))
    return found


def clipped(plot: Plot, side: str, o: Opening, host: Plot | None = None) -> Span:
    """An opening along the wall, as far as the finished face of that room reaches."""
    drawn = (host or plot).drawn
    a, b = sorted(along(drawn, str(o.side), u) for u in (o.offset_mm, o.offset_mm + o.width_mm))
    return seen(plot, side, (a, b))


def strips_coated(t: WallTreatment, plot: Plot, side: str, span: Span) -> bool:
    """Strips of an opening in a wall that is left out all round it are left out with it."""
    length = length_of(plot, side)
    ends = sorted(from_start(plot, side, at, drawn=False) for at in span)
    stops = sorted({*ends, *(e for e in (t.start_mm or 0.0, length - (t.end_mm or 0.0)) if ends[0] < e < ends[1])})
    return any(coated_at(t, length, (a + b) / 2) for a, b in pairwise(stops) if b > a)


def returned(t: WallTreatment) -> tuple[Span, ...]:
    return tuple((b.from_mm, b.to_mm) for b in t.bands if b.edge == "bottom" and b.into_reveals)


# The blocks ------------------------------------------------------------------------------------------


class Blocks:
    """A storey cut up: what is void, and every face of it."""

    def __init__(self, thrown: Thrown) -> None:
        self.thrown = thrown
        self.rooms = {str(r.id): r for r in thrown.storey.rooms}
        self.height = thrown.storey.height_mm
        self.holes = holes_of(thrown)
        self.at = self._planes()
        self.mid = [(a[1:] + a[:-1]) / 2 for a in self.at]
        shape = tuple(len(m) for m in self.mid)
        self.room = np.full(shape, -1, dtype=np.int32)
        """Number of the room whose void a block is; −1 none."""
        self.hole = np.full(shape, -1, dtype=np.int32)
        self.codes: list[Coded | None] = [None]
        self.known: dict[Coded, int] = {}
        self.faces = {(axis, way): np.zeros(shape, dtype=np.int32) for axis in range(3) for way in (-1, 1)}
        self.gross: dict[str, float] = defaultdict(float)
        self.open: dict[str, float] = defaultdict(float)
        self.area: dict[Coded, float] = defaultdict(float)
        self._fill()
        self._face_all()

    def _planes(self) -> list[np.ndarray]:
        xs: list[list[float]] = [[], [], [0.0, self.height]]
        for plot in self.thrown.plots.values():
            room = self.rooms[plot.name]
            for box in (plot.drawn, plot.finished):
                xs[0] += [box[0], box[2]]
                xs[1] += [box[1], box[3]]
            fields = [f for f in (room.floor, room.ceiling) if f is not None]
            for part in (r for f in fields for r in f.regions):
                xs[0] += [p[0] for p in part.outline]
                xs[1] += [p[1] for p in part.outline]
            xs[2] += [p.z_mm for f in fields for r in f.regions for p in r.planes]
            self._treated(xs, plot, room)
        for hole in self.holes:
            across, way = OUT[hole.side]
            line = self._line(hole.plot, hole.side)
            xs[across] += [line, line + way * hole.deep]
            xs[1 - across] += list(hole.span)
            xs[2] += [hole.opening.sill_mm, hole.opening.head_mm]
        xs[2] = self._with_bands(sorted(set(xs[2])))
        for k in range(3):
            low, high = min(xs[k]) - DEEP_MM, max(xs[k]) + DEEP_MM
            xs[k] = [low, *xs[k], high]
        return [np.array(sorted({round(v, 6) for v in axis})) for axis in xs]

    def _treated(self, xs: list[list[float]], plot: Plot, room: Room) -> None:
        x0, y0, x1, y1 = plot.finished
        t = room.ceiling_treatment
        for border in (*t.left_on, *t.only):
            xs[0] += [v for v in (x0 + border.width_mm, x1 - border.width_mm) if x0 < v < x1]
            xs[1] += [v for v in (y0 + border.width_mm, y1 - border.width_mm) if y0 < v < y1]
        for e in t.exclusions:
            xs[0] += [p[0] for p in e.outline]
            xs[1] += [p[1] for p in e.outline]
        for side in SIDES:
            w, run = treatment_of(room, side), 1 - OUT[side][0]
            for e in w.exclusions:
                xs[run] += [along(plot.drawn, side, p[0]) for p in e.outline]
                xs[2] += [p[1] for p in e.outline]
            if w.start_mm is not None:
                xs[run].append(along(plot.finished, side, w.start_mm))
            if w.end_mm is not None:
                xs[run].append(along(plot.finished, side, length_of(plot, side) - w.end_mm))

    def _with_bands(self, zs: list[float]) -> list[float]:
        """Bands lie over every floor and under every ceiling there is."""
        found = set(zs)
        for room in self.rooms.values():
            for side in SIDES:
                for b in treatment_of(room, side).bands:
                    sign = 1.0 if b.edge == "bottom" else -1.0
                    found |= {z + sign * d for z in zs for d in (b.from_mm, b.to_mm)}
        return sorted(found)

    def _line(self, plot: Plot, side: str) -> float:
        x0, y0, x1, y1 = plot.finished
        return {"s0": y0, "s1": x1, "s2": y1, "s3": x0}[side]

    def _fill(self) -> None:
        mx, my, mz = self.mid
        for number, plot in enumerate(self.thrown.plots.values()):
            x0, y0, x1, y1 = plot.finished
            for i in np.nonzero((mx > x0) & (mx < x1))[0]:
                for j in np.nonzero((my > y0) & (my < y1))[0]:
                    low, high = self.bounds(plot, mx[i], my[j])
                    self.room[i, j, (mz > low) & (mz < high)] = number
        self.bare = self.room >= 0
        self.void = self.bare.copy()
        for n, hole in enumerate(self.holes):
            if hole.deep <= 0.0:
                continue
            across, way = OUT[hole.side]
            line = self._line(hole.plot, hole.side)
            a, b = sorted((line, line + way * hole.deep))
            picks = [None, None, (mz > hole.opening.sill_mm) & (mz < hole.opening.head_mm)]
            picks[across] = (self.mid[across] > a) & (self.mid[across] < b)
            picks[1 - across] = (self.mid[1 - across] > hole.span[0]) & (self.mid[1 - across] < hole.span[1])
            where = np.zeros(self.void.shape, dtype=bool)
            where[np.ix_(*picks)] = True
            # a step before it hides its foot
            before = int(np.nonzero(np.isclose(self.at[across], line))[0][0]) - (1 if way > 0 else 0)
            where &= np.expand_dims(np.take(self.bare, before, axis=across), across)
            self.hole[where] = n
            self.void |= where

    def bounds(self, plot: Plot, x: float, y: float) -> Span:
        room = self.rooms[plot.name]
        return height_at(room.floor, x, y, 0.0, False), height_at(room.ceiling, x, y, self.height, True)

    def _code(self, coded: Coded) -> int:
        if coded not in self.known:
            self.known[coded] = len(self.codes)
            self.codes.append(coded)
        return self.known[coded]

    def _face_all(self) -> None:
        """Every face of the void, and the walls as they were without openings."""
        size = [np.diff(a) for a in self.at]
        plots = list(self.thrown.plots.values())
        for axis in range(3):
            for way in (-1, 1):
                beyond = np.roll(self.void, -way, axis=axis)
                for i, j, k in np.argwhere(self.void & ~beyond):
                    coded = self._of(plots, (int(i), int(j), int(k)), axis, way)
                    spans = [size[n][(i, j, k)[n]] for n in range(3) if n != axis]
                    self.faces[axis, way][i, j, k] = self._code(coded)
                    self.area[coded] += float(spans[0] * spans[1]) / 1e6
                if axis == 2:
                    continue
                solid = ~np.roll(self.bare, -way, axis=axis)
                for i, j, k in np.argwhere(self.bare & solid):
                    plot = plots[self.room[i, j, k]]
                    side = self._side(plot, (int(i), int(j), int(k)), axis, way)
                    if side is None:
                        continue
                    spans = [size[n][(i, j, k)[n]] for n in range(3) if n != axis]
                    area = float(spans[0] * spans[1]) / 1e6
                    self.gross[plot.name] += area
                    if self._hole_at(plot, side, self._middle((int(i), int(j), int(k)), axis)) is not None:
                        self.open[plot.name] += area

    def _middle(self, block: tuple[int, int, int], axis: int) -> tuple[float, float]:
        """(along the wall, height) of the middle of an upright face."""
        return float(self.mid[1 - axis][block[1 - axis]]), float(self.mid[2][block[2]])

    def _side(self, plot: Plot, block: tuple[int, int, int], axis: int, way: int) -> str | None:
        side = next(s for s, out in OUT.items() if out == (axis, way))
        edge = self.at[axis][block[axis] + (1 if way > 0 else 0)]
        return side if abs(edge - self._line(plot, side)) < 1e-6 else None

    def _hole_at(self, plot: Plot, side: str, at: tuple[float, float]) -> Hole | None:
        for hole in self.holes:
            o = hole.opening
            here = hole.plot is plot and hole.side == side
            if here and hole.span[0] < at[0] < hole.span[1] and o.sill_mm < at[1] < o.head_mm:
                return hole
        return None

    def _of(self, plots: list[Plot], block: tuple[int, int, int], axis: int, way: int) -> Coded:
        if self.room[block] < 0:
            return self._in_hole(self.holes[self.hole[block]], block, axis, way)
        plot = plots[self.room[block]]
        x, y = (float(self.mid[n][block[n]]) for n in range(2))
        if axis == 2:
            return self._level(plot, x, y, overhead=way > 0)
        side = self._side(plot, block, axis, way)
        if side is not None:
            return self._wall(plot, side, self._middle(block, axis), self.bounds(plot, x, y))
        return self._jump(plot, block, axis, way)

    def _wall(self, plot: Plot, side: str, at: tuple[float, float], bounds: Span) -> Coded:
        hole = self._hole_at(plot, side, at)
        if hole is not None and not hole.frame:  # a step of its host's floor ends there, flush with this face
            return Coded(Surface("floor", THRESHOLD), plot.name, strip=True)
        if hole is not None:  # it has no depth: the frame stands in the face
            return Coded(Surface("frame", str(hole.opening.id)), plot.name, strip=True)
        t = treatment_of(self.rooms[plot.name], side)
        up, down = at[1] - bounds[0], bounds[1] - at[1]
        kept = any(b.from_mm < (up if b.edge == "bottom" else down) < b.to_mm for b in t.bands)
        u = from_start(plot, side, at[0], drawn=True)
        for e in t.exclusions:
            us, zs = [p[0] for p in e.outline], [p[1] for p in e.outline]
            kept = kept or (min(us) < u < max(us) and min(zs) < at[1] < max(zs))
        coat = coated_at(t, length_of(plot, side), from_start(plot, side, at[0], drawn=False))
        return Coded(Surface("wall", f"{side}{'kept' if kept else ''}", coat and not kept), plot.name)

    def _level(self, plot: Plot, x: float, y: float, *, overhead: bool) -> Coded:
        room = self.rooms[plot.name]
        if not overhead:
            parts = [r for r in (room.floor.regions if room.floor else ()) if _within(r.outline, x, y)]
            top = bool(parts and parts[0].coat_face and parts[0].planes[0].z_mm > 0.0)
            return Coded(Surface("top", "f", True) if top else Surface("floor"), plot.name)
        t = room.ceiling_treatment
        bare = any(_within(e.outline, x, y) for e in t.exclusions) or any(_in_border(plot, b, x, y) for b in t.left_on)
        if t.only:
            bare = bare or not any(_in_border(plot, b, x, y) for b in t.only)
        return Coded(Surface("ceiling", "", t.coat and not bare), plot.name)

    def _jump(self, plot: Plot, block: tuple[int, int, int], axis: int, way: int) -> Coded:
        """The upright face where a ceiling or a floor jumps."""
        room = self.rooms[plot.name]
        place = [float(self.mid[n][block[n]]) for n in range(3)]
        place[axis] = float(self.mid[axis][block[axis] + way])
        low, high = self.bounds(plot, place[0], place[1])
        if place[2] > high:
            t = room.ceiling_treatment
            return Coded(Surface("drop", "c", t.coat and not t.only), plot.name)
        assert place[2] < low
        assert room.floor is not None
        return Coded(Surface("riser", "f", bool(room.floor.regions[0].coat_sides)), plot.name)

    def _in_hole(self, hole: Hole, block: tuple[int, int, int], axis: int, way: int) -> Coded:
        o, (across, out) = hole.opening, OUT[hole.side]
        if axis == across:
            assert way == out, "an opening's back looks into its room"
            if not hole.frame:
                return Coded(Surface("floor", FAR_STEP), hole.owner, strip=True)
            return Coded(Surface("frame", str(o.id)), hole.owner, strip=True)
        run, z = self._middle(block, across)
        floor = self._floor_before(hole, run)
        if axis == 2:
            if way < 0 and floor > o.sill_mm - 1e-6:
                return Coded(Surface("floor", THRESHOLD if not hole.frame else ""), hole.owner, strip=True)
            name = "head" if way > 0 else "sill"
        else:
            start = along(hole.plot.drawn, hole.side, 0.0)
            edge = hole.span[1] if way > 0 else hole.span[0]
            if abs(self.at[axis][block[axis] + (1 if way > 0 else 0)] - edge) > 1e-6:
                return Coded(Surface("floor"), hole.owner, strip=True)  # the side of a step, which is masked
            other = hole.span[0] if way > 0 else hole.span[1]
            name = "start" if abs(edge - start) < abs(other - start) else "end"
        strip = getattr(hole.reveal, name)
        coat = strip.coat and hole.coat
        if axis != 2:
            inner = hole.span[1] - 1e-3 if way > 0 else hole.span[0] + 1e-3
            foot = self._floor_before(hole, inner)
            if foot > o.sill_mm - 1e-6 and any(a < z - foot < b for a, b in hole.bands):
                coat = False
        return Coded(Surface("reveal", f"{o.id}/{name}", coat), hole.owner, strip=True)

    def _floor_before(self, hole: Hole, run: float) -> float:
        line, (across, way) = self._line(hole.plot, hole.side), OUT[hole.side]
        place = [0.0, 0.0]
        place[across], place[1 - across] = line - way * 1.0, run
        return self.bounds(hole.plot, place[0], place[1])[0]


def _within(outline: Iterable[tuple[float, float, float]], x: float, y: float) -> bool:
    ring = list(outline)
    xs, ys = [p[0] for p in ring], [p[1] for p in ring]
    return min(xs) < x < max(xs) and min(ys) < y < max(ys)


def _in_border(plot: Plot, border: Border, x: float, y: float) -> bool:
    x0, y0, x1, y1 = plot.finished
    away = {"s0": y - y0, "s1": x1 - x, "s2": y1 - y, "s3": x - x0}
    return any(away[s] < border.width_mm for s in SIDES if not border.sides or s in border.sides)


# Edges -----------------------------------------------------------------------------------------------


def edges_of(blocks: Blocks) -> dict[tuple[int, int, int], float]:
    """(face, face, angle of the void in quarter turns) → length, mm; the smaller face first."""
    total: dict[tuple[int, int, int], float] = defaultdict(float)
    for axis in range(3):
        i, j = (n for n in range(3) if n != axis)
        v = np.moveaxis(blocks.void, (i, j, axis), (0, 1, 2))
        f = {key: np.moveaxis(codes, (i, j, axis), (0, 1, 2)) for key, codes in blocks.faces.items()}
        a, b, c, d = v[:-1, :-1], v[1:, :-1], v[1:, 1:], v[:-1, 1:]
        ab = f[i, 1][:-1, :-1] + f[i, -1][1:, :-1]
        bc = f[j, 1][1:, :-1] + f[j, -1][1:, 1:]
        cd = f[i, -1][1:, 1:] + f[i, 1][:-1, 1:]
        da = f[j, -1][:-1, 1:] + f[j, 1][:-1, :-1]
        count = a.astype(int) + b + c + d
        long = np.broadcast_to(np.diff(blocks.at[axis]), count.shape)
        across = (count == 2) & (a == c)
        two = (count > 0) & (count < 4) & ~across
        four = np.sort(np.stack((ab, bc, cd, da)), axis=0)
        _add(total, four[2][two], four[3][two], count[two], long[two])
        one = np.ones(int(across.sum()), dtype=int)
        first = a[across]
        _add(total, ab[across], np.where(first, da[across], bc[across]), one, long[across])
        _add(total, cd[across], np.where(first, bc[across], da[across]), one, long[across])
    return total


def _add(
    total: dict[tuple[int, int, int], float], one: np.ndarray, two: np.ndarray, turn: np.ndarray, long: np.ndarray
) -> None:
    for p, q, t, mm in zip(one.tolist(), two.tolist(), turn.tolist(), long.tolist(), strict=True):
        total[min(p, q), max(p, q), t] += mm


NO_EDGE = ("", "")


def _in_doorway(one: Coded, two: Coded) -> tuple[str, str] | None:
    """What a doorway's floor makes of an edge that other floors do not; None for all others."""
    for strip, other in ((one, two), (two, one)):
        if strip.surface == Surface("floor", FAR_STEP) and other.strip:
            return NO_EDGE
        if strip.surface == Surface("floor", THRESHOLD) and other.surface.kind == "wall" and other.surface.coated:
            return ("coat_edge", "")
    return None


def quantities(thrown: Thrown) -> dict[str, dict[str, float]]:
    """The figures of every room of a storey by name."""
    blocks = Blocks(thrown)
    made: dict[str, dict[str, float]] = {}
    for plot in thrown.plots.values():
        mine = [(c.surface, area) for c, area in blocks.area.items() if c.room == plot.name]

        def areas(*kinds: str, mine: list[tuple[Surface, float]] = mine, coated: bool = True) -> float:
            return sum(area for s, area in mine if s.kind in kinds and s.coated == coated)

        x0, y0, x1, y1 = plot.finished
        made[plot.name] = {
            "perimeter_m": 2 * (x1 - x0 + y1 - y0) / 1000,
            "floor_m2": (x1 - x0) * (y1 - y0) / 1e6 - areas("top"),
            "wall_gross_m2": blocks.gross[plot.name],
            "openings_m2": blocks.open[plot.name],
            "wall_net_m2": areas("wall"),
            "ceiling_m2": areas("ceiling"),
            "drop_m2": areas("drop", "riser", "top"),
            "reveal_m2": areas("reveal"),
        }
    lengths: dict[tuple[str, str, str], float] = defaultdict(float)
    for (p, q, turn), mm in edges_of(blocks).items():
        one, two = blocks.codes[p], blocks.codes[q]
        assert one is not None
        assert two is not None
        key = _in_doorway(one, two) or edge_key(one.surface, two.surface, 90.0 * turn)
        if key == NO_EDGE:
            continue
        if key is not None:
            owner = one if not one.strip else two
            lengths[owner.room, key[0], key[1]] += mm / 1000
    for name, figures in made.items():
        figures["coated_m2"] = sum(figures[f"{k}_m2"] for k in ("wall_net", "ceiling", "drop", "reveal"))
        mine = {key[1:]: m for key, m in lengths.items() if key[0] == name}
        for cls in ("external", "coat_edge", "floor_edge", "frame_joint"):
            figures[f"{cls}_corner_m" if cls == "external" else f"{cls}_m"] = sum(
                m for (c, _), m in mine.items() if c == cls
            )
        for kind in ("wall_wall", "wall_ceiling", "ceiling", "drop", "reveal"):
            figures[f"internal.{kind}"] = mine.get(("internal", kind), 0.0)
        for kind in ("room", "opening", "drop", "ceiling", "low"):
            figures[f"external.{kind}"] = mine.get(("external", kind), 0.0)
    return made
