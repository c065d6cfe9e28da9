"""The adjustment of readings against published traverses, a textbook's triangle, and scipy's optimiser."""

import math
import random

import numpy as np
import pytest
from scipy.optimize import least_squares

from takeoff.geometry.adjustment import Distance, Observation, Turn, adjust, solve
from takeoff.geometry.poses import Apart, Meet, Pose, put, set_out
from takeoff.plan.model import ReadSide
from takeoff.plan.readings.walked_outline import closing_gap

Course = tuple[float, float]
"""(azimuth in degrees from north, clockwise; length)"""

# engineering.purdue.edu/~asm215/topics/travcalc.html: five courses in feet from (10000, 10000), their
# misclosure, and the coordinates (east, north) after the compass rule
PURDUE = ((26 + 10 / 60, 285.10), (104 + 35 / 60, 610.45), (195.5, 720.48), (358 + 18 / 60, 203.00), (306.9, 647.02))
PURDUE_CORNERS = (
    (10000.0, 10000.0),
    (10125.66, 10255.96),
    (10716.31, 10102.44),
    (10523.62, 9408.37),
    (10517.55, 9611.34),
)

# jerrymahun.com, open access, traverse adjustment, problem 2: four courses in feet, misclosure 0.157, and
# their lengths after the compass rule
MAHUN = (
    (226 + 54 / 60 + 23 / 3600, 639.15),
    (0.0, 523.69),
    (235 + 2 / 60 + 29 / 3600, 409.54),
    (79 + 35 / 60 + 2 / 3600, 815.93),
)
MAHUN_LENGTHS = (639.150, 523.715, 409.544, 815.901)


def steps(courses: tuple[Course, ...]) -> list[tuple[float, float]]:
    """Departure (east) and latitude (north) of each course."""
    return [(mm * math.sin(math.radians(deg)), mm * math.cos(math.radians(deg))) for deg, mm in courses]


def walk(courses: tuple[Course, ...]) -> tuple[ReadSide, ...]:
    """The courses as sides with turns, to the left positive."""
    azimuths = [deg for deg, _ in courses]
    turns = [
        math.remainder(here - after, 360.0) for here, after in zip(azimuths, [*azimuths[1:], azimuths[0]], strict=True)
    ]
    return tuple(
        ReadSide(length_mm=mm, turn_deg=turn, turn="read") for (_, mm), turn in zip(courses, turns, strict=True)
    )


@pytest.mark.parametrize(("courses", "misclosure"), [(PURDUE, 0.89), (MAHUN, 0.157)])
def test_misclosure_of_published_traverses(courses, misclosure):
    # both pages add up departures and latitudes that are rounded, one of them to the hundredth
    assert math.hypot(*closing_gap(walk(courses))) == pytest.approx(misclosure, abs=0.01)


