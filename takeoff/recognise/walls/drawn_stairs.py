"""Stairs among lines taken for walls: treads, the edges of landings, the rails between two flights, and what is drawn
over flights to say how they are walked: arrows, and the lines at which they break off. Many drawings have them on the
layer of walls; a stair well is one room all the same."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.near_points import pairs_within
from takeoff.geometry.runs import components
from takeoff.recognise.walls.bounding_lines import Lines, is_role

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

TREAD_MM, TREAD_OFF_MM, FEWEST_TREADS, WIDE_MM = (210.0, 420.0), 25.0, 4, (500.0, 3600.0)
WIDEST_MM, FEWEST_WIDE = 12_000.0, 6
"""Steps before the door of a large house are as wide as its front where they are so many (common practice, no
source)."""
STEEP_MM, FEWEST_STEEP = 190.0, 7
"""The going of steep stairs, from the first up to that of others, shows them where treads are so many: the faces of
walls lie as near to each other (common practice, no source)."""
FACE_MM = (45.0, 450.0)
"""The faces of a wall are so far apart. A line so near beyond the last tread is the other face of a wall, and the
tread may be its near one; the edge of a landing is longer than a tread, but has no longer one at such a distance."""
OVER_PART, SAME_LINE_MM = 0.9, 5.0
"""The edge of a landing runs along so much of a tread."""
RAIL_MM, FEWEST_RAILS, RAIL_OUT_MM = (90.0, 400.0), 3, 350.0
"""Two lines farther apart than the first, with nothing between them, may be a wall between two flights; up to the
second there is a well with rails, three lines or more, which go on beyond the treads by so much."""
PARALLEL_SINE = 0.02


NOSING_MM = 60.0
LEAST_PART_MM, FEWEST_BESIDE = 150.0, 3
"""What a break leaves of a tread is so long; so many treads one after the other, in line with
those beside them and ending in one line, are a flight."""
MOST_FLIGHTS = 200
"""More on one sheet are slats, tiles or a pattern (common practice, no source)."""
DWELLING_MM, FEWEST_SAID, FEWEST_UNSAID = (600.0, 2400.0), 4, 5
"""Treads on layers that do not say so are as wide as flights are, and at least so many (common practice, no source)."""
ON_FLIGHT, SLANT_SINE = 0.6, 0.1
"""What lies over a flight with this part of its length is drawn on it; a break runs so much aslant of the treads."""
EDGE_MM, LAST_GOING_MM = 60.0, 300.0
"""What is nearer to the ends of the treads than this may be a wall's face, or a string; arrows begin and end so far
beyond the last treads."""
WALKED_PART = 0.3
"""An arrow runs on the treads with so much of its length; the jambs of a door before them do not."""
TURNED_PART, TURNED_MM = 1.1, 1300.0
"""Turned steps take a landing as deep as the flight is wide."""
SHARED_GOING = 0.5
"""Two flights beside each other run together over so much of the shorter."""
JOINED_MM, MOST_TURN_MM = 5.0, 3500.0
"""The arrow turns on a landing by a line whose ends are those of two parts on flights."""


def flights(xy: Floats) -> Ints:
    """The number of the flight that each line is a tread of, -1 for none: lines of one length side by side
    at the going of a stair, four or more of them, more that are wider than a stair; none where they lie in heaps
    beyond counting."""
    d = xy[:, 2:] - xy[:, :2]
    length = np.hypot(d[:, 0], d[:, 1])
    wide = np.flatnonzero((length >= WIDE_MM[0]) & (length <= WIDEST_MM))
    flight = np.full(len(xy), -1)
    if len(wide) < FEWEST_TREADS:
        return flight
    middle = (xy[wide, :2] + xy[wide, 2:]) / 2
    unit = d[wide] / length[wide][:, None]
    pairs = pairs_within(middle, TREAD_MM[1] + TREAD_OFF_MM)
    if pairs is None:
        return flight
    i, j = pairs
    off = middle[j] - middle[i]
    along = np.abs((off * unit[i]).sum(axis=1))
    across = np.abs(unit[i, 0] * off[:, 1] - unit[i, 1] * off[:, 0])
    sine = np.abs(unit[i, 0] * unit[j, 1] - unit[i, 1] * unit[j, 0])
    fits = (sine < 0.02) & (along <= TREAD_OFF_MM) & (across >= STEEP_MM) & (across <= TREAD_MM[1])
    fits &= np.abs(length[wide[i]] - length[wide[j]]) <= TREAD_OFF_MM
    steep = _numbered(len(wide), i, j, fits & (across < TREAD_MM[0]), FEWEST_STEEP)
    # Two goings of a steep flight are as far apart as one of another.
    fits &= (across >= TREAD_MM[0]) & (steep[i] < 0) & (steep[j] < 0)
    easy = _numbered(len(wide), i, j, fits, FEWEST_TREADS)
    few = np.bincount(easy[easy >= 0], minlength=len(wide)) < FEWEST_WIDE
    easy[(length[wide] > WIDE_MM[1]) & few[easy]] = -1
    flight[wide] = np.where(steep >= 0, steep + len(wide), easy)
    return flight


def _numbered(count: int, i: Ints, j: Ints, fits: Bools, fewest: int) -> Ints:
    """The number of the group that each is in by those pairs, -1 where it is of fewer."""
    group = components(count, i[fits], j[fits])
    return np.where(np.bincount(group, minlength=count)[group] >= fewest, group, -1)


class Flight(NamedTuple):
    """``rows`` of its treads; its own axes: a point ``start``, the unit direction ``along`` a tread and ``across``
    them, and what it covers on both, ``reach`` along and ``going`` across."""

    rows: Ints
    start: Floats
    along: Floats
    across: Floats
    reach: tuple[float, float]
    going: tuple[float, float]


def treads(lines: Lines, walls: Bools) -> Bools:
    """(n,) which of the lines taken for walls draw stairs: treads, the landing's edge one going on from the last of
    them, and what lies between two flights side by side. A first or last tread stays where it may be the face of a
    wall that the flight runs from or to. Without flights none does."""
    rows = np.flatnonzero(walls)
    found = np.zeros(len(walls), bool)
    xy = lines.xy[rows]
    number = flights(xy)
    drawn = [_flight(xy, np.flatnonzero(number == k)) for k in np.unique(number[number >= 0]).tolist()]
    own = np.zeros(len(rows), bool)
    for flight in drawn:
        own[_of_flight(xy, flight)] = True
    for k, flight in enumerate(drawn):
        for other in drawn[k + 1 :]:
            own[_rails(xy, flight, other)] = True
    found[rows[own]] = True
    return found


def _flight(xy: Floats, rows: Ints) -> Flight:
    start = xy[rows[0], :2]
    along = (xy[rows[0], 2:] - start) / float(np.hypot(*(xy[rows[0], 2:] - start)))
    across = np.array([-along[1], along[0]])
    ends = xy[rows].reshape(-1, 2) - start
    t, off = ends @ along, ends @ across
    return Flight(rows, start, along, across, (float(t.min()), float(t.max())), (float(off.min()), float(off.max())))


def _placed(xy: Floats, flight: Flight) -> tuple[Floats, Floats]:
    """(n, 2) each: where both ends of lines lie along the treads, the lesser first, and across them."""
    ends = xy.reshape(-1, 2, 2) - flight.start
    return np.sort(ends @ flight.along, axis=1), np.sort(ends @ flight.across, axis=1)


def _of_flight(xy: Floats, flight: Flight) -> Ints:
    """Rows of its treads and of the landings' edges, but for what may be a wall's face."""
    t, off = _placed(xy, flight)
    length = t[:, 1] - t[:, 0]
    level = off[:, 1] - off[:, 0] <= PARALLEL_SINE * np.maximum(length, 1.0)
    low, high = flight.reach
    covers = np.minimum(t[:, 1], high) - np.maximum(t[:, 0], low) >= OVER_PART * (high - low)
    beside = np.flatnonzero(level & covers)
    middle = off[beside].mean(axis=1)
    longer = length[beside] > high - low + TREAD_OFF_MM
    taken = np.isin(beside, flight.rows)
    if taken.sum() < 2:  # lines that each lie a little farther along than the one before go up no stair
        return beside[:0]
    least = min(TREAD_MM[0], float(np.median(np.diff(_once(middle[taken])))) - TREAD_OFF_MM)
    for edge, sign in ((flight.going[0], -1.0), (flight.going[1], 1.0)):
        beyond = sign * (middle - edge)
        nearest = float(beyond[beyond > TREAD_OFF_MM].min(initial=np.inf))
        within = -beyond[(beyond < -TREAD_OFF_MM) & taken]
        second = float(within.min(initial=np.inf))
        if FACE_MM[0] <= second < least:
            # Both faces of a wall were taken for treads, one of them one going from the second tread.
            taken[beyond >= -second - TREAD_OFF_MM] = False
        elif FACE_MM[0] <= nearest < least or _in_corners(t, off, flight, edge, sign):
            taken[np.abs(beyond) <= TREAD_OFF_MM] = False
        elif nearest <= TREAD_MM[1]:
            edges = np.abs(beyond - nearest) <= TREAD_OFF_MM
            wall = longer[edges].any() and _faced(beyond - nearest, longer)
            taken[edges] = not (wall or _turns_corner(t, off, beside[edges], flight, sign))
    return beside[taken]


def _once(off: Floats) -> Floats:
    """Where treads lie, each once though its nosing is drawn as well."""
    off = np.sort(off)
    return np.asarray(off[np.append(True, np.diff(off) > NOSING_MM)])


def _in_corners(t: Floats, off: Floats, flight: Flight, edge: float, sign: float) -> bool:
    """Whether what bounds the flight on both sides ends at its first or last line, as walls do in the corners of a
    room; beside a tread they go on, or end themselves, each with its end line beside the tread."""
    if not all(_ends_at(t, off, edge, sign, side) for side in flight.reach):
        return False
    level = np.abs(off - edge).max(axis=1) <= TREAD_OFF_MM
    wide = t[:, 1] - t[:, 0]
    ended = level & (wide >= FACE_MM[0]) & (wide <= FACE_MM[1])
    low, high = (np.abs(t[ended, 1 - k] - side) <= TREAD_OFF_MM for k, side in enumerate(flight.reach))
    return not (low.any() and high.any())


def _ends_at(t: Floats, off: Floats, edge: float, sign: float, side: float) -> bool:
    """Whether what bounds a flight on one side ends where a line across it lies."""
    upright = t[:, 1] - t[:, 0] <= PARALLEL_SINE * np.maximum(off[:, 1] - off[:, 0], 1.0)

    def bounded(at: float) -> bool:
        here = upright & (np.abs(t.mean(axis=1) - side) <= TREAD_OFF_MM)
        return bool((here & (off[:, 0] < at) & (off[:, 1] > at)).any())

    return bounded(edge - sign * 2 * TREAD_OFF_MM) and not bounded(edge + sign * 2 * TREAD_OFF_MM)


def _turns_corner(t: Floats, off: Floats, rows: Ints, flight: Flight, sign: float) -> bool:
    """Whether one of these lines across a flight's end goes on round the corner at which the wall beside the flight
    ends: it is that wall's face."""
    for row in rows.tolist():
        outs = (flight.reach[0] - t[row, 0], t[row, 1] - flight.reach[1])
        for out, other, side in zip(outs, outs[::-1], flight.reach, strict=True):
            # The edge of a landing goes on at both sides, or beside another flight.
            if (
                FACE_MM[0] < out <= FACE_MM[1]
                and abs(other) <= TREAD_OFF_MM
                and _ends_at(t, off, float(off[row].mean()), sign, side)
            ):
                return True
    return False


