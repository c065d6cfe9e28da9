"""Storeys of several drawings laid over one another, by their walls and by two points."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from takeoff.errors import InputError
from takeoff.geometry.poses import put
from takeoff.plan.edits.drawing_edits import moved_storey, pose_from, pose_of
from takeoff.plan.model import Laid, RoomId, Side, SideId, Storey, StoreyId
from takeoff.plan.model import Room as PlanRoom
from takeoff.recognise.laid_over import FITS, as_if_in, laid_by_points, lay_over, same_storey, share_as_laid
from takeoff.services.opened.opening import open_file

SAMPLES = Path(__file__).parents[2] / "sample_plans"


def storey(*boxes: tuple[float, float, float, float]) -> Storey:
    """Rooms by x0, y0, x1, y1."""
    rooms = []
    for n, (x0, y0, x1, y1) in enumerate(boxes):
        corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        sides = tuple(Side(id=SideId(f"s{k}"), x_mm=float(x), y_mm=float(y)) for k, (x, y) in enumerate(corners))
        rooms.append(PlanRoom(id=RoomId(f"r{n}"), outline=sides))
    return Storey(id=StoreyId("1"), rooms=tuple(rooms))


LOW = storey((0, 0, 4000, 3000), (4100, 0, 9000, 3000), (0, 3100, 2500, 7000), (2600, 3100, 9000, 7000))
HIGH = storey((0, 0, 3000, 3000), (3100, 0, 9000, 3000), (0, 3100, 2500, 7000), (2600, 3100, 6000, 7000))


def corners(of: Storey) -> list[tuple[float, float]]:
    return [(s.x_mm, s.y_mm) for room in of.rooms for s in room.outline]


@pytest.mark.parametrize(
    "laid",
    [
        Laid(),
        Laid(dx_mm=12345.0, dy_mm=-6789.0),
        Laid(turn_deg=90.0, dx_mm=500.0, dy_mm=20000.0),
        Laid(turn_deg=180.0, dx_mm=-3000.0, dy_mm=700.0),
        Laid(turn_deg=-90.0, dx_mm=530000000.0, dy_mm=180000000.0),
        Laid(turn_deg=17.5, dx_mm=40.0, dy_mm=90.0),
    ],
)
def test_storey_drawn_elsewhere_and_turned_is_laid_back_over_the_one_below(laid: Laid) -> None:
    moved = moved_storey(HIGH, pose_of(laid))
    fit = lay_over((LOW,), (moved,))
    assert fit.fits
    back = moved_storey(moved, pose_of(fit.laid))
    for (x, y), (u, v) in zip(corners(HIGH), corners(back), strict=True):
        assert math.hypot(x - u, y - v) < 2.0


def test_storey_that_fits_where_it_was_drawn_stays_there() -> None:
    assert lay_over((LOW,), (HIGH,)).laid == Laid()


def test_another_building_does_not_fit() -> None:
    other = storey((0, 0, 2200, 5300), (2350, 0, 7100, 1900), (2350, 2050, 5200, 5300), (5350, 2050, 7100, 5300))
    assert not lay_over((LOW,), (other,)).fits
    terrace, loft = (open_file(SAMPLES / f"{name}.dxf").job for name in ("terrace_ground", "loft"))
    assert not lay_over(terrace.storeys, loft.storeys).fits


def test_sample_storeys_of_one_house_fit() -> None:
    ground, first = (open_file(SAMPLES / f"{name}.dxf").job for name in ("terrace_ground", "terrace_first"))
    fit = lay_over(ground.storeys, first.storeys)
    assert fit.laid == Laid()
    assert fit.share > 2 * FITS - 0.1


def test_nothing_to_lay_over_stays_as_drawn_and_fits_by_nothing() -> None:
    assert lay_over((), (HIGH,)) == (Laid(), 0.0)
    assert lay_over((LOW,), (storey(),)) == (Laid(), 0.0)
    assert share_as_laid((LOW,), ()) == 0.0


def test_share_is_of_the_walls_as_they_lie() -> None:
    assert share_as_laid((LOW,), (LOW,)) == 1.0
    assert share_as_laid((LOW,), (moved_storey(LOW, (50000.0, 0.0, 0.0)),)) == 0.0


@pytest.mark.parametrize(("scale", "words"), [(0.1, "10 times as large"), (25.4, "25.4 times smaller")])
def test_wrong_unit_of_the_second_drawing_is_told(scale: float, words: str) -> None:
    boxes = [(0, 0, 3000, 3000), (3100, 0, 9000, 3000), (0, 3100, 2500, 7000), (2600, 3100, 6000, 7000)]
    wrong = storey(*((a * scale, b * scale, c * scale, d * scale) for a, b, c, d in boxes))
    assert not lay_over((LOW,), (wrong,)).fits
    assert as_if_in((LOW,), (wrong,)) == words


def test_same_rooms_are_one_storey_drawn_twice() -> None:
    assert same_storey(LOW, LOW)
    assert not same_storey(LOW, HIGH)
    assert not same_storey(LOW, storey())


def test_two_points_lay_a_storey_exactly() -> None:
    laid = Laid(turn_deg=90.0, dx_mm=100.0, dy_mm=200.0)
    shown = ((0.0, 0.0), (9000.0, 7000.0))
    there = tuple(put(pose_of(laid), point) for point in shown)
    found = laid_by_points(shown, (there[0], there[1]))
    assert found.turn_deg == 90.0
    assert found.dx_mm == pytest.approx(100.0, abs=1e-6)
    assert found.dy_mm == pytest.approx(200.0, abs=1e-6)


def test_two_points_that_are_not_the_same_places_are_refused() -> None:
    with pytest.raises(InputError, match=r"9\.00 m apart on one storey, 4\.00 m on the other"):
        laid_by_points(((0.0, 0.0), (9000.0, 0.0)), ((0.0, 0.0), (4000.0, 0.0)))
    with pytest.raises(InputError, match="too near"):
        laid_by_points(((0.0, 0.0), (90.0, 0.0)), ((0.0, 0.0), (90.0, 0.0)))


def test_moving_from_one_laying_to_another_is_one_movement() -> None:
    one, other = Laid(turn_deg=30.0, dx_mm=10.0, dy_mm=20.0), Laid(turn_deg=-60.0, dx_mm=-400.0, dy_mm=7.0)
    point = (1234.0, 567.0)
    moved = put(pose_from(one, other), put(pose_of(one), point))
    assert moved == pytest.approx(put(pose_of(other), point), abs=1e-6)
