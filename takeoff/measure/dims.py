"""The lines of the dimension sheet: every figure as times × dimensions, in the order taken off."""

from __future__ import annotations

import math
from collections.abc import Sequence

from takeoff.geometry.profiles import strips_between
from takeoff.geometry.tolerances import FLAT_DEG
from takeoff.measure.face import EXCLUDED, NOT_COATED, OPEN, Slab
from takeoff.measure.gather import FaceFacts, reveal_here
from takeoff.measure.level import Light, Piece
from takeoff.measure.reveals import PARTS
from takeoff.measure.takeoff import Dim, Edge, EdgeClass, Ends

M = 1000.0

PART_WORDS = {"start": "jamb", "end": "jamb", "head": "head", "sill": "sill"}
KIND_WORDS = {"window": "window", "door": "door", "open": "open way"}


def line(quantity: str, times: float, dims: Sequence[float], what: str, where: str) -> Dim:
    """One line; the product is worked from unrounded dims."""
    return Dim(quantity, times, tuple(dims), math.prod(dims, start=times), what, where)


def face_lines(f: FaceFacts) -> list[Dim]:
    """A face's gross area, then what is taken off it, each as length × mean height."""
    if f.kind != "wall":
        return [line("drop_m2", 1.0, (w / M, h / M), "drop face", f.name) for w, h in spread(f.slabs, {0})]
    found = [
        line("wall_gross_m2", 1.0, (w / M, h / M), "wall", f.name)
        for w, h in spread(f.slabs, {0, OPEN, EXCLUDED, NOT_COATED})
    ]
    for s, shape in zip(f.strips, f.shapes, strict=True):
        area = hole_area(f, shape.number)
        o = s.opening.opening
        width = min(shape.u1, f.carrier.length) - max(shape.u0, 0.0)
        if area > 0.0 and width > 0.0:
            found.append(
                line(
                    "openings_m2", 1.0, (width / M, area / width / M), f"{KIND_WORDS[o.kind]} {o.mark or o.id}", f.name
                )
            )
    for cls, quantity, what in ((EXCLUDED, "excluded_m2", "left on"), (NOT_COATED, "not_coated_m2", "not coated")):
        found += [line(quantity, 1.0, (w / M, h / M), what, f.name) for w, h in spread(f.slabs, {cls})]
    return found


def hole_area(f: FaceFacts, number: int) -> float:
    """What one opening takes off a face, mm²."""
    return sum(
        p.hi.under(b.u0, b.u1) - p.lo.under(b.u0, b.u1)
        for b in f.slabs
        for p in b.pieces
        if p.cls == OPEN and p.number == number
    )


def spread(slabs: Sequence[Slab], classes: set[int]) -> list[tuple[float, float]]:
    """The part of a face in some classes as (length, mean height)."""
    edges = []
    for slab in slabs:
        run = [p for p in slab.pieces if p.cls in classes]
        for i, p in enumerate(run):
            if i == 0 or run[i - 1].hi is not p.lo:
                edges.append((slab.u0, slab.u1, p.lo))
            if i == len(run) - 1 or run[i + 1].lo is not p.hi:
                edges.append((slab.u0, slab.u1, p.hi))
    return strips_between(edges)


def net_lines(lines: Sequence[Dim]) -> list[Dim]:
    """Net wall: the gross lines, less openings, what is left on and what is not coated."""
    found = [d for d in lines if d.quantity == "wall_gross_m2"]
    found += [d for d in lines if d.quantity in ("openings_m2", "excluded_m2", "not_coated_m2")]
    return [
        line("wall_net_m2", d.times if d.quantity == "wall_gross_m2" else -d.times, d.dims, d.what, d.where)
        for d in found
    ]


def strip_lines(f: FaceFacts) -> list[Dim]:
    """The coated reveal strips of a face, equal jambs together."""
    found = []
    for s in f.strips:
        if not s.opening.owns:
            continue
        sizes: dict[tuple[str, float, float], int] = {}
        for part in PARTS:
            if s.coated[part]:
                length = s.mean[part] - s.banded[part]
                key = (PART_WORDS[part], round(length, 6), round(s.depth[part], 6))
                sizes[key] = sizes.get(key, 0) + 1
        o = s.opening.opening
        found += [
            line(
                "reveal_m2",
                float(n),
                (length / M, depth / M),
                f"{word}, {KIND_WORDS[o.kind]} {o.mark or o.id}",
                reveal_here(s),
            )
            for (word, length, depth), n in sizes.items()
        ]
    return found