def _faced(beyond: Floats, longer: Bools) -> bool:
    """Whether a longer line lies beyond another one as far as the two faces of a wall are apart."""
    return bool((longer & (beyond >= FACE_MM[0]) & (beyond <= FACE_MM[1])).any())


def _rails(xy: Floats, one: Flight, other: Flight) -> Ints:
    """Rows of what lies between two flights side by side, where it is more than the two faces of a wall."""
    if abs(float(one.along @ other.across)) > PARALLEL_SINE:
        return np.zeros(0, np.int64)
    t, off = _placed(xy, one)
    ends = xy[other.rows].reshape(-1, 2) - one.start
    low, high = float((ends @ one.along).min()), float((ends @ one.along).max())
    first, last = float((ends @ one.across).min()), float((ends @ one.across).max())
    left, right = (one.reach[1], low) if low >= one.reach[1] - TREAD_OFF_MM else (high, one.reach[0])
    beside = min(last, one.going[1]) - max(first, one.going[0])
    if beside <= 0 or not -TREAD_OFF_MM <= right - left <= RAIL_MM[1]:
        return np.zeros(0, np.int64)
    between = (t[:, 0] >= left - SAME_LINE_MM) & (t[:, 1] <= right + SAME_LINE_MM)
    between &= off[:, 0] >= min(first, one.going[0]) - RAIL_OUT_MM
    between &= off[:, 1] <= max(last, one.going[1]) + RAIL_OUT_MM
    long = between & (off[:, 1] - off[:, 0] >= beside / 2)
    kinds = len(np.unique(np.round(t[long].mean(axis=1) / SAME_LINE_MM)))
    if right - left > RAIL_MM[0] and kinds < FEWEST_RAILS:
        return np.zeros(0, np.int64)
    return np.flatnonzero(between)


