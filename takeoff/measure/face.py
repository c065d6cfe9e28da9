"""A vertical surface developed flat (u along it, z up), cut into slabs and classed.

Between two neighbouring u of interest no two boundaries cross, so every piece of the surface is
bounded by one profile below and one above, and its area and its borders are exact, whatever the
mix of slopes, waves and arches.
"""

from __future__ import annotations

import itertools
from bisect import bisect_left
from collections.abc import Sequence
from typing import NamedTuple

from takeoff.geometry.arrangement import TooMany
from takeoff.geometry.profiles import Bow, Line, Profile, crossings_between
from takeoff.language import tr

NET, OPEN, EXCLUDED, NOT_COATED = range(4)
MOST_PAIRS = 3_000_000
"""So many pairs of borders are compared on one face, a curved one counting for twenty: some seconds."""

U_MM = 1e-6
"""Cuts closer than this along the face are one; pieces thinner than this are none."""


class Patch(NamedTuple):
    """A stretch of face between two profiles. ``edge`` and ``left`` say which side of which
    edge of the arrangement it stands on."""

    u0: float
    u1: float
    lo: Profile
    hi: Profile
    edge: int
    left: bool
    on_floor: bool
    to_ceiling: bool


class Shape(NamedTuple):
    """An opening's outline in a face: between two profiles from u0 to u1. ``number`` is the
    place of the opening in the face's list."""

    number: int
    u0: float
    u1: float
    bottom: Profile
    top: Profile


class Outline(NamedTuple):
    """An exclusion as its monotone edges (u0, u1, profile): inside where their count below is odd."""

    edges: tuple[tuple[float, float, Profile], ...]


class BandLines(NamedTuple):
    """A strip left on: distances above the bottom or below the top of a patch, mm."""

    bottom: bool
    start: float
    end: float


class Piece(NamedTuple):
    """A classed piece of one slab; ``number`` is the opening's for OPEN, else −1."""

    lo: Profile
    hi: Profile
    cls: int
    number: int
    patch: int


class Slab(NamedTuple):
    u0: float
    u1: float
    pieces: tuple[Piece, ...]


class Rules(NamedTuple):
    """What is to be coated on a face: ``spans`` of u, less bands, outlines and the architraves round its openings."""

    spans: tuple[tuple[float, float], ...]
    bands: tuple[BandLines, ...] = ()
    outlines: tuple[Outline, ...] = ()
    architraves: tuple[Outline, ...] = ()


def bounded(shapes: Sequence[Shape], rules: Rules) -> None:
    """Raises TooMany where openings, and parts left out, lie over each other as on no wall, or are too many."""
    borders = [(s.u0, s.u1, p) for s in shapes for p in (s.bottom, s.top)]
    borders += [edge for o in (*rules.outlines, *rules.architraves) for edge in o.edges]
    curved = any(not isinstance(p, Line) for _, _, p in borders)
    turns = [(u, more) for u0, u1, _ in borders for u, more in ((u0, 1), (u1, -1))]
    deep = max(itertools.accumulate(more for _, more in sorted(turns)), default=0) + 2 * len(rules.bands)
    left_out = len(rules.bands) + len(borders) - 2 * len(shapes)
    pairs = len(shapes) + left_out + deep * deep // 2 * (20 if curved else 1)
    if len({u for u, _ in turns}) * pairs > MOST_PAIRS:
        raise TooMany(
            tr(
                "has {openings} openings and {others} bands and borders of masked parts: "
                "remove those that lie over others",
                openings=len(shapes),
                others=left_out,
            )
        )


def cut(patches: Sequence[Patch], shapes: Sequence[Shape], rules: Rules) -> tuple[Slab, ...]:
    """The slabs of a face in order of u; no patches give none."""
    if not patches:
        return ()
    us = [u for p in patches for u in (p.u0, p.u1)]
    us += [u for s in shapes for u in (s.u0, s.u1)]
    us += [u for span in rules.spans for u in span]
    us += [u for o in (*rules.outlines, *rules.architraves) for u0, u1, _ in o.edges for u in (u0, u1)]
    low, high = min(p.u0 for p in patches), max(p.u1 for p in patches)
    cuts = _distinct(us, low, high)
    slabs = []
    for u0, u1 in itertools.pairwise(cuts):
        for a, b in _uncrossed(u0, u1, patches, shapes, rules):
            slabs.append(Slab(a, b, _pieces(a, b, patches, shapes, rules)))
    return tuple(slabs)


def _distinct(us: list[float], low: float, high: float) -> list[float]:
    out: list[float] = []
    for u in sorted(us):
        if low <= u <= high and (not out or u - out[-1] > U_MM):
            out.append(u)
    return out


