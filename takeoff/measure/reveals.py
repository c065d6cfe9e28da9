"""Openings in a face and their reveal strips, with every border that a strip has."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from takeoff.geometry.curves import Curve
from takeoff.geometry.profiles import Bow, Line, Profile
from takeoff.geometry.tolerances import FLAT_DEG, TOUCH_MM
from takeoff.measure.around import Seen
from takeoff.measure.face import EXCLUDED, NET, NOT_COATED, OPEN, U_MM, Patch, Shape, Slab, slab_beside, spans_at
from takeoff.plan.model import Band, Reveal, Strip

PARTS = ("start", "head", "end", "sill")


class Strips(NamedTuple):
    """The strips of one opening on one face: per part its seen length along the face (mm), its
    depth along the splay (mm), whether it is coated, and how much of it stays under a band. ``opening``: with u
    along the finished face."""

    opening: Seen
    length: dict[str, float]
    frame: dict[str, float]
    depth: dict[str, float]
    coated: dict[str, bool]
    banded: dict[str, float]
    mean: dict[str, float]
    cut: bool
    under_head: dict[str, bool]
    """Whether a jamb reaches the head; one that the ceiling cuts short has no corner with it."""
    along: dict[str, float]
    """How far each strip runs along the jamb it meets, mm: a level strip follows the splay."""
    kept: dict[str, tuple[tuple[float, float], ...]]
    """The heights of a jamb, above the datum, over which a band returns into the reveal."""
    foot: dict[str, float]
    """The height of the floor at each jamb that stands on it."""
    sill_ends: int
    """How often the sill ends at a step of the floor before it."""
    onto_floor: float
    """Of an open way of another room: how long its coated sill runs out onto this room's floor, mm."""

    def step(self, part: str) -> float:
        """Up to what height a step of the floor of another room, whose open way it is, stands at a jamb."""
        foot = self.opening.feet[0 if part == "start" else 1]
        return -math.inf if self.opening.owns or foot is None else foot


class StripEdge(NamedTuple):
    """A border of strips: its class and kind, the parts it lies between, length mm, angle."""

    cls: str
    kind: str
    parts: tuple[str, str]
    length: float
    angle_deg: float


def strip(reveal: Reveal, part: str) -> Strip:
    """The strip of a reveal by its part; a round opening has one strip, its head."""
    found: Strip = getattr(reveal, part)
    return found


def outline(number: int, o: Seen, patches: Sequence[Patch], length: float) -> Shape:
    """An opening's outline in a face, cut to the face's length, and drawn onto a floor, corner
    or ceiling that it touches."""
    op = o.opening
    u0 = 0.0 if o.u0 <= TOUCH_MM else o.u0
    u1 = length if o.u1 >= length - TOUCH_MM else o.u1
    middle, half = (o.u0 + o.u1) / 2.0, (o.u1 - o.u0) / 2.0
    bottom: Profile = Line(op.sill_mm)
    top: Profile = Line(op.head_mm)
    if op.shape == "round":
        centre = (op.sill_mm + op.head_mm) / 2.0
        return Shape(number, u0, u1, Bow(middle, centre, half, -1.0), Bow(middle, centre, half, 1.0))
    if op.shape == "semicircular":
        top = Bow(middle, op.head_mm - half, half, 1.0)
    elif op.shape == "segmental" and op.rise_mm > 0.0:
        radius = (half * half + op.rise_mm * op.rise_mm) / (2.0 * op.rise_mm)
        top = Bow(middle, op.head_mm - radius, radius, 1.0)
    for p in patches:
        if p.u0 <= u0 + U_MM and p.u1 >= u1 - U_MM:
            bottom = _touching(bottom, p.lo, u0, u1)
            top = _touching(top, p.hi, u0, u1)
    return Shape(number, u0, u1, bottom, top)


def _touching(own: Profile, other: Profile, u0: float, u1: float) -> Profile:
    if isinstance(own, Bow):
        return own
    near = all(abs(own.at(u) - other.at(u)) <= TOUCH_MM for u in (u0, (u0 + u1) / 2.0, u1))
    return other if near else own


