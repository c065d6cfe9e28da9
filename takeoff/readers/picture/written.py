"""A rendered page as a picture file, to be kept with a job."""

from __future__ import annotations

from io import BytesIO

from PIL import Image, ImageChops

GREY_WITHIN = 12
"""Pages whose red, green and blue differ by no more are kept in grey, at a third of the size."""


def png(rgb: bytes, width_px: int, height_px: int) -> bytes:
    """The PNG file of a picture given as rows from the top, three bytes per pixel; in grey where it has
    no colour."""
    image = Image.frombytes("RGB", (width_px, height_px), rgb)
    small = image.reduce(max(1, min(width_px, height_px) // 400))
    spread = max(_highest(band) for band in _differences(small))
    out = BytesIO()
    (image.convert("L") if spread <= GREY_WITHIN else image).save(out, "PNG", compress_level=3)
    return out.getvalue()


def _differences(image: Image.Image) -> tuple[Image.Image, Image.Image]:
    red, green, blue = image.split()
    return ImageChops.difference(red, green), ImageChops.difference(green, blue)


def _highest(band: Image.Image) -> int:
    """The highest value of a grey picture; 0 for an empty one."""
    return max((k for k, count in enumerate(band.histogram()) if count), default=0)
