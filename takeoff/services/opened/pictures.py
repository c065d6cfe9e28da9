"""Pictures to trace: opened as jobs without rooms, placed in the plan, and shown under it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import msgspec

from takeoff.drawing.model import Drawing, Picture
from takeoff.errors import InputError
from takeoff.files.from_outside import name_of
from takeoff.language import tr
from takeoff.plan.model import DrawingRef, PlacedPicture
from takeoff.sheets.picture import Photograph
from takeoff.storage.content import Attachment, attachment
from takeoff.units.printing import shown_short

Point = tuple[float, float]

MOST_SHOWN_PIXELS = 24_000_000
LARGEST_MM, SMALLEST_MM = 200_000.0, 200.0
"""Sides of a rectangle and known lengths on plans of buildings; others are slips of the finger."""


class Backdrop(msgspec.Struct, frozen=True):
    """A picture as it lies under the plan: rows from the top, one byte per pixel in grey or three, and
    the box x0 y0 x1 y1 in mm that it covers."""

    width_px: int
    height_px: int
    grey: bool
    pixels: bytes
    box: tuple[float, float, float, float]


def placed_of(picture: Picture) -> PlacedPicture:
    """A drawing's picture as a job keeps it."""
    a, b, c, d, e, f, g, h, i = picture.matrix
    return PlacedPicture(
        sha256=picture.sha256,
        width_px=picture.width_px,
        height_px=picture.height_px,
        mm_per_px=picture.mm_per_px,
        matrix=(a, b, c, d, e, f, g, h, i),
    )


def straightened_by(
    placed: PlacedPicture, clicked: Sequence[Point], width_mm: float, height_mm: float
) -> PlacedPicture:
    """The picture straightened by four corners of a rectangle, clicked in any order on the plan as it is
    shown (mm), and the rectangle's sides across and upwards. Its lower left corner becomes 0, 0.

    Raises InputError where they make no rectangle, or a side is none.
    """
    from takeoff.readers import picture as pictures

    for length in (width_mm, height_mm):
        _refuse_absurd(length)
    picture = _picture(placed)
    corners = pictures.pixels_of(picture, pictures.in_order(clicked))
    made = pictures.by_four_points(_carrier(picture), corners, width_mm, height_mm)
    assert made.picture is not None
    return placed_of(made.picture)


def scaled_by(placed: PlacedPicture, one: Point, other: Point, length_mm: float) -> PlacedPicture:
    """The picture scaled by the length between two points clicked on the plan as it is shown (mm); what
    was straightened stays straight. Raises InputError where the points are one or the length is none."""
    from takeoff.readers import picture as pictures

    _refuse_absurd(length_mm)
    picture = _picture(placed)
    p, q = pictures.pixels_of(picture, (one, other))
    made = pictures.by_known_length(_carrier(picture), p, q, length_mm)
    assert made.picture is not None
    return placed_of(made.picture)


def backdrop(data: bytes, placed: PlacedPicture, name: str) -> Backdrop:
    """The picture as it lies under the plan. Takes up to a second or two for a large one. Raises
    InputError for a picture that is another or cannot be read."""
    from takeoff.readers import picture as pictures

    image = pictures.upright_of(data, name)
    if image.size != (placed.width_px, placed.height_px):
        raise InputError(tr("{file} is not the picture that was traced: open the job's own.", file=name))
    matrix, mm_per_px = pictures.shown_at(_picture(placed))
    seen, box = pictures.straightened(image, matrix, mm_per_px, MOST_SHOWN_PIXELS)
    return Backdrop(*seen.size, seen.mode == "L", seen.tobytes(), box)


def find_picture(folder: Path, ref: DrawingRef) -> Attachment | None:
    """The picture beside a job that does not hold it itself; None where it is not there unchanged."""
    path = folder / Path(ref.name).name
    if ref.picture is None or ref.page is not None or not path.is_file():
        return None
    as_it_is = attachment(path.read_bytes(), path.suffix)
    if as_it_is.sha256 == ref.picture.sha256:  # as older programs kept it
        return as_it_is
    try:
        kept = picture_kept(path)
    except InputError:
        return None
    return kept if kept.sha256 == ref.picture.sha256 else None


def picture_kept(path: Path) -> Attachment:
    """A picture to be traced as it is kept with the job: the picture alone. Raises InputError."""
    from takeoff.readers import picture as pictures

    data = path.read_bytes()
    bare = pictures.without_notes(data, name_of(path))
    return attachment(bare, path.suffix if bare[:4] == data[:4] else ".png")


def photo_on_paper(data: bytes, name: str) -> Photograph:
    """A photo of the job as a page shows it. Raises InputError for one that is damaged."""
    from takeoff.readers import picture as pictures

    kept = pictures.on_paper(data, name)
    return Photograph(kept.data, kept.width_px, kept.height_px)


def _refuse_absurd(length_mm: float) -> None:
    if not SMALLEST_MM <= length_mm <= LARGEST_MM:
        raise InputError(
            tr(
                "{length} m cannot be a length on this plan: type what is written beside it, with its "
                "unit, such as 4.20 m.",
                length=shown_short(length_mm / 1000.0),
            )
        )


def _picture(placed: PlacedPicture) -> Picture:
    return Picture(placed.sha256, placed.width_px, placed.height_px, placed.mm_per_px, placed.matrix)


def _carrier(picture: Picture) -> Drawing:
    from takeoff.drawing.model import Linework

    return Drawing(name=tr("The picture"), layers=(), lines=Linework(), picture=picture)