def drawn_flights(lines: Lines) -> tuple[Flight, ...]:
    """The flights that treads draw among lines of walls, of stairs, and on layers that say nothing; beside each the
    one that goes on from its landing, of which a break leaves but parts of treads, in line with those of the first."""
    shown = ~lines.hidden & ~lines.hatch & (lines.arc < 0)
    length = np.hypot(*(lines.xy[:, 2:] - lines.xy[:, :2]).T)
    wide = (length >= DWELLING_MM[0]) & (length <= DWELLING_MM[1])
    said = shown & is_role(lines, "stair")
    unsaid = shown & is_role(lines, "wall", "column", "unknown")
    found = []
    for chosen, fewest in ((said, FEWEST_SAID), (unsaid & wide, FEWEST_UNSAID)):
        xy = lines.xy[chosen]
        number = flights(xy)
        for k in np.unique(number[number >= 0]).tolist():
            flight = _flight(xy, np.flatnonzero(number == k))
            steps = _steps(xy, flight)
            if len(steps) + 1 >= fewest and float(np.median(steps)) >= STEEP_MM:
                found.append((flight, xy))
    if len(found) > MOST_FLIGHTS:
        return ()
    short = lines.xy[(said | unsaid) & (length <= DWELLING_MM[1])] if found else np.zeros((0, 4))
    drawn = [flight for flight, _ in found]
    for flight, xy in found:
        drawn += [other for other in _companions(short, flight, xy) if not _among(other, drawn)]
    return tuple(drawn)