def strips_of(
    o: Seen, shape: Shape, slabs: Sequence[Slab], carrier: Curve, into_reveals: Sequence[Band], coat: bool
) -> Strips:
    """The strips of an opening as far as the face shows them. ``coat``: the face around it is
    coated; strips of an opening in a face that is left out stay uncoated with it. Of the face that
    an open way only comes through at, its host decides both, and on what floor the jambs stand."""
    if not o.owns:
        coat, into_reveals = o.coat, o.bands
    jambs = {
        "start": _jamb(shape, slab_beside(slabs, shape.u0, True), shape.u0),
        "end": _jamb(shape, slab_beside(slabs, shape.u1, False), shape.u1),
    }
    feet = {part: jamb.foot for part, jamb in jambs.items()} if o.owns else dict(zip(jambs, o.feet, strict=True))
    head, sill, cut, sill_ends, level_mm = _levels(shape, slabs)
    rnd = o.opening.shape == "round"
    length = {part: jamb.height for part, jamb in jambs.items()}
    length |= {"head": head + (sill if rnd else 0.0), "sill": 0.0 if rnd else sill}
    foot = {part: jamb.foot for part, jamb in jambs.items() if jamb.foot is not None}
    depth, frame, mean, coated = {}, {}, {}, {}
    for part in PARTS:
        s = strip(o.reveal, part)
        jamb = part in ("start", "end")
        depth[part] = (
            s.depth_mm / math.cos(math.radians(o.reveal.splay_deg))
            if (jamb or isinstance(shape.top, Bow))
            else s.depth_mm
        )
        coated[part] = s.coat and coat and s.depth_mm > 0.0 and length[part] > U_MM
        if part == "sill" and not o.owns and None not in o.feet:
            coated[part] = False  # its host walks over it
        corners = 2 - (len(foot) if part == "sill" else 0)
        frame[part] = _at_frame(o, part, length[part], s.depth_mm, carrier, shape, corners)
        mean[part] = (length[part] + frame[part]) / 2.0
    slant = 1.0 / math.cos(math.radians(o.reveal.splay_deg))
    along = {part: strip(o.reveal, part).depth_mm * slant for part in PARTS}
    low = None if o.owns else o.opening.sill_mm
    tops = {"start": shape.top.at(shape.u0), "end": shape.top.at(shape.u1)}
    if o.owns:
        tops = {part: (jamb.foot or 0.0) + jamb.height for part, jamb in jambs.items()}
    kept = {part: _kept(feet[part], tops[part], into_reveals, low) for part in jambs}
    banded = {part: sum(b - a for a, b in kept.get(part, ())) for part in PARTS}
    under_head = {part: jamb.reaches for part, jamb in jambs.items()}
    runs_out = not o.owns and None in o.feet and coat and o.reveal.sill.coat and o.reveal.sill.depth_mm > 0.0
    onto_floor = level_mm if runs_out else 0.0
    return Strips(
        o, length, frame, depth, coated, banded, mean, cut, under_head, along, kept, foot, sill_ends, onto_floor
    )


class _Jamb(NamedTuple):
    """The seen height of a jamb, the height of the floor that it stands on (None for none), and whether it
    reaches the head."""

    height: float
    foot: float | None
    reaches: bool


def _kept(
    foot: float | None, top: float, bands: Sequence[Band], below: float | None
) -> tuple[tuple[float, float], ...]:
    """The heights over which bands return into a reveal, overlapping ones as one; of an open way from ``below`` up
    to the floor of its host too, which may fill its foot."""
    found: list[tuple[float, float]] = []
    if foot is None:
        return ()
    if below is not None and foot - below > TOUCH_MM:
        found.append((below, min(foot, top)))
    for b in sorted(bands, key=lambda b: b.from_mm):
        low, high = foot + b.from_mm, min(foot + b.to_mm, top)
        if found and low <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], high))
        elif high > low:
            found.append((low, high))
    return tuple(found)


