"""Pictures (PNG, JPEG, TIFF, a rendered page) → Drawing with a picture to trace, and straightening."""

from takeoff.readers.picture.kept_pictures import KeptPhoto, on_paper, png, read_photo
from takeoff.readers.picture.logo import KeptLogo, is_logo, read_logo
from takeoff.readers.picture.picture_file import from_rgb, read, upright, upright_of
from takeoff.readers.picture.picture_notes import without_notes
from takeoff.readers.picture.straightening import (
    by_four_points,
    by_known_length,
    in_order,
    pixels_of,
    shown_at,
    straightened,
)

__all__ = [
    "KeptLogo",
    "KeptPhoto",
    "by_four_points",
    "by_known_length",
    "from_rgb",
    "in_order",
    "is_logo",
    "on_paper",
    "pixels_of",
    "png",
    "read",
    "read_logo",
    "read_photo",
    "shown_at",
    "straightened",
    "upright",
    "upright_of",
    "without_notes",
]