def _companions(xy: Floats, flight: Flight, own: Floats) -> list[Flight]:
    """The flights beside one, on either side, that lines (n, 4) draw in line with its treads (``own``: what its rows
    are of)."""
    comb = np.unique(_placed(own[flight.rows], flight)[1].mean(axis=1))
    t, off = _placed(xy, flight)
    level = off[:, 1] - off[:, 0] <= PARALLEL_SINE * np.maximum(t[:, 1] - t[:, 0], 1.0)
    middle = off.mean(axis=1)
    at = np.abs(middle[:, None] - comb[None, :])
    level &= at.min(axis=1) <= TREAD_OFF_MM
    (left, right), wide = flight.reach, flight.reach[1] - flight.reach[0]
    found = []
    for low, high in ((right, right + RAIL_MM[1] + wide), (left - RAIL_MM[1] - wide, left)):
        inside = level & (t[:, 0] >= low - TREAD_OFF_MM) & (t[:, 1] <= high + TREAD_OFF_MM)
        rows = np.flatnonzero(inside & (t[:, 1] - t[:, 0] >= LEAST_PART_MM))
        tooth = at[rows].argmin(axis=1)
        if not any(_in_line(t[rows, end], tooth) for end in (0, 1)):
            continue
        reach = (float(t[rows, 0].min()), float(t[rows, 1].max()))
        if reach[1] - reach[0] >= DWELLING_MM[0]:
            found.append(flight._replace(rows=rows, reach=reach))
    return found


def _in_line(ends: Floats, tooth: Ints) -> bool:
    """Whether so many treads, each the next to the last one, end in line with each other."""
    for end in np.unique(np.round(ends / TREAD_OFF_MM)):
        own = np.unique(tooth[np.abs(ends - end * TREAD_OFF_MM) <= TREAD_OFF_MM])
        runs = np.split(own, np.flatnonzero(np.diff(own) > 1) + 1)
        if max(len(run) for run in runs) >= FEWEST_BESIDE:
            return True
    return False


def _among(flight: Flight, drawn: list[Flight]) -> bool:
    """Whether a flight lies for the most part on others."""
    own = outline_of(flight)
    return any(float(own.intersection(outline_of(other)).area) > ON_FLIGHT * float(own.area) for other in drawn)


def _steps(xy: Floats, flight: Flight) -> Floats:
    """How far each tread is from the next one, but for lines as near as a nosing: slats lie closer."""
    off = np.sort(_placed(xy[flight.rows], flight)[1].mean(axis=1))
    apart = np.diff(off)
    return apart[apart > NOSING_MM]