def _jamb(shape: Shape, slab: Slab | None, u: float) -> _Jamb:
    if slab is None:
        return _Jamb(0.0, None, False)
    total, foot, reaches = 0.0, None, False
    um = (slab.u0 + slab.u1) / 2.0
    for p in slab.pieces:
        if p.cls == OPEN and p.number == shape.number:
            lo, hi = p.lo.at(u), p.hi.at(u)
            total += hi - lo
            if p is slab.pieces[0]:
                foot = lo
            reaches = abs(p.hi.at(um) - shape.top.at(um)) <= U_MM
    return _Jamb(total, foot, reaches)


def _levels(shape: Shape, slabs: Sequence[Slab]) -> tuple[float, float, bool, int, float]:
    """Seen length of head and sill, whether the ceiling cuts it, how often its sill runs on into floor, and how
    long the floor before it lies at its height."""
    head = sill = flush = 0.0
    cut, ends, before = False, 0, ""
    for slab in slabs:
        um = (slab.u0 + slab.u1) / 2.0
        mine = [p for p in slab.pieces if p.cls == OPEN and p.number == shape.number]
        if not mine:
            continue
        if abs(mine[-1].hi.at(um) - shape.top.at(um)) <= U_MM:
            head += shape.top.length(slab.u0, slab.u1)
        elif mine[-1] is slab.pieces[-1]:
            cut = True
        here, low = "", mine[0].lo.at(um)
        if mine[0] is slab.pieces[0]:
            here = "floor"
            if abs(low - shape.bottom.at(um)) <= U_MM:
                flush += shape.bottom.length(slab.u0, slab.u1)
        elif abs(low - shape.bottom.at(um)) <= U_MM:
            here = "sill"
            sill += shape.bottom.length(slab.u0, slab.u1)
        ends += {before, here} == {"sill", "floor"}
        before = here
    return head, sill, cut, ends, flush


def _at_frame(o: Seen, part: str, length: float, depth: float, carrier: Curve, shape: Shape, corners: int) -> float:
    """Length of a strip where it meets the frame: shorter by the splay at each of its ``corners`` with a jamb,
    a ring sector's other arc in a curved wall."""
    if part in ("start", "end"):
        return length
    ratio = 1.0
    if carrier.bulge:
        # Outwards from the room the radius grows where the wall turns left round the room.
        ratio = (carrier.radius + carrier.turn * depth) / carrier.radius
    narrowing = depth * math.tan(math.radians(o.reveal.splay_deg))
    if isinstance(shape.top, Bow) and part == "head":
        radius = shape.top.radius
        return length * max(0.0, radius - narrowing) / radius * ratio
    return max(0.0, length - corners * narrowing) * ratio if length > U_MM else 0.0


def strip_edges(s: Strips, shape: Shape) -> list[StripEdge]:
    """Corners between strips, their frame joints, and what their feet stand on."""
    found: list[StripEdge] = []
    kind = s.opening.opening.kind
    for part in PARTS:
        if s.coated[part] and kind != "open":
            joint = s.frame[part] - s.banded[part]
            if joint > U_MM:
                found.append(StripEdge("frame_joint", "frame", (part, "frame"), joint, 0.0))
    for jamb in ("start", "end"):
        if s.length[jamb] > U_MM:
            found += _jamb_head(s, jamb, shape)
            found += _jamb_foot(s, jamb)
    if s.coated["sill"]:
        end = StripEdge("floor_edge", "reveal", ("sill", "floor"), s.depth["sill"], 180.0)
        found += [end] * s.sill_ends
    return found


def _jamb_head(s: Strips, jamb: str, shape: Shape) -> list[StripEdge]:
    depth = s.depth[jamb]
    if not s.under_head[jamb]:
        return []
    if isinstance(shape.top, Bow):
        x = (shape.u1 - shape.u0) / 2.0 / shape.top.radius
        angle = 90.0 + math.degrees(math.asin(min(1.0, x)))
    else:
        angle = 90.0
    if s.coated[jamb] and s.coated["head"]:
        if angle > 180.0 - FLAT_DEG:
            return []
        both = min(depth, s.along["head"])
        return [StripEdge("internal", "reveal", (jamb, "head"), both, angle)]
    if s.coated[jamb]:
        return [StripEdge("coat_edge", "reveal", (jamb, "head"), depth, angle)]
    if s.coated["head"]:
        return [StripEdge("coat_edge", "reveal", (jamb, "head"), s.along["head"], angle)]
    return []


