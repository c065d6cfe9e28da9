"""Corners and borders where two surfaces meet, judged by the angle of the void alone.

Along an edge of the plan, heights are gone through from below: around each the void fills some
of four quarters. At a vertex, every stretch of height is gone through: the void fills some of
the sectors round it. A run of void between two surfaces is a corner between them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import NamedTuple

from takeoff.geometry.profiles import Line
from takeoff.geometry.tolerances import HEIGHT_MM
from takeoff.measure.face import Slab, rim, slab_beside, spans_at
from takeoff.measure.fields import Sheet, profile_on
from takeoff.measure.space import Cell, Space
from takeoff.measure.upright import FaceKey, Stretch, Uprights, height

FLOOR = 4
"""Class of a floor that is not coated, beside the four of a face."""

Classed = tuple[float, float, int, int]
"""from, to, class, opening number (or −1)"""


class Skin(NamedTuple):
    """A surface at a corner: a *face* (by key), or the *ceiling* or *floor* of a cell.

    ``part``: for a face, which border of its opening lies here if it is open (head, sill,
    start, end). ``classes``: what it is along the corner.
    """

    kind: str
    key: FaceKey | None
    cell: int
    part: str
    classes: tuple[Classed, ...]


class Meeting(NamedTuple):
    """Two skins along a line. Classes run over ``t`` (mm along an edge, or z at a vertex);
    ``length`` and ``course`` give the true length and points between two t."""

    angle_deg: float
    one: Skin
    two: Skin
    upright: bool
    curved: bool
    length: Callable[[float, float], float]
    course: Callable[[float, float], tuple[tuple[float, float, float], ...]]


def meetings(space: Space, up: Uprights, slabs: dict[FaceKey, tuple[Slab, ...]]) -> list[Meeting]:
    """Every line along which two surfaces of a space meet."""
    found: list[Meeting] = []
    for stretch in up.stretches:
        found += _along(space, up, slabs, stretch)
    for vertex, star in enumerate(space.plan.star):
        if star:
            found += _upright(space, up, slabs, vertex, star)
    return found


# Along an edge -------------------------------------------------------------------------------


def _along(space: Space, up: Uprights, slabs: dict[FaceKey, tuple[Slab, ...]], s: Stretch) -> list[Meeting]:
    e = space.plan.edges[s.edge]
    tm = (s.t0 + s.t1) / 2.0
    sheets = [p for c in (s.left, s.right) if c.room >= 0 for p in (c.floor, c.ceiling)]
    if s.gap is not None:
        sheets += [Sheet(z, 0.0, 0.0) for z in s.gap if math.isfinite(z)]
    found = []
    done: list[float] = []
    for sheet in sheets:
        z = height(sheet, e, tm)
        if any(abs(z - other) <= HEIGHT_MM for other in done):
            continue  # level with one before: that was looked at with all that meets there
        done.append(z)
        found += _around(space, up, slabs, s, sheet, z, tm)
    return found + _feathered(space, s, tm)


def _feathered(space: Space, s: Stretch, tm: float) -> list[Meeting]:
    """Where a ceiling comes down to the floor with no wall between: the two meet at an edge."""
    e = space.plan.edges[s.edge]
    x, y = e.curve.at(tm)
    dx, dy = e.curve.direction(tm)
    found = []
    for cell, number, nx, ny, beyond in (
        (s.left, s.left_cell, -dy, dx, s.right),
        (s.right, s.right_cell, dy, -dx, s.left),
    ):
        if cell.room < 0 or (beyond.room >= 0 and s.gap is not None):
            continue
        c, f = cell.ceiling, cell.floor
        if c.at(x, y) - f.at(x, y) > HEIGHT_MM:
            continue
        angle = math.degrees(math.atan(c.gx * nx + c.gy * ny) - math.atan(f.gx * nx + f.gy * ny))
        if angle > 0.0:
            one = Skin("ceiling", None, number, "roof", ((s.t0, s.t1, cell.ceiling_class, cell.rooflight),))
            two = Skin("floor", None, number, "", ((s.t0, s.t1, 0 if cell.floor_coated else FLOOR, -1),))
            found.append(_level_meeting(space, s, c, angle, one, two))
    return found


def _quarters(cell: Cell, z: float, x: float, y: float) -> tuple[bool, bool]:
    """Whether a cell is void just below and just above a height."""
    if cell.room < 0:
        return False, False
    f, c = cell.floor.at(x, y), cell.ceiling.at(x, y)
    if c - f <= HEIGHT_MM:
        return False, False
    return (f < z - HEIGHT_MM and z <= c + HEIGHT_MM, f <= z + HEIGHT_MM and z < c - HEIGHT_MM)


def _around(
    space: Space, up: Uprights, slabs: dict[FaceKey, tuple[Slab, ...]], s: Stretch, sheet: Sheet, z: float, tm: float
) -> list[Meeting]:
    e = space.plan.edges[s.edge]
    x, y = e.curve.at(tm)
    # Round the line, seen along it, lie four quarters: left below, left above, right above, right below. Between each
    # and the next stands a skin (level at the left and at the right, upright above and below) unless the void goes on.
    lb, la = _quarters(s.left, z, x, y)
    rb, ra = _quarters(s.right, z, x, y)
    gap = s.gap or (math.inf, -math.inf)
    through_up = gap[0] <= z + HEIGHT_MM and z < gap[1] - HEIGHT_MM
    through_down = gap[0] < z - HEIGHT_MM and z <= gap[1] + HEIGHT_MM
    void = (lb, la, ra, rb)
    shut = (not (lb and la), not (la and ra and through_up), not (ra and rb), not (rb and lb and through_down))
    if s.ghost and ((through_up and la != ra) or (through_down and lb != rb)):
        return []  # it runs on into something that is not drawn
    found = []
    for start in range(4):
        if not void[start] or not shut[start - 1]:
            continue
        # from one skin to the next: these two meet, at the angle that the void between them spans
        run = [start]
        while not shut[run[-1]] and len(run) < 4:
            run.append((run[-1] + 1) % 4)
        angle = sum(_quarter_angle(q, s, void, e.curve.direction(tm)) for q in run)
        one = _skin(up, slabs, s, run[0], (run[0] - 1) % 4, z, tm, space)
        two = _skin(up, slabs, s, run[-1], run[-1], z, tm, space)
        found.append(_level_meeting(space, s, sheet, angle, one, two))
    return found


def _quarter_angle(q: int, s: Stretch, void: tuple[bool, bool, bool, bool], along: tuple[float, float]) -> float:
    """Degrees of void in one quarter: 90 less or more by the slope of the surface it ends at."""
    left = q in (0, 1)
    cell = s.left if left else s.right
    nx, ny = (-along[1], along[0]) if left else (along[1], -along[0])
    below = q in (0, 3)
    other = {0: 1, 1: 0, 2: 3, 3: 2}[q]
    if void[other]:
        return 90.0
    p = cell.ceiling if below else cell.floor
    rise = math.degrees(math.atan(p.gx * nx + p.gy * ny))
    return 90.0 + rise if below else 90.0 - rise


def _skin(
    up: Uprights,
    slabs: dict[FaceKey, tuple[Slab, ...]],
    s: Stretch,
    quarter: int,
    boundary: int,
    z: float,
    tm: float,
    space: Space,
) -> Skin:
    """The surface that bounds a quarter: boundaries 0 and 2 are level (left, right), 1 and 3 the
    uprights above and below."""
    left = quarter in (0, 1)
    if boundary in (0, 2):
        cell_no, cell = (s.left_cell, s.left) if left else (s.right_cell, s.right)
        if quarter in (0, 3):
            return Skin("ceiling", None, cell_no, "roof", ((s.t0, s.t1, cell.ceiling_class, cell.rooflight),))
        return Skin("floor", None, cell_no, "", ((s.t0, s.t1, 0 if cell.floor_coated else FLOOR, -1),))
    e = space.plan.edges[s.edge]
    for key, number, lo, hi, looks_left in s.faces:
        at = lo if boundary == 1 else hi
        if looks_left == left and abs(height(at, e, tm) - z) <= HEIGHT_MM:
            top = boundary == 3
            return Skin("face", key, -1, "head" if top else "sill", _rim_along(space, up, slabs, s, key, number, top))
    return Skin("none", None, -1, "", ())


def _rim_along(
    space: Space, up: Uprights, slabs: dict[FaceKey, tuple[Slab, ...]], s: Stretch, key: FaceKey, number: int, top: bool
) -> tuple[Classed, ...]:
    at, step = carried(space, up, s.edge, key)
    out = []
    for u0, u1, cls, opening in rim(slabs[key], number, top):
        t0, t1 = sorted(((u0 - at) / step, (u1 - at) / step))
        out.append((max(t0, s.t0), min(t1, s.t1), cls, opening))
    return tuple(sorted(out))


def carried(space: Space, up: Uprights, edge: int, key: FaceKey) -> tuple[float, float]:
    """u = at + step·t between an edge and the carrier of a face on it."""
    carrier = up.faces[key].carrier
    for index, same, ta, _ in space.plan.edges[edge].uses:
        if space.curves[index] is carrier:
            return ta, 1.0 if same else -1.0
    raise KeyError(key)


def _level_meeting(space: Space, s: Stretch, sheet: Sheet, angle: float, one: Skin, two: Skin) -> Meeting:
    curve = space.plan.edges[s.edge].curve
    profile = profile_on(sheet, curve)

    def course(t0: float, t1: float) -> tuple[tuple[float, float, float], ...]:
        straight = curve.bulge == 0.0 and isinstance(profile, Line)
        steps = 1 if straight else 8
        ts = [t0 + (t1 - t0) * i / steps for i in range(steps + 1)]
        return tuple((*curve.at(t), profile.at(t)) for t in ts)

    return Meeting(angle, one, two, False, curve.bulge != 0.0, profile.length, course)


# At a vertex ---------------------------------------------------------------------------------


def _upright(
    space: Space, up: Uprights, slabs: dict[FaceKey, tuple[Slab, ...]], vertex: int, star: Sequence[int]
) -> list[Meeting]:
    x, y = space.plan.points[vertex]
    cells = [space.cells[space.plan.cell_of(half)] for half in star]
    if all(c.room < 0 for c in cells):
        return []
    voids = [_interval(c, x, y) for c in cells]
    gaps = [_gap_of(up, half) for half in star]
    levels = {z for v in voids if v is not None for z in v}
    levels |= {z for g, _ in gaps if g is not None for z in g if math.isfinite(z)}
    zs = _apart(sorted(levels))
    sweeps = _sweeps(space, star)
    found: list[Meeting] = []
    for z0, z1 in pairwise(zs):
        zm = (z0 + z1) / 2.0
        void = [v is not None and v[0] < zm < v[1] for v in voids]
        shut = [not (void[k - 1] and void[k] and g is not None and g[0] < zm < g[1]) for k, (g, _) in enumerate(gaps)]
        ghosts = [ghost and g is not None and g[0] < zm < g[1] for g, ghost in gaps]
        found += _wedges(space, up, slabs, vertex, star, (z0, z1), void, shut, ghosts, sweeps)
    return found


def _interval(cell: Cell, x: float, y: float) -> tuple[float, float] | None:
    if cell.room < 0:
        return None
    f, c = cell.floor.at(x, y), cell.ceiling.at(x, y)
    return (f, c) if c - f > HEIGHT_MM else None


def _gap_of(up: Uprights, half: int) -> tuple[tuple[float, float] | None, bool]:
    stretches = up.by_edge.get(half >> 1)
    return (stretches[0].gap, stretches[0].ghost) if stretches else (None, False)


def _apart(zs: list[float]) -> list[float]:
    out: list[float] = []
    for z in zs:
        if not out or z - out[-1] > HEIGHT_MM:
            out.append(z)
    return out


def _sweeps(space: Space, star: Sequence[int]) -> list[float]:
    """Degrees from each outgoing half-edge to the next, anticlockwise."""
    angles = []
    for half in star:
        curve = space.plan.edges[half >> 1].curve
        dx, dy = curve.direction(curve.length if half & 1 else 0.0)
        angles.append(math.atan2(-dy, -dx) if half & 1 else math.atan2(dy, dx))
    out = []
    for k, a in enumerate(angles):
        turn = math.degrees(angles[(k + 1) % len(angles)] - a) % 360.0
        out.append(360.0 if turn == 0.0 and len(star) == 1 else turn)
    return out


def _wedges(
    space: Space,
    up: Uprights,
    slabs: dict[FaceKey, tuple[Slab, ...]],
    vertex: int,
    star: Sequence[int],
    span: tuple[float, float],
    void: list[bool],
    shut: list[bool],
    ghosts: list[bool],
    sweeps: list[float],
) -> list[Meeting]:
    n = len(star)
    found = []
    for start in range(n):
        if not void[start] or not shut[start]:
            continue
        run = [start]
        while not shut[(run[-1] + 1) % n] and len(run) < n:
            run.append((run[-1] + 1) % n)
        last = (run[-1] + 1) % n
        if ghosts[start] or ghosts[last]:
            continue
        angle = sum(sweeps[k] for k in run)
        one = _side_skin(space, up, slabs, star[start], True, span)
        two = _side_skin(space, up, slabs, star[last], False, span)
        # One face that runs straight on past a vertex has its own borders judged within it.
        if one is not None and two is not None and one.key != two.key:
            x, y = space.plan.points[vertex]
            found.append(
                Meeting(angle, one, two, True, False, lambda a, b: b - a, lambda a, b, x=x, y=y: ((x, y, a), (x, y, b)))  # type: ignore[misc]
            )
    return found


def _side_skin(
    space: Space,
    up: Uprights,
    slabs: dict[FaceKey, tuple[Slab, ...]],
    half: int,
    on_left: bool,
    span: tuple[float, float],
) -> Skin | None:
    """The face on one side of an outgoing half-edge, at its start, over a stretch of height."""
    edge = half >> 1
    stretches = up.by_edge.get(edge)
    if not stretches:
        return None
    s = stretches[-1] if half & 1 else stretches[0]
    t = s.t1 if half & 1 else s.t0
    looks_left = on_left != bool(half & 1)
    x, y = space.plan.edges[edge].curve.at(t)
    zm = (span[0] + span[1]) / 2.0
    for key, _, lo, hi, left in s.faces:
        if left != looks_left or not lo.at(x, y) < zm < hi.at(x, y):
            continue
        at, step = carried(space, up, edge, key)
        u = at + step * t
        forward = (step > 0.0) != bool(half & 1)
        slab = slab_beside(slabs[key], u, forward)
        if slab is None:
            return None
        classes = tuple(
            (max(a, span[0]), min(b, span[1]), cls, number)
            for a, b, cls, number in spans_at(slab, u)
            if a < span[1] and b > span[0]
        )
        return Skin("face", key, -1, "start" if forward else "end", classes)
    return None