def outline_of(flight: Flight, beside_mm: float = 0.0) -> shapely.Polygon:
    """The rectangle that a flight's treads fill, wider by so much on each side and longer at both ends."""
    (t0, t1), (o0, o1) = flight.reach, flight.going
    corners = [(t0 - beside_mm, o0 - beside_mm), (t1 + beside_mm, o0 - beside_mm)]
    corners += [(t1 + beside_mm, o1 + beside_mm), (t0 - beside_mm, o1 + beside_mm)]
    return shapely.Polygon([flight.start + t * flight.along + off * flight.across for t, off in corners])


def stair_marks(lines: Lines, walls: Bools, drawn: tuple[Flight, ...]) -> Bools:
    """(n,) which of the lines taken for walls are drawn over flights, whatever layer the treads are on: arrows that
    say which way is up, with their turns on the landings, breaks, and treads that these cut short. A wall does not
    stand on treads. Without flights none is."""
    found = np.zeros(len(walls), bool)
    rows = np.flatnonzero(walls & (lines.arc < 0))
    if not drawn or not len(rows):
        return found
    xy = lines.xy[rows]
    own = np.zeros(len(rows), bool)
    for flight in drawn:
        own |= _over(xy, flight)
    found[rows[own | _turns(xy, own)]] = True
    return found


def _over(xy: Floats, flight: Flight) -> Bools:
    """Which lines lie on a flight: along it between the ends of its treads, across it aslant, or between its first
    and last tread as parts of others; and the steps that turn on a landing before or after it."""
    t, off = _placed(xy, flight)
    (left, right), (low, high) = flight.reach, flight.going
    over = np.zeros(len(xy), bool)
    deep = max(LAST_GOING_MM, TURNED_PART * min(right - left, TURNED_MM))
    near = (t[:, 1] > left) & (t[:, 0] < right) & (off[:, 1] > low - deep) & (off[:, 0] < high + deep)
    rows = np.flatnonzero(near)
    if not len(rows):
        return over
    ends = xy[rows].reshape(-1, 2, 2) - flight.start
    local = shapely.linestrings(np.stack([ends @ flight.along, ends @ flight.across], axis=2))
    length = np.maximum(shapely.length(local), 1e-9)
    box = shapely.box(left, low - LAST_GOING_MM, right, high + LAST_GOING_MM)
    on = shapely.length(shapely.intersection(local, box)) >= ON_FLIGHT * length
    t, off = t[rows], off[rows]
    across, upright = (t[:, 1] - t[:, 0]) / length, (off[:, 1] - off[:, 0]) / length
    walked = (across <= PARALLEL_SINE) & (t[:, 0] >= left + EDGE_MM) & (t[:, 1] <= right - EDGE_MM)
    walked &= np.minimum(off[:, 1], high) - np.maximum(off[:, 0], low) >= WALKED_PART * length
    aslant = (across >= SLANT_SINE) & (upright >= SLANT_SINE)
    within = (t[:, 0] >= left - TREAD_OFF_MM) & (t[:, 1] <= right + TREAD_OFF_MM)
    inner = (off[:, 0] >= low + EDGE_MM) & (off[:, 1] <= high - EDGE_MM)
    part = (upright <= PARALLEL_SINE) & within & inner
    turned = within & aslant & (off[:, 0] >= low - deep) & (off[:, 1] <= high + deep)
    over[rows] = on & (walked | part | aslant) | turned
    return over


def _turns(xy: Floats, own: Bools) -> Bools:
    """Which other lines join two of these at both their ends."""
    found = np.zeros(len(xy), bool)
    ends = xy[own].reshape(-1, 2)
    rest = np.flatnonzero(~own & (np.hypot(*(xy[:, 2:] - xy[:, :2]).T) <= MOST_TURN_MM))
    if not len(ends) or not len(rest):
        return found
    tree = shapely.STRtree(shapely.points(ends))
    at, _ = tree.query(shapely.points(xy[rest].reshape(-1, 2)), predicate="dwithin", distance=JOINED_MM)
    met = np.zeros(2 * len(rest), bool)
    met[at] = True
    found[rest[met.reshape(-1, 2).all(axis=1)]] = True
    return found


def beside_each_other(one: Flight, other: Flight) -> bool:
    """Whether two flights go side by side, as those of one stair do round its well or the wall between them."""
    if abs(float(one.along @ other.across)) > PARALLEL_SINE:
        return False
    apart = outline_of(one).distance(outline_of(other))
    ends = np.stack([other.start + g * other.across for g in other.going]) - one.start
    low, high = np.sort(ends @ one.across).tolist()
    shared = min(high, one.going[1]) - max(low, one.going[0])
    return bool(apart <= RAIL_MM[1] and shared >= SHARED_GOING * min(high - low, one.going[1] - one.going[0]))