def _jamb_foot(s: Strips, jamb: str) -> list[StripEdge]:
    depth = s.depth[jamb]
    if jamb in s.foot:
        return _ends_at_bands(s, jamb) if s.coated[jamb] else []
    if s.coated[jamb] and s.coated["sill"]:
        both = min(depth, s.along["sill"])
        return [StripEdge("internal", "reveal", (jamb, "sill"), both, 90.0)]
    if s.coated[jamb] and s.opening.opening.shape != "round":
        return [StripEdge("coat_edge", "reveal", (jamb, "sill"), depth, 90.0)]
    if s.coated["sill"]:
        return [StripEdge("coat_edge", "reveal", (jamb, "sill"), s.along["sill"], 90.0)]
    return []


def _ends_at_bands(s: Strips, jamb: str) -> list[StripEdge]:
    """What a coated jamb that stands on the floor ends at: the floor, or the bands that return into it."""
    kept = s.kept[jamb]
    floor = [] if kept and kept[0][0] <= s.foot[jamb] + U_MM else ["floor_edge"]
    borders = floor + [
        "coat_edge"
        for low, high in kept
        for z in (low, high)
        if s.foot[jamb] + U_MM < z < s.foot[jamb] + s.length[jamb] - U_MM
    ]
    return [StripEdge(cls, "reveal", (jamb, "floor"), s.depth[jamb], 90.0) for cls in borders]


def bare_borders(s: Strips, shape: Shape, slabs: Sequence[Slab], length: float) -> tuple[float, float]:
    """Lengths of coated strip whose face beside it is not coated (mm), which are coat edges: beside
    what is kept, and beside what is bare. Where no face stands beside it (at the end of its own, or where
    a step begins at its jamb), what adjoins there is judged with the corner."""
    length_of = {EXCLUDED: 0.0, NOT_COATED: 0.0}
    for part, u, forward in (("start", shape.u0, False), ("end", shape.u1, True)):
        if not s.coated[part] or u <= U_MM or u >= length - U_MM:
            continue
        beside = slab_beside(slabs, u, forward)
        across = slab_beside(slabs, u, not forward)
        if beside is None or across is None:
            continue
        uncoated = [(a, b, cls) for a, b, cls, _ in spans_at(beside, u) if cls in length_of]
        for a, b, cls, number in spans_at(across, u):
            if cls == OPEN and number == shape.number:
                for low, high in between(a, b, s.kept[part]):
                    for c, d, what in uncoated:
                        length_of[what] += max(0.0, min(high, d) - max(low, c))
    kept, total = length_of[EXCLUDED], sum(length_of.values())
    rnd = s.opening.opening.shape == "round"
    for part in ("head", "sill"):
        if s.coated["head" if rnd else part]:
            every, of_kept = _bare_level(shape, slabs, part)
            total, kept = total + every, kept + of_kept
    return kept, total - kept


def between(low: float, high: float, kept: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """A stretch of height less some others, in order."""
    found = []
    for a, b in kept:
        if a - low > U_MM:
            found.append((low, min(a, high)))
        low = max(low, b)
    return [*found, (low, high)] if high - low > U_MM else found


def _bare_level(shape: Shape, slabs: Sequence[Slab], part: str) -> tuple[float, float]:
    """(every, of it beside what is kept)"""
    total = kept = 0.0
    for slab in slabs:
        for i, p in enumerate(slab.pieces):
            if p.cls != OPEN or p.number != shape.number:
                continue
            j = i + 1 if part == "head" else i - 1
            if (
                0 <= j < len(slab.pieces)
                and slab.pieces[j].patch == p.patch
                and (slab.pieces[j].cls not in (NET, OPEN))
            ):
                f = p.hi if part == "head" else p.lo
                total += f.length(slab.u0, slab.u1)
                kept += f.length(slab.u0, slab.u1) if slab.pieces[j].cls == EXCLUDED else 0.0
    return total, kept