def _profiles_in(
    u0: float, u1: float, patches: Sequence[Patch], shapes: Sequence[Shape], rules: Rules
) -> list[Profile]:
    found: list[Profile] = []
    for p in patches:
        if p.u0 <= u0 + U_MM and p.u1 >= u1 - U_MM:
            found += [p.lo, p.hi, *_band_profiles(p, rules)]
    for s in shapes:
        if s.u0 <= u0 + U_MM and s.u1 >= u1 - U_MM:
            found += [s.bottom, s.top]
    for o in (*rules.outlines, *rules.architraves):
        found += [f for a, b, f in o.edges if a <= u0 + U_MM and b >= u1 - U_MM]
    return found


def _band_profiles(p: Patch, rules: Rules) -> list[Profile]:
    found: list[Profile] = []
    for band in rules.bands:
        if band.bottom and p.on_floor:
            found += [p.lo.raised(band.start), p.lo.raised(band.end)]
        elif not band.bottom and p.to_ceiling:
            found += [p.hi.raised(-band.start), p.hi.raised(-band.end)]
    return found


def _uncrossed(
    u0: float, u1: float, patches: Sequence[Patch], shapes: Sequence[Shape], rules: Rules
) -> list[tuple[float, float]]:
    profiles = _profiles_in(u0, u1, patches, shapes, rules)
    if all(isinstance(p, Line) and p.slope == 0.0 for p in profiles):
        return [(u0, u1)]
    us = [u0, u1]
    for i, p in enumerate(profiles):
        for q in profiles[i + 1 :]:
            us += crossings_between(p, q, u0, u1)
    # Where a round only touches a level border the two cross nowhere, and in the middle of a slab their order is
    # not to be seen.
    us += [
        b.uc
        for b in profiles
        if isinstance(b, Bow) and u0 < b.uc < u1
        if any(q is not b and abs(q.at(b.uc) - b.at(b.uc)) <= U_MM for q in profiles)
    ]
    cuts = _distinct(us, u0, u1)
    cuts[-1] = u1
    return list(itertools.pairwise(cuts))


def _pieces(u0: float, u1: float, patches: Sequence[Patch], shapes: Sequence[Shape], rules: Rules) -> tuple[Piece, ...]:
    um = (u0 + u1) / 2.0
    chosen = any(a - U_MM <= u0 and u1 <= b + U_MM for a, b in rules.spans)
    here = [s for s in shapes if s.u0 <= u0 + U_MM and s.u1 >= u1 - U_MM]
    pieces = []
    for number, patch in enumerate(patches):
        if patch.u0 > u0 + U_MM or patch.u1 < u1 - U_MM:
            continue
        z_lo, z_hi = patch.lo.at(um), patch.hi.at(um)
        bounds = [(z_lo, patch.lo), (z_hi, patch.hi)]
        inner = _profiles_in(u0, u1, (patch,), here, rules)[2:]
        bounds += [(z, f) for f in inner if z_lo + U_MM < (z := f.at(um)) < z_hi - U_MM]
        bounds.sort(key=lambda pair: pair[0])
        for (za, fa), (zb, fb) in itertools.pairwise(bounds):
            if zb - za <= U_MM:
                continue
            cls, opening = _class((za + zb) / 2.0, um, patch, here, rules, chosen)
            pieces.append(Piece(fa, fb, cls, opening, number))
    return _merged(pieces)


def _class(z: float, u: float, patch: Patch, shapes: Sequence[Shape], rules: Rules, chosen: bool) -> tuple[int, int]:
    for s in shapes:
        if s.bottom.at(u) < z < s.top.at(u):
            return OPEN, s.number
    lo, hi = patch.lo.at(u), patch.hi.at(u)
    for band in rules.bands:
        if band.bottom and patch.on_floor and lo + band.start < z < lo + band.end:
            return EXCLUDED, -1
        if not band.bottom and patch.to_ceiling and hi - band.end < z < hi - band.start:
            return EXCLUDED, -1
    for o in (*rules.outlines, *rules.architraves):
        below = sum(1 for a, b, f in o.edges if a <= u < b and f.at(u) < z)
        if below % 2:
            return EXCLUDED, -1
    return (NET, -1) if chosen else (NOT_COATED, -1)


def _merged(pieces: list[Piece]) -> tuple[Piece, ...]:
    out: list[Piece] = []
    for p in pieces:
        if out and out[-1].hi is p.lo and out[-1][2:] == p[2:]:
            out[-1] = out[-1]._replace(hi=p.hi)
        else:
            out.append(p)
    return tuple(out)


