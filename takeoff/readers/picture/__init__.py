"""Pictures (PNG, JPEG, TIFF, a rendered page) → Drawing with a picture to trace, and straightening."""

from takeoff.readers.picture.placing import by_four_points, by_known_length
from takeoff.readers.picture.reading import from_rgb, read, upright
from takeoff.readers.picture.straightening import straightened

__all__ = ["by_four_points", "by_known_length", "from_rgb", "read", "straightened", "upright"]