def piece_lines(p: Piece) -> list[Dim]:
    """The coated area of a ceiling piece or a raised top; a slope shows its factor."""
    quantity, what = ("ceiling_m2", "ceiling") if p.kind == "ceiling" else ("drop_m2", "top")
    slope = () if p.factor == 1.0 else (p.factor,)
    return [line(quantity, 1.0, (w / M, h / M, *slope), what, p.name) for w, h in p.strips.get(0, ())]


def light_lines(light: Light) -> list[Dim]:
    """The shaft of a rooflight."""
    if not light.coat:
        return []
    return [
        line("reveal_m2", 1.0, (g / M, light.depth / M), f"shaft of rooflight {light.name}", light.name)
        for g in light.girth
    ]


_EDGE_QUANTITY = {
    "external": "external_corner_m",
    "coat_edge": "coat_edge_m",
    "floor_edge": "floor_edge_m",
    "frame_joint": "frame_joint_m",
}


def edge_lines(edges: Sequence[Edge]) -> list[Dim]:
    """Corners and borders, equal lengths of one kind together."""
    exact: dict[tuple[EdgeClass, str, Ends, float], list[int]] = {}
    for i, e in enumerate(edges):
        exact.setdefault((e.cls, e.kind, e.ends, e.length_m), []).append(i)
    # few differ in the last digits alone, and to round each of them takes longer than all the rest
    equal: dict[tuple[EdgeClass, str, Ends, float], list[int]] = {}
    for (cls, kind, ends, length), own in exact.items():
        equal.setdefault((cls, kind, ends, round(length, 9)), []).extend(own)
    sizes = {key: [edges[i] for i in sorted(own)] for key, own in equal.items()}
    return [
        line(
            _EDGE_QUANTITY.get(cls) or f"internal_corner_m.{kind}",
            float(len(group)),
            (group[0].length_m,),
            _edge_words(cls, kind, ends),
            ", ".join([e.id for e in group]),
        )
        for (cls, kind, ends, _), group in sizes.items()
    ]


_WORDS = {
    ("internal", "wall_wall"): "wall to wall",
    ("internal", "wall_ceiling"): "wall to ceiling",
    ("internal", "ceiling"): "fold of the ceiling",
    ("internal", "drop"): "at a drop",
    ("internal", "reveal"): "within a reveal",
    ("external", "room"): "outer corner of the room",
    ("external", "opening"): "round an opening",
    ("external", "drop"): "edge of a drop",
    ("external", "ceiling"): "fold of the ceiling",
    ("external", "low"): "edge of a low wall",
    ("floor_edge", "room"): "along the floor",
    ("floor_edge", "reveal"): "foot of a jamb",
    ("frame_joint", "frame"): "strip against the",
    ("frame_joint", "opening"): "wall against the",
}

_COAT_EDGES = {
    "face": "on a surface",
    "room": "beside another surface",
    "opening": "beside a reveal",
    "reveal": "in a reveal",
}
_ENDS: dict[str, str] = {
    "open": "open end",
    "against": "against what is kept",
    "corner": "in a corner with a bare surface",
}


def _edge_words(cls: str, kind: str, ends: Ends) -> str:
    if cls == "coat_edge":
        return f"{_ENDS[ends]}, {_COAT_EDGES[kind]}"
    return f"{_WORDS[cls, kind]} {ends}" if cls == "frame_joint" else _WORDS[cls, kind]


def profile_of(angle_deg: float, curved: bool) -> str:
    """The bead profile by the angle of the void: square within 15° of 270°, else wide or narrow;
    curved arrises take flexible bead (common practice, no source)."""
    if curved:
        return "flexible"
    if abs(angle_deg - 270.0) <= 3.0 * FLAT_DEG:
        return "square"
    return "wide" if angle_deg < 270.0 else "narrow"