class Border(NamedTuple):
    """A stretch of border between coat and an opening: ``part`` is start, end, head or sill.
    ``u0, z0`` to ``u1, z1`` are its ends, ``length`` its exact length in mm."""

    number: int
    part: str
    u0: float
    z0: float
    u1: float
    z1: float
    length: float


class Borders(NamedTuple):
    """Borders inside a face: against openings, and the coat's own edges."""

    openings: tuple[Border, ...]
    coat_edge: tuple[Border, ...]
    """``number`` is the class of what the coat ends beside, ``part`` is empty."""


def borders(slabs: Sequence[Slab]) -> Borders:
    """Every border of net coat inside a face; its outer rim is judged with what adjoins it."""
    openings: list[Border] = []
    edges: list[Border] = []
    for slab in slabs:
        _upright_neighbours(slab, openings, edges)
    for left, right in itertools.pairwise(slabs):
        if right.u0 - left.u1 <= U_MM:
            _along_cut(left, right, openings, edges)
    return Borders(tuple(openings), tuple(edges))


def _upright_neighbours(slab: Slab, openings: list[Border], edges: list[Border]) -> None:
    for low, high in zip(slab.pieces, slab.pieces[1:], strict=False):
        if low.patch != high.patch or (low.cls == NET) == (high.cls == NET):
            continue
        f, u0, u1 = low.hi, slab.u0, slab.u1
        length = f.length(u0, u1)
        other, part = (high, "sill") if low.cls == NET else (low, "head")
        if other.cls == OPEN:
            openings.append(Border(other.number, part, u0, f.at(u0), u1, f.at(u1), length))
        else:
            edges.append(Border(other.cls, "", u0, f.at(u0), u1, f.at(u1), length))


def _along_cut(left: Slab, right: Slab, openings: list[Border], edges: list[Border]) -> None:
    u = right.u0
    for z0, z1, a, b in _side_by_side(spans_at(left, u), spans_at(right, u)):
        if a is None or b is None or (a[0] == NET) == (b[0] == NET):
            continue
        other, part = (b, "start") if a[0] == NET else (a, "end")
        if other[0] == OPEN:
            openings.append(Border(other[1], part, u, z0, u, z1, z1 - z0))
        else:
            edges.append(Border(other[0], "", u, z0, u, z1, z1 - z0))


Span = tuple[float, float, int, int]
"""z from, z to, class, opening number"""


def spans_at(slab: Slab, u: float) -> list[Span]:
    """The classed stretches of z of a slab, taken at one of its ends."""
    return [(p.lo.at(u), p.hi.at(u), p.cls, p.number) for p in slab.pieces]


def _side_by_side(
    left: list[Span], right: list[Span]
) -> list[tuple[float, float, tuple[int, int] | None, tuple[int, int] | None]]:
    zs = sorted({z for s in (*left, *right) for z in (s[0], s[1])})
    out = []
    for z0, z1 in itertools.pairwise(zs):
        if z1 - z0 > U_MM:
            zm = (z0 + z1) / 2.0
            out.append((z0, z1, class_at(left, zm), class_at(right, zm)))
    return out


def class_at(spans: Sequence[Span], z: float) -> tuple[int, int] | None:
    """(class, opening number) at a height of a face or a place of an edge; None off it."""
    for z0, z1, cls, number in spans:
        if z0 < z < z1:
            return cls, number
    return None


def slab_beside(slabs: Sequence[Slab], u: float, forward: bool) -> Slab | None:
    """The slab just after u (forward) or just before it; None off the face."""
    starts = [s.u0 for s in slabs]
    i = bisect_left(starts, u + U_MM) - 1 if forward else bisect_left(starts, u - U_MM) - 1
    if i < 0:
        return None
    slab = slabs[i]
    inside = slab.u1 > u + U_MM if forward else slab.u1 >= u - U_MM
    return slab if inside else None


def rim(slabs: Sequence[Slab], patch: int, top: bool) -> list[tuple[float, float, int, int]]:
    """Along a patch's top or bottom: (u0, u1, class, opening number), merged."""
    out: list[tuple[float, float, int, int]] = []
    for slab in slabs:
        mine = [p for p in slab.pieces if p.patch == patch]
        if not mine:
            continue
        p = mine[-1] if top else mine[0]
        if out and out[-1][2:] == (p.cls, p.number) and slab.u0 - out[-1][1] <= U_MM:
            out[-1] = (out[-1][0], slab.u1, p.cls, p.number)
        else:
            out.append((slab.u0, slab.u1, p.cls, p.number))
    return out
