"""One ceiling through heights, whichever page they were typed on; volumes as worked by hand."""

from __future__ import annotations

import pytest

from takeoff.geometry.planes import Height, Plane, Through, planes_through

CORNERS = ((0.0, 0.0), (4000.0, 0.0), (4000.0, 3000.0), (0.0, 3000.0))
MIDDLE = (2000.0, 1500.0)


def corners(*heights: float) -> list[Height]:
    return [Height(*at, z) for at, z in zip(CORNERS, heights, strict=True)]


def mean_mm(found: Through) -> float:
    """The mean height over the room of 4 × 3 m."""
    steps = [(40.0 * i + 20.0, 30.0 * j + 15.0) for i in range(100) for j in range(100)]
    return sum(min(plane.at(x, y) for plane in found.planes) for x, y in steps) / len(steps)


def test_plane_is_as_high_as_its_slopes_say():
    assert Plane(z_mm=2400.0, slope_x=0.5, slope_y=-0.25, at_x_mm=1000.0, at_y_mm=2000.0).at(3000.0, 4000.0) == 2900.0


def test_middle_raised_is_a_ridge_since_two_planes_are_fewer_than_four():
    found = planes_through(corners(2400.0, 2400.0, 2400.0, 2400.0), Height(*MIDDLE, 3000.0))
    assert len(found.planes) == 2
    assert found.worst_mm == pytest.approx(0.0, abs=1e-6)
    # a ridge 600 above the eaves: half of it on the mean
    assert mean_mm(found) == pytest.approx(2700.0)
    # it may run along the room or across
    assert not found.only


def test_one_corner_raised_is_met_exactly_by_two_planes():
    found = planes_through(corners(2400.0, 2400.0, 3000.0, 2400.0))
    assert len(found.planes) == 2
    assert found.off_mm == pytest.approx((0.0, 0.0, 0.0, 0.0), abs=1e-6)
    # two triangles, each a third of 600 above 2.40
    assert mean_mm(found) == pytest.approx(2600.0, abs=0.1)
    assert found.only


def test_heights_within_ten_millimetres_are_level():
    found = planes_through(corners(2400.0, 2404.0, 2398.0, 2402.0))
    assert found.planes == (Plane(z_mm=2401.0),)
    assert found.worst_mm == 3.0


def test_one_height_is_level_and_two_rise_and_leave_the_rest_open():
    assert planes_through([Height(0.0, 0.0, 2600.0)]).planes == (Plane(z_mm=2600.0),)
    rising = planes_through([Height(0.0, 0.0, 2400.0), Height(4000.0, 0.0, 2800.0)])
    assert rising.planes[0].at(4000.0, 3000.0) == pytest.approx(2800.0)
    assert not rising.only


def test_slope_that_fits_is_taken_before_two():
    found = planes_through(corners(2400.0, 2400.0, 3006.0, 3000.0))
    assert len(found.planes) == 1
    assert found.worst_mm == pytest.approx(1.5)


def test_eaves_level_all_round_under_a_high_middle_take_four_planes():
    # read at the middle of every wall too, which no ridge allows
    around = [(0.0, 0.0), (2000.0, 0.0), (4000.0, 0.0), (4000.0, 1500.0), (4000.0, 3000.0), (2000.0, 3000.0)]
    eaves = [Height(*at, 2400.0) for at in (*around, (0.0, 3000.0), (0.0, 1500.0))]
    found = planes_through(eaves, Height(*MIDDLE, 3000.0))
    assert len(found.planes) == 4
    assert found.worst_mm == pytest.approx(0.0, abs=1e-6)
    # a pyramid: a third of 600 on the mean
    assert mean_mm(found) == pytest.approx(2600.0, abs=0.1)
    assert not found.only


def test_height_below_all_others_is_the_one_left_out():
    found = planes_through(corners(3000.0, 3000.0, 3000.0, 3000.0), Height(*MIDDLE, 2400.0))
    assert not found.fits
    assert found.left_out == 1
    assert len(found.planes) == 1
    assert found.off_mm == pytest.approx((0.0, 0.0, 0.0, 0.0, 600.0))