def compass(courses: tuple[Course, ...], origin: tuple[float, float]) -> np.ndarray:
    """Corners of the closed walk that fits all courses best when both parts of each are uncertain by the
    root of its length: known to be the compass rule."""
    d = np.array(steps(courses))
    roots = np.sqrt([mm for _, mm in courses])
    count = len(courses)
    jacobian = np.zeros((2 * count + 2, 2 * count))
    for k in range(count):
        for part in (0, 1):
            jacobian[2 * k + part, 2 * k + part] = -1.0 / roots[k]
            jacobian[2 * k + part, 2 * ((k + 1) % count) + part] = 1.0 / roots[k]
    jacobian[2 * count, 0] = jacobian[2 * count + 1, 1] = 1.0

    def evaluate(flat: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        points = flat.reshape(-1, 2)
        off = (np.roll(points, -1, axis=0) - points - d) / roots[:, None]
        return np.concatenate([off.ravel(), points[0] - origin]), jacobian

    return solve(evaluate, [0.0] * (2 * count)).unknowns.reshape(-1, 2)


def test_published_coordinates_after_the_compass_rule():
    found = compass(PURDUE, PURDUE_CORNERS[0])
    # the page carries two places through every step
    assert np.max(np.abs(found - np.array(PURDUE_CORNERS))) < 0.02


def test_published_lengths_after_the_compass_rule():
    found = compass(MAHUN, (0.0, 0.0))
    lengths = np.hypot(*(np.roll(found, -1, axis=0) - found).T)
    assert lengths == pytest.approx(MAHUN_LENGTHS, abs=0.0015)


def test_a_triangle_of_three_angles_shares_its_excess_evenly():
    """Mikhail and Ackermann, Observations and Least Squares (1976), example 7.1: 40°19'02", 70°30'01" and
    69°11'00" are 3" too much, a second each."""
    angles = [math.radians(d + m / 60 + s / 3600) for d, m, s in ((40, 19, 2), (70, 30, 1), (69, 11, 0))]
    second = math.radians(1 / 3600)
    far = 1000.0
    # corner 0 has the first angle, corner 1 the second; the third point from their exact triangle
    b = far * math.sin(angles[1]) / math.sin(angles[0] + angles[1])
    start = ((0.0, 0.0), (far, 0.0), (b * math.cos(angles[0]), b * math.sin(angles[0])))
    turns = [Turn((k - 1) % 3, k, (k + 1) % 3, math.pi - angles[k], second) for k in range(3)]
    found = adjust(start, [Distance(0, 1, far, 1.0), *turns])
    assert found.loose == ()
    # an angle is π less the turn: it shrinks by what the turn grows
    assert [-off / second for off in found.differences[1:]] == pytest.approx([-1.0] * 3, abs=1e-5)


def room(seed: int) -> tuple[list[tuple[float, float]], list[Observation]]:
    """A rectilinear room somewhat out of square, with disturbed lengths, turns and some diagonals."""
    dice = random.Random(seed)
    w, d = dice.uniform(2500, 7000), dice.uniform(2000, 6000)
    n, m = dice.uniform(0.3, 0.7) * w, dice.uniform(0.3, 0.7) * d
    corners = [(0.0, 0.0), (w, 0.0), (w, d), (n, d), (n, m), (0.0, m)]
    true = [(x + dice.gauss(0, 25), y + dice.gauss(0, 25)) for x, y in corners]
    count = len(true)
    found: list[Observation] = []
    for k in range(count):
        found.append(Distance(k, (k + 1) % count, math.dist(true[k], true[(k + 1) % count]) + dice.gauss(0, 3), 3.0))
        turn = math.pi / 2 * (-1 if k == 3 else 1)
        found.append(Turn(k, (k + 1) % count, (k + 2) % count, turn, math.radians(2.0)))
    for a, b in ((0, 2), (1, 3), (0, 3), (2, 4), (1, 4)):
        if dice.random() < 0.6:
            found.append(Distance(a, b, math.dist(true[a], true[b]) + dice.gauss(0, 3), 3.0))
    return corners, found


def scipy_lengths(start: list[tuple[float, float]], rows: list[Observation]) -> tuple[np.ndarray, float]:
    """All distances between points, and the weighted sum of squares, by another algorithm and with the
    derivatives taken by differences."""

    def off(flat: np.ndarray) -> np.ndarray:
        p = flat.reshape(-1, 2)
        found = []
        for o in rows:
            if isinstance(o, Distance):
                found.append((np.hypot(*(p[o.b] - p[o.a])) - o.mm) / o.sigma_mm)
            else:
                u, v = p[o.b] - p[o.a], p[o.c] - p[o.b]
                turn = np.arctan2(u[0] * v[1] - u[1] * v[0], u @ v)
                found.append((turn - o.rad) / o.sigma_rad)
        return np.array(found)

    made = least_squares(off, np.array(start).ravel(), method="trf", xtol=1e-15, ftol=1e-15, gtol=1e-12, x_scale=1000.0)
    p = made.x.reshape(-1, 2)
    return np.hypot(*(p[:, None] - p[None]).transpose(2, 0, 1)), 2.0 * made.cost


@pytest.mark.parametrize("seed", range(25))
def test_random_rooms_are_adjusted_as_by_scipy(seed):
    start, rows = room(seed)
    found = adjust(start, rows)
    p = np.array(found.points)
    lengths, weighted = scipy_lengths(start, rows)
    assert np.max(np.abs(np.hypot(*(p[:, None] - p[None]).transpose(2, 0, 1)) - lengths)) < 0.01
    assert found.weighted_sum == pytest.approx(weighted, rel=1e-6)


def test_rooms_set_together_stand_as_by_scipy():
    dice = random.Random(4)
    true: list[Pose] = [(0.0, 0.0, 0.0), (4100.0, -300.0, 0.02), (4000.0, 3200.0, 1.6)]
    ties: list[Meet | Apart] = []
    for a, b in ((0, 1), (1, 2), (0, 2)):
        for _ in range(2):
            spot = dice.uniform(0, 4000), dice.uniform(0, 3000)
            x, y = put(true[a], spot)
            tx, ty, turn = true[b]
            cos, sin = math.cos(turn), math.sin(turn)
            other = ((x - tx) * cos + (y - ty) * sin + dice.gauss(0, 4), (y - ty) * cos - (x - tx) * sin)
            ties.append(Meet(a, spot, b, other, 5.0))
        ties.append(Meet(a, (1000.0, 500.0), b, _seen(true, a, b), 3.0, (0.6, 0.8)))
    ties.append(Apart(0, (0.0, 0.0), 2, (500.0, 500.0), math.dist((0.0, 0.0), put(true[2], (500.0, 500.0))) + 9, 3.0))
    found = set_out([true[0], (4000.0, 0.0, 0.0), (4000.0, 3000.0, 1.5)], ties)

    def off(flat: np.ndarray) -> np.ndarray:
        poses = [true[0], tuple(flat[:3]), tuple(flat[3:])]
        rows: list[float] = []
        for tie in ties:
            p, q = np.array(put(poses[tie.a], tie.a_point)), np.array(put(poses[tie.b], tie.b_point))
            if isinstance(tie, Apart):
                rows.append((float(np.hypot(*(q - p))) - tie.mm) / tie.sigma_mm)
            elif tie.across is None:
                rows += list((q - p) / tie.sigma_mm)
            else:
                way = np.array(put((0.0, 0.0, poses[tie.a][2]), tie.across))
                rows.append(float(way @ (q - p)) / tie.sigma_mm)
        return np.array(rows)

    made = least_squares(
        off, [*found.poses[1], *found.poses[2]], x_scale=[1e3, 1e3, 1.0] * 2, xtol=1e-15, ftol=1e-15, gtol=1e-12
    )
    assert [*found.poses[1], *found.poses[2]] == pytest.approx(list(made.x), abs=0.01)
    from_afar = least_squares(off, [3900.0, 100.0, 0.1, 4100.0, 3100.0, 1.4], x_scale=[1e3, 1e3, 1.0] * 2)
    assert [*found.poses[1], *found.poses[2]] == pytest.approx(list(from_afar.x), abs=0.05)


def _seen(poses: list[Pose], a: int, b: int) -> tuple[float, float]:
    """Figure a's point (1000, 500) as figure b has it, 4 mm off."""
    x, y = put(poses[a], (1000.0, 500.0))
    tx, ty, turn = poses[b]
    cos, sin = math.cos(turn), math.sin(turn)
    return (x - tx) * cos + (y - ty) * sin + 4.0, (y - ty) * cos - (x - tx) * sin
