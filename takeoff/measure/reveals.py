"""Openings in a face and their reveal strips, with every border that a strip has."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from takeoff.geometry.curves import Curve
from takeoff.geometry.profiles import Bow, Line, Profile
from takeoff.geometry.tolerances import FLAT_DEG, TOUCH_MM
from takeoff.measure.face import EXCLUDED, NET, OPEN, U_MM, BandLines, Patch, Shape, Slab, slab_beside, spans_at
from takeoff.plan.model import Opening, Reveal, Strip

PARTS = ("start", "head", "end", "sill")


class FaceOpening(NamedTuple):
    """An opening as one face sees it: u0 to u1 along it, and the strips on this side.

    ``owns``: the strips' area is this room's (an open way is counted once, by its host).
    """

    opening: Opening
    u0: float
    u1: float
    reveal: Reveal
    owns: bool
    host: bool


class Strips(NamedTuple):
    """The strips of one opening on one face: per part its seen length along the face (mm), its
    depth along the splay (mm), whether it is coated, and how much of it stays under a band."""

    opening: FaceOpening
    length: dict[str, float]
    frame: dict[str, float]
    depth: dict[str, float]
    coated: dict[str, bool]
    banded: dict[str, float]
    mean: dict[str, float]
    stands: dict[str, bool]
    cut: bool
    under_head: dict[str, bool]
    """Whether a jamb reaches the head; one that the ceiling cuts short has no corner with it."""
    along: dict[str, float]
    """How far each strip runs along the jamb it meets, mm: a level strip follows the splay."""


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


def outline(number: int, o: FaceOpening, patches: Sequence[Patch], length: float) -> Shape:
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
    o: FaceOpening,
    shape: Shape,
    slabs: Sequence[Slab],
    carrier: Curve,
    bands: Sequence[BandLines],
    into_reveals: Sequence[BandLines],
    coat: bool,
) -> Strips:
    """The strips of an opening as far as the face shows them. ``coat``: the face around it is
    coated; strips of an opening in a face that is left out stay uncoated with it."""
    start = _jamb(shape, slab_beside(slabs, shape.u0, True), shape.u0)
    end = _jamb(shape, slab_beside(slabs, shape.u1, False), shape.u1)
    head, sill, cut, stands = _levels(shape, slabs)
    rnd = o.opening.shape == "round"
    length = {
        "start": start[0],
        "end": end[0],
        "head": head + (sill if rnd else 0.0),
        "sill": 0.0 if rnd or stands else sill,
    }
    on_floor = {"start": start[1], "end": end[1], "head": False, "sill": stands}
    depth, frame, mean, coated, banded = {}, {}, {}, {}, {}
    for part in PARTS:
        s = strip(o.reveal, part)
        jamb = part in ("start", "end")
        depth[part] = (
            s.depth_mm / math.cos(math.radians(o.reveal.splay_deg))
            if (jamb or isinstance(shape.top, Bow))
            else s.depth_mm
        )
        coated[part] = s.coat and coat and s.depth_mm > 0.0 and length[part] > U_MM
        frame[part] = _at_frame(o, part, length[part], s.depth_mm, carrier, shape)
        mean[part] = (length[part] + frame[part]) / 2.0
        banded[part] = (
            sum(max(0.0, min(b.end, length[part]) - b.start) for b in into_reveals) if jamb and on_floor[part] else 0.0
        )
    slant = 1.0 / math.cos(math.radians(o.reveal.splay_deg))
    along = {part: strip(o.reveal, part).depth_mm * slant for part in PARTS}
    return Strips(
        o, length, frame, depth, coated, banded, mean, on_floor, cut, {"start": start[2], "end": end[2]}, along
    )


def _jamb(shape: Shape, slab: Slab | None, u: float) -> tuple[float, bool, bool]:
    """(seen height, stands on the floor of the face, reaches the head) of a jamb."""
    if slab is None:
        return 0.0, False, False
    total, stands, reaches = 0.0, False, False
    um = (slab.u0 + slab.u1) / 2.0
    for p in slab.pieces:
        if p.cls == OPEN and p.number == shape.number:
            lo, hi = p.lo.at(u), p.hi.at(u)
            total += hi - lo
            stands = stands or p is slab.pieces[0]
            reaches = abs(p.hi.at(um) - shape.top.at(um)) <= U_MM
    return total, stands, reaches


def _levels(shape: Shape, slabs: Sequence[Slab]) -> tuple[float, float, bool, bool]:
    """Seen length of head and sill, whether the ceiling cuts it, whether it stands on the floor."""
    head = sill = 0.0
    cut = stands = False
    for slab in slabs:
        um = (slab.u0 + slab.u1) / 2.0
        mine = [p for p in slab.pieces if p.cls == OPEN and p.number == shape.number]
        if not mine:
            continue
        if abs(mine[-1].hi.at(um) - shape.top.at(um)) <= U_MM:
            head += shape.top.length(slab.u0, slab.u1)
        elif mine[-1] is slab.pieces[-1]:
            cut = True
        if mine[0] is slab.pieces[0]:
            stands = True
        elif abs(mine[0].lo.at(um) - shape.bottom.at(um)) <= U_MM:
            sill += shape.bottom.length(slab.u0, slab.u1)
    return head, sill, cut, stands


def _at_frame(o: FaceOpening, part: str, length: float, depth: float, carrier: Curve, shape: Shape) -> float:
    """Length of a strip where it meets the frame: shorter by the splay, a ring sector's other
    arc in a curved wall."""
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
    return max(0.0, length - 2.0 * narrowing) * ratio if length > U_MM else 0.0


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
    if s.stands[jamb]:
        if not s.coated[jamb]:
            return []
        cls = "coat_edge" if s.banded[jamb] > 0.0 else "floor_edge"
        return [StripEdge(cls, "reveal", (jamb, "floor"), depth, 90.0)]
    if s.coated[jamb] and s.coated["sill"]:
        both = min(depth, s.along["sill"])
        return [StripEdge("internal", "reveal", (jamb, "sill"), both, 90.0)]
    if s.coated[jamb] and s.opening.opening.shape != "round":
        return [StripEdge("coat_edge", "reveal", (jamb, "sill"), depth, 90.0)]
    if s.coated["sill"]:
        return [StripEdge("coat_edge", "reveal", (jamb, "sill"), s.along["sill"], 90.0)]
    return []


def bare_borders(s: Strips, shape: Shape, slabs: Sequence[Slab], length: float) -> tuple[float, float]:
    """Lengths of coated strip whose face beside it is not coated (mm), which are coat edges: beside
    what is kept, and beside what is bare. Where the opening lies at the end of its face, what adjoins
    there is judged with the corner."""
    total = kept = 0.0
    for part, u, forward in (("start", shape.u0, False), ("end", shape.u1, True)):
        if not s.coated[part] or u <= U_MM or u >= length - U_MM:
            continue
        beside = slab_beside(slabs, u, forward)
        across = slab_beside(slabs, u, not forward)
        if beside is None or across is None:
            continue
        covered = [(a, b) for a, b, cls, _ in spans_at(beside, u) if cls in (NET, OPEN)]
        for a, b, cls, number in spans_at(across, u):
            if cls == OPEN and number == shape.number:
                foot = a + s.banded[part]
                total += (b - foot) - sum(max(0.0, min(b, d) - max(foot, c)) for c, d in covered)
                kept += sum(max(0.0, min(b, d) - max(foot, c)) for c, d, k, _ in spans_at(beside, u) if k == EXCLUDED)
    for part in ("head", "sill"):
        if s.coated[part]:
            every, of_kept = _bare_level(shape, slabs, part)
            total, kept = total + every, kept + of_kept
    return kept, total - kept


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
