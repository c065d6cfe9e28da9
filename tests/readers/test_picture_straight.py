"""A photo of a sheet becomes square by four points, and true to scale by one known length."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw

from takeoff.drawing.model import Drawing, Layer, Linework, Picture
from takeoff.errors import InputError
from takeoff.geometry.perspective import apply, inverse
from takeoff.readers import picture

CORNERS_PX = ((100.0, 500.0), (620.0, 430.0), (560.0, 120.0), (160.0, 80.0))
"""Lower left, lower right, upper right, upper left of a 4 × 3 m rectangle on a slanting photo."""


def photo(size: tuple[int, int] = (700, 600)) -> Drawing:
    return Drawing("photo.jpg", (Layer("traced"),), Linework(), picture=Picture("x", *size))


def matrix_of(drawing: Drawing) -> np.ndarray:
    assert drawing.picture is not None
    return np.array(drawing.picture.matrix).reshape(3, 3)


def test_four_points_take_the_picture_to_the_plan() -> None:
    drawing = picture.by_four_points(photo(), CORNERS_PX, 4000.0, 3000.0)
    placed = apply(matrix_of(drawing), np.array(CORNERS_PX))
    assert placed == pytest.approx(np.array([(0, 0), (4000, 0), (4000, 3000), (0, 3000)]), abs=1e-6)
    assert drawing.unit == "mm"


def test_one_known_length_without_straightening_turns_y_up() -> None:
    drawing = picture.by_known_length(photo(), (100.0, 300.0), (400.0, 300.0), 6000.0)
    assert drawing.picture is not None
    assert drawing.picture.mm_per_px == 20.0
    placed = apply(matrix_of(drawing), np.array([[0.0, 600.0], [700.0, 0.0]]))
    assert placed.tolist() == [[0.0, 0.0], [14000.0, 12000.0]]


def test_one_known_length_scales_a_straightened_picture() -> None:
    """The rectangle was picked as 4 × 3 with its true size unknown: its lower side is 8 m."""
    square = picture.by_four_points(photo(), CORNERS_PX, 4.0, 3.0)
    scaled = picture.by_known_length(square, CORNERS_PX[0], CORNERS_PX[1], 8000.0)
    placed = apply(matrix_of(scaled), np.array(CORNERS_PX))
    assert placed[2] == pytest.approx([8000.0, 6000.0])


def test_the_picture_itself_is_seen_square_on(tmp_path: Path) -> None:
    image = Image.new("RGB", (700, 600), "white")
    draw = ImageDraw.Draw(image)
    draw.polygon(CORNERS_PX, fill=(0, 0, 0))
    drawing = picture.by_four_points(photo(), CORNERS_PX, 4000.0, 3000.0)
    assert drawing.picture is not None
    assert drawing.picture.mm_per_px is not None
    seen, (x0, _, x1, y1) = picture.straightened(image, matrix_of(drawing), drawing.picture.mm_per_px)
    step = (x1 - x0) / seen.size[0]

    def at(x_mm: float, y_mm: float) -> object:
        return seen.getpixel((int((x_mm - x0) / step), int((y1 - y_mm) / step)))

    for x, y in ((100, 100), (3900, 100), (3900, 2900), (100, 2900), (2000, 1500)):
        assert at(x, y) == (0, 0, 0), (x, y)
    for x, y in ((-100, 1500), (4100, 1500), (2000, -100), (2000, 3100)):
        assert at(x, y) == (255, 255, 255), (x, y)


def test_a_horizon_in_the_picture_does_not_make_it_endless() -> None:
    steep = ((0.0, 590.0), (690.0, 590.0), (400.0, 320.0), (300.0, 320.0))
    drawing = picture.by_four_points(photo(), steep, 4000.0, 9000.0)
    assert drawing.picture is not None
    assert drawing.picture.mm_per_px is not None
    image = Image.new("L", (700, 600))
    seen, box = picture.straightened(image, matrix_of(drawing), drawing.picture.mm_per_px)
    assert seen.size[0] * seen.size[1] <= 61_000_000
    assert np.isfinite(box).all()


@pytest.mark.parametrize(
    "points",
    [
        ((0, 0), (1, 1), (2, 2), (3, 3)),
        ((0, 0), (10, 10), (10, 0), (0, 10)),
        ((5, 5), (5, 5), (5, 5), (5, 5)),
        ((0, 0), (10, 0), (10, float("nan")), (0, 10)),
    ],
)
def test_four_points_that_make_no_rectangle_are_refused(points: tuple[tuple[float, float], ...]) -> None:
    with pytest.raises(InputError, match=r"four points"):
        picture.by_four_points(photo(), points, 4000.0, 3000.0)


def test_sides_and_lengths_must_be_lengths() -> None:
    with pytest.raises(InputError, match="above zero"):
        picture.by_four_points(photo(), CORNERS_PX, 0.0, 3000.0)
    with pytest.raises(InputError, match="are one"):
        picture.by_known_length(photo(), (5.0, 5.0), (5.0, 5.0), 1000.0)
    with pytest.raises(InputError, match="above zero"):
        picture.by_known_length(photo(), (5.0, 5.0), (9.0, 5.0), -1.0)


def test_a_drawing_without_a_picture_is_refused() -> None:
    plain = Drawing("plan.dxf", (Layer("0"),), Linework())
    with pytest.raises(InputError, match="has no picture"):
        picture.by_four_points(plain, CORNERS_PX, 4000.0, 3000.0)


def test_there_and_back_again() -> None:
    matrix = matrix_of(picture.by_four_points(photo(), CORNERS_PX, 4000.0, 3000.0))
    points = np.array([[3.0, 4.0], [650.0, 20.0], [333.3, 444.4]])
    assert apply(inverse(matrix), apply(matrix, points)) == pytest.approx(points)
    assert apply(matrix, np.zeros((0, 2))).shape == (0, 2)
